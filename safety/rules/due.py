"""When something is due again: its last date, the house's own interval, today.

No interval is known here. Without one that the house set, nothing is due and nothing is in order: it is not set.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

ASK = "not set: ask your safety office"


class DueState(StrEnum):
    NO_INTERVAL = "no interval set"
    NEVER = "never done"
    DUE_ON = "due on"
    OVERDUE = "overdue"


@dataclass(frozen=True)
class Due:
    """How one thing stands today. `on` is None where there is no interval, or nothing to count from."""

    state: DueState
    on: date | None = None
    days_over: int = 0

    @property
    def late(self) -> bool:
        """Whether somebody must go and look: it is overdue, or an interval is set and it was never done."""
        return self.state in (DueState.OVERDUE, DueState.NEVER)

    @property
    def words(self) -> str:
        if self.state is DueState.NO_INTERVAL:
            return ASK
        if self.on is None:
            return "never done"
        if self.state is DueState.OVERDUE:
            return f"overdue by {self.days_over} day{'' if self.days_over == 1 else 's'}"
        return f"due on {self.on.day} {self.on:%B %Y}"

    @property
    def order(self) -> tuple[int, int]:
        """Sorts what is most pressing first: overdue the longest, never done, due soonest, no interval."""
        rank = (DueState.OVERDUE, DueState.NEVER, DueState.DUE_ON, DueState.NO_INTERVAL).index(self.state)
        return rank, -self.days_over if self.state is DueState.OVERDUE else (self.on or date.max).toordinal()


def due(last: date | None, days: int | None, today: date) -> Due:
    """How a thing stands today that was last done on `last` and that the house wants done every `days` days.

    It is due on the day `last + days` and overdue by one day on the day after. ValueError for an interval below 1.
    """
    if days is None:
        return Due(DueState.NO_INTERVAL)
    if days < 1:
        raise ValueError(f"An interval is at least 1 day, not {days}.")
    if last is None:
        return Due(DueState.NEVER)
    return due_on(_later(last, days), today)


def due_on(day: date, today: date) -> Due:
    """The same for a thing whose day is set outright."""
    over = (today - day).days
    return Due(DueState.OVERDUE, day, over) if over > 0 else Due(DueState.DUE_ON, day)


def _later(day: date, days: int) -> date:
    return date.max if days > (date.max - day).days else day + timedelta(days=days)


@dataclass(frozen=True)
class Interval:
    """One standing house rule: what it is about, the room (None: everywhere), the days, and its row."""

    subject: str
    room: int | None
    days: int
    rule: int = 0


def interval_for(intervals: Iterable[Interval], subject: str, room: int | None) -> Interval | None:
    """The interval that holds for a subject in a room: the room's own before that for everywhere, then the shortest."""
    wanted = subject.strip().casefold()
    holding = [one for one in intervals if one.subject.strip().casefold() == wanted and one.room in (None, room)]
    return min(holding, key=lambda one: (one.room is None, one.days, one.rule), default=None)


# What an interval may be about beside the subjects of inspections, and from when it counts.
WASTE_OPEN = "waste container"
WASTE_FULL = "full waste container"
TRAINING = "training"
DATA_SHEET = "data sheet"
COUNTED_FROM = {
    WASTE_OPEN: "from the opening of a waste container to its collection",
    WASTE_FULL: "from the closing of a full waste container to its collection",
    TRAINING: "from one sign-off of a person to the next",
    DATA_SHEET: "from the day on which a maker's sheet was read, or looked at again",
}
