"""What hangs where: out of date first, with what changed, and one tap after a paper was replaced."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from inventory.models import Room
from safety import services
from safety.models import Posting
from safety.queries import papers as made_of
from safety.queries import postings as rows
from safety.views.papers import print_url, subject_url
from studio.access import StudioRequest, in_studio, within
from studio.models import Role


@dataclass(frozen=True)
class Paper:
    """One paper as the page shows it."""

    hanging: rows.Hanging
    print_url: str


@dataclass(frozen=True)
class Wall:
    wall: rows.Wall
    papers: tuple[Paper, ...]


@require_safe
@in_studio()
def postings(request: StudioRequest) -> HttpResponse:
    """The rooms in words, each with what hangs in it."""
    walls = rows.walls(request.studio)
    context = {
        "walls": [
            Wall(wall, tuple(Paper(one, print_url(request.studio, one.posting.notice)) for one in wall.papers))
            for wall in walls
        ],
        "stale": sum(wall.out_of_date for wall in walls),
        "rooms": [wall.room for wall in walls if wall.room and wall.room.removed_at is None],
        "hanging": sum(len(wall.papers) for wall in walls),
        "homeless": made_of.without_a_room(request.studio),
        "tag": made_of.field_rules(request.studio, made_of.WASTE_TAG),
        "may_change": request.membership.may(Role.TEACHER),
    }
    return render(request, "safety/postings.html", context)


@require_POST
@in_studio(Role.TEACHER)
def replace(request: StudioRequest, pk: int) -> HttpResponse:
    """One tap: the paper that was printed now hangs where the older one hung."""
    posting = get_object_or_404(within(Posting.objects, request.studio).select_related("notice", "studio"), pk=pk)
    subject = rows.subject_of(posting.notice)
    try:
        new = services.replace(
            posting,
            by=request.user,
            page_url=subject_url(request, subject.kind, subject.pk),
            fingerprint=request.POST.get("fingerprint", "")[:14],
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Noted: {new.notice.fingerprint} hangs now: {new.place}.")
    return redirect("safety:postings", request.studio.slug)


@require_POST
@in_studio(Role.TEACHER)
def put_in_room(request: StudioRequest, pk: int) -> HttpResponse:
    """Say in which room a paper hangs, where only words told its place."""
    posting = get_object_or_404(within(Posting.objects, request.studio).select_related("notice", "studio"), pk=pk)
    asked = request.POST.get("room", "")
    rooms = within(Room.objects, request.studio).filter(removed_at=None)
    room = rooms.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 19 else None
    if room is None:
        messages.error(request, "Choose the room in which it hangs; a room that is missing is added under Rooms.")
        return redirect("safety:postings", request.studio.slug)
    try:
        new = services.put_in_room(posting, room, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Noted: it hangs in a room now: {new.place}.")
    return redirect("safety:postings", request.studio.slug)


@require_POST
@in_studio(Role.TEACHER)
def take_down(request: StudioRequest, pk: int) -> HttpResponse:
    posting = get_object_or_404(within(Posting.objects, request.studio).select_related("notice", "studio"), pk=pk)
    try:
        old = services.take_down(posting, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"Noted: it hangs no more: {old.place}.")
    if request.POST.get("next") == "notices":
        return redirect("safety:notices", request.studio.slug)
    item = posting.notice.item_id
    if item and request.POST.get("next") == "item":
        return redirect("safety:item", request.studio.slug, item)
    return redirect("safety:postings", request.studio.slug)
