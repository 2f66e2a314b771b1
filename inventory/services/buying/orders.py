"""An order from its first line to its last parcel."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from inventory.models import Offer, Order, OrderLine, OrderState, Supplier, Unit, Want
from inventory.queries.buying.offers import best_offer, packs_for, price_each, standing_offers
from inventory.queries.buying.orders import came_by_line
from inventory.queries.buying.wants import open_wants
from inventory.services.buying.suppliers import hold_supplier
from inventory.services.ledger import LARGEST_MILLI, refuse
from inventory.stock.amounts import exact
from studio.models import Studio, User

MOST_PACKS = 10_000


def hold_order(order: Order, *states: OrderState) -> Order:
    """Hold the order's row until the transaction ends, as it is now; one in another state is refused."""
    held = Order.objects.select_for_update(no_key=True, of=("self",)).select_related("supplier", "studio")
    now = held.filter(pk=order.pk).first()
    if now is None:
        raise refuse("order", "This order was thrown away meanwhile: look at the orders again.")
    if states and now.state not in states:
        raise refuse("order", f"{_told(now)}: {_REMEDY[OrderState(now.state)]}")
    return now


def _told(order: Order) -> str:
    state = {
        OrderState.DRAFT: "is still being written",
        OrderState.SENT: "was sent",
        OrderState.CLOSED: "is closed",
        OrderState.CANCELLED: "was cancelled",
    }[OrderState(order.state)]
    words = str(order)
    return f"{words[:1].upper()}{words[1:]} {state}"


_REMEDY = {
    OrderState.DRAFT: "mark it as sent first.",
    OrderState.SENT: "its lines stay as they were sent. Say that the rest is not coming, or cancel it.",
    OrderState.CLOSED: "open it again first.",
    OrderState.CANCELLED: "open it again first.",
}


@transaction.atomic
def draft(studio: Studio, *, supplier: Supplier, by: User, note: str = "", reference: str = "") -> Order:
    held = hold_supplier(supplier, studio)
    order = Order(studio=studio, supplier=held, by=by, note=note, reference=reference.strip())
    order.full_clean()
    order.save()
    return order


def _check_packs(packs: int) -> None:
    if not 1 <= packs <= MOST_PACKS:
        raise refuse("packs", f"Order 1 to {MOST_PACKS} packs, not {packs}.")


@transaction.atomic
def add_line(order: Order, *, packs: int, offer: Offer, note: str = "") -> OrderLine:
    """Put so many packs of an offer on an order that is being written, at the price of that number."""
    _check_packs(packs)
    held = hold_order(order, OrderState.DRAFT)
    if offer.supplier_id != held.supplier_id:
        raise refuse("offer", f"{offer} is not an offer of {held.supplier}: choose one of theirs.")
    if Offer.objects.filter(pk=offer.pk, withdrawn_at=None).first() is None:
        raise refuse("offer", f"The offer of {offer.name} was withdrawn meanwhile: choose another.")
    line = _line(held, offer, packs)
    line.note = note
    line.full_clean()
    line.save()
    return line


def _line(order: Order, offer: Offer, packs: int) -> OrderLine:
    return OrderLine(
        order=order,
        item_id=offer.item_id,
        offer=offer,
        name=offer.name,
        code=offer.code,
        packs=packs,
        pack=offer.pack,
        nominal_milli=offer.nominal_milli,
        unit=offer.unit,
        price_minor=price_each(offer, packs),
        currency=offer.currency,
    )


@transaction.atomic
def change_line(line: OrderLine, *, packs: int) -> OrderLine:
    """Another number of packs, at the offer's price for that number."""
    _check_packs(packs)
    hold_order(line.order, OrderState.DRAFT)
    line.packs = packs
    if line.offer is not None:
        line.price_minor = price_each(line.offer, packs)
    line.save(update_fields=["packs", "price_minor"])
    return line


@transaction.atomic
def remove_line(line: OrderLine) -> None:
    """Take the line off a draft; what was wanted is back on the list."""
    hold_order(line.order, OrderState.DRAFT)
    OrderLine.objects.filter(pk=line.pk).delete()


@transaction.atomic
def draft_from_wants(studio: Studio, *, supplier: Supplier, wants: Iterable[Want], by: User) -> Order:
    """Turn lines of the list into an order; what this supplier does not offer is ordered without a price."""
    chosen = sorted({line.pk for line in wants})
    held = hold_supplier(supplier, studio)
    rows = open_wants(studio).filter(pk__in=chosen).select_related("item").select_for_update(of=("self",), no_key=True)
    lines = list(rows.order_by("pk"))
    if not lines or len(lines) < len(chosen):
        raise refuse(
            "wants", "Some of these lines were ordered or dropped meanwhile: look at the list, then choose again."
        )
    order = draft(studio, supplier=held, by=by)
    offers: dict[str, list[Offer]] = {}
    for offer in standing_offers(held, timezone.localdate()):
        offers.setdefault(offer.currency, []).append(offer)
    for want in lines:
        best = _best_in_first_currency(want, studio, offers)
        line = _line(order, best, packs_for(want.containers, best.pack)) if best else _line_without(order, want)
        line.note = want.why[:200]
        line.full_clean()
        line.save()
        want.order_line = line
        want.save(update_fields=["order_line"])
    return order


def _best_in_first_currency(want: Want, studio: Studio, offers: dict[str, list[Offer]]) -> Offer | None:
    """The studio's own currency first: a price in another one is neither dearer nor cheaper."""
    for currency in sorted(offers, key=lambda code: (code != studio.currency, code)):
        if (best := best_offer(want, offers[currency])) is not None:
            return best
    return None


def _line_without(order: Order, want: Want) -> OrderLine:
    size = want.nominal_milli
    if size is None:
        last = want.item.tubes.order_by("-pk").first() if want.item else None
        if last is None:
            raise refuse(
                "wants",
                f"{order.supplier} has no offer for {want.words}, and no size is known: enter its offer, or a size on "
                "the list.",
            )
        size, want.unit = last.nominal_milli, last.unit
    if not 0 < size <= LARGEST_MILLI:
        raise refuse("wants", f"{want.words}: {exact(size, want.unit)} is no size: change it on the list.")
    return OrderLine(
        order=order,
        item=want.item,
        name=want.words,
        packs=want.containers,
        nominal_milli=size,
        unit=Unit(want.unit),
    )


@transaction.atomic
def mark_sent(
    order: Order, *, placed_on: date | None = None, expected_on: date | None = None, reference: str = ""
) -> Order:
    """It was sent; the day on which it should come follows from the lead time where nobody says it."""
    held = hold_order(order, OrderState.DRAFT)
    today = timezone.localdate()
    placed = placed_on or today
    if placed > today:
        raise refuse("placed_on", f"{placed:%-d %B %Y} is still to come: enter the day on which it was sent.")
    if expected_on is not None and expected_on < placed:
        raise refuse("expected_on", f"{expected_on:%-d %B %Y} is before {placed:%-d %B %Y}, when it was sent.")
    if not held.lines.exists():
        raise refuse("order", "Nothing is on this order: add a line first.")
    lead = held.supplier.lead_days
    held.state, held.placed_on = OrderState.SENT, placed
    held.expected_on = expected_on or (placed + timedelta(days=lead) if lead is not None else None)
    held.reference = reference.strip() or held.reference
    held.full_clean()
    held.save()
    return held


@transaction.atomic
def cancel(order: Order, *, note: str = "") -> Order:
    """Nothing of it is coming. One of which something came is closed instead."""
    held = hold_order(order, OrderState.DRAFT, OrderState.SENT)
    if held.deliveries.filter(returned=False, taken_back_at=None).exists():
        raise refuse("order", "A part of it came already: say for each line that the rest is not coming instead.")
    Want.objects.filter(order_line__order=held).update(order_line=None)
    held.state, held.note = OrderState.CANCELLED, (note.strip() or held.note)
    held.save(update_fields=["state", "note"])
    return held


@transaction.atomic
def reopen(order: Order) -> Order:
    """A late parcel of a closed order, or a cancelled one that is wanted after all."""
    held = hold_order(order, OrderState.CLOSED, OrderState.CANCELLED)
    held.state = OrderState.SENT if held.placed_on else OrderState.DRAFT
    held.save(update_fields=["state"])
    return held


@transaction.atomic
def close_short(line: OrderLine) -> Order:
    """The rest of this line is not coming."""
    held = hold_order(line.order, OrderState.SENT)
    OrderLine.objects.filter(pk=line.pk).update(closed_short=True, back_ordered=False)
    return close_when_done(held)


@transaction.atomic
def expect_rest(line: OrderLine, *, back_ordered: bool) -> None:
    """The rest is coming after all, later (`back_ordered`) or with the next parcel."""
    hold_order(line.order, OrderState.SENT)
    OrderLine.objects.filter(pk=line.pk).update(closed_short=False, back_ordered=back_ordered)


def close_when_done(order: Order) -> Order:
    """Close the held order once nothing of it is to come any more."""
    came = came_by_line(order.lines.all())
    waits = any(not line.closed_short and came.get(line.pk, 0) < line.packs * line.pack for line in order.lines.all())
    if order.state == OrderState.SENT and not waits:
        order.state = OrderState.CLOSED
        order.save(update_fields=["state"])
    elif order.state == OrderState.CLOSED and waits:
        order.state = OrderState.SENT
        order.save(update_fields=["state"])
    return order
