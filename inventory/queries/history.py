"""What happened: to everything at a place, by one person, and to the stock of an item or of the studio over time."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet, Sum
from django.db.models.functions import TruncDate
from django.utils import timezone

from inventory.models import Entry, EntryKind, Item, Paint, Place
from inventory.models.tube import exact
from inventory.queries.demand import Week, monday, week_of, weekly_use
from inventory.queries.reorder import UseDrawing, WeekOfUse, use_drawing, weeks_of
from inventory.queries.tubes import Line, entries
from inventory.queries.wheel import binder_label
from inventory.stock.over_time import Level, at_end_of_months, level_on, levels, step_plot
from inventory.stock.plots import Plot
from studio.models import Studio, User

PAGE = 50
WEEKS_SHOWN = 104
NOT_PAINT = "Mediums, solvents and others"


@dataclass(frozen=True)
class Happened:
    """A page of entries, the latest first; `older` is the cursor of the next page, None at the end."""

    lines: list[Line]
    older: int | None


def happened(
    studio: Studio,
    *,
    by: User | None = None,
    place: Place | None = None,
    kind: str = "",
    day: date | None = None,
    before: int | None = None,
    limit: int = PAGE,
) -> Happened:
    """Entries by one person, or about what stood at a place or came to it; one query."""
    rows: QuerySet[Entry] = entries(studio)
    if by is not None:
        rows = rows.filter(by=by)
    if place is not None:
        rows = rows.filter(Q(place_before=place) | Q(place_after=place))
    if kind in EntryKind.values:
        rows = rows.filter(kind=kind)
    if day is not None:
        rows = rows.filter(at__date=day)
    if before is not None:
        rows = rows.filter(pk__lt=before)
    found = [Line(entry, entry.tube.unit) for entry in rows.order_by("-pk")[: limit + 1]]
    return Happened(found[:limit], found[limit - 1].entry.pk if len(found) > limit else None)


@dataclass(frozen=True)
class Course:
    """The stock of one thing in one unit over time: a drawing, and the same as a table."""

    unit: str
    plot: Plot
    months: tuple[tuple[date, str], ...]
    weeks: tuple[WeekOfUse, ...] = ()
    use: UseDrawing | None = None


def courses_of(item: Item, today: date | None = None) -> list[Course]:
    """The stock of an item day by day and its use week by week, for each unit; five queries and one for each unit."""
    until = today or timezone.localdate()
    rows = (
        Entry.objects.filter(tube__item=item)
        .order_by()
        .annotate(day=TruncDate("at"))
        .values_list("tube__unit", "day")
        .annotate(change=Sum("change_milli"))
        .order_by("day")
    )
    changes: dict[str, list[Level]] = defaultdict(list)
    for unit, day, change in rows:
        changes[unit].append((day, change))
    use = weekly_use(item.studio, until, [item])
    found = []
    for unit, of_unit in sorted(changes.items()):
        line = levels(of_unit)
        weeks = use.get((item.pk, unit), ())
        found.append(
            Course(
                unit=unit,
                plot=step_plot({item.name: line}, unit, until=until),
                months=tuple((day, exact(level, unit)) for day, level in at_end_of_months(line, until)),
                weeks=tuple(weeks_of(item, unit, weeks, until)),
                use=use_drawing(weeks, unit),
            )
        )
    return found


@dataclass(frozen=True)
class StudioCourse:
    """The stock of the studio in one unit: a line a binder, and the table behind it."""

    unit: str
    plot: Plot
    labels: tuple[str, ...]
    months: tuple[tuple[date, tuple[tuple[str, str], ...]], ...]
    use: tuple[tuple[str, UseDrawing], ...]


def course_of_studio(studio: Studio, today: date | None = None) -> list[StudioCourse]:
    """What stood on the shelf week by week, by binder, over two years; five queries for any number of entries."""
    until = today or timezone.localdate()
    since = monday(week_of(until) - WEEKS_SHOWN)
    rows = (
        Entry.objects.filter(studio=studio)
        .order_by()
        .annotate(week=Week("at"))
        .values_list("tube__unit", "tube__item__paint__binder", "week")
        .annotate(change=Sum("change_milli"))
        .order_by("week")
    )
    changes: dict[str, dict[str, list[Level]]] = defaultdict(lambda: defaultdict(list))
    for unit, binder, week, change in rows:
        # What is told of a week is what stood there at its end, or today.
        day = min(monday(week) + timedelta(days=6), until)
        changes[unit][binder or ""].append((day, change))
    use = _use_by_binder(studio, until)
    return [_of_unit(unit, by_binder, use, since, until) for unit, by_binder in sorted(changes.items())]


def _of_unit(
    unit: str,
    by_binder: dict[str, list[Level]],
    use: dict[tuple[str, str], list[int]],
    since: date,
    until: date,
) -> StudioCourse:
    lines = {_label(binder): levels(of_binder, since) for binder, of_binder in by_binder.items()}
    lines = dict(sorted(lines.items(), key=lambda pair: -pair[1][-1][1]))
    every = sorted({point for line in lines.values() for point in line})
    months = at_end_of_months(every, until)
    drawings = [
        (_label(binder), use_drawing(weeks, unit))
        for (binder, of_unit), weeks in sorted(use.items())
        if of_unit == unit
    ]
    return StudioCourse(
        unit=unit,
        plot=step_plot(lines, unit, until=until),
        labels=tuple(lines),
        months=tuple(
            (day, tuple((label, exact(level_on(line, day), unit)) for label, line in lines.items()))
            for day, _ in months
        ),
        use=tuple((label, drawing) for label, drawing in drawings if drawing is not None),
    )


def _label(binder: str) -> str:
    return binder_label(binder) if binder else NOT_PAINT


def _use_by_binder(studio: Studio, until: date) -> dict[tuple[str, str], list[int]]:
    """Thousandths used in each week by binder and unit, oldest first, all of one length; four queries."""
    series = weekly_use(studio, until)
    binders = dict(Paint.objects.of(studio).values_list("pk", "binder"))
    length = max(map(len, series.values()), default=0)
    found: dict[tuple[str, str], list[int]] = {}
    for (item, unit), weeks in series.items():
        total = found.setdefault((binders.get(item, ""), unit), [0] * length)
        for place, used in enumerate(weeks, start=length - len(weeks)):
            total[place] += used
    return found


def kinds() -> Sequence[tuple[str, str]]:
    return [("", "Everything"), *EntryKind.choices]
