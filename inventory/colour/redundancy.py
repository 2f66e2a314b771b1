"""Tubes that do the same job, in three meanings kept apart: a duplicate, a near twin, a colour the others mix."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference
from inventory.colour.drawdown import TINT_PARTS, is_transparent, veil
from inventory.colour.matching import match_steps, tinting_white
from inventory.colour.mixing import masstone_lab, mix
from inventory.colour.palette import Palette
from inventory.colour.reach import Mixture
from inventory.colour.steps import Steps, finish

Floats = NDArray[np.float64]

# Bounds in CIEDE2000, for masstone and 1:9 tint alike unless told apart; our judgement. One code may stand for several
# colours (PBr7, PV19): two tubes of one code are duplicates only within 5. Other codes are twins when nearer still.
# A mixture within 3 is nearer than the prediction itself is sure of (4 to 6 on measured mixtures).
DUPLICATE_WITHIN = 5.0
TWIN_MASSTONE_WITHIN = 4.0
TWIN_TINT_WITHIN = 3.0
TWIN_VEIL_WITHIN = 0.15
# Two whites look alike; what tells them apart is how much they scatter.
TWIN_WHITE_STRENGTH_WITHIN = 1.5
MIXABLE_WITHIN = 3.0


class Kind(StrEnum):
    SAME_PIGMENTS = "same pigments"
    NEAR_TWIN = "near twin"
    MIXABLE = "mixable from the others"


@dataclass(frozen=True)
class Label:
    """What a label says of one paint: its codes in order, and marks as plain words (None is not known)."""

    codes: tuple[str, ...] = ()
    opacity: str | None = None
    lightfastness: str | None = None
    strength: str | None = None


@dataclass(frozen=True)
class Redundancy:
    """One finding about the tube `id`: which `others` do its job, how near they come, what would be lost without it.

    Differences are CIEDE2000 of the masstones and of the 1:9 tints. `mixture` is given for a colour that the others
    mix.
    """

    kind: Kind
    id: Hashable
    name: str
    others: tuple[Hashable, ...]
    masstone_difference: float
    tint_difference: float
    mixture: Mixture | None
    lost: tuple[str, ...]
    note: str


def redundancies(palette: Palette, labels: Mapping[Any, Label] | None = None) -> tuple[Redundancy, ...]:
    """Return what is redundant within a palette, which holds one binder by construction.

    Parameters
    ----------
    palette : Palette
        Paints of one binder.
    labels : mapping of id to Label, optional
        Codes and marks. Without codes no duplicates are found; without marks a loss is told from the curves alone.

    Returns
    -------
    tuple of Redundancy
        Duplicates, then near twins (each pair once), then colours that the others mix (nearest first).
    """
    return finish(redundancy_steps(palette, labels))


def redundancy_steps(palette: Palette, labels: Mapping[Any, Label] | None = None) -> Steps[tuple[Redundancy, ...]]:
    """The same in steps of some hundredths of a second."""
    known = labels or {}
    pairs = _pairs(palette, known)
    alike: dict[Hashable, set[Hashable]] = {paint: {paint} for paint in palette.ids}
    for finding in pairs:
        for other in finding.others:
            alike[finding.id].add(other)
            alike[other].add(finding.id)
    mixable = yield from _mixable(palette, known, alike)
    return (*pairs, *mixable)


def tints(palette: Palette) -> Floats:
    """Return CIELAB (n, 3) of each paint's 1:9 tint in the strongest white in stock, or else in an ideal one."""
    one, nine = TINT_PARTS
    k, s = tinting_white(palette)
    return masstone_lab((one * palette.k + nine * k) / (one + nine), (one * palette.s + nine * s) / (one + nine))


def _pairs(palette: Palette, labels: Mapping[Any, Label]) -> list[Redundancy]:
    n = len(palette)
    if n < 2:
        return []
    apart = difference(palette.masstones[:, None], palette.masstones[None])
    tinted = tints(palette)
    tint_apart = difference(tinted[:, None], tinted[None])
    veils = [veil(palette.s[i]) for i in range(n)]
    found = []
    for i, j in combinations(range(n), 2):
        codes_i, codes_j = (set(_label(labels, palette.ids[place]).codes) for place in (i, j))
        alone, tint = float(apart[i, j]), float(tint_apart[i, j])
        if codes_i and codes_i == codes_j and max(alone, tint) <= DUPLICATE_WITHIN and _whites_alike(palette, i, j):
            kind, note = Kind.SAME_PIGMENTS, f"Both are {' + '.join(sorted(codes_i))}."
        elif (
            alone <= TWIN_MASSTONE_WITHIN
            and tint <= TWIN_TINT_WITHIN
            and abs(veils[i] - veils[j]) <= TWIN_VEIL_WITHIN
            and _whites_alike(palette, i, j)
        ):
            kind, note = Kind.NEAR_TWIN, "Alike alone and tinted by their curves; confirm with a swatch of each."
        else:
            continue
        first, second = palette.ids[i], palette.ids[j]
        lost = (*_lost(palette, labels, i, [j]), *_lost(palette, labels, j, [i]))
        found.append(Redundancy(kind, first, palette.names[i], (second,), alone, tint, None, lost, note))
    order = list(Kind)
    return sorted(found, key=lambda finding: (order.index(finding.kind), finding.masstone_difference))


def _whites_alike(palette: Palette, i: int, j: int) -> bool:
    if not (palette.is_white[i] or palette.is_white[j]):
        return True
    strengths = palette.s[[i, j]].mean(axis=1)
    return bool(strengths.max() / strengths.min() <= TWIN_WHITE_STRENGTH_WITHIN)


def _mixable(
    palette: Palette, labels: Mapping[Any, Label], alike: Mapping[Any, set[Hashable]]
) -> Steps[list[Redundancy]]:
    barred = [{palette.index(other) for other in alike[paint]} for paint in palette.ids]
    found = []
    matches = yield from match_steps(palette, barred, within=MIXABLE_WITHIN)
    for place, match in matches.items():
        parts = dict(zip(match.mixture.ids, match.mixture.parts, strict=True))
        sources = [palette.index(paint) for paint in match.mixture.ids]
        lost = [*_lost(palette, labels, place, sources)]
        k, s = mix(palette.k[sources], palette.s[sources], list(parts.values()))
        clear, mixed_clear = (is_transparent(*curves) for curves in ((palette.k[place], palette.s[place]), (k, s)))
        if clear is True and mixed_clear is not True:
            lost.append(f"{palette.names[place]} is transparent by its curve; the mixture is less so.")
        if clear is False and mixed_clear is not False:
            lost.append(f"{palette.names[place]} is opaque by its curve; the mixture is less so.")
        found.append(
            Redundancy(
                kind=Kind.MIXABLE,
                id=palette.ids[place],
                name=palette.names[place],
                others=match.mixture.ids,
                masstone_difference=match.masstone_difference,
                tint_difference=match.tint_difference,
                mixture=match.mixture,
                lost=tuple(lost),
                note="A convenience: the others mix it. Parts are estimates; strength differs between makes.",
            )
        )
    return sorted(found, key=lambda finding: max(finding.masstone_difference, finding.tint_difference))


def _lost(palette: Palette, labels: Mapping[Any, Label], place: int, others: Sequence[int]) -> tuple[str, ...]:
    """Say which marks of one paint the others do not share. Marks are compared as words and never ranked here."""
    own = _label(labels, palette.ids[place])
    found = []
    for field in ("opacity", "lightfastness", "strength"):
        mark = getattr(own, field)
        if mark is None:
            continue
        theirs = [getattr(_label(labels, palette.ids[other]), field) for other in others]
        if any(other != mark for other in theirs):
            listed = ", ".join(
                f"{palette.names[other]} {'not known' if value is None else value}"
                for other, value in zip(others, theirs, strict=True)
            )
            found.append(f"{field} of {palette.names[place]}: {mark} ({listed})")
    return tuple(found)


def _label(labels: Mapping[Any, Label], paint: Hashable) -> Label:
    return labels.get(paint, Label())
