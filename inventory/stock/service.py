"""How much to keep so that the shelf seldom runs out: reorder points, order-up-to levels, service and fill.

References: Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, 4th ed., ch. 6 and 7;
Stevenson, Operations Management, 14th ed., ch. 12; Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed.
Demand is taken as normal or Poisson; with a lead time that varies too, the result is an approximation.
"""

import math
from statistics import NormalDist

_STANDARD = NormalDist()


def quantile(service: float) -> float:
    """The z below which a standard normal lies with this chance; `service` in (0, 1), else ValueError."""
    if not 0 < service < 1:
        raise ValueError("A service level lies between 0 and 1, both left out.")
    return _STANDARD.inv_cdf(service)


def unit_loss(z: float) -> float:
    """G(z) = phi(z) - z (1 - Phi(z)): what a standard normal exceeds z by, on average."""
    return _STANDARD.pdf(z) - z * _STANDARD.cdf(-z)


def z_of_loss(loss: float) -> float:
    """The z of a given unit loss above 0, by bisection to 1e-12; G falls with z."""
    if not loss > 0:
        raise ValueError("A loss is above 0.")
    low, high = -loss - 1.0, 40.0  # G(z) > -z
    while high - low > 1e-12:
        middle = (low + high) / 2.0
        low, high = (middle, high) if unit_loss(middle) > loss else (low, middle)
    return (low + high) / 2.0


def lead_sd(mean: float, sd: float, lead: float, lead_spread: float = 0.0) -> float:
    """Standard deviation of what is used in a lead time.

    `mean` and `sd` are of one period, `lead` and `lead_spread` in periods; `lead` is whatever time an order has to
    bridge, so lead time and review interval together where stock is looked at from time to time.
    """
    return math.sqrt(lead * sd**2 + (mean * lead_spread) ** 2)


def reorder_point(mean: float, sd: float, lead: float, z: float, lead_spread: float = 0.0) -> float:
    """Order when what is there and on its way falls to this: use in the lead time, and a safety stock."""
    return mean * lead + z * lead_sd(mean, sd, lead, lead_spread)


def order_up_to(mean: float, sd: float, review: float, lead: float, z: float, lead_spread: float = 0.0) -> float:
    """Fill up to this at every review: use until the next order has come, and a safety stock."""
    return reorder_point(mean, sd, review + lead, z, lead_spread)


def z_for_fill(fill: float, quantity: float, spread: float) -> float:
    """The z at which the share `fill` of what is asked for is on the shelf.

    `quantity` is what one order brings, `spread` the standard deviation of use over the time that it has to bridge.
    Shortage left over from the round before is neglected, as is usual. ValueError unless 0 < fill < 1.
    """
    if not 0 < fill < 1 or not quantity > 0 or not spread > 0:
        raise ValueError("A fill rate lies between 0 and 1; quantity and spread are above 0.")
    return z_of_loss((1.0 - fill) * quantity / spread)


def fill_rate(point: float, quantity: float, mean_in_lead: float, spread: float) -> float:
    """The share of what is asked for that is on the shelf, with a reorder point and an order quantity."""
    return 1.0 - spread * unit_loss((point - mean_in_lead) / spread) / quantity


def poisson_at_most(count: int, mean: float) -> float:
    """The chance that a Poisson variable of this mean is `count` or less."""
    if count < 0:
        return 0.0
    term = total = math.exp(-mean)
    for place in range(1, count + 1):
        term *= mean / place
        total += term
    return min(total, 1.0)


def poisson_loss(stock: int, mean: float) -> float:
    """What a Poisson variable exceeds `stock` by, on average."""
    return mean - sum(1.0 - poisson_at_most(below, mean) for below in range(stock))


def poisson_stock(mean: float, service: float) -> int:
    """The least whole stock that covers a Poisson need with this chance; for tubes that go one at a time.

    ValueError unless 0 <= mean <= 500 and 0 < service < 1.
    """
    if not 0 <= mean <= 500 or not 0 < service < 1:
        raise ValueError("A mean of 0 to 500 and a service level between 0 and 1.")
    stock = 0
    while poisson_at_most(stock, mean) < service:
        stock += 1
    return stock


def poisson_fill(stock: int, mean: float, lead: float) -> float:
    """Share of Poisson demand met from the shelf when every period fills up to `stock`; `mean` is of one period."""
    backorders = poisson_loss(stock, mean * (lead + 1.0)) - poisson_loss(stock, mean * lead)
    return 1.0 - backorders / mean


def days_left(held: float, mean: float, sd: float, period_days: float) -> tuple[float, float, float]:
    """Days until what is held is used up: low, middle and high, in nine of ten cases between low and high.

    After t periods the use is taken as normal with mean `mean` t and variance `sd`^2 t; the ends are where `held` is
    its 95th and its 5th percentile. ValueError unless mean is above 0.
    """
    if not mean > 0 or held < 0:
        raise ValueError("Days left need a use above 0 and a stock that is not below 0.")
    z = quantile(0.95) * sd

    def at(side: float) -> float:
        # mean t + side z sqrt(t) = held, a quadratic in sqrt(t)
        root = (-side * z + math.sqrt(z * z + 4.0 * mean * held)) / (2.0 * mean)
        return root * root * period_days

    return at(1.0), held / mean * period_days, at(-1.0)
