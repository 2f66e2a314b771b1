"""Sheet sizes and their margins."""

from dataclasses import dataclass

MM = 72 / 25.4


@dataclass(frozen=True)
class Paper:
    """A sheet size in points. The left margin leaves room for a punch (ISO 838: holes 12 mm from the edge)."""

    name: str
    width: float
    height: float
    left: float = 25 * MM
    right: float = 15 * MM
    top: float = 14 * MM
    bottom: float = 12 * MM

    @property
    def room(self) -> float:
        return self.width - self.left - self.right


PAPERS = {
    "A4": Paper("A4", 210 * MM, 297 * MM),
    "Letter": Paper("Letter", 612, 792),
}


class UnknownPaperError(LookupError):
    """A page size that sheets are not set for."""


def paper(name: str) -> Paper:
    try:
        return PAPERS[name]
    except KeyError:
        raise UnknownPaperError(f"page_size must be one of {', '.join(PAPERS)}, not {name!r}.") from None
