"""What happens to tubes. Each deed holds the tube's row, looks at what is in it by then, and writes one entry.

Holding comes first: on PostgreSQL two transactions can both have read a balance that only one of them may spend, or
both have found the tube sealed. SQLite holds its whole file from the start of a transaction. The locks leave keys
alone (`no_key`), since every commit elsewhere looks at them; they are taken in the order studio, place, tubes by id.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Sum
from django.utils import timezone

from inventory.models import Entry, EntryKind, Item, OwnerKind, Place, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.stock import weighing
from studio.models import Studio, User

# An amount above this is a slip of the finger: a 200 l drum is the largest container a supplier lists.
LARGEST_MILLI = 200_000_000
LONGEST_NOTE = 300
LONGEST_KEY = 64
# A deed that writes several entries numbers their keys.
LONGEST_SHARED_KEY = 60
LARGEST_ID = 2**63 - 1

WITHOUT_AMOUNT = (EntryKind.MOVED, EntryKind.LENT, EntryKind.RETURNED)


def refuse(field: str, message: str) -> ValidationError:
    return ValidationError({field: ValidationError(message, code=field)})


@dataclass(frozen=True)
class Deed:
    """What is to be written. What is None depends on what the tube holds by then, or does not belong to the deed."""

    kind: EntryKind
    by: User
    key: str | None = None
    note: str = ""
    at: datetime | None = None
    is_estimate: bool = False
    gross_milli_g: int | None = None
    corrects: Entry | None = None
    change_milli: int | None = None
    left_milli: int | None = None
    place: Place | None = None
    empties: bool = False

    def check(self) -> None:
        _check_key(self.key)
        _check_time(self.at)
        _check_text("note", self.note)

    def is_written_as(self, entry: Entry) -> bool:
        return (
            (entry.kind, entry.by_id) == (self.kind, self.by.pk)
            and (entry.corrects_id, entry.gross_milli_g) == (self.corrects and self.corrects.pk, self.gross_milli_g)
            and self.change_milli in (None, entry.change_milli)
            and (self.place is None or entry.place_after_id == self.place.pk)
            and (self.left_milli is None or _balance_after(entry) == self.left_milli)
            and (entry.state_after == TubeState.EMPTY or not self.empties)
            and entry.note.startswith(self.note)
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


def _balance_after(entry: Entry) -> int:
    held: int = Entry.objects.filter(tube=entry.tube_id, pk__lte=entry.pk).aggregate(held=Sum("change_milli"))["held"]
    return held


def _check_text(field: str, text: str, longest: int = LONGEST_NOTE) -> None:
    if "\x00" in text:
        raise refuse(field, f"The {field} contains a NUL character, which cannot be stored: type it again.")
    if len(text) > longest:
        raise refuse(field, f"The {field} has {len(text)} characters, and at most {longest} are kept: shorten it.")


def _check_key(key: str | None, longest: int = LONGEST_KEY) -> None:
    _check_text("key", key or "", longest)


def _check_time(at: datetime | None) -> None:
    if at is None:
        return
    if timezone.is_naive(at):
        raise refuse("at", f"The time {at:%Y-%m-%d %H:%M} has no time zone: add one, such as +01:00.")
    if at > timezone.now() + timedelta(days=1):  # a clock may go wrong by a time zone
        raise refuse("at", f"{at:%Y-%m-%d %H:%M} is still to come: enter when it happened.")


def _check_amount(amount_milli: int, unit: str, field: str = "amount", *, zero: bool = False) -> None:
    if amount_milli < 0 or (amount_milli == 0 and not zero):
        least = "of 0 or more" if zero else "above 0"
        raise refuse(field, f"Enter an amount {least}, not {exact(amount_milli, unit)}.")
    if amount_milli > LARGEST_MILLI:
        raise refuse(
            field, f"{exact(amount_milli, unit)} is more than any container holds: check the figure and its unit."
        )


def _hold_studio(studio: Studio) -> None:
    Studio.objects.select_for_update(no_key=True).get(pk=studio.pk)


def _hold_place(place: Place, studio_id: int) -> None:
    """Keep the place from being taken away until the transaction ends."""
    if place.studio_id != studio_id:
        raise refuse("place", f"{place} is not one of this studio's places.")
    if Place.objects.select_for_update(no_key=True).filter(pk=place.pk, removed_at=None).first() is None:
        raise refuse("place", f"The place {place} was taken away meanwhile: choose another.")


def _hold(tube: Tube) -> None:
    """Hold the tube's row until the transaction ends, and read it as it is now."""
    rows = Tube.objects.select_related("item").select_for_update(of=("self",), no_key=True)
    try:
        tube.refresh_from_db(from_queryset=rows)
    except Tube.DoesNotExist:
        raise refuse("tube", "This tube is not on the shelf any more: look at the shelf again.") from None


def _already_written(tube: Tube, deed: Deed) -> Entry | None:
    """The entry of an earlier, identical request; a key that belongs to another deed is refused."""
    if not deed.key:
        return None
    earlier = Entry.objects.filter(studio_id=tube.studio_id, key=deed.key).first()
    if earlier is None:
        return None
    if earlier.tube_id != tube.pk or not deed.is_written_as(earlier):
        raise refuse("key", f"The key {deed.key} was used for another entry ({earlier}): send a new one.")
    return earlier


def _begin(tube: Tube, deed: Deed) -> Entry | None:
    """Hold the tube; the entry if this very request was written before, as when a tap is sent twice."""
    deed.check()
    _hold(tube)
    return _already_written(tube, deed)


def _write(tube: Tube, deed: Deed, *, change_milli: int, **after: Any) -> Entry:
    """Move the held tube to `after`, its balance by `change_milli`, and write the entry."""
    entry = deed.entry(tube, change_milli=change_milli, **after)
    entry.clean_fields(exclude=["tube", "studio", "by", "place_before", "place_after", "corrects"])
    try:
        with transaction.atomic():
            entry.save(force_insert=True)
            Tube.objects.filter(pk=tube.pk).update(balance_milli=F("balance_milli") + change_milli, **after)
    except IntegrityError:
        _already_written(tube, deed)  # the key went to another tube at this moment: says so
        raise
    for field, value in {"balance_milli": tube.balance_milli + change_milli, **after}.items():
        setattr(tube, field, value)
    return entry


def _told(entry: Entry) -> str:
    return (
        f"{entry.by} recorded '{entry.get_kind_display().lower()}' at {timezone.localtime(entry.at):%H:%M on %-d %B %Y}"
    )


def _last_deed(tube: Tube) -> str:
    entry = tube.entries.select_related("by").order_by("-pk").first()
    return _told(entry) if entry else "nothing was recorded"


def _refuse_empty(tube: Tube, deed: str) -> None:
    if tube.state == TubeState.EMPTY:
        raise refuse(
            "tube", f"{tube} is finished ({_last_deed(tube)}), so it cannot be {deed}. Correct that entry first."
        )


def _opened(tube: Tube, at: datetime | None = None) -> dict[str, Any]:
    if tube.state != TubeState.SEALED:
        return {}
    return {"state": TubeState.OPEN, "opened_on": timezone.localdate(at)}


def _numbered(key: str | None, count: int) -> list[str | None]:
    """The keys of the entries of one deed: the first has the deed's own, so that no other deed can take it."""
    return [f"{key}/{n}" if key and n > 1 else key or None for n in range(1, count + 1)]


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
    _check_amount(nominal_milli, unit, "nominal_milli")
    if not 1 <= count <= 500:
        raise refuse("count", f"Receive between 1 and 500 containers at a time, not {count}.")
    left = nominal_milli if left_milli is None else left_milli
    _check_left(left, nominal_milli, unit, state)
    if tare_milli_g is not None:
        _check_amount(tare_milli_g, Unit.G, "tare", zero=True)
    _check_key(key, LONGEST_SHARED_KEY)
    _check_time(at)
    _check_text("note", note, 200)
    _check_text("batch", batch, 60)
    _hold_studio(studio)
    if earlier := _already_received(studio, item, nominal_milli, unit, by, _numbered(key, count)):
        return earlier
    _check_whose(studio, item, owner)
    if place is not None:
        _hold_place(place, studio.pk)
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
        for tube, own_key in zip(tubes, _numbered(key, count), strict=True)
    ]
    for entry in entries:
        entry.place_before = None
    Entry.objects.bulk_create(entries)
    return tubes


def _check_left(left: int, nominal_milli: int, unit: str, state: str) -> None:
    _check_amount(left, unit, "left", zero=True)
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


@transaction.atomic
def record_use(
    tube: Tube, *, amount_milli: int, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Take `amount_milli` (thousandths of the tube's unit) and record it; ValidationError if it is not there."""
    _check_amount(amount_milli, tube.unit)
    deed = Deed(EntryKind.USED, by, key=key, note=note, at=at, change_milli=-amount_milli)
    if earlier := _begin(tube, deed):
        return earlier
    _refuse_empty(tube, "used")
    if amount_milli > tube.balance_milli:
        raise refuse(
            "amount",
            f"{tube} holds {tube.balance}, so {exact(amount_milli, tube.unit)} cannot be used. "
            f"Enter less, or weigh it; {_last_deed(tube)}.",
        )
    return _write(tube, deed, change_milli=-amount_milli, **_opened(tube, at))


@transaction.atomic
def record_use_of_many(
    amounts: Mapping[int, int], *, studio: Studio, by: User, note: str = "", key: str | None = None
) -> list[Entry]:
    """Use several tubes at once, all or none; `amounts` is thousandths by tube id.

    Taken in order of id: two people who took the same tubes in different orders would wait for each other for ever.
    """
    _check_key(key, LONGEST_SHARED_KEY)
    known = Tube.objects.filter(studio=studio, pk__in=[pk for pk in amounts if 0 < pk <= LARGEST_ID])
    tubes = known.select_related("item").in_bulk()
    if lacking := sorted(set(amounts) - set(tubes)):
        raise refuse("tubes", f"There is no tube with the id {lacking[0]} on this shelf any more: choose again.")
    return [
        record_use(tubes[pk], amount_milli=amounts[pk], by=by, note=note, key=own_key)
        for pk, own_key in zip(sorted(amounts), _numbered(key, len(amounts)), strict=True)
    ]


def _set_balance(tube: Tube, deed: Deed, new_milli: int, **after: Any) -> Entry:
    """Bring the balance to a figure that somebody saw."""
    change_milli = new_milli - tube.balance_milli
    return _write(tube, deed, change_milli=change_milli, balance_is_estimate=deed.is_estimate, **after)


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
    _check_amount(gross_milli_g, Unit.G, "gross")
    if tare_milli_g is not None:
        _check_amount(tare_milli_g, Unit.G, "tare", zero=True)
    deed = Deed(EntryKind.WEIGHED, by, key=key, note=note, at=at, gross_milli_g=gross_milli_g)
    if earlier := _begin(tube, deed):
        return earlier
    _refuse_empty(tube, "weighed")
    tare = tube.tare_milli_g if tare_milli_g is None else tare_milli_g
    after: dict[str, Any] = {"tare_milli_g": tare}
    if tare is None:
        words = f"{exact(gross_milli_g, Unit.G)} with its container, whose own weight is not known."
        as_before = replace(_noted(deed, words), is_estimate=tube.balance_is_estimate)
        return _set_balance(tube, as_before, tube.balance_milli, **after)
    try:
        found = weighing.weigh(
            gross_milli_g,
            tare,
            unit=tube.unit,
            density_milli=tube.item.density_milli,
            density_is_estimate=tube.item.density_is_estimate,
        )
    except ValueError as error:
        raise refuse("gross", str(error)) from error
    deed = _noted(deed, found.words)
    if found.left_milli is None:
        return _set_balance(tube, replace(deed, is_estimate=tube.balance_is_estimate), tube.balance_milli, **after)
    if found.left_milli > tube.nominal_milli:
        raise refuse(
            "gross",
            f"By this weight {exact(found.left_milli, tube.unit)} would be left, more than the size of {tube.nominal}: "
            "check the weight, the tare and the density.",
        )
    if found.left_milli < tube.nominal_milli:
        after |= _opened(tube, at)
    return _set_balance(tube, replace(deed, is_estimate=found.is_estimate), found.left_milli, **after)


def _noted(deed: Deed, words: str) -> Deed:
    """The deed with what the arithmetic found after the person's own note."""
    if deed.note:
        _check_text("note", deed.note, LONGEST_NOTE - len(words) - 1)
    return replace(deed, note=f"{deed.note} {words}".strip())


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
    _check_amount(left_milli, tube.unit, "left", zero=True)
    deed = Deed(EntryKind.COUNTED, by, key=key, note=note, at=at, is_estimate=is_estimate, left_milli=left_milli)
    if earlier := _begin(tube, deed):
        return earlier
    _refuse_empty(tube, "counted")
    if left_milli > tube.nominal_milli:
        raise refuse("left", f"{exact(left_milli, tube.unit)} is more than the size of {tube.nominal}.")
    opened = _opened(tube, at) if left_milli < tube.nominal_milli else {}
    return _set_balance(tube, deed, left_milli, **opened)


def _empty(tube: Tube, deed_word: str, deed: Deed) -> Entry:
    if earlier := _begin(tube, deed):
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


@transaction.atomic
def move(
    tube: Tube, *, place: Place, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Stand the tube somewhere else."""
    _hold_place(place, tube.studio_id)
    deed = Deed(EntryKind.MOVED, by, key=key, note=note, at=at, place=place)
    return _begin(tube, deed) or _write(tube, deed, change_milli=0, place_id=place.pk)


@transaction.atomic
def lend(tube: Tube, *, to: str, by: User, key: str | None = None) -> Entry:
    """Somebody took it along; it stays on the studio's shelf in the books."""
    if not to.strip():
        raise refuse("to", "Say who takes it along.")
    _check_text("to", to, LONGEST_NOTE - len("To "))
    deed = Deed(EntryKind.LENT, by, key=key, note=f"To {to.strip()}")
    return _begin(tube, deed) or _write(tube, deed, change_milli=0)


@transaction.atomic
def return_loan(tube: Tube, *, by: User, key: str | None = None, note: str = "") -> Entry:
    """It is back."""
    deed = Deed(EntryKind.RETURNED, by, key=key, note=note)
    return _begin(tube, deed) or _write(tube, deed, change_milli=0)


@transaction.atomic
def correct(
    entry: Entry, *, by: User, change_milli: int, reason: str, key: str | None = None, at: datetime | None = None
) -> Entry:
    """Write the entry that makes `entry` read as if its change had been `change_milli`.

    With a change of 0 it also brings back the state and place from before, unless later entries changed them.
    """
    if not reason.strip():
        raise refuse("reason", "Say what was wrong, so that the next reader understands.")
    _check_text("reason", reason.strip())
    _check_corrected_amount(entry, change_milli)
    tube = Tube(pk=entry.tube_id, studio_id=entry.studio_id)
    difference = change_milli - entry.change_milli
    deed = Deed(
        EntryKind.CORRECTED,
        by,
        key=key,
        at=at,
        note=reason.strip(),
        corrects=entry,
        is_estimate=entry.is_estimate,
        change_milli=difference,
    )
    moves_back = (
        change_milli == 0 and entry.kind != EntryKind.RECEIVED and entry.place_before_id != entry.place_after_id
    )
    if moves_back and entry.place_before is not None:
        _hold_place(entry.place_before, entry.studio_id)
    if earlier := _begin(tube, deed):
        return earlier
    line = Line(tube.entries.select_related("by").order_by("pk"), entry)
    if (other := line.correction_of(entry)) is not None:
        raise refuse("entry", f"This entry was corrected already, by {other.by}: correct that correction instead.")
    if difference and (settled := line.settled_later()) is not None:
        raise refuse(
            "entry", f"Whatever happened before, {_told(settled)}, and that figure stands. Undo that entry first."
        )
    balance = tube.balance_milli + difference
    if not 0 <= balance <= tube.nominal_milli:
        raise refuse(
            "amount",
            f"With this correction {tube} would hold {exact(balance, tube.unit)}, outside 0 to {tube.nominal}: "
            "correct the later entries first.",
        )
    after: dict[str, Any] = {}
    if change_milli == 0:
        if moves_back:
            if (moved := line.moved_later()) is not None:
                raise refuse("entry", f"It was moved again since: {_told(moved)}. Move it to where it stands now.")
            after["place_id"] = entry.place_before_id
        after |= line.state_before()
    if tube.state == TubeState.EMPTY and "state" not in after and balance > 0:
        after["state"] = TubeState.OPEN
    return _write(tube, deed, change_milli=difference, **after)


def _check_corrected_amount(entry: Entry, change_milli: int) -> None:
    if entry.kind in (EntryKind.USED, EntryKind.DISCARDED) and change_milli > 0:
        raise refuse("amount", "A use cannot add paint: enter the amount that was used, 0 for none.")
    if entry.kind == EntryKind.RECEIVED and change_milli < 0:
        raise refuse("amount", "A delivery cannot take paint away: enter the amount that came, 0 for none.")
    if entry.kind in WITHOUT_AMOUNT and change_milli:
        raise refuse("amount", f"'{entry.get_kind_display()}' has no amount: enter 0 to undo it.")


class Line:
    """All entries of a tube in their order, looked at from the one that is to be corrected."""

    def __init__(self, entries: Iterable[Entry], entry: Entry) -> None:
        self.entries = list(entries)
        self.entry = entry
        self.later = [each for each in self.entries if each.pk > entry.pk]
        self._corrections = {each.corrects_id: each for each in self.entries if each.corrects_id}

    def correction_of(self, entry: Entry) -> Entry | None:
        return self._corrections.get(entry.pk)

    def stands(self, entry: Entry) -> bool:
        """Whether it still says something: it was not taken back, or the taking back was."""
        correction = self.correction_of(entry)
        return correction is None or entry.change_milli + correction.change_milli != 0 or not self.stands(correction)

    def settled_later(self) -> Entry | None:
        """The last entry after it that looked at the tube itself, so that the balance no longer rests on it."""
        for each in reversed(self.later):
            emptied = each.state_before != TubeState.EMPTY == each.state_after
            saw = each.kind == EntryKind.COUNTED or (each.kind == EntryKind.WEIGHED and each.change_milli)
            if (saw or (emptied and each.kind != EntryKind.CORRECTED)) and self.stands(each):
                return each
        return None

    def moved_later(self) -> Entry | None:
        moves = (each for each in reversed(self.later) if each.place_before_id != each.place_after_id)
        return next(moves, None)

    def state_before(self) -> dict[str, Any]:
        """What the tube is once the entry is taken back; a delivery taken back leaves nothing."""
        if self.entry.kind == EntryKind.RECEIVED:
            return {"state": TubeState.EMPTY, "balance_is_estimate": False}
        after: dict[str, Any] = {"balance_is_estimate": self._was_estimate()}
        if any(each.change_milli or each.state_before != each.state_after for each in self.later):
            return after
        after["state"] = self.entry.state_before
        if self.entry.state_before == TubeState.SEALED:
            after["opened_on"] = None
        return after

    def _was_estimate(self) -> bool:
        """Whether the last figure that still stands without the entry was an estimate."""
        for each in reversed(self.entries):
            settles = each.kind in (EntryKind.RECEIVED, EntryKind.COUNTED, EntryKind.WEIGHED)
            stands_again = each.pk == self.entry.corrects_id
            if settles and each.pk != self.entry.pk and (stands_again or self.stands(each)):
                return each.is_estimate
        return False


def undo(entry: Entry, *, by: User, key: str | None = None, at: datetime | None = None) -> Entry:
    """Take an entry back by another one."""
    return correct(entry, by=by, change_milli=0, reason=f"Undone: {entry.get_kind_display().lower()}.", key=key, at=at)
