"""Orders, what came of them, and what is still to come."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.db.models import Prefetch, Q, QuerySet, Sum
from django.utils import timezone

from inventory.models import Delivery, DeliveryLine, Entry, EntryKind, Order, OrderLine, OrderState, Tube, TubeState
from inventory.stock.amounts import exact
from inventory.stock.prices import money_words, totals_words
from studio.models import Studio


@dataclass(frozen=True)
class OnOrder:
    """What of an item is still to come."""

    containers: int
    milli: dict[str, int]
    expected_on: date | None

    @property
    def words(self) -> str:
        when = f", expected on {self.expected_on:%-d %B %Y}" if self.expected_on else ""
        amounts = " and ".join(exact(milli, unit) for unit, milli in self.milli.items())
        return f"{self.containers} on order, {amounts} in all{when}"


def on_order(studio: Studio) -> dict[int, OnOrder]:
    """What is still to come of orders that were sent, by item; two queries."""
    lines = OrderLine.objects.filter(
        order__studio=studio, order__state=OrderState.SENT, closed_short=False, item__isnull=False
    ).select_related("order")
    came = came_by_line(lines)
    found: dict[int, OnOrder] = {}
    for line in lines:
        left = line.packs * line.pack - came.get(line.pk, 0)
        if left <= 0 or line.item_id is None:
            continue
        before = found.get(line.item_id, OnOrder(0, {}, None))
        milli = {**before.milli, line.unit: before.milli.get(line.unit, 0) + left * line.nominal_milli}
        days = [day for day in (before.expected_on, line.order.expected_on) if day is not None]
        found[line.item_id] = OnOrder(before.containers + left, milli, min(days, default=None))
    return found


def came_by_line(lines: "QuerySet[OrderLine] | list[OrderLine]") -> dict[int, int]:
    """Containers that came and stayed, by line; one query."""
    rows = DeliveryLine.objects.filter(order_line__in=lines, delivery__taken_back_at=None)
    sums = rows.values("order_line").annotate(
        came=Sum("containers", filter=Q(delivery__returned=False), default=0),
        back=Sum("containers", filter=Q(delivery__returned=True), default=0),
    )
    return {row["order_line"]: row["came"] - row["back"] for row in sums}


@dataclass(frozen=True)
class LineNow:
    """An order line, how much of it came and stayed, and what it costs."""

    line: OrderLine
    came: int

    @property
    def ordered(self) -> int:
        return self.line.packs * self.line.pack

    @property
    def left(self) -> int:
        return 0 if self.line.closed_short else max(0, self.ordered - self.came)

    @property
    def over(self) -> int:
        return max(0, self.came - self.ordered)

    @property
    def size(self) -> str:
        return exact(self.line.nominal_milli, self.line.unit)

    @property
    def what(self) -> str:
        """3 × 40 ml, or 2 packs of 3 × 40 ml."""
        if self.line.pack > 1:
            return f"{self.line.packs} pack{'' if self.line.packs == 1 else 's'} of {self.line.pack} × {self.size}"
        return f"{self.line.packs} × {self.size}"

    @property
    def price(self) -> str:
        return money_words(self.line.price_minor, self.line.currency) if self.line.price_minor else ""

    @property
    def total(self) -> tuple[int, str] | None:
        return (self.line.price_minor * self.line.packs, self.line.currency) if self.line.price_minor else None

    @property
    def total_words(self) -> str:
        return money_words(*self.total) if self.total else "no price"

    @property
    def state(self) -> str:
        if self.over:
            return f"{self.came} came, {self.over} more than ordered"
        if self.line.closed_short:
            return f"{self.came} of {self.ordered} came; the rest is not coming"
        if not self.left:
            return "all came"
        came = f"{self.came} of {self.ordered} came; " if self.came else ""
        return f"{came}{self.left} back-ordered" if self.line.back_ordered else f"{came}{self.left} to come"


@dataclass(frozen=True)
class OrderNow:
    order: Order
    lines: tuple[LineNow, ...]

    @property
    def totals(self) -> str:
        return totals_words(line.total for line in self.lines if line.total)

    @property
    def without_price(self) -> int:
        return sum(line.total is None for line in self.lines)

    @property
    def left(self) -> int:
        return sum(line.left for line in self.lines)

    @property
    def is_late(self) -> bool:
        expected = self.order.expected_on
        return self.order.state == OrderState.SENT and expected is not None and expected < timezone.localdate()

    @property
    def state_words(self) -> str:
        order = self.order
        if order.state != OrderState.SENT:
            return order.get_state_display()
        sent = f"Sent on {order.placed_on:%-d %B %Y}" if order.placed_on else "Sent"
        expected = f", expected on {order.expected_on:%-d %B %Y}" if order.expected_on else ""
        return f"{sent}{expected}{', late' if self.is_late else ''}; {self.left} to come"


def orders(studio: Studio, states: Iterable[str] | None = None) -> list[OrderNow]:
    """The orders, the newest first, with their lines; three queries."""
    rows = Order.objects.filter(studio=studio).select_related("supplier", "by").prefetch_related("lines__item")
    if states is not None:
        rows = rows.filter(state__in=list(states))
    found = list(rows)
    came = came_by_line([line for order in found for line in order.lines.all()])
    return [OrderNow(one, tuple(LineNow(line, came.get(line.pk, 0)) for line in one.lines.all())) for one in found]


def orders_of(studio: Studio) -> "QuerySet[Order]":
    return Order.objects.filter(studio=studio).select_related("supplier", "studio", "by")


@dataclass(frozen=True)
class ParcelNow:
    """A delivery with what was in it and the containers that came of it."""

    delivery: Delivery
    words: tuple[str, ...]
    tubes: tuple[Tube, ...]

    @property
    def can_be_taken_back(self) -> bool:
        return self.delivery.taken_back_at is None


@dataclass(frozen=True)
class OrderPage:
    now: OrderNow
    parcels: tuple[ParcelNow, ...]
    returnable: tuple[Tube, ...]
    """Containers that came with this order and are still on the shelf."""

    @cached_property
    def seen(self) -> int:
        return len(self.parcels)


def order_page(order: Order) -> OrderPage:
    """One order with its parcels; four queries, and one for each parcel that came."""
    lines = list(order.lines.select_related("item", "offer"))
    came = came_by_line(lines)
    now = OrderNow(order, tuple(LineNow(line, came.get(line.pk, 0)) for line in lines))
    inside = Prefetch("lines", DeliveryLine.objects.select_related("order_line"))
    parcels, returnable = [], []
    for delivery in order.deliveries.select_related("by").prefetch_related(inside):
        delivery.order = order
        entries: list[Entry] = [] if delivery.returned else entries_of(delivery)
        tubes = tuple(entry.tube for entry in entries)
        words = tuple(f"{line.containers} × {line.order_line.name}" for line in delivery.lines.all())
        parcels.append(ParcelNow(delivery, words, tubes))
        if delivery.taken_back_at is None:
            returnable += [tube for tube in tubes if tube.state != TubeState.EMPTY]
    return OrderPage(now, tuple(parcels), tuple(returnable))


def entries_of(delivery: Delivery) -> list[Entry]:
    """The first entries of the containers that came with it, in order; one query."""
    begin = Q(key__startswith=f"delivery-{delivery.pk}-")
    rows = Entry.objects.filter(begin, studio=delivery.order.studio_id, kind=EntryKind.RECEIVED)
    return list(rows.select_related("tube__item").order_by("pk"))


def line_of(entry: Entry) -> int:
    """The order line with which a container came."""
    assert entry.key is not None  # noqa: S101  # found by its key
    return int(entry.key.split("/")[0].rsplit("-", 1)[1])
