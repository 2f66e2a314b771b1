"""The studio's dates as a calendar (RFC 5545): what is due, order dates, lessons. No incident, no person's name."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from django.db.models import Exists, F, OuterRef
from django.utils import timezone

from inventory.models import Lesson, OrderDay
from inventory.models.lesson import LessonState
from safety.models import CalendarLink
from safety.queries.records import DueRow, Training, everything
from studio.models import Membership, Studio

# How far back and ahead lessons and order dates are told.
BACK, AHEAD = timedelta(days=31), timedelta(days=400)


@dataclass(frozen=True)
class Entry:
    """One entry: a whole day, or a moment with its minutes. The key stays the same while the thing does."""

    key: str
    title: str
    on: date | datetime
    minutes: int = 0
    where: str = ""
    words: str = ""


def open_link(token: str) -> CalendarLink | None:
    """The link that this token opens, while it was not ended and its maker is still in the studio."""
    inside = Membership.objects.filter(studio=OuterRef("studio"), user=OuterRef("by"))
    found = CalendarLink.objects.filter(Exists(inside), token=CalendarLink.kept_of(token), ended_at=None)
    return found.select_related("studio").first()


def entries(studio: Studio, today: date | None = None) -> list[Entry]:
    """Everything that the calendar carries; the queries of `everything` and two more."""
    day = today or timezone.localdate()
    found = everything(studio, day)
    told = [
        *_due(found.inspections, "Inspection due", day),
        *_due(found.waste, "Collection due", day),
        *_due(found.sheets, "Look at the maker's sheet again", day),
    ]
    told += _signing(found.training, day)
    # Neither the supplier nor the note is told: either may name a person.
    ordering = OrderDay.objects.filter(studio=studio, on__range=(day - BACK, day + AHEAD)).distinct()
    told += [
        Entry(f"order-{on.isoformat()}", "Order date", on) for on in sorted(set(ordering.values_list("on", flat=True)))
    ]
    return told + list(_lessons(studio))


def _due(rows: Iterable[DueRow], words: str, today: date) -> Iterator[Entry]:
    """On its day; what is late stands on today, so that it is seen."""
    for row in rows:
        if not row.due.late and not row.due.on:
            continue
        late = "Overdue. " if row.due.late else ""
        since = f"Due since {row.due.on.isoformat()}. " if row.due.late and row.due.on else ""
        rule = f"House rule of {row.rule.set_on.isoformat()}: an interval of {row.rule.days} days." if row.rule else ""
        on = today if row.due.late or row.due.on is None else row.due.on
        yield Entry(row.key, f"{late}{words}: {row.name}", on, where=row.where, words=f"{since}{rule}".strip())


def _signing(found: Training, today: date) -> Iterator[Entry]:
    """How many people are to sign on each day; those who are late are told together, today."""
    days: dict[date | None, int] = {}
    for one in found.signers if found.versions else ():
        if one.due.late or one.due.on:
            when = None if one.due.late else one.due.on
            days[when] = days.get(when, 0) + 1
    for when, count in days.items():
        people = f"{count} {'person' if count == 1 else 'people'}"
        if when:
            yield Entry(f"training-{when.isoformat()}", f"Rules to be signed by {people}", when)
        else:
            yield Entry("training-late", f"Overdue. Rules to be signed by {people}", today)


def _lessons(studio: Studio) -> Iterator[Entry]:
    now = timezone.now()
    found = Lesson.objects.filter(studio=studio, starts_at__range=(now - BACK, now + AHEAD))
    for one in found.exclude(state=LessonState.CANCELLED).annotate(where=F("room__name")):
        yield Entry(f"lesson-{one.pk}", one.title, one.starts_at, one.minutes, one.where or "")


def as_icalendar(studio: Studio, told: Iterable[Entry], at: datetime) -> bytes:
    """The entries as one iCalendar object, RFC 5545: lines end in CRLF and are folded at 75 octets by the library."""
    from icalendar import Calendar, Event  # only a feed needs it

    calendar = Calendar()
    calendar.add("prodid", "-//Tubeshelf//Studio calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", studio.name)
    calendar.add("refresh-interval", timedelta(hours=6), parameters={"VALUE": "DURATION"})
    for one in told:
        event = Event()
        event.add(
            "uid", str(uuid5(NAMESPACE_URL, f"tubeshelf:{studio.slug}:{studio.created_at.isoformat()}:{one.key}"))
        )
        event.add("dtstamp", at)
        event.add("summary", one.title)
        event.add("dtstart", one.on)
        if isinstance(one.on, datetime):
            event.add("dtend", one.on + timedelta(minutes=one.minutes))
        else:
            # The end is the first day after it (RFC 5545, section 3.6.1), and nobody is busy all day with it.
            event.add("dtend", one.on + timedelta(days=1) if one.on < date.max else one.on)
            event.add("transp", "TRANSPARENT")
        if one.where:
            event.add("location", one.where)
        if one.words:
            event.add("description", one.words)
        calendar.add_component(event)
    made: bytes = calendar.to_ical()
    return made
