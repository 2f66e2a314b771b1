"""The nine signs of the GHS as vectors, drawn once a document as form XObjects."""

import re
from functools import lru_cache
from importlib.resources import files
from io import BytesIO

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas
from svglib.svglib import svg2rlg

from safety.rules.classify import SIGNS

# UN GHS Annex 1: the name of each sign's symbol and what it stands for.
NAMES = {
    "GHS01": "Exploding bomb: explosive",
    "GHS02": "Flame: flammable",
    "GHS03": "Flame over circle: oxidising",
    "GHS04": "Gas cylinder: gas under pressure",
    "GHS05": "Corrosion: corrosive",
    "GHS06": "Skull and crossbones: acutely toxic",
    "GHS07": "Exclamation mark: harmful or irritant",
    "GHS08": "Health hazard: serious or lasting harm",
    "GHS09": "Environment: harmful to water life",
}

# svglib knows colour names in lower case only, and draws nothing at all for "fill:White".
_NAMED_COLOUR = re.compile(rb"(?<=fill:)[A-Z][a-z]+")

_SIDE = 100.0  # points; a sign is scaled from this when it is placed


class UnknownSignError(LookupError):
    """A sign that the GHS does not have."""

    def __init__(self, code: str) -> None:
        super().__init__(f"{code!r} is not a GHS sign; the signs are {', '.join(SIGNS)}.")


def alt_text(code: str) -> str:
    """Return the sign in words, for a reader who cannot see it: "Flame: flammable (GHS02)"."""
    if code not in NAMES:
        raise UnknownSignError(code)
    return f"{NAMES[code]} ({code})"


@lru_cache(maxsize=len(SIGNS))
def drawing(code: str) -> Drawing:
    """Return one sign as a drawing of 100 by 100 points."""
    if code not in NAMES:
        raise UnknownSignError(code)
    svg = files("ghs_hazard_pictogram").joinpath("pictograms", f"{code.lower()}.svg").read_bytes()
    # Bytes, because svglib gives None for a text stream with an XML declaration.
    sign = svg2rlg(BytesIO(_NAMED_COLOUR.sub(lambda name: name.group(0).lower(), svg)))
    if sign is None:
        raise RuntimeError(f"The sign {code} could not be read from the package ghs-hazard-pictogram.")
    sign.scale(_SIDE / sign.width, _SIDE / sign.height)
    sign.width = sign.height = _SIDE
    return sign


class Signs:
    """The signs of one document: each is stored at its first use and referred to afterwards."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas

    def store(self, code: str) -> None:
        """Store the sign in the document; call it between pages or before the first mark on one."""
        if self._canvas.hasForm(code):
            return
        sign = drawing(code)
        self._canvas.beginForm(code, 0, 0, _SIDE, _SIDE)
        renderPDF.draw(sign, self._canvas, 0, 0)
        self._canvas.endForm()

    def place(self, code: str, x: float, y: float, side: float) -> None:
        """Place a stored sign with its lower left corner at x, y."""
        self._canvas.saveState()
        self._canvas.translate(x, y)
        self._canvas.scale(side / _SIDE, side / _SIDE)
        self._canvas.doForm(code)
        self._canvas.restoreState()
