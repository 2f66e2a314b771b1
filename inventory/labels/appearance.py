"""Opacity and tinting strength as labels mark them: words, letters, squares, figures on a maker's scale."""

import re
from dataclasses import dataclass
from enum import StrEnum

from .doubts import Doubt, Option, Severity, settled, shown, too_long
from .folding import LOOK_ALIKES, bare_letters, says_nothing


class Opacity(StrEnum):
    TRANSPARENT = "transparent"
    SEMI_TRANSPARENT = "semi-transparent"
    SEMI_OPAQUE = "semi-opaque"
    OPAQUE = "opaque"
    UNKNOWN = "unknown"


class Strength(StrEnum):
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"
    VERY_HIGH = "very high"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class OpacityMark:
    """`scale` says how the label marks it: "word", "letter" or "square"; empty while unknown."""

    text: str
    value: Opacity = Opacity.UNKNOWN
    scale: str = ""
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


@dataclass(frozen=True, slots=True)
class StrengthMark:
    """`figure` is what stands on a maker's numbered `scale` ("of 5", "percent"); `value` only follows from words."""

    text: str
    value: Strength = Strength.UNKNOWN
    scale: str = ""
    figure: str = ""
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


_OPACITY_WORDS = {
    "transparent": Opacity.TRANSPARENT, "transparente": Opacity.TRANSPARENT, "trasparente": Opacity.TRANSPARENT,
    "lasierend": Opacity.TRANSPARENT, "clear": Opacity.TRANSPARENT, "прозрачная": Opacity.TRANSPARENT,
    "semi transparent": Opacity.SEMI_TRANSPARENT, "semitransparent": Opacity.SEMI_TRANSPARENT,
    "semi transparente": Opacity.SEMI_TRANSPARENT, "halblasierend": Opacity.SEMI_TRANSPARENT,
    "halbtransparent": Opacity.SEMI_TRANSPARENT, "semi trasparente": Opacity.SEMI_TRANSPARENT,
    "semi opaque": Opacity.SEMI_OPAQUE, "semiopaque": Opacity.SEMI_OPAQUE, "halbdeckend": Opacity.SEMI_OPAQUE,
    "semi opaco": Opacity.SEMI_OPAQUE,
    "opaque": Opacity.OPAQUE, "deckend": Opacity.OPAQUE, "opaco": Opacity.OPAQUE, "opaca": Opacity.OPAQUE,
}  # fmt: skip
_OPACITY_LETTERS = {
    "t": Opacity.TRANSPARENT, "st": Opacity.SEMI_TRANSPARENT, "so": Opacity.SEMI_OPAQUE, "o": Opacity.OPAQUE,
}  # fmt: skip
_SQUARES = {
    "□": Opacity.TRANSPARENT, "▢": Opacity.TRANSPARENT, "☐": Opacity.TRANSPARENT, "◻": Opacity.TRANSPARENT,
    "⬜": Opacity.TRANSPARENT, "▫": Opacity.TRANSPARENT, "clear square": Opacity.TRANSPARENT,
    "empty square": Opacity.TRANSPARENT, "open square": Opacity.TRANSPARENT, "white square": Opacity.TRANSPARENT,
    "■": Opacity.OPAQUE, "◼": Opacity.OPAQUE, "⬛": Opacity.OPAQUE, "▪": Opacity.OPAQUE,
    "black square": Opacity.OPAQUE, "full square": Opacity.OPAQUE, "filled square": Opacity.OPAQUE,
    "solid square": Opacity.OPAQUE,
}  # fmt: skip
_HALF_SQUARES = frozenset("◧◨◩◪◫⬓⬒◐◑◒◓⊘⧄⧅⍁⍂◿◸") | {
    "half square", "half filled square", "half black square", "square with a line", "crossed square", "half",
}  # fmt: skip
_BETWEEN = (Opacity.SEMI_TRANSPARENT, Opacity.SEMI_OPAQUE)
_ALL = (Opacity.TRANSPARENT, *_BETWEEN, Opacity.OPAQUE)


def _labels(values: tuple[StrEnum, ...]) -> tuple[Option, ...]:
    return tuple(Option(value.value, value.value.capitalize()) for value in values)


def read_opacity(text: str, *, header: str = "") -> OpacityMark:
    """Read an opacity mark. A figure, or a mark that makers use in several ways, is asked.

    `header` is quoted in the question, so that the person sees which column it is about.
    """
    long = too_long(text, "opacity mark")
    if long:
        return OpacityMark(text, doubts=(long,))
    words = re.sub(r"[-_\s]+", " ", bare_letters(text).translate(LOOK_ALIKES)).strip(" .:()[]\"'\ufe0e\ufe0f")
    if says_nothing(words):
        return OpacityMark(text)
    for scale, values in (("word", _OPACITY_WORDS), ("letter", _OPACITY_LETTERS), ("square", _SQUARES)):
        value = values.get(words) or (values.get(bare_letters(text)) if scale == "word" else None)
        if value:
            return OpacityMark(text, value, scale)
    return OpacityMark(text, doubts=(_ask_opacity(text, words, header),))


def _ask_opacity(text: str, words: str, header: str) -> Doubt:
    where = f" under {shown(header)}" if header else ""
    if words in _HALF_SQUARES:
        message = f"{shown(text)}{where} means semi-transparent or semi-opaque, depending on the maker. Choose one."
        return Doubt("half-square", Severity.ASK, message, text, _labels(_BETWEEN))
    if words in ("tl", "translucent"):
        message = f"{shown(text)}{where} can mean transparent or semi-transparent. Choose one."
        return Doubt("which-opacity", Severity.ASK, message, text, _labels(_ALL[:2]))
    message = f"{shown(text)}{where} is no opacity mark that all makers share. Choose what the label means by it."
    options = (*_labels(_ALL), Option("", "Unknown"))
    return Doubt("which-opacity", Severity.ASK, message, text, options)


_STRENGTH_WORDS = {
    "low": Strength.LOW, "weak": Strength.LOW, "very low": Strength.LOW, "very weak": Strength.LOW,
    "gering": Strength.LOW, "schwach": Strength.LOW, "faible": Strength.LOW,
    "medium": Strength.MEDIUM, "moderate": Strength.MEDIUM, "average": Strength.MEDIUM, "mittel": Strength.MEDIUM,
    "moyen": Strength.MEDIUM, "moyenne": Strength.MEDIUM,
    "high": Strength.HIGH, "strong": Strength.HIGH, "hoch": Strength.HIGH, "stark": Strength.HIGH,
    "forte": Strength.HIGH, "fort": Strength.HIGH,
    "very high": Strength.VERY_HIGH, "very strong": Strength.VERY_HIGH, "sehr hoch": Strength.VERY_HIGH,
    "sehr stark": Strength.VERY_HIGH, "tres forte": Strength.VERY_HIGH,
}  # fmt: skip
_FIGURE = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?)")
_FIGURE_OF = re.compile(r"(\d{1,3}) ?(?:/|of|out of|von|sur) ?(\d{1,3})")
_PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?) ?%")


def read_strength(text: str) -> StrengthMark:
    """Read a tinting strength. A figure keeps its scale beside it; one without a scale is asked."""
    long = too_long(text, "tinting strength")
    if long:
        return StrengthMark(text, doubts=(long,))
    words = re.sub(r"[-_\s]+", " ", bare_letters(text)).strip(" .")
    if says_nothing(words):
        return StrengthMark(text)
    if words in _STRENGTH_WORDS:
        return StrengthMark(text, _STRENGTH_WORDS[words], "words")
    on_scale = _FIGURE_OF.fullmatch(words)
    if on_scale and 0 < int(on_scale[1]) <= int(on_scale[2]):
        return StrengthMark(text, scale=f"of {on_scale[2]}", figure=on_scale[1])
    percent = _PERCENT.fullmatch(words)
    if percent:
        return StrengthMark(text, scale="percent", figure=percent[1].replace(",", "."))
    return StrengthMark(text, doubts=(_ask_strength(text, words),))


def _ask_strength(text: str, words: str) -> Doubt:
    if _FIGURE.fullmatch(words):
        message = f"{shown(text)} is a figure without a scale. Say of how many, as in 4 of 5, or choose a word."
    else:
        message = f"{shown(text)} is no tinting strength that we know. Choose a word, or leave it unknown."
    options = (*_labels((Strength.LOW, Strength.MEDIUM, Strength.HIGH, Strength.VERY_HIGH)), Option("", "Unknown"))
    return Doubt("which-strength", Severity.ASK, message, text, options)
