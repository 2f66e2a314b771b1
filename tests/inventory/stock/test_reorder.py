"""Below a level or not, and how many to order. The arithmetic was worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.reorder import Shelf, by_amount, by_tubes

counts = st.integers(0, 500)
amounts = st.integers(0, 200_000_000)


@pytest.mark.parametrize(
    ("sealed", "open_", "level", "count_open", "short"),
    [
        (0, 0, 1, False, 1),
        (1, 0, 1, False, 0),  # at the level is not below it
        (2, 0, 1, False, 0),
        (0, 1, 1, False, 1),  # an open tube is no reserve
        (0, 1, 1, True, 0),
        (1, 1, 3, True, 1),
        (1, 5, 3, False, 2),
    ],
)
def test_a_level_in_tubes(sealed, open_, level, count_open, short):
    found = by_tubes("Zinc White", Shelf(sealed=sealed, open=open_), level, count_open=count_open)
    assert (found.short, found.suggested_tubes) == (short, short or None)


@pytest.mark.parametrize(
    ("shelf", "count_open", "reason"),
    [
        (
            Shelf(sealed=1, open=2),
            False,
            "Zinc White is below its level of 3: 1 sealed and 2 open, and only sealed ones count. Order 2 to reach it.",
        ),
        (
            Shelf(sealed=2),
            True,
            "Zinc White is below its level of 3: 2 sealed, and sealed and open ones count. Order 1 to reach it.",
        ),
        (Shelf(sealed=3), False, "Zinc White: 3 sealed, at or above the level of 3 (only sealed ones count)."),
    ],
)
def test_the_reason_for_a_level_in_tubes(shelf, count_open, reason):
    assert by_tubes("Zinc White", shelf, 3, count_open=count_open).reason == reason


@pytest.mark.parametrize(
    ("sealed", "open_", "level", "count_open", "size", "short", "tubes"),
    [
        (74_000, 0, 100_000, False, 37_000, 26_000, 1),
        (37_000, 30_000, 150_000, False, 37_000, 113_000, 4),  # 113 / 37 = 3.05..., so four
        (37_000, 30_000, 150_000, True, 37_000, 83_000, 3),  # 83 / 37 = 2.24...
        (26_000, 0, 100_000, False, 37_000, 74_000, 2),  # 74 = 2 x 37 exactly
        (25_999, 0, 100_000, False, 37_000, 74_001, 3),  # a thousandth more takes a third
        (100_000, 0, 100_000, False, 37_000, 0, None),
        (100_001, 0, 100_000, False, 37_000, 0, None),
        (0, 0, 100_000, False, None, 100_000, None),  # nobody knows in what size it is bought
        (0, 0, 1, False, 37_000, 1, 1),
    ],
)
def test_a_level_in_millilitres(sealed, open_, level, count_open, size, short, tubes):
    shelf = Shelf(sealed_milli=sealed, open_milli=open_)
    found = by_amount("Zinc White", shelf, level, "ml", count_open=count_open, size_milli=size)
    assert (found.short, found.suggested_tubes) == (short, tubes)


@pytest.mark.parametrize(
    ("sealed", "size", "reason"),
    [
        (
            74_000,
            37_000,
            "Gum Spirits is below its level of 1234.567 ml: 74 ml counted, and only sealed ones count. "
            "Order 32 of 37 ml to reach it.",  # 1160.567 / 37 = 31.37...
        ),
        (
            0,
            None,
            "Gum Spirits is below its level of 1234.567 ml: 0 ml counted, and only sealed ones count. "
            "Order 1234.567 ml to reach it.",
        ),
        (
            1_000_000_000,
            None,
            "Gum Spirits: 1000000 ml, at or above the level of 1234.567 ml (only sealed ones count).",
        ),
    ],
)
def test_the_reason_for_a_level_in_millilitres_does_not_round(sealed, size, reason):
    found = by_amount("Gum Spirits", Shelf(sealed_milli=sealed), 1_234_567, "ml", count_open=False, size_milli=size)
    assert found.reason == reason


@given(counts, counts, st.integers(1, 500), st.booleans())
def test_ordering_what_is_short_reaches_a_level_in_tubes(sealed, open_, level, count_open):
    found = by_tubes("Zinc White", Shelf(sealed=sealed, open=open_), level, count_open=count_open)
    after = Shelf(sealed=sealed + (found.suggested_tubes or 0), open=open_)
    assert by_tubes("Zinc White", after, level, count_open=count_open).short == 0


@given(amounts, amounts, st.integers(1, 200_000_000), st.booleans(), st.integers(1, 5_000_000))
def test_ordering_what_is_short_reaches_a_level_in_millilitres_and_one_less_does_not(
    sealed, open_, level, count_open, size
):
    found = by_amount("Zinc White", Shelf(0, 0, sealed, open_), level, "ml", count_open=count_open, size_milli=size)
    tubes = found.suggested_tubes or 0
    assert (tubes - 1) * size < found.short <= tubes * size
