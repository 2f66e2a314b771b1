"""Tinting strength of the paints of one binder against a chosen one."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.colour.curves import Curve
from inventory.colour.strength import strength_at_own_maximum
from inventory.queries.mixable import ASSUMED_WHITE, Bench, Mixable
from inventory.queries.wheel import binder_label

# Nine draws in ten lie between these.
BETWEEN = (5.0, 95.0)
SCALE = (
    "One number: how much a tint of 1 part in 9 of white absorbs, at the wavelength where it absorbs most, with 100 "
    "for the paint it is compared with. Between paints of one pigment it is the ratio of absorption at the maximum "
    "(the principle of ASTM D4838); between hues it is our extension, which no standard has."
)


@dataclass(frozen=True, eq=False)
class Standing:
    """The strength of one paint in percent of the chosen one, what nine draws in ten lie between, and where taken."""

    one: Mixable
    percent: float
    between: tuple[float, float]
    wavelength: float
    words: str
    mark: str
    mark_scale: str

    @property
    def is_open(self) -> bool:
        """Whether the draws tell different numbers."""
        return round(self.between[0]) != round(self.between[1])


@dataclass(frozen=True, eq=False)
class Strengths:
    """The paints of one binder, the strongest first. `standard` is None where none absorbs more than the white."""

    binder: str
    binder_label: str
    standard: Mixable | None
    choices: tuple[Mixable, ...]
    rows: tuple[Standing, ...]
    white: Mixable | None
    notes: tuple[str, ...]
    unknown: tuple[Mixable, ...]


def strengths(bench: Bench, binder: str, standard: int | None = None) -> Strengths:
    """Return the strengths; `standard` is the number of a paint of this binder, the strongest unless given.

    A ValueError names a paint that cannot be the standard.
    """
    known = bench.known(binder)
    palette, _ = bench.palette(binder)
    whites = {palette.ids[i] for i in np.flatnonzero(palette.is_white)} if len(palette) else set()
    white, sure_white = bench.white_or_typical(binder)
    coloured = [one for one in known if one.pk not in whites]
    tints = {one.pk: _most_absorbing(one, sure_white.curve) for one in coloured}
    choices = tuple(one for one in coloured if tints[one.pk] > 0.0)
    against = _standard(choices, tints, standard)
    notes = () if white is not None else (ASSUMED_WHITE,)
    rows: list[Standing] = []
    if against is not None:
        rows = [_standing(one, against, sure_white.curve) for one in coloured]
    return Strengths(
        binder=binder,
        binder_label=binder_label(binder),
        standard=against,
        choices=choices,
        rows=tuple(sorted(rows, key=lambda row: (-row.percent, row.one.paint.name))),
        white=white,
        notes=notes,
        unknown=tuple(one for one in bench.of(binder) if one.sure is None and one.in_stock),
    )


def _standard(choices: Sequence[Mixable], tints: dict[int, float], pk: int | None) -> Mixable | None:
    if pk is None:
        return max(choices, key=lambda one: tints[one.pk], default=None)
    for one in choices:
        if one.pk == pk:
            return one
    raise ValueError(
        f"Paint {pk} cannot be compared with: it is not in stock in this binder, its colour is not known, or it is a "
        "white. Choose one of the list."
    )


def _most_absorbing(one: Mixable, white: Curve) -> float:
    assert one.sure is not None  # noqa: S101  # known paints alone come here
    curve = one.sure.curve
    return float(((curve.k + 9.0 * white.k) / (curve.s + 9.0 * white.s) - white.k / white.s).max())


def _standing(one: Mixable, against: Mixable, white: Curve) -> Standing:
    assert one.sure is not None and against.sure is not None  # noqa: S101, PT018  # known paints alone come here
    found = strength_at_own_maximum(one.sure.curve, against.sure.curve, white)
    drawn = [100.0] if one is against else _drawn(one, against, white)
    low, high = (float(value) for value in np.percentile(drawn, BETWEEN))
    paint = one.paint
    scale = "" if paint.strength_scale == "words" else paint.strength_scale
    unsure = low < 100.0 < high and one is not against
    words = f"likely {found.text}, not surely" if unsure else found.text
    return Standing(one, found.percent, (low, high), found.wavelength, words, paint.strength, scale)


def _drawn(one: Mixable, against: Mixable, white: Curve) -> list[float]:
    assert one.sure is not None and against.sure is not None  # noqa: S101, PT018
    sure, standard = one.sure, against.sure
    ground = white.k / white.s
    tested, held = (
        ((drawn.k + 9.0 * white.k) / (drawn.s + 9.0 * white.s) - ground).max(axis=1) for drawn in (sure, standard)
    )
    return [100.0 * float(a) / float(b) for a, b in zip(tested, held, strict=True) if b > 0.0]
