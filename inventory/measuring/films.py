"""How thick a drawdown is: in micrometres as typed, and in units in which titanium white scatters 1.

The theory counts thickness in units of scattering, so micrometres alone tell only how many times one film of a paint
is as thick as another. A titanium white drawn down with a known thickness ties the two together: nothing else does.
"""

from __future__ import annotations

import re

import numpy as np

from inventory.colour.kubelka_munk import saunderson_inverse
from inventory.labels.doubts import shown
from inventory.measuring.viewing import relative_xyz

# Bars and gauges run from some 10 to some 500 µm; a palette knife leaves 1 or 2 mm at the most.
LEAST_UM, MOST_UM = 5.0, 2000.0
# A drawdown of white that reflects more than this over black hides it: its thickness does not show.
MOST_OVER_BLACK = 0.95
REMEDY = "Enter the wet film in µm, such as 75."
_TYPED = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(µm|μm|um|microns?|micrometers?|micrometres?|mm)?", re.IGNORECASE)


def read_micrometres(text: str) -> float:
    """Return a film thickness in µm from what was typed, a bare number being µm.

    ValueError says what cannot be, the value and the remedy.
    """
    found = _TYPED.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{shown(text)} is no film thickness. {REMEDY}")
    value = float(found[1].replace(",", ".")) * (1000.0 if (found[2] or "").casefold() == "mm" else 1.0)
    if value <= 0.0:
        raise ValueError(f"A film thickness is above 0 µm, not {value:g}. {REMEDY}")
    if value > MOST_UM:
        raise ValueError(f"{value:g} µm is a slab: check the unit. {REMEDY}")
    if value < LEAST_UM:
        raise ValueError(f"{value:g} µm is thinner than a film of paint can be drawn: check the unit. {REMEDY}")
    return value


def thickness_of_white(L: float) -> float:
    """Return how thick a film of titanium white is, in units of its scattering, from its L* over black.

    A film of thickness X that scatters 1 and absorbs nothing reflects X / (1 + X) over black.

    Raises
    ------
    ValueError
        If L* is not above 0 and up to 100, or the film hides the black or is as dark as it.

    References
    ----------
    Kubelka 1948, J. Opt. Soc. Am. 38, 448; the surface by Saunderson 1942.
    """
    if not 0.0 < L <= 100.0:
        raise ValueError(f"{L:g} is no L* from 0 to 100, such as 88.5.")
    Y = float(relative_xyz((L, 0.0, 0.0))[1])
    try:
        R = float(saunderson_inverse(np.array([Y]))[0])
    except ValueError:
        R = 0.0
    if not 0.0 < R <= MOST_OVER_BLACK:
        why = "hides the black, so its thickness does not show" if R > 0.5 else "is as dark as the black itself"
        raise ValueError(f"A white film of L* {L:g} over black {why}.")
    return R / (1.0 - R)
