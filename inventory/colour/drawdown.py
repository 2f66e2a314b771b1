"""The drawdown card: a paint's masstone, its tint with white, and the film over a black bar."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import ScreenColour, cielab, srgb
from inventory.colour.curves import Curve, Origin
from inventory.colour.kubelka_munk import film, saunderson
from inventory.colour.mixing import masstone_lab, mixture_lab

Floats = NDArray[np.float64]
Lab = tuple[float, float, float]

# One part of paint to nine of white, as tints are drawn on a card.
TINT_PARTS = (1.0, 9.0)
# Thickness of the film on the card, in units in which titanium white scatters 1. A judgement, not a standard's film.
FILM_THICKNESS = 5.0
CARD_WHITE = 0.80
# A paint is called transparent when what it scatters hardly veils black and some of the card still shows; opaque when
# scattering alone makes a thick veil. A dark film that hides by absorbing is neither. Our bounds.
TRANSPARENT_VEIL_BELOW = 0.30
TRANSPARENT_SHOWS_ABOVE = 0.05
OPAQUE_VEIL_ABOVE = 0.50


@dataclass(frozen=True)
class Shade:
    """One field of the card: L*, a*, b* (D65, 10 degree) and the colour for a screen."""

    lab: Lab
    screen: ScreenColour

    @property
    def hex(self) -> str:
        return self.screen.hex


@dataclass(frozen=True)
class Swatch:
    """A drawdown card. `tint` is None without a white; `transparent` is None where it is neither clear nor hiding."""

    masstone: Shade
    tint: Shade | None
    over_black: Shade
    transparent: bool | None
    estimated: bool


def swatch(curve: Curve, white: Curve | None) -> Swatch:
    """Return the card of a paint: masstone, 1:9 tint in the white given, film over black."""
    tint = None
    if white is not None:
        pair = (np.stack((curve.k, white.k)), np.stack((curve.s, white.s)))
        tint = _shade(mixture_lab(*pair, TINT_PARTS))
    over_black = cielab(saunderson(film(curve.k, curve.s, FILM_THICKNESS, 0.0)))
    return Swatch(
        masstone=_shade(masstone_lab(curve.k, curve.s)),
        tint=tint,
        over_black=_shade(over_black),
        transparent=is_transparent(curve.k, curve.s),
        estimated=curve.origin is not Origin.MEASURED,
    )


def show_through(k: Floats, s: Floats) -> float:
    """Return how much of the card shows through the film where it is clearest: 0 hides, near 1 is clear as glass.

    The greatest difference, over the wavelengths, between the internal reflectance over white and over black, as a
    fraction of that of the bare card.
    """
    over_white, over_black = (film(k, s, FILM_THICKNESS, ground) for ground in (CARD_WHITE, 0.0))
    return float((over_white - over_black).max() / CARD_WHITE)


def veil(s: Floats) -> float:
    """Return the internal reflectance over black that the paint's least scattering alone would give: SX / (1 + SX)."""
    return float(film(0.0, s.min(), FILM_THICKNESS, 0.0))


def is_transparent(k: Floats, s: Floats) -> bool | None:
    """Return True for a transparent paint, False for an opaque one, None where the curves do not say."""
    if veil(s) >= OPAQUE_VEIL_ABOVE:
        return False
    clear = veil(s) < TRANSPARENT_VEIL_BELOW and show_through(k, s) >= TRANSPARENT_SHOWS_ABOVE
    return True if clear else None


def _shade(lab: Floats) -> Shade:
    return Shade((float(lab[0]), float(lab[1]), float(lab[2])), srgb(lab))
