"""How a sheet is set: a place that moves down a page, a new page when it is full, one head and foot on all of them."""

from dataclasses import dataclass, field
from datetime import date
from io import BytesIO
from typing import Protocol

from safety.printing.page import Page, draw_pages
from safety.printing.pictograms import NAMES, Signs
from safety.rules.notice import Contact
from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper

_RUNNING_HEAD = 23.0
_FOOT_HEIGHT = 34.0
_CONTACTS = 4
_SIGN_SIDE = {1: 30 * MM, 2: 29 * MM, 3: 25 * MM, 4: 23 * MM}
_SMALLEST_SIGN = 22 * MM
_CAPTION = 17 * MM
# Of the width at most; the signal word stands beside them.
_SIGNS_SHARE = 0.62


class Content(Protocol):
    """What the head and the foot of every sheet print."""

    @property
    def studio(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def contacts(self) -> tuple[Contact, ...]: ...
    @property
    def made_on(self) -> date: ...
    @property
    def deferring(self) -> str: ...
    @property
    def page_url(self) -> str: ...
    @property
    def fingerprint(self) -> str: ...


class PageFullError(Exception):
    """What was to fit on one page does not."""


@dataclass
class Setting:
    """One run of setting a sheet. Sizes are in points; `call` is the height of the places for whom to call."""

    content: Content
    sheet: Paper
    heading: str
    scale: float = 1.0
    call: float = 92.0
    single: bool = False
    done: list[Page] = field(default_factory=list)
    y: float = 0.0

    def pages(self) -> list[Page]:
        """Set the whole sheet; PageFullError if it was to be a single page and is not."""
        self.done = [Page()]
        self.y = self.sheet.height - self.sheet.top
        self._body()
        for number, page in enumerate(self.done, start=1):
            self._foot(page, number)
        return self.done

    def _body(self) -> None:
        raise NotImplementedError

    # Places

    @property
    def page(self) -> Page:
        return self.done[-1]

    @property
    def _top(self) -> float:
        """Where the text of a further page begins, below its running head."""
        return self.sheet.height - self.sheet.top - _RUNNING_HEAD

    @property
    def _floor(self) -> float:
        return self.sheet.bottom + (self.call + _FOOT_HEIGHT if len(self.done) == 1 else _FOOT_HEIGHT)

    def _need(self, height: float) -> None:
        """Go on to a new page unless this much still fits; what is taller than a page starts where it is."""
        if self.y - height >= self._floor:
            return
        if self.single:
            raise PageFullError
        self.done.append(Page())
        self.y = self.sheet.height - self.sheet.top
        self._running_head()

    def _paragraph(
        self, text: str, size: float, *, indent: float = 0, bold: bool = False, leading: float = 1.3
    ) -> None:
        face = typeface.BOLD if bold else typeface.PLAIN
        for line in typeface.wrap(text, face, size, self.sheet.room - indent):
            self._need(size * leading)
            self.y -= size * leading
            self.page.text(self.sheet.left + indent, self.y + size * (leading - 1), line, size, bold=bold)

    def _height(self, text: str, size: float, *, indent: float = 0, bold: bool = False, leading: float = 1.3) -> float:
        face = typeface.BOLD if bold else typeface.PLAIN
        return len(typeface.wrap(text, face, size, self.sheet.room - indent)) * size * leading

    def _section(self, title: str, first: float) -> None:
        """A heading that stays with at least the first thing below it."""
        size = 10 * self.scale
        self._need(size * 2.6 + first)
        if self.y < self._top:
            self.y -= size * 0.9
            self.page.rule(self.sheet.left, self.y, self.sheet.room, 0.5)
        self.y -= size * 1.3
        self.page.text(self.sheet.left, self.y, title, size, bold=True)
        self.y -= size * 0.4

    # Head and foot

    def _house_line(self) -> None:
        """Whose sheet it is, and what it is."""
        self.y -= 9
        self.page.text_right(self.sheet.left + self.sheet.room, self.y, self.heading, 9, bold=True)
        beside = typeface.width(self.heading, typeface.BOLD, 9) + 20
        for line in typeface.wrap(self.content.studio, typeface.PLAIN, 9, self.sheet.room - beside):
            self.page.text(self.sheet.left, self.y, line, 9)
            self.y -= 12

    def _sign_rows(self, signs: tuple[str, ...], top: float, share: float) -> tuple[float, float]:
        """Draw the signs with their meanings; return how far they reach to the right and down."""
        side = _SIGN_SIDE.get(len(signs), _SMALLEST_SIGN) * share
        cell = max(side, _CAPTION)
        words = [word for code in signs for word in _caption(code).split()]
        # No word is broken below a small sign: the caption shrinks instead.
        size = min([7.0, *(7 * cell / typeface.width(word, typeface.PLAIN, 7) for word in words)])
        captions = [typeface.wrap(_caption(code), typeface.PLAIN, size, cell + 0.1) for code in signs]
        in_row = max(1, min(len(captions), int(self.sheet.room * _SIGNS_SHARE // (cell + 7))))
        caption_height = max((len(lines) for lines in captions), default=0) * 8.5
        for place, (code, lines) in enumerate(zip(signs, captions, strict=True)):
            row, column = divmod(place, in_row)
            x = self.sheet.left + column * (cell + 7)
            y = top - side - row * (side + caption_height + 6)
            self.page.sign(code, x + (cell - side) / 2, y, side)
            for number, line in enumerate(lines, start=1):
                middle = x + (cell - typeface.width(line, typeface.PLAIN, size)) / 2
                self.page.text(middle, y - number * 8.5, line, size)
        rows = -(-len(captions) // in_row)
        if not captions:
            return 0.0, top
        return in_row * (cell + 7) + 9, top - rows * (side + caption_height + 6) + 6

    def _running_head(self) -> None:
        sheet = self.sheet
        self.y -= 9
        self.page.text_right(sheet.left + sheet.room, self.y, self.heading, 9, bold=True)
        beside = typeface.width(self.heading, typeface.BOLD, 9) + 20
        lines = typeface.wrap(self.content.title, typeface.BOLD, 9, sheet.room - beside)
        self.page.text(sheet.left, self.y, lines[0] + (" …" if len(lines) > 1 else "") if lines else "", 9, bold=True)
        self.page.rule(sheet.left, self.y - 6, sheet.room, 1.2)
        self.y = self._top

    def _foot(self, page: Page, number: int) -> None:
        sheet, content = self.sheet, self.content
        y = sheet.bottom
        page.text(sheet.left, y, f"Fingerprint {content.fingerprint}", 8.5, bold=True)
        count = f"Made {content.made_on.isoformat()}. Page {number} of {len(self.done)}"
        page.text_right(sheet.left + sheet.room, y, count, 8.5)
        y += 13
        page.text(sheet.left, y, content.deferring, fitting_size(content.deferring, sheet.room, 11), bold=True)
        y += 15
        page.rule(sheet.left, y, sheet.room, 1.2)
        if number == 1:
            self._whom_to_call(page, y + 4)

    def _whom_to_call(self, page: Page, y: float) -> None:
        """Four places in two columns, and the code of the page beside them."""
        sheet, content = self.sheet, self.content
        height = self.call
        side = height - 10 if content.page_url else 0
        if content.page_url:
            page.qr(content.page_url, sheet.left + sheet.room - side, y, side)
        page.rule(sheet.left, y + height - 6, sheet.room, 1.2)
        if not content.contacts:
            return
        top = y + height - 18
        page.text(sheet.left, top, "Whom to call", 10, bold=True)
        room = self._contact_room
        for place, contact in enumerate(self._pinned):
            row, column = divmod(place, 2)
            x = sheet.left + column * (room + 12)
            base = top - height * 0.16 - row * height * 0.337
            page.text(x, base, typeface.one_line(contact.role), 8 if height > 80 else 7)
            if contact.number:
                size = fitting_size(contact.number, room, 13 if height > 80 else 11)
                page.text(x, base - height * 0.163, typeface.one_line(contact.number), size, bold=True)
            else:
                page.rule(x, base - height * 0.185, room)

    @property
    def _contact_room(self) -> float:
        side = self.call - 10 if self.content.page_url else 0
        return (self.sheet.room - side - 24) / 2

    @property
    def _pinned(self) -> tuple[Contact, ...]:
        """The first contacts that fit the places at the foot; the others are listed above."""
        room = self._contact_room
        return tuple(one for one in self.content.contacts if _fits(one, room))[:_CONTACTS]

    def _further_contacts(self) -> None:
        pinned = self._pinned
        further = [one for one in self.content.contacts if one not in pinned]
        if not further:
            return
        self._section("Whom else to call", 30)
        for contact in further:
            line = f"{contact.role}: {contact.number or '……………………………………'}"
            self._need(self._height(line, 10))
            self._paragraph(line, 10)
        self.y -= 4


def title_size(title: str, room: float, largest: float) -> float:
    """The largest head that keeps the name on two lines; a very long name takes as many as it needs."""
    for size in (largest, largest * 0.82, largest * 0.68):
        if len(typeface.wrap(title, typeface.BOLD, size, room)) <= 2:
            return size
    return 18


def fitting_size(text: str, room: float, largest: float) -> float:
    """The largest size, up to `largest`, at which a bold line keeps within `room`."""
    return min(largest, largest * room / max(typeface.width(text, typeface.BOLD, largest), 1))


def _fits(contact: Contact, room: float) -> bool:
    """Whether a contact can be read at a glance in a place of this width."""
    role = typeface.width(typeface.one_line(contact.role), typeface.PLAIN, 8)
    return role <= room and fitting_size(contact.number, room, 13) >= 9


def _caption(code: str) -> str:
    meaning = NAMES[code].split(": ")[1]
    return meaning[:1].upper() + meaning[1:]


def render_pages(content: Content, pages: list[Page], sheet: Paper, signs: tuple[str, ...], heading: str) -> bytes:
    """Return set pages as a PDF file."""
    file = BytesIO()
    canvas = open_canvas(
        file,
        sheet,
        title=f"{heading}: {content.title}",
        author=content.studio,
        subject=f"Fingerprint {content.fingerprint}",
        made_on=content.made_on,
    )
    draw_pages(canvas, Signs(canvas), pages, signs)
    canvas.save()
    return file.getvalue()
