"""What the reader of pigment lists gives back."""

from dataclasses import dataclass

from .doubts import Doubt, Option, Severity, settled, shown
from .folding import bare_letters


@dataclass(frozen=True, slots=True)
class ReadPigment:
    """One pigment of a label.

    `start` and `end` are its place in the typed text; `position` counts pigments and open questions from 0.
    """

    code: str
    as_typed: str
    position: int
    start: int = 0
    end: int = 0
    numbers: tuple[str, ...] = ()
    note: str = ""
    listed: bool = True  # False for a code that the person kept although the vocabulary does not have it
    extender: bool = False
    shade: str | None = None


@dataclass(frozen=True, slots=True)
class Filler:
    """Something that gives body and no colour, named in words."""

    as_typed: str
    position: int


@dataclass(frozen=True, slots=True)
class Unresolved:
    """A part of the list that is no fact until the person chooses; `doubt` holds the options."""

    as_typed: str
    position: int
    doubt: Doubt
    family: str = ""

    @property
    def options(self) -> tuple[Option, ...]:
        return self.doubt.options


@dataclass(frozen=True, slots=True)
class PigmentReading:
    text: str
    name: str = ""
    pigments: tuple[ReadPigment, ...] = ()
    fillers: tuple[Filler, ...] = ()
    unresolved: tuple[Unresolved, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    incomplete: bool = False  # the label speaks of a further pigment without its code

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(pigment.code for pigment in self.pigments)

    @property
    def written(self) -> str:
        """The codes as standards write them, in label order."""
        return ", ".join(self.codes)

    @property
    def unknown(self) -> bool:
        """True when the label names no pigment and nothing is open: unknown, never "free of" anything."""
        return not self.pigments and not self.unresolved

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)

    @property
    def colouring(self) -> tuple[str, ...]:
        """The codes that give the colour: without extenders, unless there is nothing else."""
        return tuple(p.code for p in self.pigments if not p.extender) or self.codes

    @property
    def single_pigment(self) -> bool | None:
        """Whether one pigment gives the colour, extenders and fillers aside; None while unknown or open."""
        if self.unknown or self.unresolved or self.incomplete:
            return None
        return len(self.colouring) == 1


def check_single_pigment(typed: str, reading: PigmentReading) -> Doubt | None:
    """Compare a typed yes or no in a "single pigment" column with the listed pigments; typed text is kept."""
    said = {"yes": True, "y": True, "true": True, "1": True, "ja": True, "oui": True, "single": True}
    said |= {"no": False, "n": False, "false": False, "0": False, "nein": False, "non": False, "mixed": False}
    claimed, found = said.get(bare_letters(typed)), reading.single_pigment
    if claimed is None or found is None or claimed == found:
        return None
    message = (
        f"The list says {shown(typed)} for single pigment, but {', '.join(reading.colouring)} "
        f"{'is one pigment' if found else 'are several pigments'}. The codes count; check them against the tube."
    )
    return Doubt("single-pigment", Severity.NOTE, message, typed)
