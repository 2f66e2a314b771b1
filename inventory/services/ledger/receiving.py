"""Containers come in."""

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from inventory.models import Entry, EntryKind, Item, OwnerKind, Place, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.services.ledger.deed import (
    LONGEST_SHARED_KEY,
    Deed,
    check_amount,
    check_key,
    check_text,
    check_time,
    hold_place,
    hold_studio,
    numbered,
    refuse,
)
from studio.models import Studio, User


@transaction.atomic
def receive(
    studio: Studio,
    item: Item,
    *,
    nominal_milli: int,
    unit: str,
    by: User,
    count: int = 1,
    state: str = TubeState.SEALED,
    left_milli: int | None = None,
    left_is_estimate: bool = False,
    place: Place | None = None,
    owner_kind: str = OwnerKind.STUDIO,
    owner: User | None = None,
    owner_class: str = "",
    batch: str = "",
    tare_milli_g: int | None = None,
    note: str = "",
    at: datetime | None = None,
    key: str | None = None,
) -> list[Tube]:
    """Put `count` containers on the shelf and write an entry for each; `left_milli` is what an opened one holds."""
    check_amount(nominal_milli, unit, "nominal_milli")
    if not 1 <= count <= 500:
        raise refuse("count", f"Receive between 1 and 500 containers at a time, not {count}.")
    left = nominal_milli if left_milli is None else left_milli
    _check_left(left, nominal_milli, unit, state)
    if tare_milli_g is not None:
        check_amount(tare_milli_g, Unit.G, "tare", zero=True)
    check_key(key, LONGEST_SHARED_KEY)
    check_time(at)
    check_text("note", note, 200)
    check_text("batch", batch, 60)
    hold_studio(studio)
    if earlier := _already_received(studio, item, nominal_milli, unit, by, numbered(key, count)):
        return earlier
    _check_whose(studio, item, owner)
    if place is not None:
        hold_place(place, studio.pk)
    tubes = [
        Tube(
            studio=studio,
            number=number,
            item=item,
            unit=unit,
            nominal_milli=nominal_milli,
            balance_milli=left,
            balance_is_estimate=left_is_estimate,
            state=state,
            tare_milli_g=tare_milli_g,
            place=place,
            owner_kind=owner_kind,
            owner=owner,
            owner_class=owner_class,
            batch=batch,
            note=note,
        )
        for number in studio.take_tube_numbers(count)
    ]
    tubes[0].full_clean()  # the others differ by their number alone
    Tube.objects.bulk_create(tubes)
    deed = Deed(EntryKind.RECEIVED, by, at=at, is_estimate=left_is_estimate)
    entries = [
        replace(deed, key=own_key).entry(tube, change_milli=left)
        for tube, own_key in zip(tubes, numbered(key, count), strict=True)
    ]
    for entry in entries:
        entry.place_before = None
    Entry.objects.bulk_create(entries)
    return tubes


def _check_left(left: int, nominal_milli: int, unit: str, state: str) -> None:
    check_amount(left, unit, "left", zero=True)
    if left > nominal_milli:
        raise refuse("left", f"{exact(left, unit)} is more than the container's size of {exact(nominal_milli, unit)}.")
    if state == TubeState.SEALED and left != nominal_milli:
        raise refuse("left", "A sealed container is full: mark it open, or leave the amount out.")
    if state == TubeState.EMPTY and left:
        raise refuse("state", f"An empty container does not hold {exact(left, unit)}: mark it open, or enter 0.")


def _check_whose(studio: Studio, item: Item, owner: User | None) -> None:
    if not Item.objects.filter(pk=item.pk).exists():
        raise refuse("item", f"{item.name} was taken off the shelf meanwhile: enter it again.")
    if item.studio_id != studio.pk:
        raise refuse("item", f"{item.name} is not one of this studio's paints and materials.")
    if owner is not None and not studio.memberships.filter(user=owner).exists():
        raise refuse("owner", f"{owner} is not in {studio}: choose one of its people.")


def _already_received(
    studio: Studio, item: Item, nominal_milli: int, unit: str, by: User, keys: list[str | None]
) -> list[Tube] | None:
    """The tubes of an earlier, identical delivery; a key that belongs to another deed is refused."""
    if keys[0] is None:
        return None
    earlier = list(Entry.objects.filter(studio=studio, key__in=keys).select_related("tube__item").order_by("pk"))
    if not earlier:
        return None
    asked = (EntryKind.RECEIVED, by.pk, item.pk, nominal_milli, unit)
    tubes = [entry.tube for entry in earlier]
    wrote = {
        (entry.kind, entry.by_id, tube.item_id, tube.nominal_milli, tube.unit)
        for entry, tube in zip(earlier, tubes, strict=True)
    }
    more = Entry.objects.filter(studio=studio, key=f"{keys[0]}/{len(keys) + 1}").exists()
    if wrote != {asked} or len(tubes) != len(keys) or more:
        raise refuse("key", f"The key {keys[0]} was used for another entry ({earlier[0]}): send a new one.")
    return tubes
