"""Which paints a lesson sets out, and how much a head: from history, by a rule, or typed."""

from collections.abc import Iterable, Mapping

from django.db import transaction

from inventory import restrictions
from inventory.models import AmountRule, Item, Lesson, LessonPaint, Paint, Palette, Unit
from inventory.models.lesson import AmountBasis, LessonState
from inventory.queries.lessons.history import heads
from inventory.services.ledger import LARGEST_MILLI, refuse
from inventory.services.palettes import Line, save_palette
from inventory.stock.amounts import exact
from inventory.stock.coverage_rules import Ground, by_rule
from studio.models import Studio, User

MOST_PAINTS = 40


def hold(lesson: Lesson) -> Lesson:
    """Hold the lesson's row until the transaction ends, and read it as it is now."""
    found = Lesson.objects.select_for_update(of=("self",), no_key=True).filter(pk=lesson.pk).first()
    if found is None:
        raise refuse("lesson", f"{lesson} is not on the list any more: look at the lessons again.")
    return found


def hold_planned(lesson: Lesson) -> Lesson:
    found = hold(lesson)
    if found.state != LessonState.PLANNED:
        said = "was recorded already" if found.state == LessonState.HELD else "was called off"
        raise refuse("lesson", f"{found} {said}, so its plan stays as it is.")
    return found


@transaction.atomic
def set_paints(lesson: Lesson, items: Iterable[Item]) -> Lesson:
    """Let the lesson set out these and no others; those that stay keep their amounts."""
    held = hold_planned(lesson)
    wanted = list(items)
    _refuse_barred(held, wanted)
    put_paints(held, wanted)
    return held


def _refuse_barred(lesson: Lesson, items: list[Item]) -> None:
    """What a house rule keeps from the group is not put in; a palette may bring it, and the page says so."""
    there = set(lesson.paints.values_list("item", flat=True))
    new = [item for item in items if item.pk not in there]
    said = restrictions.of_items(lesson.studio, lesson.group, new) if new else {}
    for item in new:
        bar = next((one for one in said.get(item.pk, ()) if one.forbids), None)
        if bar is not None:
            whom = f"not for {lesson.group}" if lesson.group else "not allowed here"
            raise refuse("paints", f"{item.name} is {whom}: {bar.rule.rstrip('.')} ({bar.why}; {bar.source}).")


def put_paints(lesson: Lesson, items: Iterable[Item]) -> None:
    """The same of a lesson that is held already. New ones begin with what this house used a head, if anything."""
    wanted = {item.pk: item for item in items}
    if len(wanted) > MOST_PAINTS:
        raise refuse("paints", f"{len(wanted)} paints are chosen; a lesson sets out at most {MOST_PAINTS}.")
    for item in wanted.values():
        if item.studio_id != lesson.studio_id:
            raise refuse("paints", f"{item.name} is not one of this studio's paints and materials.")
    lesson.paints.exclude(item__in=wanted).delete()
    there = set(lesson.paints.values_list("item", flat=True))
    archived = [item.name for pk, item in wanted.items() if pk not in there and item.archived_at is not None]
    if archived:
        raise refuse(
            "paints", f"{archived[0]} was taken off the lists meanwhile: bring it back there first, or leave it out."
        )
    new = [item for pk, item in wanted.items() if pk not in there]
    units = _units(new)
    history = heads(lesson.studio, [item.pk for item in new])
    for item in new:
        unit = units.get(item.pk, Unit.ML)
        seen = history.get((item.pk, unit))
        LessonPaint.objects.create(
            lesson=lesson,
            item=item,
            unit=unit,
            a_head_milli=seen.mean_milli if seen else 0,
            basis=AmountBasis.HISTORY if seen else AmountBasis.TYPED,
            worked={"words": seen.words(unit)} if seen else {},
        )


def _units(items: Iterable[Item]) -> dict[int, str]:
    """The unit in which each is kept: that of its last container; one query."""
    rows = Item.objects.filter(pk__in=[item.pk for item in items]).order_by("tubes__pk")
    return {pk: unit for pk, unit in rows.values_list("pk", "tubes__unit") if unit}


@transaction.atomic
def keep_as_palette(lesson: Lesson, *, name: str, by: User) -> Palette:
    """Keep what the lesson sets out as a palette, so that its chart can be printed and it can be set out again."""
    held = hold_planned(lesson)
    paints = list(Paint.objects.filter(lesson_lines__lesson=held, archived_at=None).order_by("lesson_lines__pk"))
    binders = sorted({paint.get_binder_display().lower() for paint in paints})
    if not paints:
        raise refuse("name", "The lesson sets out no paint yet: choose some first.")
    if len(binders) > 1:
        raise refuse(
            "name", f"A palette is of one binder, and these are {' and '.join(binders)}: leave some out first."
        )
    lines = [Line(paint=paint) for paint in paints]
    held.palette = save_palette(held.studio, name=name, binder=paints[0].binder, lines=lines, by=by, group=held.group)
    held.save(update_fields=["palette"])
    return held.palette


@transaction.atomic
def set_amounts(lesson: Lesson, typed: Mapping[int, int]) -> Lesson:
    """Amounts a head as somebody typed them, thousandths by item; those that were as they are keep their reasons."""
    held = hold_planned(lesson)
    for line in held.paints.select_related("item"):
        milli = typed.get(line.item_id, line.a_head_milli)
        if milli == line.a_head_milli:
            continue
        if not 0 <= milli <= LARGEST_MILLI:
            raise refuse("amount", f"{line.item.name}: {exact(milli, line.unit)} a head cannot be: check the figure.")
        line.a_head_milli, line.basis, line.worked = milli, AmountBasis.TYPED, {}
        line.save(update_fields=["a_head_milli", "basis", "worked"])
    return held


@transaction.atomic
def amounts_from_history(lesson: Lesson) -> list[str]:
    """Take what this house used a head wherever it recorded a lesson with it; the names of those without one."""
    held = hold_planned(lesson)
    lines = list(held.paints.select_related("item"))
    history = heads(held.studio, [line.item_id for line in lines])
    lacking = []
    for line in lines:
        seen = history.get((line.item_id, line.unit))
        if seen is None:
            lacking.append(line.item.name)
            continue
        line.a_head_milli, line.basis = seen.mean_milli, AmountBasis.HISTORY
        line.worked = {"words": seen.words(line.unit), "lessons": seen.lessons}
        line.save(update_fields=["a_head_milli", "basis", "worked"])
    return lacking


@transaction.atomic
def amounts_by_rule(
    lesson: Lesson,
    *,
    ground: Ground,
    coats: int,
    milli_per_m2: int,
    rule: str,
    source: str,
    parts: Mapping[int, int],
) -> str:
    """Share what a rule of area and coats gives among paints, by parts by item; the reckoning in words."""
    held = hold_planned(lesson)
    lines = [line for line in held.paints.select_related("item") if parts.get(line.item_id, 0) > 0]
    if not lines:
        raise refuse("parts", "Parts: give at least one paint a part above 0, so that the rule has something to share.")
    if solid := next((line for line in lines if line.unit != Unit.ML), None):
        raise refuse("parts", f"Parts: {solid.item.name} is kept in {solid.unit}, and the rule gives ml. Give it 0.")
    try:
        found = by_rule(ground, coats=coats, students=held.students, milli_per_m2=milli_per_m2)
    except ValueError as error:
        raise refuse("coats", str(error)) from None
    whole = sum(parts[line.item_id] for line in lines)
    for line in lines:
        part = parts[line.item_id]
        line.a_head_milli, line.basis = found.share_milli(part, whole), AmountBasis.RULE
        line.worked = {
            "words": f"{part} of {whole} parts of: {found.words}",
            "rule": rule,
            "source": source,
            "ground": ground.text,
            "coats": coats,
            "milli_per_m2": milli_per_m2,
            "part": part,
        }
        line.save(update_fields=["a_head_milli", "basis", "worked"])
    return found.words


@transaction.atomic
def add_rule(studio: Studio, *, name: str, milli_per_m2: int, source: str, by: User, binder: str = "") -> AmountRule:
    """A rule of the house; one of that name is replaced by it."""
    rule = AmountRule.objects.filter(studio=studio, name=name.strip()).first() or AmountRule(
        studio=studio, name=name.strip()
    )
    rule.milli_per_m2, rule.source, rule.binder, rule.set_by = milli_per_m2, source.strip(), binder, by
    rule.full_clean()
    rule.save()
    return rule


@transaction.atomic
def remove_rule(rule: AmountRule) -> None:
    """Lessons that were reckoned with it keep its numbers."""
    AmountRule.objects.filter(pk=rule.pk).delete()
