"""Which tubes a lesson sets out, and how much a head."""

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.lessons import AmountsForm, HouseRuleForm, RuleForm
from inventory.models import AmountRule, Item, Lesson
from inventory.queries.lessons import lists
from inventory.services import lessons as services
from inventory.views.lessons.pages import found, refuse_on, rights
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def paints(request: StudioRequest, pk: int) -> HttpResponse:
    """Tick what is set out; what a house rule keeps from the group cannot be ticked."""
    one = found(request, pk)
    wrong = forms.Form(request.POST or None)
    if request.method == "POST" and wrong.is_valid():
        ticked = [int(text) for text in request.POST.getlist("item") if text.isdecimal() and len(text) < 19]
        try:
            services.set_paints(one, Item.objects.of(request.studio).filter(pk__in=ticked).order_by("sort_name", "pk"))
        except ValidationError as error:
            refuse_on(wrong, error)
        else:
            messages.success(request, "These are set out. Say how much each student is given.")
            return redirect("inventory:lesson_amounts", request.studio.slug, pk)
    context = {"lesson": one, "shelves": lists.choices(request.studio, one), "form": wrong}
    return render(request, "inventory/lessons/paints.html", context, status=422 if wrong.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def amounts(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = AmountsForm(request.POST or None, lines=one.paints.all())
    if request.method == "POST" and form.is_valid():
        try:
            services.set_amounts(one, form.amounts())
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, "The amounts are noted.")
            return redirect("inventory:lesson", request.studio.slug, pk)
    return _amounts_page(request, one, form=form)


def _amounts_page(request: StudioRequest, one: Lesson, **given: forms.Form) -> HttpResponse:
    lines = list(one.paints.all())
    context = {
        "lesson": one,
        "lines": lines,
        "form": given.get("form") or AmountsForm(lines=lines),
        "rule": given.get("rule") or RuleForm(studio=request.studio, lines=lines),
        "rule_is_open": "rule" in given,
    }
    wrong = any(form.errors for form in given.values())
    return render(request, "inventory/lessons/amounts.html", context, status=422 if wrong else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def from_history(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    try:
        lacking = services.amounts_from_history(one)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, "Amounts are what this house used a head, wherever it recorded a lesson.")
        if lacking:
            messages.warning(request, f"No lesson with these was recorded yet: {', '.join(lacking)}.")
    return redirect("inventory:lesson_amounts", request.studio.slug, pk)


@require_POST
@access.in_studio(Role.TEACHER)
def by_rule(request: StudioRequest, pk: int) -> HttpResponse:
    one = found(request, pk)
    form = RuleForm(request.POST, studio=request.studio, lines=one.paints.all())
    if form.is_valid():
        asked = form.reckoning()
        try:
            words = services.amounts_by_rule(one, **asked)
            if form.cleaned_data["keep"]:
                kept = {name: asked[name] for name in ("milli_per_m2", "source")}
                services.add_rule(request.studio, name=asked["rule"], by=request.user, **kept)
        except ValidationError as error:
            refuse_on(form, error)
        else:
            messages.success(request, f"Reckoned: {words}, by {asked['rule']} ({asked['source']}).")
            return redirect("inventory:lesson_amounts", request.studio.slug, pk)
    return _amounts_page(request, one, rule=form)


@require_http_methods(["GET", "POST"])
@access.in_studio()
def rules(request: StudioRequest) -> HttpResponse:
    """The rules of area and coats that this house keeps; none ships with the program."""
    form = HouseRuleForm(request.POST or None)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
        gone = request.POST.get("remove", "")
        if gone.isdecimal() and len(gone) < 19:
            rule = get_object_or_404(AmountRule.objects.filter(studio=request.studio), pk=int(gone))
            services.remove_rule(rule)
            messages.success(request, f"{rule} is removed; lessons that were reckoned with it keep its numbers.")
            return redirect("inventory:amount_rules", request.studio.slug)
        if form.is_valid():
            data = form.cleaned_data
            try:
                services.add_rule(
                    request.studio,
                    name=data["name"],
                    milli_per_m2=data["rule"],
                    source=data["source"],
                    binder=data["binder"],
                    by=request.user,
                )
            except ValidationError as error:
                refuse_on(form, error)
            else:
                messages.success(request, f"{data['name']} is a rule of this house now.")
                return redirect("inventory:amount_rules", request.studio.slug)
    rows = [
        (rule, f"{rule.milli_per_m2 / 1000:g}")
        for rule in AmountRule.objects.filter(studio=request.studio).select_related("set_by")
    ]
    context = {"rules": rows, "form": form, **rights(request)}
    return render(request, "inventory/lessons/rules.html", context, status=422 if form.errors else 200)
