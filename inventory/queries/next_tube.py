"""Which tube to add next: the reference pigments that are not in stock, by what each would open on the wheel."""

from collections import defaultdict
from collections.abc import Container, Hashable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour import certainty
from inventory.colour.advice import Advice, ranked_again
from inventory.colour.appearance import srgb
from inventory.colour.coverage import gaps, percent
from inventory.colour.curves import Curve, from_bands
from inventory.colour.expected import Gain
from inventory.colour.palette import Palette
from inventory.colour.wheel import VALUE_LEVELS, colour_limit
from inventory.models import OpticalRow, Paint, PaintPigment, Pigment
from inventory.queries.fading import HeldByFading, fading_of, held_by_fading, without_fading
from inventory.queries.offered import Price
from inventory.queries.paint_sets import Asked, PaintSet, drawn, paint_set
from inventory.queries.palette import WorkingPalette, band_row, paints_in_stock, typical_of
from inventory.queries.pigment_words import NOT_KNOWN, hazard_short, hazard_words, lightfastness_words
from inventory.queries.remembered import advice_of, gains_of, reach_of
from inventory.queries.wanted import LASTING, Sifted, Wanted, sifted
from inventory.queries.wheel import (
    BinderChoice,
    LeftOutGroup,
    binder_label,
    binders_of,
    gaps_in_words,
    grouped,
    how_sure,
    listed,
    regions_in_words,
)
from inventory.restrictions import Restriction
from studio.models import Studio

BEST = 3
# Candidates whose gain is worked over everything that the curves may be.
OVER_DRAWS = 6
# Less than this (percentage points) is folded away.
LITTLE = 0.5


@dataclass(frozen=True, eq=False)
class Candidate:
    """One pigment that might be bought, in one of its colours. Marks are as commonly held, or "not known here"."""

    pigment: Pigment
    row: OpticalRow
    binder: str
    advice: Advice
    expected: Gain | None
    """Its gain over everything that the curves may be; None beyond the leading candidates."""
    hex: str
    opens: str
    stays: str
    """What stays short with it, as a sentence."""
    after_first: float | None
    """Points that it would add, at the least, if the first candidate were bought; None for the first."""
    lightfastness: str
    opacity: str
    strength: str
    hazard: str
    on_the_shelf: tuple[str, ...]
    """Tubes of this pigment that do not count on this wheel, each with the reason."""
    level: int
    """The value level at which it adds most: the one to draw."""
    price: Price | None
    """The cheapest offer that stands; None where there is none here."""
    warnings: tuple[Restriction, ...]
    """House rules under which it may be used with a warning."""
    told_beside: tuple[Restriction, ...]
    """Those of them that do not warn of every pigment that fits."""

    @property
    def hazard_short(self) -> str:
        return hazard_short(self.pigment)

    @property
    def lightfastness_mark(self) -> str:
        return self.pigment.lightfastness_in(self.binder)

    @property
    def rank(self) -> int:
        return self.expected.rank if self.expected else max(self.advice.rank, OVER_DRAWS + 1)

    @property
    def tied(self) -> bool:
        return self.expected.tied if self.expected else self.advice.tied

    @property
    def rank_words(self) -> str:
        return f"{self.rank}, a tie" if self.tied else str(self.rank)

    @property
    def points(self) -> float:
        """The mean gain, or that of the typical curves where no other was worked."""
        return self.expected.mean if self.expected else self.advice.gain

    @property
    def points_words(self) -> str:
        """Such as "8 points more (5 to 12 in 90 of 100 cases)"."""
        if self.expected is None:
            return f"{self.advice.gain:.1f} points more"
        gain = self.expected
        mean = f"{gain.mean:.0f}"
        points = "point" if mean == "1" else "points"
        return f"about {mean} {points} more, likely {gain.low:.0f} to {gain.high:.0f}"


@dataclass(frozen=True, eq=False)
class Barred:
    """A pigment that a house rule keeps out, and the place that it would have taken."""

    row: OpticalRow
    place: int
    gain: float
    rules: tuple[Restriction, ...]

    @property
    def words(self) -> str:
        would = "would be first" if self.place == 1 else f"would stand at place {self.place}"
        return f"{self.row.pigment} {self.row} {would} with {self.gain:.1f} points more and is not proposed."


@dataclass(frozen=True, eq=False)
class NextTubes:
    """The candidates of one binder, best first; none where no paint in it has a known colour."""

    chosen: PaintSet
    binder: str
    binder_label: str
    binders: tuple[BinderChoice, ...]
    palette: Palette
    curves: Mapping[int, Curve]
    percent: float
    candidates: tuple[Candidate, ...]
    rows_known: bool
    """False while the reference tables are not loaded."""
    wanted: Wanted
    refused: Mapping[str, int]
    """How many pigments were left out for which reason."""
    left_out: tuple[LeftOutGroup, ...]
    barred: tuple[Barred, ...]
    """What house rules keep out, the best first."""
    fading: HeldByFading | None
    """What fading tubes alone hold up; None where that is next to nothing, and where they do not count."""
    not_counted: tuple[Paint, ...]
    """The fading paints that do not count, where that was asked."""
    warned_of_all: tuple[Restriction, ...]
    """House rules that warn of every pigment that fits: said once, not beside each."""

    @property
    def words(self) -> str:
        return f"{self.chosen.words}, {self.binder_label.lower()}"

    @property
    def how_sure(self) -> str:
        return how_sure(self.curves.values())

    @property
    def left_out_count(self) -> int:
        return sum(len(group.paints) for group in self.left_out)

    @property
    def best(self) -> tuple[Candidate, ...]:
        return tuple(one for one in self.candidates[:BEST] if one.advice.gain > 0.0)

    @property
    def others(self) -> tuple[Candidate, ...]:
        return self.candidates[len(self.best) :]

    @property
    def worth_a_look(self) -> tuple[Candidate, ...]:
        return tuple(one for one in self.others if one.advice.gain >= LITTLE)

    @property
    def adding_little(self) -> tuple[Candidate, ...]:
        return tuple(one for one in self.others if one.advice.gain < LITTLE)

    @property
    def not_whole(self) -> int:
        """Candidates whose mixtures with two other colours were not worked."""
        return sum(not one.advice.whole for one in self.candidates)

    @property
    def for_whom(self) -> str:
        return f"for {self.wanted.group}" if self.wanted.group else "for everybody"

    @property
    def barred_others(self) -> str:
        """The pigments that house rules keep out beside the best of them."""
        return listed([f"{one.row.pigment} {one.row}" for one in self.barred[1:]])

    @property
    def refused_words(self) -> str:
        """Such as "12 with lead, 3 lightfastness not known"."""
        return ", ".join(f"{count} {reason}" for reason, count in self.refused.items())


def next_tubes(studio: Studio, asked: Asked | None = None, wanted: Wanted | None = None) -> NextTubes | None:
    """Rank what is not in the set by what it adds; None when the set is empty or not there. Twelve queries at most,
    and those of the house rules.

    A ValueError names a binder that is not in the set.
    """
    chosen = paint_set(studio, asked or Asked())
    return None if chosen is None else next_tubes_of(studio, chosen, wanted or Wanted())


def next_tubes_of(studio: Studio, chosen: PaintSet, wanted: Wanted) -> NextTubes | None:
    if chosen.is_empty:
        return None
    one = chosen.palette
    not_counted = fading_of(one) if wanted.lasting_stock else ()
    if not_counted:
        one = without_fading(one)
    rows = list(OpticalRow.objects.select_related("pigment"))
    found = sifted(studio, one.binder, wanted, rows)
    candidates: tuple[Candidate, ...] = ()
    barred: tuple[Barred, ...] = ()
    fading = None
    before = 0.0
    if len(one.palette):
        held = _held(one, rows)
        by_id: dict[Hashable, OpticalRow] = {("row", row.pk): row for row in rows}
        offered = _offered(one, [*found.rows, *found.barred], held)
        ranked = advice_of(one.palette, offered)
        before = ranked[0].before if ranked else percent(reach_of(one.palette).chroma)
        kept_out = {("row", row.pk) for row in found.barred}
        barred = tuple(
            Barred(by_id[advice.id], place, advice.gain, found.forbids(by_id[advice.id].pigment_id))
            for place, advice in enumerate(ranked, start=1)
            if advice.id in kept_out
        )
        allowed = ranked_again([advice for advice in ranked if advice.id not in kept_out])
        candidates = _candidates(studio, one, by_id, found, offered, allowed)
        if not wanted.lasting_stock:
            lasting = [row for row in found.rows if row.pigment.lightfastness_in(one.binder) in LASTING]
            fading = held_by_fading(one, _offered(one, lasting, held), by_id)
    return NextTubes(
        chosen=chosen,
        binder=one.binder,
        binder_label=binder_label(one.binder),
        binders=binders_of(chosen.palettes),
        palette=one.palette,
        curves=one.curves,
        percent=before,
        candidates=candidates,
        rows_known=bool(rows),
        wanted=wanted,
        refused=found.refused,
        left_out=grouped(one.left_out),
        barred=barred,
        fading=fading,
        not_counted=not_counted,
        warned_of_all=found.warns_of_all,
    )


def _candidates(
    studio: Studio,
    one: WorkingPalette,
    by_id: Mapping[Hashable, OpticalRow],
    found: Sifted,
    offered: Palette,
    ranked: tuple[Advice, ...],
) -> tuple[Candidate, ...]:
    """The candidates in order: the best by their mean over what the curves may be, then the others as ranked."""
    shelf = _elsewhere(studio, one)
    leading = [advice for advice in ranked if advice.gain > 0.0][:OVER_DRAWS]
    sure = [certainty.Paint.typical([band_row(by_id[paint])]) for paint in offered.ids]
    gains = {gain.id: gain for gain in gains_of(one.palette, drawn(one), offered, sure, leading)} if leading else {}
    order = {paint: place for place, paint in enumerate(gains)}
    ordered = sorted(ranked, key=lambda advice: order.get(advice.id, len(order)))
    first = ordered[0] if ordered else None
    return tuple(
        _candidate(advice, gains.get(advice.id), by_id[advice.id], first, shelf, found, one.binder)
        for advice in ordered
    )


def _held(one: WorkingPalette, rows: Iterable[OpticalRow]) -> set[bytes]:
    """The typical curves of the paints, as keys: a paint with a curve of its own holds its pigment's all the same."""
    bands = [band_row(row) for row in rows]
    usual = (typical_of(paint, bands).curve for paint in one.paints.values())
    return {_key(curve) for curve in usual if curve is not None}


def _key(curve: Curve) -> bytes:
    return curve.k.tobytes() + curve.s.tobytes()


def _offered(one: WorkingPalette, rows: Iterable[OpticalRow], held: Container[bytes]) -> Palette:
    """Every typical curve that is not held already."""
    made = [(("row", row.pk), f"{row.pigment.ci_name} {row.name}", from_bands(band_row(row))) for row in rows]
    return Palette.of([each for each in made if _key(each[2]) not in held], one.palette.binder)


def _elsewhere(studio: Studio, one: WorkingPalette) -> dict[str, tuple[str, ...]]:
    """By pigment code, the paints in stock that hold it alone but do not count on this wheel; one query."""
    reasons = {left.paint.pk: left.reason for left in one.left_out}
    codes: dict[int, list[str]] = defaultdict(list)
    paints = {}
    lines = PaintPigment.objects.filter(paint__in=paints_in_stock(studio)).select_related("paint").order_by("pk")
    for line in lines:
        codes[line.paint_id].append(line.code)
        paints[line.paint_id] = line.paint
    found: dict[str, list[str]] = defaultdict(list)
    for pk, its_codes in codes.items():
        paint = paints[pk]
        if len(its_codes) != 1 or pk in one.paints:
            continue
        reason = reasons.get(pk) or f"It is {paint.get_binder_display().lower()}, which is not mixed with this."
        found[its_codes[0]].append(f"{paint.name}: {reason}")
    return {code: tuple(words) for code, words in found.items()}


def _candidate(
    advice: Advice,
    gain: Gain | None,
    row: OpticalRow,
    first: Advice | None,
    shelf: Mapping[str, tuple[str, ...]],
    found: Sifted,
    binder: str,
) -> Candidate:
    limit = colour_limit()
    pigment = row.pigment
    after_first = None
    if first is not None and first is not advice:
        after_first = max(0.0, percent(np.maximum(first.chroma, advice.chroma), limit) - first.after)
    return Candidate(
        pigment=pigment,
        row=row,
        binder=binder,
        advice=advice,
        expected=gain,
        hex=srgb(_masstone(row)).hex,
        opens=regions_in_words(advice.opens),
        stays=_stays([gap.hue for gap in gaps_in_words(gaps(advice.chroma, limit))[:BEST]]),
        after_first=after_first,
        lightfastness=lightfastness_words(pigment, binder),
        opacity=pigment.opacity_typical or NOT_KNOWN,
        strength=pigment.tint_strength_typical or NOT_KNOWN,
        hazard=hazard_words(pigment),
        on_the_shelf=shelf.get(pigment.ci_name, ()),
        level=_best_level(advice, limit),
        price=found.prices.get(row.pk),
        warnings=found.warns(pigment.pk),
        told_beside=found.told_beside(pigment.pk),
    )


def _stays(hues: list[str]) -> str:
    if not hues:
        return "No hue stays clearly short of the limit."
    return f"{listed(hues).capitalize()} still {'falls' if len(hues) == 1 else 'fall'} short of the limit."


def _masstone(row: OpticalRow) -> NDArray[np.float64]:
    return np.asarray(Palette.of([(row.pk, row.name, from_bands(band_row(row)))], "").masstones[0])


def _best_level(advice: Advice, limit: NDArray[np.float64]) -> int:
    gained = [
        sum(region.points / len(region.levels) for region in advice.opens if level in region.levels)
        for level in VALUE_LEVELS
    ]
    return VALUE_LEVELS[int(np.argmax(gained))]
