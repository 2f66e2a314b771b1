"""Colour from reflectance, against published tables and a reference library."""

import numpy as np
import pytest

from inventory.colour.appearance import (
    WAVELENGTHS_NM,
    chroma,
    cielab,
    colour_science,
    difference,
    hue_angle,
    munsell_value,
    srgb,
    srgb_many,
    weights,
)
from inventory.colour.wheel import HUE_NAMES, VALUE_LEVELS, colour_limit, hue_name, value_word

SHARMA_2005_TABLE_1 = [
    ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    ((50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
    ((50, 2.8361, -74.02), (50, 0, -82.7485), 3.4412),
    ((50, -1.3802, -84.2814), (50, 0, -82.7485), 1),
    ((50, -1.1848, -84.8006), (50, 0, -82.7485), 1),
    ((50, -0.9009, -85.5211), (50, 0, -82.7485), 1),
    ((50, 0, 0), (50, -1, 2), 2.3669),
    ((50, -1, 2), (50, 0, 0), 2.3669),
    ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
    ((50, 2.49, -0.001), (50, -2.49, 0.001), 7.1792),
    ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    ((50, 2.49, -0.001), (50, -2.49, 0.0012), 7.2195),
    ((50, -0.001, 2.49), (50, 0.0009, -2.49), 4.8045),
    ((50, -0.001, 2.49), (50, 0.001, -2.49), 4.8045),
    ((50, -0.001, 2.49), (50, 0.0011, -2.49), 4.7461),
    ((50, 2.5, 0), (50, 0, -2.5), 4.3065),
    ((50, 2.5, 0), (73, 25, -18), 27.1492),
    ((50, 2.5, 0), (61, -5, 29), 22.8977),
    ((50, 2.5, 0), (56, -27, -3), 31.903),
    ((50, 2.5, 0), (58, 24, 15), 19.4535),
    ((50, 2.5, 0), (50, 3.1736, 0.5854), 1),
    ((50, 2.5, 0), (50, 3.2972, 0), 1),
    ((50, 2.5, 0), (50, 1.8634, 0.5757), 1),
    ((50, 2.5, 0), (50, 3.2592, 0.335), 1),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.263),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.248, -4.962), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.694), (23.0331, 14.973, -42.5619), 2.0373),
    ((36.4612, 47.858, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.441), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
]

# Value and luminance factor relative to the perfect diffuser: the value function of ASTM D1535.
ASTM_D1535_VALUES = [
    (1, 1.1799),
    (2, 3.0481),
    (3, 6.3912),
    (4, 11.7008),
    (5, 19.2718),
    (6, 29.3012),
    (7, 41.9854),
    (8, 57.6196),
    (9, 76.6956),
    (10, 100.0),
]

# Newhall, Nickerson and Judd (1943): x, y (illuminant C, 2 degree) and Y; Y here is 0.975 of the printed one.
RENOTATION_POINTS = [
    ("R", 0.5734, 0.3057, 11.7008),
    ("YR", 0.5199, 0.4119, 29.3012),
    ("Y", 0.4562, 0.4788, 57.6196),
    ("G", 0.2329, 0.4331, 19.2718),
    ("PB", 0.1718, 0.1562, 6.3912),
    ("P", 0.2772, 0.1707, 6.3912),
    ("YR", 0.3995, 0.3840, 19.2718),
    ("B", 0.2080, 0.2789, 29.3012),
    ("GY", 0.3461, 0.4950, 41.9854),
]


@pytest.mark.parametrize(("lab_1", "lab_2", "printed"), SHARMA_2005_TABLE_1)
def test_ciede2000_agrees_with_the_published_pairs(lab_1, lab_2, printed):
    """Sharma, Wu and Dalal (2005), table 1, printed to 4 decimals; doi:10.1002/col.20070."""
    np.testing.assert_allclose(difference(lab_1, lab_2), printed, atol=5e-5)


def test_ciede2000_takes_many_at_once():
    first, second, printed = (np.array(column) for column in zip(*SHARMA_2005_TABLE_1, strict=True))
    np.testing.assert_allclose(difference(first, second), printed, atol=5e-5)
    assert difference(first[:, None], second[None]).shape == (34, 34)


@pytest.mark.parametrize(("value", "luminance"), ASTM_D1535_VALUES)
def test_munsell_value(value, luminance):
    """ASTM D1535, luminance printed to 4 decimals."""
    assert munsell_value(luminance) == pytest.approx(value, abs=2e-3)


@pytest.mark.parametrize(("symbol", "x", "y", "Y"), RENOTATION_POINTS)
def test_hue_names_are_munsells(symbol, x, y, Y):
    colour = colour_science()
    lab = colour.XYZ_to_Lab(colour.xyY_to_XYZ([x, y, Y / 100.0]), [0.31006, 0.31616])
    assert hue_name(float(hue_angle(lab))).symbol == symbol


def test_hue_names_close_the_circle():
    for name, following in zip(HUE_NAMES, (*HUE_NAMES[1:], HUE_NAMES[0]), strict=True):
        assert name.end % 360 == following.start
    assert hue_name(-5.0).word == "red-violet"
    assert hue_name(725.0).word == "red-violet"


def test_value_words():
    assert [value_word(L) for L in (0, 30, 44, 52, 68, 90, 100)] == [
        "dark", "dark", "dark", "middle", "light", "light", "light",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="must be 0 to 100, not 120"):
        value_word(120)


def test_the_white_and_greys():
    np.testing.assert_allclose(cielab(np.ones(31)), (100.0, 0.0, 0.0), atol=1e-9)
    # A grey of 18.4187 percent is L* 50 by definition: ((50 + 16) / 116)^3.
    np.testing.assert_allclose(cielab(np.full((2, 3, 31), (66 / 116) ** 3))[1, 2], (50.0, 0.0, 0.0), atol=1e-9)
    # Below 216/24389 the function is straight: L* = 24389/27 Y.
    np.testing.assert_allclose(cielab(np.full(31, 0.005))[0], 24389 / 27 * 0.005, atol=1e-9)


def test_cielab_agrees_with_a_reference_library():
    """colour-science, integration of a spectral distribution, D65 and 10 degree, 400 to 700 nm by 10."""
    colour = colour_science()
    R = 0.5 + 0.4 * np.sin(WAVELENGTHS_NM / 40.0)
    shape = colour.SpectralShape(400, 700, 10)
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    integrate = {"cmfs": observer, "illuminant": light, "method": "Integration"}
    domain = dict(zip(WAVELENGTHS_NM.tolist(), R.tolist(), strict=True))
    white = dict.fromkeys(WAVELENGTHS_NM.tolist(), 1.0)
    XYZ, XYZ_white = (colour.sd_to_XYZ(colour.SpectralDistribution(values), **integrate) for values in (domain, white))
    expected = colour.XYZ_to_Lab(XYZ / 100.0, colour.XYZ_to_xy(XYZ_white / 100.0))
    np.testing.assert_allclose(cielab(R), expected, atol=1e-6)


def test_weights_sum_to_one():
    np.testing.assert_allclose(weights().sum(axis=1), 1.0)
    assert weights().shape == (3, 31)


def test_the_limit_is_pointers_table():
    """Pointer (1980): 36 hues at 16 lightnesses, illuminant C, as carried by colour-science."""
    table = colour_science().models.DATA_POINTER_GAMUT_VOLUME
    assert table.shape == (576, 3)
    limit = colour_limit()
    for L, C, h in table.tolist():
        if L in VALUE_LEVELS:
            assert limit[VALUE_LEVELS.index(L), int(h // 10)] == C
    assert limit.max() == max(C for L, C, _ in table.tolist() if L in VALUE_LEVELS)


def test_hue_and_chroma():
    assert hue_angle((50.0, 0.0, -10.0)) == pytest.approx(270.0)
    assert chroma((50.0, 3.0, 4.0)) == pytest.approx(5.0)


def test_screen_colours():
    """White and black are the ends of sRGB; a chroma of 150 is outside of it (IEC 61966-2-1)."""
    assert (srgb((100.0, 0.0, 0.0)).hex, srgb((0.0, 0.0, 0.0)).hex) == ("#ffffff", "#000000")
    assert not srgb((50.0, 0.0, 0.0)).clipped
    assert srgb((50.0, 0.0, 0.0)).hex == "#777777"
    assert srgb((50.0, 100.0, -110.0)).clipped
    assert srgb_many(np.empty((0, 3))) == ()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: cielab(np.ones(30)), "31 values .* not the shape"),
        (lambda: cielab(np.full(31, 55.0)), "fraction from 0 to 1, not 55; divide percentages by 100"),
        (lambda: cielab(np.full(31, np.nan)), "not nan"),
        (lambda: difference((1.0, 2.0), (1.0, 2.0)), "last axis must be 3"),
        (lambda: chroma((50.0, np.nan, 0.0)), "finite"),
        (lambda: munsell_value(120.0), "0 to 100, not 120"),
        (lambda: srgb(np.zeros((2, 3))), "call srgb once for each"),
        (lambda: hue_name(float("nan")), "finite number of degrees, not nan"),
    ],
)
def test_refused_input(call, words):
    with pytest.raises(ValueError, match=words):
        call()
