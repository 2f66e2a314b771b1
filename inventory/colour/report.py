"""The evidence as sentences, tables and drawings in plain data, for a page, a sheet or a terminal to set out."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field

from inventory.colour.certainty import PERCENTILE, PHYSICS
from inventory.colour.evidence import Errors, Evidence

# Nine of ten is what an interval means.
MEANT = PERCENTILE / 100.0
# A set of fewer can say little of how often an interval holds.
FEW = 20

PLOT_WIDTH = 340.0
_LABEL_LETTERS = 48
_LINE, _BAR, _GAP = 14.0, 12.0, 10.0
_LEFT, _RIGHT = 2.0, 14.0


@dataclass(frozen=True)
class Table:
    """A table with what must be read beside it."""

    title: str
    note: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Words:
    """A line of text of a drawing, `anchor` start, middle or end; y is its foot."""

    x: float
    y: float
    text: str
    anchor: str = "start"
    soft: bool = False


@dataclass(frozen=True)
class Dot:
    x: float
    y: float
    is_open: bool


@dataclass(frozen=True)
class Plot:
    """A drawing in greys, y downward: bars (x, y, width, height), grid and mark lines (x1, y1, x2, y2), dots, words."""

    key: str
    title: str
    description: str
    height: float
    bars: tuple[tuple[float, float, float, float], ...]
    grid: tuple[tuple[float, float, float, float], ...]
    marks: tuple[tuple[float, float, float, float], ...]
    dots: tuple[Dot, ...]
    words: tuple[Words, ...]
    width: float = PLOT_WIDTH


@dataclass(frozen=True)
class Report:
    """All of it, in the order in which it is read."""

    sentences: tuple[str, ...]
    tables: tuple[Table, ...]
    plots: tuple[Plot, ...]


def report(evidence: Evidence) -> Report:
    return Report(sentences(evidence), tables(evidence), (errors_plot(evidence), intervals_plot(evidence)))


def sentences(evidence: Evidence) -> tuple[str, ...]:
    """What the figures come to, in words; every number in them was computed."""
    told = [one for one in evidence.errors if _shows_a_figure(one)]
    best, worst = min(told, key=lambda one: one.mean), max(told, key=lambda one: one.mean)
    found = [
        _held(told),
        f"The figure spans nine in ten of the curves that a paint may have, with {PHYSICS:.0f} for the error of the "
        "theory itself, which only measured mixtures can show.",
        f"{len(evidence.errors)} check sets with {sum(one.count for one in evidence.errors)} predictions. Differences "
        "are CIEDE2000, which tells how unlike two colours look: about 1 is the least that shows side by side, 10 "
        "shows at a glance. Nothing that predicts a colour for a user reads these figures.",
        f"Where a figure is shown, the mean error runs from {best.mean:.1f} ({best.name}) to {worst.mean:.1f} "
        f"({worst.name}).",
    ]
    few = [one.name for one in told if one.count < FEW]
    if few:
        found.append(f"Few predictions, so that the share is itself unsure: {'; '.join(few)}.")
    failed = [fact for fact in evidence.facts if not fact.holds]
    held = len(evidence.facts) - len(failed)
    found.append(f"{held} of {len(evidence.facts)} facts of the trade come out as painters know them.")
    found.append("Films, glazes and hiding were not held against measured ones: none are among these figures.")
    return tuple(found)


def _held(told: Sequence[Errors]) -> str:
    """How often the figure held: where it fell short set by set, the narrowest first, and in all others together."""
    shares = [(one, round(one.inside_shown * one.count)) for one in sorted(told, key=lambda one: one.inside_shown)]
    short = [f"{held} of {one.count} of {one.name}" for one, held in shares if one.inside_shown < MEANT]
    kept = [(held, one.count) for one, held in shares if one.inside_shown >= MEANT]
    said = ["“Likely within” is meant to hold in nine of ten predictions"]
    if short:
        said.append(f"it held in {'; '.join(short)}, so there it is narrower than nine in ten")
    if kept:
        held, count = (sum(column) for column in zip(*kept, strict=True))
        where = "the other check sets" if short else "all check sets"
        said.append(f"in {where} together it held in {held} of {count}")
    return "; ".join(said) + "."


def tables(evidence: Evidence) -> tuple[Table, ...]:
    errors = tuple(
        (
            one.name,
            str(one.count),
            f"{one.mean:.2f}",
            f"{one.median:.2f}",
            f"{one.p95:.2f}",
            f"{100.0 * one.inside_spread:.0f} %",
            f"{100.0 * one.inside_shown:.0f} %",
            "" if one.expected is None else f"{one.expected:.2f}",
        )
        for one in evidence.errors
    )
    notes = " ".join(dict.fromkeys(one.note for one in evidence.errors))
    curves = tuple(
        (
            one.name,
            str(one.count),
            f"{one.k_factor:.2f}",
            f"{one.s_factor:.2f}",
            f"{100.0 * one.k_inside:.0f} %",
            f"{100.0 * one.s_inside:.0f} %",
        )
        for one in evidence.curves
    )
    facts = tuple((one.name, one.quantity, one.value, "yes" if one.holds else "no") for one in evidence.facts)
    reported = tuple(
        (one.known, *(f"{mean:.2f} / {p95:.1f}" for mean, p95 in (one.tints, one.pairs, one.pairs_with_white)))
        for one in evidence.reported
    )
    return (
        Table(
            "Errors and how often the interval held",
            f"CIEDE2000. {notes} 95th percentile: nineteen in twenty are off by less. “Draws held”: how often the "
            "curves that a paint may have were enough; “shown held”: with the error of the theory, as pages show it; "
            "90 % is meant. “Reported”: the mean that the method’s own report gives for a like set. “Own pigment "
            "barred”: worked without the code and without every curve of the same pigment.",
            ("Check set", "Count", "Mean", "Median", "95th percentile", "Draws held", "Shown held", "Reported"),
            errors,
        ),
        Table(
            "Recovered curves against true ones",
            "K is absorption and S scattering. A factor of 1 is right; at 450, 550 and 650 nm. Held: the true value "
            "lies within 5 to 95 % of the draws.",
            ("Curves", "Paints", "K off by a factor", "S off by a factor", "K held", "S held"),
            curves,
        ),
        Table(
            "Facts of the trade",
            "Common practice, no source; worked from labels and two colours of each acrylic.",
            ("Fact", "As a number", "Came out", "Holds"),
            facts,
        ),
        Table(
            "What was found once against full curves",
            "Mean / 95th percentile of CIEDE2000, worked with another program of the method; the full curves are not "
            "kept, so these cannot be worked again here.",
            ("What is known of the paints", "Tints", "Pairs", "Pairs with white"),
            reported,
        ),
    )


def errors_plot(evidence: Evidence) -> Plot:
    """Mean as a bar, median as a line across it, 95th percentile as a dot, and the reported mean as a ring."""
    drawing = _Drawing(max(one.p95 for one in evidence.errors), 5.0, "{:.0f}")
    for one in evidence.errors:
        top = drawing.row(f"{one.name} ({one.count})")
        drawing.bar(top, one.mean)
        drawing.mark(top, one.median)
        drawing.dot(top, one.p95)
        if one.expected is not None:
            drawing.dot(top, one.expected, is_open=True)
    return drawing.plot(
        "errors",
        "Errors of each check set, CIEDE2000",
        "In brackets: predictions. Bar: mean. Line: median. Dot: 95th percentile. Ring: the mean that the method’s own "
        "report gives.",
    )


def intervals_plot(evidence: Evidence) -> Plot:
    """The share of predictions inside the interval shown as a bar, that inside the draws alone as a ring."""
    drawing = _Drawing(100.0, 10.0, "{:.0f} %", label_each=5)
    for one in evidence.errors:
        top = drawing.row(one.name)
        drawing.bar(top, 100.0 * one.inside_shown)
        drawing.dot(top, 100.0 * one.inside_spread, is_open=True)
        drawing.mark(top, 100.0 * MEANT)
    return drawing.plot(
        "intervals",
        "How often the interval held, in percent",
        "Bar: the interval as shown. Ring: the curves’ own, without the error of the theory. Line: 90 %, which is "
        "meant.",
    )


def as_text(evidence: Evidence, width: int = 100) -> str:
    """The report for a terminal: sentences, then each table with a line for each figure."""
    made = report(evidence)
    lines = [textwrap.fill(sentence, width) for sentence in made.sentences]
    for table in made.tables:
        lines += ["", table.title.upper(), textwrap.fill(table.note, width)]
        for row in table.rows:
            pairs = [f"{head}: {cell}" for head, cell in zip(table.heads[1:], row[1:], strict=True) if cell]
            lines += [
                "",
                textwrap.fill(row[0], width),
                textwrap.fill("; ".join(pairs), width, initial_indent="  ", subsequent_indent="  "),
            ]
    return "\n".join(lines) + "\n"


def _shows_a_figure(one: Errors) -> bool:
    return "no figure is shown" not in one.name


@dataclass
class _Drawing:
    """Rows of bars below one another on one scale from 0 to at least `most`."""

    most: float
    step: float
    label: str
    label_each: int = 1
    y: float = 0.0
    bars: list[tuple[float, float, float, float]] = field(default_factory=list)
    marks: list[tuple[float, float, float, float]] = field(default_factory=list)
    dots: list[Dot] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def row(self, label: str) -> float:
        """Begin a row and return the top of its bar."""
        for line in textwrap.wrap(label, _LABEL_LETTERS):
            self.y += _LINE
            self.words.append(Words(_LEFT, round(self.y - 3.0, 2), line))
        top = self.y
        self.y += _BAR + _GAP
        return top

    def bar(self, top: float, value: float) -> None:
        self.bars.append((_LEFT, round(top, 2), round(self._x(value) - _LEFT, 2), _BAR))

    def mark(self, top: float, value: float) -> None:
        x = self._x(value)
        self.marks.append((x, round(top - 2.0, 2), x, round(top + _BAR + 2.0, 2)))

    def dot(self, top: float, value: float, *, is_open: bool = False) -> None:
        self.dots.append(Dot(self._x(value), round(top + _BAR / 2.0, 2), is_open))

    def plot(self, key: str, title: str, description: str) -> Plot:
        grid, words = [], list(self.words)
        steps = self._steps()
        for number in range(steps + 1):
            x = self._x(number * self.step)
            grid.append((x, 0.0, x, round(self.y, 2)))
            if number % self.label_each == 0:
                anchor = "start" if number == 0 else "end" if number == steps else "middle"
                words.append(Words(x, round(self.y + _LINE, 2), self.label.format(number * self.step), anchor, True))
        return Plot(
            key, title, description, round(self.y + _LINE + 6.0, 2), tuple(self.bars), tuple(grid), tuple(self.marks),
            tuple(self.dots), tuple(words),
        )  # fmt: skip

    def _steps(self) -> int:
        return max(1, int(-(-self.most // self.step)))

    def _x(self, value: float) -> float:
        room = PLOT_WIDTH - _LEFT - _RIGHT
        return round(_LEFT + room * value / (self._steps() * self.step), 2)
