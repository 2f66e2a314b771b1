"""Numbers as people type them, exactly: no floats, no silent choice between decimal and thousands signs."""

import re
from dataclasses import dataclass
from decimal import Decimal

from .doubts import Doubt, Option, Severity, settled, shown
from .folding import plain, says_nothing

_LONGEST_NUMBER = 40
_DIGITS = re.compile(r"(?P<sign>[-+]?)(?P<body>\d[\d.,' ]*|[.,]\d+)")
_EXPONENT = re.compile(r"[-+]?[\d.,]+\s?[e]\s?[-+]?\d+", re.IGNORECASE)
_NOT_FINITE = re.compile(r"[-+]?(?:nan|inf|infinity|∞|#?n/?a|#num!|#value!|#ref!|#div/0!)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class DecimalReading:
    """`value` is None while the number is unknown, open or refused; the doubts say which."""

    text: str
    value: Decimal | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


def read_decimal(text: str, decimal_comma: bool | None = None) -> DecimalReading:
    """Read a number of zero or more. `decimal_comma` says how the list writes decimals; None means that is not known.

    A minus sign, an exponent, NaN and infinity are refused. Where a mark can divide decimals or thousands and
    `decimal_comma` does not tell, the number is asked.
    """
    number = plain(text) if len(text) <= _LONGEST_NUMBER else text
    if says_nothing(number):
        return DecimalReading(text)
    why = _refusal(number)
    if why:
        return DecimalReading(text, doubts=(_refused(text, why),))
    body = number.lstrip("+").strip()
    grouped = re.sub(r"(?<=\d)[ '](?=\d{3}(?!\d))", "", body)
    if "'" in grouped or " " in grouped:
        return DecimalReading(text, doubts=(_refused(text, "it has blanks or marks in odd places"),))
    return _read_marks(text, grouped, decimal_comma)


def _refusal(number: str) -> str:
    if len(number) > _LONGEST_NUMBER:
        return f"it is longer than {_LONGEST_NUMBER} characters"
    if _NOT_FINITE.fullmatch(number):
        return "it is no number"
    if _EXPONENT.fullmatch(number):
        return "it is written with an exponent, as spreadsheets do with large numbers; write it in full"
    match = _DIGITS.fullmatch(number)
    if match is None or not number.isascii():
        return "it is no number"
    if match["sign"] == "-":
        return "it has a minus sign; enter 0 or more"
    return ""


def _refused(text: str, why: str) -> Doubt:
    return Doubt("number-refused", Severity.REFUSED, f"{shown(text)} cannot be used as a number: {why}.", text)


def _read_marks(text: str, body: str, decimal_comma: bool | None) -> DecimalReading:
    """`body` has digits, points and commas only."""
    as_point, as_comma = _value(body, ".", ","), _value(body, ",", ".")
    if as_point is not None and as_point == as_comma:
        return DecimalReading(text, as_point)
    if as_point is None and as_comma is None:
        return DecimalReading(text, doubts=(_refused(text, "its points and commas do not divide it in threes"),))
    both_marks = "." in body and "," in body
    if decimal_comma is None:
        if both_marks:
            return _ask(text, as_comma if as_point is None else as_point, _slip(body, "," if as_comma is None else "."))
        if as_point is None or as_comma is None:
            return DecimalReading(text, as_comma if as_point is None else as_point)
        return _ask(text, as_point, as_comma)
    preferred, other = (as_comma, as_point) if decimal_comma else (as_point, as_comma)
    if preferred is not None:
        return DecimalReading(text, preferred)
    habit = "a comma" if decimal_comma else "a point"
    message = f"{shown(text)} is read as {other}, although this list writes decimals with {habit}."
    return DecimalReading(text, other, (Doubt("decimal-mark", Severity.READ_AS, message, text),))


def _value(body: str, decimal: str, thousands: str) -> Decimal | None:
    """The number under one habit of writing, or None where it would be written wrongly."""
    whole, mark, part = body.partition(decimal)
    if decimal in part or thousands in part or (mark and not part and not whole):
        return None
    if thousands in whole and not re.fullmatch(rf"[1-9]\d{{0,2}}(?:\{thousands}\d{{3}})+", whole):
        return None
    digits = whole.replace(thousands, "")
    return Decimal(f"{digits or '0'}.{part or '0'}") if part else Decimal(digits or "0")


def _slip(body: str, decimal: str) -> Decimal | None:
    """The number if `decimal` divides it and the other mark was typed by mistake."""
    thousands = "." if decimal == "," else ","
    slipped = body.replace(thousands, "")
    return _value(slipped, decimal, thousands)


def _ask(text: str, *values: Decimal | None) -> DecimalReading:
    found = [value for value in values if value is not None]
    written = [format(value.normalize(), "f") for value in found]
    message = (
        f"{shown(text)} can be read as {' or '.join(written)}, by whether the comma or the point divides decimals. "
        "Choose one, or say once how the list writes decimals."
    )
    # Three decimals would be asked again when the choice is read; a fourth settles it.
    options = tuple(Option(f"{value}0" if re.search(r"\.\d{3}$", value) else value, value) for value in written)
    return DecimalReading(text, doubts=(Doubt("decimal-mark", Severity.ASK, message, text, options),))
