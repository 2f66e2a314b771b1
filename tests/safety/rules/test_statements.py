"""Phrases against UN GHS Annex 3 and Regulation (EC) 1272/2008 Annexes III and IV."""

import pytest

from safety.rules.statements import Phrasebook, Statement, UnknownStatementError, bare_code
from tests.safety.reference import phrasebook

TWO_CATEGORIES = Phrasebook(
    [
        Statement(
            "H242",
            "H",
            "Heating may cause a fire.",
            "Heating may cause a fire.",
            "",
            "Types E and F",
            "GHS02",
            "Warning",
        ),
        Statement(
            "H242",
            "H",
            "Heating may cause a fire.",
            "Heating may cause a fire.",
            "",
            "Types C and D",
            "GHS02",
            "Danger",
        ),
        Statement("P301", "P", "IF SWALLOWED:", "IF SWALLOWED:"),
        Statement("P310", "P", "Immediately call a doctor.", "Immediately call a doctor."),
    ]
)


@pytest.mark.parametrize(
    ("code", "phrase"),
    [
        ("H350", "May cause cancer."),
        ("H372", "Causes damage to organs through prolonged or repeated exposure."),
        ("H411", "Toxic to aquatic life with long lasting effects."),
        ("P331", "Do NOT induce vomiting."),
        ("EUH066", "Repeated exposure may cause skin dryness or cracking."),
    ],
)
def test_phrases_are_the_standards_own(code, phrase):
    """Regulation (EC) 1272/2008, Annexes III and IV, English; H350 and H372 without their optional parts."""
    assert phrasebook().look_up(code).phrase_plain == phrase


def test_a_combined_precaution_is_one_sentence():
    """Regulation (EC) 1272/2008, Annex IV, P301 + P310."""
    phrase = phrasebook().look_up("P301 + P310").phrase
    assert phrase.startswith("IF SWALLOWED: Immediately call a POISON CENTER")


def test_a_combination_that_the_table_lacks_is_joined_from_its_parts():
    assert TWO_CATEGORIES.look_up("P301+P310").phrase == "IF SWALLOWED: Immediately call a doctor."


def test_an_unknown_code_is_named_in_the_error():
    for code in ("H399", "P301+P999", "HH350", "H35", "", "350", "H350 and so on"):
        with pytest.raises(UnknownStatementError, match="not a known H, EUH or P statement") as caught:
            phrasebook().look_up(code)
        assert repr(code) in str(caught.value)
        assert code not in phrasebook()


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("h302 *", "H302"),
        (" H 350i ", "H350i"),
        ("H360Fd", "H360Fd"),
        ("H360D ***", "H360D"),
        ("H372 (central nervous system)", "H372"),
        ("H372 (lungs) (inhalation) **", "H372"),
        ("euh066", "EUH066"),
        ("P305 + P351 + P338", "P305+P351+P338"),
    ],
)
def test_codes_are_read_as_sheets_print_them(typed, code):
    assert bare_code(typed) == code


def test_of_several_categories_the_worst_speaks_unless_one_is_named():
    """H242 is Danger in types C and D, Warning in E and F: Regulation (EC) 1272/2008, Annex I, table 2.8.1."""
    assert TWO_CATEGORIES.look_up("H242").signal_word == "Danger"
    assert TWO_CATEGORIES.look_up("H242", "Types E and F").signal_word == "Warning"


def test_a_row_of_no_kind_is_refused():
    row = dict.fromkeys(("code", "phrase", "phrase_plain", "hazard_class", "category", "pictogram", "p_codes"), "")
    with pytest.raises(ValueError, match="kind must be H, EUH or P, not 'R'"):
        Statement.from_row({**row, "kind": "R", "signal_word": ""})
