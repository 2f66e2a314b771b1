"""What the demo studio teaches: a term with a course for adults and one for children. All of it is invented."""

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from inventory.models import Binder, Group, Item, Lesson, Palette, Place, Room, Term, Tube, TubeState
from inventory.services import lessons
from inventory.services.lessons import Plan
from inventory.stock.coverage_rules import read_ground, read_rule
from studio import demo_palettes
from studio.demo_house import ADULTS, CHILDREN
from studio.models import Studio, User

EVENING, SATURDAY = "Evening painting", "Saturday colours"
THIS, NEXT = "This term", "Next term"
RULE, WORD = "1000 ml / 9.3 m2", "an old leaflet in the drawer (invented)"
BROUGHT = (
    ("Mette", "Ultramarine PB29"),
    ("Mette", "Cool blue, PB28"),
    ("Osk", "Brilliant red"),
    ("Osk", "Lemon yellow PY3"),
    ("Osk", "Magenta PR122"),
)


def deeds(studio: Studio, keeper: User, teacher: User) -> Iterator[tuple[int, int, Callable[[datetime], None]]]:
    """Each deed as days ago, hour, and what to do at that moment."""
    yield 30, 9, lambda at: _set_up(studio, keeper, teacher, timezone.localdate(at))
    yield 8, 21, lambda at: _hold_greys(studio, teacher, timezone.localdate(at))
    yield 1, 21, lambda at: _hold_six(studio, teacher, timezone.localdate(at))


def plan_ahead(studio: Studio, teacher: User, today: date) -> None:
    """The weeks to come: the evening course goes on, and the children begin on the next Saturday."""
    last = Lesson.objects.get(studio=studio, course=EVENING, title="Six tubes")
    made, _ = lessons.repeat(last, weeks=13, by=teacher)
    for who, text in BROUGHT:
        lessons.add_brought(made[0], [text], by=teacher, who=who)
    saturday = today + timedelta(days=(5 - today.weekday()) % 7 or 7)
    first = lessons.plan(studio, _plan(studio, SATURDAY, SATURDAY, saturday, 10, teacher), by=teacher)
    lessons.amounts_by_rule(
        first,
        ground=read_ground("29.7 x 42 cm"),
        coats=1,
        milli_per_m2=read_rule(RULE),
        rule=RULE,
        source=WORD,
        parts={line.item_id: 2 if line.item.name == "Titanium White" else 1 for line in first.paints.all()},
    )
    lessons.repeat(first, weeks=11, by=teacher)


def _set_up(studio: Studio, keeper: User, teacher: User, then: date) -> None:
    """Two terms, and a rule of the house."""
    monday = then - timedelta(days=then.weekday())
    terms = ((THIS, 0, 18), (NEXT, 20, 36))
    for name, first, last in terms:
        begins = monday + timedelta(weeks=first)
        lessons.add_term(studio, name=name, starts_on=begins, ends_on=monday + timedelta(weeks=last, days=6))
    lessons.add_rule(studio, name=RULE, milli_per_m2=read_rule(RULE), source=WORD, by=keeper)


def _item(studio: Studio, name: str, binder: str) -> Item:
    return Item.objects.get(studio=studio, name=name, paint__binder=binder)


def _plan(studio: Studio, title: str, course: str, day: date, hour: int, teacher: User) -> Plan:
    children = course == SATURDAY
    name = demo_palettes.SATURDAY if children else demo_palettes.EVENING
    return Plan(
        title=title,
        course=course,
        starts_at=timezone.make_aware(datetime.combine(day, time(hour))),
        students=8 if children else 12,
        minutes=90 if children else 120,
        term=Term.objects.get(studio=studio, name=THIS),
        room=Room.objects.get(studio=studio, places__name="Acrylic trolley" if children else "Oil shelf"),
        place=Place.objects.get(studio=studio, name="Acrylic trolley") if children else None,
        group=Group.objects.get(studio=studio, name=CHILDREN if children else ADULTS),
        teacher=teacher,
        palette=Palette.objects.get(studio=studio, name=name) if title != "Greys" else None,
    )


def _hold_greys(studio: Studio, teacher: User, day: date) -> None:
    """A lesson with one white, taken from a tube that was sealed."""
    plan = _plan(studio, "Greys", EVENING, day, 19, teacher)
    lesson = lessons.plan(studio, plan, by=teacher, held_already=True)
    white = _item(studio, "Titanium White", Binder.OIL)
    lessons.set_paints(lesson, [white])
    tube = Tube.objects.filter(item=white, state=TubeState.SEALED).earliest("pk")
    lessons.record(lesson, {white.pk: 41_000}, by=teacher, key="demo-greys", tubes={white.pk: tube.pk}, students=11)


def _hold_six(studio: Studio, teacher: User, day: date) -> None:
    """The first lesson with all six; what each tube gave follows the order open first, then oldest."""
    plan = _plan(studio, "Six tubes", EVENING, day, 19, teacher)
    lesson = lessons.plan(studio, plan, by=teacher, held_already=True)
    amounts = {line.item_id: demo_palettes.OILS[line.item.name][1] for line in lesson.paints.select_related("item")}
    lessons.set_amounts(lesson, amounts)
    used = {item: milli * 12 for item, milli in amounts.items()}
    lessons.record(lesson, used, by=teacher, key="demo-six")
