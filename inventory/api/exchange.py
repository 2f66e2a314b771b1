"""Lists on their way in, step by step, and the shelf on its way out."""

from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.filters import ImportRowFilterSet
from inventory.exchange import ENCODINGS, FIELDS, FileRefusedError, ImportSettings, TooLongError, write_csv, write_xlsx
from inventory.forms.exchange import UploadForm
from inventory.labels import LONGEST_LABEL
from inventory.models import BatchState, Binder, ImportBatch, ImportRow, RowState, Unit
from inventory.queries import imports as queries
from inventory.queries.colour_tables import measurement_rows, window_test_rows
from inventory.services import imports as services
from studio.api.inputs import Choice, Flag, Input, StrictJSONParser, Text, Whole
from studio.api.views import FileView, Person, StudioList, StudioView
from studio.models import Role

TAG = "lists in and out"
TABLES = ("shelf", "measurements", "window-tests")
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FIELD_CHOICES = [(field.key, field.label) for field in FIELDS]
SCALES = [("astm", "ASTM, I is best"), ("blue-wool", "Blue wool, 8 is best"), ("maker", "Maker's")]


class ImportSettingsSerializer(serializers.Serializer[ImportSettings]):
    """What holds for every row that does not say otherwise; empty: ask, or not known."""

    binder = serializers.CharField(allow_blank=True)
    size = serializers.CharField(allow_blank=True)
    unit = serializers.CharField(allow_blank=True)
    decimals = serializers.CharField(allow_blank=True)
    lightfastness_scale = serializers.CharField(allow_blank=True)
    without_count = serializers.CharField()
    open_left = serializers.CharField()


class LettersSerializer(serializers.Serializer):
    """A way in which the file's letters may be stored, with words as they would read."""

    encoding = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]  # a field of that name
    sample = serializers.CharField()


class SkippedSerializer(serializers.Serializer):
    """A line that is no row: a title, or the headings repeated."""

    line = serializers.IntegerField()
    text = serializers.CharField(allow_blank=True)
    why = serializers.CharField()


class ImportSerializer(serializers.ModelSerializer[ImportBatch]):
    """A list that somebody gave."""

    state = serializers.ChoiceField(choices=BatchState.choices)
    by = Person()

    class Meta:
        model = ImportBatch
        fields: tuple[str, ...] = ("id", "file_name", "state", "by", "created_at", "committed_at")


class WholeImportSerializer(ImportSerializer):
    """A list with its columns, how far it was read, and what it would add or has added."""

    columns = serializers.ListField(child=serializers.CharField(allow_blank=True), help_text="The headings, as typed.")
    mapping = serializers.DictField(child=serializers.CharField(), help_text="Our field by the place of the column.")
    settings = serializers.SerializerMethodField()
    letters = serializers.SerializerMethodField(help_text="Empty where the file says itself how they are stored.")
    skipped = SkippedSerializer(many=True)
    rows = serializers.SerializerMethodField(help_text="How many rows there are in each state.")
    plan = serializers.SerializerMethodField(help_text="What would be added; null before all is read, and afterwards.")
    result = serializers.SerializerMethodField(help_text="What was added; null before it was taken in.")
    back = serializers.SerializerMethodField(help_text="What was taken back and what stays; null unless it was.")

    class Meta(ImportSerializer.Meta):
        fields = (
            *ImportSerializer.Meta.fields, "columns", "mapping", "settings", "letters", "skipped", "rows", "plan",
            "result", "back",
        )  # fmt: skip

    @extend_schema_field(ImportSettingsSerializer)
    def get_settings(self, batch: ImportBatch) -> Any:
        return ImportSettingsSerializer(queries.settings_of(batch)).data

    @extend_schema_field(LettersSerializer(many=True))
    def get_letters(self, batch: ImportBatch) -> Any:
        names = ("encoding", "label", "sample")
        return [dict(zip(names, one, strict=True)) for one in batch.settings.get("letters", [])]

    @extend_schema_field(serializers.DictField(child=serializers.IntegerField()))
    def get_rows(self, batch: ImportBatch) -> dict[str, int]:
        return queries.counts(batch)

    @extend_schema_field(serializers.DictField(allow_null=True))
    def get_plan(self, batch: ImportBatch) -> Any:
        return asdict(queries.plan(batch)) if batch.state == BatchState.READY else None

    @extend_schema_field(serializers.DictField(allow_null=True))
    def get_back(self, batch: ImportBatch) -> Any:
        return batch.settings.get("back")

    @extend_schema_field(serializers.DictField(child=serializers.IntegerField(), allow_null=True))
    def get_result(self, batch: ImportBatch) -> Any:
        return asdict(services.taken_in(batch)) if batch.state == BatchState.COMMITTED else None


class ImportRowSerializer(serializers.ModelSerializer[ImportRow]):
    """One line: the cells as typed, what was read of them, what is doubtful, what was chosen."""

    state = serializers.ChoiceField(choices=RowState.choices)
    cells = serializers.ListField(child=serializers.CharField(allow_blank=True))
    read = serializers.DictField()
    doubts = serializers.ListField(child=serializers.DictField(), help_text="Answer one by its key.")
    chosen = serializers.DictField()

    class Meta:
        model = ImportRow
        fields = ("line", "state", "cells", "read", "doubts", "chosen")


class UploadInput(Input):
    """A file: CSV, XLSX, or a JSON list of objects."""

    file = serializers.FileField()
    encoding = Choice(choices=list(ENCODINGS.items())[:-1], required=False)


class PasteInput(Input):
    """A list as text: cells copied from a spreadsheet, or lines with commas or semicolons, the headings first."""

    text = Text(trim_whitespace=False)


class ImportView(StudioView):
    tag = TAG
    reads = Role.TEACHER
    writes = Role.TEACHER
    serializer_class: Any = WholeImportSerializer

    def batch(self, pk: int) -> ImportBatch:
        found: ImportBatch = self.one(ImportBatch.objects.select_related("studio", "by"), studio=self.studio, pk=pk)
        return found

    def shown(self, batch: ImportBatch, status: int = 200) -> Response:
        batch.refresh_from_db()
        return self.answer(batch, status=status)


class Imports(StudioList, ImportView):
    """The lists that were given, the latest first."""

    model = ImportBatch
    reads = Role.STUDENT
    serializer_class = ImportSerializer
    parser_classes = (StrictJSONParser, MultiPartParser)
    ordering = ("-pk",)

    def rows(self) -> Any:
        return queries.imports(self.studio)

    @extend_schema(
        operation_id="import_begin",
        request={"multipart/form-data": UploadInput, "application/json": PasteInput},
        responses={201: WholeImportSerializer},
    )
    def post(self, request: Request, studio: str) -> Response:
        """Give a list. It is kept as typed, and nothing of it is on the shelf before it is taken in."""
        is_file = bool(request.FILES)
        reader = (UploadInput if is_file else PasteInput)(data=request.data, context={"view": self})
        reader.is_valid(raise_exception=True)
        form = UploadForm(reader.validated_data, request.FILES)
        if not form.is_valid():
            raise ValidationError(form.errors.as_data())
        try:
            batch = self._begin(form.cleaned_data)
        except FileRefusedError as error:
            raise ValidationError({"file" if is_file else "text": [str(error)]}) from error
        return Response(WholeImportSerializer(self.batch(batch.pk)).data, status=201)

    def _begin(self, data: dict[str, Any]) -> ImportBatch:
        if file := data["file"]:
            return services.begin(
                self.studio, by=self.person, data=file.read(), file_name=file.name, encoding=data["encoding"]
            )
        return services.begin_pasted(self.studio, by=self.person, text=data["text"])


class OneImport(ImportView):
    """One list: where it has got to, and what it would add."""

    @extend_schema(operation_id="import")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(self.batch(pk))


class ColumnsInput(Input):
    """Which column is which field, by the column's place from 0, and what holds for rows that do not say."""

    mapping = serializers.DictField(child=Choice(choices=FIELD_CHOICES))
    binder = Choice(choices=Binder.choices, required=False)
    size = Text(max_length=40, required=False, allow_blank=True, help_text="Such as 37 ml.")
    unit = Choice(choices=Unit.choices, required=False)
    decimals = Choice(choices=[("comma", "a comma"), ("point", "a point")], required=False)
    lightfastness_scale = Choice(choices=SCALES, required=False)
    without_count = Choice(choices=[("sealed", "sealed"), ("open", "open"), ("none", "paints only")], required=False)
    open_left = Text(max_length=20, required=False, help_text="Such as 1/2; kept as an estimate.")
    encoding = Text(max_length=20, required=False, help_text="One of `letters`.")


class Columns(ImportView):
    """Say what the columns hold; every row is then read anew."""

    input_class = ColumnsInput

    @extend_schema(operation_id="import_columns")
    def put(self, request: Request, studio: str, pk: int) -> Response:
        batch, given = self.batch(pk), self.read()
        mapping, encoding = given.pop("mapping"), given.pop("encoding", "")
        return self.shown(services.set_columns(batch, mapping, ImportSettings(**given), encoding=encoding))


class StepInput(Input):
    limit = Whole(min_value=1, max_value=5000, default=services.A_STEP, help_text="How many rows to read now.")


class ProgressSerializer(serializers.Serializer[services.Progress]):
    done = serializers.IntegerField()
    total = serializers.IntegerField()
    finished = serializers.BooleanField()


class ReadStep(ImportView):
    """Read the next rows; send it until it is finished. It may be left and taken up again."""

    serializer_class = ProgressSerializer
    input_class = StepInput

    @extend_schema(operation_id="import_read", responses={200: ProgressSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(services.read_some(self.batch(pk), limit=self.read()["limit"]))


class ImportRows(StudioList, ImportView):
    """The rows of a list in its order; ask for `state=error` and `state=doubt` first."""

    model = ImportRow
    serializer_class = ImportRowSerializer
    filterset_class = ImportRowFilterSet
    ordering = ("line",)

    def rows(self) -> Any:
        return self.batch(self.kwargs["pk"]).rows.all()


class RowView(ImportView):
    serializer_class = ImportRowSerializer

    def row(self, pk: int, line: int) -> ImportRow:
        found: ImportRow = self.one(
            ImportRow.objects.select_related("batch__studio"), batch__studio=self.studio, batch=pk, line=line
        )
        return found

    def shown_row(self, row: ImportRow) -> Response:
        row.refresh_from_db()
        return self.answer(row)


class ChooseInput(Input):
    key = Text(max_length=LONGEST_LABEL + 200, trim_whitespace=False, help_text="The key of the doubt.")
    value = Text(
        max_length=LONGEST_LABEL, trim_whitespace=False, allow_blank=True, help_text="The value of one of its options."
    )
    typed = Flag(default=False, help_text="The value stands for the whole cell instead.")
    alike = Flag(default=False, help_text="The answer holds for every row that asks the same.")


class ChooseRow(RowView):
    """Answer what a row asks; it is read again with the answer."""

    input_class = ChooseInput

    @extend_schema(operation_id="import_row_choose", responses={200: ImportRowSerializer})
    def post(self, request: Request, studio: str, pk: int, line: int) -> Response:
        row = self.row(pk, line)
        services.choose(row, **self.read())
        return self.shown_row(row)


class LeaveOutRow(RowView):
    """Leave a row out; it can be brought back."""

    @extend_schema(operation_id="import_row_leave_out", request=None, responses={200: ImportRowSerializer})
    def post(self, request: Request, studio: str, pk: int, line: int) -> Response:
        row = self.row(pk, line)
        services.leave_out(row)
        return self.shown_row(row)


class AskAgainRow(RowView):
    """Forget the answers for a row and read it as typed; this also brings back one that was left out."""

    @extend_schema(operation_id="import_row_ask_again", request=None, responses={200: ImportRowSerializer})
    def post(self, request: Request, studio: str, pk: int, line: int) -> Response:
        row = self.row(pk, line)
        services.ask_again(row)
        return self.shown_row(row)


class LeaveOutErrors(ImportView):
    """Leave out every row that cannot be taken in."""

    @extend_schema(operation_id="import_leave_out_errors", request=None, responses={200: WholeImportSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        batch = self.batch(pk)
        services.leave_out_errors(batch)
        return self.shown(batch)


class Commit(ImportView):
    """Take every row in, or none. Sent twice, it is done once and says the same."""

    @extend_schema(operation_id="import_commit", request=None, responses={200: WholeImportSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        batch = self.batch(pk)
        services.commit(batch, by=self.person)
        return self.shown(batch)


class Draw(ImportView):
    """Draw the next of the new paints of a large list; send it until it is finished."""

    serializer_class = ProgressSerializer

    @extend_schema(operation_id="import_draw", request=None, responses={200: ProgressSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(services.draw_some(self.batch(pk)))


class TakeBack(ImportView):
    """Take a whole list back: correcting entries for what nobody touched since; `back` names what stays."""

    @extend_schema(operation_id="import_take_back", request=None, responses={200: WholeImportSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        batch = self.batch(pk)
        services.take_back(batch, by=self.person)
        return self.shown(batch)


class Drop(ImportView):
    """Give a list up before it was taken in; it can be taken up again."""

    @extend_schema(operation_id="import_drop", request=None, responses={200: WholeImportSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        batch = self.batch(pk)
        services.drop(batch)
        return self.shown(batch)


class TakeUp(ImportView):
    """Take a dropped list up again, from its columns."""

    @extend_schema(operation_id="import_take_up", request=None, responses={200: WholeImportSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        batch = self.batch(pk)
        services.take_up(batch)
        return self.shown(batch)


class Export(FileView):
    """The shelf as a file that can be read back in."""

    tag = TAG
    parameters = ("format", "empty", "table")

    @extend_schema(
        operation_id="export",
        parameters=[
            OpenApiParameter("format", str, enum=["csv", "xlsx"], default="csv"),
            OpenApiParameter("empty", str, enum=["true", "false"], default="false", description="Finished ones too."),
            OpenApiParameter(
                "table", str, enum=list(TABLES), default="shelf", description="Only the shelf comes back."
            ),
        ],
        responses={
            (200, "text/csv"): OpenApiResponse(OpenApiTypes.BINARY, "A table, headings first."),
            (200, XLSX): OpenApiResponse(OpenApiTypes.BINARY),
        },
    )
    def get(self, request: Request, studio: str) -> HttpResponse:
        kind, empty = self._choice("format", ("csv", "xlsx")), self._choice("empty", ("false", "true"))
        what = self._choice("table", TABLES)
        if what == "measurements":
            table = measurement_rows(self.studio)
        elif what == "window-tests":
            table = window_test_rows(self.studio)
        else:
            table = queries.shelf_rows(self.studio, empty_too=empty == "true")
        name = f"{self.studio.slug}-{what}-{timezone.localdate():%Y-%m-%d}.{kind}"
        try:
            content = write_xlsx(table) if kind == "xlsx" else write_csv(table)
        except TooLongError as error:
            raise ValidationError({"format": [str(error)]}) from error
        content_type = XLSX if kind == "xlsx" else "text/csv; charset=utf-8"
        disposition = f'attachment; filename="{name}"'
        return HttpResponse(content, content_type=content_type, headers={"Content-Disposition": disposition})

    def _choice(self, name: str, choices: tuple[str, ...]) -> str:
        """The first is what is meant when nothing is said."""
        text = self.request.query_params.get(name, choices[0])
        if text not in choices:
            raise ValidationError({name: [f"“{text[:20]}” is none of {' and '.join(choices)}."]})
        return text
