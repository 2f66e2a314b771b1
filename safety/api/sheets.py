"""Makers' data sheets: read, recorded, asked about, looked at again, withdrawn; and their files."""

from typing import Any

from django.http.response import HttpResponseBase
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from safety import services
from safety.api.subjects import SafetyView, StatedInput, StatedSerializer, WithdrawInput
from safety.models import DataSheet, SheetFile
from safety.queries import facts as known
from safety.queries.sheets import Asked, questions_of, sheets_of
from safety.rules.pdf_bytes import too_large
from safety.views.sheets import as_download
from studio.api.inputs import Flag, Input, Text
from studio.api.views import FileView
from studio.uploads import too_large_fields

FILE = {(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The maker's file, as a download.")}


class SheetFileSerializer(serializers.ModelSerializer[SheetFile]):
    """The maker's own file, kept privately; the address asks who you are."""

    by = serializers.CharField()
    url = serializers.SerializerMethodField()

    class Meta:
        model = SheetFile
        fields = ("name", "size", "sha256", "by", "at", "url")

    def get_url(self, file: SheetFile) -> str:
        return reverse("api_sheet_file", args=[self.context["view"].studio.slug, file.sheet_id])


class QuestionSerializer(serializers.Serializer):
    """What is asked about a sheet as it was copied; `printed_so_by` is who answered that it is printed so."""

    key = serializers.CharField(source="question.key", help_text="Stays when the wording changes.")
    text = serializers.CharField(source="question.text")
    said_by = serializers.CharField(source="question.source", help_text="The standard or the judgment.")
    printed_so_by = serializers.SerializerMethodField()

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_printed_so_by(self, asked: Asked) -> str | None:
        return str(asked.answer.by) if asked.answer else None


class SheetSerializer(StatedSerializer):
    """A maker's safety data sheet as it was read; codes as it prints them."""

    unknown_codes = serializers.ListField(
        source="unknown_code_list", child=serializers.CharField(), help_text="Printed, and not known here."
    )
    looked_by = serializers.CharField(allow_null=True)
    file = serializers.SerializerMethodField()
    questions = serializers.SerializerMethodField()

    class Meta:
        model = DataSheet
        fields = (
            "id",
            "product",
            "revised_on",
            "read_on",
            "by",
            "jurisdiction",
            "signal_word",
            "h_codes",
            "p_codes",
            "pictograms",
            "says_not_classified",
            "unknown_codes",
            "other_hazards",
            "ufi",
            "conformity",
            "review_on",
            "looked_on",
            "looked_by",
            "file",
            "questions",
            "notes",
            "recorded_at",
            "withdrawn_at",
            "withdrawn_by",
            "withdrawn_why",
        )

    @extend_schema_field(SheetFileSerializer(allow_null=True))
    def get_file(self, sheet: DataSheet) -> Any:
        kept = getattr(sheet, "file", None)
        return SheetFileSerializer(kept, context=self.context).data if kept else None

    @extend_schema_field(QuestionSerializer(many=True))
    def get_questions(self, sheet: DataSheet) -> Any:
        return QuestionSerializer(self.context["asked"][sheet.pk], many=True).data


class SheetInput(StatedInput):
    product = Text(max_length=200, help_text="As section 1 of the sheet has it.")
    revised_on = serializers.DateField(required=False, allow_null=True, help_text="null: the sheet prints none.")
    jurisdiction = Text(required=False, allow_blank=True, max_length=60)
    says_not_classified = Flag(required=False, help_text="Only where the sheet itself says so.")
    other_hazards = Text(required=False, allow_blank=True, max_length=300, help_text="Section 2.3, without a code.")
    ufi = Text(required=False, allow_blank=True, max_length=40)
    conformity = Text(required=False, allow_blank=True, max_length=200, help_text="As printed.")
    review_on = serializers.DateField(
        required=False, allow_null=True, help_text="The day to look again, from tomorrow."
    )
    printed_so = Flag(required=False, help_text="Codes that are not known here are printed so: keep them apart.")


class SheetFileInput(Input):
    """A PDF of at most 20 MB."""

    file = serializers.FileField(allow_empty_file=True)


class LookAgainInput(Input):
    review_on = serializers.DateField(required=False, allow_null=True, help_text="The next day to look, from tomorrow.")


class PrintedSoInput(Input):
    question = Text(max_length=80, help_text="The key of the question.")


class SheetView(SafetyView):
    serializer_class = SheetSerializer

    def sheet(self, pk: int) -> DataSheet:
        found: DataSheet = self.one(DataSheet.objects.of(self.studio).select_related("item"), pk=pk)
        return found

    def shown(self, sheet: DataSheet, status: int = 200) -> Response:
        """A sheet with its file and what is asked about it, read anew."""
        item = known.items(self.studio).get(pk=sheet.item_id)
        (found,) = sheets_of(item).filter(pk=sheet.pk)
        return self.answer(found, status=status, asked=questions_of([found], [item]))


class ItemSheets(SheetView):
    """The maker's sheets of one paint or material, the newest revision first; withdrawn ones too."""

    input_class = SheetInput

    @extend_schema(operation_id="sheets", responses=SheetSerializer(many=True))
    def get(self, request: Request, studio: str, pk: int) -> Response:
        item = self.item(pk)
        kept = list(sheets_of(item))
        context = {**self.get_serializer_context(), "asked": questions_of(kept, [item])}
        return Response(SheetSerializer(kept, many=True, context=context).data)

    @extend_schema(operation_id="sheet_add", responses={201: SheetSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Record what section 2 of a sheet prints. Older revisions stay."""
        return self.shown(services.record_sheet(self.item(pk), by=self.person, **self.read()), status=201)


class SheetFiles(SheetView, FileView):
    """The maker's own file of a sheet: fetched as it was given, added where there is none."""

    parser_classes = (MultiPartParser,)

    @extend_schema(operation_id="sheet_file", responses=FILE)
    def get(self, request: Request, studio: str, pk: int) -> HttpResponseBase:
        sheet = self.sheet(pk)
        kept = SheetFile.objects.filter(sheet=sheet).first()
        answer = as_download(kept, sheet) if kept else None
        if answer is None:
            raise NotFound("No file is kept for this sheet." if kept is None else "The file is not as it was stored.")
        return answer

    @extend_schema(
        operation_id="sheet_file_add",
        request={"multipart/form-data": SheetFileInput},
        responses={201: SheetSerializer},
    )
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Keep the maker's PDF of a sheet that has none."""
        sheet = self.sheet(pk)
        given = request.data
        if "file" in too_large_fields(request._request):
            raise ValidationError({"file": [too_large(None)]})
        reader = SheetFileInput(data=given, context={"view": self})
        reader.is_valid(raise_exception=True)
        services.attach(sheet, reader.validated_data["file"], by=self.person)
        return self.shown(sheet, status=201)


class SheetLookedAgain(SheetView):
    """Somebody made sure today that no newer revision is out."""

    input_class = LookAgainInput

    @extend_schema(operation_id="sheet_looked_again", responses={200: SheetSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.shown(services.look_again(self.sheet(pk), by=self.person, **self.read()))


class SheetPrintedSo(SheetView):
    """Answer a question about a sheet: it is printed so. The record does not change."""

    input_class = PrintedSoInput

    @extend_schema(operation_id="sheet_printed_so", responses={200: SheetSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        sheet = self.sheet(pk)
        services.say_printed_so(sheet, by=self.person, **self.read())
        return self.shown(sheet)


class WithdrawSheet(SheetView):
    """Take back the record of a sheet that was a mistake; it stays, with the reason."""

    input_class = WithdrawInput

    @extend_schema(operation_id="sheet_withdraw", responses={200: SheetSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.shown(services.withdraw(self.sheet(pk), by=self.person, **self.read()))
