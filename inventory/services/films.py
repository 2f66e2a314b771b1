"""How thick drawdowns are: by a titanium white in the same film, or by micrometres and the studio's own scale."""

from collections.abc import Callable

from django.core.exceptions import ValidationError

from inventory.labels.doubts import shown
from inventory.measuring.films import read_micrometres, thickness_of_white
from inventory.models import Measurement, Paint, Swatch

TITANIUM = "PW6"


def set_film(measurement: Measurement, paint: Paint, *, white: str, micrometres: str) -> None:
    """Store what was typed of a film, and its thickness where that follows; ValidationError by field.

    It follows from the L* of titanium white in the same film over black, which is the measurement itself where the
    paint is titanium white; otherwise from its micrometres, by the studio's scale for the binder.
    """
    one, kind = measurement, measurement.swatch
    one.film_white, one.film_typed = white.strip(), micrometres.strip()
    for name, text in (("film_white", one.film_white), ("film_um", one.film_typed)):
        if text and not kind.is_film:
            raise ValidationError({name: "Only a drawdown has a film thickness: leave this out."})
    one.film_um = _refusing("film_um", read_micrometres, one.film_typed) if one.film_typed else None
    one.thickness, one.scaled = None, False
    if one.film_white:
        one.thickness = _refusing("film_white", _of_white, one.film_white)
    elif one.film_um and kind is Swatch.OVER_BLACK and is_titanium_white(paint):
        one.thickness = _refusing("text", thickness_of_white, one.lightness)
    elif one.film_um:
        per_unit = micrometres_per_unit(paint)
        if per_unit is not None:
            one.thickness, one.scaled = one.film_um / per_unit, True


def micrometres_per_unit(paint: Paint) -> float | None:
    """The studio's scale for the paint's binder: µm of one unit, by the newest film of which both are known."""
    known = (
        Measurement.objects.standing()
        .filter(paint__studio=paint.studio_id, paint__binder=paint.binder, scaled=False)
        .exclude(film_um=None)
        .exclude(thickness=None)
        .order_by("-pk")
        .first()
    )
    if known is None or known.film_um is None or known.thickness is None:
        return None
    return known.film_um / known.thickness


def rescale(paint: Paint) -> list[int]:
    """After the studio's scale may have changed: set the films that rest on it again; return their paints."""
    per_unit = micrometres_per_unit(paint)
    resting = (
        Measurement.objects.standing()
        .filter(paint__studio=paint.studio_id, paint__binder=paint.binder, film_white="")
        .exclude(film_um=None)
        .select_for_update(of=("self",))
        .order_by("pk")
    )
    changed = []
    for one in resting:
        if one.thickness is not None and not one.scaled:
            continue
        thickness = None if per_unit is None or one.film_um is None else one.film_um / per_unit
        if thickness != one.thickness:
            Measurement.objects.filter(pk=one.pk).update(thickness=thickness, scaled=thickness is not None)
            changed.append(one.paint_id)
    return list(dict.fromkeys(changed))


def is_titanium_white(paint: Paint) -> bool:
    return list(paint.pigment_lines.values_list("code", flat=True)) == [TITANIUM]


def _of_white(text: str) -> float:
    try:
        L = float(text.replace(",", "."))
    except ValueError:
        L = float("nan")
    if not 0.0 < L <= 100.0:
        raise ValueError(f"{shown(text)} is no L* from 0 to 100, such as 88.5.")
    return thickness_of_white(L)


def _refusing(name: str, read: Callable[..., float], value: object) -> float:
    try:
        return read(value)
    except ValueError as error:
        raise ValidationError({name: str(error)}) from error
