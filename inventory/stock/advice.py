"""Whether, when and how much of one paint to order, as a sentence with its numbers.

The steps: forecast everyday use from the ledger's weeks; see until when the next order but one will have come, since
what is ordered now or at the next order date has to last until then; keep so much that the house's own service level
holds over that time. Nothing is forecast where the history is too short; then only the level that a person set speaks.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.stock import service
from inventory.stock.amounts import exact
from inventory.stock.forecast import Forecast, forecast

WEEK = 7.0
# Past this many years an estimate of days left says nothing.
LONGEST_DAYS = 5 * 365.0


@dataclass(frozen=True)
class Policy:
    """How the house buys. `order_on` is when it can order next, `next_on` when after that; None: not known.

    `fill` False: `service` is the chance of no shortage from one order to the next; True: the share of what is asked
    for that is on the shelf. `lead_days` None: not known, and taken as 0 with a word about it.
    """

    service: float
    fill: bool
    order_on: date | None
    next_on: date | None
    lead_days: int | None
    lead_sd_days: int = 0
    times_as_bad: float | None = None
    """How much worse running out is held to be than as much left over, where `service` follows from that."""


@dataclass(frozen=True)
class Planned:
    """What a planned lesson will take."""

    on: date
    milli: int
    words: str


@dataclass(frozen=True)
class Situation:
    """One paint as it stands. Amounts are thousandths of `unit`; `weeks` are uses of whole weeks, oldest first.

    `level_milli` is what a person wants to have at least; 0: nobody said. `level_words` says who and how much.
    """

    name: str
    unit: str
    held_milli: int
    on_order_milli: int
    weeks: tuple[int, ...]
    planned: tuple[Planned, ...] = ()
    level_milli: int = 0
    level_words: str = ""


@dataclass(frozen=True)
class Advice:
    """What to do about one paint. Amounts in thousandths; days are from today.

    `short_milli` is what to order: 0 where nothing is needed. `point_milli` and `up_to_milli` are None without a
    forecast. `days` is (low, middle, high), nine in ten between low and high; None without a use to divide by.
    """

    forecast: Forecast
    point_milli: int | None
    up_to_milli: int | None
    short_milli: int
    days: tuple[float, float, float] | None
    order_now: bool
    runs_out_before_delivery: bool
    sentence: str
    steps: tuple[str, ...]
    """How the numbers came about, one step a line."""


def advise(now: Situation, policy: Policy | None, today: date) -> Advice:
    """Say what to order; without a policy or a forecast only the level that a person set is compared."""
    found = forecast(now.weeks)
    position = now.held_milli + now.on_order_milli
    if found.mean is None or policy is None or policy.order_on is None or policy.next_on is None:
        return _by_level(now, found, position, policy, today)
    order_on, next_on = max(policy.order_on, today), policy.next_on
    lead = policy.lead_days or 0
    comes_on, bridged_until = order_on + timedelta(days=lead), next_on + timedelta(days=lead)
    until_it_comes, until_the_next = (max((day - today).days, 0) / WEEK for day in (comes_on, bridged_until))
    planned_first = _planned(now.planned, today, comes_on)
    planned_all = _planned(now.planned, today, bridged_until)
    spread_weeks = policy.lead_sd_days / WEEK
    z, how = _z(policy, found, (next_on - order_on).days / WEEK, until_the_next, spread_weeks)
    point = service.reorder_point(found.mean, found.sd, until_it_comes, z, spread_weeks) + planned_first
    up_to = service.reorder_point(found.mean, found.sd, until_the_next, z, spread_weeks) + planned_all
    point_milli, up_to_milli = (_round(math.ceil(max(each, 0.0))) for each in (point, up_to))
    wanted = max(up_to_milli, now.level_milli)
    days = _days(now, found, today)
    late = days is not None and days[1] < (comes_on - today).days
    short = max(0, wanted - position)
    # A day of ordering is for whatever is short by then; between them only what would not last.
    order_now = short > 0 and (order_on <= today or position < point_milli)
    lessons = [f"Planned lessons take {exact(planned_all, now.unit)} by then: {_words(now.planned)}."] * bool(
        planned_all
    )
    apart = ("What lessons took before is left out of the weeks, since lessons are planned for it.",) * bool(
        now.planned
    )
    steps = (
        found.why,
        *apart,
        f"A week takes {_amount(found.mean, now.unit)} on average; single weeks lie about "
        f"{_amount(found.sd, now.unit)} around it.",
        _when(policy, order_on, next_on, bridged_until),
        how,
        *lessons,
        f"So {exact(up_to_milli, now.unit)} should be there or on its way; "
        f"{exact(now.held_milli, now.unit)} is usable and {exact(now.on_order_milli, now.unit)} is on order.",
        *((f"The level that was set counts where it is higher: {now.level_words}.",) if now.level_milli else ()),
        "An approximation: use is taken as normal around its mean, and weeks as independent.",
    )
    return Advice(
        found, point_milli, up_to_milli, short, days, order_now, late,
        _sentence(now, found, days, short, order_on, comes_on, late, today), steps,
    )  # fmt: skip


def _by_level(now: Situation, found: Forecast, position: int, policy: Policy | None, today: date) -> Advice:
    planned = sum(each.milli for each in now.planned if each.on >= today)
    short = max(0, now.level_milli + planned - position) if (now.level_milli or planned) else 0
    days = _days(now, found, today)
    steps = [found.why]
    if found.mean is not None and (policy is None or policy.order_on is None or policy.next_on is None):
        steps.append("How often the house orders is not set, so no level is worked out from the forecast.")
    if planned:
        steps.append(f"Planned lessons take {exact(planned, now.unit)}: {_words(now.planned)}.")
    steps.append(f"The level that was set: {now.level_words}." if now.level_words else "Nobody has set a level.")
    have = f"{exact(now.held_milli, now.unit)} is usable" + (
        f" and {exact(now.on_order_milli, now.unit)} is on order" if now.on_order_milli else ""
    )
    if short:
        wants = ("its level",) * bool(now.level_milli) + ("the planned lessons",) * bool(planned)
        what = " and ".join(wants)
        sentence = f"{now.name}: {have}, {exact(short, now.unit)} short of {what}. {_use(now, found)}"
    else:
        sentence = f"{now.name}: {have}. {_use(now, found)}"
    return Advice(found, None, None, short, days, short > 0, False, sentence, tuple(steps))


def _use(now: Situation, found: Forecast) -> str:
    if found.mean is None:
        return "Its use is not known well enough for a forecast."
    return f"A week takes about {_amount(found.mean, now.unit)}."


def _z(
    policy: Policy, found: Forecast, weeks_between: float, weeks_bridged: float, spread_weeks: float
) -> tuple[float, str]:
    """Standard deviations to keep as safety, and in words why."""
    percent = f"{policy.service * 100:g}"
    mean = found.mean or 0.0
    spread = service.lead_sd(mean, found.sd, weeks_bridged, spread_weeks)
    if not policy.fill:
        z = service.quantile(policy.service)
        if policy.times_as_bad is not None:
            return z, (
                f"Running out is held to be {policy.times_as_bad:.3g} times as bad as as much left over, so {percent} "
                f"of 100 order rounds should suffice: {z:.2f} standard deviations are kept."
            )
        return z, f"{percent} of 100 order rounds should go without a shortage: {z:.2f} standard deviations are kept."
    brings = mean * weeks_between
    if not spread or not brings:
        return 0.0, f"{percent} of 100 ml asked for should be there; nothing varies, so nothing is added."
    z = service.z_for_fill(policy.service, brings, spread)
    return z, f"{percent} of 100 ml asked for should be there: {z:.2f} standard deviations are kept."


def _days(now: Situation, found: Forecast, today: date) -> tuple[float, float, float] | None:
    """Until what is usable is gone, by everyday use and the planned lessons that come before."""
    if found.mean is None or found.mean <= 0:
        return None
    lessons = sorted(((each.on - today).days, each.milli) for each in now.planned if each.on >= today)
    ends = []
    for place in range(3):
        held, passed = float(now.held_milli), 0
        for day, milli in lessons:
            if service.days_left(held, found.mean, found.sd, WEEK)[place] <= day:
                break
            held, passed = max(0.0, held - milli), day
        gone = max(service.days_left(held, found.mean, found.sd, WEEK)[place], float(passed))
        ends.append(min(gone, LONGEST_DAYS))
    low, middle, high = ends
    return low, middle, high


def _sentence(
    now: Situation,
    found: Forecast,
    days: tuple[float, float, float] | None,
    short: int,
    order_on: date,
    comes_on: date,
    late: bool,
    today: date,
) -> str:
    lasts = ""
    if days is not None:
        lasts = f", which lasts about {days_words(days)}" if days[1] < LONGEST_DAYS else ", which lasts for years"
    head = f"{now.name}: {exact(now.held_milli, now.unit)} is usable{lasts}"
    if not short:
        return f"{head}. Nothing to order by {_day(order_on)}."
    when = "now" if order_on <= today else f"by {_day(order_on)}"
    order = f"Order {exact(_round(short), now.unit)} {when}"
    if late:
        return f"{head}. It will not last until a delivery of {_day(comes_on)}. {order}, or sooner elsewhere."
    return f"{head}. {order}."


def days_words(days: tuple[float, float, float]) -> str:
    """Such as "29 days (21 to 40 in nine of ten cases)"."""
    low, middle, high = (round(each) for each in days)
    until = f"{high}" if high < LONGEST_DAYS else "several years"
    return f"{middle} {'day' if middle == 1 else 'days'} ({low} to {until} in nine of ten cases)"


def _when(policy: Policy, order_on: date, next_on: date, bridged_until: date) -> str:
    lead = (
        "the lead time is not known and taken as 0"
        if policy.lead_days is None
        else f"delivery takes {policy.lead_days} days"
        + (f", with a standard deviation of {policy.lead_sd_days}" if policy.lead_sd_days else "")
    )
    return (
        f"The house can order on {_day(order_on)} and then on {_day(next_on)}; {lead}, "
        f"so that it has to last until {_day(bridged_until)}."
    )


def _planned(planned: Sequence[Planned], today: date, until: date) -> int:
    return sum(each.milli for each in planned if today <= each.on <= until)


def _words(planned: Sequence[Planned]) -> str:
    shown = [f"{each.words} on {_day(each.on)}" for each in sorted(planned, key=lambda one: one.on)[:3]]
    more = len(planned) - len(shown)
    return "; ".join(shown) + (f" and {more} more" if more > 0 else "")


def _round(milli: int) -> int:
    """To whole units upwards, as one would say it."""
    return -(-milli // 1000) * 1000


def _amount(milli: float, unit: str) -> str:
    return f"{milli / 1000:.1f} {unit}" if milli < 100_000 else f"{milli / 1000:.0f} {unit}"


def _day(day: date) -> str:
    return f"{day:%-d %B %Y}"
