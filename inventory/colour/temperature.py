"""Temperature and value in a painter's terms: where a paint stands within its hue, and strings held at one value.

A paint's hue is taken where it is most vivid along its tints, because a dark masstone hardly shows one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import chroma, hue_angle, munsell_value
from inventory.colour.palette import NEUTRAL_MOST_CHROMA, WHITE_LEAST_LIGHTNESS, WHITE_MOST_CHROMA
from inventory.colour.recovery import generic_white
from inventory.colour.seen import luminance_percent
from inventory.colour.series import lab_of, strengths

Floats = NDArray[np.float64]

# From warm to cool: common practice, no source. Painters differ most over blue: by this order a blue that leans to
# green is warmer than one that leans to violet, and many call it the other way round. So the lean is said in words.
WARM_TO_COOL: tuple[str, ...] = ("orange", "yellow", "red", "green", "violet", "blue")
# Parts of white to one unit of colour at which the most vivid tint is looked for.
_TINTS: Floats = np.array([0.0, 0.03, 0.06, 0.12, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0])
# Our bounds, in CIELAB: a primary must be this vivid at its best; what is less so between red and yellow is an earth.
PRIMARY_LEAST_CHROMA = {"yellow": 33.0, "red": 33.0, "blue": 25.0}
EARTH_MOST_CHROMA, EARTH_MOST_LIGHTNESS, EARTH_HUES = 45.0, 75.0, (20.0, 100.0)
DARK_MOST_LIGHTNESS = 32.0
# Less chroma than this, at its best, is a black or a grey.
GREY_MOST_CHROMA = 8.0
# Parts of white, or of the dark paint, to all the colour, above which a string at one value gives up.
MOST_WHITE_PARTS = 400.0


class Tag(StrEnum):
    """What a tube may be in a palette; one tube may be several."""

    WHITE = "white"
    YELLOW = "yellow"
    WARM_YELLOW = "warm yellow"
    COOL_YELLOW = "cool yellow"
    RED = "red"
    WARM_RED = "warm red"
    COOL_RED = "cool red"
    BLUE = "blue"
    GREEN_BLUE = "blue leaning to green"
    VIOLET_BLUE = "blue leaning to violet"
    EARTH = "earth"
    DARK = "dark"


@dataclass(frozen=True)
class Family:
    """One of six families of hue: from, middle and to in degrees of CIELAB hue; what lies on either side of it."""

    word: str
    start: float
    middle: float
    end: float
    below: str
    above: str


# Borders and middles lie on the hue angles of the renotation that HUE_NAMES has (10RP, 5Y, 10B ...), joined to six.
FAMILIES: tuple[Family, ...] = (
    Family("red", 338.0, 371.0, 405.0, "violet", "orange"),
    Family("orange", 45.0, 53.0, 62.0, "red", "yellow"),
    Family("yellow", 62.0, 90.5, 110.0, "orange", "green"),
    Family("green", 110.0, 160.0, 215.0, "yellow", "blue"),
    Family("blue", 215.0, 252.0, 303.0, "green", "violet"),
    Family("violet", 303.0, 320.0, 338.0, "blue", "red"),
)


@dataclass(frozen=True)
class Standing:
    """Where a paint stands: its family and the neighbour that it leans to, and its masstone's value.

    `hue` (degrees) and `chroma` are those of its most vivid tint, `lightness` is L* of the masstone. `warmer` tells
    whether it leans to the warmer of its two neighbours; None for a white or a grey, which have no family.
    """

    family: str
    toward: str
    warmer: bool | None
    hue: float
    chroma: float
    lightness: float
    value: float
    tags: frozenset[Tag]

    @property
    def words(self) -> str:
        return f"{self.family} leaning to {self.toward}" if self.toward else self.family

    @property
    def order(self) -> tuple[int, float]:
        """Warm before cool: by family, then the warm side of it first."""
        if self.warmer is None:
            return (len(WARM_TO_COOL), 0.0)
        family = next(one for one in FAMILIES if one.word == self.family)
        away = (self.hue - family.middle + 180.0) % 360.0 - 180.0
        up = WARM_TO_COOL.index(family.above) < WARM_TO_COOL.index(family.below)
        return (WARM_TO_COOL.index(self.family), -away if up else away)


@dataclass(frozen=True)
class Step:
    """One step of a value string: parts (adding up to 1) of the two paints, of white and of the dark; L*, a*, b*.

    `reached` is False where neither white nor the dark brings it to the value.
    """

    parts: tuple[float, float, float, float]
    lab: tuple[float, float, float]
    reached: bool


def family_of(hue: float) -> Family:
    """Return the family of a hue angle in degrees."""
    turned = hue % 360.0
    for family in FAMILIES:
        if family.start <= turned < family.end or family.start <= turned + 360.0 < family.end:
            return family
    raise ValueError(f"a hue angle must be a finite number of degrees, not {hue}")


def standing(k: Floats, s: Floats) -> Standing:
    """Return where a paint of absorption and scattering (31,) stands."""
    white = generic_white()
    unit = float(strengths(np.asarray(k)[None])[0])
    lab = lab_of(k / unit + _TINTS[:, None] * white.k, s / unit + _TINTS[:, None] * white.s)
    C = chroma(lab)
    best = int(C.argmax())
    hue, most, L = float(hue_angle(lab[best])), float(C[best]), float(lab[0, 0])
    value = float(munsell_value(luminance_percent(min(max(L, 0.0), 100.0))))
    if L >= WHITE_LEAST_LIGHTNESS and C[0] <= WHITE_MOST_CHROMA:
        return Standing("white", "", None, hue, most, L, value, frozenset({Tag.WHITE}))
    tags = {Tag.DARK} if L <= DARK_MOST_LIGHTNESS else set()
    if most < GREY_MOST_CHROMA:
        word = "black" if L <= DARK_MOST_LIGHTNESS else "grey"
        return Standing(word, "", None, hue, most, L, value, frozenset(tags))
    family = family_of(hue)
    away = (hue - family.middle + 180.0) % 360.0 - 180.0
    toward, other = (family.above, family.below) if away >= 0.0 else (family.below, family.above)
    warmer = WARM_TO_COOL.index(toward) < WARM_TO_COOL.index(other)
    tags |= _tags(family.word, toward, hue, most, L)
    return Standing(family.word, toward, warmer, hue, most, L, value, frozenset(tags))


def _tags(family: str, toward: str, hue: float, most: float, L: float) -> set[Tag]:
    low, high = EARTH_HUES
    earth = low <= hue < high and most < EARTH_MOST_CHROMA and L < EARTH_MOST_LIGHTNESS
    tags = {Tag.EARTH} if earth else set()
    vivid = most >= PRIMARY_LEAST_CHROMA.get(family, np.inf)
    # An ochre serves as a yellow where no other is; a red earth does not serve as a red.
    if not vivid or (earth and family != "yellow"):
        return tags
    sides = {
        ("yellow", "orange"): Tag.WARM_YELLOW,
        ("yellow", "green"): Tag.COOL_YELLOW,
        ("red", "orange"): Tag.WARM_RED,
        ("red", "violet"): Tag.COOL_RED,
        ("blue", "green"): Tag.GREEN_BLUE,
        ("blue", "violet"): Tag.VIOLET_BLUE,
    }
    return tags | {Tag(family), sides[family, toward]}


def value_string(k: Floats, s: Floats, L: float, steps: int = 5) -> tuple[Step, ...]:
    """Return the steps from one paint to another, each held at one lightness by adding white or a dark.

    Parameters
    ----------
    k, s : ndarray, shape (4, 31)
        Of the two paints, the white and the dark, in this order.
    L : float
        The lightness L* to hold, 0 to 100; Munsell value is about a tenth of it.
    steps : int
        How many, 2 or more. Ratios are even in parts of equal strength.

    Raises
    ------
    ValueError
        If there are fewer than two steps or L is out of range.
    """
    if steps < 2:
        raise ValueError(f"a value string needs at least 2 steps, not {steps}")
    if not 0.0 <= L <= 100.0:
        raise ValueError(f"L* must be 0 to 100, not {L}")
    share = np.linspace(0.0, 1.0, steps)
    unit = strengths(k[:2])
    colours = np.column_stack((1.0 - share, share)) / unit
    colours /= colours.sum(axis=1, keepdims=True)
    found = []
    for row in colours:
        parts = np.array([*row, 0.0, 0.0])
        start = float(_lab(k, s, parts)[0])
        place = 2 if start < L else 3
        low, high = 0.0, MOST_WHITE_PARTS

        def with_more(amount: float, place: int = place, parts: Floats = parts) -> Floats:
            more = parts.copy()
            more[place] = amount
            return more

        far = float(_lab(k, s, with_more(high))[0])
        reached = abs(start - L) < 1e-9 or (far >= L if place == 2 else far <= L)
        if reached:
            # Lightness goes one way with white and with a dark, so halving finds the amount to the last figure.
            for _ in range(60):
                middle = (low + high) / 2.0
                light = float(_lab(k, s, with_more(middle))[0]) >= L
                low, high = (low, middle) if light == (place == 2) else (middle, high)
            parts = with_more(high)
        lab = _lab(k, s, parts)
        total = parts / parts.sum()
        found.append(
            Step(
                (float(total[0]), float(total[1]), float(total[2]), float(total[3])),
                (float(lab[0]), float(lab[1]), float(lab[2])),
                reached,
            )
        )
    return tuple(found)


def _lab(k: Floats, s: Floats, parts: Floats) -> Floats:
    share = parts / parts.sum()
    lab: Floats = lab_of((share @ k)[None], (share @ s)[None])[0]
    return lab


def is_chromatic(one: Standing) -> bool:
    """Whether it is neither white nor grey, at its most vivid."""
    return one.warmer is not None and one.chroma > NEUTRAL_MOST_CHROMA
