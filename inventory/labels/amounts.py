"""Sizes, fillings, counts and prices as typed, in exact integers of the smallest unit."""

import re
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_EVEN, Decimal

from .doubts import Doubt, Option, Severity, quoting, settled, shown, too_long
from .folding import bare_letters, says_nothing
from .numbers import read_decimal

LARGEST_AMOUNT_MILLI = 1_000_000_000  # a thousand litres or kilograms: more is a slip
LARGEST_COUNT = 100_000

# Millilitres or grams in one unit. NIST SP 811 (2008), appendix B.8: fluid ounce (U.S.) 29.573 53 ml, ounce
# (avoirdupois) 28.349 52 g, pound 453.592 37 g; the digits beyond follow from the gallon of 231 cubic inches, the inch
# of 2.54 cm and the pound. The imperial fluid ounce is 1/160 of the gallon of 4.546 09 l.
_ML_IN_US_FLUID_OUNCE = Decimal("29.5735295625")
_ML_IN_IMPERIAL_FLUID_OUNCE = Decimal("28.4130625")
_G_IN_OUNCE = Decimal("28.349523125")
_UNITS: dict[str, tuple[str, Decimal]] = {
    "ml": ("ml", Decimal(1)),
    "cl": ("ml", Decimal(10)),
    "dl": ("ml", Decimal(100)),
    "l": ("ml", Decimal(1000)),
    "g": ("g", Decimal(1)),
    "mg": ("g", Decimal("0.001")),
    "kg": ("g", Decimal(1000)),
    "fl oz": ("ml", _ML_IN_US_FLUID_OUNCE),
    "imp fl oz": ("ml", _ML_IN_IMPERIAL_FLUID_OUNCE),
    "oz wt": ("g", _G_IN_OUNCE),
    "lb": ("g", Decimal("453.59237")),
}
_UNIT_PATTERNS = (
    ("imp fl oz", r"(?:imp(?:erial)?|uk)\.? ?fl\.? ?oz|fl\.? ?oz\.? ?\(?(?:imp(?:erial)?|uk)\)?"),
    ("fl oz", r"(?:us )?(?:fl\.? ?oz|fluid ounces?|oz\.? ?fl|floz)"),
    ("oz wt", r"oz\.? ?(?:wt|weight|av(?:dp)?)|(?:net )?wt\.? ?oz"),
    ("oz", r"oz|ounces?"),
    ("ml", r"ml|mls|millilit(?:re|er)s?|cc|cm3|мл"),
    ("cl", r"cl"),
    ("dl", r"dl"),
    ("kg", r"kg|kilo(?:gram)?s?|кг"),
    ("mg", r"mg"),
    ("g", r"g|gr|gm|grams?|grammes?|г"),
    ("l", r"l|lt|ltr|lit(?:re|er|ro)s?|л"),
    ("lb", r"lbs?|pounds?"),
    ("volume", r"pints?|pt|quarts?|qt|gal(?:lons?)?"),
)
_UNIT = "|".join(f"(?P<u{i}>{pattern})" for i, (_, pattern) in enumerate(_UNIT_PATTERNS))
_STATEMENT = re.compile(rf"(?P<number>(?<![\w.,/⁄])[-+]?(?:\d[\d.,']{{0,20}}|[.,]\d{{1,9}})) ?(?:{_UNIT})(?![^\W_])\.?")
_BARE_NUMBER = re.compile(r"[-+]?(?:\d[\d.,' ]{0,30}|[.,]\d{1,9})")
_PACK = re.compile(r"(?<![\w.,])(\d{1,4}) ?[x×*] ?(?=\d)")
_ABOUT = re.compile(r"(?:^|\b)(?:about|approx(?:imately)?|ca|circa|roughly|etwa|env(?:iron)?)\b|[~≈±]")
# Statements of one size in two units are rounded for print; common practice, no source.
_AGREEMENT = Decimal("0.03")


@dataclass(frozen=True, slots=True)
class Amount:
    """`milli` thousandths of `unit` ("ml" or "g"); None while unknown, open or refused."""

    text: str
    milli: int | None = None
    unit: str = ""
    estimated: bool = False
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


@dataclass(frozen=True, slots=True)
class Count:
    text: str
    value: int | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


@dataclass(frozen=True, slots=True)
class Fraction:
    """How full an open container is, in thousandths of its nominal size; `estimated` unless full or empty."""

    text: str
    thousandths: int | None = None
    estimated: bool = True
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


def read_amount(text: str, *, unit: str = "", decimal_comma: bool | None = None) -> Amount:
    """Read a volume or a weight. `unit` is the unit of the column or form field, for a number without one.

    Grams stay grams: nothing is turned from weight to volume here. Where two statements stand side by side, the first
    counts and the second is compared with it.
    """
    long = too_long(text, "amount")
    if long:
        return Amount(text, doubts=(long,))
    words = bare_letters(text.replace("℮", " ").replace("³", "3").replace("㎖", "ml"))
    if says_nothing(words):
        return Amount(text)
    about = _ABOUT.search(words) is not None
    found = list(_STATEMENT.finditer(words))
    if not found:
        return _without_unit(text, _ABOUT.sub("", words).strip(), unit, decimal_comma, about)
    amounts = [_statement(text, match, decimal_comma) for match in found[:4]]
    first = replace(amounts[0], estimated=about)
    doubts = [*first.doubts, *_around(text, words, found)]
    if first.milli is not None:
        doubts += [doubt for other in amounts[1:] if (doubt := _compare(text, first, other))]
    return replace(first, doubts=tuple(doubts))


def _around(text: str, words: str, found: list[re.Match[str]]) -> list[Doubt]:
    pack = _PACK.search(words[: found[0].start("number") + 1])
    if pack:
        message = (
            f"{shown(text)} looks like a pack of {pack[1]}. The size is read as that of one container; "
            f"enter the number of containers, {pack[1]}, as the count."
        )
        return [Doubt("pack", Severity.READ_AS, message, text)]
    rest = " ".join([words[: found[0].start()], words[found[-1].end() :]])
    if re.search(r"\d", rest):
        message = f"{shown(text)} has another number in it, which is not read. Check that the size is right."
        return [Doubt("another-number", Severity.NOTE, message, text)]
    return []


def _unit_of(match: re.Match[str]) -> str:
    return next(unit for i, (unit, _) in enumerate(_UNIT_PATTERNS) if match[f"u{i}"] is not None)


def _statement(text: str, match: re.Match[str], decimal_comma: bool | None) -> Amount:
    unit = _unit_of(match)
    number = match["number"].rstrip("',")
    reading = read_decimal(number, decimal_comma)
    if reading.value is None:
        doubts = tuple(_with_unit(doubt, unit) for doubt in quoting(reading.doubts, number, text))
        return Amount(text, doubts=doubts or (_refused(text, "it is no number"),))
    if unit == "oz":
        return Amount(text, doubts=(_which_ounce(text, reading.value),))
    if unit == "volume":
        why = "pints, quarts and gallons differ between countries; enter millilitres or litres"
        return Amount(text, doubts=(_refused(text, why),))
    amount = _exact(text, reading.value, unit)
    return replace(amount, doubts=quoting(reading.doubts, number, text) + amount.doubts)


def _with_unit(doubt: Doubt, unit: str) -> Doubt:
    options = tuple(Option(f"{option.value} {unit}", f"{option.label} {unit}") for option in doubt.options)
    return replace(doubt, options=options)


def _exact(text: str, value: Decimal, unit: str) -> Amount:
    """The value in thousandths; a metric one must come out whole, another is rounded and says so."""
    stored, factor = _UNITS[unit]
    milli = value * factor * 1000
    if milli > LARGEST_AMOUNT_MILLI:
        largest = LARGEST_AMOUNT_MILLI // 1_000_000
        why = f"it is more than {largest} {'l' if stored == 'ml' else 'kg'}; check the number and its unit"
        return Amount(text, doubts=(_refused(text, why),))
    whole = milli.to_integral_value(ROUND_HALF_EVEN)
    if unit in ("fl oz", "imp fl oz", "oz wt", "lb"):
        note = Doubt("converted", Severity.READ_AS, _conversion(text, whole, unit), text)
        return Amount(text, int(whole), stored, doubts=(note,))
    if whole != milli:
        why = f"amounts are kept to 0.001 {stored}; enter no more decimals"
        return Amount(text, doubts=(_refused(text, why),))
    return Amount(text, int(whole), stored)


def _conversion(text: str, milli: Decimal, unit: str) -> str:
    stored, factor = _UNITS[unit]
    names = {"fl oz": "US fluid ounce", "imp fl oz": "imperial fluid ounce", "oz wt": "ounce", "lb": "pound"}
    figure = f"{factor:.4f}".rstrip("0").rstrip(".")
    note = " If it is the imperial one, enter millilitres." if unit == "fl oz" else ""
    value = format((milli / 1000).normalize(), "f")
    return f"{shown(text)} is read as {value} {stored}: one {names[unit]} is {figure} {stored} (NIST SP 811).{note}"


def _which_ounce(text: str, value: Decimal) -> Doubt:
    number = format(value.normalize(), "f")
    volume, weight = value * _ML_IN_US_FLUID_OUNCE, value * _G_IN_OUNCE
    message = f"{shown(text)} can be a volume or a weight. Choose fluid ounces or ounces of weight."
    options = (
        Option(f"{number} fl oz", f"{number} US fluid ounces, {volume:.1f} ml"),
        Option(f"{number} oz wt", f"{number} ounces of weight, {weight:.1f} g"),
    )
    return Doubt("ounce", Severity.ASK, message, text, options)


def _refused(text: str, why: str) -> Doubt:
    return Doubt("amount-refused", Severity.REFUSED, f"{shown(text)} cannot be used as an amount: {why}.", text)


def _without_unit(text: str, words: str, unit: str, decimal_comma: bool | None, about: bool) -> Amount:
    if re.match(r"[-+]?[\d.,]{1,20}e[-+]?\d", words):
        why = "it is written with an exponent, as spreadsheets do with large numbers; write it in full"
        return Amount(text, doubts=(_refused(text, why),))
    if re.match(r"\d{0,3} ?\d{1,3}[/⁄]\d", words):
        return Amount(text, doubts=(_refused(text, "it is a fraction; write it as a decimal, such as 0.5 l"),))
    reading = read_decimal(words, decimal_comma)
    doubts = quoting(reading.doubts, words, text)
    if reading.value is None:
        return Amount(text, doubts=doubts)
    if unit in _UNITS:
        amount = _exact(text, reading.value, unit)
        return replace(amount, estimated=about, doubts=doubts + amount.doubts)
    number = format(reading.value.normalize(), "f")
    message = f"{shown(text)} has no unit. Choose millilitres or grams."
    options = (Option(f"{number} ml", f"{number} ml"), Option(f"{number} g", f"{number} g"))
    return Amount(text, doubts=(Doubt("no-unit", Severity.ASK, message, text, options),))


def _compare(text: str, first: Amount, other: Amount) -> Doubt | None:
    if first.milli is None or other.milli is None or first.unit != other.unit:
        return None
    if abs(first.milli - other.milli) <= _AGREEMENT * max(first.milli, other.milli):
        return None
    message = (
        f"{shown(text)} states two sizes that differ: {Decimal(first.milli) / 1000} and {Decimal(other.milli) / 1000} "
        f"{first.unit}. The first is kept; check the tube."
    )
    return Doubt("sizes-differ", Severity.NOTE, message, text)


def read_count(text: str) -> Count:
    """Read a number of sealed containers: whole, 0 or more."""
    if says_nothing(text):
        return Count(text)
    reading = read_decimal(text)
    fraction = reading.value is not None and reading.value != reading.value.to_integral_value()
    if fraction or (reading.value is None and any(doubt.code == "decimal-mark" for doubt in reading.doubts)):
        why = "sealed containers are counted whole; enter a part as the filling of an open one"
        return Count(text, doubts=(_bad_count(text, why),))
    if reading.value is None:
        why = reading.doubts[0].message.rpartition(": ")[2].rstrip(".") if reading.doubts else "it is no number"
        return Count(text, doubts=(_bad_count(text, why),))
    if reading.value > LARGEST_COUNT:
        return Count(text, doubts=(_bad_count(text, f"it is more than {LARGEST_COUNT}"),))
    return Count(text, int(reading.value))


def _bad_count(text: str, why: str) -> Doubt:
    return Doubt("count-refused", Severity.REFUSED, f"{shown(text)} cannot be used as a count: {why}.", text)


_PARTS = {
    "full": 1000, "voll": 1000, "plein": 1000, "empty": 0, "leer": 0, "vide": 0,
    "half": 500, "half full": 500, "half empty": 500, "halb": 500, "halb voll": 500, "moitie": 500, "a half": 500,
    "quarter": 250, "a quarter": 250, "one quarter": 250, "three quarters": 750, "third": 333, "a third": 333,
    "one third": 333, "two thirds": 667, "nearly full": 900, "almost full": 900, "nearly empty": 100,
    "almost empty": 100,
}  # fmt: skip
_RATIO = re.compile(r"(\d{1,3}) ?[/⁄∕] ?(\d{1,3})(?: (?:full|left))?")
_PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d)?) ?(?:%|percent|prozent)(?: (?:full|left))?")


def read_fraction(text: str) -> Fraction:
    """Read how full an open container is: "1/2", "about half", "0,5", "40 %"."""
    long = too_long(text, "filling")
    if long:
        return Fraction(text, doubts=(long,))
    words = _ABOUT.sub("", bare_letters(text)).strip(" .:")
    if says_nothing(words):
        return Fraction(text)
    if words in _PARTS:
        return Fraction(text, _PARTS[words], _PARTS[words] not in (0, 1000))
    value = _ratio(words)
    if value is None:
        reading = read_decimal(words)
        if reading.value is None:
            return Fraction(text, doubts=(_bad_fraction(text, "it is no part of a whole"),))
        value = reading.value
    if value > 1:
        return Fraction(text, doubts=(_bad_fraction(text, "an open container holds between 0 and 1 of its size"),))
    thousandths = int((value * 1000).to_integral_value(ROUND_HALF_EVEN))
    return Fraction(text, thousandths, thousandths not in (0, 1000))


def _ratio(words: str) -> Decimal | None:
    ratio = _RATIO.fullmatch(words)
    if ratio and int(ratio[2]):
        return Decimal(int(ratio[1])) / int(ratio[2])
    percent = _PERCENT.fullmatch(words)
    return Decimal(percent[1].replace(",", ".")) / 100 if percent else None


def _bad_fraction(text: str, why: str) -> Doubt:
    message = f"{shown(text)} cannot be used as a filling: {why}. Enter a part such as 1/2, 0.5 or 50 %."
    return Doubt("fraction-refused", Severity.REFUSED, message, text)
