"""A list is given: its rows are kept as typed, and its columns named as last time or as they seem."""

from dataclasses import replace

from django.db import transaction

from inventory.exchange import (
    FileRefusedError,
    ImportSettings,
    Table,
    digests,
    guess_columns,
    read_table,
    read_text,
    unit_of_heading,
)
from inventory.exchange.colour_tables import MOST_COLOUR_ROWS, SHEETS, colour_table
from inventory.labels import scale_of_column
from inventory.models import BatchState, ImportBatch, ImportRow, ImportSource
from inventory.services.imports.held import A_CHUNK
from inventory.services.imports.sources import as_last_time
from studio.models import Studio, User


def begin(studio: Studio, *, by: User, data: bytes, file_name: str, encoding: str = "") -> ImportBatch:
    """Keep a file's rows as typed; FileRefusedError says why a file is no table."""
    name = file_name if len(file_name) <= 200 else f"{file_name[:150]}…{file_name[-40:]}"
    table = read_table(data, name, encoding=encoding)
    batch = _keep(studio, by, name, table)
    for one in batch.skipped:
        # Our own workbook has the tables of colours beside the shelf: each becomes a list of its own.
        if one["line"] == 0 and one["text"] in SHEETS.values():
            one["why"] = _beside(studio, by, data, name, one["text"])
    batch.save(update_fields=["skipped"])
    return batch


def _beside(studio: Studio, by: User, data: bytes, name: str, sheet: str) -> str:
    """Keep a further sheet of colours as a list of its own; return what became of it."""
    try:
        table = read_table(data, name, sheet=sheet)
        if not colour_table(table.columns):
            return "Another sheet of the file; one is read here."
        _keep(studio, by, f"{name[:150]}: {sheet}", table)
    except FileRefusedError as error:
        return str(error)
    return "A list of its own, found under Import: take it in after the paints."


def begin_pasted(studio: Studio, *, by: User, text: str) -> ImportBatch:
    return _keep(studio, by, "Pasted text", read_text(text, "The pasted text"))


def _keep(studio: Studio, by: User, name: str, table: Table) -> ImportBatch:
    cells = [row.cells for row in table.rows]
    if of_colours := colour_table(table.columns):
        if len(cells) > MOST_COLOUR_ROWS:
            many = f"{len(cells)} rows, more than the {MOST_COLOUR_ROWS} that a table of colours may have"
            raise FileRefusedError(f"{name} has {many} at once. Split it.")
        table = replace(table, letters=())
    batch = ImportBatch(
        studio=studio,
        by=by,
        file_name=name,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal_comma=bool(table.decimal_comma),
        columns=list(table.columns),
        mapping=guess_columns(table.columns, cells),
        skipped=[{"line": one.line, "text": one.text, "why": one.why} for one in table.skipped],
    )
    batch.settings = {
        **_guessed_settings(batch, table).as_json(),
        "letters": [[choice.encoding, choice.label, choice.sample] for choice in table.letters],
        "blank_lines": table.blank_lines,
    }
    if of_colours:
        batch.mapping, batch.state = {}, BatchState.READING
        batch.settings = {**batch.settings, "table": of_colours}
    # Where the letters are asked, the page of the columns has to ask them.
    elif not table.letters and (source := as_last_time(studio, table.columns)) is not None:
        _name_as(batch, source)
    marks = digests(table.columns, cells)
    with transaction.atomic():
        batch.save()
        ImportRow.objects.bulk_create(
            (
                ImportRow(batch=batch, line=row.line, cells=list(row.cells), digest=mark)
                for row, mark in zip(table.rows, marks, strict=True)
            ),
            batch_size=A_CHUNK,
        )
    return batch


def _name_as(batch: ImportBatch, source: ImportSource) -> None:
    """Name the columns as last time; the list is read at once, and its page says so."""
    batch.mapping = source.mapping
    batch.settings = {
        **batch.settings,
        **ImportSettings.of(source.settings).as_json(),
        "source": {"by": str(source.by or "somebody who has left"), "on": source.used_at.date().isoformat()},
    }
    batch.decimal_comma = bool(ImportSettings.of(batch.settings).decimal_comma)
    batch.state = BatchState.READING


def _guessed_settings(batch: ImportBatch, table: Table) -> ImportSettings:
    by_field = {key: int(place) for place, key in reversed(batch.mapping.items())}
    scale = unit = ""
    if (place := by_field.get("lightfastness")) is not None:
        cells = (row.cells[place] for row in table.rows[:2000])
        scale = str(scale_of_column(cells, table.columns[place]) or "")
    if (place := by_field.get("size")) is not None:
        unit = unit_of_heading(table.columns[place])
    decimals = {True: "comma", False: "point", None: ""}[table.decimal_comma]
    return ImportSettings(unit=unit, decimals=decimals, lightfastness_scale=scale if scale != "maker" else "")
