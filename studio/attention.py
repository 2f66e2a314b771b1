"""What the first page asks about: a sentence, and the one thing to do."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import IntEnum

from studio.models import Studio


class Urgency(IntEnum):
    """The order of the first page: what can hurt somebody stands above what is merely short or unknown."""

    HARM = 1
    SHORT = 2
    UNKNOWN = 3
    ADVICE = 4


@dataclass(frozen=True)
class Attention:
    """One sentence that needs an answer, and its one action: the words of the link and where it leads."""

    urgency: Urgency
    sentence: str
    action: str
    url: str


# Takes the studio and answers in a bounded number of queries; a long list is cut short by its own last sentence.
Source = Callable[[Studio], Iterable[Attention]]


def collect(studio: Studio, sources: Iterable[Source]) -> list[Attention]:
    """What all sources say, most urgent first; within one urgency in the order of the sources."""
    found = [each for source in sources for each in source(studio)]
    return sorted(found, key=lambda each: each.urgency)


def and_more(names: list[str], total: int) -> str:
    """Some names as words, with how many more there are: 'Umber, Ochre and 3 more'."""
    if total > len(names):
        return f"{', '.join(names)} and {total - len(names)} more"
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"
