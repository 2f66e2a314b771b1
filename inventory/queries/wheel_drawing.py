"""The wheel as shapes for an SVG: arcs of rings, the limit, and the tubes as drops outside the rim.

Lengths are in units of the drawing, whose centre is 0, 0. The greatest limit of the value level lies RIM from it, and
chroma goes with the radius, so that areas are true within one level. Hue 0 is to the right and hues run
counter-clockwise, as a*, b* are drawn.
"""

from collections.abc import Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin

import numpy as np

from inventory.colour.chart import Cell, Drop, fills, sectors
from inventory.colour.palette import NEUTRAL_MOST_CHROMA
from inventory.colour.reach import Reach
from inventory.colour.wheel import HUE_NAMES, HUES, SECTOR_WIDTH, VALUE_LEVELS, colour_limit, munsell_name, value_word

RIM = 100.0
DROP_RADIUS = 112.0
NUMBER_RADIUS = 124.5
WORD_RADIUS = 136.0
# Drops closer than this (degrees) are moved apart; more than these do not fit round the rim.
DROP_ROOM = 8.5
MOST_DROPS = 60
# A smaller difference in chroma is not drawn.
TOLD_CHROMA = 1.0


@dataclass(frozen=True)
class Piece:
    """A ring of a sector that is reached, in its own colour."""

    d: str
    hex: str


@dataclass(frozen=True)
class DrawnDrop:
    """A tube at the rim: `turn` rotates a drop that points to the left from its place; lines lead to what it holds."""

    number: int
    name: str
    hex: str
    x: float
    y: float
    turn: float
    number_x: float
    number_y: float
    lines: str
    holds: bool


@dataclass(frozen=True)
class Word:
    """A family of hues, in one or two lines, outside the rim."""

    lines: tuple[str, ...]
    x: float
    y: float
    anchor: str


@dataclass(frozen=True)
class Drawing:
    """All shapes of one wheel at one value level.

    `outline` is what is not reached, `held` the edge of what one tube alone holds up, `opened` what is newly reached.
    """

    level: int
    value: str
    pieces: tuple[Piece, ...]
    outline: str
    limit: str
    held: str
    opened: str
    drops: tuple[DrawnDrop, ...]
    neutrals: tuple[DrawnDrop, ...]
    words: tuple[Word, ...]
    left_off: int


@dataclass(frozen=True)
class Wedge:
    """A whole sector as a place to click, with what it is called."""

    hue: int
    d: str
    label: str


@dataclass(frozen=True)
class SmallWheel:
    """A value level as a small wheel: each sector up to the chroma reached."""

    level: int
    value: str
    pieces: tuple[Piece, ...]
    limit: str


def numbered(drops: Iterable[Drop]) -> tuple[Drop, ...]:
    """The tubes in the order of their numbers: round the wheel from red, and the neutrals last."""
    return tuple(sorted(drops, key=lambda drop: (is_neutral(drop), drop.hue, drop.name)))


def draw(reached: Reach, level: int, drops: Iterable[Drop] = (), before: Reach | None = None) -> Drawing:
    """The wheel at a value level, with its tubes; `before` marks what is reached now and was not."""
    cells = sectors(reached, level)
    tubes = numbered(drops)
    numbers = {drop.id: number for number, drop in enumerate(tubes, start=1)}
    coloured = [drop for drop in tubes if not is_neutral(drop)]
    shown = _most_telling(coloured, level)
    return Drawing(
        level=level,
        value=value_word(level),
        pieces=tuple(
            Piece(_ring(cell, r.chroma_from, r.chroma_to), r.hex) for cell in cells for r in cell.rings if r.reached
        ),
        outline=" ".join(
            _ring(cell, r.chroma_from, r.chroma_to) for cell in cells for r in cell.rings if not r.reached
        ),
        limit=_outline(level),
        held=" ".join(_arcs(reached, level, shown)),
        opened="" if before is None else _opened(cells, sectors(before, level)),
        drops=tuple(_drawn(drop, angle, numbers, reached, level) for drop, angle in _apart(shown)),
        neutrals=_neutrals([drop for drop in tubes if is_neutral(drop)], numbers),
        words=_words(),
        left_off=len(coloured) - len(shown),
    )


def wedges(reached: Reach, level: int) -> tuple[Wedge, ...]:
    """Each sector from the centre out to its limit, or to what is reached if that is more."""
    return tuple(
        Wedge(
            round(cell.hue),
            _ring(cell, 0.0, max(cell.limit, cell.chroma)),
            f"{munsell_name(cell.hue, level)}, {cell.label}",
        )
        for cell in sectors(reached, level)
    )


def fallen(reached: Reach, level: int, place: int) -> str:
    """The outline of what falls away at a value level without the tube at this place of the palette; "" for nothing."""
    row = VALUE_LEVELS.index(level)
    whole, left = reached.chroma[row], reached.without[place, row]
    lost = np.flatnonzero(whole - left > TOLD_CHROMA)
    return " ".join(_ring_at(float(HUES[i]), level, float(left[i]), float(whole[i])) for i in lost)


def small(reached: Reach, level: int) -> SmallWheel:
    """The same without rings and tubes, to choose a level by."""
    row = VALUE_LEVELS.index(level)
    pieces = tuple(
        Piece(_ring_at(hue, level, 0.0, chroma), fill)
        for hue, chroma, fill in zip(HUES.tolist(), reached.chroma[row].tolist(), fills(reached, level), strict=True)
        if chroma > 0.0
    )
    return SmallWheel(level, value_word(level), pieces, _outline(level))


def rim_angles(drops: Iterable[Drop], level: int) -> dict[Hashable, float]:
    """Where round the rim each tube with a hue is drawn, in degrees; those that do not fit are left out."""
    coloured = [drop for drop in numbered(drops) if not is_neutral(drop)]
    return {drop.id: angle for drop, angle in _apart(_most_telling(coloured, level))}


def is_neutral(drop: Drop) -> bool:
    return drop.chroma < NEUTRAL_MOST_CHROMA


def _point(hue: float, radius: float) -> tuple[float, float]:
    angle = radians(hue)
    return round(radius * cos(angle), 2), round(-radius * sin(angle), 2)


def _at(hue: float, radius: float) -> str:
    x, y = _point(hue, radius)
    return f"{x:g} {y:g}"


def radius(chroma: float, level: int) -> float:
    return RIM * chroma / _most(level)


@cache
def _most(level: int) -> float:
    return float(colour_limit()[VALUE_LEVELS.index(level)].max())


def _ring(cell: Cell, low: float, high: float) -> str:
    return _ring_at(cell.hue, cell.level, low, high)


def _ring_at(hue: float, level: int, low: float, high: float) -> str:
    first, last = hue - SECTOR_WIDTH / 2.0, hue + SECTOR_WIDTH / 2.0
    inner, outer = radius(low, level), radius(high, level)
    out = f"M{_at(first, inner)}L{_at(first, outer)}A{outer:.2f} {outer:.2f} 0 0 0 {_at(last, outer)}"
    back = "Z" if inner < 0.01 else f"L{_at(last, inner)}A{inner:.2f} {inner:.2f} 0 0 1 {_at(first, inner)}Z"
    return out + back


def _edge(hue: float, radius: float) -> str:
    first, last = hue - SECTOR_WIDTH / 2.0, hue + SECTOR_WIDTH / 2.0
    return f"{_at(first, radius)}A{radius:.2f} {radius:.2f} 0 0 0 {_at(last, radius)}"


@cache
def _outline(level: int) -> str:
    """The limit as a closed line that steps from sector to sector."""
    limit = colour_limit()[VALUE_LEVELS.index(level)].tolist()
    return "M" + "L".join(_edge(hue, radius(most, level)) for hue, most in zip(HUES.tolist(), limit, strict=True)) + "Z"


def _opened(after: tuple[Cell, ...], before: tuple[Cell, ...]) -> str:
    """The outline of what one set of cells reaches beyond another, by more than one in chroma."""
    return " ".join(
        _ring(new, old.chroma, new.chroma)
        for new, old in zip(after, before, strict=True)
        if new.chroma - old.chroma > TOLD_CHROMA
    )


def _runs(hues: Collection[float]) -> list[list[float]]:
    """Neighbouring sectors as runs, across hue 0 too."""
    runs: list[list[float]] = []
    for hue in sorted(hues):
        if runs and hue - runs[-1][-1] == SECTOR_WIDTH:
            runs[-1].append(hue)
        else:
            runs.append([hue])
    if len(runs) > 1 and runs[0][0] == 0.0 and runs[-1][-1] == 360.0 - SECTOR_WIDTH:
        runs[0] = runs.pop() + runs[0]
    return runs


def _held_here(drop: Drop, level: int) -> list[float]:
    return [hue for at, hue in drop.holds if at == level]


def _height(reached: Reach, level: int, hue: float) -> float:
    return float(reached.chroma[VALUE_LEVELS.index(level), round(hue / SECTOR_WIDTH) % len(HUES)])


def _arcs(reached: Reach, level: int, drops: Iterable[Drop]) -> list[str]:
    """A heavy edge along what a tube alone holds up."""
    runs = {tuple(run) for drop in drops for run in _runs(_held_here(drop, level))}
    return [
        "M" + "L".join(_edge(hue, radius(_height(reached, level, hue), level)) for hue in run) for run in sorted(runs)
    ]


def _most_telling(drops: list[Drop], level: int) -> list[Drop]:
    """As many as fit round the rim: those that hold something up here first, then the most vivid."""
    order = sorted(drops, key=lambda drop: (-len(_held_here(drop, level)), -drop.chroma))
    kept = {drop.id for drop in order[:MOST_DROPS]}
    return [drop for drop in drops if drop.id in kept]


def _apart(drops: list[Drop]) -> list[tuple[Drop, float]]:
    """Each drop with the angle it is drawn at: its hue, moved no more than its neighbours need."""
    if not drops:
        return []
    angles = np.array([drop.hue for drop in drops])
    room = min(DROP_ROOM, 350.0 / len(drops))
    if len(drops) > 1:
        for _ in range(400):
            following = np.append(angles[1:], angles[0] + 360.0)
            push = np.maximum(0.0, room - (following - angles)) / 2.0
            if push.max() < 0.05:
                break
            angles = angles - 0.9 * push + 0.9 * np.roll(push, 1)
    return [(drop, float(angle)) for drop, angle in zip(drops, angles, strict=True)]


def _drawn(drop: Drop, angle: float, numbers: Mapping[Hashable, int], reached: Reach, level: int) -> DrawnDrop:
    x, y = _point(angle, DROP_RADIUS)
    number_x, number_y = _point(angle, NUMBER_RADIUS)
    held = _held_here(drop, level)
    tip = _at(angle, DROP_RADIUS - 9.0)
    middles = [run[len(run) // 2] for run in _runs(held)]
    lines = "".join(f"M{tip}L{_at(hue, radius(_height(reached, level, hue), level))}" for hue in middles)
    turn = round(-angle % 360.0, 1)
    return DrawnDrop(numbers[drop.id], drop.name, drop.hex, x, y, turn, number_x, number_y, lines, bool(held))


def _neutrals(drops: list[Drop], numbers: Mapping[Hashable, int]) -> tuple[DrawnDrop, ...]:
    """Whites, greys and blacks have no hue: they stand in a row below."""
    return tuple(
        DrawnDrop(numbers[drop.id], drop.name, drop.hex, 26.0 * place, 0.0, 0.0, 26.0 * place + 8.0, 3.5, "", False)
        for place, drop in enumerate(drops)
    )


@cache
def _words() -> tuple[Word, ...]:
    found = []
    for name in HUE_NAMES:
        x, y = _point((name.start + name.end) / 2.0, WORD_RADIUS)
        first, dash, rest = name.word.partition("-")
        anchor = "middle" if abs(x) < WORD_RADIUS / 3.0 else "start" if x > 0.0 else "end"
        if anchor == "middle" and y > 0.0:
            y += 7.0  # two lines run downward, away from the numbers
        found.append(Word((first + dash, rest) if dash else (first,), x, y, anchor))
    return tuple(found)
