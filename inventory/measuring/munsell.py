"""Munsell notation, such as 5R 4/14 or N 5, as a colour under illuminant C for the 2 degree observer."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from inventory.colour.appearance import colour_science, lab_from_relative_xyz
from inventory.labels.doubts import shown

HUE_LETTERS = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")

_NUMBER = r"\d{1,3}(?:[.,]\d{1,3})?"
_CHROMATIC = re.compile(
    rf"(?P<hue>{_NUMBER}) ?(?P<letters>[A-Z]{{1,2}}) ?(?P<value>{_NUMBER}) ?/ ?(?P<chroma>{_NUMBER})"
)
_NEUTRAL = re.compile(rf"N ?(?P<value>{_NUMBER}) ?(?:/ ?(?:0+(?:[.,]0+)?)?)?")


class MunsellError(ValueError):
    """A notation that names no colour of the renotation; the message says why and what to do."""


@dataclass(frozen=True)
class Munsell:
    """A notation as read: hue step 0 to 10 of its letters, value, chroma. A neutral has no letters and chroma 0."""

    value: float
    chroma: float = 0.0
    hue: float = 0.0
    letters: str = ""

    def __str__(self) -> str:
        if not self.letters:
            return f"N {self.value:g}"
        return f"{self.hue:g}{self.letters} {self.value:g}/{self.chroma:g}"

    @property
    def on_a_chip(self) -> bool:
        """True where it can be the nearest chip of a colour atlas and not a reading between chips."""
        return self.value % 1 == 0 and self.hue % 2.5 == 0 and self.chroma % 2 == 0


def looks_like_munsell(text: str) -> bool:
    line = _line(text)
    return bool(_CHROMATIC.fullmatch(line) or _NEUTRAL.fullmatch(line))


def parse(text: str) -> Munsell:
    """Read a notation. MunsellError says which part is out of its range."""
    line = _line(text)
    neutral = _NEUTRAL.fullmatch(line)
    if neutral:
        return Munsell(_value(text, _number(neutral["value"])))
    match = _CHROMATIC.fullmatch(line)
    if match is None:
        raise MunsellError(
            f"{shown(text)} is no Munsell notation. Write hue, value and chroma like 5R 4/14, or a grey like N 5."
        )
    letters = match["letters"]
    if letters not in HUE_LETTERS:
        raise MunsellError(
            f"{shown(text)} has the hue letters {letters}; they must be one of {', '.join(HUE_LETTERS)}. "
            "Check the notation."
        )
    hue = _number(match["hue"])
    if hue > 10.0:
        raise MunsellError(
            f"{shown(text)} has the hue step {hue:g}; it runs from 0 to 10 within {letters}. Check the notation."
        )
    if hue == 0.0:
        # 0 of one family is 10 of the one before, which is how the renotation lists it.
        hue, letters = 10.0, HUE_LETTERS[HUE_LETTERS.index(letters) - 1]
    value, chroma = _value(text, _number(match["value"])), _number(match["chroma"])
    return Munsell(value) if chroma == 0.0 else Munsell(value, chroma, hue, letters)


def lab_c_2(notation: Munsell) -> tuple[float, float, float]:
    """Return L*, a*, b* for illuminant C and the 2 degree observer.

    MunsellError where the renotation has no such colour.

    References
    ----------
    Newhall, Nickerson and Judd, 1943, and ASTM D1535 (value 10 is the perfect diffuser); interpolated by colour-science
    after P. Centore, 2014.
    """
    return _lab(notation)


@lru_cache(maxsize=4096)
def _lab(notation: Munsell) -> tuple[float, float, float]:
    colour = colour_science()
    if not notation.letters:
        Y = float(colour.notation.munsell.luminance_ASTMD1535(notation.value)) / 100.0
        L, _, _ = lab_from_relative_xyz(np.full(3, Y)).tolist()
        return L, 0.0, 0.0
    if not 1.0 <= notation.value < 10.0:
        raise MunsellError(
            f"{notation} has the value {notation.value:g}; colours with a chroma are tabled from value 1 to below 10. "
            "Give the colour as CIELAB instead."
        )
    limit = greatest_chroma(notation)
    if notation.chroma > limit:
        raise MunsellError(
            f"{notation} has the chroma {notation.chroma:g}; the renotation ends at {limit:g} for this hue and value. "
            "Check the notation, or give the colour as CIELAB."
        )
    try:
        xyY = colour.munsell_colour_to_xyY(str(notation))
    except (ValueError, AssertionError):
        raise MunsellError(
            f"{notation} cannot be interpolated in the renotation. Give the nearest notation with an even chroma, "
            "or the colour as CIELAB."
        ) from None
    white = colour.xy_to_XYZ(colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["C"])
    L, a, b = lab_from_relative_xyz(np.asarray(colour.xyY_to_XYZ(xyY) / white, dtype=np.float64)).tolist()
    return L, a, b


def greatest_chroma(notation: Munsell) -> float:
    """Return the greatest chroma that the renotation has for this hue and value."""
    colour = colour_science()
    munsell = colour.notation.munsell
    hue, value, _, code = munsell.munsell_colour_to_munsell_specification(
        f"{notation.hue:g}{notation.letters} {notation.value:g}/2"
    )
    return float(munsell.maximum_chroma_from_renotation([hue, value, code]))


def _line(text: str) -> str:
    return " ".join(text.upper().split())


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _value(text: str, value: float) -> float:
    if value > 10.0:
        raise MunsellError(
            f"{shown(text)} has the value {value:g}; it runs from 0 (black) to 10 (white). Check the notation."
        )
    return value
