"""From the bands of an instrument to the 31 bands that all curves here have: 400 to 700 nm by 10."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, colour_science

Floats = NDArray[np.float64]

FIRST_NM, LAST_NM, STEP_NM = 400.0, 700.0, 10.0
WIDEST_STEP_NM = 20.0
_SAME_NM = 0.05  # instruments that write 409.98 mean 410
_NAMED = 12  # so many missing bands are listed by name


class BandsError(ValueError):
    """The bands do not cover 400 to 700 nm closely enough; the message names those that are missing."""


@dataclass(frozen=True, eq=False)
class Resampled:
    """Values (31,) at 400 to 700 nm by 10, and how they were got; the note is empty where they are as measured."""

    values: Floats
    note: str


def resample(wavelengths_nm: Sequence[float], values: Sequence[float]) -> Resampled:
    """Bring a spectrum to 400 to 700 nm by 10.

    Parameters
    ----------
    wavelengths_nm : sequence of n floats
        Band centres in nm, in any order, none twice.
    values : sequence of n floats
        Finite values at them, in any unit.

    Returns
    -------
    Resampled
        Bands closer than 10 nm are averaged under a triangle of 20 nm base, where the spectrum reaches so far on both
        sides; bands up to 20 nm apart are interpolated (Sprague's fifth-degree polynomial where they are evenly
        spaced, straight lines where they are not) and held at 0 where the polynomial falls below it.

    Raises
    ------
    BandsError
        For bands that are missing, doubled or more than 20 nm apart.

    References
    ----------
    CIE 167:2005, Recommended practice for tabulating spectral data for use in colour computations (Sprague).
    """
    nm, R = np.asarray(wavelengths_nm, dtype=np.float64), np.asarray(values, dtype=np.float64)
    order = np.argsort(nm)
    nm, R = nm[order], R[order]
    near = np.rint(nm / STEP_NM) * STEP_NM
    nm = np.where(np.abs(nm - near) < _SAME_NM, near, nm)
    _check_bands(nm)
    if np.isin(WAVELENGTHS_NM, nm).all() and np.median(np.diff(nm)) > STEP_NM - _SAME_NM:
        return Resampled(R[np.searchsorted(nm, WAVELENGTHS_NM)], "")
    step = float(np.median(np.diff(nm)))
    if step < STEP_NM - _SAME_NM:
        return Resampled(_averaged(nm, R), f"averaged from bands every {step:.3g} nm to bands every 10 nm")
    return _interpolated(nm, R, step)


def _check_bands(nm: Floats) -> None:
    if nm.size < 2:
        raise BandsError(f"a spectrum needs bands from 400 to 700 nm; {nm.size} is too few. Export all bands.")
    gaps = np.diff(nm)
    if (gaps <= 0.0).any():
        raise BandsError(f"the band {nm[1:][gaps <= 0.0][0]:g} nm stands twice; keep one of the two.")
    step = float(np.median(gaps))
    if step > WIDEST_STEP_NM + _SAME_NM:
        raise BandsError(f"the bands are {step:g} nm apart; at most 20 nm can be interpolated. Export closer bands.")
    missing = _missing(nm, step)
    if missing:
        named = ", ".join(f"{band:g}" for band in missing[:_NAMED])
        more = f" and {len(missing) - _NAMED} more" if len(missing) > _NAMED else ""
        raise BandsError(
            f"the spectrum must cover 400 to 700 nm without gaps; missing: {named}{more} nm. Measure or export them."
        )


def _missing(nm: Floats, step: float) -> list[float]:
    """The bands that should be there, judged by the usual step, within 400 to 700 nm."""
    found: list[float] = []
    first, last = float(nm[0]), float(nm[-1])
    if first > FIRST_NM + _SAME_NM:
        found.extend(np.arange(FIRST_NM, first - _SAME_NM, max(step, 1.0)).tolist())
    for left, gap in zip(nm[:-1].tolist(), np.diff(nm).tolist(), strict=True):
        if gap > 1.5 * step and left < LAST_NM and left + gap > FIRST_NM:
            found.extend(band for band in np.arange(left + step, left + gap - step / 2, step).tolist())
    if last < LAST_NM - _SAME_NM:
        start = LAST_NM - np.floor((LAST_NM - last - _SAME_NM) / max(step, 1.0)) * max(step, 1.0)
        found.extend(np.arange(start, LAST_NM + _SAME_NM, max(step, 1.0)).tolist())
    return [band for band in found if FIRST_NM - _SAME_NM <= band <= LAST_NM + _SAME_NM]


def _averaged(nm: Floats, R: Floats) -> Floats:
    at = np.arange(-STEP_NM, STEP_NM + 0.5, 1.0)
    found = np.empty(WAVELENGTHS_NM.size)
    for place, centre in enumerate(WAVELENGTHS_NM.tolist()):
        # As far as the spectrum reaches on both sides: a lopsided mean would shift the band.
        half = min(STEP_NM, centre - nm[0], nm[-1] - centre)
        triangle = np.maximum(0.0, 1.0 - np.abs(at) / max(half, 1.0))
        found[place] = np.interp(centre + at, nm, R) @ triangle / triangle.sum()
    return found


def _interpolated(nm: Floats, R: Floats, step: float) -> Resampled:
    even = np.abs(np.diff(nm) - step).max() < 2 * _SAME_NM
    if not even or nm.size < 6:
        return Resampled(
            np.asarray(np.interp(WAVELENGTHS_NM, nm, R)),
            f"interpolated by straight lines from bands about {step:g} nm apart",
        )
    grid = nm[0] + step * np.arange(nm.size)
    # At the ends the grid may miss 400 or 700 by a rounding.
    at = np.clip(WAVELENGTHS_NM, grid[0], grid[-1])
    smooth = np.asarray(colour_science().SpragueInterpolator(grid, R)(at), dtype=np.float64)
    note = f"interpolated by Sprague's polynomial from bands every {step:g} nm"
    if smooth.min() < 0.0 <= R.min():
        return Resampled(np.maximum(smooth, 0.0), f"{note}, and held at 0")
    return Resampled(smooth, note)
