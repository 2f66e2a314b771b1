"""What a palette brings into a lesson, and what a lesson sets out as a palette."""

from dataclasses import replace

from inventory.models import Item, Paint, Palette
from inventory.queries.lessons.checked import LessonNow
from inventory.queries.palettes.tubes import Laid, laid_by_keys
from studio.models import Studio


def items_of(palette: Palette) -> list[Item]:
    """The things of a palette that are on the lists, in its order; a pigment that nobody has is none. One query."""
    lines = palette.paints.filter(item__isnull=False, item__archived_at=None).select_related("item")
    return [line.item for line in lines if line.item is not None]


def binders_of(palette: Palette) -> list[str]:
    """The binders of its paints in words; one query."""
    found = Paint.objects.filter(palette_lines__palette=palette).order_by("binder").distinct()
    return sorted({paint.get_binder_display().lower() for paint in found})


def laid_of(studio: Studio, now: LessonNow, binder: str = "") -> Laid:
    """What a lesson sets out in one binder, and words on what it leaves out; a ValueError names a binder it lacks.

    Without a binder, the first of them. Twelve queries at most.
    """
    if binder and binder not in now.binders:
        there = f"these are {' and '.join(now.binders.values())}" if now.binders else "no paint is set out"
        raise ValueError(f"Binder: “{binder}” is none of this lesson; {there}. Print the chart from its page.")
    wanted = binder or next(iter(now.binders), "")
    keys = [str(one.line.item_id) for one in now.set_out if one.binder == wanted]
    laid = laid_by_keys(studio, keys, now.lesson.group)
    notes = (
        *(f"{one.item.name}: not for {now.lesson.group or 'anybody here'}, so left out." for one in now.barred),
        *(f"{one.item.name}: taken off the lists, so left out." for one in now.archived),
    )
    return replace(laid, notes=(*laid.notes, *notes))
