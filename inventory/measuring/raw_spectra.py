"""What stands in a spectrum file before anything is judged, and the error of a file that cannot be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

MOST_BYTES = 4_000_000
MOST_SAMPLES = 2000
MOST_BANDS = 1000

PERCENT, FRACTION = "percent", "fraction"

_WAVELENGTH = re.compile(
    r"(?:SPECTRAL|SPEC|REFL|R|%R)?[_ ]?(?:NM)?[_ ]?(?P<nm>\d{3,4}(?:[.,]\d{1,3})?)[_ ]?(?:NM)?", re.IGNORECASE
)


class UnreadableFileError(ValueError):
    """The file cannot be read at all; the message says what is wrong and what to do."""


@dataclass(frozen=True)
class RawSample:
    """One spectrum as it stands: band centres in nm, values in the file's unit, None where a band has no value."""

    name: str
    wavelengths_nm: tuple[float, ...]
    values: tuple[float | None, ...]
    stated: Mapping[str, str] = field(default_factory=dict)  # conditions by name, as the file states them
    unit: str = ""  # PERCENT, FRACTION or empty where the file does not say


@dataclass(frozen=True)
class RawFile:
    """All spectra of a file; `notes` say what was left out."""

    form: str
    samples: tuple[RawSample, ...]
    notes: tuple[str, ...] = ()


def decoded(data: bytes) -> str:
    """Return the text of a file. UnreadableFileError for what is no text."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError:
            raise UnreadableFileError("The file begins like UTF-16 text and breaks off. Export it again.") from None
    if data.startswith(b"PK"):
        raise UnreadableFileError("The file is a spreadsheet or archive. Save it as CSV and give that file.")
    if b"\x00" in data:
        raise UnreadableFileError("The file is no text. Export the spectra as CSV, CGATS text or CxF3.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def number(text: str) -> float | None:
    """A number with a decimal point or comma; None for an empty cell. ValueError for anything else."""
    cell = text.strip().strip('"').replace("−", "-")
    if not cell or cell in {"-", "--"}:
        return None
    return float(cell.replace(",", ".") if "." not in cell else cell)


def wavelength(text: str) -> float | None:
    """The wavelength that a heading such as 400, 400 nm, R400, SPECTRAL_NM400 or nm_400 names; None for others."""
    match = _WAVELENGTH.fullmatch(text.strip().strip('"'))
    if match is None:
        return None
    nm = float(match["nm"].replace(",", "."))
    return nm if 200.0 <= nm <= 2500.0 else None
