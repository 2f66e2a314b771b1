"""A page before it is drawn: marks with their places, so that every page count is known before the first stroke."""

from dataclasses import dataclass, field
from functools import partial

from reportlab.pdfgen.canvas import Canvas

from safety.printing.pictograms import Signs
from studio.printing import typeface
from studio.printing.qr import draw_qr

# A drawing function with all but the canvas and the signs filled in.
Mark = partial[None]


@dataclass
class Page:
    """The marks of one page. Lengths are in points from the lower left corner."""

    marks: list[Mark] = field(default_factory=list)

    def text(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        self.marks.append(partial(_draw_text, x, y, text, typeface.BOLD if bold else typeface.PLAIN, size))

    def text_right(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        face = typeface.BOLD if bold else typeface.PLAIN
        self.text(x - typeface.width(text, face, size), y, text, size, bold=bold)

    def rule(self, x: float, y: float, length: float, weight: float = 0.6) -> None:
        self.marks.append(partial(_draw_rule, x, y, length, weight))

    def upright(self, x: float, y: float, length: float, weight: float = 0.6) -> None:
        self.marks.append(partial(_draw_upright, x, y, length, weight))

    def sign(self, code: str, x: float, y: float, side: float) -> None:
        self.marks.append(partial(_draw_sign, code, x, y, side))

    def qr(self, address: str, x: float, y: float, side: float) -> None:
        self.marks.append(partial(_draw_qr, address, x, y, side))

    def link(self, target: str, x: float, y: float, width: float, height: float) -> None:
        self.marks.append(partial(_draw_link, target, (x, y, x + width, y + height)))

    def draw(self, canvas: Canvas, signs: Signs) -> None:
        for mark in self.marks:
            mark(canvas, signs)
        canvas.showPage()


def _draw_text(x: float, y: float, text: str, face: str, size: float, canvas: Canvas, _: Signs) -> None:
    canvas.setFont(face, size)
    canvas.drawString(x, y, text)


def _draw_rule(x: float, y: float, length: float, weight: float, canvas: Canvas, _: Signs) -> None:
    canvas.setLineWidth(weight)
    canvas.line(x, y, x + length, y)


def _draw_upright(x: float, y: float, length: float, weight: float, canvas: Canvas, _: Signs) -> None:
    canvas.setLineWidth(weight)
    canvas.line(x, y, x, y + length)


def _draw_sign(code: str, x: float, y: float, side: float, _: Canvas, signs: Signs) -> None:
    signs.place(code, x, y, side)


def _draw_qr(address: str, x: float, y: float, side: float, canvas: Canvas, _: Signs) -> None:
    draw_qr(canvas, address, x, y, side)


def _draw_link(target: str, box: tuple[float, float, float, float], canvas: Canvas, _: Signs) -> None:
    canvas.linkAbsolute("", target, box)


def draw_pages(canvas: Canvas, signs: Signs, pages: list[Page], codes: tuple[str, ...]) -> None:
    """Draw pages that use the signs of these codes."""
    for code in codes:
        signs.store(code)
    for page in pages:
        page.draw(canvas, signs)
