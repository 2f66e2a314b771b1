"""From the scale to what is left. The arithmetic was worked by hand from mass = density times volume."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.weighing import net_mass, volume_milli_ml, weigh

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
        found = weigh(131_500, 11_500, unit="g", density_milli=1_500, density_is_estimate=True)
        assert (found.net_milli_g, found.left_milli, found.is_estimate) == (120_000, 120_000, False)
        assert found.words == "120 g left."

    def test_grams_do_not_become_millilitres_on_their_own(self):
        found = weigh(73_500, 12_500, unit="ml")
        assert (found.net_milli_g, found.left_milli) == (61_000, None)
        assert found.words == "61 g left. Without a density this is not turned into ml: enter one."

    def test_an_entered_density_gives_millilitres(self):
        found = weigh(40_000, 10_000, unit="ml", density_milli=1_500)
        assert (found.left_milli, found.is_estimate) == (20_000, False)
        assert found.words == "30 g, which is 20 ml by the entered density of 1.5 g/ml."

    def test_an_estimated_density_says_so(self):
        found = weigh(40_000, 10_000, unit="ml", density_milli=1_500, density_is_estimate=True)
        assert (found.left_milli, found.is_estimate) == (20_000, True)
        assert found.words == "30 g, which is 20 ml by an estimated density of 1.5 g/ml."

    def test_the_words_do_not_round(self):
        found = weigh(2_469_135, 1, unit="ml", density_milli=1_000)
        assert found.words == "2469.134 g, which is 2469.134 ml by the entered density of 1 g/ml."

    def test_as_much_as_the_empty_container_is_nothing_left(self):
        assert weigh(10_000, 10_000, unit="g").left_milli == 0
