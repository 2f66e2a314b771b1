"""The k tubes that reach most of the wheel under rules: every choice tried where they are few, else searched.

Each combination of one to three paints has one grid of what it and its parts reach, worked once. What a choice reaches
is the highest of the grids of its triples in every cell, so a choice costs look-ups alone. A choice holds one white at
most: a second one takes a place and opens next to nothing.

Where every choice is tried, the choices that differ in their last two paints are scored together: the grids that they
need lie beside one another. Where there are too many choices, or above MOST_TRIED paints, it is searched; then above
SHORTLIST paints first with pairs alone, and triples are worked for the paints that stand nearest to entering it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from inventory.colour.coverage import percent
from inventory.colour.palette import Palette
from inventory.colour.reach import BATCH_SERIES, reach_steps
from inventory.colour.series import CELLS, MOST_PAINTS, Units, batches, combinations_of, worked
from inventory.colour.steps import Steps, finish
from inventory.colour.temperature import Tag
from inventory.colour.wheel import colour_limit

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Shares = NDArray[np.uint16]

MOST_TUBES = 24
# Colours of whose triples all are worked: where every choice is tried, and where it is searched. The grids of 64 take
# 25 MB for each white, and two seconds.
MOST_TRIED, SHORTLIST = 64, 28
# Different whites that are tried, the strongest first.
MOST_WHITES = 4
# Look-ups (choices times their tubes) up to which every choice is tried: ten million choices of six, some ten seconds.
EXACT_LOOKUPS = 60_000_000
# Choices that the search carries from one size to the next, and that it improves at the end.
BEAM, IMPROVED = 48, 4
_CHUNK = 1024
_FULL = 65535
# A swap must add more than this share of the whole to be taken.
_LEAST_GAIN = 1e-7


@dataclass(frozen=True, eq=False)
class Shelf:
    """What may be chosen: n paints with what each may stand for, whether it is transparent, and its price.

    Prices are whole numbers of the smallest coin; None where there is none.
    """

    palette: Palette
    tags: tuple[frozenset[Tag], ...]
    transparent: tuple[bool, ...]
    prices: tuple[int | None, ...]

    def __post_init__(self) -> None:
        for name in ("tags", "transparent", "prices"):
            if len(getattr(self, name)) != len(self.palette):
                raise ValueError(f"{name} must have {len(self.palette)} values, not {len(getattr(self, name))}")

    def take(self, places: Sequence[int]) -> Shelf:
        return Shelf(
            self.palette.take(list(places)),
            tuple(self.tags[i] for i in places),
            tuple(self.transparent[i] for i in places),
            tuple(self.prices[i] for i in places),
        )


@dataclass(frozen=True)
class Demands:
    """What a choice must be: so many tubes, one at least of each tag, so many transparent, and not above a price."""

    size: int
    tags: tuple[Tag, ...] = ()
    transparent: int = 0
    budget: int | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.size <= MOST_TUBES:
            raise ValueError(f"a palette has 1 to {MOST_TUBES} tubes, not {self.size}")
        if self.transparent < 0:
            raise ValueError(f"transparent must be 0 or more, not {self.transparent}")


@dataclass(frozen=True)
class Design:
    """The places chosen, their coverage in percent, and the coverage that no choice can exceed.

    `whole` is True where every choice was tried, so that none is better; `tried` counts those that were.
    `looked_at` of `of` colours had all their triples worked.
    """

    places: tuple[int, ...]
    percent: float
    bound: float
    whole: bool
    tried: int
    looked_at: int
    of: int

    @property
    def short_of_bound(self) -> float:
        return max(0.0, self.bound - self.percent)


def design(shelf: Shelf, demands: Demands, *, exact_lookups: int = EXACT_LOOKUPS) -> Design | None:
    """Return the best choice found, or None where no choice meets the demands.

    Parameters
    ----------
    shelf : Shelf
        Paints of one binder.
    demands : Demands
    exact_lookups : int
        The work up to which every choice is tried; 0 always searches.
    """
    return finish(design_steps(shelf, demands, exact_lookups=exact_lookups))


def design_steps(shelf: Shelf, demands: Demands, *, exact_lookups: int = EXACT_LOOKUPS) -> Steps[Design | None]:
    """The same in steps of some hundredths of a second."""
    members, different = _different(shelf)
    if cheapest(shelf, demands) is None:
        return None
    whites = _few(shelf, different)
    reached = yield from _scaled(reach_steps(shelf.palette), 0.0, 0.25)
    listed = members
    options = _options(shelf, demands, members, whites)
    exact = _lookups(demands, members, options) <= exact_lookups and len(members) <= MOST_TRIED
    if not exact and len(members) > SHORTLIST:
        listed = yield from _shortlist(shelf, demands, members, whites)
        options = _options(shelf, demands, listed, whites)
        exact = _lookups(demands, listed, options) <= exact_lookups
    grids = yield from _scaled(_grids_steps(shelf.palette, listed, whites, MOST_PAINTS), 0.5, 0.7)
    best: tuple[int, ...] = ()
    score, tried = -1.0, 0
    for number, white in enumerate(options):
        search = _Search(shelf, demands, listed, white, grids.with_white(white))
        work = _every(search) if exact else _searched(search)
        low, high = (0.7 + 0.3 * part / len(options) for part in (number, number + 1))
        found, value, count = yield from _scaled(work, low, high)
        tried += count
        if found and value > score:
            best, score = found, value
    if not best:
        return None
    answer = tuple(sorted(best))
    # The grids are rounded to 65535 steps; what is told is worked without.
    got = percent(finish(reach_steps(shelf.palette.take(list(answer)))).chroma)
    whole = exact and (len(listed), len(whites)) == (len(members), len(different))
    return Design(answer, got, max(got, percent(reached.chroma)), whole, tried, len(listed), len(members))


def cheapest(shelf: Shelf, demands: Demands) -> int | None:
    """Return the least that a choice meeting the demands costs, None where there is none; no price counts as 0."""
    members, whites = _different(shelf)
    found = []
    for white in _beside(demands, whites):
        least = _Completion(shelf, demands, members, white).least(demands.size - (white is not None), 0, 0)
        if np.isfinite(least):
            found.append(int(least) + (_price(shelf, white) if white is not None else 0))
    low = min(found, default=None)
    return low if low is not None and (demands.budget is None or low <= demands.budget) else None


def _different(shelf: Shelf) -> tuple[list[int], list[int]]:
    """Return the colours and the whites of different curves, the cheapest of each; the strongest white first.

    Of two at one price the transparent one stays, for a choice is never asked to have few of them.
    """
    palette = shelf.palette
    kept: dict[bytes, int] = {}
    for place in sorted(range(len(palette)), key=lambda i: (_price(shelf, i), not shelf.transparent[i], i)):
        kept.setdefault(palette.k[place].tobytes() + palette.s[place].tobytes(), place)
    chosen = set(kept.values())
    members = [int(i) for i in palette.members if int(i) in chosen]
    return members, [int(i) for i in palette.whites if int(i) in chosen]


def _few(shelf: Shelf, whites: Sequence[int]) -> list[int | None]:
    """Return the strongest of the whites, MOST_WHITES of them, and among these the cheapest of all."""
    few = list(whites[:MOST_WHITES])
    cheap = min(whites, key=lambda i: _price(shelf, i), default=None)
    return [*few] if cheap is None or cheap in few else [*few[:-1], cheap]


def _price(shelf: Shelf, place: int) -> int:
    return shelf.prices[place] or 0


class _Completion:
    """The least cost of completing a choice: by how many are to come, which tags they bring, how many transparent."""

    def __init__(self, shelf: Shelf, demands: Demands, members: Sequence[int], white: int | None) -> None:
        self.bits = {tag: 1 << n for n, tag in enumerate(t for t in dict.fromkeys(demands.tags) if t is not Tag.WHITE)}
        self.everything = (1 << len(self.bits)) - 1
        self.transparent = demands.transparent
        size = demands.size - (white is not None)
        cost = np.full((size + 1, self.everything + 1, demands.transparent + 1), np.inf)
        cost[0, 0, 0] = 0.0
        masks = np.arange(self.everything + 1)
        more = np.arange(demands.transparent + 1)
        for place in members:
            mask, clear = self.brings(shelf, place)
            new = np.full_like(cost, np.inf)
            to_t = np.minimum(more + clear, demands.transparent)
            np.minimum.at(
                new[1:],
                np.ix_(np.arange(size), masks | mask, to_t),
                cost[:-1] + _price(shelf, place),
            )
            cost = np.minimum(cost, new)
        # From exactly these tags and transparents to at least these.
        for bit in self.bits.values():
            lacking = masks[(masks & bit) == 0]
            cost[:, lacking] = np.minimum(cost[:, lacking], cost[:, lacking | bit])
        self.cost = np.minimum.accumulate(cost[:, :, ::-1], axis=2)[:, :, ::-1]

    def brings(self, shelf: Shelf, place: int) -> tuple[int, int]:
        return sum(bit for tag, bit in self.bits.items() if tag in shelf.tags[place]), int(shelf.transparent[place])

    def least(self, to_come: int, mask: int, transparent: int) -> float:
        """Cost of `to_come` more paints beside some that bring these tags and so many transparent."""
        if to_come < 0 or to_come >= len(self.cost):
            return float("inf")
        return float(self.cost[to_come, self.everything & ~mask, max(0, self.transparent - transparent)])


def _fits(shelf: Shelf, demands: Demands, members: Sequence[int], white: int | None) -> bool:
    size = demands.size - (white is not None)
    least = _Completion(shelf, demands, members, white).least(size, 0, 0)
    extra = _price(shelf, white) if white is not None else 0
    return bool(np.isfinite(least)) and (demands.budget is None or least + extra <= demands.budget)


def _beside(demands: Demands, whites: Sequence[int | None]) -> tuple[int | None, ...]:
    """The whites that a choice may hold, None for a choice without white."""
    return (*whites, *(() if Tag.WHITE in demands.tags else (None,)))


def _options(shelf: Shelf, demands: Demands, members: Sequence[int], whites: Sequence[int | None]) -> list[int | None]:
    """Those of them beside which a choice among these members meets the demands."""
    return [white for white in _beside(demands, whites) if _fits(shelf, demands, members, white)]


@dataclass(frozen=True, eq=False)
class _Grids:
    """Shares of each cell (rows, 288), of 65535, that combinations of m paints reach: without white, with each.

    Rows are in the order of `combinations`: the paints alone, all pairs, all triples.
    """

    kinds: tuple[Shares, ...]
    whites: tuple[int | None, ...]
    pair: Ints
    triple: Ints | None

    def with_white(self, white: int | None) -> _Grids:
        """Return the grids beside one white, those of pairs and triples with all that their parts reach."""
        table = self.kinds[0]
        table = table.copy() if white is None else np.maximum(table, self.kinds[1 + self.whites.index(white)])
        m = len(self.pair)
        i, j = np.triu_indices(m, 1)
        np.maximum(table[self.pair[i, j]], np.maximum(table[i], table[j]), out=table[m : m + len(i)])
        if self.triple is not None:
            for first in range(m - 2):
                some = self.triples(first, first + 1)
                second, third = (one + first + 1 for one in np.triu_indices(m - first - 1, 1))
                for pair in (self.pair[first, second], self.pair[first, third], self.pair[second, third]):
                    np.maximum(table[some], table[pair], out=table[some])
        return _Grids((table,), (white,), self.pair, self.triple)

    def triples(self, first: int, least: int) -> slice:
        """The rows of the triples of `first` and two paints from `least` on."""
        m = len(self.pair)
        end = m + comb(m, 2) + comb(m, 3) - comb(m - 1 - first, 3)
        return slice(end - comb(m - least, 2), end)


def _grids_steps(palette: Palette, members: Sequence[int], whites: Sequence[int | None], most: int) -> Steps[_Grids]:
    """Work the grids of all combinations of so many of these paints at most."""
    tints = [white for white in whites if white is not None]
    units = Units.of(palette.take([*members, *tints]))
    # `take` keeps the order, and the curves differ, so member i of the units is member i here.
    order = {palette.ids[white]: number for number, white in enumerate(tints)}
    kinds_of = [order[units.palette.ids[group[0]]] for group in units.whites]
    m = len(members)
    rows = m + comb(m, 2) + (comb(m, 3) if most == MOST_PAINTS else 0)
    kinds = tuple(np.zeros((rows, CELLS), dtype=np.uint16) for _ in range(1 + len(tints)))
    limit = colour_limit().ravel() ** 2
    scale = np.where(limit > 0.0, _FULL / np.where(limit > 0.0, limit, 1.0), 0.0)
    start = 0
    for numbers, ratios in combinations_of(m, most=most):
        for batch in batches(numbers, ratios, BATCH_SERIES):
            for kind, reached in enumerate(worked(units, batch, ratios, units.whites)):
                grid = np.zeros(len(batch) * CELLS)
                np.maximum.at(grid, (reached.series % len(batch)) * CELLS + reached.cells, reached.squares)
                share = np.minimum(grid.reshape(-1, CELLS), limit) * scale
                into = 0 if kind == 0 else 1 + kinds_of[kind - 1]
                kinds[into][start : start + len(batch)] = np.rint(share)
            start += len(batch)
            yield start / rows
    pair = np.zeros((m, m), dtype=np.intp)
    row = m
    for i, j in combinations(range(m), 2):
        pair[i, j] = pair[j, i] = row
        row += 1
    triple = None
    if most == MOST_PAINTS:
        triple = np.zeros((m, m, m), dtype=np.intp)
        for i, j, k in combinations(range(m), 3):
            triple[i, j, k] = row
            row += 1
    return _Grids(kinds, tuple(tints), pair, triple)


class _Search:
    """Choices of colours beside one white: `members` are places on the shelf, choices are rows of numbers of them."""

    def __init__(
        self, shelf: Shelf, demands: Demands, members: Sequence[int], white: int | None, grids: _Grids
    ) -> None:
        self.shelf, self.demands, self.members, self.white, self.grids = shelf, demands, list(members), white, grids
        self.size = demands.size - (white is not None)
        self.ends = _Completion(shelf, demands, members, white)
        brought = [self.ends.brings(shelf, place) for place in members]
        self.masks = np.array([mask for mask, _ in brought], dtype=np.intp)
        self.clear = np.array([clear for _, clear in brought], dtype=np.intp)
        self.price = np.array([_price(shelf, place) for place in members], dtype=np.int64)
        left = None if demands.budget is None else demands.budget - (_price(shelf, white) if white is not None else 0)
        self.budget = left
        limit = colour_limit().ravel() ** 2
        self.weights = (limit / limit.sum() / _FULL).astype(np.float32)

    def scores(self, choices: Ints) -> NDArray[np.float32]:
        """Return the share of the limit (c,) that choices (c, size), each in rising order, reach."""
        table, pair, triple = self.grids.kinds[0], self.grids.pair, self.grids.triple
        size = choices.shape[1]
        # The grid of several has all that fewer of them reach, so those of the most together suffice.
        rows = [one for one in (np.arange(len(pair)), pair, triple) if one is not None][: max(1, size)][-1]
        found = np.empty(len(choices), dtype=np.float32)
        for start in range(0, len(choices), _CHUNK):
            some = choices[start : start + _CHUNK]
            best = np.zeros((len(some), CELLS), dtype=np.uint16)
            for together in combinations(range(size), rows.ndim):
                np.maximum(best, table[rows[tuple(some[:, place] for place in together)]], out=best)
            found[start : start + _CHUNK] = self.share(best)
        return found

    def share(self, best: Shares) -> NDArray[np.float32]:
        return np.asarray(best.astype(np.float32) @ self.weights)

    def ending(self, first: tuple[int, ...]) -> NDArray[np.float32]:
        """Return the same of the choices that begin with these and end with any two later ones, in their order."""
        assert self.grids.triple is not None  # noqa: S101  # whoever tries every choice has worked them
        table, triple, after = self.grids.kinds[0], self.grids.triple, first[-1] + 1
        best = table[self.grids.triples(first[0], after)].copy()
        for one in first[1:]:
            np.maximum(best, table[self.grids.triples(one, after)], out=best)
        if len(first) > 1:
            later = len(self.members) - after
            with_one = np.zeros((later, CELLS), dtype=np.uint16)
            for i, j in combinations(first, 2):
                row = int(triple[i, j, after])
                np.maximum(with_one, table[row : row + later], out=with_one)
            for three in combinations(first, 3):
                np.maximum(with_one, table[triple[three]], out=with_one)
            for last in np.triu_indices(later, 1):
                np.maximum(best, with_one[last], out=best)
        return self.share(best)

    def meets(self, choices: Ints) -> NDArray[np.bool_]:
        """Return which whole choices (c, size) meet the demands."""
        mask = np.bitwise_or.reduce(self.masks[choices], axis=1) if choices.shape[1] else np.zeros(len(choices), int)
        good = mask == self.ends.everything
        good &= self.clear[choices].sum(axis=1) >= self.demands.transparent
        if self.budget is not None:
            good &= self.price[choices].sum(axis=1) <= self.budget
        return np.asarray(good)

    def may_become(self, choice: tuple[int, ...]) -> bool:
        """Whether a choice that is not whole yet may still meet the demands."""
        mask = int(np.bitwise_or.reduce(self.masks[list(choice)]))
        chosen = int(self.price[list(choice)].sum())
        least = self.ends.least(self.size - len(choice), mask, int(self.clear[list(choice)].sum()))
        return bool(np.isfinite(least)) and (self.budget is None or chosen + least <= self.budget)

    def placed(self, choice: Sequence[int]) -> tuple[int, ...]:
        more = () if self.white is None else (self.white,)
        return (*(self.members[i] for i in choice), *more)


Found = tuple[tuple[int, ...], float, int]


def _lookups(demands: Demands, members: Sequence[int], options: Sequence[int | None]) -> int:
    sizes = [demands.size - (white is not None) for white in options]
    return sum(comb(len(members), size) * size for size in sizes)


def _every(search: _Search) -> Steps[Found]:
    """Try every choice."""
    best: tuple[int, ...] = ()
    score, tried = -1.0, 0
    for share, some, scored in _parts(search):
        good = np.flatnonzero(search.meets(some))
        tried += len(good)
        if len(good):
            # Of six tubes a choice scored alone costs four times one scored with those that begin alike.
            few = 4 * len(good) < len(some)
            scores = search.scores(some[good]) if few else scored()[good]
            top = int(scores.argmax())
            if scores[top] > score:
                best, score = tuple(some[good[top]].tolist()), float(scores[top])
        yield share
    return (search.placed(best) if best or not search.size else (), score, tried)


def _parts(search: _Search) -> Iterator[tuple[float, Ints, Callable[[], NDArray[np.float32]]]]:
    """All choices in parts: the share of the work when a part is done, its choices, and how to score them."""
    m, size = len(search.members), search.size
    if size < MOST_PAINTS:
        some = np.array(list(combinations(range(m), size)), dtype=np.intp).reshape(comb(m, size), size)
        yield 1.0, some, lambda: search.scores(some)
        return
    whole, seen = comb(m, size), 0
    for first in combinations(range(m - 2), size - 2):
        left = m - 1 - first[-1]
        seen += comb(left, 2)
        if not search.may_become(first):
            continue
        last = np.stack(np.triu_indices(left, 1), axis=1) + first[-1] + 1
        choices = np.concatenate([np.broadcast_to(np.array(first), (len(last), size - 2)), last], axis=1)
        yield seen / whole, choices, partial(search.ending, first)


def _searched(search: _Search) -> Steps[Found]:
    """Build up the best choices tube by tube, then exchange one and two tubes as long as that helps."""
    beam, tried = yield from _beam(search)
    best, score = (), -1.0
    for number, start in enumerate(beam[:IMPROVED]):
        found, value, count = yield from _scaled(
            _exchanged(search, start), 0.5 + 0.5 * number / IMPROVED, 0.5 + 0.5 * (number + 1) / IMPROVED
        )
        tried += count
        if value > score:
            best, score = found, value
    return (search.placed(best) if best else (), score, tried)


def _beam(search: _Search) -> Steps[tuple[list[tuple[int, ...]], int]]:
    beam: list[tuple[int, ...]] = [()]
    tried = 0
    for size in range(1, search.size + 1):
        wider = {tuple(sorted((*one, i))) for one in beam for i in range(len(search.members)) if i not in one}
        fitting = sorted(one for one in wider if search.may_become(one))
        if not fitting:
            return [], tried
        choices = np.array(fitting, dtype=np.intp)
        if size == search.size:
            choices = choices[search.meets(choices)]
        scores = search.scores(choices)
        tried += len(choices)
        beam = [tuple(row) for row in choices[np.argsort(-scores, kind="stable")[:BEAM]].tolist()]
        yield 0.5 * size / search.size
    return beam, tried


def _exchanged(search: _Search, start: tuple[int, ...]) -> Steps[Found]:
    best = start
    score = float(search.scores(np.array([best], dtype=np.intp))[0])
    tried, width = 0, 1
    while True:
        others = [i for i in range(len(search.members)) if i not in best]
        swaps = [
            tuple(sorted((*(i for i in best if i not in gone), *come)))
            for gone in combinations(best, width)
            for come in combinations(others, width)
        ]
        improved = False
        for begin in range(0, len(swaps), 4 * _CHUNK):
            choices = np.array(swaps[begin : begin + 4 * _CHUNK], dtype=np.intp)
            choices = choices[search.meets(choices)]
            if len(choices):
                scores = search.scores(choices)
                tried += len(choices)
                top = int(scores.argmax())
                if scores[top] > score + _LEAST_GAIN:
                    best, score, improved = tuple(choices[top].tolist()), float(scores[top]), True
            yield 0.5
        if improved:
            width = 1
        elif width == 1 and search.size >= 2 and search.grids.triple is not None:
            width = 2
        else:
            return best, score, tried


def _shortlist(
    shelf: Shelf, demands: Demands, members: Sequence[int], whites: Sequence[int | None]
) -> Steps[list[int]]:
    """Return the SHORTLIST paints that stand nearest to the best choice by pairs alone."""
    white = next((one for one in whites if _fits(shelf, demands, members, one)), None)
    only = [white] if white is not None else []
    grids = yield from _scaled(_grids_steps(shelf.palette, members, only, 2), 0.25, 0.45)
    search = _Search(shelf, demands, members, white, grids.with_white(white))
    beam, _ = yield from _scaled(_beam(search), 0.45, 0.48)
    best = max(beam[:IMPROVED], key=lambda one: float(search.scores(np.array([one]))[0]))
    best, _, _ = yield from _scaled(_exchanged(search, best), 0.48, 0.5)
    others = [i for i in range(len(members)) if i not in best]
    nearest: dict[int, float] = {}
    for i in others:
        swaps = np.array([sorted((*(j for j in best if j != gone), i)) for gone in best], dtype=np.intp)
        nearest[i] = float(search.scores(swaps).max())
    # A tag or a budget may hang on a paint that reaches little: of each tag, and of the cheap, the nearest two stay.
    kept = list(best)
    for wanted in demands.tags:
        bearing = sorted((i for i in others if wanted in shelf.tags[members[i]]), key=lambda i: -nearest[i])
        kept += bearing[:2]
    if demands.budget is not None:
        kept += sorted(others, key=lambda i: (_price(shelf, members[i]), -nearest[i]))[:4]
    if demands.transparent:
        kept += sorted((i for i in others if shelf.transparent[members[i]]), key=lambda i: -nearest[i])[:4]
    kept += sorted(others, key=lambda i: -nearest[i])
    return sorted(members[i] for i in list(dict.fromkeys(kept))[:SHORTLIST])


def _scaled(steps: Steps, low: float, high: float) -> Steps:
    """Pass on the steps of a part of the work, between these shares of the whole."""
    while True:
        try:
            share = next(steps)
        except StopIteration as done:
            return done.value
        yield min(1.0, low + (high - low) * share)
