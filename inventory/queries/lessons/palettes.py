"""What a palette brings into a lesson."""

from inventory.models import Item, Paint, Palette


def items_of(palette: Palette) -> list[Item]:
    """The things of a palette that are on the lists, in its order; a pigment that nobody has is none. One query."""
    lines = palette.paints.filter(item__isnull=False, item__archived_at=None).select_related("item")
    return [line.item for line in lines if line.item is not None]


def binders_of(palette: Palette) -> list[str]:
    """The binders of its paints in words; one query."""
    found = Paint.objects.filter(palette_lines__palette=palette).order_by("binder").distinct()
    return sorted({paint.get_binder_display().lower() for paint in found})
