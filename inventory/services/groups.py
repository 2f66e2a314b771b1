"""Groups of people: named, renamed, taken away."""

from django.db import transaction
from django.utils import timezone

from inventory.models import Group
from inventory.services.ledger import refuse
from studio.models import Studio


@transaction.atomic
def add_group(studio: Studio, *, name: str, children: bool = False, note: str = "") -> Group:
    """A new group; one of that name that was taken away comes back, with its history."""
    wanted = " ".join(name.split())
    group = Group.objects.filter(studio=studio, name=wanted).exclude(removed_at=None).first()
    if group is None:
        group = Group(studio=studio, name=wanted)
    group.children, group.note, group.removed_at = children, " ".join(note.split()), None
    group.full_clean()
    group.save()
    return group


@transaction.atomic
def change_group(group: Group, *, name: str, children: bool, note: str = "") -> Group:
    """The same group under another name, or told to be children or not."""
    group.name, group.children, group.note = " ".join(name.split()), children, " ".join(note.split())
    group.full_clean()
    group.save(update_fields=["name", "children", "note"])
    return group


@transaction.atomic
def remove_group(group: Group, *, rules: int = 0) -> None:
    """Take a group away, unless rules that hold are about it (`rules`: how many). Lessons keep its name."""
    if rules:
        many = rules != 1
        raise refuse(
            "group",
            f"{rules} house rule{'s' if many else ''} {'are' if many else 'is'} about {group}: "
            f"end or replace {'them' if many else 'it'} first.",
        )
    held = Group.objects.select_for_update().filter(pk=group.pk, removed_at=None)
    if not held.update(removed_at=timezone.now()):
        raise refuse("group", f"{group} was taken away already.")
