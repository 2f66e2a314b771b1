"""Saved palettes and their paints."""

from django.db.models import Count, QuerySet

from inventory.models import Palette, PalettePaint
from studio.models import Studio


def palettes_of(studio: Studio, *, removed: bool = False) -> "QuerySet[Palette]":
    """The studio's palettes by name, each with the number of its paints; those that were taken away only if asked."""
    rows = Palette.objects.filter(studio=studio, removed_at__isnull=not removed).select_related("group", "by")
    return rows.annotate(tubes=Count("paints")).order_by("name", "pk")


def paints_of(palette: Palette) -> list[PalettePaint]:
    """The paints of a palette in order, with the item or the pigment at hand; one query.

    A line may name an item that was put away since; who uses it looks at `item.archived_at`.
    """
    return list(palette.paints.select_related("item__paint", "pigment").order_by("position"))
