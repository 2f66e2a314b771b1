"""What a reader is unsure of, in words that a painter can act on."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

# Longer than any label or cell of a paint list; such a text is kept but not searched for codes.
LONGEST_LABEL = 2000


class Severity(StrEnum):
    READ_AS = "read-as"  # accepted, and shown to the person
    NOTE = "note"  # accepted as typed; something about it is worth a look
    ASK = "ask"  # not a fact until the person chooses
    REFUSED = "refused"  # cannot be stored; has to be typed again


class Option(NamedTuple):
    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Doubt:
    code: str
    severity: Severity
    message: str
    value: str = ""
    options: tuple[Option, ...] = ()

    @property
    def key(self) -> str:
        """The name under which a reader looks for the person's choice."""
        return f"{self.code}:{self.value}"

    @property
    def is_open(self) -> bool:
        return self.severity in (Severity.ASK, Severity.REFUSED)


def settled(doubts: Iterable[Doubt]) -> bool:
    return not any(doubt.is_open for doubt in doubts)


def shown(text: str, longest: int = 60) -> str:
    """A typed value as a message quotes it: one line, cut short."""
    line = " ".join(text[: longest * 4].split())
    return f"“{line[:longest]}…”" if len(line) > longest or len(text) > longest * 4 else f"“{line}”"


def quoting(doubts: Iterable[Doubt], part: str, whole: str) -> tuple[Doubt, ...]:
    """The doubts about a part of a text, in words that quote the whole of it as it was typed."""
    return tuple(
        replace(doubt, value=whole, message=doubt.message.replace(shown(part), shown(whole), 1)) for doubt in doubts
    )


def too_long(text: str, what: str) -> Doubt | None:
    if len(text) <= LONGEST_LABEL:
        return None
    message = (
        f"This {what} is {len(text)} characters long, too long to be a label (at most {LONGEST_LABEL}). "
        "It is kept as typed and not read; shorten it to what the tube says."
    )
    return Doubt("too-long", Severity.REFUSED, message, text[:40])
