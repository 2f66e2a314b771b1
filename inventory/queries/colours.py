"""What the pages of colours show: what was given of a paint, what its curve says, how sure that is, what helps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import Count, Exists, OuterRef, QuerySet
from numpy.typing import NDArray

from inventory.colour import certainty
from inventory.colour.appearance import WAVELENGTHS_NM, chroma, cielab, difference, srgb
from inventory.colour.certainty import Help, which_measurement_helps
from inventory.colour.curves import BandRow, Curve, Origin
from inventory.colour.kubelka_munk import film, reflectance_infinite, saunderson
from inventory.colour.recovery import Basis
from inventory.colour.seen import seen
from inventory.measuring.worth import NOTHING, ORDER, Worth
from inventory.models import CurveState, Measurement, Paint, PaintCurve, Swatch, Tube
from inventory.queries.measured import HUES_OF_WHITE, given, ground_of, inputs_of, sample_of, with_measurements
from inventory.queries.palette import fitting_rows, stored_curve, typical_of, typical_rows
from studio.models import Studio

Floats = NDArray[np.float64]

# The band of a drawn curve: nine draws in ten lie within it.
BAND = (5.0, 95.0)
# Parts of paint and of white among which its most vivid colour is looked for.
VIVID = ((1.0, 0.0), (4.0, 1.0), (2.0, 1.0), (1.0, 1.0), (1.0, 2.0), (1.0, 4.0), (1.0, 9.0), (1.0, 19.0))
ORIGIN_WORDS = {
    Origin.MEASURED: "Measured: spectra of its masstone and a tint.",
    Origin.RECOVERED: "Recovered from its own colours.",
    Origin.PUBLISHED: "Published curves of this paint.",
    Origin.TYPICAL: "Typical of its pigments, from memory; no colour of this paint was given.",
}


@dataclass(frozen=True)
class Given:
    """One measurement beside what the curve predicts for its swatch; `apart` is CIEDE2000."""

    measurement: Measurement
    hex: str
    predicted: str
    apart: float | None
    used: bool
    why_unused: str

    @property
    def apart_words(self) -> str:
        if self.apart is None:
            return ""
        return f"{self.apart:.1f}" if self.apart >= 0.05 else "less than 0.1"


@dataclass(frozen=True)
class Panel:
    """A drawn curve over 400 to 700 nm in a box of 300 by 120: the line, the band, and the ticks of its scale.

    `given` is the line of a measured spectrum, empty where there is none.
    """

    key: str
    title: str
    description: str
    line: str
    band: str
    ticks: tuple[tuple[float, str], ...]
    given: str = ""


@dataclass(frozen=True)
class Band:
    """One wavelength of the table behind the drawings: value, and what nine draws in ten lie between."""

    nm: int
    reflectance: float
    absorption: float
    absorption_between: tuple[float, float]
    scattering: float
    scattering_between: tuple[float, float]


@dataclass(frozen=True)
class Likely:
    """What is said of one tint: its colour and how sure it is."""

    name: str
    hex: str
    text: str


@dataclass(frozen=True)
class PaintColour:
    """All that the page of a paint's colour shows."""

    paint: Paint
    stored: PaintCurve | None
    given: tuple[Given, ...]
    withdrawn: tuple[Measurement, ...]
    known: str
    next: str
    origin: str
    curve_origin: str | None
    rests_on: str
    reason: str
    panels: tuple[Panel, ...]
    table: tuple[Band, ...]
    likely: tuple[Likely, ...]
    helps: tuple[Help, ...]

    @property
    def is_working(self) -> bool:
        return self.stored is not None and self.stored.state == CurveState.WORKING

    @property
    def has_failed(self) -> bool:
        return self.stored is not None and self.stored.state == CurveState.FAILED


def paint_colour(studio: Studio, pk: int) -> PaintColour | None:
    """The colour of one paint; None where the studio has none of this number. Nine queries, however many colours."""
    rows = typical_rows()
    paint = with_measurements(Paint.objects.of(studio).filter(pk=pk)).first()
    if paint is None:
        return None
    stored = PaintCurve.objects.filter(paint=paint).first()
    sure = certain(paint, rows, stored)
    inputs = inputs_of(paint, rows)
    samples = inputs.observed.samples if inputs else ()
    used = {one.pk for one in inputs.used} if inputs else set()
    unused = inputs.unused if inputs else {}
    white = _white_of(paint, rows)
    typical = typical_of(paint, rows)
    helps = which_measurement_helps(sure, samples, (), white) if sure else ()
    shown = tuple(_given(one, sure.curve if sure else None, rows, one.pk in used, unused) for one in given(paint))
    return PaintColour(
        paint=paint,
        stored=stored,
        given=shown,
        withdrawn=tuple(
            Measurement.objects.filter(paint=paint)
            .exclude(withdrawn_at=None)
            .select_related("by", "withdrawn_by")
            .order_by("-withdrawn_at")
        ),
        known=known_words(paint),
        next="" if helps and shown else next_for(paint),
        origin=ORIGIN_WORDS[sure.curve.origin] if sure else "",
        curve_origin=sure.curve.origin.value if sure else None,
        rests_on=sure.curve.note if sure else "",
        reason="" if sure else typical.reason,
        panels=_panels(sure, _spectrum(paint)) if sure else (),
        table=_table(sure) if sure else (),
        likely=_likely(sure, white) if sure else (),
        helps=helps,
    )


def certain(paint: Paint, rows: Sequence[BandRow], stored: PaintCurve | None = None) -> certainty.Paint | None:
    """The paint with the curves that it may have: its own, or those of its pigments; needs `with_measurements`.

    `stored` is given where its draws are at hand already.
    """
    own = stored or stored_curve(paint)
    curve = own.as_curve() if own is not None else None
    if own is not None and curve is not None:
        drawn = own.drawn()
        assert drawn is not None  # noqa: S101  # kept together with the curve
        return certainty.Paint(curve, *drawn, Basis(own.basis), own.worst_fit or 0.0)
    if typical_of(paint, rows).curve is None:
        return None
    lines = list(paint.pigment_lines.all())
    return certainty.Paint.of_label([line.code for line in lines], paint.name, fitting_rows(lines, rows))


def step_of(paint: Paint) -> Worth:
    """How much is known of a paint, as a step of the order of worth; needs `with_measurements`."""
    steps = {step.key: step for step in ORDER}
    there = {one.swatch: one for one in reversed(given(paint))}
    code = bool(paint.pigment_lines.all())
    tints = [one for swatch, one in there.items() if swatch.is_tint]
    alone = there.get(Swatch.MASSTONE)
    if alone is None and not tints:
        return steps["code"] if code else NOTHING
    if not tints:
        return steps["masstone-code" if code else "masstone"]
    if alone is not None and alone.spectrum and any(tint.spectrum for tint in tints):
        return steps["spectrum"]
    if alone is not None and code and any(one.swatch.is_film and one.thickness for one in there.values()):
        return steps["drawdown"]
    if alone is not None and code and len(tints) == 2:
        return steps["half"]
    return steps["tint-code" if code else "tint"]


@dataclass(frozen=True)
class Known:
    """A line of the list of colours: what one paint has, and the step that would do most for it."""

    paint: Paint
    step: str
    known: str
    next: str
    is_white: bool
    rough: bool
    state: str
    message: str
    uses: int
    in_stock: bool


def known_colours(studio: Studio) -> list[Known]:
    """What is known of every paint, those that would gain most first; six queries.

    What is in stock comes before the rest; there a white without a masstone is first, for every tint rests on it.
    """
    held = Tube.objects.usable().of_the_studio().filter(item=OuterRef("pk"))
    paints: QuerySet[Paint] = with_measurements(Paint.objects.of(studio).kept()).annotate(in_stock=Exists(held))
    uses = dict(
        Measurement.objects.of(studio)
        .standing()
        .exclude(white=None)
        .order_by()
        .values_list("white")
        .annotate(count=Count("pk"))
    )
    found = [_known(paint, uses.get(paint.pk, 0)) for paint in paints.order_by("sort_name", "pk")]
    order = {step.key: place for place, step in enumerate(ORDER)}

    def gain(one: Known) -> tuple[bool, bool, int]:
        white_first = (one.is_white or one.uses > 0) and one.step in ("", "code")
        return (not one.in_stock, not white_first, order.get(one.step, -1))

    return sorted(found, key=gain)


def measurements(studio: Studio, *, withdrawn: bool = False) -> QuerySet[Measurement]:
    """A studio's measurements, the newest first, with what names them; those withdrawn only if asked for."""
    rows = Measurement.objects.of(studio).select_related("paint", "white", "by", "withdrawn_by").order_by("-pk")
    return rows if withdrawn else rows.standing()


def _known(paint: Paint, uses: int) -> Known:
    stored = getattr(paint, "colour_curve", None)
    return Known(
        paint=paint,
        step=step_of(paint).key,
        known=known_words(paint),
        next=next_for(paint),
        is_white=is_labelled_white(paint),
        rough=any(one.rough for one in given(paint)),
        state=stored.state if stored else "",
        message=stored.message if stored else "",
        uses=uses,
        in_stock=bool(getattr(paint, "in_stock", False)),
    )


def known_words(paint: Paint) -> str:
    """What is known of its colour, in words, such as "Masstone, tint 1:9 and code"; needs `with_measurements`."""
    kinds = dict.fromkeys(f"{one.get_kind_display()}{' (spectrum)' if one.spectrum else ''}" for one in given(paint))
    words = [*kinds, *(["Pigment code"] if paint.pigment_lines.all() else [])]
    if not words:
        return NOTHING.name
    if len(words) == 1:
        return f"{words[0]} alone"
    said = ", ".join(words[:-1]) + f" and {words[-1]}"
    return said[0] + said[1:].lower()


def next_for(paint: Paint) -> str:
    """What to give next, empty where nothing more is needed; needs `with_measurements`.

    It goes by the step that the paint is at. Where its draws are at hand, `helps` says it surer and stands alone.
    """
    if is_labelled_white(paint):
        return "" if any(one.swatch is Swatch.MASSTONE for one in given(paint)) else "its masstone"
    return step_of(paint).then


def is_labelled_white(paint: Paint) -> bool:
    """Whether the label names white pigments alone; needs the pigment lines at hand."""
    lines = list(paint.pigment_lines.all())
    return bool(lines) and all(line.pigment and line.pigment.hue_family == HUES_OF_WHITE for line in lines)


def _given(
    one: Measurement, curve: Curve | None, rows: Sequence[BandRow], used: bool, unused: Mapping[int, str]
) -> Given:
    predicted = None if curve is None else _predicted(one, curve, rows)
    return Given(
        measurement=one,
        hex=srgb(one.lab).hex,
        predicted="" if predicted is None else srgb(predicted).hex,
        apart=None if predicted is None else float(difference(predicted, one.lab)),
        used=used,
        why_unused=unused.get(one.pk, ""),
    )


def _predicted(one: Measurement, curve: Curve, rows: Sequence[BandRow]) -> Floats | None:
    """L*, a*, b* of the swatch by the curve; None for a film of unknown thickness."""
    sample = sample_of(one)
    if one.swatch.is_film:
        if one.thickness is None:
            return None
        return cielab(saunderson(film(curve.k, curve.s, one.thickness, sample.ground)))
    white = ground_of(one.white, rows)
    k = sample.share * curve.k + (1.0 - sample.share) * white.k
    s = sample.share * curve.s + (1.0 - sample.share) * white.s
    return cielab(saunderson(reflectance_infinite(k, s)))


def _white_of(paint: Paint, rows: Sequence[BandRow]) -> Curve:
    tint = next((one for one in given(paint) if one.swatch.is_tint and one.white_id), None)
    return ground_of(tint.white if tint else None, rows)


def _likely(sure: certainty.Paint, white: Curve) -> tuple[Likely, ...]:
    if sure.basis is Basis.WHITE:
        return ()
    ground = certainty.Paint.measured(white, len(sure.k))
    said = certainty.mixtures([sure, ground], [[1.0, 9.0], [1.0, 1.0], *VIVID])
    names = (Swatch.TINT_1_9.label, Swatch.TINT_1_1.label)
    told = [
        Likely(name, "" if sure.basis is Basis.ALONE else srgb(one.lab).hex, one.text)
        for name, one in zip(names, said[:2], strict=True)
    ]
    if sure.basis is not Basis.ALONE:
        parts, best = max(zip(VIVID, said[2:], strict=True), key=lambda pair: float(chroma(pair[1].lab)))
        found = seen(best.lab)
        name = f"Most vivid with {parts[1]:g} of white to {parts[0]:g}" if parts[1] else "Most vivid alone"
        words = f"{found.words[0].upper()}{found.words[1:]}, C* {found.C:.0f}."
        told.append(Likely(name, found.hex, words if not parts[1] else f"{words} {best.text}"))
    return tuple(told)


# The drawings


def _spectrum(paint: Paint) -> Floats | None:
    """The measured reflectance of the masstone, as it was given."""
    found = (one.spectrum for one in given(paint) if one.swatch is Swatch.MASSTONE and one.spectrum)
    values = next(found, None)
    return None if values is None else np.array(values)


def _panels(sure: certainty.Paint, measured: Floats | None) -> tuple[Panel, ...]:
    R = saunderson(reflectance_infinite(sure.curve.k, sure.curve.s))
    R_draws = saunderson(reflectance_infinite(sure.k, sure.s))
    return (
        _linear("reflectance", "Reflectance of the masstone", R, R_draws, measured),
        _logarithmic("absorption", "Absorption K", sure.curve.k, sure.k),
        _logarithmic("scattering", "Scattering S", sure.curve.s, sure.s),
    )


def _linear(key: str, title: str, values: Floats, draws: Floats, measured: Floats | None) -> Panel:
    low, high = (np.percentile(draws, edge, axis=0) for edge in BAND)
    ticks = tuple((_up(value), f"{value:g}") for value in (0.0, 0.25, 0.5, 0.75, 1.0))
    line = "" if measured is None else _path(measured)
    return Panel(key, title, _described(title, values), _path(values), _area(low, high), ticks, line)


def _logarithmic(key: str, title: str, values: Floats, draws: Floats) -> Panel:
    """A scale of whole decades, at most four, that ends above the highest value of the band."""
    low, high = (np.percentile(draws, edge, axis=0) for edge in BAND)
    top = float(np.ceil(np.log10(max(high.max(), values.max(), 1e-6))))
    bottom = max(float(np.floor(np.log10(max(min(low.min(), values.min()), 1e-6)))), top - 4.0)

    def place(data: Floats) -> Floats:
        return np.asarray(np.clip((np.log10(np.maximum(data, 1e-9)) - bottom) / (top - bottom), 0.0, 1.0))

    ticks = tuple(
        (_up((decade - bottom) / (top - bottom)), f"{10.0**decade:g}") for decade in np.arange(bottom, top + 1)
    )
    return Panel(key, title, _described(title, values), _path(place(values)), _area(place(low), place(high)), ticks)


def _described(title: str, values: Floats) -> str:
    least, most = int(np.argmin(values)), int(np.argmax(values))
    nm = WAVELENGTHS_NM
    return (
        f"{title}: least {values[least]:.2g} at {nm[least]:.0f} nm, greatest {values[most]:.2g} at {nm[most]:.0f} nm. "
        "The table below has every value."
    )


def _across(nm: float) -> float:
    return nm - 400.0


def _up(share: float) -> float:
    return round(120.0 * (1.0 - share), 1)


def _path(shares: Floats) -> str:
    points = [f"{_across(nm):g} {_up(share)}" for nm, share in zip(WAVELENGTHS_NM, shares, strict=True)]
    return "M" + "L".join(points)


def _area(low: Floats, high: Floats) -> str:
    there = [f"{_across(nm):g} {_up(share)}" for nm, share in zip(WAVELENGTHS_NM, high, strict=True)]
    back = [f"{_across(nm):g} {_up(share)}" for nm, share in zip(WAVELENGTHS_NM[::-1], low[::-1], strict=True)]
    return "M" + "L".join([*there, *back]) + "Z"


def _table(sure: certainty.Paint) -> tuple[Band, ...]:
    R = saunderson(reflectance_infinite(sure.curve.k, sure.curve.s))
    k_edges, s_edges = (np.percentile(draws, BAND, axis=0) for draws in (sure.k, sure.s))
    return tuple(
        Band(
            int(nm),
            float(R[i]),
            float(sure.curve.k[i]),
            (float(k_edges[0, i]), float(k_edges[1, i])),
            float(sure.curve.s[i]),
            (float(s_edges[0, i]), float(s_edges[1, i])),
        )
        for i, nm in enumerate(WAVELENGTHS_NM)
    )
