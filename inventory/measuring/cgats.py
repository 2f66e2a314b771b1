"""Spectra in CGATS.17 text, the keyword and table form that ISO 28178 describes as well."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

from inventory.labels.doubts import shown
from inventory.measuring.raw_spectra import (
    FRACTION,
    MOST_SAMPLES,
    PERCENT,
    RawFile,
    RawSample,
    UnreadableFileError,
    number,
    wavelength,
)

FORM = "CGATS.17"
_TOKEN = re.compile(r'"((?:[^"]|"")*)"|(\S+)')
_SPECTRAL = re.compile(r"(?:SPECTRAL|SPEC|R|NM).*\d{3}", re.IGNORECASE)
_NAMES = ("SAMPLE_NAME", "SAMPLENAME", "SAMPLE_ID", "SAMPLEID")
_UNITS = {"SPECTRAL_PCT": PERCENT, "SPECTRAL_DEC": FRACTION}


@dataclass
class _Table:
    fields: list[str] = field(default_factory=list)
    keywords: dict[str, str] = field(default_factory=dict)
    tokens: list[str] = field(default_factory=list)


def looks_like_cgats(text: str) -> bool:
    return "BEGIN_DATA_FORMAT" in text or text.lstrip().upper().startswith("CGATS")


def read_cgats(text: str) -> RawFile:
    """Read every table of the file that has spectra. UnreadableFileError names what is missing."""
    samples: list[RawSample] = []
    notes: list[str] = []
    for table in _tables(text):
        found = _samples(table, notes)
        samples += found
        if len(samples) > MOST_SAMPLES:
            raise UnreadableFileError(f"The file has more than {MOST_SAMPLES} samples. Divide it.")
    if not samples:
        raise UnreadableFileError(
            "The file has no spectral fields (like SPECTRAL_NM400). Export it with spectra, not with colours alone."
        )
    return RawFile(FORM, tuple(samples), tuple(notes))


def _tables(text: str) -> list[_Table]:
    tables: list[_Table] = []
    table, part = _Table(), "keywords"
    for line in text.splitlines():
        tokens = [quoted or plain for quoted, plain in _TOKEN.findall(_without_comment(line))]
        if not tokens:
            continue
        word = tokens[0].upper()
        if word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            _expect(part == "keywords", word, part)
            part = word
            tokens = tokens[1:]
        if part == "keywords":
            if len(tokens) > 1 and word != "KEYWORD":
                table.keywords[word] = " ".join(tokens[1:])
            continue
        closing = "END_DATA_FORMAT" if part == "BEGIN_DATA_FORMAT" else "END_DATA"
        ends = closing in (token.upper() for token in tokens)
        body = [token for token in tokens if token.upper() != closing]
        if part == "BEGIN_DATA_FORMAT":
            table.fields += body
        else:
            table.tokens += body
        if ends:
            if part == "BEGIN_DATA":
                tables.append(table)
                # Keywords hold for the tables below until they are stated again.
                table = _Table(keywords=dict(table.keywords))
            part = "keywords"
    if part != "keywords":
        raise UnreadableFileError(
            f"The file ends inside {part} without {part.replace('BEGIN', 'END')}. Export it again."
        )
    if not tables:
        raise UnreadableFileError("The file has no BEGIN_DATA ... END_DATA table. Export it again.")
    return tables


def _without_comment(line: str) -> str:
    """The line up to a # that is not inside quotation marks."""
    quoted = False
    for place, letter in enumerate(line):
        if letter == '"':
            quoted = not quoted
        elif letter == "#" and not quoted:
            return line[:place]
    return line


def _expect(right: bool, word: str, part: str) -> None:
    if not right:
        raise UnreadableFileError(f"{word} stands inside {part}, which was not closed. Export the file again.")


def _samples(table: _Table, notes: list[str]) -> list[RawSample]:
    width = len(table.fields)
    if not width:
        raise UnreadableFileError(
            "BEGIN_DATA stands before BEGIN_DATA_FORMAT, so no field has a name. Export it again."
        )
    if len(table.tokens) % width:
        raise UnreadableFileError(
            f"The table has {width} fields and {len(table.tokens)} values, which make no whole rows. Export it again."
        )
    rows = [table.tokens[start : start + width] for start in range(0, len(table.tokens), width)]
    _check_count(table, "NUMBER_OF_FIELDS", width, "fields")
    _check_count(table, "NUMBER_OF_SETS", len(rows), "sets")
    names = [name.upper() for name in table.fields]
    columns = [
        (c, nm) for c, name in enumerate(names) if _SPECTRAL.match(name) and (nm := wavelength(name)) is not None
    ]
    pairs = [c for c, name in enumerate(names[:-1]) if name == "SPECTRAL_NM" and names[c + 1] in _UNITS]
    if not columns and not pairs:
        notes.append(f"A table of {len(rows)} sets without spectral fields was left out.")
        return []
    name_column = next((names.index(name) for name in _NAMES if name in names), None)
    stated = _conditions(table.keywords)
    samples = []
    for number_of_row, row in enumerate(rows, start=1):
        name = (row[name_column] if name_column is not None else "") or f"Set {number_of_row}"
        if pairs:
            bands = tuple(_number(row[c], name, "SPECTRAL_NM") or math.nan for c in pairs)
            values = tuple(_number(row[c + 1], name, names[c + 1]) for c in pairs)
            unit = _UNITS[names[pairs[0] + 1]]
        else:
            bands = tuple(nm for _, nm in columns)
            values = tuple(_number(row[c], name, table.fields[c]) for c, _ in columns)
            unit = ""
        samples.append(RawSample(name, bands, values, stated, unit))
    return samples


def _check_count(table: _Table, keyword: str, found: int, what: str) -> None:
    said = table.keywords.pop(keyword, "")
    if said and said.isdigit() and int(said) != found:
        raise UnreadableFileError(
            f"{keyword} says {said}, but the table has {found} {what}: the file was cut or edited. Export it again."
        )


def _conditions(keywords: dict[str, str]) -> dict[str, str]:
    stated = {}
    source = keywords.get("MEASUREMENT_SOURCE", "")
    lit = re.search(r"ILLUMINATION\s*=\s*(\S+)", source, re.IGNORECASE)
    for key, value in (
        ("geometry", keywords.get("MEASUREMENT_GEOMETRY") or keywords.get("GEOMETRY")),
        ("backing", keywords.get("SAMPLE_BACKING") or keywords.get("BACKING")),
        ("illuminant", lit[1] if lit else keywords.get("MEASUREMENT_ILLUMINATION_CONDITION") or source),
        ("specular", keywords.get("SPECULAR") or keywords.get("SPECULAR_COMPONENT")),
    ):
        if value:
            stated[key] = value
    return stated


def _number(token: str, name: str, column: str) -> float | None:
    try:
        value = number(token)
    except ValueError:
        value = math.inf
    if value is not None and math.isinf(value):
        raise UnreadableFileError(f"{shown(name)} has {shown(token)} in {column}, which is no number. Correct it.")
    return None if value is None or math.isnan(value) else value
