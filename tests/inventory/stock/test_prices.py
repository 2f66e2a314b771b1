"""Prices: exact, rounded for reading alone, and each currency by itself."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.labels.money import MINOR_DIGITS, read_money
from inventory.stock.prices import (
    money_words,
    price_of,
    rounded_money,
    strength_price,
    totals,
    totals_words,
    unit_price,
)

# ISO 4217:2015, table A.1: the minor unit of EUR, GBP and USD has 2 decimals, that of JPY, KRW and ISK none.
WORDS = [
    (695, "EUR", "6.95 EUR"),
    (5, "EUR", "0.05 EUR"),
    (0, "GBP", "0.00 GBP"),
    (-1250, "USD", "-12.50 USD"),
    (1250, "JPY", "1250 JPY"),
    (125_000, "EUR", "1250.00 EUR"),
]


@pytest.mark.parametrize(("minor", "currency", "words"), WORDS)
def test_money_is_written_with_the_decimals_of_its_currency(minor, currency, words):
    assert money_words(minor, currency) == words


@given(st.integers(min_value=1, max_value=10**10), st.sampled_from(sorted(MINOR_DIGITS)))
def test_what_is_written_is_read_back(minor, currency):
    read = read_money(money_words(minor, currency), decimal_comma=False)
    assert (read.minor, read.currency) == (minor, currency)


@pytest.mark.parametrize(
    ("typed", "currency", "minor", "found"),
    [
        ("6,95 €", "EUR", 695, "EUR"),
        ("£4.50", "EUR", 450, "GBP"),
        ("$8.81", "USD", 881, "USD"),
        ("5,-", "EUR", 500, "EUR"),
    ],
)
def test_prices_as_people_type_them(typed, currency, minor, found):
    read = read_money(typed, currency=currency)
    assert (read.minor, read.currency) == (minor, found)


def test_the_price_of_a_millilitre_is_exact():
    price = unit_price(695, "EUR", nominal_milli=37_000, unit="ml")
    assert price.minor == Fraction(695, 37)
    assert price.words == "0.188 EUR per ml"
    assert unit_price(3_000, "EUR", nominal_milli=40_000, unit="ml", containers=3).minor == Fraction(25)


@pytest.mark.parametrize(
    ("minor", "currency", "words"),
    [
        (Fraction(695, 37), "EUR", "0.188 EUR"),
        (Fraction(1235), "EUR", "12.35 EUR"),
        (Fraction(1, 3), "EUR", "0.00333 EUR"),
        (Fraction(1250, 37), "JPY", "33.8 JPY"),
        (Fraction(0), "EUR", "0.00 EUR"),
    ],
)
def test_a_fraction_of_coins_is_rounded_for_reading(minor, currency, words):
    assert rounded_money(minor, currency) == words


@pytest.mark.parametrize("figures", [(0, 1, 1), (-5, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_a_price_of_nothing_is_refused(figures):
    price, size, containers = figures
    with pytest.raises(ValueError, match="must be above 0"):
        unit_price(price, "EUR", nominal_milli=size, unit="ml", containers=containers)


def test_half_the_strength_costs_twice():
    price = unit_price(1_000, "EUR", nominal_milli=40_000, unit="ml")
    assert strength_price(price, 50.0).minor == 2 * price.minor
    assert strength_price(price, 100.0).minor == price.minor
    for strength in (0.0, -1.0, float("inf"), float("nan")):
        with pytest.raises(ValueError, match="above 0 and finite"):
            strength_price(price, strength)


def test_currencies_are_never_added():
    amounts = [(1_000, "EUR"), (881, "USD"), (200, "EUR")]
    assert totals(amounts) == [(1_200, "EUR"), (881, "USD")]
    assert totals_words(amounts) == "12.00 EUR and 8.81 USD"
    assert totals_words([]) == ""


def test_a_quantity_discount_holds_from_its_number_on():
    """An all-units discount in four steps, worked by hand: below 50: 20, from 50: 18, from 80: 17, from 100: 16."""
    breaks = [(50, 18), (80, 17), (100, 16)]
    assert [price_of(packs, 20, breaks) for packs in (1, 49, 50, 79, 80, 99, 100, 500)] == [
        20, 20, 18, 18, 17, 17, 16, 16,
    ]  # fmt: skip
