"""The colours that a paint is drawn with, worked out from its curve and kept beside it."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from inventory.colour.curves import Curve
from inventory.colour.drawdown import swatch
from inventory.models import Paint
from inventory.queries.palette import curve_of, typical_rows, white_curve, with_pigments

OUTSIDE_SCREEN = "more vivid than a screen shows"


@transaction.atomic
def refresh_swatches(paints: Iterable[Paint]) -> int:
    """Work out the swatches of these paints again and return how many changed, in four queries.

    A paint whose colour is not known gets None. A swatch has `masstone`, `tint` (1:9 in titanium white) and
    `over_black` as hex values (the last is None where the paint hides), `transparent` (None: neither clear nor
    hiding), `origin` (where its curve comes from) and a `note` for the reader.
    """
    given = {paint.pk: paint for paint in paints}
    rows = typical_rows()
    white = white_curve(rows)
    changed = []
    # Read again: the caller's objects may remember pigment lines that have changed since.
    for paint in with_pigments(Paint.objects.filter(pk__in=given)):
        curve = curve_of(paint, rows).curve
        given[paint.pk].swatch = None if curve is None else _swatch(curve, white)
        if paint.swatch != given[paint.pk].swatch:
            paint.swatch = given[paint.pk].swatch
            changed.append(paint)
    if changed:
        Paint.objects.bulk_update(changed, ["swatch"], batch_size=500)
    return len(changed)


def _swatch(curve: Curve, white: Curve | None) -> dict[str, Any]:
    card = swatch(curve, white)
    note = curve.note
    if card.masstone.screen.clipped:
        note = f"{note}; {OUTSIDE_SCREEN}" if note else OUTSIDE_SCREEN
    return {
        "masstone": card.masstone.hex,
        "tint": card.tint.hex if card.tint else None,
        "over_black": None if card.transparent is False else card.over_black.hex,
        "transparent": card.transparent,
        "origin": curve.origin.value,
        "note": note,
    }
