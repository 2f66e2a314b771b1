"""From the scale to what is left. The arithmetic was worked by hand from mass = density times volume."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.weighing import (
    SCALE_ERROR_MILLI_G,
    density_from_full,
    entered_density,
    entered_tare,
    learned_tare,
    net_mass,
    range_words,
    short_filling,
    tare_from_size,
    volume_milli_ml,
    weigh,
)

grams = st.integers(0, 10**9)
densities = st.integers(500, 8_000)


@pytest.mark.parametrize(
    ("mass", "density", "volume"),
    [
        (30_000, 1_500, 20_000),  # 30 g / 1.5 g/ml = 20 ml
        (30_000, 1_000, 30_000),  # 30 g / 1 g/ml = 30 ml
        (61_000, 2_400, 25_417),  # 61 / 2.4 = 25.41666... ml
        (10_000, 3_000, 3_333),  # 10 / 3 = 3.33333... ml
        (20_000, 3_000, 6_667),  # 20 / 3 = 6.66666... ml
        (0, 1_500, 0),
        (1, 8_000, 0),  # 0.001 / 8 = 0.000125 ml, below half a thousandth
        (1, 2_000, 0),  # 0.0005 ml, half a thousandth: to the even 0
        (3, 2_000, 2),  # 0.0015 ml: to the even 0.002
        (5, 2_000, 2),  # 0.0025 ml: to the even 0.002
    ],
)
def test_volume_of_a_mass(mass, density, volume):
    assert volume_milli_ml(mass, density) == volume


@given(grams, densities)
def test_the_volume_is_the_nearest_thousandth(mass, density):
    true = Fraction(mass * 1000, density)
    volume = volume_milli_ml(mass, density)
    assert abs(volume - true) <= Fraction(1, 2)
    assert abs(volume - true) < Fraction(1, 2) or volume % 2 == 0


@given(grams, grams)
def test_gross_is_net_and_tare(net, tare):
    assert net_mass(net + tare, tare) == net


@pytest.mark.parametrize("density", [0, -1_500])
def test_a_density_is_above_0(density):
    with pytest.raises(ValueError, match=r"A density must be above 0, not (0|-1\.5) g/ml\."):
        volume_milli_ml(1_000, density)


@pytest.mark.parametrize(("gross", "tare", "given"), [(-1_000, 0, "-1 g"), (5_000, -2_500, "-2.5 g")])
def test_a_weight_is_not_below_0(gross, tare, given):
    with pytest.raises(ValueError, match=rf"A weight cannot be below 0, but {given} was given\."):
        net_mass(gross, tare)


def test_the_scale_shows_no_less_than_the_empty_container():
    with pytest.raises(
        ValueError,
        match=r"The scale shows 1234\.567 g, less than the empty container's 1234\.568 g: check both weights\.",
    ):
        net_mass(1_234_567, 1_234_568)


class TestWeigh:
    def test_grams_need_no_density(self):
        found = weigh(131_500, entered_tare(11_500), unit="g", density=entered_density(1_500, is_estimate=True))
        assert (found.net_milli_g, found.left_milli, found.is_estimate) == (120_000, 120_000, False)
        assert found.words == "About 120 g left, give or take 2 g."

    def test_grams_do_not_become_millilitres_on_their_own(self):
        found = weigh(73_500, entered_tare(12_500), unit="ml")
        assert (found.net_milli_g, found.left_milli, found.low_milli, found.high_milli) == (61_000, None, None, None)
        assert found.words == (
            "About 61 g left, give or take 2 g. Without a density this is not turned into ml: enter one."
        )

    def test_an_entered_density_gives_millilitres_and_their_width(self):
        """By hand: 61 / 1.7 = 35.882 ml; sqrt((1.4142 / 61)^2 + 0.02^2) = 0.03063, so give or take 1.099 ml."""
        found = weigh(72_000, entered_tare(11_000), unit="ml", density=entered_density(1_700))
        assert (found.left_milli, found.is_estimate) == (35_882, False)
        assert found.low_milli == pytest.approx(34_783, abs=2)
        assert found.high_milli == pytest.approx(36_981, abs=2)
        assert found.words == (
            "About 61 g left, give or take 2 g; about 34 to 37 ml by the entered density of 1.7 g/ml."
        )

    def test_an_estimated_density_says_so_and_is_wider(self):
        found = weigh(40_000, entered_tare(10_000), unit="ml", density=entered_density(1_500, is_estimate=True))
        assert (found.left_milli, found.is_estimate) == (20_000, True)
        assert "about 16 to 24 ml by an estimated density of 1.5 g/ml." in found.words

    def test_as_much_as_the_empty_container_is_nothing_left(self):
        assert weigh(10_000, entered_tare(10_000), unit="g").left_milli == 0
        found = weigh(10_000, entered_tare(10_000), unit="ml", density=entered_density(2_000))
        assert (found.left_milli, found.low_milli) == (0, 0)
        assert found.high_milli == 708  # 1.415 g of 2 g/ml, to the even thousandth

    def test_a_tare_that_is_a_mean_may_be_a_little_above_what_the_scale_shows(self):
        tare = learned_tare([8_000, 8_600, 7_700])
        assert weigh(7_500, tare, unit="g").left_milli == 0
        with pytest.raises(ValueError, match=r"less than the empty container's 8\.1 g: check both weights"):
            weigh(6_000, tare, unit="g")

    def test_its_own_tare_may_not(self):
        with pytest.raises(ValueError, match="check both weights"):
            weigh(9_900, entered_tare(10_000), unit="g")


class TestTares:
    def test_nothing_is_learned_from_nothing(self):
        assert learned_tare([]) is None

    def test_the_mean_and_the_spread_that_one_more_has(self):
        """By hand: mean of 8, 9, 10 is 9; s = 1, and sqrt(1 + 1/3) = 1.1547."""
        tare = learned_tare([8_000, 9_000, 10_000])
        assert (tare.milli, tare.error_milli) == (9_000, 1_155)
        assert tare.how == "the mean of 3 empty ones, 8 to 10 g"

    def test_like_ones_are_no_surer_than_the_scale(self):
        assert learned_tare([8_000, 8_000]).error_milli == SCALE_ERROR_MILLI_G

    def test_one_alone_says_little(self):
        tare = learned_tare([25_000])
        assert (tare.milli, tare.error_milli, tare.how) == (25_000, 2_500, "the weight of one empty one")

    @pytest.mark.parametrize("size", [0, -1, 250_001])
    def test_no_tare_is_made_up_for_a_jar(self, size):
        assert tare_from_size(size) is None

    def test_a_rough_tare_is_marked(self):
        """By hand: 0.7 * 37^(2/3) = 0.7 * 11.10 = 7.77 g, to tenths 7.8; our own rule."""
        tare = tare_from_size(37_000)
        assert (tare.milli, tare.is_estimate) == (7_800, True)
        assert tare.error_milli == pytest.approx(3_109, abs=2)


@pytest.mark.parametrize(
    ("size", "short"),
    [(37, 3.33), (50, 4.5), (60, 4.5), (100, 4.5), (150, 6.75), (200, 9), (250, 9), (400, 12), (500, 15), (1000, 15)],
)
def test_how_much_a_container_may_lack(size, short):
    """Council Directive 76/211/EEC, annex I, 2.4: 9 %, 4.5 g, 4.5 %, 9 g, 3 %, 15 g; the products by hand."""
    assert short_filling(size * 1000) == round(short * 1000)


def test_a_full_tube_gives_a_density_with_its_width():
    """By hand: 60 g / 37 ml = 1.62162; sqrt((1.415 / 60)^2 + 0.09^2) = 0.09304."""
    density = density_from_full(60_000, 1_415, 37_000)
    assert density.milli == 1_622
    assert density.error_milli == pytest.approx(151, abs=1)
    with pytest.raises(ValueError, match="check the weight and the tare"):
        density_from_full(0, 1_415, 37_000)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(34_783, 36_981, "about 34 to 37 ml"), (0, 700, "about 0 to 0.7 ml"), (9_840, 9_960, "about 9.8 to 10 ml")],
)
def test_a_range_is_told_outwards(low, high, words):
    assert range_words(low, high, "ml") == words
