"""A notice on paper: read from three metres at its head, from an arm's length at its foot, and by a copier throughout.

Black on white; only the signs have a colour, and they hold without it.
"""

from contextlib import suppress
from dataclasses import dataclass, field

from safety.printing import columns
from safety.printing.page import Page
from safety.printing.setting import PageFullError, Setting, fitting_size, render_pages, title_size
from safety.rules.facts import Trust
from safety.rules.handling import Caution
from safety.rules.known import KnownLine
from safety.rules.notice import HazardLine, NoticeContent
from safety.rules.precautions import AT_MOST, Precaution
from studio.printing import typeface
from studio.printing.paper import Paper, paper

HEADING = "Handling caution"
NOT_KNOWN = "Not known"

_GUTTER = 62.0  # points for the code before a statement
_BLANK_LINE = 22.0


def render(content: NoticeContent, *, page_size: str = "A4") -> bytes:
    """Return a notice as PDF: one page where it fits, further ones with a header where it does not.

    `page_size` is "A4" or "Letter"; UnknownPaperError for any other.
    """
    sheet = paper(page_size)
    return render_pages(content, lay_out(content, sheet), sheet, content.label.pictograms, HEADING)


def lay_out(content: NoticeContent, sheet: Paper) -> list[Page]:
    """Return the pages of a notice: set tighter if that brings it onto one page, never cut."""
    for fitting in _TO_ONE_PAGE:
        with suppress(PageFullError):
            return _set(content, sheet, fitting, single=True)
    return _set(content, sheet, _Fitting(known=8.6), single=False)


def _set(content: NoticeContent, sheet: Paper, fitting: "_Fitting", *, single: bool) -> list[Page]:
    return _Setting(
        content, sheet, HEADING, scale=fitting.scale, call=fitting.call, single=single, fitting=fitting
    ).pages()


@dataclass(frozen=True)
class _Fitting:
    """How tightly a notice is set. Sizes are in points; what is to be read from afar shrinks last."""

    scale: float = 1.0
    known: float = 8.0
    # The size of cautions in two columns of small print; 0: one below the other over the whole width.
    columns: float = 0.0
    head: float = 34.0
    signal: float = 50.0
    sign: float = 1.0
    call: float = 92.0
    # Hazards on the left and precautions on the right.
    beside: bool = False


_TO_ONE_PAGE = (
    _Fitting(),
    _Fitting(scale=0.93, known=7.5),
    _Fitting(scale=0.96, known=7.4, columns=9.0, head=30, signal=44, sign=0.9, call=84),
    _Fitting(scale=0.92, known=6.9, columns=8.4, head=28, signal=40, sign=0.82, call=76),
    _Fitting(scale=0.89, known=6.6, columns=7.8, head=26, signal=36, sign=0.74, call=68),
    _Fitting(scale=0.85, known=6.6, columns=7.6, head=26, signal=34, sign=0.68, call=66, beside=True),
    _Fitting(scale=0.8, known=6.1, columns=7.0, head=22, signal=30, sign=0.56, call=60, beside=True),
)


@dataclass
class _Setting(Setting):
    content: NoticeContent
    fitting: _Fitting = field(default_factory=_Fitting)

    def _body(self) -> None:
        self._head()
        self._band()
        if self.fitting.beside and self.content.hazards and self.content.precautions:
            self._side_by_side()
        else:
            self._hazards()
            self._precautions()
        if self.fitting.columns:
            self._blanks()
            self._further_contacts()
            self._small_print()
        else:
            self._cautions()
            self._blanks()
            self._further_contacts()
            self._known()

    # Parts

    def _head(self) -> None:
        content, sheet = self.content, self.sheet
        self._house_line()
        self.y -= 6
        size = title_size(content.title, sheet.room, self.fitting.head)
        self._paragraph(content.title, size, bold=True, leading=1.15)
        self.y -= 3
        self._paragraph(_what(content), 12.5)
        self.y -= 8 * self.scale**3

    def _band(self) -> None:
        """The signs and the signal word between two heavy rules."""
        sheet, label = self.sheet, self.content.label
        self.page.rule(sheet.left, self.y, sheet.room, 2.4)
        top = self.y - 10
        indent, signs_foot = self._sign_rows(label.pictograms, top, self.fitting.sign)
        words_foot = self._signal(top, indent)
        self.y = min(signs_foot, words_foot) - 8
        self.page.rule(sheet.left, self.y, sheet.room, 2.4)
        self.y -= 4

    def _signal(self, top: float, indent: float) -> float:
        """The signal word and where it comes from; returns the foot of the text."""
        content = self.content
        word = content.label.signal_word or (NOT_KNOWN if content.trust is Trust.UNKNOWN else "No signal word")
        room = self.sheet.room - indent
        largest = self.fitting.signal * (1 if content.label.signal_word or content.trust is Trust.UNKNOWN else 0.64)
        size = fitting_size(word, room, largest)
        y = top - size * 0.80
        x = self.sheet.left + indent
        self.page.text(x, y, word, size, bold=True)
        y -= size * 0.17
        small = 12 if content.trust is Trust.UNKNOWN else 8 + 2 * min(1, (self.scale - 0.8) * 6)
        for line in typeface.wrap(content.basis, typeface.PLAIN, small, room):
            y -= small * 1.3
            self.page.text(x, y, line, small)
        return y - 3

    def _hazards(self) -> None:
        self.y -= 3
        for hazard in self.content.hazards:
            self._coded(hazard.code, _hazard_words(hazard), 12 * self.scale, bold=True)

    def _precautions(self) -> None:
        self.y -= 7
        for precaution in self.content.precautions:
            self._coded(precaution.code, _precaution_words(precaution), 13.5 * self.scale)
            self.y -= 2.5 * self.scale

    def _side_by_side(self) -> None:
        """Hazards on the left, precautions on the right, each with its code before it, in the widths that save most."""
        hazards = [(one.code, _hazard_words(one)) for one in self.content.hazards]
        precautions = [(one.code, _precaution_words(one)) for one in self.content.precautions]
        room = self.sheet.room - columns.GAP
        sides = ((hazards, 12 * self.scale, typeface.BOLD), (precautions, 13.5 * self.scale, typeface.PLAIN))

        def heights(share: float) -> list[float]:
            widths = (room * share, room * (1 - share))
            return [
                _coded_height(said, size, face, width) for (said, size, face), width in zip(sides, widths, strict=True)
            ]

        share = min((0.5, 0.46, 0.42, 0.38, 0.54, 0.58), key=lambda one: max(heights(one)))
        self._need(max(heights(share)))
        top, x = self.y - 2, self.sheet.left
        for (said, size, face), width in zip(sides, (room * share, room * (1 - share)), strict=True):
            y = top
            for code, phrase in said:
                self.page.text(x, y - size, code, fitting_size(code, _NARROW_GUTTER - 4, 7))
                for line in typeface.wrap(phrase, face, size, width - _NARROW_GUTTER):
                    self.page.text(x + _NARROW_GUTTER, y - size, line, size, bold=face == typeface.BOLD)
                    y -= size * 1.22
                y -= 2
            x += width + columns.GAP
        self.y -= max(heights(share)) + 2

    def _coded(self, code: str, phrase: str, size: float, *, bold: bool = False) -> None:
        """A statement with its code in the gutter."""
        self._need(self._height(phrase, size, indent=_GUTTER, bold=bold))
        self.page.text(self.sheet.left, self.y - size, code, fitting_size(code, _GUTTER - 5, 7.5))
        self._paragraph(phrase, size, indent=_GUTTER, bold=bold)

    def _cautions(self) -> None:
        """Six in large type where no precautionary statement is known; the others smaller, each with its source."""
        lines = self.content.cautions
        large = 0 if self.content.precautions else min(AT_MOST, len(lines))
        for caution in lines[:large]:
            self._caution(caution, 13 * self.scale)
        rest = lines[large:]
        if rest:
            self._section("When you work with it" if not large else "And", 30)
        for caution in rest:
            self._caution(caution, 10 * self.scale)

    def _caution(self, caution: Caution, size: float) -> None:
        """What to do on the left; why, and on whose word, on the right."""
        why = _why(caution)
        beside = self.sheet.room * _WHY_SHARE
        text_lines = typeface.wrap(caution.text, typeface.PLAIN, size, self.sheet.room - beside - 14)
        why_lines = typeface.wrap(why, typeface.PLAIN, _SMALL, beside)
        height = max(len(text_lines) * size * 1.28, len(why_lines) * _SMALL * 1.25)
        self._need(height)
        x = self.sheet.left + self.sheet.room - beside
        for number, line in enumerate(text_lines):
            self.page.text(self.sheet.left, self.y - size - number * size * 1.28, line, size)
        for number, line in enumerate(why_lines):
            self.page.text(x, self.y - size - number * _SMALL * 1.25, line, _SMALL)
        self.y -= height + 5 * self.scale

    def _blanks(self) -> None:
        if not self.content.blanks:
            return
        self._section("Fill in from the maker's sheet", _BLANK_LINE * len(self.content.blanks))
        for label in self.content.blanks:
            self._need(_BLANK_LINE)
            self.y -= _BLANK_LINE
            self.page.text(self.sheet.left, self.y + 3, label, 9)
            self.page.rule(self.sheet.left + 130, self.y, self.sheet.room - 130)
        self.y -= 4

    def _known(self) -> None:
        size = self.fitting.known
        self._section("What is known, and from where", size * 6)
        subject = ""
        for line in self.content.known:
            text = _sourced(line)
            height = min(self._height(text, size, indent=10), _KEPT_TOGETHER)
            if line.subject != subject:
                subject = line.subject
                self._need(self._height(subject, size, bold=True) + size * 0.4 + height)
                self.y -= size * 0.4
                self._paragraph(subject, size, bold=True)
            self._need(height)
            self._paragraph(text, size, indent=10)
            self.y -= size * 0.2
        for left_out in (*self.content.label.dropped, *self.content.label.dropped_pictograms):
            self._paragraph(f"Not shown: {left_out.code}, because {left_out.reason}.", size)

    def _small_print(self) -> None:
        """The cautions and what is known in two columns, each with its source."""
        size, room = self.fitting.columns, columns.column_width(self.sheet.room)
        less = self.fitting.known
        lines = columns.lines_of("When you work with it", size + 1, room, bold=True, holds=True, after=2)
        for caution in self.content.cautions:
            lines += columns.run_in(caution.text, _why(caution), size, less, room, after=2.2)
        lines += columns.lines_of("What is known, and from where", size + 1, room, bold=True, holds=True, after=2)
        subject = ""
        for line in self.content.known:
            if line.subject != subject:
                subject = line.subject
                lines += columns.lines_of(subject, less, room, bold=True, holds=True)
            lines += columns.lines_of(_sourced(line), less, room, indent=6, after=1)
        for left_out in (*self.content.label.dropped, *self.content.label.dropped_pictograms):
            lines += columns.lines_of(f"Not shown: {left_out.code}, because {left_out.reason}.", less, room, after=1)
        self.y -= 4
        self.page.rule(self.sheet.left, self.y, self.sheet.room, 0.5)
        self.y -= 4
        self._need(columns.balanced(lines)[1])
        self.y = columns.draw(self.page, lines, self.sheet.left, self.y, self.sheet.room)


_WHY_SHARE = 0.36
_NARROW_GUTTER = 44.0
_SMALL = 7.4
_KEPT_TOGETHER = 200.0


def _what(content: NoticeContent) -> str:
    codes = ", ".join(content.codes) if content.codes else "pigments not known" if content.form == "paint" else ""
    kind = content.form if not content.binder else f"{content.binder} {content.form}"
    return " · ".join(filter(None, (codes, kind)))


def _coded_height(said: list[tuple[str, str]], size: float, face: str, width: float) -> float:
    broken = (typeface.wrap(phrase, face, size, width - _NARROW_GUTTER) for _, phrase in said)
    return sum(len(lines) * size * 1.22 + 2 for lines in broken)


def _hazard_words(hazard: HazardLine) -> str:
    return f"{hazard.phrase} ({hazard.remark})" if hazard.remark else hazard.phrase


def _precaution_words(precaution: Precaution) -> str:
    return f"{precaution.phrase} ({precaution.local})" if precaution.local else precaution.phrase


def _why(caution: Caution) -> str:
    return f"{caution.why[:1].upper()}{caution.why[1:]}. Source: {caution.source}."


def _sourced(line: KnownLine) -> str:
    return f"{line.text} [{line.source}]" if line.source else line.text
