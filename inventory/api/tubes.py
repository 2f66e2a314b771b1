"""Places and tubes: what stands where, what it holds, whose it is, and what comes in."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.exceptions import ValidationError
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory import services
from inventory.api import filters
from inventory.api.amounts import Amount, AmountInput, AmountSerializer, HappenedAt, NoteText
from inventory.api.references import ItemField, PersonField, PlaceField, TubeItemSerializer
from inventory.models import OwnerKind, Place, Tube, TubeState, Unit
from inventory.queries import shelf
from inventory.services import places as place_services
from studio.api.inputs import Choice, Flag, Input, KeyedInput, Text, Whole
from studio.api.views import StudioList, StudioView

TAG = "shelf"
STATES_RECEIVED = [(TubeState.SEALED.value, "Sealed"), (TubeState.OPEN.value, "Open")]


class PlaceSerializer(serializers.ModelSerializer[Place]):
    class Meta:
        model = Place
        fields = ("id", "name", "notes")


class PlaceInput(Input):
    name = Text(max_length=80, help_text="As people call it, such as Sink shelf.")
    notes = Text(max_length=200, required=False, allow_blank=True)


class PlacePatch(PlaceInput):
    """What is left out stays."""

    name = Text(max_length=80, required=False)


class Places(StudioList):
    """Where things stand, by name."""

    model = Place
    tag = TAG
    serializer_class = PlaceSerializer
    input_class = PlaceInput
    ordering = ("name", "pk")

    def rows(self) -> Any:
        return shelf.places(self.studio)

    @extend_schema(operation_id="place_add")
    def post(self, request: Request, studio: str) -> Response:
        """A new place; one of that name that was taken away comes back."""
        return self.answer(place_services.add_place(self.studio, **self.read()), status=201)


class OnePlace(StudioView):
    """One place."""

    tag = TAG
    serializer_class = PlaceSerializer
    input_class = PlacePatch

    def place(self, pk: int) -> Place:
        found: Place = self.one(shelf.places(self.studio), pk=pk)
        return found

    @extend_schema(operation_id="place")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(self.place(pk))

    @extend_schema(operation_id="place_change")
    def patch(self, request: Request, studio: str, pk: int) -> Response:
        """Call it something else; the ledger's lines about it show the new name."""
        place = self.place(pk)
        given = {"name": place.name, "notes": place.notes} | self.read()
        return self.answer(place_services.rename_place(place, **given))

    @extend_schema(operation_id="place_remove", request=None, responses={204: None})
    def delete(self, request: Request, studio: str, pk: int) -> Response:
        """Take it away, unless something stands there."""
        place_services.remove_place(self.place(pk))
        return Response(status=204)


class OwnerSerializer(serializers.Serializer[Tube]):
    kind = serializers.ChoiceField(source="owner_kind", choices=OwnerKind.choices)
    id = serializers.IntegerField(source="owner_id", allow_null=True, help_text="The person, for a member's own.")
    name = serializers.CharField(source="owner_words")


class TubeSerializer(serializers.ModelSerializer[Tube]):
    """One container. Its number is written on it and is its address here."""

    item = TubeItemSerializer()
    size = serializers.SerializerMethodField()
    left = serializers.SerializerMethodField()
    left_is_estimate = serializers.BooleanField(source="balance_is_estimate")
    tare = serializers.SerializerMethodField(help_text="The empty container; null: nobody weighed it.")
    place = PlaceSerializer(allow_null=True)
    owner = OwnerSerializer(source="*")
    lent_to = serializers.SerializerMethodField(help_text="Who took it along; empty while it is here.")

    class Meta:
        model = Tube
        fields = (
            "number", "item", "unit", "size", "left", "left_is_estimate", "state", "condition", "tare", "place",
            "owner", "shared", "lent_to", "batch", "opened_on", "note", "created_at",
        )  # fmt: skip

    @extend_schema_field(AmountSerializer)
    def get_size(self, tube: Tube) -> Any:
        return AmountSerializer(Amount(tube.nominal_milli, tube.unit)).data

    @extend_schema_field(AmountSerializer)
    def get_left(self, tube: Tube) -> Any:
        return AmountSerializer(Amount(tube.balance_milli, tube.unit)).data

    @extend_schema_field(AmountSerializer(allow_null=True))
    def get_tare(self, tube: Tube) -> Any:
        return None if tube.tare_milli_g is None else AmountSerializer(Amount(tube.tare_milli_g, Unit.G)).data

    def get_lent_to(self, tube: Tube) -> str:
        loan: str = vars(tube).get("loan") or ""
        return loan.removeprefix("To ")


class ReceivedSerializer(serializers.Serializer):
    tubes = TubeSerializer(many=True)


class ReceiveInput(KeyedInput):
    """New tubes of one paint or material, all of one size."""

    item = ItemField()
    count = Whole(min_value=1, max_value=500, default=1)
    size = AmountInput(label="Size of one", help_text="What the label says, in the unit below.")
    unit = Choice(choices=Unit.choices)
    state = Choice(choices=STATES_RECEIVED, default=TubeState.SEALED)
    left = AmountInput(label="What is left", required=False, help_text="What an open one holds; left out: full.")
    left_is_estimate = Flag(default=False)
    place = PlaceField(required=False)
    owner_kind = Choice(choices=OwnerKind.choices, default=OwnerKind.STUDIO)
    owner = PersonField(required=False, help_text="For a member's own: the id of the person.")
    owner_class = Text(max_length=80, default="", allow_blank=True, help_text="For a class's own: its name.")
    batch = Text(max_length=60, default="", allow_blank=True, help_text="As printed on the tube.")
    tare = AmountInput(label="Weight of an empty one", unit="g", required=False, help_text="In grams.")
    note = NoteText()
    at = HappenedAt(required=False)


# What the service calls by another name than the request does.
RENAMED = {"size": "nominal_milli", "left": "left_milli", "tare": "tare_milli_g"}
OURS = {theirs: ours for ours, theirs in RENAMED.items()} | {"balance_milli": "left"}


@contextmanager
def in_our_names() -> Iterator[None]:
    """What the service or the model refuses, under the names of the request's fields."""
    try:
        yield
    except ValidationError as error:
        raise ValidationError(
            {OURS.get(name, name): problems for name, problems in error.error_dict.items()}
        ) from error


class Tubes(StudioList):
    """The tubes of the studio by number, finished ones too unless `state` says otherwise."""

    model = Tube
    tag = TAG
    serializer_class = TubeSerializer
    filterset_class = filters.TubeFilterSet
    input_class = ReceiveInput
    ordering = ("number",)

    def rows(self) -> Any:
        return shelf.tubes(self.studio)

    @extend_schema(
        operation_id="tubes_receive",
        responses={201: ReceivedSerializer},
        examples=[
            OpenApiExample(
                "two sealed tubes", {"item": 12, "count": 2, "size": "37", "unit": "ml", "place": 3}, request_only=True
            )
        ],
    )
    def post(self, request: Request, studio: str) -> Response:
        """Put tubes on the shelf. Each gets a number: write it on the tube."""
        given = {RENAMED.get(name, name): value for name, value in self.read().items()}
        with in_our_names():
            tubes = services.receive(self.studio, given.pop("item"), by=self.person, **given)
        rows = self.rows().filter(pk__in=[tube.pk for tube in tubes]).order_by("number")
        return Response(ReceivedSerializer({"tubes": rows}).data, status=201)


class OneTube(StudioView):
    """One tube by its number."""

    tag = TAG
    serializer_class = TubeSerializer

    @extend_schema(operation_id="tube")
    def get(self, request: Request, studio: str, number: int) -> Response:
        return self.answer(self.one(shelf.tubes(self.studio), number=number))
