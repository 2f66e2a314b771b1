"""What this house used a head of each thing in the lessons that it recorded."""

from collections import defaultdict
from collections.abc import Iterable

from inventory.models import LessonPaint
from inventory.models.lesson import LessonState
from inventory.stock.lessons import AHead, Thing, a_head
from studio.models import Studio

# The last so many lessons count: a course changes over the years.
MOST_LESSONS = 20


def heads(studio: Studio, items: Iterable[int]) -> dict[Thing, AHead]:
    """What was used a head in the last lessons recorded, by item and unit; one query."""
    rows = (
        LessonPaint.objects.filter(
            lesson__studio=studio, lesson__state=LessonState.HELD, item__in=list(items), used_milli__isnull=False
        )
        .order_by("-lesson__starts_at", "-pk")
        .values_list("item", "unit", "used_milli", "lesson__students")
    )
    used: dict[Thing, list[tuple[int, int]]] = defaultdict(list)
    for item, unit, milli, students in rows:
        if len(used[item, unit]) < MOST_LESSONS:
            used[item, unit].append((milli or 0, students))
    return {thing: found for thing, row in used.items() if (found := a_head(row)) is not None}
