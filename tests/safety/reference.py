"""The repository's own reference tables, read as a caller of the rules reads them."""

import csv
from functools import cache
from pathlib import Path

from safety.rules.classify import SubstanceClassification
from safety.rules.facts import PigmentFacts
from safety.rules.statements import Phrasebook, split_cell

FIXTURES = Path(__file__).parents[2] / "fixtures"


@cache
def rows(name):
    with (FIXTURES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def phrasebook():
    return Phrasebook.from_rows(rows("statements"))


@cache
def pigment(code):
    for row in rows("pigments"):
        if row["ci_name"] == code:
            return PigmentFacts(
                code=code,
                name=row["chemical_description"],
                metals=split_cell(row["metals"]),
                substances=tuple(
                    SubstanceClassification.from_row(one)
                    for one in rows("hazards")
                    if code in split_cell(one["ci_names"])
                ),
            )
    return PigmentFacts(code=code, known=False)


def substances(words):
    return tuple(SubstanceClassification.from_row(row) for row in rows("hazards") if words in row["substance"])
