"""Stock over time: what stood on the shelf at the end of each day, and where its line runs in a plot."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from inventory.stock.amounts import exact
from inventory.stock.plots import BOTTOM, DASHES, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Plot, PlotLine, with_letters_apart

Level = tuple[date, int]
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# What a letter at the end of a line takes.
_END = 20


def levels(changes: Iterable[Level], since: date | None = None) -> list[Level]:
    """Return what there was at the end of each day on which something changed.

    Parameters
    ----------
    changes : iterable of (day, thousandths)
        Earliest first, as the ledger has them.
    since : date, optional
        Days before are summed into one point on this day.
    """
    found: list[Level] = []
    held = 0
    for day, change in changes:
        held += change
        shown = day if since is None else max(day, since)
        if found and found[-1][0] == shown:
            found.pop()
        found.append((shown, held))
    return found


def at_end_of_months(points: Sequence[Level], until: date, most: int = 24) -> list[Level]:
    """The level at the end of each month that has passed and on `until`, newest first."""
    found: list[Level] = []
    day = until
    while points and day >= points[0][0] and len(found) < most:
        found.append((day, level_on(points, day)))
        day = day.replace(day=1) - timedelta(days=1)
    return found


def level_on(points: Sequence[Level], day: date) -> int:
    """What there was at the end of a day; 0 before the first."""
    return next((level for on, level in reversed(points) if on <= day), 0)


def step_plot(lines: Mapping[str, Sequence[Level]], unit: str, *, until: date) -> Plot:
    """Return the drawing of stock over time: level between two days, a step on the day itself.

    The axis begins at zero, or below where entries that were written late make the books say so.

    Parameters
    ----------
    lines : mapping
        By label, (day, thousandths), earliest first; at least one point in all.

    Raises
    ------
    ValueError
        If there is no point.
    """
    points = [point for line in lines.values() for point in line]
    if not points:
        raise ValueError("a plot needs at least one point")
    first, last = min(day for day, _ in points), max(until, *(day for day, _ in points))
    highest, lowest = max(level for _, level in points), min(0, *(level for _, level in points))
    days, span = max((last - first).days, 1), max(highest - lowest, 1)
    inner, tall = WIDTH - LEFT - RIGHT - _END, HEIGHT - TOP - BOTTOM

    def x(day: date) -> float:
        return round(LEFT + inner * (day - first).days / days, 1)

    def y(level: int) -> float:
        return round(HEIGHT - BOTTOM - tall * (level - lowest) / span, 1)

    drawn = []
    for place, (label, line) in enumerate(lines.items()):
        path: list[tuple[float, float]] = []
        for day, level in line:
            path.append((x(day), path[-1][1] if path else y(0)))
            path.append((x(day), y(level)))
        if not path:
            continue
        path.append((x(last), path[-1][1]))
        drawn.append(
            PlotLine(
                _LETTERS[place % len(_LETTERS)],
                label,
                " ".join(f"{across},{down}" for across, down in path),
                (),
                path[-1],
                DASHES[place % len(DASHES)],
            )
        )
    words = f"Stock in {unit} from {first:%-d %B %Y} to {last:%-d %B %Y}, at most {exact(highest, unit)}"
    return Plot(with_letters_apart(drawn), exact(highest, unit), f"{first:%-d %b %Y}", f"{last:%-d %b %Y}", words)
