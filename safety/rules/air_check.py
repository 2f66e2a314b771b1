"""One question about solvent in a room's air, answered with its formulas, its curve and what it is held against.

A screening estimate for an ideally mixed room, not an exposure assessment. Of a liquid that has ranges, the end that
gives more vapour, or the earlier fire, is taken.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from safety.rules import ventilation as air

CURVE_STEPS = 24
LEFT_AFTER = (0.1, 0.01)  # shares of the highest concentration that the purge table tells


@dataclass(frozen=True)
class Span:
    """A figure of a liquid, lowest and highest, and whose word it is."""

    low: float
    high: float
    source: str

    @property
    def words(self) -> str:
        return figure(self.low) if self.low == self.high else f"{figure(self.low)} to {figure(self.high)}"


@dataclass(frozen=True)
class Liquid:
    """What is known of a solvent. None: not known.

    Molar mass in g/mol, density in g/ml, vapour pressure in kPa at `vapour_at_c` (None: at the room's temperature),
    flash point in degrees Celsius, lower explosive limit in percent of the air's volume.
    """

    name: str
    molar_mass: Span
    density: Span | None = None
    vapour_pressure: Span | None = None
    vapour_at_c: float | None = None
    flash_point: Span | None = None
    explosive: Span | None = None


@dataclass(frozen=True)
class Question:
    """What is asked: the room, what evaporates in it and for how long."""

    volume_m3: float
    fresh_air_m3_h: float
    liquid: Liquid
    mass_mg: float
    time_h: float
    temperature_c: float
    mixing_factor: float = 1.0

    @property
    def source_mg_h(self) -> float:
        return self.mass_mg / self.time_h

    @property
    def room(self) -> dict[str, float]:
        return {
            "fresh_air_m3_h": self.fresh_air_m3_h,
            "volume_m3": self.volume_m3,
            "mixing_factor": self.mixing_factor,
        }


@dataclass(frozen=True)
class Level:
    """A concentration in both units, held down to what the air can hold."""

    mg_m3: float
    ppm: float
    saturated: bool = False
    worked_ppm: float = 0.0

    @property
    def words(self) -> str:
        return f"{figure(self.mg_m3)} mg/m³, {figure(self.ppm)} ppm"

    def in_unit(self, unit: str) -> float:
        """The concentration in ppm, mg/m3 or ug/m3."""
        return {"ppm": self.ppm, "mg/m3": self.mg_m3, "ug/m3": self.mg_m3 * 1000}[unit]


@dataclass(frozen=True)
class Point:
    minutes: float
    level: Level


@dataclass(frozen=True)
class Step:
    """A formula, the same with its numbers, and what comes out."""

    title: str
    formula: str
    numbers: str
    result: str


@dataclass(frozen=True)
class Fall:
    to: str
    hours: float

    @property
    def words(self) -> str:
        return duration(self.hours)


@dataclass(frozen=True)
class Answer:
    question: Question
    molar_volume: float
    changes_h: float
    steady: Level | None
    highest: Level
    at_once: Level
    saturation: Level | None
    saturation_words: str
    curve: tuple[Point, ...]
    falls: tuple[Fall, ...]
    steps: tuple[Step, ...]
    fire: tuple[str, ...]


def answer(question: Question, *, purge_to_mg_m3: float | None = None) -> Answer:
    """Work the question out. ValueError, from safety.rules.ventilation, for a figure that cannot be."""
    volume = air.molar_volume_l_mol(question.temperature_c)
    saturation, why = _saturation(question, volume)

    def level(mg_m3: float) -> Level:
        return _level(mg_m3, question.liquid, volume, saturation)

    source, room = question.source_mg_h, question.room
    steady_mg = air.steady_mg_m3(source, question.fresh_air_m3_h, mixing_factor=question.mixing_factor)
    steady = level(steady_mg) if math.isfinite(steady_mg) else None
    highest_mg = air.concentration_mg_m3(question.time_h, source_mg_h=source, **room)
    highest = level(highest_mg)
    at_once = level(air.all_at_once_mg_m3(question.mass_mg, question.volume_m3))
    falls = [
        Fall(f"{figure(share * 100)} % of the highest", air.purge_h(1.0, share, **room))
        for share in LEFT_AFTER
        if highest.mg_m3 > 0
    ]
    if purge_to_mg_m3 is not None:
        chosen = air.purge_h(highest.mg_m3, purge_to_mg_m3, **room)
        falls.append(Fall(f"{figure(purge_to_mg_m3)} mg/m³, as asked", chosen))
    return Answer(
        question=question,
        molar_volume=volume,
        changes_h=air.air_changes_h(question.fresh_air_m3_h, question.volume_m3),
        steady=steady,
        highest=highest,
        at_once=at_once,
        saturation=saturation,
        saturation_words=why,
        curve=tuple(_curve(question, highest.mg_m3, level)),
        falls=tuple(falls),
        steps=tuple(_steps(question, volume, steady_mg, highest_mg, at_once)),
        fire=tuple(_fire(question, highest, at_once)),
    )


def _saturation(question: Question, volume: float) -> tuple[Level | None, str]:
    """What the air can hold at most, where that can be said, and the sentence about it."""
    pressure, at = question.liquid.vapour_pressure, question.liquid.vapour_at_c
    if pressure is None:
        return None, "The vapour pressure is not known here, so no upper bound is drawn from it."
    told = f"vapour pressure {pressure.words} kPa" + ("" if at is None else f" at {figure(at)} °C")
    if at is not None and question.temperature_c > at:
        return None, (
            f"The {told} is for cooler air than the room's {figure(question.temperature_c)} °C. Warm air holds more, "
            "so no upper bound is drawn from it: type the vapour pressure at the room's temperature from the maker's "
            "sheet."
        )
    parts = air.saturation_ppm(pressure.high)
    mass = air.mg_m3(parts, molar_mass_g_mol=question.liquid.molar_mass.high, molar_volume=volume)
    cooler = at is not None and question.temperature_c < at
    words = f"Air can hold at most {figure(parts)} ppm by the {told} over the air's {air.ATMOSPHERE_KPA:g} kPa"
    return Level(mass, parts), words + ("; in this cooler room somewhat less." if cooler else ".")


def _level(mg_m3: float, liquid: Liquid, volume: float, saturation: Level | None) -> Level:
    parts = air.ppm(mg_m3, molar_mass_g_mol=liquid.molar_mass.low, molar_volume=volume)
    found = air.capped_ppm(parts, saturation.ppm if saturation else None)
    if saturation and found.saturated:
        return Level(min(mg_m3, saturation.mg_m3), saturation.ppm, saturated=True, worked_ppm=parts)
    return Level(mg_m3, parts, worked_ppm=parts)


def _curve(question: Question, highest_mg: float, level: Callable[[float], Level]) -> Iterable[Point]:
    """Up while it evaporates, then down for as long again with the source gone."""
    source, room = question.source_mg_h, question.room
    for step in range(CURVE_STEPS + 1):
        hours = question.time_h * step / CURVE_STEPS
        mg_m3 = air.concentration_mg_m3(hours, source_mg_h=source, **room)
        yield Point(hours * 60, level(mg_m3))
    for step in range(1, CURVE_STEPS + 1):
        hours = question.time_h * step / CURVE_STEPS
        mg_m3 = air.concentration_mg_m3(hours, source_mg_h=0.0, start_mg_m3=highest_mg, **room)
        yield Point((question.time_h + hours) * 60, level(mg_m3))


def _steps(question: Question, volume: float, steady: float, highest: float, at_once: Level) -> Iterable[Step]:
    source, flow = figure(question.source_mg_h), figure(question.fresh_air_m3_h)
    room, factor = figure(question.volume_m3), figure(question.mixing_factor)
    hours, mass = figure(question.time_h), figure(question.mass_mg)
    rate = question.fresh_air_m3_h / question.mixing_factor / question.volume_m3
    yield Step("Source", "G = m / t", f"{mass} mg / {hours} h", f"{source} mg/h")
    if question.fresh_air_m3_h > 0:
        yield Step(
            "Steady state",
            "C = K G / Q",
            f"{factor} × {source} mg/h / {flow} m³/h",
            f"{figure(steady)} mg/m³ in the end",
        )
        yield Step(
            "Build-up",
            "C(t) = K G / Q × (1 − exp(−n t)), n = Q / (K V)",
            f"{figure(steady)} × (1 − exp(−{figure(rate)} × {hours} h)), n = {flow} / ({factor} × {room})",
            f"{figure(highest)} mg/m³ after {duration(question.time_h)}",
        )
        yield Step(
            "Purge",
            "t = K V / Q × ln(C0 / C)",
            f"{factor} × {room} m³ / {flow} m³/h × ln(100)",
            f"{duration(air.purge_h(1.0, 0.01, **question.room))} to a hundredth",
        )
    else:
        yield Step(
            "Build-up without fresh air",
            "C(t) = G t / V",
            f"{source} mg/h × {hours} h / {room} m³",
            f"{figure(highest)} mg/m³ after {duration(question.time_h)}; it grows as long as the source lasts",
        )
    worked = question.mass_mg / question.volume_m3
    yield Step("All of it at once, room closed", "C = m / V", f"{mass} mg / {room} m³", f"{figure(worked)} mg/m³")
    molar = figure(question.liquid.molar_mass.low)
    yield Step(
        "To parts per million",
        "ppm = C × Vm / M, Vm = R T / p",
        f"{figure(highest)} mg/m³ × {volume:.2f} l/mol / {molar} g/mol, at {figure(question.temperature_c)} °C and "
        f"{air.ATMOSPHERE_KPA:g} kPa",
        f"{figure(highest * volume / question.liquid.molar_mass.low)} ppm",
    )


def _fire(question: Question, highest: Level, at_once: Level) -> Iterable[str]:
    """The flash point against the room, and the estimate against the lower explosive limit."""
    flash, lower = question.liquid.flash_point, question.liquid.explosive
    room = f"The room has {figure(question.temperature_c)} °C"
    if flash is None:
        yield "The flash point is not known here: treat it as one that can catch fire, and read the maker's sheet."
    elif question.temperature_c >= flash.low:
        yield (
            f"{room}, at or above the flash point of {flash.words} °C: over the open liquid there is enough vapour to "
            "catch fire at a spark or a flame."
        )
    else:
        yield (
            f"{room}, below the flash point of {flash.words} °C. On a warm surface, as a mist or on a rag it can "
            "catch fire below it."
        )
    if lower is None:
        yield "The lower explosive limit is not known here."
        return
    limit = lower.low * 1e4
    for name, level in (("highest of this estimate", highest), ("whole amount at once", at_once)):
        share = level.ppm / limit * 100
        word = "at or above" if share >= 100 else f"{figure(share)} % of"
        yield f"The {name}, {figure(level.ppm)} ppm, is {word} the lower explosive limit of {lower.words} %."
    yield "Close to the liquid there is always more: the whole room can be far below the limit and the jar above it."


def against(level: Level, limit: float, unit: str) -> str:
    """Say how an estimate stands to a quoted limit, never more than an estimate can."""
    if level.in_unit(unit) > limit:
        return f"above the quoted limit in this estimate; it is {air.SCREENING}"
    return f"below the quoted limit in this estimate; it is {air.SCREENING}"


def needed_air(question: Question, limit: float, unit: str) -> float:
    """The fresh air, in m3/h, that would hold the steady state of this source at the limit."""
    volume = air.molar_volume_l_mol(question.temperature_c)
    mass = question.liquid.molar_mass.low
    as_mg = {
        "ppm": lambda: air.mg_m3(limit, molar_mass_g_mol=mass, molar_volume=volume),
        "mg/m3": lambda: limit,
        "ug/m3": lambda: limit / 1000,
    }[unit]()
    return air.needed_air_m3_h(question.source_mg_h, as_mg, mixing_factor=question.mixing_factor)


@dataclass(frozen=True)
class Drawing:
    """The curve in the units of a drawing, y downwards, and what its axes say."""

    path: str
    stop_x: float
    top: str
    minutes: str


def drawing(curve: Sequence[Point], *, width: float, height: float) -> Drawing:
    """Return the curve as the points of an SVG polyline in a box of `width` by `height`."""
    last = curve[-1].minutes
    top = max(point.level.mg_m3 for point in curve) or 1.0
    points = (f"{point.minutes / last * width:.1f},{height - point.level.mg_m3 / top * height:.1f}" for point in curve)
    return Drawing(" ".join(points), width / 2, figure(top), figure(last))


def figure(value: float) -> str:
    """Three significant digits, without an exponent: what an estimate is worth."""
    if not math.isfinite(value):
        return "without end"
    if value == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{float(f'{value:.3g}'):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def duration(hours: float) -> str:
    """A time as people say it: 35 min, 2 h 10 min."""
    if not math.isfinite(hours):
        return "never without fresh air"
    minutes = round(hours * 60)
    if minutes < 1:
        return "at once" if hours == 0 else "under a minute"
    whole, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{whole} h" if whole else "", f"{rest} min" if rest else "") if part)
