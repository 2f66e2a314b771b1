"""Where things stand."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from inventory.forms.shelf import PlaceForm
from inventory.models import Place, TubeState
from inventory.queries import shelf as queries
from inventory.services import places as services
from studio import access
from studio.access import StudioRequest, require
from studio.models import Role


@require_http_methods(["GET", "POST"])
@access.in_studio()
def places(request: StudioRequest) -> HttpResponse:
    """The places with what stands there, and a form for a new one."""
    if request.method == "POST":
        require(request.membership, Role.MEMBER)
    form = PlaceForm(request.POST or None)
    if form.is_valid():
        try:
            place = services.add_place(request.studio, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{place} is a place now.")
            return redirect("inventory:places", request.studio.slug)
    in_use = ~Q(tubes__state=TubeState.EMPTY) & Q(tubes__isnull=False)
    context = {
        "places": queries.places(request.studio)
        .select_related("room")
        .annotate(standing=Count("tubes", filter=in_use)),
        "form": form,
        "may_write": request.membership.may(Role.MEMBER),
    }
    return render(request, "inventory/places.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@access.in_studio(Role.MEMBER)
def rename(request: StudioRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(queries.places(request.studio), pk=pk)
    form = PlaceForm(request.POST or None, initial={"name": place.name, "notes": place.notes})
    if form.is_valid():
        before = place.name
        try:
            services.rename_place(place, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{before} is called {place} now.")
            return redirect("inventory:places", request.studio.slug)
    context = {"place": place, "form": form}
    return render(request, "inventory/place_rename.html", context, status=422 if form.errors else 200)


@require_POST
@access.in_studio(Role.MEMBER)
def remove(request: StudioRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.filter(studio=request.studio), pk=pk)
    try:
        services.remove_place(place)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{place} was taken away. Add a place of the same name to bring it back.")
    return redirect("inventory:places", request.studio.slug)
