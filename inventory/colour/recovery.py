"""From a paint's colours to its absorption and scattering, with what the colours leave open.

Few colours do not determine 62 numbers. What is known of pigments is taken as a prior, and the most probable curves
that reproduce the colours are found for each likely pigment, weighed by how well it explains them, and averaged.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, difference, lab_from_relative_xyz
from inventory.colour.candidates import Group, groups_of, read_label
from inventory.colour.curves import BandRow, Curve, Origin, from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.prior import Whites
from inventory.colour.samples import (
    DoubtfulColours,
    DoubtKind,
    Observed,
    Sample,
    check_white,
    doubts,
    masstone,
)
from inventory.colour.solve import Readings, Solution, sample_curves, solve
from inventory.colour.viewing import Viewing, weights_under

Floats = NDArray[np.float64]

# Changes with every change of the method that moves a curve or its draws.
VERSION = "2"
DRAWS = 32
# Titanium white by assumption: absorption near 0 but for the violet, scattering 1.
GENERIC_WHITE_NOTE = "a typical titanium white; measure the studio's own to do better"
# A candidate that weighs less than this is not named.
LEAST_WEIGHT = 0.01
# A fit worse than this (CIEDE2000) is told: the colours and the theory do not go together.
POOR_FIT = 1.0


class Basis(StrEnum):
    """What a paint's curves rest on; it decides what may be said of its mixtures."""

    MEASURED = "measured curves"
    TINTED = "masstone and tints"
    ALONE_WITH_CODE = "masstone and code"
    TYPICAL = "code alone"
    ALONE = "masstone alone"
    FILMS = "films alone"
    WHITE = "a white alone"


@dataclass(frozen=True)
class Candidate:
    """A pigment, or the label's pigments together, that may be in the paint, and how likely it is (0 to 1)."""

    name: str
    labelled: bool
    weight: float


@dataclass(frozen=True, eq=False)
class Recovered:
    """What the colours of a paint say of its curves.

    `k_draws` and `s_draws` (d, 31) are curves that the colours allow, equally likely. `worst_fit` is the greatest
    CIEDE2000 between the samples and the curve. `evidence` is the negative logarithm of the probability of the
    colours, but for a constant. `states_tints` says whether tints and mixtures may be given a figure at all.
    """

    curve: Curve
    k_draws: Floats
    s_draws: Floats
    candidates: tuple[Candidate, ...]
    worst_fit: float
    evidence: float
    basis: Basis
    states_tints: bool
    direction_only: bool
    rests_on: str
    version: str
    fingerprint: str


def generic_white() -> Curve:
    """Return a typical titanium white: K = 0.0006 + 0.012/(1 + exp((l - 400)/4)), S = 1."""
    k = 0.0006 + 0.012 / (1.0 + np.exp((WAVELENGTHS_NM - 400.0) / 4.0))
    return Curve(k, np.ones_like(k), Origin.TYPICAL, GENERIC_WHITE_NOTE)


def fingerprint(observed: Observed, rows: Sequence[BandRow], white: Curve, *, seed: int, draws: int = DRAWS) -> str:
    """Return a digest of all that a recovery depends on: if it is the same, so is the result."""
    stated = {
        "version": VERSION,
        "observed": asdict(observed),
        "rows": [asdict(row) for row in rows],
        "white": [white.k.tolist(), white.s.tolist()],
        "seed": seed,
        "draws": draws,
    }
    return hashlib.sha256(json.dumps(stated, sort_keys=True).encode()).hexdigest()


def recover(
    observed: Observed,
    rows: Sequence[BandRow],
    white: Curve | None = None,
    *,
    seed: int = 0,
    draws: int = DRAWS,
    confirmed: Collection[DoubtKind] = (),
) -> Recovered:
    """Return the curves of a paint from its colours.

    Parameters
    ----------
    observed : Observed
        Samples, codes and name of the paint.
    rows : sequence of BandRow
        What is known of pigments: all rows, for the code may be missing or wrong.
    white : Curve, optional
        The white of the tints; a typical titanium white unless given (see `recover_white`).
    seed : int
        The draws depend on it and on the paint, so that two paints are drawn independently.
    draws : int
        How many, at least 1.
    confirmed : collection of DoubtKind
        Questions that the person has answered: the colours stand.

    Raises
    ------
    DoubtfulColours
        If the colours do not go together.
    ValueError
        If no candidate exists or a number is out of range.
    """
    if draws < 1:
        raise ValueError(f"draws must be at least 1, not {draws}")
    if seed < 0:
        raise ValueError(f"seed must be 0 or more, not {seed}")
    ground = white or generic_white()
    _refuse(observed, ground, confirmed)
    weights = weights_under(observed.viewing)
    readings = Readings(observed.samples, ground.k, ground.s, weights)
    groups = groups_of(observed, rows, readings)
    solutions = [solve(group.prior, readings) for group in groups]
    digest = fingerprint(observed, rows, ground, seed=seed, draws=draws)
    basis = _basis(observed, any(any(group.labelled) for group in groups))
    missing = read_label(observed.codes, observed.name, rows).missing
    return _weighed(
        groups, solutions, readings, observed, weights, digest, seed=seed, draws=draws, basis=basis, missing=missing
    )


def recover_white(
    colour: ArrayLike,
    row: BandRow | None = None,
    *,
    viewing: Viewing = Viewing.D65_10,
    sd: float | None = None,
    seed: int = 0,
    draws: int = DRAWS,
) -> Recovered:
    """Return the curves of a white from its own masstone.

    Parameters
    ----------
    colour : array_like
        L*, a*, b* (3) or reflectance (31) of the white alone.
    row : BandRow, optional
        The typical numbers of the white, for its scattering (zinc white scatters a third of titanium's); titanium
        white, which scatters 1, unless given. A masstone does not show how much a white scatters.

    Raises
    ------
    DoubtfulColours
        If the colour is not that of a white.
    """
    sample = masstone(colour, sd=sd)
    observed = Observed((sample,), (row.ci,) if row else (), row.name if row else "white", viewing)
    check_white(sample.colour(viewing))
    k, s = (generic_white().k, generic_white().s) if row is None else _white_row(row)
    weights = weights_under(viewing)
    readings = Readings(observed.samples, k, s, weights)
    group = Group(Whites(k, s), (row.name if row else "titanium white",), (True,), np.zeros(1))
    solution = solve(group.prior, readings)
    digest = fingerprint(observed, [row] if row else [], Curve(k, s, Origin.TYPICAL), seed=seed, draws=draws)
    return _weighed(
        [group], [solution], readings, observed, weights, digest, seed=seed, draws=draws, basis=Basis.WHITE, missing=()
    )


def _white_row(row: BandRow) -> tuple[Floats, Floats]:
    """Return absorption and scattering of a typical white; scattering is that of the row, whatever it absorbs."""
    typical = from_bands(row)
    return typical.k, np.full_like(typical.s, row.S0)


def _refuse(observed: Observed, white: Curve, confirmed: Collection[DoubtKind]) -> None:
    R = saunderson(reflectance_infinite(white.k, white.s))
    L, a, b = lab_from_relative_xyz(R @ weights_under(observed.viewing).T).tolist()
    if observed.tints:
        check_white((L, a, b))
    standing = [doubt for doubt in doubts(observed, (L, a, b)) if not (doubt.may_stand and doubt.kind in confirmed)]
    if standing:
        raise DoubtfulColours(standing)


def _weighed(
    groups: Sequence[Group],
    solutions: Sequence[Solution],
    readings: Readings,
    observed: Observed,
    weights: Floats,
    digest: str,
    *,
    seed: int,
    draws: int,
    basis: Basis,
    missing: Sequence[str],
) -> Recovered:
    cost = np.concatenate([solution.evidence - group.bonus for group, solution in zip(groups, solutions, strict=True)])
    weight = np.exp(cost.min() - cost)
    total = float(weight.sum())
    weight /= total
    log_k = weight @ np.vstack([solution.log_k for solution in solutions])
    log_s = weight @ np.vstack([solution.log_s for solution in solutions])
    names = [name for group in groups for name in group.names]
    k_draws, s_draws = _draws(groups, solutions, readings, weight, draws, _entropy(seed, observed, names))
    marks = [mark for group in groups for mark in group.labelled]
    found = sorted(
        (
            Candidate(name, mark, float(value))
            for name, mark, value in zip(names, marks, weight, strict=True)
            if value >= min(LEAST_WEIGHT, weight.max())
        ),
        key=lambda candidate: -candidate.weight,
    )
    fit = _worst_fit(readings, log_k, log_s, observed, weights)
    words = _rests_on(observed, basis, found, fit, missing)
    return Recovered(
        curve=Curve(np.exp(log_k), np.exp(log_s), Origin.RECOVERED, words),
        k_draws=k_draws,
        s_draws=s_draws,
        candidates=tuple(found),
        worst_fit=fit,
        evidence=float(cost.min() - np.log(total)),
        basis=basis,
        states_tints=basis in (Basis.TINTED, Basis.ALONE_WITH_CODE, Basis.WHITE),
        direction_only=basis is Basis.FILMS,
        rests_on=words,
        version=VERSION,
        fingerprint=digest,
    )


def _entropy(seed: int, observed: Observed, candidates: Sequence[str]) -> list[int]:
    """What the draws hang on: the paint's own colours and candidates, so that no other pigment's row moves them."""
    own = json.dumps([asdict(observed), candidates], sort_keys=True)
    return [seed, int(hashlib.sha256(own.encode()).hexdigest()[:16], 16)]


def _draws(
    groups: Sequence[Group],
    solutions: Sequence[Solution],
    readings: Readings,
    weight: Floats,
    draws: int,
    entropy: list[int],
) -> tuple[Floats, Floats]:
    """Draw a candidate by weight and then a curve, so many times; in an order that says nothing."""
    rng = np.random.default_rng(entropy)
    # Evenly spaced points on the line of weights: each candidate gets its due, to the nearest draw.
    points = (np.arange(draws) + rng.random()) / draws
    chosen = np.minimum(np.searchsorted(np.cumsum(weight), points), len(weight) - 1)
    k, s = np.empty((draws, WAVELENGTHS_NM.size)), np.empty((draws, WAVELENGTHS_NM.size))
    first = 0
    for group, solution in zip(groups, solutions, strict=True):
        size = len(group.names)
        here = np.flatnonzero((chosen >= first) & (chosen < first + size))
        if len(here):
            log_k, log_s = sample_curves(group.prior, readings, solution, chosen[here] - first, rng)
            k[here], s[here] = np.exp(log_k), np.exp(log_s)
        first += size
    order = rng.permutation(draws)
    k, s = k[order], s[order]
    k.setflags(write=False)
    s.setflags(write=False)
    return k, s


def _basis(observed: Observed, labelled: bool) -> Basis:
    if observed.tints:
        return Basis.TINTED
    if observed.masstone is None:
        return Basis.FILMS
    return Basis.ALONE_WITH_CODE if labelled else Basis.ALONE


def _worst_fit(readings: Readings, log_k: Floats, log_s: Floats, observed: Observed, weights: Floats) -> float:
    fitted = lab_from_relative_xyz(readings.reflectance(log_k, log_s) @ weights.T)
    own = np.stack([sample.colour(observed.viewing) for sample in observed.samples])
    return float(difference(fitted, own).max())


def _rests_on(
    observed: Observed, basis: Basis, candidates: Sequence[Candidate], fit: float, missing: Sequence[str]
) -> str:
    words = ["Recovered from " + _listed([_named(sample) for sample in observed.samples]) + "."]
    if basis is Basis.ALONE:
        words.append("The colour is known only alone: tints and mixtures cannot be told from it. Measure a tint.")
    elif basis is Basis.ALONE_WITH_CODE:
        words.append("Tints and mixtures rest on what the pigment usually does. Measure a tint.")
    elif basis is Basis.FILMS:
        words.append("Films without a mix with white: a direction only. Measure a mix with white.")
    elif basis is Basis.WHITE:
        words.append("How much it scatters is that of its kind.")
    if missing:
        words.append(f"No typical curve is known for {_listed(list(missing))}, so the code did not help.")
    likeliest = candidates[0]
    if not likeliest.labelled and observed.codes and not missing:
        words.append(f"The colours look more like {likeliest.name} than like the label. Check label and swatches.")
    elif not observed.codes and basis is not Basis.WHITE:
        words.append(f"No code is known; the colours look most like {likeliest.name}.")
    if fit > POOR_FIT:
        words.append(f"The curves miss a sample by {fit:.1f} CIEDE2000: check the swatches and their parts.")
    return " ".join(words)


def _named(sample: Sample) -> str:
    kind = "the reflectance of " if sample.reflectance is not None else ""
    if sample.thickness is not None:
        ground = "black" if sample.ground < 0.1 else "white" if sample.ground > 0.6 else "grey"
        return f"{kind}a film over {ground}"
    return f"{kind}the masstone" if sample.is_masstone else f"{kind}a {sample.paint:g}:{sample.white:g} tint"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
