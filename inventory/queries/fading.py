"""What only fading tubes hold up on the wheel, and which lasting pigments would hold it in their place."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from inventory.colour.advice import TIE_WITHIN
from inventory.colour.coverage import opened, percent
from inventory.colour.palette import Palette
from inventory.colour.wheel import colour_limit
from inventory.models import OpticalRow, Paint
from inventory.queries.lasting import fades
from inventory.queries.palette import WorkingPalette
from inventory.queries.remembered import advice_of, reach_of
from inventory.queries.wheel import listed, regions_in_words

# What fading tubes alone hold up by less than this (percentage points) is not told.
TOLD_FROM = 0.5
BEST = 3


@dataclass(frozen=True)
class Keeper:
    """A lasting pigment: how many of the points that would fade it would hold, and how many it would add in all."""

    row: OpticalRow
    points: float
    gain: float


@dataclass(frozen=True)
class HeldByFading:
    """What goes from the wheel once the fading tubes have faded, in points of coverage and in words.

    Of the pigments that would hold as much of it the one that adds most in all comes first.
    """

    paints: tuple[Paint, ...]
    points: float
    regions: str
    keepers: tuple[Keeper, ...]

    @property
    def words(self) -> str:
        names = listed([f"{paint.name} ({fades(paint)})" for paint in self.paints])
        one = len(self.paints) == 1
        where = f": {self.regions}" if self.regions else ""
        return (
            f"Only while {'it lasts' if one else 'they last'}: {names} {'is' if one else 'are'} known to fade, and "
            f"{self.points:.1f} points rest on {'it' if one else 'them'} alone{where}."
        )

    @property
    def remedy(self) -> str:
        """Which candidate would hold most of it lastingly; those that hold as much are named with it."""
        if not self.keepers:
            return "No pigment that fits and is known as lasting would hold a part of it."
        first, *others = self.keepers
        also = [one for one in others if abs(first.points - one.points) <= TIE_WITHIN]
        as_much = f" So would {listed([_named(one.row) for one in also])}." if also else ""
        return (
            f"Lastingly, {_named(first.row)} would hold {first.points:.1f} of these points, and add {first.gain:.1f} "
            f"points in all to what does not fade.{as_much}"
        )


def fading_of(one: WorkingPalette) -> tuple[Paint, ...]:
    """The paints of a palette that are known to fade; what is not known is not among them."""
    return tuple(paint for paint in one.paints.values() if fades(paint))


def without_fading(one: WorkingPalette) -> WorkingPalette:
    """The palette of what is not known to fade."""
    gone: set[Hashable] = {paint.pk for paint in fading_of(one)}
    kept = one.palette.take([place for place, pk in enumerate(one.palette.ids) if pk not in gone])
    return replace(
        one,
        palette=kept,
        paints={pk: paint for pk, paint in one.paints.items() if pk not in gone},
        curves={pk: curve for pk, curve in one.curves.items() if pk not in gone},
    )


def held_by_fading(one: WorkingPalette, offered: Palette, rows: Mapping[Hashable, OpticalRow]) -> HeldByFading | None:
    """What the fading tubes of a palette hold up alone; None where that is next to nothing.

    `offered` are the lasting candidates, `rows` what each of them is by id.
    """
    fading = fading_of(one)
    lasting = without_fading(one).palette
    if not fading or not len(lasting):
        return None
    limit = colour_limit()
    whole, left = reach_of(one.palette).chroma, reach_of(lasting).chroma
    points = percent(whole, limit) - percent(left, limit)
    if points < TOLD_FROM:
        return None
    keepers = []
    for advice in advice_of(lasting, offered) if len(offered) else ():
        kept = percent(np.minimum(whole, np.maximum(left, advice.chroma)), limit) - percent(left, limit)
        if kept >= TIE_WITHIN:
            keepers.append(Keeper(rows[advice.id], kept, advice.gain))
    most = max((keeper.points for keeper in keepers), default=0.0)
    keepers.sort(key=lambda keeper: (keeper.points < most - TIE_WITHIN, -keeper.gain, -keeper.points))
    return HeldByFading(fading, points, regions_in_words(opened(left, whole, limit)), tuple(keepers[:BEST]))


def _named(row: OpticalRow) -> str:
    return f"{row.pigment} {row}"
