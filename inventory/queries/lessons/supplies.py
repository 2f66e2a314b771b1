"""What each student buys for a lesson or its course, as a finished list for the page and for paper."""

from collections.abc import Iterable

from django.utils import timezone

from inventory import restrictions
from inventory.models import Item, Lesson, Offer, Substitute
from inventory.models.lesson import LessonState
from inventory.printing.supply_list import SupplyLine, SupplyList
from inventory.queries.buying.offers import current_offers, newest, packs_for, total_of
from inventory.queries.lessons.checked import LessonNow, PaintNow
from inventory.stock.amounts import exact
from inventory.stock.lessons import tenths_words
from studio.models import Studio


def supply_list(studio: Studio, now: LessonNow) -> SupplyList:
    """What one student buys for the lessons of this course that are to come; six queries beside the house rules."""
    lesson = now.lesson
    count = _lessons_to_come(lesson)
    items = [one.line.item_id for one in now.set_out]
    offers: dict[int, list[Offer]] = {}
    for offer in newest(current_offers(studio, items)):
        offers.setdefault(offer.item_id or 0, []).append(offer)
    yes, no = _substitutes(items)
    lines = tuple(
        _line(one, count, offers.get(one.line.item_id, []), yes.get(one.line.item_id, ()), no.get(one.line.item_id, ()))
        for one in now.set_out
    )
    extra = tuple(
        SupplyLine(f"A paint of {code}", code, note="Not on the shelf of the house.") for code in now.not_on_shelf
    )
    return SupplyList(
        studio.name,
        f"What to bring: {lesson.course or lesson.title}",
        _about(lesson, count),
        timezone.localdate(),
        lines + extra,
        _rules(studio, lesson),
        tuple(_left_out(one) for one in now.barred),
        bool(lesson.group and lesson.group.children),
    )


def _lessons_to_come(lesson: Lesson) -> int:
    """How many lessons of the course a student buys for; this one alone where it has no course."""
    if not lesson.course:
        return 1
    rows = Lesson.objects.filter(studio=lesson.studio_id, course=lesson.course, term=lesson.term_id)
    return max(1, rows.filter(state=LessonState.PLANNED, starts_at__gte=lesson.starts_at).count())


def _about(lesson: Lesson, count: int) -> str:
    first = timezone.localtime(lesson.starts_at)
    many = f"{count} lessons from {first:%-d %B %Y} on" if count > 1 else f"{first:%-d %B %Y}"
    where = f", {lesson.room}" if lesson.room else ""
    whom = f" For {lesson.group}." if lesson.group else ""
    return f"{many}, {first:%H:%M}{where}.{whom}"


def _line(
    one: PaintNow, lessons: int, offers: list[Offer], accepted: Iterable[str], refused: Iterable[str]
) -> SupplyLine:
    need = one.line.a_head_milli * lessons
    best: dict[str, tuple[int, Offer, int]] = {}
    for offer in offers:
        if offer.unit != one.line.unit:
            continue
        packs = packs_for(max(1, -(-need // offer.nominal_milli)), offer.pack)
        price = total_of(offer, packs)
        if offer.currency not in best or price < best[offer.currency][0]:
            best[offer.currency] = (price, offer, packs)
    sizes = {(packs * offer.pack, offer.nominal_milli, offer.unit) for _, offer, packs in best.values()}
    count, nominal, unit = min(sizes) if sizes else (0, 0, one.line.unit)
    times = f"{count} × " if count > 1 else ""
    size = f"{times}{exact(nominal, unit)}" if sizes else (f"from {tenths_words(need, unit)}" if need else "any size")
    over = f"in {lessons} lessons" if lessons > 1 else "in this lesson"
    note = f"about {tenths_words(need, one.line.unit)} are used {over}" if need else ""
    return SupplyLine(
        one.item.name,
        " + ".join(one.codes),
        size,
        tuple((price, currency) for currency, (price, _, _) in sorted(best.items())),
        tuple(accepted),
        tuple(refused),
        note,
    )


def _substitutes(items: Iterable[int]) -> tuple[dict[int, list[str]], dict[int, list[str]]]:
    yes: dict[int, list[str]] = {}
    no: dict[int, list[str]] = {}
    for one in Substitute.objects.filter(item__in=list(items)):
        codes = f" ({one.codes})" if one.codes else ""
        why = f", {one.why[0].lower()}{one.why[1:].rstrip('.')}" if one.why else ""
        (yes if one.accepted else no).setdefault(one.item_id, []).append(f"{one.words}{codes}{why}")
    return yes, no


def _rules(studio: Studio, lesson: Lesson) -> str:
    """The bans of the house for this group that anything on its shelf runs into, in one line."""
    kept = list(Item.objects.of(studio).kept().select_related("paint"))
    said = restrictions.of_items(studio, lesson.group, kept)
    bans = [one for found in said.values() for one in found if one.forbids]
    rules = dict.fromkeys(one.rule.rstrip(".") for one in bans if one.is_house_rule)
    if not rules:
        return ""
    whom = f" for {lesson.group}" if lesson.group else ""
    return f"House rules{whom}: {'; '.join(rules)}."


def _left_out(one: PaintNow) -> str:
    name = f"{one.item.name} ({' + '.join(one.codes)})" if one.codes else one.item.name
    return f"Do not bring {name}: {one.bars[0].rule.rstrip('.')}."
