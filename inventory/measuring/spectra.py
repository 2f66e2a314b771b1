"""A measured spectrum as an instrument's file gives it: read, judged, and brought to the bands of all curves here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from inventory.colour.kubelka_munk import K1
from inventory.labels.doubts import Doubt, Option, Severity, settled, shown
from inventory.measuring import cgats, cxf, spectrum_tables
from inventory.measuring.raw_spectra import (
    FRACTION,
    MOST_BYTES,
    PERCENT,
    RawFile,
    RawSample,
    UnreadableFileError,
    decoded,
)
from inventory.measuring.resampling import BandsError, resample

Floats = NDArray[np.float64]

UNKNOWN = "unknown"
MOST_REFLECTANCE = 1.1
# No paint is so dark that its lightest band stays below this, and no fraction rises above PERCENT_ABOVE.
DARKEST_PEAK = 0.02
PERCENT_ABOVE = 2.0
# A smooth paint surface mirrors about 4 % (refractive index 1.5). A flat floor near that is its mirror reflection.
FLOOR = (0.034, 0.055)
FLAT = 0.004
FLOOR_BANDS = 5
LESS_THAN_SURFACE = 0.025
LONGEST_ANSWER = 60


class Specular(StrEnum):
    """Whether the mirror reflection of the surface was measured along."""

    INCLUDED = "included"
    EXCLUDED = "excluded"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Conditions:
    """How a spectrum was measured; "unknown" where nobody said."""

    specular: Specular = Specular.UNKNOWN
    geometry: str = UNKNOWN
    backing: str = UNKNOWN
    illuminant: str = UNKNOWN


@dataclass(frozen=True, eq=False)
class SpectrumSample:
    """One spectrum. `reflectance` (31,) are fractions at 400 to 700 nm by 10, None while refused or a question is open.

    `wavelengths_nm` and `values` stand as in the file; `note` says how they were brought to 31 bands.
    """

    name: str
    wavelengths_nm: tuple[float, ...]
    values: tuple[float | None, ...]
    conditions: Conditions
    reflectance: Floats | None = None
    note: str = ""
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True, eq=False)
class SpectrumReading:
    """What a file gave. `doubts` are those of the whole file; each sample has its own."""

    file_name: str
    form: str = ""
    samples: tuple[SpectrumSample, ...] = ()
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts) and all(settled(sample.doubts) for sample in self.samples)

    @property
    def usable(self) -> tuple[SpectrumSample, ...]:
        return tuple(sample for sample in self.samples if sample.reflectance is not None)


def with_surface(reflectance: Floats, specular: str) -> Floats:
    """Return a reflectance (31,) as the colour work takes it, with the mirror reflection of the surface.

    Where that was excluded, k1 of the Saunderson correction is added, for the theory counts it in. A surface that
    shows its mirror reflection although it is said to be excluded (darkest band of 0.034 or more in a dark colour's
    floor) is taken as it stands, and so is one of which nobody said.
    """
    if specular != Specular.EXCLUDED or reflectance.min() >= FLOOR[0]:
        return reflectance
    return np.minimum(reflectance + K1, 1.0)


def read_spectrum(data: bytes, file_name: str, *, chosen: Mapping[str, str] | None = None) -> SpectrumReading:
    """Read CSV, CGATS.17 text or CxF3. Nothing raises: what cannot be used is a doubt with its value and remedy.

    `chosen` are the person's answers by the doubt's key: "specular:", "geometry:", "backing:", "illuminant:" (each may
    be "unknown") and "scale:" ("percent" or "fraction"). An answer holds where the file does not say.
    """
    answers = {key.partition(":")[0]: value for key, value in (chosen or {}).items()}
    try:
        raw = _raw(data)
    except UnreadableFileError as error:
        return SpectrumReading(file_name, doubts=(Doubt("unreadable", Severity.REFUSED, str(error), file_name),))
    doubts = [Doubt("left-out", Severity.NOTE, note, file_name) for note in raw.notes]
    doubts += _wrong_answers(answers)
    scale, asked = _scale(raw.samples, answers.get("scale", ""))
    doubts += asked
    samples = tuple(_sample(sample, answers, scale) for sample in raw.samples)
    return SpectrumReading(file_name, raw.form, samples, (*doubts, *_questions(samples, answers)))


def _raw(data: bytes) -> RawFile:
    if len(data) > MOST_BYTES:
        raise UnreadableFileError(f"The file has {len(data)} bytes; at most {MOST_BYTES} are read. Divide it.")
    if not data.strip():
        raise UnreadableFileError("The file is empty. Export it again.")
    if cxf.looks_like_xml(data):
        return cxf.read_cxf(data)
    text = decoded(data)
    return cgats.read_cgats(text) if cgats.looks_like_cgats(text) else spectrum_tables.read_table(text)


# Percent or fraction


def _scale(samples: Iterable[RawSample], answer: str) -> tuple[str, list[Doubt]]:
    """Return PERCENT, FRACTION or, while it is asked, nothing."""
    if answer in (PERCENT, FRACTION):
        return answer, []
    stated = {sample.unit for sample in samples}
    greatest = max((value for s in samples for value in s.values if value is not None), default=0.0)
    if stated == {PERCENT} and greatest > PERCENT_ABOVE:
        message = "The values are percent, as the file says; they are divided by 100."
        return PERCENT, [Doubt("scale-read", Severity.READ_AS, message)]
    if greatest > PERCENT_ABOVE or PERCENT in stated:
        said = "The file says percent" if PERCENT in stated else "The file does not say percent"
        message = (
            f"{said}, and the greatest value is {greatest:g}. Say whether the values are percent (100 is the perfect "
            "diffuser) or fractions (1 is)."
        )
        options = (Option(PERCENT, "Percent: divide by 100"), Option(FRACTION, "Fractions: as they stand"))
        return "", [Doubt("scale", Severity.ASK, message, options=options)]
    if greatest < DARKEST_PEAK:
        message = (
            f"The greatest value is {greatest:g}, darker than a paint: its surface alone reflects about 0.04. "
            "Check whether the file was divided by 100 twice."
        )
        return FRACTION, [Doubt("very-dark", Severity.NOTE, message)]
    return FRACTION, []


# Samples


def _sample(raw: RawSample, answers: Mapping[str, str], scale: str) -> SpectrumSample:
    sample = SpectrumSample(raw.name, raw.wavelengths_nm, raw.values, _conditions(raw.stated, answers))
    if not scale:
        return sample
    try:
        reflectance, note, doubts = _judged(raw, 100.0 if scale == PERCENT else 1.0)
    except BandsError as error:
        message = f"{shown(raw.name)}: {error}"
        return replace(sample, doubts=(Doubt("bands", Severity.REFUSED, message, raw.name),))
    except _ReflectanceError as error:
        return replace(sample, doubts=(Doubt("reflectance", Severity.REFUSED, str(error), raw.name),))
    doubts = [*doubts, *_surface(raw.name, reflectance, sample.conditions.specular)]
    return replace(sample, reflectance=reflectance, note=note, doubts=tuple(doubts))


class _ReflectanceError(ValueError):
    pass


def _judged(raw: RawSample, divisor: float) -> tuple[Floats, str, list[Doubt]]:
    measured = [(nm, value) for nm, value in zip(raw.wavelengths_nm, raw.values, strict=True) if value is not None]
    for nm, value in measured:
        if value < 0.0:
            raise _ReflectanceError(
                f"{shown(raw.name)} has {value:g} at {nm:g} nm; a reflectance is 0 or more. "
                "Calibrate the instrument and measure again."
            )
        if value / divisor > MOST_REFLECTANCE:
            unit = " %" if divisor > 1.0 else ""
            raise _ReflectanceError(
                f"{shown(raw.name)} has {value:g}{unit} at {nm:g} nm, more than {MOST_REFLECTANCE * divisor:g}{unit}: "
                "not a reflectance of paint. Check the unit and the white calibration; "
                "a fluorescent paint cannot be read."
            )
    if measured and not any(value for _, value in measured):
        raise _ReflectanceError(
            f"{shown(raw.name)} is 0 in every band. Check the columns: a decimal comma may have divided the numbers."
        )
    brought = resample([nm for nm, _ in measured], [value / divisor for _, value in measured])
    doubts = []
    if brought.values.max() > 1.0:
        message = f"{shown(raw.name)} rises to {brought.values.max():.3f}; values above 1 are taken as 1."
        doubts.append(Doubt("above-white", Severity.NOTE, message, raw.name))
    reflectance = np.minimum(brought.values, 1.0)
    reflectance.setflags(write=False)
    if brought.note:
        message = f"{shown(raw.name)} was {brought.note}."
        doubts.append(Doubt("resampled", Severity.READ_AS, message, raw.name))
    return reflectance, brought.note, doubts


def _surface(name: str, reflectance: Floats, specular: Specular) -> list[Doubt]:
    """Compare the darkest bands with the mirror reflection of a paint surface."""
    darkest = np.sort(reflectance)[:FLOOR_BANDS]
    floor = float(darkest.mean())
    if specular is not Specular.INCLUDED and FLOOR[0] <= floor <= FLOOR[1] and np.ptp(darkest) < FLAT:
        message = (
            f"The darkest bands of {shown(name)} lie flat at {floor:.3f}, as they do when the mirror reflection of the "
            "surface (about 0.04) is measured along. Check that the specular component was excluded."
        )
        return [Doubt("specular-floor", Severity.NOTE, message, name)]
    if specular is Specular.INCLUDED and floor < LESS_THAN_SURFACE:
        message = (
            f"The darkest bands of {shown(name)} lie at {floor:.3f}, less than a smooth surface mirrors (about 0.04), "
            "but the specular component is said to be included. Check the instrument's setting."
        )
        return [Doubt("specular-missing", Severity.NOTE, message, name)]
    return []


# Conditions


def _conditions(stated: Mapping[str, str], answers: Mapping[str, str]) -> Conditions:
    def of(name: str) -> str:
        return (stated.get(name) or answers.get(name) or UNKNOWN).strip()[:LONGEST_ANSWER]

    geometry = of("geometry")
    specular = _specular(of("specular"))
    if specular is Specular.UNKNOWN and re.search(r"\b(?:45\D{1,3}0|0\D{1,3}45)\b", geometry):
        specular = Specular.EXCLUDED  # light from 45 degrees seen at 0 leaves the mirror reflection out
    return Conditions(specular, geometry, of("backing"), of("illuminant"))


def _specular(text: str) -> Specular:
    said = text.casefold()
    if "exclu" in said or said in {"sce", "spex", "no", "without"}:
        return Specular.EXCLUDED
    if "inclu" in said or said in {"sci", "spin", "yes", "with"}:
        return Specular.INCLUDED
    return Specular.UNKNOWN


_ASKED = {
    "specular": (
        "Was the mirror reflection of the surface measured along (specular component included) or left out (excluded)?",
        (Option("included", "Included"), Option("excluded", "Excluded")),
    ),
    "geometry": (
        "From where was the sample lit and seen?",
        (Option("45:0", "Lit at 45°, seen at 0°"), Option("0:45", "Lit at 0°, seen at 45°"), Option("d:8", "Sphere")),
    ),
    "backing": (
        "What lay under the paint?",
        (Option("hidden", "It does not show through"), Option("white", "White"), Option("black", "Black")),
    ),
    "illuminant": (
        "What light did the instrument use?",
        (Option("A", "Tungsten (A)"), Option("D50", "D50"), Option("D65", "D65"), Option("LED", "White LED")),
    ),
}


def _questions(samples: tuple[SpectrumSample, ...], answers: Mapping[str, str]) -> list[Doubt]:
    """Ask once a file for what it does not state of some sample, unless the person said that nobody knows."""
    asked = []
    for name, (question, options) in _ASKED.items():
        lacking = [sample.name for sample in samples if getattr(sample.conditions, name) == UNKNOWN]
        if not lacking or answers.get(name):
            continue
        whole = "The file does not say" if len(lacking) == len(samples) else f"{len(lacking)} samples do not say"
        message = f"{question} {whole}; choose, or say that it is unknown."
        asked.append(Doubt(name, Severity.ASK, message, options=(*options, Option(UNKNOWN, "Unknown"))))
    return asked


def _wrong_answers(answers: Mapping[str, str]) -> list[Doubt]:
    wrong = []
    for name, allowed in (("specular", tuple(mode.value for mode in Specular)), ("scale", ("", PERCENT, FRACTION))):
        if answers.get(name, allowed[0]) not in allowed:
            message = (
                f"{shown(answers[name])} is no answer for {name}; choose one of {', '.join(filter(None, allowed))}."
            )
            wrong.append(Doubt("answer", Severity.REFUSED, message, name))
    return wrong
