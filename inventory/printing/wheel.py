"""The wheel at one value level as a file: SVG, PNG, or a PDF sheet with its figures. It survives a bad copier.

All three are drawn from one list of shapes, in units of the drawing: the rim lies 100 from the centre, y runs downward.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from html import escape
from importlib.resources import as_file, files
from io import BytesIO
from math import cos, radians, sin

from PIL import Image, ImageDraw, ImageFont
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from studio.printing import typeface
from studio.printing.document import open_canvas
from studio.printing.paper import MM, Paper, paper

RIM = 100.0
HALF_WIDTH, TOP, FOOT = 172.0, -158.0, 158.0
LEGEND_SIZE, LEGEND_STEP = 9.0, 13.0
LEGEND_COLUMNS = 2
# A long name is set smaller, down to this share.
LEGEND_LEAST = 0.6
ARC_STEP = 2.0
# Pixels to a unit: 2064 across, enough for a page at 300 dots to the inch.
PIXELS = 6
REACHED_GREY = "#d0d0d0"


@dataclass(frozen=True)
class Piece:
    """A ring of a sector: angles in degrees, radii in units; the colour of what is reached, None where nothing is."""

    start: float
    end: float
    inner: float
    outer: float
    hex: str | None


@dataclass(frozen=True)
class Sector:
    """How far the paints reach in a sector, and the limit of real surface colours, both as radii."""

    start: float
    end: float
    reached: float
    limit: float


@dataclass(frozen=True)
class Tube:
    """A paint with its number: at the rim, or beside the wheel if it has no hue (angle None)."""

    number: int
    name: str
    codes: str
    hex: str
    angle: float | None
    points: str
    holds: str


@dataclass(frozen=True)
class Word:
    lines: tuple[str, ...]
    x: float
    y: float
    anchor: str


@dataclass(frozen=True)
class WheelSheet:
    """Everything that a file of the wheel says. `black` draws without colour."""

    title: str
    paints: str
    studio: str
    made_on: date
    meaning: str
    how_sure: str
    gaps: tuple[str, ...]
    pieces: tuple[Piece, ...]
    sectors: tuple[Sector, ...]
    tubes: tuple[Tube, ...]
    words: tuple[Word, ...]
    black: bool = False


@dataclass(frozen=True)
class Shape:
    points: tuple[tuple[float, float], ...]
    fill: str | None
    stroke: str | None
    width: float


@dataclass(frozen=True)
class Text:
    x: float
    y: float
    size: float
    anchor: str
    text: str
    bold: bool = False


def as_svg(sheet: WheelSheet) -> bytes:
    """The drawing with its legend, needing nothing beside it."""
    height = _legend_foot(sheet) - TOP
    box = f"{-HALF_WIDTH:g} {TOP:g} {2 * HALF_WIDTH:g} {height:g}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="{2 * HALF_WIDTH:g}mm" role="img">',
        f"<title>{escape(sheet.title)}</title>",
        f"<desc>{escape(f'{sheet.paints}. {sheet.meaning} {sheet.how_sure}')}</desc>",
        f'<rect x="{-HALF_WIDTH:g}" y="{TOP:g}" width="{2 * HALF_WIDTH:g}" height="{height:g}" fill="#ffffff"/>',
    ]
    for one in (*_drawing(sheet), *_legend(sheet)):
        parts.append(_svg_text(one) if isinstance(one, Text) else _svg_shape(one))
    return "\n".join([*parts, "</svg>", ""]).encode()


def as_png(sheet: WheelSheet) -> bytes:
    """The same as a picture, drawn at twice its size and brought down, so that its edges are smooth."""
    scale = 2 * PIXELS
    height = _legend_foot(sheet) - TOP
    image = Image.new("RGB", (round(2 * HALF_WIDTH * scale), round(height * scale)), "#ffffff")
    brush = ImageDraw.Draw(image)
    for one in (*_drawing(sheet), *_legend(sheet)):
        if isinstance(one, Text):
            _png_text(brush, one, scale)
            continue
        points = [((x + HALF_WIDTH) * scale, (y - TOP) * scale) for x, y in one.points]
        if one.fill:
            brush.polygon(points, fill=one.fill)
        if one.stroke:
            brush.line([*points, points[0]], fill=one.stroke, width=max(1, round(one.width * scale)), joint="curve")
    image = image.reduce(2)
    file = BytesIO()
    image.save(file, "PNG", dpi=(300, 300))
    return file.getvalue()


def as_pdf(sheet: WheelSheet, *, page_size: str = "A4") -> bytes:
    """A sheet with the drawing, what the figure means, what is missing, and every tube; it runs on as needed."""
    size = paper(page_size)
    file = BytesIO()
    canvas = open_canvas(
        file, size, title=sheet.title, author=sheet.studio, subject=sheet.paints, made_on=sheet.made_on
    )
    _Sheet(canvas, size, sheet).draw()
    canvas.save()
    return file.getvalue()


def _drawing(sheet: WheelSheet) -> Iterable[Shape | Text]:
    for piece in sheet.pieces:
        fill = None if piece.hex is None else REACHED_GREY if sheet.black else piece.hex
        yield Shape(_ring(piece), fill, "#8c8c8c" if piece.hex is None else "#505050", 0.25)
    yield Shape(_outline((one.start, one.end, one.limit) for one in sheet.sectors), None, "#000000", 0.4)
    if any(one.reached for one in sheet.sectors):
        # A heavy line round what is reached tells it from the rest where a copier loses the colours.
        yield Shape(_outline((one.start, one.end, one.reached) for one in sheet.sectors), None, "#000000", 1.1)
    for tube in sheet.tubes:
        if tube.angle is not None:
            yield _drop(tube, sheet.black)
            x, y = _at(tube.angle, 125.0)
            yield Text(x, y + 3.0, 8.5, "middle", str(tube.number), bold=True)
    for word in sheet.words:
        for line, text in enumerate(word.lines):
            yield Text(word.x, word.y + (4.0 if len(word.lines) == 1 else -1.0 + 10.0 * line), 9.0, word.anchor, text)


def _legend(sheet: WheelSheet) -> Iterable[Shape | Text]:
    """Name and number of every tube in columns below the drawing, and what the picture is of."""
    yield Text(-HALF_WIDTH + 8.0, FOOT + 12.0, 10.0, "start", sheet.title, bold=True)
    yield _named(-HALF_WIDTH + 8.0, FOOT + 26.0, sheet.paints, 2 * HALF_WIDTH - 16.0)
    rows = -(-len(sheet.tubes) // LEGEND_COLUMNS)
    room = 2 * HALF_WIDTH / LEGEND_COLUMNS
    for place, tube in enumerate(sheet.tubes):
        x = -HALF_WIDTH + 8.0 + room * (place // max(1, rows))
        y = FOOT + 44.0 + LEGEND_STEP * (place % max(1, rows))
        square = ((x, y - 8.0), (x + 9.0, y - 8.0), (x + 9.0, y + 1.0), (x, y + 1.0))
        yield Shape(square, "#ffffff" if sheet.black else tube.hex, "#000000", 0.4)
        yield _named(x + 14.0, y, f"{tube.number}  {tube.name} {tube.codes}", room - 28.0)


def _legend_foot(sheet: WheelSheet) -> float:
    return FOOT + 44.0 + LEGEND_STEP * -(-len(sheet.tubes) // LEGEND_COLUMNS)


def _named(x: float, y: float, text: str, room: float) -> Text:
    """A line of the legend, set smaller where it is long, and cut only where it would become too small to read."""
    text = typeface.one_line(text)
    width = typeface.width(text, typeface.PLAIN, LEGEND_SIZE)
    size = LEGEND_SIZE * max(LEGEND_LEAST, min(1.0, room / max(width, 1e-9)))
    while text and typeface.width(text, typeface.PLAIN, size) > room + 0.01:
        text = f"{text.removesuffix('…')[:-1].rstrip()}…"
    return Text(x, y, size, "start", text)


def _at(angle: float, radius: float) -> tuple[float, float]:
    return radius * cos(radians(angle)), -radius * sin(radians(angle))


def _arc(start: float, end: float, radius: float) -> list[tuple[float, float]]:
    steps = max(1, round((end - start) / ARC_STEP))
    return [_at(start + (end - start) * step / steps, radius) for step in range(steps + 1)]


def _ring(piece: Piece) -> tuple[tuple[float, float], ...]:
    outer = _arc(piece.start, piece.end, piece.outer)
    inner = _arc(piece.start, piece.end, piece.inner) if piece.inner > 0.01 else [(0.0, 0.0)]
    return (*outer, *reversed(inner))


def _outline(edges: Iterable[tuple[float, float, float]]) -> tuple[tuple[float, float], ...]:
    return tuple(point for start, end, radius in edges for point in _arc(start, end, radius))


def _drop(tube: Tube, black: bool) -> Shape:
    """A round drop whose tip points to the centre."""
    assert tube.angle is not None  # noqa: S101  # who asks has looked
    x, y = _at(tube.angle, 112.0)
    turn = 180.0 - tube.angle
    shape = [(-9.0, 0.0), *((5.5 * cos(radians(a)), 5.5 * sin(radians(a))) for a in range(-130, 131, 13))]
    c, s = cos(radians(180.0 + turn)), sin(radians(180.0 + turn))
    points = tuple((x + c * dx - s * dy, y + s * dx + c * dy) for dx, dy in shape)
    return Shape(points, "#ffffff" if black else tube.hex, "#000000", 0.5)


def _svg_shape(shape: Shape) -> str:
    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in shape.points)
    line = f'stroke="{shape.stroke}" stroke-width="{shape.width:g}" stroke-linejoin="round"' if shape.stroke else ""
    return f'<polygon points="{points}" fill="{shape.fill or "none"}" {line}/>'


def _svg_text(text: Text) -> str:
    weight = ' font-weight="bold"' if text.bold else ""
    return (
        f'<text x="{text.x:.2f}" y="{text.y:.2f}" font-size="{text.size:g}" font-family="sans-serif"{weight} '
        f'text-anchor="{text.anchor}">{escape(text.text)}</text>'
    )


@lru_cache(maxsize=16)
def _font(face: str, size: int) -> ImageFont.FreeTypeFont:
    with as_file(files("studio.printing").joinpath("fonts", f"{face}.ttf")) as path:
        return ImageFont.truetype(str(path), size)


def _png_text(brush: ImageDraw.ImageDraw, text: Text, scale: float) -> None:
    face = typeface.BOLD if text.bold else typeface.PLAIN
    font = _font(face, round(text.size * scale))
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[text.anchor]
    place = ((text.x + HALF_WIDTH) * scale, (text.y - TOP) * scale)
    brush.text(place, text.text, fill="#000000", font=font, anchor=anchor)


class _Sheet:
    """Flows one column from page to page; y is measured upward, as PDF has it."""

    def __init__(self, canvas: Canvas, size: Paper, sheet: WheelSheet) -> None:
        self.canvas, self.size, self.sheet = canvas, size, sheet
        self.y = size.height - size.top

    def draw(self) -> None:
        sheet = self.sheet
        self._lines([sheet.title], typeface.BOLD, 16.0)
        self._lines([f"{sheet.studio}, {sheet.made_on:%-d %B %Y}: {sheet.paints}"], typeface.PLAIN, 10.5)
        self._wheel()
        self._lines([sheet.meaning], typeface.BOLD, 10.5)
        self._lines([sheet.how_sure], typeface.PLAIN, 9.0)
        if sheet.gaps:
            self.y -= 4.0
            self._lines(["What is missing"], typeface.BOLD, 12.0)
            self._lines(sheet.gaps, typeface.PLAIN, 10.0)
        self.y -= 4.0
        self._lines(["Tubes"], typeface.BOLD, 12.0)
        self._lines(
            ["Number, paint and codes; points of coverage that it alone holds up, and where."], typeface.PLAIN, 9
        )
        for tube in sheet.tubes:
            self._tube(tube)
        self._foot()

    def _wheel(self) -> None:
        scale = min(self.size.room / (2 * HALF_WIDTH), 1.35)
        height = (FOOT - TOP) * scale
        left = self.size.left + (self.size.room - 2 * HALF_WIDTH * scale) / 2
        canvas = self.canvas
        canvas.saveState()
        canvas.translate(left + HALF_WIDTH * scale, self.y + TOP * scale)
        canvas.setLineJoin(1)
        for one in _drawing(self.sheet):
            if isinstance(one, Text):
                self._drawn_text(one, scale)
            else:
                self._drawn_shape(one, scale)
        canvas.restoreState()
        self.y -= height + 4 * MM

    def _drawn_shape(self, shape: Shape, scale: float) -> None:
        path = self.canvas.beginPath()
        for place, (x, y) in enumerate(shape.points):
            (path.lineTo if place else path.moveTo)(x * scale, -y * scale)
        path.close()
        if shape.fill:
            self.canvas.setFillColor(HexColor(shape.fill))
        if shape.stroke:
            self.canvas.setStrokeColor(HexColor(shape.stroke))
            self.canvas.setLineWidth(shape.width * scale)
        self.canvas.drawPath(path, fill=int(bool(shape.fill)), stroke=int(bool(shape.stroke)))

    def _drawn_text(self, text: Text, scale: float) -> None:
        self.canvas.setFillGray(0)
        self.canvas.setFont(typeface.BOLD if text.bold else typeface.PLAIN, text.size * scale)
        write = {"start": "drawString", "middle": "drawCentredString", "end": "drawRightString"}[text.anchor]
        getattr(self.canvas, write)(text.x * scale, -text.y * scale, text.text)

    def _tube(self, tube: Tube) -> None:
        holds = tube.holds or "nothing by itself"
        lines = typeface.wrap(
            f"{tube.number}  {tube.name} {tube.codes}: {tube.points}; {holds}", typeface.PLAIN, 9.5, self.size.room - 18
        )
        self._room(13.0 * len(lines))
        self.canvas.setStrokeGray(0)
        self.canvas.setLineWidth(0.5)
        self.canvas.setFillColor(HexColor("#ffffff" if self.sheet.black else tube.hex))
        self.canvas.rect(self.size.left, self.y - 11.0, 10, 10, fill=1)
        self._lines(lines, typeface.PLAIN, 9.5, indent=18.0)

    def _lines(self, texts: Sequence[str], face: str, size: float, indent: float = 0.0) -> None:
        for text in texts:
            for line in typeface.wrap(text, face, size, self.size.room - indent):
                self._room(size * 1.4)
                self.y -= size * 1.4
                self.canvas.setFillGray(0)
                self.canvas.setFont(face, size)
                self.canvas.drawString(self.size.left + indent, self.y + size * 0.3, line)

    def _room(self, height: float) -> None:
        if self.y - height < self.size.bottom + 16.0:
            self._foot()
            self.canvas.showPage()
            self.y = self.size.height - self.size.top

    def _foot(self) -> None:
        self.canvas.setFillGray(0)
        self.canvas.setFont(typeface.PLAIN, 8)
        words = f"{typeface.one_line(self.sheet.title)}, page {self.canvas.getPageNumber()}"
        self.canvas.drawString(self.size.left, self.size.bottom, words)
