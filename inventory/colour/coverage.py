"""Coverage: how much of the range of real surface colours a palette reaches, and what each tube holds up."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import cache

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
OPENED_LEAST_POINTS = 0.05


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
        for region in _regions(np.minimum(chroma, limit), limit, limit, GAP_LEAST_POINTS)
        if region.chroma < GAP_BELOW * region.limit
    ]
    return tuple(sorted(found, key=lambda region: (-region.points, region.hue_from, region.levels)))


def opened(before: Floats, after: Floats, limit: Floats) -> tuple[Region, ...]:
    """Return the regions that grow from one chroma grid to another, the greatest growth first."""
    least = np.minimum(before, limit)
    found = _regions(least, np.minimum(np.maximum(before, after), limit), limit, OPENED_LEAST_POINTS)
    return tuple(sorted(found, key=lambda region: (-region.points, region.hue_from, region.levels)))


@dataclass(frozen=True, eq=False)
class _Part:
    """A region without its figures; `cells` (288,) is 1 where a cell of the flattened grid belongs to it, else 0."""

    hue: HueName
    value: str
    hue_from: float
    hue_to: float
    levels: tuple[int, ...]
    cells: Floats


@cache
def _parts() -> tuple[tuple[_Part, ...], Floats]:
    """Return every region with the table of their cells, shape (regions, 288)."""
    symbols = np.array([hue_name(float(angle)).symbol for angle in HUES])
    found = []
    for hue in HUE_NAMES:
        columns = symbols == hue.symbol
        angles = HUES[columns] + (HUES[columns] < hue.start - SECTOR_WIDTH) * 360.0
        start, end = float(angles.min()) - SECTOR_WIDTH / 2.0, float(angles.max()) + SECTOR_WIDTH / 2.0
        for word, levels in VALUE_WORDS:
            cells = np.outer(np.isin(VALUE_LEVELS, levels), columns).astype(np.float64).ravel()
            found.append(_Part(hue, word, start % 360.0, end % 360.0, levels, cells))
    table = np.stack([part.cells for part in found])
    table.setflags(write=False)
    return tuple(found), table


def _regions(lower: Floats, upper: Floats, limit: Floats, least: float) -> list[Region]:
    """Return the regions with at least these points between two grids; `chroma` is the root mean square of the lower.

    The sum over the cells of a region is a product with its row of the table, so all come at once.
    """
    parts, table = _parts()
    bounds = limit.ravel() ** 2
    points = 100.0 * (table @ (upper.ravel() ** 2 - lower.ravel() ** 2)) / bounds.sum()
    told = np.flatnonzero(points >= least)
    rows = table[told]
    lows, highs = (np.sqrt(rows @ squares / rows.sum(axis=1)) for squares in (lower.ravel() ** 2, bounds))
    found = []
    for place, low, high in zip(told.tolist(), lows.tolist(), highs.tolist(), strict=True):
        part = parts[place]
        kind = part.hue.word if low < ABSENT_BELOW * high else f"vivid {part.hue.word}"
        name = f"{kind}, {part.value}"
        found.append(
            Region(name, part.hue, part.value, part.hue_from, part.hue_to, part.levels, float(points[place]), low, high)
        )
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
