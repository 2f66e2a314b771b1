"""Films, hiding, glazes and tinting strength, against closed forms worked apart from this code."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.colour.appearance import cielab, weights
from inventory.colour.curves import Curve, Origin
from inventory.colour.kubelka_munk import hiding_thickness
from inventory.colour.layers import (
    OpacityClass,
    contrast_ratio_Y,
    film_lab,
    film_reflectance,
    glaze,
    ground_from_measured,
    ground_of,
    hiding_thickness_Y,
    luminance,
    opacity_of,
)
from inventory.colour.mixing import masstone_lab
from inventory.colour.strength import relative_strength, strength_of


def grey(K, S):
    return Curve(np.full(31, K), np.full(31, S), Origin.MEASURED)


@pytest.mark.parametrize(
    ("K", "S", "X", "ratio"),
    [
        (0.1, 1, 1, 0.647203),
        (0.02, 2, 2, 0.915348),
        (0.5, 0.2, 1, 0.328206),
        (0.02, 4, 3, 0.989325),
        (0.005, 8, 1, 0.964317),
    ],
)
def test_contrast_ratio_of_a_grey_is_the_closed_form(K, S, X, ratio):
    """Hyperbolic solution over black and a white of 0.80, without surface; equal at all wavelengths, so also in Y."""
    assert contrast_ratio_Y(grey(K, S), X, surface=False) == pytest.approx(ratio, abs=5e-7)


@pytest.mark.parametrize(("K", "S", "X"), [(0.02, 2, 4.08380), (0.1, 1, 4.13438), (0.005, 8, 1.40557)])
def test_hiding_thickness_of_a_grey_is_the_closed_form(K, S, X):
    """Contrast ratio 0.98 over a white of 0.80."""
    assert hiding_thickness_Y(grey(K, S), surface=False) == pytest.approx(X, abs=5e-6)
    assert hiding_thickness(K, S) == pytest.approx(X, abs=5e-6)


def test_the_surface_raises_the_ratio():
    """R over black 0.461034 and white 0.712347 become 0.03 + 0.388 R/(1 - 0.6 R): 0.277295 and 0.512669 by hand."""
    outside = [0.03 + 0.97 * 0.4 * R / (1 - 0.6 * R) for R in (0.461034, 0.712347)]
    assert contrast_ratio_Y(grey(0.1, 1.0), 1.0) == pytest.approx(outside[0] / outside[1], abs=1e-6)


def test_what_never_hides():
    """Without absorption and hardly scattering, a film of a million units still lets black show."""
    assert hiding_thickness_Y(grey(0.0, 1e-9), surface=False) is None


def test_luminance_is_the_middle_row():
    R = np.linspace(0.1, 0.9, 31)
    assert luminance(R) == pytest.approx(float(R @ weights()[1]))
    assert luminance(np.full((4, 31), 0.25)) == pytest.approx([0.25] * 4)


def test_a_glaze_lies_between_its_ground_and_itself(curve):
    top, under = curve("quinacridone magenta"), curve("Hansa yellow opaque")
    none = glaze(top, under, 1e-9)
    np.testing.assert_allclose(none, masstone_lab(under.k, under.s), atol=1e-4)
    np.testing.assert_allclose(glaze(top, under, 1e5), masstone_lab(top.k, top.s), atol=1e-6)
    # Common practice, no source: a magenta glaze turns yellow to orange and red, and darkens it.
    thin = glaze(top, under, 0.5)
    assert thin[0] < none[0]
    assert thin[1] > none[1]


def test_a_ground_may_be_measured(curve):
    under = curve("yellow ochre")
    outside = film_reflectance(under, 1e6, 0.0)
    np.testing.assert_allclose(ground_from_measured(outside), ground_of(under), atol=1e-9)
    np.testing.assert_allclose(film_lab(under, 1.0, ground_of(under)), cielab(outside), atol=1e-6)


@given(X=st.floats(0.01, 100.0), more=st.floats(1.01, 10.0))
def test_a_thicker_film_hides_better(X, more):
    paint = grey(0.3, 0.4)
    assert contrast_ratio_Y(paint, X) <= contrast_ratio_Y(paint, X * more) + 1e-12


# Common practice, no source: how these pigments are usually labelled.
@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("titanium white", "opaque"),
        ("cadmium red medium", "opaque"),
        ("red iron oxide", "opaque"),
        ("ultramarine blue", "transparent"),
        ("phthalo blue green shade", "transparent"),
        ("quinacridone magenta", "transparent"),
    ],
)
def test_opacity_class(curve, name, expected):
    answer = opacity_of(curve(name), expected)
    assert answer.opacity == expected
    assert answer.doubt is None


def test_a_label_that_says_otherwise_is_doubted(curve):
    answer = opacity_of(curve("cadmium red medium"), "Transparent")
    assert answer.doubt is not None
    assert "The label says transparent; by its curve a thin coat is opaque." in answer.doubt
    assert opacity_of(curve("cadmium red medium"), "semi-opaque").doubt is None
    assert opacity_of(curve("cadmium red medium"), "unknown").doubt is None
    assert [item.value for item in OpacityClass] == ["transparent", "semi-transparent", "semi-opaque", "opaque"]


def test_relative_strength():
    """(1.30 - 0.01) / (1.00 - 0.01) = 130.30 percent, taken where the standard absorbs most."""
    percent, place = relative_strength([0.2, 1.30, 0.4], [0.3, 1.00, 0.5], 0.01)
    assert percent == pytest.approx(130.30, abs=0.005)
    assert place == 1


def test_strength_of_curves(curve):
    blue, white = curve("ultramarine blue"), curve("titanium white")
    same = strength_of(blue, blue, white)
    assert same.percent == pytest.approx(100.0)
    assert same.text == "about as strong"
    assert same.wavelength == 600.0
    # Twice K and S: twice the absorption in a 1:9 tint, but for the little that the paint scatters.
    double = strength_of(Curve(2 * blue.k, 2 * blue.s, Origin.MEASURED), blue, white)
    assert double.percent == pytest.approx(200.0, abs=2.0)
    # Common practice, no source: phthalo blue is many times as strong as cerulean.
    phthalo = strength_of(curve("phthalo blue green shade"), curve("cerulean blue chromite"), white)
    assert phthalo.text == "much stronger"
    assert strength_of(curve("cerulean blue chromite"), blue, white).text in {"weaker", "much weaker"}


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: relative_strength([1.0, 2.0], [1.0]), "same wavelengths"),
        (lambda: relative_strength([np.nan], [1.0]), "finite"),
        (lambda: relative_strength([1.0], [0.01], 0.01), "no more than the white"),
        (lambda: contrast_ratio_Y(grey(1.0, 1.0), 1.0, white=0.0), "above 0 and at most 1, not 0"),
        (lambda: hiding_thickness_Y(grey(1.0, 1.0), ratio=1.0), "above 0 and below 1, not 1.0"),
        (lambda: film_lab(grey(1.0, 1.0), -1.0, 0.0), "X must be at least 0, not -1"),
        (lambda: ground_from_measured([0.01] * 31), "at least 0.03"),
    ],
)
def test_refused_input(call, words):
    with pytest.raises(ValueError, match=words):
        call()
