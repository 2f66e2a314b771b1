"""What the ledger says that a lesson used."""

from django.db.models import Q, Sum

from inventory.models import Entry, Lesson
from inventory.queries.demand import LESSON_KEY
from inventory.stock.lessons import tenths_words


def key_of(lesson: Lesson) -> str:
    """What the keys of all entries of a lesson begin with."""
    return f"{LESSON_KEY}{lesson.pk}-"


def corrected_since(lesson: Lesson) -> list[str]:
    """Where the ledger was corrected after the class was written down, in words; one query. Needs `lessons_of`."""
    key = key_of(lesson)
    ours = Q(key__startswith=key) | Q(corrects__key__startswith=key) | Q(corrects__corrects__key__startswith=key)
    rows = Entry.objects.filter(ours, studio=lesson.studio_id).order_by().values_list("tube__item")
    now = {item: -change for item, change in rows.annotate(change=Sum("change_milli"))}
    return [
        f"{line.item}: written down as {tenths_words(line.used_milli or 0, line.unit)}, "
        f"and {tenths_words(now.get(line.item_id, 0), line.unit)} since a correction at the tube"
        for line in lesson.paints.all()
        if line.used_milli is not None and now.get(line.item_id, 0) != line.used_milli
    ]
