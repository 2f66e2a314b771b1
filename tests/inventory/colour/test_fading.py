"""How far colours move in light, and the class of the difference."""

from datetime import date

import numpy as np
import pytest

from inventory.colour.fading import (
    Colour,
    CourseError,
    Exposed,
    check_course,
    class_of,
    difference_1976,
    moved,
)


def test_the_difference_agrees_with_a_reference_library():
    """colour-science, delta_E_CIE1976, on colours drawn once; the formula is ISO/CIE 11664-4:2019."""
    import colour

    rng = np.random.default_rng(7)
    one, other = rng.uniform((0, -90, -90), (100, 90, 90), (2, 200, 3))
    np.testing.assert_allclose(difference_1976(one, other), colour.difference.delta_E_CIE1976(one, other), atol=1e-9)


@pytest.mark.parametrize(
    ("one", "other", "worked"),
    [((50, 0, 0), (50, 3, 4), 5.0), ((50, 10, 10), (50, 10, 10), 0.0), ((40, 2, 3), (46, 5, 1), 7.0)],
)
def test_the_difference_by_hand(one, other, worked):
    """Worked by hand: 3-4-5, nothing, and 6-3-2-7."""
    assert difference_1976(one, other) == pytest.approx(worked)


def test_one_colour_is_compared_with_many():
    assert difference_1976((50, 0, 0), np.zeros((4, 2, 3))).shape == (4, 2)


def test_what_is_no_colour_is_refused():
    with pytest.raises(ValueError, match="3 values"):
        difference_1976((50, 0), (50, 0, 0))


@pytest.mark.parametrize(
    ("difference", "found"),
    [(0, "I"), (4, "I"), (4.1, "II"), (8, "II"), (8.1, "III"), (16, "III"), (16.1, "IV"), (24, "IV"), (24.1, "V")],
)
def test_classes_change_at_4_8_16_and_24(difference, found):
    """Limits from memory, after ASTM D4303; they double up to 16, and 24 ends IV."""
    assert class_of(difference) == found
    # 4.3 and 8.3 are 4 apart, and 4.000000000000001 in binary.
    assert class_of(float(difference_1976((4.3, 0, 0), (4.3 + difference, 0, 0)))) == found


@pytest.mark.parametrize("difference", [-0.1, float("nan")])
def test_a_difference_that_cannot_be_is_refused(difference):
    with pytest.raises(ValueError, match="0 or more"):
        class_of(difference)


def test_a_rough_reading_leaves_the_class_open():
    """Worked by hand: 1.645 times the root of 3² + 4² is 8.2, so 7 may be anything from 0 to 15.2."""
    exact = moved(Colour((50, 0, 0)), Colour((50, 7, 0)))
    assert (exact.width, exact.class_words) == (0, "II")
    rough = moved(Colour((50, 0, 0), 3), Colour((50, 7, 0), 4))
    assert rough.width == pytest.approx(8.225)
    assert rough.class_words == "I to III"


BEGAN, TODAY = date(2026, 3, 1), date(2026, 6, 1)


@pytest.mark.parametrize(
    ("looks", "field", "words"),
    [
        ([(date(2026, 2, 28), "hours", 10)], "on", "28 February 2026 is before the test began on 1 March 2026"),
        ([(date(2026, 6, 2), "hours", 10)], "on", "2 June 2026 is still to come"),
        ([(date(2026, 4, 1), "hours", 0)], "amount", "0 hours is no exposure"),
        ([(date(2026, 4, 1), "blue wool", 9)], "amount", "no blue wool reference 9: they run from 1 to 8"),
        ([(date(2026, 3, 2), "hours", 49)], "amount", "49 hours are more than there were"),
        (
            [(date(2026, 4, 1), "hours", 100), (date(2026, 3, 20), "hours", 120)],
            "on",
            "20 March 2026 is before the last reading of 1 April 2026",
        ),
        (
            [(date(2026, 4, 1), "hours", 100), (date(2026, 4, 9), "blue wool", 2), (date(2026, 5, 1), "hours", 90)],
            "amount",
            "90 hours is less than the 100 hours of 1 April 2026",
        ),
    ],
)
def test_a_course_that_cannot_be_is_refused(looks, field, words):
    with pytest.raises(CourseError, match=words) as refused:
        check_course(BEGAN, [Exposed(*look) for look in looks], TODAY)
    assert refused.value.field == field


def test_hours_and_blue_wools_follow_each_for_itself():
    looks = [(date(2026, 3, 1), "hours", 8), (date(2026, 4, 1), "blue wool", 1), (date(2026, 4, 1), "hours", 200)]
    check_course(BEGAN, [Exposed(*look) for look in looks], TODAY)
