"""Curves from a handful of numbers, blends, and which of the colours that share a code a paint is."""

import numpy as np
import pytest

from inventory.colour.appearance import WAVELENGTHS_NM, difference
from inventory.colour.curves import BandRow, Curve, Origin, blend, choose_row, curve_for, from_bands
from inventory.colour.mixing import masstone_lab

ROW = {
    "ci": "PX1",
    "name": "test red",
    "family": "edge red",
    "K0": "2",
    "floor": "0.1",
    "edges": "550:10:1",
    "bands": "450:20:0.5; 600:30:0.25",
    "Km": "1",
    "S0": "0.3",
    "Sn": "2",
    "source": "worked by hand",
}


def test_the_formula_at_one_wavelength():
    """Worked by hand at 550 nm: 2 (0.1 + 0.5 + 0.5 exp(-12.5) + 0.25 exp(-25/18)) and 0.3 + K/20."""
    curve = from_bands(BandRow.parse(ROW))
    K = 2 * (0.1 + 0.5 + 0.5 * np.exp(-12.5) + 0.25 * np.exp(-25 / 18))
    at = WAVELENGTHS_NM.tolist().index(550.0)
    assert curve.k[at] == pytest.approx(K)
    assert curve.s[at] == pytest.approx(0.3 + K / 20)
    assert curve.origin is Origin.TYPICAL
    assert "PX1" in curve.note


def test_powers_of_wavelength():
    """With no edges and bands K = K0 (l/550) 0.1 and S = S0 (550/l)^2 + K/20."""
    curve = from_bands(BandRow.parse(ROW | {"edges": "", "bands": ""}))
    assert curve.k[0] == pytest.approx(2 * 400 / 550 * 0.1)
    assert curve.s[-1] == pytest.approx(0.3 * (550 / 700) ** 2 + 2 * 700 / 550 * 0.1 / 20)


def test_every_row_makes_a_paint(rows):
    assert len(rows) > 100
    for row in rows:
        curve = from_bands(row)
        lab = masstone_lab(curve.k, curve.s)
        assert 15.0 < lab[0] < 100.0, row.name


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"K0": "strong"}, "PX1: column K0 must be a number, not 'strong'"),
        ({"K0": ""}, "column K0 must be a number, not ''"),
        ({"S0": "0"}, "K0 and S0 must be above 0, not 2 and 0"),
        ({"K0": "nan"}, "finite"),
        ({"edges": "550:10"}, "column edges must hold three numbers like 565:13:1, not '550:10'"),
        ({"bands": "550:0:1"}, "a width in column bands must be above 0, not 0"),
        ({"ci": " "}, "column ci is empty"),
    ],
)
def test_a_row_that_cannot_be_read(change, words):
    with pytest.raises(ValueError, match=words):
        BandRow.parse(ROW | change)


@pytest.mark.parametrize(
    ("k", "s", "words"),
    [
        (np.ones(30), np.ones(31), "k must have 31 values"),
        (np.full(31, -1.0), np.ones(31), "k must be finite and 0 or more"),
        (np.ones(31), np.zeros(31), "s must be finite and above 0"),
        (np.full(31, np.nan), np.ones(31), "k must be finite"),
    ],
)
def test_a_curve_that_cannot_be(k, s, words):
    with pytest.raises(ValueError, match=words):
        Curve(k, s, Origin.MEASURED)


def test_a_curve_cannot_be_changed(curve):
    with pytest.raises(ValueError, match="read-only"):
        curve("ultramarine blue").k[0] = 1.0


def test_blend_states_equal_parts(curve):
    blue, yellow = curve("phthalo green blue shade"), curve("nickel azo yellow")
    both = blend([blue, yellow])
    np.testing.assert_allclose(both.k, (blue.k + yellow.k) / 2)
    assert "equal parts assumed" in both.note
    weighted = blend([blue, yellow], [1, 3])
    np.testing.assert_allclose(weighted.s, (blue.s + 3 * yellow.s) / 4)
    assert "0.25 : 0.75" in weighted.note
    assert blend([blue]) is blue


def test_a_blend_is_as_sure_as_its_least_sure_part(curve):
    blue = curve("ultramarine blue")
    measured = Curve(blue.k, blue.s, Origin.MEASURED)
    assert blend([measured, blue]).origin is Origin.TYPICAL


@pytest.mark.parametrize("weights", [[1], [-1, 2], [0, 0], [np.nan, 1]])
def test_blend_refuses_weights(curve, weights):
    with pytest.raises(ValueError, match="weights must be 2 numbers of 0 or more"):
        blend([curve("ultramarine blue")] * 2, weights)
    with pytest.raises(ValueError, match="at least one curve, not 0"):
        blend([])


@pytest.mark.parametrize(
    ("code", "name", "expected"),
    [
        ("PBr7", "Raw Sienna", "raw sienna"),
        ("PBr7", "Burnt Sienna", "burnt sienna"),
        ("PBr7", "Raw Umber", "raw umber"),
        ("PBr7", "burnt umber light", "burnt umber"),
        ("PV19", "Quinacridone rose", "quinacridone red gamma"),
        ("PV19", "Quinacridone Violet", "quinacridone violet beta"),
        ("PR101", "Transparent oxide red", "transparent red oxide"),
        ("PR101", "Caput mortuum", "violet iron oxide"),
        ("PR101", "Red oxide", "red iron oxide"),
        ("PR108", "Cadmium red deep", "cadmium red deep"),
        ("PR108", "Cadmium red", "cadmium red medium"),
        ("PY35", "Cadmium lemon", "cadmium yellow light"),
        ("PW6", "Titanium white", "titanium white"),
        ("PW6", "Titan buff", "unbleached titanium"),
        ("PB29", "French blue", "ultramarine blue"),
        ("PG50", "Cobalt teal", "cobalt titanate turquoise"),
        ("PG50", "Cobalt green", "cobalt titanate green"),
    ],
)
def test_the_name_decides_between_colours_of_one_code(rows, code, name, expected):
    """Common practice, no source: what these generic names stand for."""
    choice = choose_row([row for row in rows if row.ci == code], name)
    assert choice.row is not None, choice.reason
    assert choice.row.name == expected
    assert choice.reason


def test_an_undecided_code_is_asked(rows):
    choice = choose_row([row for row in rows if row.ci == "PBr7"], "Earth no. 5")
    assert choice.row is None
    assert {row.name for row in choice.options} == {"raw sienna", "burnt sienna", "raw umber", "burnt umber"}
    assert "does not say which" in choice.reason
    # Half a name leaves half the colours.
    half = choose_row([row for row in rows if row.ci == "PBr7"], "Sienna")
    assert {row.name for row in half.options} == {"raw sienna", "burnt sienna"}


def test_no_rows():
    assert choose_row([], "Anything").row is None


def test_curve_for(rows, curve):
    answer = curve_for(["PG7", "PY150"], "Sap green", rows)
    assert answer.curve is not None
    np.testing.assert_allclose(answer.curve.k, (curve("phthalo green blue shade").k + curve("nickel azo yellow").k) / 2)
    assert curve_for([], "Mystery", rows).curve is None
    assert "PX99" in curve_for(["PX99"], "Mystery", rows).reason
    asked = curve_for(["PBr7"], "Brown", rows)
    assert asked.curve is None
    assert len(asked.questions) == 1
    measured = Curve(np.ones(31), np.ones(31), Origin.MEASURED)
    assert curve_for(["PB29"], "Blue", rows, measured=measured).curve is measured


def test_siennas_and_umbers_differ_more_than_a_tube_does(curve):
    labs = [masstone_lab(c.k, c.s) for c in map(curve, ("raw sienna", "burnt sienna", "raw umber"))]
    assert min(float(difference(labs[i], labs[j])) for i, j in ((0, 1), (0, 2), (1, 2))) > 5.0
