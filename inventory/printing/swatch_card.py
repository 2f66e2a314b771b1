"""The swatch card on paper: fields to paint and to measure or photograph, black on white, with a scale in mm.

Where the fields lie is said in `inventory.measuring.card`, which reads a photo of the same card.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from inventory.measuring import card
from inventory.measuring.card import Box
from inventory.measuring.worth import HOW_TO_TINT, PAINT_GRAMS, TINTS, white_to_weigh
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper, paper

TITLE = "Swatch card"
PRINT_SIZE = "Print at 100 %, not fitted to the page: this bar must measure 100 mm."
BLANKS: tuple[tuple[tuple[str, float], ...], ...] = (
    (("Paint", 0.62), ("Codes", 0.38)),
    (("White used", 0.62), ("Batch of the white", 0.38)),
    (("Wet film thickness (µm)", 0.62), ("Date", 0.38)),
)

_HAIR, _THIN, _HEAVY = 0.4, 0.7, 1.2
_HEAD, _BLANK = 9 * MM, 8.5 * MM
_BAR_MM = 100


@dataclass(frozen=True)
class CardContent:
    """What may already be known when a card is printed; empty texts leave a blank to write on."""

    made_on: date
    paint: str = ""
    codes: str = ""
    white: str = ""
    studio: str = ""


def render(content: CardContent, *, page_size: str = "A4") -> bytes:
    """Return the card as a PDF of one page; `page_size` is "A4" or "Letter", UnknownPaperError for any other."""
    sheet = paper(page_size)
    file = BytesIO()
    title = f"{TITLE}: {content.paint}" if content.paint else TITLE
    canvas = open_canvas(
        file,
        sheet,
        title=title,
        author=content.studio,
        subject="Masstone, weighed tints and drawdown of a paint",
        made_on=content.made_on,
    )
    _Drawing(canvas, sheet).draw(content)
    canvas.save()
    return file.getvalue()


class _Drawing:
    """One card on one sheet; places on the card are mm from its upper left corner mark, downwards."""

    def __init__(self, canvas: Canvas, sheet: Paper) -> None:
        self.canvas, self.sheet = canvas, sheet
        self.left = sheet.left + (sheet.room - card.WIDTH_MM * MM) / 2
        self.right = self.left + card.WIDTH_MM * MM
        self.head = sheet.height - sheet.top
        self.top = self.head - _HEAD - len(BLANKS) * _BLANK - 8 * MM
        self.foot = self.top - card.HEIGHT_MM * MM

    def draw(self, content: CardContent) -> None:
        self._heading(content)
        self._blanks(content)
        self._corners()
        self._painted()
        self._stuck()
        self._weights()
        self._steps()
        self._scale()
        self.canvas.showPage()

    # Lines and letters

    def _text(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        self.canvas.setFont(typeface.BOLD if bold else typeface.PLAIN, size)
        self.canvas.drawString(x, y, text)

    def _wrapped(self, x: float, y: float, text: str, size: float, room: float, *, middle: bool = False) -> float:
        """Set a paragraph below y and return where it ends."""
        for line in typeface.wrap(text, typeface.PLAIN, size, room):
            y -= size * 1.25
            indent = (room - typeface.width(line, typeface.PLAIN, size)) / 2 if middle else 0.0
            self._text(x + indent, y, line, size)
        return y

    def _line(self, x1: float, y1: float, x2: float, y2: float, weight: float = _THIN) -> None:
        self.canvas.setLineWidth(weight)
        self.canvas.line(x1, y1, x2, y2)

    def _x(self, mm: float) -> float:
        return self.left + mm * MM

    def _y(self, mm: float) -> float:
        return self.top - mm * MM

    def _frame(self, box: Box, *, dashed: bool = False, filled: bool = False) -> None:
        self.canvas.saveState()
        self.canvas.setLineWidth(_THIN)
        if dashed:
            self.canvas.setDash(3, 2)
        width, height = (box.right - box.left) * MM, (box.bottom - box.top) * MM
        self.canvas.rect(self._x(box.left), self._y(box.bottom), width, height, stroke=not filled, fill=filled)
        self.canvas.restoreState()

    # Parts

    def _heading(self, content: CardContent) -> None:
        y = self.head - 6 * MM
        self._text(self.left, y, TITLE, 16, bold=True)
        if content.studio:
            beside = self.right - self.left - typeface.width(TITLE, typeface.BOLD, 16) - 6 * MM
            line = (typeface.wrap(content.studio, typeface.PLAIN, 9, beside) or ("",))[0]
            self._text(self.right - typeface.width(line, typeface.PLAIN, 9), y, line, 9)

    def _blanks(self, content: CardContent) -> None:
        known = {"Paint": content.paint, "Codes": content.codes, "White used": content.white}
        room = self.right - self.left
        y = self.head - _HEAD
        for row in BLANKS:
            y -= _BLANK
            x = self.left
            for label, share in row:
                end = x + share * room - (4 * MM if share > 0.5 else 0.0)
                self._text(x, y + 1.2, label, 8)
                start = x + typeface.width(label, typeface.PLAIN, 8) + 2 * MM
                self._line(start, y, end, y, _HAIR)
                self._written(start, y + 1.6, known.get(label, ""), end - start)
                x += share * room

    def _written(self, x: float, y: float, text: str, room: float) -> None:
        """What is known already, set smaller until it fits one line; nothing is cut."""
        line = typeface.one_line(text)
        natural = typeface.width(line, typeface.PLAIN, 1.0)
        if natural:
            self._text(x, y, line, min(10.0, room / natural))

    def _corners(self) -> None:
        """A cross in a ring at each corner: its centre is what a person marks in the photo."""
        for x, y in ((0.0, 0.0), (card.WIDTH_MM, 0.0), (card.WIDTH_MM, card.HEIGHT_MM), (0.0, card.HEIGHT_MM)):
            across, up = self._x(x), self._y(y)
            self.canvas.setLineWidth(_HEAVY)
            self.canvas.circle(across, up, 2 * MM, stroke=1, fill=0)
            self._line(across - 3.2 * MM, up, across + 3.2 * MM, up)
            self._line(across, up - 3.2 * MM, across, up + 3.2 * MM)

    def _label(self, box: Box, text: str, small: str = "") -> None:
        y = self._y(box.top) + 1.6 * MM
        self._text(self._x(box.left), y, text, 9, bold=True)
        if small:
            self._text(self._x(box.left) + typeface.width(text, typeface.BOLD, 9) + 4, y, small, 7.5)

    def _painted(self) -> None:
        names = {
            card.MASSTONE: (card.MASSTONE, "straight from the tube"),
            card.TINT_1_1: ("1 : 1", "1 paint, 1 white, weighed"),
            card.TINT_1_9: ("1 : 9", "1 paint, 9 white, weighed"),
        }
        for place, (name, small) in names.items():
            self._frame(card.PAINTED[place])
            self._label(card.PAINTED[place], name, small)
        drawdown = card.PAINTED[card.DRAWDOWN]
        self._frame(card.BLACK_LINE, filled=True)
        self._frame(drawdown)
        y = self._y(card.BLACK_LINE.top) + 1.4 * MM
        self._text(self._x(drawdown.left), y, card.DRAWDOWN, 9, bold=True)
        beside = self._x(drawdown.left) + typeface.width(card.DRAWDOWN, typeface.BOLD, 9) + 4
        self._text(beside, y, "one even film of the masstone across the black", 7.5)

    def _stuck(self) -> None:
        for name, box in card.GREYS.items():
            self._frame(box, dashed=True)
            self._label(box, name)
            x, y = self._x(box.left) + 1.5 * MM, self._y(box.top) - 1 * MM
            room = (box.right - box.left) * MM - 3 * MM
            self._wrapped(x, y, "Stick your own grey card of known colour here, the same grey in both places.", 7, room)
        for name, box in card.COLOURS.items():
            self._frame(box, dashed=True)
            self._label(box, name)
        first = card.COLOURS["Colour 1"]
        last = card.COLOURS["Colour 6"]
        text = (
            "Stick patches of known colour on 1 to 6, because the colours of a printer are not known. Write their "
            "L*, a*, b* on the back. Leave the corners of the card bare: they show how even the light is."
        )
        room = (last.right - first.left) * MM
        # Between the bare corners, below the patches.
        self._wrapped(self._x(24), self._y(last.bottom) - 1.2 * MM, text, 7, min(room, 124 * MM))

    def _weights(self) -> None:
        """How much white to weigh."""
        left, y = self.left, self.foot - 8 * MM
        columns = (0.0, 24 * MM, 50 * MM)
        self._text(left, y, "White to weigh", 9, bold=True)
        y -= 4.6 * MM
        for x, text in zip(columns, ("Paint", *(f"for {p} : {w}" for p, w in TINTS)), strict=True):
            self._text(left + x, y, text, 8, bold=True)
        self._line(left, y - 1.2 * MM, left + 72 * MM, y - 1.2 * MM)
        for grams in PAINT_GRAMS:
            y -= 5 * MM
            white = (white_to_weigh(int(grams * 1000), *parts) for parts in TINTS)
            row = (f"{grams} g", *(f"{milligrams / 1000:g} g" for milligrams in white))
            for x, text in zip(columns, row, strict=True):
                self._text(left + x, y, text, 9)
        self._line(left, y - 1.4 * MM, left + 72 * MM, y - 1.4 * MM, _HAIR)

    def _steps(self) -> None:
        x = self.left + 80 * MM
        y = self.foot - 8 * MM
        self._text(x, y, "Making the tints", 9, bold=True)
        y -= 0.8 * MM
        for step in HOW_TO_TINT:
            y = self._wrapped(x, y, step, 6.8, self.right - x) - 1.4

    def _scale(self) -> None:
        """A bar of 100 mm, long strokes each 10 mm: a sheet scaled by the printer gives itself away."""
        x, y = self.left, self.sheet.bottom + 5 * MM
        self._text(x, y + 4 * MM, PRINT_SIZE, 7.5)
        self._line(x, y, x + _BAR_MM * MM, y, _HEAVY)
        for mm in range(0, _BAR_MM + 1, 5):
            self._line(x + mm * MM, y, x + mm * MM, y + (2.6 if mm % 10 == 0 else 1.4) * MM, _HAIR)
        for mm in (0, 50, 100):
            label = f"{mm}" if mm < _BAR_MM else f"{mm} mm"
            self._text(x + mm * MM - (0 if mm == 0 else 2 * MM), y - 3.2 * MM, label, 7)
