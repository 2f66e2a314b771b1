"""A whole list is taken back: one transaction of correcting entries; what was touched since stays and is named."""

from django.db import transaction
from django.utils import timezone

from inventory.models import Barcode, BatchState, Entry, EntryKind, ImportBatch, ImportedRow, Item, Tube, TubeState
from inventory.queries.taking_back import Back, tubes_of, what_goes_back
from inventory.services.colours import work_through
from inventory.services.imports import colours
from inventory.services.imports.held import A_CHUNK, hold
from inventory.services.ledger import Deed, refuse
from studio.models import Studio, User

MOST_NAMED = 200


@transaction.atomic
def take_back(batch: ImportBatch, *, by: User) -> Back:
    """Correct every tube of a list to nothing and take its paints off the lists, as far as nobody touched them.

    Its rows may be given again afterwards. Places that it made stay, and so does what it added to paints that were
    there before.
    """
    Studio.objects.select_for_update(no_key=True).get(pk=batch.studio_id)
    held = hold(batch, BatchState.COMMITTED)
    if not held.brought.exists():
        raise refuse(
            "batch",
            f"{held} was taken in before it was kept what each row brought, so it cannot be taken back as a whole. "
            "Correct its tubes one by one.",
        )
    if held.colour_table:
        return _colours(batch, held, by)
    back = what_goes_back(held, tubes_of(held).select_for_update(of=("self",), no_key=True))
    if not back.tubes and not back.items:
        raise refuse(
            "batch", f"Nothing of {held} can be taken back: everything was touched since. Nothing was changed."
        )
    _correct(back, by, f"The list {held.file_name} was taken back."[:300])
    _put_away(back)
    _finish(batch, held, back, by)
    return back


def _colours(batch: ImportBatch, held: ImportBatch, by: User) -> Back:
    back = Back(colours=colours.take_back(held, by=by))
    if not back.colours:
        raise refuse("batch", f"Nothing of {held} stands any more: each row was withdrawn. Nothing was changed.")
    _finish(batch, held, back, by)
    transaction.on_commit(lambda: work_through(batch.studio))
    return back


def _finish(batch: ImportBatch, held: ImportBatch, back: Back, by: User) -> None:
    held.settings = {
        **held.settings,
        "back": {
            "tubes": len(back.tubes),
            "items": len(back.items),
            "colours": back.colours,
            "left": [[one.words, one.why, one.number] for one in back.left[:MOST_NAMED]],
            "left_count": len(back.left),
        },
    }
    held.state = BatchState.TAKEN_BACK
    held.taken_back_at, held.taken_back_by, held.drawn_up_to = timezone.now(), by, None
    held.save()
    batch.refresh_from_db()


def _correct(back: Back, by: User, note: str) -> None:
    """A correcting entry for each tube; the tubes are held, and hold what their one entry brought."""
    now = timezone.now()
    entries = []
    for tube in back.tubes:
        entry = back.received[tube.pk]
        deed = Deed(EntryKind.CORRECTED, by, note=note, at=now, is_estimate=entry.is_estimate, corrects=entry)
        entries.append(deed.entry(tube, change_milli=-entry.change_milli, state=TubeState.EMPTY))
    for start in range(0, len(back.tubes), A_CHUNK):
        pks = [tube.pk for tube in back.tubes[start : start + A_CHUNK]]
        Tube.objects.filter(pk__in=pks).update(balance_milli=0, balance_is_estimate=False, state=TubeState.EMPTY)
    Entry.objects.bulk_create(entries, batch_size=A_CHUNK)


def _put_away(back: Back) -> None:
    """Take the paints off the lists, free their bar codes, and forget that the rows were taken in."""
    now = timezone.now()
    for start in range(0, len(back.items), A_CHUNK):
        pks = back.items[start : start + A_CHUNK]
        Barcode.objects.filter(item__in=pks).delete()
        Item.objects.filter(pk__in=pks).update(archived_at=now)
    for start in range(0, len(back.rows), A_CHUNK):
        ImportedRow.objects.filter(pk__in=back.rows[start : start + A_CHUNK]).delete()
