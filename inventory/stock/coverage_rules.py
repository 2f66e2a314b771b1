"""How much paint covers a ground: sizes and rules as people write them, and the amount that follows, exact.

No rule ships with the program: what a litre covers depends on the paint and the hand, and rules in use differ by more
than ten times.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

# The international inch of 1959 is exactly 25.4 mm.
_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10)}
_LENGTH = r"(\d{1,5}(?:[.,]\d{1,3})?)\s*(mm|cm|m|inches|inch|in|\"|″|”|'')?"
_GROUND = re.compile(rf"{_LENGTH}\s*(?:x|×|\*|by)\s*{_LENGTH}(?:\s+[a-z][a-z ]*)?", re.IGNORECASE)
SMALLEST_SIDE_MM, LARGEST_SIDE_MM = 10, 20_000

_NUMBER = r"(\d{1,7}(?:[.,]\d{1,4})?)"
_VOLUME = r"(ml|cl|dl|litres?|liters?|l)"
_AREA = r"(m2|m²|sqm|sq\.? ?m|square met(?:re|er)s?|cm2|cm²)"
_PER = r"\s*(?:/|per|for|covers?|on|a)\s*"
_RULE = re.compile(rf"{_NUMBER}\s*{_VOLUME}{_PER}(?:{_NUMBER}\s*)?{_AREA}", re.IGNORECASE)
_REACH = re.compile(rf"{_NUMBER}\s*{_AREA}{_PER}(?:{_NUMBER}\s*)?{_VOLUME}", re.IGNORECASE)
_ML = {"ml": 1, "cl": 10, "dl": 100, "l": 1000}
LEAST_MILLI_PER_M2, MOST_MILLI_PER_M2 = 1_000, 20_000_000
MOST_COATS = 20


@dataclass(frozen=True)
class Ground:
    """One canvas, board or sheet."""

    text: str
    width_mm: Fraction
    height_mm: Fraction

    @property
    def area_m2(self) -> Fraction:
        return self.width_mm * self.height_mm / 1_000_000

    @property
    def area_words(self) -> str:
        """Rounded for reading alone: 0.206 m²."""
        return f"{float(self.area_m2):.3g} m²"


def read_ground(text: str) -> Ground:
    """Read the size of a ground such as `16x20 in`, `40 x 50 cm` or `1 m x 70 cm`.

    Raises
    ------
    ValueError
        Says what cannot be read, and what to enter. A number without a unit is not guessed.
    """
    words = " ".join(text.split())
    found = _GROUND.fullmatch(words)
    if found is None:
        raise ValueError(f"“{text}” is no size of a ground. Enter two lengths such as 16x20 in or 40 x 50 cm.")
    first, second = found[2] or found[4], found[4] or found[2]
    if not first or not second:
        raise ValueError(
            f"“{text}” has no unit. Enter {found[1]} x {found[3]} cm or {found[1]} x {found[3]} in, as it is meant."
        )
    sides = [
        Fraction(number.replace(",", ".")) * _MM.get(unit.lower(), _MM["in"])
        for number, unit in ((found[1], first), (found[3], second))
    ]
    for side in sides:
        if not SMALLEST_SIDE_MM <= side <= LARGEST_SIDE_MM:
            raise ValueError(
                f"“{text}”: a side of {float(side) / 10:g} cm is outside 1 cm to 20 m. Check the figures and the unit."
            )
    return Ground(words, sides[0], sides[1])


def read_rule(text: str) -> int:
    """Read a rule such as `1000 ml / 9.3 m2`, `120 ml/m2` or `10 m2 per l`: thousandths of a ml for a m² and one coat.

    Raises
    ------
    ValueError
        Says what cannot be read, and what to enter.
    """
    words = " ".join(text.replace("㎡", "m2").split())
    if found := _RULE.fullmatch(words):
        volume, volume_unit, area, area_unit = found.groups()
    elif found := _REACH.fullmatch(words):
        area, area_unit, volume, volume_unit = found.groups()
    else:
        raise ValueError(
            f"“{text}” is no rule. Enter a volume for an area, such as 1000 ml / 9.3 m2, 120 ml/m2 or 10 m2 per l."
        )
    ml = (
        Fraction((volume or "1").replace(",", ".")) * _ML["l" if volume_unit.lower()[0] == "l" else volume_unit.lower()]
    )
    m2 = Fraction((area or "1").replace(",", ".")) * (Fraction(1, 10_000) if area_unit.lower() in ("cm2", "cm²") else 1)
    if not m2 or not ml:
        raise ValueError(f"“{text}”: both the volume and the area must be above 0.")
    milli = round(ml * 1000 / m2)
    if not LEAST_MILLI_PER_M2 <= milli <= MOST_MILLI_PER_M2:
        raise ValueError(
            f"“{text}” is {milli / 1000:g} ml for a square metre, outside 1 ml to 20 l. Check the figures and units."
        )
    return milli


@dataclass(frozen=True)
class RuleAmount:
    """What a rule gives for a class: all paints together, before it is shared out among them."""

    ground: Ground
    coats: int
    students: int
    milli_per_m2: int

    @property
    def a_head_milli(self) -> Fraction:
        return self.ground.area_m2 * self.coats * self.milli_per_m2

    @property
    def total_milli(self) -> int:
        """For the whole class, rounded up to a thousandth of a ml."""
        return ceil(self.a_head_milli * self.students)

    def share_milli(self, parts: int, of_parts: int) -> int:
        """The part of one paint for one head, rounded up to a tenth of a ml, which is finer than anybody squeezes."""
        return ceil(self.a_head_milli * parts / of_parts / 100) * 100

    @property
    def words(self) -> str:
        """The whole reckoning, so that it can be checked and changed."""
        coats = "1 coat" if self.coats == 1 else f"{self.coats} coats"
        return (
            f"{self.students} × {self.ground.text} ({self.ground.area_words}) × {coats} × "
            f"{self.milli_per_m2 / 1000:.4g} ml/m² = {self.total_milli / 1_000_000:.2g} l in all, "
            f"{float(self.a_head_milli) / 1000:.3g} ml a head"
        )


def by_rule(ground: Ground, *, coats: int, students: int, milli_per_m2: int) -> RuleAmount:
    """Return what a rule of area and coats gives for a class.

    Parameters
    ----------
    ground : Ground
        What each student covers.
    coats : int
        1 to 20.
    students : int
        1 or more.
    milli_per_m2 : int
        Thousandths of a ml for a square metre and one coat, above 0.

    Raises
    ------
    ValueError
        Says which figure is out of bounds.
    """
    if not 1 <= coats <= MOST_COATS:
        raise ValueError(f"Coats must be from 1 to {MOST_COATS}, not {coats}.")
    if students < 1:
        raise ValueError(f"There must be at least one student, not {students}.")
    if milli_per_m2 <= 0:
        raise ValueError(f"The rule must give more than 0 ml for a square metre, not {milli_per_m2 / 1000:g}.")
    return RuleAmount(ground, coats, students, milli_per_m2)
