"""The arithmetic of lessons: amounts a head, what is taken from which tube, what runs short, when to order it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction
from math import ceil
from statistics import stdev

from inventory.stock.amounts import exact

# Amounts a head are given out to a tenth of a ml: nobody squeezes finer.
FINEST_MILLI = 100


def in_tenths(milli: Fraction | int) -> int:
    """Rounded up to a tenth of the unit."""
    return ceil(Fraction(milli) / FINEST_MILLI) * FINEST_MILLI


def tenths_words(milli: int, unit: str) -> str:
    """A derived amount as it is read: to a tenth of the unit, and above 100 to the unit."""
    step = 1000 if abs(milli) >= 100_000 else 100
    return exact(round(milli / step) * step, unit)


@dataclass(frozen=True)
class AHead:
    """What was used a head in earlier lessons; figures in thousandths."""

    amounts: tuple[Fraction, ...]

    @property
    def lessons(self) -> int:
        return len(self.amounts)

    @property
    def mean_milli(self) -> int:
        return in_tenths(sum(self.amounts, Fraction(0)) / len(self.amounts))

    @property
    def spread_milli(self) -> int | None:
        """Standard deviation of the sample; None of a single lesson."""
        return round(stdev(map(float, self.amounts))) if len(self.amounts) > 1 else None

    def words(self, unit: str) -> str:
        """12.5 ml a head, the mean of 3 lessons (10 to 15 ml, standard deviation 2.5 ml)."""
        mean = tenths_words(self.mean_milli, unit)
        if self.lessons == 1:
            return f"{mean} a head in the one lesson recorded so far; how much it varies is not known"
        least, most = (tenths_words(round(bound(self.amounts)), unit) for bound in (min, max))
        spread = tenths_words(self.spread_milli or 0, unit)
        return f"{mean} a head, the mean of {self.lessons} lessons ({least} to {most}, standard deviation {spread})"


def a_head(used: Iterable[tuple[int, int]]) -> AHead | None:
    """What was used a head, of (thousandths used by a class, students); None where nothing was recorded.

    Raises
    ------
    ValueError
        If a class had no students or the amount is below 0.
    """
    amounts = []
    for milli, students in used:
        if students < 1 or milli < 0:
            raise ValueError(f"{milli} thousandths by {students} students is no use of a class.")
        amounts.append(Fraction(milli, students))
    return AHead(tuple(amounts)) if amounts else None


# --- which tubes


@dataclass(frozen=True)
class TubeLeft:
    """A container that a class may be served from; `age` sorts the oldest first."""

    pk: int
    left_milli: int
    is_open: bool
    is_at_hand: bool
    age: tuple[object, ...]


def split(need_milli: int, tubes: Iterable[TubeLeft]) -> tuple[dict[int, int], int]:
    """Take an amount from tubes: those at hand first, of them the open ones, then the oldest.

    Parameters
    ----------
    need_milli : int
        0 or more, in thousandths of the tubes' unit.

    Returns
    -------
    (dict of int to int, int)
        Thousandths by tube, and what could not be found.
    """
    taken: dict[int, int] = {}
    for tube in sorted(tubes, key=lambda one: (not one.is_at_hand, not one.is_open, one.age)):
        if need_milli <= 0:
            break
        part = min(need_milli, tube.left_milli)
        if part > 0:
            taken[tube.pk] = part
            need_milli -= part
    return taken, max(0, need_milli)


# --- what runs short

Thing = tuple[int, str]
"""An item and a unit."""


@dataclass(frozen=True)
class Need:
    """What one lesson takes of one thing."""

    lesson: int
    thing: Thing
    milli: int
    place: int | None = None
    """From where; None: from anywhere."""


@dataclass(frozen=True)
class Taken:
    need: Need
    before_milli: int
    """What the earlier lessons leave where this one takes from."""

    @property
    def short_milli(self) -> int:
        return max(0, self.need.milli - self.before_milli)


@dataclass
class _Stock:
    """What stands where, of one thing."""

    held: dict[int | None, int] = field(default_factory=dict)

    def at(self, place: int | None) -> int:
        return self.held.get(place, 0) if place is not None else sum(self.held.values())

    def take(self, milli: int, place: int | None, spoken_for: set[int]) -> None:
        """From a place; or from anywhere, sparing the places that other lessons are bound to."""
        places = [place] if place is not None else sorted(self.held, key=lambda one: (one in spoken_for, one or 0))
        for one in places:
            part = min(milli, self.held.get(one, 0))
            self.held[one] = self.held.get(one, 0) - part
            milli -= part


def taken_in_turn(needs: Iterable[Need], stock: Mapping[Thing, Mapping[int | None, int]]) -> list[Taken]:
    """What each need finds, when they are met in the order given; what one lacks is taken from nobody else.

    Parameters
    ----------
    needs : iterable of Need
        In order of time.
    stock : mapping of Thing to mapping of place to int
        Thousandths; None is the place of what stands nobody knows where.
    """
    asked = list(needs)
    spoken_for = {need.place for need in asked if need.place is not None}
    left = {thing: _Stock(dict(places)) for thing, places in stock.items()}
    found = []
    for need in asked:
        held = left.setdefault(need.thing, _Stock())
        found.append(Taken(need, held.at(need.place)))
        held.take(need.milli, need.place, spoken_for)
    return found


# --- when to order


@dataclass(frozen=True)
class OrderBy:
    """By when something must be ordered that is needed on a day; `by` is None where the lead time is not known."""

    needed_on: date
    today: date
    lead_days: int | None
    house_day: date | None
    """The last order date of the house that is still in time; None: there is none from today on."""
    has_house_days: bool

    @property
    def by(self) -> date | None:
        # It has to be there on the day before: a parcel may come after the class has begun.
        return None if self.lead_days is None else self.needed_on - timedelta(days=self.lead_days + 1)

    @property
    def is_late(self) -> bool:
        return self.by is not None and self.by < self.today

    @property
    def words(self) -> str:
        if self.by is None:
            return "the lead time is not known: ask the supplier"
        took = f"delivery takes {self.lead_days} day{'' if self.lead_days == 1 else 's'}"
        if self.is_late:
            return (
                f"it had to be ordered by {day_words(self.by, self.today)} ({took}): too late for a delivery in time, "
                "so fetch it, or set out something else"
            )
        said = f"order by {day_words(self.by, self.today)} ({took})"
        if self.house_day is not None:
            return f"{said}; the last order date before is {day_words(self.house_day, self.today)}"
        return f"{said}; no order date of the house lies before that" if self.has_house_days else said


def order_by(needed_on: date, today: date, lead_days: int | None, house_days: Sequence[date]) -> OrderBy:
    """By when to order what is needed on a day, and the last order date of the house from today on that is in time.

    Parameters
    ----------
    lead_days : int or None
        From order to delivery, 0 or more; None: not known.
    house_days : sequence of date
        On which this house orders from this supplier, in any order.

    Raises
    ------
    ValueError
        If the lead time is below 0.
    """
    if lead_days is not None and lead_days < 0:
        raise ValueError(f"lead_days must be 0 or more, not {lead_days}.")
    first = OrderBy(needed_on, today, lead_days, None, bool(house_days))
    by = first.by
    fitting = [day for day in house_days if by is not None and today <= day <= by]
    return OrderBy(needed_on, today, lead_days, max(fitting, default=None), bool(house_days))


def day_words(day: date, today: date) -> str:
    """12 March; with the year where it is another than this one."""
    return f"{day:%-d %B}" if day.year == today.year else f"{day:%-d %B %Y}"


def short_sentence(name: str, short_milli: int, unit: str, when: OrderBy) -> str:
    """What runs short, by how much, on which day, and by when it must be ordered."""
    amount, day = tenths_words(in_tenths(short_milli), unit), day_words(when.needed_on, when.today)
    return f"{name} runs short by {amount} on {day}; {when.words}."


# --- terms and rooms


def weeks_between(first: date, second: date) -> int:
    """Whole weeks from the week of one day to the week of another; weeks begin on Monday (ISO 8601)."""
    return (second - timedelta(days=second.weekday()) - first + timedelta(days=first.weekday())).days // 7


@dataclass(frozen=True)
class Booked:
    """A stretch of time that takes something up, such as a room; times are comparable, and `until` is not in it."""

    key: int
    what: int
    since: float
    until: float


def clashes(booked: Iterable[Booked]) -> Iterator[tuple[int, int]]:
    """Pairs that take up the same thing at once, the earlier one first; ends that touch are no clash."""
    by_thing: dict[int, list[Booked]] = {}
    for one in booked:
        by_thing.setdefault(one.what, []).append(one)
    for rows in by_thing.values():
        rows.sort(key=lambda one: (one.since, one.key))
        running: list[Booked] = []
        for one in rows:
            running = [other for other in running if other.until > one.since]
            yield from ((other.key, one.key) for other in running)
            running.append(one)
