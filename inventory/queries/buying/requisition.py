"""What is wanted or ordered as a finished list, for paper and for a table."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from inventory.models import Order, OrderLine, Paint, Substitute
from inventory.queries.buying.orders import LineNow
from inventory.queries.buying.suppliers import next_order_day
from inventory.queries.buying.wants import WantRow, wants
from inventory.stock.amounts import exact
from inventory.stock.prices import money_words, totals_words
from studio.models import Studio


@dataclass(frozen=True)
class RequisitionLine:
    """One thing to be bought, as the supplier and whoever unpacks it need to read it."""

    name: str
    codes: str
    code: str
    packs: int
    pack: int
    size: str
    price: tuple[int, str] | None = None
    total: tuple[int, str] | None = None
    accepted: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class RequisitionGroup:
    supplier: str
    contact: str
    lines: tuple[RequisitionLine, ...]

    @property
    def totals(self) -> str:
        return totals_words(line.total for line in self.lines if line.total)

    @property
    def without_price(self) -> int:
        return sum(line.total is None for line in self.lines)


@dataclass(frozen=True)
class Requisition:
    """The finished content of a list of what to buy; nothing in it is looked up again."""

    studio: str
    title: str
    made_on: date
    groups: tuple[RequisitionGroup, ...]
    note: str = ""

    @property
    def totals(self) -> str:
        return totals_words(line.total for group in self.groups for line in group.lines if line.total)


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


def requisition_rows(content: Requisition) -> Iterator[list[str]]:
    """The list as a table, with a heading; prices as plain decimals with the currency beside."""
    yield [
        "Supplier",
        "Supplier's code",
        "Name",
        "Pigment codes",
        "Size",
        "Containers in a pack",
        "Packs",
        "Price of a pack",
        "Total",
        "Currency",
        "Accepted instead",
        "Not this",
    ]
    for group in content.groups:
        for line in group.lines:
            yield [
                group.supplier,
                line.code,
                line.name,
                line.codes,
                line.size,
                str(line.pack),
                str(line.packs),
                money_words(*line.price).split(" ")[0] if line.price else "",
                money_words(*line.total).split(" ")[0] if line.total else "",
                line.total[1] if line.total else "",
                "; ".join(line.accepted),
                "; ".join(line.refused),
            ]
