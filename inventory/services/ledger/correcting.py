"""An entry is put right by another one; both stay."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.models import Entry, EntryKind, Tube, TubeState, Unit
from inventory.models.ledger import OWNER
from inventory.models.tube import exact
from inventory.services.ledger.deed import (
    DENSITY,
    LONGEST_NOTE,
    TARE,
    WHOSE,
    WITHOUT_AMOUNT,
    Deed,
    begin,
    check_amount,
    check_text,
    hold,
    hold_place,
    refuse,
    told,
    whose,
    write,
)
from inventory.services.ledger.weighing import hold_density, set_density, weighed_again
from studio.models import User


@transaction.atomic
def correct(
    entry: Entry,
    *,
    by: User,
    change_milli: int,
    reason: str,
    gross_milli_g: int | None = None,
    tare_milli_g: int | None = None,
    key: str | None = None,
    at: datetime | None = None,
) -> Entry:
    """Write the entry that makes `entry` read as if its change had been `change_milli`.

    With a change of 0 it also brings back the state and place from before, unless later entries changed them, and
    without a weight (`gross_milli_g`) what a weighing had learned of the container and the density.
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
    if entry.moves_nothing:
        raise refuse("entry", "This entry moved nothing. Where it names an owner, change the owner again.")
    if change_milli == 0 and _moves(entry) and entry.place_before is not None:
        hold_place(entry.place_before, entry.studio_id)
    if earlier := begin(tube, deed):
        return earlier
    line = Line(tube.entries.select_related("by").order_by("pk"), entry)
    _check_line(tube, line, difference)
    after: dict[str, Any] = {}
    if change_milli == 0:
        after = _before(line)
        if OWNER in (entry.facts or {}):
            deed = _give_back(tube, deed, entry, after)
    if tube.state == TubeState.EMPTY and "state" not in after and tube.balance_milli + difference > 0:
        after["state"] = TubeState.OPEN
    if tare_milli_g is not None:
        after["tare_milli_g"] = tare_milli_g
    elif change_milli == 0 and gross_milli_g is None:
        deed = _forget_learned(tube, deed, line, after)
    return write(tube, deed, change_milli=difference, **after)


def _moves(entry: Entry) -> bool:
    return entry.kind != EntryKind.RECEIVED and entry.place_before_id != entry.place_after_id


def _check_line(tube: Tube, line: "Line", difference: int) -> None:
    """Whether the entry can be put right still, and what the tube then holds."""
    if (other := line.correction_of(line.entry)) is not None:
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


def _before(line: "Line") -> dict[str, Any]:
    """Place, condition and state from before the entry, unless later entries changed them."""
    entry = line.entry
    before: dict[str, Any] = {}
    if _moves(entry):
        if (moved := line.moved_later()) is not None:
            raise refuse("entry", f"It was moved again since: {told(moved)}. Move it to where it stands now.")
        before["place_id"] = entry.place_before_id
    if entry.condition_before != entry.condition_after:
        if (looked := line.examined_later()) is not None:
            raise refuse("entry", f"It was looked at again since: {told(looked)}. Look at it and write it down anew.")
        before["condition"] = entry.condition_before
    return {**before, **line.state_before()}


def _give_back(tube: Tube, deed: Deed, entry: Entry, after: dict[str, Any]) -> Deed:
    """Let it be whose it was before, unless that changed again."""
    before, then = (entry.facts or {})[OWNER]
    if whose(tube) != then:
        raise refuse("entry", f"Whose it is was changed again since: it is {tube.whose_words} now. Change it anew.")
    kind, member, owner_class, shared = before
    owner = User.objects.filter(pk=member, memberships__studio=tube.studio_id).first() if member else None
    if member and owner is None:
        raise refuse("entry", "The member who owned it before is not in this studio any more: choose another owner.")
    after |= dict(zip(WHOSE, before, strict=True))
    again = Tube(owner_kind=kind, owner=owner, owner_class=owner_class)
    words = f"It is {again.whose_words} again{', and counts for the studio' if shared else ''}."
    return replace(deed, note=f"{deed.note} {words}"[:LONGEST_NOTE])


def _forget_learned(tube: Tube, deed: Deed, line: "Line", after: dict[str, Any]) -> Deed:
    """Bring back the container's weight and the density from before; what somebody entered since stays."""
    words, learned = [], line.entry.facts or {}
    if TARE in learned:
        tare = line.learned_without(TARE, tube.tare_milli_g)
        if tare != tube.tare_milli_g:
            after["tare_milli_g"] = tare
            weighs = "is not known again" if tare is None else f"is {exact(tare, Unit.G)} again"
            words.append(f"The container's weight {weighs}.")
    if DENSITY in learned:
        rows = Entry.objects.filter(tube__item=tube.item_id, facts__has_key=DENSITY).order_by("pk")
        now = hold_density(tube.item)
        density = Line(rows, line.entry).learned_without(DENSITY, now)
        if density != now:
            set_density(tube.item, density)
            is_now = f"is {tube.item.density_words}" if density[0] else "is not known"
            words.append(f"The density of {tube.item.name} {is_now} again.")
        deed = replace(deed, facts={DENSITY: [now, density]})  # also where it stays: the next one looks for it
    note = " ".join([deed.note, *words])
    return replace(deed, note=note) if len(note) <= LONGEST_NOTE else deed


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

    def learned_without(self, name: str, now: Any) -> Any:
        """What would be known under this name without the entry; needs each entry that learned something of it.

        `now` is what is known: where that came from nobody's deed, as when it was typed on a page, it stays.
        """
        known = latest = None
        for place, each in enumerate(each for each in self.entries if name in (each.facts or {})):
            before, after = (each.facts or {})[name]
            if not place or before != latest:
                known = before
            says_it = each.kind != EntryKind.CORRECTED or each.gross_milli_g is not None
            if says_it and self._stands_without_it(each):
                known = after
            latest = after
        return known if now == latest else now

    def _stands_without_it(self, entry: Entry) -> bool:
        if entry.pk == self.entry.pk:
            return False
        correction = self.correction_of(entry)
        if correction is None or correction.pk == self.entry.pk:
            return True
        taken_back = entry.change_milli + correction.change_milli == 0 and correction.gross_milli_g is None
        return not (taken_back and self._stands_without_it(correction))

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
    """Take an entry back by another one; what was taken back before, and stands again since, is told."""
    reason = f"Undone: {entry.get_kind_display().lower()}."
    written = correct(entry, by=by, change_milli=0, reason=reason, key=key, at=at)
    again = Entry.objects.filter(corrects=written).select_related("by").first()
    if again is not None:
        raise refuse(
            "entry", f"It was taken back before, and {again.by} corrected that: correct the newest entry of it instead."
        )
    return written


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
        tare_milli_g=gross_milli_g if entry.state_before == TubeState.EMPTY else tare_milli_g,
        key=key,
        at=at,
    )
