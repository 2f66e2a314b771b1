"""The studio's paints with every curve that each may have, as mixtures, layers and strengths are worked from them."""

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from inventory.colour import certainty
from inventory.colour.certainty import Statement, Word
from inventory.colour.curves import BandRow, Curve
from inventory.colour.mixing import masstone_lab
from inventory.colour.palette import Palette
from inventory.colour.recovery import Basis, generic_white
from inventory.colour.seen import Seen, seen
from inventory.models import Binder, Paint, PaintCurve
from inventory.queries.measured import is_a_white
from inventory.queries.palette import curve_of, left_unusable, paints_in_stock, stored_curve, typical_rows, with_curves
from studio.models import Studio

BASIS_WORDS = {
    Basis.MEASURED: "measured",
    Basis.TINTED: "worked out from its own masstone and tints",
    Basis.ALONE_WITH_CODE: "worked out from its masstone and its code",
    Basis.TYPICAL: "typical of its code, from memory",
    Basis.ALONE: "known only alone",
    Basis.FILMS: "known from films alone",
    Basis.WHITE: "worked out from its own colour",
}
WASH = (
    "Direction only: a watercolour without white lets the paper show, and colours here are worked for coats that hide. "
    "No figure can be given; paint the wash and look."
)
ASSUMED_WHITE = "No white of this binder is in stock, so a typical titanium white is assumed."


@dataclass(frozen=True, eq=False)
class Mixable:
    """A paint with the curves it may have; `sure` is None where nothing may be said of its mixtures, and why."""

    paint: Paint
    sure: certainty.Paint | None
    reason: str
    alone: Curve | None
    """Its curve where only its masstone may be told."""
    in_stock: bool = True

    @property
    def pk(self) -> int:
        return self.paint.pk

    @property
    def curve(self) -> Curve | None:
        return self.sure.curve if self.sure is not None else self.alone

    @cached_property
    def seen(self) -> Seen | None:
        """Its masstone; None where its colour is not known."""
        return None if self.curve is None else seen(masstone_lab(self.curve.k, self.curve.s))

    @property
    def basis_words(self) -> str:
        return BASIS_WORDS[self.sure.basis] if self.sure is not None else ""


@dataclass(frozen=True, eq=False)
class Bench:
    """The paints at hand, by name. Binders are never mixed."""

    paints: tuple[Mixable, ...]
    left_out: str = ""
    """Which paints are left out because what is left of them cannot be used."""

    @cached_property
    def by_pk(self) -> dict[int, Mixable]:
        return {one.pk: one for one in self.paints}

    @cached_property
    def binders(self) -> tuple[str, ...]:
        """The binders in stock, the one with most paints of known colour first; that which nobody knows is none."""
        count: dict[str, int] = defaultdict(int)
        for one in self.paints:
            if one.paint.binder != Binder.UNKNOWN:
                count[one.paint.binder] += one.sure is not None
        return tuple(sorted(count, key=lambda binder: (-count[binder], Binder.values.index(binder))))

    def of(self, binder: str) -> tuple[Mixable, ...]:
        return tuple(one for one in self.paints if one.paint.binder == binder)

    def known(self, binder: str, *, in_stock: bool = True) -> tuple[Mixable, ...]:
        """The paints of one binder of whose mixtures something may be said."""
        return tuple(one for one in self.of(binder) if one.sure is not None and (one.in_stock or not in_stock))

    def palette(self, binder: str) -> tuple[Palette, tuple[certainty.Paint, ...]]:
        """What is in stock of one binder, as the colour engine takes it."""
        known = self.known(binder)
        sure = tuple(one.sure for one in known if one.sure is not None)
        rows: list[tuple[Hashable, str, Curve]] = [
            (one.pk, one.paint.name, one.sure.curve) for one in known if one.sure is not None
        ]
        return Palette.of(rows, binder), sure

    def white(self, binder: str) -> Mixable | None:
        """The strongest white in stock of one binder."""
        palette, _ = self.palette(binder)
        place = palette.white_index if len(palette) else None
        return None if place is None else self.known(binder)[place]

    def white_or_typical(self, binder: str) -> tuple[Mixable | None, certainty.Paint]:
        """That white, or None and a typical titanium white in its place."""
        white = self.white(binder)
        if white is not None and white.sure is not None:
            return white, white.sure
        return None, certainty.Paint.measured(generic_white())


def unless_wash(said: Statement, binder: str, paints: Iterable[certainty.Paint | None]) -> Statement:
    """What is said of a mixture, without a figure where it is of watercolours with no white among them.

    The method is held against watercolours with a white in them alone; without one it was 8 to 10 off on average.
    """
    if binder != Binder.WATERCOLOUR or said.within is None:
        return said
    if any(one is not None and _is_white(one.curve) for one in paints):
        return said
    return replace(said, within=None, word=Word.DIRECTION_ONLY, text=WASH)


def bench(studio: Studio, more: Collection[int] = ()) -> Bench:
    """What is in stock, and of the studio's other paints those of these numbers; six queries at most."""
    rows = typical_rows()
    found = list(with_curves(paints_in_stock(studio)))
    held = {paint.pk for paint in found}
    if others := set(more) - held:
        found += with_curves(Paint.objects.of(studio).kept().filter(pk__in=others).order_by("sort_name", "pk"))
    return Bench(tuple(mixable(found, rows, held)), left_unusable(studio))


def mixable(
    paints: Collection[Paint], rows: list[BandRow], in_stock: Collection[int] | None = None
) -> Iterator[Mixable]:
    """The paints with the curves that each may have; needs `with_curves`, one query. All are in stock unless told."""
    draws = _draws(paints)
    for paint in paints:
        yield _mixable(paint, rows, draws, in_stock is None or paint.pk in in_stock)


def _is_white(curve: Curve) -> bool:
    L, a, b = (float(value) for value in masstone_lab(curve.k, curve.s))
    return is_a_white((L, a, b))


def _draws(paints: Iterable[Paint]) -> dict[int, PaintCurve]:
    """What was worked out from the paints' own colours, with its draws; no query where nothing was."""
    own = [paint.pk for paint in paints if (stored := stored_curve(paint)) is not None and stored.tints_allowed]
    return {curve.paint_id: curve for curve in PaintCurve.objects.filter(paint__in=own)} if own else {}


def _mixable(paint: Paint, rows: list[BandRow], draws: dict[int, PaintCurve], in_stock: bool) -> Mixable:
    own = draws.get(paint.pk)
    curve, drawn = (own.as_curve(), own.drawn()) if own is not None else (None, None)
    if own is not None and curve is not None and drawn is not None:
        sure = certainty.Paint(curve, *drawn, Basis(own.basis), own.worst_fit or 0.0)
        return Mixable(paint, sure, "", None, in_stock)
    answer = curve_of(paint, rows)
    if answer.curve is not None:
        chosen = [choice.row for choice in answer.choices if choice.row is not None]
        return Mixable(paint, certainty.Paint.typical(chosen), "", None, in_stock)
    stored = stored_curve(paint)
    return Mixable(paint, None, answer.reason, stored.as_curve() if stored else None, in_stock)
