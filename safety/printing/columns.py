"""Small print in two columns: lines are broken first, then shared out so that both columns end at one height."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from safety.printing.page import Page
from studio.printing import typeface

GAP = 16.0  # points between the columns


@dataclass(frozen=True)
class Line:
    """One set line. `height` is what it takes of a column; `holds` keeps it together with the line below."""

    text: str
    size: float
    height: float
    indent: float = 0.0
    bold: bool = False
    holds: bool = False
    # Smaller print that goes on behind it on the same line.
    beside: str = ""
    beside_size: float = 0.0
    gap: float = 0.0


def column_width(room: float) -> float:
    return (room - GAP) / 2


def lines_of(
    text: str,
    size: float,
    room: float,
    *,
    indent: float = 0.0,
    bold: bool = False,
    holds: bool = False,
    after: float = 0,
) -> list[Line]:
    """Break a text for a column of this width; `after` points are left below its last line."""
    face = typeface.BOLD if bold else typeface.PLAIN
    broken = typeface.wrap(text, face, size, room - indent)
    last = len(broken) - 1
    # The first line stays with the second: one line alone at the foot of a column reads as a heading.
    return [
        Line(line, size, size * 1.24 + (after if place == last else 0), indent, bold, holds or place == 0 < last)
        for place, line in enumerate(broken)
    ]


def run_in(lead: str, rest: str, size: float, less: float, room: float, *, after: float = 0) -> list[Line]:
    """A bold text and, on the same line as far as it fits, what follows it in smaller print."""
    lines = lines_of(lead, size, room, bold=True)
    if not lines or not rest:
        return lines
    gap = size * 0.4
    last = lines[-1]
    beside = typeface.width(last.text, typeface.BOLD, size) + gap
    words = typeface.one_line(rest).split(" ")
    first = ""
    while words and typeface.width(f"{first} {words[0]}".strip(), typeface.PLAIN, less) <= room - beside:
        first = f"{first} {words.pop(0)}".strip()
    if first:
        lines[-1] = replace(last, beside=first, beside_size=less, gap=gap)
    more = lines_of(" ".join(words), less, room, after=after) if words else []
    if not more:
        lines[-1] = replace(lines[-1], height=lines[-1].height + after)
    return [*(replace(line, holds=True) for line in lines[:-1]), replace(lines[-1], holds=bool(more)), *more]


def balanced(lines: Sequence[Line]) -> tuple[int, float]:
    """Return where the second column begins, and the height of the taller one, at its least."""
    total = sum(line.height for line in lines)
    best, height = len(lines), total
    done = 0.0
    for place, line in enumerate(lines, start=1):
        done += line.height
        taller = max(done, total - done)
        if not line.holds and taller < height:
            best, height = place, taller
    return best, height


def draw(page: Page, lines: Sequence[Line], x: float, top: float, room: float) -> float:
    """Set the lines in two columns below `top`; return the foot of the taller one."""
    cut, height = balanced(lines)
    for column, part in enumerate((lines[:cut], lines[cut:])):
        y = top
        for line in part:
            draw_line(page, line, x + column * (column_width(room) + GAP), y)
            y -= line.height
    return top - height


def draw_line(page: Page, line: Line, x: float, top: float) -> None:
    """Set one line below `top`."""
    left = x + line.indent
    page.text(left, top - line.size, line.text, line.size, bold=line.bold)
    if line.beside:
        face = typeface.BOLD if line.bold else typeface.PLAIN
        beside = left + typeface.width(line.text, face, line.size) + line.gap
        page.text(beside, top - line.size, line.beside, line.beside_size)
