"""How paints cover: a film over black, white and any ground, and which tubes glaze and which hide."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from django.core.exceptions import ValidationError
from numpy.typing import NDArray

from inventory.colour import certainty
from inventory.colour.appearance import cielab, difference, weights
from inventory.colour.certainty import shown, spread_of, whole
from inventory.colour.kubelka_munk import K1, film, saunderson
from inventory.colour.layers import (
    CARD_WHITE,
    OpacityClass,
    contrast_ratio_Y,
    film_lab,
    ground_from_measured,
    ground_of,
    hiding_thicknesses,
    opacity_of,
)
from inventory.colour.recovery import Basis
from inventory.colour.seen import Seen, seen
from inventory.measuring.viewing import Illuminant, Observer, relative_xyz, smoothest_reflectance
from inventory.models import Opacity
from inventory.queries.mixable import Bench, Mixable
from inventory.queries.seek import read_wanted

Floats = NDArray[np.float64]

THICKNESSES = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0)
# Nine draws in ten lie between these.
BETWEEN = (5.0, 95.0)
UNIT = (
    "Thickness is counted in units of the white's own scattering: a film of 1 is one in which titanium white over "
    "black throws back half of the light. Twice the number is a film twice as thick. It cannot be turned into "
    "micrometres without a measurement."
)
UNTESTED = (
    "No measured films are among the figures that this is held against, so read it as a direction. Nothing here says "
    "that one layer adheres to another, or in which order binders may lie."
)
_LABELLED = (Opacity.TRANSPARENT, Opacity.SEMI_TRANSPARENT, Opacity.SEMI_OPAQUE, Opacity.OPAQUE)


class Under(StrEnum):
    """What lies under the film."""

    BLACK = "black"
    WHITE = "white"
    PAINT = "paint"
    COLOUR = "colour"


@dataclass(frozen=True, eq=False)
class Ground:
    """A ground: its words, its colour, and its internal reflectance (31,) or one for all wavelengths."""

    words: str
    seen: Seen
    inside: Floats
    note: str = ""


@dataclass(frozen=True)
class Coat:
    """A film of one thickness over black, over the white card and over the chosen ground.

    `within` is the CIEDE2000 that it likely keeps over the chosen ground.
    """

    thickness: float
    over_black: Seen
    over_white: Seen
    over_ground: Seen
    ratio: float
    within: float

    @property
    def likely(self) -> int:
        return whole(self.within)


@dataclass(frozen=True)
class Cover:
    """How a paint covers. `hides_at` is None where it never reaches the ratio; `between` holds nine draws in ten."""

    opacity: OpacityClass
    ratio: float
    hides_at: float | None
    between: tuple[float | None, float | None]
    label: str
    doubt: str

    @property
    def hiding_words(self) -> str:
        """Such as "about 3.2, likely 2.1 to 5": the thickness that hides."""
        low, high = (None if value is None else _two_digits(value) for value in self.between)
        if self.hides_at is None:
            return "never, by its best curve"
        about = f"about {_two_digits(self.hides_at)}"
        if high is None:
            return f"{about}, perhaps never"
        return about if low == high else f"{about}, likely {low} to {high}"


@dataclass(frozen=True, eq=False)
class Layers:
    """A paint in films over grounds."""

    one: Mixable
    ground: Ground
    coats: tuple[Coat, ...]
    cover: Cover


@dataclass(frozen=True, eq=False)
class Covering:
    """A paint in stock with how it covers."""

    one: Mixable
    cover: Cover


@dataclass(frozen=True, eq=False)
class Coverings:
    """What in stock suits glazing and what hides, the clearest and the best hiding first; and what is not known."""

    glazing: tuple[Covering, ...]
    hiding: tuple[Covering, ...]
    doubtful: int
    unknown: tuple[Mixable, ...]


def black() -> Ground:
    return Ground("black", seen(cielab(saunderson(np.zeros(31)))), np.zeros(31))


def white_card() -> Ground:
    return Ground("a white card", seen(cielab(saunderson(np.full(31, CARD_WHITE)))), np.full(31, CARD_WHITE))


def dry_paint(one: Mixable) -> Ground:
    """A hiding coat of another paint; a ValueError where its colour is not known."""
    if one.curve is None:
        raise ValueError(f"The colour of {one.paint.name} is not known, so it cannot be the ground: {one.reason}")
    inside = ground_of(one.curve)
    return Ground(f"dry {one.paint.name}", seen(cielab(saunderson(inside))), inside)


def coloured(lab: tuple[float, float, float], words: str) -> Ground:
    """A ground of any colour (D65, 10 degree), by the smoothest reflectance that has it."""
    reflectance = smoothest_reflectance(relative_xyz(lab), Illuminant.D65, Observer.TEN)
    if reflectance is None:
        raise ValueError(f"No smooth reflectance has the colour {words}: it is more vivid than a surface can be.")
    # What a painted surface mirrors is the least that it throws back; an instrument measures it too.
    inside = ground_from_measured(np.maximum(reflectance, K1))
    note = "Of this ground only the colour is known, so the smoothest reflectance that has it is taken."
    return Ground(words, seen(cielab(saunderson(inside))), inside, note)


def layered(
    bench: Bench,
    *,
    paint: int,
    under: str = "",
    ground: int | None = None,
    text: str = "",
    illuminant: str = "",
    observer: str = "",
) -> Layers:
    """Return the films that are asked for; ValidationError by field says what is wrong."""
    one = bench.by_pk.get(paint)
    if one is None:
        raise ValidationError({"paint": f"Paint {paint} is not among the studio's paints: choose another."})
    below = black()
    field = "paint"
    try:
        if under == Under.WHITE:
            below = white_card()
        elif under == Under.PAINT:
            field = "ground"
            if ground is None:
                raise ValueError("No dry paint is chosen: choose one of the list.")
            if ground not in bench.by_pk:
                raise ValueError(f"Paint {ground} is not among the studio's paints: choose another.")
            below = dry_paint(bench.by_pk[ground])
        elif under == Under.COLOUR:
            field = "text"
            if not text:
                raise ValueError("No colour of the ground is given: enter one, such as 10YR 6/4.")
            read = read_wanted(text, "", illuminant, observer)
            assert read.lab is not None  # noqa: S101  # `read_wanted` lets nothing else through
            below = coloured(read.lab, f"a ground of {text}")
        field = "paint"
        return layers(one, below)
    except ValueError as error:
        raise ValidationError({field: str(error)}) from error


def layers(one: Mixable, ground: Ground) -> Layers:
    """Return films of a paint over a ground; a ValueError where nothing may be said of its films."""
    if one.sure is None:
        raise ValueError(f"Nothing can be said of films of {one.paint.name}: {one.reason}")
    coats = tuple(_coat(one.sure, thickness, ground) for thickness in THICKNESSES)
    return Layers(one, ground, coats, _covers([one])[0])


def coverings(bench: Bench) -> Coverings:
    """How everything in stock covers."""
    known = [one for one in bench.paints if one.sure is not None and one.in_stock]
    found = [Covering(one, cover) for one, cover in zip(known, _covers(known), strict=True)]
    clear = (OpacityClass.TRANSPARENT, OpacityClass.SEMI_TRANSPARENT)
    order = list(OpacityClass)

    def most_hiding(covering: Covering) -> tuple[int, float, str]:
        return (-order.index(covering.cover.opacity), covering.cover.hides_at or np.inf, covering.one.paint.name)

    def clearest(covering: Covering) -> tuple[int, float, str]:
        return (order.index(covering.cover.opacity), covering.cover.ratio, covering.one.paint.name)

    return Coverings(
        glazing=tuple(sorted((one for one in found if one.cover.opacity in clear), key=clearest)),
        hiding=tuple(sorted((one for one in found if one.cover.opacity not in clear), key=most_hiding)),
        doubtful=sum(bool(one.cover.doubt) for one in found),
        unknown=tuple(one for one in bench.paints if one.sure is None and one.in_stock),
    )


def _coat(sure: certainty.Paint, thickness: float, ground: Ground) -> Coat:
    curve = sure.curve
    over_ground = film_lab(curve, thickness, ground.inside)
    drawn = cielab(saunderson(film(sure.k, sure.s, thickness, ground.inside)))
    return Coat(
        thickness=thickness,
        over_black=seen(film_lab(curve, thickness, 0.0)),
        over_white=seen(film_lab(curve, thickness, CARD_WHITE)),
        over_ground=seen(over_ground),
        ratio=contrast_ratio_Y(curve, thickness),
        within=shown(float(spread_of(difference(drawn, over_ground)))),
    )


def _covers(ones: Sequence[Mixable]) -> list[Cover]:
    """The covers of paints whose films something may be said of, worked together."""
    sures = [one.sure for one in ones if one.sure is not None]
    if not sures:
        return []
    weights()  # read once, before all
    best = hiding_thicknesses(np.stack([one.curve.k for one in sures]), np.stack([one.curve.s for one in sures]))
    counts = [len(one.k) for one in sures]
    drawn = np.split(
        hiding_thicknesses(np.vstack([one.k for one in sures]), np.vstack([one.s for one in sures])),
        np.cumsum(counts)[:-1],
    )
    found = []
    for one, sure, hides, several in zip(ones, sures, best, drawn, strict=True):
        paint = one.paint
        label = paint.get_opacity_display().lower() if paint.opacity in _LABELLED else ""
        answer = opacity_of(sure.curve, label or None)
        low, high = np.percentile(several, BETWEEN, method="nearest")
        if sure.basis is Basis.MEASURED:
            low = high = hides
        found.append(
            Cover(answer.opacity, answer.contrast_ratio, _finite(hides), (_finite(low), _finite(high)), label,
                  answer.doubt or "")
        )  # fmt: skip
    return found


def _two_digits(value: float) -> str:
    return f"{float(f'{value:.2g}'):g}"


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
