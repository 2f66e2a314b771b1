"""Which tube to add next: the reference pigments that are not in stock, by what each would open on the wheel."""

from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour import certainty
from inventory.colour.advice import Advice
from inventory.colour.appearance import srgb
from inventory.colour.coverage import gaps, percent
from inventory.colour.curves import Curve, from_bands
from inventory.colour.expected import Gain
from inventory.colour.palette import Palette
from inventory.colour.wheel import VALUE_LEVELS, colour_limit
from inventory.models import OpticalRow, PaintPigment, Pigment
from inventory.queries.paint_sets import Asked, PaintSet, drawn, paint_set
from inventory.queries.palette import WorkingPalette, band_row, paints_in_stock
from inventory.queries.remembered import advice_of, gains_of, reach_of
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
from studio.models import Studio

METAL_WORDS: Mapping[str, str] = {
    "As": "arsenic",
    "Ba": "barium",
    "Cd": "cadmium",
    "Co": "cobalt",
    "Cr3": "chromium(III)",
    "Cr6": "chromium(VI)",
    "Cu": "copper",
    "Hg": "mercury",
    "Mn": "manganese",
    "Ni": "nickel",
    "Pb": "lead",
    "Sb": "antimony",
    "Se": "selenium",
    "V": "vanadium",
    "Zn": "zinc",
}
# Metals that somebody may want to do without, and their symbols in the table: chromium stands there in two kinds.
METALS: Mapping[str, tuple[str, ...]] = {
    **{METAL_WORDS[symbol]: (symbol,) for symbol in ("Cd", "Co", "Pb", "Ni", "Mn", "Cu", "Hg", "As", "Sb", "Ba", "Se")},
    "chromium": ("Cr3", "Cr6"),
    "vanadium": ("V",),
    "zinc": ("Zn",),
}
# Our reading of the marks as the reference table has them: common practice, no source.
TRANSPARENT = ("transparent",)
LASTING = ("I", "II")
BEST = 3
# Candidates whose gain is worked over everything that the curves may be.
OVER_DRAWS = 6
# Less than this (percentage points) is folded away.
LITTLE = 0.5
NOT_KNOWN = "not known here"


@dataclass(frozen=True, eq=False)
class Candidate:
    """One pigment that might be bought, in one of its colours. Marks are as commonly held, or "not known here"."""

    pigment: Pigment
    row: OpticalRow
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

    @property
    def hazard_short(self) -> str:
        metals = metal_words(self.pigment)
        return f"contains {listed(metals)}" if metals else "no metal listed; read the sheet"

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
        return f"about {gain.mean:.0f} points more, likely {gain.low:.0f} to {gain.high:.0f}"


@dataclass(frozen=True)
class Wanted:
    """What a candidate must be. Marks are known ones: a pigment whose mark is not known is left out, and counted."""

    transparent: bool = False
    lasting: bool = False
    without: tuple[str, ...] = ()
    """Metals as their symbols in METAL_WORDS; chromium stands for both of its kinds."""
    instead_of: int | None = None

    @property
    def is_plain(self) -> bool:
        return self == Wanted(instead_of=self.instead_of)

    def refusal(self, pigment: Pigment) -> str:
        """Why a pigment is left out; empty where it is not."""
        if self.without:
            found = [metal for metal in pigment.metal_list if metal in self.without]
            if found:
                return f"with {listed([METAL_WORDS[metal] for metal in found])}"
        if self.transparent and pigment.opacity_typical not in TRANSPARENT:
            return "transparency not known" if not pigment.opacity_typical else "not transparent"
        if self.lasting and pigment.lightfastness_astm not in LASTING:
            return "lightfastness not known" if not pigment.lightfastness_astm else "less lasting"
        return ""


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
    def refused_words(self) -> str:
        """Such as "12 with lead, 3 lightfastness not known"."""
        return ", ".join(f"{count} {reason}" for reason, count in self.refused.items())


def next_tubes(studio: Studio, asked: Asked | None = None, wanted: Wanted | None = None) -> NextTubes | None:
    """Rank what is not in the set by what it adds; None when the set is empty or not there. Ten queries at most.

    A ValueError names a binder that is not in the set.
    """
    chosen = paint_set(studio, asked or Asked())
    return None if chosen is None else next_tubes_of(studio, chosen, wanted or Wanted())


def next_tubes_of(studio: Studio, chosen: PaintSet, wanted: Wanted) -> NextTubes | None:
    if chosen.is_empty:
        return None
    one = chosen.palette
    rows = list(OpticalRow.objects.select_related("pigment"))
    refusals = {row.pk: wanted.refusal(row.pigment) for row in rows}
    kept = [row for row in rows if not refusals[row.pk]]
    candidates: tuple[Candidate, ...] = ()
    before = 0.0
    if len(one.palette):
        offered = _offered(one.palette, kept)
        ranked = advice_of(one.palette, offered)
        before = ranked[0].before if ranked else percent(reach_of(one.palette).chroma)
        candidates = _candidates(studio, one, kept, offered, ranked)
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
        refused=Counter(reason for reason in refusals.values() if reason),
        left_out=grouped(one.left_out),
    )


def _candidates(
    studio: Studio, one: WorkingPalette, rows: list[OpticalRow], offered: Palette, ranked: tuple[Advice, ...]
) -> tuple[Candidate, ...]:
    """The candidates in order: the best by their mean over what the curves may be, then the others as ranked."""
    by_id: dict[Hashable, OpticalRow] = {("row", row.pk): row for row in rows}
    shelf = _elsewhere(studio, one)
    leading = [advice for advice in ranked if advice.gain > 0.0][:OVER_DRAWS]
    sure = [certainty.Paint.typical([band_row(by_id[paint])]) for paint in offered.ids]
    gains = {gain.id: gain for gain in gains_of(one.palette, drawn(one), offered, sure, leading)} if leading else {}
    order = {paint: place for place, paint in enumerate(gains)}
    ordered = sorted(ranked, key=lambda advice: order.get(advice.id, len(order)))
    first = ordered[0] if ordered else None
    return tuple(_candidate(advice, gains.get(advice.id), by_id[advice.id], first, shelf) for advice in ordered)


def _offered(palette: Palette, rows: list[OpticalRow]) -> Palette:
    """Every typical curve that no paint of the palette has already."""
    held = {k.tobytes() + s.tobytes() for k, s in zip(palette.k, palette.s, strict=True)}
    made = [(("row", row.pk), f"{row.pigment.ci_name} {row.name}", from_bands(band_row(row))) for row in rows]
    return Palette.of([one for one in made if one[2].k.tobytes() + one[2].s.tobytes() not in held], palette.binder)


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
    advice: Advice, gain: Gain | None, row: OpticalRow, first: Advice | None, shelf: dict[str, tuple[str, ...]]
) -> Candidate:
    limit = colour_limit()
    pigment = row.pigment
    after_first = None
    if first is not None and first is not advice:
        after_first = max(0.0, percent(np.maximum(first.chroma, advice.chroma), limit) - first.after)
    return Candidate(
        pigment=pigment,
        row=row,
        advice=advice,
        expected=gain,
        hex=srgb(_masstone(row)).hex,
        opens=regions_in_words(advice.opens),
        stays=_stays([gap.hue for gap in gaps_in_words(gaps(advice.chroma, limit))[:BEST]]),
        after_first=after_first,
        lightfastness=lightfastness_words(pigment),
        opacity=pigment.opacity_typical or NOT_KNOWN,
        strength=pigment.tint_strength_typical or NOT_KNOWN,
        hazard=hazard_words(pigment),
        on_the_shelf=shelf.get(pigment.ci_name, ()),
        level=_best_level(advice, limit),
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


def lightfastness_words(pigment: Pigment) -> str:
    if not pigment.lightfastness_astm:
        return NOT_KNOWN
    return f"{pigment.lightfastness_astm} on the ASTM scale, I the best and V the least"


def metal_words(pigment: Pigment) -> list[str]:
    return [METAL_WORDS.get(metal, metal) for metal in pigment.metal_list]


def hazard_words(pigment: Pigment) -> str:
    """What the pigment's row says of its metals; it never says that there is no hazard."""
    metals = metal_words(pigment)
    if not metals:
        return "No metal is listed for it here, which does not make it harmless; read the maker's sheet."
    return f"Contains {listed(metals)}; read the maker's sheet."
