"""The list of what to buy: finished content, a PDF of it, and the same as the rows of a table."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from inventory.stock.prices import money_words, totals_words
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import Paper, paper

SIZE, SMALL = 9.5, 8.0
LEADING, SMALL_LEADING = 12.5, 10.5
NO_PRICE = "no price"


@dataclass(frozen=True)
class RequisitionLine:
    """One thing to be bought, as the supplier and whoever unpacks it need to read it."""

    name: str
    codes: str
    code: str
    packs: int
    pack: int
    size: str
    price: tuple[int, str] | None = None
    total: tuple[int, str] | None = None
    accepted: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class RequisitionGroup:
    supplier: str
    contact: str
    lines: tuple[RequisitionLine, ...]

    @property
    def totals(self) -> str:
        return totals_words(line.total for line in self.lines if line.total)

    @property
    def without_price(self) -> int:
        return sum(line.total is None for line in self.lines)


@dataclass(frozen=True)
class Requisition:
    """The finished content of a list of what to buy; nothing in it is looked up again."""

    studio: str
    title: str
    made_on: date
    groups: tuple[RequisitionGroup, ...]
    note: str = ""

    @property
    def totals(self) -> str:
        return totals_words(line.total for group in self.groups for line in group.lines if line.total)


def requisition_rows(content: Requisition) -> Iterator[list[str]]:
    """The list as a table, with a heading; prices as plain decimals with the currency beside."""
    yield [
        "Supplier",
        "Supplier's code",
        "Name",
        "Pigment codes",
        "Size",
        "Containers in a pack",
        "Packs",
        "Price of a pack",
        "Total",
        "Currency",
        "Accepted instead",
        "Not this",
    ]
    for group in content.groups:
        for line in group.lines:
            yield [
                group.supplier,
                line.code,
                line.name,
                line.codes,
                line.size,
                str(line.pack),
                str(line.packs),
                money_words(*line.price).split(" ")[0] if line.price else "",
                money_words(*line.total).split(" ")[0] if line.total else "",
                line.total[1] if line.total else "",
                "; ".join(line.accepted),
                "; ".join(line.refused),
            ]


def render(content: Requisition, *, page_size: str = "A4") -> bytes:
    """Return the list as a PDF; `page_size` is "A4" or "Letter", UnknownPaperError for any other."""
    sheet = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, sheet, title=content.title, author=content.studio, subject="What to buy", made_on=content.made_on
    )
    pages = _Layout(sheet, content).pages()
    for number, page in enumerate(pages, start=1):
        _Sheet(canvas, sheet).draw(content, page, number, len(pages))
    canvas.save()
    return file.getvalue()


@dataclass(frozen=True)
class _Piece:
    """A part that is never divided: what it is, and how high."""

    height: float
    group: RequisitionGroup | None = None
    line: RequisitionLine | None = None
    words: str = ""


class _Columns:
    """Where the columns begin, in points from the left edge."""

    def __init__(self, sheet: Paper) -> None:
        self.box = sheet.left
        self.code = self.box + 14
        self.name = self.code + 62
        self.right = sheet.left + sheet.room
        self.total = self.right
        self.price = self.right - 66
        self.packs = self.price - 62
        self.name_room = self.packs - 62 - self.name
        self.size = self.packs - 58
        self.code_room = 58.0


class _Layout:
    """Cuts the list into pages before anything is drawn, so that each page can say of how many."""

    def __init__(self, sheet: Paper, content: Requisition) -> None:
        self.sheet, self.content, self.columns = sheet, content, _Columns(sheet)

    def pages(self) -> list[list[_Piece]]:
        room = self.sheet.height - self.sheet.top - self.sheet.bottom - 62 - 24
        pages: list[list[_Piece]] = [[]]
        left = room
        for piece in self._pieces():
            # The head of a group stays with its first line.
            needed = piece.height + (40.0 if piece.line is None and piece.group is not None else 0.0)
            if needed > left and pages[-1]:
                pages.append([])
                left = room
            pages[-1].append(piece)
            left -= piece.height
        return pages

    def _pieces(self) -> Iterator[_Piece]:
        for group in self.content.groups:
            yield _Piece(34.0 + (SMALL_LEADING if group.contact else 0.0), group=group)
            for line in group.lines:
                yield _Piece(self._height(line), line=line)
            for words in self._sums(group):
                yield _Piece(16.0, words=words)
        if not self.content.groups:
            yield _Piece(20.0, words="Nothing is on the list.")
        if len(self.content.groups) > 1 and self.content.totals:
            yield _Piece(24.0, words=f"In all: {self.content.totals}")

    def _sums(self, group: RequisitionGroup) -> Iterator[str]:
        if group.totals:
            yield f"Together: {group.totals}"
        if group.without_price:
            lines = "1 line" if group.without_price == 1 else f"{group.without_price} lines"
            yield f"{lines} without a price"

    def _height(self, line: RequisitionLine) -> float:
        names, below, codes = lines_of(line, self.columns.name_room, self.columns.code_room)
        beside = max(len(names) * LEADING + len(below) * SMALL_LEADING, len(codes) * SMALL_LEADING + 2)
        return beside + 9.0


def lines_of(
    line: RequisitionLine, name_room: float, code_room: float
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """The name, what stands below it, and the supplier's code, each wrapped to its column."""
    names = typeface.wrap(line.name, typeface.BOLD, SIZE, name_room) or ("",)
    said = [line.codes] if line.codes else []
    if line.accepted:
        said.append(f"Or: {'; '.join(line.accepted)}")
    if line.refused:
        said.append(f"NOT: {'; '.join(line.refused)}")
    if line.note:
        said.append(line.note)
    below = tuple(row for text in said for row in typeface.wrap(text, typeface.PLAIN, SMALL, name_room))
    return names, below, typeface.wrap(line.code, typeface.PLAIN, SMALL, code_room)


class _Sheet:
    """One page on the canvas."""

    def __init__(self, canvas: Canvas, sheet: Paper) -> None:
        self.canvas, self.sheet, self.columns = canvas, sheet, _Columns(sheet)

    def draw(self, content: Requisition, pieces: list[_Piece], number: int, of: int) -> None:
        y = self._head(content)
        for piece in pieces:
            if piece.group is not None:
                self._group(y, piece.group)
            elif piece.line is not None:
                self._line(y, piece.line)
            else:
                self._right(self.columns.right, y - 12, piece.words, SIZE, bold=True)
            y -= piece.height
        self._text(self.sheet.left, self.sheet.bottom, "The price on the supplier's own list counts.", SMALL)
        self._right(self.columns.right, self.sheet.bottom, f"Page {number} of {of}", SMALL)
        self.canvas.showPage()

    def _text(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        self.canvas.setFont(typeface.BOLD if bold else typeface.PLAIN, size)
        self.canvas.drawString(x, y, text)

    def _right(self, x: float, y: float, text: str, size: float, *, bold: bool = False) -> None:
        face = typeface.BOLD if bold else typeface.PLAIN
        self._text(x - typeface.width(text, face, size), y, text, size, bold=bold)

    def _rule(self, y: float, weight: float) -> None:
        self.canvas.setLineWidth(weight)
        self.canvas.line(self.sheet.left, y, self.columns.right, y)

    def _head(self, content: Requisition) -> float:
        y = self.sheet.height - self.sheet.top - 18
        title = (typeface.wrap(content.title, typeface.BOLD, 18, self.sheet.room - 150) or ("",))[0]
        self._text(self.sheet.left, y, title, 18, bold=True)
        self._right(self.columns.right, y, f"{content.made_on:%-d %B %Y}", SIZE)
        y -= 16
        studio = typeface.wrap(f"For {content.studio}", typeface.PLAIN, SIZE, self.sheet.room * 0.6) or ("",)
        self._text(self.sheet.left, y, studio[0], SIZE)
        if content.note:
            note = typeface.wrap(content.note, typeface.PLAIN, SIZE, self.sheet.room * 0.38) or ("",)
            self._right(self.columns.right, y, note[0], SIZE)
        y -= 10
        self._rule(y, 1.2)
        return y - 6

    def _group(self, y: float, group: RequisitionGroup) -> None:
        y -= 14
        name = typeface.wrap(group.supplier, typeface.BOLD, 12, self.sheet.room) or ("",)
        self._text(self.sheet.left, y, name[0], 12, bold=True)
        if group.contact:
            y -= SMALL_LEADING
            contact = typeface.wrap(group.contact, typeface.PLAIN, SMALL, self.sheet.room) or ("",)
            self._text(self.sheet.left, y, contact[0], SMALL)
        y -= 14
        at = self.columns
        self._text(at.code, y, "Code", SMALL)
        self._text(at.name, y, "What, pigments, what instead", SMALL)
        self._text(at.size, y, "Size", SMALL)
        self._right(at.packs + 22, y, "Packs", SMALL)
        self._right(at.price + 6, y, "Price", SMALL)
        self._right(at.total, y, "Total", SMALL)
        self._rule(y - 4, 0.8)

    def _line(self, y: float, line: RequisitionLine) -> None:
        at = self.columns
        top = y - LEADING
        self.canvas.setLineWidth(0.7)
        self.canvas.rect(at.box, top - 1, 8, 8)
        names, below, codes = lines_of(line, at.name_room, at.code_room)
        for place, text in enumerate(codes):
            self._text(at.code, top - place * SMALL_LEADING, text, SMALL)
        down = top
        for text in names:
            self._text(at.name, down, text, SIZE, bold=True)
            down -= LEADING
        for text in below:
            self._text(at.name, down, text, SMALL)
            down -= SMALL_LEADING
        size = f"{line.pack} × {line.size}" if line.pack > 1 else line.size
        self._text(at.size, top, size, SMALL if line.pack > 1 else SIZE)
        self._right(at.packs + 22, top, str(line.packs), SIZE, bold=True)
        if line.price is not None and line.total is not None:
            self._right(at.price + 6, top, money_words(*line.price).split(" ")[0], SIZE)
            self._right(at.total, top, money_words(*line.total), SIZE)
        else:
            self._right(at.total, top, NO_PRICE, SIZE)
        low = min(down + LEADING, top - (len(codes) - 1) * SMALL_LEADING) - 6
        self._rule(low if below or len(codes) > 1 else y - LEADING - 5, 0.3)
