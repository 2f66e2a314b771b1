"""Tables as files. Every text comes back as it was; no cell is run as a formula by the spreadsheet that opens it."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

from .files import LARGEST_CELL
from .protecting import protect
from .spreadsheets import to_cell


class TooLongError(ValueError):
    """A text that an XLSX cell cannot hold."""


def write_csv(rows: Iterable[Sequence[str]], *, separator: str = ",", bom: bool = False) -> bytes:
    """CSV by RFC 4180 in UTF-8, cells protected (see protecting.py); `bom` for spreadsheets that ask for the mark."""
    if separator not in (",", ";", "\t"):
        raise ValueError(f"the separator must be a comma, a semicolon or a tab, not {separator!r}")
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerows([protect(cell) for cell in row] for row in rows)
    return text.getvalue().encode("utf-8-sig" if bom else "utf-8")


def write_xlsx(
    rows: Iterable[Sequence[str]],
    *,
    title: str = "Shelf",
    beside: Sequence[tuple[str, Iterable[Sequence[str]]]] = (),
) -> bytes:
    """XLSX with every cell stored as text, so that `004` keeps its zeros and `=1+1` stays a text.

    `beside` are further sheets by their titles.
    """
    from openpyxl import Workbook

    workbook = Workbook(write_only=True)
    for name, table in ((title, rows), *beside):
        _write_sheet(workbook, name, table)
    out = io.BytesIO()
    workbook.save(out)
    return out.getvalue()


def _write_sheet(workbook: Any, title: str, rows: Iterable[Sequence[str]]) -> None:
    from openpyxl.cell import WriteOnlyCell

    sheet = workbook.create_sheet(title[:31])
    sheet.freeze_panes = "A2"
    for row in rows:
        cells = []
        for text in row:
            written = to_cell(text)
            if len(written) > LARGEST_CELL:
                raise TooLongError(
                    f"“{text[:40]}…” has {len(text)} characters, more than the {LARGEST_CELL} that a cell of an XLSX "
                    "file can hold. Choose CSV."
                )
            cell = WriteOnlyCell(sheet, value=written)
            cell.data_type = "s"  # openpyxl takes a text that begins with = for a formula
            cell.number_format = "@"
            cells.append(cell)
        sheet.append(cells)
