"""A file as a table: headings, rows of cells as typed with their line numbers, and what was skipped and why."""

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from inventory.labels.folding import bare_letters

from .binders import read_binder
from .columns import TITLE_COLUMN, known_heading
from .files import (
    LARGEST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    FileRefusedError,
    LetterChoice,
    check_size,
    decode,
    refuse_other_kinds,
)
from .objects import looks_like_json, read_objects
from .protecting import unprotect
from .spreadsheets import read_sheet

_SEPARATORS = (",", ";", "\t", "|")
_LOOK_FOR_HEADINGS = 30  # rows from the top
_ONE_NUMBER = re.compile(r"[€£$]? ?\d{1,6}(?P<mark>[.,])\d{1,2}(?: ?(?:ml|cl|dl|l|g|kg|€|£|\$|eur))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TableRow:
    """`line` is where the row begins in the file, from 1."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Skipped:
    line: int
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class Table:
    """`decimal_comma` is None where no cell tells how the list writes decimals.

    A row with fewer cells than headings is padded; one with more keeps them all, for the reader of rows to report.
    """

    columns: tuple[str, ...]
    rows: tuple[TableRow, ...]
    skipped: tuple[Skipped, ...] = ()
    blank_lines: int = 0
    encoding: str = ""
    delimiter: str = ""
    decimal_comma: bool | None = None
    letters: tuple[LetterChoice, ...] = ()


def read_table(data: bytes, name: str, *, encoding: str = "", sheet: str = "") -> Table:
    """Read a CSV or XLSX file, or a JSON list of objects. `sheet` names one of an XLSX file, else it is the first.

    Raises
    ------
    FileRefusedError
        If it is no table, too large, or broken; the message names the file, what it is, and the remedy.
    """
    check_size(data, name)
    if data.startswith(b"PK"):
        found = read_sheet(data, name, sheet)
        table = _table([TableRow(line, cells) for line, cells in found.rows], name)
        others = tuple(Skipped(0, title, "Another sheet of the file; one is read here.") for title in found.others)
        return replace(table, skipped=others + table.skipped, encoding="xlsx")
    refuse_other_kinds(data, name)
    decoded = decode(data, name, encoding)
    table = read_text(decoded.text, name)
    return replace(table, encoding=decoded.encoding, letters=decoded.choices)


def read_text(text: str, name: str) -> Table:
    """Read a table from text, such as one that was pasted."""
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise FileRefusedError(f"{name} is empty. Give a line of headings and a line for each paint.")
    if looks_like_json(text, name):
        keys, objects = read_objects(text, name)
        table = _table([TableRow(0, keys), *(TableRow(line, cells) for line, cells in objects)], name, headings=True)
        return replace(table, delimiter="", encoding="utf-8")
    separator, named = _separator(text)
    rows = split_lines(text, separator, name)
    skipped: tuple[Skipped, ...] = ()
    if named:
        skipped = (Skipped(rows[0].line, text.splitlines()[0], "Names the separator."),)
        rows = rows[1:]
    table = _table(rows, name)
    return replace(table, delimiter=separator, skipped=skipped + table.skipped, encoding="utf-8")


def split_lines(text: str, separator: str, name: str) -> list[TableRow]:
    """Every line of a CSV text, blank ones too, by the rules of RFC 4180 with any separator and any line end."""
    old_limit = csv.field_size_limit(len(text) + 1)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[TableRow] = []
    start = 1
    try:
        for cells in reader:
            _check_cells(cells, start, name)
            rows.append(TableRow(start, tuple(unprotect(cell) for cell in cells)))
            start = reader.line_num + 1
            if len(rows) > MOST_ROWS + 1000:
                raise _too_many(name)
    except csv.Error as error:
        raise FileRefusedError(_about_quotes(error, start, name)) from None
    finally:
        csv.field_size_limit(old_limit)
    return rows


def _about_quotes(error: csv.Error, line: int, name: str) -> str:
    if "end of data" in str(error):
        return (
            f"{name}: a quotation mark that opens in line {line} is never closed, so the rest of the file would become "
            "one cell. Close it, or take it away."
        )
    return (
        f"{name}: in line {line}, text follows a closing quotation mark. Write a quotation mark inside a cell twice, "
        "or take the outer ones away."
    )


def _too_many(name: str) -> FileRefusedError:
    return FileRefusedError(f"{name} has more than {MOST_ROWS} rows. Split it, and give the parts one after the other.")


def _check_cells(cells: Sequence[str], line: int, name: str) -> None:
    if len(cells) > MOST_COLUMNS:
        raise FileRefusedError(
            f"{name}: line {line} has {len(cells)} cells, more than the {MOST_COLUMNS} columns that are read. "
            "Take the unused columns away, or check the separator."
        )
    for place, cell in enumerate(cells, 1):
        if len(cell) > LARGEST_CELL:
            raise FileRefusedError(
                f"{name}: cell {place} of line {line} has {len(cell)} characters, more than the {LARGEST_CELL} that a "
                "cell can hold. Shorten it; if it holds many lines, look for a quotation mark that is not closed."
            )


# The separator


def _separator(text: str) -> tuple[str, bool]:
    """The separator, and whether the first line names it ("sep=;")."""
    first = text.lstrip("\r\n").split("\n", 1)[0].strip().strip('"')
    if len(first) == 5 and first.lower().startswith("sep=") and first[4] in ",;|":
        return first[4], True
    if first.lower() == "sep=" or first.lower() == "sep=\t":
        return "\t", True
    beginning = text[:60_000]
    return max(_SEPARATORS, key=lambda separator: _fit(beginning, separator)), False


def _fit(text: str, separator: str) -> tuple[int, float, int]:
    """How well a separator fits: known headings in one line, then lines of equal width, then their width."""
    try:
        rows = [row for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator) if any(row)][:200]
    except csv.Error:
        return 0, 0.0, 0
    known = max((sum(map(known_heading, row)) for row in rows[:_LOOK_FOR_HEADINGS] if len(row) > 1), default=0)
    widths = Counter(len(row) for row in rows)
    width, often = max(widths.items(), key=lambda item: (item[0] > 1, item[1]), default=(1, 0))
    return known, often / len(rows) if width > 1 and rows else 0.0, width


# Headings, titles and rows


def _table(rows: Sequence[TableRow], name: str, *, headings: bool = False) -> Table:
    """`headings`: the first row is known to hold them."""
    filled = [row for row in rows if any(cell.strip() for cell in row.cells)]
    blank = len(rows) - len(filled)
    if not filled:
        raise FileRefusedError(f"{name} has no filled cell. Give a line of headings and a line for each paint.")
    place = 0 if headings else _heading_line(filled)
    if place is None:
        width = max(len(row.cells) for row in filled)
        columns: tuple[str, ...] = tuple(f"Column {number}" for number in range(1, width + 1))
        skipped, body = [], filled
    else:
        columns = _named(filled[place].cells)
        skipped = [Skipped(row.line, _line(row), "Stands above the headings.") for row in filled[:place]]
        body = filled[place + 1 :]
    if not body:
        raise FileRefusedError(f"{name} has headings and no row below them. Add a line for each paint.")
    if len(body) > MOST_ROWS:
        raise _too_many(name)
    heading = filled[place] if place is not None else None
    kept, titles, more = (list(body), [], []) if headings else _without_titles(body, columns, heading)
    if not kept:
        raise FileRefusedError(f"{name} has titles and headings only, and no row for a paint.")
    if titles:
        columns = (TITLE_COLUMN, *columns)
        kept = [replace(row, cells=(title, *row.cells)) for row, title in zip(kept, titles, strict=True)]
    padded = tuple(replace(row, cells=row.cells + ("",) * (len(columns) - len(row.cells))) for row in kept)
    return Table(columns, padded, (*skipped, *more), blank, decimal_comma=_decimal_comma(padded))


def _line(row: TableRow) -> str:
    return " | ".join(cell.strip() for cell in row.cells if cell.strip())[:160]


def _heading_line(rows: Sequence[TableRow]) -> int | None:
    """The place of the line of headings: the one with most words that we know; else a first line of plain words."""
    top = rows[:_LOOK_FOR_HEADINGS]
    known = [sum(known_heading(cell) for cell in row.cells) for row in top]
    best = max(range(len(top)), key=lambda place: known[place])
    if known[best] >= 2 or (known[best] == 1 and (best == 0 or sum(1 for c in top[best].cells if c.strip()) > 1)):
        return best
    width = Counter(len(row.cells) for row in rows[:200]).most_common(1)[0][0]
    for place, row in enumerate(top):
        words = [cell for cell in row.cells if cell.strip()]
        if len(words) >= max(2, width - 1):
            return place if not any(re.search(r"\d", cell) for cell in words) else None
    return None


def _named(cells: Sequence[str]) -> tuple[str, ...]:
    """Headings as typed, trimmed; a blank one gets its place as a name, a second of the same name its number."""
    last = max(place for place, cell in enumerate(cells) if cell.strip()) + 1
    seen: Counter[str] = Counter()
    named = []
    for place, cell in enumerate(cells[:last], 1):
        heading = " ".join(cell.split()) or f"Column {place}"
        seen[heading] += 1
        named.append(heading if seen[heading] == 1 else f"{heading} ({seen[heading]})")
    return tuple(named)


def _without_titles(
    rows: Sequence[TableRow], columns: Sequence[str], headings: TableRow | None
) -> tuple[list[TableRow], list[str], list[Skipped]]:
    """The rows without lines that group them or repeat the headings; the title above each, empty if there are none."""
    kept: list[TableRow] = []
    titles: list[str] = []
    skipped: list[Skipped] = []
    title = ""
    loud = _names_are_capitals(rows)
    repeated = {_compared(headings.cells)} if headings else set()
    for row in rows:
        cells = _cut(row.cells, len(columns))
        if _compared(cells) in repeated:
            skipped.append(Skipped(row.line, _line(row), "The headings again."))
        elif len(columns) > 1 and _is_title(cells, loud=loud):
            title = _line(row)
            why = f"A title: it is kept with the rows below, as the column “{TITLE_COLUMN}”."
            skipped.append(Skipped(row.line, title, why))
        else:
            kept.append(TableRow(row.line, cells))
            titles.append(title)
    return kept, titles if any(titles) else [], skipped


def _cut(cells: tuple[str, ...], width: int) -> tuple[str, ...]:
    """The cells without empty ones beyond the last heading."""
    end = len(cells)
    while end > width and not cells[end - 1].strip():
        end -= 1
    return cells[:end]


def _compared(cells: Iterable[str]) -> tuple[str, ...]:
    words = [bare_letters(cell) for cell in cells]
    while words and not words[-1]:
        words.pop()
    return tuple(words)


def _is_title(cells: Sequence[str], *, loud: bool) -> bool:
    """One filled cell that names a binder, ends with a colon or is written in capitals: a title and no paint."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    if len(filled) != 1 or len(filled[0]) > 60:
        return False
    text = filled[0]
    return bool(read_binder(text)) or text.endswith(":") or (not loud and text.isupper() and len(text) > 3)


def _names_are_capitals(rows: Sequence[TableRow]) -> bool:
    first = [row.cells[0].strip() for row in rows if sum(bool(cell.strip()) for cell in row.cells) > 1]
    return sum(cell.isupper() for cell in first) * 2 > len(first)


def _decimal_comma(rows: Sequence[TableRow]) -> bool | None:
    """Whether cells that are one number write decimals with a comma; None while none or both are seen."""
    marks = {
        match["mark"]
        for row in rows[:2000]
        for cell in row.cells
        if len(cell) < 20 and (match := _ONE_NUMBER.fullmatch(cell.strip()))
    }
    return None if len(marks) != 1 else marks == {","}
