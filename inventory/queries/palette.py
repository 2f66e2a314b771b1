"""The paints of a studio as curves: what the wheel, the mixtures and the advice are computed from."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from inventory.colour.curves import BandRow, Curve, CurveAnswer, curve_for
from inventory.colour.palette import Palette
from inventory.models import Binder, OpticalRow, Paint, PaintCurve, PaintPigment, PigmentsKnown, Tube
from inventory.models.tube import TubeQuerySet
from studio.attention import and_more
from studio.models import Studio

NAMED = 8
ASK_FOR_A_TINT = "Give the colour of a tint as well, and it can be mixed."


@dataclass(frozen=True)
class LeftOut:
    """A paint that has no curve, with the reason in words."""

    paint: Paint
    reason: str


@dataclass(frozen=True)
class WorkingPalette:
    """The paints of one binder that have a curve, and those that have none. Binders are never mixed."""

    binder: str
    palette: Palette
    paints: Mapping[int, Paint]
    curves: Mapping[int, Curve]
    left_out: tuple[LeftOut, ...]


def band_row(row: OpticalRow) -> BandRow:
    """The row as the colour engine takes it; needs `pigment` at hand."""
    values = {name: str(getattr(row, name)) for name in ("K0", "floor", "edges", "bands", "Km", "S0", "Sn")}
    return BandRow.parse(
        {"ci": row.pigment.ci_name, "name": row.name, "family": row.family, "source": row.source, **values}
    )


def typical_rows() -> list[BandRow]:
    """Every typical curve known, in the order of the reference table; one query."""
    return [band_row(row) for row in OpticalRow.objects.select_related("pigment")]


def white_curve(rows: Iterable[BandRow]) -> Curve | None:
    """The white that tints are shown in; None while the reference table is not loaded."""
    return curve_for(["PW6"], "titanium white", rows).curve


def with_pigments(paints: QuerySet[Paint]) -> QuerySet[Paint]:
    """The paints with their pigment lines, pigments and shades at hand, in one query more."""
    lines = PaintPigment.objects.select_related("pigment", "shade__pigment")
    return paints.prefetch_related(Prefetch("pigment_lines", queryset=lines))


def with_curves(paints: QuerySet[Paint]) -> QuerySet[Paint]:
    """The paints with their pigments and their own curves at hand, in no query more; the draws stay where they are."""
    return with_pigments(paints.select_related("colour_curve").defer("colour_curve__draws"))


def stored_curve(paint: Paint) -> PaintCurve | None:
    """What was worked out from the paint's own measurements; None while nothing was."""
    try:
        stored = paint.colour_curve
    except PaintCurve.DoesNotExist:
        return None
    return None if stored.curve is None else stored


def curve_of(paint: Paint, rows: Iterable[BandRow]) -> CurveAnswer:
    """The curve that a paint is mixed with: its own, or that of its pigments and their shades; needs `with_curves`."""
    stored = stored_curve(paint)
    if stored is not None and stored.tints_allowed:
        return curve_for([], paint.name, (), measured=stored.as_curve())
    typical = typical_of(paint, rows)
    if stored is not None and typical.curve is None:
        return CurveAnswer(None, f"Its colour is known only alone. {ASK_FOR_A_TINT}", typical.choices)
    return typical


def typical_of(paint: Paint, rows: Iterable[BandRow]) -> CurveAnswer:
    """The curve of a paint from its pigments and their shades alone; needs `with_pigments`."""
    if paint.pigments_known == PigmentsKnown.ASKED:
        return CurveAnswer(None, "A question about its pigments is open.")
    lines = list(paint.pigment_lines.all())
    return curve_for([line.code for line in lines], paint.name, fitting_rows(lines, rows))


def fitting_rows(lines: Iterable[PaintPigment], rows: Iterable[BandRow]) -> list[BandRow]:
    """The typical curves without those that the shades of these pigment lines rule out."""
    shades = {line.code: line.shade.name for line in lines if line.shade}
    return [row for row in rows if row.name == shades.get(row.ci, row.name)]


def paints_in_stock(studio: Studio) -> QuerySet[Paint]:
    """The studio's paints of which something usable is left; what members and classes brought counts where shared."""
    held = Tube.objects.usable().of_the_studio().filter(item=OuterRef("pk"))
    return Paint.objects.of(studio).kept().filter(Exists(held)).order_by("sort_name", "pk")


def unusable_paints(studio: Studio, tubes: TubeQuerySet | None = None) -> QuerySet[Paint]:
    """The paints of which something is left and nothing of it can be used: dried up, separated, mouldy.

    `tubes` are those that would count; where none are given, the studio's own and those shared with it.
    """
    held = (Tube.objects.of_the_studio() if tubes is None else tubes).filter(item=OuterRef("pk"))
    gone = Paint.objects.of(studio).kept().filter(Exists(held.in_use()), ~Exists(held.usable()))
    return gone.order_by("sort_name", "pk")


def left_unusable(studio: Studio, tubes: TubeQuerySet | None = None) -> str:
    """The same in a sentence, empty where there are none; one query."""
    names = list(unusable_paints(studio, tubes).values_list("name", flat=True))
    if not names:
        return ""
    them = "it" if len(names) == 1 else "them"
    return f"Left out, since nothing that is left of {them} can be used: {and_more(names[:NAMED], len(names))}."


def working_palettes(studio: Studio) -> list[WorkingPalette]:
    """A palette for each binder in stock, the one with most paints first; three queries."""
    return palettes_of(paints_in_stock(studio), typical_rows())


def palettes_of(paints: QuerySet[Paint], rows: list[BandRow]) -> list[WorkingPalette]:
    """A palette for each binder of these paints, the one with most of known colour first; two queries."""
    by_binder: dict[str, list[Paint]] = defaultdict(list)
    for paint in with_curves(paints):
        by_binder[paint.binder].append(paint)
    made = [_palette(binder, of_binder, rows) for binder, of_binder in by_binder.items()]
    return sorted(made, key=lambda one: (-len(one.palette), Binder.values.index(one.binder)))


def _palette(binder: str, paints: list[Paint], rows: list[BandRow]) -> WorkingPalette:
    known, left_out = [], []
    for paint in paints:
        answer = curve_of(paint, rows)
        if binder == Binder.UNKNOWN:
            left_out.append(LeftOut(paint, "Its binder is not known, so nothing is said about what it mixes with."))
        elif answer.curve is None:
            left_out.append(LeftOut(paint, answer.reason))
        else:
            known.append((paint, answer.curve))
    palette = Palette.of([(paint.pk, paint.name, curve) for paint, curve in known], binder)
    paints_by_key, curves = {paint.pk: paint for paint, _ in known}, {paint.pk: curve for paint, curve in known}
    return WorkingPalette(binder, palette, paints_by_key, curves, tuple(left_out))
