"""The wheel: what the paints in stock mix to, which do the same job, and which tube to add next."""

from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.colour.chart import Cell, sectors
from inventory.colour.reach import Reach
from inventory.colour.wheel import VALUE_LEVELS, hue_name, value_word
from inventory.queries import wheel as queries
from inventory.queries.next_tube import Candidate, NextTubes, next_tubes
from inventory.queries.remembered import reach_of
from inventory.queries.wheel import Share, Wheel, mixture_in_words
from inventory.queries.wheel_drawing import Drawing, draw, is_neutral, numbered, small
from studio import access
from studio.access import StudioRequest

USUAL_LEVEL = 50


@dataclass(frozen=True)
class Choice:
    """One of several views of the same page."""

    label: str
    url: str
    current: bool


@dataclass(frozen=True)
class TubeRow:
    """A tube as the list under the wheel shows it, with its number in the drawing and what it holds at each level."""

    number: int
    share: Share
    hue: str
    levels: str


@dataclass(frozen=True)
class SectorRow:
    """One sector of the table behind the drawing."""

    cell: Cell
    hue_words: str
    mixture: str
    holders: str


@dataclass(frozen=True)
class Compared:
    """A candidate with its wheel before and after."""

    candidate: Candidate
    before: Drawing
    after: Drawing
    place: int

    @property
    def before_id(self) -> str:
        return f"before-{self.place}"

    @property
    def after_id(self) -> str:
        return f"after-{self.place}"

    @property
    def before_words(self) -> str:
        return f"What the paints in stock reach at value L* {self.candidate.level}."

    @property
    def after_words(self) -> str:
        return f"The same with {self.candidate.row}. It opens {self.candidate.opens or 'nothing worth a word'}."


@require_safe
@access.in_studio()
def wheel(request: StudioRequest) -> HttpResponse:
    """What the paints of one binder reach, drawn at one value level."""
    found = _wheel(request)
    level = _level(request)
    context: dict[str, Any] = {**_shared(request, found), "level": level}
    if found and found.reached:
        context |= {
            "drawing": draw(found.reached, level, found.drops),
            "wheel_title": f"Wheel of the {found.binder_label.lower()} paints at value L* {level}",
            "wheel_desc": _described(found, found.reached, level),
            "levels": [(small(found.reached, one), _with(request, level=one)) for one in reversed(VALUE_LEVELS)],
            "tubes": _tubes(found),
            "table_query": _with(request, level=level),
        }
    return render(request, "inventory/wheel/wheel.html", context)


@require_safe
@access.in_studio()
def table(request: StudioRequest) -> HttpResponse:
    """The facts of the drawing as a table: every sector of one value level, and every tube."""
    found = _wheel(request)
    level = _level(request)
    context: dict[str, Any] = {**_shared(request, found), "level": level, "value": value_word(level)}
    if found and found.reached:
        context |= {
            "sectors": _sectors(found, found.reached, level),
            "tubes": _tubes(found),
            "levels": [
                Choice(f"L* {one}, {value_word(one)}", _with(request, level=one), one == level) for one in VALUE_LEVELS
            ],
            "wheel_query": _with(request, level=level),
        }
    return render(request, "inventory/wheel/table.html", context)


@require_safe
@access.in_studio()
def same_job(request: StudioRequest) -> HttpResponse:
    """Paints that do the same job, in three meanings kept apart."""
    return render(request, "inventory/wheel/same_job.html", _shared(request, _wheel(request)))


@require_safe
@access.in_studio()
def next_tube(request: StudioRequest) -> HttpResponse:
    """Which tube to add next, by what it would open."""
    try:
        found = next_tubes(request.studio, request.GET.get("binder"))
    except ValueError as error:
        raise Http404(str(error)) from error
    context = {**_shared(request, found), "compared": _compared(found) if found and found.best else []}
    return render(request, "inventory/wheel/next.html", context)


def _wheel(request: StudioRequest) -> Wheel | None:
    try:
        return queries.wheel(request.studio, request.GET.get("binder"))
    except ValueError as error:
        raise Http404(str(error)) from error


def _level(request: StudioRequest) -> int:
    text = request.GET.get("level", str(USUAL_LEVEL))
    if text not in map(str, VALUE_LEVELS):
        raise Http404(f"There is no value level {text!r}; there are {', '.join(map(str, VALUE_LEVELS))}.")
    return int(text)


def _with(request: StudioRequest, **changed: object) -> str:
    """The query of this page with some of it changed."""
    kept = {name: request.GET[name] for name in ("binder", "level") if name in request.GET}
    return f"?{urlencode({**kept, **changed})}"


def _shared(request: StudioRequest, found: Wheel | NextTubes | None) -> dict[str, Any]:
    """The binders to choose among, and the query that keeps the one chosen on the neighbouring pages."""
    if found is None:
        return {"found": None}
    choices = [
        Choice(
            f"{one.label}, {one.paints} paint{'' if one.paints == 1 else 's'}",
            _with(request, binder=one.value),
            one.value == found.binder,
        )
        for one in found.binders
    ]
    return {
        "found": found,
        "choices": choices,
        "query": f"?{urlencode({'binder': found.binder})}",
        "how_sure": queries.HOW_SURE,
    }


def _tubes(found: Wheel) -> list[TubeRow]:
    numbers = {drop.id: number for number, drop in enumerate(numbered(found.drops), start=1)}
    drops = {drop.id: drop for drop in found.drops}
    rows = []
    for share in found.shares:
        drop = drops[share.paint.pk]
        hue = "none" if is_neutral(drop) else f"{hue_name(drop.hue).word}, {drop.hue:.0f}°"
        levels = ", ".join(map(str, sorted({level for level, _ in drop.holds})))
        rows.append(TubeRow(numbers[drop.id], share, hue, levels))
    return rows


def _described(found: Wheel, reached: Reach, level: int) -> str:
    """What the drawing shows, for who cannot see it."""
    cells = sectors(reached, level)
    reaching = [cell for cell in cells if cell.chroma > 0.0]
    most = max(cells, key=lambda cell: cell.chroma)
    gap = f" {found.gaps[0].sentence}" if found.gaps else ""
    return (
        f"{len(reaching)} of {len(cells)} hue sectors are reached at this value; the most vivid is {most.label}.{gap} "
        "The table behind this drawing has every sector and every tube."
    )


def _sectors(found: Wheel, reached: Reach, level: int) -> list[SectorRow]:
    holders: dict[float, list[str]] = {}
    for drop in found.drops:
        for at, hue in drop.holds:
            if at == level:
                holders.setdefault(hue, []).append(drop.name)
    return [
        SectorRow(
            cell,
            f"{hue_name(cell.hue).word}, {cell.hue:.0f}°",
            mixture_in_words(cell.mixture) if cell.mixture else "",
            ", ".join(holders.get(cell.hue, ())),
        )
        for cell in sectors(reached, level)
    ]


def _compared(found: NextTubes) -> list[Compared]:
    """The best candidates, each at the value level at which it adds most."""
    reached = reach_of(found.palette)
    made = []
    for place, candidate in enumerate(found.best, start=1):
        after = replace(reached, chroma=candidate.advice.chroma)
        level = candidate.level
        made.append(Compared(candidate, draw(reached, level), draw(after, level, before=reached), place))
    return made
