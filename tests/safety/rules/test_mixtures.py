"""From how much on an ingredient counts: CLP Annex I and the specific limits of Annex VI, asked and never decided."""

from decimal import Decimal

import pytest

from safety.rules.classify import SubstanceClassification
from safety.rules.mixtures import elicitation, generic_threshold, questions, specific_limits
from tests.safety.reference import rows

HAZARDS = {row["key"]: row for row in rows("hazards")}


def entry(key):
    return SubstanceClassification.from_row(HAZARDS[key])


def asked(key, share=None):
    return [one.text for one in questions(entry(key), "", None if share is None else Decimal(share))]


@pytest.mark.parametrize(
    ("hazard", "percent"),
    [
        # CLP Annex I, Table 3.7.2, compared with a public copy of the consolidated text.
        ("Repr. 1A", "0.3"),
        ("Repr. 1B", "0.3"),
        ("Repr. 2", "3"),
        # Tables 3.5.2 and 3.6.2 and section 3.10.3.3.1, compared with public copies of the consolidated text.
        ("Muta. 1B", "0.1"),
        ("Muta. 2", "1"),
        ("Carc. 1A", "0.1"),
        ("Carc. 1B", "0.1"),
        ("Carc. 2", "1"),
        ("Asp. Tox. 1", "10"),
        # Tables 3.8.3 and 3.9.4, as TRGS 201 (Germany), sections 2.2.6.1 and 2.2.6.2, restates them.
        ("STOT SE 1", "1"),
        ("STOT SE 2", "10"),
        ("STOT SE 3", "20"),
        ("STOT RE 1", "1"),
        # Tables 1.1 and 3.4.5, and STOT RE 2 of Table 3.9.4: from memory.
        ("Acute Tox. 3 *", "0.1"),
        ("Acute Tox. 4 *", "1"),
        ("Skin Corr. 1B", "1"),
        ("Skin Irrit. 2", "1"),
        ("Eye Dam. 1", "1"),
        ("Skin Sens. 1", "1"),
        ("Skin Sens. 1A", "0.1"),
        ("Skin Sens. 1B", "1"),
        ("Resp. Sens. 1A", "0.1"),
        ("STOT RE 2 *", "10"),
        ("Aquatic Acute 1", "0.1"),
        ("Aquatic Chronic 1", "0.1"),
        ("Aquatic Chronic 4", "1"),
    ],
)
def test_generic_values(hazard, percent):
    assert generic_threshold(hazard).percent == Decimal(percent)


@pytest.mark.parametrize("hazard", ["Flam. Liq. 3", "Self-heat. 1", ""])
def test_physical_hazards_have_no_generic_value(hazard):
    assert generic_threshold(hazard) is None


# Regulation (EC) No 1272/2008, Annex VI, Table 3, column of specific concentration limits (17th adaptation; BIT: 21st).
@pytest.mark.parametrize(
    ("key", "limits"),
    [
        ("cadmium-sulphide/clp-annex-vi", {"H372": "10", "H373": "0.1"}),
        ("lead-compounds/clp-group", {"H361f": "2.5", "H373": "0.5"}),
        ("ammonia-solution/clp-annex-vi", {"H335": "5"}),
        ("formaldehyde/clp-annex-vi", {"H335": "5", "H314": "25", "H315": "5", "H319": "5", "H317": "0.2"}),
        ("cit-mit/clp-annex-vi", {"H314": "0.6", "H315": "0.06", "H318": "0.6", "H319": "0.06", "H317": "0.0015"}),
        ("mit/clp-annex-vi", {"H317": "0.0015"}),
        ("bit/clp-annex-vi", {"H317": "0.036"}),
        ("oit/clp-annex-vi", {"H317": "0.0015"}),
        ("zinc-oxide/clp-annex-vi", {}),
        ("copper-carbonate-hydroxide/clp-annex-vi", {}),
    ],
)
def test_specific_limits_of_annex_vi(key, limits):
    found = {one.code: one.least for one in specific_limits(HAZARDS[key]["concentration_limits"])}
    assert found == {code: Decimal(figure) for code, figure in limits.items()}


def test_every_limit_of_the_table_is_read():
    """A cell that names an H code and yields nothing would be lost in silence."""
    for key, row in HAZARDS.items():
        if "; H" in row["concentration_limits"]:
            assert len(specific_limits(row["concentration_limits"])) == row["concentration_limits"].count("; H"), key


@pytest.mark.parametrize(
    ("hazard", "specific", "percent"),
    [
        ("Skin Sens. 1", None, "0.1"),
        ("Skin Sens. 1B", None, "0.1"),
        ("Skin Sens. 1A", None, "0.01"),
        ("Resp. Sens. 1", None, "0.1"),
        ("Resp. Sens. 1A", None, "0.01"),
        ("Skin Sens. 1A", "0.036", "0.0036"),
        ("Skin Sens. 1A", "0.0015", "0.00015"),
    ],
)
def test_euh208_begins_at_a_tenth(hazard, specific, percent):
    """CLP Annex I, Table 3.4.6, and Annex II, 2.8 and 2.10: 0.1 %, 0.01 % for 1A, a tenth of a specific limit."""
    assert elicitation(hazard, specific and Decimal(specific)) == Decimal(percent)
    assert elicitation("Carc. 1A") is None


def test_a_specific_limit_goes_before_the_generic_one():
    """CLP Article 10 and Annex I, 1.1.2.2.2 (a)."""
    texts = " ".join(asked("bit/clp-annex-vi", "0.02"))
    assert "Annex VI sets H317 (Skin Sens. 1A) for it at C ≥ 0.036 %. 0.02 % as entered is below that" in texts
    assert "names it with EUH208. 0.02 % as entered reaches that" in texts
    assert "It is Skin Sens. 1A" not in texts


def test_reaching_or_not_is_a_question_and_no_finding():
    assert any("5 % as entered reaches that: what does the sheet make of it" in one for one in asked(
        "turpentine/clp-annex-vi", "5"))  # fmt: skip
    below = [one for one in asked("turpentine/clp-annex-vi", "5") if "below that" in one]
    assert below
    assert all("being below is no finding" in one for one in below)


def test_where_note_1_holds_no_share_is_set_against_the_limits():
    """CLP Annex VI, 1.1.3.2, Note 1: the concentration is that of the metal, by weight of the whole mixture."""
    texts = asked("cadmium-sulphide/clp-annex-vi", "40")
    assert "the limits count the metal alone" in texts[0]
    assert not any("as entered" in one for one in texts)


@pytest.mark.parametrize(
    "key", ["cadmium-zinc-sulphide/clp-group", "titanium-dioxide/clp-annex-vi", "cadmium-sulphide/hcis"]
)
def test_nothing_follows_from_an_exclusion_an_annulled_entry_or_another_list(key):
    assert asked(key, "10") == []


@pytest.mark.parametrize("share", ["0", "101", "-3"])
def test_a_share_that_cannot_be_is_refused(share):
    with pytest.raises(ValueError, match="share must be above 0 and at most 100 %"):
        asked("zinc-oxide/clp-annex-vi", share)
