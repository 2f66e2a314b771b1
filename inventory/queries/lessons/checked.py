"""Planned lessons held against the shelf, the house rules and each other, in a bounded number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Prefetch, QuerySet, Sum
from django.utils import timezone

from inventory import restrictions
from inventory.models import (
    Binder,
    BuyingPolicy,
    Group,
    Item,
    Lesson,
    LessonPaint,
    Offer,
    OrderDay,
    Paint,
    PaintPigment,
    PalettePaint,
    Tube,
)
from inventory.models.lesson import LessonState
from inventory.queries.buying.offers import current_offers, newest, packs_for, total_of
from inventory.queries.buying.orders import OnOrder, on_order
from inventory.queries.buying.wants import last_sizes, open_wants
from inventory.queries.levels import item_name
from inventory.restrictions import Restriction
from inventory.stock.amounts import exact
from inventory.stock.lessons import (
    Booked,
    Need,
    OrderBy,
    Taken,
    Thing,
    clashes,
    order_by,
    short_sentence,
    taken_in_turn,
    tenths_words,
)
from inventory.stock.prices import money_words
from studio.attention import and_more
from studio.models import Studio


@dataclass(frozen=True)
class Buy:
    """What would fill the gap: containers of one size, and the offer where one stands."""

    containers: int
    size_milli: int | None
    unit: str
    offer: Offer | None = None
    packs: int = 0

    @property
    def size_text(self) -> str:
        return exact(self.size_milli, self.unit) if self.size_milli else ""

    @property
    def words(self) -> str:
        of = f" of {self.size_text}" if self.size_text else ""
        if self.offer is None:
            return f"{self.containers}{of}, no offer is known"
        price = money_words(total_of(self.offer, self.packs), self.offer.currency)
        return f"{self.containers}{of} from {self.offer.supplier}, about {price}"


@dataclass(frozen=True)
class PaintNow:
    """One paint of a lesson: what it takes, what is there by then, what the house rules say of it for this group."""

    line: LessonPaint
    total_milli: int
    there_milli: int
    short_milli: int
    found: tuple[Restriction, ...] = ()
    when: OrderBy | None = None
    buy: Buy | None = None
    wanted: int = 0
    coming: OnOrder | None = None

    @property
    def item(self) -> Item:
        return self.line.item

    @property
    def paint(self) -> Paint | None:
        return getattr(self.item, "paint", None)

    @property
    def codes(self) -> list[str]:
        return [line.code for line in self.paint.pigment_lines.all()] if self.paint else []

    @property
    def binder(self) -> str:
        """Empty where it is no paint."""
        return self.paint.binder if self.paint else ""

    @property
    def is_barred(self) -> bool:
        """Not for this group: it does not count as set out."""
        return any(one.forbids for one in self.found)

    @property
    def is_archived(self) -> bool:
        return self.item.archived_at is not None

    @property
    def is_set_out(self) -> bool:
        return not self.is_barred and not self.is_archived

    @property
    def bars(self) -> tuple[Restriction, ...]:
        return tuple(one for one in self.found if one.forbids)

    @property
    def warnings(self) -> tuple[Restriction, ...]:
        return () if self.is_barred else tuple(one for one in self.found if not one.forbids)

    @property
    def a_head(self) -> str:
        return tenths_words(self.line.a_head_milli, self.line.unit)

    @property
    def total(self) -> str:
        return tenths_words(self.total_milli, self.line.unit)

    @property
    def there(self) -> str:
        return tenths_words(self.there_milli, self.line.unit)

    @property
    def is_short(self) -> bool:
        return self.short_milli > 0

    @property
    def sentence(self) -> str:
        """What runs short and by when it must be ordered; empty where nothing does."""
        return self._sentence(self.item.name)

    @property
    def full_sentence(self) -> str:
        """The same with the binder, for lists where two binders meet."""
        return self._sentence(item_name(self.item))

    def _sentence(self, name: str) -> str:
        if not self.is_short or self.when is None:
            return ""
        return short_sentence(name, self.short_milli, self.line.unit, self.when)

    @property
    def basis_words(self) -> str:
        words = self.line.worked.get("words", "") if isinstance(self.line.worked, dict) else ""
        if words:
            return str(words)
        return "amount typed in" if self.line.a_head_milli else "no amount is said yet"

    @property
    def used(self) -> str:
        return tenths_words(self.line.used_milli or 0, self.line.unit)


@dataclass(frozen=True)
class LessonNow:
    lesson: Lesson
    paints: tuple[PaintNow, ...]
    beside: tuple[Lesson, ...] = ()
    """Lessons that take up the same room at the same time."""
    not_on_shelf: tuple[str, ...] = ()
    """Pigments of the palette that no tube here holds."""

    @property
    def set_out(self) -> list[PaintNow]:
        return [one for one in self.paints if one.is_set_out]

    @property
    def barred(self) -> list[PaintNow]:
        return [one for one in self.paints if one.is_barred]

    @property
    def archived(self) -> list[PaintNow]:
        return [one for one in self.paints if one.is_archived and not one.is_barred]

    @property
    def short(self) -> list[PaintNow]:
        return [one for one in self.paints if one.is_short]

    @property
    def binders(self) -> dict[str, str]:
        """The binders of the paints set out, with their words."""
        there = {one.binder for one in self.set_out if one.binder}
        return {value: label.lower() for value, label in Binder.choices if value in there}

    @property
    def warnings(self) -> list[tuple[Restriction, str]]:
        """Each rule and reason once, with all that it is about."""
        return restrictions.warnings_of((paint.item.name, paint.warnings) for paint in self.set_out)

    @property
    def without_amount(self) -> list[PaintNow]:
        return [one for one in self.set_out if not one.line.a_head_milli]

    @property
    def is_over(self) -> bool:
        """Its day is over, and what it used is not written down."""
        return self.lesson.state == LessonState.PLANNED and ends_of(self.lesson) < timezone.now()

    @property
    def words(self) -> str:
        """In one line what is to be known of it."""
        if self.lesson.state == LessonState.CANCELLED:
            return "Called off"
        if self.lesson.state == LessonState.HELD:
            return "Held and recorded"
        if self.is_over:
            return "Over; what it used is not recorded"
        said = []
        if self.barred:
            said.append(f"not for this group: {_names(self.barred)}")
        if self.short:
            said.append(f"short of {_names(self.short)}")
        if self.archived:
            said.append(f"off the lists: {_names(self.archived)}")
        if self.beside:
            said.append("the room is booked twice")
        if not self.paints and not self.lesson.students_bring:
            said.append("no paint is chosen yet")
        if self.without_amount and not self.lesson.students_bring:
            said.append(f"no amount is said yet of {_names(self.without_amount)}")
        if not said:
            return "Students bring their own" if self.lesson.students_bring else "Everything is there"
        text = "; ".join(said)
        return f"{text[0].upper()}{text[1:]}"


def _names(paints: Sequence[PaintNow]) -> str:
    return and_more([one.item.name for one in paints[:3]], len(paints))


def ends_of(lesson: Lesson) -> datetime:
    return lesson.starts_at + timedelta(minutes=lesson.minutes)


def since_today() -> datetime:
    return timezone.make_aware(datetime.combine(timezone.localdate(), time.min))


def lessons_of(studio: Studio) -> "QuerySet[Lesson]":
    """Lessons with all that a page shows of them."""
    lines = LessonPaint.objects.select_related("item__paint", "item__material").prefetch_related(
        Prefetch("item__paint__pigment_lines", PaintPigment.objects.order_by("position"))
    )
    return (
        Lesson.objects.filter(studio=studio)
        .select_related("room", "place", "group", "palette", "term", "teacher")
        .prefetch_related(Prefetch("paints", lines))
    )


def coming(studio: Studio, until: datetime | None = None) -> list[LessonNow]:
    """The planned lessons from today on, each after what the earlier ones leave.

    Fourteen queries, and what the house rules take for each group; none of them grows with the lessons.
    """
    rows = lessons_of(studio).filter(state=LessonState.PLANNED, starts_at__gte=since_today())
    if until is not None:
        rows = rows.filter(starts_at__lte=until)
    return checked(studio, list(rows.order_by("starts_at", "pk")))


def lesson_now(studio: Studio, lesson: Lesson) -> LessonNow:
    """One lesson as it stands, after what the earlier ones leave; needs `lessons_of`."""
    if lesson.state != LessonState.PLANNED or lesson.starts_at < since_today():
        return checked(studio, [lesson])[0]
    # Until it ends, since one that begins while it runs may be in the same room.
    found = next((one for one in coming(studio, ends_of(lesson)) if one.lesson.pk == lesson.pk), None)
    return found or checked(studio, [lesson])[0]


@dataclass(frozen=True)
class Lack:
    """What the lessons to come lack of one thing together, told by the first of them that runs short."""

    first: PaintNow
    lessons: int
    short_milli: int
    buy: Buy

    @property
    def sentence(self) -> str:
        if self.lessons == 1:
            return self.first.full_sentence
        total = tenths_words(self.short_milli, self.first.line.unit)
        return f"{self.first.full_sentence} {self.lessons} lessons lack {total} of it together."


def lacks(studio: Studio, rows: Iterable[LessonNow]) -> list[Lack]:
    """What lessons lack together, in the order in which it runs short; eight queries at most."""
    short: dict[Thing, list[PaintNow]] = defaultdict(list)
    days: dict[Thing, date] = {}
    for row in rows:
        for paint in row.short:
            thing = (paint.line.item_id, paint.line.unit)
            short[thing].append(paint)
            days.setdefault(thing, timezone.localdate(row.lesson.starts_at))
    market = _Market.of(studio, short)
    found = []
    for thing, paints in short.items():
        total = sum(paint.short_milli for paint in paints)
        found.append(Lack(paints[0], len(paints), total, market.buy(paints[0].line, total, days[thing])))
    return found


def checked(studio: Studio, lessons: Sequence[Lesson]) -> list[LessonNow]:
    """Lessons in order of time, held against the shelf and the rules; needs `lessons_of`."""
    lines = [line for lesson in lessons for line in lesson.paints.all()]
    if not lessons:
        return []
    found = _restrictions(studio, lessons)
    needs: list[Need] = []
    places: dict[int, int] = {}
    for lesson in lessons:
        if lesson.state != LessonState.PLANNED or lesson.students_bring:
            continue
        for line in lesson.paints.all():
            if line.item.archived_at is None and not _bars(found, lesson, line):
                places[line.pk] = len(needs)
                thing = (line.item_id, line.unit)
                needs.append(Need(lesson.pk, thing, line.a_head_milli * lesson.students, lesson.place_id))
    taken = taken_in_turn(needs, _stock(studio, {line.item_id for line in lines})) if needs else []
    short = {one.need.thing: one for one in taken if one.short_milli}
    market = _Market.of(studio, short)
    beside = _beside(lessons)
    pigments = _not_on_shelf(lessons)
    rows = []
    for lesson in lessons:
        paints = tuple(
            _paint(lesson, line, taken[places[line.pk]] if line.pk in places else None, found, market)
            for line in lesson.paints.all()
        )
        rows.append(LessonNow(lesson, paints, tuple(beside.get(lesson.pk, ())), pigments.get(lesson.palette_id, ())))
    return rows


def _paint(
    lesson: Lesson,
    line: LessonPaint,
    taken: Taken | None,
    found: Mapping[tuple[int | None, int], tuple[Restriction, ...]],
    market: "_Market",
) -> PaintNow:
    said = found.get((lesson.group_id, line.item_id), ())
    total = line.a_head_milli * lesson.students
    if taken is None:
        return PaintNow(line, total, 0, 0, said)
    if not taken.short_milli:
        return PaintNow(line, total, taken.before_milli, 0, said)
    needed_on = timezone.localdate(lesson.starts_at)
    buy = market.buy(line, taken.short_milli, needed_on)
    return PaintNow(
        line,
        total,
        taken.before_milli,
        taken.short_milli,
        said,
        market.when(needed_on, buy.offer),
        buy,
        market.wanted.get(line.item_id, 0),
        market.coming.get(line.item_id),
    )


def _bars(found: Mapping[tuple[int | None, int], tuple[Restriction, ...]], lesson: Lesson, line: LessonPaint) -> bool:
    return any(one.forbids for one in found.get((lesson.group_id, line.item_id), ()))


def _restrictions(studio: Studio, lessons: Iterable[Lesson]) -> dict[tuple[int | None, int], tuple[Restriction, ...]]:
    """What the house rules say by group and item; asked once a group."""
    groups: dict[int | None, Group | None] = {}
    items: dict[int | None, dict[int, Item]] = defaultdict(dict)
    for lesson in lessons:
        if lesson.state == LessonState.PLANNED:
            groups[lesson.group_id] = lesson.group
            items[lesson.group_id] |= {line.item_id: line.item for line in lesson.paints.all()}
    found: dict[tuple[int | None, int], tuple[Restriction, ...]] = {}
    for pk, group in groups.items():
        if items[pk]:
            said = restrictions.of_items(studio, group, list(items[pk].values()))
            found |= {(pk, item): rules for item, rules in said.items()}
    return found


def _stock(studio: Studio, items: Collection[int]) -> dict[Thing, dict[int | None, int]]:
    """What is usable of the studio's own, by place; one query."""
    rows = Tube.objects.of(studio).usable().of_the_studio().filter(item__in=items).order_by()
    found: dict[Thing, dict[int | None, int]] = defaultdict(dict)
    for item, unit, place, milli in rows.values_list("item", "unit", "place").annotate(held=Sum("balance_milli")):
        found[item, unit][place] = milli
    return found


@dataclass(frozen=True)
class _Market:
    """Everything about buying that the short things need."""

    currency: str
    today: date
    offers: Mapping[int, list[Offer]]
    sizes: Mapping[int, tuple[int, str]]
    days: Sequence[OrderDay]
    default_lead_days: int | None
    wanted: Mapping[int, int]
    coming: Mapping[int, OnOrder]

    @classmethod
    def of(cls, studio: Studio, short: Collection[Thing]) -> "_Market":
        """Eight queries at most; none where nothing is short."""
        today = timezone.localdate()
        if not short:
            return cls(studio.currency, today, {}, {}, (), None, {}, {})
        items = {item for item, _ in short}
        offers: dict[int, list[Offer]] = defaultdict(list)
        for offer in newest(current_offers(studio, items)):
            if offer.item_id is not None:
                offers[offer.item_id].append(offer)
        wanted: dict[int, int] = defaultdict(int)
        for item, containers in open_wants(studio).filter(item__in=items).values_list("item", "containers"):
            wanted[item] += containers
        policy = BuyingPolicy.objects.filter(studio=studio).first()
        return cls(
            studio.currency,
            today,
            offers,
            last_sizes(items),
            list(OrderDay.objects.filter(studio=studio, on__gte=today)),
            policy.default_lead_days if policy else None,
            wanted,
            on_order(studio),
        )

    def buy(self, line: LessonPaint, short_milli: int, needed_on: date) -> Buy:
        """The cheapest offer that fills the gap in time, in the studio's currency first; else what came last."""
        rows = []
        for offer in self.offers.get(line.item_id, ()):
            if offer.unit == line.unit:
                packs = packs_for(-(-short_milli // offer.nominal_milli), offer.pack)
                late = self.when(needed_on, offer).is_late
                other = offer.currency != self.currency
                rows.append((late, other, offer.currency, total_of(offer, packs), offer.pk, offer))
        if rows:
            offer = min(rows, key=lambda row: row[:5])[5]
            packs = packs_for(-(-short_milli // offer.nominal_milli), offer.pack)
            return Buy(packs * offer.pack, offer.nominal_milli, offer.unit, offer, packs)
        size, unit = self.sizes.get(line.item_id, (0, line.unit))
        if size and unit == line.unit:
            return Buy(-(-short_milli // size), size, unit)
        return Buy(1, None, line.unit)

    def when(self, needed_on: date, offer: Offer | None) -> OrderBy:
        lead = offer.supplier.lead_days if offer is not None else None
        supplier = offer.supplier_id if offer is not None else None
        days = [day.on for day in self.days if day.supplier_id in (None, supplier)]
        return order_by(needed_on, self.today, self.default_lead_days if lead is None else lead, days)


def _beside(lessons: Sequence[Lesson]) -> dict[int, list[Lesson]]:
    known = {lesson.pk: lesson for lesson in lessons}
    booked = [
        Booked(one.pk, one.room_id, one.starts_at.timestamp(), ends_of(one).timestamp())
        for one in lessons
        if one.room_id is not None and one.state == LessonState.PLANNED
    ]
    found: dict[int, list[Lesson]] = defaultdict(list)
    for first, second in clashes(booked):
        found[first].append(known[second])
        found[second].append(known[first])
    return found


def _not_on_shelf(lessons: Iterable[Lesson]) -> dict[int | None, tuple[str, ...]]:
    """Pigments of the palettes that would have to be bought first; one query."""
    palettes = {lesson.palette_id for lesson in lessons if lesson.palette_id}
    found: dict[int | None, list[str]] = defaultdict(list)
    if palettes:
        rows = PalettePaint.objects.filter(palette__in=palettes, pigment__isnull=False).order_by("palette", "position")
        for palette, code in rows.values_list("palette", "pigment__ci_name"):
            found[palette].append(str(code))
    return {palette: tuple(codes) for palette, codes in found.items()}
