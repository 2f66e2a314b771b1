"""When something is due: worked by hand on a calendar; the year 2024 has a 29 February."""

from datetime import date

import pytest

from safety.rules.due import ASK, Due, DueState, Interval, due, due_on, interval_for

TODAY = date(2024, 3, 1)


@pytest.mark.parametrize(
    ("last", "days", "state", "on", "over", "words"),
    [
        (None, None, DueState.NO_INTERVAL, None, 0, ASK),
        (date(2024, 2, 1), None, DueState.NO_INTERVAL, None, 0, "not set: ask your safety office"),
        (None, 7, DueState.NEVER, None, 0, "never done"),
        # 29 February lies between: seven days after 23 February is 1 March in a leap year.
        (date(2024, 2, 23), 7, DueState.DUE_ON, date(2024, 3, 1), 0, "due on 1 March 2024"),
        (date(2024, 2, 22), 7, DueState.OVERDUE, date(2024, 2, 29), 1, "overdue by 1 day"),
        (date(2024, 2, 24), 7, DueState.DUE_ON, date(2024, 3, 2), 0, "due on 2 March 2024"),
        (date(2023, 3, 1), 365, DueState.OVERDUE, date(2024, 2, 29), 1, "overdue by 1 day"),
        (date(2023, 12, 22), 30, DueState.OVERDUE, date(2024, 1, 21), 40, "overdue by 40 days"),
        (TODAY, 1, DueState.DUE_ON, date(2024, 3, 2), 0, "due on 2 March 2024"),
        (TODAY, 2_147_483_647, DueState.DUE_ON, date.max, 0, "due on 31 December 9999"),
    ],
)
def test_due(last, days, state, on, over, words):
    answer = due(last, days, TODAY)
    assert (answer.state, answer.on, answer.days_over) == (state, on, over)
    assert answer.words == words
    assert answer.late == (state in (DueState.NEVER, DueState.OVERDUE))


@pytest.mark.parametrize("days", [0, -7])
def test_an_interval_below_a_day_is_refused(days):
    with pytest.raises(ValueError, match=f"at least 1 day, not {days}"):
        due(TODAY, days, TODAY)


def test_a_day_that_is_set_outright():
    assert due_on(TODAY, TODAY) == Due(DueState.DUE_ON, TODAY)
    assert due_on(date(2024, 2, 28), TODAY) == Due(DueState.OVERDUE, date(2024, 2, 28), 2)


def test_the_most_pressing_comes_first():
    week, month = due(date(2024, 2, 1), 7, TODAY), due(date(2024, 1, 1), 7, TODAY)
    never, soon, later, unset = (
        due(None, 7, TODAY),
        due(TODAY, 1, TODAY),
        due(TODAY, 90, TODAY),
        due(TODAY, None, TODAY),
    )
    found = sorted([unset, later, soon, never, week, month], key=lambda one: one.order)
    assert found == [month, week, never, soon, later, unset]


STORE, YARD = 1, 2
RULES = (
    Interval("eyewash", None, 7, 1),
    Interval("eyewash", None, 14, 2),
    Interval("eyewash", STORE, 30, 3),
    Interval("Rag can", YARD, 1, 4),
)


@pytest.mark.parametrize(
    ("subject", "room", "rule"),
    [
        ("eyewash", STORE, 3),  # the room's own, although it is longer
        ("eyewash", YARD, 1),  # everywhere, the shorter of two
        ("eyewash", None, 1),
        ("rag can", YARD, 4),
        (" RAG CAN ", YARD, 4),
        ("rag can", STORE, None),
        ("rag can", None, None),
        ("extraction", STORE, None),
    ],
)
def test_which_interval_holds(subject, room, rule):
    found = interval_for(RULES, subject, room)
    assert (found and found.rule) == rule
