"""XLSX files as cells of text: what a person sees in them, as far as the file has it."""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from .files import LARGEST_CELL, MOST_COLUMNS, MOST_ROWS, FileRefusedError

_LARGEST_UNPACKED = 200 * 1024 * 1024
_HEX = re.compile(r"_x([0-9A-Fa-f]{4})_")
_UNWRITABLE = re.compile(r"[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


@dataclass(frozen=True, slots=True)
class Sheet:
    rows: list[tuple[int, tuple[str, ...]]]
    others: tuple[str, ...]


def to_cell(text: str) -> str:
    """A text with the characters that XML cannot hold written as _xHHHH_ (ECMA-376 part 1, ST_Xstring)."""
    return _UNWRITABLE.sub(lambda match: f"_x{ord(match[0]):04X}_", text)


def from_cell(text: str) -> str:
    return _HEX.sub(lambda match: chr(int(match[1], 16)), text)


def read_sheet(data: bytes, name: str, title: str = "") -> Sheet:
    """The sheet of this title alone, else the first that has a filled cell, and the names of the others with one."""
    formulas = _check_package(data, name)
    try:
        rows, others = _read(data, name, title, formulas=formulas)
    except FileRefusedError:
        raise
    except Exception as error:  # openpyxl lets through whatever its parsers raise on a broken file
        raise FileRefusedError(
            f"{name} is a broken spreadsheet ({type(error).__name__}). Open it where it was made and save it again "
            "as XLSX or CSV."
        ) from error
    if not rows:
        raise FileRefusedError(f"{name} has no filled cell. Give a line of headings and a line for each paint.")
    return Sheet(rows, tuple(others))


def _check_package(data: bytes, name: str) -> bool:
    """Refuse what is no XLSX; return whether a sheet of it has formulas."""
    try:
        package = zipfile.ZipFile(io.BytesIO(data))
    except zipfile.BadZipFile:
        raise FileRefusedError(f"{name} begins like a packed folder (ZIP) and is broken. Save it again.") from None
    names = set(package.namelist())
    if "mimetype" in names and package.read("mimetype").startswith(b"application/vnd.oasis"):
        raise FileRefusedError(f"{name} is an OpenDocument file. Save the sheet as XLSX or CSV and give that file.")
    if "xl/workbook.xml" not in names:
        what = "a text document" if "word/document.xml" in names else "a packed folder (ZIP)"
        raise FileRefusedError(f"{name} is {what}, not a table. Give the XLSX or CSV file itself.")
    if sum(info.file_size for info in package.infolist()) > _LARGEST_UNPACKED:
        raise FileRefusedError(
            f"{name} unpacks to more than 200 MB. Take pictures and unused sheets out, or save it as CSV."
        )
    sheets = [sheet for sheet in names if sheet.startswith("xl/worksheets/") and sheet.endswith(".xml")]
    return any(re.search(rb"<f[ >]", package.read(sheet)) for sheet in sheets)


def _read(data: bytes, name: str, title: str, *, formulas: bool) -> tuple[list[tuple[int, tuple[str, ...]]], list[str]]:
    from openpyxl import load_workbook

    values = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    written = load_workbook(io.BytesIO(data), read_only=True) if formulas else None
    found: list[tuple[int, tuple[str, ...]]] = []
    others: list[str] = []
    for sheet in values.worksheets:
        if title and sheet.title != title:
            continue
        rows = list(_rows(sheet, written[sheet.title] if written else None, name))
        if any(any(cells) for _, cells in rows):
            if found:
                others.append(sheet.title)
            else:
                found = rows
    return found, others


def _rows(sheet: Any, written: Any | None, name: str) -> Iterator[tuple[int, tuple[str, ...]]]:
    formula_rows = written.iter_rows() if written is not None else None
    for line, row in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS), 1):
        beside = next(formula_rows) if formula_rows is not None else (None,) * len(row)
        cells = [_text(cell, other) for cell, other in zip(row, beside, strict=False)]
        while cells and not cells[-1]:
            cells.pop()
        if any(len(cell) > LARGEST_CELL for cell in cells):
            raise FileRefusedError(f"{name}: a cell in line {line} has more than {LARGEST_CELL} characters.")
        if line > MOST_ROWS + 1000:
            raise FileRefusedError(f"{name} has more than {MOST_ROWS} rows. Split it, and give the parts one by one.")
        yield line, tuple(cells)


def _text(cell: Any, formula: Any | None) -> str:
    """What the cell shows. A formula that nobody computed yet comes as its text."""
    value = cell.value
    if value is None and formula is not None:
        value = formula.value
    if value is None:
        return ""
    if isinstance(value, str):
        return from_cell(value)
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, timedelta):
        return str(value)
    return _number(value, str(cell.number_format or ""))


def _number(value: Any, number_format: str) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    if isinstance(value, int):
        zeros = re.fullmatch(r"0+", number_format)
        return str(value).zfill(len(zeros[0])) if zeros else f"{value}"
    if number_format.endswith("%"):
        return f"{value * 100:.10g} %"
    return repr(value)
