"""A book of 200 notice pages against the same words set by reportlab alone.

Run by hand: python -m tests.bench.bench_notices
The baseline sets the same lines, in the same face, sizes and places on as many pages, with canvas.drawString; it
breaks no lines, draws no sign and no QR code and has no table of contents. A second baseline lets reportlab break the
lines: one Paragraph for each text. Aims: at most 1.6 times the second, and below 1 MB.
"""

import statistics
from collections.abc import Callable
from datetime import date
from io import BytesIO
from time import perf_counter
from xml.sax.saxutils import escape  # writes markup, reads none

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import PageBreak, Paragraph, SimpleDocTemplate

from safety.printing import book, pictograms
from safety.printing.notice import lay_out
from safety.rules.facts import Facts
from safety.rules.notice import House, NoticeContent, content
from studio.printing import qr, typeface
from studio.printing.paper import PAPERS
from tests.safety.reference import phrasebook, pigment, rows, substances

PAGES = 200
ROUNDS = 5


def contents() -> list[NoticeContent]:
    """Notices for the pigments of the table in turn, each with its own name and address, until they fill 200 pages."""
    codes = [row["ci_name"] for row in rows("pigments")]
    made: list[NoticeContent] = []
    pages = 0
    while pages < PAGES:
        number = len(made)
        if number % 10 == 9:
            facts = Facts(f"Turpentine {number}", form="solvent", ingredients=substances("turpentine, oil"))
        else:
            facts = Facts(f"Paint {number}", binder="oil", pigments=(pigment(codes[number % len(codes)]),))
        one = content(
            facts,
            house=House("Studio"),
            phrasebook=phrasebook(),
            made_on=date(2026, 3, 2),
            page_url=f"https://studio.example/safety/notices/{number}/",
        )
        made.append(one)
        pages += len(lay_out(one, PAPERS["A4"]))
    return made


def words(made: list[NoticeContent]) -> list[list[tuple[float, float, str, str, float]]]:
    """Every text mark of every page."""
    return [
        [mark.args for mark in page.marks if len(mark.args) == 5] for one in made for page in lay_out(one, PAPERS["A4"])
    ]


def bare_strings(pages: list[list[tuple[float, float, str, str, float]]]) -> bytes:
    file = BytesIO()
    canvas = Canvas(file, pagesize=(PAPERS["A4"].width, PAPERS["A4"].height), pageCompression=1)
    for lines in pages:
        for x, y, text, face, size in lines:
            canvas.setFont(face, size)
            canvas.drawString(x, y, text)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def bare_paragraphs(pages: list[list[tuple[float, float, str, str, float]]]) -> bytes:
    file = BytesIO()
    document = SimpleDocTemplate(file, pagesize=(PAPERS["A4"].width, PAPERS["A4"].height), pageCompression=1)
    style = ParagraphStyle("plain", fontName=typeface.PLAIN, fontSize=7, leading=8.5)
    story: list[object] = []
    for lines in pages:
        story += [Paragraph(escape(text), style) for _, _, text, _, _ in lines]
        story.append(PageBreak())
    document.build(story)
    return file.getvalue()


def timed(work: Callable[[], bytes]) -> tuple[float, int]:
    """Seconds of one round with cold caches, and the bytes made."""
    typeface.wrap.cache_clear()
    qr.runs.cache_clear()
    pictograms.drawing.cache_clear()
    start = perf_counter()
    size = len(work())
    return perf_counter() - start, size


def main() -> None:
    typeface.register()
    made = contents()
    pages = words(made)
    ways = {
        "drawString": lambda: bare_strings(pages),
        "Paragraph": lambda: bare_paragraphs(pages),
        "book": lambda: book.render(made),
    }
    # Turn by turn, so that a busy machine slows all three alike.
    rounds = [{name: timed(work) for name, work in ways.items()} for _ in range(ROUNDS)]
    print(f"{len(made)} notices, {len(pages)} pages, {sum(map(len, pages))} lines of text, median of {ROUNDS}")
    for name in ways:
        print(f"{name:10} {_median(rounds, name):6.2f} s {rounds[0][name][1] / 1024:6.0f} KiB")
    for name in ("Paragraph", "drawString"):
        ratio = statistics.median(one["book"][0] / one[name][0] for one in rounds)
        print(f"book / {name} {ratio:.2f}")
    print(f"aims: book / Paragraph at most 1.6, book below 1 MB; it is {rounds[0]['book'][1] / 1e6:.2f} MB")


def _median(rounds: list[dict[str, tuple[float, int]]], name: str) -> float:
    return statistics.median(one[name][0] for one in rounds)


if __name__ == "__main__":
    main()
