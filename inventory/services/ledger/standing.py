"""Where a tube stands, who has it, and whose it is."""

from datetime import datetime

from django.db import transaction

from inventory.models import Entry, EntryKind, OwnerKind, Place, Tube
from inventory.services.ledger.deed import (
    LONGEST_NOTE,
    Deed,
    begin,
    check_text,
    hold_place,
    refuse,
    refuse_empty,
    told,
    write,
)
from studio.models import User


@transaction.atomic
def move(
    tube: Tube, *, place: Place, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Stand the tube somewhere else."""
    hold_place(place, tube.studio_id)
    deed = Deed(EntryKind.MOVED, by, key=key, note=note, at=at, place=place)
    return begin(tube, deed) or write(tube, deed, change_milli=0, place_id=place.pk)


def loan_of(tube: Tube) -> Entry | None:
    """The entry by which it was lent, while it has not come back; the tube is held by the caller."""
    loans = tube.entries.filter(kind__in=[EntryKind.LENT, EntryKind.RETURNED], corrected_by=None)
    last = loans.select_related("by").order_by("-pk").first()
    return last if last is not None and last.kind == EntryKind.LENT else None


@transaction.atomic
def lend(tube: Tube, *, to: str, by: User, key: str | None = None, at: datetime | None = None) -> Entry:
    """Somebody took it along; it stays on the studio's shelf in the books."""
    if not to.strip():
        raise refuse("to", "Say who takes it along.")
    check_text("to", to, LONGEST_NOTE - len("To "))
    deed = Deed(EntryKind.LENT, by, key=key, note=f"To {to.strip()}", at=at)
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, "lent")
    if (loan := loan_of(tube)) is not None:
        raise refuse(
            "to",
            f"{tube} is lent already, {_lower(loan.note)} ({told(loan)}). Write down first that it was brought back.",
        )
    return write(tube, deed, change_milli=0)


@transaction.atomic
def return_loan(tube: Tube, *, by: User, key: str | None = None, note: str = "", at: datetime | None = None) -> Entry:
    """It is back."""
    deed = Deed(EntryKind.RETURNED, by, key=key, note=note, at=at)
    if earlier := begin(tube, deed):
        return earlier
    if loan_of(tube) is None:
        raise refuse("tube", f"{tube} is not lent, so it cannot be brought back. Look at what happened to it below.")
    return write(tube, deed, change_milli=0)


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


@transaction.atomic
def give(
    tube: Tube,
    *,
    owner_kind: str,
    by: User,
    owner: User | None = None,
    owner_class: str = "",
    key: str | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Entry:
    """It belongs to somebody else from now on; it stays where it stands. What is given to the studio is not shared."""
    if owner_kind not in OwnerKind.values:
        raise refuse(
            "owner", f"There is no owner of the kind {owner_kind!r}: choose one of {', '.join(OwnerKind.values)}."
        )
    check_text("note", note, 200)
    check_text("owner_class", owner_class, 80)
    if (owner is not None) != (owner_kind == OwnerKind.MEMBER) or bool(owner_class) != (owner_kind == OwnerKind.CLASS):
        raise refuse("owner", "Name the member, or the class, that owns it; or let the studio own it.")
    if owner is not None and not owner.memberships.filter(studio=tube.studio_id).exists():
        raise refuse("owner", f"{owner} is not in this studio: choose one of its people.")
    whose = {"owner_kind": owner_kind, "owner_id": owner.pk if owner else None, "owner_class": owner_class}
    new = Tube(owner_kind=owner_kind, owner=owner, owner_class=owner_class)
    words = f"Now {new.whose_words}."
    deed = Deed(EntryKind.MOVED, by, key=key, note=words, at=at)
    if earlier := begin(tube, deed):
        return earlier
    if all(getattr(tube, name) == value for name, value in whose.items()):
        raise refuse("owner", f"{tube} is {tube.whose_words} already: choose another owner.")
    before = Tube.objects.select_related("owner").get(pk=tube.pk).whose_words
    text = f"{words} Before: {before}.{' ' + note if note else ''}"
    entry = write(tube, _with_note(deed, text), change_milli=0, **whose, shared=False)
    tube.owner = owner
    return entry


@transaction.atomic
def share(
    tube: Tube, *, shared: bool, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Let what a member or a class owns count for the studio's orders and wheel, or take that back."""
    check_text("note", note, 200)
    words = "Counts for the studio's orders and wheel." if shared else "Counts for its owner alone."
    deed = Deed(EntryKind.MOVED, by, key=key, note=words, at=at)
    if earlier := begin(tube, deed):
        return earlier
    if tube.owner_kind == OwnerKind.STUDIO:
        raise refuse("tube", f"{tube} is the studio's own, so it counts for the studio anyway.")
    if tube.shared == shared:
        raise refuse("tube", f"{tube} {'is shared' if shared else 'counts for its owner alone'} already.")
    return write(tube, _with_note(deed, f"{words}{' ' + note if note else ''}"), change_milli=0, shared=shared)


def _with_note(deed: Deed, note: str) -> Deed:
    check_text("note", note)
    return Deed(deed.kind, deed.by, key=deed.key, note=note, at=deed.at)
