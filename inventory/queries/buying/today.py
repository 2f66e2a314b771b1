"""What buying asks about on the first page."""

from collections.abc import Iterator
from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from inventory.models import Order, OrderState
from inventory.queries.buying.suppliers import next_order_day
from inventory.queries.buying.wants import open_wants
from studio.attention import Attention, Urgency
from studio.models import Studio

# Days ahead of an order date on which the first page begins to speak of it.
ORDER_DAY_NEAR = 21


def order_day_near(studio: Studio) -> Iterator[Attention]:
    """An order date of the next weeks, with how much waits on the list; two queries at most."""
    day = next_order_day(studio)
    if day is None or day.on > timezone.localdate() + timedelta(days=ORDER_DAY_NEAR):
        return
    waiting = open_wants(studio).count()
    lines = "1 line waits" if waiting == 1 else f"{waiting} lines wait"
    at = f" at {day.supplier}" if day.supplier else ""
    yield Attention(
        Urgency.SHORT,
        f"The next order date{at} is {day.on:%-d %B %Y}; {lines} on the list of what to buy.",
        "Look at the list",
        reverse("inventory:buying", args=[studio.slug]),
    )


def orders_late(studio: Studio) -> Iterator[Attention]:
    """Orders whose day is over; one query."""
    rows = Order.objects.filter(studio=studio, state=OrderState.SENT, expected_on__lt=timezone.localdate())
    found = list(rows.select_related("supplier").order_by("expected_on", "pk")[:4])
    for order in found[:3]:
        words = str(order)
        yield Attention(
            Urgency.SHORT,
            f"{words[:1].upper()}{words[1:]} from {order.supplier} was expected on {order.expected_on:%-d %B %Y}."
            if order.reference
            else f"{words[:1].upper()}{words[1:]} was expected on {order.expected_on:%-d %B %Y}.",
            "Look at the order",
            reverse("inventory:order", args=[studio.slug, order.pk]),
        )
    if len(found) > 3:
        url = reverse("inventory:orders", args=[studio.slug])
        yield Attention(Urgency.SHORT, "More orders are late.", "Look at the orders", url)
