"""Filters that people keep, and edits of many things with a preview."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.finding import FilterForm, ManyForm
from inventory.forms.shelf import ShelfFilter
from inventory.forms.tubes import new_key
from inventory.models import Condition, SavedFilter, Tube
from inventory.queries import finding as queries
from inventory.queries.shelf import Filters, rows_of
from inventory.services import finding as services
from studio.access import StudioRequest, in_studio, require
from studio.models import Role


def _shelf_url(request: StudioRequest, query: str = "") -> str:
    url = reverse("inventory:shelf", args=[request.studio.slug])
    return f"{url}?{query}" if query else url


@require_http_methods(["GET", "POST"])
@in_studio()
def filters(request: StudioRequest) -> HttpResponse:
    """The filters that a person keeps and those that others share; the shelf sends a new one here."""
    form = FilterForm(request.POST or None)
    query = queries.kept_query(QueryDict((request.POST or request.GET).get("query", "")[:1000]))
    if request.method == "POST":
        require(request.membership, Role.MEMBER)
        if form.is_valid():
            try:
                kept = services.save_filter(request.studio, by=request.user, query=query, **form.cleaned_data)
            except ValidationError as error:
                form.add_error(None, ValidationError(error.messages))
            else:
                messages.success(request, f"Kept as “{kept}”. It stands above the shelf.")
                return redirect(_shelf_url(request, kept.query))
    context = {
        "form": form,
        "query": query,
        "filters": queries.saved_filters(request.studio, request.user),
        "may_write": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/finding/filters.html", context, status=422 if form.errors else 200)


def _filter(request: StudioRequest, pk: int) -> SavedFilter:
    """One that this person may change: their own, or a shared one for a keeper."""
    found = get_object_or_404(queries.saved_filters(request.studio, request.user), pk=pk)
    if found.by_id != request.user.pk and not request.membership.may(Role.KEEPER):
        raise PermissionDenied(f"“{found}” was kept by {found.by}: ask them or a keeper to change it.")
    return found


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def filter_change(request: StudioRequest, pk: int) -> HttpResponse:
    kept = _filter(request, pk)
    form = FilterForm(request.POST or None, initial={"name": kept.name, "shared": kept.shared})
    if form.is_valid():
        try:
            services.change_filter(kept, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, f"It is called “{kept}” now.")
            return redirect("inventory:filters", request.studio.slug)
    context = {"kept": kept, "form": form}
    return render(request, "inventory/finding/filter.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.MEMBER)
def filter_remove(request: StudioRequest, pk: int) -> HttpResponse:
    kept = _filter(request, pk)
    services.remove_filter(kept)
    messages.success(request, f"“{kept}” is not kept any more.")
    return redirect("inventory:filters", request.studio.slug)


def _many_form(request: StudioRequest, data: QueryDict | None) -> ManyForm:
    initial = {"what": request.GET.get("what", "")}
    return ManyForm(data, studio=request.studio, role=Role(request.membership.role), initial=initial)


def _ticked(request: StudioRequest) -> list[int]:
    found = [text for text in request.POST.getlist("chosen") if text.isascii() and text.isdigit() and len(text) < 10]
    return [int(text) for text in dict.fromkeys(found)]


@require_http_methods(["GET", "POST"])
@in_studio(Role.MEMBER)
def edit_many(request: StudioRequest) -> HttpResponse:
    """Tick what is to be changed and say how; a POST shows what would change and writes nothing."""
    if request.method == "POST":
        form = _many_form(request, request.POST)
        numbers = _ticked(request)
        if form.is_valid() and numbers and len(numbers) <= services.MOST_AT_ONCE:
            return _preview(request, form, numbers, new_key())
        return _choosing(request, form, numbers)
    return _choosing(request, _many_form(request, None), None)


def _choosing(request: StudioRequest, form: ManyForm, ticked: list[int] | None) -> HttpResponse:
    source = QueryDict(request.POST.get("query", "")[:1000]) if request.method == "POST" else request.GET
    # The deed has a place and a binder of its own.
    shelf = ShelfFilter(source, studio=request.studio, auto_id="filter_%s")
    chosen = shelf.chosen()
    rows = rows_of(request.studio, Filters(**chosen), request.user, services.MOST_AT_ONCE + 1)
    wrong = ""
    if ticked is not None and not ticked:
        wrong = "Nothing is ticked: tick what is to be changed."
    elif ticked is not None and len(ticked) > services.MOST_AT_ONCE:
        wrong = f"{len(ticked)} are ticked, and at most {services.MOST_AT_ONCE} go at once: take fewer."
    elif "what" in form.errors:
        wrong = " ".join(map(str, form.errors["what"]))
    kept = set(ticked) if ticked is not None else None
    query = queries.kept_query(source)
    context = {
        "form": form,
        "deed": form.chosen_deed(),
        "deeds": [
            (label, f"?{query}{'&' if query else ''}what={value}", value == form.chosen_deed())
            for value, label in form.fields["what"].choices  # type: ignore[attr-defined]  # a field of choices
            if value
        ],
        "shelf_form": shelf,
        "query": query,
        "rows": [(row, kept is None or row.number in kept) for row in rows[: services.MOST_AT_ONCE]],
        "too_many": len(rows) > services.MOST_AT_ONCE,
        "most": services.MOST_AT_ONCE,
        "wrong": wrong,
        # A handling level is worked out page by page, and is no part of this list.
        "level_left_out": bool(shelf.level_chosen),
        "edits": queries.latest_edits(request.studio) if request.membership.may(Role.TEACHER) else [],
    }
    return render(request, "inventory/finding/many.html", context, status=422 if form.errors or wrong else 200)


def _after(form: ManyForm) -> tuple[str, Any]:
    """What everything would say afterwards: in words, and as it is compared."""
    data, what = form.cleaned_data, form.what_chosen
    if what == "move":
        return str(data["place"]), data["place"].pk
    if what == "owner":
        kind, member, owner_class = form.owner_fields()
        words = Tube(owner_kind=kind, owner=member, owner_class=owner_class).whose_words
        return words, (kind, member.pk if member else None, owner_class)
    if what == "condition":
        return str(Condition(data["condition"]).label), data["condition"]
    if what == "archive":
        return "off the lists", None
    if what == "level":
        count = data["level"]
        return f"{count} tube{'' if count == 1 else 's'}" if count else "none", count
    if what == "series":
        return data["series"] or "none", data["series"]
    choices = dict(form.fields[what].choices)  # type: ignore[attr-defined]  # a field of choices
    return str(choices[data[what]]), data[what]


def _preview(
    request: StudioRequest, form: ManyForm, numbers: list[int], key: str, wrong: ValidationError | None = None
) -> HttpResponse:
    tubes = queries.chosen_tubes(request.studio, numbers)
    if not tubes:
        raise Http404("None of these tubes is on this shelf.")
    after, value = _after(form)
    if form.of_items:
        changes = queries.item_changes(request.studio, queries.items_of(tubes), form.what_chosen, after, value)
    else:
        changes = queries.tube_changes(tubes, form.what_chosen, after, value)
    context = {
        "form": form,
        "numbers": [tube.number for tube in tubes],
        "changes": changes,
        "count": sum(change.changes for change in changes),
        "words": dict(form.fields["what"].choices)[form.what_chosen],  # type: ignore[attr-defined]  # of choices
        "of_items": form.of_items,
        "key": key,
        "query": request.POST.get("query", "")[:1000],
        "wrong": wrong.messages if wrong else [],
    }
    return render(request, "inventory/finding/preview.html", context, status=422 if wrong else 200)


@require_POST
@in_studio(Role.MEMBER)
def edit_write(request: StudioRequest) -> HttpResponse:
    """Write what the preview showed, all of it or nothing; a second tap writes nothing more."""
    form = _many_form(request, request.POST)
    numbers = _ticked(request)
    if not form.is_valid() or not numbers or len(numbers) > services.MOST_AT_ONCE:
        return _choosing(request, form, numbers)
    key = request.POST.get("key", "")[:60]
    try:
        written = _write(request, form, numbers, key)
    except ValidationError as error:
        return _preview(request, form, numbers, new_key(), error)
    query = queries.kept_query(QueryDict(request.POST.get("query", "")[:1000]))
    _say(request, form, written, key)
    return redirect(_shelf_url(request, query))


def _write(request: StudioRequest, form: ManyForm, numbers: list[int], key: str) -> services.Written:
    data, what = form.cleaned_data, form.what_chosen
    tubes = queries.chosen_tubes(request.studio, numbers)
    if what == "archive":
        return services.archive_items(request.studio, queries.items_of(tubes), by=request.user, key=key)
    if form.of_items:
        given = {"level_tubes" if what == "level" else what: data[what]}
        return services.edit_paints(request.studio, queries.items_of(tubes), by=request.user, key=key, **given)
    return services.edit_tubes(
        request.studio,
        tubes,
        by=request.user,
        key=key,
        place=data["place"] if what == "move" else None,
        owner=form.owner_fields() if what == "owner" else None,
        condition=data["condition"] if what == "condition" else "",
        note=data["note"],
    )


def _say(request: StudioRequest, form: ManyForm, written: services.Written, key: str) -> None:
    one = written.count == 1
    thing = ("paint or material" if one else "paints and materials") if form.of_items else "tube" if one else "tubes"
    if written.repeated:
        messages.info(request, "That was written before already, so nothing was added.")
    elif not written.count:
        messages.info(request, "Everything was so already, so nothing was written.")
    else:
        undo = f"{reverse('inventory:edit_undo', args=[request.studio.slug])}?{urlencode({'key': key})}"
        each = "" if form.of_items else ", each with its entry"
        messages.success(request, f"{written.count} {thing} changed{each}.", extra_tags=undo)


@require_POST
@in_studio(Role.MEMBER)
def edit_undo(request: StudioRequest) -> HttpResponse:
    """Take an edit of many back, by correcting entries where tubes were changed."""
    key = request.GET.get("key", "")[:60]
    require(request.membership, queries.may_undo(request.studio, key))
    try:
        written = services.undo_edit(request.studio, key=key, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(
            request, f"Taken back for {written.count}. Entries of the ledger stay, with their corrections."
        )
    return redirect(_shelf_url(request))
