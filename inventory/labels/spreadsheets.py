"""What spreadsheets make of a typed cell: the range 7-8 becomes a date, a date becomes a day number."""

import re
from dataclasses import dataclass
from datetime import date, timedelta

from .folding import bare_letters

_MONTHS = (
    "jan janv gen ene", "feb fev feb", "mar marz mars mrz", "apr avr abr", "may mai mag mayo", "jun juin giu",
    "jul juil lug", "aug aout ago", "sep sept set", "oct okt ott", "nov", "dec dez dic",
)  # fmt: skip
_MONTH_OF = {word: number for number, words in enumerate(_MONTHS, 1) for word in words.split()}
_DAY_MONTH = re.compile(r"(\d{1,2})[-. /]{1,2}([a-z]{3,9})\.?(?:[-. /]{1,2}(?:\d{4}|\d{2}))?")
_MONTH_NUMBER = re.compile(r"([a-z]{3,9})\.?[-. /]{1,2}(\d{1,2})(?:,? \d{4})?")
_YEAR_FIRST = re.compile(r"\d{4}[-./](\d{1,2})[-./](\d{1,2})(?:[t ][\d:.]{4,15}z?)?")
_YEAR_LAST = re.compile(r"(\d{1,2})[-./](\d{1,2})[-./](?:\d{4}|\d{2})(?: [\d:.]{4,15})?")
_DAY_NUMBER = re.compile(r"[3-5]\d{4}(?:[.,]0)?")
_DAY_ZERO = date(1899, 12, 30)  # day 0 of the spreadsheets' calendar, as counted after February 1900


@dataclass(frozen=True, slots=True)
class DateLike:
    """`suggestion` is the range that was probably typed, such as "7-8"; empty where none fits."""

    suggestion: str


def date_as_range(text: str, *, highest: int) -> DateLike | None:
    """Recognise a date; None if the text is none. Day and month that follow each other suggest a range."""
    if len(text) > 40:
        return None
    words = bare_letters(text).strip()
    pair = _numbers(words)
    if pair is None:
        return None
    low, high = sorted(pair)
    fits = high == low + 1 and low >= 1 and high <= highest
    return DateLike(f"{low}-{high}" if fits else "")


def _numbers(words: str) -> tuple[int, int] | None:
    match = _DAY_MONTH.fullmatch(words)
    if match and _month(match[2]):
        return int(match[1]), _month(match[2])
    match = _MONTH_NUMBER.fullmatch(words)
    if match and _month(match[1]):
        return int(match[2]), _month(match[1])
    match = _YEAR_FIRST.fullmatch(words) or _YEAR_LAST.fullmatch(words)
    if match:
        return int(match[1]), int(match[2])
    if _DAY_NUMBER.fullmatch(words):
        day = _DAY_ZERO + timedelta(days=int(words[:5]))
        return day.day, day.month
    return None


def _month(word: str) -> int:
    return _MONTH_OF.get(word[:4]) or _MONTH_OF.get(word[:3], 0)
