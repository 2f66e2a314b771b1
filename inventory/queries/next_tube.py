"""Which tube to add next: the reference pigments that are not in stock, by what each would open on the wheel."""

from collections import defaultdict
from collections.abc import Hashable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.advice import Advice
from inventory.colour.appearance import srgb
from inventory.colour.coverage import gaps, percent
from inventory.colour.curves import from_bands
from inventory.colour.palette import Palette
from inventory.colour.wheel import VALUE_LEVELS, colour_limit
from inventory.models import OpticalRow, PaintPigment, Pigment
from inventory.queries.palette import WorkingPalette, band_row, paints_in_stock, working_palettes
from inventory.queries.remembered import advice_of
from inventory.queries.wheel import (
    BinderChoice,
    binder_label,
    binders_of,
    chosen,
    gaps_in_words,
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
BEST = 3
# Less than this (percentage points) is folded away.
LITTLE = 0.5
NOT_KNOWN = "not known here"


@dataclass(frozen=True, eq=False)
class Candidate:
    """One pigment that might be bought, in one of its colours. Marks are as commonly held, or "not known here"."""

    pigment: Pigment
    row: OpticalRow
    advice: Advice
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
    def rank_words(self) -> str:
        return f"{self.advice.rank}, a tie" if self.advice.tied else str(self.advice.rank)


@dataclass(frozen=True, eq=False)
class NextTubes:
    """The candidates of one binder, best first; none where no paint in it has a known colour."""

    binder: str
    binder_label: str
    binders: tuple[BinderChoice, ...]
    palette: Palette
    percent: float
    candidates: tuple[Candidate, ...]
    rows_known: bool
    """False while the reference tables are not loaded."""

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


def next_tubes(studio: Studio, binder: str | None = None) -> NextTubes | None:
    """Rank what is not in stock by what it adds; None when no paint is in stock. Six queries at most.

    A ValueError names a binder that is not in stock.
    """
    palettes = working_palettes(studio)
    if not palettes:
        return None
    one = chosen(palettes, binder)
    rows = list(OpticalRow.objects.select_related("pigment"))
    label, binders = binder_label(one.binder), binders_of(palettes)
    if not len(one.palette):
        return NextTubes(one.binder, label, binders, one.palette, 0.0, (), bool(rows))
    offered = _offered(one.palette, rows)
    ranked = advice_of(one.palette, offered)
    by_id: dict[Hashable, OpticalRow] = {("row", row.pk): row for row in rows}
    shelf = _elsewhere(studio, one)
    first = ranked[0] if ranked else None
    candidates = tuple(_candidate(advice, by_id[advice.id], first, shelf) for advice in ranked)
    before = ranked[0].before if ranked else 0.0
    return NextTubes(one.binder, label, binders, one.palette, before, candidates, bool(rows))


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


def _candidate(advice: Advice, row: OpticalRow, first: Advice | None, shelf: dict[str, tuple[str, ...]]) -> Candidate:
    limit = colour_limit()
    pigment = row.pigment
    after_first = None
    if first is not None and first is not advice:
        after_first = max(0.0, percent(np.maximum(first.chroma, advice.chroma), limit) - first.after)
    return Candidate(
        pigment=pigment,
        row=row,
        advice=advice,
        hex=srgb(_masstone(row)).hex,
        opens=regions_in_words(advice.opens),
        stays=_stays([gap.hue for gap in gaps_in_words(gaps(advice.chroma, limit))[:BEST]]),
        after_first=after_first,
        lightfastness=_lightfastness(pigment),
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


def _lightfastness(pigment: Pigment) -> str:
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
