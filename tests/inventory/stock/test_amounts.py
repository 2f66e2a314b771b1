"""Amounts on paper and screen are those in the books, to the last thousandth."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.amounts import exact


@pytest.mark.parametrize(
    ("milli", "written"),
    [
        (0, "0 ml"),
        (1, "0.001 ml"),
        (500, "0.5 ml"),
        (37_000, "37 ml"),
        (100_000, "100 ml"),
        (12_500, "12.5 ml"),
        (1_234_567, "1234.567 ml"),
        (200_000_000, "200000 ml"),
        (-3_000, "-3 ml"),
        (-1, "-0.001 ml"),
    ],
)
def test_an_amount_is_written_as_people_write_it(milli, written):
    assert exact(milli, "ml") == written


@given(st.integers())
def test_nothing_is_rounded(milli):
    number, unit = exact(milli, "g").split()
    assert (Fraction(number) * 1000, unit) == (milli, "g")
