"""Exports in columns that an office names. Teachers take them away; keepers say what they are."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from inventory.exchange import TooLongError, write_csv, write_xlsx
from safety.export_forms import FileForm, SubjectForm, TemplateForm
from safety.models import ExportTemplate
from safety.queries.exports import SUBJECTS, lines
from safety.services.exports import remove_export, save_export
from studio.access import StudioRequest, in_studio, within
from studio.models import Role

PREVIEW_ROWS = 10
# A table of more columns is shown on its side, the first rows beside each other.
MOST_BESIDE = 6
ROWS_BESIDE = 3
A_CHUNK = 500
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _template(request: StudioRequest, pk: int) -> ExportTemplate:
    rows = within(ExportTemplate.objects.select_related("studio", "by"), request.studio)
    return get_object_or_404(rows, pk=pk)


@require_safe
@in_studio()
def exports(request: StudioRequest) -> HttpResponse:
    """The exports of this studio: which there are is no secret, what is in them is."""
    found = within(ExportTemplate.objects.select_related("by"), request.studio)
    rows = [(one, SUBJECTS[one.subject].label) for one in found]
    member = request.membership
    context = {"rows": rows, "may_change": member.may(Role.KEEPER), "may_take": member.may(Role.TEACHER)}
    return render(request, "safety/exports.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def export_new(request: StudioRequest) -> HttpResponse:
    """First what the rows are, then the columns."""
    subject = request.GET.get("subject", "")
    if subject not in SUBJECTS:
        form = SubjectForm(request.GET if subject else None)
        return render(request, "safety/export_subject.html", {"form": form})
    return _form_page(request, TemplateForm(subject, request.POST if request.method == "POST" else None), subject, None)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def export_change(request: StudioRequest, pk: int) -> HttpResponse:
    template = _template(request, pk)
    form = TemplateForm(template.subject, request.POST if request.method == "POST" else None, template)
    return _form_page(request, form, template.subject, template)


def _form_page(
    request: StudioRequest, form: TemplateForm, subject: str, template: ExportTemplate | None
) -> HttpResponse:
    if form.is_valid():
        data = form.cleaned_data
        asked: dict[str, Any] = {"name": data["name"], "room_format": data.get("room_format", "")}
        try:
            saved = save_export(
                request.studio, by=request.user, subject=subject, columns=data["columns"], template=template, **asked
            )
        except ValidationError as error:
            form.take_errors(error)
        else:
            messages.success(request, f"“{saved}” is saved. These are its first rows.")
            return redirect("safety:export", request.studio.slug, saved.pk)
    context = {"form": form, "template": template, "subject": SUBJECTS[subject]}
    return render(request, "safety/export_form.html", context)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def export_remove(request: StudioRequest, pk: int) -> HttpResponse:
    template = _template(request, pk)
    if request.method == "POST":
        name = template.name
        remove_export(template)
        messages.success(request, f"“{name}” is taken away. Nothing of the shelf or the records has changed.")
        return redirect("safety:exports", request.studio.slug)
    return render(request, "safety/export_remove.html", {"template": template})


@require_safe
@in_studio(Role.TEACHER)
def export(request: StudioRequest, pk: int) -> HttpResponse:
    """The first rows, and the way to the file."""
    return _preview(request, _template(request, pk), FileForm())


def _preview(request: StudioRequest, template: ExportTemplate, form: FileForm) -> HttpResponse:
    headers, *rows = lines(template, PREVIEW_ROWS)
    context = {
        "template": template,
        "subject": SUBJECTS[template.subject],
        "headers": headers,
        "rows": [list(zip(headers, row, strict=True)) for row in rows],
        "turned": list(zip(headers, *rows[:ROWS_BESIDE], strict=True)) if len(headers) > MOST_BESIDE else [],
        "form": form,
        "may_change": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/export.html", context)


@require_safe
@in_studio(Role.TEACHER)
def export_file(request: StudioRequest, pk: int) -> HttpResponseBase:
    template = _template(request, pk)
    form = FileForm(request.GET)
    if not form.is_valid():
        return _preview(request, template, form)
    name = f"{request.studio.slug}-{slugify(template.name) or template.subject}-{timezone.localdate():%Y-%m-%d}"
    answer: HttpResponseBase
    if form.cleaned_data["format"] == "xlsx":
        try:
            data = write_xlsx(lines(template), title="Export")
        except TooLongError as error:
            form.add_error("format", str(error))
            return _preview(request, template, form)
        answer = HttpResponse(data, content_type=XLSX)
        name = f"{name}.xlsx"
    else:
        separator = SEPARATORS.get(form.cleaned_data["separator"], ",")
        parts = _csv(lines(template), separator, bom=form.cleaned_data["bom"])
        answer = StreamingHttpResponse(parts, content_type="text/csv; charset=utf-8")
        name = f"{name}.csv"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer


def _csv(rows: Iterable[list[str]], separator: str, *, bom: bool) -> Iterator[bytes]:
    """The table in pieces, so that a long one does not wait in memory."""
    rest = iter(rows)
    while chunk := list(islice(rest, A_CHUNK)):
        yield write_csv(chunk, separator=separator, bom=bom)
        bom = False
