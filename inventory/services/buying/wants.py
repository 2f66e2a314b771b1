"""What is to be bought, and what may be bought in its place."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.models import Item, Offer, Substitute, Unit, Want
from inventory.queries.buying.wants import open_wants
from inventory.services.ledger import LARGEST_MILLI, refuse
from inventory.stock.amounts import exact
from studio.models import Studio, User

MOST_CONTAINERS = 5_000


def _check_containers(containers: int) -> None:
    if not 1 <= containers <= MOST_CONTAINERS:
        raise refuse("containers", f"Enter a number of containers from 1 to {MOST_CONTAINERS}, not {containers}.")


@transaction.atomic
def want(
    studio: Studio,
    *,
    containers: int,
    by: User,
    item: Item | None = None,
    words: str = "",
    nominal_milli: int | None = None,
    unit: str = Unit.ML,
    offer: Offer | None = None,
    why: str = "",
) -> Want:
    """Put it on the list. What is on it already in this size is refused, so that two taps put it there once."""
    _check_containers(containers)
    if item is not None and item.studio_id != studio.pk:
        raise refuse("item", f"{item.name} is not one of this studio's paints and materials.")
    if offer is not None and offer.supplier.studio_id != studio.pk:
        raise refuse("offer", f"{offer} is not one of this studio's offers.")
    if item is None and not words.strip():
        raise refuse("words", "Say what is to be bought: choose a paint or material, or enter it in words.")
    if nominal_milli is not None and not 0 < nominal_milli <= LARGEST_MILLI:
        raise refuse("size", f"The size must be above 0 and at most 200 l, not {exact(nominal_milli, unit)}.")
    Studio.objects.select_for_update(no_key=True).get(pk=studio.pk)
    wanted = words.strip() or str(item)
    present = open_wants(studio).filter(item=item, nominal_milli=nominal_milli, unit=unit)
    if item is None:
        present = present.filter(words=wanted)
    if (there := present.first()) is not None:
        raise refuse(
            "item", f"{there.words} is on the list already with {there.containers}: change the number there instead."
        )
    line = Want(
        studio=studio,
        item=item,
        words=wanted,
        containers=containers,
        nominal_milli=nominal_milli,
        unit=unit,
        offer=offer,
        why=why[:400],
        by=by,
    )
    line.full_clean()
    line.save()
    return line


@transaction.atomic
def want_each(studio: Studio, lines: Sequence[Mapping[str, Any]], *, by: User) -> list[Want]:
    """Put several sizes on the list, or none."""
    return [want(studio, by=by, **line) for line in lines]


@transaction.atomic
def change_want(line: Want, *, containers: int) -> Want:
    _check_containers(containers)
    if not open_wants(line.studio).filter(pk=line.pk).update(containers=containers):
        raise refuse("containers", f"{line.words} is not on the list any more: it was ordered or dropped meanwhile.")
    line.containers = containers
    return line


@transaction.atomic
def drop_want(line: Want) -> bool:
    """Take it off the list. False: it was ordered or dropped meanwhile."""
    return bool(open_wants(line.studio).filter(pk=line.pk).update(dropped_at=timezone.now()))


@transaction.atomic
def add_substitute(item: Item, *, words: str, accepted: bool, by: User, codes: str = "", why: str = "") -> Substitute:
    line = Substitute(item=item, words=words.strip(), codes=codes.strip(), accepted=accepted, why=why, by=by)
    line.full_clean()
    line.save()
    return line


@transaction.atomic
def remove_substitute(line: Substitute) -> bool:
    deleted, _ = Substitute.objects.filter(pk=line.pk).delete()
    return bool(deleted)
