"""The safety page, and the rules of the house: who set them, when, on whose word."""

from typing import NamedTuple

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_http_methods, require_safe

from safety.house_forms import RuleForm, initial_of
from safety.models import HouseRule, Reach, RuleKind
from safety.queries import house as rows
from safety.rules.due import ASK
from safety.rules.questions import CONCERNS
from safety.services import house as services
from studio.access import StudioRequest, in_studio, within
from studio.models import Role


class Link(NamedTuple):
    label: str
    about: str
    url: str


# In the order of the page. What has no address yet is left out.
LINKS = (
    ("Who may use what", "Everything in stock, sorted for a group of people by the house rules.", "safety:groups"),
    ("House rules", "Who set them, when, on whose word.", "safety:house_rules"),
    ("Notices", "What is printed for each paint, and what no longer says what is known.", "safety:notices"),
    ("What hangs where", "Room by room, out of date first.", "safety:postings"),
    ("Maker's sheets", "Which tubes have none, which are old, what to ask.", "safety:sheets"),
    ("Rooms", "Places, whom to call, where oily rags go.", "safety:rooms"),
    ("Records", "What comes round and what is overdue; inspections, waste, training, the calendar.", "safety:records"),
    ("Inspections", "Who looked at what, and what is due.", "safety:inspections"),
    ("Waste", "Containers from the first drop to their collection, and what a waste tag must show.", "safety:waste"),
    ("Training and signed rules", "Who was shown the house's rules and signed.", "safety:training"),
    ("Incidents", "What went wrong, or nearly.", "safety:incidents"),
    ("What each law says", "Regime by regime, and limits with their source.", "safety:regimes"),
    ("Limits", "Figures with their citation.", "safety:limits"),
    ("What a label's codes call for", "A help to read a label by its own codes.", "safety:label_check"),
    ("Handling levels", "What the house's own levels reach.", "safety:handling_levels"),
    ("Air of a room", "A screening of solvent against a room's fresh air.", "safety:air_check"),
    ("Lists for an office", "Exports with the columns that an office wants.", "safety:exports"),
    ("Print a paper", "Posters, door sheets, class lists, labels and tags.", "safety:papers"),
)


@require_safe
@in_studio()
def safety(request: StudioRequest) -> HttpResponse:
    """What is missing in the safety record, and the ways into it."""
    context = {"gaps": rows.gaps(request.membership), "links": _links(request.studio.slug)}
    return render(request, "safety/safety.html", context)


def _links(slug: str) -> list[Link]:
    found = []
    for label, about, name in LINKS:
        try:
            found.append(Link(label, about, reverse(name, args=[slug])))
        except NoReverseMatch:
            continue
    for key, concern in CONCERNS.items():
        url = reverse("safety:health_question", args=[slug, key])
        found.append(Link(f"“{concern.question}”", "What the records say; neither yes nor no.", url))
    return found


@require_safe
@in_studio()
def house_rules(request: StudioRequest) -> HttpResponse:
    """The rules by kind, those that hold and those that ended."""
    context = {
        "kinds": rows.house_rules(request.studio),
        "not_set": ASK,
        "may_decide": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/house_rules.html", context)


class Shape(NamedTuple):
    """What a rule can look like. It says nothing of what the rule should be."""

    label: str
    kind: str
    reach: str = ""


SHAPES = (
    Shape("A group uses only what carries a seal", RuleKind.BAN, Reach.NO_SEAL),
    Shape("A seal keeps it from a group", RuleKind.BAN, Reach.SEAL),
    Shape("A metal keeps it from a group", RuleKind.BAN, Reach.METAL),
    Shape("A hazard statement keeps it from a group", RuleKind.BAN, Reach.CODE),
    Shape("A pigment keeps it from a group", RuleKind.BAN, Reach.PIGMENT),
    Shape("A form, such as a solvent, keeps it from a group", RuleKind.BAN, Reach.FORM),
    Shape("A handling level keeps it from a group", RuleKind.BAN, Reach.LEVEL),
    Shape("Whatever has no maker's data is kept from a group", RuleKind.BAN, Reach.NO_DATA),
    Shape("One paint or material is kept from a group", RuleKind.BAN, Reach.ITEM),
    Shape("Everything is kept from a group", RuleKind.BAN, Reach.EVERYTHING),
    Shape("A group is warned of a metal", RuleKind.WARN, Reach.METAL),
    Shape("A group is warned of a hazard statement", RuleKind.WARN, Reach.CODE),
    Shape("A group is warned of a pigment", RuleKind.WARN, Reach.PIGMENT),
    Shape("A group is warned of a form, such as a solvent", RuleKind.WARN, Reach.FORM),
    Shape("A group is warned of a seal", RuleKind.WARN, Reach.SEAL),
    Shape("A group is warned of a handling level", RuleKind.WARN, Reach.LEVEL),
    Shape("A group is warned of one paint or material", RuleKind.WARN, Reach.ITEM),
    Shape("A group is warned of whatever has no maker's data", RuleKind.WARN, Reach.NO_DATA),
    Shape("A group is warned of whatever does not carry a seal", RuleKind.WARN, Reach.NO_SEAL),
    Shape("A group is warned of everything", RuleKind.WARN, Reach.EVERYTHING),
    Shape("Somebody looks at something every so many days", RuleKind.INTERVAL),
    Shape("No more than an amount may be here", RuleKind.LIMIT),
    Shape("Labels and tags must show something, or must not", RuleKind.FIELD),
    Shape("Words of the house stand on every notice", RuleKind.WORDING),
)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def rule_add(request: StudioRequest) -> HttpResponse:
    """First the shape of the rule, then only what that shape needs."""
    kind, reach = request.GET.get("kind", ""), request.GET.get("reach", "")
    if not kind and not reach:
        # A handling level is set where its table is shown.
        by_kind = [(one, [shape for shape in SHAPES if shape.kind == one]) for one in RuleKind if one != RuleKind.LEVEL]
        return render(request, "safety/house_rule_shapes.html", {"kinds": by_kind})
    shape = next((one for one in SHAPES if (one.kind, one.reach) == (kind, reach)), None)
    if shape is None:
        raise Http404(f"There is no rule of the kind {kind[:20]!r} that goes by {reach[:20]!r}.")
    form = RuleForm(request.POST if request.method == "POST" else None, studio=request.studio, kind=kind, reach=reach)
    if form.is_valid():
        try:
            rule = services.set_rule(request.studio, form.given(), by=request.user)
        except ValidationError as error:
            form.take(error)
        else:
            return _saved(request, rule, "The rule is recorded")
    context = {"form": form, "title": "A new house rule", "why": f"{shape.label}.", "action": "Record the rule"}
    return render(request, "safety/house_form.html", context, status=422 if form.errors else 200)


def _saved(request: StudioRequest, rule: HouseRule, words: str) -> HttpResponse:
    hung = " What hangs no longer says it: make the notices anew." if rule.kind == RuleKind.WORDING else ""
    messages.success(request, f"{words}: {rule.text}{'' if rule.text.endswith('.') else '.'}{hung}")
    return redirect("safety:house_rules", request.studio.slug)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def rule_replace(request: StudioRequest, pk: int) -> HttpResponse:
    older = _standing(request, pk)
    form = RuleForm(
        request.POST if request.method == "POST" else None,
        initial=initial_of(older),
        studio=request.studio,
        kind=older.kind,
        reach=older.reach,
    )
    if form.is_valid():
        try:
            rule = services.replace_rule(older, form.given(), by=request.user)
        except ValidationError as error:
            form.take(error)
        else:
            return _saved(request, rule, "The rule is replaced; the older one stays in the history")
    why = (
        f"“{older.text}” holds since {older.set_on.isoformat()}, on the word of {older.on_whose_word}. "
        "It ends when you record the new one, and stays in the history."
    )
    context = {"form": form, "title": "Replace a house rule", "why": why, "action": "Replace the rule"}
    return render(request, "safety/house_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def rule_end(request: StudioRequest, pk: int) -> HttpResponse:
    """Asks first; a rule that ended is set anew, not brought back."""
    rule = _standing(request, pk)
    if request.method == "POST":
        try:
            services.end_rule(rule, by=request.user)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
            return redirect("safety:house_rules", request.studio.slug)
        return _saved(request, rule, "The rule holds no more and stays in the history")
    return render(request, "safety/house_rule_end.html", {"rule": rule})


def _standing(request: StudioRequest, pk: int) -> HouseRule:
    found = within(HouseRule.objects, request.studio).prefetch_related("groups").select_related("recorded_by")
    return get_object_or_404(found, pk=pk)
