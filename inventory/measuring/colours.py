"""A colour as a person states it: CIELAB, Munsell notation or a screen colour, with what it is worth."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from inventory.colour.appearance import colour_science, lab_from_relative_xyz
from inventory.colour.viewing import Viewing
from inventory.colour.wheel import HUES, SECTOR_WIDTH, VALUE_LEVELS, colour_limit
from inventory.labels.doubts import Doubt, Option, Severity, settled, shown
from inventory.measuring import munsell
from inventory.measuring.viewing import Illuminant, Observer, spoken, to_d65_10, viewing_of

Lab = tuple[float, float, float]

LONGEST = 120
# Standard deviations in L*, a* and b* that a stated colour is taken with; judgements unless a reason stands beside.
MEASURED_SD = 0.5  # an instrument and the paint's own scatter
NOTATION_SD = 1.0  # a Munsell notation read between chips
CHIP_SD = 3.0  # nearest chip: value to half a step is L* +/-5, a uniform error of sd 2.9; hue and chroma are alike
SCREEN_SD = 6.0  # a screen colour: nobody knows the camera, the light and the edit behind it
# Taking D65 and 10 degrees where D50 or C, or 2 degrees, was meant: rms 1.8 to 3.1 on the spectra of viewing.py.
UNSTATED_SD = 3.0

_MINUS = str.maketrans({"−": "-", "–": "-", "‐": "-", "‑": "-", "＋": "+"})
_NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_NOT_FINITE = re.compile(r"(?<![a-z])[-+]?(?:nan|inf(?:inity)?|#n/a|#num!|#value!)(?![a-z])", re.IGNORECASE)
_LABELS = re.compile(r"(?:cie)?\s*l\*?a\*?b\*?(?=[\s(:=])|(?:cie)?\s*l\*?c\*?h(?=[\s(:=])|[()=:°]", re.IGNORECASE)
_AXIS = re.compile(
    r"(?:(?<=\s)|(?<=^)|(?<=[,;/\d]))(?:cie)?\s*(?:l|a|b|c|h)(?:ab)?(?:\s?\*)?(?=\s|[-+.\d])", re.IGNORECASE
)
_HEX = re.compile(r"#?[0-9a-f]{6}|#[0-9a-f]{3}", re.IGNORECASE)


class Notation(StrEnum):
    """How a colour is written."""

    CIELAB = "CIELAB"
    CIELCH = "CIELCh"
    MUNSELL = "Munsell"
    SRGB_HEX = "sRGB hex"


@dataclass(frozen=True)
class ReadColour:
    """A stated colour. `lab` (D65, 10 degree) is None while it is refused or a question is open; the doubts say which.

    `given` are the numbers as read. `sd` is the standard deviation of each of L*, a*, b* as an observation, with what
    the conversion adds. `stated` is the colour as L*, a*, b* under the `viewing` that it was stated for, with its
    `stated_sd`: curves are fitted to it, so that nothing is lost in converting. `rough` says that the colour gives a
    direction and no more.
    """

    text: str
    notation: Notation
    lab: Lab | None = None
    given: tuple[float, ...] = ()
    illuminant: Illuminant = Illuminant.UNKNOWN
    observer: Observer = Observer.UNKNOWN
    converted: str = ""
    rough: bool = False
    sd: float = math.nan
    stated: Lab | None = None
    stated_sd: float = math.nan
    viewing: Viewing | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


def read_colour(
    text: str,
    *,
    notation: Notation | str | None = None,
    illuminant: Illuminant | str | None = None,
    observer: Observer | str | None = None,
) -> ReadColour:
    """Read a colour as typed. Nothing raises: what cannot be used is a doubt that names the value and the remedy.

    `notation` None: told from the text. `illuminant` and `observer` matter for CIELAB and CIELCh alone; None asks,
    "unknown" is the answer that nobody knows, and makes the colour rough. Munsell notation is for C and 2 degrees,
    a screen colour for D65 and 2 degrees.
    """
    kind = _notation(text, notation)
    if kind is None:
        return _refuse(text, Notation.CIELAB, "notation", f"{shown(str(notation))} is no notation; {_ONE_OF_NOTATIONS}")
    if len(text) > LONGEST:
        return _refuse(text, kind, "too-long", f"This colour is {len(text)} characters long; at most {LONGEST}.")
    if kind is Notation.MUNSELL:
        return _read_munsell(text)
    if kind is Notation.SRGB_HEX:
        return _read_hex(text)
    return _read_cielab(text, kind, illuminant, observer)


_ONE_OF_NOTATIONS = f"choose one of {', '.join(notation.value for notation in Notation)}."


def _notation(text: str, notation: Notation | str | None) -> Notation | None:
    if notation is not None:
        try:
            return Notation(notation)
        except ValueError:
            return None
    line = text.strip()
    if line.startswith("#") or _HEX.fullmatch(line):
        return Notation.SRGB_HEX
    if munsell.looks_like_munsell(line) or re.match(r"\d{1,3}(?:[.,]\d+)?\s?[A-Za-z]{1,2}\b", line):
        return Notation.MUNSELL
    return Notation.CIELCH if re.match(r"(?:cie)?\s*l\*?c\*?h", line, re.IGNORECASE) else Notation.CIELAB


def _refuse(text: str, notation: Notation, code: str, message: str) -> ReadColour:
    return ReadColour(text, notation, doubts=(Doubt(code, Severity.REFUSED, message, text[:LONGEST]),))


# CIELAB


def _read_cielab(
    text: str, notation: Notation, illuminant: Illuminant | str | None, observer: Observer | str | None
) -> ReadColour:
    try:
        given = _three_numbers(text, notation)
        lab = _cartesian(given) if notation is Notation.CIELCH else given
        _check_axes(given, lab, notation)
        light, eye = _conditions(illuminant, observer)
    except _CannotReadError as error:
        return _refuse(text, notation, error.code, str(error))
    if light is None or eye is None:
        asked = _questions(light, eye)
        known = light or Illuminant.UNKNOWN, eye or Observer.UNKNOWN
        return ReadColour(text, notation, None, given, *known, doubts=asked)
    unstated = light is Illuminant.UNKNOWN or eye is Observer.UNKNOWN
    assumed = (
        Illuminant.D65 if light is Illuminant.UNKNOWN else light,
        Observer.TEN if eye is Observer.UNKNOWN else eye,
    )
    seen = to_d65_10(lab, *assumed)
    doubts: tuple[Doubt, ...] = ()
    how = seen.how
    if unstated:
        how = f"{how}; {spoken(*assumed)} assumed, because it is not known"
        message = f"The light or the observer is not known: {spoken(*assumed)} is assumed, and the colour is rough."
        doubts = (Doubt("conditions-assumed", Severity.NOTE, message, text),)
    own = math.hypot(MEASURED_SD, UNSTATED_SD) if unstated else MEASURED_SD
    read = ReadColour(
        text,
        notation,
        seen.lab,
        given,
        light,
        eye,
        converted=how,
        rough=unstated,
        sd=math.hypot(own, seen.sd),
        stated=lab,
        stated_sd=own,
        viewing=viewing_of(*assumed),
        doubts=doubts,
    )
    return _vivid(read, seen.lab)


class _CannotReadError(ValueError):
    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


def _three_numbers(text: str, notation: Notation) -> tuple[float, float, float]:
    names = ("L*", "C*", "h") if notation is Notation.CIELCH else ("L*", "a*", "b*")
    odd = _NOT_FINITE.search(text)
    if odd:
        raise _CannotReadError(
            "not-a-number",
            f"{shown(text)} holds {shown(odd[0])}, which is no number. Enter {', '.join(names)} as numbers.",
        )
    line = text.translate(_MINUS)
    line = _AXIS.sub(" ", _LABELS.sub(" ", line)).strip()
    tokens = [token.strip(",") for token in re.split(r"[;/|\s]+", line) if token.strip(",")]
    if len(tokens) == 1:
        tokens = tokens[0].split(",")
    example = "52.1, 75, 230" if notation is Notation.CIELCH else "52.1, 41, -12.5"
    if len(tokens) != 3:
        raise _CannotReadError(
            "not-three-numbers",
            f"{shown(text)} holds {len(tokens) if line else 0} numbers, and a {notation.value} colour has three: "
            f"{', '.join(names)}, like {example}.",
        )
    for name, token in zip(names, tokens, strict=True):
        if not _NUMBER.fullmatch(token):
            raise _CannotReadError(
                "not-a-number", f"{shown(token)} cannot be read as {name}. Enter three numbers like {example}."
            )
    first, second, third = (float(token.replace(",", ".")) for token in tokens)
    return first, second, third


def _cartesian(lch: tuple[float, float, float]) -> Lab:
    L, C, h = lch
    return L, C * math.cos(math.radians(h)), C * math.sin(math.radians(h))


def _check_axes(given: tuple[float, float, float], lab: Lab, notation: Notation) -> None:
    L = given[0]
    if not 0.0 <= L <= 100.0:
        raise _CannotReadError(
            "lightness", f"L* is {L:g}, but lightness runs from 0 (black) to 100 (white). Check the first number."
        )
    if notation is Notation.CIELCH:
        _, C, h = given
        if not 0.0 <= C <= 200.0:
            raise _CannotReadError("chroma", f"C* is {C:g}, but chroma runs from 0 to 200. Check the second number.")
        if not -360.0 <= h <= 360.0:
            raise _CannotReadError(
                "hue", f"h is {h:g}, but a hue angle runs from 0 to 360 degrees. Check the third number."
            )
    for name, value in zip(("a*", "b*"), lab[1:], strict=True):
        if abs(value) > 150.0:
            raise _CannotReadError(
                "axis", f"{name} is {value:g}, but colours of surfaces lie between -150 and 150. Check the number."
            )


def _conditions(
    illuminant: Illuminant | str | None, observer: Observer | str | None
) -> tuple[Illuminant | None, Observer | None]:
    try:
        light = None if illuminant is None else Illuminant(illuminant)
    except ValueError:
        raise _CannotReadError(
            "illuminant",
            f"{shown(str(illuminant))} is no illuminant that can be converted; choose one of "
            f"{', '.join(light.value for light in Illuminant)}.",
        ) from None
    try:
        eye = None if observer is None else Observer(observer)
    except ValueError:
        raise _CannotReadError(
            "observer", f"{shown(str(observer))} is no standard observer; choose 2 or 10 degrees, or unknown."
        ) from None
    return light, eye


def _questions(light: Illuminant | None, eye: Observer | None) -> tuple[Doubt, ...]:
    asked = []
    if light is None:
        message = (
            "The illuminant is not stated, and the same paint has other figures under each. Choose the one beside the "
            "figures (often D65 on a paint maker's list, D50 in printing, C with Munsell notation), or unknown."
        )
        asked.append(
            Doubt("illuminant", Severity.ASK, message, options=tuple(Option(i.value, i.value) for i in Illuminant))
        )
    if eye is None:
        message = "The observer is not stated. Choose 2 or 10 degrees as it stands beside the figures, or unknown."
        options = (
            Option("2", "2 degrees (CIE 1931)"),
            Option("10", "10 degrees (CIE 1964)"),
            Option("unknown", "Unknown"),
        )
        asked.append(Doubt("observer", Severity.ASK, message, options=options))
    return tuple(asked)


# Munsell and screen colours


def _read_munsell(text: str) -> ReadColour:
    try:
        notation = munsell.parse(text)
        stated = munsell.lab_c_2(notation)
    except munsell.MunsellError as error:
        return _refuse(text, Notation.MUNSELL, "munsell", str(error))
    seen = to_d65_10(stated, Illuminant.C, Observer.TWO)
    # A grey reflects all wavelengths alike, so nothing changes with light or observer.
    if not notation.letters:
        seen = to_d65_10(stated, Illuminant.D65, Observer.TEN)
    doubts: tuple[Doubt, ...] = ()
    own = NOTATION_SD
    if notation.on_a_chip:
        own = CHIP_SD
        message = (
            f"{notation} stands on a chip of an atlas, so it may be the nearest chip and no reading between chips: "
            "it is taken as good to half a step."
        )
        doubts = (Doubt("nearest-chip", Severity.NOTE, message, text),)
    how = f"Munsell renotation (1943, ASTM D1535); {seen.how}"
    given = (notation.hue, notation.value, notation.chroma) if notation.letters else (notation.value,)
    read = ReadColour(
        text,
        Notation.MUNSELL,
        seen.lab,
        given,
        Illuminant.C,
        Observer.TWO,
        converted=how,
        sd=math.hypot(own, seen.sd),
        stated=stated,
        stated_sd=own,
        viewing=Viewing.C_2,
        doubts=doubts,
    )
    return _vivid(read, seen.lab)


def _read_hex(text: str) -> ReadColour:
    line = text.strip()
    if not _HEX.fullmatch(line):
        digits = line.lstrip("#")
        wrong = sorted({letter for letter in digits if letter not in "0123456789abcdefABCDEF"})
        what = f"has {shown(''.join(wrong))} in it" if wrong else f"has {len(digits)} digits"
        message = f"{shown(text)} {what}; a screen colour has six of 0 to 9 and a to f, like #db0000. Type it again."
        return _refuse(text, Notation.SRGB_HEX, "hex", message)
    digits = line.lstrip("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    eight_bit = tuple(int(digits[i : i + 2], 16) for i in (0, 2, 4))
    colour = colour_science()
    xyz = colour.sRGB_to_XYZ(np.array(eight_bit) / 255.0)
    white = colour.sRGB_to_XYZ(np.ones(3))
    L, a, b = lab_from_relative_xyz(np.asarray(xyz / white, dtype=np.float64)).tolist()
    message = "A screen colour depends on a camera, a light and an edit that nobody knows: it is rough."
    return ReadColour(
        text,
        Notation.SRGB_HEX,
        (L, a, b),
        tuple(float(channel) for channel in eight_bit),
        Illuminant.D65,
        Observer.TWO,
        converted="sRGB (IEC 61966-2-1), relative to its white, as swatches are drawn",
        rough=True,
        sd=SCREEN_SD,
        stated=(L, a, b),
        stated_sd=SCREEN_SD,
        viewing=Viewing.D65_10,
        doubts=(Doubt("screen-colour", Severity.NOTE, message, text),),
    )


def _vivid(read: ReadColour, lab: Lab) -> ReadColour:
    """Refuse or note a colour that is more vivid than surfaces are (Pointer 1980)."""
    L, a, b = lab
    chroma, angle = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360.0
    level = min(range(len(VALUE_LEVELS)), key=lambda i: abs(VALUE_LEVELS[i] - L))
    limit = float(colour_limit()[level, round(angle / SECTOR_WIDTH) % len(HUES)])
    if chroma <= 1.15 * limit + 5.0:
        return read
    said = (
        f"{shown(read.text)} has the chroma {chroma:.0f} at lightness {L:.0f}; "
        f"surface colours of this hue end near {limit:.0f}."
    )
    if chroma > 1.5 * limit + 20.0:
        return _refuse(read.text, read.notation, "too-vivid", f"{said} Check each number and its sign.")
    note = Doubt("vivid", Severity.NOTE, f"{said} Check the numbers, or note that the paint is fluorescent.", read.text)
    return replace(read, doubts=(*read.doubts, note))
