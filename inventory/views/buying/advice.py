"""What to order and why, and what that rests on."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.forms.policy import PolicyForm
from inventory.models import Item
from inventory.queries import reorder as queries
from inventory.services.policy import set_policy
from studio import access
from studio.access import StudioRequest
from studio.models import Role


@require_safe
@access.in_studio()
def advice(request: StudioRequest) -> HttpResponse:
    """Everything that the studio keeps, what cannot wait first."""
    rows = queries.reorder_advice(request.studio)
    context = {
        "short": [row for row in rows if row.advice.short_milli],
        "enough": [row for row in rows if not row.advice.short_milli],
        "policy": queries.policy_of(request.studio),
        "may_write": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/buying/advice.html", context)


@require_safe
@access.in_studio()
def item_advice(request: StudioRequest, pk: int) -> HttpResponse:
    """One item: every step of its advice, and the entries of each week."""
    item = get_object_or_404(Item.objects.of(request.studio).select_related("paint"), pk=pk)
    rows = [
        (
            row,
            queries.weeks_of(item, row.unit, row.situation.weeks, without_lessons=bool(row.situation.planned)),
            queries.use_drawing(row.situation.weeks, row.unit),
        )
        for row in queries.reorder_advice(request.studio, [item])
    ]
    context = {"item": item, "rows": rows, "policy": queries.policy_of(request.studio)}
    return render(request, "inventory/buying/item_advice.html", context)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.KEEPER)
def policy(request: StudioRequest) -> HttpResponse:
    present = queries.policy_of(request.studio)
    studio = request.studio
    form = PolicyForm(request.POST, studio=studio) if request.method == "POST" else PolicyForm.of(present, studio)
    if form.is_valid():
        try:
            set_policy(request.studio, by=request.user, **form.fields_of_policy())
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, "How the house orders is set.")
            return redirect("inventory:reorder", request.studio.slug)
    context = {"form": form, "policy": present}
    return render(request, "inventory/buying/policy.html", context, status=422 if form.errors else 200)
