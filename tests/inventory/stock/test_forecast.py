"""Forecasts of lumpy use against published worked examples and implementations."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.forecast import Method, Use, croston, forecast, pattern, sba, sbj, smoothed, tsb

# Test values of the package intermittent-forecast (tests/forecasters/test_croston.py), which follows R's
# tsintermittent.
SERIES = (0, 0, 3, 0, 4, 0, 0, 0, 2, 0)
PUBLISHED = {
    croston: (None, None, 1, 1, 1.25, 1.25, 1.25, 1.25, 0.904605, 0.904605),
    sba: (None, None, 0.9, 0.9, 1.125, 1.125, 1.125, 1.125, 0.8141447, 0.8141447),
    sbj: (None, None, 0.888888, 0.888888, 1.111111, 1.111111, 1.111111, 1.111111, 0.804093, 0.804093),
}
EXACT = {croston: 0.9046052631578947, sba: 0.814144737, sbj: 0.804093567}
TSB = (0.9, 0.81, 1.029, 0.9261, 1.2468390, 1.1221551, 1.0099396, 0.9089456, 1.0123723, 0.9111351)

# Monthly prescriptions, July 1991 to June 2008, of the series that sktime ships as PBS_dataset.csv.
PRESCRIPTIONS = (
    1, 1, 1, 0, 0, 1, 3, 1, 1, 1, 1, 1, 2, 1, 1, 0, 0, 2, 0, 0, 1, 2, 0, 1, 0, 0, 1, 1, 1, 1, 0, 0, 2, 1, 0, 0, 0,
    1, 0, 3, 3, 2, 4, 1, 1, 3, 3, 1, 0, 4, 1, 3, 0, 1, 2, 5, 14, 2, 0, 0, 3, 6, 2, 2, 2, 5, 1, 6, 3, 3, 2, 0, 1, 1,
    0, 0, 0, 1, 4, 12, 4, 0, 7, 0, 2, 1, 4, 1, 3, 1, 0, 6, 9, 3, 1, 3, 1, 7, 1, 3, 3, 3, 5, 6, 10, 5, 1, 3, 1, 1, 1,
    2, 1, 3, 7, 11, 10, 5, 5, 2, 2, 1, 0, 3, 6, 5, 8, 9, 1, 1, 0, 0, 0, 1, 2, 2, 0, 0, 0, 0, 1, 0, 0, 0, 2, 1, 1, 0,
    1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 1, 3, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
    0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
)  # fmt: skip

amounts = st.lists(st.one_of(st.just(0.0), st.floats(0.01, 500)), min_size=1, max_size=60)


@pytest.mark.parametrize("method", PUBLISHED, ids=lambda each: each.__name__)
def test_a_published_series_after_each_period(method):
    found = method(SERIES, alpha=0.5, beta=0.2)
    for got, printed in zip(found, PUBLISHED[method], strict=True):
        assert got == (None if printed is None else pytest.approx(printed, abs=1e-6))
    # What exact arithmetic gives at the end.
    assert found[-1] == pytest.approx(EXACT[method], rel=1e-8)


def test_tsb_on_the_published_series():
    assert tsb(SERIES, alpha=0.3, beta=0.1) == pytest.approx(TSB, abs=1e-7)


def test_the_series_is_whole():
    assert (len(PRESCRIPTIONS), sum(PRESCRIPTIONS), sum(each > 0 for each in PRESCRIPTIONS)) == (204, 331, 114)


@pytest.mark.parametrize(
    ("constant", "printed"), [(0.1, 0.8688921082506834), (0.5, 0.6754646269605121), (0.05, 1.405807689205001)]
)
def test_croston_as_r_gives_it(constant, printed):
    """sktime's tests of Croston, whose values come from forecast::croston of R."""
    assert croston(PRESCRIPTIONS, constant)[-1] == pytest.approx(printed, rel=1e-9)


def test_a_tutorial_series():
    """P. Morgan, tutorials on Croston's method: its series, recomputed: its printed means do not follow."""
    series = (2, 0, 0, 1, 0, 5, 4, 0, 0, 3, 0, 0, 1, 1)
    assert croston(series, 0.1)[-1] == pytest.approx(1.425293, abs=1e-6)
    assert sba(series, 0.1)[-1] == pytest.approx(1.354028, abs=1e-6)
    assert tsb(series, 0.1, 0.1, start=(2, 1))[-1] == pytest.approx(1.382035, abs=1e-6)
    found = pattern(series)
    assert (found.uses, found.interval) == (7, 2.0)
    # The squares of the amounts sum to 57: about their mean of 2.428571, and about 2.125 as printed.
    assert found.variation == pytest.approx(57 / 7 / 2.428571**2 - 1, abs=1e-6)
    assert found.variation != pytest.approx(57 / 8 / 2.125**2 - 1, abs=1e-2)


def test_a_misprinted_example_does_not_come_out():
    """H. Canitz, an article on Croston's method, prints 12.5 / 3.2 = 3.9; exact is 11.4 / 3.1."""
    found = croston((0, 0, 10, 0, 0, 20, 0, 0, 0, 15), 0.1)[-1]
    assert found == pytest.approx(3.677419, abs=1e-6)
    assert found != pytest.approx(3.9, abs=0.05)


@pytest.mark.parametrize(
    ("series", "kind"),
    [
        ((1, 1, 1, 1, 1, 1), Use.SMOOTH),
        ((1, 9, 1, 9, 1, 30), Use.ERRATIC),
        ((0, 2, 0, 0, 2, 0), Use.INTERMITTENT),
        ((0, 1, 0, 0, 40, 0, 1), Use.LUMPY),
    ],
)
def test_the_classes_of_use(series, kind):
    """Cut at 1.32 and 0.49, as Syntetos, Boylan and Croston 2005 published them."""
    assert pattern(series).kind == kind


@given(amounts)
def test_sba_is_never_above_croston(series):
    for plain, corrected in zip(croston(series), sba(series), strict=True):
        assert (plain is None and corrected is None) or corrected <= plain


@given(amounts)
def test_tsb_falls_on_every_empty_period_and_croston_stays(series):
    for place in range(1, len(series)):
        if series[place] == 0:
            assert tsb(series)[place] <= tsb(series)[place - 1]
            assert croston(series)[place] == croston(series)[place - 1]


@given(st.floats(0.1, 100), st.integers(6, 40))
def test_a_steady_use_is_forecast_as_it_is(amount, periods):
    series = [amount] * periods
    for found in (croston(series)[-1], tsb(series)[-1], smoothed(series)[-1], forecast(series).mean):
        assert found == pytest.approx(amount)
    assert forecast(series).sd == pytest.approx(0, abs=1e-9 * amount)


def test_nothing_used_is_no_forecast_and_no_division_by_zero():
    assert croston([0, 0, 0]) == [None, None, None]
    assert tsb([0, 0, 0]) == [0, 0, 0]
    answer = forecast([0] * 12)
    assert (answer.method, answer.mean) == (None, None)
    assert "too little to forecast from" in answer.why


@pytest.mark.parametrize(
    ("series", "method"),
    [
        ([3, 0, 4, 5], None),
        ([0] * 20 + [5, 5], None),
        ([3, 4, 3, 5, 4, 3, 4], Method.SMOOTHING),
        ([3, 4, 3, 0, 4, 3, 4, 5], Method.CROSTON),
        ([1, 9, 1, 0, 1, 12, 1, 1], Method.SBA),
        ([0, 5, 0, 0, 6, 0, 0, 0, 4, 0], Method.SBA),
        ([0, 5, 0, 6, 0, 4, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], Method.TSB),
    ],
)
def test_the_method_follows_the_stated_rule(series, method):
    answer = forecast(series)
    assert answer.method == method
    assert (answer.mean is None) == (method is None)
    assert str(sum(each > 0 for each in series)) in answer.why


@pytest.mark.parametrize("series", [[-1.0], [math.nan], [math.inf]])
def test_what_is_no_amount_is_refused(series):
    with pytest.raises(ValueError, match="0 or more"):
        forecast(series)


def test_a_constant_outside_its_bounds_is_refused():
    with pytest.raises(ValueError, match="at most 1"):
        croston([1, 2], alpha=1.5)
