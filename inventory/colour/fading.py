"""How far a colour has moved in light, and the class that ASTM D4303 would give such a difference.

A window is no test chamber: the classes here are of the colour difference alone, and of the studio's own test.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

CLASSES = ("I", "II", "III", "IV", "V")
# Upper ends of the classes I to IV in CIE 1976 units; V is above. From memory, after ASTM D4303, section on rating.
LIMITS = (4.0, 8.0, 16.0, 24.0)
# The radiant exposure of D4303 behind window glass, in MJ/m2 of total radiation. From memory.
EXPOSURE_MJ = 1260
# Nine cases in ten lie within so many standard deviations of a normal distribution.
_NINE_IN_TEN = 1.645


def difference_1976(lab_1: ArrayLike, lab_2: ArrayLike) -> NDArray[np.float64]:
    """Return the CIE 1976 colour difference of two arrays of L*, a*, b* that broadcast, each (..., 3).

    D4303 goes by this formula (its scope as published by ASTM, D4303-10(2022), 1.3 and 1.4) and not by CIEDE2000,
    which is smaller for vivid colours.

    Raises
    ------
    ValueError
        If the last axis does not hold three values.

    References
    ----------
    ISO/CIE 11664-4:2019, CIE 1976 L*a*b* colour space.
    """
    first, second = np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64)
    for values in (first, second):
        if values.ndim == 0 or values.shape[-1] != 3:
            raise ValueError(f"a colour has the 3 values L*, a*, b*, not the shape {values.shape}")
    return np.asarray(np.sqrt(np.sum((first - second) ** 2, axis=-1)))


def class_of(difference: float) -> str:
    """Return the class I (moved least) to V of a CIE 1976 colour difference, 0 or more.

    A difference on a limit belongs to the better class.

    Raises
    ------
    ValueError
        If it is negative or not a number.
    """
    if not difference >= 0.0:
        raise ValueError(f"a colour difference is 0 or more, not {difference}")
    # L* 54.3 less 50.3 is 4, and a hair more in binary.
    return CLASSES[sum(round(difference, 9) > limit for limit in LIMITS)]


@dataclass(frozen=True, slots=True)
class Colour:
    """L*, a*, b* for D65 and 10 degrees, with the standard deviation of each as an observation."""

    lab: tuple[float, float, float]
    sd: float = 0.0


@dataclass(frozen=True, slots=True)
class Moved:
    """How far a colour has moved: the CIE 1976 difference, half its width (nine in ten), and the classes in it."""

    difference: float
    width: float
    best: str
    worst: str

    @property
    def class_words(self) -> str:
        """ "II", or "II to III" where the reading is too rough to tell."""
        return self.best if self.best == self.worst else f"{self.best} to {self.worst}"


def moved(before: Colour, after: Colour) -> Moved:
    """Return how far one colour has moved, with what the doubt of both readings leaves open.

    The width takes the error of the difference along its own direction: 1.645 times the root of both variances.
    """
    difference = float(difference_1976(before.lab, after.lab))
    width = _NINE_IN_TEN * float(np.hypot(before.sd, after.sd))
    return Moved(difference, width, class_of(max(difference - width, 0.0)), class_of(difference + width))


class CourseError(ValueError):
    """A reading that cannot follow what was read before; `field` names what is wrong with it."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Exposed:
    """One look at a test: on which day, after how much, in hours or as the number of a blue wool reference."""

    on: date
    exposure: str
    """ "hours" or "blue wool"."""
    amount: int


HOURS, BLUE_WOOL = "hours", "blue wool"


def check_course(started_on: date, looks: Sequence[Exposed], today: date) -> None:
    """Refuse readings in their order that cannot be: CourseError names the field, the value and the remedy."""
    before: Exposed | None = None
    for look in looks:
        _check_look(started_on, look, today)
        if before is not None and look.on < before.on:
            raise CourseError("on", f"{_day(look.on)} is before the last reading of {_day(before.on)}: check the day.")
        before = look
    for kind in (HOURS, BLUE_WOOL):
        for earlier, later in pairwise([look for look in looks if look.exposure == kind]):
            if later.amount < earlier.amount:
                raise CourseError(
                    "amount",
                    f"{_exposed(later)} is less than the {_exposed(earlier)} of {_day(earlier.on)}. What is entered "
                    "counts from the first day on: check the figure.",
                )


def _check_look(started_on: date, look: Exposed, today: date) -> None:
    if look.on < started_on:
        raise CourseError("on", f"{_day(look.on)} is before the test began on {_day(started_on)}: check the day.")
    if look.on > today:
        raise CourseError("on", f"{_day(look.on)} is still to come: enter the day on which you looked.")
    if look.amount < 1:
        raise CourseError("amount", f"{_exposed(look)} is no exposure: enter 1 or more.")
    if look.exposure == BLUE_WOOL and look.amount > 8:
        raise CourseError("amount", f"There is no blue wool reference {look.amount}: they run from 1 to 8.")
    most = 24 * ((look.on - started_on).days + 1)
    if look.exposure == HOURS and look.amount > most:
        raise CourseError(
            "amount",
            f"{look.amount} hours are more than there were from {_day(started_on)} to {_day(look.on)} ({most}): check "
            "the hours and the days.",
        )


def _exposed(look: Exposed) -> str:
    return f"{look.amount} hours" if look.exposure == HOURS else f"blue wool {look.amount}"


def _day(on: date) -> str:
    return f"{on:%-d %B %Y}"
