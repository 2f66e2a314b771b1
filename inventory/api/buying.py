"""Prices that suppliers ask, orders, and parcels that came."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.amounts import Amount, AmountInput, AmountSerializer, HappenedAt, NoteText
from inventory.api.references import ItemField, PlaceField, RowField
from inventory.models import Offer, Order, OrderLine, OrderState, Supplier, Unit
from inventory.models.buying import CURRENCY
from inventory.queries import prices
from inventory.queries.buying import orders
from inventory.services import buying as services
from inventory.services.buying.offers import LARGEST_PACK, LARGEST_PRICE_MINOR
from inventory.stock.prices import money_words
from studio.api.inputs import Choice, Input, KeyedInput, Text, Whole
from studio.api.views import StudioList, StudioView
from studio.models import Role, Studio

TAG = "what to buy"


@extend_schema_field({"type": "integer"})
class SupplierField(RowField):
    what = "supplier"

    def rows(self, studio: Studio) -> Any:
        return Supplier.objects.filter(studio=studio, removed_at=None)


class OfferSerializer(serializers.ModelSerializer[Offer]):
    """A price for a pack. A new price is a row of its own."""

    supplier = serializers.CharField(source="supplier.name")
    size = serializers.SerializerMethodField(help_text="Of one container.")
    price = serializers.SerializerMethodField(help_text="Of a pack, in words.")

    class Meta:
        model = Offer
        fields = (
            "id",
            "supplier",
            "item",
            "name",
            "code",
            "series",
            "size",
            "pack",
            "price_minor",
            "currency",
            "price",
            "valid_from",
            "valid_until",
        )

    @extend_schema_field(AmountSerializer)
    def get_size(self, offer: Offer) -> Any:
        return AmountSerializer(Amount(offer.nominal_milli, offer.unit)).data

    def get_price(self, offer: Offer) -> str:
        return money_words(offer.price_minor, offer.currency)


class OfferInput(Input):
    supplier = SupplierField()
    item = ItemField(required=False)
    name = Text(max_length=160, required=False, help_text="Needed for what is not on the shelf.")
    code = Text(max_length=60, required=False, allow_blank=True)
    series = Text(max_length=20, required=False, allow_blank=True, help_text="The maker's price group; no price.")
    size = AmountInput(label="Size of one container")
    unit = Choice(choices=Unit.choices)
    pack = Whole(min_value=1, max_value=LARGEST_PACK, default=1)
    price_minor = Whole(
        min_value=1, max_value=LARGEST_PRICE_MINOR, help_text="Of a pack, in the currency's smallest coin."
    )
    currency = Text(max_length=3, validators=[CURRENCY], help_text="ISO 4217, such as EUR.")


class Offers(StudioList):
    """The last price of each product that stands, the newest first."""

    model = Offer
    tag = TAG
    writes = Role.TEACHER
    serializer_class = OfferSerializer
    input_class = OfferInput

    def rows(self) -> Any:
        return prices.offers(self.studio)

    @extend_schema(
        operation_id="offer_add",
        examples=[
            OpenApiExample(
                "37 ml for 6.95 EUR",
                {"supplier": 1, "item": 1, "size": "37", "unit": "ml", "price_minor": 695, "currency": "EUR"},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, studio: str) -> Response:
        """Write a price down; it is valid from today on."""
        given = self.read()
        size = given.pop("size")
        return self.answer(services.add_offer(self.studio, by=self.person, nominal_milli=size, **given), status=201)


class OrderLineSerializer(serializers.ModelSerializer[OrderLine]):
    """So many packs of one product, and how many containers of it came and stayed."""

    size = serializers.SerializerMethodField(help_text="Of one container.")
    came = serializers.SerializerMethodField(help_text="Containers.")

    class Meta:
        model = OrderLine
        fields = (
            "id",
            "item",
            "name",
            "code",
            "packs",
            "pack",
            "size",
            "came",
            "price_minor",
            "currency",
            "back_ordered",
            "closed_short",
        )

    @extend_schema_field(AmountSerializer)
    def get_size(self, line: OrderLine) -> Any:
        return AmountSerializer(Amount(line.nominal_milli, line.unit)).data

    def get_came(self, line: OrderLine) -> int:
        came: int = self.context["came"].get(line.pk, 0)
        return came


class OrderSerializer(serializers.ModelSerializer[Order]):
    supplier = serializers.CharField(source="supplier.name")
    state = serializers.ChoiceField(choices=OrderState.choices)
    lines = OrderLineSerializer(many=True)

    class Meta:
        model = Order
        fields = ("id", "supplier", "reference", "state", "placed_on", "expected_on", "note", "lines")


class Orders(StudioList):
    """The orders, the newest first."""

    model = Order
    tag = TAG
    serializer_class = OrderSerializer

    def rows(self) -> Any:
        return orders.orders_of(self.studio).prefetch_related("lines")

    def beside(self, page: list[Any]) -> dict[str, Any]:
        return {"came": orders.came_by_line([line for order in page for line in order.lines.all()])}


class CameInput(Input):
    line = Whole(min_value=1, max_value=2**63 - 1, help_text="Id of the order line.")
    containers = Whole(min_value=1, max_value=500)
    item = ItemField(required=False, help_text="For what was not on the shelf when it was ordered.")


class ReceivedInput(KeyedInput):
    lines = CameInput(many=True, allow_empty=False)
    place = PlaceField(required=False)
    note = NoteText()
    at = HappenedAt(required=False)

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len({line["line"] for line in lines}) < len(lines):
            raise serializers.ValidationError("A line stands here twice: send each once, with all that came.")
        return lines


class Received(StudioView):
    """A parcel of an order came."""

    tag = TAG
    serializer_class = OrderSerializer
    input_class = ReceivedInput

    @extend_schema(
        operation_id="order_received",
        examples=[OpenApiExample("three came", {"lines": [{"line": 1, "containers": 3}]}, request_only=True)],
    )
    def post(self, request: Request, studio: str, pk: int) -> Response:
        """Put what came on the shelf, all of it or nothing. More than was ordered may come."""
        order = self.one(orders.orders_of(self.studio), pk=pk)
        given = self.read()
        came = {one["line"]: services.Arrived(one["containers"], one.get("item")) for one in given.pop("lines")}
        services.receive_delivery(order, came, by=self.person, **given)
        now = orders.orders_of(self.studio).prefetch_related("lines").get(pk=order.pk)
        return self.answer(now, status=201, came=orders.came_by_line(list(now.lines.all())))
