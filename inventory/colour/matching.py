"""Matching: parts of other paints that come nearest to a paint, alone and tinted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
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
from inventory.colour.steps import Steps

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
# With more colours than this, a paint is looked for only in triples of the TRIPLE_POOL colours nearest to it in pairs.
WHOLE_UP_TO = 24
TRIPLE_POOL = 10


@dataclass(frozen=True)
class Match:
    """A mixture and its CIEDE2000 to the paint, alone and as a 1:9 tint."""

    mixture: Mixture
    masstone_difference: float
    tint_difference: float

    @property
    def worst(self) -> float:
        return max(self.masstone_difference, self.tint_difference)


def match_steps(palette: Palette, barred: Sequence[Collection[int]], *, within: float) -> Steps[dict[int, Match]]:
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
    steps of some hundredths of a second, at last a dict of place to Match
        Only the paints that can be mixed.
    """
    found: dict[int, Match] = {}
    white = palette.white_index
    members = [int(i) for i in palette.members]
    pools: dict[int, list[int]] = {}
    for size in (1, 2, 3):
        wanted = [place for place in members if place not in found]
        if not wanted:
            break
        if size == 3 and len(members) > WHOLE_UP_TO:
            pooled = {combo for place in wanted for combo in combinations(sorted(pools.get(place, ())), 3)}
            combos = np.array(sorted(pooled), dtype=np.intp).reshape(-1, 3)
        else:
            combos = np.array(list(combinations(members, size)), dtype=np.intp).reshape(-1, size)
        whites = (0.0,) if white is None or size == 3 else WHITE_TRIED
        search = _Search(palette, wanted, barred, whites)
        for share in search.through(combos):
            yield (size - 1 + share) / 3.0
        for place, start in search.starts.items():
            match = _refined(palette, place, *start)
            if match is not None and match.worst <= within:
                found[place] = match
            yield size / 3.0
        if size == 2:
            pools = search.pools()
    return found


def tinting_white(palette: Palette) -> tuple[Floats, Floats]:
    """Return absorption and scattering (31,) of the strongest white, or of an ideal one (0 and 1) if there is none."""
    white = palette.white_index
    if white is None:
        return np.zeros(palette.k.shape[1]), np.ones(palette.s.shape[1])
    return palette.k[white], palette.s[white]


class _Search:
    """For each wanted place the nearest mixture of a grid: `starts` holds its places and parts."""

    def __init__(
        self, palette: Palette, wanted: list[int], barred: Sequence[Collection[int]], whites: tuple[float, ...]
    ) -> None:
        self.palette, self.wanted, self.whites = palette, wanted, whites
        self.starts: dict[int, tuple[list[int], Floats]] = {}
        self._nearest = np.full(len(wanted), START_WITHIN**2)
        self._targets = _features(palette, palette.k[wanted], palette.s[wanted])
        self._forbidden = np.zeros((len(wanted), len(palette)), dtype=bool)
        for row, place in enumerate(wanted):
            self._forbidden[row, list(barred[place])] = True
        # Per wanted place, how near a combination with each paint comes.
        self._with = np.full((len(wanted), len(palette)), np.inf)

    def through(self, combos: Ints) -> Iterator[float]:
        """Work combinations (c, size) in batches and yield the share done."""
        if not len(combos):
            return
        ratios = share_steps(combos.shape[1])
        step = max(1, BATCH_MIXTURES // len(ratios))
        for first in range(0, len(combos), step):
            batch = combos[first : first + step]
            for tint in self.whites:
                if combos.shape[1] > 1 or tint:
                    self._batch(batch, ratios, tint)
            yield min(1.0, (first + step) / len(combos))

    def pools(self) -> dict[int, list[int]]:
        """The paints whose combinations come nearest to each wanted place."""
        order = np.argsort(self._with, axis=1, kind="stable")[:, :TRIPLE_POOL]
        return {
            place: [int(i) for i in order[row] if np.isfinite(self._with[row, i])]
            for row, place in enumerate(self.wanted)
        }

    def _batch(self, batch: Ints, ratios: Floats, tint: float) -> None:
        palette, size, white = self.palette, batch.shape[1], self.palette.white_index
        bar = self._forbidden[:, batch].any(axis=2)
        parts = (ratios[None] / strengths(palette.k)[batch][:, None, :]).reshape(-1, size)
        places = np.repeat(batch, len(ratios), axis=0)
        if tint and white is not None:
            parts = np.hstack((parts, np.full((len(parts), 1), tint)))
            places = np.hstack((places, np.full((len(places), 1), white)))
        share = parts / parts.sum(axis=1, keepdims=True)
        k = np.einsum("np,npw->nw", share, palette.k[places])
        s = np.einsum("np,npw->nw", share, palette.s[places])
        features = _features(palette, k, s)
        targets = self._targets
        apart = (targets**2).sum(1)[:, None] - 2.0 * targets @ features.T + (features**2).sum(1)[None]
        apart[np.repeat(bar, len(ratios), axis=1)] = np.inf
        if size == 2:
            of_combo = apart.reshape(len(targets), len(batch), len(ratios)).min(axis=2)
            for slot in range(size):
                np.minimum.at(self._with.T, batch[:, slot], of_combo.T)
        best = apart.argmin(axis=1)
        for row in np.flatnonzero(apart[np.arange(len(targets)), best] < self._nearest).tolist():
            self._nearest[row] = apart[row, best[row]]
            self.starts[self.wanted[row]] = ([int(i) for i in places[best[row]]], parts[best[row]])


def _features(palette: Palette, k: Floats, s: Floats) -> Floats:
    """Return L*, a*, b* of masstones and of 1:9 tints (n, 6)."""
    return _both(k, s, *tinting_white(palette))


def _both(k: Floats, s: Floats, white_k: Floats, white_s: Floats) -> Floats:
    """Return L*, a*, b* of masstones and of 1:9 tints (n, 6), of curves (n, 31) with whites that fit them."""
    one, nine = TINT_PARTS
    return np.hstack((lab_of(k, s), lab_of(one * k + nine * white_k, one * s + nine * white_s)))


def nearest_parts(
    own: tuple[Floats, Floats],
    others: tuple[Floats, Floats],
    white: tuple[Floats, Floats],
    parts: Floats,
    *,
    refinements: int = REFINEMENTS,
) -> tuple[Floats, Floats, Floats]:
    """Return the shares of other paints that come nearest to a paint, alone and tinted, for d cases at once.

    Damped least squares on the logarithms of the parts, each case with a damping of its own.

    Parameters
    ----------
    own : two of ndarray (d, 31)
        Absorption and scattering of the paint.
    others : two of ndarray (d, n, 31)
        The same of the paints that are mixed.
    white : two of ndarray (d, 31)
        The same of the white of tints.
    parts : ndarray (n,)
        Where to start from, each above 0.

    Returns
    -------
    shares : ndarray (d, n), masstone : ndarray (d,), tint : ndarray (d,)
        The shares, and the CIEDE2000 that is left alone and as a 1:9 tint.
    """
    k, s = others
    cases, n = k.shape[:2]
    target = _both(*own, *white)

    def shares_of(logs: Floats) -> Floats:
        share = np.exp(logs - logs.max(axis=-1, keepdims=True))
        return np.asarray(share / share.sum(axis=-1, keepdims=True))

    def residuals(logs: Floats) -> Floats:
        """Return (d, m, 6) of logarithms (d, m, n)."""
        share = shares_of(logs)
        tried = share.shape[1]
        ground = [np.repeat(values, tried, axis=0) for values in white]
        flat = [(share @ values).reshape(cases * tried, -1) for values in (k, s)]
        return np.asarray(_both(*flat, *ground).reshape(cases, tried, 6) - target[:, None])

    x = np.tile(np.log(parts), (cases, 1))
    r = residuals(x[:, None])[:, 0]
    damping = np.ones(cases)
    for _ in range(refinements):
        J = ((residuals(x[:, None] + 1e-4 * np.eye(n)) - r[:, None]) / 1e-4).transpose(0, 2, 1)
        A = J.transpose(0, 2, 1) @ J + damping[:, None, None] * np.eye(n)
        step = np.linalg.solve(A, -np.einsum("dfn,df->dn", J, r)[..., None])[..., 0]
        trial = x + np.clip(step, -1.0, 1.0)
        r_trial = residuals(trial[:, None])[:, 0]
        better = (r_trial**2).sum(axis=1) < (r**2).sum(axis=1)
        x[better], r[better] = trial[better], r_trial[better]
        damping = np.where(better, damping / 4.0, damping * 8.0)
    reached = r + target
    alone, tinted = (difference(reached[:, i : i + 3], target[:, i : i + 3]) for i in (0, 3))
    return shares_of(x), alone, tinted


def _refined(palette: Palette, place: int, places: list[int], parts: Floats) -> Match | None:
    """Improve the parts of a start, then measure with CIEDE2000."""
    k, s = palette.k[places], palette.s[places]
    white_k, white_s = tinting_white(palette)
    own = (palette.k[[place]], palette.s[[place]])
    shares, alone, tinted = nearest_parts(own, (k[None], s[None]), (white_k[None], white_s[None]), parts)
    share, masstone, tint = shares[0], float(alone[0]), float(tinted[0])
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
