"""Pigments by Colour Index name against Regulation (EC) No 1272/2008, Annex VI, Table 3 (17th adaptation)."""

import pytest

from safety.rules.classify import EU_LIST
from safety.rules.mixtures import specific_limits
from tests.safety.reference import pigment

LEAD = "H302 H332 H360Df H373 H410"
CHROMATE_OF_LEAD = "H350 H360Df H373 H410"
ARSENIC = "H301 H331 H410"

# Index numbers of the entries that a pigment falls under, and the codes of their labels; an exclusion gives none.
ENTRIES = {
    "PW1": ("082-001-00-6", LEAD),
    "PW2": ("082-001-00-6", LEAD),
    "PW3": ("082-001-00-6", LEAD),
    "PW4": ("030-013-00-7", "H410"),
    "PW10": ("056-003-00-2", "H302"),
    "PW11": ("051-005-00-X", "H351"),
    "PY31": ("056-002-00-7", "H302 H332"),
    "PY32": ("024-009-00-4", "H302 H350 H410"),
    "PY33": ("024-008-00-9", "H302 H350 H410"),
    "PY34": ("082-004-00-2 082-009-00-X", CHROMATE_OF_LEAD),
    "PY36": ("024-007-00-3", "H302 H317 H350 H410"),
    "PY36:1": ("024-007-00-3", "H302 H317 H350 H410"),
    "PY37": ("048-010-00-4", "H302 H341 H350 H361fd H372 H413"),
    "PY39": ("033-002-00-5", ARSENIC),
    "PY41": ("051-003-00-9 082-001-00-6", f"{LEAD} H411"),
    "PY46": ("082-001-00-6", LEAD),
    "PY157": ("028-052-00-X", "H317 H350i H372"),
    "PO21": ("024-017-00-8 082-001-00-6", f"{LEAD} H317 H350i"),
    "PR103": ("024-017-00-8 082-001-00-6", f"{LEAD} H317 H350i"),
    "PR104": ("082-010-00-5", CHROMATE_OF_LEAD),
    "PR105": ("082-001-00-6", LEAD),
    "PG15": ("082-004-00-2", CHROMATE_OF_LEAD),
    "PG21": ("033-002-00-5", ARSENIC),
    "PG22": ("033-002-00-5", ARSENIC),
    "PG39": ("029-020-00-8", "H302 H319 H332 H410"),
    "PBk14": ("025-001-00-3", "H302 H332"),
    "PBk25": ("028-043-00-0", "H317 H350i H372"),
}
# Specific concentration limits, in %, of those entries that print any; the others print none or only an asterisk.
LIMITS = {
    "048-010-00-4": {"H372": "10", "H373": "0.1"},
    "082-001-00-6": {"H361f": "2.5", "H373": "0.5"},
}
WITHOUT = (
    "PY35", "PO20", "PR108", "PO23", "PR113", "PR106", "PR107", "PW5", "PW21", "PW22", "PR49:1", "PR53:1", "PG17",
    "PG18", "PY53", "PB28", "PB35", "PB36", "PV14", "PV49", "PY40", "PB15:3", "PG7", "PBk6", "PBk7", "PBr7", "PR101",
)  # fmt: skip


def entries(code):
    return [row for row in pigment(code).substances if row.regime in EU_LIST and row.h_codes]


@pytest.mark.parametrize("code", ENTRIES)
def test_index_numbers_and_codes(code):
    index_numbers, codes = ENTRIES[code]
    found = entries(code)
    assert sorted({row.index_no for row in found}) == index_numbers.split()
    assert {h for row in found for h in row.h_codes} == set(codes.split())
    assert all(row.confidence == "published" for row in found)


@pytest.mark.parametrize("code", ENTRIES)
def test_specific_limits(code):
    for row in entries(code):
        found = {one.code: str(one.least) for one in specific_limits(row.concentration_limits)}
        assert found == LIMITS.get(row.index_no, {}), row.index_no


def test_there_are_at_least_25_pigments_with_an_entry():
    assert len(ENTRIES) >= 25


@pytest.mark.parametrize("code", WITHOUT)
def test_no_code_is_invented_for_a_pigment_without_an_entry(code):
    assert entries(code) == []


def test_the_annulled_entry_of_titanium_dioxide_gives_no_code():
    """Index 022-006-00-2; General Court T-279/20 (2022), Court of Justice C-71/23 P and C-82/23 P (2025)."""
    (row,) = [row for row in pigment("PW6").substances if row.regime in EU_LIST]
    assert (row.index_no, row.h_codes) == ("022-006-00-2", ())
    assert row.classification.startswith("annulled")
