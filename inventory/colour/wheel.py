"""The colour wheel: hue sectors by value levels, their names, and the limit of real surface colours."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import colour_science

Floats = NDArray[np.float64]

# The grid of Pointer's table, so that its limits need no interpolation: 36 hue sectors of 10 degrees about these
# centres, and value levels at these L*. Below 20 paint's own surface reflection leaves little; 90 is the last row.
HUES: Floats = np.arange(0.0, 360.0, 10.0)
HUES.setflags(write=False)
SECTOR_WIDTH = 10.0
VALUE_LEVELS: tuple[int, ...] = (20, 30, 40, 50, 60, 70, 80, 90)
LEVEL_HEIGHT = 10.0
SHAPE = (len(VALUE_LEVELS), len(HUES))


@dataclass(frozen=True)
class HueName:
    """A family of hues: Munsell's letters, a painter's word, and where it begins and ends (degrees, CIELAB)."""

    symbol: str
    word: str
    start: float
    end: float


# Borders are the mean CIELAB hue angles of the renotation points 10R, 10YR ... of chroma 6 to 12 and value 3 to 8
# (Newhall, Nickerson and Judd 1943, illuminant C), to a whole degree. Munsell's names are red, yellow-red, yellow,
# green-yellow, green, blue-green, blue, purple-blue, purple, red-purple; the words are a painter's.
HUE_NAMES: tuple[HueName, ...] = (
    HueName("R", "red", 11, 45),
    HueName("YR", "orange", 45, 79),
    HueName("Y", "yellow", 79, 102),
    HueName("GY", "yellow-green", 102, 140),
    HueName("G", "green", 140, 175),
    HueName("BG", "blue-green", 175, 207),
    HueName("B", "blue", 207, 252),
    HueName("PB", "violet-blue", 252, 300),
    HueName("P", "violet", 300, 333),
    HueName("RP", "red-violet", 333, 371),
)

# Our words for levels of L*; Munsell value is about a tenth of L*.
VALUE_WORDS: tuple[tuple[str, tuple[int, ...]], ...] = (
    ("dark", (20, 30, 40)),
    ("middle", (50, 60)),
    ("light", (70, 80, 90)),
)


@cache
def colour_limit() -> Floats:
    """Return the greatest chroma C*ab of real surface colours at each value level and hue, shape (8, 36).

    Pointer's limits are for illuminant C and the 2 degree observer. They are taken over as they stand, because CIELAB
    is relative to its white; an adaptation of the white from C to D65 would move them by 0.6 CIEDE2000 on average and
    1.8 at most.

    References
    ----------
    M. R. Pointer, 1980, The gamut of real surface colours, Color Research and Application 5(3), 145-155; table from
    colour-science.
    """
    limit = np.zeros(SHAPE)
    for L, C, h in np.asarray(colour_science().models.DATA_POINTER_GAMUT_VOLUME, dtype=np.float64):
        if int(L) in VALUE_LEVELS:
            limit[VALUE_LEVELS.index(int(L)), round(h / SECTOR_WIDTH) % len(HUES)] = C
    limit.setflags(write=False)
    return limit


def hue_name(angle: float) -> HueName:
    """Return the family of a hue angle in degrees."""
    turned = angle % 360.0
    for name in HUE_NAMES:
        if name.start <= turned < name.end or name.start <= turned + 360.0 < name.end:
            return name
    raise ValueError(f"a hue angle must be a finite number of degrees, not {angle}")


def munsell_name(angle: float, L: float) -> str:
    """Return about which Munsell hue and value a hue angle (degrees) and a lightness L* are, such as "7.5GY 5/".

    Hue numbers are spread evenly between the borders of the family, to 2.5 steps; value is a tenth of L* (within 0.2 of
    the renotation between 2 and 9).
    """
    name = hue_name(angle)
    share = ((angle - name.start) % 360.0) / (name.end - name.start)
    number, symbol = 2.5 * round(4.0 * share), name.symbol
    if not number:
        number, symbol = 10.0, HUE_NAMES[HUE_NAMES.index(name) - 1].symbol
    return f"{number:g}{symbol} {L / 10.0:.0f}/"


def value_word(L: float) -> str:
    """Return dark, middle or light for a lightness L* of 0 to 100."""
    if not 0.0 <= L <= 100.0:
        raise ValueError(f"L* must be 0 to 100, not {L}")
    nearest = min(VALUE_LEVELS, key=lambda level: abs(level - L))
    return next(word for word, levels in VALUE_WORDS if nearest in levels)


def sector_of(angle: ArrayLike) -> NDArray[np.intp]:
    """Return the place in HUES of hue angles in degrees."""
    turned = np.asarray(angle, dtype=np.float64)
    return np.asarray(np.floor((turned + SECTOR_WIDTH / 2.0) / SECTOR_WIDTH).astype(np.intp) % len(HUES))
