"""What the first page asks about: a sentence, and the one thing to do."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from enum import IntEnum

from studio.access import role_of
from studio.models import Membership, Studio


class Urgency(IntEnum):
    """The order of the first page: what can hurt somebody stands above what is merely short or unknown."""

    HARM = 1
    SHORT = 2
    UNKNOWN = 3
    ADVICE = 4


@dataclass(frozen=True)
class Attention:
    """One sentence that needs an answer, and its one action: the words of the link and where it leads.

    `deed` is the address that does what the action says, where the page it leads to is open to more people. `left_to`
    is the role that may do it, where the reader's may not.
    """

    urgency: Urgency
    sentence: str
    action: str
    url: str
    deed: str = ""
    left_to: str = ""

    def offered_to(self, member: Membership) -> "Attention":
        """The same for this person: without the action where their role may not do it."""
        role = role_of(self.deed or self.url)
        return self if member.may(role) else replace(self, action="", url="", deed="", left_to=role.label.lower())


# Takes the studio and answers in a bounded number of queries; a long list is cut short by its own last sentence.
Source = Callable[[Studio], Iterable[Attention]]


def collect(member: Membership, sources: Iterable[Source]) -> list[Attention]:
    """What all sources say to one person, most urgent first; within one urgency in the order of the sources."""
    found = [each.offered_to(member) for source in sources for each in source(member.studio)]
    return sorted(found, key=lambda each: each.urgency)


def and_more(names: list[str], total: int) -> str:
    """Some names as words, with how many more there are: 'Umber, Ochre and 3 more'."""
    if total > len(names):
        return f"{', '.join(names)} and {total - len(names)} more"
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]}"
