"""Lists on their way in, step by step, and the shelf on its way out."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.exchange import FileRefusedError, TooLongError, write_csv, write_xlsx
from inventory.exchange.colour_tables import MEASUREMENTS, SHEETS, WINDOW_TESTS
from inventory.forms.exchange import ColumnsForm, ExportForm, UploadForm
from inventory.models import BatchState, ImportBatch, ImportRow, RowState
from inventory.queries import imports as rows
from inventory.queries.colour_tables import measurement_rows, window_test_rows
from inventory.queries.taking_back import Back, may_be_taken_back, what_goes_back
from inventory.services import imports as services
from studio.access import StudioRequest, in_studio, require
from studio.models import Role

A_PAGE = 20
IMPORTS_A_PAGE = 30
# Without a script each step is a press of a button, so it is a longer one.
A_LONG_STEP = 5000
# What can leave beside the shelf, and as a sheet of what name.
COLOUR_TABLES = {
    MEASUREMENTS: (SHEETS[MEASUREMENTS], measurement_rows),
    WINDOW_TESTS: (SHEETS[WINDOW_TESTS], window_test_rows),
}
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
EXAMPLE = (
    ("Name", "Binder", "Pigments", "Lightfastness", "Opacity", "Maker", "Code", "Size", "Sealed", "Open", "Left",
     "Place", "Notes"),
    ("Ultramarine Blue", "oil", "PB29", "ASTM I", "transparent", "", "004", "37 ml", "2", "1", "about half",
     "Oil shelf", ""),
    ("Titanium White", "oil", "PW6", "ASTM I", "opaque", "", "", "200 ml", "1", "0", "", "Oil shelf", "for the class"),
    ("Sap Green", "watercolour", "PG7, PY150", "blue wool 7-8", "transparent", "", "", "15 ml", "1", "", "", "Box 2",
     ""),
)  # fmt: skip


def _batch(request: StudioRequest, pk: int) -> ImportBatch:
    return get_object_or_404(ImportBatch.objects.select_related("studio", "by"), pk=pk, studio=request.studio)


def _page_of(batch: ImportBatch) -> HttpResponse:
    """The page where this list has got to."""
    names = {BatchState.MAPPING: "import_columns", BatchState.READING: "import_reading"}
    return redirect(f"inventory:{names.get(BatchState(batch.state), 'import')}", batch.studio.slug, batch.pk)


def _refused(request: StudioRequest, error: ValidationError) -> None:
    messages.error(request, " ".join(error.messages))


@require_http_methods(["GET", "POST"])
@in_studio()
def imports(request: StudioRequest) -> HttpResponse:
    """The lists that were given, and the way to give another."""
    form = UploadForm(request.POST, request.FILES) if request.method == "POST" else UploadForm()
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
        if form.is_valid():
            try:
                return _page_of(_begin(request, form.cleaned_data))
            except FileRefusedError as error:
                form.add_error("file" if form.cleaned_data.get("file") else "text", str(error))
    page = Paginator(rows.imports(request.studio), IMPORTS_A_PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "may_change": request.membership.may(Role.TEACHER)}
    return render(request, "inventory/exchange/imports.html", context)


def _begin(request: StudioRequest, data: dict[str, Any]) -> ImportBatch:
    if file := data.get("file"):
        return services.begin(
            request.studio, by=request.user, data=file.read(), file_name=file.name, encoding=data["encoding"]
        )
    return services.begin_pasted(request.studio, by=request.user, text=data["text"])


@require_safe
@in_studio()
def example(request: StudioRequest) -> HttpResponse:
    return _file(write_csv(EXAMPLE, bom=True), "text/csv; charset=utf-8", "example.csv")


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def columns(request: StudioRequest, pk: int) -> HttpResponse:
    """Say what each column holds."""
    batch = _batch(request, pk)
    if batch.state not in (BatchState.MAPPING, BatchState.READING, BatchState.READY) or batch.colour_table:
        return _page_of(batch)
    form = ColumnsForm(batch, request.POST or None)
    if form.is_valid():
        try:
            batch = services.set_columns(
                batch, form.mapping(), form.settings(), encoding=form.cleaned_data.get("encoding", "")
            )
        except ValidationError as error:
            form.take_errors(error)
        else:
            services.read_some(batch)
            return _page_of(batch)
    context = {
        "batch": batch,
        "form": form,
        "columns": list(zip(form.columns, rows.first_rows(batch), strict=True)),
        "row_count": batch.rows.count(),
        "source": batch.settings.get("source"),
    }
    return render(request, "inventory/exchange/columns.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def reading(request: StudioRequest, pk: int) -> HttpResponse:
    """Read the rows in steps; the page may be left and found again."""
    batch = _batch(request, pk)
    by_script = bool(getattr(request, "htmx", False))
    if request.method == "POST" and batch.state == BatchState.READING:
        services.read_some(batch, limit=services.A_STEP if by_script else A_LONG_STEP)
    if batch.state != BatchState.READING:
        answer = _page_of(batch)
        if not by_script:
            return answer
        return HttpResponse(headers={"HX-Redirect": answer["Location"]})
    template = "inventory/exchange/progress.html" if by_script else "inventory/exchange/reading.html"
    return render(request, template, {"batch": batch, "progress": services.progress(batch)})


@require_safe
@in_studio(Role.TEACHER)
def preview(request: StudioRequest, pk: int) -> HttpResponse:
    """What was understood beside what was typed, the doubtful rows first; afterwards, what was added."""
    batch = _batch(request, pk)
    if batch.state in (BatchState.MAPPING, BatchState.READING):
        return _page_of(batch)
    counts = rows.state_counts(batch)
    state = request.GET.get("state", "")
    if state not in {one.state for one in counts}:
        state = counts[0].state if counts else ""
    page = Paginator(batch.rows.filter(state=state), A_PAGE).get_page(request.GET.get("page"))
    ready = batch.state == BatchState.READY
    context = {
        "batch": batch,
        "counts": counts,
        "state": state,
        "state_label": RowState(state).label if state else "",
        "page": page,
        "rows": rows.shown_rows(batch, page),
        "plan": rows.plan(batch) if ready else None,
        "result": services.taken_in(batch) if batch.state == BatchState.COMMITTED else None,
        "ready": ready,
        "of_colours": batch.colour_table,
        "drawing": services.drawing(batch) if batch.drawn_up_to is not None else None,
        "may_take_back": may_be_taken_back(batch),
        "back": batch.settings.get("back"),
        "source": batch.settings.get("source") if batch.state in (BatchState.READY, BatchState.DROPPED) else None,
    }
    return render(request, "inventory/exchange/preview.html", context)


@require_POST
@in_studio(Role.TEACHER)
def row(request: StudioRequest, pk: int, row_pk: int) -> HttpResponse:
    """Answer what a row asks, leave it out, or ask again."""
    batch = _batch(request, pk)
    found = get_object_or_404(ImportRow.objects.select_related("batch__studio"), batch=batch, pk=row_pk)
    deed = request.POST.get("do", "answer")
    try:
        if deed == "leave-out":
            services.leave_out(found)
        elif deed == "ask-again":
            services.ask_again(found)
        else:
            _answer(request, found)
    except ValidationError as error:
        _refused(request, error)
    query = urlencode({"state": request.POST.get("state", ""), "page": request.POST.get("page", "1")})
    return redirect(f"{reverse('inventory:import', args=[batch.studio.slug, batch.pk])}?{query}#rows")


def _answer(request: StudioRequest, found: ImportRow) -> None:
    """Each question of the form: a text typed instead of the cell counts before a choice."""
    answered = 0
    data = request.POST
    for number in range(len(found.doubts)):
        key, text, chosen = (data.get(f"{part}-{number}") for part in ("key", "typed", "choice"))
        if not key or (not text and chosen is None):
            continue
        alike = data.get(f"alike-{number}") == "yes"
        answered += services.choose(found, key=key, value=text or chosen or "", alike=alike, typed=bool(text))
    if answered:
        messages.success(request, f"{answered} row{'' if answered == 1 else 's'} read again with your answer.")
    else:
        messages.warning(request, f"Line {found.line}: choose an answer, or type the cell again.")


@require_POST
@in_studio(Role.TEACHER)
def leave_out_errors(request: StudioRequest, pk: int) -> HttpResponse:
    batch = _batch(request, pk)
    try:
        left = services.leave_out_errors(batch)
    except ValidationError as error:
        _refused(request, error)
    else:
        messages.success(request, f"{left} row{'' if left == 1 else 's'} left out; each can be brought back.")
    return _page_of(batch)


@require_POST
@in_studio(Role.TEACHER)
def read_again(request: StudioRequest, pk: int) -> HttpResponse:
    """Read the rows once more, after a paint was put right or brought in."""
    batch = _batch(request, pk)
    try:
        services.read_again(batch)
    except ValidationError as error:
        _refused(request, error)
    else:
        batch.refresh_from_db()
        services.read_some(batch)
    return _page_of(batch)


@require_POST
@in_studio(Role.TEACHER)
def commit(request: StudioRequest, pk: int) -> HttpResponse:
    batch = _batch(request, pk)
    try:
        services.commit(batch, by=request.user)
    except ValidationError as error:
        _refused(request, error)
    return _page_of(batch)


@require_POST
@in_studio(Role.TEACHER)
def draw(request: StudioRequest, pk: int) -> HttpResponse:
    """Draw the next of the new paints of a list; the page may be left, and the first page asks for the rest."""
    batch = _batch(request, pk)
    by_script = bool(getattr(request, "htmx", False))
    done = services.draw_some(batch)
    if not by_script:
        return _page_of(batch)
    if done.finished:
        return HttpResponse(headers={"HX-Redirect": _page_of(batch)["Location"]})
    return render(request, "inventory/exchange/drawing.html", {"batch": batch, "drawing": done})


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def take_back(request: StudioRequest, pk: int) -> HttpResponse:
    """What of a list would be taken back and what stays; then it is done, in one transaction."""
    batch = _batch(request, pk)
    if not may_be_taken_back(batch):
        messages.error(request, f"{batch} cannot be taken back as a whole: it was not taken in, or it was long ago.")
        return _page_of(batch)
    if request.method == "POST":
        try:
            services.take_back(batch, by=request.user)
        except ValidationError as error:
            _refused(request, error)
        return _page_of(batch)
    of_colours = batch.colour_table
    back = Back(colours=services.still_stands(batch)) if of_colours else what_goes_back(batch)
    context = {"batch": batch, "back": back, "of_colours": of_colours}
    return render(request, "inventory/exchange/take_back.html", context)


@require_POST
@in_studio(Role.TEACHER)
def forget(request: StudioRequest, pk: int) -> HttpResponse:
    """Forget how the columns of such lists are named."""
    batch = _batch(request, pk)
    if services.forget(request.studio, batch):
        messages.success(request, "Forgotten: the next list with these headings is asked for its columns again.")
    return _page_of(batch)


@require_POST
@in_studio(Role.TEACHER)
def drop(request: StudioRequest, pk: int) -> HttpResponse:
    batch = _batch(request, pk)
    try:
        services.drop(batch)
    except ValidationError as error:
        _refused(request, error)
        return _page_of(batch)
    messages.success(request, f"{batch} is dropped; nothing of it was added. It can be taken up again from the list.")
    return redirect("inventory:imports", request.studio.slug)


@require_POST
@in_studio(Role.TEACHER)
def take_up(request: StudioRequest, pk: int) -> HttpResponse:
    batch = _batch(request, pk)
    try:
        services.take_up(batch)
    except ValidationError as error:
        _refused(request, error)
    batch.refresh_from_db()
    return _page_of(batch)


@require_safe
@in_studio()
def export(request: StudioRequest) -> HttpResponse:
    """The shelf as a file; the address with the choices gives the file itself."""
    form = ExportForm(request.GET if "format" in request.GET else None)
    if form.is_valid():
        try:
            return _export(request, form.cleaned_data)
        except TooLongError as error:
            form.add_error("format", str(error))
    return render(request, "inventory/exchange/export.html", {"form": form})


def _export(request: StudioRequest, choices: dict[str, Any]) -> HttpResponse:
    what = choices["table"] or "shelf"
    shelf = rows.shelf_rows(request.studio, empty_too=choices["empty"], typed_too=choices["typed"])
    tables = {"shelf": shelf, **{key: table(request.studio) for key, (_, table) in COLOUR_TABLES.items()}}
    name = f"{request.studio.slug}-{what}-{timezone.localdate():%Y-%m-%d}"
    if choices["format"] == "xlsx":
        kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
        titles = {"shelf": "Shelf", **{key: title for key, (title, _) in COLOUR_TABLES.items()}}
        beside = [(titles[key], tables[key]) for key in COLOUR_TABLES] if what == "shelf" else []
        return _file(write_xlsx(tables[what], title=titles[what], beside=beside), kind, f"{name}.xlsx")
    separator = SEPARATORS.get(choices["separator"], ",")
    content = write_csv(tables[what], separator=separator, bom=choices["bom"])
    return _file(content, "text/csv; charset=utf-8", f"{name}.csv")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    return HttpResponse(content, content_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
