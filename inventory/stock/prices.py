"""Prices: exact amounts of one currency's smallest coin, as people write them, and what a millilitre of it costs.

Nothing here turns one currency into another, and nothing adds two of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from inventory.labels.money import MINOR_DIGITS

# What a coin is worth cannot be seen in a price for a millilitre: three significant figures can.
_FIGURES = 3


def minor_digits(currency: str) -> int:
    """Decimals of the smallest coin (ISO 4217); 2 for a currency that is not in our table."""
    return MINOR_DIGITS.get(currency, 2)


def money_words(minor: int, currency: str) -> str:
    """An exact amount as people write it: `695, EUR` is 6.95 EUR, `1250, JPY` is 1250 JPY."""
    digits = minor_digits(currency)
    whole, rest = divmod(abs(minor), 10**digits)
    text = f"{whole}.{rest:0{digits}d}" if digits else str(whole)
    return f"{'-' if minor < 0 else ''}{text} {currency}"


@dataclass(frozen=True)
class UnitPrice:
    """An exact price of one ml or g, in the smallest coin of `currency`."""

    minor: Fraction
    currency: str
    unit: str

    @property
    def words(self) -> str:
        """Rounded for reading alone: 0.174 EUR per ml."""
        return f"{rounded_money(self.minor, self.currency)} per {self.unit}"


def unit_price(price_minor: int, currency: str, *, nominal_milli: int, unit: str, containers: int = 1) -> UnitPrice:
    """What one ml or g costs.

    Parameters
    ----------
    price_minor : int
        Price of the whole pack in the smallest coin, above 0.
    nominal_milli : int
        Size of one container in thousandths of `unit`, above 0.
    containers : int
        Containers in the pack, above 0.

    Raises
    ------
    ValueError
        If a figure is not above 0.
    """
    for name, figure in (("price_minor", price_minor), ("nominal_milli", nominal_milli), ("containers", containers)):
        if figure <= 0:
            raise ValueError(f"{name} must be above 0, not {figure}")
    return UnitPrice(Fraction(price_minor * 1000, nominal_milli * containers), currency, unit)


def strength_price(price: UnitPrice, strength_percent: float) -> UnitPrice:
    """What so much costs as tints like one ml or g of the paint of strength 100.

    It is the price divided by the relative tinting strength: a paint of half the strength needs twice the amount for
    one tint, so it costs twice its price. Strengths are compared within one binder.

    Parameters
    ----------
    strength_percent : float
        Relative tinting strength in percent of the chosen paint, above 0.

    Raises
    ------
    ValueError
        If the strength is not above 0 and finite.
    """
    if not 0.0 < strength_percent < float("inf"):
        raise ValueError(f"strength_percent must be above 0 and finite, not {strength_percent}")
    return UnitPrice(price.minor * 100 / Fraction(strength_percent), price.currency, price.unit)


def rounded_money(minor: Fraction, currency: str) -> str:
    """A fraction of coins to three significant figures, or to the coin where that is finer: 0.174 EUR, 12.35 EUR."""
    digits = minor_digits(currency)
    value = minor / 10**digits
    decimals = digits
    while value and abs(value) * 10**decimals < 10 ** (_FIGURES - 1) and decimals < 9:
        decimals += 1
    scaled = round(value * 10**decimals)
    whole, rest = divmod(abs(scaled), 10**decimals)
    text = f"{whole}.{rest:0{decimals}d}" if decimals else str(whole)
    return f"{'-' if scaled < 0 else ''}{text} {currency}"


def totals(amounts: Iterable[tuple[int, str]]) -> list[tuple[int, str]]:
    """The sum of each currency by itself, in order of the currency's code; currencies are never added."""
    sums: dict[str, int] = {}
    for minor, currency in amounts:
        sums[currency] = sums.get(currency, 0) + minor
    return [(minor, currency) for currency, minor in sorted(sums.items())]


def totals_words(amounts: Iterable[tuple[int, str]]) -> str:
    """The totals side by side: 12.00 EUR and 8.81 USD."""
    return " and ".join(money_words(minor, currency) for minor, currency in totals(amounts))


def price_of(packs: int, price_minor: int, breaks: Iterable[tuple[int, int]] = ()) -> int:
    """What one pack costs when `packs` are bought at once: the price of the last break that the number reaches."""
    reached = [(start, price) for start, price in breaks if start <= packs]
    return max(reached)[1] if reached else price_minor
