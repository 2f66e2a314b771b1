"""Many notices in one file: a table of contents, a bookmark for each, and every sign stored once."""

from collections.abc import Callable, Generator, Sequence
from datetime import date
from io import BytesIO

from safety.printing.notice import HEADING, lay_out
from safety.printing.page import Page, draw_pages
from safety.printing.pictograms import Signs
from safety.rules.notice import NoticeContent
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import Paper, paper

Progress = Callable[[int, int], None]

_ROW = 15.0
_SIZE = 9.5
_PAGE_NUMBER = 30.0
_FINGERPRINT = 120.0


def render(contents: Sequence[NoticeContent], progress: Progress | None = None, *, page_size: str = "A4") -> bytes:
    """Return many notices as one PDF, in the order given.

    `progress` is called with (done, all) after each notice. ValueError for no notices, UnknownPaperError for a page
    size other than "A4" or "Letter".
    """
    making = steps(contents, page_size=page_size)
    while True:
        try:
            share = next(making)
        except StopIteration as end:
            made: bytes = end.value
            return made
        if progress and share > 0.5:
            progress(round((2 * share - 1) * len(contents)), len(contents))


def steps(contents: Sequence[NoticeContent], *, page_size: str = "A4") -> Generator[float, None, bytes]:
    """The same, notice by notice: yields the share that is done, 0 to 1, and returns the PDF."""
    if not contents:
        raise ValueError("A book needs at least one notice; choose what it should hold.")
    sheet = paper(page_size)
    laid_out = []
    for place, content in enumerate(contents, start=1):
        laid_out.append(lay_out(content, sheet))
        yield place / len(contents) / 2
    file = BytesIO()
    canvas = open_canvas(
        file,
        sheet,
        title=f"{HEADING}: {len(contents)} notices",
        author=contents[0].studio,
        subject="Handling cautions",
        made_on=max(content.made_on for content in contents),
    )
    signs = Signs(canvas)
    front = _contents_pages(contents, [len(pages) for pages in laid_out], sheet)
    canvas.bookmarkPage("contents")
    canvas.addOutlineEntry("Contents", "contents")
    draw_pages(canvas, signs, front, ())
    for place, (content, pages) in enumerate(zip(contents, laid_out, strict=True)):
        canvas.bookmarkPage(_key(place))
        canvas.addOutlineEntry(typeface.one_line(content.title) or "Unnamed", _key(place))
        draw_pages(canvas, signs, pages, content.label.pictograms)
        yield (1 + (place + 1) / len(contents)) / 2
    canvas.save()
    return file.getvalue()


def _key(place: int) -> str:
    return f"notice-{place}"


def _contents_pages(contents: Sequence[NoticeContent], lengths: list[int], sheet: Paper) -> list[Page]:
    """The table of contents; its own length is known first, because each title takes as many rows as it wraps to."""
    room = sheet.room - _FINGERPRINT - _PAGE_NUMBER - 16
    titles = [typeface.wrap(_entry(content), typeface.PLAIN, _SIZE, room) or ("Unnamed",) for content in contents]
    groups = _by_page(titles, int((sheet.height - sheet.top - sheet.bottom - 82) // _ROW))
    number = len(groups) + 1
    pages = []
    for group in groups:
        page = Page()
        y = sheet.height - sheet.top - 24
        page.text(sheet.left, y, "Contents", 20, bold=True)
        page.text_right(sheet.left + sheet.room, y, _made(contents), 9)
        y -= 15
        page.text(sheet.left, y, typeface.one_line(f"{contents[0].studio}: {HEADING.lower()}s"), _SIZE)
        y -= 9
        page.rule(sheet.left, y, sheet.room, 1.2)
        for place in group:
            top = y
            for line in titles[place]:
                y -= _ROW
                page.text(sheet.left, y, line, _SIZE)
            page.text_right(sheet.left + sheet.room - _PAGE_NUMBER - 8, top - _ROW, contents[place].fingerprint, 8)
            page.text_right(sheet.left + sheet.room, top - _ROW, str(number), _SIZE)
            page.link(_key(place), sheet.left, y - 3, sheet.room, top - y)
            number += lengths[place]
        page.text(sheet.left, sheet.bottom, contents[0].deferring, 9, bold=True)
        pages.append(page)
    return pages


def _entry(content: NoticeContent) -> str:
    return f"{content.title} ({', '.join(content.codes)})" if content.codes else content.title


def _by_page(titles: list[tuple[str, ...]], rows: int) -> list[list[int]]:
    groups: list[list[int]] = [[]]
    left = rows
    for place, lines in enumerate(titles):
        if len(lines) > left and groups[-1]:
            groups.append([])
            left = rows
        groups[-1].append(place)
        left -= len(lines)
    return groups


def _made(contents: Sequence[NoticeContent]) -> str:
    days: list[date] = sorted({content.made_on for content in contents})
    return f"Made {days[0].isoformat()}" + (f" to {days[-1].isoformat()}" if len(days) > 1 else "")
