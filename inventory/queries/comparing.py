"""Two sets of paints side by side: what each reaches that the other does not."""

from dataclasses import dataclass

import numpy as np

from inventory.colour.coverage import Region, opened
from inventory.colour.wheel import HUE_NAMES, HUES, VALUE_LEVELS, VALUE_WORDS, colour_limit, hue_name
from inventory.queries.wheel import Wheel, listed, regions_in_words

# Less than this in chroma is no difference that typical curves can tell.
TOLD_FROM = 3.0


@dataclass(frozen=True)
class Row:
    """One hue at one band of values: the chroma that each set reaches, and who reaches farther, in words."""

    hue: str
    symbol: str
    value: str
    first: float
    second: float
    limit: float
    farther: str


@dataclass(frozen=True)
class Comparison:
    first: Wheel
    second: Wheel
    only_first: tuple[Region, ...]
    only_second: tuple[Region, ...]
    points_first: float
    """Percentage points of coverage that the first reaches and the second does not."""
    points_second: float
    rows: tuple[Row, ...]

    @property
    def words(self) -> tuple[str, str]:
        """A sentence for each set: what it reaches that the other does not."""
        return (
            _sentence("The first", self.points_first, self.only_first),
            _sentence("The second", self.points_second, self.only_second),
        )


def compared(first: Wheel, second: Wheel) -> Comparison | None:
    """Compare two wheels; None where one has no paint of known colour. Binders may differ: nothing is mixed here."""
    if first.reached is None or second.reached is None:
        return None
    limit = colour_limit()
    one, two = (np.minimum(found.chroma, limit) for found in (first.reached, second.reached))
    only_first, only_second = opened(two, one, limit), opened(one, two, limit)
    return Comparison(
        first=first,
        second=second,
        only_first=only_first,
        only_second=only_second,
        points_first=sum(region.points for region in only_first),
        points_second=sum(region.points for region in only_second),
        rows=_rows(one, two, limit),
    )


def _sentence(which: str, points: float, regions: tuple[Region, ...]) -> str:
    named = regions_in_words(regions, most=5)
    if not named:
        return f"{which} reaches nothing worth a word that the other does not."
    return f"{which} reaches {points:.1f} points that the other does not: {named}."


def _rows(one: np.ndarray, two: np.ndarray, limit: np.ndarray) -> tuple[Row, ...]:
    rows = []
    symbols = np.array([hue_name(float(hue)).symbol for hue in HUES])
    for hue in HUE_NAMES:
        columns = np.flatnonzero(symbols == hue.symbol)
        for word, levels in VALUE_WORDS:
            place = np.ix_(np.array([VALUE_LEVELS.index(level) for level in levels]), columns)
            first, second, bound = (float(np.sqrt((grid[place] ** 2).mean())) for grid in (one, two, limit))
            apart = first - second
            farther = "alike" if abs(apart) < TOLD_FROM else "the first" if apart > 0.0 else "the second"
            rows.append(Row(hue.word, hue.symbol, word, first, second, bound, farther))
    return tuple(rows)


def differing(rows: tuple[Row, ...]) -> str:
    """In how many rows which of the two reaches farther, such as "The first reaches farther in 12 of 30 rows"."""
    count = {word: sum(row.farther == word for row in rows) for word in ("the first", "the second")}
    told = [f"{word} reaches farther in {number}" for word, number in count.items() if number]
    if not told:
        return f"The two are alike in all {len(rows)} rows."
    words = listed(told)
    return f"{words[0].upper()}{words[1:]} of {len(rows)} rows."
