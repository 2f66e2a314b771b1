"""Rows are read in steps, each against what is on the shelf; the page may be left and found again."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction

from inventory.exchange import read_row
from inventory.exchange.colour_tables import MEASUREMENTS, MOST_COLOUR_ROWS
from inventory.models import BatchState, ImportBatch, ImportRow, RowState
from inventory.queries.imports import around, settings_of
from inventory.services.imports.colours import try_rows
from inventory.services.imports.held import A_STEP, UNFINISHED, hold, rewrite, taken_before

# Rows of measured colours are tried out with all their checks, some thousandths of a second each, in a transaction.
A_SHORT_STEP = 200


@dataclass(frozen=True)
class Progress:
    done: int
    total: int

    @property
    def finished(self) -> bool:
        return self.done >= self.total


def progress(batch: ImportBatch) -> Progress:
    total = batch.rows.count()
    return Progress(total - batch.rows.filter(state=RowState.UNREAD).count(), total)


def read_some(batch: ImportBatch, *, limit: int = A_STEP) -> Progress:
    """Read the next rows; call it until it is finished. It may be left and taken up again at any time."""
    # A reading of a window test goes by the row that began it, so such a table is read at once.
    limit = {"": limit, MEASUREMENTS: min(limit, A_SHORT_STEP)}.get(batch.colour_table, MOST_COLOUR_ROWS)
    rows = list(batch.rows.filter(state=RowState.UNREAD)[:limit])
    read_rows(batch, rows)
    with transaction.atomic():
        held = hold(batch, *UNFINISHED)
        if held.settings != batch.settings or held.mapping != batch.mapping:
            return progress(held)  # the columns were named anew meanwhile: what was read here does not count
        rewrite(rows, ["read", "doubts", "state"])
        now = progress(held)
        if now.finished and held.state == BatchState.READING:
            ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.READY)
    batch.refresh_from_db()
    return now


def read_rows(batch: ImportBatch, rows: Iterable[ImportRow]) -> None:
    rows = list(rows)
    if batch.colour_table:
        return try_rows(batch, rows)
    settings, beside = settings_of(batch), around(batch.studio)
    taken = taken_before(batch.studio_id, [row.digest for row in rows])
    for row in rows:
        found = read_row(
            batch.columns,
            row.cells,
            batch.mapping,
            settings,
            beside,
            chosen=row.chosen,
            present=row.digest in taken,
        )
        row.read, row.doubts, row.state = found.read, found.doubts, found.state
