"""The ledger as it was written, latest first."""

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api import filters
from inventory.api.amounts import Amount, AmountSerializer
from inventory.api.references import ItemNameSerializer
from inventory.models import Entry, EntryKind, Place, Tube, TubeState, Unit
from inventory.queries.tubes import Line, entries
from studio.api.views import Person, StudioList, StudioView

TAG = "ledger"


class EntryTubeSerializer(serializers.ModelSerializer[Tube]):
    """The tube that an entry is about."""

    item = ItemNameSerializer()

    class Meta:
        model = Tube
        fields = ("number", "item")


class EntryPlaceSerializer(serializers.ModelSerializer[Place]):
    class Meta:
        model = Place
        fields = ("id", "name")


class EntrySerializer(serializers.ModelSerializer[Entry]):
    """One line of the ledger. It is never changed; `corrected_by` names the entry that put it right."""

    tube = EntryTubeSerializer()
    kind = serializers.ChoiceField(choices=EntryKind.choices)
    words = serializers.SerializerMethodField(help_text="The same in a sentence.")
    change = serializers.SerializerMethodField(help_text="Added to what the tube holds; below 0 when it was taken out.")
    gross = serializers.SerializerMethodField(help_text="What the scale showed; null: nothing was weighed.")
    state_before = serializers.ChoiceField(choices=TubeState.choices)
    state_after = serializers.ChoiceField(choices=TubeState.choices)
    place_before = EntryPlaceSerializer(allow_null=True)
    place_after = EntryPlaceSerializer(allow_null=True)
    corrects = serializers.IntegerField(source="corrects_id", allow_null=True)
    corrected_by = serializers.SerializerMethodField()
    by = Person()

    class Meta:
        model = Entry
        fields = (
            "id", "tube", "kind", "words", "change", "is_estimate", "gross", "state_before", "state_after",
            "place_before", "place_after", "note", "corrects", "corrected_by", "by", "at", "written_at", "key",
        )  # fmt: skip

    def get_words(self, entry: Entry) -> str:
        return Line(entry, entry.tube.unit).words

    @extend_schema_field(AmountSerializer)
    def get_change(self, entry: Entry) -> Any:
        return AmountSerializer(Amount(entry.change_milli, entry.tube.unit)).data

    @extend_schema_field(AmountSerializer(allow_null=True))
    def get_gross(self, entry: Entry) -> Any:
        return None if entry.gross_milli_g is None else AmountSerializer(Amount(entry.gross_milli_g, Unit.G)).data

    @extend_schema_field(serializers.IntegerField(allow_null=True))
    def get_corrected_by(self, entry: Entry) -> int | None:
        correction = getattr(entry, "corrected_by", None)
        return correction.pk if correction else None


class Entries(StudioList):
    """Everything that happened in the studio, latest first."""

    model = Entry
    tag = TAG
    serializer_class = EntrySerializer
    filterset_class = filters.EntryFilterSet
    ordering = ("-pk",)

    def rows(self) -> Any:
        return entries(self.studio)


class TubeEntries(Entries):
    """Everything that happened to one tube, latest first."""

    def rows(self) -> Any:
        return entries(self.studio).filter(tube=self.one(Tube.objects.of(self.studio), number=self.kwargs["number"]))


class OneEntry(StudioView):
    """One line of the ledger."""

    tag = TAG
    serializer_class = EntrySerializer

    @extend_schema(operation_id="entry")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(self.one(entries(self.studio), pk=pk))
