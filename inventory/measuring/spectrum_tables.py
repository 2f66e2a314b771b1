"""Spectra in plain tables: one wavelength a row, or one sample a row, with any of the usual separators."""

from __future__ import annotations

import csv
import math
import re
from itertools import pairwise

from inventory.labels.doubts import shown
from inventory.measuring.raw_spectra import (
    FRACTION,
    MOST_BANDS,
    MOST_SAMPLES,
    PERCENT,
    RawFile,
    RawSample,
    UnreadableFileError,
    number,
    wavelength,
)

FORM = "CSV"
_CONDITIONS = {
    "specular": "specular",
    "specular component": "specular",
    "geometry": "geometry",
    "measurement geometry": "geometry",
    "backing": "backing",
    "sample backing": "backing",
    "illuminant": "illuminant",
    "light": "illuminant",
}
_NAMES = ("name", "sample", "sample name", "sample_name", "sample id", "sample_id", "paint", "id")
_FEWEST_BANDS = 2


def read_table(text: str) -> RawFile:
    """Read a table. UnreadableFileError where no spectrum stands in it."""
    rows = _rows(text)
    stated: dict[str, str] = {}
    for place, row in enumerate(rows):
        bands = [(column, nm) for column, cell in enumerate(row) if (nm := wavelength(cell)) is not None]
        if _is_heading(bands, row):
            return RawFile(FORM, _samples_in_rows(rows, place, bands, stated))
        if row and wavelength(row[0]) is not None and len(row) > 1 and _has_value(row[1:]):
            return RawFile(FORM, _samples_in_columns(rows, place, stated))
        if _is_condition(row):
            stated[_CONDITIONS[_key(row)]] = row[1].strip()
    raise UnreadableFileError(
        "No spectrum was found. Give a table with wavelengths (400, 410, ...) in the first column or in the heading."
    )


def _key(row: list[str]) -> str:
    return row[0].strip().lstrip("#").strip().rstrip(":=").strip().casefold() if row else ""


def _is_condition(row: list[str]) -> bool:
    return len(row) > 1 and _key(row) in _CONDITIONS


def _rows(text: str) -> list[list[str]]:
    lines = [line for line in text.splitlines() if line.strip()]
    for delimiter in ("\t", ";", ","):
        tabled = sum(line.count(delimiter) > 0 for line in lines)
        if lines and tabled * 2 > len(lines):
            try:
                return [[cell.strip() for cell in row] for row in csv.reader(lines, delimiter=delimiter)]
            except csv.Error as error:
                raise UnreadableFileError(f"The table cannot be read ({error}). Save it as CSV again.") from None
    return [re.split(r"[\s=]+", line.strip()) for line in lines]


def _is_heading(bands: list[tuple[int, float]], row: list[str]) -> bool:
    """Wavelengths that rise or fall evenly across a row; values in percent do not."""
    if len(bands) < _FEWEST_BANDS + 1:
        return False
    steps = [later - earlier for (_, earlier), (_, later) in pairwise(bands)]
    return (
        (min(steps) > 0 or max(steps) < 0) and all(float(nm).is_integer() for _, nm in bands) and len(row) >= len(bands)
    )


def _has_value(cells: list[str]) -> bool:
    for cell in cells:
        try:
            if number(cell) is not None:
                return True
        except ValueError:
            continue
    return False


def _samples_in_rows(
    rows: list[list[str]], heading: int, bands: list[tuple[int, float]], stated: dict[str, str]
) -> tuple[RawSample, ...]:
    if len(bands) > MOST_BANDS:
        raise UnreadableFileError(f"The heading has {len(bands)} wavelengths; at most {MOST_BANDS}.")
    titles = [cell.strip().casefold() for cell in rows[heading]]
    name_column = next((column for column, title in enumerate(titles) if title in _NAMES), None)
    if name_column is None and bands[0][0] > 0:
        name_column = 0
    conditions = {column: _CONDITIONS[title] for column, title in enumerate(titles) if title in _CONDITIONS}
    unit = _unit(rows[heading])
    samples: list[RawSample] = []
    for row in rows[heading + 1 :]:
        _check_width(row, len(rows[heading]))
        name = row[name_column] if name_column is not None and name_column < len(row) else ""
        name = name or f"Sample {len(samples) + 1}"
        values = tuple(_value(row[column] if column < len(row) else "", name, nm) for column, nm in bands)
        if all(value is None for value in values):
            continue
        own = {key: row[column] for column, key in conditions.items() if column < len(row) and row[column]}
        samples.append(RawSample(name, tuple(nm for _, nm in bands), values, {**stated, **own}, unit))
        _count(samples)
    if not samples:
        raise UnreadableFileError("The table has a heading of wavelengths and no row of values below it.")
    return tuple(samples)


def _samples_in_columns(rows: list[list[str]], first: int, stated: dict[str, str]) -> tuple[RawSample, ...]:
    width = len(rows[first])
    heading = rows[first - 1] if first and len(rows[first - 1]) > 1 and not _is_condition(rows[first - 1]) else []
    table = [(nm, row) for row in rows[first:] if row and (nm := wavelength(row[0])) is not None]
    for _, row in table:
        _check_width(row, len(heading) or width)
    if len(table) > MOST_BANDS:
        raise UnreadableFileError(f"The table has {len(table)} wavelengths; at most {MOST_BANDS}.")
    samples: list[RawSample] = []
    for column in range(1, width):
        title = heading[column].strip() if column < len(heading) else ""
        name = re.sub(r"\s*\(?%\)?\s*$", "", title) or f"Sample {column}"
        values = tuple(_value(row[column] if column < len(row) else "", name, nm) for nm, row in table)
        if all(value is None for value in values):
            continue
        unit = _unit([*heading[:1], title])
        samples.append(RawSample(name, tuple(nm for nm, _ in table), values, dict(stated), unit))
        _count(samples)
    return tuple(samples)


def _check_width(row: list[str], width: int) -> None:
    if len([cell for cell in row[width:] if cell]):
        raise UnreadableFileError(
            f"The row that begins {shown(row[0])} has {len(row)} cells, and the heading {width}. "
            "If decimals have a comma, divide the columns with semicolons or tabs."
        )


def _count(samples: list[RawSample]) -> None:
    if len(samples) > MOST_SAMPLES:
        raise UnreadableFileError(f"The file has more than {MOST_SAMPLES} samples. Divide it.")


def _unit(cells: list[str]) -> str:
    said = " ".join(cells).casefold()
    if "%" in said or "percent" in said:
        return PERCENT
    return FRACTION if "fraction" in said or "factor" in said else ""


def _value(cell: str, name: str, nm: float) -> float | None:
    try:
        value = number(cell)
    except ValueError:
        raise UnreadableFileError(
            f"{shown(name)} has {shown(cell)} at {nm:g} nm, which is no number. Correct that cell."
        ) from None
    # NaN stands for a band without a value in many exports.
    if value is not None and math.isinf(value):
        raise UnreadableFileError(
            f"{shown(name)} has {shown(cell)} at {nm:g} nm, which is no number. Correct that cell."
        )
    return None if value is None or math.isnan(value) else value
