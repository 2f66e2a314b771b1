"""Gains and redundancy over everything the curves may be: means with intervals, and ties shown as ties.

Working the whole reach again with each draw would take minutes. Only the combinations of paints that win a cell with
the best curves are worked again, in every ratio, with each draw; a draw's gain is the whole gain plus how far that
moves. Against whole reaches with eight draws, for 8 and 20 paints, mean gains came out within 0.8 points where they are
above 1, and up to 0.5 points too high for candidates that add next to nothing.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.advice import TIE_WITHIN, Advice, rank_steps
from inventory.colour.appearance import difference
from inventory.colour.certainty import Paint, stacked
from inventory.colour.coverage import percent
from inventory.colour.matching import nearest_parts
from inventory.colour.palette import Palette
from inventory.colour.reach import BATCH_SERIES, Reach
from inventory.colour.redundancy import (
    DUPLICATE_WITHIN,
    MIXABLE_WITHIN,
    TWIN_MASSTONE_WITHIN,
    TWIN_TINT_WITHIN,
    Kind,
    Redundancy,
    tints,
)
from inventory.colour.series import (
    CELLS,
    Units,
    batches,
    combinations_of,
    share_steps,
    strengths,
    worked,
)
from inventory.colour.steps import Steps, finish
from inventory.colour.wheel import SHAPE, colour_limit

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
# Combinations of places (c, size), by size.
_Winners = dict[int, Ints]

INTERVAL = (5.0, 95.0)
# Candidates that are worked over draws; the rest keep the gain of their best curves.
MOST_CANDIDATES = 8
# Draws that are worked: with more of them the interval hardly moves, and the time grows with them.
GAIN_DRAWS = 16
# A finding that holds in fewer of the draws than this is told as a maybe.
LIKELY_FROM = 0.75
_WITHIN = {
    Kind.SAME_PIGMENTS: (DUPLICATE_WITHIN, DUPLICATE_WITHIN),
    Kind.NEAR_TWIN: (TWIN_MASSTONE_WITHIN, TWIN_TINT_WITHIN),
    Kind.MIXABLE: (MIXABLE_WITHIN, MIXABLE_WITHIN),
}
# Where the paints of a mixture do not do in a draw, each of so many others is tried beside them, from so small a share.
MORE_TRIED = 6
A_LITTLE = 0.1
# A mixture starts near its best: more steps hardly change how often one holds.
DRAWN_REFINEMENTS = 10
HOLDS_AS = {
    Kind.SAME_PIGMENTS: "Alike alone and tinted",
    Kind.NEAR_TWIN: "Alike alone and tinted",
    Kind.MIXABLE: "Mixable by the others",
}


@dataclass(frozen=True)
class Gain:
    """What a candidate is expected to add, in percentage points of coverage: mean over draws, 5 to 95 % of them.

    Candidates that the draws do not tell apart share a `rank`.
    """

    id: Hashable
    name: str
    rank: int
    tied: bool
    mean: float
    low: float
    high: float
    best: float
    """The gain with the best curves alone."""


@dataclass(frozen=True)
class Likely:
    """A finding of redundancy with the share of draws in which it holds, and the middle of the differences."""

    finding: Redundancy
    share: float
    masstone_difference: float
    tint_difference: float
    text: str
    """Such as "Mixable by the others in 27 of 32 cases."; a case is one draw."""


def expected_gains(
    reached: Reach,
    paints: Sequence[Paint],
    candidates: Palette,
    candidate_paints: Sequence[Paint],
    *,
    most: int = MOST_CANDIDATES,
    draws: int = GAIN_DRAWS,
    limit: Floats | None = None,
) -> tuple[Gain, ...]:
    """Return what the best candidates are expected to add, the greatest mean first.

    Parameters
    ----------
    reached : Reach
        What the palette reaches with its best curves.
    paints : sequence of Paint
        The palette's paints with their draws, in its order.
    candidates, candidate_paints
        The same of the candidates.
    most : int
        So many of them, best first by their best curves, are worked over draws.
    draws : int
        So many of each paint's draws are used, from the first.
    """
    return finish(gain_steps(reached, paints, candidates, candidate_paints, most=most, draws=draws, limit=limit))


def gain_steps(
    reached: Reach,
    paints: Sequence[Paint],
    candidates: Palette,
    candidate_paints: Sequence[Paint],
    *,
    most: int = MOST_CANDIDATES,
    draws: int = GAIN_DRAWS,
    limit: Floats | None = None,
    advice: Sequence[Advice] | None = None,
) -> Steps[tuple[Gain, ...]]:
    """The same in steps; `advice` is the ranking by the best curves, where it is known already."""
    palette = reached.palette
    if len(paints) != len(palette) or len(candidate_paints) != len(candidates):
        raise ValueError("each paint of the palette and each candidate needs its draws, in the same order")
    for paint in (*paints, *candidate_paints):
        draws = min(draws, len(paint.k))
    bound = colour_limit() if limit is None else limit
    if advice is None:
        advice = yield from rank_steps(reached, candidates, limit=bound)
    if not advice:
        return ()
    items = advice[:most]
    works = len(items) + 1
    before_best, before = yield from _grids(palette, paints, _winners_of(reached), draws, 0.0, 1.0 / works)
    found = []
    for number, item in enumerate(items, start=1):
        place = candidates.index(item.id)
        both = palette.plus(candidates.take([place]))
        with_it = [*paints, candidate_paints[place]]
        winners = _winners_containing(both)
        extra_best, extra = yield from _grids(both, with_it, winners, draws, number / works, 1.0 / works)
        moved = [percent(np.maximum(b, e), bound) - percent(b, bound) for b, e in zip(before, extra, strict=True)]
        still = percent(np.maximum(before_best, extra_best), bound) - percent(before_best, bound)
        gains = np.maximum(0.0, item.gain + np.array(moved) - still)
        found.append((item, gains))
    return _ranked(found)


def likely_redundancies(
    findings: Sequence[Redundancy], palette: Palette, paints: Sequence[Paint]
) -> tuple[Likely, ...]:
    """Return each finding with the share of draws in which it still holds, the surest first.

    The parts of a mixture are found again in every draw, as they would be at a table, where need be with one paint
    more of those nearest.
    """
    if not findings:
        return ()
    k, s = stacked(paints)
    found = []
    for finding in findings:
        others = [palette.index(other) for other in finding.others]
        masstone_within, tint_within = _WITHIN[finding.kind]
        alone, tinted = _again(palette, k, s, finding, others)
        if finding.kind is Kind.MIXABLE:
            for more in _nearest_others(palette, palette.index(finding.id), others):
                open_ = np.flatnonzero((alone > masstone_within) | (tinted > tint_within))
                if not len(open_):
                    break
                again = _again(palette, k[open_], s[open_], finding, [*others, more])
                better = np.maximum(*again) < np.maximum(alone[open_], tinted[open_])
                alone[open_[better]], tinted[open_[better]] = again[0][better], again[1][better]
        holds = (alone <= masstone_within) & (tinted <= tint_within)
        held = int(holds.sum())
        text = f"{HOLDS_AS[finding.kind]} in {held or 'none'} of {len(holds)} cases"
        text += "." if holds.mean() >= LIKELY_FROM else ": a maybe." if held else ": by the likeliest curves alone."
        found.append(Likely(finding, float(holds.mean()), float(np.median(alone)), float(np.median(tinted)), text))
    return tuple(sorted(found, key=lambda item: -item.share))


def _again(palette: Palette, k: Floats, s: Floats, finding: Redundancy, others: list[int]) -> tuple[Floats, Floats]:
    """Return CIEDE2000 (d,) of a paint to the nearest mixture of others, alone and tinted, over draws (d, n, 31)."""
    own, white = palette.index(finding.id), palette.white_index
    ground = (np.zeros_like(k[:, 0]), np.ones_like(s[:, 0])) if white is None else (k[:, white], s[:, white])
    known = dict(zip(finding.mixture.ids, finding.mixture.parts, strict=True)) if finding.mixture else {}
    parts = np.array([known.get(palette.ids[place], A_LITTLE) for place in others])
    _, alone, tinted = nearest_parts(
        (k[:, own], s[:, own]), (k[:, others], s[:, others]), ground, parts, refinements=DRAWN_REFINEMENTS
    )
    return alone, tinted


def _nearest_others(palette: Palette, own: int, others: list[int]) -> list[int]:
    """Return the paints to try beside those of a mixture: the nearest alone and tinted, and the white."""
    tinted = tints(palette)
    apart = difference(palette.masstones, palette.masstones[own]) + difference(tinted, tinted[own])
    white = palette.white_index
    order = [int(i) for i in np.argsort(apart, kind="stable") if i not in (own, white, *others)][:MORE_TRIED]
    return order if white is None or white in (own, *others) else [*order, white]


def _winners_of(reached: Reach) -> _Winners:
    """Return the combinations of colours that win a cell, by size."""
    palette = reached.palette
    sets: set[tuple[int, ...]] = set()
    for row in reached.mixtures:
        for mixture in row:
            if mixture is not None:
                places = [palette.index(paint) for paint in mixture.ids]
                sets.add(tuple(sorted(place for place in places if not palette.is_white[place])))
    return _by_size(sets)


def _winners_containing(both: Palette) -> _Winners:
    """Return the combinations with the last paint that win a cell among themselves."""
    place = len(both) - 1
    if both.is_white[place]:
        # A white comes with every colour: the paints alone stand for what it tints.
        return _by_size({(int(member),) for member in both.members})
    units = Units.of(both)
    containing = next(number for number, places in enumerate(units.places) if place in places)
    first = [place if place in group else group[0] for group in units.places]
    best = np.zeros(CELLS)
    winner: list[tuple[int, ...]] = [()] * CELLS
    for numbers, ratios in combinations_of(len(units.places), containing):
        for batch in batches(numbers, ratios, BATCH_SERIES):
            for reached in worked(units, batch, ratios, units.whites[:1]):
                order = np.argsort(reached.squares, kind="stable")
                top = np.full(CELLS, -1, dtype=np.intp)
                top[reached.cells[order]] = order
                cells = np.flatnonzero(top >= 0)
                cells = cells[reached.squares[top[cells]] > best[cells]]
                best[cells] = reached.squares[top[cells]]
                for cell, combo in zip(cells.tolist(), batch[reached.series[top[cells]] % len(batch)], strict=True):
                    winner[cell] = tuple(sorted(first[member] for member in combo))
    return _by_size({combo for combo in winner if combo})


def _by_size(sets: set[tuple[int, ...]]) -> _Winners:
    ordered = sorted(sets)
    return {size: np.array([c for c in ordered if len(c) == size]) for size in sorted({len(c) for c in ordered})}


def _grids(
    palette: Palette, paints: Sequence[Paint], winners: _Winners, draws: int, done: float, share: float
) -> Steps[tuple[Floats, list[Floats]]]:
    """Return the highest chroma (8, 36) of the winners with the best curves, and with each draw.

    It is `share` of work of which `done` lies behind.
    """
    if not winners:
        return np.zeros(SHAPE), [np.zeros(SHAPE)] * draws
    k, s = (values[:draws] for values in stacked(paints))
    best = _grid(palette, winners, palette)
    drawn = []
    for i in range(len(k)):
        drawn.append(_grid(Palette(palette.ids, palette.names, k[i], s[i], palette.binder), winners, palette))
        yield done + share * (i + 1) / len(k)
    return best, drawn


def _grid(palette: Palette, winners: _Winners, best: Palette) -> Floats:
    """Return the highest chroma of the winners with the curves of `palette`; `best` says what is a white."""
    # Every tube is a unit of its own: tubes alike by their best curves may differ in a draw.
    power = strengths(palette.k)
    S = palette.s.T / power
    T = (palette.k + palette.s).T / power
    units = Units(palette, T, S, power, tuple((i,) for i in range(len(palette))), ())
    value = np.zeros(CELLS)
    white = best.white_index
    for size, numbers in winners.items():
        ratios = share_steps(size)
        for batch in batches(numbers, ratios, BATCH_SERIES):
            for reached in worked(units, batch, ratios, () if white is None else ((white,),)):
                np.maximum.at(value, reached.cells, reached.squares)
    return np.sqrt(value).reshape(SHAPE)


def _ranked(found: Sequence[tuple[Advice, Floats]]) -> tuple[Gain, ...]:
    ordered = sorted(found, key=lambda pair: (-pair[1].mean(), pair[0].name, str(pair[0].id)))
    ranks: list[int] = []
    first = 0
    for place, (_, gains) in enumerate(ordered):
        # Told apart when the leader of the rank is ahead in nearly all the draws.
        ahead = ordered[first][1] - gains
        if np.percentile(ahead, INTERVAL[0]) > 0.0 and ahead.mean() > TIE_WITHIN:
            first = place
        ranks.append(first + 1)
    return tuple(
        Gain(
            id=item.id,
            name=item.name,
            rank=place,
            tied=ranks.count(place) > 1,
            mean=float(gains.mean()),
            low=float(np.percentile(gains, INTERVAL[0])),
            high=float(np.percentile(gains, INTERVAL[1])),
            best=item.gain,
        )
        for (item, gains), place in zip(ordered, ranks, strict=True)
    )
