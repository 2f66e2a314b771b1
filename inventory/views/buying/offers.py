"""What suppliers ask, prices over time, and what strength costs."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.buying import NeedForm, OfferFilter, OfferForm
from inventory.models import Binder, Item, Offer
from inventory.queries import prices as queries
from inventory.services import buying as services
from inventory.views.buying.suppliers import refuse
from studio import access
from studio.access import StudioRequest
from studio.models import Role

A_PAGE = 50


@require_safe
@access.in_studio()
def offers(request: StudioRequest) -> HttpResponse:
    form = OfferFilter(request.GET, studio=request.studio)
    chosen, past = form.chosen(), request.GET.get("past") == "yes"
    found = queries.offers(request.studio, past=past, **chosen)
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": queries.rows_of(page),
        "form": form,
        "past": past,
        "asked": any(chosen.values()),
        "may_plan": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/buying/offers.html", context)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.TEACHER)
def offer_add(request: StudioRequest) -> HttpResponse:
    form = OfferForm(request.POST or None, studio=request.studio, initial=_asked(request))
    if form.is_valid():
        try:
            offer = services.add_offer(request.studio, by=request.user, **form.fields_of_offer())
        except ValidationError as error:
            refuse(form, error)
        else:
            (row,) = queries.rows_of([offer])
            messages.success(request, f"{offer.name}, {row.size}, {row.price} at {offer.supplier} is written down.")
            for note in form.notes():
                messages.info(request, note)
            if offer.item_id:
                return redirect("inventory:item_prices", request.studio.slug, offer.item_id)
            return redirect("inventory:offers", request.studio.slug)
    context = {"form": form}
    return render(request, "inventory/buying/offer_add.html", context, status=422 if form.errors else 200)


def _asked(request: StudioRequest) -> dict[str, str]:
    """What a link to the form already knows."""
    return {name: request.GET[name] for name in ("item", "supplier", "size") if request.GET.get(name)}


@require_POST
@access.in_studio(Role.TEACHER)
def offer_withdraw(request: StudioRequest, pk: int) -> HttpResponse:
    offer = get_object_or_404(Offer.objects.of(request.studio).select_related("supplier"), pk=pk)
    if services.withdraw_offer(offer):
        messages.success(request, f"The offer of {offer.name} at {offer.supplier} is withdrawn. The row stays.")
    else:
        messages.info(request, f"The offer of {offer.name} was withdrawn already; nothing was changed.")
    if offer.item_id:
        return redirect("inventory:item_prices", request.studio.slug, offer.item_id)
    return redirect("inventory:offers", request.studio.slug)


@require_safe
@access.in_studio()
def item_prices(request: StudioRequest, pk: int) -> HttpResponse:
    """What one paint or material costs, over time, and the cheapest packs for an amount."""
    item = get_object_or_404(Item.objects.of(request.studio).select_related("paint"), pk=pk)
    found = queries.item_prices(request.studio, item)
    form = NeedForm(request.GET if "need" in request.GET else None)
    cheapest = None
    if form.is_valid() and (need := form.cleaned_data["need"]) is not None:
        try:
            cheapest = queries.cheapest_of(found.standing, need.milli, need.unit)
        except ValueError as error:
            form.add_error("need", f"How much is needed: {error}")
    context = {
        "item": item,
        "prices": found,
        "form": form,
        "cheapest": cheapest,
        "strength_words": queries.STRENGTH_WORDS,
        "may_plan": request.membership.may(Role.TEACHER),
    }
    return render(request, "inventory/buying/item_prices.html", context, status=422 if form.errors else 200)


@require_safe
@access.in_studio()
def compare(request: StudioRequest) -> HttpResponse:
    """The paints of one binder by the price of a millilitre and of strength."""
    binders = [(value, label) for value, label in Binder.choices if value != Binder.UNKNOWN]
    asked = request.GET.get("binder", "")
    binder = asked if asked in dict(binders) else Binder.OIL
    context = {
        "binder": binder,
        "binders": binders,
        "lists": queries.comparison(request.studio, binder),
        "strength_words": queries.STRENGTH_WORDS,
    }
    return render(request, "inventory/buying/compare.html", context)
