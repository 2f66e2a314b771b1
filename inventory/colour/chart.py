"""The wheel as plain numbers for a drawing and for its table: sectors at one value level, and each tube on the rim."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from inventory.colour.appearance import chroma, hue_angle, srgb, srgb_many
from inventory.colour.palette import Palette
from inventory.colour.reach import Mixture, Reach
from inventory.colour.wheel import HUES, SECTOR_WIDTH, VALUE_LEVELS, colour_limit, hue_name, value_word

# Chroma at the rim of the drawing: above the greatest limit (118).
RIM_CHROMA = 120.0
RING_HEIGHT = 20.0


@dataclass(frozen=True)
class Ring:
    """One painted or outlined piece of a sector, between two chromas, in its own colour."""

    chroma_from: float
    chroma_to: float
    hex: str
    clipped: bool
    reached: bool
    points: str
    """Corners for an SVG polygon in a square of -1 to 1, the centre grey, hue 0 to the right, 90 up."""


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
    x: float
    y: float
    holds: tuple[tuple[int, float], ...]


def sectors(reached: Reach, level: int) -> tuple[Cell, ...]:
    """Return the 36 cells of one value level (one of VALUE_LEVELS), hue 0 first."""
    row = _row(level)
    limit = colour_limit()[row]
    # A cell's colour at the chroma reached; one that is not reached is shown by its outline only.
    radians = np.radians(HUES)
    height = reached.chroma[row]
    lab = np.stack((np.full(HUES.shape, float(level)), height * np.cos(radians), height * np.sin(radians)), axis=-1)
    colours = srgb_many(lab)
    return tuple(
        Cell(
            level=level,
            hue=float(hue),
            hue_from=float((hue - SECTOR_WIDTH / 2.0) % 360.0),
            hue_to=float((hue + SECTOR_WIDTH / 2.0) % 360.0),
            chroma=float(height[i]),
            limit=float(limit[i]),
            hex=colours[i].hex,
            clipped=colours[i].clipped,
            label=_label(float(hue), level, float(height[i]), float(limit[i])),
            mixture=reached.mixtures[row][i],
            rings=_rings(float(hue), level, float(height[i]), float(limit[i])),
        )
        for i, hue in enumerate(HUES)
    )


def drops(reached: Reach, radius: float = 1.05) -> tuple[Drop, ...]:
    """Return each tube on a circle of this radius, with the cells that lose more than 1 in chroma without it."""
    palette: Palette = reached.palette
    if not len(palette):
        return ()
    hues, chromas = hue_angle(palette.masstones), chroma(palette.masstones)
    found = []
    for i, paint in enumerate(palette.ids):
        lost = np.argwhere(reached.chroma - reached.without[i] > 1.0)
        x, y = polar(float(hues[i]), radius)
        colour = srgb(palette.masstones[i])
        holds = tuple((VALUE_LEVELS[row], float(HUES[column])) for row, column in lost)
        found.append(Drop(paint, palette.names[i], float(hues[i]), float(chromas[i]), colour.hex, x, y, holds))
    return tuple(found)


def polar(hue: float, radius: float) -> tuple[float, float]:
    """Return x and y of a hue angle (degrees, counter-clockwise from the right) with y downward as in SVG."""
    angle = np.radians(hue)
    return round(float(radius * np.cos(angle)), 4), round(float(-radius * np.sin(angle)), 4)


def _row(level: int) -> int:
    if level not in VALUE_LEVELS:
        raise ValueError(f"level must be one of {', '.join(map(str, VALUE_LEVELS))}, not {level}")
    return VALUE_LEVELS.index(level)


def _label(hue: float, level: int, height: float, limit: float) -> str:
    name = f"{hue_name(hue).word}, {value_word(level)} (hue {hue:.0f}°, L* {level})"
    if height == 0.0:
        return f"{name}: not reached; limit {limit:.0f}"
    return f"{name}: chroma {height:.0f} of {limit:.0f}"


def _rings(hue: float, level: int, height: float, limit: float) -> tuple[Ring, ...]:
    """Cut a sector into rings up to the limit, or to the chroma reached if that is more, with a border at each."""
    top = max(height, limit)
    borders = sorted({*np.arange(0.0, top, RING_HEIGHT).tolist(), min(height, top), top})
    angle = np.radians(hue)
    found = []
    for low, high in pairwise(borders):
        if high - low < 1e-9:
            continue
        middle = (low + high) / 2.0
        colour = srgb((float(level), middle * np.cos(angle), middle * np.sin(angle)))
        first, last = hue - SECTOR_WIDTH / 2.0, hue + SECTOR_WIDTH / 2.0
        corners = [
            polar(first, low / RIM_CHROMA),
            polar(first, high / RIM_CHROMA),
            polar(last, high / RIM_CHROMA),
            polar(last, low / RIM_CHROMA),
        ]
        found.append(Ring(low, high, colour.hex, colour.clipped, high <= height, _corners(corners)))
    return tuple(found)


def _corners(places: list[tuple[float, float]]) -> str:
    return " ".join(f"{x:g},{y:g}" for x, y in places)
