"""What each regime says of a pigment, limits, a help to read a label, and the handling levels of this house."""

import re

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from safety.models import HouseRule, RuleKind
from safety.queries import facts as known
from safety.queries import levels as placed
from safety.queries import regimes as rows
from safety.queries.house import goes_by, item_names
from safety.queries.reference import phrasebook
from safety.regime_forms import WORK, LabelCheckForm, LevelRuleForm, SearchForm
from safety.rules import label_check as rules
from safety.rules import levels as table
from safety.rules.lists import places_of
from safety.rules.mixtures import ASK
from safety.rules.regimes import apart, earth_question, metal_words, side_by_side, where_held
from safety.rules.statements import split_cell
from safety.services import levels as services
from studio.access import StudioRequest, in_studio, within
from studio.models import Role

A_PAGE = 50
EARTHS = ("umber", "sienna")
# Servers refuse a first line of some 4,000 characters; what is shared should pass through mail as well.
LONGEST_ADDRESS = 2000
_CODE = re.compile(r"(?i)[PN](?:W|Y|O|R|V|B|G|Br|Bk)\d{1,3}(?::\d)?")


@require_safe
@in_studio()
def regimes(request: StudioRequest) -> HttpResponse:
    """Find a pigment by code, name, number or CAS number; unasked, those that this studio keeps."""
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    return render(
        request,
        "safety/regimes.html",
        {
            "form": form,
            "words": words,
            "found": rows.find_pigments(words) if words else (),
            "kept": () if words else rows.pigments_kept(request.studio),
        },
    )


@require_safe
@in_studio()
def regime(request: StudioRequest, code: str) -> HttpResponse:
    """Every regime about one pigment, the studio's own place first."""
    if not _CODE.fullmatch(code):
        raise Http404(f"{code} is not a Colour Index name.")
    pigment, facts = rows.pigment_facts(code)
    earth = request.GET.get("earth", "")
    earth = earth if earth in EARTHS else ""
    place = request.studio.jurisdiction
    return render(
        request,
        "safety/regimes_pigment.html",
        {
            "code": facts.code,
            "pigment": pigment,
            "cas": split_cell(pigment.cas) if pigment else (),
            "blocks": side_by_side(facts, place, earth),
            "order": where_held(place),
            "apart": apart(facts.code),
            "earth": earth,
            "earths": EARTHS,
            "earth_question": earth_question(facts.code, earth),
            "metals": metal_words(facts, earth),
            "paints": rows.paints_with(request.studio, facts.code),
        },
    )


@require_safe
@in_studio()
def limits(request: StudioRequest) -> HttpResponse:
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    place = request.studio.jurisdiction
    return render(
        request,
        "safety/limits.html",
        {
            "form": form,
            "words": words,
            "groups": rows.limit_groups(place, words, places_of(place)),
            "order": where_held(place),
        },
    )


@require_http_methods(["GET", "POST"])
@in_studio()
def label_check(request: StudioRequest) -> HttpResponse:
    """What a label's own codes call for, by its address, so that an answer can be shared.

    The form is posted: what is too long for an address is answered without one.
    """
    sent = request.method == "POST"
    form = LabelCheckForm(request.POST if sent else request.GET if "codes" in request.GET else None)
    answer = None
    if form.is_valid():
        asked = form.cleaned_data
        address = f"{request.path}?{urlencode({name: request.POST.get(name, '') for name in form.fields})}"
        if sent and len(address) <= LONGEST_ADDRESS:
            return redirect(address)
        answer = rules.check(
            asked["codes"],
            phrasebook(),
            sensitisers=asked["sensitisers"],
            size=asked["size"],
            unit=asked["unit"] or "ml",
            to_the_public=asked["sold_to"] != WORK,
            ingredients=asked["ingredients"],
        )
    context = {"form": form, "answer": answer, "ask": ASK}
    return render(request, "safety/label_check.html", context, status=422 if sent and form.errors else 200)


@require_safe
@in_studio()
def levels(request: StudioRequest) -> HttpResponse:
    """The levels, the table with what this house set instead, and where each thing in stock stands."""
    house = placed.level_rules(request.studio)
    names = item_names(request.studio, house)
    found = list(known.in_stock(request.studio))
    placings = placed.placings(request.studio, found, known.facts_of(found))
    page = Paginator(placed.by_reasons(found, placings), A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "safety/levels.html",
        {
            "levels": table.LEVELS,
            "table": table.TABLE,
            "reaches": table.REACHES,
            "house": [(rule, goes_by(rule, names)) for rule in house],
            "strange": [rule for rule in house if rule.level not in table.BY_WORD],
            "page": page,
            "ended": _ended(request),
            "may_change": request.membership.may(Role.KEEPER),
        },
    )


def _ended(request: StudioRequest) -> list[HouseRule]:
    """The rules that held before, the latest first."""
    ended = HouseRule.objects.of(request.studio).filter(kind=RuleKind.LEVEL, ended_at__isnull=False)
    return list(ended.select_related("ended_by", "recorded_by").order_by("-ended_at", "-pk")[:A_PAGE])


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def level_rule(request: StudioRequest) -> HttpResponse:
    """Set a level for something, in place of the table's own line or of an older rule for the same."""
    initial = {name: request.GET[name] for name in ("reach", "values", "item", "level") if name in request.GET}
    form = LevelRuleForm(request.studio, request.POST if request.method == "POST" else None, initial=initial)
    if form.is_valid():
        try:
            rule = services.set_level_rule(request.studio, by=request.user, **form.given)
        except ValidationError as error:
            form.take_errors(error)
        else:
            again = " It replaces the older rule for the same." if rule.replaces_id else ""
            messages.success(request, f"Set: {rule}{again}")
            return redirect("safety:handling_levels", request.studio.slug)
    return render(request, "safety/levels_form.html", {"form": form})


@require_POST
@in_studio(Role.KEEPER)
def level_end(request: StudioRequest, pk: int) -> HttpResponse:
    rule = get_object_or_404(within(HouseRule.objects.filter(kind=RuleKind.LEVEL), request.studio), pk=pk)
    try:
        services.end_level_rule(rule, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Ended: {rule} The table's own line counts again.")
    return redirect("safety:handling_levels", request.studio.slug)
