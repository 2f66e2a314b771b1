"""Stated colours, against the Munsell renotation, measured reflectances and worked conversions."""

import math
import re

import numpy as np
import pytest

from inventory.colour.appearance import (
    cielab,
    colour_science,
    difference,
    lab_from_relative_xyz,
    srgb,
)
from inventory.colour.viewing import Viewing, weights_under
from inventory.labels.doubts import Severity
from inventory.measuring import munsell
from inventory.measuring.colours import Notation, read_colour
from inventory.measuring.viewing import (
    Illuminant,
    Observer,
    relative_xyz,
    smoothest_reflectance,
    to_d65_10,
    viewing_of,
)

# Newhall, Nickerson and Judd, 1943, Journal of the Optical Society of America 33, 385-418: x, y for illuminant C and
# the 2 degree observer; Y by the value function of ASTM D1535, relative to the perfect diffuser.
RENOTATION = [
    ("5R 4/14", 0.5734, 0.3057, 11.7008),
    ("5YR 6/12", 0.5199, 0.4119, 29.3012),
    ("5Y 8/12", 0.4562, 0.4788, 57.6196),
    ("5G 5/10", 0.2329, 0.4331, 19.2718),
    ("5PB 3/10", 0.1718, 0.1562, 6.3912),
    ("5P 3/10", 0.2772, 0.1707, 6.3912),
    ("10YR 5/4", 0.3995, 0.3840, 19.2718),
    ("2.5B 6/8", 0.2080, 0.2789, 29.3012),
    ("7.5GY 7/10", 0.3461, 0.4950, 41.9854),
    ("10PB 2/8", 0.2294, 0.1551, 3.0481),
]
GREYS = [("N 1", 1.1799), ("N 3", 6.3912), ("N 5", 19.2718), ("N 8", 57.6196), ("N 10", 100.0)]
C_WHITE = (0.31006, 0.31616)


@pytest.mark.parametrize(("text", "x", "y", "Y"), RENOTATION)
def test_munsell_notation_is_the_published_point(text, x, y, Y):
    lab = munsell.lab_c_2(munsell.parse(text))
    white = np.array([C_WHITE[0] / C_WHITE[1], 1.0, (1.0 - sum(C_WHITE)) / C_WHITE[1]])
    X, luminance, Z = relative_xyz(lab) * white
    total = X + luminance + Z
    np.testing.assert_allclose((X / total, luminance / total), (x, y), atol=5e-5)
    assert luminance * 100 == pytest.approx(Y, abs=6e-4)


@pytest.mark.parametrize(("text", "Y"), GREYS)
def test_greys_follow_the_value_function_and_have_no_chroma(text, Y):
    """ASTM D1535; the colour of a grey is the same under every light."""
    read = read_colour(text)
    assert read.lab[1:] == (0.0, 0.0)
    assert relative_xyz(read.lab)[1] * 100 == pytest.approx(Y, abs=6e-4)


def test_notation_between_points_lies_between_them():
    low, high, middle = (munsell.lab_c_2(munsell.parse(text)) for text in ("5R 4/12", "5R 4/14", "5R 4/13"))
    assert low[1] < middle[1] < high[1]


def test_step_0_of_a_hue_is_step_10_of_the_hue_before():
    assert str(munsell.parse("0YR 5/8")) == "10R 5/8"
    assert str(munsell.parse("0R 5/8")) == "10RP 5/8"
    assert read_colour("0P 2.6/2").lab is not None


@pytest.mark.parametrize("text", ["5R 4/14", "5r4/14", " 5 R 4 / 14 ", "5,0R 4,0/14"])
def test_notation_is_read_as_people_write_it(text):
    read = read_colour(text)
    assert (read.notation, read.given) == (Notation.MUNSELL, (5.0, 4.0, 14.0))
    assert read.text == text


@pytest.mark.parametrize("text", ["N 5", "N5", "N5/", "n 5.0/", "N 5/0"])
def test_greys_are_read_as_people_write_them(text):
    assert read_colour(text).given == (5.0,)


def test_the_nearest_chip_is_trusted_less_than_a_reading_between_chips():
    chip, between = read_colour("5R 4/14"), read_colour("4.8R 4.1/13.3")
    assert chip.sd > 2 * between.sd
    assert [doubt.code for doubt in chip.doubts] == ["nearest-chip"]


# ISO 17321-1 lists spectra of a 24-patch chart; colour-science has them.


def _chart(illuminant, observer):
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    spectra = colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()
    reflectance = np.array([sd.copy().align(shape).values for sd in spectra])
    T = weights_under(viewing_of(illuminant, observer))
    return lab_from_relative_xyz(reflectance @ T.T), cielab(reflectance)


def _bradford(lab, illuminant, observer):
    colour = colour_science()
    names = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
    source = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS[names[observer.value]][illuminant.value])
    target = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS[names["10"]]["D65"])
    xyz = relative_xyz(lab) * source
    adapted = colour.adaptation.chromatic_adaptation_VonKries(xyz, source, target, transform="Bradford")
    return lab_from_relative_xyz(adapted / target)


@pytest.mark.parametrize(
    ("illuminant", "observer", "most"),
    [
        (Illuminant.D65, Observer.TWO, 0.8),
        (Illuminant.D50, Observer.TWO, 1.2),
        (Illuminant.D50, Observer.TEN, 0.5),
        (Illuminant.C, Observer.TWO, 0.8),
        (Illuminant.A, Observer.TEN, 1.6),
    ],
)
def test_conversion_comes_near_what_the_spectra_give(illuminant, observer, most):
    """Means over the 24 patches, and nearer than an adaptation of the white alone."""
    stated, true = _chart(illuminant, observer)
    converted = [to_d65_10(tuple(lab), illuminant, observer).lab for lab in stated]
    error = difference(converted, true).mean()
    assert error < most
    assert error < difference(_bradford(stated, illuminant, observer), true).mean()


def test_white_black_and_grey_stay_what_they_are():
    for L in (0.5, 50.0, 99.9):
        converted = to_d65_10((L, 0.0, 0.0), Illuminant.A, Observer.TWO)
        assert converted.lab == pytest.approx((L, 0.0, 0.0), abs=1e-4)


def test_smoothest_reflectance_has_the_colour_and_stays_a_fraction():
    xyz = relative_xyz((40.0, 55.0, 25.0))
    rho = smoothest_reflectance(xyz, Illuminant.C, Observer.TWO)
    np.testing.assert_allclose(weights_under(Viewing.C_2) @ rho, xyz, atol=1e-6)
    assert (rho > 0).all()
    assert (rho < 1).all()
    assert smoothest_reflectance((0.9, 0.1, 0.9), Illuminant.C, Observer.TWO) is None


def test_unknown_conditions_cannot_be_worked_with():
    assert viewing_of(Illuminant.A, Observer.TEN) is Viewing.A_10
    with pytest.raises(ValueError, match="needs a known illuminant"):
        viewing_of(Illuminant.UNKNOWN, Observer.TEN)


def test_the_colour_is_kept_as_stated_for_fitting_in_its_own_light():
    read = read_colour("LCh 50 60 230", illuminant="D50", observer="2")
    assert read.stated == pytest.approx((50.0, 60 * math.cos(math.radians(230)), 60 * math.sin(math.radians(230))))
    assert (read.viewing, read.stated_sd) == (Viewing.D50_2, 0.5)
    assert read.sd == pytest.approx(math.hypot(0.5, 1.4))
    assert read_colour("5R 4/13").viewing is Viewing.C_2
    assert read_colour("#336699").viewing is Viewing.D65_10


@pytest.mark.parametrize(
    "text",
    ["52.1, 41, -12.3", "52,1; 41; −12,3", "52.1 41 -12.3", "L*52,1 a*41,0 b*-12,3", "L*=52.1 a*=41 b*=-12.3",
     "Lab(52.1, 41, -12.3)", "52.1/41/-12.3", "CIELAB: 52.1 +41 -12.3"],
)  # fmt: skip
def test_cielab_is_read_as_people_write_it(text):
    read = read_colour(text, illuminant="D65", observer="10")
    assert read.lab == (52.1, 41.0, -12.3)
    assert (read.converted, read.rough, read.sd, read.text) == ("as given", False, 0.5, text)


def test_lightness_chroma_and_hue_are_turned():
    read = read_colour("LCh 50 60 230", illuminant="D65", observer="10")
    assert read.lab == pytest.approx((50.0, 60 * math.cos(math.radians(230)), 60 * math.sin(math.radians(230))))


def test_a_missing_light_or_observer_is_asked_and_no_colour_is_taken():
    read = read_colour("52 41 -12")
    assert read.lab is None
    assert [(doubt.code, doubt.severity) for doubt in read.doubts] == [
        ("illuminant", Severity.ASK),
        ("observer", Severity.ASK),
    ]
    assert "unknown" in [option.value for option in read.doubts[0].options]
    assert read_colour("52 41 -12", illuminant="D50").doubts[0].code == "observer"


def test_an_unknown_light_is_said_and_makes_the_colour_rough():
    read = read_colour("52 41 -12", illuminant="unknown", observer="unknown")
    assert read.lab == (52.0, 41.0, -12.0)
    assert read.rough
    assert read.sd > 3.0
    assert "assumed, because it is not known" in read.converted


@pytest.mark.parametrize("hexes", ["#db0000", "#336699", "#ffffff", "#000000", "#c0c0c0"])
def test_a_screen_colour_is_drawn_again_as_it_was_given(hexes):
    """The sRGB of IEC 61966-2-1 in both directions."""
    read = read_colour(hexes)
    assert read.rough
    assert srgb(read.lab).hex == hexes


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("167 3 4", r"L\* is 167, but lightness runs from 0 \(black\) to 100 \(white\)"),
        ("-2 3 4", r"L\* is -2"),
        ("52 nan 3", "holds “nan”, which is no number"),
        ("52 inf 3", "no number"),
        ("50 20", "holds 2 numbers, and a CIELAB colour has three"),
        ("50 20 1e9", "“1e9” cannot be read as b"),
        ("", "holds 0 numbers"),
        ("50 200 20", r"a\* is 200, but colours of surfaces lie between -150 and 150"),
        ("50 -100 100", "surface colours of this hue end near"),
        ("#DB000", "“#DB000” has 5 digits; a screen colour has six"),
        ("#DB00G0", "has “G” in it"),
        ("13R 4/30", "has the hue step 13; it runs from 0 to 10 within R"),
        ("5R 4/30", "has the chroma 30; the renotation ends at 24"),
        ("5R 11/4", "has the value 11; it runs from 0"),
        ("5R 0.5/2", "has the value 0.5; colours with a chroma are tabled from value 1"),
        ("5X 4/3", "has the hue letters X; they must be one of R, YR"),
        ("5R 4-14", "is no Munsell notation"),
        ("1" * 500, "is 500 characters long"),
    ],
)
def test_bad_input_is_refused_with_the_value_and_the_remedy(text, message):
    read = read_colour(text, illuminant="D65", observer="10")
    assert read.lab is None
    assert [doubt.severity for doubt in read.doubts] == [Severity.REFUSED]
    assert re.search(message, read.doubts[0].message)


def test_an_illuminant_that_is_none_is_refused_by_name():
    assert "“D55” is no illuminant" in read_colour("50 1 1", illuminant="D55", observer="2").doubts[0].message
    assert "“5” is no standard observer" in read_colour("50 1 1", illuminant="C", observer="5").doubts[0].message
    assert "“HSV” is no notation" in read_colour("50 1 1", notation="HSV").doubts[0].message


def test_a_colour_beyond_measured_surfaces_is_noted():
    read = read_colour("50 100 100", illuminant="D65", observer="10")
    assert read.lab is not None
    assert [doubt.code for doubt in read.doubts] == ["vivid"]
