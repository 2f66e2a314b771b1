"""Where things stand: places are named, renamed and taken away."""

from django.db import transaction
from django.utils import timezone

from inventory.models import Place, Tube
from inventory.services.ledger import refuse
from studio.models import Studio


@transaction.atomic
def add_place(studio: Studio, *, name: str, notes: str = "") -> Place:
    """A new place; one of that name that was taken away comes back, with its history."""
    place = Place.objects.filter(studio=studio, name=name).exclude(removed_at=None).first()
    if place is None:
        place = Place(studio=studio, name=name)
    place.notes, place.removed_at = notes, None
    place.full_clean()
    place.save()
    return place


@transaction.atomic
def rename_place(place: Place, *, name: str, notes: str = "") -> Place:
    """The same place under another name; the ledger's lines about it show the new one."""
    place.name, place.notes = name, notes
    place.full_clean()
    place.save(update_fields=["name", "notes"])
    return place


@transaction.atomic
def remove_place(place: Place) -> None:
    """Take a place away, unless something stands there. The ledger may name it, so its row stays."""
    held = Place.objects.select_for_update().filter(pk=place.pk, removed_at=None).first()
    if held is None:
        raise refuse("place", f"{place} was taken away already.")
    standing = Tube.objects.in_use().filter(place=held).count()
    if standing:
        raise refuse(
            "place",
            f"{standing} tube{'' if standing == 1 else 's'} still stand{'s' if standing == 1 else ''} at {place}: "
            "move or finish them first.",
        )
    held.removed_at = timezone.now()
    held.save(update_fields=["removed_at"])
