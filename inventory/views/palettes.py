"""Pages of palettes: designed or chosen by hand, saved, and looked at for warmth, greys, layers and mixtures."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.palettes import CountField, DesignForm, PaletteForm, read_a_head
from inventory.models import Palette
from inventory.printing.mixing_chart import ChartSheet, Row, Square, as_pdf
from inventory.queries import layers as covering_words
from inventory.queries.mix import NO_RECIPE
from inventory.queries.palettes import palettes_of
from inventory.queries.palettes import temperature as warmth
from inventory.queries.palettes.analysis import MOST_PEOPLE, USUAL_A_HEAD_MILLI, Analysis, analysed
from inventory.queries.palettes.chart import HONEST, Chart, chart_of
from inventory.queries.palettes.covering import covered
from inventory.queries.palettes.design import designed, in_order
from inventory.queries.palettes.neutral import greys_of
from inventory.queries.palettes.tubes import Choosable, Laid, laid_by_keys, laid_of, paints_at_hand, read_keys
from inventory.queries.wheel import binder_label
from inventory.queries.wheel_drawing import draw
from inventory.services import palettes as services
from inventory.views.buying.suppliers import refuse
from inventory.views.wheel import patient
from studio.access import StudioRequest, in_studio, require
from studio.models import Role
from studio.printing.paper import PAPERS

LEVEL = 50


@require_safe
@in_studio()
def palettes(request: StudioRequest) -> HttpResponse:
    """The saved palettes, and the two ways to a new one."""
    context = {
        "palettes": palettes_of(request.studio),
        "removed": palettes_of(request.studio, removed=True),
        "may_plan": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/palettes/list.html", context)


@require_safe
@in_studio()
@patient
def design(request: StudioRequest) -> HttpResponse:
    """Which tubes reach most of the wheel under the rules; asked by address."""
    form = DesignForm(request.GET if request.GET else None, request.studio)
    answer = designed(request.studio, form.asked()) if form.is_valid() else None
    context: dict[str, Any] = {
        "form": form,
        "answer": answer,
        "asked": bool(request.GET),
        "may_plan": request.membership.may(Role.TEACHER),
    }
    if answer and answer.analysis:
        question = request.GET.urlencode()
        group = answer.asked.group
        name = f"{answer.binder_label} {answer.asked.size}{f' for {group}' if group else ''}"
        context |= _analysis(answer.analysis) | {
            "keys": answer.keys,
            "question": question,
            "save_form": PaletteForm(None, request.studio, name=name, group=group),
            "by_hand": f"{reverse('inventory:palette_new', args=[request.studio.slug])}?"
            + urlencode([("p", ",".join(answer.keys))], safe=","),
        }
    return render(request, "inventory/palettes/design.html", context, status=200)


@require_http_methods(["GET", "HEAD", "POST"])
@in_studio()
@patient
def new(request: StudioRequest) -> HttpResponse:
    """Tubes chosen by hand: what they reach, and a name to save them under."""
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    given = request.POST if request.method == "POST" else request.GET
    keys, problem = _keys(given)
    laid = Laid("", ())
    if not problem:
        try:
            laid = laid_by_keys(request.studio, keys, None)
        except ValueError as error:
            problem = str(error)
    form = PaletteForm(request.POST if request.method == "POST" else None, request.studio)
    problem = problem or (_gone(laid) if request.method == "POST" else "")
    if request.method == "POST" and problem:
        form.add_error(None, problem)
    elif form.is_valid():
        try:
            made = services.save_palette(
                request.studio, lines=_lines(laid.tubes), binder=laid.binder, by=request.user,
                asked=_kept(request.POST.get("question", "")), **form.cleaned_data,
            )  # fmt: skip
        except ValidationError as error:
            refuse(form, error)
        else:
            messages.success(request, f"{made} is saved.")
            return redirect("inventory:palette", request.studio.slug, made.pk)
    context: dict[str, Any] = {
        "form": form,
        "keys": keys,
        "problem": problem if request.method != "POST" else "",
        "groups": _tickable(request, laid.tubes),
        "ticked": set(keys),
        "question": given.get("question", ""),
        "may_plan": request.membership.may(Role.TEACHER),
    }
    if laid.tubes:
        context |= _analysis(analysed(request.studio, laid))
    return render(request, "inventory/palettes/new.html", context, status=422 if form.errors else 200)


@require_safe
@in_studio()
@patient
def palette(request: StudioRequest, pk: int) -> HttpResponse:
    """A saved palette: its tubes, what each adds, what it cannot reach, and what it costs."""
    found = _palette(request, pk)
    people, a_head, problems = _heads(request, found)
    analysis = analysed(request.studio, laid_of(found), people=people, a_head_milli=a_head)
    context = {
        **_shared(request, found, "palette"),
        **_analysis(analysis),
        "people": request.GET.get("people", people),
        "a_head": request.GET.get("a_head", f"{a_head / 1000:g}"),
        "problems": problems,
        "design_query": found.asked.get("question", "") if isinstance(found.asked, dict) else "",
    }
    return render(request, "inventory/palettes/palette.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_studio(Role.TEACHER)
def change(request: StudioRequest, pk: int) -> HttpResponse:
    """Another name, group, note or other tubes."""
    found = _palette(request, pk)
    laid = laid_of(found)
    keys, problem = tuple(one.key for one in laid.tubes), ""
    form = PaletteForm(request.POST if request.method == "POST" else None, request.studio, found)
    if request.method == "POST":
        keys, problem = _keys(request.POST)
        if not problem:
            try:
                laid = laid_by_keys(request.studio, keys, None, found.binder)
            except ValueError as error:
                problem = str(error)
            problem = problem or _gone(laid)
        if problem:
            form.add_error(None, problem)
        elif form.is_valid():
            try:
                services.change_palette(found, lines=_lines(laid.tubes), **form.cleaned_data)
            except ValidationError as error:
                refuse(form, error)
            else:
                messages.success(request, f"{form.cleaned_data['name']} is changed.")
                return redirect("inventory:palette", request.studio.slug, found.pk)
    context = {
        "palette": found,
        "form": form,
        "groups": _tickable(request, laid.tubes, found.binder),
        "ticked": set(keys),
        "notes": laid.notes,
    }
    return render(request, "inventory/palettes/change.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.TEACHER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Palette.objects.filter(studio=request.studio), pk=pk)
    if services.remove_palette(found):
        messages.success(request, f"{found} is off the list. Lessons that used it keep it; it can be brought back.")
    else:
        messages.info(request, f"{found} was taken away already; nothing was changed.")
    return redirect("inventory:palettes", request.studio.slug)


@require_POST
@in_studio(Role.TEACHER)
def bring_back(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Palette.objects.filter(studio=request.studio), pk=pk)
    try:
        back = services.bring_back_palette(found)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        if back:
            messages.success(request, f"{found} is on the list again.")
    return redirect("inventory:palettes", request.studio.slug)


@require_safe
@in_studio()
def temperature(request: StudioRequest, pk: int) -> HttpResponse:
    """The tubes from warm to cool and from light to dark, and a string held at one value."""
    found = _palette(request, pk)
    laid = laid_of(found)
    rows = warmth.placed(laid)
    string, problem = None, ""
    first, second = request.GET.get("from", ""), request.GET.get("to", "")
    text = request.GET.get("value", "")
    if first or second or text:
        try:
            string = warmth.string_of(laid, first, second, _value(text))
        except ValueError as error:
            problem = str(error)
    values = range(warmth.LEAST_VALUE, warmth.MOST_VALUE + 1)
    context = {
        **_shared(request, found, "temperature"),
        "laid": laid,
        "rows": rows,
        "by_value": warmth.light_to_dark(rows),
        "order": warmth.ORDER,
        "string": string,
        "problem": problem,
        "first": first,
        "second": second or (rows[-1].tube.key if rows else ""),
        "value": text or "5",
        "values": [str(value) for value in values],
        "no_recipe": NO_RECIPE,
    }
    return render(request, "inventory/palettes/temperature.html", context)


@require_safe
@in_studio()
@patient
def neutrals(request: StudioRequest, pk: int) -> HttpResponse:
    """Where the tubes meet in a grey or a brown, and what a third and a fourth paint do to chroma."""
    found = _palette(request, pk)
    laid = laid_of(found)
    context = {
        **_shared(request, found, "neutrals"),
        "laid": laid,
        "greys": greys_of(laid) if laid.known else None,
        "no_recipe": NO_RECIPE,
    }
    return render(request, "inventory/palettes/neutrals.html", context)


@require_safe
@in_studio()
def layers(request: StudioRequest, pk: int) -> HttpResponse:
    """How each tube covers, in several thicknesses over black, white or a dry coat of another."""
    found = _palette(request, pk)
    laid = laid_of(found)
    over, problem = request.GET.get("over", ""), ""
    try:
        shown = covered(laid, over)
    except ValueError as error:
        problem, shown = str(error), covered(laid)
    context = {
        **_shared(request, found, "layers"),
        "laid": laid,
        "shown": shown,
        "problem": problem,
        "unit": covering_words.UNIT,
        "untested": covering_words.UNTESTED,
    }
    return render(request, "inventory/palettes/layers.html", context)


@require_safe
@in_studio()
@patient
def chart(request: StudioRequest, pk: int) -> HttpResponse:
    """Every pair at several ratios, alone and with white."""
    found = _palette(request, pk)
    laid = laid_of(found)
    context = {
        **_shared(request, found, "chart"),
        "laid": laid,
        "chart": chart_of(laid) if laid.known else None,
        "papers": list(PAPERS),
        "honest": HONEST,
    }
    return render(request, "inventory/palettes/chart.html", context)


@require_safe
@in_studio()
@patient
def chart_pdf(request: StudioRequest, pk: int) -> HttpResponse:
    """The same to print, with blank squares to paint."""
    found = _palette(request, pk)
    size = request.GET.get("paper", "A4")
    if size not in PAPERS:
        raise Http404(f"There is no paper {size!r}; there are {', '.join(PAPERS)}.")
    laid = laid_of(found)
    if not laid.known:
        # The page says why there is nothing to print.
        return redirect("inventory:palette_chart", request.studio.slug, found.pk)
    return printed_chart(request, str(found), laid, size)


def printed_chart(request: StudioRequest, title: str, laid: Laid, size: str) -> HttpResponse:
    """The chart of these tubes as a PDF; some of them have to be of known colour."""
    sheet = chart_sheet(str(request.studio), title, laid, chart_of(laid))
    answer = HttpResponse(as_pdf(sheet, page_size=size), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{slugify(f"mixing chart {title}") or "mixing-chart"}.pdf"'
    return answer


def chart_sheet(studio: str, title: str, laid: Laid, chart: Chart) -> ChartSheet:
    """Everything that the printed chart says."""
    what = f"{binder_label(laid.binder)}; white: {chart.white}. {len(chart.pairs)} pairs."
    return ChartSheet(
        title=f"Mixing chart: {title}",
        studio=studio,
        made_on=timezone.localdate(),
        lines=(what, *laid.notes, *(f"{one.name}: {one.reason}" for one in laid.unknown), *chart.notes, HONEST),
        headings=chart.headings,
        rows=tuple(
            Row(
                (f"{pair.first.name}:", pair.second.name),
                tuple(Square(one.seen.hex, one.short, one.seen.clipped) for one in pair.squares),
            )
            for pair in chart.pairs
        ),
        alone=tuple(
            Row((one.name, one.codes), (Square(seen.hex, f"L* {seen.L:.0f}", seen.clipped),))
            for one, seen in chart.alone
        ),
    )


def _palette(request: StudioRequest, pk: int) -> Palette:
    return get_object_or_404(palettes_of(request.studio).select_related("studio"), pk=pk)


def _shared(request: StudioRequest, palette: Palette, current: str) -> dict[str, Any]:
    pages = (
        ("palette", "Palette"),
        ("temperature", "Warm and cool"),
        ("neutrals", "Greys and browns"),
        ("layers", "Layers"),
        ("chart", "Mixing chart"),
    )
    names = {name: "palette" if name == "palette" else f"palette_{name}" for name, _ in pages}
    return {
        "palette": palette,
        "pages": [
            {
                "label": label,
                "url": reverse(f"inventory:{names[name]}", args=[request.studio.slug, palette.pk]),
                "current": name == current,
            }
            for name, label in pages
        ],
        "binder_label": binder_label(palette.binder),
        "may_plan": request.membership.may(Role.TEACHER),
    }


def _analysis(analysis: Analysis) -> dict[str, Any]:
    context: dict[str, Any] = {"analysis": analysis}
    if analysis.reached is not None:
        context["drawing"] = draw(analysis.reached, LEVEL)
        context["drawing_words"] = f"What the palette reaches at value L* {LEVEL}."
    return context


def _keys(data: QueryDict) -> tuple[tuple[str, ...], str]:
    try:
        return read_keys(data.getlist("p")), ""
    except ValueError as error:
        return (), str(error)


def _gone(laid: Laid) -> str:
    """What was taken off the lists while somebody chose: told before anything is saved without it."""
    return f"{' '.join(laid.notes)} Look at what is ticked, and save it again." if laid.notes else ""


def _lines(tubes: Sequence[Choosable]) -> list[services.Line]:
    """The tubes as the service takes them, white first and then from warm to cool."""
    return [services.Line(one.paint, one.row, one.role) for one in sorted(tubes, key=in_order)]


def _kept(question: str) -> dict[str, Any]:
    """What a designed palette was asked for, so that it can be designed again."""
    if not question or len(question) > 2000:
        return {}
    data = QueryDict(question)
    return {"question": data.urlencode(), "people": data.get("people", "")[:3], "a_head": data.get("a_head", "")[:8]}


def _tickable(request: StudioRequest, chosen: Sequence[Choosable], binder: str = "") -> list[tuple[str, list[Any]]]:
    """What can be ticked, under its binder: paints in stock, and whatever is chosen already."""
    groups: dict[str, list[Any]] = {}
    there = set()
    for paint in paints_at_hand(request.studio):
        if binder and paint.binder != binder:
            continue
        there.add(str(paint.pk))
        codes = " + ".join(line.code for line in paint.pigment_lines.all())
        groups.setdefault(binder_label(paint.binder), []).append((str(paint.pk), paint.name, codes, ""))
    for one in chosen:
        if one.key not in there:
            word = "nothing usable in stock" if one.paint is not None else "to buy"
            label = one.paint.get_binder_display() if one.paint is not None else "Pigments to buy"
            groups.setdefault(label, []).append((one.key, one.name, one.codes, word))
    return list(groups.items())


def _heads(request: StudioRequest, palette: Palette) -> tuple[int, int, list[str]]:
    """For how many people and how much paint a head, as asked or as the palette was designed."""
    kept = palette.asked if isinstance(palette.asked, dict) else {}
    problems = []
    people, a_head = 1, USUAL_A_HEAD_MILLI
    asked_people = request.GET.get("people", kept.get("people", "")) or "1"
    asked_head = request.GET.get("a_head", kept.get("a_head", "")) or ""
    try:
        people = CountField("People", least=1, most=MOST_PEOPLE, usual=1).clean(str(asked_people))
    except ValidationError as error:
        problems += error.messages
    try:
        a_head = read_a_head(str(asked_head))
    except ValidationError as error:
        problems += error.messages
    return people, a_head, problems


def _value(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 3):
        raise ValueError(
            f"Value: {text!r} is no whole number. Enter {warmth.LEAST_VALUE} to {warmth.MOST_VALUE}, such as 5."
        )
    return int(text)
