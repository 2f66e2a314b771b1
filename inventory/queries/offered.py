"""What suppliers ask for pigments: the cheapest standing offer of each, in the studio's currency before any other.

Currencies are never turned into one another, so an offer in another one is shown and not compared.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from inventory.colour.curves import choose_row
from inventory.models import Binder, Offer, OpticalRow, PaintPigment
from inventory.queries.buying.offers import newest
from inventory.queries.palette import band_row
from inventory.stock.prices import money_words, unit_price
from studio.models import Studio


@dataclass(frozen=True)
class Price:
    """The cheapest offer of one pigment; `comparable` where it is in the studio's currency."""

    offer: Offer
    comparable: bool

    @property
    def minor(self) -> int:
        """Of one pack: what has to be paid at the least."""
        return self.offer.price_minor

    @property
    def short(self) -> str:
        """Such as "8.90 EUR for 37 ml"."""
        one = self.offer
        size = f"{one.nominal_milli / 1000:g} {one.unit}"
        return f"{money_words(one.price_minor, one.currency)} for {size if one.pack == 1 else f'{one.pack} of {size}'}"

    @property
    def words(self) -> str:
        """Such as "8.90 EUR for 37 ml, 0.241 EUR per ml: Quinacridone Rose, from Northgate Supplies"."""
        one = self.offer
        each = unit_price(
            one.price_minor, one.currency, nominal_milli=one.nominal_milli, unit=one.unit, containers=one.pack
        )
        said = f"{self.short}, {each.words}: {one.name}, from {one.supplier}"
        return said if self.comparable else f"{said} (another currency, not compared)"


def cheapest(studio: Studio, binder: str, rows: Sequence[OpticalRow]) -> dict[int, Price]:
    """By key of the row, its cheapest offer that stands today in this binder; two queries.

    An offer counts for a pigment where it names it, or a paint that holds it alone. One whose binder is not said counts
    as well; of the prices of one product the last. Of a pigment sold in several colours the name in the offer decides.
    """
    today = timezone.localdate()
    offers = list(
        Offer.objects.of(studio)
        .standing()
        .filter(Q(valid_until=None) | Q(valid_until__gte=today), valid_from__lte=today)
        .exclude(item=None, pigment=None)
        .select_related("supplier", "item__paint")
    )
    single = _single_pigments(one.item_id for one in offers if one.item_id is not None)
    by_pigment: dict[int, list[OpticalRow]] = defaultdict(list)
    for row in rows:
        by_pigment[row.pigment_id].append(row)
    found: dict[int, Price] = {}
    for offer in newest(offers):
        pigment, shade, paint_binder = offer.pigment_id, None, offer.binder
        if offer.item_id is not None:
            pigment, shade = single.get(offer.item_id, (None, None))
            paint_binder = getattr(getattr(offer.item, "paint", None), "binder", offer.binder)
        if pigment is None or paint_binder not in (binder, Binder.UNKNOWN):
            continue
        price = Price(offer, offer.currency == studio.currency)
        for row in _meant(by_pigment.get(pigment, []), shade, offer.name):
            there = found.get(row.pk)
            if there is None or _before(price, there):
                found[row.pk] = price
    return found


def _single_pigments(items: Iterable[int]) -> Mapping[int, tuple[int, int | None]]:
    """By paint, the one pigment that it holds and its shade."""
    lines: dict[int, list[PaintPigment]] = defaultdict(list)
    for line in PaintPigment.objects.filter(paint__in=set(items)):
        lines[line.paint_id].append(line)
    return {
        paint: (only[0].pigment_id, only[0].shade_id)
        for paint, only in lines.items()
        if len(only) == 1 and only[0].pigment_id is not None
    }


def _meant(rows: Sequence[OpticalRow], shade: int | None, name: str) -> Sequence[OpticalRow]:
    if shade is not None:
        return [row for row in rows if row.pk == shade]
    if len(rows) < 2:
        return rows
    chosen = choose_row([band_row(row) for row in rows], name).row
    return rows if chosen is None else [row for row in rows if row.name == chosen.name]


def _before(one: Price, other: Price) -> bool:
    if one.comparable != other.comparable:
        return one.comparable
    return one.offer.currency == other.offer.currency and one.minor < other.minor
