"""A lesson is planned, changed, repeated week by week, called off."""

from dataclasses import dataclass, fields, replace
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.models import Group, Lesson, LessonPaint, Palette, Place, Room, Term
from inventory.models.lesson import MOST_STUDENTS, LessonState
from inventory.queries.lessons.palettes import binders_of, items_of
from inventory.services.ledger import refuse
from inventory.services.lessons.amounts import hold, hold_planned, put_paints
from studio.models import Studio, User

LONGEST_REPEAT = 52


@dataclass(frozen=True)
class Plan:
    """When, where, for whom, with what."""

    title: str
    starts_at: datetime
    students: int
    minutes: int = 120
    course: str = ""
    term: Term | None = None
    room: Room | None = None
    place: Place | None = None
    group: Group | None = None
    teacher: User | None = None
    palette: Palette | None = None
    students_bring: bool = False
    note: str = ""


@transaction.atomic
def plan(studio: Studio, wanted: Plan, *, by: User, held_already: bool = False) -> Lesson:
    """Put a lesson on the list with the paints of its palette. `held_already`: it lies in the past, to be recorded."""
    lesson = Lesson(studio=studio, by=by)
    _check(lesson, wanted, may_be_over=held_already)
    if held_already and (day := timezone.localdate(wanted.starts_at)) > timezone.localdate():
        raise refuse("day", f"{day:%-d %B %Y} is still to come, so it was not held yet: take the tick away.")
    _fill(lesson, wanted)
    lesson.full_clean()
    lesson.save()
    if wanted.palette is not None:
        put_paints(lesson, items_of(wanted.palette))
    return lesson


@transaction.atomic
def change(lesson: Lesson, wanted: Plan) -> Lesson:
    """The same lesson with other facts; with another palette it sets out the paints of that one."""
    held = hold_planned(lesson)
    same_day = timezone.localdate(wanted.starts_at) == timezone.localdate(held.starts_at)
    _check(held, wanted, may_be_over=same_day)
    other_palette = wanted.palette is not None and wanted.palette.pk != held.palette_id
    _fill(held, wanted)
    held.full_clean()
    held.save()
    if other_palette and wanted.palette is not None:
        put_paints(held, items_of(wanted.palette))
    return held


def _fill(lesson: Lesson, wanted: Plan) -> None:
    for one in fields(Plan):
        setattr(lesson, one.name, getattr(wanted, one.name))


def _check(lesson: Lesson, wanted: Plan, *, may_be_over: bool) -> None:
    _check_day(wanted, may_be_over)
    if not 1 <= wanted.students <= MOST_STUDENTS:
        raise refuse(
            "students", f"Students: {wanted.students} cannot be. Enter 1 to {MOST_STUDENTS}, or split the lesson."
        )
    for name in ("term", "room", "place", "group", "palette"):
        chosen = getattr(wanted, name)
        if chosen is None or chosen.pk == getattr(lesson, f"{name}_id"):
            continue
        if chosen.studio_id != lesson.studio_id:
            raise refuse(name, f"{chosen} is not one of this studio's.")
        if getattr(chosen, "removed_at", None) is not None:
            raise refuse(name, f"{chosen} was taken away meanwhile: choose another, or leave it open.")
    if wanted.palette is not None:
        binders = binders_of(wanted.palette)
        if len(binders) > 1:
            raise refuse(
                "palette",
                f"{wanted.palette} holds paints of several binders ({' and '.join(binders)}), which are not mixed. "
                "Choose a palette of one binder, or make one of it.",
            )


def _check_day(wanted: Plan, may_be_over: bool) -> None:
    day = timezone.localdate(wanted.starts_at)
    if day < timezone.localdate() and not may_be_over:
        raise refuse(
            "day", f"{day:%-d %B %Y} is over: enter a day to come, or tick that it was held already and record it."
        )
    if wanted.term is not None and not wanted.term.starts_on <= day <= wanted.term.ends_on:
        raise refuse(
            "day",
            f"{day:%-d %B %Y} lies outside {wanted.term}, which runs from {wanted.term.starts_on:%-d %B %Y} to "
            f"{wanted.term.ends_on:%-d %B %Y}. Choose another day or another term.",
        )


def weeks_later(moment: datetime, weeks: int) -> datetime:
    """The same time by the clock on the wall, so many weeks on."""
    there = timezone.localtime(moment).replace(tzinfo=None) + timedelta(weeks=weeks)
    return timezone.make_aware(there)


def copy_lesson(lesson: Lesson, starts_at: datetime, *, by: User, term: Term | None, course: str = "") -> Lesson:
    """A planned lesson like this one at another time. What was taken away meanwhile is left open."""
    gone: dict[str, Any] = {
        name: None
        for name in ("room", "place", "group", "palette")
        if getattr(getattr(lesson, name), "removed_at", None) is not None
    }
    wanted = Plan(**{one.name: getattr(lesson, one.name) for one in fields(Plan)})
    wanted = replace(wanted, starts_at=starts_at, term=term, course=course or lesson.course, **gone)
    made = Lesson(studio_id=lesson.studio_id, by=by)
    _fill(made, wanted)
    made.full_clean()
    made.save()
    LessonPaint.objects.bulk_create(
        LessonPaint(
            lesson=made,
            item_id=line.item_id,
            a_head_milli=line.a_head_milli,
            unit=line.unit,
            basis=line.basis,
            worked=line.worked,
        )
        for line in lesson.paints.filter(item__archived_at=None)
    )
    return made


@transaction.atomic
def repeat(lesson: Lesson, *, weeks: int, by: User) -> tuple[list[Lesson], list[str]]:
    """Hold it again in each of the next weeks, from the last lesson of its course on; what was left out, in words."""
    if not 1 <= weeks <= LONGEST_REPEAT:
        raise refuse("weeks", f"Weeks: {weeks} cannot be. Enter 1 to {LONGEST_REPEAT}.")
    held = Lesson.objects.select_related("room", "place", "group", "palette", "term").get(pk=hold(lesson).pk)
    if held.state == LessonState.CANCELLED:
        raise refuse("lesson", f"{held} was called off: take that back first, or repeat another one.")
    course = held.course or held.title
    if not held.course:
        Lesson.objects.filter(pk=held.pk).update(course=course)
    there = set(
        Lesson.objects.filter(studio=held.studio_id, course=course)
        .exclude(state=LessonState.CANCELLED)
        .values_list("starts_at", flat=True)
    )
    made, left_out = [], []
    for number in range(1, weeks + 1):
        starts_at = weeks_later(held.starts_at, number)
        day = timezone.localdate(starts_at)
        if starts_at in there:
            left_out.append(f"{day:%-d %B %Y}: the course has a lesson there already")
        elif day < timezone.localdate():
            left_out.append(f"{day:%-d %B %Y}: that day is over")
        else:
            inside = held.term if held.term and held.term.starts_on <= day <= held.term.ends_on else None
            if held.term is not None and inside is None:
                left_out.append(f"{day:%-d %B %Y}: it lies outside {held.term}, so the course ends there")
                break
            made.append(copy_lesson(held, starts_at, by=by, term=inside, course=course))
    return made, left_out


@transaction.atomic
def call_off(lesson: Lesson, *, reason: str = "") -> Lesson:
    """It is not held. It stays on the list, and takes nothing from stock."""
    held = hold_planned(lesson)
    held.state, held.closed_at = LessonState.CANCELLED, timezone.now()
    if reason.strip():
        held.note = f"{reason.strip()} {held.note}".strip()[:300]
    held.save(update_fields=["state", "closed_at", "note"])
    return held


@transaction.atomic
def uncancel(lesson: Lesson) -> Lesson:
    """It is held after all."""
    held = hold(lesson)
    if held.state != LessonState.CANCELLED:
        raise refuse("lesson", f"{held} is not called off.")
    held.state, held.closed_at = LessonState.PLANNED, None
    held.save(update_fields=["state", "closed_at"])
    return held
