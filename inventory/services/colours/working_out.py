"""The curves of paints, worked out from what was measured of them and of the whites in their tints."""

from collections.abc import Iterable, Sequence
from functools import partial
from time import monotonic
from typing import Any

from django.db import transaction
from django.db.models import Count, QuerySet
from django.utils import timezone

from inventory.colour.curves import BandRow
from inventory.colour.recovery import VERSION, Recovered
from inventory.models import CurveState, Measurement, Paint, PaintCurve
from inventory.models.measurement import packed
from inventory.queries.measured import Inputs, inputs_of, with_measurements
from inventory.queries.palette import typical_rows
from inventory.services.films import rescale
from inventory.services.swatches import refresh_swatches
from studio.models import Studio

# So many paints are worked out inside the request that changed them (about a tenth of a second each); others wait.
AT_ONCE = 6
# A step of the page that works through those that wait, in seconds.
A_STEP = 1.5
# Inputs that change while a curve is worked out are read again so many times.
TRIES = 3


def work_out(paint: Paint, *, following: bool = True) -> PaintCurve | None:
    """Work the curve of a paint out again if anything that it rests on has changed; None where nothing was given.

    The work itself is done outside a transaction. Paints whose tints were mixed with this one follow: a few at once,
    the others wait for `work_through`.
    """
    rows = typical_rows()
    stored = _work_out(paint.pk, rows)
    if following:
        _follow(paint.pk, rows)
    return stored


def work_through(studio: Studio, seconds: float = A_STEP) -> int:
    """Work out paints that wait until the time is up, at least one; return how many still wait."""
    rows = typical_rows()
    end = monotonic() + seconds
    for pk in _whites_first(waiting(studio)):
        _work_out(pk, rows)
        if monotonic() >= end:
            break
    return waiting(studio).count()


def waiting(studio: Studio) -> "QuerySet[PaintCurve]":
    return PaintCurve.objects.filter(paint__studio=studio, state=CurveState.WORKING)


def label_changed(paint: Paint) -> None:
    """Called where a label is stored: what rests on it is worked out again once that is done."""
    stale = wait(paint.pk, only_if_there=True) + _followers_wait(paint.pk)
    if stale:
        transaction.on_commit(partial(work_out, paint))


def method_changed() -> bool:
    """Whether a curve was worked out by another method than the one in use."""
    return PaintCurve.objects.exclude(version__in=["", VERSION]).exists()


def optics_changed() -> int:
    """Work every curve out again after the reference table or the method has changed; return how many there are."""
    rows = typical_rows()
    pks = _whites_first(PaintCurve.objects.all())
    for pk in pks:
        _work_out(pk, rows)
    return len(pks)


def _whites_first(curves: "QuerySet[PaintCurve]") -> list[int]:
    """The paints of these curves, those before others that the others' tints rest on."""
    uses = Count("paint__tinted_measurements")
    return list(curves.annotate(uses=uses).order_by("-uses", "pk").values_list("paint_id", flat=True))


def wait_for(gone: Iterable[Measurement]) -> None:
    """Let the curves that rested on these be worked out again; films whose scale rested on them follow."""
    of_paint = {(one.paint_id, one.film_um is not None): one for one in gone}
    for pk in {pk for pk, _ in of_paint}:
        wait(pk)
    for one in of_paint.values():
        films_wait(one)


def wait(paint_pk: int, *, only_if_there: bool = False) -> int:
    """Mark the curve of a paint as one that has to be worked out; return 1 where there is one."""
    changed = PaintCurve.objects.filter(paint_id=paint_pk).update(state=CurveState.WORKING)
    if not changed and not only_if_there:
        PaintCurve.objects.create(paint_id=paint_pk, state=CurveState.WORKING)
    return changed


def films_wait(measurement: Measurement) -> list[int]:
    """Let the films of other paints follow where this one may be what the studio's scale of micrometres rests on.

    Return the keys of the paints whose films have another thickness now.
    """
    changed = [] if measurement.film_um is None else rescale(measurement.paint)
    for pk in changed:
        wait(pk)
    return changed


def _followers(paint_pk: int) -> "QuerySet[PaintCurve]":
    return PaintCurve.objects.filter(
        paint__measurements__white_id=paint_pk, paint__measurements__withdrawn_at=None
    ).distinct()


def _followers_wait(paint_pk: int) -> int:
    pks = list(_followers(paint_pk).values_list("pk", flat=True))
    return PaintCurve.objects.filter(pk__in=pks).update(state=CurveState.WORKING)


def _follow(paint_pk: int, rows: Sequence[BandRow]) -> None:
    pks = list(_followers(paint_pk).values_list("paint_id", flat=True))
    for pk in pks[:AT_ONCE]:
        _work_out(pk, rows)
    PaintCurve.objects.filter(paint_id__in=pks[AT_ONCE:]).update(state=CurveState.WORKING)


def _read(paint_pk: int, rows: Sequence[BandRow]) -> tuple[Paint, Inputs | None]:
    paint = with_measurements(Paint.objects.filter(pk=paint_pk)).get()
    return paint, inputs_of(paint, rows)


def _work_out(paint_pk: int, rows: Sequence[BandRow]) -> PaintCurve | None:
    paint, inputs = _read(paint_pk, rows)
    for _ in range(TRIES):
        digest = inputs.fingerprint if inputs else ""
        there = PaintCurve.objects.filter(paint_id=paint_pk).defer("draws").first()
        known = there is not None and there.fingerprint == digest and there.curve is not None
        values = {"state": CurveState.READY, "message": ""} if known or inputs is None else _worked(inputs)
        with transaction.atomic():
            Paint.objects.select_for_update(of=("self",)).get(pk=paint_pk)
            paint, inputs = _read(paint_pk, rows)
            if (inputs.fingerprint if inputs else "") != digest:
                continue  # somebody measured meanwhile
            if inputs is None:
                PaintCurve.objects.filter(paint_id=paint_pk).delete()
                stored = None
            else:
                stored, _created = PaintCurve.objects.update_or_create(paint_id=paint_pk, defaults=values)
            refresh_swatches([paint])
        return stored
    return PaintCurve.objects.filter(paint_id=paint_pk).first()


def _worked(inputs: Inputs) -> dict[str, Any]:
    try:
        found = inputs.recover()
    except ValueError as error:
        message = str(error)[:600] or "The colours do not go together."
        return {**_NOTHING, "state": CurveState.FAILED, "message": message, "fingerprint": inputs.fingerprint}
    return {**_stored(found, inputs), "state": CurveState.READY, "message": ""}


_NOTHING: dict[str, Any] = {"curve": None, "draws": None, "origin": "", "basis": "", "rests_on": "", "candidates": [],
                            "tints_allowed": False, "worst_fit": None}  # fmt: skip


def _stored(found: Recovered, inputs: Inputs) -> dict[str, Any]:
    return {
        "curve": packed(found.curve.k, found.curve.s),
        "draws": packed(found.k_draws, found.s_draws),
        "origin": inputs.origin.value,
        "basis": found.basis.value,
        "version": found.version,
        "fingerprint": inputs.fingerprint,
        "rests_on": " ".join((found.rests_on, *inputs.notes))[:1000],
        "candidates": [
            {"name": one.name, "labelled": one.labelled, "weight": round(one.weight, 4)} for one in found.candidates
        ],
        "tints_allowed": found.states_tints,
        "worst_fit": found.worst_fit,
        "computed_at": timezone.now(),
    }
