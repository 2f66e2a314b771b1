"""What happens to tubes. Each deed moves the stored balance by one conditional update and writes its entry.

The condition in the update, not a check before it, keeps eight people at one shelf from taking the same paint
twice: on PostgreSQL two transactions can both have read a balance that only one of them may spend.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from inventory.models import Entry, EntryKind, Item, OwnerKind, Place, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.stock import weighing
from studio.models import Studio, User

# An amount above this is a slip of the finger: a 200 l drum is the largest container a supplier lists.
LARGEST_MILLI = 200_000_000


def refuse(field: str, message: str) -> ValidationError:
    return ValidationError({field: ValidationError(message, code=field)})


@dataclass(frozen=True)
class Deed:
    """What is to be written. `change_milli` is None where the amount depends on what the tube holds by then."""

    kind: EntryKind
    by: User
    key: str | None = None
    note: str = ""
    at: datetime | None = None
    is_estimate: bool = False
    gross_milli_g: int | None = None
    corrects: Entry | None = None
    change_milli: int | None = None
    empties: bool = False

    def is_written_as(self, entry: Entry) -> bool:
        return (
            entry.kind == self.kind
            and self.change_milli in (None, entry.change_milli)
            and (entry.state_after == TubeState.EMPTY or not self.empties)
        )

    def entry(self, tube: Tube, *, change_milli: int, **after: Any) -> Entry:
        return Entry(
            studio_id=tube.studio_id,
            tube=tube,
            kind=self.kind,
            change_milli=change_milli,
            is_estimate=self.is_estimate,
            gross_milli_g=self.gross_milli_g,
            state_before=tube.state,
            state_after=after.get("state", tube.state),
            place_before_id=tube.place_id,
            place_after_id=after.get("place_id", tube.place_id),
            note=self.note,
            corrects=self.corrects,
            by=self.by,
            at=self.at or timezone.now(),
            key=self.key or None,
        )


def _already_written(tube: Tube, deed: Deed) -> Entry | None:
    """The entry of an earlier, identical request; a key that belongs to another deed is refused."""
    if not deed.key:
        return None
    earlier = Entry.objects.filter(studio_id=tube.studio_id, key=deed.key).select_related("tube").first()
    if earlier is None:
        return None
    if earlier.tube_id != tube.pk or not deed.is_written_as(earlier):
        raise refuse("key", f"The key {deed.key} was used for another entry ({earlier}): send a new one.")
    tube.refresh_from_db()
    return earlier


def _write(tube: Tube, deed: Deed, *, change_milli: int, condition: Mapping[str, Any], **after: Any) -> Entry | None:
    """Move the tube from what the condition says to `after` and write the entry; None if the condition is not met.

    The update comes first, so that a second request with the same key waits for the first one's row.
    """
    if earlier := _already_written(tube, deed):
        return earlier
    try:
        with transaction.atomic():
            rows = Tube.objects.filter(pk=tube.pk, studio_id=tube.studio_id, **condition)
            if not rows.update(balance_milli=F("balance_milli") + change_milli, **after):
                return None
            entry = deed.entry(tube, change_milli=change_milli, **after)
            entry.full_clean(exclude=["tube", "studio", "by", "place_before", "place_after", "corrects", "key"])
            entry.save(force_insert=True)
    except IntegrityError:
        # The unique key refused a second copy that was sent while the first was still being written.
        if earlier := _already_written(tube, deed):
            return earlier
        raise
    tube.refresh_from_db()
    return entry


def _check_amount(amount_milli: int, unit: str, field: str = "amount", *, zero: bool = False) -> None:
    if amount_milli < 0 or (amount_milli == 0 and not zero):
        raise refuse(field, f"Enter an amount above 0, not {exact(amount_milli, unit)}.")
    if amount_milli > LARGEST_MILLI:
        raise refuse(
            field, f"{exact(amount_milli, unit)} is more than any container holds: check the figure and its unit."
        )


def _last_deed(tube: Tube) -> str:
    entry = tube.entries.select_related("by").order_by("-pk").first()
    if entry is None:
        return "nothing was recorded"
    return (
        f"{entry.by} recorded '{entry.get_kind_display().lower()}' at {timezone.localtime(entry.at):%H:%M on %-d %B %Y}"
    )


def _opened(tube: Tube, at: datetime | None = None) -> dict[str, Any]:
    if tube.state != TubeState.SEALED:
        return {}
    return {"state": TubeState.OPEN, "opened_on": timezone.localdate(at)}


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
    if key and (earlier := list(Tube.objects.filter(studio=studio, entries__key__startswith=f"{key}/"))):
        return earlier
    _check_amount(nominal_milli, unit, "nominal_milli")
    if not 1 <= count <= 500:
        raise refuse("count", f"Receive between 1 and 500 containers at a time, not {count}.")
    left = nominal_milli if left_milli is None else left_milli
    _check_amount(left, unit, "left", zero=True)
    if left > nominal_milli:
        raise refuse("left", f"{exact(left, unit)} is more than the container's size of {exact(nominal_milli, unit)}.")
    if state == TubeState.SEALED and left != nominal_milli:
        raise refuse("left", "A sealed container is full: mark it open, or leave the amount out.")
    if item.studio_id != studio.pk or (place is not None and place.studio_id != studio.pk):
        raise refuse("item", "This paint or place is not one of this studio's.")
    tubes = []
    for number in studio.take_tube_numbers(count):
        tube = Tube(
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
        tube.full_clean()
        tube.save(force_insert=True)
        deed = Deed(EntryKind.RECEIVED, by, key=f"{key}/{number}" if key else None, at=at, is_estimate=left_is_estimate)
        entry = deed.entry(tube, change_milli=left)
        entry.place_before = None
        entry.save(force_insert=True)
        tubes.append(tube)
    return tubes


@transaction.atomic
def record_use(
    tube: Tube, *, amount_milli: int, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Take `amount_milli` (thousandths of the tube's unit) and record it; ValidationError if it is not there."""
    _check_amount(amount_milli, tube.unit)
    deed = Deed(EntryKind.USED, by, key=key, note=note, at=at, change_milli=-amount_milli)
    condition = {"balance_milli__gte": amount_milli}
    entry = _write(tube, deed, change_milli=-amount_milli, condition=condition, **_opened(tube, at))
    if entry is None:
        tube.refresh_from_db()
        raise refuse(
            "amount",
            f"{tube} holds {tube.balance}, so {exact(amount_milli, tube.unit)} cannot be used. "
            f"Enter less, or weigh it; {_last_deed(tube)}.",
        )
    return entry


@transaction.atomic
def record_use_of_many(amounts: Mapping[int, int], *, studio: Studio, by: User, note: str = "") -> list[Entry]:
    """Use several tubes at once, all or none; `amounts` is thousandths by tube id.

    Taken in order of id: two people who took the same tubes in different orders would wait for each other for ever.
    """
    tubes = {tube.pk: tube for tube in Tube.objects.filter(studio=studio, pk__in=amounts).select_related("item")}
    if lacking := sorted(set(amounts) - set(tubes)):
        raise refuse("tubes", f"There is no tube with the id {lacking[0]} on this shelf any more.")
    return [record_use(tubes[pk], amount_milli=amounts[pk], by=by, note=note) for pk in sorted(amounts)]


def _set_balance(tube: Tube, deed: Deed, new_milli: int, **after: Any) -> Entry:
    """Bring the balance to a figure that somebody saw; tried again when another entry came between."""
    for _ in range(5):
        entry = _write(
            tube,
            deed,
            change_milli=new_milli - tube.balance_milli,
            condition={"balance_milli": tube.balance_milli, "state": tube.state},
            balance_is_estimate=deed.is_estimate,
            **after,
        )
        if entry is not None:
            return entry
        tube.refresh_from_db()
        if tube.state == TubeState.EMPTY:
            raise refuse("tube", f"{tube} was finished meanwhile: {_last_deed(tube)}. Nothing was written.")
    raise refuse("tube", f"{tube} is being changed by others at this moment: try again.")


def _refuse_empty(tube: Tube, deed: str) -> None:
    tube.refresh_from_db()
    if tube.state == TubeState.EMPTY:
        raise refuse(
            "tube", f"{tube} is finished ({_last_deed(tube)}), so it cannot be {deed}. Correct that entry first."
        )


@transaction.atomic
def weigh(
    tube: Tube,
    *,
    gross_milli_g: int,
    by: User,
    tare_milli_g: int | None = None,
    key: str | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Entry:
    """Record what the scale shows. The balance follows only where the tare, and for ml a density, is known."""
    deed = Deed(EntryKind.WEIGHED, by, key=key, note=note, at=at, gross_milli_g=gross_milli_g)
    if earlier := _already_written(tube, deed):
        return earlier
    _check_amount(gross_milli_g, Unit.G, "gross")
    _refuse_empty(tube, "weighed")
    if tare_milli_g is not None:
        _check_amount(tare_milli_g, Unit.G, "tare", zero=True)
        Tube.objects.filter(pk=tube.pk).update(tare_milli_g=tare_milli_g)
        tube.tare_milli_g = tare_milli_g
    if tube.tare_milli_g is None:
        words = f"{exact(gross_milli_g, Unit.G)} with its container, whose own weight is not known."
        return _set_balance(
            tube, replace(deed, note=_noted(note, words), is_estimate=tube.balance_is_estimate), tube.balance_milli
        )
    try:
        found = weighing.weigh(
            gross_milli_g,
            tube.tare_milli_g,
            unit=tube.unit,
            density_milli=tube.item.density_milli,
            density_is_estimate=tube.item.density_is_estimate,
        )
    except ValueError as error:
        raise refuse("gross", str(error)) from error
    if found.left_milli is None:
        return _set_balance(
            tube,
            replace(deed, note=_noted(note, found.words), is_estimate=tube.balance_is_estimate),
            tube.balance_milli,
        )
    if found.left_milli > tube.nominal_milli:
        raise refuse(
            "gross",
            f"By this weight {exact(found.left_milli, tube.unit)} would be left, more than the size of {tube.nominal}: "
            "check the weight, the tare and the density.",
        )
    deed = replace(deed, note=_noted(note, found.words), is_estimate=found.is_estimate)
    opened = _opened(tube, at) if found.left_milli < tube.nominal_milli else {}
    return _set_balance(tube, deed, found.left_milli, **opened)


def _noted(note: str, words: str) -> str:
    return f"{note} {words}".strip()[:300]


@transaction.atomic
def estimate_left(
    tube: Tube,
    *,
    left_milli: int,
    by: User,
    key: str | None = None,
    note: str = "",
    is_estimate: bool = True,
    at: datetime | None = None,
) -> Entry:
    """Record what somebody sees is left, such as "about half"."""
    deed = Deed(EntryKind.COUNTED, by, key=key, note=note, at=at, is_estimate=is_estimate)
    if earlier := _already_written(tube, deed):
        return earlier
    _check_amount(left_milli, tube.unit, "left", zero=True)
    _refuse_empty(tube, "counted")
    if left_milli > tube.nominal_milli:
        raise refuse("left", f"{exact(left_milli, tube.unit)} is more than the size of {tube.nominal}.")
    opened = _opened(tube, at) if left_milli < tube.nominal_milli else {}
    return _set_balance(tube, deed, left_milli, **opened)


def _empty(tube: Tube, deed_word: str, deed: Deed) -> Entry:
    if earlier := _already_written(tube, deed):
        return earlier
    _refuse_empty(tube, deed_word)
    return _set_balance(tube, deed, 0, state=TubeState.EMPTY)


@transaction.atomic
def finish(tube: Tube, *, by: User, key: str | None = None, note: str = "", at: datetime | None = None) -> Entry:
    """The rest was used up: whatever the ledger still held is written as used, and the tube leaves the shelf."""
    deed = Deed(EntryKind.USED, by, key=key, note=note or "Finished.", at=at, empties=True)
    return _empty(tube, "finished again", deed)


@transaction.atomic
def discard(tube: Tube, *, by: User, key: str | None = None, note: str = "", at: datetime | None = None) -> Entry:
    """The rest was thrown away: dried up, separated, mouldy."""
    return _empty(tube, "discarded", Deed(EntryKind.DISCARDED, by, key=key, note=note, at=at, empties=True))


def _lock(tube: Tube) -> None:
    """Hold the tube's row until the transaction ends (SQLite holds its whole file from the start)."""
    held = Tube.objects.select_for_update().filter(pk=tube.pk).first()
    if held is None:
        raise refuse("tube", "This tube is not on the shelf any more.")
    tube.refresh_from_db()


@transaction.atomic
def move(
    tube: Tube, *, place: Place, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Stand the tube somewhere else."""
    deed = Deed(EntryKind.MOVED, by, key=key, note=note, at=at)
    if earlier := _already_written(tube, deed):
        return earlier
    if place.studio_id != tube.studio_id:
        raise refuse("place", f"{place} is not one of this studio's places.")
    _lock(tube)
    entry = _write(tube, deed, change_milli=0, condition={}, place_id=place.pk)
    assert entry is not None  # noqa: S101  # the row is locked and exists
    return entry


@transaction.atomic
def lend(tube: Tube, *, to: str, by: User, key: str | None = None) -> Entry:
    """Somebody took it along; it stays on the studio's shelf in the books."""
    if not to.strip():
        raise refuse("to", "Say who takes it along.")
    _lock(tube)
    entry = _write(tube, Deed(EntryKind.LENT, by, key=key, note=f"To {to.strip()}"[:300]), change_milli=0, condition={})
    assert entry is not None  # noqa: S101  # the row is locked and exists
    return entry


@transaction.atomic
def return_loan(tube: Tube, *, by: User, key: str | None = None, note: str = "") -> Entry:
    """It is back."""
    _lock(tube)
    entry = _write(tube, Deed(EntryKind.RETURNED, by, key=key, note=note), change_milli=0, condition={})
    assert entry is not None  # noqa: S101  # the row is locked and exists
    return entry


@transaction.atomic
def correct(
    entry: Entry, *, by: User, change_milli: int, reason: str, key: str | None = None, at: datetime | None = None
) -> Entry:
    """Write the entry that makes `entry` read as if its change had been `change_milli`.

    Undoing the last entry of a tube also brings back its state and place; for an older one, what came after stays.
    """
    tube = Tube.objects.select_related("item").get(pk=entry.tube_id)
    deed = Deed(
        EntryKind.CORRECTED,
        by,
        key=key,
        at=at,
        note=reason.strip()[:300],
        corrects=entry,
        is_estimate=entry.is_estimate,
    )
    if earlier := _already_written(tube, deed):
        return earlier
    if not reason.strip():
        raise refuse("reason", "Say what was wrong, so that the next reader understands.")
    _lock(tube)
    if (other := Entry.objects.filter(corrects=entry).select_related("by").first()) is not None:
        raise refuse("entry", f"This entry was corrected already, by {other.by}: correct that correction instead.")
    if entry.kind == EntryKind.USED and change_milli > 0:
        raise refuse("amount", "A use cannot add paint: enter the amount that was used, 0 for none.")
    latest = not tube.entries.filter(pk__gt=entry.pk).exists()
    after: dict[str, Any] = {}
    if latest and change_milli == 0:
        after = {"state": entry.state_before, "place_id": entry.place_before_id}
        if entry.kind == EntryKind.RECEIVED:
            after = {"state": TubeState.EMPTY}
        if entry.state_before == TubeState.SEALED:
            after["opened_on"] = None
    difference = change_milli - entry.change_milli
    balance = tube.balance_milli + difference
    if not 0 <= balance <= tube.nominal_milli:
        raise refuse(
            "amount",
            f"With this correction {tube} would hold {exact(balance, tube.unit)}, outside 0 to {tube.nominal}: "
            "correct the later entries first.",
        )
    if tube.state == TubeState.EMPTY and "state" not in after and balance > 0:
        after["state"] = TubeState.OPEN
    written = _write(tube, deed, change_milli=difference, condition={"balance_milli": tube.balance_milli}, **after)
    assert written is not None  # noqa: S101  # the row is locked
    return written


def undo(entry: Entry, *, by: User, key: str | None = None) -> Entry:
    """Take an entry back by another one."""
    return correct(entry, by=by, change_milli=0, reason=f"Undone: {entry.get_kind_display().lower()}.", key=key)
