"""What happens to tubes. Each deed holds the tube's row, looks at what is in it by then, and writes one entry.

Holding comes first: on PostgreSQL two transactions can both have read a balance that only one of them may spend, or
both have found the tube sealed. SQLite holds its whole file from the start of a transaction. The locks leave keys
alone (`no_key`), since every commit elsewhere looks at them; they are taken in the order studio, place, tubes by id.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Sum
from django.utils import timezone

from inventory.models import Entry, EntryKind, Place, Tube, TubeState
from inventory.models.ledger import OWNER
from inventory.models.tube import exact
from studio.models import Studio, User

# An amount above this is a slip of the finger: a 200 l drum is the largest container a supplier lists.
LARGEST_MILLI = 200_000_000
LONGEST_NOTE = 300
LONGEST_KEY = 64
# A deed that writes several entries numbers their keys.
LONGEST_SHARED_KEY = 60
LARGEST_ID = 2**63 - 1

WITHOUT_AMOUNT = (EntryKind.MOVED, EntryKind.LENT, EntryKind.RETURNED, EntryKind.EXAMINED)


def refuse(field: str, message: str) -> ValidationError:
    return ValidationError({field: ValidationError(message, code=field)})


# By its name a fact before and after: the container's empty weight; the density, and whether it is an estimate; whose
# it is, as kind, member, class and whether it is shared. None: not known.
Facts = dict[str, list[Any]]
TARE, DENSITY = "tare", "density"
WHOSE = ("owner_kind", "owner_id", "owner_class", "shared")


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
    condition: str = ""
    facts: Facts | None = None

    def check(self) -> None:
        check_key(self.key)
        check_time(self.at)
        check_text("note", self.note)

    def is_written_as(self, entry: Entry) -> bool:
        return (
            (entry.kind, entry.by_id) == (self.kind, self.by.pk)
            and (entry.corrects_id, entry.gross_milli_g) == (self.corrects and self.corrects.pk, self.gross_milli_g)
            and self.change_milli in (None, entry.change_milli)
            and (self.place is None or entry.place_after_id == self.place.pk)
            and (self.left_milli is None or balance_after(entry) == self.left_milli)
            and (entry.state_after == TubeState.EMPTY or not self.empties)
            and self.condition in ("", entry.condition_after)
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
            condition_before=tube.condition if "condition" in after else "",
            condition_after=after.get("condition", ""),
            facts=self._facts(tube, after),
            note=self.note,
            corrects=self.corrects,
            by=self.by,
            at=self.at or timezone.now(),
            key=self.key or None,
        )

    def _facts(self, tube: Tube, after: dict[str, Any]) -> Facts | None:
        found = dict(self.facts or {})
        if "tare_milli_g" in after and after["tare_milli_g"] != tube.tare_milli_g:
            found[TARE] = [tube.tare_milli_g, after["tare_milli_g"]]
        if "shared" in after:
            found[OWNER] = [whose(tube), [after.get(name, getattr(tube, name)) for name in WHOSE]]
        return found or None


def whose(tube: Tube) -> list[Any]:
    return [getattr(tube, name) for name in WHOSE]


def balance_after(entry: Entry) -> int:
    held: int = Entry.objects.filter(tube=entry.tube_id, pk__lte=entry.pk).aggregate(held=Sum("change_milli"))["held"]
    return held


def check_text(field: str, text: str, longest: int = LONGEST_NOTE) -> None:
    if "\x00" in text:
        raise refuse(field, f"The {field} contains a NUL character, which cannot be stored: type it again.")
    if len(text) > longest:
        raise refuse(field, f"The {field} has {len(text)} characters, and at most {longest} are kept: shorten it.")


def check_key(key: str | None, longest: int = LONGEST_KEY) -> None:
    check_text("key", key or "", longest)


def check_time(at: datetime | None) -> None:
    if at is None:
        return
    if timezone.is_naive(at):
        raise refuse("at", f"The time {at:%Y-%m-%d %H:%M} has no time zone: add one, such as +01:00.")
    if at > timezone.now() + timedelta(days=1):  # a clock may go wrong by a time zone
        raise refuse("at", f"{at:%Y-%m-%d %H:%M} is still to come: enter when it happened.")


def check_amount(amount_milli: int, unit: str, field: str = "amount", *, zero: bool = False) -> None:
    if amount_milli < 0 or (amount_milli == 0 and not zero):
        least = "of 0 or more" if zero else "above 0"
        raise refuse(field, f"Enter an amount {least}, not {exact(amount_milli, unit)}.")
    if amount_milli > LARGEST_MILLI:
        raise refuse(
            field, f"{exact(amount_milli, unit)} is more than any container holds: check the figure and its unit."
        )


def hold_studio(studio: Studio) -> None:
    Studio.objects.select_for_update(no_key=True).get(pk=studio.pk)


def hold_place(place: Place, studio_id: int) -> None:
    """Keep the place from being taken away until the transaction ends."""
    if place.studio_id != studio_id:
        raise refuse("place", f"{place} is not one of this studio's places.")
    if Place.objects.select_for_update(no_key=True).filter(pk=place.pk, removed_at=None).first() is None:
        raise refuse("place", f"The place {place} was taken away meanwhile: choose another.")


def hold(tube: Tube) -> None:
    """Hold the tube's row until the transaction ends, and read it as it is now."""
    rows = Tube.objects.select_related("item").select_for_update(of=("self",), no_key=True)
    try:
        tube.refresh_from_db(from_queryset=rows)
    except Tube.DoesNotExist:
        raise refuse("tube", "This tube is not on the shelf any more: look at the shelf again.") from None


def already_written(tube: Tube, deed: Deed) -> Entry | None:
    """The entry of an earlier, identical request; a key that belongs to another deed is refused."""
    if not deed.key:
        return None
    earlier = Entry.objects.filter(studio_id=tube.studio_id, key=deed.key).first()
    if earlier is None:
        return None
    if earlier.tube_id != tube.pk or not deed.is_written_as(earlier):
        raise refuse("key", f"The key {deed.key} was used for another entry ({earlier}): send a new one.")
    return earlier


def begin(tube: Tube, deed: Deed) -> Entry | None:
    """Hold the tube; the entry if this very request was written before, as when a tap is sent twice."""
    deed.check()
    hold(tube)
    return already_written(tube, deed)


def write(tube: Tube, deed: Deed, *, change_milli: int, **after: Any) -> Entry:
    """Move the held tube to `after`, its balance by `change_milli`, and write the entry."""
    entry = deed.entry(tube, change_milli=change_milli, **after)
    entry.clean_fields(exclude=["tube", "studio", "by", "place_before", "place_after", "corrects"])
    try:
        with transaction.atomic():
            entry.save(force_insert=True)
            Tube.objects.filter(pk=tube.pk).update(balance_milli=F("balance_milli") + change_milli, **after)
    except IntegrityError:
        already_written(tube, deed)  # the key went to another tube at this moment: says so
        raise
    for field, value in {"balance_milli": tube.balance_milli + change_milli, **after}.items():
        setattr(tube, field, value)
    return entry


def told(entry: Entry) -> str:
    return (
        f"{entry.by} recorded '{entry.get_kind_display().lower()}' at {timezone.localtime(entry.at):%H:%M on %-d %B %Y}"
    )


def last_deed(tube: Tube) -> str:
    entry = tube.entries.select_related("by").order_by("-pk").first()
    return told(entry) if entry else "nothing was recorded"


def refuse_empty(tube: Tube, deed: str) -> None:
    if tube.state == TubeState.EMPTY:
        raise refuse(
            "tube", f"{tube} is finished ({last_deed(tube)}), so it cannot be {deed}. Correct that entry first."
        )


def opened(tube: Tube, at: datetime | None = None) -> dict[str, Any]:
    if tube.state != TubeState.SEALED:
        return {}
    return {"state": TubeState.OPEN, "opened_on": timezone.localdate(at)}


def numbered(key: str | None, count: int) -> list[str | None]:
    """The keys of the entries of one deed: the first has the deed's own, so that no other deed can take it."""
    return [f"{key}/{n}" if key and n > 1 else key or None for n in range(1, count + 1)]


def set_balance(tube: Tube, deed: Deed, new_milli: int, **after: Any) -> Entry:
    """Bring the balance to a figure that somebody saw."""
    change_milli = new_milli - tube.balance_milli
    return write(tube, deed, change_milli=change_milli, balance_is_estimate=deed.is_estimate, **after)


def noted(deed: Deed, words: str) -> Deed:
    """The deed with what the arithmetic found after the person's own note."""
    if deed.note:
        check_text("note", deed.note, LONGEST_NOTE - len(words) - 1)
    return replace(deed, note=f"{deed.note} {words}".strip())
