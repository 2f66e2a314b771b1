"""What changed since a paper was made: each of its fact lines beside the one that stands in its place now."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile

from safety.rules.notice import WHOM_TO_CALL

# Labels that a paper has once for each of many things; the name behind the label tells the lines apart.
_OF_MANY = frozenset({"inside", "set out", "stands here", "house rule", "signed", "shade"})
# What a class list, or a class page, says of a thing; from one to the other is a change of the same thing.
_WHO_MAY = re.compile(r"(no rule|warning|not known|not for|(?:not|warning) for .+)")
# First the name with its codes or its binder; then the name alone, for what was read anew.
_ENDS_OF_NAME = (re.compile(r", | \[|: | \(set by | \(house rule"), re.compile(r", | \[|: | \("))


_SHOWN = 6


@dataclass(frozen=True)
class Changed:
    """One line as it was and as it is now: what both begin with, what differs, and what both end with."""

    was: str
    now: str
    start: str = ""
    end: str = ""
    word: str = ""
    """Said before it where it stands alone."""

    @property
    def was_whole(self) -> str:
        return f"{self.start}{self.was}{self.end}"

    @property
    def now_whole(self) -> str:
        return f"{self.start}{self.now}{self.end}"


@dataclass(frozen=True)
class Changes:
    """What a hung paper says that no longer holds, and what it does not say yet."""

    gone: tuple[str, ...]
    new: tuple[str, ...]

    def __bool__(self) -> bool:
        return bool(self.gone or self.new)

    @property
    def pairs(self) -> tuple[Changed, ...]:
        """Lines about the same thing, as they were and as they are now."""
        return tuple(_side_by_side(was, now) for was, now in self._paired)

    @property
    def lines(self) -> tuple[Changed, ...]:
        """All of them: what changed, what went, what came."""
        went = (Changed(line, "", word="No more:") for line in self.gone_alone)
        return *self.pairs, *went, *(Changed("", line, word="New:") for line in self.new_alone)

    @property
    def first(self) -> tuple[Changed, ...]:
        return self.lines[:_SHOWN]

    @property
    def further(self) -> tuple[Changed, ...]:
        """What a page folds away."""
        return self.lines[_SHOWN:]

    @property
    def gone_alone(self) -> tuple[str, ...]:
        """What is said of something that nothing is said of now."""
        paired = {was for was, _ in self._paired}
        return tuple(line for line in self.gone if line not in paired)

    @property
    def new_alone(self) -> tuple[str, ...]:
        paired = {now for _, now in self._paired}
        return tuple(line for line in self.new if line not in paired)

    @cached_property
    def _paired(self) -> tuple[tuple[str, str], ...]:
        return tuple(_pairs(self.gone, self.new))


def changes(hung: Iterable[str], now: Iterable[str]) -> Changes:
    """Compare the stored facts of a hung paper with those of today, line by line."""
    before, after = tuple(dict.fromkeys(hung)), tuple(dict.fromkeys(now))
    return Changes(
        gone=tuple(line for line in before if line not in set(after)),
        new=tuple(line for line in after if line not in set(before)),
    )


def _pairs(gone: Iterable[str], new: Iterable[str]) -> Iterator[tuple[str, str]]:
    before, after = list(gone), list(new)
    for end in _ENDS_OF_NAME:
        waiting: dict[tuple[str, str], list[str]] = {}
        for line in after:
            waiting.setdefault(_about(line, end), []).append(line)
        for line in tuple(before):
            if found := waiting.get(_about(line, end)):
                now = found.pop(0)
                before.remove(line)
                after.remove(now)
                yield line, now


def _about(line: str, end_of_name: re.Pattern[str]) -> tuple[str, str]:
    """What a line is about: its label, and behind a label that many things have, the name."""
    label, _, said = line.partition(": ")
    if label == "call":
        return label, next((role for role in WHOM_TO_CALL if said.startswith(role)), "")
    if " | " in said:
        return label, said.partition(" | ")[0]
    if label in _OF_MANY or _WHO_MAY.fullmatch(label):
        return "may use" if _WHO_MAY.fullmatch(label) else label, end_of_name.split(said, maxsplit=1)[0]
    return label, ""


def _side_by_side(was: str, now: str) -> Changed:
    """Cut at words, so that no figure is split."""
    before, after = was.split(" "), now.split(" ")
    start = _same(before, after)
    end = _same(before[start:][::-1], after[start:][::-1])
    return Changed(
        " ".join(before[start : len(before) - end]),
        " ".join(after[start : len(after) - end]),
        "".join(f"{word} " for word in before[:start]),
        "".join(f" {word}" for word in before[len(before) - end :]) if end else "",
    )


def _same(one: list[str], other: list[str]) -> int:
    """How many words two lists have alike from their beginning."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))
