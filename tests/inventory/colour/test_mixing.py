"""Mixtures, the drawdown card and what the trade knows of them."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inventory.colour.appearance import chroma, hue_angle
from inventory.colour.curves import Curve, Origin, from_bands
from inventory.colour.drawdown import swatch
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import masstone_lab, mix, mixture_lab
from inventory.colour.reach import reach

absorptions = st.lists(st.floats(1e-4, 10.0), min_size=31, max_size=31).map(np.array)
scatterings = st.lists(st.floats(1e-3, 5.0), min_size=31, max_size=31).map(np.array)


def test_two_constant_mixture():
    """K 2, S 0.1 at 0.2 and a white K 0.001, S 1 at 0.8: K/S 0.488780, R 0.385845; worked apart from this code."""
    K, S = mix([[2.0], [0.001]], [[0.1], [1.0]], [0.2, 0.8])
    assert K[0] / S[0] == pytest.approx(0.488780, abs=5e-7)
    assert reflectance_infinite(K, S)[0] == pytest.approx(0.385845, abs=5e-7)


@given(k=absorptions, s=scatterings, a=st.floats(0.01, 100.0), b=st.floats(0.01, 100.0))
def test_a_paint_mixed_with_itself_stays_the_same(k, s, a, b):
    np.testing.assert_allclose(mixture_lab([k, k], [s, s], [a, b]), masstone_lab(k, s), atol=1e-9)


@given(k=absorptions, s=scatterings, k2=absorptions, s2=scatterings, part=st.floats(0.0, 1.0))
def test_order_and_unit_of_parts_do_not_matter(k, s, k2, s2, part):
    one = mixture_lab([k, k2], [s, s2], [part, 1.0 - part])
    np.testing.assert_allclose(mixture_lab([k2, k], [s2, s], [37 * (1.0 - part), 37 * part]), one, atol=1e-8)


@given(k=absorptions, s=scatterings)
def test_reflectance_is_a_fraction(k, s):
    R = saunderson(reflectance_infinite(k, s))
    assert ((R > 0.0) & (R < 1.0)).all()


def test_any_leading_shape(palette):
    paints = palette("ultramarine blue", "titanium white")
    parts = np.random.default_rng(1).random((2, 3, 4, 2))
    lab = mixture_lab(paints.k, paints.s, parts)
    assert lab.shape == (2, 3, 4, 3)
    np.testing.assert_allclose(lab[1, 2, 3], mixture_lab(paints.k, paints.s, parts[1, 2, 3]))


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ([1.0], "parts must end in 2 values"),
        ([1.0, -1.0], "parts must be 0 or more, not -1"),
        ([1.0, np.nan], "not nan"),
        ([0.0, 0.0], "needs a part above 0"),
    ],
)
def test_refused_parts(palette, parts, words):
    paints = palette("ultramarine blue", "titanium white")
    with pytest.raises(ValueError, match=words):
        mix(paints.k, paints.s, parts)


def test_refused_shapes():
    with pytest.raises(ValueError, match=r"k and s must both be \(paints, wavelengths\)"):
        mix(np.ones((2, 31)), np.ones((3, 31)), [1, 1])


# Facts of the trade: common practice, no source. The curves are typical ones, from memory.


def violet(palette, red):
    """Chroma at L* 50 and hue 320 of ultramarine, a red and white."""
    return reach(palette("ultramarine blue", red, "titanium white")).chroma[3, 32]


@pytest.mark.parametrize("warm", ["naphthol red 112", "naphthol red 5", "pyrrole red"])
def test_a_cool_red_makes_the_more_vivid_violet(palette, warm):
    assert violet(palette, "quinacridone magenta") >= 1.3 * violet(palette, warm)


def test_white_in_ultramarine_raises_lightness_and_chroma_then_falls(palette):
    paints = palette("ultramarine blue", "titanium white")
    lab = mixture_lab(paints.k, paints.s, [[1.0, 0.0], [0.8, 0.2], [0.5, 0.5], [0.1, 0.9]])
    assert (np.diff(lab[:, 0]) > 0.0).all()
    heights = chroma(lab)
    assert heights[1] > heights[0]
    assert heights[1] > heights[3]


@given(data=st.data())
def test_more_white_never_lowers_the_lightness_of_a_dark_paint(rows, data):
    """Each band's K/S is a mean of the two, so it moves toward the white's whatever the paint is."""
    white = from_bands(next(row for row in rows if row.name == "titanium white"))
    paint = from_bands(data.draw(st.sampled_from(rows)))
    assume(masstone_lab(paint.k, paint.s)[0] < 60.0)
    less, more = sorted(data.draw(st.tuples(st.floats(0.0, 50.0), st.floats(0.0, 50.0))))
    curves = (np.stack((paint.k, white.k)), np.stack((paint.s, white.s)))
    lightness = [mixture_lab(*curves, (1.0, parts))[0] for parts in (less, more)]
    assert lightness[1] >= lightness[0] - 1e-9


def test_every_typical_curve_absorbs_and_scatters(rows):
    for row in rows:
        curve = from_bands(row)
        assert (curve.k > 0.0).all()
        assert (curve.s > 0.0).all()
        R = saunderson(reflectance_infinite(curve.k, curve.s))
        assert ((R > 0.0) & (R < 1.0)).all()


def test_blue_lowers_and_white_raises_the_lightness_of_a_green(palette):
    paints = palette("chromium oxide green", "ultramarine blue", "titanium white")
    alone, with_blue, with_white = mixture_lab(paints.k, paints.s, [[1.0, 0.0, 0.0], [0.9, 0.1, 0.0], [0.9, 0.0, 0.1]])[
        :, 0
    ]
    assert with_blue < alone < with_white


@pytest.mark.parametrize("name", ["cerulean blue chromite", "cerulean blue stannate", "manganese blue"])
def test_a_green_blue_is_greener_than_ultramarine_and_cobalt_blue(palette, name):
    """In masstone and, by less, in the tint; it stays a blue (Munsell blue is about 215 to 265 degrees)."""
    paints = palette(name, "ultramarine blue", "cobalt blue", "titanium white")
    cerulean, ultramarine, cobalt, _ = hue_angle(paints.masstones)
    assert 215.0 <= cerulean <= min(ultramarine - 40.0, cobalt - 30.0)
    tints = hue_angle(mixture_lab(paints.k, paints.s, np.eye(4)[:3] + 9.0 * np.eye(4)[3]))
    assert tints[0] <= tints[1:].min() - 15.0


@pytest.mark.parametrize(
    "name", ["cobalt green", "cobalt titanate green", "cobalt chromite green", "malachite", "green earth", "viridian"]
)
def test_a_green_paint_is_green_alone_and_in_white(palette, name):
    """135 to 185 degrees is where Munsell's green lies in CIELAB."""
    paints = palette(name, "titanium white")
    assert (abs(hue_angle(mixture_lab(paints.k, paints.s, [[1.0, 0.0], [1.0, 9.0]])) - 160.0) <= 25.0).all()


@pytest.mark.parametrize(
    "names",
    [
        ("quinacridone gold", "quinacridone burnt orange", "quinacridone scarlet", "quinacridone red",
         "quinacridone red gamma", "quinacridone magenta", "quinacridone violet beta"),
        ("chromium oxide green", "viridian", "phthalo green blue shade", "manganese blue", "ultramarine blue"),
    ],
)  # fmt: skip
def test_tints_stand_in_the_order_that_painters_know(palette, names):
    """From yellow to violet, and from yellow-green to blue."""
    paints = palette(*names, "titanium white")
    mixed = mixture_lab(paints.k, paints.s, np.eye(len(names) + 1)[:-1] + 9.0 * np.eye(len(names) + 1)[-1])
    turned = np.diff(hue_angle(mixed), prepend=hue_angle(mixed)[:1])
    steps = (turned[1:] + 180.0) % 360.0 - 180.0
    assert (steps < -5.0).all() or (steps > 5.0).all()


def test_a_turquoise_lies_between_the_green_and_the_blue_of_cobalt(palette):
    green, turquoise, blue = hue_angle(palette("cobalt green", "cobalt titanate turquoise", "cobalt blue").masstones)
    assert green + 15.0 <= turquoise <= blue - 40.0


@pytest.mark.parametrize("name", ["cadmium orange", "benzimidazolone orange 62"])
def test_an_orange_paint_is_orange(palette, name):
    """Common practice, no source; 45 to 79 degrees is where Munsell's yellow-red lies in CIELAB."""
    assert 45.0 <= hue_angle(palette(name).masstones)[0] <= 79.0


@pytest.mark.parametrize("name", ["pyrrole orange", "perinone orange"])
def test_a_reddish_orange_lies_between_red_and_orange(palette, name):
    """Common practice, no source."""
    red, orange, yellower = hue_angle(palette("pyrrole red", name, "cadmium orange").masstones)
    assert red + 8.0 <= orange <= yellower


def test_dioxazine_with_white_is_vivid_violet(palette):
    assert reach(palette("dioxazine violet", "titanium white")).chroma[3, 28:32].max() >= 30.0


def test_phthalo_blue_green_shade_turns_toward_green_with_white(palette):
    paints = palette("phthalo blue green shade", "titanium white")
    assert hue_angle(mixture_lab(paints.k, paints.s, [0.2, 0.8])) <= 255.0


def test_yellow_and_ultramarine_make_green(palette):
    paints = palette("Hansa yellow opaque", "ultramarine blue")
    part = np.linspace(0.0, 1.0, 101)
    lab = mixture_lab(paints.k, paints.s, np.column_stack((part, 1.0 - part)))
    green = (hue_angle(lab) >= 120.0) & (hue_angle(lab) <= 200.0)
    assert chroma(lab[green]).max() >= 15.0


@pytest.mark.parametrize(
    "name",
    [
        "ultramarine blue", "phthalo blue green shade", "phthalo green blue shade", "quinacridone magenta",
        "alizarin crimson", "viridian", "nickel azo yellow", "transparent red oxide",
    ],
)  # fmt: skip
def test_transparent_paints(curve, name):
    assert swatch(curve(name), None).transparent is True


@pytest.mark.parametrize(
    "name",
    ["titanium white", "cadmium red medium", "cadmium yellow medium", "chromium oxide green", "red iron oxide"],
)
def test_opaque_paints(curve, name):
    assert swatch(curve(name), None).transparent is False


def test_the_drawdown_card(curve):
    blue, white = curve("ultramarine blue"), curve("titanium white")
    card = swatch(blue, white)
    assert card.estimated
    assert card.tint is not None
    np.testing.assert_allclose(card.tint.lab, mixture_lab([blue.k, white.k], [blue.s, white.s], [1, 9]))
    assert card.over_black.lab[0] < card.masstone.lab[0] < card.tint.lab[0]
    assert card.masstone.hex.startswith("#")
    assert swatch(blue, None).tint is None
    assert not swatch(Curve(blue.k, blue.s, Origin.MEASURED), None).estimated


@settings(max_examples=25)
@given(k=absorptions, s=scatterings)
def test_any_curve_has_a_card(k, s):
    card = swatch(Curve(k, s, Origin.MEASURED), None)
    assert 0.0 < card.over_black.lab[0] <= 100.0
