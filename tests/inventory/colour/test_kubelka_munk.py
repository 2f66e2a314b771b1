"""Closed forms: the expected values are arithmetic on the formula named beside them, worked apart from this code."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.colour.kubelka_munk import (
    contrast_ratio,
    film,
    hiding_thickness,
    k_over_s,
    reflectance_infinite,
    saunderson,
    saunderson_inverse,
)

fractions = st.floats(min_value=0.001, max_value=0.999)


@pytest.mark.parametrize(
    ("R", "expected"), [(0.04, 11.52), (0.1, 4.05), (0.2, 1.6), (0.5, 0.25), (0.8, 0.025), (0.95, 0.001316)]
)
def test_k_over_s(R, expected):
    """(1 - R)^2 / 2R."""
    assert k_over_s(R) == pytest.approx(expected, abs=5e-7)


@pytest.mark.parametrize(("x", "expected"), [(0.01, 0.868226), (0.25, 0.5), (1, 0.267949), (4.05, 0.1), (12, 0.038519)])
def test_reflectance_infinite(x, expected):
    """1 + x - sqrt(x^2 + 2x)."""
    assert reflectance_infinite(x) == pytest.approx(expected, abs=5e-7)


@pytest.mark.parametrize(
    ("k1", "k2", "inside", "outside"),
    [
        (0.03, 0.6, 0.0, 0.03),
        (0.03, 0.6, 0.05, 0.05),
        (0.03, 0.6, 0.5, 0.307143),
        (0.03, 0.6, 0.95, 0.887209),
        (0.04, 0.6, 0.0, 0.04),
        (0.04, 0.6, 0.05, 0.059794),
        (0.04, 0.6, 0.5, 0.314286),
        (0.04, 0.6, 0.95, 0.888372),
        (0.03, 0.65, 0.0, 0.03),
        (0.03, 0.65, 0.05, 0.047545),
        (0.03, 0.65, 0.5, 0.281481),
        (0.03, 0.65, 0.95, 0.873203),
    ],
)
def test_saunderson(k1, k2, inside, outside):
    """k1 + (1 - k1)(1 - k2) R / (1 - k2 R)."""
    assert saunderson(inside, k1, k2) == pytest.approx(outside, abs=5e-7)


@pytest.mark.parametrize(
    ("k1", "k2", "outside", "inside"),
    [
        (0.03, 0.6, 0.05, 0.05),
        (0.03, 0.6, 0.5, 0.701493),
        (0.03, 0.6, 0.9, 0.956044),
        (0.04, 0.6, 0.05, 0.025641),
        (0.04, 0.6, 0.5, 0.69697),
        (0.04, 0.6, 0.9, 0.955556),
        (0.03, 0.65, 0.05, 0.056738),
        (0.03, 0.65, 0.5, 0.728682),
        (0.03, 0.65, 0.9, 0.961326),
    ],
)
def test_saunderson_inverse(k1, k2, outside, inside):
    assert saunderson_inverse(outside, k1, k2) == pytest.approx(inside, abs=5e-7)


@pytest.mark.parametrize(
    ("K", "S", "X", "over_black", "over_white", "ratio"),
    [
        (0.1, 1, 1, 0.461034, 0.712347, 0.647203),
        (0.02, 2, 2, 0.777458, 0.849358, 0.915348),
        (0.5, 0.2, 1, 0.108361, 0.330161, 0.328206),
        (0.02, 4, 3, 0.888859, 0.898450, 0.989325),
        (0.005, 8, 1, 0.885785, 0.918562, 0.964317),
    ],
)
def test_film_and_contrast_ratio(K, S, X, over_black, over_white, ratio):
    """Hyperbolic solution over black and over a white of 0.80, without surface correction."""
    assert film(K, S, X, 0.0) == pytest.approx(over_black, abs=5e-7)
    assert film(K, S, X, 0.8) == pytest.approx(over_white, abs=5e-7)
    assert contrast_ratio(K, S, X) == pytest.approx(ratio, abs=5e-7)


@pytest.mark.parametrize(("K", "S", "X"), [(0.02, 2, 4.08380), (0.1, 1, 4.13438), (0.005, 8, 1.40557)])
def test_thickness_that_hides(K, S, X):
    """Contrast ratio 0.98 over a white of 0.80."""
    assert hiding_thickness(K, S) == pytest.approx(X, abs=5e-6)


def test_tinting_strength_is_a_ratio_of_absorption():
    """Same dilution in the same white: (1.30 - 0.01) / (1.00 - 0.01) = 130.30 percent."""
    test, standard, white = (k_over_s(reflectance_infinite(x)) for x in (1.30, 1.00, 0.01))
    assert 100 * (test - white) / (standard - white) == pytest.approx(130.30, abs=0.005)


def test_scattering_from_a_masstone_and_a_tint():
    """S = (1 - c)(Qt - Kw) / (c (Qm - Qt)) with c = 0.2, Qm = 20, Qt = 0.488780, Kw = 0.001 gives S = 0.1, K = 2."""
    Q_mass, Q_tint = 20.0, k_over_s(reflectance_infinite(0.2 * 2 + 0.8 * 0.001, 0.2 * 0.1 + 0.8 * 1.0))
    assert Q_tint == pytest.approx(0.48878, abs=5e-7)
    S = 0.8 * (Q_tint - 0.001) / (0.2 * (Q_mass - Q_tint))
    assert pytest.approx(0.1, abs=5e-7) == S
    assert Q_mass * S == pytest.approx(2.0, abs=5e-6)


@given(R=fractions)
def test_k_over_s_and_back(R):
    assert reflectance_infinite(k_over_s(R)) == pytest.approx(R, rel=1e-9)


@given(R=fractions)
def test_surface_and_back(R):
    assert saunderson_inverse(saunderson(R)) == pytest.approx(R, rel=1e-9)


@given(
    K=st.floats(0.0, 50.0),
    S=st.floats(1e-4, 50.0),
    X=st.floats(0.0, 100.0),
    ground=st.floats(0.0, 1.0),
)
def test_a_film_lies_between_its_ground_and_complete_hiding(K, S, X, ground):
    R, hidden = float(film(K, S, X, ground)), float(reflectance_infinite(K, S))
    assert min(ground, hidden) - 1e-9 <= R <= max(ground, hidden) + 1e-9


def test_edges():
    assert film(0.3, 1.0, 0.0, 0.42) == pytest.approx(0.42)
    assert film(0.0, 1.0, 1.0, 0.0) == pytest.approx(0.5)
    assert film(2.0, 0.1, 1e6, 0.8) == pytest.approx(float(reflectance_infinite(2.0, 0.1)))
    assert np.all(film(np.zeros((3, 1)), 1.0, 1.0, np.zeros(4)).shape == np.array([3, 4]))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: k_over_s(0.0), "reflectance must be above 0 and at most 1, not 0"),
        (lambda: k_over_s(float("nan")), "not nan"),
        (lambda: reflectance_infinite(-1.0), "K must be at least 0, not -1"),
        (lambda: reflectance_infinite(1.0, 0.0), "S must be above 0, not 0"),
        (lambda: saunderson(1.2), "at most 1, not 1.2"),
        (lambda: saunderson(0.5, k1=1.0), "k1 must be at least 0 and below 1, not 1.0"),
        (lambda: saunderson_inverse(0.02), "reflectance must be at least 0.03"),
        (lambda: film(1.0, 1.0, -1.0, 0.0), "X must be at least 0, not -1"),
        (lambda: hiding_thickness(1.0, 1.0, ratio=1.0), "ratio must be above 0 and below 1, not 1.0"),
    ],
)
def test_refused_input(call, words):
    with pytest.raises(ValueError, match=words):
        call()
