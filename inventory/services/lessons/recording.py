"""What a class used in the end, taken from tubes in one transaction; and what its students brought."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from inventory.models import BroughtTube, Entry, EntryKind, Lesson, LessonPaint, Tube, TubeState
from inventory.models.lesson import MOST_STUDENTS, LessonState
from inventory.queries.lessons.used import key_of
from inventory.services.ledger import LARGEST_MILLI, correct, record_use_of_many, refuse, undo
from inventory.services.lessons.amounts import hold
from inventory.stock.amounts import exact
from inventory.stock.lessons import TubeLeft, split
from studio.models import User

MOST_BROUGHT = 60


@dataclass(frozen=True)
class Recorded:
    lesson: Lesson
    entries: tuple[Entry, ...]
    again: bool = False
    """The same request had been written before, as when a tap is sent twice."""


@transaction.atomic
def record(
    lesson: Lesson,
    used: Mapping[int, int],
    *,
    by: User,
    key: str,
    tubes: Mapping[int, int] | None = None,
    students: int | None = None,
    note: str = "",
) -> Recorded:
    """Write down what the whole class used: thousandths by item. Everything is taken from stock, or nothing.

    `tubes` names the tube of an item; else open ones come first, then the oldest, at the lesson's place before others.
    """
    held = hold(lesson)
    own_key = f"{key_of(held)}{key}"
    nothing = not any(used.values())
    if Entry.objects.filter(studio=held.studio_id, key=own_key).exists() or (nothing and _used_nothing(held)):
        return Recorded(held, tuple(Entry.objects.filter(studio=held.studio_id, key__startswith=own_key)), again=True)
    _check_may_be_recorded(held)
    if students is not None:
        if not 1 <= students <= MOST_STUDENTS:
            raise refuse("students", f"Students who came: {students} cannot be. Enter 1 to {MOST_STUDENTS}.")
        held.students = students
    lines = list(held.paints.select_related("item"))
    taken = _taken(held, lines, used, tubes or {})
    ends = held.starts_at + timedelta(minutes=held.minutes)
    entries = (
        record_use_of_many(
            taken,
            studio=held.studio,
            by=by,
            note=f"{note or held.title}"[:300],
            key=own_key,
            at=min(ends, timezone.now()),
        )
        if taken
        else []
    )
    for line in lines:
        line.used_milli = used.get(line.item_id, 0)
    LessonPaint.objects.bulk_update(lines, ["used_milli"])
    held.state, held.closed_at = LessonState.HELD, timezone.now()
    held.save(update_fields=["state", "closed_at", "students"])
    return Recorded(held, tuple(entries))


def _used_nothing(lesson: Lesson) -> bool:
    """A class that used nothing left no entry whose key could be found again."""
    return lesson.state == LessonState.HELD and not lesson.paints.filter(used_milli__gt=0).exists()


def _check_may_be_recorded(lesson: Lesson) -> None:
    if lesson.state == LessonState.HELD:
        raise refuse(
            "lesson", f"{lesson} was recorded already: take that record back on its page, and write it down anew."
        )
    if lesson.state == LessonState.CANCELLED:
        raise refuse("lesson", f"{lesson} was called off: take that back first.")
    if timezone.localdate(lesson.starts_at) > timezone.localdate():
        day = timezone.localdate(lesson.starts_at)
        raise refuse("lesson", f"{lesson} is on {day:%-d %B %Y}: what it used can be written down from that day on.")


def _taken(
    lesson: Lesson, lines: Iterable[LessonPaint], used: Mapping[int, int], chosen: Mapping[int, int]
) -> dict[int, int]:
    """Thousandths by tube; ValidationError names the paint that there is not enough of."""
    known = {line.item_id: line for line in lines}
    if strange := sorted(set(used) - set(known)):
        raise refuse("amount", f"The lesson has no paint with the id {strange[0]}: reload the page.")
    there = defaultdict(list)
    rows = Tube.objects.of(lesson.studio).usable().of_the_studio().filter(item__in=known)
    for tube in rows.select_for_update(of=("self",), no_key=True).order_by("pk"):
        there[tube.item_id].append(tube)
    taken: dict[int, int] = {}
    for item, milli in used.items():
        line = known[item]
        if not 0 <= milli <= LARGEST_MILLI:
            raise refuse(f"used_{item}", f"{line.item.name}: {exact(milli, line.unit)} cannot be: check the figure.")
        fitting = [tube for tube in there[item] if tube.unit == line.unit]
        if tube_pk := chosen.get(item):
            fitting = [tube for tube in fitting if tube.pk == tube_pk]
            if not fitting and milli:
                raise refuse(
                    f"tube_{item}", f"{line.item.name}: the chosen tube cannot be used any more. Choose again."
                )
        parts, lacking = split(milli, [_left(tube, lesson) for tube in fitting])
        if lacking:
            held = exact(sum(tube.balance_milli for tube in fitting), line.unit)
            where = "the chosen tube holds" if chosen.get(item) else "the tubes of the studio hold"
            raise refuse(
                f"used_{item}",
                f"{line.item.name}: {exact(milli, line.unit)} cannot be taken, {where} {held}. "
                "Enter less, or weigh what is left and correct the tube first.",
            )
        taken |= parts
    return taken


def _left(tube: Tube, lesson: Lesson) -> TubeLeft:
    at_hand = lesson.place_id is None or tube.place_id == lesson.place_id
    opened = tube.opened_on.toordinal() if tube.opened_on else 0
    return TubeLeft(tube.pk, tube.balance_milli, tube.state == TubeState.OPEN, at_hand, (opened, tube.pk))


@transaction.atomic
def take_back(lesson: Lesson, *, by: User) -> list[Entry]:
    """Undo every entry of its record by correcting ones, so that it can be written down anew."""
    held = hold(lesson)
    if held.state != LessonState.HELD:
        raise refuse("lesson", f"{held} has no record that could be taken back.")
    rows = Entry.objects.filter(studio=held.studio_id, key__startswith=key_of(held), kind=EntryKind.USED)
    found = [_undone(entry, by) for entry in rows.order_by("tube", "-pk")]
    undone = [entry for entry in found if entry is not None]
    held.paints.update(used_milli=None)
    held.state, held.closed_at = LessonState.PLANNED, None
    held.save(update_fields=["state", "closed_at"])
    return undone


def _undone(entry: Entry, by: User) -> Entry | None:
    """Take an entry back with what corrected it since; None where nothing of it stands any more."""
    last, total = entry, entry.change_milli
    while (later := Entry.objects.filter(corrects=last).first()) is not None:
        last, total = later, total + later.change_milli
    if last is entry:
        return undo(entry, by=by)
    if total == 0:
        return None
    reason = "The record of the lesson is taken back."
    return correct(last, by=by, change_milli=last.change_milli - total, reason=reason)


@transaction.atomic
def add_brought(lesson: Lesson, texts: Iterable[str], *, by: User, who: str = "") -> list[BroughtTube]:
    """Keep what a student brought, one label a line, as it was typed."""
    wanted = [text.strip() for text in texts if text.strip()]
    if not wanted:
        raise refuse("text", "Labels: enter the name and the pigment codes of at least one tube.")
    if lesson.brought.count() + len(wanted) > MOST_BROUGHT:
        raise refuse("text", f"Labels: at most {MOST_BROUGHT} are kept for a lesson. Remove some first.")
    for text in wanted:
        if len(text) > 300:
            raise refuse("text", f"Labels: “{text[:40]}…” has {len(text)} characters, and at most 300 are kept.")
    rows = [BroughtTube(lesson=lesson, who=who.strip(), text=text, by=by) for text in wanted]
    for row in rows:
        row.full_clean()
        row.save()
    return rows


@transaction.atomic
def remove_brought(row: BroughtTube) -> bool:
    deleted, _ = BroughtTube.objects.filter(pk=row.pk).delete()
    return bool(deleted)
