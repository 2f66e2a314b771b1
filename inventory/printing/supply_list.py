"""The list of what students buy for a class: by name and code, what may stand in its place, and what may not."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from inventory.stock.prices import money_words, totals_words
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import Paper, paper

HEAD, BODY, SMALL = 20.0, 10.5, 9.0
LEADING, SMALL_LEADING = 14.0, 12.0
DEFER = "Local regulations, licensed practice and the maker's safety data sheet come first."
CODE_COUNTS = "The code counts, not the name: it stands in small print on the tube, such as PB29."


@dataclass(frozen=True)
class SupplyLine:
    """One thing to bring. `price` is the smallest coin and its currency; None where no offer is known."""

    name: str
    codes: str
    size: str = ""
    prices: tuple[tuple[int, str], ...] = ()
    accepted: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    note: str = ""

    @property
    def price_words(self) -> str:
        return " or ".join(money_words(*price) for price in self.prices) if self.prices else "price not known"


@dataclass(frozen=True)
class SupplyList:
    """The finished content of a list for students; nothing in it is looked up again."""

    studio: str
    title: str
    about: str
    made_on: date
    lines: tuple[SupplyLine, ...]
    rules: str = ""
    left_out: tuple[str, ...] = ()
    for_children: bool = False

    @property
    def totals(self) -> str:
        """Of what has a price, each currency by itself: a list can be bought in one of them."""
        return totals_words(price for line in self.lines for price in line.prices)

    @property
    def without_price(self) -> int:
        return sum(not line.prices for line in self.lines)

    @property
    def estimate(self) -> str:
        """About 47.20 EUR for one person; 2 things without a price."""
        lacking = f"{self.without_price} of {len(self.lines)} without a known price" if self.without_price else ""
        if not self.totals:
            return "No price is known." if self.lines else ""
        return f"About {self.totals} for one person{', ' + lacking if lacking else ''}. Prices are estimates."

    @property
    def children_words(self) -> str:
        """What holds for every tube that a child brings."""
        if not self.for_children:
            return ""
        return (
            "For children: a tube without a pigment code, or whose label nobody can read, stays at home; what is not "
            "known is kept from children."
        )


def render(content: SupplyList, *, page_size: str = "A4") -> bytes:
    """Return the list as a PDF; `page_size` is "A4" or "Letter", UnknownPaperError for any other."""
    sheet = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, sheet, title=content.title, author=content.studio, subject="What to bring", made_on=content.made_on
    )
    pages = _pages(sheet, content)
    for number, page in enumerate(pages, start=1):
        _draw(canvas, sheet, content, page, number, len(pages))
    canvas.save()
    return file.getvalue()


@dataclass(frozen=True)
class _Row:
    """A part that is never divided: a thing to bring, or lines of text."""

    height: float
    line: SupplyLine | None = None
    words: tuple[str, ...] = ()
    bold: bool = False


class _Columns:
    """Where the columns begin, in points from the left edge."""

    def __init__(self, sheet: Paper) -> None:
        self.box = sheet.left
        self.name = sheet.left + 20
        self.right = sheet.left + sheet.room
        self.size = self.right - 165
        self.name_room = self.size - 12 - self.name
        self.price_room = 96.0


def _head_height(sheet: Paper, content: SupplyList) -> float:
    titles, abouts = _head(sheet, content)
    return len(titles) * 25 + len(abouts) * LEADING + 18


def _head(sheet: Paper, content: SupplyList) -> tuple[tuple[str, ...], tuple[str, ...]]:
    about = f"{content.studio}. {content.about}"
    return (
        typeface.wrap(content.title, typeface.BOLD, HEAD, sheet.room),
        typeface.wrap(about, typeface.PLAIN, BODY, sheet.room),
    )


def _pages(sheet: Paper, content: SupplyList) -> list[list[_Row]]:
    """Cut into pages before anything is drawn, so that each page can say of how many."""
    foot = 2 * SMALL_LEADING + 8
    room = sheet.height - sheet.top - sheet.bottom - foot
    left = room - _head_height(sheet, content)
    pages: list[list[_Row]] = [[]]
    for row in _rows(sheet, content):
        if row.height > left and pages[-1]:
            pages.append([])
            left = room
        pages[-1].append(row)
        left -= row.height
    return pages


def _rows(sheet: Paper, content: SupplyList) -> Iterator[_Row]:
    columns = _Columns(sheet)
    yield from _text(CODE_COUNTS, sheet, bold=True)
    for line in content.lines:
        names, below, prices = _lines_of(line, columns)
        high = max(len(names) * LEADING + len(below) * SMALL_LEADING, max(len(prices), 1) * LEADING)
        yield _Row(high + 10, line=line)
    if not content.lines:
        yield from _text("Nothing has to be brought.", sheet)
    yield from _text(content.estimate, sheet, bold=True)
    for words in (content.rules, *content.left_out, content.children_words):
        yield from _text(words, sheet)


def _text(words: str, sheet: Paper, *, bold: bool = False) -> Iterator[_Row]:
    if words:
        wrapped = typeface.wrap(words, typeface.BOLD if bold else typeface.PLAIN, BODY, sheet.room)
        yield _Row(len(wrapped) * LEADING + 8, words=wrapped, bold=bold)


def _lines_of(
    line: SupplyLine, columns: _Columns
) -> tuple[tuple[str, ...], tuple[tuple[str, str], ...], tuple[str, ...]]:
    """The name with its codes, what stands below with its face, and the price, each wrapped to its column."""
    codes = line.codes or "no code is known: ask"
    names = typeface.wrap(f"{line.name}, {codes}", typeface.BOLD, BODY, columns.name_room)
    said = []
    if line.accepted:
        said.append((f"Also good: {'; '.join(line.accepted)}", typeface.PLAIN))
    if line.refused:
        said.append((f"NOT this: {'; '.join(line.refused)}", typeface.BOLD))
    if line.note:
        said.append((line.note, typeface.PLAIN))
    below = tuple((row, face) for text, face in said for row in typeface.wrap(text, face, SMALL, columns.name_room))
    return names, below, typeface.wrap(line.price_words, typeface.PLAIN, BODY, columns.price_room)


def _draw(canvas: Canvas, sheet: Paper, content: SupplyList, rows: list[_Row], number: int, of: int) -> None:
    columns = _Columns(sheet)
    y = sheet.height - sheet.top
    if number == 1:
        y = _draw_head(canvas, sheet, content, y)
    for row in rows:
        if row.line is not None:
            _draw_line(canvas, columns, row.line, y)
            canvas.setLineWidth(0.4)
            canvas.line(sheet.left, y - row.height + 1, columns.right, y - row.height + 1)
        else:
            for place, words in enumerate(row.words):
                _put(canvas, sheet.left, y - 14 - place * LEADING, words, BODY, bold=row.bold)
        y -= row.height
    _put(canvas, sheet.left, sheet.bottom + SMALL_LEADING, DEFER, SMALL)
    made = f"Made on {content.made_on:%-d %B %Y}"
    _put(canvas, sheet.left, sheet.bottom, made, SMALL)
    _put_right(canvas, columns.right, sheet.bottom, f"Page {number} of {of}", SMALL)
    canvas.showPage()


def _draw_head(canvas: Canvas, sheet: Paper, content: SupplyList, y: float) -> float:
    titles, abouts = _head(sheet, content)
    for words in titles:
        y -= 25
        _put(canvas, sheet.left, y, words, HEAD, bold=True)
    y -= 4
    for words in abouts:
        y -= LEADING
        _put(canvas, sheet.left, y, words, BODY)
    canvas.setLineWidth(1.2)
    canvas.line(sheet.left, y - 8, sheet.left + sheet.room, y - 8)
    return y - 14


def _draw_line(canvas: Canvas, columns: _Columns, line: SupplyLine, y: float) -> None:
    names, below, prices = _lines_of(line, columns)
    down = y - 14
    canvas.setLineWidth(0.9)
    canvas.rect(columns.box, down - 1.5, 10, 10)
    _put(canvas, columns.size, down, line.size, BODY)
    for place, words in enumerate(prices):
        _put_right(canvas, columns.right, down - place * LEADING, words, BODY)
    for words in names:
        _put(canvas, columns.name, down, words, BODY, bold=True)
        down -= LEADING
    for words, face in below:
        _put(canvas, columns.name, down, words, SMALL, bold=face == typeface.BOLD)
        down -= SMALL_LEADING


def _put(canvas: Canvas, x: float, y: float, words: str, size: float, *, bold: bool = False) -> None:
    canvas.setFont(typeface.BOLD if bold else typeface.PLAIN, size)
    canvas.drawString(x, y, words)


def _put_right(canvas: Canvas, x: float, y: float, words: str, size: float) -> None:
    _put(canvas, x - typeface.width(words, typeface.PLAIN, size), y, words, size)
