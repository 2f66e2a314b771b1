"""How much to order at once: economic order quantities, quantity discounts, and a single order for one season.

References: Harris 1913; Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., ch. 3 and 4; Stevenson,
Operations Management, 14th ed., ch. 12. Money is in any one currency, amounts in any one unit; a year may be any
period as long as demand and holding cost are of the same.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from inventory.stock.service import poisson_at_most


@dataclass(frozen=True)
class Lot:
    """A quantity and what it costs a year, the goods included where a price was given."""

    quantity: float
    cost: float
    break_place: int = 0
    """Which of the price breaks it lies in, from 0."""


def economic_quantity(demand: float, order_cost: float, holding_cost: float) -> Lot:
    """sqrt(2 K D / h), with its yearly cost sqrt(2 K D h); all above 0, else ValueError."""
    _check(demand, order_cost, holding_cost)
    return Lot(math.sqrt(2 * order_cost * demand / holding_cost), math.sqrt(2 * order_cost * demand * holding_cost))


def with_backorders(demand: float, order_cost: float, holding_cost: float, shortage_cost: float) -> tuple[Lot, float]:
    """The same where people wait for what is short; also the share of demand that waits."""
    _check(demand, order_cost, holding_cost, shortage_cost)
    both = holding_cost + shortage_cost
    quantity = math.sqrt(2 * order_cost * demand * both / (holding_cost * shortage_cost))
    return Lot(quantity, order_cost * demand / quantity * 2.0), holding_cost / both


@dataclass(frozen=True)
class Break:
    """From this quantity on, this price for one."""

    from_quantity: float
    price: float


def all_units(
    demand: float,
    order_cost: float,
    breaks: Sequence[Break],
    *,
    holding_cost: float | None = None,
    holding_share: float | None = None,
) -> Lot:
    """The cheapest quantity where a break lowers the price of every unit.

    Holding costs either `holding_cost` a unit or `holding_share` of the price. Breaks rise from 0.
    """
    _check(demand, order_cost)
    _check_breaks(breaks)
    found = []
    for place, each in enumerate(breaks):
        holding = _holding(each.price, holding_cost, holding_share)
        ends = breaks[place + 1].from_quantity if place + 1 < len(breaks) else math.inf
        quantity = max(economic_quantity(demand, order_cost, holding).quantity, each.from_quantity)
        if quantity < ends:
            found.append(Lot(quantity, yearly_cost(demand, order_cost, holding, quantity, each.price), place))
    return min(found, key=lambda lot: lot.cost)


def whole_lot(demand: float, order_cost: float, breaks: Sequence[Break], *, holding_share: float) -> Lot:
    """The same in whole packs, one at least: the cheapest of those next to it and of the breaks."""
    best = all_units(demand, order_cost, breaks, holding_share=holding_share).quantity
    whole = {1, math.floor(best), math.ceil(best), *(math.ceil(each.from_quantity) for each in breaks)} - {0}
    found = []
    for quantity in sorted(whole):
        place = max(place for place, each in enumerate(breaks) if each.from_quantity <= quantity)
        price = breaks[place].price
        cost = yearly_cost(demand, order_cost, holding_share * price, quantity, price)
        found.append(Lot(quantity, cost, place))
    return min(found, key=lambda lot: lot.cost)


def incremental(demand: float, order_cost: float, breaks: Sequence[Break], *, holding_share: float) -> Lot:
    """The cheapest quantity where a break lowers the price only of the units above it."""
    _check(demand, order_cost, holding_share)
    _check_breaks(breaks)
    found, paid_more = [], 0.0
    for place, each in enumerate(breaks):
        if place:
            before = breaks[place - 1]
            paid_more += (before.price - each.price) * each.from_quantity
        ends = breaks[place + 1].from_quantity if place + 1 < len(breaks) else math.inf
        fixed = order_cost + paid_more
        quantity = math.sqrt(2 * fixed * demand / (holding_share * each.price))
        if each.from_quantity <= quantity < ends:
            unit = each.price + paid_more / quantity
            cost = unit * demand + order_cost * demand / quantity + holding_share * unit * quantity / 2.0
            found.append(Lot(quantity, cost, place))
    return min(found, key=lambda lot: lot.cost)


def yearly_cost(demand: float, order_cost: float, holding_cost: float, quantity: float, price: float = 0.0) -> float:
    """Ordering, holding and the goods themselves."""
    return order_cost * demand / quantity + holding_cost * quantity / 2.0 + price * demand


def critical_ratio(short_cost: float, over_cost: float) -> float:
    """The chance with which a single order should suffice."""
    _check(short_cost, over_cost)
    return short_cost / (short_cost + over_cost)


def one_season(mean: float, sd: float, short_cost: float, over_cost: float) -> Lot:
    """One order for a normal need that cannot be ordered again: what one too few and one too many cost decides."""
    _check(sd, short_cost, over_cost)
    z = NormalDist().inv_cdf(critical_ratio(short_cost, over_cost))
    return Lot(mean + sd * z, (short_cost + over_cost) * NormalDist().pdf(z) * sd)


def one_season_poisson(mean: float, short_cost: float, over_cost: float) -> Lot:
    """The same for a Poisson need: a whole number and its expected cost."""
    _check(mean, short_cost, over_cost)
    quantity = 0
    while poisson_at_most(quantity, mean) < critical_ratio(short_cost, over_cost):
        quantity += 1
    return Lot(quantity, season_cost_poisson(quantity, mean, short_cost, over_cost))


def season_cost_poisson(quantity: int, mean: float, short_cost: float, over_cost: float) -> float:
    """Expected cost of a whole quantity against a Poisson need."""
    over = sum(poisson_at_most(below, mean) for below in range(quantity))
    return over_cost * over + short_cost * (over + mean - quantity)


def poisson_point_and_quantity(
    demand: float, lead: float, order_cost: float, holding_cost: float, shortage_cost: float
) -> tuple[int, int, float]:
    """Reorder point, order quantity and cost a period for units used one at a time, the rest waiting for goods.

    `demand` is of one period and `lead` in periods. Exact: the window of stock positions grows from the cheapest one
    towards the cheaper side while the mean cost falls (Federgruen and Zheng 1992, Operations Research 40, 808-813).
    """
    _check(demand, lead, order_cost, holding_cost, shortage_cost)
    mean = demand * lead

    def cost(position: int) -> float:
        if position < 0:
            return shortage_cost * (mean - position)
        return season_cost_poisson(position, mean, shortage_cost, holding_cost)

    best = one_season_poisson(mean, shortage_cost, holding_cost).quantity
    low = high = int(best)
    total = order_cost * demand + cost(low)
    while min(cost(low - 1), cost(high + 1)) < total / (high - low + 1):
        if cost(low - 1) <= cost(high + 1):
            low -= 1
            total += cost(low)
        else:
            high += 1
            total += cost(high)
    quantity = high - low + 1
    return low - 1, quantity, total / quantity


def _holding(price: float, cost: float | None, share: float | None) -> float:
    if (cost is None) == (share is None):
        raise ValueError("Give the holding cost either as an amount or as a share of the price.")
    return cost if cost is not None else price * (share or 0.0)


def _check(*numbers: float) -> None:
    if any(not number > 0 or math.isinf(number) for number in numbers):
        raise ValueError("Demand, costs and spread are numbers above 0.")


def _check_breaks(breaks: Sequence[Break]) -> None:
    starts = [each.from_quantity for each in breaks]
    if not breaks or starts[0] != 0 or starts != sorted(set(starts)) or any(each.price <= 0 for each in breaks):
        raise ValueError("Price breaks start at 0, rise, and have prices above 0.")
