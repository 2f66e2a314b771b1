"""A small whole PDF, as real bytes."""

import io

from reportlab.pdfgen.canvas import Canvas


def _pdf():
    file = io.BytesIO()
    canvas = Canvas(file)
    canvas.drawString(72, 720, "Safety data sheet, invented")
    canvas.save()
    return file.getvalue()


PDF = _pdf()
