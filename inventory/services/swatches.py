"""The colours that a paint is drawn with, measured or worked out from its curve, and kept beside it."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from inventory.colour.appearance import ScreenColour, srgb
from inventory.colour.curves import Curve, Origin
from inventory.colour.drawdown import swatch
from inventory.models import Measurement, Paint, Swatch
from inventory.queries.measured import given, is_a_white, with_measurements
from inventory.queries.palette import curve_of, stored_curve, typical_rows, white_curve

OUTSIDE_SCREEN = "more vivid than a screen shows"


@transaction.atomic
def refresh_swatches(paints: Iterable[Paint]) -> int:
    """Work out the swatches of these paints again and return how many changed, in six queries.

    A paint whose colour is not known gets None. A swatch has `masstone`, `tint` (1:9 in titanium white) and
    `over_black` as hex values (the last is None where the paint hides), `transparent` (None: neither clear nor
    hiding), `origin` ("measured" where what is drawn was measured) and a `note` for the reader.
    """
    wanted = {paint.pk: paint for paint in paints}
    rows = typical_rows()
    white = white_curve(rows)
    changed = []
    # Read again: the caller's objects may remember pigment lines that have changed since.
    for paint in with_measurements(Paint.objects.filter(pk__in=wanted)):
        # A colour known only alone is drawn, though nothing is mixed with it.
        stored = stored_curve(paint)
        own = stored.as_curve() if stored is not None else None
        curve = curve_of(paint, rows).curve or own
        tinted = white if stored is None or stored.tints_allowed or curve is not own else None
        wanted[paint.pk].swatch = _swatch(paint, curve, tinted)
        if paint.swatch != wanted[paint.pk].swatch:
            paint.swatch = wanted[paint.pk].swatch
            changed.append(paint)
    if changed:
        Paint.objects.bulk_update(changed, ["swatch"], batch_size=500)
    return len(changed)


def _swatch(paint: Paint, curve: Curve | None, white: Curve | None) -> dict[str, Any] | None:
    """Fields that were measured are drawn as measured, the others as the curve has them."""
    fine = {one.swatch: one for one in reversed(given(paint)) if not one.rough}
    alone, tint = fine.get(Swatch.MASSTONE), fine.get(Swatch.TINT_1_9)
    if curve is None:
        return None
    card = swatch(curve, white)
    shown = {
        "masstone": _screen(alone) or card.masstone.screen,
        "tint": _screen(tint) or (card.tint.screen if card.tint else None),
    }
    measured = alone is not None and (tint is not None or card.tint is None or is_a_white(card.masstone.lab))
    note = curve.note
    if any(colour.clipped for colour in shown.values() if colour):
        note = f"{note}; {OUTSIDE_SCREEN}" if note else OUTSIDE_SCREEN
    return {
        **{name: colour.hex if colour else None for name, colour in shown.items()},
        "over_black": None if card.transparent is False else card.over_black.hex,
        "transparent": card.transparent,
        "origin": (Origin.MEASURED if measured else curve.origin).value,
        "note": note,
    }


def _screen(measurement: Measurement | None) -> ScreenColour | None:
    return None if measurement is None else srgb(measurement.lab)
