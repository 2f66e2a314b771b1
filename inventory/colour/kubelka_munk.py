"""Kubelka-Munk theory: how a paint layer's absorption K and scattering S become reflectance.

All reflectances are fractions (1 is the perfect diffuser). K and S are per unit of thickness, in the unit in which
titanium white scatters 1, so a thickness X is in the reciprocal of that unit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Reflection at the surface of a paint film with refractive index about 1.5: k1 from outside, k2 from inside.
# 0.6 is the value for diffuse light in Saunderson (1942); k1 of 0.03 leaves out part of the specular reflection.
K1 = 0.03
K2 = 0.60


def k_over_s(reflectance: ArrayLike) -> Floats:
    """Return K/S of a completely hiding layer from its internal reflectance.

    Parameters
    ----------
    reflectance : array_like, any shape
        Internal reflectance, above 0 and at most 1.

    Returns
    -------
    ndarray, the shape of `reflectance`
        (1 - R)^2 / (2 R).

    Raises
    ------
    ValueError
        If any reflectance is outside (0, 1] or not a number.

    References
    ----------
    P. Kubelka and F. Munk, 1931, Zeitschrift für technische Physik 12, 593-601.
    """
    R = _within(reflectance, "reflectance", above=0.0, most=1.0)
    return np.asarray((1.0 - R) ** 2 / (2.0 * R))


def reflectance_infinite(K: ArrayLike, S: ArrayLike = 1.0) -> Floats:
    """Return the internal reflectance of a completely hiding layer.

    Parameters
    ----------
    K : array_like
        Absorption, 0 or more.
    S : array_like, broadcastable with `K`
        Scattering, above 0; left at 1, `K` is K/S.

    Returns
    -------
    ndarray, the broadcast shape
        1 + K/S - sqrt((K/S)^2 + 2 K/S), worked as 1/(1 + x + sqrt(x^2 + 2x)) so that dark paints keep their digits.

    Raises
    ------
    ValueError
        If any K is negative, any S is not above 0, or any is not a number.
    """
    x = _within(K, "K", least=0.0) / _within(S, "S", above=0.0)
    return np.asarray(1.0 / (1.0 + x + np.sqrt(x * (x + 2.0))))


def saunderson(reflectance: ArrayLike, k1: float = K1, k2: float = K2) -> Floats:
    """Return the reflectance measured outside the surface (specular included) from the internal one.

    Parameters
    ----------
    reflectance : array_like, any shape
        Internal reflectance, 0 to 1.
    k1, k2 : float
        Reflection of the surface from outside and from inside, at least 0 and below 1.

    Returns
    -------
    ndarray, the shape of `reflectance`
        k1 + (1 - k1)(1 - k2) R / (1 - k2 R).

    Raises
    ------
    ValueError
        If a reflectance or a surface constant is out of range.

    References
    ----------
    J. L. Saunderson, 1942, Journal of the Optical Society of America 32, 727-736.
    """
    _check_surface(k1, k2)
    R = _within(reflectance, "reflectance", least=0.0, most=1.0)
    return np.asarray(k1 + (1.0 - k1) * (1.0 - k2) * R / (1.0 - k2 * R))


def saunderson_inverse(reflectance: ArrayLike, k1: float = K1, k2: float = K2) -> Floats:
    """Return the internal reflectance from the one measured outside: the inverse of `saunderson`.

    Parameters
    ----------
    reflectance : array_like, any shape
        Measured reflectance, `k1` to 1.
    k1, k2 : float
        As for `saunderson`.

    Raises
    ------
    ValueError
        If a reflectance is below `k1` (less light than the surface alone gives back) or above 1.
    """
    _check_surface(k1, k2)
    R = _within(reflectance, "reflectance", least=k1, most=1.0)
    return np.asarray((R - k1) / ((1.0 - k1) * (1.0 - k2) + k2 * (R - k1)))


def film(K: ArrayLike, S: ArrayLike, X: ArrayLike, Rg: ArrayLike) -> Floats:
    """Return the internal reflectance of a layer of thickness X over a ground (hyperbolic solution).

    Parameters
    ----------
    K, S : array_like
        Absorption (0 or more) and scattering (above 0) per unit of thickness.
    X : array_like
        Thickness, 0 or more.
    Rg : array_like
        Reflectance of the ground, 0 to 1.

    Returns
    -------
    ndarray, the broadcast shape
        (1 - Rg (a - b coth bSX)) / (a - Rg + b coth bSX), a = 1 + K/S, b = sqrt(a^2 - 1).

    Raises
    ------
    ValueError
        If any value is out of range.

    References
    ----------
    P. Kubelka, 1948, Journal of the Optical Society of America 38, 448-457.
    """
    K_, S_ = _within(K, "K", least=0.0), _within(S, "S", above=0.0)
    X_, ground = _within(X, "X", least=0.0), _within(Rg, "Rg", least=0.0, most=1.0)
    x = K_ / S_
    a, b = 1.0 + x, np.sqrt(x * (x + 2.0))
    SX = S_ * X_
    # Multiplied through by tanh(bSX)/b, which tends to SX for no absorption and to 0 for no thickness.
    with np.errstate(invalid="ignore", divide="ignore"):
        t = np.where(b * SX > 1e-9, np.tanh(b * SX) / b, SX)
    return np.asarray((t + ground * (1.0 - a * t)) / (1.0 + (a - ground) * t))


def contrast_ratio(K: ArrayLike, S: ArrayLike, X: ArrayLike, white: float = 0.80) -> Floats:
    """Return the reflectance over black divided by that over a white ground, both internal.

    Parameters
    ----------
    K, S, X : array_like
        As for `film`.
    white : float
        Reflectance of the white ground, above 0 to 1.

    Returns
    -------
    ndarray, the broadcast shape
        0 for a clear film, 1 for complete hiding.
    """
    _within(white, "white", above=0.0, most=1.0)
    return np.asarray(film(K, S, X, 0.0) / film(K, S, X, white))


def hiding_thickness(K: float, S: float, ratio: float = 0.98, white: float = 0.80) -> float:
    """Return the thickness at which the contrast ratio reaches `ratio`.

    Parameters
    ----------
    K, S : float
        Absorption (0 or more) and scattering (above 0) per unit of thickness.
    ratio : float
        The contrast ratio that counts as hiding, above 0 and below 1.
    white : float
        Reflectance of the white ground.

    Raises
    ------
    ValueError
        If a value is out of range.

    References
    ----------
    From the solution for reflectance over black, X = arcoth((1 - a RB) / (b RB)) / (bS), with RB found by bisection
    on the contrast ratio, which rises with thickness.
    """
    if not 0.0 < ratio < 1.0:
        raise ValueError(f"ratio must be above 0 and below 1, not {ratio}")
    upper = 1.0
    while contrast_ratio(K, S, upper, white) < ratio:
        upper *= 2.0
    lower = 0.0
    for _ in range(80):
        middle = (lower + upper) / 2.0
        if contrast_ratio(K, S, middle, white) < ratio:
            lower = middle
        else:
            upper = middle
    return upper


def _check_surface(k1: float, k2: float) -> None:
    for name, value in (("k1", k1), ("k2", k2)):
        if not 0.0 <= value < 1.0:
            raise ValueError(f"{name} must be at least 0 and below 1, not {value}")


def _within(
    values: ArrayLike, name: str, *, above: float | None = None, least: float | None = None, most: float | None = None
) -> Floats:
    array = np.asarray(values, dtype=np.float64)
    wrong = ~np.isfinite(array)
    limits = []
    if above is not None:
        wrong |= array <= above
        limits.append(f"above {above:g}")
    if least is not None:
        wrong |= array < least
        limits.append(f"at least {least:g}")
    if most is not None:
        wrong |= array > most
        limits.append(f"at most {most:g}")
    if wrong.any():
        raise ValueError(f"{name} must be {' and '.join(limits)}, not {array[wrong].flat[0]:g}; correct that value")
    return array
