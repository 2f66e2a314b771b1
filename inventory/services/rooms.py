"""Rooms: named, renamed, taken away, and which places are in them."""

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from inventory.models import Place, Room
from inventory.services.ledger import refuse
from studio.models import Studio


@transaction.atomic
def add_room(studio: Studio, *, name: str) -> Room:
    """A new room; one of that name that was taken away comes back, with its history."""
    wanted = " ".join(name.split())
    room = Room.objects.filter(studio=studio, name=wanted).exclude(removed_at=None).first()
    if room is None:
        room = Room(studio=studio, name=wanted)
    room.removed_at = None
    room.full_clean()
    room.save()
    return room


@transaction.atomic
def rename_room(room: Room, *, name: str) -> Room:
    """The same room under another name; what was recorded in it shows the new one."""
    room.name = " ".join(name.split())
    room.full_clean()
    room.save(update_fields=["name"])
    return room


@transaction.atomic
def put_places(room: Room, places: Iterable[Place]) -> int:
    """Say which places are in the room: these and no others; returns how many changed."""
    chosen = list(places)
    strange = [place for place in chosen if place.studio_id != room.studio_id or place.removed_at]
    if strange:
        raise refuse("places", f"{strange[0]} is not a place of this studio: choose among its own.")
    keys = [place.pk for place in chosen]
    left = Place.objects.filter(room=room).exclude(pk__in=keys).update(room=None)
    return left + Place.objects.filter(pk__in=keys).exclude(room=room).update(room=room)


@transaction.atomic
def remove_room(room: Room, *, rules: int = 0) -> None:
    """Take a room away, unless places are in it or rules that hold are about it (`rules`: how many)."""
    places = Place.objects.filter(room=room, removed_at=None).count()
    if places:
        many = places != 1
        raise refuse(
            "room",
            f"{places} place{'s' if many else ''} {'are' if many else 'is'} in {room}: "
            f"put {'them' if many else 'it'} elsewhere first.",
        )
    if rules:
        many = rules != 1
        raise refuse(
            "room",
            f"{rules} house rule{'s' if many else ''} {'are' if many else 'is'} about {room}: "
            f"end or replace {'them' if many else 'it'} first.",
        )
    held = Room.objects.select_for_update().filter(pk=room.pk, removed_at=None)
    if not held.update(removed_at=timezone.now()):
        raise refuse("room", f"{room} was taken away already.")
