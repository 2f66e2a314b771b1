"""Words and weights of tints."""

import pytest

from inventory.measuring.worth import ORDER, white_to_weigh


@pytest.mark.parametrize(
    ("paint", "parts", "white"),
    [(1000, (1, 1), 1000), (1000, (1, 9), 9000), (5000, (1, 9), 45000), (333, (2, 1), 167), (1, (3, 1), 0)],
)
def test_white_follows_from_the_parts(paint, parts, white):
    """Worked by hand."""
    assert white_to_weigh(paint, *parts) == white


def test_amounts_and_parts_of_nothing_are_refused():
    with pytest.raises(ValueError, match="paint_milligrams must be above 0, not 0"):
        white_to_weigh(0, 1, 9)
    with pytest.raises(ValueError, match="white_parts must be above 0, not -9"):
        white_to_weigh(1000, 1, -9)


def test_each_step_is_worth_more_than_the_one_below():
    errors = [step.pair_error for step in ORDER if step.pair_error is not None]
    assert errors == sorted(errors, reverse=True)
    assert all(step.then for step in ORDER[:-1])
    assert not ORDER[-1].then
