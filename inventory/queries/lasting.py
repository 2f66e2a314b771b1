"""What the labels and the reference table say of paints that are mixed: the weakest lightfastness, and the metals."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

from django.db.models import Count, QuerySet

from inventory.labels.lasting import Finding, Rated, findings, lasting_known
from inventory.labels.marks import Band, MakerScale, Mark, read_lightfastness, weakest
from inventory.labels.marks import LightfastnessScale as Scale
from inventory.models import LightfastnessScale, Paint, Tube, Work
from inventory.queries.pigment_words import metal_words
from inventory.queries.wheel import listed
from studio.models import Studio

TYPICAL = "where a label has no mark, what is common for its pigments is taken"


def weakest_in_words(paints: Sequence[Paint]) -> str:
    """The lightfastness of the weakest of these paints; needs the pigment lines at hand."""
    marks, typical = [], False
    for paint in paints:
        mark = _marked(paint)
        if mark is None:
            mark, typical = _usual(paint), True
        marks.append(mark)
    found = weakest(marks).message.rstrip(".")
    return f"{found}; {TYPICAL}." if typical else f"{found}."


def fades(paint: Paint) -> str:
    """The mark by which a paint is known to fade; empty where it is not known to. Needs the pigment lines at hand.

    What a label says on its own scale decides; without it, what is common for the weakest of its pigments.
    """
    mark = _marked(paint)
    if mark is not None and mark.coarse is not Band.UNKNOWN:
        said = f"label: {mark.text}, {paint.get_lightfastness_scale_display()}"
        return said if mark.coarse is Band.FUGITIVE else ""
    worst = [
        f"{line.code}, ASTM {line.pigment.lightfastness_in(paint.binder)}"
        for line in paint.pigment_lines.all()
        if line.pigment is not None
        and read_lightfastness(line.pigment.lightfastness_in(paint.binder), scale=Scale.ASTM).coarse is Band.FUGITIVE
    ]
    return listed(worst)


def metals_in_words(paints: Sequence[Paint]) -> str:
    """Which metals their pigments hold; never that there is no hazard. Needs the pigment lines at hand."""
    metals: dict[str, None] = {}
    unknown = []
    for paint in paints:
        lines = list(paint.pigment_lines.all())
        if not lines or any(line.pigment is None for line in lines):
            unknown.append(paint.name)
        for line in lines:
            if line.pigment is not None:
                metals.update(dict.fromkeys(metal_words(line.pigment)))
    doubt = f" The pigments of {listed(unknown)} are not all known here." if unknown else ""
    if metals:
        return f"Contains {listed(list(metals))}; read the makers' sheets.{doubt}"
    return f"No metal is listed here, which does not make it harmless; read the makers' sheets.{doubt}"


def _marked(paint: Paint) -> Mark | None:
    """The label's own mark on its scale; None where there is none."""
    if not paint.lightfastness:
        return None
    scale: Scale | MakerScale = Scale(paint.lightfastness_scale)
    if paint.lightfastness_scale == LightfastnessScale.MAKER:
        # Its order is not kept with the paint, so it is read as what it is: a mark of the maker's own.
        return read_lightfastness(paint.lightfastness_text or paint.lightfastness)
    return read_lightfastness(paint.lightfastness, scale=scale)


def _usual(paint: Paint) -> Mark:
    """The worst of what is common for its pigments, on the ASTM scale; unknown where one is not known."""
    marks = [
        read_lightfastness(line.pigment.lightfastness_in(paint.binder) if line.pigment else "", scale=Scale.ASTM)
        for line in paint.pigment_lines.all()
    ]
    found = weakest(marks)
    return Mark("") if found.mark is None or found.at_best else found.mark


# What is watched


@dataclass(frozen=True)
class Watched:
    """A paint in stock, and what of it may fade on one scale."""

    paint: Paint
    finding: Finding
    tubes: int

    @property
    def words(self) -> str:
        at_best = "at best " if self.finding.at_best else ""
        return f"{at_best}{_NAMES.get(self.finding.scale, '')}{self.finding.value}, {self.finding.why}"


_NAMES = {"astm": "ASTM ", "blue-wool": "blue wool "}
# The weakest first, on each scale for itself.
_WORST = {"astm": ["V", "IV", "III"], "blue-wool": ["1", "1-2", "2", "2-3", "3", "3-4"]}


@dataclass
class Watch:
    """Stocks that may fade, by the scale that says so, and those of which nothing is known; each weakest first."""

    astm: list[Watched] = field(default_factory=list)
    blue_wool: list[Watched] = field(default_factory=list)
    maker: list[Watched] = field(default_factory=list)
    unknown: list[Paint] = field(default_factory=list)
    others: int = 0
    """In stock, and by what is known here none of them."""

    @property
    def paints(self) -> int:
        return len({one.paint.pk for one in (*self.astm, *self.blue_wool, *self.maker)})


def rated(paint: Paint) -> list[Rated]:
    """The pigments of a paint with what is common for each; needs the pigment lines at hand."""
    return [
        Rated(line.code, line.pigment.lightfastness_in(paint.binder) if line.pigment else "")
        for line in paint.pigment_lines.all()
    ]


def findings_of(paint: Paint) -> tuple[Finding, ...]:
    """What of a paint may fade, each on its own scale; needs the pigment lines at hand."""
    return findings(
        rated(paint),
        value=paint.lightfastness,
        scale=paint.lightfastness_scale,
        text=paint.lightfastness_text,
        band=_band(paint),
    )


def is_known(paint: Paint) -> bool:
    """Whether anything is known of how a paint lasts; needs the pigment lines at hand."""
    return lasting_known(rated(paint), value=paint.lightfastness, scale=paint.lightfastness_scale, band=_band(paint))


def _band(paint: Paint) -> str:
    mark = _marked(paint)
    return mark.coarse.value if mark else ""


def watched(studio: Studio) -> Watch:
    """Every paint of which something usable is left, by what is known of how it lasts; four queries."""
    held = Tube.objects.of(studio).usable().order_by()
    standing = dict(held.values_list("item").annotate(Count("pk")))
    paints = Paint.objects.of(studio).kept().filter(pk__in=held.values("item_id"))
    watch = Watch()
    lists = {"astm": watch.astm, "blue-wool": watch.blue_wool, "maker": watch.maker}
    for paint in paints.prefetch_related("pigment_lines__pigment").order_by("sort_name", "pk"):
        found = findings_of(paint)
        for finding in found:
            lists[finding.scale].append(Watched(paint, finding, standing.get(paint.pk, 0)))
        if not found and not is_known(paint):
            watch.unknown.append(paint)
        elif not found:
            watch.others += 1
    for scale, order in _WORST.items():
        lists[scale].sort(key=partial(_place, order))
    return watch


def _place(order: list[str], one: Watched) -> int:
    value = one.finding.value
    return order.index(value) if value in order else len(order)


@dataclass(frozen=True)
class WorkNow:
    """A work with those of its paints that may fade, and those of which nothing is known."""

    work: Work
    fading: list[tuple[str, str]]
    unknown: list[str]
    paints: int

    @property
    def unknown_words(self) -> str:
        return listed(self.unknown)


def works(studio: Studio, *, removed: bool = False) -> "QuerySet[Work]":
    """Works in the order of their dates, with what they were made of at hand; three queries once read."""
    found = Work.objects.filter(studio=studio, removed_at__isnull=not removed).select_related("by")
    return found.prefetch_related("items__paint__pigment_lines__pigment")


def work_now(found: Iterable[Work]) -> list[WorkNow]:
    """What may fade of each; asks nothing."""
    answer = []
    for work in found:
        fading, unknown, count = [], [], 0
        for item in work.items.all():
            paint = getattr(item, "paint", None)
            if paint is None:
                continue
            count += 1
            said = findings_of(paint)
            if said:
                words = [Watched(paint, finding, 0).words for finding in said]
                fading.append((paint.name, "; ".join(words)))
            elif not is_known(paint):
                unknown.append(paint.name)
        answer.append(WorkNow(work, fading, unknown, count))
    return answer
