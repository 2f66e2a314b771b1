"""Matching: parts of other paints that come nearest to a paint, alone and tinted."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference
from inventory.colour.drawdown import TINT_PARTS
from inventory.colour.mixing import masstone_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import Mixture
from inventory.colour.series import lab_of, share_steps, strengths

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# Parts of white to a unit of colour that are tried in singles and pairs before the parts are refined.
WHITE_TRIED: tuple[float, ...] = (0.0, 0.15, 0.6, 2.0, 7.0, 25.0)
# A start farther than this (CIELAB distance, alone and tinted together) is not refined.
START_WITHIN = 25.0
BATCH_MIXTURES = 4096
REFINEMENTS = 25
# A part smaller than this is not measured out at a table; the mixture is told without it.
LEAST_PART = 0.005


@dataclass(frozen=True)
class Match:
    """A mixture and its CIEDE2000 to the paint, alone and as a 1:9 tint."""

    mixture: Mixture
    masstone_difference: float
    tint_difference: float

    @property
    def worst(self) -> float:
        return max(self.masstone_difference, self.tint_difference)


def match_all(palette: Palette, barred: Sequence[Collection[int]], *, within: float) -> dict[int, Match]:
    """Return, for each paint that is not white, the fewest other paints that mix it within a difference.

    Parameters
    ----------
    palette : Palette
        n paints of one binder.
    barred : sequence of n collections of places
        For each paint, which places may not be in its mixture: itself and its twins.
    within : float
        CIEDE2000 that both the masstone and the tint must keep.

    Returns
    -------
    dict of place to Match
        Only the paints that can be mixed.
    """
    found: dict[int, Match] = {}
    white = palette.white_index
    for size in (1, 2, 3):
        wanted = [int(i) for i in palette.members if int(i) not in found]
        if not wanted:
            break
        whites = (0.0,) if white is None or size == 3 else WHITE_TRIED
        for place, start in _starts(palette, wanted, barred, size, whites).items():
            match = _refined(palette, place, *start)
            if match is not None and match.worst <= within:
                found[place] = match
    return found


def tinting_white(palette: Palette) -> tuple[Floats, Floats]:
    """Return absorption and scattering (31,) of the strongest white, or of an ideal one (0 and 1) if there is none."""
    white = palette.white_index
    if white is None:
        return np.zeros(palette.k.shape[1]), np.ones(palette.s.shape[1])
    return palette.k[white], palette.s[white]


def _starts(
    palette: Palette, wanted: list[int], barred: Sequence[Collection[int]], size: int, whites: tuple[float, ...]
) -> dict[int, tuple[list[int], Floats]]:
    """Return for each wanted place the nearest mixture of the grid: places and parts."""
    members = [int(i) for i in palette.members]
    combos = np.array(list(combinations(members, size)), dtype=np.intp).reshape(-1, size)
    ratios = share_steps(size)
    power = strengths(palette.k)
    targets = _features(palette, palette.k[wanted], palette.s[wanted])
    forbidden = np.zeros((len(wanted), len(palette)), dtype=bool)
    for row, place in enumerate(wanted):
        forbidden[row, list(barred[place])] = True
    nearest = np.full(len(wanted), START_WITHIN**2)
    starts: dict[int, tuple[list[int], Floats]] = {}
    white = palette.white_index
    step = max(1, BATCH_MIXTURES // len(ratios))
    for first in range(0, len(combos), step):
        batch = combos[first : first + step]
        bar = forbidden[:, batch].any(axis=2)
        colours = ratios[None] / power[batch][:, None, :]
        for tint in whites:
            if size == 1 and tint == 0.0:
                continue
            parts = colours.reshape(-1, size)
            places = np.repeat(batch, len(ratios), axis=0)
            if tint and white is not None:
                parts = np.hstack((parts, np.full((len(parts), 1), tint)))
                places = np.hstack((places, np.full((len(places), 1), white)))
            share = parts / parts.sum(axis=1, keepdims=True)
            k = np.einsum("np,npw->nw", share, palette.k[places])
            s = np.einsum("np,npw->nw", share, palette.s[places])
            features = _features(palette, k, s)
            apart = (targets**2).sum(1)[:, None] - 2.0 * targets @ features.T + (features**2).sum(1)[None]
            apart[np.repeat(bar, len(ratios), axis=1)] = np.inf
            best = apart.argmin(axis=1)
            for row in np.flatnonzero(apart[np.arange(len(wanted)), best] < nearest).tolist():
                nearest[row] = apart[row, best[row]]
                starts[wanted[row]] = ([int(i) for i in places[best[row]]], parts[best[row]])
    return starts


def _features(palette: Palette, k: Floats, s: Floats) -> Floats:
    """Return L*, a*, b* of masstones and of 1:9 tints (n, 6)."""
    one, nine = TINT_PARTS
    white_k, white_s = tinting_white(palette)
    return np.hstack((lab_of(k, s), lab_of(one * k + nine * white_k, one * s + nine * white_s)))


def _refined(palette: Palette, place: int, places: list[int], parts: Floats) -> Match | None:
    """Improve the parts by damped least squares on their logarithms, then measure with CIEDE2000."""
    target = _features(palette, palette.k[[place]], palette.s[[place]])[0]
    k, s = palette.k[places], palette.s[places]

    def residuals(logs: Floats) -> Floats:
        share = np.exp(logs - logs.max(axis=-1, keepdims=True))
        share /= share.sum(axis=-1, keepdims=True)
        return np.asarray(_features(palette, share @ k, share @ s) - target)

    x = np.log(parts)
    r = residuals(x[None])[0]
    damping = 1.0
    for _ in range(REFINEMENTS):
        J = ((residuals(x + 1e-4 * np.eye(len(x))) - r) / 1e-4).T
        step = np.linalg.solve(J.T @ J + damping * np.eye(len(x)), -J.T @ r)
        trial = x + np.clip(step, -1.0, 1.0)
        r_trial = residuals(trial[None])[0]
        if r_trial @ r_trial < r @ r:
            x, r, damping = trial, r_trial, damping / 4.0
        else:
            damping *= 8.0
    share = np.exp(x - x.max())
    share /= share.sum()
    reached = r + target
    masstone, tint = (float(difference(reached[i : i + 3], target[i : i + 3])) for i in (0, 3))
    order = [int(i) for i in np.argsort(-share, kind="stable") if share[i] >= LEAST_PART]
    if len(order) < 2:
        return None
    lab = masstone_lab(share @ k, share @ s)
    mixture = Mixture(
        tuple(palette.ids[places[i]] for i in order),
        tuple(palette.names[places[i]] for i in order),
        tuple(float(share[i]) for i in order),
        (float(lab[0]), float(lab[1]), float(lab[2])),
    )
    return Match(mixture, masstone, tint)
