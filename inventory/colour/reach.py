"""What a palette reaches: the highest chroma in every cell of the wheel, over singles, pairs and triples with white.

A mixture holds at most three paints that are not white, and any one white. Blacks and greys mix like every other
paint. A mixture without white counts at the value level nearest to it, so a palette without a white has masstones but
no tints.

Triples go with the cube of the number of paints. With more than WHOLE_UP_TO of them only the pairs that win a cell are
given a third paint: on six draws of 30 to 56 typical curves that lost at most 0.05 percentage points of coverage.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inventory.colour.palette import Palette
from inventory.colour.series import (
    CELLS,
    MOST_PAINTS,
    WHITE_PARTS,
    Reached,
    Units,
    batches,
    combinations_of,
    lab_of,
    share_steps,
    worked,
)
from inventory.colour.steps import Steps, finish
from inventory.colour.wheel import SHAPE, VALUE_LEVELS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# Tint series worked at once, so that the arrays of a batch stay in the processor's cache.
BATCH_SERIES = 2048
# Different curves of which every triple is worked.
WHOLE_UP_TO = 24
# The share of the time that goes before the winning mixtures are worked again.
SWEEP_SHARE = 0.9
# A candidate's pair is given a third paint where it comes this near (in chroma) to what is reached without it.
NEARLY = 0.85


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
    nearest to the one that reaches the cell, or None. `tried` counts the mixtures that were worked.
    """

    palette: Palette
    chroma: Floats
    without: Floats
    mixtures: tuple[tuple[Mixture | None, ...], ...]
    tried: int

    @property
    def has_tints(self) -> bool:
        return self.palette.white_index is not None


@dataclass
class _Best:
    """Per cell: highest chroma squared, the members (cells, 3; -1 pads) and the best without each of those members.

    The best without a member that is only padding is infinite: nothing improves on it.
    """

    value: Floats
    members: Ints
    without: Floats

    @classmethod
    def nothing(cls, cells: int = CELLS) -> _Best:
        return cls(np.zeros(cells), np.full((cells, MOST_PAINTS), -1), np.full((cells, MOST_PAINTS), np.inf))

    @classmethod
    def of_batch(cls, grid: Floats, batch: Ints) -> _Best:
        """Sum up chroma squared (cells, c) of a batch of combinations (c, size)."""
        best = cls.nothing(len(grid))
        winner = grid.argmax(axis=1)
        best.value = grid[np.arange(len(grid)), winner]
        for slot in range(batch.shape[1]):
            best.members[:, slot] = batch[winner, slot]
            holds = np.zeros(grid.shape, dtype=bool)
            for column in batch.T:
                holds |= column[None, :] == best.members[:, slot, None]
            best.without[:, slot] = np.where(holds, 0.0, grid).max(axis=1)
        return best

    def lacking(self, paint: Ints) -> Floats:
        """Return the best of each cell without the paint named for each cell and slot (cells, 3)."""
        found = np.broadcast_to(self.value[:, None], paint.shape)
        for slot in range(MOST_PAINTS):
            found = np.where(self.members[:, slot, None] == paint, self.without[:, slot, None], found)
        return np.where(paint >= 0, found, np.inf)

    def add(self, grid: Floats, batch: Ints) -> None:
        """Take in a batch; exact, because both sides know their best without any one paint."""
        touched = np.flatnonzero(grid.max(axis=1) > np.minimum(self.value, self.without.min(axis=1)))
        if not len(touched):
            return
        old = _Best(self.value[touched], self.members[touched], self.without[touched])
        new = _Best.of_batch(grid[touched], batch)
        members = np.where((old.value >= new.value)[:, None], old.members, new.members)
        self.without[touched] = np.maximum(old.lacking(members), new.lacking(members))
        self.members[touched] = members
        self.value[touched] = np.maximum(old.value, new.value)


def reach(palette: Palette, *, batch_series: int = BATCH_SERIES) -> Reach:
    """Return what a palette reaches.

    Parameters
    ----------
    palette : Palette
        Paints of one binder; none, one or many.
    batch_series : int
        Tint series worked at once, at least 1; it changes the time, not the result.

    Returns
    -------
    Reach
    """
    return finish(reach_steps(palette, batch_series=batch_series))


def reach_steps(palette: Palette, *, batch_series: int = BATCH_SERIES) -> Steps[Reach]:
    """The same in steps of some hundredths of a second."""
    if batch_series < 1:
        raise ValueError(f"batch_series must be at least 1, not {batch_series}")
    units = Units.of(palette)
    best, by_white, tried = yield from _sweep(units, batch_series)
    highest = np.sqrt(best.value)
    without = np.repeat(highest[None], len(palette), axis=0)
    for member, places in enumerate(units.places):
        if len(places) == 1:
            hit = best.members == member
            without[places[0], hit.any(axis=1)] = np.sqrt(best.without[hit])
    for number, places in enumerate(units.whites, start=1):
        if len(places) == 1:
            left = [grid for kind, grid in enumerate(by_white) if kind != number]
            without[places[0]] = np.sqrt(np.maximum.reduce(left))
    mixtures = yield from _winners(units, best)
    rows = tuple(tuple(mixtures[i * SHAPE[1] : (i + 1) * SHAPE[1]]) for i in range(SHAPE[0]))
    return Reach(palette, highest.reshape(SHAPE), without.reshape(len(palette), *SHAPE), rows, tried)


def gain(base: Palette, candidate: Palette, reached: Floats | None = None) -> Floats:
    """Return the highest chroma (8, 36) of those mixtures alone that contain the one paint of `candidate`.

    With `reached` (8, 36), what the base reaches by itself, and more than WHOLE_UP_TO paints, triples are worked only
    of pairs that come near to it.
    """
    value, numbers = _pairs_gained(base, candidate)
    if numbers is None:
        return np.sqrt(value).reshape(SHAPE)
    units, containing, winners = numbers
    others = [i for i in range(len(units.places)) if i != containing]
    partners: Iterable[int] = others
    if reached is not None and len(others) > WHOLE_UP_TO:
        near = np.sqrt(value) >= NEARLY * reached.ravel()
        partners = sorted({int(one) for one in winners[near & (value > 0.0)] if one >= 0})
    triples = {tuple(sorted((containing, one, other))) for one in partners for other in others if other != one}
    if triples:
        ratios = share_steps(MOST_PAINTS)
        for batch in batches(np.array(sorted(triples), dtype=np.intp), ratios, BATCH_SERIES):
            for found in worked(units, batch, ratios, units.whites):
                np.maximum.at(value, found.cells, found.squares)
    return np.sqrt(value).reshape(SHAPE)


def gain_of_pairs(base: Palette, candidate: Palette) -> Floats:
    """Return the same of the candidate alone and with one other colour, tinted or not: at most what `gain` returns."""
    return np.sqrt(_pairs_gained(base, candidate)[0]).reshape(SHAPE)


def _pairs_gained(base: Palette, candidate: Palette) -> tuple[Floats, tuple[Units, int, Ints] | None]:
    """Return chroma squared (288,) of singles and pairs with the candidate, and what triples are made from.

    That is the units, the candidate's number among them, and the partner (288,) that wins each cell, -1 for none; it
    is None for a white, which comes with every mixture there is, and for a paint that is known already.
    """
    if len(candidate) != 1:
        raise ValueError(f"gain takes one candidate, not {len(candidate)}; use take([place]) to choose one")
    both = base.plus(candidate)
    place = len(base)
    units = Units.of(both)
    value = np.zeros(CELLS)
    if both.is_white[place]:
        new = tuple(group for group in units.whites if group == (place,))
        if new:
            white_units = replace(units, whites=new)
            _, by_white, _ = finish(_sweep(white_units, BATCH_SERIES))
            value = by_white[1]
        return value, None
    containing = next(number for number, places in enumerate(units.places) if place in places)
    if len(units.places[containing]) > 1:
        return value, None
    winners = np.full(CELLS, -1, dtype=np.intp)
    for numbers, ratios in combinations_of(len(units.places), containing, 2):
        for batch in batches(numbers, ratios, BATCH_SERIES):
            for found in worked(units, batch, ratios, units.whites):
                before = value.copy()
                np.maximum.at(value, found.cells, found.squares)
                if batch.shape[1] == 2:
                    top = (found.squares == value[found.cells]) & (found.squares > before[found.cells])
                    winners[found.cells[top]] = batch[found.series[top] % len(batch), 1]
    return value, (units, containing, winners)


def _sweep(units: Units, series: int) -> Steps[tuple[_Best, list[Floats], int]]:
    """Return the best of every cell, the best with no white and with each white alone, and the mixtures worked."""
    best = _Best.nothing()
    by_white = [np.zeros(CELLS) for _ in range(len(units.whites) + 1)]
    tried = done = 0
    mixtures_of_series = 1 + len(units.whites) * (len(WHITE_PARTS) - 1)
    members = len(units.places)
    screened = members > WHOLE_UP_TO
    pending = list(combinations_of(members, most=2 if screened else MOST_PAINTS))
    # A third of the work of a screened palette is in its pairs, about.
    whole = sum(len(numbers) * len(ratios) for numbers, ratios in pending) * (3 if screened else 1)
    for numbers, ratios in pending:
        for batch in batches(numbers, ratios, series):
            grid = np.zeros(CELLS * len(batch))
            for kind, reached in enumerate(worked(units, batch, ratios, units.whites)):
                np.maximum.at(grid, reached.cells * len(batch) + reached.series % len(batch), reached.squares)
                np.maximum.at(by_white[kind], reached.cells, reached.squares)
            best.add(grid.reshape(CELLS, len(batch)), batch)
            done += len(batch) * len(ratios)
            tried += len(batch) * len(ratios) * mixtures_of_series
            yield SWEEP_SHARE * done / whole
        if screened and numbers.shape[1] == 2:
            triples = _extended(best, members)
            ratios = share_steps(MOST_PAINTS)
            whole = done + len(triples) * len(ratios)
            pending.append((triples, ratios))
    return best, by_white, tried


def _extended(best: _Best, members: int) -> Ints:
    """Return the pairs that win a cell, each with every third member (c, 3)."""
    pairs = {tuple(int(i) for i in row if i >= 0) for row in best.members}
    triples = {
        tuple(sorted((*pair, third)))
        for pair in pairs
        if len(pair) == 2
        for third in range(members)
        if third not in pair
    }
    return np.array(sorted(triples), dtype=np.intp).reshape(-1, MOST_PAINTS)


def _winners(units: Units, best: _Best) -> Steps[list[Mixture | None]]:
    """Work the winning combination of every cell again, this time keeping which ratio and white it was."""
    by_combo: dict[tuple[int, ...], list[int]] = {}
    for cell in np.flatnonzero(best.value > 0.0).tolist():
        by_combo.setdefault(tuple(int(i) for i in best.members[cell] if i >= 0), []).append(cell)
    cells: list[int] = []
    places: list[list[int]] = []
    parts: list[list[float]] = []
    for combo, won in by_combo.items():
        ratios = share_steps(len(combo))
        kinds = worked(units, np.array([combo], dtype=np.intp), ratios, units.whites)
        for cell in won:
            kind, ratio = _winning(kinds, cell)
            pad = [0] * (MOST_PAINTS - len(combo))
            cells.append(cell)
            white = units.whites[kind - 1][0] if kind else -1
            places.append([*(units.places[member][0] for member in combo), *pad, white])
            parts.append([*(ratios[ratio] / units.strength[list(combo)]).tolist(), *map(float, pad)])
        yield SWEEP_SHARE + (1.0 - SWEEP_SHARE) * len(cells) / max(1, int((best.value > 0.0).sum()))
    mixtures: list[Mixture | None] = [None] * CELLS
    if cells:
        for cell, mixture in zip(
            cells, _mixtures(units.palette, cells, np.array(places), np.array(parts)), strict=True
        ):
            mixtures[cell] = mixture
    return mixtures


def _winning(kinds: list[Reached], cell: int) -> tuple[int, int]:
    """Return the kind (0 without white) and the ratio that reach the highest chroma in a cell."""
    highest, answer = -1.0, (0, 0)
    for kind, reached in enumerate(kinds):
        here = np.flatnonzero(reached.cells == cell)
        if len(here) and reached.squares[here].max() > highest:
            place = here[reached.squares[here].argmax()]
            highest, answer = float(reached.squares[place]), (kind, int(reached.series[place]))
    return answer


def _mixtures(palette: Palette, cells: list[int], places: Ints, parts: Floats) -> list[Mixture]:
    """Find the white that brings each mixture to its value level, and say what it is made of.

    `places` (n, 4) ends in the white's place, -1 for none; `parts` (n, 3) are those of the colours.
    """
    k, s = palette.k[places], palette.s[places]
    levels = np.array(VALUE_LEVELS, dtype=np.float64)[np.array(cells) // SHAPE[1]]
    tinted = places[:, -1] >= 0
    low, high = np.zeros(len(cells)), np.where(tinted, WHITE_PARTS[-1], 0.0)
    # Lightness rises with white: halving 40 times leaves an error below that of a float.
    for _ in range(40):
        middle = (low + high) / 2.0
        share = np.column_stack((parts, middle))
        dark = _lab_of_parts(k, s, share)[:, 0] < levels
        low, high = np.where(dark, middle, low), np.where(dark, high, middle)
    share = np.column_stack((parts, np.where(tinted, high, 0.0)))
    lab = _lab_of_parts(k, s, share)
    share /= share.sum(axis=1, keepdims=True)
    return [_mixture(palette, places[i], share[i], lab[i]) for i in range(len(cells))]


def _lab_of_parts(k: Floats, s: Floats, parts: Floats) -> Floats:
    return lab_of(np.einsum("np,npw->nw", parts, k), np.einsum("np,npw->nw", parts, s))


def _mixture(palette: Palette, places: Ints, share: Floats, lab: Floats) -> Mixture:
    order = [int(i) for i in np.argsort(-share, kind="stable") if share[i] > 0.0]
    return Mixture(
        tuple(palette.ids[places[i]] for i in order),
        tuple(palette.names[places[i]] for i in order),
        tuple(float(share[i]) for i in order),
        (float(lab[0]), float(lab[1]), float(lab[2])),
    )
