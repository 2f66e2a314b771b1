"""A QR code (ISO/IEC 18004) as one filled path."""

from functools import lru_cache
from itertools import groupby

import segno
from reportlab.pdfgen.canvas import Canvas

QUIET_ZONE = 4  # modules on each side, ISO/IEC 18004


@lru_cache(maxsize=512)
def runs(address: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Return the side in modules with the quiet zone, and the dark runs as (column, row from the top, length)."""
    matrix = segno.make_qr(address, error="m").matrix
    found = []
    for row, modules in enumerate(matrix, start=QUIET_ZONE):
        column = QUIET_ZONE
        for dark, run in groupby(modules):
            length = len(list(run))
            if dark:
                found.append((column, row, length))
            column += length
    return len(matrix) + 2 * QUIET_ZONE, tuple(found)


def draw_qr(canvas: Canvas, address: str, x: float, y: float, side: float) -> None:
    """Draw the code of an address into a square with its lower left corner at x, y."""
    modules, dark = runs(address)
    path = canvas.beginPath()
    for column, row, length in dark:
        path.rect(column, modules - 1 - row, length, 1)
    canvas.saveState()
    canvas.translate(x, y)
    # One module is one unit: whole numbers make the file smaller.
    canvas.scale(side / modules, side / modules)
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()
