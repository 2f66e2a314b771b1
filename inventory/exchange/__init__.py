"""Tables in and out: text and bytes in, frozen dataclasses and bytes out. No Django, no database.

A file becomes a table of cells as typed (`read_table`), its columns are guessed (`guess_columns`), and each row is
read by the label's readers (`read_row`). Writing (`write_csv`, `write_xlsx`) gives back the same texts.
"""

from .columns import AS_TYPED, FIELDS, Field, guess_columns, unit_of_heading
from .files import ENCODINGS, LARGEST_CELL, LARGEST_FILE, MOST_ROWS, FileRefusedError, LetterChoice, recode
from .protecting import protect, unprotect
from .row import Around, ImportSettings, Person
from .row_kept import level_words
from .rows import RowReading, digest, digests, read_row
from .tables import Skipped, Table, TableRow, read_table, read_text
from .writing import TooLongError, write_csv, write_xlsx

__all__ = [
    "AS_TYPED",
    "ENCODINGS",
    "FIELDS",
    "LARGEST_CELL",
    "LARGEST_FILE",
    "MOST_ROWS",
    "Around",
    "Field",
    "FileRefusedError",
    "ImportSettings",
    "LetterChoice",
    "Person",
    "RowReading",
    "Skipped",
    "Table",
    "TableRow",
    "TooLongError",
    "digest",
    "digests",
    "guess_columns",
    "level_words",
    "protect",
    "read_row",
    "read_table",
    "read_text",
    "recode",
    "unit_of_heading",
    "unprotect",
    "write_csv",
    "write_xlsx",
]
