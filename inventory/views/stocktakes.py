"""Counting a place: on the phone, on paper, by several people, and posted when it is done."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms import stocktakes as forms
from inventory.forms.tubes import new_key
from inventory.labels.counted import FoundOne
from inventory.models import FoundLine, Stocktake, Tube, TubeState
from inventory.printing import count_sheet
from inventory.queries import stocktakes as queries
from inventory.queries import tubes as tube_queries
from inventory.services import stocktakes as services
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role
from studio.printing.paper import PAPERS, usual_paper

SHEET_PAGE = 100


def _stocktake(request: StudioRequest, pk: int) -> Stocktake:
    found = get_object_or_404(queries.stocktakes(request.studio), pk=pk)
    found.studio = request.studio  # at hand already
    return found


@require_http_methods(["GET", "POST"])
@access.in_studio()
def stocktakes(request: StudioRequest) -> HttpResponse:
    """The counts that run, those that were, and a form to begin one."""
    if request.method == "POST":
        require(request.membership, Role.MEMBER)
    loose = Tube.objects.of(request.studio).in_use().filter(place=None).count()
    form = forms.StartForm(request.POST or None, studio=request.studio, loose=loose, initial=_wanted(request))
    if form.is_valid():
        try:
            begun = services.start(
                request.studio, place=form.chosen(), by=request.user, blind=form.cleaned_data["blind"]
            )
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            return redirect("inventory:stocktake", request.studio.slug, begun.pk)
    running = list(queries.open_stocktakes(request.studio)[:50])
    context = {
        "running": [(each, queries.progress(each)) for each in running],
        "past": queries.stocktakes(request.studio).exclude(posted_at=None, dropped_at=None)[:30],
        "form": form,
        "may_count": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/stocktakes/list.html", context, status=422 if form.errors else 200)


def _wanted(request: StudioRequest) -> dict[str, str]:
    return {"place": request.GET.get("place", "")}


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 8 else 0


@require_safe
@never_cache
@access.in_studio()
def stocktake(request: StudioRequest, pk: int) -> HttpResponse:
    """What is to be counted, with what was found so far."""
    return _page(request, _stocktake(request, pk))


def _page(
    request: StudioRequest, stocktake: Stocktake, *, wrong: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    is_open = stocktake.posted_at is None and stocktake.dropped_at is None
    shown = request.GET.get("show", "")
    shown = shown if shown in queries.SHOWN else ("left" if is_open else "counted")
    start = _number(request.GET.get("from"))
    rows = queries.rows(stocktake, shown, start, queries.PAGE + 1)
    gone = stocktake.place is not None and stocktake.place.removed_at is not None
    context = {
        "stocktake": stocktake,
        "is_open": is_open,
        "may_count": is_open and request.membership.may(Role.MEMBER),
        "may_post": is_open and request.membership.may(Role.TEACHER),
        "sees_books": not stocktake.blind or not is_open,
        "progress": queries.progress(stocktake),
        "shown": shown,
        "groups": _groups(rows[: queries.PAGE]),
        "pager": _pager(shown, start, more=len(rows) > queries.PAGE),
        "unlisted": queries.unlisted(stocktake),
        "found": [(line, queries.number_words(line)) for line in queries.found_lines(stocktake)],
        "gone": gone and is_open,
        "place_form": forms.OtherPlaceForm(studio=request.studio) if gone and is_open else None,
        "one": forms.FoundOneForm(auto_id="one_%s"),
        "key": new_key()[:20],
        "wrong": wrong or {},
    }
    return render(request, "inventory/stocktakes/page.html", context, status=status)


def _groups(rows: list[queries.Row]) -> list[tuple[str, int, list[queries.Row]]]:
    """The rows by paint, in their order."""
    groups: list[tuple[str, int, list[queries.Row]]] = []
    for row in rows:
        if not groups or groups[-1][1] != row.tube.item_id:
            groups.append((row.name, row.tube.item_id, []))
        groups[-1][2].append(row)
    return groups


def _pager(shown: str, start: int, *, more: bool) -> dict[str, str]:
    def at(place: int) -> str:
        return f"?{urlencode({'show': shown, 'from': place})}"

    return {
        "previous": at(max(0, start - queries.PAGE)) if start else "",
        "next": at(start + queries.PAGE) if more else "",
    }


def _back(request: StudioRequest, pk: int, anchor: str = "") -> HttpResponse:
    url = reverse("inventory:stocktake", args=[request.studio.slug, pk])
    shown = request.POST.get("show", "")
    query = f"?{urlencode({'show': shown})}" if shown in queries.SHOWN else ""
    return redirect(f"{url}{query}{anchor}")


@require_POST
@access.in_studio(Role.MEMBER)
def count(request: StudioRequest, pk: int) -> HttpResponse:
    """Write what was found of one container: a tap on a button, or typed words."""
    stocktake = _stocktake(request, pk)
    form = forms.FoundOneForm(request.POST)
    words, number = request.POST.get("found", ""), request.POST.get("number", "")
    if not form.is_valid():
        return _page(request, stocktake, wrong=_wrong(number, words, _first(form)), status=422)
    try:
        tube = _tube(request, form.cleaned_data["number"])
        found = _found(tube, forms.read_of(tube, form.cleaned_data["found"]), stocktake)
        line = services.count(stocktake, [found], by=request.user, key=form.cleaned_data["key"])[0]
    except ValidationError as error:
        return _page(request, stocktake, wrong=_wrong(number, words, " ".join(error.messages)), status=422)
    line.tube = tube
    messages.success(request, f"{tube}: {queries.line_words(line)}.")
    return _back(request, pk)


def _wrong(number: str, words: str, message: str) -> dict[str, Any]:
    return {"number": number, "found": words, "message": message}


def _first(form: Any) -> str:
    return " ".join(str(error) for errors in form.errors.values() for error in errors)


def _tube(request: StudioRequest, number: int) -> Tube:
    tube = tube_queries.tube(request.studio, number)
    if tube is None:
        raise ValidationError(f"There is no tube {number} in this studio: look at the number again, or add it as new.")
    return tube


def _found(tube: Tube, read: FoundOne, stocktake: Stocktake) -> services.Found:
    if tube.state == TubeState.EMPTY and read.seen and read.left_milli is None:
        raise ValidationError(f"{tube} is finished in the books: write how much is left in it, or leave it out.")
    return services.Found(
        tube,
        seen=bool(read.seen),
        state=read.state,
        left_milli=read.left_milli,
        is_estimate=read.estimated,
        condition=read.condition,
    )


@require_POST
@access.in_studio(Role.MEMBER)
def count_paint(request: StudioRequest, pk: int) -> HttpResponse:
    """Write what was counted of a paint: "3 sealed, 1 about half"."""
    stocktake = _stocktake(request, pk)
    form = forms.PaintCountForm(request.POST, studio=request.studio)
    wrong = {"item": _number(request.POST.get("item")), "counted": request.POST.get("counted", "")}
    if not form.is_valid():
        return _page(request, stocktake, wrong={**wrong, "message": _first(form)}, status=422)
    data = form.cleaned_data
    try:
        lines, extra = services.count_paint(stocktake, data["item"], data["counted"], by=request.user, key=data["key"])
    except ValidationError as error:
        return _page(request, stocktake, wrong={**wrong, "message": " ".join(error.messages)}, status=422)
    missing = sum(not line.seen for line in lines)
    said = [f"{data['item']}: {len(lines) - missing} found"]
    if missing:
        said.append(f"{missing} not there")
    if extra:
        said.append(f"{sum(line.containers for line in extra)} that the books do not have")
    notes = " ".join(doubt.message for doubt in data["counted"].doubts)
    messages.success(request, f"{', '.join(said)}. {notes}".strip())
    return _back(request, pk)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.MEMBER)
def extra(request: StudioRequest, pk: int) -> HttpResponse:
    """Write down containers that stand here and are not in the books."""
    stocktake = _stocktake(request, pk)
    form = forms.ExtraForm(request.POST or None, studio=request.studio)
    if form.is_valid():
        data = form.cleaned_data
        try:
            services.find(
                stocktake,
                data["item"],
                containers=data["count"],
                nominal_milli=data["size"].milli,
                unit=data["size"].unit,
                state=data["state"],
                left_milli=data["left"].milli if data["left"] else None,
                by=request.user,
                key=data["key"],
            )
        except ValidationError as error:
            form.refuse(error)
        else:
            messages.success(request, f"{data['item']}: written down; received when the count is posted.")
            return _back(request, pk, "#also")
    context = {"stocktake": stocktake, "form": form}
    return render(request, "inventory/stocktakes/extra.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.MEMBER)
def take_off(request: StudioRequest, pk: int) -> HttpResponse:
    """Take back a line of what was found beside the books."""
    stocktake = _stocktake(request, pk)
    line = get_object_or_404(FoundLine.objects.filter(stocktake=stocktake), pk=_number(request.POST.get("line")))
    _try(request, lambda: services.take_off(stocktake, line), f"{line.item} is off the list of what was found.")
    return _back(request, pk, "#also")


def _try(request: StudioRequest, deed: Any, words: str) -> bool:
    try:
        deed()
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return False
    messages.success(request, words)
    return True


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.MEMBER)
def sheet(request: StudioRequest, pk: int) -> HttpResponse:
    """Type a printed sheet back, in its order; everything typed stays until all of it can be read."""
    stocktake = _stocktake(request, pk)
    start = _number(request.GET.get("from"))
    rows = queries.rows(stocktake, "all", start, SHEET_PAGE + 1)
    form = forms.SheetForm(request.POST or None, rows=rows[:SHEET_PAGE])
    more = len(rows) > SHEET_PAGE
    if form.is_valid() and (found := _sheet_lines(request, stocktake, form)) is not None:
        try:
            lines = services.count(stocktake, found, by=request.user, key=form.cleaned_data["key"][:40])
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, f"{len(lines)} line{'' if len(lines) == 1 else 's'} written down.")
            if more:
                url = reverse("inventory:stocktake_sheet", args=[request.studio.slug, pk])
                return redirect(f"{url}?from={start + SHEET_PAGE}")
            return redirect("inventory:stocktake", request.studio.slug, pk)
    context = {
        "stocktake": stocktake,
        "form": form,
        "start": start,
        "examples": forms.EXAMPLES,
        "more": more,
        "sees_books": not stocktake.blind,
    }
    return render(request, "inventory/stocktakes/sheet.html", context, status=422 if form.errors else 200)


def _sheet_lines(request: StudioRequest, stocktake: Stocktake, form: forms.SheetForm) -> list[services.Found] | None:
    """What the lines say; None where one of them cannot be read, which the form then shows."""
    found: dict[int, services.Found] = {}
    for field, number, words in form.typed():
        try:
            tube = form.rows[int(number)].tube if field.startswith("tube") else _tube(request, _typed_number(number))
            if tube.pk in found:
                raise ValidationError(f"No. {tube.number} stands on this page twice: leave one line empty.")
            found[tube.pk] = _found(tube, forms.read_of(tube, words), stocktake)
        except ValidationError as error:
            form.add_error(field, error)
    if not found and not form.errors:
        form.add_error(None, "Nothing is typed yet: write what the sheet says beside the numbers.")
    return None if form.errors else list(found.values())


def _typed_number(text: str) -> int:
    number = _number(text.strip().lower().removeprefix("no").strip(" ."))
    if not number:
        raise ValidationError(f"“{text}” is no tube number: enter digits such as 12.")
    return number


@require_safe
@access.in_studio()
def sheet_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The count sheet for a clipboard."""
    stocktake = _stocktake(request, pk)
    lines = tuple(
        count_sheet.SheetLine(
            number=row.tube.number,
            name=row.tube.item.name,
            codes=", ".join(filter(None, (row.kind, row.codes))),
            size=row.tube.nominal,
            book=row.short_book,
            lent=f"{row.lent_to[:1].lower()}{row.lent_to[1:]}",
        )
        for row in queries.rows(stocktake)
    )
    content = count_sheet.CountSheet(
        studio=str(request.studio),
        place=str(stocktake.place or "what stands at no known place"),
        made_on=timezone.localdate(),
        lines=lines,
        blind=stocktake.blind,
    )
    paper = request.GET.get("paper", "")
    data = count_sheet.render(content, page_size=paper if paper in PAPERS else usual_paper(request.studio.jurisdiction))
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="count-{stocktake.pk}.pdf"'
    response["Cache-Control"] = "no-store"
    return response


@require_safe
@never_cache
@access.in_studio(Role.TEACHER)
def differences(request: StudioRequest, pk: int) -> HttpResponse:
    """What posting would write, line by line, before it is posted."""
    return _differences(request, _stocktake(request, pk), forms.PostForm())


def _differences(request: StudioRequest, stocktake: Stocktake, form: forms.PostForm, status: int = 200) -> HttpResponse:
    decided = queries.differences(stocktake)
    gone = stocktake.place is not None and stocktake.place.removed_at is not None
    context = {
        "stocktake": stocktake,
        "is_open": stocktake.posted_at is None and stocktake.dropped_at is None,
        "changing": [each for each in decided if each.kind is not None],
        "missing": [each for each in decided if each.kind is None and not each.line.seen],
        "standing": [each for each in decided if each.is_left_as_it_is],
        "same": sum(each.is_same for each in decided),
        "found": [(line, queries.number_words(line)) for line in queries.found_lines(stocktake)],
        "progress": queries.progress(stocktake),
        "form": form,
        "gone": gone,
        "place_form": forms.OtherPlaceForm(studio=request.studio) if gone else None,
    }
    return render(request, "inventory/stocktakes/differences.html", context, status=status)


@require_POST
@access.in_studio(Role.TEACHER)
def post(request: StudioRequest, pk: int) -> HttpResponse:
    """Write the differences to the ledger: all or nothing, once."""
    stocktake = _stocktake(request, pk)
    form = forms.PostForm(request.POST)
    if not form.is_valid():
        return _differences(request, stocktake, form, 422)
    try:
        done = services.post(stocktake, by=request.user, **form.cleaned_data)
    except ValidationError as error:
        for field, errors in error.error_dict.items():
            form.add_error(field if field in form.fields else None, ValidationError(errors))
        return _differences(request, stocktake, form, 422)
    if done.again:
        messages.info(request, f"It was posted by {stocktake.posted_by} already, so nothing was added.")
    else:
        entries = "1 entry" if done.entries == 1 else f"{done.entries} entries"
        more = f", {done.received} received" if done.received else ""
        messages.success(request, f"Posted: {entries} written{more}. What is wrong is put right on a tube's own page.")
    return redirect("inventory:stocktake", request.studio.slug, pk)


@require_POST
@access.in_studio(Role.TEACHER)
def drop(request: StudioRequest, pk: int) -> HttpResponse:
    """Give the count up."""
    stocktake = _stocktake(request, pk)
    _try(request, lambda: services.drop(stocktake), "The count was dropped; nothing was posted.")
    return redirect("inventory:stocktakes", request.studio.slug)


@require_POST
@access.in_studio(Role.MEMBER)
def place(request: StudioRequest, pk: int) -> HttpResponse:
    """Say where the counted things stand now that their place was taken away."""
    stocktake = _stocktake(request, pk)
    form = forms.OtherPlaceForm(request.POST, studio=request.studio)
    if form.is_valid():
        chosen = form.cleaned_data["place"]
        _try(request, lambda: services.put_at(stocktake, chosen, by=request.user), f"This count is of {chosen} now.")
    else:
        messages.error(request, "Choose one of the places: that one was taken away meanwhile.")
    return redirect("inventory:stocktake", request.studio.slug, pk)
