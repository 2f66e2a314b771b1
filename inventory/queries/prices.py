"""Reads about prices: offers with what a millilitre costs, prices over time, and what tinting strength costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from inventory.colour.recovery import Basis
from inventory.models import Item, Offer, Paint
from inventory.queries.buying.offers import as_pack_offer, current_offers, newest
from inventory.queries.mixable import bench
from inventory.queries.strength import strengths
from inventory.stock.amounts import exact
from inventory.stock.packs import Purchase, cheapest_by_currency
from inventory.stock.plots import Plot, plot
from inventory.stock.prices import UnitPrice, money_words, strength_price, unit_price
from studio.models import Studio

# A price that nobody wrote down again for so long is told with its age.
OLD_DAYS = 365
MEASURED = (Basis.MEASURED, Basis.TINTED)
STRENGTH_WORDS = (
    "Strength here is relative tinting strength, worked out from measured tints of this studio: 100 for the strongest "
    "measured paint of the binder. A paint of half the strength needs twice as much for one tint, so its price for a "
    "millilitre is divided by its strength. Where no tint was measured the strength is not known."
)


@dataclass(frozen=True)
class OfferRow:
    """An offer as a page shows it on one day."""

    offer: Offer
    today: date

    @property
    def price(self) -> str:
        return money_words(self.offer.price_minor, self.offer.currency)

    @property
    def size(self) -> str:
        size = exact(self.offer.nominal_milli, self.offer.unit)
        return f"{self.offer.pack} × {size}" if self.offer.pack > 1 else size

    @property
    def each(self) -> UnitPrice:
        one = self.offer
        return unit_price(
            one.price_minor, one.currency, nominal_milli=one.nominal_milli, unit=one.unit, containers=one.pack
        )

    @property
    def breaks(self) -> list[str]:
        """From 6 packs on 5.90 EUR each."""
        return [
            f"from {one.from_packs} packs on {money_words(one.price_minor, self.offer.currency)} each"
            for one in self.offer.breaks.all()
        ]

    @property
    def is_over(self) -> bool:
        return self.offer.valid_until is not None and self.offer.valid_until < self.today

    @property
    def dates(self) -> str:
        """What is to be known of its dates; empty where none was said."""
        one = self.offer
        if one.withdrawn_at is not None:
            return f"withdrawn on {timezone.localdate(one.withdrawn_at):%-d %B %Y}"
        if self.is_over:
            return f"over since {one.valid_until:%-d %B %Y}"
        if one.valid_from > self.today:
            return f"from {one.valid_from:%-d %B %Y} on"
        return f"until {one.valid_until:%-d %B %Y}" if one.valid_until else ""

    @property
    def state(self) -> str:
        """The same of an offer that stands, with its age where it is old."""
        if not self.dates and (self.today - self.offer.valid_from).days > OLD_DAYS:
            return f"written down on {self.offer.valid_from:%-d %B %Y}: ask whether it still stands"
        return self.dates


def rows_of(offers: Iterable[Offer]) -> list[OfferRow]:
    today = timezone.localdate()
    return [OfferRow(offer, today) for offer in offers]


def offers(studio: Studio, *, search: str = "", supplier: int | None = None, past: bool = False) -> QuerySet[Offer]:
    """The last price of each product by name; `past` shows what is over, withdrawn or replaced by a newer price."""
    today = timezone.localdate()
    over = Q(valid_until__lt=today) | Q(supplier__removed_at__isnull=False) | Q(withdrawn_at__isnull=False)
    over |= Q(Exists(_newer(today)))
    rows = Offer.objects.of(studio).filter(over if past else ~over)
    if search:
        rows = rows.filter(
            Q(name__icontains=search)
            | Q(code__icontains=search)
            | Q(pigment__ci_name__iexact=search)
            | Q(item__paint__pigment_lines__pigment__ci_name__iexact=search)
        ).distinct()
    if supplier is not None:
        rows = rows.filter(supplier=supplier)
    rows = rows.select_related("supplier", "item__paint", "pigment").prefetch_related("breaks")
    return rows.order_by("name", "nominal_milli", "-valid_from", "-pk")


def _newer(today: date) -> QuerySet[Offer]:
    """Later prices of the same product, size and pack at the same supplier, that began already."""
    same = {name: OuterRef(name) for name in ("supplier", "nominal_milli", "unit", "pack", "currency")}
    product = Q(item=OuterRef("item")) | Q(item=None, name=OuterRef("name"))
    later = Q(valid_from__gt=OuterRef("valid_from")) | Q(valid_from=OuterRef("valid_from"), pk__gt=OuterRef("pk"))
    return Offer.objects.filter(product, later, withdrawn_at=None, valid_from__lte=today, **same)


# --- one paint or material


@dataclass(frozen=True)
class Strength:
    """Relative tinting strength of a paint, where the studio's own tints were measured."""

    percent: float
    standard: str

    @property
    def words(self) -> str:
        return f"{self.percent:.0f} % of {self.standard}"


@dataclass(frozen=True)
class PricePlot:
    """Prices of one currency and unit over time."""

    currency: str
    unit: str
    drawing: Plot


@dataclass(frozen=True)
class ItemPrices:
    """The prices of one paint or material: those that stand, and all that were written down, the newest first."""

    item: Item
    standing: tuple[OfferRow, ...]
    all: tuple[OfferRow, ...]
    plots: tuple[PricePlot, ...]
    strength: Strength | None

    def of_strength(self, row: OfferRow) -> str:
        if self.strength is None or row.offer.unit != "ml":
            return ""
        return strength_price(row.each, self.strength.percent).words

    @property
    def with_strength(self) -> list[tuple[OfferRow, str]]:
        return [(row, self.of_strength(row)) for row in self.standing]


def item_prices(studio: Studio, item: Item) -> ItemPrices:
    rows = Offer.objects.of(studio).filter(item=item).select_related("supplier").prefetch_related("breaks")
    everything = list(rows.order_by("-valid_from", "-pk"))
    today = timezone.localdate()
    stand = [
        offer
        for offer in newest(one for one in everything if one.withdrawn_at is None and one.valid_from <= today)
        if offer.supplier.removed_at is None and (offer.valid_until is None or offer.valid_until >= today)
    ]
    standing = sorted(rows_of(stand), key=lambda row: (row.offer.currency, row.offer.unit, row.each.minor))
    paint: Paint | None = getattr(item, "paint", None)
    found = strengths_measured(studio, paint.binder) if paint is not None and stand else {}
    return ItemPrices(
        item,
        tuple(standing),
        tuple(rows_of(everything)),
        tuple(_plots([one for one in everything if one.withdrawn_at is None])),
        found.get(item.pk),
    )


def _plots(rows: list[Offer]) -> Iterable[PricePlot]:
    """One drawing a currency and unit, with a line for each supplier, size and pack; a single price is no course."""
    groups: dict[tuple[str, str], dict[str, list[tuple[date, Fraction]]]] = {}
    for row in rows_of(sorted(rows, key=lambda one: (one.valid_from, one.pk))):
        line = f"{row.offer.supplier}, {row.size}"
        lines = groups.setdefault((row.offer.currency, row.offer.unit), {})
        lines.setdefault(line, []).append((row.offer.valid_from, row.each.minor))
    for (currency, unit), lines in sorted(groups.items()):
        if any(len(points) > 1 for points in lines.values()):
            yield PricePlot(currency, unit, plot(lines, currency, unit, until=timezone.localdate()))


def strengths_measured(studio: Studio, binder: str) -> dict[int, Strength]:
    """Relative tinting strength by paint, of those in stock whose own tints were measured; the strongest is 100."""
    found = strengths(bench(studio), binder)
    measured = [
        row for row in found.rows if row.one.sure is not None and row.one.sure.basis in MEASURED and row.percent > 0.0
    ]
    if not measured:
        return {}
    strongest = max(measured, key=lambda row: row.percent)
    return {row.one.pk: Strength(100.0 * row.percent / strongest.percent, strongest.one.paint.name) for row in measured}


# --- the cheapest packs


@dataclass(frozen=True)
class Cheapest:
    """The cheapest packs that reach an amount, in each currency by itself."""

    need: str
    purchases: tuple[Purchase, ...]

    @property
    def rows(self) -> list["PurchaseRow"]:
        return [PurchaseRow(one) for one in self.purchases]


@dataclass(frozen=True)
class PurchaseRow:
    purchase: Purchase

    @property
    def words(self) -> list[str]:
        return [
            f"{one.packs} × {_pack(one.offer.pack)}{exact(one.offer.nominal_milli, one.offer.unit)} at "
            f"{money_words(one.pack_price_minor, one.offer.currency)}"
            for one in self.purchase.chosen
        ]

    @property
    def total(self) -> str:
        return money_words(self.purchase.total_minor, self.purchase.currency)

    @property
    def amount(self) -> str:
        return exact(self.purchase.amount_milli, self.purchase.unit)

    @property
    def surplus(self) -> str:
        return exact(self.purchase.surplus, self.purchase.unit) if self.purchase.surplus else ""


def _pack(pack: int) -> str:
    return f"pack of {pack} × " if pack > 1 else ""


def cheapest_of(standing: Iterable[OfferRow], need_milli: int, unit: str) -> Cheapest:
    """What to buy for so much; ValueError says why nothing can be said."""
    fitting = [row.offer for row in standing if row.offer.unit == unit]
    if not fitting:
        raise ValueError(f"No offer that stands is in {unit}.")
    return Cheapest(exact(need_milli, unit), cheapest_by_currency(need_milli, map(as_pack_offer, fitting)))


# --- the paints of one binder side by side


@dataclass(frozen=True)
class Compared:
    """The cheapest standing offer for a millilitre of one paint, and what its strength costs where it is known."""

    item: Item
    row: OfferRow
    strength: Strength | None

    @property
    def of_strength(self) -> UnitPrice | None:
        return strength_price(self.row.each, self.strength.percent) if self.strength else None


@dataclass(frozen=True)
class Comparison:
    """Paints of one binder by the price of a millilitre, one list a currency."""

    currency: str
    rows: tuple[Compared, ...]


def comparison(studio: Studio, binder: str) -> list[Comparison]:
    """Those whose strength is known first, by what it costs; then the others by the price of a millilitre."""
    known = strengths_measured(studio, binder)
    best: dict[tuple[str, int], OfferRow] = {}
    for row in rows_of(newest(current_offers(studio))):
        item = row.offer.item
        if item is None or row.offer.unit != "ml" or getattr(getattr(item, "paint", None), "binder", "") != binder:
            continue
        place = (row.offer.currency, item.pk)
        if place not in best or row.each.minor < best[place].each.minor:
            best[place] = row
    lists: dict[str, list[Compared]] = {}
    for (currency, pk), row in best.items():
        assert row.offer.item is not None  # noqa: S101  # looked at above
        lists.setdefault(currency, []).append(Compared(row.offer.item, row, known.get(pk)))
    order = sorted(lists, key=lambda currency: (currency != studio.currency, currency))
    return [Comparison(currency, tuple(sorted(lists[currency], key=_by_price))) for currency in order]


def _by_price(one: Compared) -> tuple[bool, Fraction, str]:
    price = one.of_strength
    return (price is None, price.minor if price else one.row.each.minor, one.item.name)
