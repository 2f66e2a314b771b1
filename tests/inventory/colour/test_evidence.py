"""The check sets as a whole: bounds that the method must keep on figures with a source, and facts of the trade."""

import csv
from pathlib import Path

import pytest

from inventory.colour.evidence import acrylic_paints, gather

CHECKS = Path(__file__).parents[3] / "fixtures" / "checks"


@pytest.fixture(scope="module")
def evidence(rows):
    return gather(CHECKS, rows)


def errors(evidence, words):
    (found,) = (item for item in evidence.errors if words in item.name)
    return found


@pytest.mark.parametrize("words", ["1:9 tint, code known", "1:9 tint, own pigment barred"])
def test_half_tints_from_masstone_and_tenth(evidence, words):
    """Computed colours of 26 acrylics (Y. Okumura 2005): within 1.0 on average, the pigment's own row used or not."""
    found = errors(evidence, words)
    assert found.count == 26
    assert found.mean <= 1.0
    assert found.inside_spread >= 0.85


def test_measured_mixtures(evidence):
    """Watercolours measured by Chen and others (2019), arXiv:1904.00275: at most 6 on average, alone and in white."""
    found = errors(evidence, "each paint known alone and in white")
    assert found.count == 10
    assert found.mean <= 6.0
    # Eight of the 36 rows are the mixes in white that the paints are known by.
    assert sum(item.count for item in evidence.errors if "measured mixtures" in item.name) == 28


def test_draws_hold_the_true_curves(evidence):
    """K and S of 11 acrylics at three wavelengths (Okumura 2005): 5 to 95 % of the draws should hold nine of ten."""
    for found in evidence.curves:
        assert found.count == 11
        assert 0.8 <= found.k_inside <= 1.0
        assert 0.8 <= found.s_inside <= 1.0
        assert max(found.k_factor, found.s_factor) < 1.3


@pytest.mark.parametrize("words", ["1:9 tints, code known", "1:9 tints, own pigment barred"])
def test_mixtures_of_two_colours(evidence, words):
    """Four mixtures worked from full curves (Okumura 2005), chosen as hard ones; 0.4 to 3.6 with one prior each."""
    found = errors(evidence, words)
    assert found.count == 4
    assert found.mean <= 3.0
    assert found.inside_spread >= 0.75


def test_a_masstone_alone_is_as_poor_as_reported(evidence):
    """4.4 and 9.3 on all tints, as another program of the method found; the reason why no figure is shown."""
    coded, bare = errors(evidence, "from masstone and code"), errors(evidence, "from masstone alone")
    assert coded.mean == pytest.approx(coded.expected, abs=1.0)
    assert bare.mean == pytest.approx(bare.expected, abs=2.0)


def test_facts_of_the_trade(evidence):
    """Common practice, no source; the numbers are worked from labels and two colours of acrylics (Okumura 2005)."""
    assert len(evidence.facts) == 10
    assert [fact.name for fact in evidence.facts if not fact.holds] == []


def test_every_acrylic_is_recovered(rows):
    with (CHECKS / "acrylics.csv").open(encoding="utf-8", newline="") as table:
        white, paints = acrylic_paints(list(csv.DictReader(table)), rows)
    assert len(paints) == 26
    assert white.curve.s.mean() == pytest.approx(1.0, abs=1e-4)


def test_what_was_reported(evidence):
    assert evidence.reported[0].pairs == (1.04, 3.1)
    assert len(evidence.reported) == 8
