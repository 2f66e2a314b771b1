"""What keeps a paint from a group of people, asked of whoever knows.

House rules live in the paint-safety record, which stands on the shelf and not under it. So the shelf asks here, and
the record says at its start that it answers.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from inventory.models import Group, Item, Pigment
from studio.models import Studio


@dataclass(frozen=True)
class Restriction:
    """One house rule that catches one thing. None found is no statement that something is safe."""

    rule: str
    """In the house's own words."""
    why: str
    """What it goes by, such as: its label carries the seal CL; no maker's sheet is on file."""
    source: str
    """Who decided it, and when."""
    forbids: bool
    """False: it may be used, with the warning."""
    unknown: bool = False
    """True where it is caught because something is not known."""
    is_house_rule: bool = True
    """False: how this record treats what is unknown, which nobody in the house decided."""


class Source(Protocol):
    """Answers by primary key; what no rule catches is left out."""

    def of_items(
        self, studio: Studio, group: Group | None, items: Sequence[Item]
    ) -> Mapping[int, tuple[Restriction, ...]]: ...

    def of_pigments(
        self, studio: Studio, group: Group | None, pigments: Sequence[Pigment]
    ) -> Mapping[int, tuple[Restriction, ...]]: ...


_sources: list[Source] = []


def register(source: Source) -> None:
    """Ask this source too from now on; once, when the project starts."""
    if source not in _sources:
        _sources.append(source)


def of_items(studio: Studio, group: Group | None, items: Sequence[Item]) -> dict[int, tuple[Restriction, ...]]:
    """What the house rules say of these items for this group, by pk; rules for everybody where no group is named."""
    return _joined(source.of_items(studio, group, items) for source in _sources)


def of_pigments(studio: Studio, group: Group | None, pigments: Sequence[Pigment]) -> dict[int, tuple[Restriction, ...]]:
    """The same of pigments that are not on the shelf, by pk."""
    return _joined(source.of_pigments(studio, group, pigments) for source in _sources)


def _joined(answers: Iterable[Mapping[int, tuple[Restriction, ...]]]) -> dict[int, tuple[Restriction, ...]]:
    found: dict[int, tuple[Restriction, ...]] = {}
    for answer in answers:
        for pk, restrictions in answer.items():
            found[pk] = found.get(pk, ()) + restrictions
    return found


def warnings_of(things: Iterable[tuple[str, Iterable[Restriction]]]) -> list[tuple[Restriction, str]]:
    """Each warning and reason once, with the names of all that it is about."""
    together: dict[Restriction, list[str]] = {}
    for name, found in things:
        for one in found:
            if not one.forbids:
                together.setdefault(one, []).append(name)
    return [(one, ", ".join(dict.fromkeys(names))) for one, names in together.items()]
