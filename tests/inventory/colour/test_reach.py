"""What palettes reach and cover: laws that must hold for any paints, and edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.colour.appearance import chroma, difference, hue_angle
from inventory.colour.coverage import coverage, percent
from inventory.colour.mixing import mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import gain, gain_of_pairs, reach
from inventory.colour.series import share_steps
from inventory.colour.wheel import SHAPE, VALUE_LEVELS, colour_limit, sector_of

SIX = (
    "titanium white",
    "Hansa yellow medium",
    "pyrrole red",
    "quinacridone magenta",
    "ultramarine blue",
    "phthalo green blue shade",
    "phthalo blue green shade",
)


@pytest.fixture(scope="module")
def six(palette):
    return reach(palette(*SIX))


def some(rows, numbers, first=1):
    from inventory.colour.curves import from_bands

    return Palette.of([(first + i, rows[n].name, from_bands(rows[n])) for i, n in enumerate(numbers)], "oil")


def test_one_paint_and_white_against_mixing_by_hand(palette):
    """2000 tints made one by one, those that fall on a value level kept: the reach is their chroma."""
    paints = palette("quinacridone magenta", "titanium white")
    reached = reach(paints)
    part = np.concatenate(([0.0], np.geomspace(1e-4, 1.0, 2000)))
    lab = mixture_lab(paints.k, paints.s, np.column_stack((np.ones(2001), part / (1.0001 - part))))
    on_level = np.abs(lab[:, 0, None] - np.array(VALUE_LEVELS)) < 0.05
    found = np.zeros(SHAPE)
    for i, level in np.argwhere(on_level):
        sector = sector_of(hue_angle(lab[i]))
        found[level, sector] = max(found[level, sector], chroma(lab[i]))
    cells = found > 0.0
    assert cells.sum() >= 4
    # Reading between neighbours of a series of six costs at most this much chroma.
    np.testing.assert_allclose(reached.chroma[cells], found[cells], atol=3.0)


@pytest.mark.parametrize("white", ["titanium white", "zinc white"])
def test_white_brings_every_hue_to_the_palest_level(palette, white):
    """Common practice, no source: with enough white a paint of any hue gives a tint of value 9."""
    assert (reach(palette(white, *SIX[1:])).chroma[VALUE_LEVELS.index(90)] > 0.0).all()


def test_the_mixture_of_a_cell_has_its_colour(six):
    """Mixed again from its parts it has the level's lightness, and in all but a few cells the hue of its sector."""
    in_sector = []
    for level, row in enumerate(six.mixtures):
        for sector, mixture in enumerate(row):
            assert (mixture is None) == (six.chroma[level, sector] == 0.0)
            if mixture is None:
                continue
            parts = np.zeros(len(six.palette))
            for paint, part in zip(mixture.ids, mixture.parts, strict=True):
                parts[six.palette.index(paint)] = part
            lab = mixture_lab(six.palette.k, six.palette.s, parts)
            np.testing.assert_allclose(lab, mixture.lab, atol=1e-6)
            assert sum(mixture.parts) == pytest.approx(1.0)
            assert abs(lab[0] - VALUE_LEVELS[level]) <= 5.0 + 1e-6
            turned = (hue_angle(lab) - 10.0 * sector + 180.0) % 360.0 - 180.0
            in_sector.append(abs(float(turned)) <= 15.0)
    assert np.mean(in_sector) > 0.9


def test_ratios_add_up():
    assert share_steps(1).tolist() == [[1.0]]
    for size in (2, 3):
        ratios = share_steps(size)
        np.testing.assert_allclose(ratios.sum(axis=1), 1.0)
        assert (ratios > 0.0).all()
        assert len(np.unique(ratios.round(9), axis=0)) == len(ratios)
        # Whatever one paint may be given, every paint may.
        swapped = np.unique(ratios[:, ::-1].round(9), axis=0)
        np.testing.assert_allclose(swapped, np.unique(ratios.round(9), axis=0))


@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_coverage_never_falls_when_a_tube_is_added(rows, data):
    numbers = data.draw(st.lists(st.integers(0, len(rows) - 1), min_size=2, max_size=6, unique=True))
    few, more = reach(some(rows, numbers[:-1])), reach(some(rows, numbers))
    assert (more.chroma >= few.chroma - 1e-9).all()
    # What the added tube gains is what it holds up.
    added = np.maximum(few.chroma, gain(few.palette, more.palette.take([len(numbers) - 1])))
    np.testing.assert_allclose(added, more.chroma, atol=1e-9)


@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_leaving_one_out_agrees_with_working_it_again(rows, data):
    # The last three rows are whites: two of them in the draw make the case of a second white.
    numbers = data.draw(st.lists(st.integers(0, len(rows) - 1), min_size=1, max_size=5, unique=True))
    whites = data.draw(st.lists(st.sampled_from([len(rows) - 1, len(rows) - 3]), max_size=2, unique=True))
    paints = some(rows, list(dict.fromkeys([*numbers, *whites])))
    reached = reach(paints)
    for place, paint in enumerate(paints.ids):
        np.testing.assert_allclose(reached.without[place], reach(paints.without(paint)).chroma, atol=1e-9)


@settings(max_examples=8, deadline=None)
@given(order=st.permutations(range(5)), batch=st.integers(1, 300))
def test_neither_order_nor_batch_matters(palette, order, batch):
    paints = palette("titanium white", "Hansa yellow medium", "pyrrole red", "ultramarine blue", "carbon black")
    first, second = reach(paints), reach(paints.take(order), batch_series=batch)
    np.testing.assert_allclose(second.chroma, first.chroma, atol=1e-9)
    np.testing.assert_allclose(second.without, first.without[list(order)], atol=1e-9)


def test_a_duplicate_changes_nothing_and_holds_up_nothing(palette, six):
    twice = reach(palette(*SIX, "pyrrole red", "titanium white"))
    np.testing.assert_array_equal(twice.chroma, six.chroma)
    shares = {share.id: share.points for share in coverage(twice).shares}
    assert shares[3] == shares[8] == 0.0
    assert shares[1] == shares[9] == 0.0
    assert shares[2] > 1.0


def test_no_paint(palette):
    reached = reach(palette())
    assert reached.chroma.shape == SHAPE
    assert not reached.chroma.any()
    answer = coverage(reached)
    assert answer.percent == 0.0
    assert answer.shares == ()
    assert answer.gaps
    assert answer.notes == ("No paint with a known colour: nothing can be mixed.",)


def test_one_paint_without_white_is_its_masstone(palette):
    paints = palette("ultramarine blue")
    reached = reach(paints)
    L, C, h = paints.masstones[0, 0], chroma(paints.masstones)[0], hue_angle(paints.masstones)[0]
    level = int(np.argmin(np.abs(np.array(VALUE_LEVELS) - L)))
    expected = np.zeros(SHAPE)
    expected[level, sector_of(h)] = C
    np.testing.assert_allclose(reached.chroma, expected, atol=1e-9)
    assert "no white in stock, so no tints" in coverage(reached).notes[0]


def test_only_white(palette):
    reached = reach(palette("titanium white", "zinc white"))
    assert not reached.chroma.any()
    assert coverage(reached).percent == 0.0
    assert "only white" in coverage(reached).notes[0]


def test_black_makes_low_values(palette):
    """A black darkens: with it yellow reaches values that yellow and white do not."""
    without = reach(palette("Hansa yellow medium", "titanium white")).chroma
    with_black = reach(palette("Hansa yellow medium", "titanium white", "carbon black")).chroma
    assert with_black[2].max() > without[2].max()
    assert palette("carbon black").is_neutral.all()


def test_percent_is_the_share_of_the_volume():
    limit = colour_limit()
    assert percent(limit) == pytest.approx(100.0)
    assert percent(2.0 * limit) == pytest.approx(100.0)
    assert percent(0.5 * limit) == pytest.approx(25.0)
    with pytest.raises(ValueError, match="one shape"):
        percent(np.zeros((2, 2)))


def test_coverage_adds_up(six):
    answer = coverage(six)
    missing = 100.0 - answer.percent
    assert 30.0 < answer.percent < 60.0
    assert sum(gap.points for gap in answer.gaps) <= missing + 1e-9
    assert [gap.points for gap in answer.gaps] == sorted((gap.points for gap in answer.gaps), reverse=True)
    assert ((answer.cells >= 0.0) & (answer.cells <= 1.0)).all()
    for share in answer.shares:
        assert share.points == pytest.approx(answer.percent - percent(six.without[six.palette.index(share.id)]))


def test_gaps_have_names(palette):
    """Blue and white alone miss yellow: the region is named by hue and value."""
    gaps = coverage(reach(palette("ultramarine blue", "titanium white"))).gaps
    assert "yellow, light" in [gap.name for gap in gaps]
    yellow = next(gap for gap in gaps if gap.name == "yellow, light")
    assert yellow.hue.symbol == "Y"
    assert (yellow.hue_from, yellow.hue_to) == (75.0, 105.0)
    assert yellow.levels == (70, 80, 90)


def test_a_warm_and_a_cool_red_cover_more(palette):
    """Common practice, no source: for the whole wheel one needs a warm and a cool red."""
    rest = ("titanium white", "Hansa yellow medium", "phthalo blue green shade", "ultramarine blue")
    warm, cool, both = (
        coverage(reach(palette(*rest, *reds))).percent
        for reds in (["pyrrole red"], ["quinacridone magenta"], ["pyrrole red", "quinacridone magenta"])
    )
    assert both > max(warm, cool) + 0.5


def test_the_strongest_white_makes_tints(palette):
    paints = palette("zinc white", "titanium white", "ultramarine blue")
    assert paints.names[paints.white_index] == "titanium white"
    assert paints.members.tolist() == [2]
    assert palette("ultramarine blue").white_index is None


K = np.ones((2, 31))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Palette((1, 2), ("a",), K, K, "oil"), "2 paints needs 2 names, not 1"),
        (lambda: Palette((1, 1), ("a", "b"), K, K, "oil"), "own id; 1 stands twice"),
        (lambda: Palette((1, 2), ("a", "b"), K[:1], K, "oil"), r"k must have the shape \(2, 31\), not \(1, 31\)"),
        (lambda: Palette((1, 2), ("a", "b"), -K, K, "oil"), "k of a at 400 nm must be finite and 0 or more, not -1"),
        (lambda: Palette((1, 2), ("a", "b"), K, K * np.nan, "oil"), "s of a at 400 nm must be finite and above 0"),
        (lambda: Palette((1, 2), ("a", "b"), K, K, "oil").without(3), "no paint with the id 3"),
        (
            lambda: Palette((1, 2), ("a", "b"), K, K, "oil").plus(Palette((3, 4), ("c", "d"), K, K, "acrylic")),
            "oil and in acrylic are not mixed",
        ),
        (lambda: reach(Palette((1, 2), ("a", "b"), K, K, "oil"), batch_series=0), "at least 1, not 0"),
        (
            lambda: gain(Palette((), (), K[:0], K[:0], "oil"), Palette((1, 2), ("a", "b"), K, K, "oil")),
            "one candidate, not 2",
        ),
    ],
)
def test_refused_input(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_masstones_are_those_of_the_mixture(palette):
    paints = palette(*SIX)
    assert difference(paints.masstones, mixture_lab(paints.k, paints.s, np.eye(7))).max() < 1e-6


def test_many_paints_are_screened_and_little_is_lost(rows, monkeypatch):
    """Of 30 typical curves every triple is worked too; the bounds are what other draws of the table lost at most."""
    paints = some(rows, [len(rows) - 1, *range(0, len(rows) - 3, 4)][:30])
    screened = reach(paints)
    monkeypatch.setattr("inventory.colour.reach.WHOLE_UP_TO", 99)
    whole = reach(paints)
    assert screened.tried < whole.tried / 2
    assert (screened.chroma <= whole.chroma + 1e-9).all()
    assert percent(whole.chroma) - percent(screened.chroma) < 0.1
    held = [percent(one.chroma) - np.array([percent(grid) for grid in one.without]) for one in (screened, whole)]
    np.testing.assert_allclose(held[0], held[1], atol=0.2)


def test_a_gain_of_many_paints_is_screened_and_little_is_lost(rows, monkeypatch):
    numbers = [len(rows) - 1, *range(0, len(rows) - 3, 4)][:30]
    base = reach(some(rows, numbers))
    candidates = some(rows, [1, 17, 41], first=1000)
    for place in range(3):
        one = candidates.take([place])
        pairs, screened = gain_of_pairs(base.palette, one), gain(base.palette, one, base.chroma)
        whole = gain(base.palette, one)
        assert (pairs <= screened + 1e-9).all()
        assert (screened <= whole + 1e-9).all()
        grids = [percent(np.maximum(base.chroma, grid)) for grid in (screened, whole)]
        assert grids[1] - grids[0] < 0.05
