"""The colours that a paint is drawn with, worked out from its curve and kept beside it."""

from collections.abc import Iterable
from typing import Any

from inventory.colour.curves import Curve
from inventory.colour.drawdown import swatch
from inventory.models import Paint
from inventory.queries.palette import curve_of, typical_rows, white_curve, with_pigments


def drawn(curve: Curve, white: Curve | None) -> dict[str, Any]:
    """A drawdown card as the pages take it: hex colours, whether ground shows through, where the curve is from."""
    card = swatch(curve, white)
    return {
        "masstone": card.masstone.hex,
        "tint": card.tint.hex if card.tint else None,
        "over_black": card.over_black.hex,
        "transparent": card.transparent,
        "origin": curve.origin.value,
        "note": curve.note,
    }


def refresh_swatches(paints: Iterable[Paint]) -> int:
    """Work the swatches of these paints out again and keep those that changed; how many did. Three queries."""
    rows = typical_rows()
    white = white_curve(rows)
    given = {paint.pk: paint for paint in paints}
    changed = []
    for paint in with_pigments(Paint.objects.filter(pk__in=given)):
        curve = curve_of(paint, rows).curve
        colours = drawn(curve, white) if curve else None
        given[paint.pk].swatch = colours
        if paint.swatch != colours:
            paint.swatch = colours
            changed.append(paint)
    Paint.objects.bulk_update(changed, ["swatch"], batch_size=200)
    return len(changed)
