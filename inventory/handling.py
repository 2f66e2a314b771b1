"""How things are handled, asked of whoever knows.

The levels belong to the paint-safety record, which stands on the shelf and not under it. So the shelf asks here, and
the record says at its start that it answers.
"""

from collections.abc import Mapping, Sequence
from typing import Protocol

from inventory.models import Item
from studio.models import Studio


class Source(Protocol):
    """Answers with the words of the levels, the least strict first, and that of each item by its key."""

    def words(self) -> Sequence[str]: ...

    def of_items(self, studio: Studio, items: Sequence[Item]) -> Mapping[int, str]: ...


_sources: list[Source] = []


def register(source: Source) -> None:
    """Ask this source from now on; once, when the project starts."""
    if source not in _sources:
        _sources.append(source)


def words() -> list[str]:
    """Every level that there is; none while nobody knows them."""
    return [word for source in _sources for word in source.words()]


def of_items(studio: Studio, items: Sequence[Item]) -> dict[int, str]:
    """The level of each of these items, by its key, in a bounded number of queries."""
    return {pk: word for source in _sources for pk, word in source.of_items(studio, items).items()}
