"""Which paint to add next: what each candidate would open on the wheel."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference
from inventory.colour.coverage import Region, opened, percent
from inventory.colour.palette import Palette
from inventory.colour.reach import WHOLE_UP_TO, Reach, gain, gain_of_pairs
from inventory.colour.steps import Steps, finish
from inventory.colour.wheel import colour_limit

Floats = NDArray[np.float64]

# Gains nearer than this (percentage points of coverage) are shown as a tie: curves that are typical of a pigment do not
# tell them apart.
TIE_WITHIN = 0.25
# Candidates that are worked in full where both they and the palette are many; the others are held to their pairs, which
# on draws of 40 and 56 typical curves came within 0.2 points of the whole.
WORKED_WHOLE = 20


@dataclass(frozen=True, eq=False)
class Advice:
    """One candidate: coverage before and after, the gain in points, its rank (ties share one), what it opens."""

    id: Hashable
    name: str
    rank: int
    tied: bool
    gain: float
    before: float
    after: float
    opens: tuple[Region, ...]
    chroma: Floats
    """(8, 36): the highest chroma with the candidate added."""
    nearest: tuple[Hashable, str, float] | None
    """The paint in stock most like it: id, name, CIEDE2000 of the masstones."""
    facts: Mapping[str, object] = field(default_factory=dict)
    """What the caller knows of it (lightfastness, hazards, price), handed through untouched."""
    whole: bool = True
    """False: its mixtures with two other colours were not worked, so it adds at least the gain."""


def rank(
    reached: Reach,
    candidates: Palette,
    *,
    facts: Mapping[Any, Mapping[str, object]] | None = None,
    limit: Floats | None = None,
) -> tuple[Advice, ...]:
    """Return the candidates by what they add to a palette, the greatest gain first.

    Only the mixtures that contain a candidate are worked; the rest is in `reached`.

    Parameters
    ----------
    reached : Reach
        What the paints in stock reach.
    candidates : Palette
        Paints of the same binder, with ids not in stock.
    facts : mapping of id to mapping, optional
        Handed through to each Advice.
    limit : ndarray (8, 36), optional
        The chroma that counts as whole; the gamut of real surface colours unless given.

    Raises
    ------
    ValueError
        If the binders differ or an id stands in both palettes.
    """
    return finish(rank_steps(reached, candidates, facts=facts, limit=limit))


def rank_steps(
    reached: Reach,
    candidates: Palette,
    *,
    facts: Mapping[Any, Mapping[str, object]] | None = None,
    limit: Floats | None = None,
) -> Steps[tuple[Advice, ...]]:
    """The same in steps, one or two a candidate."""
    bound = colour_limit() if limit is None else limit
    palette = reached.palette
    before = percent(reached.chroma, bound)
    screened = len(candidates) > WORKED_WHOLE and len(palette) > WHOLE_UP_TO // 2
    works = len(candidates) + (WORKED_WHOLE if screened else 0)
    grids, gains = [], []
    for i in range(len(candidates)):
        one = candidates.take([i])
        found = gain_of_pairs(palette, one) if screened else gain(palette, one, reached.chroma)
        grids.append(np.maximum(reached.chroma, found))
        gains.append(percent(grids[i], bound) - before)
        yield (i + 1) / works
    whole = set(range(len(candidates)))
    if screened:
        whole = set(sorted(whole, key=lambda i: -gains[i])[:WORKED_WHOLE])
        for done, i in enumerate(sorted(whole), start=len(candidates) + 1):
            grids[i] = np.maximum(grids[i], gain(palette, candidates.take([i]), reached.chroma))
            gains[i] = percent(grids[i], bound) - before
            yield done / works
    order = sorted(range(len(grids)), key=lambda i: (-gains[i], candidates.names[i], str(candidates.ids[i])))
    ranks = _ranks([gains[i] for i in order])
    return tuple(
        Advice(
            id=candidates.ids[i],
            name=candidates.names[i],
            rank=place,
            tied=ranks.count(place) > 1,
            gain=gains[i],
            before=before,
            after=before + gains[i],
            opens=opened(reached.chroma, grids[i], bound),
            chroma=grids[i],
            nearest=_nearest(palette, candidates.masstones[i]),
            facts=(facts or {}).get(candidates.ids[i], {}),
            whole=i in whole,
        )
        for i, place in zip(order, ranks, strict=True)
    )


def ranked_again(advice: Sequence[Advice]) -> tuple[Advice, ...]:
    """Return advice in its order with ranks of its own, after some of it was taken out."""
    ranks = _ranks([one.gain for one in advice])
    return tuple(
        replace(one, rank=place, tied=ranks.count(place) > 1) for one, place in zip(advice, ranks, strict=True)
    )


def _ranks(gains: list[float]) -> list[int]:
    """Return ranks of falling gains; a tie holds all that are within TIE_WITHIN of its first."""
    ranks: list[int] = []
    first = 0
    for place, value in enumerate(gains):
        if gains[first] - value > TIE_WITHIN:
            first = place
        ranks.append(first + 1)
    return ranks


def _nearest(palette: Palette, lab: Floats) -> tuple[Hashable, str, float] | None:
    if not len(palette):
        return None
    apart = difference(palette.masstones, lab)
    place = int(apart.argmin())
    return palette.ids[place], palette.names[place], float(apart[place])
