"""The wheel as plain numbers for a drawing and for its table: sectors at one value level, and each tube on the rim."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from inventory.colour.appearance import ScreenColour, chroma, hue_angle, srgb, srgb_many
from inventory.colour.palette import Palette
from inventory.colour.reach import Mixture, Reach
from inventory.colour.wheel import HUES, SECTOR_WIDTH, VALUE_LEVELS, colour_limit, hue_name, value_word

RING_HEIGHT = 20.0


@dataclass(frozen=True)
class Ring:
    """One painted or outlined piece of a sector, between two chromas, in its own colour."""

    chroma_from: float
    chroma_to: float
    hex: str
    clipped: bool
    reached: bool


@dataclass(frozen=True)
class Cell:
    """One sector at one value level."""

    level: int
    hue: float
    hue_from: float
    hue_to: float
    chroma: float
    limit: float
    hex: str
    clipped: bool
    label: str
    mixture: Mixture | None
    rings: tuple[Ring, ...]


@dataclass(frozen=True)
class Drop:
    """A tube on the rim at its hue; `cells` are the places (level, hue) that fall back without it."""

    id: Hashable
    name: str
    hue: float
    chroma: float
    hex: str
    holds: tuple[tuple[int, float], ...]


def sectors(reached: Reach, level: int) -> tuple[Cell, ...]:
    """Return the 36 cells of one value level (one of VALUE_LEVELS), hue 0 first."""
    row = _row(level)
    limit, height = colour_limit()[row].tolist(), reached.chroma[row].tolist()
    cuts = [_cuts(high, most) for high, most in zip(height, limit, strict=True)]
    # A cell's colour at the chroma reached; one that is not reached is shown by its outline only.
    places = [(i, chroma) for i, chroma in enumerate(height)]
    places += [(i, (low + high) / 2.0) for i, cut in enumerate(cuts) for low, high in cut]
    colours = _colours(level, places)
    of_rings = iter(colours[len(HUES) :])
    return tuple(
        Cell(
            level=level,
            hue=hue,
            hue_from=(hue - SECTOR_WIDTH / 2.0) % 360.0,
            hue_to=(hue + SECTOR_WIDTH / 2.0) % 360.0,
            chroma=height[i],
            limit=limit[i],
            hex=colours[i].hex,
            clipped=colours[i].clipped,
            label=_label(hue, level, height[i], limit[i]),
            mixture=reached.mixtures[row][i],
            rings=tuple(
                Ring(low, high, colour.hex, colour.clipped, high <= height[i])
                for (low, high), colour in zip(cuts[i], of_rings, strict=False)
            ),
        )
        for i, hue in enumerate(HUES.tolist())
    )


def fills(reached: Reach, level: int) -> tuple[str, ...]:
    """Return one colour a sector, as sRGB hex, hue 0 first: half-way out, as a sector has all chromas from grey up."""
    height = reached.chroma[_row(level)].tolist()
    return tuple(colour.hex for colour in _colours(level, [(i, 0.7 * chroma) for i, chroma in enumerate(height)]))


def drops(reached: Reach) -> tuple[Drop, ...]:
    """Return each tube at its hue, with the cells that lose more than 1 in chroma without it."""
    palette: Palette = reached.palette
    if not len(palette):
        return ()
    hues, chromas = hue_angle(palette.masstones), chroma(palette.masstones)
    found = []
    for i, paint in enumerate(palette.ids):
        lost = np.argwhere(reached.chroma - reached.without[i] > 1.0)
        colour = srgb(palette.masstones[i])
        holds = tuple((VALUE_LEVELS[row], float(HUES[column])) for row, column in lost)
        found.append(Drop(paint, palette.names[i], float(hues[i]), float(chromas[i]), colour.hex, holds))
    return tuple(found)


def _row(level: int) -> int:
    if level not in VALUE_LEVELS:
        raise ValueError(f"level must be one of {', '.join(map(str, VALUE_LEVELS))}, not {level}")
    return VALUE_LEVELS.index(level)


def _label(hue: float, level: int, height: float, limit: float) -> str:
    name = f"{hue_name(hue).word}, {value_word(level)} (hue {hue:.0f}°, L* {level})"
    if height == 0.0:
        return f"{name}: not reached; limit {limit:.0f}"
    return f"{name}: chroma {height:.0f} of {limit:.0f}"


def _cuts(height: float, limit: float) -> list[tuple[float, float]]:
    """Cut a sector into rings up to the limit, or to the chroma reached if that is more, with a border at each."""
    top = max(height, limit)
    borders = sorted({*np.arange(0.0, top, RING_HEIGHT).tolist(), min(height, top), top})
    return [(low, high) for low, high in pairwise(borders) if high - low >= 1e-9]


def _colours(level: int, places: list[tuple[int, float]]) -> tuple[ScreenColour, ...]:
    """Return the colours of places (sector, chroma) of one value level."""
    radians = np.radians(HUES[[sector for sector, _ in places]])
    chromas = np.array([chroma for _, chroma in places])
    lab = np.stack(
        (np.full(chromas.shape, float(level)), chromas * np.cos(radians), chromas * np.sin(radians)), axis=-1
    )
    return srgb_many(lab)
