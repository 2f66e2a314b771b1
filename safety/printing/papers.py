"""Class pages, posters, door sheets and lists on paper: black on white, and every line with its source.

A poster is read from three metres: heads of 48 points have capitals of 12 mm, answers of 22 points or more of 5.6 mm
(an eye that reads 5 minutes of arc tells letters of 4.4 mm apart at 3 m).
"""

from contextlib import suppress
from dataclasses import dataclass, replace

from safety.printing import columns
from safety.printing.page import Page
from safety.printing.setting import PageFullError, Setting, fitting_size, render_pages, title_size
from safety.rules.papers.paper import NOT_TOLD, Entry, Part
from safety.rules.papers.paper import Paper as Content
from studio.printing import typeface
from studio.printing.paper import Paper, paper

# From roomy to small, each with whether it is set tight: lines run on, cautions in two columns of small print. The
# last is still read at arm's length.
_STEPS = ((1.0, False), (0.92, False), (1.0, True), (0.92, True), (0.84, True), (0.77, True), (0.72, True))
# Of these the largest that needs no page more.
_SEVERAL = (1.0, 0.92, 0.84)
_POSTER_HEAD = 48.0
_SMALL = 7.2
_UNTOLD = 6.5
_BLANK = 24.0
# Shares of the width: of what, what is said, and the source, written out or as a number.
_SOURCED = (0.33, 0.37, 0.3)
_NUMBERED = (0.34, 0.6, 0.06)
_UNSOURCED = (0.4, 0.6, 0.0)
_NUMBER = 8  # letters


def render(content: Content, *, page_size: str = "A4") -> bytes:
    """Return a paper as PDF: one page where it fits, further ones with a header where it does not.

    `page_size` is "A4" or "Letter"; UnknownPaperError for any other.
    """
    sheet = paper(page_size)
    return render_pages(content, lay_out(content, sheet), sheet, content.signs, content.kind)


def lay_out(content: Content, sheet: Paper) -> list[Page]:
    """Return the pages of a paper: set tighter if that brings it onto one page, never cut."""
    for scale, tight in _STEPS:
        with suppress(PageFullError):
            return _set(content, sheet, scale, tight=tight, single=True)
    best = _several(content, sheet)
    if not any(part.style == "cautions" for part in content.parts):
        return best
    why = f"{len(best)} pages: too much for one at a size that is read"
    return _several(replace(content, subtitle=f"{content.subtitle} · {why}"), sheet)


def _several(content: Content, sheet: Paper) -> list[Page]:
    return min((_set(content, sheet, scale, tight=False, single=False) for scale in _SEVERAL), key=len)


def _set(content: Content, sheet: Paper, scale: float, *, tight: bool, single: bool) -> list[Page]:
    call = (68.0 if tight else 86.0) if content.contacts else 68.0 if content.page_url else 0.0
    return _Setting(content, sheet, content.kind, scale=scale, call=call, single=single, tight=tight).pages()


@dataclass
class _Setting(Setting):
    content: Content
    tight: bool = False
    _shares: tuple[float, float, float] = _SOURCED

    def _body(self) -> None:
        self._house_line()
        self.y -= 4
        is_poster = any(part.style == "answers" for part in self.content.parts)
        if is_poster:
            self._poster_head()
        else:
            size = title_size(self.content.title, self.sheet.room, 34.0 * self.scale)
            self._paragraph(self.content.title, size, bold=True, leading=1.12)
            self.y -= 4 * self.scale
        if self.content.subtitle:
            self._paragraph(self.content.subtitle, 12 * self.scale)
        self.y -= 4
        self.page.rule(self.sheet.left, self.y, self.sheet.room, 2.4)
        self.y -= 4
        if not is_poster:
            self._band()
        parts = list(self.content.parts)
        small = next((place for place, part in enumerate(parts) if part.style == "cautions"), len(parts))
        if not self.tight:
            small = len(parts)
        # Of several pages the first says all that there is to call.
        if not self.single:
            self._further_contacts()
        for part in parts[:small]:
            if self.tight and part.style == "lines" and part.heading:
                self._run_in(part)
            else:
                self._part(part)
        if self.single:
            self._further_contacts()
        if parts[small:]:
            self._small_print(parts[small:])

    def _run_in(self, part: Part) -> None:
        """Heading and words in one paragraph."""
        size = max(7.4, 10.4 * self.scale)
        said = [
            (f"{one.label}{'' if one.label.endswith(']') else ':'} " if one.label else "")
            + one.text
            + (f" [{one.source}]" if one.source else "")
            for one in part.entries
        ]
        # A sentence has its own end; what has none is set apart.
        ended = [one if one.endswith(".") or one == said[-1] else f"{one};" for one in said]
        words = " ".join(filter(None, (part.note, *ended)))
        lines = columns.run_in(f"{part.heading}:", words, size, size, self.sheet.room, after=3)
        self._need(sum(line.height for line in lines) + 6)
        self.y -= 6
        self.page.rule(self.sheet.left, self.y + 3, self.sheet.room, 0.5)
        for line in lines:
            columns.draw_line(self.page, line, self.sheet.left, self.y)
            self.y -= line.height

    def _poster_head(self) -> None:
        """The room's name, and the signs of what stands there at its right."""
        side, signs = 40.0, self.content.signs
        room = self.sheet.room - len(signs) * (side + 4) - (8 if signs else 0)
        size = title_size(self.content.title, room, _POSTER_HEAD)
        if self.tight:
            # One line leaves room for the answers.
            size = max(min(size, fitting_size(self.content.title, room, _POSTER_HEAD)), _POSTER_HEAD * 0.7)
        lines = typeface.wrap(self.content.title, typeface.BOLD, size, room)
        self.y -= 2
        for place, code in enumerate(signs):
            x = self.sheet.left + self.sheet.room - (len(signs) - place) * (side + 4) + 4
            self.page.sign(code, x, self.y - side - 6, side)
        self._stack(lines, self.sheet.left, size, 1.1, bold=True)
        self.y -= max(len(lines) * size * 1.1, side + 6) + 8

    def _small_print(self, parts: list[Part]) -> None:
        """Cautions and what is set out in two columns, so that a whole palette keeps to one page."""
        size, less = max(7.2, 10.2 * self.scale), max(6.1, 8.3 * self.scale)
        room = columns.column_width(self.sheet.room)
        lines: list[columns.Line] = []
        for part in parts:
            lines += columns.lines_of(part.heading, size + 1, room, bold=True, holds=True, after=2)
            lines += columns.lines_of(part.note, less, room, holds=True, after=2) if part.note else []
            for entry in part.entries:
                colon = "" if entry.label.endswith("]") else ":"
                lead, rest = (f"{entry.label}{colon}", entry.text) if entry.label else (entry.text, "")
                source = entry.source if not rest or entry.source.startswith("[") else f"[{entry.source}]"
                said = f"{rest} {source}" if rest and entry.source else rest or entry.source
                lines += columns.run_in(lead, said, size, less, room, after=2)
        self.y -= 5
        self.page.rule(self.sheet.left, self.y, self.sheet.room, 0.5)
        self.y -= 4
        self._need(columns.balanced(lines)[1])
        self.y = columns.draw(self.page, lines, self.sheet.left, self.y, self.sheet.room)

    def _band(self) -> None:
        """The signs, and the signal word with what both are of, between two heavy rules."""
        content, sheet = self.content, self.sheet
        if not (content.signs or content.signal_word or content.basis):
            return
        top = self.y - 3
        indent, foot = self._sign_rows(content.signs, top, (0.54 if self.tight else 0.66) * self.scale)
        y, x = top, sheet.left + indent
        if content.signal_word:
            size = fitting_size(content.signal_word, sheet.room - indent, 38 * self.scale)
            self.page.text(x, y - size * 0.8, content.signal_word, size, bold=True)
            y -= size
        for line in typeface.wrap(content.basis, typeface.PLAIN, 9, sheet.room - indent):
            y -= 11.7
            self.page.text(x, y, line, 9)
        self.y = min(foot, y) - 7
        self.page.rule(sheet.left, self.y, sheet.room, 2.4)
        self.y -= 2

    # Parts

    def _part(self, part: Part) -> None:
        if part.heading:
            self._section(part.heading, 30)
        longest = max((len(one.source) for one in part.entries), default=0)
        self._shares = _SOURCED if longest > _NUMBER else _NUMBERED if longest else _UNSOURCED
        if part.note:
            size = 9.5 * self.scale
            self._need(self._height(part.note, size))
            self._paragraph(part.note, size)
        styles = {
            "answers": self._answer,
            "facts": self._fact,
            "cautions": self._caution,
            "table": self._row,
            "lines": self._line,
            "signatures": self._signature,
        }
        for entry in part.entries:
            styles[part.style](entry)

    def _answer(self, entry: Entry) -> None:
        """A head that is read across the room, and under it the answer or a line to write it on."""
        size = max(22.0, 27.0 * self.scale)
        answer = self._height(entry.text, size, leading=1.14) if entry.text else size * 1.25
        # Of the empty space above the capitals a part goes to the line before; tails below keep theirs.
        self.y += _POSTER_HEAD * 0.05 if self.tight else 0.0
        # The tails of the head keep clear of the answer, where the smallest setting does not need that too.
        clear = (self.scale - _STEPS[-1][0]) * 14
        self._need(_POSTER_HEAD * 1.12 + clear + answer)
        before = self.content.parts[0].entries[: self.content.parts[0].entries.index(entry)]
        if before and before[-1].text:
            self.page.rule(self.sheet.left, self.y - 5, self.sheet.room, 0.8)
        self._paragraph(entry.label, _POSTER_HEAD, bold=True, leading=1.12)
        self.y -= clear
        if entry.text:
            self._paragraph(entry.text, size, leading=1.14)
        else:
            self.y -= size * 1.25
            self.page.rule(self.sheet.left, self.y + 3, self.sheet.room, 1.2)
            self.page.text_right(self.sheet.left + self.sheet.room, self.y + 6, NOT_TOLD, 9)
        self.y -= 6 * self.scale**4

    def _fact(self, entry: Entry) -> None:
        """The name on the left, the words large, the source small at the right; a blank is a line."""
        size, name = 13 * self.scale, 9 * self.scale
        source = self.sheet.room * 0.16 if entry.source else 0.0
        indent = self.sheet.room * 0.2
        room = self.sheet.room - indent - source - (8 if source else 0)
        lines = typeface.wrap(entry.text, typeface.BOLD, size, room) if entry.text else ()
        named = typeface.wrap(entry.label, typeface.PLAIN, name, indent - 8)
        said = typeface.wrap(entry.source, typeface.PLAIN, _SMALL, source) if entry.text and source else ()
        height = max(
            len(lines) * size * 1.2, len(named) * name * 1.2, len(said) * 9, 0 if lines else _BLANK * self.scale
        )
        self._need(height)
        left = self.sheet.left
        self._stack(named, left, name, 1.2)
        self._stack(lines, left + indent, size, 1.2, bold=True)
        self._stack(said, left + self.sheet.room - source, _SMALL, 1.25)
        if not entry.text:
            self.page.rule(left + indent, self.y - height + 3, self.sheet.room - indent)
            self.page.text_right(left + self.sheet.room, self.y - height + 5, NOT_TOLD, _UNTOLD)
        self.y -= height + 3 * self.scale

    def _caution(self, entry: Entry) -> None:
        """What to do on the left; for what, and on whose word, on the right."""
        size, beside = 11 * self.scale, self.sheet.room * 0.34
        text = typeface.wrap(entry.text, typeface.PLAIN, size, self.sheet.room - beside - 12)
        small = max(6.4, _SMALL * self.scale)
        source = typeface.wrap(entry.source, typeface.PLAIN, small, beside)
        height = max(len(text) * size * 1.22, len(source) * small * 1.22)
        self._need(height)
        self._stack(text, self.sheet.left, size, 1.22)
        self._stack(source, self.sheet.left + self.sheet.room - beside, small, 1.22)
        self.y -= height + 2.5 * self.scale

    def _row(self, entry: Entry) -> None:
        """Of what, what is said, and on whose word, in three columns between thin rules."""
        size = max(7.2, 9.5 * self.scale)
        small = max(6.4, _SMALL * self.scale)
        gap = 9.0
        x = self.sheet.left
        cells = []
        for share, (text, face, letters) in zip(
            self._shares,
            (
                (entry.label, typeface.BOLD, size),
                (entry.text, typeface.PLAIN, size),
                (entry.source, typeface.PLAIN, small),
            ),
            strict=True,
        ):
            cells.append((x, typeface.wrap(text, face, letters, self.sheet.room * share - gap), letters, face))
            x += self.sheet.room * share
        height = max(len(lines) * letters * 1.2 for _, lines, letters, _ in cells) + 3
        self._need(height)
        for left, lines, letters, face in cells:
            self._stack(lines, left, letters, 1.2, bold=face == typeface.BOLD)
        self.y -= height
        self.page.rule(self.sheet.left, self.y + 0.5, self.sheet.room, 0.3)

    def _line(self, entry: Entry) -> None:
        size = 9.5 * self.scale
        said = f"{entry.text} [{entry.source}]" if entry.source else entry.text
        indent = 0.0
        if entry.label:
            indent = 22.0 if typeface.width(entry.label, typeface.BOLD, size) < 18 else 62.0
        if entry.label:
            self._need(size * 1.3)
            self.page.text(
                self.sheet.left, self.y - size, entry.label, fitting_size(entry.label, indent - 5, size), bold=True
            )
        self._paragraph(said, size, indent=indent)
        self.y -= 1.5

    def _signature(self, entry: Entry) -> None:
        """Name, day and hand; what is signed already stands in the row, the others are to be filled in."""
        pages = len(self.done)
        self._need(_BLANK)
        if len(self.done) > pages:
            signed = next(part for part in self.content.parts if part.style == "signatures")
            self._paragraph(f"{signed.heading}, continued", 10 * self.scale, bold=True)
        self.y -= _BLANK
        room = self.sheet.room
        for share, width, text, what in ((0, 0.42, entry.label, "Name"), (0.45, 0.18, entry.text, "Date")):
            left = self.sheet.left + room * share
            if text:
                self.page.text(left, self.y + 4, text, fitting_size(text, room * width, 11))
            else:
                self.page.text(left, self.y - 7, what, 6.5)
            self.page.rule(left, self.y, room * width)
        left = self.sheet.left + room * 0.66
        self.page.text(
            left,
            self.y - 7 if not entry.source else self.y + 4,
            entry.source or "Signature",
            9 if entry.source else 6.5,
        )
        self.page.rule(left, self.y, room * 0.34)

    def _stack(self, lines: tuple[str, ...], x: float, size: float, leading: float, *, bold: bool = False) -> None:
        for number, line in enumerate(lines):
            self.page.text(x, self.y - size - number * size * leading, line, size, bold=bold)
