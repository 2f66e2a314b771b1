"""How much of each paint was used, week by week, as the ledger has it."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.db import models
from django.db.models import F, Func, Min, Q, QuerySet, Sum, Value
from django.db.models.functions import Coalesce
from django.utils import timezone

from inventory.models import Entry, EntryKind, Item, OwnerKind
from studio.models import Studio

# Two years show a school year twice.
WEEKS = 104
# Entries that the record of a lesson wrote carry keys that begin so.
LESSON_KEY = "lesson-"
# A use may be undone, the undoing undone, and so on; further corrections than these are no use any more.
MOST_CORRECTIONS = 4
_OF_THE_STUDIO = Q(tube__owner_kind=OwnerKind.STUDIO) | Q(tube__shared=True)
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


def uses(studio: Studio, *, without_lessons_of: Iterable[int] = ()) -> "QuerySet[Entry]":
    """Entries that used paint up, and those that correct one; what was weighed, counted or thrown away is no use.

    `when` is the time of the use itself, also on a correction of a correction. For the items in `without_lessons_of`
    the uses that lessons recorded are left out.
    """
    links = ["corrects__" * deep for deep in range(MOST_CORRECTIONS, -1, -1)]
    kind, key, when = (Coalesce(*(F(link + name) for link in links)) for name in ("kind", "key", "at"))
    key = Coalesce(key, Value(""))  # what has no key is not left out
    rows = Entry.objects.filter(_OF_THE_STUDIO, studio=studio, kind__in=(EntryKind.USED, EntryKind.CORRECTED))
    rows = rows.alias(root_kind=kind, root_key=key).annotate(when=when).filter(root_kind=EntryKind.USED)
    if left_out := list(without_lessons_of):
        return rows.exclude(root_key__startswith=LESSON_KEY, tube__item__in=left_out)
    return rows


def weekly_use(
    studio: Studio,
    today: date | None = None,
    items: Iterable[Item] | None = None,
    *,
    without_lessons_of: Iterable[int] = (),
) -> dict[tuple[int, str], tuple[int, ...]]:
    """Thousandths used in each whole week, oldest first, by item and unit; three queries for any number of entries.

    A series begins with the week in which the first container of the item came to the studio, at most two years ago,
    and ends with the last whole week. Corrections are counted in the week of the use that they correct.
    """
    last = week_of(today or timezone.localdate())
    first = last - WEEKS
    since = datetime.combine(monday(first), datetime.min.time(), UTC)
    rows = uses(studio, without_lessons_of=without_lessons_of).filter(Q(when__gte=since))
    begun = Entry.objects.filter(_OF_THE_STUDIO, studio=studio, kind=EntryKind.RECEIVED)
    if items is not None:
        chosen = [item.pk for item in items]
        rows, begun = rows.filter(tube__item__in=chosen), begun.filter(tube__item__in=chosen)
    sums = (
        rows.order_by()
        .values_list(F("tube__item_id"), F("tube__unit"), Week("when"))
        .annotate(used=-Sum("change_milli"))
    )
    starts = begun.order_by().values_list("tube__item_id", "tube__unit").annotate(week=Min(Week("at")))
    series: dict[tuple[int, str], list[int]] = {}
    for item, unit, week in starts:
        if week < last:
            series[item, unit] = [0] * (last - max(week, first))
    spent: dict[tuple[int, str], dict[int, int]] = defaultdict(dict)
    for item, unit, week, used in sums:
        spent[item, unit][week] = used
    for key, by_week in spent.items():
        row = series.setdefault(key, [0] * (last - max(min(by_week), first)))
        for week, used in by_week.items():
            place = week - (last - len(row))
            if 0 <= place < len(row):
                row[place] = max(0, used)
    return {key: tuple(row) for key, row in series.items()}
