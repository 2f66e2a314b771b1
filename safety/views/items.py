"""The safety page of one paint or material: what is known of it, by whom, since when, and what is not."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.models import Item
from safety import services
from safety.forms import HangForm, LabelForm, WithdrawForm
from safety.models import DataSheet, LabelStatement
from safety.models.data_sheet import Stated
from safety.queries import facts as known
from safety.queries import levels as placed
from safety.queries import notices as rows
from safety.queries.sheets import Asked, questions_of, sheets_of
from safety.rules.facts import Trust
from safety.rules.kinds_of_work import sections
from safety.rules.notice import NoticeContent
from safety.views.notices import page_url
from studio.access import StudioRequest, in_studio, within
from studio.models import Role
from studio.printing.paper import usual_paper


@require_safe
@in_studio()
def item(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(known.items(request.studio), pk=pk)
    (standing,) = rows.standings(request.studio, [found])
    made = standing.says
    level = placed.placings(request.studio, [found], {found.pk: standing.facts})[found.pk]
    return render(
        request,
        "safety/item.html",
        {
            "item": found,
            "in_full": known.in_full(found),
            "standing": standing,
            "level": level,
            "earth": next(iter(sorted(standing.facts.shades)), ""),
            "lists": known.lists_of(request.studio),
            "made": made,
            "known": _grouped(made),
            "unknown_hazards": made.trust is Trust.UNKNOWN,
            "rows": standing.facts.substances,
            "current_sheet": _pk(known.current_sheets([found]).get(found.pk)),
            "current_label": _pk(known.current_labels([found]).get(found.pk)),
            "sheets": _sheets(found),
            # What the form implies stands among the cautions already.
            "works": [one for one in sections(standing.facts) if not one.implied],
            "labels": LabelStatement.objects.filter(item=found).select_related("by", "withdrawn_by"),
            "notices": rows.notices_of(found),
            "paper": usual_paper(request.studio.jurisdiction),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


def _sheets(found: Item) -> list[tuple[DataSheet, tuple[Asked, ...]]]:
    """Every record of a sheet with what is asked about it, the newest revision first."""
    kept = list(sheets_of(found))
    asked = questions_of(kept, [found]) if kept else {}
    return [(one, asked[one.pk]) for one in kept]


def _pk(record: Stated | None) -> int | None:
    return record.pk if record else None


def _grouped(made: NoticeContent) -> list[tuple[str, list[Any]]]:
    """The known lines under the words of their source, the most trusted first."""
    titles = {
        Trust.SHEET: "The maker's safety data sheet",
        Trust.LABEL: "The label",
        Trust.PUBLISHED: "Published lists, about the pigment or ingredient as a substance",
        Trust.UNKNOWN: "Not known, or not a published classification",
    }
    return [(title, [one for one in made.known if one.trust is trust]) for trust, title in titles.items()]


def _form_page(
    request: StudioRequest, found: Item, form: LabelForm | HangForm | WithdrawForm, title: str, **more: Any
) -> HttpResponse:
    context = {"form": form, "item": found, "title": title, **more}
    return render(request, "safety/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def label_add(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Item.objects, request.studio), pk=pk)
    form = LabelForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            services.record_label_statement(found, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "The label's words are recorded.")
            return redirect("safety:item", request.studio.slug, found.pk)
    why = "Copy what the container itself says about hazards, word for word, with the codes and signs that it prints."
    return _form_page(request, found, form, f"What the label of {known.in_full(found)} says", why=why)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def sheet_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    return _withdraw(request, DataSheet.objects.of(request.studio), pk)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def label_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    return _withdraw(request, LabelStatement.objects.of(request.studio), pk)


def _withdraw(request: StudioRequest, records: "QuerySet[Stated]", pk: int) -> HttpResponse:
    record = get_object_or_404(records.select_related("item"), pk=pk)
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            services.withdraw(record, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "Withdrawn. The record stays on the page, with your reason.")
            return redirect("safety:item", request.studio.slug, record.item_id)
    why = f"“{record}” will no longer count. It stays on the page, with who withdrew it and why."
    return _form_page(request, record.item, form, "Withdraw a record", why=why, action="Withdraw")


@require_POST
@in_studio(Role.TEACHER)
def make(request: StudioRequest, pk: int) -> HttpResponse:
    """Make a notice from what is known now."""
    found = get_object_or_404(within(Item.objects, request.studio), pk=pk)
    notice = services.make_notice(found, by=request.user, page_url=page_url(request, found))
    messages.success(
        request, f"The notice for {found} is made: {notice.fingerprint}. Print it, and say where it hangs."
    )
    if request.POST.get("next") == "notices":
        return redirect("safety:notices", request.studio.slug)
    return redirect("safety:item", request.studio.slug, found.pk)
