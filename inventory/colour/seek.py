"""A mixture for a wanted colour: routes in small whole parts from the paints at hand, never an exact recipe."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import gcd

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import chroma, difference, hue_angle
from inventory.colour.certainty import Paint, Statement, mixtures
from inventory.colour.matching import WHITE_TRIED
from inventory.colour.palette import Palette
from inventory.colour.redundancy import tints
from inventory.colour.samples import Sample
from inventory.colour.series import MOST_PAINTS, lab_of, share_steps, strengths
from inventory.colour.wheel import hue_name

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Lab = tuple[float, float, float]

# Parts that are told apart on a palette: a pile of at most so many.
MOST_PARTS = 12
MOST_ROUTES = 4
# Sets of paints of each size whose parts are worked out in full.
SETS_KEPT = 40
# With more colours than this, triples are tried only among those that did best in pairs.
MOST_IN_TRIPLES = 18
BATCH_SETS = 400
# One more paint must bring a route nearer by this much (CIEDE2000) to be worth mixing in.
WORTH_A_PAINT = 1.0
# Fewer parts are preferred while they cost less than this.
WORTH_A_PART = 0.1
# A further route is shown while it is not farther off than the best by more than this, or within what is called good.
ROUTE_WITHIN = 2.0
GOOD_ENOUGH = 3.0
# Paints nearer than this (masstone and tint) count as the same paint when routes are compared.
SAME_KIND_WITHIN = 8.0
# Differences in L*, C* and hue that are told in words, and those told without "a little".
SLIGHT, CLEAR = 1.5, 5.0


@dataclass(frozen=True)
class Route:
    """One way to a colour: paints with whole parts (most first), what they make, and how far off it is.

    `difference` is CIEDE2000 to the wanted colour by the best curves. `statement` says how sure the mixture itself is,
    None without draws. `words` say where it misses.
    """

    ids: tuple[Hashable, ...]
    names: tuple[str, ...]
    parts: tuple[int, ...]
    lab: Lab
    difference: float
    statement: Statement | None
    words: str
    note: str


def seek(
    palette: Palette,
    wanted: ArrayLike,
    *,
    paints: Sequence[Paint] | None = None,
    most_parts: int = MOST_PARTS,
    most_routes: int = MOST_ROUTES,
) -> tuple[Route, ...]:
    """Return clearly different routes to a colour, fewest paints first.

    Parameters
    ----------
    palette : Palette
        Paints of one binder.
    wanted : array_like (3,)
        L*, a*, b* (D65, 10 degree).
    paints : sequence of Paint, optional
        The palette's paints with their draws, in its order, to say how sure each mixture is.
    most_parts : int
        The greatest sum of parts, at least 2; a route that needs less of a strong paint may have twice as many.

    Returns
    -------
    tuple of Route
        None for an empty palette. At most three colours and a white in each.
    """
    if most_parts < 2:
        raise ValueError(f"most_parts must be at least 2, not {most_parts}")
    target = np.array(Sample(lab=_triple(wanted)).lab)
    if paints is not None and len(paints) != len(palette):
        raise ValueError(f"each of the {len(palette)} paints needs its draws, not {len(paints)}")
    if not len(palette):
        return ()
    worked = [
        found
        for places, nearest in _likely_sets(palette, target)
        for found in _parts(palette, places, nearest, target, most_parts)
    ]
    chosen = _different(palette, _worth_it(worked), most_routes)
    statements: Sequence[Statement | None] = [None] * len(chosen)
    if paints is not None and chosen:
        matrix = np.zeros((len(chosen), len(palette)))
        for row, found in enumerate(chosen):
            matrix[row, list(found.places)] = found.parts
        statements = mixtures(paints, matrix)
    return tuple(_route(palette, found, target, said) for found, said in zip(chosen, statements, strict=True))


def differs(lab: ArrayLike, wanted: ArrayLike) -> str:
    """Return in words how a colour differs from the wanted one: value, chroma, hue."""
    has, wants = np.asarray(lab, dtype=np.float64), np.asarray(wanted, dtype=np.float64)
    words = []
    lighter = float(has[0] - wants[0])
    if abs(lighter) >= SLIGHT:
        words.append(_much(lighter) + ("lighter" if lighter > 0.0 else "darker"))
    C_has, C_wants = float(chroma(has)), float(chroma(wants))
    if abs(C_has - C_wants) >= SLIGHT:
        words.append(_much(C_has - C_wants) + ("more vivid" if C_has > C_wants else "duller"))
    turn = float((hue_angle(has) - hue_angle(wants) + 180.0) % 360.0 - 180.0)
    across = 2.0 * np.sqrt(C_has * C_wants) * np.sin(np.radians(turn) / 2.0)
    if abs(across) >= SLIGHT:
        own = hue_name(float(hue_angle(wants)))
        toward = next(
            name
            for name in (hue_name(float(hue_angle(wants)) + np.sign(turn) * step) for step in range(5, 360, 5))
            if name is not own
        )
        words.append(_much(float(across)) + f"toward {toward.word}")
    return ", ".join(words) if words else "as wanted"


@dataclass(frozen=True)
class _Found:
    places: tuple[int, ...]
    parts: tuple[int, ...]
    lab: Lab
    difference: float
    finer: float
    """What the same paints reach in parts of any size, roughly."""


def _likely_sets(palette: Palette, target: Floats) -> list[tuple[tuple[int, ...], float]]:
    """Return sets of places, with white or without, that come nearest on a coarse grid, with how near (CIEDE2000)."""
    members = [int(i) for i in palette.members]
    white = palette.white_index
    found: list[tuple[tuple[int, ...], float]] = []
    if white is not None:
        found.append(((white,), float(difference(palette.masstones[white], target))))
    power = strengths(palette.k)
    best_in_pairs = members
    for size in (1, 2, 3):
        pool = best_in_pairs if size == 3 else members
        combos = np.array(list(combinations(sorted(pool), size)), dtype=np.intp).reshape(-1, size)
        if not len(combos):
            continue
        alone, tinted = _grid(palette, combos, power, white, target)
        for apart, ending in ((alone, ()), (tinted, (white,))):
            if apart is None:
                continue
            for i in np.argsort(apart, kind="stable")[:SETS_KEPT]:
                places = tuple(int(place) for place in combos[i]) + tuple(int(w) for w in ending if w is not None)
                found.append((places, float(apart[i])))
        if size == 2 and len(members) > MOST_IN_TRIPLES:
            nearest = alone if tinted is None else np.minimum(alone, tinted)
            ordered = combos[np.argsort(nearest, kind="stable")].ravel()
            best_in_pairs = list(dict.fromkeys(int(place) for place in ordered))[:MOST_IN_TRIPLES]
    return found


def _grid(
    palette: Palette, combos: Ints, power: Floats, white: int | None, target: Floats
) -> tuple[Floats, Floats | None]:
    """Return how near each combination comes (c,), without white and with it, on a coarse grid of parts."""
    ratios = share_steps(combos.shape[1])
    if len(ratios) > 20:
        ratios = ratios[::2] if combos.shape[1] == 2 else ratios
    alone = np.empty(len(combos))
    tinted = None if white is None else np.empty(len(combos))
    for first in range(0, len(combos), BATCH_SETS):
        batch = combos[first : first + BATCH_SETS]
        parts = ratios[None] / power[batch][:, None, :]
        k, s = parts @ palette.k[batch], parts @ palette.s[batch]
        alone[first : first + len(batch)] = _nearest(k, s, target)
        if tinted is not None and white is not None:
            levels = [
                _nearest(k + tint * palette.k[white], s + tint * palette.s[white], target)
                for tint in WHITE_TRIED
                if tint > 0.0
            ]
            tinted[first : first + len(batch)] = np.min(levels, axis=0)
    return alone, tinted


def _nearest(k: Floats, s: Floats, target: Floats) -> Floats:
    c, r, bands = k.shape
    return np.asarray(difference(lab_of(k.reshape(-1, bands), s.reshape(-1, bands)), target).reshape(c, r).min(axis=1))


def _parts(palette: Palette, places: tuple[int, ...], nearest: float, target: Floats, most: int) -> list[_Found]:
    """Return the best whole parts of a set of paints, or nothing where it has more paints than parts."""
    table = _whole_parts(len(places), most)
    if not len(table):
        return []
    rows = list(places)
    lab = lab_of(table @ palette.k[rows], table @ palette.s[rows])
    apart = difference(lab, target)
    if len(places) <= MOST_PAINTS and nearest < apart.min() - ROUTE_WITHIN:
        # A strong paint needs less than one part in so few: twice as many are tried before the route is told as poor.
        table = _whole_parts(len(places), 2 * most)
        lab = lab_of(table @ palette.k[rows], table @ palette.s[rows])
        apart = difference(lab, target)
    best = int((apart + WORTH_A_PART * table.sum(axis=1)).argmin())
    L, a, b = (float(value) for value in lab[best])
    parts = tuple(int(part) for part in table[best])
    return [_Found(places, parts, (L, a, b), float(apart[best]), min(nearest, float(apart[best])))]


@cache
def _whole_parts(paints: int, most: int) -> Floats:
    """Return all parts (m, paints) of 1 or more that add up to at most `most` and have no common divisor."""
    rows: list[tuple[int, ...]] = [()]
    for left in range(paints - 1, -1, -1):
        rows = [(*row, part) for row in rows for part in range(1, most - sum(row) - left + 1)]
    kept = [row for row in rows if gcd(*row) == 1]
    return np.array(kept, dtype=np.float64).reshape(-1, paints)


def _worth_it(worked: Sequence[_Found]) -> list[_Found]:
    """Return the found mixtures, fewest paints first, without those that another comes as near with fewer paints."""
    ordered = sorted(worked, key=lambda found: (len(found.places), found.difference, found.places))
    kept: list[_Found] = []
    for found in ordered:
        fewer = [
            other for other in kept if len(other.places) < len(found.places) and set(other.places) <= set(found.places)
        ]
        if all(found.difference < other.difference - WORTH_A_PAINT for other in fewer):
            kept.append(found)
    return kept


def _different(palette: Palette, worked: Sequence[_Found], most: int) -> list[_Found]:
    """Return routes that share at most half of their colours, the fewest paints first."""
    if not worked:
        return []
    nearest = min(found.difference + WORTH_A_PAINT * (len(found.places) - 1) for found in worked)
    best = min(worked, key=lambda found: found.difference + WORTH_A_PAINT * (len(found.places) - 1))
    bound = max(GOOD_ENOUGH, best.difference + ROUTE_WITHIN)
    kinds = _kinds(palette)
    chosen: list[_Found] = []
    for found in sorted(
        (found for found in worked if found.difference <= bound),
        key=lambda found: found.difference + WORTH_A_PAINT * (len(found.places) - 1) - nearest,
    ):
        own = _colours(palette, found, kinds)
        if all(_apart(own, _colours(palette, other, kinds)) for other in chosen):
            chosen.append(found)
        if len(chosen) == most:
            break
    return sorted(chosen, key=lambda found: (len(found.places), found.difference))


def _colours(palette: Palette, found: _Found, kinds: list[int]) -> set[int]:
    return {kinds[place] for place in found.places if not palette.is_white[place]}


def _apart(one: set[int], other: set[int]) -> bool:
    return len(one & other) <= max(len(one), len(other)) / 2.0 and one != other and not (one < other or other < one)


def _kinds(palette: Palette) -> list[int]:
    """Return for each paint the first paint that it looks like, alone and tinted."""
    alone = difference(palette.masstones[:, None], palette.masstones[None])
    colours = tints(palette)
    tinted = difference(colours[:, None], colours[None])
    like = (alone <= SAME_KIND_WITHIN) & (tinted <= SAME_KIND_WITHIN)
    return [int(row.argmax()) for row in like]


def _route(palette: Palette, found: _Found, target: Floats, statement: Statement | None) -> Route:
    order = sorted(range(len(found.places)), key=lambda i: (-found.parts[i], i))
    notes = []
    if found.difference - found.finer > ROUTE_WITHIN:
        notes.append(
            "Parts finer than these would come nearer: thin the strongest paint with some of the others first."
        )
    if found.difference > GOOD_ENOUGH:
        notes.append("These paints do not quite reach the colour.")
    return Route(
        ids=tuple(palette.ids[found.places[i]] for i in order),
        names=tuple(palette.names[found.places[i]] for i in order),
        parts=tuple(found.parts[i] for i in order),
        lab=found.lab,
        difference=found.difference,
        statement=statement,
        words=differs(found.lab, target),
        note=" ".join(notes),
    )


def _triple(wanted: ArrayLike) -> Lab:
    values = np.asarray(wanted, dtype=np.float64)
    if values.shape != (3,):
        raise ValueError(f"a colour is L*, a*, b*: three numbers, not the shape {values.shape}")
    L, a, b = (float(value) for value in values)
    return L, a, b


def _much(amount: float) -> str:
    return "" if abs(amount) >= CLEAR else "a little "
