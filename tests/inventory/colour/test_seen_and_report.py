"""A colour in words, who brings the doubt, strength between hues, and the evidence as a report."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.colour.certainty import Paint, doubt_of_each, mixture
from inventory.colour.curves import Curve, Origin
from inventory.colour.evidence import CurveErrors, Errors, Evidence, Fact, Reported
from inventory.colour.layers import hiding_thickness_Y, hiding_thicknesses
from inventory.colour.report import as_text, report
from inventory.colour.seen import luminance_percent, seen
from inventory.colour.strength import strength_at_own_maximum, strength_of


@pytest.mark.parametrize(("V", "Y"), [(1, 1.210), (3, 6.555), (5, 19.77), (7, 43.06), (9, 78.66)])
def test_munsell_value_of_the_table(V, Y):
    """Y of the value function for magnesium oxide (Newhall, Nickerson and Judd 1943, table II); divided by 1.026."""
    of_diffuser = Y / 1.026
    L = 116.0 * np.cbrt(of_diffuser / 100.0) - 16.0
    assert luminance_percent(float(L)) == pytest.approx(of_diffuser, abs=1e-6) or of_diffuser < 0.9
    assert seen((L, 0.0, 0.0)).value == pytest.approx(V, abs=0.02)


@pytest.mark.parametrize(
    ("lab", "words"),
    [
        ((50, 0, 0), "middle, next to no hue"),
        ((45, 30, -30), "dark, clear violet"),
        ((85, 5, 80), "light, vivid yellow"),
        ((87, -6, -2), "light, dull blue-green"),
        ((60, 40, 40), "middle, clear orange toward red"),
    ],
)
def test_words_of_a_colour(lab, words):
    """Our words; their borders stand beside them in the code."""
    assert seen(lab).words == words


@given(st.floats(0, 100), st.floats(-90, 90), st.floats(-90, 90))
def test_every_colour_has_words(L, a, b):
    found = seen((L, a, b))
    assert found.words
    assert re.fullmatch("#[0-9a-f]{6}", found.hex)
    assert 0.0 <= found.value <= 10.0001


def test_the_paint_that_is_not_known_brings_the_doubt(rows, curve):
    typical = Paint.typical([next(row for row in rows if row.name == "ultramarine blue")])
    measured = Paint.measured(curve("titanium white"))
    alone, none = doubt_of_each([typical, measured], [1.0, 2.0])
    assert none == pytest.approx(0.0, abs=1e-6)
    assert alone == pytest.approx(mixture([typical, measured], [1.0, 2.0]).spread)


def test_many_hiding_thicknesses_are_those_of_each(curve):
    curves = [curve(name) for name in ("titanium white", "ultramarine blue", "bone black")]
    clear = Curve(np.zeros(31), np.full(31, 1e-6), Origin.MEASURED)
    found = hiding_thicknesses(np.stack([c.k for c in [*curves, clear]]), np.stack([c.s for c in [*curves, clear]]))
    assert [hiding_thickness_Y(one) for one in curves] == pytest.approx(list(found[:3]))
    assert np.isinf(found[3])
    with pytest.raises(ValueError, match="ratio must be above 0 and below 1, not 1"):
        hiding_thicknesses(curves[0].k, curves[0].s, 1.0)


def test_strength_between_hues_is_that_of_the_standard_within_one(curve):
    blue, white = curve("phthalo blue green shade"), curve("titanium white")
    half = Curve(blue.k / 2.0, blue.s, Origin.TYPICAL)
    found, plain = strength_at_own_maximum(half, blue, white), strength_of(half, blue, white)
    assert (found.percent, found.wavelength) == pytest.approx((plain.percent, plain.wavelength))
    assert strength_at_own_maximum(blue, blue, white).percent == pytest.approx(100.0)
    # A yellow absorbs in the violet, so at the blue's maximum it would seem to have no strength at all.
    yellow = curve("Hansa yellow light")
    assert strength_of(yellow, blue, white).percent < 1.0
    assert strength_at_own_maximum(yellow, blue, white).percent > 5.0
    with pytest.raises(ValueError, match="absorbs no more than the white"):
        strength_at_own_maximum(blue, white, white)


EVIDENCE = Evidence(
    errors=(
        Errors("a set", 10, 3.0, 2.5, 6.0, 0.2, 0.6, 4.3, "Measured."),
        Errors("another (no figure is shown)", 30, 9.0, 8.0, 20.0, 0.9, 0.5, None, "Measured."),
        Errors("a third", 40, 1.0, 1.0, 2.0, 0.9, 1.0, None, "Computed."),
    ),
    curves=(CurveErrors("curves", 11, 1.2, 1.3, 0.9, 0.8, "Computed."),),
    facts=(Fact("white makes blue lighter", "L*, rising", "20 / 40", True), Fact("no", "less", "more", False)),
    reported=(Reported("masstone", (0.3, 1.0), (1.0, 3.1), (0.5, 1.5)),),
)


def test_the_report_says_what_did_not_hold():
    told = " ".join(report(EVIDENCE).sentences)
    assert told.startswith(
        "“Likely within” is meant to hold in nine of ten predictions; it held in 6 of 10 of a set, so there it is "
        "narrower than nine in ten; in the other check sets together it held in 40 of 40."
    )
    assert "3 check sets with 80 predictions" in told
    assert "from 1.0 (a third) to 3.0 (a set)" in told
    assert "Few predictions, so that the share is itself unsure: a set." in told
    assert "another (no figure" not in told
    assert "1 of 2 facts" in told
    assert "Films, glazes and hiding were not held against measured ones" in told


def test_text_and_tables_hold_every_figure():
    text = as_text(EVIDENCE)
    for figure in (
        "Count: 10",
        "Mean: 3.00",
        "Median: 2.50",
        "95th percentile: 6.00",
        "Draws held: 20 %",
        "Shown held: 60 %",
    ):
        assert figure in text
    assert all(len(line) <= 100 for line in text.splitlines())
    for table in report(EVIDENCE).tables:
        assert all(len(row) == len(table.heads) for row in table.rows)


def test_plots_lie_within_their_frame_and_on_their_scale():
    errors, intervals = report(EVIDENCE).plots
    for plot in (errors, intervals):
        for x, y, width, height in plot.bars:
            assert 0.0 <= x <= x + width <= plot.width
            assert 0.0 <= y <= y + height <= plot.height
        assert all(0.0 <= dot.x <= plot.width and 0.0 <= dot.y <= plot.height for dot in plot.dots)
        assert len(plot.bars) == len(EVIDENCE.errors)
    # Bars are as long as the figures: 3 to 9 to 1.
    assert [bar[2] / errors.bars[0][2] for bar in errors.bars] == pytest.approx([1.0, 3.0, 1 / 3], abs=0.01)
    assert intervals.bars[0][2] / intervals.bars[2][2] == pytest.approx(0.6, abs=0.01)
