"""Sizes, counts, fillings, prices and numbers."""

from decimal import Decimal

import pytest

from inventory.labels import (
    Severity,
    read_amount,
    read_count,
    read_decimal,
    read_fraction,
    read_money,
)


def refused(reading):
    return any(doubt.severity is Severity.REFUSED for doubt in reading.doubts)


@pytest.mark.parametrize(
    ("text", "milli", "unit"),
    [("37 ml", 37_000, "ml"), ("37ml", 37_000, "ml"), ("37 mL", 37_000, "ml"), ("0,5 l", 500_000, "ml"),
     ("0.5 L", 500_000, "ml"), ("120 g", 120_000, "g"), ("1,5 kg", 1_500_000, "g"), ("5 cl", 50_000, "ml"),
     ("40 ml ℮", 40_000, "ml"), ("℮ 40 ml", 40_000, "ml"), ("12.25 ml", 12_250, "ml"), ("0 ml", 0, "ml"),
     ("37\u00a0ml", 37_000, "ml"), ("３７ml", 37_000, "ml"), ("61 g left", 61_000, "g")],
)  # fmt: skip
def test_amounts(text, milli, unit):
    amount = read_amount(text)
    assert (amount.milli, amount.unit, amount.text) == (milli, unit, text)
    assert amount.is_settled


@pytest.mark.parametrize(
    ("text", "milli", "figure"),
    [("1.25 fl oz", 36_967, "29.5735 ml"), ("1,35 fl.oz", 39_924, "29.5735 ml"), ("8 US fl oz", 236_588, "29.5735 ml"),
     ("16 oz wt", 453_592, "28.3495 g"), ("1 lb", 453_592, "453.5924 g"), ("1 imp fl oz", 28_413, "28.4131 ml")],
)  # fmt: skip
def test_conversions_name_their_factor(text, milli, figure):
    """Factors of NIST SP 811 (2008), appendix B.8: 29.573 53 ml, 28.349 52 g, 453.592 37 g, 28.413 06 ml."""
    amount = read_amount(text)
    assert amount.milli == milli
    assert figure in amount.doubts[0].message


def test_two_statements_of_one_size_are_compared():
    assert read_amount("40 ml e 1,35 fl.oz").milli == 40_000
    assert read_amount("40 ml e 1,35 fl.oz").doubts == ()
    amount = read_amount("37 ml / 2 fl oz")
    assert amount.milli == 37_000
    assert "differ" in amount.doubts[0].message


def test_grams_stay_grams():
    amount = read_amount("I weighed it: 61 g left")
    assert (amount.milli, amount.unit) == (61_000, "g")


def test_ounces_are_asked():
    amount = read_amount("4 oz")
    assert amount.milli is None
    for option in amount.doubts[0].options:
        assert read_amount(option.value).milli
    assert [read_amount(option.value).unit for option in amount.doubts[0].options] == ["ml", "g"]


def test_a_number_without_a_unit_is_asked_unless_the_column_has_one():
    assert [option.value for option in read_amount("37").doubts[0].options] == ["37 ml", "37 g"]
    assert read_amount("37", unit="ml").milli == 37_000
    assert read_amount("37,5", unit="g").milli == 37_500


@pytest.mark.parametrize(
    "text",
    ["-5 ml", "-0", "NaN", "nan ml", "inf", "1e9", "1e9 ml", "1.2345 ml", "0.0001 g", "5000 l", "1 pint", "½ l",
     "a lot", "#VALUE!", "1.2.3 ml", "x" * 3000],
)  # fmt: skip
def test_amounts_that_are_refused(text):
    amount = read_amount(text)
    assert amount.milli is None
    assert refused(amount)
    assert amount.text == text


@pytest.mark.parametrize("unit", ["", "ml"])
@pytest.mark.parametrize(
    "text", ["NaN", "INF", "about NaN", "\u22125 ML", "-0", "1E9", "Ca. 1.2.3 ML", "1.250 ML", "#VALUE!"]
)
def test_a_message_quotes_what_was_typed(text, unit):
    for doubt in read_amount(text, unit=unit).doubts:
        assert f"“{text}”" in doubt.message
        assert doubt.value == text


def test_a_refusal_says_why():
    assert "minus sign" in read_amount("-5 ml").doubts[0].message
    assert "exponent" in read_amount("1e9 ml").doubts[0].message
    assert "kept to 0.001 ml" in read_amount("1.2345 ml").doubts[0].message


@pytest.mark.parametrize("text", ["", "-", "N/A", "unknown"])
def test_no_amount_is_unknown(text):
    assert read_amount(text).milli is None
    assert read_amount(text).is_settled


def test_a_pack_is_told_from_a_tube():
    amount = read_amount("6 x 37 ml")
    assert amount.milli == 37_000
    assert "pack of 6" in amount.doubts[0].message


def test_an_ambiguous_size_is_asked():
    amount = read_amount("1.250 ml")
    assert [option.value for option in amount.doubts[0].options] == ["1.25 ml", "1250 ml"]
    assert read_amount("1.250 ml", decimal_comma=True).milli == 1_250_000
    assert read_amount("1.250 ml", decimal_comma=False).milli == 1_250


def test_about_is_an_estimate():
    assert read_amount("about 60 g").estimated
    assert read_amount("ca. 60 g").estimated
    assert not read_amount("60 g").estimated


@pytest.mark.parametrize(("text", "value"), [("3", 3), ("0", 0), (" 12 ", 12), ("1", 1), ("2.0", 2)])
def test_counts(text, value):
    assert read_count(text).value == value


@pytest.mark.parametrize("text", ["12.5", "12,5", "-1", "-0", "NaN", "1e9", "three", "1.250", "1000000", "∞", "1/2"])
def test_counts_that_are_refused(text):
    count = read_count(text)
    assert count.value is None
    assert refused(count)
    assert f"“{text}”" in count.doubts[0].message


def test_half_a_sealed_tube_is_told_where_it_belongs():
    assert "sealed containers are counted whole" in read_count("12.5").doubts[0].message


@pytest.mark.parametrize(
    ("text", "thousandths"),
    [("1/2", 500), ("half", 500), ("about half", 500), ("0,5", 500), ("0.5", 500), ("½", 500), ("40 %", 400),
     ("2/3", 667), ("three quarters", 750), ("nearly empty", 100), ("1/2 full", 500), ("ca. 1/4", 250)],
)  # fmt: skip
def test_fillings_of_open_tubes(text, thousandths):
    fraction = read_fraction(text)
    assert fraction.thousandths == thousandths
    assert fraction.estimated


def test_full_and_empty_are_no_estimates():
    assert read_fraction("full").thousandths == 1000
    assert not read_fraction("full").estimated
    assert not read_fraction("0").estimated


@pytest.mark.parametrize("text", ["3/2", "50", "-0", "-1/2", "NaN", "1/0", "some", "150 %"])
def test_fillings_that_are_refused(text):
    fraction = read_fraction(text)
    assert fraction.thousandths is None
    assert refused(fraction)


@pytest.mark.parametrize(
    ("text", "decimal_comma", "value"),
    [("1.250,00", True, "1250"), ("1,250.00", False, "1250"), ("1,5", None, "1.5"), ("1.5", None, "1.5"),
     ("1250", None, "1250"), ("0.500", None, "0.5"), ("1.250", True, "1250"), ("1.250", False, "1.25"),
     ("1 250,5", True, "1250.5"), ("1'250.5", False, "1250.5"), ("1.5", True, "1.5"), (".5", None, "0.5"),
     ("12,3456", None, "12.3456"), ("1.234.567", None, "1234567")],
)  # fmt: skip
def test_decimals(text, decimal_comma, value):
    reading = read_decimal(text, decimal_comma)
    assert reading.value == Decimal(value)
    assert reading.is_settled


@pytest.mark.parametrize("text", ["1.250,00", "1,250.00", "1.250", "1,250"])
def test_decimals_that_are_asked(text):
    reading = read_decimal(text)
    assert reading.value is None
    values = [option.value for option in reading.doubts[0].options]
    assert [read_decimal(value).value for value in values if read_decimal(value).is_settled] == [
        Decimal(value) for value in values
    ]
    assert Decimal(1250) in [Decimal(value) for value in values]


@pytest.mark.parametrize(
    "text", ["-0", "-1", "NaN", "1e9", "1E+09", "inf", "∞", "1.2.3", "1,2,3", "0x10", "٣", "9" * 50]
)
def test_decimals_that_are_refused(text):
    reading = read_decimal(text)
    assert reading.value is None
    assert refused(reading)


@pytest.mark.parametrize(
    ("text", "minor", "currency"),
    [("6,95 €", 695, "EUR"), ("€6.95", 695, "EUR"), ("£4.50", 450, "GBP"), ("EUR 12", 1200, "EUR"),
     ("12,50 CHF", 1250, "CHF"), ("C$4", 400, "CAD"), ("1200 JPY", 1200, "JPY"), ("5,- €", 500, "EUR")],
)  # fmt: skip
def test_prices(text, minor, currency):
    money = read_money(text)
    assert (money.minor, money.currency, money.text) == (minor, currency, text)
    assert money.is_settled


def test_a_dollar_is_asked_which():
    money = read_money("$8.81")
    assert (money.minor, money.currency) == (881, "USD?")
    assert [option.value for option in money.doubts[0].options][:3] == ["USD", "CAD", "AUD"]
    assert read_money("$8.81", currency="CAD").currency == "CAD"
    assert read_money("$8.81", currency="EUR").currency == "USD?"


def test_a_price_with_two_marks_is_asked_unless_the_list_says():
    assert read_money("1.250,00", currency="EUR").minor is None
    assert read_money("1.250,00", currency="EUR", decimal_comma=True).minor == 125_000
    assert not read_money("1.250,00").is_settled


@pytest.mark.parametrize("text", ["-4 €", "abc", "4 € 5 $", "1e9 €", "NaN", "4.5055 EUR", "4 quid", "1.5 JPY"])
def test_prices_that_are_refused(text):
    money = read_money(text)
    assert money.minor is None
    assert refused(money)
