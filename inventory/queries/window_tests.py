"""The studio's own window tests: how far each swatch has moved, in figures, in words and as a drawing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, QuerySet

from inventory.colour.appearance import srgb
from inventory.colour.fading import CLASSES, EXPOSURE_MJ, LIMITS, Colour, Moved, moved
from inventory.models import Exposure, LightReading, LightTest
from studio.models import Studio

# The plot: so many units across and down, with the words around it.
ACROSS, DOWN = 300, 120
NOT_A_RATING = (
    "This is a test of this studio and no ASTM rating. The classes I to V are those of ASTM D4303 for a difference in "
    f"colour (CIE 1976); that test ends after a fixed exposure, {EXPOSURE_MJ} MJ/m² of sunlight behind glass, and a "
    "window gives whatever it gives. The limits are from memory; check them against the standard before you rely on "
    "one."
)


def tests(studio: Studio) -> "QuerySet[LightTest]":
    """The window tests of a studio, with their readings in order; two queries once read."""
    standing = LightReading.objects.select_related("by").order_by("on", "pk")
    found = LightTest.objects.filter(paint__studio=studio).select_related("paint", "by")
    return found.prefetch_related(Prefetch("readings", standing))


@dataclass(frozen=True)
class Look:
    """One reading as it is shown."""

    reading: LightReading
    moved: Moved
    days: int
    hex: str

    @property
    def exposure_words(self) -> str:
        amount = self.reading.amount
        if self.reading.exposure == Exposure.HOURS:
            return f"{amount} hour{'' if amount == 1 else 's'} of daylight"
        return f"blue wool {amount} has faded"

    @property
    def difference_words(self) -> str:
        width = f" ± {self.moved.width:.1f}" if self.moved.width else ""
        return f"{self.moved.difference:.1f}{width}"


@dataclass(frozen=True)
class Plot:
    """Colour difference over days, worked out to the coordinates of the drawing."""

    line: str
    points: list[tuple[float, float]]
    bars: str
    limits: list[tuple[float, str]]
    ticks: list[tuple[float, str]]
    days: list[tuple[float, str]]
    description: str


@dataclass(frozen=True)
class TestNow:
    """A window test as it stands: its readings, and what they say."""

    test: LightTest
    looks: list[Look]
    withdrawn: list[LightReading]
    hex: str

    @property
    def before(self) -> str:
        return _lab_words(self.test.before)

    @property
    def rough(self) -> bool:
        given = [self.test.given, *(look.reading.given for look in self.looks)]
        return any(one.get("rough") for one in given)

    @property
    def last(self) -> Look | None:
        return self.looks[-1] if self.looks else None

    @property
    def farthest(self) -> Look | None:
        """The look at which it was farthest away, where that is not the last one."""
        if len(self.looks) < 2:
            return None
        far = max(self.looks, key=lambda look: look.moved.difference)
        return None if far is self.looks[-1] else far

    @property
    def verdict(self) -> str:
        """What the last reading says. A window never reaches the exposure of the standard for sure: "so far"."""
        last = self.last
        if last is None:
            return "Nobody has looked at it since the first day, so nothing is known yet."
        where = "taken out of the window" if self.test.ended_on else "still in the window"
        return (
            f"Studio test: moved by {last.difference_words} (CIE 1976) after {last.days} "
            f"day{'' if last.days == 1 else 's'}, {last.exposure_words}; the difference is of class "
            f"{last.moved.class_words} so far, {where}."
        )

    @property
    def plot(self) -> Plot | None:
        return _plot(self.looks) if self.looks else None


def tests_now(found: Iterable[LightTest]) -> list[TestNow]:
    """How far each has moved; asks nothing once the readings are at hand."""
    return [test_now(test) for test in found]


def test_now(test: LightTest) -> TestNow:
    readings = list(test.readings.all())
    before = _colour(test.before, test.given)
    looks = [
        Look(
            one,
            moved(before, _colour(one.after, one.given)),
            (one.on - test.started_on).days,
            srgb(one.after).hex,
        )
        for one in readings
        if one.withdrawn_at is None
    ]
    return TestNow(test, looks, [one for one in readings if one.withdrawn_at is not None], srgb(test.before).hex)


def _colour(lab: Sequence[float], given: dict[str, Any]) -> Colour:
    L, a, b = (float(value) for value in lab)
    return Colour((L, a, b), float(given.get("sd") or 0.0))


def _lab_words(lab: Sequence[float]) -> str:
    L, a, b = (float(value) for value in lab)
    return f"L* {L:.1f}, a* {a:.1f}, b* {b:.1f}"


def _plot(looks: Sequence[Look]) -> Plot:
    """The course from 0 on the first day; the limits of the classes that fit lie across it."""
    longest = max(1, looks[-1].days)
    most = max(look.moved.difference + look.moved.width for look in looks)
    top = next((limit for limit in (*LIMITS, 40.0, 80.0, 160.0) if most <= limit), 320.0)

    def x(days: int) -> float:
        return round(days / longest * ACROSS, 1)

    def y(difference: float) -> float:
        return round(DOWN - min(max(difference, 0.0), top) / top * DOWN, 1)

    points = [(x(look.days), y(look.moved.difference)) for look in looks]
    path = "".join(f"L{across} {down}" for across, down in points)
    bars = "".join(
        f"M{across} {y(look.moved.difference - look.moved.width)}V{y(look.moved.difference + look.moved.width)}"
        for (across, _), look in zip(points, looks, strict=True)
        if look.moved.width
    )
    ends = [limit for limit in LIMITS if limit <= top]
    bottoms = [0.0, *ends][: len(ends) + (top > LIMITS[-1])]
    tops = [*ends, top][: len(bottoms)]
    limits = [
        (y((low + high) / 2), CLASSES[place]) for place, (low, high) in enumerate(zip(bottoms, tops, strict=True))
    ]
    last = looks[-1]
    return Plot(
        line=f"M0 {DOWN}{path}",
        points=points,
        bars=bars,
        limits=limits,
        ticks=[(y(limit), f"{limit:g}") for limit in (0.0, *ends)],
        days=[(x(days), f"{days}") for days in sorted({0, longest // 2, longest})],
        description=f"{len(looks)} reading{'' if len(looks) == 1 else 's'}; the last, after {last.days} days, lies "
        f"{last.difference_words} from the first day. The table below has every figure.",
    )
