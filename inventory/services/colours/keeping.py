"""Measurements kept, withdrawn and brought back, each after its checks."""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.colour.samples import DoubtKind
from inventory.labels.doubts import shown
from inventory.models import Measurement, Paint, Swatch
from inventory.queries.measured import given
from inventory.services.colours.checking import Beside, Known, check
from inventory.services.colours.working_out import films_wait, wait, work_out
from inventory.services.films import set_film
from studio.models import User

# Whose rows were read or made here are not looked up again.
_AT_HAND = ("paint", "white", "by", "withdrawn_by")


def keep(paint: Paint, by: User, beside: Beside, measurement: Measurement, known: Known | None = None) -> Measurement:
    """Check a measurement against what is there and store it; the same one twice is one.

    The caller's transaction holds it; the paint's curve waits to be worked out. `known` is what a table has read.
    """
    _describe(paint, by, beside, measurement)
    of_a_table, known = known is not None, known or Known()
    known.read([paint] if beside.white is None else [paint, beside.white])
    same = _the_same(measurement, given(known.paint(paint)))
    if same is not None:
        return same
    exchanged = check(measurement, beside, known)
    if exchanged is not None:
        known.forget([paint.pk])
        _exchange(exchanged, measurement, by)
    # Each constraint is a query; of a whole table they are left to the database, after its rows were checked.
    measurement.full_clean(exclude=_AT_HAND, validate_constraints=not of_a_table)
    measurement.save()
    if exchanged is None:
        known.kept(measurement)
    if paint.pk not in known.waits:
        wait(paint.pk)
        known.waits.add(paint.pk)
    known.forget(films_wait(measurement))
    return measurement


def keep_again(
    paint: Paint, *, by: User, beside: Beside, measurement: Measurement, withdrawn_at: datetime | None, known: Known
) -> Measurement:
    """Keep a measurement that a table brings back, one that was withdrawn as withdrawn; one that is there is one."""
    if withdrawn_at is None:
        return keep(paint, by, beside, measurement, known)
    _describe(paint, by, beside, measurement)
    same = _the_same(measurement, paint.measurements.exclude(withdrawn_at=None))
    if same is not None:
        return same
    measurement.withdrawn_at, measurement.withdrawn_by = withdrawn_at, by
    measurement.full_clean(exclude=_AT_HAND, validate_constraints=False)
    measurement.save()
    return measurement


def withdraw(measurement: Measurement, *, by: User) -> Measurement:
    """Take a measurement out of use; its row stays. What rested on it is worked out again."""
    with transaction.atomic():
        changed = Measurement.objects.filter(pk=measurement.pk, withdrawn_at=None).update(
            withdrawn_at=timezone.now(), withdrawn_by=by
        )
        wait(measurement.paint_id)
        films_wait(measurement)
    measurement.refresh_from_db()
    if changed:
        work_out(measurement.paint)
    return measurement


def bring_back(measurement: Measurement, *, by: User) -> Measurement:
    """Undo a withdrawal, after the checks of a new measurement."""
    if measurement.withdrawn_at is not None:
        with transaction.atomic():
            measurement.withdrawn_at = measurement.withdrawn_by = None
            check(measurement, Beside(measurement.kind, measurement.white, confirmed=measurement.confirmed), Known())
            Measurement.objects.filter(pk=measurement.pk).update(withdrawn_at=None, withdrawn_by=None)
            wait(measurement.paint_id)
            films_wait(measurement)
        work_out(measurement.paint)
    return measurement


def _describe(paint: Paint, by: User, beside: Beside, measurement: Measurement) -> None:
    """Put down what was given with a colour; ValidationError by field where it does not belong to the swatch."""
    try:
        kind = Swatch(beside.kind)
    except ValueError:
        choices = ", ".join(one.label for one in Swatch)
        raise ValidationError({"kind": f"{shown(beside.kind)} is no swatch; choose one of {choices}."}) from None
    if beside.white is not None and not kind.is_tint:
        raise ValidationError({"white": f"A {kind.label.lower()} has no white in it: leave the white out."})
    if beside.white is not None and beside.white.studio_id != paint.studio_id:
        raise ValidationError({"white": "This white is not in this studio: choose one of its paints."})
    measurement.paint, measurement.kind, measurement.white = paint, kind.value, beside.white
    measurement.note, measurement.by = beside.note.strip()[:300], by
    set_film(measurement, paint, white=beside.film_white, micrometres=beside.film_um)
    measurement.confirmed = sorted(kind for kind in beside.confirmed if kind in set(DoubtKind))


_TOLD_BY = ("paint_id", "kind", "way", "text", "film_white", "film_typed", "white_id", "lightness", "a", "b")


def _the_same(measurement: Measurement, among: Iterable[Measurement]) -> Measurement | None:
    """The first of these measurements that was given with the same words for the same swatch."""
    alike = [one for one in among if all(getattr(one, name) == getattr(measurement, name) for name in _TOLD_BY)]
    return min(alike, key=lambda one: one.pk, default=None)


def _exchange(there: Measurement, new: Measurement, by: User) -> None:
    """Withdraw the one that is there and keep it again as what the new one was said to be, and the reverse."""
    Measurement.objects.filter(pk=there.pk).update(withdrawn_at=timezone.now(), withdrawn_by=by)
    white = there.white or new.white
    again = Measurement.objects.get(pk=there.pk)
    again.pk, again.withdrawn_at, again.withdrawn_by, again.by = None, None, None, by
    again._state.adding = True
    again.kind, new.kind = new.kind, there.kind
    for one in (again, new):
        one.white = white if one.swatch.is_tint else None
    again.full_clean(exclude=_AT_HAND)
    again.save()
