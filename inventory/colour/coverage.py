"""Coverage: how much of the range of real surface colours a palette reaches, and what each tube holds up."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.reach import Reach
from inventory.colour.wheel import (
    HUE_NAMES,
    HUES,
    SECTOR_WIDTH,
    VALUE_LEVELS,
    VALUE_WORDS,
    HueName,
    colour_limit,
    hue_name,
)

Floats = NDArray[np.float64]

# Our bounds for words, as the share of the limit's chroma that is reached.
GAP_BELOW = 0.70
ABSENT_BELOW = 0.30
# Regions that cost less than this are not worth a sentence.
GAP_LEAST_POINTS = 0.25


@dataclass(frozen=True)
class Region:
    """A part of the wheel: one family of hues at one band of values. Angles in degrees, `points` in percent."""

    name: str
    hue: HueName
    value: str
    hue_from: float
    hue_to: float
    levels: tuple[int, ...]
    points: float
    chroma: float
    limit: float


@dataclass(frozen=True)
class Share:
    """What coverage would lose, in percentage points, if this tube were gone."""

    id: Hashable
    name: str
    points: float


@dataclass(frozen=True, eq=False)
class Coverage:
    """`percent` of the volume of real surface colours; `cells` (8, 36) the share of each cell, 0 to 1."""

    percent: float
    cells: Floats
    gaps: tuple[Region, ...]
    shares: tuple[Share, ...]
    notes: tuple[str, ...]


def percent(chroma: Floats, limit: Floats | None = None) -> float:
    """Return the share of the limit's volume that lies within a chroma grid, 0 to 100.

    At one value level a sector's area in the a*, b* plane goes with the square of its chroma, so
    100 sum(min(C, Cmax)^2) / sum(Cmax^2). Colours of less chroma than the highest count as reached.
    """
    bound = colour_limit() if limit is None else limit
    if chroma.shape != bound.shape:
        raise ValueError(f"chroma and limit must have one shape, not {chroma.shape} and {bound.shape}")
    return float(100.0 * (np.minimum(chroma, bound) ** 2).sum() / (bound**2).sum())


def coverage(reached: Reach, limit: Floats | None = None) -> Coverage:
    """Return the coverage of a palette; for no paint it is 0 percent, with a note that says so."""
    bound = colour_limit() if limit is None else limit
    whole = percent(reached.chroma, bound)
    shares = tuple(
        Share(paint, name, max(0.0, whole - percent(grid, bound)))
        for paint, name, grid in zip(reached.palette.ids, reached.palette.names, reached.without, strict=True)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        cells = np.where(bound > 0.0, np.minimum(reached.chroma, bound) ** 2 / bound**2, 1.0)
    return Coverage(whole, cells, gaps(reached.chroma, bound), shares, _notes(reached))


def gaps(chroma: Floats, limit: Floats) -> tuple[Region, ...]:
    """Return the regions that are short of the limit, the costliest first."""
    found = [
        region
        for region in _regions(np.minimum(chroma, limit), limit, limit)
        if region.chroma < GAP_BELOW * region.limit and region.points >= GAP_LEAST_POINTS
    ]
    return tuple(sorted(found, key=lambda region: (-region.points, region.hue_from, region.levels)))


def opened(before: Floats, after: Floats, limit: Floats) -> tuple[Region, ...]:
    """Return the regions that grow from one chroma grid to another, the greatest growth first."""
    found = [
        region
        for region in _regions(np.minimum(before, limit), np.minimum(np.maximum(before, after), limit), limit)
        if region.points >= 0.05
    ]
    return tuple(sorted(found, key=lambda region: (-region.points, region.hue_from, region.levels)))


def _regions(lower: Floats, upper: Floats, limit: Floats) -> list[Region]:
    """Return every region with the points between two grids; `chroma` is the root mean square of the lower one."""
    whole = (limit**2).sum()
    symbols = np.array([hue_name(float(angle)).symbol for angle in HUES])
    found = []
    for hue in HUE_NAMES:
        columns = np.flatnonzero(symbols == hue.symbol)
        angles = HUES[columns] + (HUES[columns] < hue.start - SECTOR_WIDTH) * 360.0
        for word, levels in VALUE_WORDS:
            rows = np.array([VALUE_LEVELS.index(level) for level in levels])
            place = np.ix_(rows, columns)
            points = float(100.0 * (upper[place] ** 2 - lower[place] ** 2).sum() / whole)
            low, high = (float(np.sqrt((grid[place] ** 2).mean())) for grid in (lower, limit))
            kind = hue.word if low < ABSENT_BELOW * high else f"vivid {hue.word}"
            start, end = float(angles.min()) - SECTOR_WIDTH / 2.0, float(angles.max()) + SECTOR_WIDTH / 2.0
            found.append(Region(f"{kind}, {word}", hue, word, start % 360.0, end % 360.0, levels, points, low, high))
    return found


def _notes(reached: Reach) -> tuple[str, ...]:
    palette = reached.palette
    if not len(palette):
        return ("No paint with a known colour: nothing can be mixed.",)
    notes = []
    if not reached.has_tints:
        notes.append("There is no white in stock, so no tints are counted.")
    if not len(palette.members):
        notes.append("There is only white: no hue can be mixed.")
    return tuple(notes)
