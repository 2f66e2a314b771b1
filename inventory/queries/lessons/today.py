"""What lessons ask about on the first page."""

from collections.abc import Iterator
from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from inventory.models import Lesson
from inventory.models.lesson import LessonState
from inventory.queries.lessons.checked import LessonNow, coming, since_today
from inventory.stock.lessons import day_words
from studio.attention import Attention, Urgency, and_more
from studio.models import Studio

NEAR_DAYS = 14
MOST = 3
# Lessons longer ago than this were hardly meant to be recorded.
FORGOTTEN_DAYS = 60


def lessons_near(studio: Studio) -> Iterator[Attention]:
    """Lessons of the next two weeks that are short of something or set out what a house rule keeps from the group."""
    until = timezone.now() + timedelta(days=NEAR_DAYS)
    # A course is wrong in the same way every week: its next lesson stands for it.
    first: dict[tuple[str, bool], LessonNow] = {}
    for one in coming(studio, until):
        if one.barred or one.short:
            first.setdefault((one.lesson.course or f"#{one.lesson.pk}", bool(one.barred)), one)
    wrong = list(first.values())
    for one in wrong[:MOST]:
        yield _attention(studio, one)
    if len(wrong) > MOST:
        more = len(wrong) - MOST
        said = "1 more lesson needs" if more == 1 else f"{more} more lessons need"
        url = reverse("inventory:lessons", args=[studio.slug])
        yield Attention(Urgency.SHORT, f"{said} a look before its day.", "Look at the lessons", url)


def _attention(studio: Studio, one: LessonNow) -> Attention:
    day = timezone.localdate(one.lesson.starts_at)
    url = reverse("inventory:lesson", args=[studio.slug, one.lesson.pk])
    if one.barred:
        names = ", ".join(paint.item.name for paint in one.barred[:MOST])
        rule = one.barred[0].bars[0].rule
        who = f" for {one.lesson.group}" if one.lesson.group else ""
        when = day_words(day, timezone.localdate())
        sentence = f"{one.lesson} on {when} names what is not{who or ' allowed'}: {names} ({rule})."
        return Attention(Urgency.HARM, sentence, "Look at the lesson", url)
    also = [paint.item.name for paint in one.short[1:]]
    more = f" Short as well: {and_more(also[:MOST], len(also))}." if also else ""
    return Attention(Urgency.SHORT, f"{one.lesson}: {one.short[0].sentence}{more}", "Look at the lesson", url)


def lessons_unrecorded(studio: Studio) -> Iterator[Attention]:
    """Lessons that are over while nobody wrote down what they used; one query."""
    since = timezone.now() - timedelta(days=FORGOTTEN_DAYS)
    rows = Lesson.objects.filter(
        studio=studio, state=LessonState.PLANNED, students_bring=False, starts_at__range=(since, since_today())
    )
    found = list(rows.order_by("-starts_at")[: MOST + 1])
    if not found:
        return
    url = reverse("inventory:lesson_record", args=[studio.slug, found[0].pk])
    day = f"{timezone.localdate(found[0].starts_at):%-d %B}"
    more = f" Others wait too: {', '.join(map(str, found[1:MOST]))}." if len(found) > 1 else ""
    yield Attention(
        Urgency.ADVICE, f"What {found[0]} used on {day} is not written down.{more}", "Write down what it used", url
    )
