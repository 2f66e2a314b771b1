"""The swatch card: where its fields lie, so that it can be printed, painted, photographed and read again.

Lengths are in mm from the upper left corner mark of the card, to the right and downwards.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

WIDTH_MM, HEIGHT_MM = 170.0, 148.0

Point = tuple[float, float]
Lab = tuple[float, float, float]


@dataclass(frozen=True)
class Box:
    """A rectangle: mm on the printed card, fractions of the card (0 to 1) in a layout."""

    left: float
    top: float
    right: float
    bottom: float

    def scaled(self, width: float, height: float) -> Box:
        return Box(self.left / width, self.top / height, self.right / width, self.bottom / height)


@dataclass(frozen=True)
class Field:
    """A painted field."""

    name: str
    box: Box


@dataclass(frozen=True)
class Reference:
    """A patch of known colour (L*, a*, b* for D65 and the 10 degree observer); `grey` ones also show the light."""

    name: str
    box: Box
    lab: Lab
    grey: bool = False


@dataclass(frozen=True)
class CardLayout:
    """What lies where in a photo.

    `corners` are the upper left, upper right, lower right and lower left corner of the card as fractions of the
    photo's width and height; boxes are fractions of the card. `paper` are places of one bare paper, of any colour.
    """

    corners: tuple[Point, Point, Point, Point]
    fields: tuple[Field, ...]
    references: tuple[Reference, ...]
    paper: tuple[Box, ...] = ()


MASSTONE, TINT_1_1, TINT_1_9 = "Masstone", "Tint 1:1", "Tint 1:9"
DRAWDOWN = "Drawdown"
OVER_PAPER, OVER_BLACK = "Drawdown over paper", "Drawdown over black"

# As printed. The drawdown is one field to paint and two to read, left of the black line and on it.
PAINTED: Mapping[str, Box] = {
    MASSTONE: Box(6, 18, 56, 58),
    TINT_1_1: Box(60, 18, 110, 58),
    TINT_1_9: Box(114, 18, 164, 58),
    DRAWDOWN: Box(6, 67, 110, 101),
}
BLACK_LINE = Box(44, 64, 72, 104)
READ: Mapping[str, Box] = {
    MASSTONE: PAINTED[MASSTONE],
    TINT_1_1: PAINTED[TINT_1_1],
    TINT_1_9: PAINTED[TINT_1_9],
    OVER_PAPER: Box(8, 67, 42, 101),
    OVER_BLACK: Box(46, 67, 70, 101),
}
GREYS: Mapping[str, Box] = {"Grey 1": Box(6, 110, 30, 134), "Grey 2": Box(114, 67, 164, 101)}
COLOURS: Mapping[str, Box] = {f"Colour {n + 1}": Box(34 + 22 * n, 110, 54 + 22 * n, 134) for n in range(6)}
PAPER: Sequence[Box] = (
    Box(6, 4, 18, 11),
    Box(152, 4, 164, 11),
    Box(152, 137, 164, 144),
    Box(6, 137, 18, 144),
)


def layout_of_card(corners: tuple[Point, Point, Point, Point], known: Mapping[str, Lab]) -> CardLayout:
    """Return the layout of a photo of the printed card.

    `known` gives L*, a*, b* (D65, 10 degree) of the patches that were stuck on, by their place ("Grey 1", "Colour 3").
    ValueError for a place that the card does not have.
    """
    places = {**GREYS, **COLOURS}
    for name in known:
        if name not in places:
            raise ValueError(f"the card has no place called {name!r}; its places are {', '.join(places)}")
    return CardLayout(
        corners,
        tuple(Field(name, box.scaled(WIDTH_MM, HEIGHT_MM)) for name, box in READ.items()),
        tuple(
            Reference(name, places[name].scaled(WIDTH_MM, HEIGHT_MM), lab, grey=name in GREYS)
            for name, lab in known.items()
        ),
        tuple(box.scaled(WIDTH_MM, HEIGHT_MM) for box in PAPER),
    )
