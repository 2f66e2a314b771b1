"""Tint series: mixtures of one to three paints, brought from no white to nearly all white, and the cells they reach.

Parts are counted in units of equal strength (a paint's mean absorption), so the steps are even for weak and strong
paints alike. Hue and chroma at a value level are read off between neighbours of a series, and in a pair also along the
straight line from one ratio to the next, because a little of a strong paint turns the hue by more than a sector.

The sample is coarser than all mixtures there are. Against one far finer (480 steps a pair, 15 amounts in a triple, 80
tints) it found 3.9 percentage points of coverage too few for three primaries with white (35.2 of 39.1), 2.4 for six
colours (46.4 of 48.7) and 1.7 for eleven (48.6 of 50.3).
So a cell that it leaves empty is one that no mixture tried comes to, not one that no mixture can.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import weights
from inventory.colour.kubelka_munk import K1, K2
from inventory.colour.palette import Palette
from inventory.colour.wheel import HUES, LEVEL_HEIGHT, SECTOR_WIDTH, SHAPE, VALUE_LEVELS, sector_of

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST_PAINTS = 3
# Pairs step by forty-eighths, and finer towards both ends; triples take every ratio of these four amounts.
PAIR_STEPS = 48
PAIR_ENDS: tuple[float, ...] = (0.001, 0.002, 0.005, 0.01)
TRIPLE_AMOUNTS: tuple[int, ...] = (1, 4, 16, 64)
# Parts of white to one unit of colour (the amount whose mean absorption is 1): none, and six tints. The last brings
# every typical curve above L* 90, the palest level, in zinc white too.
WHITE_PARTS: tuple[float, ...] = (0.0, 0.12, 0.5, 2.0, 8.0, 50.0, 1000.0)
# The weakest mean absorption that counts as a unit of colour: a clearer paint would need parts without bound.
LEAST_STRENGTH = 1e-3
CELLS = SHAPE[0] * SHAPE[1]
_LEVELS: Floats = np.array(VALUE_LEVELS, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Units:
    """Different member curves in units of equal strength, wavelengths first: T = K + S (31, m) and S (31, m).

    `places` holds, for each different curve, the places in the palette that have it; `whites` the same for the whites.
    """

    palette: Palette
    T: Floats
    S: Floats
    strength: Floats
    places: tuple[tuple[int, ...], ...]
    whites: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, palette: Palette) -> Units:
        places = _same_curves(palette, palette.members)
        first = [group[0] for group in places]
        strength = strengths(palette.k[first])
        T = np.ascontiguousarray((palette.k[first] + palette.s[first]).T / strength)
        S = np.ascontiguousarray(palette.s[first].T / strength)
        return cls(palette, T, S, strength, places, _same_curves(palette, palette.whites))


@dataclass(frozen=True, eq=False)
class Reached:
    """Cells reached, the chroma squared there, and which series of the batch reached it; three arrays of one length."""

    cells: Ints
    squares: Floats
    series: Ints


def strengths(k: Floats) -> Floats:
    """Return the mean absorption (n,) of curves (n, 31); a unit of colour is one over it in parts."""
    return np.asarray(np.maximum(k.mean(axis=-1), LEAST_STRENGTH))


def share_steps(size: int) -> Floats:
    """Return the ratios (r, size) in which 1, 2 or 3 paints are mixed."""
    if size == 1:
        return np.ones((1, 1))
    if size == 2:
        steps = np.arange(1, PAIR_STEPS) / PAIR_STEPS
        second = np.concatenate((PAIR_ENDS, steps, 1.0 - np.array(PAIR_ENDS[::-1])))
        return np.stack((1.0 - second, second), axis=1)
    smallest = TRIPLE_AMOUNTS[0]
    # Amounts are powers of one number, so a ratio stands once if its smallest amount is the smallest of all.
    amounts = [taken for taken in product(TRIPLE_AMOUNTS, repeat=3) if min(taken) == smallest]
    return np.array([np.array(taken) / sum(taken) for taken in amounts])


def combinations_of(
    members: int, containing: int | None = None, most: int = MOST_PAINTS
) -> Iterator[tuple[Ints, Floats]]:
    """Yield (combinations (c, size), ratios (r, size)) for singles, pairs and triples (up to `most`) of the members."""
    for size in range(1, most + 1):
        if containing is None:
            chosen = list(combinations(range(members), size))
        else:
            others = [i for i in range(members) if i != containing]
            chosen = [(containing, *rest) for rest in combinations(others, size - 1)]
        if chosen:
            yield np.array(chosen, dtype=np.intp), share_steps(size)


def batches(numbers: Ints, ratios: Floats, series: int) -> Iterator[Ints]:
    """Cut combinations into batches of about so many series."""
    step = max(1, series // len(ratios))
    for start in range(0, len(numbers), step):
        yield numbers[start : start + step]


def worked(units: Units, batch: Ints, ratios: Floats, whites: Sequence[tuple[int, ...]]) -> list[Reached]:
    """Return what a batch reaches without white, and then with each of the whites.

    A series is numbered ratio by ratio: series i is ratio i // c of combination i % c of the batch's c combinations.
    """
    T, S = _colours(units, batch, ratios)
    # Only pairs are joined: a row of triples lies within the pairs it is made of and adds little.
    step = len(batch) if batch.shape[1] == 2 else 0
    return series_reached(units.palette, T, S, [places[0] for places in whites], step)


def series_reached(palette: Palette, T: Floats, S: Floats, whites: Sequence[int], step: int = 0) -> list[Reached]:
    """Return what series reach without white, and then with each of the whites at these places.

    `T` = K + S and `S` (31, N) are of one unit of colour each; series i is joined to i + step, if step is not 0.
    """
    alone = _lab_over(T.copy(), S.copy())
    found = [_cells_alone(alone, step)]
    for place in whites:
        found.append(_cells_of_tints(_tints(palette, place, T, S, alone), step))
    return found


def lab_of(k: Floats, s: Floats) -> Floats:
    """Return L*, a*, b* (n, 3) of completely hiding layers (n, 31): `masstone_lab` without its checks, for many."""
    return _lab_over((k + s).T, s.T.copy()).T


def _same_curves(palette: Palette, places: Ints) -> tuple[tuple[int, ...], ...]:
    groups: dict[bytes, list[int]] = {}
    for place in places.tolist():
        groups.setdefault(palette.k[place].tobytes() + palette.s[place].tobytes(), []).append(place)
    return tuple(tuple(group) for group in groups.values())


def _colours(units: Units, batch: Ints, ratios: Floats) -> tuple[Floats, Floats]:
    """Return T and S (31, r * c) of the batch's mixtures without white, in units of strength."""
    T = np.zeros((units.T.shape[0], len(ratios), len(batch)))
    S = np.zeros_like(T)
    for slot in range(batch.shape[1]):
        share = ratios[:, slot][None, :, None]
        T += share * units.T[:, batch[:, slot]][:, None, :]
        S += share * units.S[:, batch[:, slot]][:, None, :]
    return T.reshape(T.shape[0], -1), S.reshape(S.shape[0], -1)


def _tints(palette: Palette, white: int, T: Floats, S: Floats, alone: Floats) -> Floats:
    """Return L*, a*, b* (tints, 3, N) of the series from no white to nearly all white."""
    Sw = palette.s[white][:, None]
    Tw = palette.k[white][:, None] + Sw
    lab = np.empty((len(WHITE_PARTS), *alone.shape))
    lab[0] = alone
    work = np.empty_like(T), np.empty_like(S)
    for tint, parts in enumerate(WHITE_PARTS[1:], start=1):
        lab[tint] = _lab_over(np.add(T, parts * Tw, out=work[0]), np.add(S, parts * Sw, out=work[1]))
    return lab


def _lab_over(T: Floats, S: Floats) -> Floats:
    """Return L*, a*, b* (3, N) of completely hiding mixtures from T = K + S and S (31, N), and spend both arrays.

    With a = T/S the measured reflectance is k1 + (1 - k1)(1 - k2) / (a + sqrt(a^2 - 1) - k2): the infinite layer and
    the surface in one step. k1 keeps X, Y and Z above the straight part of the CIELAB function.
    """
    a = np.divide(T, S, out=T)
    root = np.multiply(a, a, out=S)
    root -= 1.0
    np.maximum(root, 0.0, out=root)
    np.sqrt(root, out=root)
    root += a
    root -= K2
    np.divide((1.0 - K1) * (1.0 - K2), root, out=root)
    f = np.cbrt(weights() @ root + K1)
    return np.stack((116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])))


def _cells_alone(lab: Floats, step: int) -> Reached:
    """Place each mixture (3, N) without white at the value level nearest to it; series i is joined to i + step."""
    level = np.floor((lab[0] - _LEVELS[0]) / LEVEL_HEIGHT + 0.5).astype(np.intp)
    series = np.flatnonzero((level >= 0) & (level < SHAPE[0]))
    found = _binned(level[series], series, lab[1, series], lab[2, series])
    if not step:
        return found
    low, high = level[:-step], level[step:]
    first = np.flatnonzero((low == high) & (low >= 0) & (low < SHAPE[0]))
    return _both(found, _between(level[first], first, lab[1:, first], lab[1:, first + step]))


def _cells_of_tints(lab: Floats, step: int) -> Reached:
    """Read hue and chroma off each series (tints, 3, N) where it passes a level; series i is joined to i + step."""
    tints, _, count = lab.shape
    L = lab[:, 0]
    below = np.zeros((len(_LEVELS), count), dtype=np.intp)
    for tint in range(tints):
        below += L[tint] < _LEVELS[:, None]
    passes = (below > 0) & (below < tints)
    level, series = np.nonzero(passes)
    upper = below[level, series]
    lower = upper - 1
    L_lower, L_upper = L[lower, series], L[upper, series]
    # A series that does not rise between two neighbours is read at one of them.
    rise = np.where(L_upper > L_lower, L_upper - L_lower, np.inf)
    t = np.clip((_LEVELS[level] - L_lower) / rise, 0.0, 1.0)
    a = lab[lower, 1, series] * (1.0 - t) + lab[upper, 1, series] * t
    b = lab[lower, 2, series] * (1.0 - t) + lab[upper, 2, series] * t
    found = _binned(level, series, a, b)
    if not step:
        return found
    plane = np.zeros((2, *passes.shape))
    plane[:, level, series] = a, b
    level, first = np.nonzero(passes[:, :-step] & passes[:, step:])
    return _both(found, _between(level, first, plane[:, level, first], plane[:, level, first + step]))


def _binned(level: Ints, series: Ints, a: Floats, b: Floats) -> Reached:
    return Reached(level * SHAPE[1] + sector_of(np.degrees(np.arctan2(b, a))), a * a + b * b, series)


def _both(one: Reached, two: Reached) -> Reached:
    return Reached(
        np.concatenate((one.cells, two.cells)),
        np.concatenate((one.squares, two.squares)),
        np.concatenate((one.series, two.series)),
    )


def _between(level: Ints, series: Ints, start: Floats, end: Floats) -> Reached:
    """Return where straight lines in the a*, b* plane, from start to end (2, n), cross the borders of sectors.

    The chroma on a border counts for the sectors on both sides of it.
    """
    turn = len(HUES)
    first = np.degrees(np.arctan2(start[1], start[0])) / SECTOR_WIDTH + 0.5
    last = np.degrees(np.arctan2(end[1], end[0])) / SECTOR_WIDTH + 0.5
    last = first + (last - first + turn / 2.0) % turn - turn / 2.0
    low, high = np.floor(np.minimum(first, last)).astype(np.intp), np.floor(np.maximum(first, last)).astype(np.intp)
    line = np.repeat(np.arange(len(low)), high - low)
    if not len(line):
        return Reached(line, np.zeros(0), line)
    ordinal = np.arange(len(line)) - np.repeat(np.cumsum(high - low) - (high - low), high - low)
    border = low[line] + 1 + ordinal
    angle = np.radians((border - 0.5) * SECTOR_WIDTH)
    across = start[:, line], (end - start)[:, line]
    lean = np.cos(angle) * across[1][1] - np.sin(angle) * across[1][0]
    area = across[0][0] * across[1][1] - across[0][1] * across[1][0]
    # A line through the grey point has no chroma where it turns.
    chroma = np.where(np.abs(lean) > 1e-12, area / np.where(np.abs(lean) > 1e-12, lean, 1.0), 0.0)
    row = level[line] * SHAPE[1]
    cells = np.concatenate((row + border % turn, row + (border - 1) % turn))
    return Reached(cells, np.tile(chroma**2, 2), np.tile(series[line], 2))
