"""What a palette reaches: the highest chroma in every cell of the wheel, over singles, pairs and triples with white.

A mixture holds at most three paints that are not white, and any one white. Its parts are counted in units of equal
strength (a paint's mean absorption), so the steps are even for weak and strong paints alike; what is reported are
real parts. For each ratio a tint series is worked from no white to nearly all white, and its hue and chroma at a value
level are read off between neighbours of the series. A mixture without white also counts in the cell of the value level
nearest to it, so a palette without a white has masstones but no tints.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import weights
from inventory.colour.kubelka_munk import K1, K2
from inventory.colour.mixing import mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.wheel import LEVEL_HEIGHT, SHAPE, VALUE_LEVELS, sector_of

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST_PAINTS = 3
# Pairs step by twenty-fourths, triples by eighths. Every sum of eighths is also a pair, so a second tube of a paint
# adds no new mixture, and a duplicate changes nothing.
PAIR_STEPS = 24
TRIPLE_STEPS = 8
# Parts of white to one unit of colour (the amount whose mean absorption is 1): none, and five tints.
WHITE_PARTS: tuple[float, ...] = (0.0, 0.15, 0.7, 3.0, 12.0, 60.0)
# Tint series worked at once, so that the arrays of a batch stay in the processor's cache.
BATCH_SERIES = 2048
# The weakest mean absorption that counts as a unit of colour: a clearer paint would need parts without bound.
LEAST_STRENGTH = 1e-3
CELLS = SHAPE[0] * SHAPE[1]


@dataclass(frozen=True)
class Mixture:
    """Parts (adding up to 1) of the paints with these ids, the largest first, and the colour (L*, a*, b*) they make."""

    ids: tuple[Hashable, ...]
    names: tuple[str, ...]
    parts: tuple[float, ...]
    lab: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Reach:
    """Highest chroma that a palette reaches at each value level and hue (8, 36); 0 where it reaches nothing.

    `without` (n, 8, 36) is the same with the tube of that place taken away. `mixtures[level][sector]` is the mixture
    that reaches the cell, or None. `tried` counts the mixtures that were worked.
    """

    palette: Palette
    chroma: Floats
    without: Floats
    mixtures: tuple[tuple[Mixture | None, ...], ...]
    tried: int

    @property
    def has_tints(self) -> bool:
        return self.palette.white_index is not None


@dataclass(frozen=True, eq=False)
class _Units:
    """Different member curves in units of equal strength, wavelengths first: T = K + S (31, m), S (31, m)."""

    T: Floats
    S: Floats
    strength: Floats
    # For each different curve, the places in the palette that have it.
    places: tuple[tuple[int, ...], ...]


@dataclass
class _Best:
    """Per cell: highest chroma squared, the members (cells, 3; -1 pads) and the best without each of those members."""

    value: Floats
    members: Ints
    without: Floats

    @classmethod
    def nothing(cls) -> _Best:
        return cls(np.zeros(CELLS), np.full((CELLS, MOST_PAINTS), -1), np.zeros((CELLS, MOST_PAINTS)))

    def lacking(self, paint: Ints) -> Floats:
        """Return the best of each cell without the paint named for each cell and slot (cells, 3)."""
        found = np.broadcast_to(self.value[:, None], paint.shape).copy()
        for slot in range(MOST_PAINTS):
            hit = (self.members[:, slot, None] == paint) & (paint >= 0)
            found = np.where(hit, self.without[:, slot, None], found)
        return found

    def merged(self, other: _Best) -> _Best:
        """Return the best of both; exact, because each side knows its best without any one paint."""
        mine = self.value >= other.value
        members = np.where(mine[:, None], self.members, other.members)
        without = np.maximum(self.lacking(members), other.lacking(members))
        return _Best(np.where(mine, self.value, other.value), members, without)


def reach(palette: Palette, *, batch_series: int = BATCH_SERIES) -> Reach:
    """Return what a palette reaches.

    Parameters
    ----------
    palette : Palette
        Paints of one binder; none, one or many. The time grows with the cube of the number of different paints.
    batch_series : int
        Tint series worked at once, at least 1; it changes the time, not the result.

    Returns
    -------
    Reach
    """
    if batch_series < 1:
        raise ValueError(f"batch_series must be at least 1, not {batch_series}")
    units = _units(palette)
    whites = _white_groups(palette)
    best, by_white, tried = _sweep(palette, units, whites, batch_series)
    value = np.maximum.reduce([best.value, *by_white]) if by_white else best.value
    highest = np.sqrt(value)
    without = np.repeat(highest[None], len(palette), axis=0)
    for member, places in enumerate(units.places):
        if len(places) == 1:
            hit = best.members == member
            cells = hit.any(axis=1)
            without[places[0], cells] = np.sqrt(best.without[hit])
    no_white = by_white[0] if by_white else value
    for number, places in enumerate(whites, start=1):
        if len(places) == 1:
            others = [grid for i, grid in enumerate(by_white[1:], start=1) if i != number]
            without[places[0]] = np.sqrt(np.maximum.reduce([no_white, *others]))
    mixtures = _winners(palette, units, whites, best)
    rows = tuple(tuple(mixtures[i * SHAPE[1] : (i + 1) * SHAPE[1]]) for i in range(SHAPE[0]))
    return Reach(palette, highest.reshape(SHAPE), without.reshape(len(palette), *SHAPE), rows, tried)


def gain(base: Palette, candidate: Palette) -> Floats:
    """Return the highest chroma (8, 36) of those mixtures alone that contain the one paint of `candidate`."""
    both = base.plus(candidate)
    place = len(base)
    value = np.zeros(CELLS)
    units = _units(both)
    if both.is_white[place]:
        groups = [group for group in _white_groups(both) if group == (place,)]
        for numbers, ratios in _combinations(len(units.places)) if groups else ():
            for batch in _batches(numbers, len(ratios), BATCH_SERIES):
                cells, squares, _ = _worked(both, units, groups, batch, ratios)[1]
                np.maximum.at(value, cells, squares)
    else:
        own = next(number for number, places in enumerate(units.places) if place in places)
        if units.places[own] == (place,):
            for numbers, ratios in _combinations(len(units.places), own):
                for batch in _batches(numbers, len(ratios), BATCH_SERIES):
                    for cells, squares, _ in _worked(both, units, _white_groups(both), batch, ratios):
                        np.maximum.at(value, cells, squares)
    return np.sqrt(value).reshape(SHAPE)


def strengths(k: Floats) -> Floats:
    """Return the mean absorption (n,) of curves (n, 31); a unit of colour is one over it in parts."""
    return np.asarray(np.maximum(k.mean(axis=-1), LEAST_STRENGTH))


def lab_of(k: Floats, s: Floats) -> Floats:
    """Return L*, a*, b* (n, 3) of completely hiding layers (n, 31): `masstone_lab` without its checks, for many."""
    return _lab((k + s).T, s.T).T


def _units(palette: Palette) -> _Units:
    groups: dict[bytes, list[int]] = {}
    for place in palette.members:
        groups.setdefault(palette.k[place].tobytes() + palette.s[place].tobytes(), []).append(int(place))
    first = [places[0] for places in groups.values()]
    k, s = palette.k[first].T, palette.s[first].T
    strength = strengths(palette.k[first])
    T, S = np.ascontiguousarray((k + s) / strength), np.ascontiguousarray(s / strength)
    return _Units(T, S, strength, tuple(tuple(places) for places in groups.values()))


def _white_groups(palette: Palette) -> list[tuple[int, ...]]:
    groups: dict[bytes, list[int]] = {}
    for place in palette.whites:
        groups.setdefault(palette.k[place].tobytes() + palette.s[place].tobytes(), []).append(int(place))
    return [tuple(places) for places in groups.values()]


def _combinations(members: int, containing: int | None = None) -> Iterator[tuple[Ints, Floats]]:
    """Yield (combinations (c, m), ratios (r, m)) for singles, pairs and triples of the members."""
    for size, steps in ((1, 1), (2, PAIR_STEPS), (3, TRIPLE_STEPS)):
        if containing is None:
            chosen = list(combinations(range(members), size))
        else:
            others = [i for i in range(members) if i != containing]
            chosen = [(containing, *rest) for rest in combinations(others, size - 1)]
        if chosen:
            yield np.array(chosen, dtype=np.intp), share_steps(size, steps)


def share_steps(size: int, steps: int) -> Floats:
    """Return all ways (r, size) to share `steps` equal steps among `size` paints, each with at least one."""
    places = list(combinations(range(1, steps), size - 1))
    cuts = np.array(places, dtype=np.float64).reshape(len(places), size - 1)
    edges = np.hstack((np.zeros((len(cuts), 1)), cuts, np.full((len(cuts), 1), float(steps))))
    return np.asarray(np.diff(edges, axis=1) / steps)


def _batches(numbers: Ints, ratios: int, series: int) -> Iterator[Ints]:
    step = max(1, series // ratios)
    for start in range(0, len(numbers), step):
        yield numbers[start : start + step]


def _sweep(
    palette: Palette, units: _Units, whites: Sequence[tuple[int, ...]], series: int
) -> tuple[_Best, list[Floats], int]:
    """Return the best of every cell, the best with no white and with each white alone, and the mixtures worked."""
    best = _Best.nothing()
    by_white = [np.zeros(CELLS) for _ in range(len(whites) + 1)]
    tried = 0
    for numbers, ratios in _combinations(len(units.places)):
        for batch in _batches(numbers, len(ratios), series):
            grid = np.zeros(CELLS * len(batch))
            for kind, (cells, squares, combo) in enumerate(_worked(palette, units, whites, batch, ratios)):
                np.maximum.at(grid, cells * len(batch) + combo, squares)
                np.maximum.at(by_white[kind], cells, squares)
            best = best.merged(_best_of_batch(grid.reshape(CELLS, len(batch)), batch))
            tried += len(batch) * len(ratios) * (1 + len(whites) * (len(WHITE_PARTS) - 1))
    return best, by_white, tried


def _best_of_batch(grid: Floats, batch: Ints) -> _Best:
    winner = grid.argmax(axis=1)
    value = grid[np.arange(CELLS), winner]
    members = np.full((CELLS, MOST_PAINTS), -1)
    members[:, : batch.shape[1]] = batch[winner]
    without = np.zeros((CELLS, MOST_PAINTS))
    reached = np.flatnonzero(value > 0.0)
    for slot in range(batch.shape[1]):
        holds = (batch[None, :, :] == members[reached, slot][:, None, None]).any(axis=2)
        without[reached, slot] = np.where(holds, 0.0, grid[reached]).max(axis=1)
    members[value == 0.0] = -1
    return _Best(value, members, without)


_Cells = tuple[Ints, Floats, Ints]


def _worked(
    palette: Palette, units: _Units, whites: Sequence[tuple[int, ...]], batch: Ints, ratios: Floats
) -> list[_Cells]:
    """Return (cells, chroma squared, place in the batch) of the mixtures without white and then with each white."""
    T, S = _colours(units, batch, ratios)
    alone = _lab(T, S)
    found = [_cells_alone(alone, len(batch))]
    for places in whites:
        lab = _tint_series(palette, places[0], T, S, alone)
        found.append(_cells_of_series(lab, len(batch)))
    return found


def _colours(units: _Units, batch: Ints, ratios: Floats) -> tuple[Floats, Floats]:
    """Return T and S (31, r * c) of the batch's mixtures without white, in units of strength."""
    T = np.zeros((units.T.shape[0], len(ratios), len(batch)))
    S = np.zeros_like(T)
    for slot in range(batch.shape[1]):
        share = ratios[:, slot][None, :, None]
        T += share * units.T[:, batch[:, slot]][:, None, :]
        S += share * units.S[:, batch[:, slot]][:, None, :]
    return T.reshape(T.shape[0], -1), S.reshape(S.shape[0], -1)


def _tint_series(palette: Palette, white: int, T: Floats, S: Floats, alone: Floats) -> Floats:
    """Return L*, a*, b* (tints, 3, N) of the series from no white to nearly all white."""
    Sw = palette.s[white][:, None]
    Tw = palette.k[white][:, None] + Sw
    tints = [_lab(T + parts * Tw, S + parts * Sw) for parts in WHITE_PARTS[1:]]
    return np.stack([alone, *tints])


def _lab(T: Floats, S: Floats) -> Floats:
    """Return L*, a*, b* (3, N) of completely hiding mixtures from T = K + S and S (31, N).

    With a = T/S the measured reflectance is k1 + (1 - k1)(1 - k2) / (a + sqrt(a^2 - 1) - k2): the infinite layer and
    the surface in one step. k1 keeps X, Y and Z above the straight part of the CIELAB function.
    """
    a = T / S
    root = a * a
    root -= 1.0
    np.maximum(root, 0.0, out=root)
    np.sqrt(root, out=root)
    root += a
    root -= K2
    np.divide((1.0 - K1) * (1.0 - K2), root, out=root)
    f = np.cbrt(weights() @ root + K1)
    return np.stack((116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])))


def _cells_alone(lab: Floats, combos: int) -> _Cells:
    level = np.floor((lab[0] - VALUE_LEVELS[0]) / LEVEL_HEIGHT + 0.5).astype(np.intp)
    series = np.flatnonzero((level >= 0) & (level < SHAPE[0]))
    return _binned(level[series], lab[1, series], lab[2, series], series % combos)


def _cells_of_series(lab: Floats, combos: int) -> _Cells:
    """Read hue and chroma off each series (tints, 3, N) where it passes a value level."""
    tints, _, count = lab.shape
    L = lab[:, 0]
    levels = np.array(VALUE_LEVELS, dtype=np.float64)
    below = np.zeros((len(levels), count), dtype=np.intp)
    for tint in range(tints):
        below += L[tint] < levels[:, None]
    level, series = np.nonzero((below > 0) & (below < tints))
    upper = below[level, series]
    lower = upper - 1
    L_lower, L_upper = L[lower, series], L[upper, series]
    with np.errstate(invalid="ignore", divide="ignore"):
        t = (levels[level] - L_lower) / (L_upper - L_lower)
    t = np.clip(np.nan_to_num(t), 0.0, 1.0)
    a = lab[lower, 1, series] * (1.0 - t) + lab[upper, 1, series] * t
    b = lab[lower, 2, series] * (1.0 - t) + lab[upper, 2, series] * t
    return _binned(level, a, b, series % combos)


def _binned(level: Ints, a: Floats, b: Floats, combo: Ints) -> _Cells:
    return level * SHAPE[1] + sector_of(np.degrees(np.arctan2(b, a))), a * a + b * b, combo


def _winners(palette: Palette, units: _Units, whites: Sequence[tuple[int, ...]], best: _Best) -> list[Mixture | None]:
    """Work the winning combination of every cell again, this time keeping which ratio and white it was."""
    mixtures: list[Mixture | None] = [None] * CELLS
    reached = np.flatnonzero(best.value > 0.0)
    by_combo: dict[tuple[int, ...], list[int]] = {}
    for cell in reached.tolist():
        by_combo.setdefault(tuple(int(i) for i in best.members[cell] if i >= 0), []).append(cell)
    for combo, cells in by_combo.items():
        steps = (1, PAIR_STEPS, TRIPLE_STEPS)[len(combo) - 1]
        ratios = share_steps(len(combo), steps)
        # Every ratio is its own column here, so the third answer is the ratio.
        T, S = _colours(units, np.array([combo], dtype=np.intp), ratios)
        alone = _lab(T, S)
        kinds: list[tuple[int | None, _Cells]] = [(None, _cells_alone(alone, len(ratios)))]
        for places in whites:
            lab = _tint_series(palette, places[0], T, S, alone)
            kinds.append((places[0], _cells_of_series(lab, len(ratios))))
        for cell in cells:
            white, ratio = _winning(kinds, cell)
            level = VALUE_LEVELS[cell // SHAPE[1]]
            mixtures[cell] = _mixture(palette, units, combo, ratios[ratio], white, float(level))
    return mixtures


def _winning(kinds: list[tuple[int | None, _Cells]], cell: int) -> tuple[int | None, int]:
    highest = -1.0
    answer: tuple[int | None, int] = (None, 0)
    for white, (cells, squares, ratio) in kinds:
        here = np.flatnonzero(cells == cell)
        if len(here) and squares[here].max() > highest:
            place = here[squares[here].argmax()]
            highest, answer = float(squares[place]), (white, int(ratio[place]))
    return answer


def _mixture(
    palette: Palette, units: _Units, combo: tuple[int, ...], ratio: Floats, white: int | None, L: float
) -> Mixture:
    places = [units.places[member][0] for member in combo]
    parts = [share / units.strength[member] for share, member in zip(ratio, combo, strict=True)]
    if white is not None:
        places.append(white)
        parts.append(_white_for(palette, places, parts, L))
    share = np.array(parts) / np.sum(parts)
    order = np.argsort(-share, kind="stable")
    lab = mixture_lab(palette.k[places], palette.s[places], share)
    return Mixture(
        tuple(palette.ids[places[i]] for i in order),
        tuple(palette.names[places[i]] for i in order),
        tuple(float(share[i]) for i in order),
        (float(lab[0]), float(lab[1]), float(lab[2])),
    )


def _white_for(palette: Palette, places: list[int], parts: list[float], L: float) -> float:
    """Return the parts of white that bring the mixture to L*: bisection between the ends of the series."""
    k, s = palette.k[places], palette.s[places]
    lower, upper = 0.0, WHITE_PARTS[-1]
    for _ in range(40):
        middle = (lower + upper) / 2.0
        if mixture_lab(k, s, [*parts, middle])[0] < L:
            lower = middle
        else:
            upper = middle
    return upper
