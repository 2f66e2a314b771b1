"""The reference rows as the rules take them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from safety.models import HazardFact, Statement
from safety.rules.classify import SubstanceClassification
from safety.rules.statements import Phrasebook, split_cell

Rows = tuple[SubstanceClassification, ...]


def phrasebook() -> Phrasebook:
    """Every statement of the reference table; one query."""
    rows: Iterable[Mapping[str, Any]] = Statement.objects.values()
    return Phrasebook.from_rows(rows)


@dataclass
class Published:
    """What is published, by the pigments and by the CAS numbers that it names."""

    _by_pigment: dict[str, list[SubstanceClassification]] = field(default_factory=lambda: defaultdict(list))
    _by_cas: dict[str, list[SubstanceClassification]] = field(default_factory=lambda: defaultdict(list))

    def of_pigment(self, code: str) -> Rows:
        return tuple(self._by_pigment.get(code, ()))

    def of_cas(self, numbers: Iterable[str]) -> Rows:
        return tuple(dict.fromkeys(row for number in numbers for row in self._by_cas.get(number, ())))


def published() -> Published:
    """Every published classification; one query for a table of a fixed length."""
    found = Published()
    rows: Iterable[Mapping[str, Any]] = HazardFact.objects.values()
    for values in rows:
        row = SubstanceClassification.from_row(values)
        for code in split_cell(values["ci_names"]):
            found._by_pigment[code].append(row)
        for number in row.cas:
            found._by_cas[number].append(row)
    return found
