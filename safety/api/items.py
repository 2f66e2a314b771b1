"""What is known of one paint or material: what a notice made now would say."""

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.references import ItemNameSerializer
from safety.api.subjects import SafetyView
from safety.queries import facts as known
from safety.queries import notices as rows
from safety.rules.handling import Caution
from safety.rules.known import KnownLine


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


class ItemSafety(SafetyView):
    """What is known of one paint or material, the most trusted source first, and what is not known."""

    serializer_class = SafetySerializer

    @extend_schema(operation_id="item_safety")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        item = self.item(pk)
        (standing,) = rows.standings(self.studio, [item])
        return self.answer(standing.says, standing=standing)
