"""Mixtures: absorption and scattering add by parts (two-constant Kubelka-Munk theory)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import cielab
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson

Floats = NDArray[np.float64]


def mix(k: ArrayLike, s: ArrayLike, parts: ArrayLike) -> tuple[Floats, Floats]:
    """Return absorption and scattering of mixtures.

    Parameters
    ----------
    k, s : array_like, shape (n, w)
        Absorption (0 or more) and scattering (above 0) of n paints at w wavelengths.
    parts : array_like, shape (..., n)
        Parts of each paint, 0 or more; each mixture needs one part above 0. The unit does not matter.

    Returns
    -------
    tuple of two ndarrays, each of shape (..., w)
        K and S, the means weighted by parts.

    Raises
    ------
    ValueError
        If the shapes do not agree, a part is negative or not a number, or a mixture has no part above 0.

    References
    ----------
    D. R. Duncan, 1940, Proceedings of the Physical Society 52, 390-401.
    """
    K, S, share = _curves(k, s, parts)
    total = share.sum(axis=-1, keepdims=True)
    if not (total > 0.0).all():
        raise ValueError("every mixture needs a part above 0; one has none")
    share = share / total
    return share @ K, share @ S


def mixture_lab(k: ArrayLike, s: ArrayLike, parts: ArrayLike) -> Floats:
    """Return CIELAB (..., 3) of completely hiding mixtures; arguments as for `mix` with 31 wavelengths."""
    K, S = mix(k, s, parts)
    return cielab(saunderson(reflectance_infinite(K, S)))


def masstone_lab(k: ArrayLike, s: ArrayLike) -> Floats:
    """Return CIELAB (..., 3) of completely hiding layers with absorption and scattering (..., 31)."""
    return cielab(saunderson(reflectance_infinite(k, s)))


def _curves(k: ArrayLike, s: ArrayLike, parts: ArrayLike) -> tuple[Floats, Floats, Floats]:
    K, S, share = (np.asarray(values, dtype=np.float64) for values in (k, s, parts))
    if K.ndim != 2 or K.shape != S.shape:
        raise ValueError(f"k and s must both be (paints, wavelengths), not {K.shape} and {S.shape}")
    if share.ndim == 0 or share.shape[-1] != K.shape[0]:
        raise ValueError(f"parts must end in {K.shape[0]} values, one for each paint, not the shape {share.shape}")
    if not (np.isfinite(share) & (share >= 0.0)).all():
        wrong = share[~(np.isfinite(share) & (share >= 0.0))].flat[0]
        raise ValueError(f"parts must be 0 or more, not {wrong:g}; correct that part")
    return K, S, share
