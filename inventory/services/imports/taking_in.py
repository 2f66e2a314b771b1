"""A list that was read and looked through is taken in, whole or not at all."""

from django.db import transaction
from django.utils import timezone

from inventory.models import BatchState, ImportBatch, RowState
from inventory.queries.imports import counts
from inventory.services.colours import work_through
from inventory.services.imports.colours import take_in
from inventory.services.imports.drawing import AT_ONCE, draw_some
from inventory.services.imports.intake import Intake, TakenIn
from inventory.services.imports.sources import remember
from inventory.services.ledger import refuse
from studio.models import Studio, User


def taken_in(batch: ImportBatch) -> TakenIn:
    return TakenIn(**batch.settings.get("result", {}))


def commit(batch: ImportBatch, *, by: User) -> TakenIn:
    """Take every row in, or none. Sent twice, it is done once and says the same.

    The first of the new paints are drawn with it; `draw_some` draws the others afterwards.
    """
    result = _commit(batch, by)
    batch.refresh_from_db()
    if batch.colour_table:
        work_through(batch.studio)
    else:
        draw_some(batch, limit=AT_ONCE)
    return result


@transaction.atomic
def _commit(batch: ImportBatch, by: User) -> TakenIn:
    held = ImportBatch.objects.select_for_update().get(pk=batch.pk)
    if held.state == BatchState.COMMITTED:
        return taken_in(held)
    _check_ready(held)
    # Two files with the same rows wait for each other here, so that the second sees what the first took in.
    studio = Studio.objects.select_for_update().get(pk=held.studio_id)
    if held.colour_table:
        return _finish(held, _colours(held, by))
    intake = Intake(held, studio, by)
    intake.run()
    held.drawn_up_to = 0 if intake.made else None
    remember(held, by=by)
    return _finish(held, intake.result)


def _colours(batch: ImportBatch, by: User) -> TakenIn:
    made = take_in(batch, by=by)
    batch.settings = {**batch.settings, "made": made}
    rows = counts(batch)
    many = sum(len(keys) for keys in made.values())
    return TakenIn(colours=many, present=rows[RowState.PRESENT], left_out=rows[RowState.LEFT_OUT])


def _finish(batch: ImportBatch, result: TakenIn) -> TakenIn:
    batch.settings = {**batch.settings, "result": vars(result)}
    batch.state = BatchState.COMMITTED
    batch.committed_at = timezone.now()
    batch.save()
    return result


def _check_ready(batch: ImportBatch) -> None:
    if batch.state != BatchState.READY:
        raise refuse("batch", f"{batch} is {batch.get_state_display().lower()}: only a file that was read is taken in.")
    wrong = list(batch.rows.filter(state=RowState.ERROR).values_list("line", flat=True)[:6])
    if wrong:
        lines = ", ".join(str(line) for line in wrong[:5]) + (" and more" if len(wrong) > 5 else "")
        raise refuse(
            "batch", f"Nothing was taken in: correct or leave out the rows that cannot be read (line {lines})."
        )
    if not batch.rows.filter(state__in=[RowState.CLEAR, RowState.DOUBT]).exists():
        raise refuse("batch", "There is nothing to take in: every row is already there or left out.")
