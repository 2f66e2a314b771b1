"""What was measured of paints, the best of it first, as the recovery of their curves takes it."""

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

import numpy as np
from django.db.models import Prefetch, QuerySet

from inventory.colour.candidates import WHITE_FAMILY
from inventory.colour.curves import BandRow, Curve, Origin, from_bands
from inventory.colour.drawdown import CARD_WHITE
from inventory.colour.mixing import masstone_lab
from inventory.colour.recovery import Recovered, fingerprint, generic_white, recover, recover_white
from inventory.colour.samples import (
    MOST_PIGMENTS,
    DoubtfulColours,
    DoubtKind,
    Observed,
    Sample,
    check_white,
)
from inventory.colour.viewing import Viewing
from inventory.measuring.spectra import with_surface
from inventory.models import Measurement, Paint, PaintPigment, Swatch
from inventory.queries.palette import fitting_rows, stored_curve, typical_of, with_curves
from studio.models import Studio

HUES_OF_WHITE = "white"
NO_THICKNESS = "Its film thickness is not known, so nothing can be worked out from it."
NO_SCALE = (
    "How many times its film is as thick as another is known, and what that is in scattering is not: draw titanium "
    "white of this binder down over black with the same bar, and give its µm."
)


def with_measurements(paints: QuerySet[Paint]) -> QuerySet[Paint]:
    """The paints with pigments, own curves and what stands of their measurements as `given`; four queries more."""
    lines = PaintPigment.objects.select_related("pigment", "shade__pigment")
    standing = (
        Measurement.objects.standing()
        .select_related("by", "white__colour_curve")
        .defer("white__colour_curve__draws")
        .prefetch_related(Prefetch("white__pigment_lines", queryset=lines))
    )
    return with_curves(paints).prefetch_related(Prefetch("measurements", queryset=standing, to_attr="given"))


def given(paint: Paint) -> list[Measurement]:
    """What stands, the best first; needs `with_measurements`."""
    return sorted(getattr(paint, "given", ()), key=worth)


def worth(measurement: Measurement) -> tuple[int, bool, bool, float, int]:
    """The order of worth: by swatch, then a spectrum before a colour, fine before rough, newest first."""
    kinds = list(Swatch)
    one = measurement
    return (kinds.index(one.swatch), one.spectrum is None, one.rough, one.sd, -(one.pk or 0))


@dataclass(frozen=True)
class Inputs:
    """All that a paint's curve rests on. `unused` says of a measurement why it is not among the samples."""

    paint: Paint
    observed: Observed
    rows: Sequence[BandRow]
    ground: Curve
    white_row: BandRow | None
    is_white: bool
    used: tuple[Measurement, ...]
    unused: Mapping[int, str]
    confirmed: frozenset[DoubtKind]
    notes: tuple[str, ...]

    @cached_property
    def fingerprint(self) -> str:
        """A digest of everything here: the same inputs give the same curve."""
        stated = [
            fingerprint(self.observed, self.rows, self.ground, seed=self.seed),
            self.is_white,
            self.white_row.name if self.white_row else "",
            sorted(self.confirmed),
            list(self.notes),
            self.origin.value,
        ]
        return sha256(json.dumps(stated).encode()).hexdigest()

    @property
    def seed(self) -> int:
        return self.paint.pk

    @property
    def origin(self) -> Origin:
        """Measured, where masstone and a tint are spectra: then each wavelength is held by its own two readings."""
        alone = self.observed.masstone
        spectral = alone is not None and alone.reflectance is not None
        tinted = any(tint.reflectance is not None for tint in self.observed.tints)
        return Origin.MEASURED if spectral and tinted else Origin.RECOVERED

    def recover(self) -> Recovered:
        """Work the curves out; DoubtfulColours or ValueError says what stands in the way."""
        if self.is_white:
            sample = self.observed.samples[0]
            colour = sample.reflectance or sample.lab
            assert colour is not None  # noqa: S101  # a sample has one of the two
            viewing = self.observed.viewing
            return recover_white(colour, self.white_row, viewing=viewing, sd=sample.sd, seed=self.seed)
        return recover(self.observed, self.rows, self.ground, seed=self.seed, confirmed=self.confirmed)


def inputs_of(paint: Paint, rows: Sequence[BandRow], *, more: Iterable[Measurement] = ()) -> Inputs | None:
    """What the paint's curve rests on, None where nothing usable was given; needs `with_measurements`.

    `more` are measurements that are not kept yet; they stand before others of the same swatch.
    """
    standing = [*more, *given(paint)]
    used, unused = _chosen(standing)
    if not used:
        return None
    lines = list(paint.pigment_lines.all())
    fitting = fitting_rows(lines, rows)
    codes, notes = _codes(lines, fitting)
    tint = next((one for one in used if one.swatch.is_tint), None)
    ground = ground_of(tint.white, rows) if tint is not None else generic_white()
    row = _white_row(codes, fitting, paint.name)
    alone = next((one for one in used if one.swatch is Swatch.MASSTONE), None)
    is_white = alone is not None and is_a_white(alone.lab) and (row is not None or not codes)
    if is_white and alone is not None:
        unused = {**unused, **{one.pk: "A white is worked out from its masstone." for one in used if one is not alone}}
        used = (alone,)
    elif tint is not None:
        other = [one for one in used if one.swatch.is_tint and one.white_id != tint.white_id]
        unused = {**unused, **{one.pk: "It was mixed with another white than the better tint." for one in other}}
        used = tuple(one for one in used if one not in other)
    viewing = _one_viewing(used)
    return Inputs(
        paint=paint,
        observed=Observed(tuple(sample_of(one, viewing) for one in used), codes, paint.name, viewing),
        rows=fitting,
        ground=ground,
        white_row=row,
        is_white=is_white,
        used=used,
        unused=unused,
        confirmed=frozenset(DoubtKind(kind) for one in used for kind in one.confirmed),
        notes=notes,
    )


def _one_viewing(used: Sequence[Measurement]) -> Viewing:
    """The light and observer that all colours were stated for; those of the engine where they differ."""
    stated = {one.viewing if one.stated else "" for one in used if one.spectrum is None}
    return Viewing(stated.pop()) if len(stated) == 1 and "" not in stated else Viewing.D65_10


def sample_of(measurement: Measurement, viewing: Viewing = Viewing.D65_10) -> Sample:
    """The measurement as the colour engine takes it, under this light and observer.

    Where the mirror reflection was left out, that of a smooth surface is put back, for the theory counts it in.
    """
    one = measurement
    paint, white = one.swatch.parts
    ground = CARD_WHITE if one.swatch is Swatch.OVER_WHITE else 0.0
    if one.stated is not None and one.spectrum is None and viewing is not Viewing.D65_10:
        L, a, b = one.stated
        return Sample((L, a, b), None, paint, white, one.thickness, ground, one.stated_sd)
    if one.spectrum is None:
        return Sample(one.lab, None, paint, white, one.thickness, ground, one.sd)
    reflectance = with_surface(np.array(one.spectrum), one.specular)
    return Sample(None, tuple(reflectance.tolist()), paint, white, one.thickness, ground)


def ground_of(white: Paint | None, rows: Sequence[BandRow]) -> Curve:
    """The curve of the white in a tint: its own, that of its pigments, or a typical titanium white."""
    if white is None:
        return generic_white()
    stored = stored_curve(white)
    own = stored.as_curve() if stored is not None else None
    return own or typical_of(white, rows).curve or generic_white()


def is_a_white(lab: tuple[float, float, float]) -> bool:
    try:
        check_white(lab)
    except DoubtfulColours:
        return False
    return True


def why_no_white(white: Paint, rows: Sequence[BandRow]) -> str:
    """Why tints cannot have been mixed with this paint; empty where they can. Needs `with_measurements`."""
    alone = next((one.lab for one in given(white) if one.swatch is Swatch.MASSTONE), None)
    if alone is None:
        typical = typical_of(white, rows).curve
        if typical is None:
            return f"The colour of {white.name} is not known: give its masstone first, or choose another white."
        L, a, b = (float(value) for value in masstone_lab(typical.k, typical.s))
        alone = (L, a, b)
    try:
        check_white(alone)
    except DoubtfulColours as error:
        return f"{white.name}: {error}"
    return ""


def whites(studio: Studio) -> QuerySet[Paint]:
    """The paints that tints may have been mixed with: those of white pigments alone."""
    coloured = PaintPigment.objects.exclude(pigment__hue_family=HUES_OF_WHITE).values("paint_id")
    return (
        Paint.objects.of(studio)
        .kept()
        .filter(pigment_lines__isnull=False)
        .exclude(pk__in=coloured)
        .distinct()
        .order_by("sort_name", "pk")
    )


def usual_white(paint: Paint, choices: Collection[Paint]) -> Paint | None:
    """The white that tints of this paint are most likely mixed with: of its binder and with a masstone of its own.

    `choices` need `with_measurements`; titanium comes first, then the one measured last.
    """
    fitting = [
        one
        for one in choices
        if one.pk != paint.pk
        and one.binder == paint.binder
        and any(alone.swatch is Swatch.MASSTONE and is_a_white(alone.lab) for alone in given(one))
    ]

    def rank(one: Paint) -> tuple[bool, int]:
        titanium = any(line.code == "PW6" for line in one.pigment_lines.all())
        return (titanium, max(alone.pk for alone in given(one)))

    return max(fitting, key=rank, default=None)


def _chosen(standing: Sequence[Measurement]) -> tuple[tuple[Measurement, ...], dict[int, str]]:
    """The best of each swatch, and of the others why they are left out."""
    used: dict[Swatch, Measurement] = {}
    unused: dict[int, str] = {}
    for one in standing:
        if one.swatch.is_film and one.thickness is None:
            unused[one.pk] = NO_SCALE if one.film_um else NO_THICKNESS
        elif one.swatch in used:
            unused[one.pk] = "A better or newer one of the same swatch is used."
        else:
            used[one.swatch] = one
    return tuple(used.values()), unused


def _codes(lines: Sequence[PaintPigment], rows: Sequence[BandRow]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The codes that help, and what is said of the others."""
    stems = {row.ci.split(":")[0] for row in rows}
    fillers = [
        line.code
        for line in lines
        if line.pigment and line.pigment.hue_family == HUES_OF_WHITE and line.code.split(":")[0] not in stems
    ]
    codes = [line.code for line in lines if line.code not in fillers] or [line.code for line in lines]
    notes = []
    if fillers and len(codes) < len(lines):
        notes.append(f"{', '.join(fillers)} gives body and next to no colour, and is left out.")
    if len(codes) > MOST_PIGMENTS:
        notes.append(
            f"Of its {len(codes)} pigments the first {MOST_PIGMENTS} of the label are taken: "
            "more cannot be told apart by a few colours."
        )
    return tuple(dict.fromkeys(codes))[:MOST_PIGMENTS], tuple(notes)


def _white_row(codes: Sequence[str], rows: Sequence[BandRow], name: str) -> BandRow | None:
    """The typical white that a paint of these codes is; None where a code is not that of a white."""
    found = []
    for code in codes:
        options = [row for row in rows if row.ci == code and row.family == WHITE_FAMILY]
        fitting = [row for row in options if is_a_white(_typical_masstone(row))]
        if not fitting:
            return None
        found.append(fitting[0])
    # The white that scatters most decides how a blend of whites tints.
    return max(found, key=lambda row: row.S0, default=None)


def _typical_masstone(row: BandRow) -> tuple[float, float, float]:
    curve = from_bands(row)
    L, a, b = (float(value) for value in masstone_lab(curve.k, curve.s))
    return L, a, b
