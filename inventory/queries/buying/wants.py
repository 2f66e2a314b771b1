"""What is to be bought, why, and at whom."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from inventory.models import Item, Offer, OrderDay, OrderState, Substitute, Supplier, Tube, Unit, Want
from inventory.queries.buying.offers import best_offer, current_offers, fits, packs_for, total_of
from inventory.queries.buying.orders import OnOrder, OrderNow, on_order, orders
from inventory.queries.buying.suppliers import next_order_day
from inventory.queries.levels import levels
from inventory.queries.reorder import reorder_advice
from inventory.stock.amounts import exact
from inventory.stock.prices import money_words, totals_words
from studio.models import Studio


def open_wants(studio: Studio) -> QuerySet[Want]:
    """The lines that are neither ordered nor dropped."""
    return Want.objects.filter(studio=studio, dropped_at=None, order_line=None)


@dataclass(frozen=True)
class Advice:
    """Something to put on the list, with the reason. `nominal_milli` None: in any size."""

    item: Item
    containers: int
    why: str
    nominal_milli: int | None = None
    unit: str = Unit.ML
    more: tuple[tuple[int, int], ...] = ()
    """What is bought in further sizes: how many, and the size in thousandths of the unit."""

    @property
    def parts(self) -> list[tuple[int, str]]:
        """How many of which size; an empty size is any."""
        first = exact(self.nominal_milli, self.unit) if self.nominal_milli else ""
        return [(self.containers, first), *((number, exact(milli, self.unit)) for number, milli in self.more)]

    @property
    def words(self) -> str:
        """1 of 37 ml and 1 of 150 ml."""
        return " and ".join(f"{number} of {size}" if size else str(number) for number, size in self.parts)


def below_levels(studio: Studio) -> list[Advice]:
    """What is below the level that somebody set, in the size that came last; two queries."""
    short = [row for row in levels(studio) if row.is_short]
    sizes = last_sizes([row.item.pk for row in short])
    found = []
    for row in short:
        size, unit = sizes.get(row.item.pk, (None, row.level.unit))
        containers = row.answer.suggested_tubes or 1
        found.append(Advice(row.item, containers, row.answer.reason, size, unit))
    return found


def from_use(studio: Studio) -> list[Advice]:
    """What the forecast of its use says is short, in the packs that cost least; else in the size that came last."""
    rows = [row for row in reorder_advice(studio) if row.advice.short_milli and row.advice.up_to_milli is not None]
    sizes = last_sizes([row.item.pk for row in rows])
    found = []
    for row in rows:
        if row.bought:
            by_size: dict[int, int] = {}
            for offer, packs in row.bought:
                by_size[offer.nominal_milli] = by_size.get(offer.nominal_milli, 0) + packs * offer.pack
            (size, containers), *others = by_size.items()
            more = tuple((number, milli) for milli, number in others)
            found.append(Advice(row.item, containers, row.advice.sentence, size, row.unit, more))
            continue
        size, unit = sizes.get(row.item.pk, (0, row.unit))
        if size and unit == row.unit:
            found.append(Advice(row.item, -(-row.advice.short_milli // size), row.advice.sentence, size, unit))
    return found


# Who gives advice for the page of what to buy. Each takes the studio and answers in a bounded number of queries;
# an item that an earlier one names is not named again.
ADVISERS: list[Callable[[Studio], list[Advice]]] = [from_use, below_levels]


def advice(studio: Studio) -> list[Advice]:
    named: dict[int, Advice] = {}
    for adviser in ADVISERS:
        for one in adviser(studio):
            named.setdefault(one.item.pk, one)
    return list(named.values())


def last_sizes(items: Iterable[int]) -> dict[int, tuple[int, str]]:
    """The size of the studio's container that came last, else of its members', by item; one query."""
    rows = Tube.objects.filter(item__in=list(items)).usual_last().values_list("item", "nominal_milli", "unit")
    return {item: (size, unit) for item, size, unit in rows}


@dataclass(frozen=True)
class AdviceRow:
    """A piece of advice beside what is wanted and on order of the same item already."""

    advice: Advice
    wanted: int
    coming: OnOrder | None


@dataclass(frozen=True)
class WantRow:
    """A line of the list with the best offer of the supplier under whom it stands."""

    want: Want
    offer: Offer | None
    elsewhere: tuple[str, ...] = ()
    """Prices in other currencies, which are neither dearer nor cheaper."""

    @property
    def size_words(self) -> str:
        return exact(self.want.nominal_milli, self.want.unit) if self.want.nominal_milli else "any size"

    @property
    def packs(self) -> int:
        return packs_for(self.want.containers, self.offer.pack) if self.offer else 0

    @property
    def total(self) -> tuple[int, str] | None:
        return (total_of(self.offer, self.packs), self.offer.currency) if self.offer else None

    @property
    def offer_words(self) -> str:
        """2 of 40 ml at 6.95 EUR: 13.90 EUR."""
        if self.offer is None or self.total is None:
            return "No offer is known."
        pack = f"packs of {self.offer.pack}, each " if self.offer.pack > 1 else ""
        each = money_words(self.total[0] // self.packs, self.offer.currency)
        size = exact(self.offer.nominal_milli, self.offer.unit)
        return f"{self.packs} × {pack}{size} at {each}: {money_words(*self.total)}"


@dataclass(frozen=True)
class WantGroup:
    """The lines that are best bought from one supplier; None: nobody is known to sell them."""

    supplier: Supplier | None
    rows: tuple[WantRow, ...]

    @property
    def totals(self) -> str:
        return totals_words(row.total for row in self.rows if row.total)


def wants(studio: Studio) -> list[WantGroup]:
    """What is wanted, by the supplier with the best offer; three queries.

    Prices are compared in the studio's currency first; those in other currencies are told beside.
    """
    lines = list(open_wants(studio).select_related("item__paint", "by"))
    offers = current_offers(studio)
    groups: dict[int | None, list[WantRow]] = {}
    known: dict[int | None, Supplier | None] = {None: None}
    for line in lines:
        row = _want_row(line, [offer for offer in offers if fits(line, offer)], studio.currency)
        supplier = row.offer.supplier if row.offer else None
        known[supplier.pk if supplier else None] = supplier
        groups.setdefault(supplier.pk if supplier else None, []).append(row)
    ordered = sorted(groups, key=lambda pk: (pk is None, known[pk].name if known[pk] else ""))  # type: ignore[union-attr]
    return [WantGroup(known[pk], tuple(groups[pk])) for pk in ordered]


def _want_row(line: Want, offers: list[Offer], own: str) -> WantRow:
    by_currency: dict[str, list[Offer]] = {}
    for offer in offers:
        by_currency.setdefault(offer.currency, []).append(offer)
    order = sorted(by_currency, key=lambda code: (code != own, code))
    if line.offer_id:
        order.sort(key=lambda code: all(offer.pk != line.offer_id for offer in by_currency[code]))
    rows = [WantRow(line, best_offer(line, by_currency[code])) for code in order]
    if not rows:
        return WantRow(line, None)
    others = tuple(f"{row.offer.supplier}: {row.offer_words}" for row in rows[1:] if row.offer)
    return WantRow(line, rows[0].offer, others)


@dataclass(frozen=True)
class BuyingPage:
    advice: tuple[AdviceRow, ...]
    groups: tuple[WantGroup, ...]
    order_day: OrderDay | None
    open_orders: tuple[OrderNow, ...]

    @property
    def wanted(self) -> int:
        return sum(len(group.rows) for group in self.groups)

    @property
    def totals(self) -> str:
        return totals_words(row.total for group in self.groups for row in group.rows if row.total)


def buying_page(studio: Studio) -> BuyingPage:
    """All that the page of what to buy shows; the number of queries does not grow with the rows."""
    groups = tuple(wants(studio))
    wanted: dict[int, int] = {}
    for row in (row for group in groups for row in group.rows):
        if row.want.item_id:
            wanted[row.want.item_id] = wanted.get(row.want.item_id, 0) + row.want.containers
    coming = on_order(studio)
    rows = (AdviceRow(one, wanted.get(one.item.pk, 0), coming.get(one.item.pk)) for one in advice(studio))
    opened = orders(studio, (OrderState.DRAFT, OrderState.SENT))
    return BuyingPage(tuple(rows), groups, next_order_day(studio), tuple(opened))


@dataclass(frozen=True)
class ItemBuying:
    """What is known about buying one item."""

    item: Item
    substitutes: tuple[Substitute, ...]
    offers: tuple[Offer, ...]
    wants: tuple[Want, ...]
    coming: OnOrder | None

    @property
    def accepted(self) -> tuple[Substitute, ...]:
        return tuple(one for one in self.substitutes if one.accepted)

    @property
    def refused(self) -> tuple[Substitute, ...]:
        return tuple(one for one in self.substitutes if not one.accepted)


def of_item(studio: Studio, item: Item) -> ItemBuying:
    """Six queries."""
    return ItemBuying(
        item,
        tuple(Substitute.objects.filter(item=item)),
        tuple(current_offers(studio, [item.pk])),
        tuple(open_wants(studio).filter(item=item)),
        on_order(studio).get(item.pk),
    )
