"""Mixtures, ways to a wanted colour, layers and strength of paints; asked by address, so that it can be shared."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from inventory.colour.report import report
from inventory.forms.mixing import LayersForm, MixForm, StrengthForm, WantedForm, numbers_in
from inventory.models import Binder
from inventory.queries import layers as covering
from inventory.queries import mix as mixtures
from inventory.queries import seek as seeking
from inventory.queries import strength as strengths
from inventory.queries.evidence import evidence as gathered
from inventory.queries.mix import Mix
from inventory.queries.mixable import Bench, bench
from inventory.queries.wheel import binder_label
from inventory.views.wheel import patient
from studio.access import StudioRequest, in_studio

# A script that asks for the answer alone says so in this header.
PART = "X-Part"
# Where the paints lie beside their mixture, top to bottom, in units of the drawing; a little paint is still seen.
STRIP_TOP, STRIP_HEIGHT, STRIP_LEAST = 16.0, 112.0, 10.0


@dataclass(frozen=True)
class Choice:
    """One of several views of the same page."""

    label: str
    url: str
    current: bool


@dataclass(frozen=True)
class Block:
    """A paint as drawn beside its mixture: where, how high, and its colour."""

    y: float
    height: float
    hex: str


@require_safe
@in_studio()
def mix(request: StudioRequest) -> HttpResponse:
    """What a mixture looks like, how sure that is, and its tints."""
    at = bench(request.studio, numbers_in(request.GET))
    binder = _binder(request, at)
    form = MixForm(request.GET if numbers_in(request.GET) or _asks(request, "paint_1") else None, at.of(binder))
    made = None
    if form.is_valid():
        try:
            made = mixtures.mix(at, form.given())
        except ValidationError as error:
            form.add_error(None, error.messages)
    context = {
        **_shared(request, at, binder, "mix"),
        "form": form,
        "mix": made,
        "blocks": _blocks(made) if made else [],
        "theory": mixtures.THEORY,
        "no_recipe": mixtures.NO_RECIPE,
        **_problems(request, form),
    }
    return _answer(request, "mix", context)


@require_safe
@in_studio()
def seek(request: StudioRequest) -> HttpResponse:
    """The ways from the tubes in stock to a wanted colour."""
    at = bench(request.studio)
    binder = _binder(request, at)
    form = WantedForm(request.GET if _asks(request, "text") else None)
    found = None
    if form.is_valid():
        names = ("text", "notation", "illuminant", "observer")
        try:
            wanted = seeking.read_wanted(**{name: form.cleaned_data[name] for name in names})
            found = seeking.ways_to(at, binder, wanted)
        except ValidationError as error:
            form.add_error(None, error)
    context = {
        **_shared(request, at, binder, "seek"),
        "form": form,
        "sought": found,
        "ways": [(way, _mix_url(request, found.binder, way)) for way in found.ways] if found else [],
        "no_recipe": mixtures.NO_RECIPE,
        **_problems(request, form),
    }
    return _answer(request, "seek", context)


@require_safe
@in_studio()
def layers(request: StudioRequest) -> HttpResponse:
    """A paint in films over a ground, and which tubes glaze and which hide."""
    at = bench(request.studio, numbers_in(request.GET))
    form = LayersForm(request.GET if _asks(request, "paint") else None, at)
    found = None
    if form.is_valid():
        try:
            found = covering.layered(at, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
    context = {
        **_shared(request, at, "", "layers"),
        "form": form,
        "layers": found,
        "unit": covering.UNIT,
        "untested": covering.UNTESTED,
        **_problems(request, form),
    }
    if not _wants_part(request):
        context["coverings"] = covering.coverings(at)
    return _answer(request, "layers", context)


@require_safe
@in_studio()
def strength(request: StudioRequest) -> HttpResponse:
    """Tinting strength of the paints of one binder against a chosen one."""
    at = bench(request.studio)
    binder = _binder(request, at)
    found = strengths.strengths(at, binder or Binder.UNKNOWN)
    form = StrengthForm(request.GET if _asks(request, "standard") else None, found.choices)
    if form.is_valid() and form.cleaned_data["standard"] is not None:
        try:
            found = strengths.strengths(at, binder, form.cleaned_data["standard"])
        except ValueError as error:
            form.add_error("standard", str(error))
    context = {
        **_shared(request, at, binder, "strength"),
        "form": form,
        "found": found,
        "scale": strengths.SCALE,
        **_problems(request, form),
    }
    return _answer(request, "strength", context)


@require_safe
@in_studio()
@patient
def evidence(request: StudioRequest) -> HttpResponse:
    """How good the predictions are, on figures with a source."""
    found = gathered()
    context = {"report": report(found) if found else None}
    return render(request, "inventory/mixing/evidence.html", context)


def _binder(request: StudioRequest, at: Bench) -> str:
    """The binder of the page: that of the address, that of the first paint named, or the one with most paints."""
    asked = request.GET.get("binder")
    if asked:
        if asked not in at.binders:
            there = ", ".join(binder_label(binder).lower() for binder in at.binders) or "none"
            raise Http404(f"No paint with the binder {asked[:20]!r} is in stock; there is {there}.")
        return asked
    for pk in (int(text) for text in request.GET.getlist("paint_1") if text.isascii() and text.isdecimal()):
        if pk in at.by_pk and at.by_pk[pk].paint.binder in at.binders:
            return str(at.by_pk[pk].paint.binder)
    return at.binders[0] if at.binders else ""


def _asks(request: StudioRequest, name: str) -> bool:
    return name in request.GET


def _wants_part(request: StudioRequest) -> bool:
    return request.headers.get(PART) == "answer"


def _answer(request: StudioRequest, name: str, context: dict[str, Any]) -> HttpResponse:
    """The page, or for a script the answer alone."""
    template = f"inventory/mixing/{name}_answer.html" if _wants_part(request) else f"inventory/mixing/{name}.html"
    response = render(request, template, context)
    patch_vary_headers(response, [PART])
    return response


def _shared(request: StudioRequest, at: Bench, binder: str, page: str) -> dict[str, Any]:
    """The binders to choose among, and the ways to the neighbouring pages."""
    slug = request.studio.slug
    choices = [Choice(binder_label(one), f"?{urlencode({'binder': one})}", one == binder) for one in at.binders]
    query = f"?{urlencode({'binder': binder})}" if binder else ""
    pages = [
        Choice(label, reverse(f"inventory:{name}", args=[slug]) + (query if name != "layers" else ""), name == page)
        for name, label in (
            ("mix", "Mix"),
            ("seek", "Find a colour"),
            ("layers", "Layers"),
            ("strength", "Strength"),
        )
    ]
    return {
        "at": at,
        "binder": binder,
        "binder_label": binder_label(binder) if binder else "",
        "choices": choices if binder else [],
        "pages": pages,
    }


def _problems(request: StudioRequest, form: forms.Form) -> dict[str, Any]:
    """What is wrong with a form that was sent, once: on a page the fields carry their own, an answer alone has all."""
    messages = [message for found in form.errors.values() for message in found]
    here = messages if _wants_part(request) else form.non_field_errors()
    return {"wrong": bool(messages), "problems": list(dict.fromkeys(str(message) for message in here))}


def _mix_url(request: StudioRequest, binder: str, way: seeking.Way) -> str:
    pairs: list[tuple[str, object]] = [("binder", binder)]
    for number, one in enumerate(way.ingredients, start=1):
        pairs += [(f"paint_{number}", one.paint.pk), (f"parts_{number}", one.parts)]
    return f"{reverse('inventory:mix', args=[request.studio.slug])}?{urlencode(pairs)}"


def _blocks(made: Mix) -> list[Block]:
    """The paints beside their mixture, each as high as its share."""
    used = [part for part in made.parts if part.one.seen is not None and (part.parts > 0.0 or made.told.seen is None)]
    if not used:
        return []
    heights = [max(STRIP_LEAST, part.share * STRIP_HEIGHT) for part in used]
    scale = STRIP_HEIGHT / sum(heights)
    y, blocks = STRIP_TOP, []
    for part, height in zip(used, heights, strict=True):
        assert part.one.seen is not None  # noqa: S101  # chosen above
        blocks.append(Block(round(y, 2), round(height * scale, 2), part.one.seen.hex))
        y += height * scale
    return blocks
