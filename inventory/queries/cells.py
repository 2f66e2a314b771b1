"""One cell of a wheel: which mixtures reach it, in parts that can be measured on a palette, and how sure that is."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.colour import certainty
from inventory.colour.appearance import srgb
from inventory.colour.certainty import Statement, Word, whole
from inventory.colour.chart import Cell, sectors
from inventory.colour.seek import Route, seek
from inventory.colour.wheel import HUES, hue_name, munsell_name, value_word
from inventory.models import Paint
from inventory.queries.mixable import unless_wash
from inventory.queries.paint_sets import drawn
from inventory.queries.wheel import Wheel

MOST_ROUTES = 3


@dataclass(frozen=True)
class Part:
    """Whole parts of one paint."""

    paint: Paint
    parts: int


@dataclass(frozen=True)
class Way:
    """One mixture that comes to the cell's colour."""

    parts: tuple[Part, ...]
    total: int
    hex: str
    word: Word
    sure: str
    """How near it likely comes, in words."""
    misses: str
    note: str

    @property
    def is_alone(self) -> bool:
        return len(self.parts) == 1

    @property
    def words(self) -> str:
        """Such as "5 parts Titanium White, 2 parts Viridian"."""
        if self.is_alone:
            return f"{self.parts[0].paint.name} alone"
        return ", ".join(f"{one.parts} part{'' if one.parts == 1 else 's'} {one.paint.name}" for one in self.parts)


@dataclass(frozen=True)
class CellAnswer:
    """A cell with its names; `ways` is empty where no mixture reaches it."""

    cell: Cell
    hue: str
    munsell: str
    value: str
    ways: tuple[Way, ...]

    @property
    def name(self) -> str:
        return f"{self.hue}, {self.value}"

    @property
    def is_reached(self) -> bool:
        return self.cell.chroma > 0.0


def cell_of(found: Wheel, level: int, hue: int) -> CellAnswer | None:
    """The cell at a value level and a hue (degrees); None where there is no such cell. Three queries."""
    if found.reached is None or hue not in HUES.astype(int).tolist():
        return None
    cell = sectors(found.reached, level)[HUES.astype(int).tolist().index(hue)]
    ways: tuple[Way, ...] = ()
    if cell.mixture is not None:
        palette = found.reached.palette
        sure = drawn(found.chosen.palette)
        routes = seek(palette, cell.mixture.lab, paints=sure, most_routes=MOST_ROUTES)
        by_pk = dict(zip(palette.ids, sure, strict=True))
        ways = tuple(_way(found, route, [by_pk[pk] for pk in route.ids]) for route in routes)
    return CellAnswer(cell, hue_name(hue).word, munsell_name(hue, level), value_word(level), ways)


def _way(found: Wheel, route: Route, sure: Sequence[certainty.Paint]) -> Way:
    parts = tuple(Part(found.paints[_pk(paint)], part) for paint, part in zip(route.ids, route.parts, strict=True))
    assert route.statement is not None  # noqa: S101  # draws were given
    statement = unless_wash(route.statement, found.binder, sure)
    return Way(
        parts=parts,
        total=sum(route.parts),
        hex=srgb(route.lab).hex,
        word=statement.word,
        sure=said(statement),
        misses=route.words,
        note=route.note,
    )


def said(statement: Statement) -> str:
    """How sure a mixture is, in a painter's words; a figure only where one may be given."""
    if statement.word is Word.MEASURED:
        return "The paint alone, as it was measured."
    if statement.within is None:
        return statement.text
    return f"Likely within {whole(statement.within)} (CIEDE2000): {statement.word}."


def _pk(paint_id: object) -> int:
    assert isinstance(paint_id, int)  # noqa: S101  # palettes made of a studio's paints have their keys
    return paint_id
