"""Under which light and by which observer a colour was read, as the weights that turn reflectance into X, Y, Z."""

from __future__ import annotations

from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import colour_science, weights

Floats = NDArray[np.float64]


class Viewing(StrEnum):
    """Illuminant and observer of a reading, as instruments state them. The engine's own is D65/10."""

    D65_10 = "D65/10"
    D65_2 = "D65/2"
    D50_2 = "D50/2"
    D50_10 = "D50/10"
    C_2 = "C/2"
    C_10 = "C/10"
    A_2 = "A/2"
    A_10 = "A/10"


_OBSERVERS = {
    "10": "CIE 1964 10 Degree Standard Observer",
    "2": "CIE 1931 2 Degree Standard Observer",
}


@cache
def weights_under(viewing: Viewing) -> Floats:
    """Return the (3, 31) weights of a light and an observer, each row summing to 1, by plain summation.

    A paint's curves are fitted to a reading in the reading's own light, so nothing is lost in converting it.
    """
    if viewing is Viewing.D65_10:
        return weights()
    colour = colour_science()
    light, observer = viewing.value.split("/")
    shape = colour.SpectralShape(400, 700, 10)
    illuminant = colour.SDS_ILLUMINANTS[light].copy().align(shape).values
    matching = colour.MSDS_CMFS[_OBSERVERS[observer]].copy().align(shape).values
    table = np.ascontiguousarray((matching * illuminant[:, None]).T)
    table /= table.sum(axis=1, keepdims=True)
    table.setflags(write=False)
    return table
