"""Parcels that came, goods that went back, and parcels that were entered by mistake.

The containers of a delivery are found in the ledger by the key of their first entry.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import (
    Delivery,
    DeliveryLine,
    Entry,
    Item,
    Offer,
    Order,
    OrderLine,
    OrderState,
    Place,
    Tube,
    TubeState,
)
from inventory.queries.buying.orders import entries_of, line_of
from inventory.services import ledger
from inventory.services.buying.orders import close_when_done, hold_order
from inventory.services.ledger import refuse
from studio.models import User

# As many containers as the ledger takes at once.
MOST_AT_ONCE = 500


@dataclass(frozen=True)
class Arrived:
    """What came of one line. `item` is needed where the line is of something that was not on the shelf."""

    containers: int
    item: Item | None = None
    batch: str = ""


@transaction.atomic
def receive_delivery(
    order: Order,
    lines: Mapping[int, Arrived],
    *,
    by: User,
    key: str | None = None,
    place: Place | None = None,
    note: str = "",
    at: datetime | None = None,
    back_ordered: Iterable[int] = (),
    closed_short: Iterable[int] = (),
    seen: int | None = None,
) -> Delivery:
    """Put what came on the shelf, all of it or nothing.

    `lines` is by order line. More than was ordered may come. The same `key` writes once; `seen` is how many parcels
    the person saw when they began, so that two people who unpack one parcel do not enter it twice.
    """
    held = hold_order(order)
    if (earlier := _written_before(held, key, by, lines)) is not None:
        return earlier
    held = hold_order(held, OrderState.SENT)
    _refuse_unseen(held, seen)
    rows = {line.pk: line for line in held.lines.select_related("item", "offer")}
    came = {pk: one for pk, one in lines.items() if one.containers}
    _check(rows, came, [*lines, *back_ordered, *closed_short])
    if place is not None and place.studio_id != held.studio_id:
        raise refuse("place", f"{place} is not one of this studio's places.")
    if not came and not [*back_ordered, *closed_short]:
        raise refuse("containers", "Enter how many came of at least one line.")
    delivery = Delivery(order=held, at=at or timezone.now(), note=note, by=by, key=key or None)
    if came:
        delivery.full_clean(exclude=["order", "by"])
        delivery.save()
        for pk, one in sorted(came.items()):
            _put_on_shelf(delivery, rows[pk], one, place)
    held.lines.filter(pk__in=list(back_ordered)).update(back_ordered=True, closed_short=False)
    held.lines.filter(pk__in=list(closed_short)).update(closed_short=True, back_ordered=False)
    close_when_done(held)
    return delivery


def _written_before(order: Order, key: str | None, by: User, lines: Mapping[int, Arrived]) -> Delivery | None:
    if not key:
        return None
    earlier = order.deliveries.filter(key=key).first()
    if earlier is None:
        return None
    wrote = dict(earlier.lines.values_list("order_line", "containers"))
    asked = {pk: one.containers for pk, one in lines.items() if one.containers}
    if earlier.returned or earlier.by_id != by.pk or wrote != asked:
        raise refuse("key", f"The key {key} was used for another delivery: send a new one.")
    return earlier


def _refuse_unseen(order: Order, seen: int | None) -> None:
    if seen is None:
        return
    parcels = order.deliveries.select_related("by").order_by("-pk")
    if len(parcels) == seen:
        return
    last = parcels[0]
    raise refuse(
        "order",
        f"{last.by} entered a {'return' if last.returned else 'delivery'} of this order at "
        f"{timezone.localtime(last.at):%H:%M on %-d %B %Y}, while this page was open. Look at what is still to come, "
        "then send it again.",
    )


def _check(rows: Mapping[int, OrderLine], came: Mapping[int, Arrived], named: Iterable[int]) -> None:
    if strange := sorted(set(named) - set(rows)):
        raise refuse("lines", f"There is no line {strange[0]} on this order: look at the order again.")
    for pk, one in came.items():
        line = rows[pk]
        if not 1 <= one.containers <= MOST_AT_ONCE:
            raise refuse(
                "containers", f"{line.name}: receive between 1 and {MOST_AT_ONCE} containers, not {one.containers}."
            )
        if line.item is None and one.item is None:
            raise refuse("item", f"{line.name} is not on the shelf yet: add it as a paint, then choose it here.")


def _put_on_shelf(delivery: Delivery, line: OrderLine, one: Arrived, place: Place | None) -> None:
    item = line.item or one.item
    assert item is not None  # noqa: S101  # checked above
    if line.item is None:
        OrderLine.objects.filter(pk=line.pk).update(item=item)
        if line.offer_id:
            Offer.objects.filter(pk=line.offer_id, item=None).update(item=item)
    DeliveryLine.objects.create(delivery=delivery, order_line=line, containers=one.containers)
    ledger.receive(
        delivery.order.studio,
        item,
        nominal_milli=line.nominal_milli,
        unit=line.unit,
        by=delivery.by,
        count=one.containers,
        place=place,
        batch=one.batch,
        at=delivery.at,
        key=_key(delivery.pk, line.pk),
    )


def _key(delivery: int, line: int) -> str:
    return f"delivery-{delivery}-{line}"


@transaction.atomic
def send_back(
    order: Order, tubes: Iterable[int], *, by: User, why: str, replaced: bool, key: str | None = None
) -> Delivery:
    """Send containers of this order back; each leaves the shelf by an entry. `replaced`: others will come for them."""
    if not why.strip():
        raise refuse("why", "Say why they go back, so that the next reader understands.")
    held = hold_order(order)
    chosen = set(tubes)
    if key and (earlier := held.deliveries.filter(key=key).first()) is not None:
        if earlier.returned and earlier.by_id == by.pk:
            return earlier
        raise refuse("key", f"The key {key} was used for another delivery: send a new one.")
    if held.state not in (OrderState.SENT, OrderState.CLOSED):
        raise refuse("order", "Nothing of this order came, so nothing can go back.")
    of_order = {
        entry.tube_id: entry
        for parcel in held.deliveries.filter(returned=False, taken_back_at=None)
        for entry in entries_of(parcel)
    }
    if not chosen or chosen - set(of_order):
        raise refuse("tubes", "Choose containers that came with this order.")
    delivery = Delivery(order=held, returned=True, note=why.strip()[:200], by=by, key=key or None)
    delivery.full_clean(exclude=["order", "by"])
    delivery.save()
    counts: dict[int, int] = {}
    note = f"Sent back to {held.supplier} ({held}): {why.strip()}"[:300]
    for pk in sorted(chosen):
        tube = Tube.objects.select_related("item").get(pk=pk)
        try:
            ledger.discard(tube, by=by, note=note, key=f"sent-back-{delivery.pk}-{pk}")
        except ValidationError as error:
            raise refuse("tubes", " ".join(error.messages)) from error
        line = line_of(of_order[pk])
        counts[line] = counts.get(line, 0) + 1
    DeliveryLine.objects.bulk_create(
        DeliveryLine(delivery=delivery, order_line_id=line, containers=count) for line, count in sorted(counts.items())
    )
    held.lines.filter(pk__in=counts).update(closed_short=not replaced, back_ordered=replaced)
    close_when_done(held)
    return delivery


@transaction.atomic
def take_back(delivery: Delivery, *, by: User) -> Delivery:
    """It was entered by mistake: a correcting entry for each container, and what was to come is to come again."""
    held = hold_order(delivery.order)
    now = Delivery.objects.get(pk=delivery.pk)
    if now.taken_back_at is not None:
        return now
    if now.returned:
        return _take_back_return(held, now, by)
    if held.deliveries.filter(returned=True, taken_back_at=None, pk__gt=now.pk).exists():
        raise refuse("delivery", "Goods of this order went back since: this delivery cannot be taken back as a whole.")
    for entry in sorted(entries_of(now), key=lambda one: one.tube_id):
        if entry.tube.state != TubeState.SEALED or entry.tube.balance_milli != entry.tube.nominal_milli:
            raise refuse(
                "delivery",
                f"{entry.tube} was used or thrown away since, so the delivery stands. Correct that container alone.",
            )
        ledger.undo(entry, by=by, key=f"undo-{entry.pk}")
    _mark_taken_back(held, now)
    return now


def _take_back_return(order: Order, delivery: Delivery, by: User) -> Delivery:
    """The goods did not go back: their entries are undone, so that they stand on the shelf as before."""
    entries = Entry.objects.filter(studio=order.studio_id, key__startswith=f"sent-back-{delivery.pk}-")
    for entry in entries.select_related("tube__item").order_by("tube_id"):
        ledger.undo(entry, by=by, key=f"undo-{entry.pk}")
    _mark_taken_back(order, delivery)
    return delivery


def _mark_taken_back(order: Order, delivery: Delivery) -> None:
    delivery.taken_back_at = timezone.now()
    delivery.save(update_fields=["taken_back_at"])
    if not delivery.returned:
        order.lines.filter(deliveries__delivery=delivery).update(closed_short=False)
    close_when_done(order)
