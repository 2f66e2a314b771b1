"""Greys and browns: which tubes meet near no chroma, how near the routes come, and what more paints do to chroma."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inventory.colour import certainty
from inventory.colour.appearance import chroma, difference, hue_angle
from inventory.colour.palette import Palette
from inventory.colour.series import WHITE_PARTS, lab_of, strengths
from inventory.colour.temperature import is_chromatic, standing
from inventory.colour.wheel import HUES, sector_of

Floats = NDArray[np.float64]

# A mixture of less chroma than this at its greyest is a meeting of the two: a grey or a brown. Our bound (CIELAB).
MEETS_BELOW = 10.0
# Ratios of equal strength that are tried: log odds evenly from 1:400 to 400:1.
_ODDS: Floats = np.geomspace(1.0 / 400.0, 400.0, 161)
_TRIPLE_AMOUNTS = (1.0, 2.0, 4.0, 8.0, 16.0)
MOST_MIXED = 4


@dataclass(frozen=True)
class Route:
    """Two or three paints (places in the palette) with the parts, adding up to 1, at which they are greyest."""

    places: tuple[int, ...]
    parts: tuple[float, ...]
    lab: tuple[float, float, float]
    chroma: float

    @property
    def meets(self) -> bool:
        return self.chroma < MEETS_BELOW


@dataclass(frozen=True)
class Meeting:
    """How far two routes end apart (CIEDE2000), and the figure that nine in ten of all that the curves may be keep.

    `within` contains the error of the theory, so it is never below 4.
    """

    first: Route
    second: Route
    apart: float
    within: float


@dataclass(frozen=True)
class Mud:
    """Mixtures of so many paints at equal strength: their chroma as a share of the best pair of the same hue.

    The median and the range in which eight of ten lie; `count` mixtures were worked.
    """

    paints: int
    median: float
    low: float
    high: float
    count: int


def chromatic_places(palette: Palette) -> tuple[int, ...]:
    """Return the places of the paints that are neither white nor grey."""
    return tuple(i for i in range(len(palette)) if is_chromatic(standing(palette.k[i], palette.s[i])))


def pair_routes(palette: Palette) -> tuple[Route, ...]:
    """Return for every pair of chromatic paints the mixture (without white) of least chroma, the greyest first."""
    found = []
    unit = 1.0 / strengths(palette.k)
    for i, j in combinations(chromatic_places(palette), 2):
        parts = np.column_stack((np.full_like(_ODDS, unit[i]), _ODDS * unit[j]))
        found.append(_greyest(palette, (i, j), parts))
    return tuple(sorted(found, key=lambda route: route.chroma))


def triple_routes(palette: Palette) -> tuple[Route, ...]:
    """Return the same of every three chromatic paints; ratios of whole amounts from 1 to 16 at equal strength."""
    amounts = np.array([(a, b, c) for a in _TRIPLE_AMOUNTS for b in _TRIPLE_AMOUNTS for c in _TRIPLE_AMOUNTS])
    unit = 1.0 / strengths(palette.k)
    found = [
        _greyest(palette, places, amounts * unit[list(places)]) for places in combinations(chromatic_places(palette), 3)
    ]
    return tuple(sorted(found, key=lambda route: route.chroma))


def _greyest(palette: Palette, places: tuple[int, ...], parts: Floats) -> Route:
    share = parts / parts.sum(axis=1, keepdims=True)
    lab = lab_of(share @ palette.k[list(places)], share @ palette.s[list(places)])
    C = chroma(lab)
    best = int(C.argmin())
    L, a, b = (float(value) for value in lab[best])
    return Route(places, tuple(float(one) for one in share[best]), (L, a, b), float(C[best]))


def meetings(routes: Sequence[Route], paints: Sequence[certainty.Paint]) -> tuple[Meeting, ...]:
    """Return how far every two routes end apart, the nearest first. `paints` stand as the palette has them."""
    if len(routes) < 2:
        return ()
    share = np.zeros((len(routes), len(paints)))
    for row, route in enumerate(routes):
        share[row, list(route.places)] = route.parts
    drawn = certainty.drawn_lab(paints, share)
    best = np.array([route.lab for route in routes])
    found = []
    for i, j in combinations(range(len(routes)), 2):
        apart = float(difference(best[i], best[j]))
        likely = float(certainty.spread_of(difference(drawn[:, i], drawn[:, j])))
        found.append(Meeting(routes[i], routes[j], apart, certainty.shown(max(apart, likely))))
    return tuple(sorted(found, key=lambda one: one.apart))


def mud(palette: Palette, white: int | None = None) -> tuple[Mud, ...]:
    """Return how chroma falls from two to four chromatic paints, mixed at equal strength.

    Each mixture counts where it is most vivid along its tints (with the white at that place; without one, alone). It
    is held against the most vivid of all singles and pairs in its sector of hue.
    """
    places = chromatic_places(palette)
    if len(places) < 2:
        return ()
    best = np.zeros(len(HUES))
    odds = np.geomspace(1.0 / 64.0, 64.0, 49)
    unit = 1.0 / strengths(palette.k)
    rows: list[tuple[tuple[int, ...], Floats]] = [((i,), np.array([[unit[i]]])) for i in places]
    for i, j in combinations(places, 2):
        rows.append(((i, j), np.column_stack((np.full_like(odds, unit[i]), odds * unit[j]))))
    for chosen, parts in rows:
        hue, C = _most_vivid(palette, chosen, parts, white)
        np.maximum.at(best, sector_of(hue), C)
    found = []
    for count in range(2, min(MOST_MIXED, len(places)) + 1):
        shares = []
        for chosen in combinations(places, count):
            hue, C = _most_vivid(palette, chosen, unit[list(chosen)][None], white)
            top = best[sector_of(hue)]
            if top[0] > 0.0:
                shares.append(float(C[0] / top[0]))
        if shares:
            low, median, high = np.percentile(shares, (10.0, 50.0, 90.0))
            found.append(Mud(count, float(median), float(low), float(high), len(shares)))
    return tuple(found)


def _most_vivid(palette: Palette, chosen: tuple[int, ...], parts: Floats, white: int | None) -> tuple[Floats, Floats]:
    """Return hue and chroma (r,) of mixtures, parts (r, n) of unit strength, at their most vivid tint."""
    tints = np.array(WHITE_PARTS if white is not None else (0.0,))
    k, s = parts @ palette.k[list(chosen)], parts @ palette.s[list(chosen)]
    amount = parts.shape[1]
    if white is not None:
        k = k[:, None] + amount * tints[:, None] * palette.k[white]
        s = s[:, None] + amount * tints[:, None] * palette.s[white]
    else:
        k, s = k[:, None], s[:, None]
    lab = lab_of(k.reshape(-1, k.shape[-1]), s.reshape(-1, s.shape[-1])).reshape(len(parts), len(tints), 3)
    C = chroma(lab)
    place = C.argmax(axis=1)
    rows = np.arange(len(parts))
    return hue_angle(lab[rows, place]), C[rows, place]
