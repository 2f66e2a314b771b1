"""Layers: a film over any ground, how well it hides black from white, and a glaze over another paint."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import cielab, weights
from inventory.colour.curves import Curve
from inventory.colour.kubelka_munk import film, reflectance_infinite, saunderson, saunderson_inverse

Floats = NDArray[np.float64]
Lab = tuple[float, float, float]

# Internal reflectance of the white card under a film.
CARD_WHITE = 0.80
HIDING_RATIO = 0.98
# A thin coat, in units in which titanium white scatters 1. Of four thicknesses the classes at this one agree best with
# how pigments are usually labelled: 77 of 109 typical curves fall into the usual class, 102 into it or the next.
COAT_THICKNESS = 1.0
MOST_THICKNESS = 1e6
# The least contrast ratio over the wavelengths at which each class begins. A dark paint hides at most wavelengths by
# absorbing and is still called transparent; what tells is the wavelength where it is clearest.
CLASS_FROM: tuple[tuple[str, float], ...] = (
    ("opaque", 0.25),
    ("semi-opaque", 0.13),
    ("semi-transparent", 0.09),
    ("transparent", 0.0),
)


class OpacityClass(StrEnum):
    TRANSPARENT = "transparent"
    SEMI_TRANSPARENT = "semi-transparent"
    SEMI_OPAQUE = "semi-opaque"
    OPAQUE = "opaque"


@dataclass(frozen=True)
class OpacityAnswer:
    """How well a coat hides, the class it falls into, and a doubt in words where the label says quite otherwise.

    `contrast_ratio` is that of luminance; `least_ratio` that of the wavelength where the coat is clearest, which
    decides the class.
    """

    contrast_ratio: float
    least_ratio: float
    thickness: float
    opacity: OpacityClass
    doubt: str | None


def film_reflectance(curve: Curve, thickness: float, ground: ArrayLike) -> Floats:
    """Return the reflectance (31,) outside the surface of a film over a ground of internal reflectance (31,) or one."""
    return saunderson(film(curve.k, curve.s, thickness, ground))


def film_lab(curve: Curve, thickness: float, ground: ArrayLike) -> Lab:
    """Return L*, a*, b* of a film over a ground of internal reflectance."""
    return _lab(film_reflectance(curve, thickness, ground))


def ground_of(paint: Curve) -> Floats:
    """Return the internal reflectance (31,) of a hiding coat, as a ground for another."""
    return reflectance_infinite(paint.k, paint.s)


def ground_from_measured(reflectance: ArrayLike) -> Floats:
    """Return the internal reflectance of a ground from that measured outside its surface (fractions, 0.03 or more)."""
    return saunderson_inverse(reflectance)


def glaze(top: Curve, under: Curve, thickness: float = COAT_THICKNESS) -> Lab:
    """Return L*, a*, b* of a film of one paint over a hiding coat of another; their surfaces meet without air."""
    return film_lab(top, thickness, ground_of(under))


def luminance(reflectance: ArrayLike) -> Floats:
    """Return the luminance factor Y (fraction; D65, 10 degree) of reflectances (..., 31)."""
    return np.asarray(np.asarray(reflectance, dtype=np.float64) @ weights()[1])


def contrast_ratio_Y(curve: Curve, thickness: float, white: float = CARD_WHITE, *, surface: bool = True) -> float:  # noqa: N802
    """Return the luminance over black divided by that over a white card; 1 hides completely.

    `surface` counts the reflection of the film's surface, as an instrument with specular included does.
    """
    if not 0.0 < white <= 1.0:
        raise ValueError(f"white must be above 0 and at most 1, not {white:g}")
    return float(_ratios(curve.k[None], curve.s[None], np.array([thickness]), white, surface)[0])


def hiding_thickness_Y(curve: Curve, ratio: float = HIDING_RATIO, *, surface: bool = True) -> float | None:  # noqa: N802
    """Return the thickness at which the contrast ratio in luminance reaches `ratio`, or None if it never does."""
    found = float(hiding_thicknesses(curve.k, curve.s, ratio, surface=surface)[0])
    return found if np.isfinite(found) else None


def hiding_thicknesses(k: ArrayLike, s: ArrayLike, ratio: float = HIDING_RATIO, *, surface: bool = True) -> Floats:
    """Return for curves (n, 31) the thickness (n,) at which each reaches `ratio`, infinite where it never does."""
    if not 0.0 < ratio < 1.0:
        raise ValueError(f"ratio must be above 0 and below 1, not {ratio}")
    K, S = (np.atleast_2d(np.asarray(values, dtype=np.float64)) for values in (k, s))

    def reached(thickness: Floats) -> NDArray[np.bool_]:
        return _ratios(K, S, thickness, CARD_WHITE, surface) >= ratio

    upper = np.ones(len(K))
    for _ in range(int(np.ceil(np.log2(MOST_THICKNESS)))):
        short = ~reached(upper)
        if not short.any():
            break
        upper = np.where(short, 2.0 * upper, upper)
    never = ~reached(upper)
    lower = np.zeros(len(K))
    # Sixty halvings of at most a million units leave an error below that of a float.
    for _ in range(60):
        middle = (lower + upper) / 2.0
        there = reached(middle)
        lower, upper = np.where(there, lower, middle), np.where(there, middle, upper)
    return np.where(never, np.inf, upper)


def _ratios(k: Floats, s: Floats, thickness: Floats, white: float, surface: bool) -> Floats:
    """Return the luminance over black divided by that over white (n,) of films (n, 31) of these thicknesses (n,)."""
    over_black, over_white = (film(k, s, thickness[:, None], ground) for ground in (0.0, white))
    if surface:
        over_black, over_white = saunderson(over_black), saunderson(over_white)
    return np.asarray(luminance(over_black) / luminance(over_white))


def opacity_of(curve: Curve, label: str | None = None, thickness: float = COAT_THICKNESS) -> OpacityAnswer:
    """Return the opacity class of a coat, and a doubt where the label's word is two classes or more away.

    The classes hold for `COAT_THICKNESS`; a label's word that is none of the four is not compared.
    """
    over_black, over_white = (film(curve.k, curve.s, thickness, ground) for ground in (0.0, CARD_WHITE))
    least = float((over_black / over_white).min())
    found = next(OpacityClass(word) for word, bound in CLASS_FROM if least >= bound)
    doubt = None
    classes = list(OpacityClass)
    said = next((item for item in classes if item.value == (label or "").strip().casefold()), None)
    if said is not None and abs(classes.index(said) - classes.index(found)) >= 2:
        doubt = (
            f"The label says {said}; by its curve a thin coat is {found}. "
            "Draw it down over a black line and see which is right."
        )
    return OpacityAnswer(contrast_ratio_Y(curve, thickness), least, thickness, found, doubt)


def _lab(reflectance: Floats) -> Lab:
    L, a, b = (float(value) for value in cielab(reflectance))
    return L, a, b
