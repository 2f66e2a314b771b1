"""Terms, and what a copy of one into another would be."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from inventory.models import Lesson, Term
from inventory.models.lesson import LessonState
from inventory.stock.lessons import weeks_between
from studio.models import Studio

TAKEN_AWAY = "was taken away, so the copy is without it"


def terms(studio: Studio) -> "QuerySet[Term]":
    """The terms, the latest first, with how many lessons stand in them (`held`, `to_come`); one query."""
    standing = ~Q(lessons__state=LessonState.CANCELLED)
    return Term.objects.filter(studio=studio).annotate(
        count=Count("lessons", filter=standing), held=Count("lessons", filter=Q(lessons__state=LessonState.HELD))
    )


@dataclass(frozen=True)
class CopyLine:
    """One lesson of the old term and what becomes of it."""

    lesson: Lesson
    starts_at: datetime
    notes: tuple[str, ...] = ()
    left_out: str = ""
    """Why it is not copied; empty where it is."""


@dataclass(frozen=True)
class TermCopy:
    term: Term
    into: Term
    weeks: int
    lines: tuple[CopyLine, ...]

    @property
    def copied(self) -> list[CopyLine]:
        return [line for line in self.lines if not line.left_out]

    @property
    def left_out(self) -> list[CopyLine]:
        return [line for line in self.lines if line.left_out]


def term_copy(term: Term, into: Term) -> TermCopy:
    """Each lesson at the same time of the week, as far from the first week as it was; three queries."""
    weeks = weeks_between(term.starts_on, into.starts_on)
    rows = Lesson.objects.filter(term=term).select_related("room", "place", "group", "palette", "term", "studio")
    taken = {
        (title, starts_at)
        for title, starts_at in Lesson.objects.filter(studio=into.studio_id, term=into)
        .exclude(state=LessonState.CANCELLED)
        .values_list("title", "starts_at")
    }
    rows = rows.prefetch_related("paints__item")
    return TermCopy(term, into, weeks, tuple(_line(lesson, weeks, into, taken) for lesson in rows))


def _line(lesson: Lesson, weeks: int, into: Term, taken: set[tuple[str, datetime]]) -> CopyLine:
    there = timezone.localtime(lesson.starts_at).replace(tzinfo=None) + timedelta(weeks=weeks)
    starts_at = timezone.make_aware(there)
    day = there.date()
    notes = []
    for name, word in (("room", "room"), ("place", "place"), ("group", "group"), ("palette", "palette")):
        chosen = getattr(lesson, name)
        if chosen is not None and chosen.removed_at is not None:
            notes.append(f"The {word} {chosen} {TAKEN_AWAY}.")
    archived = [line.item.name for line in lesson.paints.all() if line.item.archived_at is not None]
    notes += [f"{name} was taken off the lists, so the copy is without it." for name in archived]
    left_out = ""
    if lesson.state == LessonState.CANCELLED:
        left_out = "It was called off."
    elif not into.starts_on <= day <= into.ends_on:
        left_out = f"{day:%-d %B %Y} lies outside {into}."
    elif day < timezone.localdate():
        left_out = f"{day:%-d %B %Y} is over."
    elif (lesson.title, starts_at) in taken:
        left_out = f"{into} has a lesson of this title at that time already."
    return CopyLine(lesson, starts_at, tuple(notes), left_out)
