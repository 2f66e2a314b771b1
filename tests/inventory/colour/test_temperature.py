"""Where paints stand in a painter's terms, against published renotation values and facts of the trade."""

import numpy as np
import pytest

from inventory.colour.appearance import chroma, munsell_value
from inventory.colour.mixing import mixture_lab
from inventory.colour.temperature import FAMILIES, Tag, family_of, standing, value_string

# Luminance factors of the value scale: Newhall, Nickerson and Judd (1943), final report of the O.S.A. subcommittee on
# the spacing of the Munsell colors, J. Opt. Soc. Am. 33, 385-418, table II; from memory. They are relative to
# magnesium oxide, which is 0.975 of the perfect diffuser.
RENOTATION = (
    (1, 1.210),
    (2, 3.126),
    (3, 6.555),
    (4, 12.00),
    (5, 19.77),
    (6, 30.05),
    (7, 43.06),
    (8, 59.10),
    (9, 78.66),
)


@pytest.fixture(scope="module")
def stands(curve):
    def at(name):
        one = curve(name)
        return standing(one.k, one.s)

    return at


@pytest.mark.parametrize(("value", "luminance"), RENOTATION)
def test_value_is_that_of_the_published_renotation(value, luminance):
    assert munsell_value(luminance * 0.975) == pytest.approx(value, abs=0.015)


def test_the_families_close_the_circle():
    assert sum(family.end - family.start for family in FAMILIES) == pytest.approx(360.0)
    for angle in range(360):
        assert family_of(angle).word
    with pytest.raises(ValueError, match="finite number of degrees"):
        family_of(float("nan"))


@pytest.mark.parametrize(
    ("name", "words", "tag"),
    [
        # Common practice, no source; of blues the lean is common ground and the warmth is not.
        ("ultramarine blue", "blue leaning to violet", Tag.VIOLET_BLUE),
        ("cerulean blue stannate", "blue leaning to green", Tag.GREEN_BLUE),
        ("phthalo blue green shade", "blue leaning to green", Tag.GREEN_BLUE),
        ("cadmium yellow deep", "yellow leaning to orange", Tag.WARM_YELLOW),
        ("Hansa yellow light", "yellow leaning to green", Tag.COOL_YELLOW),
        ("cadmium red light", "red leaning to orange", Tag.WARM_RED),
        ("alizarin crimson", "red leaning to violet", Tag.COOL_RED),
        ("titanium white", "white", Tag.WHITE),
        ("burnt sienna", "red leaning to orange", Tag.EARTH),
    ],
)
def test_paints_stand_where_painters_put_them(stands, name, words, tag):
    found = stands(name)
    assert found.words == words
    assert tag in found.tags


def test_cerulean_leans_to_green_against_ultramarine(stands):
    """Common practice, no source."""
    cerulean, ultramarine = stands("cerulean blue stannate"), stands("ultramarine blue")
    assert cerulean.hue < ultramarine.hue
    assert (cerulean.toward, ultramarine.toward) == ("green", "violet")


def test_an_earth_is_no_primary_red_and_a_grey_has_no_family(stands):
    assert Tag.RED not in stands("red iron oxide").tags
    assert stands("lamp black").warmer is None
    assert Tag.DARK in stands("lamp black").tags
    # Common practice, no source: a dull green, and no grey.
    assert stands("green earth").family == "green"


def test_warm_comes_before_cool(stands):
    names = ["ultramarine blue", "cadmium orange", "cadmium red light", "Hansa yellow light", "dioxazine violet"]
    order = sorted(names, key=lambda name: stands(name).order)
    assert order == [
        "cadmium orange",
        "Hansa yellow light",
        "cadmium red light",
        "dioxazine violet",
        "ultramarine blue",
    ]


def test_white_cools_and_lightens_a_dark_blue(palette):
    """Common practice, no source. By the order of warmth a blue cools as it leaves violet."""
    found = palette("ultramarine blue", "titanium white")
    lab = mixture_lab(found.k, found.s, [[1.0, 0.0], [1.0, 1.0], [1.0, 4.0]])
    hues = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360.0
    assert (np.diff(lab[:, 0]) > 5.0).all()
    assert (np.diff(hues) < 0.0).all()


def test_a_string_holds_its_value(palette):
    found = palette("ultramarine blue", "burnt sienna", "titanium white", "bone black")
    steps = value_string(found.k, found.s, 50.0, 5)
    assert len(steps) == 5
    for step in steps:
        assert step.reached
        assert step.lab[0] == pytest.approx(50.0, abs=1e-6)
        assert sum(step.parts) == pytest.approx(1.0)
        assert step.parts[3] == 0.0
    assert (steps[0].parts[1], steps[-1].parts[0]) == (0.0, 0.0)


def test_a_light_paint_is_brought_down_with_the_dark(palette):
    found = palette("Hansa yellow light", "cadmium orange", "titanium white", "bone black")
    steps = value_string(found.k, found.s, 40.0, 3)
    assert all(step.parts[2] == 0.0 and step.parts[3] > 0.0 for step in steps)
    assert all(step.lab[0] == pytest.approx(40.0, abs=1e-6) for step in steps)


def test_a_value_out_of_reach_is_said(palette):
    found = palette("ultramarine blue", "burnt sienna", "titanium white", "bone black")
    steps = value_string(found.k, found.s, 2.0, 2)
    assert not any(step.reached for step in steps)
    assert chroma([steps[0].lab])[0] > 0.0


@pytest.mark.parametrize(("L", "steps", "said"), [(50.0, 1, "at least 2 steps"), (101.0, 5, "0 to 100")])
def test_bad_strings_are_refused(palette, L, steps, said):
    found = palette("ultramarine blue", "burnt sienna", "titanium white", "bone black")
    with pytest.raises(ValueError, match=said):
        value_string(found.k, found.s, L, steps)
