"""Advice on what to order: against the closed forms of the textbook, and what is said when little is known."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.advice import Planned, Policy, Situation, advise
from inventory.stock.forecast import Method

TODAY = date(2026, 11, 25)
STEADY = (28_000, 32_000) * 26
WEEKLY = Policy(service=0.99, fill=False, order_on=TODAY, next_on=TODAY + timedelta(weeks=7), lead_days=14)


def white(**changed):
    known = {"name": "Titanium White", "unit": "ml", "held_milli": 71_000, "on_order_milli": 0, "weeks": STEADY}
    return Situation(**{**known, **changed})


def test_the_level_is_that_of_a_periodic_review():
    """Stevenson, Operations Management, 14th ed., p. 532: S = d (R + L) + z s sqrt(R + L)."""
    found = advise(white(), WEEKLY, TODAY)
    mean, sd = found.forecast.mean, found.forecast.sd
    assert found.forecast.method == Method.SMOOTHING
    assert mean == pytest.approx(30_000, rel=0.02)
    assert found.up_to_milli == pytest.approx(mean * 9 + 2.326348 * sd * 3, abs=1000)
    assert found.short_milli == found.up_to_milli - 71_000
    assert found.order_now
    assert "Order" in found.sentence
    assert "now" in found.sentence


def test_what_is_on_order_counts_and_what_is_planned_adds():
    plain = advise(white(), WEEKLY, TODAY)
    ordered = advise(white(on_order_milli=50_000), WEEKLY, TODAY)
    assert ordered.short_milli == plain.short_milli - 50_000
    lesson = Planned(TODAY + timedelta(days=20), 60_000, "Greys")
    planned = advise(white(planned=(lesson,)), WEEKLY, TODAY)
    assert planned.short_milli == plain.short_milli + 60_000
    assert any("Greys on 15 December 2026" in step for step in planned.steps)
    later = Planned(TODAY + timedelta(weeks=30), 60_000, "Greys")
    assert advise(white(planned=(later,)), WEEKLY, TODAY).short_milli == plain.short_milli


def test_what_will_not_last_until_the_delivery_is_said():
    policy = Policy(service=0.95, fill=False, order_on=date(2027, 2, 3), next_on=date(2027, 8, 2), lead_days=10)
    found = advise(white(), policy, TODAY)
    assert found.runs_out_before_delivery
    assert "It will not last until a delivery of 13 February 2027" in found.sentence
    low, middle, high = found.days
    assert low < middle < high < 40
    assert middle == pytest.approx(71_000 / found.forecast.mean * 7)


def test_without_a_history_only_the_level_speaks_and_nothing_is_forecast():
    """A level of 2, none sealed, one open, the next order date in five months: below level, no invented forecast."""
    policy = Policy(service=0.95, fill=False, order_on=TODAY + timedelta(days=150), next_on=None, lead_days=None)
    situation = white(held_milli=20_000, weeks=(), level_milli=74_000, level_words="2 tubes of 37 ml, set by Ines")
    found = advise(situation, policy, TODAY)
    assert (found.forecast.mean, found.days, found.up_to_milli) == (None, None, None)
    assert found.short_milli == 54_000
    assert "54 ml short of its level" in found.sentence
    assert "last" not in found.sentence
    assert any("too little to forecast from" in step for step in found.steps)


def test_a_policy_that_is_not_set_makes_no_order_of_a_forecast():
    found = advise(white(), None, TODAY)
    assert (found.short_milli, found.up_to_milli) == (0, None)
    assert "A week takes about" in found.sentence
    assert any("is not set" in step for step in found.steps)


def test_a_fill_rate_keeps_less_than_a_cycle_service_of_the_same_number():
    cycle = advise(white(), Policy(0.98, False, TODAY, TODAY + timedelta(weeks=7), 21), TODAY)
    fill = advise(white(), Policy(0.98, True, TODAY, TODAY + timedelta(weeks=7), 21), TODAY)
    assert fill.up_to_milli < cycle.up_to_milli


def test_what_is_not_known_of_the_lead_time_is_said():
    found = advise(white(), Policy(0.95, False, TODAY, TODAY + timedelta(weeks=7), None), TODAY)
    assert any("lead time is not known and taken as 0" in step for step in found.steps)


@given(st.integers(0, 400_000), st.integers(0, 200_000), st.integers(0, 300_000))
def test_more_on_the_shelf_never_asks_for_more(held, more, level):
    less = advise(white(held_milli=held, level_milli=level, level_words="a level"), WEEKLY, TODAY)
    richer = advise(white(held_milli=held + more, level_milli=level, level_words="a level"), WEEKLY, TODAY)
    assert richer.short_milli <= less.short_milli
    assert less.short_milli >= max(0, level - held)


def test_a_planned_lesson_ends_the_days_on_its_own_day_at_the_latest():
    """71 ml last 16 to 17 days at 30 ml a week; a lesson on the tenth that takes 60 ml leaves nothing."""
    lessons = [Planned(TODAY + timedelta(days=day), 60_000, "Greys") for day in (10, 17, 24)]
    found = advise(white(planned=tuple(lessons)), WEEKLY, TODAY)
    assert found.days == (10, 10, 10)
    found = advise(white(planned=tuple(lessons[1:])), WEEKLY, TODAY)
    assert found.days[1] == pytest.approx(71_000 / found.forecast.mean * 7)
    small = tuple(Planned(each.on, 7_000, "Greys") for each in lessons)
    assert advise(white(planned=small), WEEKLY, TODAY).days[1] == pytest.approx(64_000 / found.forecast.mean * 7)
