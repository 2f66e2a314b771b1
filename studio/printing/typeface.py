"""The one typeface of printed pages: DejaVu Sans covers Latin, Greek and Cyrillic and ships with its licence.

Right-to-left and East Asian scripts are out of its reach: they come out unshaped or as empty boxes.
"""

import re
from functools import cache, lru_cache
from importlib.resources import as_file, files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "DejaVuSans"
BOLD = "DejaVuSans-Bold"

_SPACE = re.compile(r"\s+")


@cache
def register() -> None:
    """Register both faces with reportlab, once a process."""
    for face in (PLAIN, BOLD):
        with as_file(files("studio.printing").joinpath("fonts", f"{face}.ttf")) as path:
            pdfmetrics.registerFont(TTFont(face, path))


class _Widths(dict[str, float]):
    """Advance widths by letter, in thousandths of the size; letters that the face lacks have its box's width."""

    def __init__(self, face: str) -> None:
        register()
        metrics = pdfmetrics.getFont(face).face
        super().__init__((chr(code), wide) for code, wide in metrics.charWidths.items())
        self._default: float = metrics.defaultWidth

    def __missing__(self, letter: str) -> float:
        return self._default


_widths = cache(_Widths)


def width(text: str, face: str, size: float) -> float:
    """Return the width of one line of text in points."""
    return sum(map(_widths(face).__getitem__, text)) * size / 1000


def one_line(text: str) -> str:
    """Turn every run of white space and control characters into one space."""
    visible = "".join(letter if letter.isprintable() else " " for letter in text)
    return _SPACE.sub(" ", visible).strip()


@lru_cache(maxsize=8192)
def wrap(text: str, face: str, size: float, room: float) -> tuple[str, ...]:
    """Break text into lines no wider than `room` points; a word wider than that is broken where it must be."""
    lines: list[str] = []
    line = ""
    for word in one_line(text).split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer, face, size) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while width(word, face, size) > room and len(word) > 1:
            cut = _fitting(word, face, size, room)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return (*lines, line) if line else tuple(lines)


def _fitting(word: str, face: str, size: float, room: float) -> int:
    cut = 1
    while cut < len(word) and width(word[: cut + 1], face, size) <= room:
        cut += 1
    return cut
