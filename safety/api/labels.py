"""What labels say, word for word."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from safety import services
from safety.api.subjects import SafetyView, StatedInput, StatedSerializer, WithdrawInput
from safety.models import LabelStatement
from studio.api.inputs import Text


class LabelWordsSerializer(StatedSerializer):
    """What a label says, word for word."""

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


class LabelWordsInput(StatedInput):
    text = Text(required=False, allow_blank=True, max_length=10_000, help_text="Word for word.")
    seal = Text(required=False, allow_blank=True, max_length=80, help_text="The letters of each seal; ';' between.")
    conformity = Text(required=False, allow_blank=True, max_length=200, help_text="As printed.")


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


class WithdrawLabelWords(SafetyView):
    """Take back the words of a label that were a mistake; they stay, with the reason."""

    serializer_class = LabelWordsSerializer
    input_class = WithdrawInput

    @extend_schema(operation_id="label_words_withdraw", responses={200: LabelWordsSerializer})
    def post(self, request: Request, studio: str, pk: int) -> Response:
        label = self.one(LabelStatement.objects.of(self.studio), pk=pk)
        return self.answer(services.withdraw(label, by=self.person, **self.read()))
