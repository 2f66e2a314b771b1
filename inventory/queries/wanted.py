"""What a tube that might be bought must be, and which pigments are that: marks, metals, house rules, prices."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from inventory import restrictions
from inventory.models import Group, OpticalRow, Pigment
from inventory.queries.offered import Price, cheapest
from inventory.queries.pigment_words import METAL_WORDS
from inventory.queries.wheel import listed
from inventory.restrictions import Restriction
from inventory.stock.prices import money_words
from studio.models import Studio

# Our reading of the marks as the reference table has them: common practice, no source.
TRANSPARENT = ("transparent",)
LASTING = ("I", "II")


@dataclass(frozen=True)
class Wanted:
    """What a candidate must be. Marks are known ones: a pigment whose mark is not known is left out, and counted."""

    transparent: bool = False
    lasting: bool = False
    without: tuple[str, ...] = ()
    """Metals as their symbols in METAL_WORDS; chromium stands for both of its kinds."""
    instead_of: int | None = None
    group: Group | None = None
    """For whom the house rules are asked; None asks those for everybody."""
    most_minor: int | None = None
    """The most that a pack may cost, in the smallest coin of the studio's currency."""
    lasting_stock: bool = False
    """Paints in stock that are known to fade do not count."""

    @property
    def is_plain(self) -> bool:
        return self == Wanted(instead_of=self.instead_of)

    def refusal(self, pigment: Pigment, binder: str) -> str:
        """Why a pigment is left out by its marks in a binder; empty where it is not."""
        if self.without:
            found = [metal for metal in pigment.metal_list if metal in self.without]
            if found:
                return f"with {listed([METAL_WORDS[metal] for metal in found])}"
        if self.transparent and pigment.opacity_typical not in TRANSPARENT:
            return "transparency not known" if not pigment.opacity_typical else "not transparent"
        mark = pigment.lightfastness_in(binder)
        if self.lasting and mark not in LASTING:
            return "less lasting" if mark else "lightfastness not known"
        return ""


@dataclass(frozen=True)
class Sifted:
    """The pigments that fit, those that a house rule keeps out, and how many were left out for which other reason."""

    rows: tuple[OpticalRow, ...]
    barred: tuple[OpticalRow, ...]
    refused: Mapping[str, int]
    restrictions: Mapping[int, tuple[Restriction, ...]]
    """By pigment."""
    prices: Mapping[int, Price]
    """By row."""

    def forbids(self, pigment: int) -> tuple[Restriction, ...]:
        return tuple(one for one in self.restrictions.get(pigment, ()) if one.forbids)

    @cached_property
    def warns_of_all(self) -> tuple[Restriction, ...]:
        """The warnings of every pigment that fits, to be said once; of one pigment alone there are none."""
        of_each = [self.warns(pigment) for pigment in {row.pigment_id for row in self.rows}]
        if len(of_each) < 2:
            return ()
        return tuple(one for one in of_each[0] if all(one in others for others in of_each))

    def warns(self, pigment: int) -> tuple[Restriction, ...]:
        return tuple(one for one in self.restrictions.get(pigment, ()) if not one.forbids)

    def told_beside(self, pigment: int) -> tuple[Restriction, ...]:
        """The warnings of one pigment that are not those of all."""
        return tuple(one for one in self.warns(pigment) if one not in self.warns_of_all)


def sifted(studio: Studio, binder: str, wanted: Wanted, rows: Sequence[OpticalRow]) -> Sifted:
    """Hold every pigment against what is wanted; two queries, and those of the house rules."""
    prices = cheapest(studio, binder, rows)
    pigments = list({row.pigment_id: row.pigment for row in rows}.values())
    said = restrictions.of_pigments(studio, wanted.group, pigments)
    kept, barred = [], []
    refused: Counter[str] = Counter()
    for row in rows:
        reason = wanted.refusal(row.pigment, binder) or _too_dear(
            prices.get(row.pk), wanted.most_minor, studio.currency
        )
        if reason:
            refused[reason] += 1
        elif any(one.forbids for one in said.get(row.pigment_id, ())):
            barred.append(row)
        else:
            kept.append(row)
    return Sifted(tuple(kept), tuple(barred), refused, said, prices)


def _too_dear(price: Price | None, most: int | None, currency: str) -> str:
    if most is None:
        return ""
    if price is None:
        return "without a price here"
    if not price.comparable:
        return "offered in another currency alone"
    return f"above {money_words(most, currency)}" if price.minor > most else ""
