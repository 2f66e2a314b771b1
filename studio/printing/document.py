"""A PDF file around finished pages: title, language, date, and the same bytes for the same content."""

from datetime import UTC, date, datetime
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from studio.printing import typeface
from studio.printing.paper import Paper

LANGUAGE = "en"


def open_canvas(file: BytesIO, paper: Paper, *, title: str, author: str, subject: str, made_on: date) -> Canvas:
    """Start a document whose bytes depend on its content alone."""
    typeface.register()
    canvas = Canvas(
        file,
        pagesize=(paper.width, paper.height),
        pageCompression=1,
        invariant=1,
        lang=LANGUAGE,
        initialFontName=typeface.PLAIN,
        initialFontSize=10,
    )
    _date(canvas, made_on)
    canvas.setTitle(typeface.one_line(title))
    canvas.setAuthor(typeface.one_line(author))
    canvas.setSubject(typeface.one_line(subject))
    canvas.setCreator("Tubeshelf")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


def _date(canvas: Canvas, made_on: date) -> None:
    """Date the file as its content is dated: reportlab's reproducible mode would date it 1 January 2000."""
    stamp = canvas._doc._timeStamp
    moment = datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC)
    stamp.t = moment.timestamp()
    stamp.lt = moment.timetuple()
    stamp.YMDhms = tuple(stamp.lt)[:6]
