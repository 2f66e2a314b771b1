"""From reflectance to what is seen: CIELAB, hue, chroma, colour difference, screen colour, Munsell value."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache, lru_cache
from types import ModuleType

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

WAVELENGTHS_NM: Floats = np.arange(400.0, 701.0, 10.0)
WAVELENGTHS_NM.setflags(write=False)


@dataclass(frozen=True)
class ScreenColour:
    """A colour for a screen. `clipped` says that the screen cannot show it and the nearest channel values are given."""

    hex: str
    clipped: bool


@cache
def colour_science() -> ModuleType:
    """Import colour-science where it is first needed: it costs a second and 100 MB."""
    # It would say on every start that scipy and matplotlib are absent; nothing used here needs them.
    os.environ.setdefault("COLOUR_SCIENCE__FILTER_USAGE_WARNINGS", "True")
    import colour

    return colour


@cache
def weights() -> Floats:
    """Return the (3, 31) weights that turn reflectance into X, Y, Z relative to the white, each row summing to 1.

    CIE standard illuminant D65 and the CIE 1964 (10 degree) observer, 400 to 700 nm in steps of 10 nm, plain
    summation; the white point comes from the same table, so the perfect diffuser is exactly L* 100.
    """
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    illuminant = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape).values
    table = np.ascontiguousarray((observer * illuminant[:, None]).T)
    table /= table.sum(axis=1, keepdims=True)
    table.setflags(write=False)
    return table


def cielab(reflectance: ArrayLike) -> Floats:
    """Return CIELAB of a spectral reflectance for D65 and the 10 degree observer.

    Parameters
    ----------
    reflectance : array_like, shape (..., 31)
        Fractions from 0 to 1 at `WAVELENGTHS_NM`.

    Returns
    -------
    ndarray, shape (..., 3)
        L*, a*, b*.

    Raises
    ------
    ValueError
        If the last axis is not 31 long or a value is not a fraction.

    References
    ----------
    ISO/CIE 11664-4:2019. The plain summation (instead of the weights of ASTM E308) moves a colour by a few
    hundredths to tenths.
    """
    R = np.asarray(reflectance, dtype=np.float64)
    if R.ndim == 0 or R.shape[-1] != WAVELENGTHS_NM.size:
        raise ValueError(f"reflectance must have 31 values (400 to 700 nm by 10), not the shape {R.shape}; resample it")
    if not (np.isfinite(R) & (R >= 0.0) & (R <= 1.0)).all():
        wrong = R[~(np.isfinite(R) & (R >= 0.0) & (R <= 1.0))].flat[0]
        raise ValueError(f"reflectance must be a fraction from 0 to 1, not {wrong:g}; divide percentages by 100")
    return lab_from_relative_xyz(R @ weights().T)


def lab_from_relative_xyz(xyz: Floats) -> Floats:
    """Return L*, a*, b* (..., 3) from X/Xn, Y/Yn, Z/Zn (..., 3)."""
    f = np.where(xyz > 216.0 / 24389.0, np.cbrt(xyz), (24389.0 / 27.0 * xyz + 16.0) / 116.0)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack((116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)), axis=-1)


def chroma(lab: ArrayLike) -> Floats:
    """Return C*ab (...,) of L*, a*, b* (..., 3)."""
    values = _lab(lab)
    return np.asarray(np.hypot(values[..., 1], values[..., 2]))


def hue_angle(lab: ArrayLike) -> Floats:
    """Return the hue angle h_ab (...,) in degrees, 0 up to 360, of L*, a*, b* (..., 3)."""
    values = _lab(lab)
    return np.asarray(np.degrees(np.arctan2(values[..., 2], values[..., 1])) % 360.0)


def difference(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """Return the colour difference CIEDE2000 (kL = kC = kH = 1) of two arrays that broadcast, each (..., 3).

    References
    ----------
    ISO/CIE 11664-6:2022; worked by colour-science.
    """
    first, second = np.broadcast_arrays(_lab(lab_1), _lab(lab_2))
    return np.asarray(colour_science().difference.delta_E_CIE2000(first, second), dtype=np.float64)


def srgb(lab: ArrayLike) -> ScreenColour:
    """Return the sRGB hex notation of one L*, a*, b* (D65, 10 degree), saying whether it had to be clipped."""
    values = _lab(lab)
    if values.shape != (3,):
        raise ValueError(f"one colour has 3 values, not the shape {values.shape}; call srgb once for each")
    return _srgb(float(values[0]), float(values[1]), float(values[2]))


@cache
def _white_points() -> tuple[Floats, Floats]:
    colour = colour_science()
    observers = ("CIE 1964 10 Degree Standard Observer", "CIE 1931 2 Degree Standard Observer")
    ten, two = (np.asarray(colour.CCS_ILLUMINANTS[observer]["D65"], dtype=np.float64) for observer in observers)
    return ten, two


def srgb_many(lab: ArrayLike) -> tuple[ScreenColour, ...]:
    """Return `srgb` for every row of L*, a*, b* (n, 3)."""
    colour = colour_science()
    values = _lab(lab).reshape(-1, 3)
    if not len(values):
        return ()
    # sRGB is defined for the 2 degree observer; CIELAB is taken as relative to its white, so the whites map.
    xyz = colour.Lab_to_XYZ(values, _white_points()[1])
    rgb = np.asarray(colour.XYZ_to_sRGB(xyz), dtype=np.float64)
    # Half a step of 8 bits: anything nearer than that is shown exactly.
    clipped = np.any((rgb < -0.5 / 255.0) | (rgb > 1.0 + 0.5 / 255.0), axis=-1).tolist()
    eight_bit = np.rint(np.clip(rgb, 0.0, 1.0) * 255.0).astype(int)
    return tuple(
        ScreenColour(f"#{r:02x}{g:02x}{b:02x}", bool(out))
        for (r, g, b), out in zip(eight_bit.tolist(), clipped, strict=True)
    )


@lru_cache(maxsize=4096)
def _srgb(L: float, a: float, b: float) -> ScreenColour:
    return srgb_many([[L, a, b]])[0]


def munsell_value(luminance_percent: ArrayLike) -> Floats:
    """Return the Munsell value V of a luminance factor.

    Parameters
    ----------
    luminance_percent : array_like, any shape
        Y from 0 to 100, where 100 is the perfect diffuser (not magnesium oxide, as in the tables of 1943).

    Returns
    -------
    ndarray, the shape of the input
        V, 0 (black) to 10 (white).

    References
    ----------
    ASTM D1535, value function; worked by colour-science.
    """
    Y = np.asarray(luminance_percent, dtype=np.float64)
    if not (np.isfinite(Y) & (Y >= 0.0) & (Y <= 100.0)).all():
        raise ValueError(f"luminance_percent must be 0 to 100, not {Y}; give Y relative to the perfect diffuser")
    return np.asarray(colour_science().munsell_value(Y, method="ASTM D1535"), dtype=np.float64)


def _lab(lab: ArrayLike) -> Floats:
    values = np.asarray(lab, dtype=np.float64)
    if values.ndim == 0 or values.shape[-1] != 3:
        raise ValueError(f"a colour is L*, a*, b*: the last axis must be 3 long, not the shape {values.shape}")
    if not np.isfinite(values).all():
        raise ValueError("L*, a* and b* must be finite numbers; one is not")
    return values
