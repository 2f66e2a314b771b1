"""The mixing chart as a PDF: the computed square of every mixture, its uncertainty, and a blank square to paint."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper, paper

SIDE = 10.4 * MM
ROW = 16.5 * MM
# Between a computed square and its blank one, and between neighbours.
INNER, OUTER = 0.8 * MM, 2.4 * MM
NAME_WIDTH = 24.0 * MM
SMALL, BODY, HEAD = 7.0, 9.0, 15.0


@dataclass(frozen=True)
class Square:
    """A computed colour; `words` stand below it. `clipped` marks what no screen shows as vivid as it is."""

    hex: str
    words: str
    clipped: bool = False


@dataclass(frozen=True)
class Row:
    """A pair, or a paint alone: its names, one a line, and its squares under the headings."""

    names: tuple[str, ...]
    squares: tuple[Square, ...]


@dataclass(frozen=True)
class ChartSheet:
    title: str
    studio: str
    made_on: date
    lines: tuple[str, ...]
    """What the chart is of and how far it may be believed; printed above it."""
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    alone: tuple[Row, ...]
    """The paints themselves, one square each."""


def as_pdf(sheet: ChartSheet, *, page_size: str = "A4") -> bytes:
    """Return the chart; rows run on over as many pages as they need, each with the headings."""
    size = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, size, title=sheet.title, author=sheet.studio, subject="Mixing chart", made_on=sheet.made_on
    )
    _Chart(canvas, size, sheet).draw()
    canvas.save()
    return file.getvalue()


class _Chart:
    def __init__(self, canvas: Canvas, size: Paper, sheet: ChartSheet) -> None:
        self.canvas, self.size, self.sheet = canvas, size, sheet
        self.y = size.height - size.top

    def draw(self) -> None:
        self._lines([self.sheet.title], typeface.BOLD, HEAD)
        self.y -= 2.0
        self._lines([f"{self.sheet.studio}, {self.sheet.made_on:%-d %B %Y}"], typeface.PLAIN, BODY)
        self._lines(self.sheet.lines, typeface.PLAIN, BODY)
        self.y -= 6.0
        self._alone()
        if self.sheet.rows:
            self._room(ROW + 30.0)
            self._headings()
        for row in self.sheet.rows:
            if self._room(ROW):
                self._headings()
            self._row(row)
        self._foot()

    def _alone(self) -> None:
        """The paints, as many beside one another as fit, each over a blank square of its own."""
        wide = 2 * SIDE + INNER + 24.0 * MM
        across = max(1, int(self.size.room // wide))
        for start in range(0, len(self.sheet.alone), across):
            self._room(SIDE + 12.0)
            top = self.y
            for place, row in enumerate(self.sheet.alone[start : start + across]):
                left = self.size.left + place * wide
                self._square(left, top, row.squares[0])
                self._blank(left + SIDE + INNER, top)
                room = wide - 2 * SIDE - INNER - 2.0 * MM
                lines = [part for name in row.names for part in typeface.wrap(name, typeface.PLAIN, SMALL, room)]
                for line, text in enumerate(lines[:3]):
                    self._text(left + 2 * SIDE + INNER + 1.2 * MM, top - 8.0 - 8.5 * line, text, SMALL)
            self.y = top - SIDE - 12.0

    def _headings(self) -> None:
        self.y -= 20.0
        for place, text in enumerate(self.sheet.headings):
            for line, part in enumerate(typeface.wrap(text, typeface.PLAIN, SMALL, 2 * SIDE + INNER)[:2]):
                self._text(self._left(place), self.y + 10.0 - 8.5 * line, part, SMALL)
        self.y -= 4.0

    def _row(self, row: Row) -> None:
        top = self.y
        lines = [part for name in row.names for part in typeface.wrap(name, typeface.PLAIN, SMALL, NAME_WIDTH - 4.0)]
        for line, text in enumerate(lines[:5]):
            self._text(self.size.left, top - 7.0 - 8.5 * line, text, SMALL)
        for place, square in enumerate(row.squares):
            self._square(self._left(place), top, square)
            self._blank(self._left(place) + SIDE + INNER, top)
        self.y = top - ROW

    def _left(self, place: int) -> float:
        count = max(1, len(self.sheet.headings))
        room = self.size.room - NAME_WIDTH
        step = min(room / count, 2 * SIDE + INNER + OUTER)
        return self.size.left + NAME_WIDTH + place * step

    def _square(self, left: float, top: float, square: Square) -> None:
        self.canvas.setStrokeGray(0.0)
        self.canvas.setLineWidth(0.5)
        self.canvas.setFillColor(HexColor(square.hex))
        self.canvas.rect(left, top - SIDE, SIDE, SIDE, fill=1)
        if square.clipped:
            # Black on white, so that it is seen on any colour.
            for grey, width in ((1.0, 2.0), (0.0, 0.7)):
                self.canvas.setStrokeGray(grey)
                self.canvas.setLineWidth(width)
                self.canvas.line(left + SIDE - 3.0 * MM, top, left + SIDE, top - 3.0 * MM)
        self._text(left, top - SIDE - 7.5, square.words, SMALL)

    def _blank(self, left: float, top: float) -> None:
        self.canvas.setStrokeGray(0.0)
        self.canvas.setLineWidth(0.5)
        self.canvas.setDash(2, 2)
        self.canvas.rect(left, top - SIDE, SIDE, SIDE, fill=0)
        self.canvas.setDash()

    def _text(self, left: float, base: float, text: str, size: float) -> None:
        self.canvas.setFillGray(0.0)
        self.canvas.setFont(typeface.PLAIN, size)
        self.canvas.drawString(left, base, typeface.one_line(text))

    def _lines(self, texts: Sequence[str], face: str, size: float) -> None:
        for text in texts:
            for line in typeface.wrap(text, face, size, self.size.room):
                self._room(size * 1.4)
                self.y -= size * 1.4
                self.canvas.setFillGray(0.0)
                self.canvas.setFont(face, size)
                self.canvas.drawString(self.size.left, self.y + size * 0.3, line)

    def _room(self, height: float) -> bool:
        """Turn the page where so much does not fit; True where it was turned."""
        if self.y - height >= self.size.bottom + 16.0:
            return False
        self._foot()
        self.canvas.showPage()
        self.y = self.size.height - self.size.top
        return True

    def _foot(self) -> None:
        words = f"{self.sheet.title}, page {self.canvas.getPageNumber()}"
        self._text(self.size.left, self.size.bottom, words, 8.0)
