"""What this house has decided for itself. None ships as a default that looks like law."""

import re
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from typing import Literal, get_args

from safety.rules.due import DATA_SHEET, TRAINING, WASTE_FULL, WASTE_OPEN
from safety.rules.metals import METALS

Topic = Literal["children", "rags", "waste", "solvents", "dust", "food", "other"]
TOPICS: tuple[Topic, ...] = get_args(Topic)

# What an interval can be about, beside what is inspected: as the other pages look for it.
FURTHER_INTERVALS = {
    DATA_SHEET: "A maker's sheet: looked at again",
    WASTE_OPEN: "A waste container: from opened to collected",
    WASTE_FULL: "A full waste container: from closed to collected",
    TRAINING: "The house rules: signed again",
}


@dataclass(frozen=True)
class HouseRule:
    """A rule that this studio set: its words, who set it and when."""

    text: str
    set_by: str
    set_on: date | None = None
    topic: Topic = "other"

    @property
    def source(self) -> str:
        when = f", {self.set_on.isoformat()}" if self.set_on else ", date not recorded"
        return f"house rule, set by {self.set_by}{when}"


class TypedValuesError(ValueError):
    """Values of a rule that cannot be kept; `problems` has a sentence for each."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems


def read_seals(text: str) -> tuple[str, ...]:
    """Return the letters of seals as a list names them, each once; TypedValuesError for what is not letters."""
    kept, problems = [], []
    for typed in _split(text):
        if re.fullmatch(r"[A-Za-z0-9]{1,10}", typed):
            kept.append(typed.upper())
        else:
            problems.append(f"“{typed[:40]}” is not the letters of a seal. Type them as printed, such as AP or CL.")
    return _checked(kept, problems)


def read_metals(text: str) -> tuple[str, ...]:
    """Return the symbols of metals named by symbol or word; TypedValuesError lists those that are known here."""
    known = {symbol.casefold(): symbol for symbol in METALS} | {one.name: symbol for symbol, one in METALS.items()}
    known |= {"chromate": "Cr6", "hexavalent chromium": "Cr6", "trivalent chromium": "Cr3"}
    kept, problems = [], []
    for typed in _split(text):
        folded = typed.casefold()
        if folded in known:
            kept.append(known[folded])
        elif folded in ("chromium", "cr"):
            problems.append(f"“{typed}” may be chromium(VI) or chromium(III): type Cr6, Cr3 or both.")
        else:
            near = get_close_matches(folded, known, n=1, cutoff=0.7)
            guess = f" Did you mean {METALS[known[near[0]]].name}?" if near else ""
            problems.append(f"“{typed[:40]}” is not a metal that is followed here.{guess} Known: {metals_known()}.")
    return _checked(kept, problems)


def metals_known() -> str:
    return ", ".join(f"{one.name} ({symbol})" for symbol, one in METALS.items())


def _split(text: str) -> list[str]:
    return [" ".join(part.split()) for part in re.split(r"[;,\n]", text) if part.strip()]


def _checked(kept: list[str], problems: list[str]) -> tuple[str, ...]:
    if problems:
        raise TypedValuesError(problems)
    return tuple(dict.fromkeys(kept))
