"""Forecasts of lumpy use: how much of a paint a period takes, from what earlier periods took.

References: Croston 1972 (Operational Research Quarterly 23, 289-303); Syntetos and Boylan 2005 (International Journal
of Forecasting 21, 303-314) for SBA; Shale, Boylan and Johnston 2006 (Journal of the Operational Research Society 57,
588-592) for SBJ; Teunter, Syntetos and Babai 2011 (European Journal of Operational Research 214, 606-615) for TSB;
Syntetos, Boylan and Croston 2005 (Journal of the Operational Research Society 56, 495-503) for the classes of use.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

# Cuts between the classes of use, as published: mean periods from use to use, and squared variation of the amounts.
INTERVAL_CUT = 1.32
VARIATION_CUT = 0.49
# Smoothing constants: common practice takes 0.05 to 0.2 for use that comes seldom.
SMOOTHING = 0.1
TSB_SMOOTHING = 0.1
# Fewer uses or fewer periods than these are too little to forecast from: our own rule.
LEAST_USES = 3
LEAST_PERIODS = 6
# A paint that was not used for so many times its usual interval may be going out of use: our own rule.
GONE_QUIET = 3.0


class Method(StrEnum):
    SMOOTHING = "simple smoothing"
    CROSTON = "Croston"
    SBA = "SBA"
    TSB = "TSB"


class Use(StrEnum):
    SMOOTH = "smooth"
    ERRATIC = "erratic"
    INTERMITTENT = "intermittent"
    LUMPY = "lumpy"


@dataclass(frozen=True)
class Pattern:
    """How use comes: periods from use to use, and the squared coefficient of variation of the amounts."""

    periods: int
    uses: int
    interval: float
    variation: float

    @property
    def kind(self) -> Use:
        if self.interval < INTERVAL_CUT:
            return Use.SMOOTH if self.variation < VARIATION_CUT else Use.ERRATIC
        return Use.INTERMITTENT if self.variation < VARIATION_CUT else Use.LUMPY


@dataclass(frozen=True)
class Forecast:
    """What one period is expected to take, and how far single periods lay from it.

    `mean` and `sd` are in the unit of the series; `method` is None where there was too little to go by, and then
    `mean` is None too.
    """

    method: Method | None
    mean: float | None
    sd: float
    pattern: Pattern
    why: str


def pattern(demand: Sequence[float]) -> Pattern:
    """Describe a series of amounts, one a period, oldest first; none may be below 0 (ValueError)."""
    _check(demand)
    sizes = [amount for amount in demand if amount > 0]
    if not sizes:
        return Pattern(len(demand), 0, math.inf, 0.0)
    mean = sum(sizes) / len(sizes)
    spread = sum((size - mean) ** 2 for size in sizes) / len(sizes)
    return Pattern(len(demand), len(sizes), len(demand) / len(sizes), spread / mean**2)


def croston(
    demand: Sequence[float],
    alpha: float = SMOOTHING,
    beta: float | None = None,
    start: tuple[float, float] | None = None,
) -> list[float | None]:
    """Forecast after each period by Croston's method: smoothed amount over smoothed interval.

    `alpha` smooths the amounts and `beta` the intervals (as alpha where None), both in (0, 1]. `start` is the amount
    and the interval before the first period; where None, the first use starts both: its amount, and its place counted
    from 1, and None stands before it.
    """
    return [size / interval if interval else None for size, interval in _croston(demand, alpha, beta, start)]


def sba(
    demand: Sequence[float],
    alpha: float = SMOOTHING,
    beta: float | None = None,
    start: tuple[float, float] | None = None,
) -> list[float | None]:
    """As Croston, times 1 - beta/2: Croston's ratio lies too high on average."""
    factor = 1.0 - (alpha if beta is None else beta) / 2.0
    return [None if each is None else factor * each for each in croston(demand, alpha, beta, start)]


def sbj(demand: Sequence[float], alpha: float = SMOOTHING, beta: float | None = None) -> list[float | None]:
    """As Croston, times 1 - beta/(2 - beta)."""
    used = alpha if beta is None else beta
    factor = 1.0 - used / (2.0 - used)
    return [None if each is None else factor * each for each in croston(demand, alpha, beta)]


def _croston(
    demand: Sequence[float], alpha: float, beta: float | None, start: tuple[float, float] | None
) -> Iterator[tuple[float, float]]:
    _check(demand, alpha, beta)
    inner = alpha if beta is None else beta
    size, interval = start or (0.0, 0.0)
    since = 0
    for amount in demand:
        since += 1
        if amount > 0:
            size, interval = (
                (size + alpha * (amount - size), interval + inner * (since - interval))
                if interval
                else (amount, float(since))
            )
            since = 0
        yield size, interval


def tsb(
    demand: Sequence[float],
    alpha: float = TSB_SMOOTHING,
    beta: float = TSB_SMOOTHING,
    start: tuple[float, float] | None = None,
) -> list[float]:
    """Forecast after each period by TSB: smoothed chance of a use times its smoothed amount; falls while unused.

    `start` is the amount and the chance before the first period; where None, the first amount and one over its place
    counted from 1, both known from the start. A series without a use gives zeros.
    """
    _check(demand, alpha, beta)
    if start is None:
        place = next((place for place, amount in enumerate(demand, start=1) if amount > 0), 0)
        if not place:
            return [0.0] * len(demand)
        start = (float(demand[place - 1]), 1.0 / place)
    size, chance = start
    found = []
    for amount in demand:
        chance += beta * ((amount > 0) - chance)
        if amount > 0:
            size += alpha * (amount - size)
        found.append(chance * size)
    return found


def smoothed(demand: Sequence[float], alpha: float = SMOOTHING, start: float | None = None) -> list[float]:
    """Forecast after each period by simple exponential smoothing, from `start`, or the first amount where None."""
    _check(demand, alpha)
    level, found = start if start is not None else float(demand[0]) if demand else 0.0, []
    for amount in demand:
        level += alpha * (amount - level)
        found.append(level)
    return found


def forecast(demand: Sequence[float]) -> Forecast:
    """Choose a method by a stated rule and forecast one period.

    Fewer than 6 periods or 3 uses: none. Used in every period: simple smoothing. Quiet for more than three times its
    usual interval: TSB, since it may be going out of use. Otherwise by the classes of Syntetos, Boylan and Croston
    (2005, JORS 56, 495-503): Croston for smooth use, SBA for erratic, intermittent and lumpy use. All but TSB start
    from the means of the whole series: the first amount alone would weigh too much in a short history. `sd` is the
    square root of the squared differences of single periods from the forecast, summed and divided by one period less.
    """
    found = pattern(demand)
    if found.periods < LEAST_PERIODS or found.uses < LEAST_USES:
        uses = "once" if found.uses == 1 else f"{found.uses} times"
        why = (
            f"Used {uses} in {found.periods} {'period' if found.periods == 1 else 'periods'}: "
            f"too little to forecast from (it takes {LEAST_USES} uses in {LEAST_PERIODS})."
        )
        return Forecast(None, None, 0.0, found, why)
    quiet = next(back for back, amount in enumerate(reversed(demand)) if amount > 0)
    usual = (len(demand) - quiet) / found.uses
    start = (sum(demand) / found.uses, found.interval)
    mean: float | None
    if found.uses == found.periods:
        method, mean = Method.SMOOTHING, smoothed(demand, start=start[0])[-1]
        why = f"Used in each of {found.periods} periods: simple smoothing."
    elif quiet > GONE_QUIET * usual:
        method, mean = Method.TSB, tsb(demand)[-1]
        why = (
            f"Used in {found.uses} of {found.periods} periods and not in the last {quiet}: "
            "TSB, whose forecast falls while nothing is used."
        )
    elif found.kind is Use.SMOOTH:
        method, mean = Method.CROSTON, croston(demand, start=start)[-1]
        why = f"Used in {found.uses} of {found.periods} periods, by amounts much alike: Croston."
    else:
        method, mean = Method.SBA, sba(demand, start=start)[-1]
        how = "for amounts that vary much" if found.kind is Use.ERRATIC else "for use that comes seldom"
        why = f"Used in {found.uses} of {found.periods} periods: SBA, {how}."
    spread = math.sqrt(sum((amount - (mean or 0.0)) ** 2 for amount in demand) / (len(demand) - 1))
    return Forecast(method, mean, spread, found, why)


def _check(demand: Sequence[float], *constants: float | None) -> None:
    if any(not amount >= 0 or math.isinf(amount) for amount in demand):
        raise ValueError("An amount that was used is 0 or more, and a number.")
    if any(each is not None and not 0 < each <= 1 for each in constants):
        raise ValueError("A smoothing constant is above 0 and at most 1.")
