"""Colours of paints: measurements taken in and withdrawn, and the curves worked out from them."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from time import monotonic
from typing import Any

import numpy as np
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Count, QuerySet
from django.utils import timezone

from inventory.colour.appearance import cielab, lab_from_relative_xyz
from inventory.colour.curves import BandRow, from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mixture_lab
from inventory.colour.recovery import VERSION, Recovered, generic_white
from inventory.colour.samples import MAY_STAND, DoubtfulColours, DoubtKind, check_white, doubts, unlike_its_code
from inventory.colour.samples import Doubt as ColourDoubt
from inventory.colour.viewing import weights_under
from inventory.labels import Doubt
from inventory.labels.doubts import Severity, shown
from inventory.measuring.card import MASSTONE, OVER_BLACK, OVER_PAPER, TINT_1_1, TINT_1_9, layout_of_card
from inventory.measuring.colours import read_colour
from inventory.measuring.photo import read_card_photo
from inventory.measuring.spectra import SpectrumSample, read_spectrum
from inventory.models import CurveState, Measurement, Paint, PaintCurve, Swatch, Way
from inventory.models.measurement import packed
from inventory.queries.measured import Inputs, inputs_of, why_no_white, with_measurements
from inventory.queries.palette import typical_rows
from inventory.services.films import rescale, set_film
from inventory.services.swatches import refresh_swatches
from studio.models import Studio, User

# So many paints are worked out inside the request that changed them (about a tenth of a second each); others wait.
AT_ONCE = 6
# A step of the page that works through those that wait, in seconds.
A_STEP = 1.5
# Inputs that change while a curve is worked out are read again so many times.
TRIES = 3
FIELDS: Mapping[str, Swatch] = {
    MASSTONE: Swatch.MASSTONE,
    TINT_1_9: Swatch.TINT_1_9,
    TINT_1_1: Swatch.TINT_1_1,
    OVER_PAPER: Swatch.OVER_WHITE,
    OVER_BLACK: Swatch.OVER_BLACK,
}
SPECTRUM_SD = 0.5
# Parts of paint and of white: how a masstone, a thin film of it and its tints may look.
_SHADES = ((1.0, 0.0), (1.0, 1.0), (1.0, 9.0))
CONFIRM, EXCHANGE = "confirm", "exchange"


@dataclass(frozen=True)
class Beside:
    """What is given with a colour, however the colour itself comes."""

    kind: str
    white: Paint | None = None
    film_white: str = ""
    """L* of titanium white drawn down over black with the same bar; says how thick the film is."""
    note: str = ""
    confirmed: Collection[str] = field(default=())
    exchange: bool = False
    film_um: str = ""
    """The wet film of a drawdown in micrometres, as typed."""


def add_colour(
    paint: Paint,
    *,
    by: User,
    beside: Beside,
    text: str,
    notation: str = "",
    illuminant: str | None = None,
    observer: str | None = None,
) -> Measurement:
    """Take a colour as typed. ValidationError names the field, the value and the remedy, or asks."""
    return _add(paint, by, beside, of_text(text, notation=notation, illuminant=illuminant, observer=observer))


def of_text(
    text: str, *, notation: str = "", illuminant: str | None = None, observer: str | None = None
) -> Measurement:
    """A typed colour as a measurement that is kept nowhere yet."""
    if not text.strip():
        raise ValidationError({"text": "Enter the colour, such as 32.1, 14.2, -41.7 or 5PB 3/10."})
    read = read_colour(text, notation=notation or None, illuminant=illuminant or None, observer=observer or None)
    _refuse_open(read.doubts, {"illuminant", "observer", "notation"}, "text")
    assert read.lab is not None  # noqa: S101  # settled, so it has a colour
    L, a, b = read.lab
    return Measurement(
        way=Way.TYPED,
        text=text.strip(),
        notation=read.notation.value,
        illuminant=read.illuminant.value,
        observer=read.observer.value,
        lightness=L,
        a=a,
        b=b,
        converted=read.converted[:300],
        rough=read.rough,
        sd=read.sd,
        stated=None if read.stated is None else list(read.stated),
        stated_sd=None if read.stated is None else read.stated_sd,
        viewing=read.viewing.value if read.viewing and read.stated else "",
        remarks=[doubt.message for doubt in read.doubts],
    )


def add_spectrum(
    paint: Paint,
    *,
    by: User,
    beside: Beside,
    data: bytes,
    file_name: str,
    sample: str = "",
    chosen: Mapping[str, str] | None = None,
) -> Measurement:
    """Take one sample of a spectrum file; `chosen` answers what the file does not say (specular, geometry, backing...).

    A file of several samples asks which, unless `sample` names it.
    """
    answers = {f"{name}:": value for name, value in (chosen or {}).items() if value}
    reading = read_spectrum(data, file_name, chosen=answers)
    fields = {"specular", "geometry", "backing", "illuminant", "scale"}
    _refuse_open([one for one in reading.doubts if one.code not in fields], set(), "file")
    found = _one_sample(reading.samples, sample)
    _refuse_open((*reading.doubts, *found.doubts), fields, "file")
    assert found.reflectance is not None  # noqa: S101  # settled, so it has a reflectance
    stated = found.conditions
    one = of_reflectance(
        f"{file_name}: {found.name}",
        [float(value) for value in found.reflectance],
        illuminant=stated.illuminant,
        specular=stated.specular.value,
        geometry=stated.geometry,
        backing=stated.backing,
    )
    one.remarks = [doubt.message for doubt in (*reading.doubts, *found.doubts)]
    return _add(paint, by, beside, one)


def of_reflectance(text: str, spectrum: list[float], **stated: Any) -> Measurement:
    """A measured reflectance, fractions at 400 to 700 nm by 10, as a measurement that is kept nowhere yet."""
    L, a, b = (float(value) for value in cielab(np.asarray(spectrum)))
    return Measurement(
        way=Way.SPECTRUM,
        text=text[:300],
        notation="spectrum",
        observer="10",
        lightness=min(max(L, 0.0), 100.0),
        a=a,
        b=b,
        converted="from the reflectance, D65 and 10 degrees",
        spectrum=spectrum,
        sd=SPECTRUM_SD,
        **stated,
    )


def add_card_photo(
    paint: Paint,
    *,
    by: User,
    data: bytes,
    file_name: str,
    corners: tuple[tuple[float, float], ...],
    references: Mapping[str, tuple[float, float, float]],
    fields: Collection[str],
    white: Paint | None = None,
    note: str = "",
    film_um: str = "",
) -> list[Measurement]:
    """Take the painted fields of a photographed swatch card, all of them or none.

    `film_um` is the wet film of its drawdown as typed. `corners` are the card's upper left, upper right, lower right
    and lower left corner as fractions of the photo; `references` are the known colours (D65, 10 degree) of patches
    stuck on it; `fields` those that are painted.
    """
    wanted = [name for name in FIELDS if name in fields]
    if not wanted:
        raise ValidationError({"fields": "Say which fields of the card are painted."})
    if len(corners) != 4:
        raise ValidationError({"corners": f"The card has four corners, not {len(corners)}. Mark them again."})
    one, two, three, four = corners
    try:
        layout = layout_of_card((one, two, three, four), references)
    except ValueError as error:
        raise ValidationError({"references": str(error)}) from error
    reading = read_card_photo(data, layout)
    _refuse_open(reading.doubts, set(), "file")
    residual = reading.residual
    left_out = "" if residual is None else f", each of which comes out {residual:.1f} off (CIEDE2000) by the others"
    made = []
    with transaction.atomic():
        for found in (one for one in reading.fields if one.name in wanted):
            _refuse_open(found.doubts, set(), "file")
            assert found.lab is not None  # noqa: S101  # settled, so it has a colour
            L, a, b = found.lab
            kind = FIELDS[found.name]
            remarks = [doubt.message for doubt in (*reading.doubts, *found.doubts)]
            measurement = Measurement(
                way=Way.PHOTO,
                text=f"{file_name}: {found.name}"[:300],
                notation="photo",
                illuminant="D65",
                observer="10",
                lightness=min(max(L, 0.0), 100.0),
                a=a,
                b=b,
                converted=f"corrected by {reading.corrected}{left_out}"[:300],
                rough=True,
                sd=found.sd,
                remarks=remarks,
            )
            beside = Beside(
                kind,
                white if kind.is_tint else None,
                note=note,
                confirmed=MAY_STAND,
                film_um=film_um if kind.is_film else "",
            )
            made.append(_keep(paint, by, beside, measurement))
    work_out(paint)
    return made


def keep_again(
    paint: Paint,
    *,
    by: User,
    beside: Beside,
    measurement: Measurement,
    withdrawn_at: datetime | None,
    rows: Sequence[BandRow],
) -> Measurement:
    """Keep a measurement that a table brings back, one that was withdrawn as withdrawn; one that is there is one.

    The caller's transaction holds it; the paint's curve waits to be worked out. `rows` are the typical ones.
    """
    if withdrawn_at is None:
        return _keep(paint, by, beside, measurement, rows)
    _describe(paint, by, beside, measurement)
    same = _the_same(measurement, Measurement.objects.exclude(withdrawn_at=None))
    if same is not None:
        return same
    measurement.withdrawn_at, measurement.withdrawn_by = withdrawn_at, by
    measurement.full_clean(exclude=["paint", "white", "by", "withdrawn_by"], validate_constraints=False)
    measurement.save()
    return measurement


def withdraw(measurement: Measurement, *, by: User) -> Measurement:
    """Take a measurement out of use; its row stays. What rested on it is worked out again."""
    with transaction.atomic():
        changed = Measurement.objects.filter(pk=measurement.pk, withdrawn_at=None).update(
            withdrawn_at=timezone.now(), withdrawn_by=by
        )
        _wait(measurement.paint_id)
        _films_wait(measurement)
    measurement.refresh_from_db()
    if changed:
        work_out(measurement.paint)
    return measurement


def bring_back(measurement: Measurement, *, by: User) -> Measurement:
    """Undo a withdrawal, after the checks of a new measurement."""
    if measurement.withdrawn_at is not None:
        with transaction.atomic():
            measurement.withdrawn_at = measurement.withdrawn_by = None
            beside = Beside(measurement.kind, measurement.white, confirmed=measurement.confirmed)
            _check(measurement.paint, measurement, beside, typical_rows())
            Measurement.objects.filter(pk=measurement.pk).update(withdrawn_at=None, withdrawn_by=None)
            _wait(measurement.paint_id)
            _films_wait(measurement)
        work_out(measurement.paint)
    return measurement


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
    stale = _wait(paint.pk, only_if_there=True) + _followers_wait(paint.pk)
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


# Taking in


def _add(paint: Paint, by: User, beside: Beside, measurement: Measurement) -> Measurement:
    with transaction.atomic():
        kept = _keep(paint, by, beside, measurement)
    work_out(paint)
    return kept


def _keep(
    paint: Paint, by: User, beside: Beside, measurement: Measurement, rows: Sequence[BandRow] | None = None
) -> Measurement:
    """Check a measurement against what is there and store it; the same one twice is one."""
    _describe(paint, by, beside, measurement)
    # Two people who measure one paint come one after the other.
    Paint.objects.select_for_update(of=("self",)).get(pk=paint.pk)
    same = _the_same(measurement, Measurement.objects.standing())
    if same is not None:
        return same
    exchanged = _check(paint, measurement, beside, typical_rows() if rows is None else rows)
    if exchanged is not None:
        _exchange(exchanged, measurement, by)
    # Each constraint is a query; of a whole table they are left to the database, after its rows were checked.
    measurement.full_clean(exclude=["paint", "white", "by"], validate_constraints=rows is None)
    measurement.save()
    _wait(paint.pk)
    _films_wait(measurement)
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


def _the_same(measurement: Measurement, among: "QuerySet[Measurement]") -> Measurement | None:
    one = measurement
    alike = among.filter(paint=one.paint, kind=one.kind, way=one.way, text=one.text)
    alike = alike.filter(film_white=one.film_white, film_typed=one.film_typed)
    return alike.filter(white=one.white, lightness=one.lightness, a=one.a, b=one.b).first()


def _check(paint: Paint, measurement: Measurement, beside: Beside, rows: Sequence[BandRow]) -> Measurement | None:
    """Refuse or ask what cannot be; return the measurement that the person says was exchanged with this one."""
    if beside.white is not None:
        white = with_measurements(Paint.objects.filter(pk=beside.white.pk)).get()
        if why := why_no_white(white, rows):
            raise ValidationError({"white": why})
    read = with_measurements(Paint.objects.filter(pk=paint.pk)).get()
    try:
        inputs = inputs_of(read, rows, more=[measurement])
    except ValueError as error:
        raise ValidationError({"text": f"{error}."}) from error
    if inputs is None:
        return None
    if measurement.swatch is Swatch.MASSTONE and inputs.white_row is not None and not inputs.is_white:
        try:
            check_white(measurement.lab)
        except DoubtfulColours as error:
            codes = ", ".join(inputs.observed.codes)
            raise ValidationError({"text": f"The label says {codes}, a white, but {error}"}) from error
    found = [*doubts(inputs.observed, None if inputs.is_white else _masstone(inputs))]
    found += _of_the_code(measurement, inputs)
    asked = []
    for doubt in found:
        if doubt.kind is DoubtKind.SWAPPED and beside.exchange:
            return next(one for one in inputs.used if one is not measurement and _opposite(one, measurement))
        if doubt.kind is DoubtKind.SWAPPED:
            raise ValidationError({"exchange": ValidationError(doubt.message, code=EXCHANGE)})
        if doubt.may_stand and doubt.kind in beside.confirmed:
            if doubt.kind is DoubtKind.UNLIKE_ITS_CODE:  # it stands, and is told beside the colour
                measurement.remarks = [*measurement.remarks, doubt.message]
        elif doubt.may_stand and _is_about(doubt.kind, measurement):
            asked.append(ValidationError(doubt.message, code=CONFIRM))
        elif not doubt.may_stand:
            raise ValidationError({"text": doubt.message})
    if asked:
        raise ValidationError({"confirmed": asked})
    return None


def _of_the_code(measurement: Measurement, inputs: Inputs) -> list[ColourDoubt]:
    """Whether the masstone that is given is that of the paint's one pigment."""
    codes = inputs.observed.codes
    if measurement.swatch is not Swatch.MASSTONE or len(codes) != 1 or inputs.is_white:
        return []
    white, curves = generic_white(), [from_bands(row) for row in inputs.rows if row.ci == codes[0]]
    looks = [mixture_lab([curve.k, white.k], [curve.s, white.s], _SHADES) for curve in curves]
    doubt = unlike_its_code(measurement.lab, codes[0], looks)
    return [doubt] if doubt else []


def _opposite(one: Measurement, other: Measurement) -> bool:
    return {one.swatch.is_tint, other.swatch.is_tint} == {True, False} and not (
        one.swatch.is_film or other.swatch.is_film
    )


def _is_about(kind: DoubtKind, measurement: Measurement) -> bool:
    """A doubt about the darkest swatch is asked with that swatch, not with every one that follows."""
    return kind is not DoubtKind.DARKER_THAN_SURFACE or measurement.lightness < 20.0


def _masstone(inputs: Inputs) -> tuple[float, float, float]:
    seen = saunderson(reflectance_infinite(inputs.ground.k, inputs.ground.s)) @ weights_under(inputs.observed.viewing).T
    L, a, b = (float(value) for value in lab_from_relative_xyz(seen))
    return L, a, b


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
    again.full_clean(exclude=["paint", "white", "by"])
    again.save()


def _one_sample(samples: Sequence[SpectrumSample], name: str) -> SpectrumSample:
    """The sample meant; ValidationError asks which."""
    named = [one for one in samples if one.name == name] if name else list(samples)
    if len(named) == 1:
        return named[0]
    names = ", ".join(shown(one.name) for one in samples[:12])
    more = f" and {len(samples) - 12} more" if len(samples) > 12 else ""
    said = f"There is no sample {shown(name)} in the file" if name and not named else "The file has several samples"
    if len(named) > 1 and name:
        said = f"{len(named)} samples are called {shown(name)}"
    raise ValidationError({"sample": f"{said}: {names}{more}. Type the name of the one that you mean."})


def _refuse_open(doubts: Iterable[Doubt], fields: Collection[str], otherwise: str) -> None:
    """Raise what is refused or asked, each beside its field."""
    problems: dict[str, list[ValidationError]] = {}
    for doubt in doubts:
        if doubt.severity is Severity.REFUSED or doubt.severity is Severity.ASK:
            name = doubt.code if doubt.code in fields else otherwise
            problems.setdefault(name, []).append(ValidationError(doubt.message, code=doubt.severity.value))
    if problems:
        raise ValidationError(problems)


# Working out


def wait_for(gone: Iterable[Measurement]) -> None:
    """Let the curves that rested on these be worked out again; films whose scale rested on them follow."""
    for one in gone:
        _wait(one.paint_id)
        _films_wait(one)


def _wait(paint_pk: int, *, only_if_there: bool = False) -> int:
    """Mark the curve of a paint as one that has to be worked out; return 1 where there is one."""
    changed = PaintCurve.objects.filter(paint_id=paint_pk).update(state=CurveState.WORKING)
    if not changed and not only_if_there:
        PaintCurve.objects.create(paint_id=paint_pk, state=CurveState.WORKING)
    return changed


def _films_wait(measurement: Measurement) -> None:
    """Let the films of other paints follow where this one may be what the studio's scale of micrometres rests on."""
    if measurement.film_um is not None:
        for pk in rescale(measurement.paint):
            _wait(pk)


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
