"""Which tubes do the same job, which to buy next, and the wheel as numbers for a drawing."""

import numpy as np
import pytest

from inventory.colour.advice import TIE_WITHIN, rank
from inventory.colour.appearance import srgb
from inventory.colour.chart import drops, fills, sectors
from inventory.colour.coverage import opened, percent
from inventory.colour.curves import blend
from inventory.colour.mixing import mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import reach
from inventory.colour.redundancy import Kind, Label, redundancies
from inventory.colour.wheel import colour_limit

STOCK = ("titanium white", "Hansa yellow medium", "ultramarine blue", "phthalo blue green shade")


def found(findings, kind):
    return [finding for finding in findings if finding.kind is kind]


@pytest.mark.parametrize(
    ("code", "names"),
    [
        ("PBr7", ("raw sienna", "burnt sienna", "raw umber", "burnt umber")),
        ("PV19", ("quinacridone red gamma", "quinacridone violet beta")),
        ("PR101", ("red iron oxide", "transparent red oxide")),
    ],
)
def test_colours_of_one_code_are_not_duplicates(palette, code, names):
    """Common practice, no source: one code, several colours."""
    paints = palette("titanium white", *names)
    labels = dict.fromkeys(paints.ids[1:], Label((code,)))
    findings = redundancies(paints, labels)
    assert not found(findings, Kind.SAME_PIGMENTS)
    assert not found(findings, Kind.NEAR_TWIN)


def test_a_second_tube_is_a_duplicate_and_only_that(palette):
    paints = palette("titanium white", "ultramarine blue", "ultramarine blue")
    labels = {2: Label(("PB29",), lightfastness="I"), 3: Label(("PB29",), lightfastness="II")}
    (finding,) = redundancies(paints, labels)
    assert finding.kind is Kind.SAME_PIGMENTS
    assert (finding.id, finding.others) == (2, (3,))
    assert finding.masstone_difference == finding.tint_difference == pytest.approx(0.0, abs=1e-9)
    assert finding.note == "Both are PB29."
    assert finding.lost == (
        "lightfastness of ultramarine blue: I (ultramarine blue II)",
        "lightfastness of ultramarine blue: II (ultramarine blue I)",
    )


def test_two_ochres_are_near_twins_not_duplicates(palette):
    """Synthetic and natural yellow oxide (PY42, PY43) stand in for each other; common practice, no source."""
    paints = palette("titanium white", "yellow iron oxide", "yellow ochre")
    findings = redundancies(paints, {2: Label(("PY42",)), 3: Label(("PY43",))})
    assert [finding.kind for finding in findings] == [Kind.NEAR_TWIN]
    assert "confirm with a swatch" in findings[0].note


def test_whites_of_different_strength_are_not_twins(palette):
    assert redundancies(palette("titanium white", "zinc white")) == ()


def test_sap_green_is_a_convenience(palette, curve):
    """PG7 + PY150 with both in stock: the others mix it, and what was put in comes out."""
    sap = blend([curve("phthalo green blue shade"), curve("nickel azo yellow")])
    stock = palette("titanium white", "phthalo green blue shade", "nickel azo yellow", "pyrrole red")
    paints = stock.plus(Palette.of([(9, "sap green", sap)], "acrylic"))
    labels = {9: Label(("PG7", "PY150"), lightfastness="I"), 2: Label(("PG7",)), 3: Label(("PY150",))}
    finding = next(finding for finding in redundancies(paints, labels) if finding.id == 9)
    assert finding.kind is Kind.MIXABLE
    assert set(finding.others) == {2, 3}
    assert finding.mixture is not None
    assert finding.mixture.parts == pytest.approx((0.5, 0.5), abs=0.01)
    assert max(finding.masstone_difference, finding.tint_difference) < 0.1
    assert finding.lost[0].startswith("lightfastness of sap green: I")
    # Mixed again from the parts, it is what the finding says.
    parts = np.zeros(len(paints))
    for paint, part in zip(finding.mixture.ids, finding.mixture.parts, strict=True):
        parts[paints.index(paint)] = part
    np.testing.assert_allclose(mixture_lab(paints.k, paints.s, parts), finding.mixture.lab, atol=0.05)


def test_primaries_are_not_mixable(palette):
    paints = palette("titanium white", "Hansa yellow medium", "quinacridone magenta", "phthalo blue green shade")
    assert redundancies(paints) == ()


@pytest.mark.parametrize("names", [(), ("ultramarine blue",), ("titanium white",)])
def test_nothing_to_compare(palette, names):
    assert redundancies(palette(*names)) == ()


@pytest.fixture(scope="module")
def stock(palette):
    return reach(palette(*STOCK))


def test_advice_agrees_with_working_it_again(palette, stock):
    candidates = palette("quinacridone magenta", "pyrrole red", "cobalt blue", first=100)
    for advice in rank(stock, candidates):
        again = reach(stock.palette.plus(candidates.take([candidates.index(advice.id)])))
        assert advice.after == pytest.approx(percent(again.chroma))
        assert advice.gain == pytest.approx(advice.after - advice.before)
        assert sum(region.points for region in advice.opens) == pytest.approx(advice.gain, abs=0.6)


def test_without_a_red_a_red_comes_first(palette, stock):
    """Common practice, no source: yellow and blues ask for a red or magenta before another blue."""
    candidates = palette("cobalt blue", "quinacridone magenta", "Hansa yellow light", "pyrrole red", first=100)
    first, *_, last = rank(stock, candidates)
    assert first.name in {"quinacridone magenta", "pyrrole red"}
    assert first.rank == 1
    assert first.opens[0].hue.symbol in {"R", "RP", "YR", "P"}
    assert last.gain <= first.gain


def test_ties_share_a_rank(palette, stock):
    candidates = palette("quinacridone magenta", "quinacridone magenta", "cobalt blue", first=100)
    advice = rank(stock, candidates)
    assert [item.rank for item in advice] == [1, 1, 3]
    assert [item.tied for item in advice] == [True, True, False]
    assert advice[0].gain - advice[2].gain > TIE_WITHIN


def test_a_paint_in_stock_gains_nothing(palette, stock):
    (blue,) = rank(stock, palette("ultramarine blue", first=100))
    assert blue.gain == 0.0
    assert blue.opens == ()
    assert blue.nearest is not None
    assert blue.nearest[:2] == (3, "ultramarine blue")
    assert blue.nearest[2] == pytest.approx(0.0, abs=1e-9)


def test_a_white_gains_tints(palette):
    colours = reach(palette("ultramarine blue", "pyrrole red"))
    (white,) = rank(colours, palette("titanium white", first=100))
    assert white.after == pytest.approx(
        percent(reach(colours.palette.plus(palette("titanium white", first=100))).chroma)
    )
    assert white.gain > 1.0


def test_the_first_paint_of_all(palette):
    (only,) = rank(reach(palette()), palette("ultramarine blue", first=100))
    assert only.nearest is None
    assert only.before == 0.0
    assert only.gain > 0.0
    assert rank(reach(palette()), palette()) == ()


def test_facts_pass_through(palette, stock):
    facts = {100: {"lightfastness": "I", "price": 990}}
    (advice,) = rank(stock, palette("pyrrole red", first=100), facts=facts)
    assert advice.facts == {"lightfastness": "I", "price": 990}


def test_binders_are_not_mixed(palette, stock):
    with pytest.raises(ValueError, match="acrylic and in oil are not mixed"):
        rank(stock, palette("pyrrole red", binder="oil", first=100))
    with pytest.raises(ValueError, match="own id; 1 stands twice"):
        rank(stock, palette("pyrrole red"))


def test_sectors_of_a_level(stock):
    cells = sectors(stock, 50)
    assert [cell.hue for cell in cells] == list(range(0, 360, 10))
    assert (cells[0].hue_from, cells[0].hue_to) == (355.0, 5.0)
    for i, cell in enumerate(cells):
        assert cell.chroma == stock.chroma[3, i]
        assert cell.rings[-1].chroma_to == pytest.approx(max(cell.chroma, cell.limit))
        assert all(ring.reached == (ring.chroma_to <= cell.chroma) for ring in cell.rings)
    assert cells[28].label.startswith("violet-blue, middle (hue 280°, L* 50): chroma")
    assert "not reached" in sectors(stock, 20)[0].label
    with pytest.raises(ValueError, match=r"one of 20, 30, .* not 55"):
        sectors(stock, 55)


def test_drops_on_the_rim(palette, stock):
    marks = drops(stock)
    assert [mark.id for mark in marks] == [1, 2, 3, 4]
    assert marks[1].holds
    assert drops(reach(palette())) == ()


def test_each_sector_is_filled_with_the_colour_half_way_out(stock):
    """Our own code another way: one colour at a time."""
    height = stock.chroma[3]
    for hue, chroma, fill in zip(range(0, 360, 10), 0.7 * height, fills(stock, 50), strict=True):
        assert fill == srgb((50.0, chroma * np.cos(np.radians(hue)), chroma * np.sin(np.radians(hue)))).hex


def test_regions_are_the_sums_of_their_cells():
    """Worked by hand: one cell alone opened belongs to one region, with its share of the volume."""
    limit = colour_limit()
    nothing, one = np.zeros_like(limit), np.zeros_like(limit)
    one[3, 28] = limit[3, 28]
    (region,) = opened(nothing, one, limit)
    assert (region.hue.symbol, region.value) == ("PB", "middle")
    assert region.points == pytest.approx(100.0 * limit[3, 28] ** 2 / (limit**2).sum())
