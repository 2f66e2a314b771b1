"""The cheapest combination of sizes and packs that reaches an amount, with quantity discounts.

A covering problem with whole packs. It is solved exactly, by dynamic programming over the amounts that can be
reached, in steps of the greatest common divisor of the packs. Of equal prices the smaller surplus wins, then the
fewer containers.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

from inventory.stock.amounts import exact
from inventory.stock.prices import price_of

LARGEST_NEED_MILLI = 100_000_000
MOST_OFFERS = 40
MOST_BREAKS = 10
# Cells of the table: steps of amount by offers. Eight bytes each.
_LARGEST_TABLE = 10_000_000
_UNREACHED = 2**61
_LARGEST_COST = 2**60

Costs = NDArray[np.int64]


@dataclass(frozen=True)
class PackOffer:
    """A pack at a price; `breaks` are (from so many packs on, price of each), falling. `key` is the caller's own."""

    key: int
    nominal_milli: int
    unit: str
    price_minor: int
    currency: str
    pack: int = 1
    breaks: tuple[tuple[int, int], ...] = ()

    @property
    def content_milli(self) -> int:
        return self.nominal_milli * self.pack

    def total_minor(self, packs: int) -> int:
        return packs * price_of(packs, self.price_minor, self.breaks)


@dataclass(frozen=True)
class Chosen:
    """So many packs of one offer."""

    offer: PackOffer
    packs: int

    @property
    def containers(self) -> int:
        return self.packs * self.offer.pack

    @property
    def pack_price_minor(self) -> int:
        return price_of(self.packs, self.offer.price_minor, self.offer.breaks)

    @property
    def total_minor(self) -> int:
        return self.offer.total_minor(self.packs)


@dataclass(frozen=True)
class Purchase:
    """What to buy. `surplus` is what it is above the need, in thousandths of the unit."""

    chosen: tuple[Chosen, ...]
    currency: str
    unit: str
    surplus: int

    @property
    def total_minor(self) -> int:
        return sum(one.total_minor for one in self.chosen)

    @property
    def amount_milli(self) -> int:
        return sum(one.packs * one.offer.content_milli for one in self.chosen)

    @property
    def containers(self) -> int:
        return sum(one.containers for one in self.chosen)


def cheapest(need_milli: int, offers: Iterable[PackOffer]) -> Purchase:
    """Return the cheapest purchase of at least `need_milli` thousandths of the offers' unit.

    Parameters
    ----------
    need_milli : int
        1 to 100 000 000 (100 l or 100 kg), in thousandths of the unit.
    offers : iterable of PackOffer
        1 to 40, all of one currency and one unit, prices and sizes above 0, breaks from 2 packs on with falling
        prices.

    Raises
    ------
    ValueError
        Says which figure is out of bounds, and what to do. Sizes that differ by thousandths of a ml make a large
        table: then the amount is to be smaller or the sizes rounder.
    """
    known = _checked(offers)
    if not 1 <= need_milli <= LARGEST_NEED_MILLI:
        raise ValueError(
            f"The amount must be between 0.001 and {exact(LARGEST_NEED_MILLI, known[0].unit)}, "
            f"not {exact(need_milli, known[0].unit)}: split it."
        )
    return _solved(need_milli, known)


def cheapest_by_currency(need_milli: int, offers: Iterable[PackOffer]) -> tuple[Purchase, ...]:
    """One purchase a currency, in order of its code: prices of different currencies are not compared."""
    groups: dict[str, list[PackOffer]] = {}
    for offer in offers:
        groups.setdefault(offer.currency, []).append(offer)
    return tuple(cheapest(need_milli, groups[currency]) for currency in sorted(groups))


def _checked(offers: Iterable[PackOffer]) -> list[PackOffer]:
    known = list(offers)
    if not 1 <= len(known) <= MOST_OFFERS:
        raise ValueError(f"Between 1 and {MOST_OFFERS} offers can be compared at once, not {len(known)}.")
    if len(currencies := sorted({offer.currency for offer in known})) > 1:
        raise ValueError(f"Prices in {' and '.join(currencies)} cannot be compared: choose one currency.")
    if len(units := sorted({offer.unit for offer in known})) > 1:
        raise ValueError(f"Sizes in {' and '.join(units)} cannot be compared: choose one unit.")
    for offer in known:
        _check_offer(offer)
    return known


def _check_offer(offer: PackOffer) -> None:
    for what, figure in (("size", offer.nominal_milli), ("price", offer.price_minor), ("pack", offer.pack)):
        if figure <= 0:
            raise ValueError(f"The {what} of an offer must be above 0, not {figure}.")
    if len(offer.breaks) > MOST_BREAKS:
        raise ValueError(f"An offer may have {MOST_BREAKS} quantity discounts at most, not {len(offer.breaks)}.")
    start, price = 1, offer.price_minor
    for next_start, next_price in sorted(offer.breaks):
        if next_start <= start or not 0 < next_price <= price:
            raise ValueError(
                f"From {next_start} packs on the price of {next_price} must be above 0, not above {price}, and begin "
                f"after {start}: check the quantity discounts."
            )
        start, price = next_start, next_price


def _solved(need: int, offers: Sequence[PackOffer]) -> Purchase:
    step = gcd(*(offer.content_milli for offer in offers))
    steps = -(-need // step)
    if steps * len(offers) > _LARGEST_TABLE:
        raise ValueError(
            f"{len(offers)} sizes that differ by thousandths cannot be compared for so large an amount: "
            "round the sizes to whole ml or g, or split the amount."
        )
    table = _Table(steps, offers, [offer.content_milli // step for offer in offers])
    for place in range(len(offers)):
        table.add(place)
    packs, end = table.read()
    chosen = tuple(Chosen(offer, count) for offer, count in zip(offers, packs, strict=True) if count)
    return Purchase(chosen, offers[0].currency, offers[0].unit, end * step - need)


class _Table:
    """Least cost by amount below the need, offer by offer; a cost carries its containers as its last digits.

    No best purchase can do without its last pack (or, at a break, without its last offer), so it passes through
    amounts below the need alone until it ends.
    """

    def __init__(self, steps: int, offers: Sequence[PackOffer], contents: Sequence[int]) -> None:
        self.steps, self.offers, self.contents = steps, offers, contents
        most_packs = [-(-steps // size) for size in contents]
        alone = [offer.total_minor(count) for offer, count in zip(offers, most_packs, strict=True)]
        self.cost_limit = min(alone)
        smallest = min(size / offer.pack for offer, size in zip(offers, contents, strict=True))
        last = max(offer.pack * max([1, *(start for start, _ in offer.breaks)]) for offer in offers)
        self.base = int(steps / smallest) + last + 2
        dearest = max(offer.price_minor * (count + 1) for offer, count in zip(offers, most_packs, strict=True))
        if dearest * self.base >= _LARGEST_COST:
            raise ValueError("These prices are too large to be compared for so large an amount: split it.")
        start: Costs = np.full(steps, _UNREACHED, dtype=np.int64)
        start[0] = 0
        self.rows: list[Costs] = [start]
        # Cost, amount and containers of the best end, then the offer, its packs and the amount before it.
        self.best: tuple[tuple[int, int, int], int, int] | None = None

    def add(self, place: int) -> None:
        """Let the offer at `place` be bought any number of times after the offers before it."""
        offer, size = self.offers[place], self.contents[place]
        before = self.rows[-1]
        after = before.copy()
        for start, price in [(1, offer.price_minor), *sorted(offer.breaks)]:
            if start * price > self.cost_limit:
                continue
            one, lump = self._coded(price, offer.pack), self._coded(start * price, start * offer.pack)
            self._end(place, before, lump, start * size)
            if start * size >= self.steps:
                continue
            reached: Costs = np.full(self.steps, _UNREACHED, dtype=np.int64)
            reached[start * size :] = before[: self.steps - start * size] + lump
            reached = _any_number(np.minimum(reached, _UNREACHED), size, one)
            self._end(place, reached, one, size)
            np.minimum(after, reached, out=after)
        after[after >= self._coded(self.cost_limit + 1, 0)] = _UNREACHED
        self.rows.append(after)

    def _coded(self, cost: int, containers: int) -> int:
        return cost * self.base + containers

    def _end(self, place: int, costs: Costs, added: int, size: int) -> None:
        """Look at all purchases that reach the need by `size` more."""
        first = max(0, self.steps - size)
        ends = costs[first:]
        least = int(ends.min())
        if least >= _UNREACHED:
            return
        cost = (least + added) // self.base
        cheap = np.flatnonzero((ends + added) // self.base == cost)
        at = first + int(cheap[0])
        coded = int(costs[at]) + added
        found = (cost, at + size, coded % self.base)
        if self.best is None or found < self.best[0]:
            self.best = (found, place, coded)

    def read(self) -> tuple[list[int], int]:
        """The packs of each offer in the best purchase, and the amount that it reaches."""
        assert self.best is not None  # noqa: S101  # any offer alone reaches any amount
        (_, end, _), last, coded = self.best
        packs = [0] * len(self.offers)
        at = end
        for place in range(last, -1, -1):
            if place != last and coded == int(self.rows[place][at]):
                continue
            packs[place], at, coded = self._packs(place, at, coded)
        return packs, end

    def _packs(self, place: int, at: int, coded: int) -> tuple[int, int, int]:
        offer, size, before = self.offers[place], self.contents[place], self.rows[place]
        for count in range(1, at // size + 1):
            rest = coded - self._coded(offer.total_minor(count), count * offer.pack)
            came_from = at - count * size
            if rest >= 0 and came_from < self.steps and int(before[came_from]) == rest:
                return count, came_from, rest
        raise AssertionError(f"no way leads to {at} steps")


def _any_number(costs: Costs, size: int, one: int) -> Costs:
    """Least costs when any number of further packs of `size` steps at `one` each may be added."""
    rows = -(-len(costs) // size)
    grid: Costs = np.full(rows * size, _UNREACHED, dtype=np.int64)
    grid[: len(costs)] = costs
    grid = grid.reshape(rows, size)
    climb = (np.arange(rows, dtype=np.int64) * one)[:, None]
    least: Costs = np.minimum.accumulate(grid - climb, axis=0) + climb
    least[least >= _LARGEST_COST] = _UNREACHED
    return least.reshape(-1)[: len(costs)]
