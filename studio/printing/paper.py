"""Sheet sizes, their margins, and which one is used where."""

import re
from dataclasses import dataclass
from itertools import pairwise

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


# Where letters are written on Letter paper (common practice, no source); everybody else has A4 (ISO 216).
_LETTER = frozenset({"us", "usa", "america", "canada", "mexico", "california", "quebec"})


def usual_paper(place: str) -> str:
    """The paper of a place as people write it: "US (Ohio)", "California, USA" and "U.S." give "Letter", else "A4"."""
    words = re.findall(r"[^\W\d_]+", place.casefold().replace(".", ""))
    states = any(pair == ("united", "states") for pair in pairwise(words))
    return "Letter" if states or _LETTER.intersection(words) else "A4"


def papers_for(place: str) -> list[str]:
    """The sizes that are offered in a place, its own first."""
    return sorted(PAPERS, key=lambda name: name != usual_paper(place))


class UnknownPaperError(LookupError):
    """A page size that sheets are not set for."""


def paper(name: str) -> Paper:
    try:
        return PAPERS[name]
    except KeyError:
        raise UnknownPaperError(f"page_size must be one of {', '.join(PAPERS)}, not {name!r}.") from None
