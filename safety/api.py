"""The safety record for programs: the same facts, services and words as the pages."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.references import ItemNameSerializer
from inventory.models import Item, Room
from safety import services
from safety.models import (
    DataSheet,
    HazardFact,
    LabelStatement,
    Limit,
    Notice,
    Posting,
    SheetFile,
    SignalWord,
    Statement,
)
from safety.queries import facts as known
from safety.queries import notices as rows
from safety.queries import papers
from safety.queries.books import bound
from safety.queries.postings import Hanging, hanging, subject_of
from safety.queries.sheets import Asked, questions_of, sheets_of
from safety.rules.classify import SIGNS
from safety.rules.handling import Caution
from safety.rules.known import KnownLine
from safety.rules.pdf_bytes import too_large
from safety.views.papers import as_pdf, file_name, print_kept
from safety.views.sheets import as_download
from studio.api.errors import Conflict
from studio.api.inputs import Choice, Flag, Input, Text
from studio.api.views import Pages, StudioView
from studio.models import Role
from studio.printing.paper import PAPERS, usual_paper
from studio.uploads import too_large_fields

TAG = "safety"
REFERENCE = "reference of hazards"
PDF = {(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The printed page.")}
FILE = {(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The maker's file, as a download.")}
PAPER = OpenApiParameter("paper", str, enum=list(PAPERS), description="What the studio's country writes on, if absent.")


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


class SheetSerializer(serializers.ModelSerializer[DataSheet]):
    """A maker's safety data sheet as it was read; codes as it prints them."""

    unknown_codes = serializers.ListField(
        source="unknown_code_list", child=serializers.CharField(), help_text="Printed, and not known here."
    )
    looked_by = serializers.CharField(allow_null=True)
    file = serializers.SerializerMethodField()
    questions = serializers.SerializerMethodField()
    h_codes = serializers.ListField(source="h_code_list", child=serializers.CharField())
    p_codes = serializers.ListField(source="p_code_list", child=serializers.CharField())
    pictograms = serializers.ListField(source="signs", child=serializers.CharField())
    signal_word = serializers.CharField(allow_blank=True, help_text="Empty: none printed.")
    by = serializers.CharField()
    withdrawn_by = serializers.CharField(allow_null=True)

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


class LabelWordsSerializer(serializers.ModelSerializer[LabelStatement]):
    """What a label says, word for word."""

    h_codes = serializers.ListField(source="h_code_list", child=serializers.CharField())
    p_codes = serializers.ListField(source="p_code_list", child=serializers.CharField())
    pictograms = serializers.ListField(source="signs", child=serializers.CharField())
    signal_word = serializers.CharField(allow_blank=True, help_text="Empty: none printed.")
    by = serializers.CharField()
    withdrawn_by = serializers.CharField(allow_null=True)

    class Meta:
        model = LabelStatement
        fields = (
            "id",
            "text",
            "read_on",
            "by",
            "signal_word",
            "h_codes",
            "p_codes",
            "pictograms",
            "notes",
            "recorded_at",
            "withdrawn_at",
            "withdrawn_by",
            "withdrawn_why",
        )


class PostingSerializer(serializers.ModelSerializer[Posting]):
    """One paper at one place; `taken_down_at` is null while it hangs."""

    room = serializers.CharField(allow_null=True)
    place = serializers.CharField(help_text="Room and place in words.")
    hung_by = serializers.CharField()
    taken_down_by = serializers.CharField(allow_null=True)

    class Meta:
        model = Posting
        fields = ("id", "room", "where", "place", "hung_at", "hung_by", "taken_down_at", "taken_down_by")


class NoticeSerializer(serializers.ModelSerializer[Notice]):
    """A paper as it was made."""

    item = ItemNameSerializer(allow_null=True, help_text="For a notice of one paint or material.")
    made_by = serializers.CharField()
    about = serializers.SerializerMethodField(help_text="The name of the paint, room or palette.")
    pdf = serializers.SerializerMethodField()

    class Meta:
        model = Notice
        fields = ("id", "kind", "item", "about", "fingerprint", "made_at", "made_by", "pdf")

    def get_about(self, notice: Notice) -> str:
        return str(notice.subject)

    def get_pdf(self, notice: Notice) -> str:
        return reverse("api_notice_pdf", args=[self.context["view"].studio.slug, notice.pk])


class HangingNoticeSerializer(PostingSerializer):
    """A posting with the paper that hangs."""

    notice = NoticeSerializer()

    class Meta:
        model = Posting
        fields = (*PostingSerializer.Meta.fields, "notice")


class HangingSerializer(serializers.Serializer[Hanging]):
    """One paper that hangs, and whether it still says what is known."""

    posting = HangingNoticeSerializer()
    out_of_date = serializers.BooleanField()
    gone = serializers.CharField(allow_blank=True, help_text="Why it is about nothing that is still here.")
    fingerprint = serializers.CharField(help_text="The mark of a paper made now.", allow_blank=True)
    says = serializers.ListField(source="changed.gone", child=serializers.CharField())
    known_now = serializers.ListField(source="changed.new", child=serializers.CharField())


class OutdatedSerializer(serializers.Serializer[rows.Outdated]):
    """A notice that no longer says what is known, with what changed line by line."""

    notice = NoticeSerializer()
    postings = PostingSerializer(many=True)
    says = serializers.ListField(source="changed.gone", child=serializers.CharField())
    known_now = serializers.ListField(source="changed.new", child=serializers.CharField())


class StandingSerializer(serializers.Serializer[rows.Standing]):
    """How one paint or material stands."""

    item = ItemNameSerializer()
    state = serializers.ChoiceField(choices=[(one.value, one.value) for one in rows.State])
    latest = NoticeSerializer(allow_null=True)
    hanging = PostingSerializer(many=True)
    outdated = OutdatedSerializer(many=True)


class CodedSerializer(serializers.Serializer):
    code = serializers.CharField()
    phrase = serializers.CharField(help_text="The standard's wording.")


class CautionSerializer(serializers.Serializer):
    key = serializers.CharField(help_text="Stays when the wording changes.")
    text = serializers.CharField()
    why = serializers.CharField()
    said_by = serializers.SerializerMethodField(help_text="Whose word it is.")

    def get_said_by(self, caution: Caution) -> str:
        return caution.source


class KnownSerializer(serializers.Serializer):
    subject = serializers.CharField()
    text = serializers.CharField()
    said_by = serializers.SerializerMethodField(help_text="Source and date; empty where nothing is known.")
    trust = serializers.CharField(source="trust.words")

    def get_said_by(self, line: KnownLine) -> str:
        return line.source


class SafetySerializer(serializers.Serializer):
    """What a notice made now would say. Empty hazards never mean none: `basis` says what is known."""

    item = serializers.SerializerMethodField()
    state = serializers.SerializerMethodField(help_text="How its notices stand.")
    deferring = serializers.CharField()
    trust = serializers.CharField(source="trust.words")
    basis = serializers.CharField()
    lists = serializers.SerializerMethodField(help_text="Which published lists are asked, and why.")
    signal_word = serializers.CharField(source="label.signal_word", allow_blank=True)
    pictograms = serializers.ListField(source="label.pictograms", child=serializers.CharField())
    hazards = CodedSerializer(many=True)
    precautions = CodedSerializer(many=True)
    cautions = CautionSerializer(many=True)
    known = KnownSerializer(many=True)
    facts = serializers.ListField(child=serializers.CharField(), help_text="What the fingerprint is made of.")
    fingerprint = serializers.CharField()

    @extend_schema_field(ItemNameSerializer)
    def get_item(self, made: Any) -> Any:
        return ItemNameSerializer(self.context["standing"].item).data

    def get_state(self, made: Any) -> str:
        return str(self.context["standing"].state.value)

    def get_lists(self, made: Any) -> str:
        return known.lists_of(self.context["view"].studio).why


class StatedInput(Input):
    read_on = serializers.DateField(help_text="The day on which it was read.")
    signal_word = Choice(choices=SignalWord.choices, required=False, allow_blank=True)
    h_codes = Text(required=False, allow_blank=True, max_length=2000, help_text="H and EUH as printed; ';' between.")
    p_codes = Text(required=False, allow_blank=True, max_length=2000, help_text="P as printed; ';' between.")
    pictograms = serializers.ListField(child=Choice(choices=SIGNS), required=False, max_length=len(SIGNS))
    notes = Text(required=False, allow_blank=True, max_length=10_000)


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


class LabelWordsInput(StatedInput):
    text = Text(required=False, allow_blank=True, max_length=10_000, help_text="Word for word.")
    seal = Text(required=False, allow_blank=True, max_length=80, help_text="The letters of each seal; ';' between.")
    conformity = Text(required=False, allow_blank=True, max_length=200, help_text="As printed.")


class SheetFileInput(Input):
    """A PDF of at most 20 MB."""

    file = serializers.FileField(allow_empty_file=True)


class LookAgainInput(Input):
    review_on = serializers.DateField(required=False, allow_null=True, help_text="The next day to look, from tomorrow.")


class PrintedSoInput(Input):
    question = Text(max_length=80, help_text="The key of the question.")


class WithdrawInput(Input):
    why = Text(max_length=200)


class HangInput(Input):
    where = Text(max_length=120, required=False, allow_blank=True)
    room = serializers.IntegerField(required=False, allow_null=True, min_value=1, help_text="The id of a room.")


class ReplaceInput(Input):
    fingerprint = Text(max_length=14, help_text="The mark on the paper that hangs now.")


class SafetyView(StudioView):
    tag = TAG
    writes = Role.TEACHER

    def item(self, pk: int) -> Item:
        found: Item = self.one(known.items(self.studio), pk=pk)
        return found

    def notice(self, pk: int) -> Notice:
        about = Notice.objects.of(self.studio).select_related("item", "room", "palette", "studio")
        found: Notice = self.one(about, pk=pk)
        return found

    def posting(self, pk: int) -> Posting:
        found: Posting = self.one(Posting.objects.of(self.studio).select_related("notice", "studio"), pk=pk)
        return found

    def page_url(self, item: Item) -> str:
        """Where the code on a notice leads: the page, not the API."""
        return self.request.build_absolute_uri(reverse("safety:item", args=[self.studio.slug, item.pk]))


class ItemSafety(SafetyView):
    """What is known of one paint or material, the most trusted source first, and what is not known."""

    serializer_class = SafetySerializer

    @extend_schema(operation_id="item_safety")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        item = self.item(pk)
        (standing,) = rows.standings(self.studio, [item])
        return self.answer(rows.preview(standing, self.studio, self.page_url(item)), standing=standing)


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


class SheetFiles(SheetView):
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

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """Whatever is accepted: the file is a PDF, and everything else is JSON."""
        renderer = self.get_renderers()[0]
        return renderer, renderer.media_type


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


class ItemLabelWords(SafetyView):
    """What the label of one paint or material says."""

    serializer_class = LabelWordsSerializer
    input_class = LabelWordsInput

    @extend_schema(operation_id="label_words", responses=LabelWordsSerializer(many=True))
    def get(self, request: Request, studio: str, pk: int) -> Response:
        labels = LabelStatement.objects.filter(item=self.item(pk)).select_related("by", "withdrawn_by")
        return Response(self.get_serializer(labels, many=True).data)

    @extend_schema(operation_id="label_words_add", responses={201: LabelWordsSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Copy the words of a label."""
        return self.answer(services.record_label_statement(self.item(pk), by=self.person, **self.read()), status=201)


class WithdrawSheet(SheetView):
    """Take back the record of a sheet that was a mistake; it stays, with the reason."""

    input_class = WithdrawInput

    @extend_schema(operation_id="sheet_withdraw", responses={200: SheetSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.shown(services.withdraw(self.sheet(pk), by=self.person, **self.read()))


class WithdrawLabelWords(SafetyView):
    """Take back the words of a label that were a mistake; they stay, with the reason."""

    serializer_class = LabelWordsSerializer
    input_class = WithdrawInput

    @extend_schema(operation_id="label_words_withdraw", responses={200: LabelWordsSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        label = self.one(LabelStatement.objects.of(self.studio), pk=pk)
        return self.answer(services.withdraw(label, by=self.person, **self.read()))


class ItemNotices(SafetyView):
    """The notices of one paint or material, newest first."""

    serializer_class = NoticeSerializer

    @extend_schema(operation_id="item_notices", responses=NoticeSerializer(many=True))
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return Response(self.get_serializer(rows.notices_of(self.item(pk)), many=True).data)

    @extend_schema(operation_id="notice_make", request=None, responses={200: NoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Make a notice from what is known now; where the newest says the same, that one is the answer."""
        item = self.item(pk)
        return self.answer(services.make_notice(item, by=self.person, page_url=self.page_url(item)))


class Notices(SafetyView):
    """How everything in stock stands: out of date, without a notice, or as known now."""

    serializer_class = StandingSerializer

    @extend_schema(operation_id="notices", responses=StandingSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(rows.standings(self.studio), many=True).data)

    @extend_schema(operation_id="notices_make", request=None, responses={200: NoticeSerializer(many=True)})
    def post(self, request: Request, studio: str) -> Response:
        """Make every notice that is missing or out of date; the answer has those that were made."""
        made = services.make_notices(self.studio, by=self.person, page_url=self.page_url)
        return Response(NoticeSerializer(made, many=True, context=self.get_serializer_context()).data)


class HangNotice(SafetyView):
    """Say where a paper hangs; an older one about the same thing at that very place comes down."""

    serializer_class = HangingNoticeSerializer
    input_class = HangInput

    @extend_schema(operation_id="notice_hang", responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        notice, asked = self.notice(pk), self.read()
        rooms = Room.objects.filter(studio=self.studio, removed_at=None)
        room = rooms.filter(pk=asked["room"]).first() if asked.get("room") else None
        if asked.get("room") and room is None:
            raise ValidationError({"room": [f"There is no room {asked['room']} in use here."]})
        return self.answer(services.hang(notice, by=self.person, where=asked.get("where", ""), room=room))


class Postings(SafetyView):
    """What hangs where, room by room, with what changed since each paper was made."""

    serializer_class = HangingSerializer

    @extend_schema(operation_id="postings", responses=HangingSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(hanging(self.studio), many=True).data)


class ReplacePosting(SafetyView):
    """Say that a paper made now hangs where an older one hung; 400 with the name of whoever was first."""

    serializer_class = HangingNoticeSerializer
    input_class = ReplaceInput

    @extend_schema(operation_id="posting_replace", responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        posting = self.posting(pk)
        kind, about, _ = subject_of(posting.notice)
        if posting.notice.item:
            url = self.page_url(posting.notice.item)
        else:
            url = self.request.build_absolute_uri(papers.subject_url(self.studio, kind, about))
        return self.answer(services.replace(posting, by=self.person, page_url=url, **self.read()))


class TakeDownPosting(SafetyView):
    """Say that a paper hangs no more at its place."""

    serializer_class = HangingNoticeSerializer

    @extend_schema(operation_id="posting_take_down", request=None, responses={200: HangingNoticeSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(services.take_down(self.posting(pk), by=self.person))


class PdfView(SafetyView):
    parameters = ("paper",)

    def paper(self) -> str:
        name = self.request.query_params.get("paper", usual_paper(self.studio.jurisdiction))
        if name not in PAPERS:
            raise ValidationError({"paper": [f"“{name[:20]}” is none of {' and '.join(PAPERS)}."]})
        return name

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """Whatever is accepted: the answer is a PDF, and a refusal is JSON."""
        renderer = self.get_renderers()[0]
        return renderer, renderer.media_type


class NoticePdf(PdfView):
    """A notice on paper, as it was made."""

    @extend_schema(operation_id="notice_pdf", parameters=[PAPER], responses=PDF)
    def get(self, request: Request, studio: str, pk: int) -> HttpResponse:
        paper, notice = self.paper(), self.notice(pk)
        return as_pdf(print_kept(notice, paper), file_name(notice))


class BookPdf(PdfView):
    """Every notice in stock that says what is known now, in one file; 409 while there is none."""

    @extend_schema(operation_id="notices_book", parameters=[PAPER], responses={**PDF, 409: OpenApiTypes.OBJECT})
    def get(self, request: Request, studio: str) -> HttpResponse:
        data = bound(self.studio, self.paper())
        if data is None:
            raise Conflict("There is no notice to bind yet: make them first.")
        return as_pdf(data, f"notices-{self.studio.slug}")


class StatementSerializer(serializers.ModelSerializer[Statement]):
    """An H, EUH or P phrase in the standard's words."""

    class Meta:
        model = Statement
        exclude = ("id",)


class HazardSerializer(serializers.ModelSerializer[HazardFact]):
    """What one regime says about one substance. No H code means that none is published there, never "no hazard"."""

    class Meta:
        model = HazardFact
        exclude = ("id",)


class LimitSerializer(serializers.ModelSerializer[Limit]):
    """A figure or rule with whose it is and where it stands."""

    class Meta:
        model = Limit
        exclude = ("id",)


class ReferencePages(Pages):
    tag = REFERENCE
    ordering = ("pk",)

    def rows(self) -> "QuerySet[Any]":
        return self.model._default_manager.all()


class Statements(ReferencePages):
    """The H, EUH and P phrases, the same for every studio."""

    model = Statement
    serializer_class = StatementSerializer


class Hazards(ReferencePages):
    """Published classifications of substances, each under the name of its regime."""

    model = HazardFact
    serializer_class = HazardSerializer


class Limits(ReferencePages):
    """Limits and rules that a notice may cite."""

    model = Limit
    serializer_class = LimitSerializer
