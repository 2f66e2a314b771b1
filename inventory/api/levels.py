"""How much there should be, what is short of it, and what needs an answer today."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.amounts import Amount, AmountInput, AmountSerializer, NoteText
from inventory.api.references import ItemNameSerializer
from inventory.models import Counting, Item, LevelBasis, ReorderLevel, Unit
from inventory.queries import levels as queries
from inventory.services import levels as services
from studio.api.inputs import Choice, Input, Whole
from studio.api.views import StudioView

TAG = "what to buy"


class LevelSerializer(serializers.ModelSerializer[ReorderLevel]):
    """A level that a person set. Nothing is forecast."""

    item = ItemNameSerializer()
    basis = serializers.ChoiceField(choices=LevelBasis.choices)
    tubes = serializers.SerializerMethodField(help_text="The level in whole tubes; null: it is an amount.")
    amount = serializers.SerializerMethodField(help_text="The level in ml or g; null: it is in tubes.")
    counting = serializers.ChoiceField(choices=Counting.choices)
    set_by = serializers.CharField(allow_null=True, help_text="null: has left.")

    class Meta:
        model = ReorderLevel
        fields = ("item", "basis", "tubes", "amount", "counting", "note", "set_by", "set_at")

    @extend_schema_field(serializers.IntegerField(allow_null=True))
    def get_tubes(self, level: ReorderLevel) -> int | None:
        return level.level_tubes if level.basis == LevelBasis.TUBES else None

    @extend_schema_field(AmountSerializer(allow_null=True))
    def get_amount(self, level: ReorderLevel) -> Any:
        in_tubes = level.basis == LevelBasis.TUBES
        return None if in_tubes else AmountSerializer(Amount(level.level_milli, level.unit)).data


class LevelNowSerializer(serializers.Serializer[queries.LevelNow]):
    """A level with what it says of the shelf as it is now."""

    level = LevelSerializer()
    is_short = serializers.BooleanField()
    short_tubes = serializers.SerializerMethodField(help_text="How many tubes are lacking; null: it is an amount.")
    short_amount = serializers.SerializerMethodField(help_text="How much is lacking; null: it is in tubes.")
    suggested_tubes = serializers.IntegerField(
        source="answer.suggested_tubes", allow_null=True, help_text="null: no container was ever received to count by."
    )
    reason = serializers.CharField(source="answer.reason")

    @extend_schema_field(serializers.IntegerField(allow_null=True))
    def get_short_tubes(self, now: queries.LevelNow) -> int | None:
        return now.answer.short if now.level.basis == LevelBasis.TUBES else None

    @extend_schema_field(AmountSerializer(allow_null=True))
    def get_short_amount(self, now: queries.LevelNow) -> Any:
        in_tubes = now.level.basis == LevelBasis.TUBES
        return None if in_tubes else AmountSerializer(Amount(now.answer.short, now.level.unit)).data


class LevelInput(Input):
    """A level in whole tubes, or in ml or g: send `tubes`, or `amount` with its unit."""

    tubes = Whole(min_value=1, max_value=10_000, required=False)
    amount = AmountInput(label="Level", required=False)
    unit = Choice(choices=Unit.choices, required=False)
    counting = Choice(choices=Counting.choices, default=Counting.SEALED, help_text="What counts as stock.")
    note = NoteText()

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if ("tubes" in given) == ("amount" in given):
            raise serializers.ValidationError("Send the level as tubes or as an amount: one of them.")
        if ("amount" in given) != ("unit" in given):
            raise serializers.ValidationError(
                {"unit": "An amount needs its unit, ml or g; a number of tubes has none."}
            )
        if "tubes" in given:
            return {"basis": LevelBasis.TUBES, "level_tubes": given.pop("tubes"), **given}
        return {"basis": LevelBasis.AMOUNT, "level_milli": given.pop("amount"), **given}


class Levels(StudioView):
    """Every level, those that are not met first, each with a suggestion in words."""

    tag = TAG
    serializer_class = LevelNowSerializer

    @extend_schema(operation_id="levels", responses=LevelNowSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        return Response(self.get_serializer(queries.levels(self.studio), many=True).data)


class Reorder(StudioView):
    """What is below its level, with how much to order and why."""

    tag = TAG
    serializer_class = LevelNowSerializer

    @extend_schema(operation_id="reorder", responses=LevelNowSerializer(many=True))
    def get(self, request: Request, studio: str) -> Response:
        short = [row for row in queries.levels(self.studio) if row.is_short]
        return Response(self.get_serializer(short, many=True).data)


class OneLevel(StudioView):
    """The level of one paint or material."""

    tag = TAG
    serializer_class = LevelSerializer
    input_class = LevelInput

    def item(self, pk: int) -> Item:
        found: Item = self.one(Item.objects.of(self.studio).kept(), pk=pk)
        return found

    @extend_schema(operation_id="level")
    def get(self, request: Request, studio: str, pk: int) -> Response:
        return self.answer(self.one(self.levels(), item__studio=self.studio, item=pk))

    @extend_schema(
        operation_id="level_set",
        examples=[
            OpenApiExample("two sealed tubes", {"tubes": 2}, request_only=True),
            OpenApiExample("150 ml in all", {"amount": "150", "unit": "ml", "counting": "usable"}, request_only=True),
        ],
    )
    def put(self, request: Request, studio: str, pk: int) -> Response:
        """Set it, or change it."""
        return self.answer(services.set_level(self.item(pk), **self.read(), by=self.person))

    @extend_schema(operation_id="level_remove", request=None, responses={204: None})
    def delete(self, request: Request, studio: str, pk: int) -> Response:
        """Take it away. It is no error when there was none."""
        services.remove_level(self.item(pk))
        return Response(status=204)

    def levels(self) -> Any:
        return ReorderLevel.objects.select_related("item", "set_by")
