"""Paints for the colour tests: typical curves of the optics table, which are from memory and not from a publication."""

import csv
from pathlib import Path

import pytest

from inventory.colour.curves import BandRow, from_bands
from inventory.colour.palette import Palette

OPTICS = Path(__file__).parents[3] / "fixtures" / "optics.csv"


@pytest.fixture(scope="session")
def rows():
    with OPTICS.open(encoding="utf-8", newline="") as table:
        return tuple(BandRow.parse(row) for row in csv.DictReader(table))


@pytest.fixture(scope="session")
def curve(rows):
    def find(name):
        return from_bands(next(row for row in rows if row.name == name))

    return find


@pytest.fixture(scope="session")
def palette(curve):
    """Build a palette from row names; a name twice is a second tube of it. Ids are 1, 2, 3 ... from `first`."""

    def build(*names, binder="acrylic", first=1):
        return Palette.of([(first + i, name, curve(name)) for i, name in enumerate(names)], binder)

    return build
