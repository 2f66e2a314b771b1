# ruff: noqa: E402
"""A list of 10,000 rows brought in, taken out and taken back, against bulk_create and a bare openpyxl of the same rows.

Run by hand: python -m tests.bench.bench_import (with DATABASE_URL for PostgreSQL; makes and drops its own database)
Aims: a preview in seconds, and a commit below 3 times the baseline. The baseline writes the very rows that the commit
wrote, as finished objects, with one bulk_create a table and no checks. XLSX is held against openpyxl alone, which
writes and reads the same cells without protecting, checking or reading what they say.
"""

import io
import os
import time
from collections.abc import Callable
from typing import Any
from unittest.mock import patch

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django  # the models can be imported only after its setup

django.setup()

from django.db import connection, transaction
from django.test.utils import setup_databases, teardown_databases
from openpyxl import Workbook, load_workbook

from inventory.exchange import read_table, write_csv, write_xlsx
from inventory.models import Entry, ImportedRow, Item, Paint, PaintPigment, Place, Reading, Tube
from inventory.queries.imports import counts, plan, settings_of, shelf_rows
from inventory.services import imports
from inventory.services.imports import insert_children
from inventory.services.reference import load_reference
from inventory.services.swatches import refresh_swatches
from studio.models import Studio, User
from tests.ledger_triggers import lifted

ROWS = 10_000
CODES = ("PB29", "PY3, PG7", "PBr7", "PR108", "PW6", "PB15:3", "PV19", "PG7, PY150")


def listed() -> bytes:
    """One sealed tube a row, half of them with an open one beside it, 40 places."""
    lines = ["Name;Binder;Pigments;Lightfastness;Opacity;Maker;Code;Size;Sealed;Open;Left;Place"]
    lines += [
        f"Colour {number};oil;{CODES[number % 8]};ASTM I;T;Own;{number:05};37 ml;1;{number % 2};about half;"
        f"Shelf {number % 40}"
        for number in range(ROWS)
    ]
    return "\r\n".join(lines).encode()


def timed(what: str, work: Callable[[], Any], rows: int = ROWS) -> float:
    start = time.perf_counter()
    work()
    seconds = time.perf_counter() - start
    print(f"{what:<44}{seconds:8.2f} s {rows / seconds:10.0f} rows/s")
    return seconds


def preview(studio: Studio, user: User) -> Any:
    batch = imports.begin(studio, by=user, data=listed(), file_name="list.csv")
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    while not imports.read_some(batch).finished:
        pass
    plan(batch)
    return batch


def baseline() -> Callable[[], None]:
    """Take every row that the commit wrote, delete it, and return what writes it again."""
    tables = {model: list(model.objects.order_by("pk")) for model in (Place, PaintPigment, Reading, Tube, Entry)}
    marks, paints = list(ImportedRow.objects.all()), list(Paint.objects.order_by("pk"))
    items = list(Item.objects.order_by("pk"))
    with lifted(), connection.cursor() as cursor:
        for model in (ImportedRow, Entry, Tube, Reading, PaintPigment, Paint, Item, Place):
            cursor.execute(f"DELETE FROM {model._meta.db_table}")  # noqa: S608  # names of our own tables

    @transaction.atomic
    def write() -> None:
        Place.objects.bulk_create(tables[Place])
        Item.objects.bulk_create(items, batch_size=500)
        insert_children(paints)
        for model in (PaintPigment, Reading, Tube, Entry):
            model.objects.bulk_create(tables[model], batch_size=500)
        ImportedRow.objects.bulk_create(marks, batch_size=500)

    return write


def openpyxl_alone(rows: list[list[str]]) -> bytes:
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read_alone(data: bytes) -> int:
    sheet = load_workbook(io.BytesIO(data), read_only=True, data_only=True).worksheets[0]
    return sum(1 for _ in sheet.iter_rows(values_only=True))


def tables(studio: Studio) -> None:
    """The shelf out and in again as a table, XLSX beside CSV."""
    made: dict[str, Any] = {}
    timed("shelf read for an export", lambda: made.update(rows=list(shelf_rows(studio))))
    rows = made["rows"]
    print(f"{len(rows) - 1} rows of {len(rows[0])} cells leave")
    timed("written as CSV", lambda: made.update(csv=write_csv(rows)))
    out = timed("written as XLSX", lambda: made.update(xlsx=write_xlsx(rows)))
    out_alone = timed("the same cells by openpyxl alone", lambda: openpyxl_alone(rows))
    timed("read from CSV", lambda: read_table(made["csv"], "shelf.csv"))
    back = timed("read from XLSX", lambda: read_table(made["xlsx"], "shelf.xlsx"))
    back_alone = timed("the same file by openpyxl alone", lambda: read_alone(made["xlsx"]))
    print(f"XLSX out / openpyxl: {out / out_alone:.2f}, in / openpyxl: {back / back_alone:.2f}")


def main() -> None:
    print(f"{connection.vendor}, {ROWS} rows")
    load_reference()
    studio = Studio.objects.create(name="Bench", slug="bench")
    user = User.objects.create(username="bench")
    made: list[Any] = []
    timed("preview: keep, read and count", lambda: made.append(preview(studio, user)))
    print(counts(made[0]))
    # The colours that paints are drawn with are worked out after the transaction, and timed by themselves.
    with patch("inventory.services.imports.drawing.refresh_swatches"):
        commit = timed("commit", lambda: imports.commit(made[0], by=user))
    timed("one step of drawing, 500 paints", lambda: refresh_swatches(Paint.objects.order_by("pk")[:500]), 500)
    timed("swatches of all new paints", lambda: refresh_swatches(Paint.objects.all()))
    timed("preview of the same file again", lambda: preview(studio, user))
    tables(studio)
    with transaction.atomic():
        timed("the whole list taken back", lambda: imports.take_back(made[0], by=user))
        transaction.set_rollback(True)
    bulk = timed("bulk_create of the same rows", baseline())
    print(f"commit / bulk_create: {commit / bulk:.2f}")


if __name__ == "__main__":
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        main()
    finally:
        teardown_databases(databases, verbosity=0)
