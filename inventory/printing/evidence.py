"""The evidence on paper: what the figures come to, the plots, and every table; black on white."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from inventory.colour.report import Plot, Report, Table
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper, paper

TITLE = "How sure are the colours?"
BODY, SMALL, HEAD = 10.0, 8.0, 12.0
LEAD = 1.3
# A bar in print: grey enough to be seen behind its line, light enough for a bad copier.
BAR_GREY, GRID_GREY = 0.72, 0.82
# How much of the sheet's width a plot takes, and how much of that its units are less high than wide: so that one fits
# under the sentences.
PLOT_SHARE, PLOT_FLAT = 0.92, 0.5
PLOT_TEXT = 7.0
GAP = 2 * MM
FOOT = 8 * MM


def render(report: Report, *, made_on: date, page_size: str = "A4") -> bytes:
    """Return the report as a PDF; `page_size` is "A4" or "Letter", UnknownPaperError for any other."""
    sheet = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, sheet, title=TITLE, author="Tubeshelf", subject="Predicted colours against check sets", made_on=made_on
    )
    _Sheets(canvas, sheet, made_on).draw(report)
    canvas.save()
    return file.getvalue()


class _Sheets:
    """Text, plots and tables one below another, on as many sheets as they need."""

    def __init__(self, canvas: Canvas, sheet: Paper, made_on: date) -> None:
        self.canvas, self.sheet, self.made_on = canvas, sheet, made_on
        self.left, self.room = sheet.left, sheet.room
        self.number = 0
        self.y = 0.0
        self._begin()

    def draw(self, report: Report) -> None:
        self._words(TITLE, 18.0, bold=True)
        self.y -= 2 * MM
        for sentence in report.sentences:
            self._words(sentence, BODY)
            self.y -= 1.2 * MM
        for plot in report.plots:
            self._plot(plot)
        for table in report.tables:
            self._table(table)
        self.canvas.showPage()

    def _begin(self) -> None:
        if self.number:
            self.canvas.showPage()
        self.number += 1
        self.y = self.sheet.height - self.sheet.top
        self.canvas.setFont(typeface.PLAIN, SMALL)
        self.canvas.drawString(self.left, self.sheet.bottom, f"{TITLE} {self.made_on.isoformat()}")
        self.canvas.drawRightString(self.left + self.room, self.sheet.bottom, str(self.number))

    def _need(self, height: float) -> None:
        if self.y - height < self.sheet.bottom + FOOT:
            self._begin()

    def _words(self, text: str, size: float, *, bold: bool = False) -> None:
        face = typeface.BOLD if bold else typeface.PLAIN
        for line in typeface.wrap(text, face, size, self.room):
            self._need(size * LEAD)
            self.y -= size * LEAD
            self.canvas.setFont(face, size)
            self.canvas.drawString(self.left, self.y, line)

    def _plot(self, plot: Plot) -> None:
        across = PLOT_SHARE * self.room / plot.width
        down = PLOT_FLAT * across
        height = plot.height * down
        self._need(height + HEAD * LEAD + 2 * SMALL * LEAD + 6 * MM)
        self.y -= 5 * MM
        self._words(plot.title, HEAD, bold=True)
        self._words(plot.description, SMALL)
        self.y -= 1 * MM
        canvas, top = self.canvas, self.y
        canvas.saveState()
        canvas.translate(self.left, top)
        canvas.setStrokeGray(GRID_GREY)
        canvas.setLineWidth(0.5)
        for x1, y1, x2, y2 in plot.grid:
            canvas.line(x1 * across, -y1 * down, x2 * across, -y2 * down)
        canvas.setFillGray(BAR_GREY)
        for x, y, wide, high in plot.bars:
            canvas.rect(x * across, (-y - high) * down, wide * across, high * down, stroke=0, fill=1)
        canvas.setStrokeGray(0.0)
        canvas.setLineWidth(1.4)
        for x1, y1, x2, y2 in plot.marks:
            canvas.line(x1 * across, -y1 * down, x2 * across, -y2 * down)
        for dot in plot.dots:
            canvas.setFillGray(1.0 if dot.is_open else 0.0)
            canvas.setLineWidth(1.0)
            canvas.circle(dot.x * across, -dot.y * down, 2.2, stroke=1, fill=1)
        canvas.setFillGray(0.0)
        canvas.setFont(typeface.PLAIN, PLOT_TEXT)
        draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
        for words in plot.words:
            draw[words.anchor](words.x * across, -words.y * down, words.text)
        canvas.restoreState()
        self.y = top - height

    def _table(self, table: Table) -> None:
        widths = self._widths(table)
        self._need(40 * MM)
        self.y -= 6 * MM
        self._words(table.title, HEAD, bold=True)
        self._words(table.note, SMALL)
        self.y -= 1 * MM
        self._row(table.heads, widths, bold=True)
        for row in table.rows:
            if self.y - self._height(row, widths) < self.sheet.bottom + FOOT:
                self._begin()
                self._row(table.heads, widths, bold=True)
            self._row(row, widths)

    def _widths(self, table: Table) -> list[float]:
        """Room for the longest word of each column, and what is left where the cells are long."""
        least, wished = [], []
        for head, *cells in zip(table.heads, *table.rows, strict=True):
            words = [typeface.width(word, typeface.BOLD, SMALL) for word in head.split()]
            words += [typeface.width(word, typeface.PLAIN, SMALL) for cell in cells for word in cell.split()]
            least.append(max(words) + GAP)
            wished.append(max(typeface.width(cell, typeface.PLAIN, SMALL) for cell in cells) + GAP)
        more = [max(0.0, wish - low) for wish, low in zip(wished, least, strict=True)]
        spare = self.room - sum(least)
        return [low + spare * one / max(sum(more), 1.0) for low, one in zip(least, more, strict=True)]

    def _wrapped(self, cells: Sequence[str], widths: Sequence[float], face: str) -> list[tuple[str, ...]]:
        return [
            typeface.wrap(cell, face, SMALL, wide - GAP + 0.01) or ("",)
            for cell, wide in zip(cells, widths, strict=True)
        ]

    def _height(self, cells: Sequence[str], widths: Sequence[float], face: str = typeface.PLAIN) -> float:
        return max(map(len, self._wrapped(cells, widths, face))) * SMALL * LEAD + 1.4 * MM

    def _row(self, cells: Sequence[str], widths: Sequence[float], *, bold: bool = False) -> None:
        face = typeface.BOLD if bold else typeface.PLAIN
        height = self._height(cells, widths, face)
        x = self.left
        for lines, wide in zip(self._wrapped(cells, widths, face), widths, strict=True):
            y = self.y
            for line in lines:
                y -= SMALL * LEAD
                self.canvas.setFont(face, SMALL)
                self.canvas.drawString(x, y, line)
            x += wide
        self.y -= height
        self.canvas.setLineWidth(0.8 if bold else 0.3)
        self.canvas.line(self.left, self.y, self.left + self.room, self.y)
