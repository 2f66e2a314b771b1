"""What every paper is made of: lines in parts, sources by number, and the facts that its fingerprint covers."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from safety.rules.notice import DEFERRING, Contact, mark

Style = Literal["answers", "facts", "cautions", "table", "lines", "signatures"]
NOT_A_FINDING = "That is not a finding of no hazard."
# What is printed beside a line that nobody told the words of.
NOT_TOLD = "not told: fill in by hand"


@dataclass(frozen=True)
class Entry:
    """One line: of what, what it says, and on whose word. An empty text is a line to fill in."""

    label: str = ""
    text: str = ""
    source: str = ""


@dataclass(frozen=True)
class Part:
    heading: str
    style: Style
    entries: tuple[Entry, ...] = ()
    note: str = ""


class Sources:
    """The sources of a paper, each written out once at its end and named by its number in every row."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, source: str) -> str:
        return f"[{self._numbers.setdefault(source, len(self._numbers) + 1)}]" if source else ""

    def shared(self, of_rows: Iterable[str]) -> list[str]:
        """The sources of some rows by number; as they are where numbers would save nothing."""
        said = list(of_rows)
        return said if len(set(said)) * 3 > len(said) else [self.number(one) for one in said]

    def part(self) -> tuple[Part, ...]:
        """The list of the sources; none where nothing was numbered."""
        entries = tuple(Entry(f"[{number}]", source) for source, number in self._numbers.items())
        return (Part("Sources", "lines", entries),) if entries else ()


@dataclass(frozen=True)
class Paper:
    """All that a paper prints. The fingerprint is made of `facts`, and changes are read from them."""

    kind: str
    studio: str
    title: str
    made_on: date
    facts: tuple[str, ...]
    parts: tuple[Part, ...]
    subtitle: str = ""
    signs: tuple[str, ...] = ()
    signal_word: str = ""
    basis: str = ""
    contacts: tuple[Contact, ...] = ()
    deferring: str = DEFERRING
    page_url: str = ""
    fingerprint: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "fingerprint", mark(self.facts))
