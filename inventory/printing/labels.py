"""Sheets of labels for tubes and places: a QR code that opens the page, and what a person reads. reportlab only.

Sheets are known by their measures alone. Black on white; nothing is printed nearer than PAD to a label's edge, so that
a printer may be a millimetre off.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper, paper
from studio.printing.qr import draw_qr, runs

PAD = 1.5 * MM
# Narrower modules are hard for a phone's camera; our judgement.
FINEST_MODULE_MM = 0.33
LARGEST_QR = 30 * MM
MARK = 3 * MM


@dataclass(frozen=True)
class LabelSheet:
    """How labels lie on a sheet; all in millimetres. `across` and `down` go from one label to the next."""

    key: str
    paper: str
    columns: int
    rows: int
    width: float
    height: float
    across: float
    down: float
    left: float
    top: float

    @property
    def count(self) -> int:
        return self.columns * self.rows

    @property
    def words(self) -> str:
        return f"{self.paper}: {self.count} labels of {self.width:g} x {self.height:g} mm, {self.columns} x {self.rows}"

    def corner(self, place: int, page: Paper) -> tuple[float, float]:
        """The lower left corner of a label in points; places count from 0, by rows from the top left."""
        row, column = divmod(place, self.columns)
        x = (self.left + column * self.across) * MM
        return x, page.height - (self.top + row * self.down + self.height) * MM


def _centred(name: str, columns: int, rows: int, width: float, height: float, gap: float = 0.0) -> LabelSheet:
    """Labels in the middle of the sheet, `gap` millimetres between columns."""
    page = paper(name)
    left = (page.width / MM - columns * width - (columns - 1) * gap) / 2
    top = (page.height / MM - rows * height) / 2
    key = f"{name}-{columns}x{rows}-{width:g}x{height:g}".lower()
    return LabelSheet(key, name, columns, rows, width, height, width + gap, height, round(left, 2), round(top, 2))


# Sizes in which label sheets are commonly cut; common practice, no source.
SHEETS = (
    _centred("A4", 3, 7, 63.5, 38.1, 2.5),
    _centred("A4", 3, 8, 70.0, 37.0),
    _centred("A4", 3, 8, 63.5, 33.9, 2.5),
    _centred("A4", 2, 7, 99.1, 38.1, 2.5),
    _centred("A4", 4, 10, 48.5, 25.4),
    _centred("A4", 4, 12, 45.7, 21.2, 2.5),
    _centred("A4", 5, 13, 38.1, 21.2, 2.5),
    _centred("Letter", 3, 10, 66.7, 25.4, 3.1),
    _centred("Letter", 2, 7, 101.6, 33.9, 4.0),
    _centred("Letter", 2, 5, 101.6, 50.8, 4.0),
)
BY_KEY = {sheet.key: sheet for sheet in SHEETS}


@dataclass(frozen=True)
class Label:
    """What one label says; `address` is what its code opens."""

    address: str
    head: str
    """The largest line, such as the number that the studio gave the tube."""
    name: str
    codes: str = ""
    foot: str = ""


class UnfitLabelError(ValueError):
    """Labels that cannot be printed so; the message names the value and the remedy."""


def module_mm(sheet: LabelSheet, address: str) -> float:
    """The width of one module of the code on a label of this sheet, in millimetres."""
    modules, _ = runs(address)
    return _side(sheet) / MM / modules


def _side(sheet: LabelSheet) -> float:
    return min(sheet.height * MM - 2 * PAD, sheet.width * MM * 0.5, LARGEST_QR)


def pages_of(sheet: LabelSheet, labels: Sequence[Label], start: int = 1) -> Iterator[list[tuple[int, Label]]]:
    """The labels with their places (from 0), sheet by sheet; `start` is the first free label, counted from 1."""
    if not 1 <= start <= sheet.count:
        raise UnfitLabelError(f"This sheet has {sheet.count} labels: begin at one of 1 to {sheet.count}, not {start}.")
    page: list[tuple[int, Label]] = []
    for number, label in enumerate(labels, start=start - 1):
        place = number % sheet.count
        if place == 0 and page:
            yield page
            page = []
        page.append((place, label))
    if page:
        yield page


def render(
    labels: Sequence[Label],
    sheet: LabelSheet,
    *,
    start: int = 1,
    cut_marks: bool = False,
    studio: str = "",
    made_on: date,
) -> bytes:
    """Return the PDF of these labels, begun at label `start` of a sheet that was used in part.

    Raises
    ------
    UnfitLabelError
        If the sheet has no such label, or there is nothing to print.
    """
    if not labels:
        raise UnfitLabelError("There is nothing to print: choose tubes or places first.")
    page = paper(sheet.paper)
    file = BytesIO()
    canvas = open_canvas(file, page, title="Labels", author=studio, subject=sheet.words, made_on=made_on)
    for placed in pages_of(sheet, labels, start):
        for place, label in placed:
            x, y = sheet.corner(place, page)
            _draw(canvas, label, sheet, x, y)
            if cut_marks:
                _draw_marks(canvas, sheet, x, y)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Canvas, label: Label, sheet: LabelSheet, x: float, y: float) -> None:
    side = _side(sheet)
    tall = sheet.height * MM
    draw_qr(canvas, label.address, x + PAD, y + (tall - side) / 2, side)
    left = x + PAD + side + 0.5 * MM
    room = x + sheet.width * MM - PAD - left
    small = max(5.5, min(8.0, tall / 9))
    head = _largest(label.head, typeface.BOLD, room, max(9.0, min(16.0, tall / 5)))
    lines = [(label.head, typeface.BOLD, head)]
    # The size comes first in it; what does not fit beside is left out.
    foot = [(one.rstrip(", "), typeface.PLAIN, small) for one in _wrapped(label.foot, small, room)[:1]]
    codes = [(one, typeface.PLAIN, small) for one in _cut(label.codes, typeface.PLAIN, small, room, 2)]
    taken = (head + (len(foot) + len(codes)) * small) * 1.2
    names = max(1, int((tall - 2 * PAD - taken) / (small * 1.25)))
    lines += [(one, typeface.PLAIN, small) for one in _cut(label.name, typeface.PLAIN, small, room, names)]
    lines += codes + foot
    height = sum(size * 1.2 for _, _, size in lines)
    at = y + tall / 2 + height / 2
    canvas.setFillGray(0)
    for text, face, size in lines:
        at -= size * 1.2
        canvas.setFont(face, size)
        canvas.drawString(left, at + size * 0.25, text)


def _wrapped(text: str, size: float, room: float) -> tuple[str, ...]:
    return typeface.wrap(text, typeface.PLAIN, size, room) if text else ()


def _largest(text: str, face: str, room: float, size: float) -> float:
    """The size, or as much less as it takes to keep the line inside its room."""
    wide = typeface.width(text, face, size)
    return size if wide <= room else size * room / wide


def _cut(text: str, face: str, size: float, room: float, most: int) -> list[str]:
    """At most so many lines; what is left out is told by dots."""
    lines = list(typeface.wrap(text, face, size, room)) if text else []
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and typeface.width(f"{last}\u2026", face, size) > room:
        last = last[:-1]
    return [*lines[: most - 1], f"{last.rstrip()}\u2026"]


def _draw_marks(canvas: Canvas, sheet: LabelSheet, x: float, y: float) -> None:
    """Short lines at the corners, for plain paper that is cut by hand."""
    canvas.setLineWidth(0.3)
    canvas.setStrokeGray(0)
    right, top = x + sheet.width * MM, y + sheet.height * MM
    for across, inward in ((x, 1), (right, -1)):
        for up, upward in ((y, 1), (top, -1)):
            canvas.line(across, up, across + inward * MARK / 2, up)
            canvas.line(across, up, across, up + upward * MARK / 2)
