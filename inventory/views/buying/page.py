"""What to buy: what is short, what is wanted, and the list on paper and as a table."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.exchange.writing import write_csv
from inventory.forms.buying import NumberForm, OrderDayForm, SubstituteForm, WantForm
from inventory.models import Item, OrderDay, Substitute, Want
from inventory.printing import requisition as printed
from inventory.queries.buying import requisition as lists
from inventory.queries.buying import suppliers as reads
from inventory.queries.buying import wants as queries
from inventory.services import buying as services
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role
from studio.printing.paper import PAPERS, usual_paper


@require_safe
@access.in_studio()
def buying(request: StudioRequest) -> HttpResponse:
    context = {
        "page": queries.buying_page(request.studio),
        "form": WantForm(studio=request.studio),
        **_rights(request),
    }
    return render(request, "inventory/buying/page.html", context)


def _rights(request: StudioRequest) -> dict[str, bool]:
    return {
        "may_write": request.membership.may(Role.MEMBER),
        "may_plan": request.membership.may(Role.TEACHER),
        "may_decide": request.membership.may(Role.KEEPER),
    }


@require_POST
@access.in_studio(Role.MEMBER)
def want(request: StudioRequest) -> HttpResponse:
    """Put something on the list: one tap beside advice, which may name several sizes, or the form below it."""
    forms = [WantForm(data, studio=request.studio) for data in _by_size(request.POST)]
    form = next((one for one in forms if not one.is_valid()), forms[0])
    if form.is_valid():
        try:
            lines = services.want_each(request.studio, [one.fields_of_want() for one in forms], by=request.user)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            number = sum(line.containers for line in lines)
            messages.success(request, f"{number} of {lines[0].words} {_is(number)} on the list.")
            return _back(request, "inventory:buying")
    context = {"page": queries.buying_page(request.studio), "form": form, **_rights(request)}
    return render(request, "inventory/buying/page.html", context, status=422)


def _by_size(data: QueryDict) -> list[dict[str, Any]]:
    """The form once for each size that it names."""
    sizes = list(zip(data.getlist("containers"), data.getlist("size"), strict=False))[:20]
    return [{**data.dict(), "containers": number, "size": size} for number, size in sizes] or [data.dict()]


def _is(number: int) -> str:
    return "is" if number == 1 else "are"


def _back(request: StudioRequest, name: str) -> HttpResponse:
    """To the page that the form names, if it is one of ours; else to the page of this name."""
    back = request.POST.get("back", "")
    if back and url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect(name, request.studio.slug)


@require_POST
@access.in_studio(Role.MEMBER)
def want_change(request: StudioRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(Want.objects.filter(studio=request.studio), pk=pk)
    form = NumberForm(request.POST)
    if form.is_valid():
        try:
            services.change_want(line, containers=form.cleaned_data["number"])
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
        else:
            messages.success(request, f"{line.words}: {line.containers} on the list now.")
    else:
        messages.error(request, f"{line.words}: {' '.join(map(str, form.errors['number']))}")
    return redirect("inventory:buying", request.studio.slug)


@require_POST
@access.in_studio(Role.MEMBER)
def want_drop(request: StudioRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(Want.objects.filter(studio=request.studio), pk=pk)
    if services.drop_want(line):
        messages.success(request, f"{line.words} is off the list.")
    else:
        messages.error(request, f"{line.words} was ordered or dropped meanwhile; nothing was changed.")
    return redirect("inventory:buying", request.studio.slug)


@require_safe
@access.in_studio()
def requisition_pdf(request: StudioRequest) -> HttpResponse:
    return as_pdf(request, lists.requisition(request.studio), "what-to-buy")


@require_safe
@access.in_studio()
def requisition_csv(request: StudioRequest) -> HttpResponse:
    return as_csv(lists.requisition(request.studio), "what-to-buy")


def as_pdf(request: StudioRequest, content: printed.Requisition, name: str) -> HttpResponse:
    paper = request.GET.get("paper", "")
    data = printed.render(content, page_size=paper if paper in PAPERS else usual_paper(request.studio.jurisdiction))
    response = HttpResponse(data, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    response["Cache-Control"] = "no-store"
    return response


def as_csv(content: printed.Requisition, name: str) -> HttpResponse:
    response = HttpResponse(write_csv(printed.requisition_rows(content), bom=True), content_type="text/csv")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    response["Cache-Control"] = "no-store"
    return response


@require_http_methods(["GET", "POST"])
@access.in_studio()
def order_days(request: StudioRequest) -> HttpResponse:
    """The order dates of the house, and a form for another."""
    if request.method == "POST":
        require(request.membership, Role.KEEPER)
    form = OrderDayForm(request.POST or None, studio=request.studio)
    if form.is_valid():
        try:
            day = services.add_order_day(request.studio, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("on", ValidationError(error.messages))
        else:
            messages.success(request, f"{day.on:%-d %B %Y} is an order date now.")
            return redirect("inventory:order_days", request.studio.slug)
    context = {"days": reads.order_days(request.studio), "form": form, **_rights(request)}
    return render(request, "inventory/buying/order_days.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.KEEPER)
def order_day_remove(request: StudioRequest, pk: int) -> HttpResponse:
    day = get_object_or_404(OrderDay.objects.filter(studio=request.studio), pk=pk)
    services.remove_order_day(day)
    messages.success(request, f"{day.on:%-d %B %Y} is no order date any more.")
    return redirect("inventory:order_days", request.studio.slug)


@require_http_methods(["GET", "POST"])
@access.in_studio()
def substitutes(request: StudioRequest, pk: int) -> HttpResponse:
    """What may be bought in place of a paint or material, and what may not."""
    item = get_object_or_404(Item.objects.of(request.studio).select_related("paint"), pk=pk)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    form = SubstituteForm(request.POST or None)
    if form.is_valid():
        try:
            line = services.add_substitute(item, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            said = "may be bought instead" if line.accepted else "is not to be bought"
            messages.success(request, f"{line.words} {said} of {item}." if line.accepted else f"{line.words} {said}.")
            return redirect("inventory:substitutes", request.studio.slug, item.pk)
    context = {"item": item, "buying": queries.of_item(request.studio, item), "form": form, **_rights(request)}
    return render(request, "inventory/buying/substitutes.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.TEACHER)
def substitute_remove(request: StudioRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(Substitute.objects.filter(item__studio=request.studio).select_related("item"), pk=pk)
    services.remove_substitute(line)
    messages.success(request, f"{line.words} is off the list of {line.item}.")
    return redirect("inventory:substitutes", request.studio.slug, line.item_id)
