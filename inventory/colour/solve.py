"""The most probable curves that reproduce a paint's colours: Gauss-Newton steps from the prior, halved until they help.

A batch of priors is solved together, each for itself: no figure of one depends on another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, lab_from_relative_xyz
from inventory.colour.kubelka_munk import K1, K2
from inventory.colour.prior import Prior, curves_at, draw
from inventory.colour.samples import Sample

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST_STEPS = 20
MOST_CHANGE = 2.0
"""The greatest change of a deviation in one step, in the logarithm."""
ENOUGH = 1e-4
"""A step that lowers the objective by less than this is the last."""
MOST_HALVINGS = 12
_DIFFERENCE = 1e-5


class Readings:
    """Samples as one vector of readings: L*, a*, b* of each colour, 31 lightnesses of each spectrum.

    `white_k` and `white_s` (31,) are the white of the tints; `weights` (3, 31) those under which the colours were read.
    """

    def __init__(self, samples: Sequence[Sample], white_k: Floats, white_s: Floats, weights: Floats) -> None:
        self._share = np.array([sample.share for sample in samples])[:, None]
        self._white_k, self._white_s, self._weights = white_k, white_s, weights
        self._films = np.flatnonzero([sample.thickness is not None for sample in samples])
        films = [sample for sample in samples if sample.thickness is not None]
        self._thickness = np.array([sample.thickness for sample in films], dtype=np.float64)[:, None]
        self._ground = np.array([sample.ground for sample in films])[:, None]
        self._labs = np.flatnonzero([sample.reflectance is None for sample in samples])
        self._spectra = np.flatnonzero([sample.reflectance is not None for sample in samples])
        spreads = np.array([sample.spread for sample in samples])
        bands = WAVELENGTHS_NM.size
        self.sd = np.concatenate((np.repeat(spreads[self._labs], 3), np.repeat(spreads[self._spectra], bands)))
        labs = [np.array(sample.lab) for sample in samples if sample.reflectance is None]
        spectra = [lightness(np.array(sample.reflectance)) for sample in samples if sample.reflectance is not None]
        self.target = np.concatenate([*labs, *spectra])

    def reflectance(self, log_k: Floats, log_s: Floats) -> Floats:
        """Return the reflectance (..., m, 31) of the m samples from curves (..., 31)."""
        k, s = np.exp(log_k)[..., None, :], np.exp(log_s)[..., None, :]
        c = self._share
        mixed_k = c * k + (1.0 - c) * self._white_k
        mixed_s = c * s + (1.0 - c) * self._white_s
        x = mixed_k / mixed_s
        b = np.sqrt(x * (x + 2.0))
        R = 1.0 / (1.0 + x + b)
        if len(self._films):
            x, b, s = x[..., self._films, :], b[..., self._films, :], mixed_s[..., self._films, :]
            depth = s * self._thickness
            t = np.where(b * depth > 1e-9, np.tanh(b * depth) / np.maximum(b, 1e-300), depth)
            ground = self._ground
            R[..., self._films, :] = (t + ground * (1.0 - (1.0 + x) * t)) / (1.0 + (1.0 + x - ground) * t)
        return np.asarray(K1 + (1.0 - K1) * (1.0 - K2) * R / (1.0 - K2 * R))

    def of(self, R: Floats) -> Floats:
        """Return the readings (..., n) of reflectances (..., m, 31)."""
        labs = lab_from_relative_xyz(R[..., self._labs, :] @ self._weights.T)
        spectra = lightness(R[..., self._spectra, :])
        lead = R.shape[:-2]
        return np.concatenate((labs.reshape(*lead, -1), spectra.reshape(*lead, -1)), axis=-1)

    def slopes(self, log_k: Floats, log_s: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the readings (..., n) and their slopes by ln K and by ln S at each wavelength (..., n, 31)."""
        h = _DIFFERENCE
        stacked = self.reflectance(np.stack((log_k, log_k + h, log_k)), np.stack((log_s, log_s, log_s + h)))
        R = stacked[0]
        by_R = self._by_reflectance(R)
        by_k, by_s = (self._chained(by_R, R, (moved - R) / h) for moved in (stacked[1], stacked[2]))
        return self.of(R), by_k, by_s

    def _by_reflectance(self, R: Floats) -> Floats:
        """Return the slope of L*, a*, b* by reflectance (..., labs, 3, 31)."""
        xyz = R[..., self._labs, :] @ self._weights.T
        f = np.where(xyz > 216.0 / 24389.0, np.cbrt(xyz) ** -2 / 3.0, 24389.0 / 27.0 / 116.0)
        by = f[..., None] * self._weights
        X, Y, Z = by[..., 0, :], by[..., 1, :], by[..., 2, :]
        return np.stack((116.0 * Y, 500.0 * (X - Y), 200.0 * (Y - Z)), axis=-2)

    def _chained(self, by_R: Floats, R: Floats, slope: Floats) -> Floats:
        """Return the slopes of all readings (..., n, 31) from that of the reflectances (..., m, 31)."""
        lead, bands = slope.shape[:-2], slope.shape[-1]
        out = np.zeros((*lead, len(self.sd), bands))
        count = 3 * len(self._labs)
        out[..., :count, :] = (by_R * slope[..., self._labs, None, :]).reshape(*lead, count, bands)
        # One wavelength, one reading: the slopes of a spectrum's lightness stand on a diagonal.
        by_lightness = 116.0 / 3.0 * np.cbrt(R[..., self._spectra, :]) ** -2 * slope[..., self._spectra, :]
        for i in range(len(self._spectra)):
            rows = count + i * bands + np.arange(bands)
            out[..., rows, np.arange(bands)] = by_lightness[..., i, :]
        return out


@dataclass(frozen=True, eq=False)
class Solution:
    """The most probable curves of c priors: ln K and ln S (c, 31), and how well they do.

    `evidence` (c,) is the negative logarithm of the probability of the colours, but for a constant: less is better.
    """

    theta: Floats
    u: Floats
    v: Floats
    log_k: Floats
    log_s: Floats
    evidence: Floats


def lightness(R: Floats) -> Floats:
    """Return 116 R^(1/3) - 16: a spectrum on a scale on which equal steps look about equal."""
    return np.asarray(116.0 * np.cbrt(R) - 16.0)


def solve(prior: Prior, readings: Readings) -> Solution:
    """Return the most probable curves of every prior of a batch."""
    state = _State(prior, readings)
    state.run()
    return state.solution()


def sample_curves(
    prior: Prior, readings: Readings, solution: Solution, places: Ints, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return ln K and ln S (n, 31) drawn from what the colours leave open about the solutions at `places` (n,).

    A draw from the prior is moved by the same step that takes the prior to the solution, then brought back to the
    colours, because far from the solution the colours are not straight in the parameters.
    """
    start = draw(prior, places, rng)
    noise = rng.standard_normal((len(places), len(readings.sd))) * readings.sd
    state = _State(prior, readings, places, solution, centre=start, noise=noise)
    return state.conditioned()


class _State:
    """Where a batch stands: parameters and deviations of c places, about a centre (0, the prior's own mean, at first).

    For draws the centre is a draw of the prior and the colours carry a draw of their noise.
    """

    def __init__(
        self,
        prior: Prior,
        readings: Readings,
        places: Ints | None = None,
        solution: Solution | None = None,
        *,
        centre: tuple[Floats, Floats, Floats] | None = None,
        noise: Floats | None = None,
    ) -> None:
        self.prior, self.readings = prior, readings
        self.places = np.arange(len(prior)) if places is None else places
        n, p, bands = len(self.places), len(prior.sd), WAVELENGTHS_NM.size
        if solution is None:
            self.theta, self.u, self.v = np.zeros((n, p)), np.zeros((n, bands)), np.zeros((n, bands))
        else:
            self.theta, self.u, self.v = (part[self.places] for part in (solution.theta, solution.u, solution.v))
        self.centre = centre or (np.zeros((n, p)), np.zeros((n, bands)), np.zeros((n, bands)))
        self.target = readings.target + (np.zeros((n, len(readings.sd))) if noise is None else noise)

    def run(self, most_steps: int = MOST_STEPS) -> None:
        """Step until nothing is gained."""
        active = np.arange(len(self.places))
        value = self._objective(self.theta, self.u, self.v, active)
        for _ in range(most_steps):
            step = self._step(active)
            longest = np.maximum(np.abs(step[1]).max(axis=1), np.abs(step[2]).max(axis=1))
            size = np.minimum(1.0, MOST_CHANGE / np.maximum(longest, 1e-300))
            fallen = np.zeros(len(active))
            trying = np.arange(len(active))
            for _ in range(MOST_HALVINGS):
                here = active[trying]
                scale = size[trying, None]
                theta, u, v = moved = [
                    part[here] + scale * change[trying]
                    for part, change in zip((self.theta, self.u, self.v), step, strict=True)
                ]
                tried = self._objective(theta, u, v, here)
                better = tried < value[trying]
                for part, new in zip((self.theta, self.u, self.v), moved, strict=True):
                    part[here[better]] = new[better]
                fallen[trying[better]] = (value[trying] - tried)[better]
                value[trying[better]] = tried[better]
                trying = trying[~better]
                if not len(trying):
                    break
                size[trying] /= 2.0
            on = fallen >= ENOUGH
            active, value = active[on], value[on]
            if not len(active):
                break

    def solution(self) -> Solution:
        every = np.arange(len(self.places))
        value = self._objective(self.theta, self.u, self.v, every)
        _, _, spread, _ = self._linear(every)
        log_k, log_s, _ = curves_at(self.prior, self.places, self.theta, self.u, self.v)
        evidence = value + 0.5 * np.linalg.slogdet(spread)[1]
        return Solution(self.theta, self.u, self.v, log_k, log_s, evidence)

    def conditioned(self) -> tuple[Floats, Floats]:
        """Move the centre, a draw of the prior, onto the colours: one straight step, then a few that keep to them."""
        every = np.arange(len(self.places))
        step = self._step(every)
        self.theta, self.u, self.v = (
            part + change for part, change in zip((self.theta, self.u, self.v), step, strict=True)
        )
        self.run(most_steps=3)
        log_k, log_s, _ = curves_at(self.prior, self.places, self.theta, self.u, self.v)
        return log_k, log_s

    def _linear(
        self, rows: Ints
    ) -> tuple[Floats, tuple[Floats, Floats, Floats], Floats, tuple[Floats, Floats, Floats]]:
        """Return the readings, their slopes by theta, u and v, their spread J C J' + sd^2, and C J'."""
        prior, places = self.prior, self.places[rows]
        theta, u, v = self.theta[rows], self.u[rows], self.v[rows]
        h = _DIFFERENCE
        moved = theta + h * np.concatenate((np.zeros((1, theta.shape[1])), np.eye(theta.shape[1])))[:, None, :]
        log_k, log_s, following = curves_at(prior, places, moved, u, v)
        readings, by_k, by_s = self.readings.slopes(log_k[0], log_s[0])
        k_theta = np.moveaxis(log_k[1:] - log_k[0], 0, -1) / h
        s_theta = np.moveaxis(log_s[1:] - log_s[0], 0, -1) / h
        J_theta = by_k @ k_theta + by_s @ s_theta
        J_u = by_k + by_s * following[0][:, None, :]
        J = (J_theta, J_u, by_s)
        CJ = (
            np.swapaxes(J_theta * prior.sd**2, 1, 2),
            np.swapaxes(J_u @ prior.absorption.covariance, 1, 2),
            np.swapaxes(by_s @ prior.scattering.covariance, 1, 2),
        )
        spread = sum(slope @ gain for slope, gain in zip(J, CJ, strict=True)) + np.diag(self.readings.sd**2)
        return readings, J, np.asarray(spread), CJ

    def _step(self, rows: Ints) -> tuple[Floats, ...]:
        """Return the step to m + C J' (J C J' + sd^2)^-1 (t - f + J (x - m))."""
        readings, J, spread, CJ = self._linear(rows)
        here = tuple(part[rows] for part in (self.theta, self.u, self.v))
        centre = tuple(part[rows] for part in self.centre)
        away = self.target[rows] - readings
        for slope, x, m in zip(J, here, centre, strict=True):
            away = away + (slope @ (x - m)[..., None])[..., 0]
        weight = np.linalg.solve(spread, away[..., None])
        return tuple((m + (gain @ weight)[..., 0]) - x for gain, x, m in zip(CJ, here, centre, strict=True))

    def _objective(self, theta: Floats, u: Floats, v: Floats, rows: Ints) -> Floats:
        log_k, log_s, _ = curves_at(self.prior, self.places[rows], theta, u, v)
        readings = self.readings
        miss = (self.target[rows] - readings.of(readings.reflectance(log_k, log_s))) / readings.sd
        theta, u, v = (x - m[rows] for x, m in zip((theta, u, v), self.centre, strict=True))
        far = ((theta / self.prior.sd) ** 2).sum(axis=-1)
        far += ((u @ self.prior.absorption.inverse) * u).sum(axis=-1)
        far += ((v @ self.prior.scattering.inverse) * v).sum(axis=-1)
        return np.asarray(0.5 * (miss**2).sum(axis=-1) + 0.5 * far)
