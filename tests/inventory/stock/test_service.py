"""Reorder points, levels, fill rates and lots against textbooks; "exact" is recomputed where a source rounds z.

Sources: [S] Stevenson, Operations Management, 14th ed., ch. 12. [H] Heizer and Render, Operations Management, ch. 12.
[T] Taylor, Introduction to Management Science, ch. 16. [B] a worked reorder problem of an exercise site. [M] MIT
15.762, spring 2011, assignment 1. [C] Chopra and Meindl, Supply Chain Management, exercise 11-4 and example 12-1.
[SS] Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., as in the docstrings of stockpyl 1.0.2. [CT] Cachon
and Terwiesch, Matching Supply with Demand. [CH] a solution sheet on quantity discounts. [Z] lecture slides on
economic quantities. [S13] Stevenson, earlier edition, table 13.3. [HW] a worked answer with an error.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock import lots
from inventory.stock.lots import Break
from inventory.stock.service import (
    days_left,
    fill_rate,
    lead_sd,
    order_up_to,
    poisson_at_most,
    poisson_fill,
    poisson_loss,
    poisson_stock,
    quantile,
    reorder_point,
    unit_loss,
    z_for_fill,
    z_of_loss,
)

REORDER_POINTS = [
    # mean, sd, lead, spread of the lead, z or service, printed, exact, source
    (50, 5, 1, 0, 0.97, 59.40, 59.403968, "[S] p. 528"),
    (0, 5, 1, 0, 0.97, 9.40, 9.403968, "[S] p. 528, safety stock"),
    (30, 5, 10, 0, "1.65", None, 326.088791, "[T]"),
    (0, 5, 10, 0, "1.65", None, 26.088791, "[T], safety stock"),
    (30, 5, 10, 0, 0.95, None, 326.007419, "[T]"),
    (600, 0, 6, 2, "1.28", 5136, 5136, "[S] p. 543"),
    (600, 0, 6, 2, 0.90, None, 5137.861879, "[S] p. 543"),
    (1, 0, 6, 2, "1.28", 8.56, 8.56, "[S] p. 543, in days of use"),
    (60, 0, 6, 2, "1.28", 513.6, 513.6, "[H] eq. 12-16"),
    (25, 3, 10, 2, "1.65", 334, 333.971870, "[S] p. 543"),
    (25, 3, 10, 2, 0.95, None, 333.709961, "[S] p. 543"),
    (12_500, 0, 4, 1, "1.88", None, 73_500, "[B]"),
    (1.5, 0, 3, 0, 0.9, None, 4.5, "[CT], on order"),
    (1300, 150, 1 / 12, 0, 7.5 / (7.5 + 0.225), 190.337, 190.337, "[SS] ex. 5.5"),
]


@pytest.mark.parametrize(("mean", "sd", "lead", "spread", "service", "printed", "exact", "source"), REORDER_POINTS)
def test_reorder_points(mean, sd, lead, spread, service, printed, exact, source):
    z = float(service) if isinstance(service, str) else quantile(service)
    found = reorder_point(mean, sd, lead, z, spread)
    assert found == pytest.approx(exact, rel=1e-6), source
    if printed is not None:
        assert found == pytest.approx(printed, abs=0.5 if printed == int(printed) else 0.05), source


@pytest.mark.parametrize(("service", "printed"), [(0.90, 1.28), (0.95, 1.65), (0.97, 1.88), (0.99, 2.33)])
def test_the_z_of_a_service_level(service, printed):
    """[S], [T] and [H], to the two decimals of their tables."""
    assert quantile(service) == pytest.approx(printed, abs=6e-3)


@pytest.mark.parametrize(
    ("level", "exact"),
    [
        (lambda: order_up_to(30, 3, 7, 2, 2.33) - 71, 219.97),  # [S] p. 532, prints 220
        (lambda: order_up_to(30, 3, 7, 2, quantile(0.99)) - 71, 219.937131),
        (lambda: order_up_to(15.2, 1.6, 30, 5, 1.65) - 11 * 25, 272.618451),  # [S] p. 543
        (lambda: order_up_to(0, 1.6, 30, 5, 1.65), 15.618451),  # its safety stock
        (lambda: order_up_to(20, 4, 7, 3, quantile(0.98)), 225.978097),  # [M] 2a
        (lambda: z_for_fill(0.98, 140, 4 * math.sqrt(10)), 0.426730),  # [M] 2b
        (lambda: unit_loss(0.426730), 0.221359),
        (lambda: order_up_to(20, 4, 7, 3, z_for_fill(0.98, 140, 4 * math.sqrt(10))), 205.397752),
        (lambda: lots.one_season(50 * 5, 8 * math.sqrt(5), 0.70, 0.18).quantity, 264.766894),  # stockpyl
        (lambda: lots.one_season(50 * 5, 8 * math.sqrt(5), 0.70, 0.18).cost, 4.466781),
    ],
)
def test_levels_that_are_filled_up_to(level, exact):
    assert level() == pytest.approx(exact, rel=1e-6, abs=1e-6)


def test_the_review_stands_under_the_root_too():
    """[HW] puts the lead time alone there and prints 479.44."""
    found = order_up_to(60, 2, 10, 5, 1.96, 0.5) - 480
    assert found == pytest.approx(480.728379, rel=1e-6)
    assert found != pytest.approx(479.44, abs=0.05)


def test_jars_are_whole():
    """[S] p. 543: 272.6 ml in jars of 25 ml."""
    assert math.ceil((order_up_to(15.2, 1.6, 30, 5, 1.65) - 275) / 25) == 11


def test_fill_rates():
    """[C] exercise 11-4: safety stock 100, sigma 212, service 0.68, shortage 43.86, fill 0.96."""
    spread = lead_sd(250, 150, 2)
    assert spread == pytest.approx(212.132034)
    z = (600 - 500) / spread
    assert quantile(0.681324) == pytest.approx(z, abs=2e-6)
    assert spread * unit_loss(z) == pytest.approx(43.861259, rel=1e-6)
    assert fill_rate(600, 1000, 500, spread) == pytest.approx(0.956139, abs=1e-6)
    # Data of example 12-1, and the way back to a wanted fill of 0.975.
    spread = lead_sd(2500, 500, 2)
    z = (6000 - 5000) / spread
    assert (spread, spread * unit_loss(z)) == pytest.approx((707.106781, 25.127271), rel=1e-6)
    assert quantile(0.921350) == pytest.approx(z, abs=5e-6)
    assert fill_rate(6000, 10_000, 5000, spread) == pytest.approx(0.997487, abs=1e-6)
    assert z_for_fill(0.975, 10_000, spread) == pytest.approx(0.094325, abs=1e-6)
    assert spread * z_for_fill(0.975, 10_000, spread) == pytest.approx(66.697558, rel=1e-6)


@pytest.mark.parametrize(
    ("z", "printed", "exact"),
    [(-2.4, 2.403, 2.402720), (-0.8, 0.920, 0.920207), (0.8, 0.120, 0.120207), (0.84, 0.112, 0.111962),
     (1.0, 0.083, 0.083315), (1.28, 0.048, 0.047499), (2.4, 0.003, 0.002720), (0.0, 0.3989, 0.398942)],
)  # fmt: skip
def test_the_unit_normal_loss_table(z, printed, exact):
    """[S13] table 13.3."""
    assert unit_loss(z) == pytest.approx(exact, abs=1e-6)
    assert unit_loss(z) == pytest.approx(printed, abs=6e-4)


def test_misprints_of_the_loss_table_do_not_come_out():
    for z, exact, misprinted in ((2.33, 0.003352, 0.00352), (1.16, 0.060863, 0.61)):  # an exam answer; [S13]
        assert unit_loss(z) == pytest.approx(exact, abs=1e-6)
        assert unit_loss(z) != pytest.approx(misprinted, abs=1e-4)
    assert (unit_loss(0.3), unit_loss(-0.3)) == pytest.approx((0.266761, 0.566761), abs=1e-6)  # stockpyl
    assert 8 * unit_loss(1.25) == pytest.approx(0.404695, abs=1e-6)  # stockpyl, normal_loss(60, 50, 8)


@given(st.floats(-6, 6))
def test_losses_on_both_sides_differ_by_z(z):
    assert unit_loss(-z) == pytest.approx(unit_loss(z) + z)


@given(st.floats(-3, 5))
def test_the_z_of_a_loss_is_the_way_back(z):
    assert z_of_loss(unit_loss(z)) == pytest.approx(z, abs=1e-6)


def test_poisson():
    """[S] p. 537, [CT] order-up-to slides, with what is short at 0 to 4 in stock."""
    assert [poisson_at_most(k, 4) for k in range(6)] == pytest.approx(
        [0.018, 0.092, 0.238, 0.433, 0.629, 0.785], abs=1e-3
    )
    assert lots.critical_ratio(3, 2) == pytest.approx(0.60)
    assert poisson_stock(4, lots.critical_ratio(3, 2)) == 4
    assert [poisson_at_most(k, 1.25) for k in range(5)] == pytest.approx(
        [0.286505, 0.644636, 0.868468, 0.961731, 0.990876], abs=1e-6
    )
    assert [poisson_loss(k, 1.25) for k in range(5)] == pytest.approx(
        [1.25, 0.53650, 0.18114, 0.04961, 0.01134], abs=1e-5
    )
    assert 1 - poisson_at_most(8, 6) == pytest.approx(0.152763, abs=1e-6)
    assert poisson_fill(9, 1.5, 3) == pytest.approx(0.910710, abs=1e-6)
    assert poisson_fill(8, 1.5, 3) == pytest.approx(0.835706, abs=1e-6)
    assert poisson_at_most(9, 6) == pytest.approx(0.916076, abs=1e-6)


def test_a_point_and_a_quantity_for_tubes_that_go_one_at_a_time():
    """[SS] example 5.8."""
    assert lots.poisson_point_and_quantity(1.5, 2, 100, 20, 150) == (3, 5, pytest.approx(107.92358063314975, rel=1e-9))


def test_economic_quantities():
    """[SS] examples 3.1 and 3.8; [Z] with data of [T]."""
    found = lots.economic_quantity(1300, 8, 0.225)
    assert (found.quantity, found.cost) == pytest.approx((304.0467800264368, 68.41052550594829), rel=1e-9)
    found = lots.economic_quantity(10_000, 150, 0.75)
    assert (found.quantity, found.cost) == pytest.approx((2000, 1500))
    assert reorder_point(10_000 / 311, 0, 10, 0) == pytest.approx(321.543408, rel=1e-6)
    found, waiting = lots.with_backorders(1300, 8, 0.225, 5)
    assert (found.quantity, waiting, found.cost) == pytest.approx((310.812555, 0.043062, 66.921364), rel=1e-5)
    assert lots.with_backorders(1300, 8, 0.225, 7.5)[0].quantity == pytest.approx(308.574, abs=1e-3)


def test_quantity_discounts():
    """[CH] twice, and the docstrings of stockpyl.eoq."""
    sheets = [Break(0, 20), Break(50, 18), Break(80, 17), Break(100, 16)]
    found = lots.all_units(816, 12, sheets, holding_cost=4)
    assert (found.quantity, found.cost) == (100, pytest.approx(13_353.92))
    assert lots.economic_quantity(816, 12, 4).quantity == pytest.approx(69.971423, rel=1e-6)
    assert lots.yearly_cost(816, 12, 4, 80, 17) == pytest.approx(14_154.40)
    assert lots.yearly_cost(816, 12, 4, lots.economic_quantity(816, 12, 4).quantity, 18) == pytest.approx(
        14_967.886, abs=1e-3
    )
    found = lots.all_units(4000, 30, [Break(0, 0.9), Break(500, 0.85), Break(1000, 0.8)], holding_share=0.4)
    assert (found.quantity, found.cost) == (1000, pytest.approx(3480))
    assert lots.economic_quantity(4000, 30, 0.4 * 0.8).quantity == pytest.approx(866.03, abs=0.01)  # below its break
    feasible = lots.economic_quantity(4000, 30, 0.4 * 0.85).quantity
    assert feasible == pytest.approx(840.17, abs=0.01)
    assert lots.yearly_cost(4000, 30, 0.4 * 0.85, feasible, 0.85) == pytest.approx(3685.657, abs=1e-3)
    # In whole packs: what is exact stays; between two, the cheaper by the yearly cost, worked by hand:
    # 2 a year at 20, an order 8, holding 4 each: 1 costs 58, 2 cost 52, 3 cost 51.33, 4 cost 52.
    assert (
        lots.whole_lot(4000, 30, [Break(0, 0.9), Break(500, 0.85), Break(1000, 0.8)], holding_share=0.4).quantity
        == 1000
    )
    assert lots.whole_lot(2, 8, [Break(0, 20)], holding_share=0.2) == lots.Lot(3, pytest.approx(51.3333, abs=1e-4), 0)
    assert lots.whole_lot(0.01, 1, [Break(0, 20)], holding_share=0.2).quantity == 1
    found = lots.all_units(1000, 200, [Break(0, 500), Break(200, 475), Break(500, 450)], holding_share=0.2)
    assert (found.quantity, found.break_place, found.cost) == (500, 2, pytest.approx(472_900))
    found = lots.incremental(2400, 150, [Break(0, 100), Break(300, 90), Break(600, 80)], holding_share=0.25)
    assert (found.quantity, found.break_place, found.cost) == (
        pytest.approx(1481.8906842), 2, pytest.approx(222_762.8136845)
    )  # fmt: skip


def test_one_order_for_one_season():
    """[SS] examples 4.3 and 4.7 and stockpyl; bar and textbook exercises for the ratio."""
    found = lots.one_season(50, 8, 0.70, 0.18)
    assert (found.quantity, found.cost) == pytest.approx((56.60395592743389, 1.9976051931766445), rel=1e-9)
    assert 100 + 100 * lots.critical_ratio(0.90 - 0.30, 0.30) == pytest.approx(166.666667)  # uniform 100 to 200
    assert 1 - lots.critical_ratio(0.90 - 0.30, 0.30) == pytest.approx(1 / 3)  # of running out
    found = lots.one_season(200, 60, 600 - 120, 120 - 60).quantity
    assert found == pytest.approx(273.238421, rel=1e-6)
    assert found != pytest.approx(200 + 60 * quantile(60 / 540), abs=1)  # as its explanation has the ratio
    assert lots.critical_ratio(15 - 10, 10 - 3) == pytest.approx(5 / 12)
    assert lots.one_season(10_000, 2000, 15 - 10, 10 - 3).quantity == pytest.approx(9579.143212, rel=1e-6)
    found = lots.one_season_poisson(6, 4, 1)
    assert (found.quantity, found.cost) == (8, pytest.approx(3.570106945770941))
    assert lots.season_cost_poisson(5, 6, 4, 1) == pytest.approx(6.590296024616343)
    found = lots.one_season_poisson(50, 0.70, 0.18)
    assert (found.quantity, found.cost) == (56, pytest.approx(1.797235211809177))


@given(st.floats(1, 1000), st.floats(0.1, 50), st.floats(0, 50))
def test_days_left_lie_around_their_middle(held, mean, sd):
    low, middle, high = days_left(held, mean, sd, 7)
    assert 0 <= low <= middle + 1e-6
    assert middle <= high + 1e-6
    assert middle == pytest.approx(held / mean * 7)
    # At the low end the 95th percentile of what is used is all that is held.
    periods = low / 7
    assert mean * periods + quantile(0.95) * sd * math.sqrt(periods) == pytest.approx(held, rel=1e-6)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: quantile(1.0),
        lambda: z_for_fill(0.9, 0, 1),
        lambda: z_of_loss(0),
        lambda: poisson_stock(-1, 0.9),
        lambda: days_left(10, 0, 1, 7),
        lambda: lots.economic_quantity(0, 1, 1),
        lambda: lots.all_units(1, 1, [Break(5, 1)], holding_cost=1),
        lambda: lots.all_units(1, 1, [Break(0, 1)]),
    ],
)
def test_what_makes_no_sense_is_refused(refused):
    with pytest.raises(ValueError, match=r"above 0|between 0 and 1|start at 0|500|holding cost"):
        refused()
