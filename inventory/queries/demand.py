"""How much of each paint was used, week by week, as the ledger has it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.db import models
from django.db.models import Func, Q, QuerySet, Sum
from django.utils import timezone

from inventory.models import Entry, EntryKind, Item
from inventory.models.tube import of_the_studio
from studio.models import Studio

# Two years show a school year twice.
WEEKS = 104
# Entries that the record of a lesson wrote carry keys that begin so.
LESSON_KEY = "lesson-"
# 5 January 1970 was a Monday: weeks are counted from it, in UTC.
_FIRST_MONDAY = date(1970, 1, 5)


class Week(Func):
    """The number of the week of a time, counted from Monday 5 January 1970, 00:00 UTC."""

    output_field = models.IntegerField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        # 2440591.5 is the Julian day of that Monday. Times are stored in UTC.
        return self.as_sql(
            compiler, connection, template="CAST((julianday(%(expressions)s) - 2440591.5) / 7 AS INTEGER)", **context
        )

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return self.as_sql(
            compiler,
            connection,
            template="CAST(FLOOR((EXTRACT(EPOCH FROM %(expressions)s) - 345600) / 604800) AS INTEGER)",
            **context,
        )


def week_of(day: date) -> int:
    """The same number of a day."""
    return (day - _FIRST_MONDAY).days // 7


def monday(week: int) -> date:
    return _FIRST_MONDAY + timedelta(weeks=week)


def uses(
    studio: Studio, since: datetime, *, without_lessons_of: Iterable[int] = (), **of: Any
) -> list[tuple[Entry, Entry]]:
    """Entries that used paint up since then, and those that correct one, or a correction of one and so on; one query.

    Each comes with the use that it goes back to. What was weighed, counted or thrown away is no use. For the items in
    `without_lessons_of` the uses that lessons recorded are left out; `of` narrows down what is asked for.
    """
    left_out = set(without_lessons_of)
    rows = _of(studio, of).filter(Q(kind=EntryKind.CORRECTED) | Q(kind=EntryKind.USED, at__gte=since))
    found = []
    for entry, use in back_to_the_first(rows.select_related("by")):
        of_a_lesson = (use.key or "").startswith(LESSON_KEY) and entry.tube.item_id in left_out
        if use.kind == EntryKind.USED and use.at >= since and not of_a_lesson:
            found.append((entry, use))
    return found


def back_to_the_first(rows: "QuerySet[Entry]") -> Iterator[tuple[Entry, Entry]]:
    """Each entry with the one that it goes back to, through all corrections of corrections; one query.

    Every correction of what is asked for has to be among the rows.
    """
    firsts: dict[int, Entry] = {}
    # What is corrected was written before what corrects it.
    for entry in rows.select_related("tube", "corrects").order_by("pk"):
        first = firsts[entry.pk] = firsts.get(entry.corrects.pk, entry.corrects) if entry.corrects else entry
        yield entry, first


def _of(studio: Studio, of: Mapping[str, Any]) -> "QuerySet[Entry]":
    return Entry.objects.filter(of_the_studio("tube__"), studio=studio, **of)


def start_of(week: int) -> datetime:
    return datetime.combine(monday(week), time.min, UTC)


def weekly_use(
    studio: Studio,
    today: date | None = None,
    items: Iterable[Item] | None = None,
    *,
    without_lessons_of: Iterable[int] = (),
) -> dict[tuple[int, str], tuple[int, ...]]:
    """Thousandths used in each whole week, oldest first, by item and unit; two queries for any number of entries.

    A series begins with the week in which the first container of the item came to the studio, at most two years ago,
    and ends with the last whole week. Corrections are counted in the week of the use that they correct.
    """
    last = week_of(today or timezone.localdate())
    first = last - WEEKS
    since, left_out = start_of(first), list(without_lessons_of)
    of = {} if items is None else {"tube__item__in": [item.pk for item in items]}
    of_lessons = Q(key__startswith=LESSON_KEY, tube__item__in=left_out)
    counted = Q(kind=EntryKind.RECEIVED) | (Q(kind=EntryKind.USED, at__gte=since) & ~of_lessons)
    sums = _of(studio, of).filter(counted).order_by().values_list("tube__item_id", "tube__unit", "kind", Week("at"))
    begun: dict[tuple[int, str], int] = {}
    spent: dict[tuple[int, str], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for item, unit, kind, week, change in sums.annotate(change=Sum("change_milli")):
        if kind == EntryKind.RECEIVED:
            begun[item, unit] = min(week, begun.get((item, unit), week))
        else:
            spent[item, unit][week] -= change
    of_corrections = {**of, "kind": EntryKind.CORRECTED}
    for entry, use in uses(studio, since, without_lessons_of=left_out, **of_corrections):
        spent[entry.tube.item_id, entry.tube.unit][week_of(use.at.date())] -= entry.change_milli
    series = {key: [0] * (last - max(week, first)) for key, week in begun.items() if week < last}
    for key, by_week in spent.items():
        row = series.setdefault(key, [0] * (last - max(min(by_week), first)))
        for week, used in by_week.items():
            place = week - (last - len(row))
            if 0 <= place < len(row):
                row[place] = max(0, used)
    return {key: tuple(row) for key, row in series.items()}
