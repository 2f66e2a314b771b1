"""The tables of measured colours and of window tests, as they leave and as they come back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from .columns import heading_words

MEASUREMENTS, WINDOW_TESTS = "measurements", "window-tests"
# What each is called as a sheet of a file.
SHEETS = {MEASUREMENTS: "Measured colours", WINDOW_TESTS: "Window tests"}
# All rows are taken in within one request, at up to five thousandths of a second each.
MOST_COLOUR_ROWS = 1500
NM = range(400, 701, 10)
_PAINT = ("Paint", "Binder", "Maker", "Maker's code")
_LAB = ("L* (D65, 10 degrees)", "a* (D65, 10 degrees)", "b* (D65, 10 degrees)")
_REFLECTANCE = tuple(f"Reflectance at {nm} nm" for nm in NM)
MEASUREMENT_COLUMNS = (
    *_PAINT, "Swatch", "Given as", "As typed", "Notation", "Illuminant", "Observer", *_LAB, "Converted", "Rough",
    "Standard deviation of each", "White", "Wet film as typed", "L* of white in the same film", "Specular component",
    "Geometry", "Backing", "Note", "By", "On", "Withdrawn on", "Confirmed", *_REFLECTANCE,
)  # fmt: skip
WINDOW_COLUMNS = (
    *_PAINT, "Swatch", "First day", "Day", "As typed", "Notation", "Illuminant", "Observer", *_LAB, "Rough",
    "Exposure told in", "Exposure", "Difference (CIE 1976)", "Half width, nine in ten",
    "Class of the difference so far (studio test, no ASTM rating)", "Note", "By", "Withdrawn on", "Ended on",
)  # fmt: skip
# Headings by which a table is known; what else is in it may be missing.
_KNOWN_BY = {
    MEASUREMENTS: ("Paint", "Swatch", "Given as", "As typed"),
    WINDOW_TESTS: ("Paint", "First day", "Day", "As typed", "Exposure told in"),
}
_COLUMNS = {MEASUREMENTS: MEASUREMENT_COLUMNS, WINDOW_TESTS: WINDOW_COLUMNS}


class CellError(ValueError):
    """A cell cannot be read; the message names the value and the remedy."""

    def __init__(self, column: str, message: str) -> None:
        super().__init__(message)
        self.column = column


def colour_table(columns: Sequence[str]) -> str:
    """Which of our tables of colours has these headings; "" for none."""
    there = {heading_words(heading) for heading in columns}
    return next((table for table, names in _KNOWN_BY.items() if {heading_words(name) for name in names} <= there), "")


def our_headings(table: str, columns: Sequence[str]) -> list[str]:
    """The headings of such a table as we write them; one that is not ours stays as it is."""
    by_words = {heading_words(name): name for name in _COLUMNS[table]}
    return [by_words.get(heading_words(heading), heading) for heading in columns]


@dataclass(frozen=True)
class ColourRow:
    """A row of such a table by our headings; a column that is not there is empty."""

    cells: Mapping[str, str]

    @classmethod
    def of(cls, headings: Sequence[str], cells: Sequence[str]) -> "ColourRow":
        return cls({heading: cell.strip() for heading, cell in zip(headings, cells, strict=False)})

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")

    def number(self, column: str) -> float:
        try:
            return float(self[column].replace(",", "."))
        except ValueError:
            raise CellError(column, f"“{self[column][:40]}” is no number such as 32.1: correct it.") from None

    def day(self, column: str) -> date | None:
        """None where the cell is empty."""
        if not self[column]:
            return None
        try:
            return date.fromisoformat(self[column])
        except ValueError:
            raise CellError(column, f"“{self[column][:40]}” is no day such as 2026-03-31: correct it.") from None

    def lab(self) -> tuple[float, float, float]:
        L, a, b = (self.number(column) for column in _LAB)
        for column, value, least, most in zip(_LAB, (L, a, b), (0, -200, -200), (100, 200, 200), strict=True):
            if not least <= value <= most:
                raise CellError(column, f"{value:g} is not between {least} and {most}: correct it.")
        return L, a, b

    def reflectance(self) -> list[float]:
        """Fractions at 400 to 700 nm by 10; empty where no cell is filled."""
        if not any(self[column] for column in _REFLECTANCE):
            return []
        values = [self.number(column) for column in _REFLECTANCE]
        for column, value in zip(_REFLECTANCE, values, strict=True):
            if not 0.0 <= value <= 1.0:
                raise CellError(column, f"{value:g} is no fraction from 0 to 1: divide percentages by 100.")
        return values
