"""One colour as a painter is told of it: L*, C*, hue and value in words, and the nearest that a screen shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from inventory.colour.appearance import chroma, hue_angle, munsell_value, srgb
from inventory.colour.palette import NEUTRAL_MOST_CHROMA
from inventory.colour.wheel import VALUE_LEVELS, colour_limit, hue_name, sector_of, value_word

# Shares of the chroma that real surfaces have at this hue and value (Pointer 1980) at which our words begin, and the
# least chroma that each needs: near white and black the limit itself is small.
CHROMA_WORDS = ((0.65, 30.0, "vivid"), (0.35, 12.0, "clear"), (0.0, 0.0, "dull"))
# A hue this near (degrees) to the border of its family leans to the neighbour.
LEANS_WITHIN = 6.0


@dataclass(frozen=True)
class Seen:
    """L*, C* and hue angle (degrees; None where there is next to no hue), Munsell value, words, and a screen colour.

    `clipped` says that no screen of sRGB shows it.
    """

    lab: tuple[float, float, float]
    L: float
    C: float
    hue: float | None
    hue_words: str
    value: float
    words: str
    hex: str
    clipped: bool


def seen(lab: ArrayLike) -> Seen:
    """Return a colour L*, a*, b* (D65, 10 degree) in figures and words.

    Munsell value is that of its luminance (ASTM D1535); the notation is defined for illuminant C, and a grey has the
    same value under both.
    """
    L, a, b = (float(value) for value in np.asarray(lab, dtype=np.float64))
    L = min(max(L, 0.0), 100.0)
    C, angle = float(chroma([L, a, b])), float(hue_angle([L, a, b]))
    screen = srgb([L, a, b])
    grey = C < NEUTRAL_MOST_CHROMA
    hue_words = "next to no hue" if grey else _hue_words(angle)
    words = f"{value_word(L)}, next to no hue" if grey else f"{value_word(L)}, {_chroma_word(L, C, angle)} {hue_words}"
    return Seen(
        lab=(L, a, b),
        L=L,
        C=C,
        hue=None if grey else angle,
        hue_words=hue_words,
        value=float(munsell_value(luminance_percent(L))),
        words=words,
        hex=screen.hex,
        clipped=screen.clipped,
    )


def luminance_percent(L: float) -> float:
    """Return the luminance factor Y, 0 to 100, of a lightness L* of 0 to 100 (ISO/CIE 11664-4)."""
    f = (L + 16.0) / 116.0
    return 100.0 * (f**3 if f > 6.0 / 29.0 else (116.0 * f - 16.0) * 27.0 / 24389.0)


def _hue_words(angle: float) -> str:
    own = hue_name(angle)
    for step in (LEANS_WITHIN, -LEANS_WITHIN):
        near = hue_name(angle + step)
        if near is not own:
            return f"{own.word} toward {near.word}"
    return own.word


def _chroma_word(L: float, C: float, angle: float) -> str:
    level = min(range(len(VALUE_LEVELS)), key=lambda i: abs(VALUE_LEVELS[i] - L))
    most = float(colour_limit()[level, int(sector_of(angle))])
    share = C / most if most > 0.0 else 1.0
    return next(word for least, chroma_least, word in CHROMA_WORDS if share >= least and chroma_least <= C)
