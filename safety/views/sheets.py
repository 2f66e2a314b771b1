"""Makers' sheets: which are missing, what they print, their files."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import FileResponse, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.models import Item
from safety import services
from safety.forms import LookAgainForm, SheetFileForm, SheetFilter, SheetForm
from safety.models import DataSheet, SheetFile
from safety.queries import sheets as rows
from safety.queries.facts import in_full
from safety.rules.pdf_bytes import too_large
from safety.services import files
from studio.access import StudioRequest, in_studio, require, within
from studio.models import Role
from studio.uploads import too_large_fields

# A list longer than this is cut, and says so: the filters narrow it down.
A_GAP = 200


@require_safe
@in_studio()
def sheets(request: StudioRequest) -> HttpResponse:
    """The gaps first: what has no sheet, what is to be looked at again, what is asked; then what is on file."""
    place, owner = request.GET.get("place", ""), request.GET.get("owner", "")
    found = rows.sheet_list(request.studio, place=place, owner=owner)
    form = SheetFilter({"place": place, "owner": owner}, places=found.places, owners=found.owners)
    if not form.is_valid():
        found = rows.sheet_list(request.studio)
        form = SheetFilter({}, places=found.places, owners=found.owners)
    gaps = [(name, gap, found.of(name)) for name, gap in rows.GAPS.items()]
    return render(
        request,
        "safety/sheets.html",
        {
            "form": form,
            "narrowed": form.is_valid() and any(form.cleaned_data.values()),
            "found": found,
            "gaps": [(name, gap, held[:A_GAP], len(held)) for name, gap, held in gaps],
            "lacking": len(found.of("none")),
            "brought": sum(1 for row in found.of("none") if row.brought_by),
            "may_change": request.membership.may(Role.TEACHER),
        },
    )


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def sheet_add(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Item.objects, request.studio), pk=pk)
    initial = {"jurisdiction": request.studio.jurisdiction}
    form = SheetForm(
        request.POST if request.method == "POST" else None,
        request.FILES if request.method == "POST" else None,
        initial=initial,
    )
    _tell_too_large(request, form)
    if form.is_valid():
        try:
            sheet = services.record_sheet(found, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"The sheet is recorded: {sheet}.")
            if any(rows.open_questions([sheet], [_whole(sheet)])[sheet.pk]):
                messages.warning(request, "Something in it does not fit: the questions stand beside the sheet below.")
            return redirect("safety:item", request.studio.slug, found.pk)
    context = {
        "form": form,
        "item": found,
        "title": f"A maker's sheet for {in_full(found)}",
        "why": "Copy what section 2 of the maker's safety data sheet prints. Nothing is worked out from it and nothing "
        "is corrected: what you do not copy is not known here.",
        "has_file": True,
    }
    return render(request, "safety/form.html", context, status=422 if form.errors else 200)


def _whole(sheet: DataSheet) -> Item:
    return Item.objects.select_related("paint", "material").get(pk=sheet.item_id)


def _tell_too_large(request: StudioRequest, form: SheetForm | SheetFileForm) -> None:
    """A file that was let go while it came is told on its field, not as one that is missing."""
    if "file" in too_large_fields(request):
        form.errors.pop("file", None)
        form.add_error("file", too_large(None))


@require_http_methods(["GET", "POST"])
@in_studio()
def sheet_file(request: StudioRequest, pk: int) -> HttpResponseBase:
    """Fetch the maker's file of a sheet; or, for who records sheets, add it to one that has none."""
    sheet = _sheet(request, pk)
    if request.method == "POST":
        return _attach(request, sheet)
    kept = SheetFile.objects.filter(sheet=sheet).first()
    if kept is None:
        if not request.membership.may(Role.TEACHER):
            messages.warning(request, "No file is kept for this sheet.")
            return redirect("safety:item", request.studio.slug, sheet.item_id)
        return _file_page(request, sheet, SheetFileForm())
    response = as_download(kept, sheet)
    if response is None:
        messages.error(
            request,
            f"The file of “{sheet}” is not in the private folder, or is not as it was stored. Tell whoever runs the "
            "service; the record itself stands.",
        )
        return redirect("safety:item", request.studio.slug, sheet.item_id)
    return response


def as_download(kept: SheetFile, sheet: DataSheet) -> FileResponse | None:
    """The kept file as a download that no browser opens by itself; None where it is not as it was stored."""
    opened = files.opened(kept)
    if opened is None:
        return None
    response = FileResponse(opened, as_attachment=True, filename=download_name(sheet), content_type="application/pdf")
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox; frame-ancestors 'none'"
    return response


def download_name(sheet: DataSheet) -> str:
    """A name of ours, of Latin letters and digits: what the file was called when it came is shown, never sent back."""
    dated = sheet.revised_on.isoformat() if sheet.revised_on else "undated"
    return f"{slugify(sheet.product)[:60] or 'sheet'}-{dated}.pdf"


def _attach(request: StudioRequest, sheet: DataSheet) -> HttpResponse:
    require(request.membership, Role.TEACHER)
    form = SheetFileForm(request.POST, request.FILES)
    _tell_too_large(request, form)
    if form.is_valid():
        try:
            services.attach(sheet, form.cleaned_data["file"], by=request.user)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "The file is kept. Only the people of this studio can fetch it.")
            return redirect("safety:item", request.studio.slug, sheet.item_id)
    return _file_page(request, sheet, form)


def _file_page(request: StudioRequest, sheet: DataSheet, form: SheetFileForm) -> HttpResponse:
    context = {
        "form": form,
        "item": sheet.item,
        "title": "The file of a sheet",
        "why": f"The maker's own file of “{sheet}”.",
        "has_file": True,
    }
    return render(request, "safety/form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def sheet_looked(request: StudioRequest, pk: int) -> HttpResponse:
    """Say that no newer revision is out, and when to look again."""
    sheet = _sheet(request, pk)
    form = LookAgainForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            services.look_again(sheet, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"You looked again today: {sheet} is still the newest.")
            return redirect("safety:item", request.studio.slug, sheet.item_id)
    why = (
        f"Say this when you made sure today, at the maker or the supplier, that no newer revision than “{sheet}” is "
        "out. If there is one, record it instead."
    )
    context = {"form": form, "item": sheet.item, "title": "Still the newest revision", "why": why}
    return render(request, "safety/form.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.TEACHER)
def sheet_printed_so(request: StudioRequest, pk: int) -> HttpResponse:
    """Answer a question about a sheet: it is printed so."""
    sheet = _sheet(request, pk)
    try:
        services.say_printed_so(sheet, question=request.POST.get("question", ""), by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "Kept: it is printed so. The record is as it was.")
    return redirect("safety:item", request.studio.slug, sheet.item_id)


def _sheet(request: StudioRequest, pk: int) -> DataSheet:
    found: QuerySet[DataSheet] = DataSheet.objects.of(request.studio).select_related("item")
    return get_object_or_404(found, pk=pk)
