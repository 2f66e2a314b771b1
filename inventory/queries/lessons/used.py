"""What the ledger says that a lesson used."""

from collections import Counter

from django.db.models import Q

from inventory.models import Entry, EntryKind, Lesson
from inventory.queries.demand import LESSON_KEY, back_to_the_first
from inventory.stock.lessons import tenths_words


def key_of(lesson: Lesson) -> str:
    """What the keys of all entries of a lesson begin with."""
    return f"{LESSON_KEY}{lesson.pk}-"


def corrected_since(lesson: Lesson) -> list[str]:
    """Where the ledger was corrected after the class was written down, in words; one query. Needs `lessons_of`."""
    key, now = key_of(lesson), Counter[int]()
    ours = Q(key__startswith=key) | Q(
        kind=EntryKind.CORRECTED, tube__item__in=[one.item_id for one in lesson.paints.all()]
    )
    for entry, first in back_to_the_first(Entry.objects.filter(ours, studio=lesson.studio_id)):
        if (first.key or "").startswith(key):
            now[entry.tube.item_id] -= entry.change_milli
    return [
        f"{line.item}: written down as {tenths_words(line.used_milli or 0, line.unit)}, "
        f"and {tenths_words(now[line.item_id], line.unit)} since a correction at the tube"
        for line in lesson.paints.all()
        if line.used_milli is not None and now[line.item_id] != line.used_milli
    ]
