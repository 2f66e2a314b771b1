"""How much there should be, and what is short of it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.shelf import LevelForm
from inventory.models import Item, ReorderLevel
from inventory.queries import levels as queries
from inventory.services import levels as services
from studio import access
from studio.access import StudioRequest
from studio.models import Role


@require_safe
@access.in_studio()
def levels(request: StudioRequest) -> HttpResponse:
    """The order list: what is below its level, then what is not."""
    rows = queries.levels(request.studio)
    context = {
        "short": [row for row in rows if row.is_short],
        "met": [row for row in rows if not row.is_short],
        "may_write": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/levels.html", context)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.MEMBER)
def level(request: StudioRequest, pk: int) -> HttpResponse:
    """Set the level of a paint or material, or change it."""
    item = get_object_or_404(Item.objects.of(request.studio).kept(), pk=pk)
    present = ReorderLevel.objects.filter(item=item).first()
    form = LevelForm(request.POST) if request.method == "POST" else LevelForm.of(present)
    if form.is_valid():
        try:
            services.set_level(item, **form.fields_of_level(), by=request.user)
        except ValidationError as error:
            form.add_error(None, ValidationError(error.messages))
        else:
            messages.success(request, f"The level of {item} is set.")
            return redirect("inventory:levels", request.studio.slug)
    context = {"item": item, "level": present, "form": form}
    return render(request, "inventory/level.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.MEMBER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    item = get_object_or_404(Item.objects.of(request.studio), pk=pk)
    removed = services.remove_level(item)
    messages.success(request, f"{item} has no level now." if removed else f"{item} had no level; nothing was changed.")
    return redirect("inventory:levels", request.studio.slug)
