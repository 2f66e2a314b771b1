"""What a person answers of a row, leaves out, or gives up."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from inventory.labels import LONGEST_LABEL
from inventory.models import BatchState, ImportBatch, ImportRow, RowState
from inventory.services.imports.held import UNFINISHED, hold, rewrite
from inventory.services.imports.naming import FIELD_KEYS
from inventory.services.imports.reading import read_rows
from inventory.services.ledger import refuse


@transaction.atomic
def choose(row: ImportRow, *, key: str, value: str, alike: bool = False, typed: bool = False) -> int:
    """Record the person's answer and read the row again; return how many rows were answered.

    `key` is the question's. `typed` says that `value` stands for the cell that the question is about. With `alike` the
    answer holds for every row of the file that asks the same.
    """
    batch = hold(row.batch, BatchState.READY)
    row = batch.rows.get(pk=row.pk)
    question = next((one for one in row.doubts if one["key"] == key), None)
    if question is None:
        raise refuse("answer", f"Line {row.line} does not ask this any more: look at the row again.")
    _check_answer(question, value, typed=typed)
    rows = [row]
    if alike:
        asking = batch.rows.filter(state__in=[RowState.DOUBT, RowState.ERROR]).exclude(pk=row.pk)
        rows += [other for other in asking if any(one["key"] == key and one["open"] for one in other.doubts)]
    for one in rows:
        if typed:
            name = question["field"]
            one.chosen = {kept: said for kept, said in one.chosen.items() if not kept.startswith(f"{name}|")}
            one.chosen[f"fix:{name}"] = value
        else:
            one.chosen[key] = value
    read_rows(batch, rows)
    rewrite(rows, ["chosen", "read", "doubts", "state"])
    return len(rows)


def _check_answer(question: Mapping[str, Any], value: str, *, typed: bool) -> None:
    where = f"column “{question['column']}”" if question["column"] else question["label"].lower()
    if typed:
        if question["field"] not in FIELD_KEYS:
            raise refuse("answer", f"For {where}, choose one of the answers.")
        if len(value) > LONGEST_LABEL:
            raise refuse("answer", f"For {where}, {len(value)} characters are too many: type at most {LONGEST_LABEL}.")
        if "\x00" in value:
            raise refuse("answer", f"For {where}, the text holds a character that no keyboard types: type it again.")
        return
    if value not in {option["value"] for option in question["options"]}:
        raise refuse("answer", f"“{value[:60]}” is none of the answers for {where}: choose one of them.")


@transaction.atomic
def ask_again(row: ImportRow) -> None:
    """Forget the answers for a row and read it as typed; also brings back a row that was left out."""
    batch = hold(row.batch, BatchState.READY)
    row = batch.rows.get(pk=row.pk)
    row.chosen = {}
    read_rows(batch, [row])
    rewrite([row], ["chosen", "read", "doubts", "state"])


@transaction.atomic
def leave_out(row: ImportRow) -> None:
    batch = hold(row.batch, BatchState.READY)
    batch.rows.filter(pk=row.pk).update(state=RowState.LEFT_OUT)


@transaction.atomic
def leave_out_errors(batch: ImportBatch) -> int:
    """Leave out every row that cannot be taken in; each can be brought back."""
    held = hold(batch, BatchState.READY)
    return held.rows.filter(state=RowState.ERROR).update(state=RowState.LEFT_OUT)


@transaction.atomic
def drop(batch: ImportBatch) -> None:
    """Give a file up before it was taken in; its rows stay to be looked at."""
    held = hold(batch, *UNFINISHED)
    ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.DROPPED)


@transaction.atomic
def take_up(batch: ImportBatch) -> None:
    """Take a dropped file up again, from its columns."""
    held = hold(batch, BatchState.DROPPED)
    if held.colour_table:  # its columns are known by their headings
        _read_from_the_start(held)
    else:
        ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.MAPPING)


@transaction.atomic
def read_again(batch: ImportBatch) -> None:
    """Read every row that was not left out once more, after something else was put right."""
    _read_from_the_start(hold(batch, BatchState.READY))


def _read_from_the_start(held: ImportBatch) -> None:
    held.rows.exclude(state=RowState.LEFT_OUT).update(state=RowState.UNREAD)
    ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.READING)
