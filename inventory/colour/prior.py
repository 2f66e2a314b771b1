"""What is known of a pigment's curves before the paint is measured: a mean and how far it may be off, all logs natural.

The logarithm of absorption is that of a formula with a few parameters, plus a smooth deviation u; scattering is a
power of wavelength plus a share of the absorption, times exp(v), v smooth too. Parameters, u and v are Gaussian.
The numbers of the rows are from memory; the widths were chosen on 27 acrylics, half of them held back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM
from inventory.colour.curves import ABSORPTION_PER_SCATTERING, BandRow

Floats = NDArray[np.float64]

# Standard deviations of a row's parameters: logarithms, but for the shifts in nm and the exponent of scattering.
SD_STRENGTH = 1.0
SD_STRENGTH_ALONE = 0.4
"""Of the strength when only a masstone and a code are known: then the code must say it."""
SD_FLOOR = 0.8
SD_SHIFT_NM = 8.0
SD_EDGE_WIDTH = 0.25
SD_BAND_WIDTH = 0.2
SD_BAND_HEIGHT = 0.4
SD_SCATTERING = 0.8
SD_SCATTERING_SLOPE = 1.0
SD_ABSORPTION_PER_SCATTERING = 0.35
# The smooth deviations: standard deviation, and length in nm.
ABSORPTION_DEVIATION = (0.25, 30.0)
SCATTERING_DEVIATION = (0.8, 60.0)
# Several pigments in one paint: weights free, row numbers fixed, one common scale of scattering.
SD_WEIGHT = 1.5
SD_COMMON_SCATTERING = 0.6
BLEND_ABSORPTION_DEVIATION = (0.35, 30.0)
# The white.
SD_WHITE_STRENGTH = 0.5
WHITE_DEVIATION = (0.4, 40.0)
LOG_K_RANGE = (-12.0, 5.0)
LOG_S_RANGE = (-9.0, 2.5)
# Added to the diagonal of a covariance, so that it can be inverted.
JITTER = 1e-6

# Parameters of a single pigment, in this order; the heights of the bands follow.
_STRENGTH, _FLOOR, _EDGE, _EDGE_WIDTH, _BAND, _BAND_WIDTH, _SCATTER, _SLOPE, _PER = range(9)


class Prior(Protocol):
    """A batch of c priors of one kind. Parameters theta (..., c, p) have mean 0 and standard deviations `sd` (p,)."""

    sd: Floats
    absorption: Deviation
    scattering: Deviation

    def __len__(self) -> int: ...

    def base(self, theta: Floats, places: NDArray[np.intp]) -> tuple[Floats, Floats, Floats]:
        """Return ln K before u, scattering before its share of K (both (..., c, 31)), and that share (..., c, 1).

        `places` names the c priors of the batch that are meant.
        """


@dataclass(frozen=True, eq=False)
class Deviation:
    """A Gaussian process over the wavelengths: covariance (31, 31), its inverse and its lower root."""

    covariance: Floats
    inverse: Floats
    root: Floats

    @classmethod
    def of(cls, covariance: Floats) -> Deviation:
        root = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
        back = np.linalg.solve(root, np.eye(len(root)))
        return cls(covariance, np.asarray(back.T @ back, dtype=np.float64), root)


@cache
def smooth(sd: float, length_nm: float) -> Deviation:
    """Return the process of this standard deviation and length: sd^2 exp(-d^2 / (2 length^2))."""
    apart = WAVELENGTHS_NM[:, None] - WAVELENGTHS_NM[None]
    return Deviation.of(sd**2 * np.exp(-(apart**2) / (2.0 * length_nm**2)) + JITTER * np.eye(len(apart)))


@cache
def _none() -> Deviation:
    """No deviation to speak of, for a curve that is fixed."""
    return Deviation.of(1e-12 * np.eye(WAVELENGTHS_NM.size))


class SinglePigments:
    """Priors of single pigments, one for each row."""

    def __init__(self, rows: Sequence[BandRow], *, sd_strength: float = SD_STRENGTH) -> None:
        self.rows = tuple(rows)
        edges, bands = (max((len(getattr(row, kind)) for row in rows), default=0) for kind in ("edges", "bands"))
        self._edges = np.array([_padded(row.edges, edges) for row in rows]).reshape(len(rows), edges, 3)
        self._bands = np.array([_padded(row.bands, bands) for row in rows]).reshape(len(rows), bands, 3)
        self._numbers = np.array([(row.K0, row.floor, row.Km, row.S0, row.Sn) for row in rows])[..., None]
        self.absorption = smooth(*ABSORPTION_DEVIATION)
        self.scattering = smooth(*SCATTERING_DEVIATION)
        self.sd = np.array(
            [
                sd_strength,
                SD_FLOOR,
                SD_SHIFT_NM,
                SD_EDGE_WIDTH,
                SD_SHIFT_NM,
                SD_BAND_WIDTH,
                SD_SCATTERING,
                SD_SCATTERING_SLOPE,
                SD_ABSORPTION_PER_SCATTERING,
                *[SD_BAND_HEIGHT] * bands,
            ]
        )

    def __len__(self) -> int:
        return len(self.rows)

    def base(self, theta: Floats, places: NDArray[np.intp]) -> tuple[Floats, Floats, Floats]:
        nm = WAVELENGTHS_NM
        t = theta[..., None]
        numbers = self._numbers[places]
        K0, floor, Km, S0, Sn = (numbers[:, i] for i in range(5))
        shape = floor * np.exp(t[..., _FLOOR, :]) * np.ones_like(nm)
        for i in range(self._edges.shape[1]):
            place, width, height = (self._edges[places, i, j][:, None] for j in range(3))
            width = width * np.exp(t[..., _EDGE_WIDTH, :])
            # The exponent is bounded so that a narrow edge far away does not overflow.
            across = np.clip((nm - place - t[..., _EDGE, :]) / width, -500.0, 500.0)
            shape = shape + height / (1.0 + np.exp(across))
        for i in range(self._bands.shape[1]):
            place, width, height = (self._bands[places, i, j][:, None] for j in range(3))
            width = width * np.exp(t[..., _BAND_WIDTH, :])
            height = height * np.exp(t[..., _PER + 1 + i, :])
            shape = shape + height * np.exp(-0.5 * ((nm - place - t[..., _BAND, :]) / width) ** 2)
        relative = np.log(nm / 550.0)
        log_k = np.log(K0) + t[..., _STRENGTH, :] + Km * relative + np.log(np.maximum(shape, 1e-300))
        s = S0 * np.exp(t[..., _SCATTER, :] - (Sn + t[..., _SLOPE, :]) * relative)
        return log_k, s, np.exp(-t[..., _PER, :]) / ABSORPTION_PER_SCATTERING


class Blends:
    """Priors of several pigments in one paint; each blend holds the same number of curves (c, n, 31)."""

    def __init__(self, k: Floats, s: Floats) -> None:
        self._k, self._s = k, s
        pigments = k.shape[1]
        self._mean = -np.log(pigments)
        self.absorption = smooth(*BLEND_ABSORPTION_DEVIATION)
        self.scattering = smooth(*SCATTERING_DEVIATION)
        self.sd = np.array([*[SD_WEIGHT] * pigments, SD_COMMON_SCATTERING])

    def __len__(self) -> int:
        return len(self._k)

    def base(self, theta: Floats, places: NDArray[np.intp]) -> tuple[Floats, Floats, Floats]:
        weight = np.exp(self._mean + theta[..., :-1])[..., None]
        k = (weight * self._k[places]).sum(axis=-2)
        s = np.exp(theta[..., -1:]) * (weight * self._s[places]).sum(axis=-2)
        return np.log(k), s, np.zeros_like(theta[..., -1:])


def draw(prior: Prior, places: NDArray[np.intp], rng: np.random.Generator) -> tuple[Floats, Floats, Floats]:
    """Return parameters (n, p) and deviations u and v (n, 31) drawn from the prior itself, about its mean."""
    n, bands = len(places), WAVELENGTHS_NM.size
    return (
        rng.standard_normal((n, len(prior.sd))) * prior.sd,
        rng.standard_normal((n, bands)) @ prior.absorption.root.T,
        rng.standard_normal((n, bands)) @ prior.scattering.root.T,
    )


def curves_at(
    prior: Prior, places: NDArray[np.intp], theta: Floats, u: Floats, v: Floats
) -> tuple[Floats, Floats, Floats]:
    """Return ln K, ln S and the share of S that follows K, each (..., c, 31)."""
    log_k, s, per = prior.base(theta, places)
    log_k = np.clip(log_k + u, *LOG_K_RANGE)
    following = per * np.exp(log_k)
    log_s = np.clip(np.log(s + following) + v, *LOG_S_RANGE)
    return log_k, log_s, following / (s + following)


class Whites:
    """The prior of one white: its absorption free in strength and shape, its scattering (31,) fixed."""

    def __init__(self, k: Floats, s: Floats) -> None:
        self._log_k, self._s = np.log(k)[None], s[None]
        self.absorption = smooth(*WHITE_DEVIATION)
        self.scattering = _none()
        self.sd = np.array([SD_WHITE_STRENGTH])

    def __len__(self) -> int:
        return 1

    def base(self, theta: Floats, places: NDArray[np.intp]) -> tuple[Floats, Floats, Floats]:
        log_k = self._log_k[places] + theta
        return log_k, np.broadcast_to(self._s[places], log_k.shape), np.zeros_like(theta)


def _padded(items: Sequence[tuple[float, float, float]], count: int) -> list[tuple[float, float, float]]:
    return [*items, *[(550.0, 10.0, 0.0)] * (count - len(items))]
