"""Groups of people and who of them may use what; rooms, and what is written down of them."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.models import Group, Room
from inventory.services import groups as group_services
from inventory.services import rooms as room_services
from safety import house_forms as forms
from safety.models import HouseRule
from safety.queries import allowed
from safety.queries import house as rows
from safety.services.house import set_room_facts
from studio.access import StudioRequest, in_studio, require, within
from studio.models import Role


@require_http_methods(["GET", "POST"])
@in_studio()
def groups(request: StudioRequest) -> HttpResponse:
    """The groups, each with what it may use, and a form for a new one."""
    if request.method == "POST":
        require(request.membership, Role.KEEPER)
    form = forms.GroupForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            group = group_services.add_group(request.studio, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{group} is a group now.")
            return redirect("safety:groups", request.studio.slug)
    context = {
        "groups": rows.groups(request.studio),
        "form": form,
        "may_decide": request.membership.may(Role.KEEPER),
    }
    return render(request, "safety/allowed_groups.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.KEEPER)
def group(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(rows.groups(request.studio), pk=pk)
    before = {"name": found.name, "children": found.children, "note": found.note}
    form = forms.GroupForm(request.POST if request.method == "POST" else None, initial=before)
    if form.is_valid():
        try:
            group_services.change_group(found, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{before['name']} is changed: {found}.")
            return redirect("safety:groups", request.studio.slug)
    context = {"form": form, "title": f"Change {before['name']}", "back": "safety:groups", "action": "Save"}
    return render(request, "safety/room_form.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.KEEPER)
def group_remove(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Group.objects, request.studio), pk=pk)
    standing = HouseRule.objects.of(request.studio).standing().filter(groups=found).count()
    try:
        group_services.remove_group(found, rules=standing)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{found} was taken away. Add a group of the same name to bring it back.")
    return redirect("safety:groups", request.studio.slug)


@require_safe
@in_studio()
def may_use(request: StudioRequest, pk: int) -> HttpResponse:
    """Everything in stock, sorted for one group."""
    found = get_object_or_404(rows.groups(request.studio), pk=pk)
    answer = allowed.may_use(request.studio, found)
    may = request.membership.may
    context = {"answer": answer, "may_decide": may(Role.KEEPER), "may_hang": may(Role.TEACHER)}
    return render(request, "safety/allowed.html", context)


@require_http_methods(["GET", "POST"])
@in_studio()
def rooms(request: StudioRequest) -> HttpResponse:
    """The rooms with their places and what is not written down, and a form for a new one."""
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    form = forms.RoomForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            made = room_services.add_room(request.studio, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{made} is a room now. Say which places are in it.")
            return redirect("safety:room", request.studio.slug, made.pk)
    context = {
        "rooms": rows.rooms(request.studio),
        "form": form,
        "may_change": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/rooms.html", context, status=422 if form.errors else 200)


def _room(request: StudioRequest, pk: int) -> Room:
    found = forms.rooms_of(request.studio).select_related("facts").prefetch_related("places")
    return get_object_or_404(found, pk=pk)


@require_http_methods(["GET", "POST"])
@in_studio()
def room(request: StudioRequest, pk: int) -> HttpResponse:
    """What is written down of a room, and which places are in it."""
    found = _room(request, pk)
    if request.method == "POST":
        require(request.membership, Role.TEACHER)
    form = forms.RoomPlacesForm(request.POST if request.method == "POST" else None, room=found)
    if form.is_valid():
        try:
            changed = room_services.put_places(found, form.cleaned_data["places"])
        except ValidationError as error:
            form.add_error("places", ValidationError(error.messages))
        else:
            words = f"{changed} place{'' if changed == 1 else 's'} changed." if changed else "Nothing changed."
            messages.success(request, f"The places in {found} are as you said. {words}")
            return redirect("safety:room", request.studio.slug, found.pk)
    context = {
        "line": rows.room_line(found),
        "rules": HouseRule.objects.of(request.studio).standing().filter(room=found).select_related("recorded_by"),
        "form": form,
        "not_written": rows.NOT_WRITTEN,
        "may_change": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/room.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def room_rename(request: StudioRequest, pk: int) -> HttpResponse:
    found = _room(request, pk)
    before = found.name
    form = forms.RoomForm(request.POST if request.method == "POST" else None, initial={"name": before})
    if form.is_valid():
        try:
            room_services.rename_room(found, **form.cleaned_data)
        except ValidationError as error:
            form.add_error("name", ValidationError(error.messages))
        else:
            messages.success(request, f"{before} is called {found} now.")
            return redirect("safety:room", request.studio.slug, found.pk)
    context = {"form": form, "title": f"Rename {before}", "back": "safety:rooms", "action": "Rename it"}
    return render(request, "safety/room_form.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@in_studio(Role.TEACHER)
def room_facts(request: StudioRequest, pk: int) -> HttpResponse:
    found = _room(request, pk)
    form = forms.RoomFactsForm(request.POST if request.method == "POST" else None, facts=getattr(found, "facts", None))
    if form.is_valid():
        try:
            set_room_facts(found, by=request.user, **form.given())
        except ValidationError as error:
            form.take(error)
        else:
            gone = f" Not written down any more: {', '.join(form.emptied)}." if form.emptied else ""
            messages.success(request, f"Written down for {found}.{gone}")
            return redirect("safety:room", request.studio.slug, found.pk)
    why = "What you leave empty is shown as not written down, and printed as a line to fill in by hand."
    context = {"form": form, "title": f"Facts of {found}", "why": why, "back": "safety:rooms", "action": "Save"}
    return render(request, "safety/room_form.html", context, status=422 if form.errors else 200)


@require_POST
@in_studio(Role.TEACHER)
def room_remove(request: StudioRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(within(Room.objects, request.studio), pk=pk)
    standing = HouseRule.objects.of(request.studio).standing().filter(room=found).count()
    try:
        room_services.remove_room(found, rules=standing)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{found} was taken away. Add a room of the same name to bring it back.")
    return redirect("safety:rooms", request.studio.slug)
