"""Where the lines of a small plot of prices over time run; a template draws them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from inventory.stock.prices import rounded_money

WIDTH, HEIGHT = 640, 240
LEFT, RIGHT, TOP, BOTTOM = 12, 12, 34, 34
# Lines are told apart in black and white by their dashes and by a letter at their end.
DASHES = ("", "8 4", "2 4", "10 4 2 4", "4 2")
LETTER = 19.0
# A price stands until the next one, so a line goes level and then steps.
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class PlotLine:
    """One line: `points` as SVG takes them, the places of its prices, and where its letter stands."""

    letter: str
    label: str
    points: str
    marks: tuple[tuple[float, float], ...]
    end: tuple[float, float]
    dash: str


@dataclass(frozen=True)
class Plot:
    """A drawing of WIDTH by HEIGHT units; the price axis begins at zero, so that heights may be compared."""

    lines: tuple[PlotLine, ...]
    top_words: str
    first_words: str
    last_words: str
    words: str
    width: int = WIDTH
    height: int = HEIGHT

    @property
    def base(self) -> int:
        return HEIGHT - BOTTOM


def plot(lines: Mapping[str, Sequence[tuple[date, Fraction]]], currency: str, unit: str, *, until: date) -> Plot:
    """Return the drawing of prices over time.

    Parameters
    ----------
    lines : mapping
        By label, (day, price of one unit in the smallest coin), earliest first; at least one price in all.
    until : date
        The right edge, unless a price begins later.

    Raises
    ------
    ValueError
        If there is no price.
    """
    points = [point for line in lines.values() for point in line]
    if not points:
        raise ValueError("a plot needs at least one price")
    first, last = min(day for day, _ in points), max(until, *(day for day, _ in points))
    highest = max(price for _, price in points)
    days = max((last - first).days, 1)
    inner, tall = WIDTH - LEFT - RIGHT - 20, HEIGHT - TOP - BOTTOM

    def x(day: date) -> float:
        return round(LEFT + inner * (day - first).days / days, 1)

    def y(price: Fraction) -> float:
        return round(HEIGHT - BOTTOM - tall * float(price / highest), 1)

    drawn = []
    for place, (label, line) in enumerate(sorted(lines.items())):
        path: list[tuple[float, float]] = []
        for day, price in line:
            if path:
                path.append((x(day), path[-1][1]))
            path.append((x(day), y(price)))
        path.append((x(last), path[-1][1]))
        drawn.append(
            PlotLine(
                _LETTERS[place % len(_LETTERS)],
                label,
                " ".join(f"{across},{down}" for across, down in path),
                tuple((x(day), y(price)) for day, price in line),
                path[-1],
                DASHES[place % len(DASHES)],
            )
        )
    words = f"Price of one {unit} in {currency} from {first:%-d %B %Y} to {last:%-d %B %Y}"
    top = f"{rounded_money(highest, currency)} per {unit}"
    return Plot(with_letters_apart(drawn), top, f"{first:%-d %b %Y}", f"{last:%-d %b %Y}", words)


def with_letters_apart(lines: Sequence[PlotLine]) -> tuple[PlotLine, ...]:
    """Move the letters beside the ends of their lines, and down where two would lie on one another."""
    places: dict[str, float] = {}
    lowest = 0.0
    for line in sorted(lines, key=lambda one: (one.end[1], one.letter)):
        lowest = max(line.end[1] + 5, lowest + LETTER)
        places[line.label] = lowest
    return tuple(replace(line, end=(line.end[0] + 6, places[line.label])) for line in lines)
