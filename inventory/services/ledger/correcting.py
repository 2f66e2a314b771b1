"""An entry is put right by another one; both stay."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.models import Entry, EntryKind, Tube, TubeState
from inventory.models.tube import exact
from inventory.services.ledger.deed import (
    LONGEST_NOTE,
    WITHOUT_AMOUNT,
    Deed,
    begin,
    check_amount,
    check_text,
    hold,
    hold_place,
    refuse,
    told,
    write,
)
from inventory.services.ledger.weighing import weighed_again
from studio.models import User


@transaction.atomic
def correct(
    entry: Entry,
    *,
    by: User,
    change_milli: int,
    reason: str,
    gross_milli_g: int | None = None,
    key: str | None = None,
    at: datetime | None = None,
) -> Entry:
    """Write the entry that makes `entry` read as if its change had been `change_milli`.

    With a change of 0 it also brings back the state and place from before, unless later entries changed them.
    """
    if not reason.strip():
        raise refuse("reason", "Say what was wrong, so that the next reader understands.")
    check_text("reason", reason.strip())
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
        gross_milli_g=gross_milli_g,
        is_estimate=entry.is_estimate,
        change_milli=difference,
    )
    if entry.kind == EntryKind.MOVED and entry.place_before_id == entry.place_after_id:
        raise refuse("entry", "This entry moved nothing. Where it names an owner, change the owner again.")
    moves_back = (
        change_milli == 0 and entry.kind != EntryKind.RECEIVED and entry.place_before_id != entry.place_after_id
    )
    if moves_back and entry.place_before is not None:
        hold_place(entry.place_before, entry.studio_id)
    if earlier := begin(tube, deed):
        return earlier
    line = Line(tube.entries.select_related("by").order_by("pk"), entry)
    if (other := line.correction_of(entry)) is not None:
        raise refuse("entry", f"This entry was corrected already, by {other.by}: correct that correction instead.")
    if difference and (settled := line.settled_later()) is not None:
        raise refuse(
            "entry", f"Whatever happened before, {told(settled)}, and that figure stands. Undo that entry first."
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
                raise refuse("entry", f"It was moved again since: {told(moved)}. Move it to where it stands now.")
            after["place_id"] = entry.place_before_id
        if entry.condition_before != entry.condition_after:
            if (looked := line.examined_later()) is not None:
                raise refuse(
                    "entry", f"It was looked at again since: {told(looked)}. Look at it and write it down anew."
                )
            after["condition"] = entry.condition_before
        after |= line.state_before()
    if tube.state == TubeState.EMPTY and "state" not in after and balance > 0:
        after["state"] = TubeState.OPEN
    return write(tube, deed, change_milli=difference, **after)


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

    def examined_later(self) -> Entry | None:
        looks = (each for each in reversed(self.later) if each.condition_before != each.condition_after)
        return next(looks, None)

    def held_before(self) -> int:
        """What the tube held when the entry was written, as far as it is known by now."""
        roots: dict[int, int] = {}
        held = 0
        for each in self.entries:
            roots[each.pk] = roots.get(each.corrects_id or 0, each.pk)
            if roots[each.pk] < self.entry.pk:
                held += each.change_milli
        return held

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


@transaction.atomic
def correct_left(
    entry: Entry, *, by: User, left_milli: int, reason: str, key: str | None = None, at: datetime | None = None
) -> Entry:
    """Put right what a count or a weighing found to be left at its time; later uses stay."""
    tube = Tube(pk=entry.tube_id, studio_id=entry.studio_id)
    if entry.kind not in (EntryKind.COUNTED, EntryKind.WEIGHED):
        raise refuse("entry", f"'{entry.get_kind_display()}' found nothing that could have been another figure.")
    hold(tube)
    check_amount(left_milli, tube.unit, "left", zero=True)
    if left_milli > tube.nominal_milli:
        raise refuse("left", f"{exact(left_milli, tube.unit)} is more than the size of {tube.nominal}.")
    change_milli = left_milli - Line(tube.entries.order_by("pk"), entry).held_before()
    return correct(entry, by=by, change_milli=change_milli, reason=reason, key=key, at=at)


@transaction.atomic
def correct_weighing(
    entry: Entry,
    *,
    by: User,
    gross_milli_g: int,
    reason: str,
    tare_milli_g: int | None = None,
    key: str | None = None,
    at: datetime | None = None,
) -> Entry:
    """Put right what the scale showed. Where that gives no amount the correction keeps the figure in words."""
    tube = Tube(pk=entry.tube_id, studio_id=entry.studio_id)
    if entry.kind != EntryKind.WEIGHED:
        raise refuse("entry", f"'{entry.get_kind_display()}' was no weighing.")
    hold(tube)
    left, words = weighed_again(tube, entry, gross_milli_g, tare_milli_g)
    check_text("reason", reason.strip(), LONGEST_NOTE - len(words) - 1)
    change_milli = 0 if left is None else left - Line(tube.entries.order_by("pk"), entry).held_before()
    return correct(
        entry,
        by=by,
        change_milli=change_milli,
        reason=f"{reason.strip()} {words}" if reason.strip() else "",
        gross_milli_g=gross_milli_g,
        key=key,
        at=at,
    )
