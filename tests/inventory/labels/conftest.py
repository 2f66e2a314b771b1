"""The vocabulary that the readers are tested with: the project's own pigment table."""

import csv
from pathlib import Path

import pytest

from inventory.labels import COMMON_SHADES, KnownPigment, Vocabulary, read_pigments

TABLE = Path(__file__).resolve().parents[3] / "fixtures" / "pigments.csv"


def known_pigments():
    with TABLE.open(encoding="utf-8-sig", newline="") as table:
        return [KnownPigment.from_row(row) for row in csv.DictReader(table)]


VOCABULARY = Vocabulary(known_pigments(), COMMON_SHADES)


@pytest.fixture(scope="session")
def vocabulary():
    return VOCABULARY


@pytest.fixture(scope="session")
def read():
    def read(text, name="", **more):
        return read_pigments(text, name=name, vocabulary=VOCABULARY, **more)

    return read
