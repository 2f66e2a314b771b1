"""Spectra in CxF3 (ISO 17972-1): XML with named objects, their reflectance spectra and how they were measured.

The file comes from strangers: no document type, no entity, no deep nesting is read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from inventory.labels.doubts import shown
from inventory.measuring.raw_spectra import (
    MOST_BANDS,
    MOST_SAMPLES,
    RawFile,
    RawSample,
    UnreadableFileError,
    number,
)

FORM = "CxF3"
NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
_DEEPEST = 40
_MOST_ELEMENTS = 200_000


def looks_like_xml(data: bytes) -> bool:
    start = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    return start.startswith((b"<", b"\xff\xfe<", b"\xfe\xff\x00<"))


def read_cxf(data: bytes) -> RawFile:
    """Read every reflectance spectrum. UnreadableFileError names what is missing."""
    root = _tree(data)
    if root.tag != f"{NAMESPACE} CxF":
        raise UnreadableFileError(
            f"The file is XML with the root {shown(root.tag.rpartition(' ')[2])}, not CxF3. Export it as CxF3 or CSV."
        )
    specifications = {e.get("Id", ""): e for e in _all(root, "ColorSpecification")}
    samples: list[RawSample] = []
    without = 0
    for item in _all(root, "Object"):
        name = item.get("Name") or item.get("Id") or f"Object {len(samples) + without + 1}"
        spectra = list(_all(item, "ReflectanceSpectrum"))
        without += not spectra
        for spectrum in spectra:
            specification = specifications.get(spectrum.get("ColorSpecification", ""))
            own = f"{name} ({spectrum.get('Name')})" if len(spectra) > 1 and spectrum.get("Name") else name
            samples.append(_sample(own, spectrum, specification))
            if len(samples) > MOST_SAMPLES:
                raise UnreadableFileError(f"The file has more than {MOST_SAMPLES} samples. Divide it.")
    if not samples:
        raise UnreadableFileError(
            "The file has no ReflectanceSpectrum. Export it with spectra, not with colours alone."
        )
    left_out = (f"{without} objects without a reflectance spectrum were left out.",) if without else ()
    return RawFile(FORM, tuple(samples), left_out)


def _tree(data: bytes) -> Element:
    """Build the tree; tags are "namespace name". A document type or entity is refused before it is read."""
    builder = TreeBuilder()
    parser = expat.ParserCreate(namespace_separator=" ")
    depth = elements = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth, elements
        depth, elements = depth + 1, elements + 1
        if depth > _DEEPEST or elements > _MOST_ELEMENTS:
            raise UnreadableFileError("The XML is nested too deeply or has too many elements to be CxF3.")
        builder.start(tag, attributes)

    def end(tag: str) -> None:
        nonlocal depth
        depth -= 1
        builder.end(tag)

    def refuse(*_: object) -> None:
        raise UnreadableFileError("The XML declares a document type or entities, which CxF3 does not need: not read.")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = builder.data
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    try:
        parser.Parse(data, True)
    except UnreadableFileError:
        raise
    # LookupError and ValueError: an encoding that is unknown or cannot be read byte by byte.
    except (expat.ExpatError, LookupError, ValueError) as error:
        raise UnreadableFileError(f"The XML is broken ({error}). Export it again.") from None
    return builder.close()


def _all(element: Element, name: str) -> Iterator[Element]:
    return element.iter(f"{NAMESPACE} {name}")


def _first(element: Element | None, name: str) -> Element | None:
    return None if element is None else next(_all(element, name), None)


def _text(element: Element | None, name: str) -> str:
    found = _first(element, name)
    return " ".join("".join(found.itertext()).split()) if found is not None else ""


def _sample(name: str, spectrum: Element, specification: Element | None) -> RawSample:
    span = _first(specification, "WavelengthRange")
    start = spectrum.get("StartWL") or (span.get("StartWL") if span is not None else None)
    increment = spectrum.get("Increment") or (span.get("Increment") if span is not None else None)
    first, step = _positive(start, "StartWL", name), _positive(increment, "Increment", name)
    values = tuple(_value(token, name) for token in (spectrum.text or "").split())
    if len(values) > MOST_BANDS:
        raise UnreadableFileError(f"{shown(name)} has {len(values)} bands; at most {MOST_BANDS}.")
    bands = tuple(first + step * place for place in range(len(values)))
    return RawSample(name, bands, values, _conditions(specification))


def _conditions(specification: Element | None) -> dict[str, str]:
    sphere = _text(specification, "SphereGeometry")
    lit, seen = _text(specification, "IlluminationAngle"), _text(specification, "MeasurementAngle")
    stated = {
        "geometry": "sphere" if sphere else f"{_angle(lit)}:{_angle(seen)}" if lit and seen else "",
        "specular": sphere,
        "backing": _text(specification, "Backing") or _text(specification, "SampleBacking"),
        "illuminant": _text(specification, "DeviceIllumination"),
    }
    return {key: value for key, value in stated.items() if value}


def _angle(text: str) -> str:
    try:
        return f"{float(text):g}"
    except ValueError:
        return text


def _positive(text: str | None, attribute: str, name: str) -> float:
    try:
        value = float(text or "")
    except ValueError:
        value = math.nan
    if not 0.0 < value < math.inf:
        said = f"{shown(text)} for {attribute}" if text else f"no {attribute}"
        raise UnreadableFileError(
            f"{shown(name)} has {said}, so the wavelengths of its values are not known. Export it with its bands in nm."
        )
    return value


def _value(token: str, name: str) -> float:
    try:
        value = number(token)
    except ValueError:
        value = None
    if value is None or not math.isfinite(value):
        raise UnreadableFileError(f"{shown(name)} has {shown(token)} among its values, which is no number. Correct it.")
    return value
