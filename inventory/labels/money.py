"""Prices as typed: an exact amount of the smallest coin, with its currency."""

import re
from dataclasses import dataclass, replace
from decimal import Decimal

from .doubts import Doubt, Option, Severity, settled, shown, too_long
from .folding import plain, says_nothing
from .numbers import read_decimal

# ISO 4217 codes with the number of decimals of their minor unit.
MINOR_DIGITS = {
    "AUD": 2, "BRL": 2, "CAD": 2, "CHF": 2, "CNY": 2, "CZK": 2, "DKK": 2, "EUR": 2, "GBP": 2, "HKD": 2, "HUF": 2,
    "ILS": 2, "INR": 2, "ISK": 0, "JPY": 0, "KRW": 0, "MXN": 2, "NOK": 2, "NZD": 2, "PLN": 2, "RON": 2, "RUB": 2,
    "SEK": 2, "SGD": 2, "TRY": 2, "TWD": 2, "UAH": 2, "USD": 2, "ZAR": 2,
}  # fmt: skip
# One sign can stand for several currencies; then the person says which.
_SIGNS: dict[str, tuple[str, ...]] = {
    "€": ("EUR",), "euro": ("EUR",), "euros": ("EUR",), "£": ("GBP",), "₽": ("RUB",), "₹": ("INR",), "₺": ("TRY",),
    "₩": ("KRW",), "₪": ("ILS",), "₴": ("UAH",), "zł": ("PLN",), "fr": ("CHF",), "sfr": ("CHF",), "kč": ("CZK",),
    "us$": ("USD",), "usd$": ("USD",), "c$": ("CAD",), "ca$": ("CAD",), "a$": ("AUD",), "au$": ("AUD",),
    "nz$": ("NZD",), "r$": ("BRL",), "hk$": ("HKD",),
    "$": ("USD", "CAD", "AUD", "NZD", "SGD", "MXN"), "¥": ("JPY", "CNY"), "kr": ("SEK", "NOK", "DKK", "ISK"),
}  # fmt: skip
_LARGEST_MINOR = 10**11
_MARK = re.compile(
    r"(?P<before>[^\d\s.,+\-']{0,6}\s?)(?P<number>[-+]?[\d.,][\d.,' ]{0,30}?)(?P<after>\s?[^\d\s.,']{0,6}\.?)"
)


@dataclass(frozen=True, slots=True)
class Money:
    """`minor` units of `currency` (ISO 4217). A currency with a question mark, as in "USD?", is asked."""

    text: str
    minor: int | None = None
    currency: str = ""
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


def read_money(text: str, *, currency: str = "", decimal_comma: bool | None = None) -> Money:
    """Read a price. `currency` is that of the column or the studio, for a price that names none or an unclear one."""
    long = too_long(text, "price")
    if long:
        return Money(text, doubts=(long,))
    words = plain(text)
    if says_nothing(words):
        return Money(text)
    match = _MARK.fullmatch(re.sub(r"(?<=\d)[.,]-{1,2}", "", words))  # 5,- is five
    if match is None:
        return Money(text, doubts=(_refused(text, "it is not one number with a currency"),))
    signs = {match["before"].strip(), match["after"].strip().removesuffix("-")} - {""}
    found, doubts = _currency(text, signs, currency)
    if found is None:
        return Money(text, doubts=doubts)
    number = read_decimal(re.sub(r"[.,]-*$", "", match["number"].strip()), decimal_comma)
    if number.value is None:
        return Money(text, None, found, doubts + _about_number(text, number.doubts))
    return _exact(text, number.value, found, doubts + number.doubts)


def _about_number(text: str, doubts: tuple[Doubt, ...]) -> tuple[Doubt, ...]:
    return tuple(replace(doubt, value=text) for doubt in doubts) or (_refused(text, "it is not a number"),)


def _currency(text: str, signs: set[str], default: str) -> tuple[str | None, tuple[Doubt, ...]]:
    """The currency and what is to be said of it; None where two signs or an unknown one stand by the number."""
    if not signs:
        return default, () if default else (_ask_currency(text, tuple(sorted(MINOR_DIGITS)), "no currency"),)
    if len(signs) > 1:
        return None, (_refused(text, "it names two currencies"),)
    sign = signs.pop()
    if sign.upper() in MINOR_DIGITS:
        return sign.upper(), ()
    meant = _SIGNS.get(sign.casefold().rstrip(".")) or _SIGNS.get(sign.casefold())
    if meant is None:
        return None, (_refused(text, f"{shown(sign)} is no currency that we know; enter its code, such as EUR"),)
    if len(meant) == 1 or default in meant:
        chosen = default if default in meant else meant[0]
        note = Doubt("currency", Severity.READ_AS, f"{shown(text)} is read as {chosen}.", text)
        return chosen, (note,) if len(meant) > 1 else ()
    return f"{meant[0]}?", (_ask_currency(text, meant, f"{sign}, which stands for several currencies"),)


def _ask_currency(text: str, codes: tuple[str, ...], has: str) -> Doubt:
    options = tuple(Option(code, code) for code in codes)
    return Doubt("currency", Severity.ASK, f"{shown(text)} has {has}. Choose the currency.", text, options)


def _exact(text: str, value: Decimal, currency: str, doubts: tuple[Doubt, ...]) -> Money:
    digits = MINOR_DIGITS.get(currency.rstrip("?"), 2)
    minor = value.scaleb(digits)
    if minor != minor.to_integral_value():
        why = f"{currency or 'a price'} has {digits} decimals at most"
        return Money(text, None, currency, (*doubts, _refused(text, why)))
    if minor > _LARGEST_MINOR:
        return Money(text, None, currency, (*doubts, _refused(text, "it is too large for a price")))
    return Money(text, int(minor), currency, doubts)


def _refused(text: str, why: str) -> Doubt:
    return Doubt("price-refused", Severity.REFUSED, f"{shown(text)} cannot be used as a price: {why}.", text)
