"""What is wanted or ordered, collected as a finished list for paper and for a table."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone

from inventory.models import Order, OrderLine, Paint, Substitute
from inventory.printing.requisition import Requisition, RequisitionGroup, RequisitionLine
from inventory.queries.buying.orders import LineNow
from inventory.queries.buying.suppliers import next_order_day
from inventory.queries.buying.wants import WantRow, wants
from inventory.stock.amounts import exact
from studio.models import Studio


def requisition(studio: Studio) -> Requisition:
    """All that is wanted, by supplier; six queries."""
    groups = wants(studio)
    items = [row.want.item_id for group in groups for row in group.rows if row.want.item_id]
    beside = _beside(items)
    day = next_order_day(studio)
    note = f"Next order date: {day.on:%-d %B %Y}" if day else ""
    return Requisition(
        studio.name,
        "What to buy",
        timezone.localdate(),
        tuple(
            RequisitionGroup(
                group.supplier.name if group.supplier else "Supplier not known",
                group.supplier.contact if group.supplier else "",
                tuple(_wanted_line(row, beside) for row in group.rows),
            )
            for group in groups
        ),
        note,
    )


def requisition_of(order: Order) -> Requisition:
    """One order as a list; four queries."""
    lines = list(order.lines.all())
    beside = _beside([line.item_id for line in lines if line.item_id])
    group = RequisitionGroup(
        order.supplier.name, order.supplier.contact, tuple(_ordered_line(line, beside) for line in lines)
    )
    title = f"Order {order.reference}" if order.reference else f"Order {order.pk}"
    return Requisition(order.studio.name, title, order.placed_on or timezone.localdate(), (group,), order.note)


@dataclass(frozen=True)
class _Beside:
    """What stands beside an item on the list."""

    codes: str = ""
    accepted: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()


def _beside(items: Iterable[int]) -> dict[int, _Beside]:
    """Pigment codes and substitutes by item; three queries."""
    chosen = list(items)
    codes = {
        paint.pk: ", ".join(line.code for line in paint.pigment_lines.all())
        for paint in Paint.objects.filter(pk__in=chosen).prefetch_related("pigment_lines")
    }
    yes: dict[int, list[str]] = {}
    no: dict[int, list[str]] = {}
    for one in Substitute.objects.filter(item__in=chosen):
        words = f"{one.words} ({one.codes})" if one.codes else one.words
        (yes if one.accepted else no).setdefault(one.item_id, []).append(words)
    return {pk: _Beside(codes.get(pk, ""), tuple(yes.get(pk, ())), tuple(no.get(pk, ()))) for pk in chosen}


def _wanted_line(row: WantRow, beside: dict[int, _Beside]) -> RequisitionLine:
    known = beside.get(row.want.item_id or 0, _Beside())
    offer, total = row.offer, row.total
    return RequisitionLine(
        name=row.want.words,
        codes=known.codes or (offer.pigment.ci_name if offer and offer.pigment else ""),
        code=offer.code if offer else "",
        packs=row.packs if offer else row.want.containers,
        pack=offer.pack if offer else 1,
        size=exact(offer.nominal_milli, offer.unit) if offer else row.size_words,
        price=(total[0] // row.packs, total[1]) if total else None,
        total=total,
        accepted=known.accepted,
        refused=known.refused,
    )


def _ordered_line(line: OrderLine, beside: dict[int, _Beside]) -> RequisitionLine:
    known = beside.get(line.item_id or 0, _Beside())
    now = LineNow(line, 0)
    return RequisitionLine(
        name=line.name,
        codes=known.codes,
        code=line.code,
        packs=line.packs,
        pack=line.pack,
        size=now.size,
        price=(line.price_minor, line.currency) if line.price_minor else None,
        total=now.total,
        accepted=known.accepted,
        refused=known.refused,
    )
