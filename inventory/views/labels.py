"""Sheets of labels with codes for tubes and places."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from inventory.forms.barcodes import SheetForm
from inventory.forms.shelf import ShelfFilter
from inventory.printing.labels import BY_KEY, FINEST_MODULE_MM, SHEETS, Label, LabelSheet, module_mm, pages_of
from inventory.printing.labels import render as draw
from inventory.queries.shelf import Filters
from inventory.queries.shelf_labels import MOST, place_labels, tube_labels
from studio import access
from studio.access import StudioRequest


def _asked(request: StudioRequest) -> tuple[SheetForm, ShelfFilter]:
    data = request.GET.copy() if "sheet" in request.GET else None
    if data is not None:
        data.setdefault("what", "tubes")
    return SheetForm(data, initial=request.GET.dict()), ShelfFilter(request.GET, studio=request.studio)


def _sheet(form: SheetForm) -> LabelSheet:
    return BY_KEY.get(form.cleaned_data.get("sheet", ""), SHEETS[0]) if form.is_bound else SHEETS[0]


def _labels(request: StudioRequest, form: SheetForm, shelf: ShelfFilter) -> list[Label]:
    """One more than fits is fetched, so that the page can say so."""
    data = form.cleaned_data if form.is_bound else {}
    chosen = shelf.chosen()
    # The codes hold whole addresses, so that any camera opens the page.
    base = request.build_absolute_uri("/").removesuffix("/")
    shelf_url = reverse("inventory:shelf", args=[request.studio.slug])
    if data.get("what") == "places":
        return place_labels(request.studio, chosen["place"], lambda place: f"{base}{shelf_url}?place={place.pk}")
    tube_url = reverse("inventory:tube", args=[request.studio.slug, 0]).removesuffix("0/")
    filters = Filters(**chosen, numbers=data.get("numbers"))
    return tube_labels(request.studio, filters, request.user, lambda row: f"{base}{tube_url}{row.number}/", MOST + 1)


@require_safe
@access.in_studio()
def labels(request: StudioRequest) -> HttpResponse:
    """Choose what to print and on which sheet; how many sheets that makes is told before anything is printed."""
    form, shelf = _asked(request)
    fits = not form.is_bound or form.is_valid()
    found = _labels(request, form, shelf) if fits else []
    sheet = _sheet(form) if fits else SHEETS[0]
    start = form.cleaned_data.get("start", 1) if form.is_bound and fits else 1
    pages = len(list(pages_of(sheet, found[:MOST], start)))
    fine = bool(found) and module_mm(sheet, found[0].address) < FINEST_MODULE_MM
    query = request.GET.copy()
    query.setdefault("sheet", sheet.key)
    context = {
        "form": form,
        "shelf_form": shelf,
        "count": min(len(found), MOST),
        "too_many": len(found) > MOST,
        "most": MOST,
        "pages": pages,
        "sheet": sheet,
        "fine": fine,
        "pdf": f"{reverse('inventory:labels_pdf', args=[request.studio.slug])}?{query.urlencode()}",
        "sample": found[:3],
    }
    return render(request, "inventory/labels/page.html", context)


@require_safe
@access.in_studio()
def labels_pdf(request: StudioRequest) -> HttpResponse:
    form, shelf = _asked(request)
    if form.is_bound and not form.is_valid():
        raise Http404("These labels cannot be printed so: choose them again on the page Print labels.")
    found = _labels(request, form, shelf)[:MOST]
    if not found:
        raise Http404("There is nothing to print: choose tubes or places on the page Print labels.")
    data = form.cleaned_data if form.is_bound else {}
    pdf = draw(
        found,
        _sheet(form),
        start=data.get("start", 1),
        cut_marks=bool(data.get("marks")),
        studio=str(request.studio),
        made_on=timezone.localdate(),
    )
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="labels.pdf"'
    return answer
