"""Tinting strength: how much a paint absorbs in a tint, against a standard at the same dilution in the same white."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import WAVELENGTHS_NM
from inventory.colour.curves import Curve
from inventory.colour.drawdown import TINT_PARTS
from inventory.colour.mixing import mix

Floats = NDArray[np.float64]

# Our bounds for words: makes of one pigment differ by a factor of 2 to 3.
ALIKE_WITHIN = 20.0
MUCH_BEYOND = 2.0


@dataclass(frozen=True)
class Strength:
    """Relative tinting strength in percent, the wavelength (nm) at which it was taken, and a painter's words."""

    percent: float
    wavelength: float
    text: str


def relative_strength(test: ArrayLike, standard: ArrayLike, white: ArrayLike = 0.0) -> tuple[float, int]:
    """Return the relative tinting strength from K/S of two tints.

    Parameters
    ----------
    test, standard : array_like, shape (w,)
        K/S of the tints at the same wavelengths, the same dilution in the same white.
    white : array_like, broadcastable
        K/S of the white alone.

    Returns
    -------
    tuple of float and int
        100 (test - white)/(standard - white) in percent, and the place of the standard's greatest absorption, where
        it is taken.

    Raises
    ------
    ValueError
        If the shapes differ, or the standard absorbs no more than the white.

    References
    ----------
    The principle of ASTM D4838, ratio of absorption at the absorption maximum; the text of the standard was not read.
    """
    tested, ground = np.atleast_1d(np.asarray(test, dtype=np.float64)), np.asarray(white, dtype=np.float64)
    against = np.atleast_1d(np.asarray(standard, dtype=np.float64))
    if tested.shape != against.shape or tested.ndim != 1:
        raise ValueError(f"both tints must be at the same wavelengths, not {tested.shape} and {against.shape}")
    if not (np.isfinite(tested) & np.isfinite(against)).all() or not np.isfinite(ground).all():
        raise ValueError("K/S must be finite numbers; one is not")
    tested, against = tested - ground, against - ground
    place = int(against.argmax())
    if against[place] <= 0.0:
        raise ValueError("the standard's tint absorbs no more than the white; choose another standard")
    return float(100.0 * tested[place] / against[place]), place


def strength_of(paint: Curve, standard: Curve, white: Curve, parts: tuple[float, float] = TINT_PARTS) -> Strength:
    """Return the tinting strength of a paint relative to a standard, from the curves of both in one white."""
    k = np.stack((paint.k, standard.k, white.k))
    s = np.stack((paint.s, standard.s, white.s))
    one, many = parts
    tinted_k, tinted_s = mix(k, s, [[one, 0.0, many], [0.0, one, many]])
    tinted = tinted_k / tinted_s
    percent, place = relative_strength(tinted[0], tinted[1], white.k / white.s)
    return Strength(percent, float(WAVELENGTHS_NM[place]), _words(percent))


def strength_at_own_maximum(
    paint: Curve, standard: Curve, white: Curve, parts: tuple[float, float] = TINT_PARTS
) -> Strength:
    """Return the tinting strength of a paint of any hue relative to a standard: each tint at its own maximum.

    For two paints of one pigment it is `strength_of`; between hues it is our extension, which no standard has.

    Raises
    ------
    ValueError
        If the standard's tint absorbs no more than the white.
    """
    one, many = parts
    ground = white.k / white.s
    tinted = [
        (one * curve.k + many * white.k) / (one * curve.s + many * white.s) - ground for curve in (paint, standard)
    ]
    against = float(tinted[1].max())
    # A white against itself leaves rounding alone.
    if against <= 1e-12:
        raise ValueError("the standard's tint absorbs no more than the white; choose another standard")
    place = int(tinted[0].argmax())
    percent = max(0.0, 100.0 * float(tinted[0][place]) / against)
    return Strength(percent, float(WAVELENGTHS_NM[place]), _words(percent))


def _words(percent: float) -> str:
    if abs(percent - 100.0) <= ALIKE_WITHIN:
        return "about as strong"
    if percent > 100.0:
        return "much stronger" if percent >= 100.0 * MUCH_BEYOND else "stronger"
    return "much weaker" if percent <= 100.0 / MUCH_BEYOND else "weaker"
