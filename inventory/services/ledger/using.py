"""Paint is used up, seen to be left, found dried up, or thrown away."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from inventory.models import Condition, Entry, EntryKind, Tube, TubeState
from inventory.models.tube import exact
from inventory.services.ledger.deed import (
    LARGEST_ID,
    LONGEST_SHARED_KEY,
    Deed,
    begin,
    check_amount,
    check_key,
    last_deed,
    numbered,
    opened,
    refuse,
    refuse_empty,
    set_balance,
    write,
)
from studio.models import Studio, User


@transaction.atomic
def record_use(
    tube: Tube, *, amount_milli: int, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Take `amount_milli` (thousandths of the tube's unit) and record it; ValidationError if it is not there."""
    check_amount(amount_milli, tube.unit)
    deed = Deed(EntryKind.USED, by, key=key, note=note, at=at, change_milli=-amount_milli)
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, "used")
    if amount_milli > tube.balance_milli:
        raise refuse(
            "amount",
            f"{tube} holds {tube.balance}, so {exact(amount_milli, tube.unit)} cannot be used. "
            f"Enter less, or weigh it; {last_deed(tube)}.",
        )
    return write(tube, deed, change_milli=-amount_milli, **opened(tube, at))


@transaction.atomic
def record_use_of_many(
    amounts: Mapping[int, int],
    *,
    studio: Studio,
    by: User,
    note: str = "",
    key: str | None = None,
    at: datetime | None = None,
) -> list[Entry]:
    """Use several tubes at once, all or none; `amounts` is thousandths by tube id.

    Taken in order of id: two people who took the same tubes in different orders would wait for each other for ever.
    """
    check_key(key, LONGEST_SHARED_KEY)
    known = Tube.objects.filter(studio=studio, pk__in=[pk for pk in amounts if 0 < pk <= LARGEST_ID])
    tubes = known.select_related("item").in_bulk()
    if lacking := sorted(set(amounts) - set(tubes)):
        raise refuse("tubes", f"There is no tube with the id {lacking[0]} on this shelf any more: choose again.")
    return [
        record_use(tubes[pk], amount_milli=amounts[pk], by=by, note=note, key=own_key, at=at)
        for pk, own_key in zip(sorted(amounts), numbered(key, len(amounts)), strict=True)
    ]


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
    check_amount(left_milli, tube.unit, "left", zero=True)
    deed = Deed(EntryKind.COUNTED, by, key=key, note=note, at=at, is_estimate=is_estimate, left_milli=left_milli)
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, "counted")
    if left_milli > tube.nominal_milli:
        raise refuse("left", f"{exact(left_milli, tube.unit)} is more than the size of {tube.nominal}.")
    after = opened(tube, at) if left_milli < tube.nominal_milli else {}
    return set_balance(tube, deed, left_milli, **after)


def _empty(tube: Tube, deed_word: str, deed: Deed) -> Entry:
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, deed_word)
    return set_balance(tube, deed, 0, state=TubeState.EMPTY)


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
def examine(
    tube: Tube, *, condition: str, by: User, key: str | None = None, note: str = "", at: datetime | None = None
) -> Entry:
    """Somebody looked at what is in it: whether it can still be used. The amount stays as it is."""
    if condition not in Condition.values:
        known = ", ".join(Condition.values)
        raise refuse("condition", f"There is no condition {condition!r}: choose one of {known}.")
    if condition == Condition.OTHER and not note.strip():
        raise refuse("note", "Say in the note why it cannot be used.")
    deed = Deed(EntryKind.EXAMINED, by, key=key, note=note, at=at, condition=condition)
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, "looked at")
    return write(tube, deed, change_milli=0, condition=condition)
