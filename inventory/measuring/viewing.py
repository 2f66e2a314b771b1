"""Under which light and for which observer a colour was stated, and what it is for D65 and the 10 degree observer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, colour_science, lab_from_relative_xyz, weights
from inventory.colour.viewing import Viewing, weights_under

Floats = NDArray[np.float64]

_MOST_STEPS = 60
_CLOSE = 1e-7


class Illuminant(StrEnum):
    """CIE illuminants that colours of paints are stated for."""

    D65 = "D65"
    D50 = "D50"
    C = "C"
    A = "A"
    UNKNOWN = "unknown"


class Observer(StrEnum):
    """CIE standard colorimetric observers, by the degrees of their field."""

    TWO = "2"
    TEN = "10"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Converted:
    """L*, a*, b* for D65 and the 10 degree observer, how they were got, and the error that this adds (sd in CIELAB)."""

    lab: tuple[float, float, float]
    how: str
    sd: float


# Root mean square error of L*, a* and b* after conversion, the greater of two sets of spectra: 327 masstones and tints
# computed from typical curves of pigments, and 36 measured pigment powders (USGS Spectral Library 7).
_ERROR_OF_SMOOTHEST = {
    (Illuminant.D65, Observer.TWO): 0.9,
    (Illuminant.D50, Observer.TWO): 1.4,
    (Illuminant.D50, Observer.TEN): 0.5,
    (Illuminant.C, Observer.TWO): 0.85,
    (Illuminant.C, Observer.TEN): 0.2,
    (Illuminant.A, Observer.TWO): 2.8,
    (Illuminant.A, Observer.TEN): 1.8,
}
_ERROR_OF_BRADFORD = {
    (Illuminant.D65, Observer.TWO): 3.0,
    (Illuminant.D50, Observer.TWO): 3.3,
    (Illuminant.D50, Observer.TEN): 1.0,
    (Illuminant.C, Observer.TWO): 3.3,
    (Illuminant.C, Observer.TEN): 0.3,
    (Illuminant.A, Observer.TWO): 5.5,
    (Illuminant.A, Observer.TEN): 4.1,
}


def spoken(illuminant: Illuminant, observer: Observer) -> str:
    """The viewing conditions in words."""
    return f"{illuminant.value}, {observer.value} degree observer"


def viewing_of(illuminant: Illuminant, observer: Observer) -> Viewing:
    """Return the conditions as the colour work names them. ValueError for unknown ones."""
    if illuminant is Illuminant.UNKNOWN or observer is Observer.UNKNOWN:
        raise ValueError("a colour needs a known illuminant and observer to be worked with; say which were used")
    return Viewing(f"{illuminant.value}/{observer.value}")


def relative_xyz(lab: ArrayLike) -> Floats:
    """Return X/Xn, Y/Yn, Z/Zn (..., 3) of L*, a*, b* (..., 3), whatever the white."""
    L, a, b = np.moveaxis(np.asarray(lab, dtype=np.float64), -1, 0)
    fy = (L + 16.0) / 116.0
    f = np.stack((fy + a / 500.0, fy, fy - b / 200.0), axis=-1)
    return np.where(f > 6.0 / 29.0, f**3, (116.0 * f - 16.0) * 27.0 / 24389.0)


def smoothest_reflectance(xyz: ArrayLike, illuminant: Illuminant, observer: Observer) -> Floats | None:
    """Return the smoothest reflectance (31,) between 0 and 1 that has this colour, or None where none is found.

    Parameters
    ----------
    xyz : array_like, shape (3,)
        X/Xn, Y/Yn, Z/Zn.
    illuminant, observer
        The conditions that `xyz` was stated for.

    References
    ----------
    S. A. Burns, 2020, Numerical methods for smoothest reflectance reconstruction, Color Research and Application 45,
    8-21: rho = (tanh z + 1)/2 with the least sum of squared slopes of z, solved by Newton's method.
    """
    T = weights_under(viewing_of(illuminant, observer))
    target = np.asarray(xyz, dtype=np.float64)
    n = WAVELENGTHS_NM.size
    slopes = np.diff(np.eye(n), axis=0)
    H = 2.0 * slopes.T @ slopes
    z, multipliers = np.zeros(n), np.zeros(3)
    with np.errstate(over="ignore", invalid="ignore"):
        for _ in range(_MOST_STEPS):
            rho = (np.tanh(z) + 1.0) / 2.0
            first = 0.5 / np.cosh(z) ** 2
            second = -np.tanh(z) / np.cosh(z) ** 2
            pull = T.T @ multipliers
            residual = np.concatenate((H @ z + first * pull, T @ rho - target))
            if not np.isfinite(residual).all():
                return None
            if np.abs(residual).max() < _CLOSE:
                return np.asarray(rho)
            sloped = first[:, None] * T.T
            step = np.block([[H + np.diag(second * pull), sloped], [sloped.T, np.zeros((3, 3))]])
            try:
                change = np.linalg.solve(step, -residual)
            except np.linalg.LinAlgError:
                return None
            z, multipliers = z + change[:n], multipliers + change[n:]
    return None


def to_d65_10(lab: tuple[float, float, float], illuminant: Illuminant, observer: Observer) -> Converted:
    """Return L*, a*, b* for D65 and the 10 degree observer of a colour stated for known other conditions.

    The reflectance that could have this colour most smoothly is seen again under D65; where none is found, Bradford's
    adaptation of the white is taken, which knows nothing of the change of observer. On pigment powders the first is
    off by 0.8 CIEDE2000 on average for D50 and 2 degrees, the second by 2.4.
    """
    if (illuminant, observer) == (Illuminant.D65, Observer.TEN):
        return Converted(lab, "as given", 0.0)
    xyz = relative_xyz(lab)
    said = f"from {spoken(illuminant, observer)}"
    rho = smoothest_reflectance(xyz, illuminant, observer)
    if rho is not None:
        seen = lab_from_relative_xyz(rho @ weights().T)
        how = f"{said}, through the smoothest reflectance that has this colour (Burns 2020)"
        return Converted(_three(seen), how, _ERROR_OF_SMOOTHEST[illuminant, observer])
    how = f"{said}, by Bradford's adaptation of the white, because no smooth reflectance has this colour"
    return Converted(_three(_bradford(xyz, illuminant, observer)), how, _ERROR_OF_BRADFORD[illuminant, observer])


def _bradford(xyz: Floats, illuminant: Illuminant, observer: Observer) -> Floats:
    colour = colour_science()
    names = {
        Observer.TWO: "CIE 1931 2 Degree Standard Observer",
        Observer.TEN: "CIE 1964 10 Degree Standard Observer",
    }
    source = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS[names[observer]][illuminant.value])
    target = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS[names[Observer.TEN]][Illuminant.D65.value])
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz * source, source, target, transform="Bradford")
    return lab_from_relative_xyz(np.asarray(adapted / target, dtype=np.float64))


def _three(lab: Floats) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])
