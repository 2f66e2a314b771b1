"""Lists of lessons, and what can be chosen for one."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet, Sum

from inventory import restrictions
from inventory.models import Binder, Item, Lesson, PaintPigment, Term, Tube
from inventory.models.lesson import LessonState
from inventory.queries.lessons.checked import LessonNow, coming, lessons_of, since_today
from inventory.restrictions import Restriction
from inventory.stock.lessons import tenths_words
from studio.models import Studio


def to_come(studio: Studio, term: Term | None = None) -> list[LessonNow]:
    """Planned lessons from today on, the next one first."""
    return [one for one in coming(studio) if term is None or one.lesson.term_id == term.pk]


def not_to_come(studio: Studio, term: Term | None = None) -> "QuerySet[Lesson]":
    """Lessons that were held, called off, or are over; the last one first."""
    rows = lessons_of(studio).exclude(state=LessonState.PLANNED, starts_at__gte=since_today())
    if term is not None:
        rows = rows.filter(term=term)
    return rows.order_by("-starts_at", "-pk")


@dataclass(frozen=True)
class Row:
    """A lesson of a list, with a sentence for each thing that runs short in it for the first time."""

    now: LessonNow
    sentences: tuple[str, ...] = ()


def rows_of(found: Iterable[LessonNow]) -> list[Row]:
    """Lessons in order of time as a list shows them."""
    told: set[tuple[int, str]] = set()
    rows = []
    for now in found:
        new = [one for one in now.short if (one.line.item_id, one.line.unit) not in told]
        told |= {(one.line.item_id, one.line.unit) for one in new}
        rows.append(Row(now, tuple(one.sentence for one in new)))
    return rows


def as_they_are(lessons: list[Lesson]) -> list[LessonNow]:
    """Lessons that take nothing from stock any more, without a look at it."""
    return [LessonNow(lesson, ()) for lesson in lessons]


def in_term(studio: Studio, term: Term) -> list[LessonNow]:
    """All lessons of a term in order of time, those to come held against the shelf after all others before them."""
    now = {one.lesson.pk: one for one in to_come(studio, term)}
    rows = lessons_of(studio).filter(term=term).order_by("starts_at", "pk")
    return [now.get(lesson.pk) or LessonNow(lesson, ()) for lesson in rows]


@dataclass(frozen=True)
class Choice:
    """Something on the lists that a lesson can set out."""

    item: Item
    stock: str
    found: tuple[Restriction, ...]
    is_chosen: bool

    @property
    def bar(self) -> Restriction | None:
        return next((one for one in self.found if one.forbids), None)

    @property
    def warning(self) -> Restriction | None:
        return next((one for one in self.found if not one.forbids), None)


@dataclass(frozen=True)
class Shelf:
    """The choices of one binder, or the materials."""

    label: str
    open: tuple[Choice, ...]
    barred: tuple[Choice, ...]
    is_first: bool = False

    @property
    def warnings(self) -> list[tuple[Restriction, str]]:
        """What is to be minded or is not known of these, each once."""
        return restrictions.warnings_of((one.item.name, one.found) for one in self.open if one.bar is None)


def choices(studio: Studio, lesson: Lesson) -> list[Shelf]:
    """What can be set out for this lesson's group, by binder, with what stands of it; five queries and the rules."""
    lines = Prefetch("paint__pigment_lines", PaintPigment.objects.order_by("position"))
    items = list(Item.objects.of(studio).kept().select_related("paint", "material").prefetch_related(lines))
    said = restrictions.of_items(studio, lesson.group, items)
    stock: dict[int, list[str]] = {}
    rows = Tube.objects.of(studio).usable().of_the_studio().order_by("unit").values_list("item", "unit")
    if lesson.place_id:
        rows = rows.filter(place=lesson.place_id)
    for item, unit, milli in rows.annotate(held=Sum("balance_milli")):
        stock.setdefault(item, []).append(tenths_words(milli, unit))
    chosen = set(lesson.paints.values_list("item", flat=True))
    shelves: dict[str, list[Choice]] = {}
    for item in items:
        paint = getattr(item, "paint", None)
        key = paint.binder if paint is not None else ""
        one = Choice(item, " and ".join(stock.get(item.pk, [])), said.get(item.pk, ()), item.pk in chosen)
        shelves.setdefault(key, []).append(one)
    own = _own_binder(lesson, shelves)
    order = sorted(shelves, key=lambda key: (key != own, key == "", -len(shelves[key])))
    labels = dict(Binder.choices) | {"": "Mediums, solvents and the rest"}
    return [
        Shelf(
            str(labels[key]),
            tuple(one for one in shelves[key] if one.bar is None or one.is_chosen),
            tuple(one for one in shelves[key] if one.bar is not None and not one.is_chosen),
            key == own,
        )
        for key in order
    ]


def _own_binder(lesson: Lesson, shelves: dict[str, list[Choice]]) -> str:
    """The binder to show open: that of what is chosen, else of the palette, else the one with most paints."""
    count = {key: sum(one.is_chosen for one in rows) for key, rows in shelves.items() if key}
    if any(count.values()):
        return max(count, key=lambda key: count[key])
    if lesson.palette is not None:
        return str(lesson.palette.binder)
    usable = {key: sum(one.bar is None and bool(one.stock) for one in rows) for key, rows in shelves.items() if key}
    return max(usable, key=lambda key: usable[key], default="")
