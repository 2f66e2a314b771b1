"""Labels for jars and tags for waste: several alike on one sheet, to be cut along the thin lines."""

from dataclasses import dataclass
from io import BytesIO

from safety.printing.page import Page, draw_pages
from safety.printing.pictograms import Signs
from safety.printing.setting import fitting_size
from safety.rules.papers.paper import Entry
from safety.rules.papers.paper import Paper as Content
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import paper

_PAD = 10.0
_FOOT = 24.0
_SIGN = 44.0
# What takes more than one line to write by hand.
_LONG = frozenset({"Contents", "Hazards", "Hazard statements", "Precautions"})
_FURTHER_LINES = 2


@dataclass(frozen=True)
class Cut:
    """How a sheet is cut: columns and rows of cards, and the size of the largest words on one."""

    columns: int
    rows: int
    title: float
    text: float


LABEL = Cut(columns=2, rows=3, title=17.0, text=9.0)
TAG = Cut(columns=1, rows=2, title=34.0, text=14.0)


def render(content: Content, cut: Cut, *, page_size: str = "A4") -> bytes:
    """Return one sheet of equal cards; what does not fit on a card is set smaller, never cut off.

    `page_size` is "A4" or "Letter"; UnknownPaperError for any other.
    """
    sheet = paper(page_size)
    width = sheet.room / cut.columns
    height = (sheet.height - sheet.top - sheet.bottom) / cut.rows
    page = Page()
    for row in range(cut.rows):
        for column in range(cut.columns):
            x, top = sheet.left + column * width, sheet.height - sheet.top - row * height
            _frame(page, x, top, width, height)
            _card(page, content, cut, x + _PAD, top - _PAD, width - 2 * _PAD, height - 2 * _PAD)
    file = BytesIO()
    canvas = open_canvas(
        file,
        sheet,
        title=f"{content.kind}: {content.title}",
        author=content.studio,
        subject=f"Fingerprint {content.fingerprint}",
        made_on=content.made_on,
    )
    draw_pages(canvas, Signs(canvas), [page], content.signs)
    canvas.save()
    return file.getvalue()


def _frame(page: Page, x: float, top: float, width: float, height: float) -> None:
    page.rule(x, top, width, 0.4)
    page.rule(x, top - height, width, 0.4)
    page.upright(x, top - height, height, 0.4)
    page.upright(x + width, top - height, height, 0.4)


def _card(page: Page, content: Content, cut: Cut, x: float, top: float, room: float, height: float) -> None:
    """Set one card at the largest size that fits."""
    for scale in (1.6, 1.4, 1.2, 1.0, 0.9, 0.8, 0.7, 0.62, 0.55, 0.48, 0.42):
        trial = Page()
        foot = _body(trial, content, cut, x, top, room, scale)
        if foot >= top - height + _FOOT:
            break
    page.marks.extend(trial.marks)
    y = top - height
    side = min(64.0, height * 0.2) if content.page_url else 0.0
    page.text(x, y + 11, content.deferring, fitting_size(content.deferring, room, 8), bold=True)
    made = f"{content.fingerprint} · {content.made_on.isoformat()} · {content.studio}"
    page.text(x, y + 1, typeface.one_line(made), fitting_size(made, room, 7.5))
    if side:
        page.qr(content.page_url, x + room - side, top - side, side)


def _body(page: Page, content: Content, cut: Cut, x: float, top: float, room: float, scale: float) -> float:
    """Set kind, title, signs and fields; return the foot of the last line."""
    side = 68.0 if content.page_url else 0.0
    title = cut.title * min(max(scale, 0.7), 1.1)
    y = _lines(page, content.title, x, top, title, 1.12, room - side, bold=True)
    y -= max(10, title * 0.36)
    page.text(x, y, content.kind, 8)
    y -= 4
    if content.signs:
        side_of = _SIGN * min(max(scale, 0.6), 1.2)
        for place, code in enumerate(content.signs):
            page.sign(code, x + place * (side_of + 4), y - side_of, side_of)
        y -= side_of + 4
    if side:
        y = min(y, top - side)
    size, small = cut.text * scale, max(6.0, cut.text * 0.62 * min(scale, 1.2))
    for part in content.parts:
        if part.heading:
            y -= small * 1.7
            page.text(x, y, part.heading, small, bold=True)
        if part.note:
            y = _lines(page, part.note, x, y, small + 1, 1.25, room, bold=True) - 3
        for entry in part.entries:
            if part.style == "lines":
                y = _lines(page, f"{entry.label}: {entry.text}.", x, y, small, 1.25, room)
            else:
                y = _field(page, entry, x, y, size, small, room, written=14.0 * min(scale, 1.2))
    return y


def _field(
    page: Page, entry: Entry, x: float, y: float, size: float, small: float, room: float, *, written: float
) -> float:
    """The name and behind or below it the words; where there are none, lines to write on by hand, `written` high."""
    name = f"{entry.label}: "
    indent = typeface.width(name, typeface.PLAIN, small) + 2
    if not entry.text:
        y -= max(small * 1.35 + size * 0.16, written)
        page.text(x, y, name, small)
        page.rule(x + indent, y - 1.5, room - indent)
        page.text_right(x + room, y + 1, entry.source, small * 0.8)
        for _ in range(_FURTHER_LINES if entry.label in _LONG else 0):
            y -= written
            page.rule(x, y - 1.5, room)
        return y
    if typeface.width(entry.text, typeface.BOLD, size) <= room - indent:
        y -= size * 1.3
        page.text(x, y, name, small)
        page.text(x + indent, y, entry.text, size, bold=True)
    else:
        # The tails of the line before keep clear of the name.
        y -= small * 1.35 + size * 0.16
        page.text(x, y, name, small)
        y = _lines(page, entry.text, x, y, size, 1.22, room, bold=True)
    return _on_whose_word(page, entry.source, x, y, small)


def _lines(
    page: Page, text: str, x: float, y: float, size: float, leading: float, room: float, *, bold: bool = False
) -> float:
    """Set a text below `y`; return the foot of its last line."""
    for line in typeface.wrap(text, typeface.BOLD if bold else typeface.PLAIN, size, room):
        y -= size * leading
        page.text(x, y, line, size, bold=bold)
    return y


def _on_whose_word(page: Page, source: str, x: float, y: float, size: float) -> float:
    """The source below the words, where there is one; return the foot."""
    if source:
        y -= size * 1.25
        page.text(x, y, f"({source})", size)
    return y
