"""What the steps of an import share: the batch, held; rows written again; digests that were taken in."""

from inventory.models import BatchState, ImportBatch, ImportedRow, ImportRow
from inventory.services.ledger import refuse

A_STEP = 1000  # rows read between two looks at the progress
A_CHUNK = 500
UNFINISHED = (BatchState.MAPPING, BatchState.READING, BatchState.READY)


def hold(batch: ImportBatch, *states: str) -> ImportBatch:
    """The batch, locked until the transaction ends; refused when it is not in one of these states any more."""
    held = ImportBatch.objects.select_for_update(of=("self",)).select_related("studio", "by").get(pk=batch.pk)
    if held.state not in states:
        raise refuse("batch", f"{held} is {held.get_state_display().lower()}, so this is not done.")
    return held


def rewrite(rows: list[ImportRow], names: list[str]) -> None:
    """Write some fields of many rows: an upsert is several times faster than a CASE for each field."""
    ImportRow.objects.bulk_create(
        rows, batch_size=A_CHUNK, update_conflicts=True, update_fields=names, unique_fields=["pk"]
    )


def taken_before(studio_id: int, marks: list[str]) -> set[str]:
    """Which of these digests were taken in before."""
    found: set[str] = set()
    for start in range(0, len(marks), A_CHUNK):
        rows = ImportedRow.objects.filter(studio_id=studio_id, digest__in=marks[start : start + A_CHUNK])
        found.update(rows.values_list("digest", flat=True))
    return found
