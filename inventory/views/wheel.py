"""The wheel: what a set of paints mixes to, two sets side by side, which do the same job, which tube to add next."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.colour.chart import Cell, sectors
from inventory.colour.coverage import opened, percent
from inventory.colour.reach import Reach
from inventory.colour.wheel import HUES, VALUE_LEVELS, colour_limit, hue_name, munsell_name, value_word
from inventory.forms.mixing import NextTubeForm
from inventory.models import OpticalRow, Paint
from inventory.queries import wheel as queries
from inventory.queries.cells import cell_of
from inventory.queries.comparing import compared, differing
from inventory.queries.next_tube import Candidate, NextTubes, next_tubes_of
from inventory.queries.paint_sets import Asked, Of, Option, PaintSet, paint_set, pickable, set_options
from inventory.queries.pigment_words import METALS
from inventory.queries.remembered import StillWorking, patience, reach_of
from inventory.queries.replacing import replacement
from inventory.queries.wanted import Wanted, sifted
from inventory.queries.wheel import SameJobs, Share, Wheel, mixture_in_words, regions_in_words
from inventory.queries.wheel_drawing import Drawing, Wedge, draw, fallen, is_neutral, numbered, small, wedges
from studio import access
from studio.access import StudioRequest

USUAL_LEVEL = 50
# A page works for so long (seconds); then it shows how far it is, and the next request goes on.
PATIENCE = 1.2
Args = ParamSpec("Args")
Found = TypeVar("Found")


@dataclass(frozen=True)
class Choice:
    """One of several views of the same page."""

    label: str
    url: str
    current: bool


@dataclass(frozen=True)
class TubeRow:
    """A tube as the list under the wheel shows it, with its number in the drawing and what it holds at each level.

    `fallen` is what falls away from the drawing without it; `without` is the way to that page and `words` what it says.
    """

    number: int
    share: Share
    hue: str
    levels: str
    fallen: str = ""
    without: str = ""
    words: str = ""
    off: bool = False


@dataclass(frozen=True)
class SectorRow:
    """One sector of the table behind the drawing."""

    cell: Cell
    hue_words: str
    munsell: str
    mixture: str
    holders: str
    url: str


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
        return f"What the paints reach at value L* {self.candidate.level}."

    @property
    def after_words(self) -> str:
        return f"The same with {self.candidate.row}. It opens {self.candidate.opens or 'nothing worth a word'}."


def patient(
    view: Callable[Concatenate[StudioRequest, Args], HttpResponse],
) -> Callable[Concatenate[StudioRequest, Args], HttpResponse]:
    """Let a page work for PATIENCE seconds; if it is not done then, show how far it is and a way to go on."""

    @wraps(view)
    def inside(request: StudioRequest, *args: Args.args, **kwargs: Args.kwargs) -> HttpResponse:
        by_script = bool(getattr(request, "htmx", False))
        try:
            with patience(PATIENCE):
                answer = view(request, *args, **kwargs)
        except StillWorking as working:
            context = {"what": working.what, "done": round(100.0 * working.share), "url": request.get_full_path()}
            name = "progress" if by_script else "working"
            answer = render(request, f"inventory/wheel/{name}.html", context)
            answer["Cache-Control"] = "no-store"
            return answer
        if by_script:
            return HttpResponse(headers={"HX-Redirect": request.get_full_path()})
        return answer

    return inside  # type: ignore[return-value]  # `wraps` names the request, which the type has without a name


@require_safe
@access.in_studio()
@patient
def wheel(request: StudioRequest) -> HttpResponse:
    """What the paints of a set and binder reach, drawn at one value level; one of them may be taken away."""
    chosen = set_asked(request)
    found = wheel_of(chosen)
    level = level_asked(request)
    context: dict[str, Any] = {**_shared(request, chosen, found), "level": level}
    if found and found.reached:
        tubes = _tubes(request, found, found.reached, level)
        by_number = {row.number: row for row in tubes}
        drawing = draw(found.reached, level, found.drops)
        context |= {
            "drawing": drawing,
            "grips": [] if found.is_alone else [(drop, by_number[drop.number]) for drop in drawing.drops],
            "wedges": _wedges(request, found.reached, level),
            "wheel_title": f"Wheel of the {found.binder_label.lower()} paints at value L* {level}",
            "wheel_desc": _described(found, found.reached, level),
            "levels": [(small(found.reached, one), _with(request, level=one)) for one in reversed(VALUE_LEVELS)],
            "tubes": tubes,
            "off": next((row for row in tubes if row.off), None),
            "off_gone": bool(request.GET.get("without")) and not any(row.off for row in tubes),
            "whole_url": _with(request, level=level, without=None),
            "table_query": _with(request, level=level, without=None),
        }
    return render(request, "inventory/wheel/wheel.html", context)


@require_safe
@access.in_studio()
@patient
def table(request: StudioRequest) -> HttpResponse:
    """The facts of the drawing as a table: every sector of one value level, and every tube."""
    chosen = set_asked(request)
    found = wheel_of(chosen)
    level = level_asked(request)
    context: dict[str, Any] = {**_shared(request, chosen, found), "level": level, "value": value_word(level)}
    if found and found.reached:
        context |= {
            "sectors": _sectors(request, found, found.reached, level),
            "tubes": _tubes(request, found, found.reached, level),
            "levels": [
                Choice(f"L* {one}, {value_word(one)}", _with(request, level=one), one == level) for one in VALUE_LEVELS
            ],
            "wheel_query": _with(request, level=level),
        }
    return render(request, "inventory/wheel/table.html", context)


@require_safe
@access.in_studio()
@patient
def cell(request: StudioRequest) -> HttpResponse:
    """One cell: the mixtures that reach it, in parts for a palette, and how sure they are."""
    chosen = set_asked(request)
    found = wheel_of(chosen)
    level = level_asked(request)
    text = request.GET.get("hue", "0")
    if text not in {str(int(hue)) for hue in HUES}:
        raise Http404(f"There is no hue {text!r}; there are 0, 10, 20 and so on to 350.")
    answer = cell_of(found, level, int(text)) if found else None
    context = {**_shared(request, chosen, found), "level": level, "answer": answer}
    if answer:
        hue, row = int(text), VALUE_LEVELS.index(level)
        context["neighbours"] = [
            Choice(f"Previous hue, {munsell_name(hue - 10, level)}", _with(request, hue=(hue - 10) % 360), False),
            Choice(f"Next hue, {munsell_name(hue + 10, level)}", _with(request, hue=(hue + 10) % 360), False),
            *(
                Choice(f"{word}, L* {VALUE_LEVELS[place]}", _with(request, level=VALUE_LEVELS[place]), False)
                for word, place in (("Lighter", row + 1), ("Darker", row - 1))
                if 0 <= place < len(VALUE_LEVELS)
            ),
        ]
        context["wheel_query"] = _with(request, hue=None)
    return render(request, "inventory/wheel/cell.html", context)


@require_safe
@access.in_studio()
@patient
def compare(request: StudioRequest) -> HttpResponse:
    """Two sets side by side, and what one reaches that the other does not."""
    first, second = set_asked(request), set_asked(request, "other_")
    level = level_asked(request)
    wheels = [wheel_of(one) for one in (first, second)]
    shown = compared(wheels[0], wheels[1]) if wheels[0] and wheels[1] else None
    context: dict[str, Any] = {
        "options": _options(request, first),
        "others": _options(request, second),
        "binder_options": queries.binder_options(),
        "first": first,
        "second": second,
        "level": level,
        "levels": [Choice(f"L* {one}", _with(request, level=one), one == level) for one in VALUE_LEVELS],
        "shown": shown,
        "kept": _kept(request, "p", "other_p", "level"),
        "swap": "?" + urlencode([*second.asked.query(), *first.asked.query("other_"), ("level", str(level))], safe=","),
        "pick_second": f"{reverse('inventory:wheel_choose', args=[request.studio.slug])}?"
        + urlencode([*first.asked.query(), *second.asked.query("other_"), ("for", "other")], safe=","),
        "reasons": [_why_not(one, found) for one, found in zip((first, second), wheels, strict=True)],
    }
    if shown and shown.first.reached and shown.second.reached:
        one, two = shown.first.reached, shown.second.reached
        context |= {
            "first_drawing": draw(one, level, before=two),
            "second_drawing": draw(two, level, before=one),
            "counted": differing(shown.rows),
            "same": one.palette == two.palette,
        }
    return render(request, "inventory/wheel/compare.html", context)


@require_safe
@access.in_studio()
def pick(request: StudioRequest) -> HttpResponse:
    """Tick paints of the catalogue, in stock or not; the address that follows can be passed on."""
    other = request.GET.get("for") == "other"
    prefix = "other_" if other else ""
    asked = _asked(request, prefix)
    paints = pickable(request.studio)
    groups: dict[str, list[Paint]] = {}
    for paint in paints:
        groups.setdefault(queries.binder_label(paint.binder), []).append(paint)
    context = {
        "groups": groups.items(),
        "ticked": set(asked.paints),
        "prefix": prefix,
        "other": other,
        "kept": [(name, value) for name, value in _asked(request).query() if other],
        "level": request.GET.get("level", ""),
    }
    return render(request, "inventory/wheel/pick.html", context)


@require_safe
@access.in_studio()
@patient
def same_job(request: StudioRequest) -> HttpResponse:
    """Paints that do the same job, in three meanings kept apart."""
    chosen = set_asked(request)
    found = _answer(chosen, queries.same_jobs_of)
    return render(request, "inventory/wheel/same_job.html", _shared(request, chosen, found))


@require_safe
@access.in_studio()
@patient
def next_tube(request: StudioRequest) -> HttpResponse:
    """Which tube to add next, by what it would open; or what could take the place of one paint."""
    chosen = set_asked(request)
    form = NextTubeForm(request.GET, request.studio)
    form.is_valid()  # what is wrong with it is shown in place of the answer
    wanted = _wanted(request, form)
    found = _answer(chosen, lambda one: next_tubes_of(request.studio, one, wanted))
    context: dict[str, Any] = {
        **_shared(request, chosen, found),
        "form": form,
        "compared": _compared(found) if found and found.best else [],
        "wanted": wanted,
        "metals": [(name, set(symbols) <= set(wanted.without)) for name, symbols in METALS.items()],
        "kept": _kept(request, "set", "p", "binder"),
        "plain_query": chosen.asked.address(),
        "lasting_query": _also(request, lasting_stock="on"),
    }
    if found and len(found.palette):
        whole = wheel_of(chosen)
        context["replaceable"] = sorted(whole.paints.values(), key=lambda paint: paint.name) if whole else []
        if whole and wanted.instead_of is not None:
            rows = list(OpticalRow.objects.select_related("pigment"))
            fitting = sifted(request.studio, found.binder, wanted, rows)
            context["replacement"] = replacement(whole, wanted.instead_of, fitting)
            context["replacement_gone"] = context["replacement"] is None
    return render(request, "inventory/wheel/next.html", context)


def _asked(request: StudioRequest, prefix: str = "") -> Asked:
    try:
        return Asked.read(request.GET, prefix)
    except ValueError as error:
        raise Http404(str(error)) from error


def set_asked(request: StudioRequest, prefix: str = "") -> PaintSet:
    chosen = paint_set(request.studio, _asked(request, prefix))
    if chosen is None:
        raise Http404("There is no such place or person in this studio; choose another set of paints.")
    return chosen


def _answer(chosen: PaintSet, query: Callable[[PaintSet], Found | None]) -> Found | None:
    """What a query finds; None where the set is empty or of several binders. No such binder is not found."""
    if chosen.refused:
        return None
    try:
        return query(chosen)
    except ValueError as error:
        raise Http404(str(error)) from error


def wheel_of(chosen: PaintSet) -> Wheel | None:
    return _answer(chosen, queries.wheel_of)


def _why_not(chosen: PaintSet, found: Wheel | None) -> str:
    """Why a set has no wheel; empty where it has one."""
    if chosen.refused:
        return chosen.refused
    if found is None:
        return f"There is no paint among {chosen.words}." if chosen.asked.of is Of.STOCK else "It holds no paint."
    return "" if found.reached else "No paint of it has a known colour."


def level_asked(request: StudioRequest) -> int:
    text = request.GET.get("level", str(USUAL_LEVEL)) or str(USUAL_LEVEL)
    if text not in map(str, VALUE_LEVELS):
        raise Http404(f"There is no value level {text!r}; there are {', '.join(map(str, VALUE_LEVELS))}.")
    return int(text)


def _wanted(request: StudioRequest, form: NextTubeForm) -> Wanted:
    names = request.GET.getlist("without")
    wrong = [name for name in names if name not in METALS]
    if wrong:
        raise Http404(f"There is no metal {wrong[0]!r} to leave out; there are {', '.join(METALS)}.")
    instead = request.GET.get("instead", "")
    if instead and not (instead.isascii() and instead.isdigit() and len(instead) < 10):
        raise Http404(f"A paint to replace is given by its number, not {instead!r}.")
    return Wanted(
        transparent=request.GET.get("transparent") == "on",
        lasting=request.GET.get("lasting") == "on",
        without=tuple(symbol for name in dict.fromkeys(names) for symbol in METALS[name]),
        instead_of=int(instead) if instead else None,
        group=form.cleaned_data.get("group"),
        most_minor=form.cleaned_data.get("price"),
        lasting_stock=request.GET.get("lasting_stock") == "on",
    )


def _also(request: StudioRequest, **more: str) -> str:
    """The query of this page with something more."""
    query = request.GET.copy()
    for name, value in more.items():
        query[name] = value
    return f"?{query.urlencode(safe=',')}"


def _with(request: StudioRequest, **changed: object) -> str:
    """The query of this page with some of it changed; None takes a name out."""
    names = ("set", "p", "binder", "other_set", "other_p", "other_binder", "level", "hue")
    kept = [(name, value) for name, value in _kept(request, *names) if name not in changed]
    changes = [(name, str(value)) for name, value in changed.items() if value is not None]
    return f"?{urlencode([*kept, *changes], safe=',')}"


def _kept(request: StudioRequest, *names: str) -> list[tuple[str, str]]:
    """These parameters of the query, selections as short as they can be said."""
    found = []
    for prefix in ("", "other_"):
        said = dict(_asked(request, prefix).query(prefix))
        found += [
            (name, said[name])
            for name in (f"{prefix}set", f"{prefix}p", f"{prefix}binder")
            if name in names and name in said
        ]
    return found + [(name, request.GET[name]) for name in ("level", "hue") if name in names and name in request.GET]


def _options(request: StudioRequest, chosen: PaintSet) -> list[tuple[Option, bool]]:
    options = set_options(request.studio)
    if chosen.asked.of is Of.CHOSEN:
        options.append(Option("chosen", f"Chosen: {chosen.words}"))
    return [(one, one.value == chosen.asked.word) for one in options]


def _shared(request: StudioRequest, chosen: PaintSet, found: Wheel | NextTubes | SameJobs | None) -> dict[str, Any]:
    """The sets and binders to choose among, and the query that keeps the ones chosen on the neighbouring pages."""
    context: dict[str, Any] = {
        "found": found,
        "chosen": chosen,
        "options": _options(request, chosen),
        "pick_query": chosen.asked.address() if chosen.asked.of is Of.CHOSEN else "?",
        "kept": _kept(request, "p", "level", "hue"),
        "splits": [
            Choice(
                f"Only {queries.binder_label(one.binder).lower()}, {len(one.paints) + len(one.left_out)}",
                chosen.of_binder(one.binder).address(),
                False,
            )
            for one in (chosen.palettes if chosen.refused else ())
        ],
    }
    if found is None:
        return context
    choices = [
        Choice(
            f"{one.label}, {one.paints} paint{'' if one.paints == 1 else 's'}",
            _with(request, binder=one.value),
            one.value == found.binder,
        )
        for one in found.binders
    ]
    query = replace(chosen.asked, binder=found.binder).address()
    return {**context, "choices": choices, "query": query, "how_sure": found.how_sure}


def _tubes(request: StudioRequest, found: Wheel, reached: Reach, level: int) -> list[TubeRow]:
    numbers = {drop.id: number for number, drop in enumerate(numbered(found.drops), start=1)}
    drops = {drop.id: drop for drop in found.drops}
    off = request.GET.get("without", "")
    rows = []
    for share in found.shares:
        drop = drops[share.paint.pk]
        hue = "none" if is_neutral(drop) else f"{hue_name(drop.hue).word}, {drop.hue:.0f}°"
        levels = ", ".join(map(str, sorted({level for level, _ in drop.holds})))
        place = reached.palette.index(share.paint.pk)
        rows.append(
            TubeRow(
                number=numbers[drop.id],
                share=share,
                hue=hue,
                levels=levels,
                fallen=fallen(reached, level, place),
                without=_with(request, without=share.paint.pk),
                words=_without_words(reached, place, share),
                off=str(share.paint.pk) == off,
            )
        )
    return rows


def _without_words(reached: Reach, place: int, share: Share) -> str:
    limit = colour_limit()
    left = percent(reached.without[place], limit)
    lost = regions_in_words(opened(reached.without[place], reached.chroma, limit), most=4)
    what = f"What falls away: {lost}." if lost else "The others hold up all that it reaches."
    return f"Without {share.paint.name}: {left:.1f} in 100, {share.points:.1f} points fewer. {what}"


def _wedges(request: StudioRequest, reached: Reach, level: int) -> list[tuple[Wedge, str]]:
    return [(one, _with(request, level=level, hue=one.hue)) for one in wedges(reached, level)]


def _described(found: Wheel, reached: Reach, level: int) -> str:
    """What the drawing shows, for who cannot see it."""
    cells = sectors(reached, level)
    reaching = [cell for cell in cells if cell.chroma > 0.0]
    most = max(cells, key=lambda cell: cell.chroma)
    vivid = f"; the most vivid is {most.label}" if reaching else ""
    gap = f" {found.gaps[0].sentence}" if found.gaps else ""
    return (
        f"{len(reaching)} of {len(cells)} hue sectors are reached at this value{vivid}.{gap} "
        "The table behind this drawing has every sector and every tube."
    )


def _sectors(request: StudioRequest, found: Wheel, reached: Reach, level: int) -> list[SectorRow]:
    holders: dict[float, list[str]] = {}
    for drop in found.drops:
        for at, hue in drop.holds:
            if at == level:
                holders.setdefault(hue, []).append(drop.name)
    return [
        SectorRow(
            cell,
            f"{hue_name(cell.hue).word}, {cell.hue:.0f}°",
            munsell_name(cell.hue, level),
            mixture_in_words(cell.mixture) if cell.mixture else "",
            ", ".join(holders.get(cell.hue, ())),
            _with(request, level=level, hue=round(cell.hue)),
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
