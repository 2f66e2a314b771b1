"""The tubes of a row: how many, how large, and what is left in the open ones."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from inventory.labels import (
    Amount,
    Doubt,
    Severity,
    read_amount,
    read_count,
    read_decimal,
    read_fraction,
    says_nothing,
)
from inventory.labels.doubts import quoting, shown
from inventory.labels.folding import bare_letters

from .columns import unit_of_heading
from .row import Row

MOST_TUBES = 500  # in one row
LARGEST_TUBE_MILLI = 200_000_000  # the largest container that is received: 200 l or kg


@dataclass(frozen=True, slots=True)
class _Open:
    """How many open ones, and the part left in the last of them where the count says so ("1/2 tube")."""

    text: str
    count: int | None = None
    thousandths: int | None = None
    doubts: tuple[Doubt, ...] = ()


def read_tubes(row: Row) -> None:
    sealed = row.settle("sealed", row.cell("sealed"), read_count).value if row.has("sealed") else None
    opened = row.settle("open", row.cell("open"), lambda text: _read_open(text, row.settings.decimal_comma))
    count, part = opened.count, opened.thousandths
    left = row.cell("left")
    if count is None and left and not says_nothing(left):
        count = 1
    if sealed is None and count is None and not any(one["blocks"] for one in row.doubts):
        sealed, count = _without_count(row)
    for key, many in (("sealed", sealed), ("open", count)):
        if many is not None and many > MOST_TUBES:
            message = f"{many} tubes in one row are more than the {MOST_TUBES} that are taken in at once. Check it."
            row.say(key, Doubt("too-many", Severity.REFUSED, message, str(many)), blocks=True)
            return
    row.read["sealed"], row.read["open"] = sealed or 0, []
    if not sealed and not count:
        return
    size = _size(row)
    if size is None or size.milli is None:
        return
    row.read["size"] = [size.milli, size.unit]
    if count:
        row.read["open"] = _open_tubes(row, count, part, left, size)


def _without_count(row: Row) -> tuple[int, int]:
    if row.has("sealed") or row.has("open"):
        message = "No count is given, so the paint is taken in without a tube. Type a count if there is one."
        row.say("sealed", Doubt("no-count", Severity.NOTE, message, ""))
        return 0, 0
    return {"sealed": (1, 0), "open": (0, 1)}.get(row.settings.without_count, (0, 0))


def _read_open(text: str, decimal_comma: bool | None) -> _Open:
    """Read "2", "1/2 tube", "about half", "1.5": whole open ones, and a part of one more."""
    if says_nothing(text):
        return _Open(text)
    words = bare_letters(text)
    for word in ("tubes", "tube", "of a", "left", "open"):
        words = words.removesuffix(word).strip()
    whole = read_count(words)
    if whole.value is not None:
        return _Open(text, whole.value)
    number = read_decimal(words, decimal_comma if "," in words and "." in words else None)
    if number.value is not None and number.value > 1 and number.value <= MOST_TUBES:
        count = int(number.value)
        rest = int((number.value - count) * 1000)
        return _Open(text, count + 1, rest)
    part = read_fraction(words)
    if part.thousandths is not None:
        return _Open(text, 1, part.thousandths)
    reasons = whole.doubts if _is_number(words) else part.doubts
    return _Open(text, doubts=quoting(reasons, words, text))


def _is_number(words: str) -> bool:
    return any(character.isdigit() for character in words) and "/" not in words and "%" not in words


def _size(row: Row) -> Amount | None:
    text = row.cell("size")
    unit = row.settings.unit or unit_of_heading(row.heading("size"))
    if says_nothing(text):
        text = row.settings.size
    if says_nothing(text):
        message = (
            "No size is given. Type the size of one tube, such as 37 ml, or say on the page of the columns what size "
            "holds for all rows without one."
        )
        doubt = Doubt("no-size", Severity.REFUSED, message, "")
        answer = row.answer("size", doubt)
        if not answer:
            row.say("size", doubt, blocks=True)
            return None
        text = answer
    amount: Amount = row.settle(
        "size", text, lambda typed: read_amount(typed, unit=unit, decimal_comma=row.settings.decimal_comma)
    )
    if amount.milli is not None and not 0 < amount.milli <= LARGEST_TUBE_MILLI:
        message = f"{shown(text)} is no size of a tube: enter more than 0 and at most 200 l or kg."
        row.say("size", Doubt("size-refused", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    return amount


def _open_tubes(row: Row, count: int, part: int | None, left: str, size: Amount) -> list[list[Any]]:
    """What each open one holds: thousandths of the unit, and whether that is an estimate."""
    nominal = size.milli or 0
    given = part is not None or not says_nothing(left)
    if part is None or count > 1:
        each = _left(row, left if not says_nothing(left) else row.settings.open_left, size)
        if each is None:
            return []
        if not given:
            message = f"What is left in the open one is not given: taken as {row.settings.open_left} of it, estimated."
            row.say("left", Doubt("left-not-given", Severity.READ_AS, message, ""))
    else:
        each = [0, True]
    last = each if part is None else [nominal * part // 1000, True]
    return [list(each)] * (count - 1) + [last]


def _left(row: Row, text: str, size: Amount) -> list[Any] | None:
    nominal = size.milli or 0
    fraction = read_fraction(text)
    if fraction.thousandths is not None:
        return [nominal * fraction.thousandths // 1000, fraction.estimated]
    amount: Amount = row.settle(
        "left", text, lambda typed: read_amount(typed, unit=size.unit, decimal_comma=row.settings.decimal_comma)
    )
    if amount.milli is None:
        return None
    if amount.unit != size.unit:
        message = (
            f"{shown(text)} is in {amount.unit}, but the size is in {size.unit}. Without the paint's density one is "
            "not turned into the other: type the part that is left, such as 1/2, or the amount in the unit of the size."
        )
        row.say("left", Doubt("other-unit", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    if amount.milli > nominal:
        held = f"{Decimal(nominal).scaleb(-3).normalize():f} {size.unit}"
        message = f"{shown(text)} is more than the size of {held}. Type what is left, at most that."
        row.say("left", Doubt("more-than-size", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    return [amount.milli, amount.estimated]
