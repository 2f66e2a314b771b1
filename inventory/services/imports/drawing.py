"""The paints of a list are drawn after it was taken in: a by-product, worked out in steps of its own."""

from inventory.models import ImportBatch, ItemKind, Paint
from inventory.queries.imports import new_items
from inventory.services.imports.reading import Progress
from inventory.services.swatches import refresh_swatches

# Drawn in the request that takes a list in; a larger list goes on in steps.
AT_ONCE = 100
A_STEP = 500


def draw_some(batch: ImportBatch, *, limit: int = A_STEP) -> Progress:
    """Draw the next paints of a list; call it until it is finished. Twice at the same time does no harm."""
    made = new_items(batch).filter(kind=ItemKind.PAINT)
    total = made.count()
    if batch.drawn_up_to is None:
        return Progress(total, total)
    pks = list(made.filter(pk__gt=batch.drawn_up_to).order_by("pk").values_list("pk", flat=True)[: limit + 1])
    now, more = pks[:limit], len(pks) > limit
    if now:
        refresh_swatches(Paint.objects.filter(pk__in=now))
    batch.drawn_up_to = now[-1] if more else None
    ImportBatch.objects.filter(pk=batch.pk).exclude(drawn_up_to=None).update(drawn_up_to=batch.drawn_up_to)
    left = made.filter(pk__gt=batch.drawn_up_to).count() if more else 0
    return Progress(total - left, total)


def drawing(batch: ImportBatch) -> Progress:
    """How far it is."""
    made = new_items(batch).filter(kind=ItemKind.PAINT)
    total = made.count()
    left = 0 if batch.drawn_up_to is None else made.filter(pk__gt=batch.drawn_up_to).count()
    return Progress(total - left, total)
