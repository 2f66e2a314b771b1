"""A count sheet on paper: numbered lines with boxes to tick and room to write, to be typed back by tube number."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import Paper, paper

SIZE, SMALL = 9.5, 8.0
ROW = 22.0
BOX = 9.0
# Lines for what stands there and is not on the list.
FREE_LINES = 6


@dataclass(frozen=True)
class SheetLine:
    """A container as whoever counts needs to recognise it."""

    number: int
    name: str
    codes: str
    size: str
    book: str
    lent: str = ""


@dataclass(frozen=True)
class CountSheet:
    """The finished content; nothing in it is looked up again. A blind one shows no book amounts."""

    studio: str
    place: str
    made_on: date
    lines: tuple[SheetLine, ...]
    blind: bool = False
    address: str = ""

    @property
    def title(self) -> str:
        return f"Count of {self.place}"


def render(content: CountSheet, *, page_size: str = "A4") -> bytes:
    """Return the sheet as a PDF; `page_size` is "A4" or "Letter", UnknownPaperError for any other."""
    sheet = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, sheet, title=content.title, author=content.studio, subject="Count sheet", made_on=content.made_on
    )
    pages = _pages(sheet, content)
    for number, lines in enumerate(pages, start=1):
        _Page(canvas, sheet, content).draw(lines, number, len(pages))
    canvas.save()
    return file.getvalue()


def _pages(sheet: Paper, content: CountSheet) -> list[list[tuple[int, SheetLine | None]]]:
    """The lines with their numbers, cut into pages; free lines at the end."""
    fitting = int((sheet.height - sheet.top - sheet.bottom - 112) // ROW)
    lines: list[tuple[int, SheetLine | None]] = list(enumerate(content.lines, start=1))
    lines += [(0, None)] * FREE_LINES
    return [lines[start : start + fitting] for start in range(0, len(lines), fitting)]


class _Page:
    def __init__(self, canvas: Canvas, sheet: Paper, content: CountSheet) -> None:
        self.canvas, self.sheet, self.content = canvas, sheet, content
        left, right = sheet.left, sheet.left + sheet.room
        self.right = right
        self.line, self.number, self.name = left, left + 22, left + 58
        self.note = right - 92
        self.boxes = [self.note - 40 * n for n in (3, 2, 1)]
        self.book = self.boxes[0] - (4 if content.blind else 80)
        self.name_room = self.book - self.name - 6

    def draw(self, lines: Sequence[tuple[int, SheetLine | None]], number: int, of: int) -> None:
        y = self._head()
        free = False
        for place, line in lines:
            if line is None:
                self._free_line(y, begins=not free)
                free = True
            else:
                self._line(y, place, line)
            y -= ROW
        foot = "Type it back by tube number. What is left: a part such as 1/3, or an amount."
        self._text(self.sheet.left, self.sheet.bottom, self._fitted(foot, self.sheet.room - 80, SMALL), SMALL)
        self._right(self.right, self.sheet.bottom, f"Page {number} of {of}", SMALL)
        self.canvas.showPage()

    def _head(self) -> float:
        content, left = self.content, self.sheet.left
        y = self.sheet.height - self.sheet.top - 18
        self._text(left, y, self._fitted(content.title, self.sheet.room - 120, 18, bold=True), 18, bold=True)
        self._right(self.right, y, f"{content.made_on:%-d %B %Y}", SIZE)
        y -= 16
        said = f"{content.studio}. {len(content.lines)} container{'' if len(content.lines) == 1 else 's'} in the books"
        said += ", their amounts not shown." if content.blind else "."
        self._text(left, y, self._fitted(said, self.sheet.room, SIZE), SIZE)
        y -= 22
        self._text(left, y, "Counted by", SIZE)
        self._rule(left + 58, left + self.sheet.room * 0.55, y - 2, 0.6)
        self._text(left + self.sheet.room * 0.58, y, "on", SIZE)
        self._rule(left + self.sheet.room * 0.58 + 20, self.right, y - 2, 0.6)
        y -= 24
        self._text(self.number, y, "Tube", SMALL)
        self._text(self.name, y, "What it is", SMALL)
        if not content.blind:
            self._text(self.book, y, "In the books", SMALL)
        heads = ("Sealed" if content.blind else "As books", "Finished", "Not there")
        for x, words in zip(self.boxes, heads, strict=True):
            self._centred(x + 16, y, words, 6.5)
        self._text(self.note, y, "What is left", SMALL)
        self._rule(left, self.right, y - 4, 1.0)
        return y - 4

    def _line(self, y: float, place: int, line: SheetLine) -> None:
        base = y - ROW / 2 - 1
        self._right(self.line + 16, base - 2, str(place), SMALL)
        self._text(self.number, base - 2, str(line.number), SIZE, bold=True)
        self._text(self.name, base + 2, self._fitted(line.name, self.name_room, SIZE, bold=True), SIZE, bold=True)
        below = ", ".join(filter(None, (line.codes, line.size, line.lent and f"lent {line.lent}")))
        self._text(self.name, base - 7, self._fitted(below, self.name_room, 7), 7)
        if not self.content.blind:
            self._text(self.book, base - 2, self._fitted(line.book, 76, SMALL), SMALL)
        self._marks(y)

    def _free_line(self, y: float, *, begins: bool) -> None:
        if begins:
            self._text(self.name, y - 8, "Also here, not on the list: tube number or name, size", 6.5)
        self._marks(y)

    def _marks(self, y: float) -> None:
        self.canvas.setLineWidth(0.8)
        for x in self.boxes:
            self.canvas.rect(x + 16 - BOX / 2, y - ROW / 2 - BOX / 2 - 1, BOX, BOX)
        self._rule(self.note, self.right, y - ROW + 5, 0.6)
        self._rule(self.sheet.left, self.right, y - ROW, 0.25)

    def _fitted(self, text: str, room: float, size: float, *, bold: bool = False) -> str:
        """As much of it as fits on one line, with a mark where it is cut."""
        face = typeface.BOLD if bold else typeface.PLAIN
        line = typeface.one_line(text)
        while line and typeface.width(line, face, size) > room:
            line = f"{line.removesuffix('…')[:-1].rstrip()}…" if len(line) > 2 else ""
        return line

    def _text(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        self.canvas.setFont(typeface.BOLD if bold else typeface.PLAIN, size)
        self.canvas.drawString(x, y, text)

    def _right(self, x: float, y: float, text: str, size: float) -> None:
        self._text(x - typeface.width(text, typeface.PLAIN, size), y, text, size)

    def _centred(self, x: float, y: float, text: str, size: float) -> None:
        self._text(x - typeface.width(text, typeface.PLAIN, size) / 2, y, text, size)

    def _rule(self, start: float, end: float, y: float, weight: float) -> None:
        self.canvas.setLineWidth(weight)
        self.canvas.line(start, y, end, y)
