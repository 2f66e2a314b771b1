"""The wheel of a studio: what its paints of one binder mix to, what each holds up, and which do the same job."""

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from inventory.colour.appearance import srgb
from inventory.colour.chart import Drop, drops
from inventory.colour.coverage import Coverage, Region, coverage, opened
from inventory.colour.curves import Curve, Origin
from inventory.colour.reach import Mixture, Reach
from inventory.colour.redundancy import Kind, Label, Redundancy
from inventory.colour.wheel import VALUE_WORDS, colour_limit
from inventory.models import Binder, Opacity, Paint
from inventory.queries.paint_sets import Asked, PaintSet, drawn, paint_set
from inventory.queries.palette import LeftOut, WorkingPalette, working_palettes
from inventory.queries.remembered import likely_of, reach_is_known, reach_of, redundancies_of
from studio.attention import Attention, Urgency
from studio.models import Studio

HOW_SURE = (
    "A paint with colours of its own stands with the curve worked out from them. All others stand with curves that are "
    "typical of the pigment and were typed from memory; makes differ in strength two to three times. "
    "Read it as a direction, not a promise."
)
WASHES = (
    "Watercolours stand here as coats that hide. A wash lets the paper show and comes out lighter and often clearer, "
    "so without white all of this is a direction only."
)
# A region that a tube alone holds up by less than this is not named beside it (percentage points).
NAMED_FROM = 0.2
# Working what more paints than this reach would hold up the page that shows it in passing (about a third of a second).
QUICK_PAINTS = 24
# Two tubes are a choice, not a shelf with a hole; and a gap of less than this is no matter for the first page.
FEWEST_TO_JUDGE = 3
WORTH_A_SENTENCE = 3.0


@dataclass(frozen=True)
class BinderChoice:
    """A binder in stock: how many paints have a known colour, and how many are left out."""

    value: str
    label: str
    paints: int
    left_out: int


@dataclass(frozen=True)
class ValueBand:
    """A band of values of one hue: the chroma reached and the limit (root mean square over the band)."""

    value: str
    chroma: float
    limit: float
    points: float


@dataclass(frozen=True)
class Gap:
    """A hue that falls short: in words, by bands of value, with what it costs in percentage points of coverage."""

    hue: str
    symbol: str
    sentence: str
    bands: tuple[ValueBand, ...]
    points: float


@dataclass(frozen=True)
class Share:
    """What one paint alone holds up: points of coverage that go with it, and where, in words."""

    paint: Paint
    points: float
    holds: str


@dataclass(frozen=True)
class SameJob:
    """One finding: the paint, the paints that do its job, how near they come, what would be lost."""

    paint: Paint
    others: tuple[Paint, ...]
    masstone_difference: float
    tint_difference: float | None
    mixture: str
    mixture_hex: str
    lost: tuple[str, ...]
    note: str
    sure: str
    """In how many of the cases that the curves allow it holds; empty where nobody worked that."""
    share: float | None
    """The same as a share of 1."""


@dataclass(frozen=True)
class LeftOutGroup:
    """Paints that are left out for one reason."""

    reason: str
    paints: tuple[Paint, ...]


@dataclass(frozen=True, eq=False)
class Wheel:
    """All that the pages and the API show of one set and binder; `reached` is None where no colour is known."""

    chosen: PaintSet
    binder: str
    binder_label: str
    binders: tuple[BinderChoice, ...]
    paints: Mapping[int, Paint]
    curves: Mapping[int, Curve]
    reached: Reach | None
    coverage: Coverage | None
    gaps: tuple[Gap, ...]
    shares: tuple[Share, ...]
    drops: tuple[Drop, ...]
    left_out: tuple[LeftOutGroup, ...]
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """The set in words, such as "the studio's paints in stock, oil"."""
        return f"{self.chosen.words}, {self.binder_label.lower()}"

    @property
    def is_alone(self) -> bool:
        """Whether there is one paint of known colour: nothing to mix it with, so no figure is given."""
        return self.reached is not None and len(self.reached.palette) == 1

    @property
    def percent(self) -> float | None:
        return None if self.coverage is None else self.coverage.percent

    @property
    def percent_words(self) -> str:
        return "" if self.percent is None else about(self.percent)

    @property
    def meaning(self) -> str:
        """What the percentage means, in one sentence; empty where there is none."""
        if self.percent is None:
            return ""
        return (
            f"Of all colours that real surfaces have (Pointer 1980), counted by volume, these paints mix to "
            f"{about(self.percent)} in 100; mixtures between those that were tried add a few."
        )

    @property
    def how_sure(self) -> str:
        return how_sure(self.curves.values())

    @property
    def left_out_count(self) -> int:
        return sum(len(group.paints) for group in self.left_out)


@dataclass(frozen=True, eq=False)
class SameJobs:
    """The three meanings of redundant, kept apart, of one set and binder."""

    chosen: PaintSet
    binder: str
    binder_label: str
    binders: tuple[BinderChoice, ...]
    curves: Mapping[int, Curve]
    same_pigments: tuple[SameJob, ...]
    near_twins: tuple[SameJob, ...]
    mixable: tuple[SameJob, ...]
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


def how_sure(curves: Collection[Curve]) -> str:
    """What the curves rest on, and how far they are to be believed."""
    own = sum(curve.origin is not Origin.TYPICAL for curve in curves)
    return f"{HOW_SURE} Here {own} of {len(curves)} have colours of their own." if own else HOW_SURE


def wheel_of(chosen: PaintSet) -> Wheel | None:
    """What the paints of a set reach; None where the set is empty. A ValueError names a binder that is not in it."""
    if chosen.is_empty:
        return None
    one = chosen.palette
    label, binders = binder_label(one.binder), binders_of(chosen.palettes)
    left_out = grouped(one.left_out)
    if not len(one.palette):
        return Wheel(chosen, one.binder, label, binders, {}, {}, None, None, (), (), (), left_out, ())
    reached = reach_of(one.palette)
    covered = coverage(reached)
    return Wheel(
        chosen=chosen,
        binder=one.binder,
        binder_label=label,
        binders=binders,
        paints=one.paints,
        curves=one.curves,
        reached=reached,
        coverage=covered,
        gaps=gaps_in_words(covered.gaps),
        shares=_shares(one, reached, covered),
        drops=drops(reached),
        left_out=left_out,
        notes=(*covered.notes, *((WASHES,) if one.binder == Binder.WATERCOLOUR else ())),
    )


def same_jobs_of(chosen: PaintSet, *, sure: bool = True) -> SameJobs | None:
    """Which paints of a set do the same job, the surest first; None where it is empty. Two queries, for the draws."""
    if chosen.is_empty:
        return None
    one = chosen.palette
    found: dict[Kind, list[SameJob]] = {kind: [] for kind in Kind}
    if len(one.palette):
        labels: dict[Hashable, Label] = {pk: label_of(paint) for pk, paint in one.paints.items()}
        findings = redundancies_of(one.palette, labels)
        if sure:
            for likely in likely_of(one.palette, findings, drawn(one)):
                found[likely.finding.kind].append(_same_job(one, likely.finding, likely.text, likely.share))
        else:
            for finding in findings:
                found[finding.kind].append(_same_job(one, finding))
    return SameJobs(
        chosen=chosen,
        binder=one.binder,
        binder_label=binder_label(one.binder),
        binders=binders_of(chosen.palettes),
        curves=one.curves,
        same_pigments=tuple(found[Kind.SAME_PIGMENTS]),
        near_twins=tuple(found[Kind.NEAR_TWIN]),
        mixable=tuple(found[Kind.MIXABLE]),
        left_out=grouped(one.left_out),
    )


def wheel(studio: Studio, asked: Asked | None = None) -> Wheel | None:
    """What the paints of a set reach; None when it is empty or not there. Five queries at most."""
    chosen = paint_set(studio, asked or Asked())
    return None if chosen is None else wheel_of(chosen)


def binders_of(palettes: Iterable[WorkingPalette]) -> tuple[BinderChoice, ...]:
    return tuple(
        BinderChoice(one.binder, binder_label(one.binder), len(one.palette), len(one.left_out)) for one in palettes
    )


def binder_label(binder: str) -> str:
    return "Binder not known" if binder == Binder.UNKNOWN else Binder(binder).label


def binder_options() -> list[tuple[str, str]]:
    """Every binder that can be asked for, with its name."""
    return [(value, binder_label(value)) for value in Binder.values if value != Binder.UNKNOWN]


def gaps_in_words(regions: Iterable[Region]) -> tuple[Gap, ...]:
    """The regions that fall short, one sentence a hue, the costliest first."""
    by_hue: dict[str, list[Region]] = defaultdict(list)
    for region in regions:
        by_hue[region.hue.symbol].append(region)
    order = [word for word, _ in VALUE_WORDS]
    found = []
    for symbol, parts in by_hue.items():
        parts = sorted(parts, key=lambda region: order.index(region.value))
        hue = parts[0].hue.word
        bands = tuple(ValueBand(part.value, part.chroma, part.limit, part.points) for part in parts)
        absent = all(not part.name.startswith("vivid") for part in parts)
        reaches = [f"{band.value} values reach chroma {band.chroma:.0f} of {band.limit:.0f}" for band in bands]
        sentence = f"{'Next to no' if absent else 'No vivid'} {hue}: {listed(reaches)}."
        found.append(Gap(hue, symbol, sentence, bands, sum(part.points for part in parts)))
    return tuple(sorted(found, key=lambda gap: -gap.points))


def _shares(one: WorkingPalette, reached: Reach, covered: Coverage) -> tuple[Share, ...]:
    limit = colour_limit()
    found = []
    for place, share in enumerate(covered.shares):
        held = opened(reached.without[place], reached.chroma, limit)
        found.append(Share(one.paints[_pk(share.id)], share.points, regions_in_words(held)))
    return tuple(sorted(found, key=lambda share: (-share.points, share.paint.name)))


def regions_in_words(regions: Iterable[Region], most: int = 3) -> str:
    """The greatest of these regions, such as "violet at dark values (0.8)"; empty if none is worth a word."""
    named = [
        f"{region.hue.word} at {region.value} values ({region.points:.1f})"
        for region in regions
        if region.points >= NAMED_FROM
    ]
    return listed(named[:most])


def _same_job(one: WorkingPalette, finding: Redundancy, sure: str = "", share: float | None = None) -> SameJob:
    return SameJob(
        paint=one.paints[_pk(finding.id)],
        others=tuple(one.paints[_pk(other)] for other in finding.others),
        masstone_difference=finding.masstone_difference,
        tint_difference=finding.tint_difference,
        mixture=mixture_in_words(finding.mixture) if finding.mixture else "",
        mixture_hex=srgb(finding.mixture.lab).hex if finding.mixture else "",
        lost=finding.lost,
        note=finding.note,
        sure=sure,
        share=share,
    )


def label_of(paint: Paint) -> Label:
    """What the label says, each mark with its scale; needs the pigment lines at hand."""
    lightfastness = (
        f"{paint.lightfastness} ({paint.get_lightfastness_scale_display()})" if paint.lightfastness else None
    )
    scale = "" if paint.strength_scale == "words" else paint.strength_scale
    strength = f"{paint.strength} ({scale})" if paint.strength and scale else paint.strength
    return Label(
        codes=tuple(line.code for line in paint.pigment_lines.all()),
        opacity=None if paint.opacity == Opacity.UNKNOWN else paint.get_opacity_display().lower(),
        lightfastness=lightfastness,
        strength=strength or None,
    )


def mixture_in_words(mixture: Mixture) -> str:
    """Such as "about 84 in 100 Titanium White, 12 Viridian, under 1 Ivory Black": a starting point, not a recipe."""
    if len(mixture.names) == 1:
        return f"{mixture.names[0]} alone"
    parts = [
        f"{'under 1' if part < 0.01 else format(100 * part, '.0f')}{'' if place else ' in 100'} {name}"
        for place, (part, name) in enumerate(zip(mixture.parts, mixture.names, strict=True))
    ]
    return "about " + ", ".join(parts)


def wheel_gaps(studio: Studio) -> Iterator[Attention]:
    """The greatest gap of the binder with most paints, for the first page; two queries.

    Where working it would take long (many paints, none of it worked yet) nothing is said: the wheel page works it.
    """
    palettes = [one for one in working_palettes(studio) if len(one.palette.members) >= FEWEST_TO_JUDGE]
    if not palettes:
        return
    palette = palettes[0].palette
    if len(palette) > QUICK_PAINTS and not reach_is_known(palette):
        return
    for gap in gaps_in_words(coverage(reach_of(palette)).gaps)[:1]:
        if gap.points >= WORTH_A_SENTENCE:
            binder = palettes[0].binder
            yield Attention(
                Urgency.ADVICE,
                f"{gap.sentence[:-1]}, by the curves of the {Binder(binder).label.lower()} paints in stock.",
                "See which tube closes it",
                f"{reverse('inventory:wheel_next', args=[studio.slug])}?{urlencode({'binder': binder})}",
            )


def grouped(left_out: Iterable[LeftOut]) -> tuple[LeftOutGroup, ...]:
    by_reason: dict[str, list[Paint]] = defaultdict(list)
    for one in left_out:
        by_reason[one.reason].append(one.paint)
    groups = [LeftOutGroup(reason, tuple(paints)) for reason, paints in by_reason.items()]
    return tuple(sorted(groups, key=lambda group: -len(group.paints)))


def about(percent: float) -> str:
    """A percentage as it may be read: whole, and small ones as such."""
    return f"about {percent:.0f}" if percent >= 1.0 else "less than 1"


def listed(words: list[str]) -> str:
    """One, two and three as people list them."""
    return ", ".join(words[:-1]) + " and " + words[-1] if len(words) > 1 else "".join(words)


def _pk(paint_id: Hashable) -> int:
    assert isinstance(paint_id, int)  # noqa: S101  # palettes made here have the keys of paints
    return paint_id
