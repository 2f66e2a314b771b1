"""Codes as people copy them from a sheet: kept as printed, refused by name."""

import pytest

from safety.rules.statements import remark
from safety.rules.typed_codes import ReadCodes, TypedCodesError, read_codes, read_printed
from tests.safety.reference import phrasebook


def hazards(text):
    return read_codes(text, phrasebook(), ("H", "EUH"))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("H317; H410", ("H317", "H410")),
        ("H317, H410\nEUH066", ("H317", "H410", "EUH066")),
        ("H317 H410", ("H317", "H410")),
        ("H372 (lungs, liver), H317", ("H372 (lungs, liver)", "H317")),
        ("h302 *", ("h302 *",)),
        ("EUH 208", ("EUH 208",)),
        ("H302+H312+H332", ("H302+H312+H332",)),
        ("H317; H317", ("H317",)),
        ("H360Fd", ("H360Fd",)),
        (" \n; ", ()),
    ],
)
def test_codes_are_kept_as_they_are_printed(typed, kept):
    assert hazards(typed) == kept


def test_precautionary_codes_with_blanks_are_one():
    kept = read_codes("P301 + P310, P280 P303+P361 + P353", phrasebook(), ("P",))
    assert kept == ("P301 + P310", "P280", "P303+P361 + P353")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("H35O", "“H35O” is not a known H, EUH or P code. Did you mean H350?"),
        ("H3l7", "“H3l7” is not a known H, EUH or P code. Did you mean H317?"),
        ("Н317", "Did you mean H317?"),
        ("X350", "Did you mean H350?"),
        ("H360fd", "Did you mean H360FD or H360Fd?"),
        ("H999", "Type the codes alone, such as H317; H410"),
        ("H226 Flammable liquid and vapour.", "has words after the code: type H226 alone"),
        ("P280", "P280 is a precautionary statement: type it among the precautionary statements."),
    ],
)
def test_what_is_no_code_is_refused_by_name(typed, said):
    with pytest.raises(TypedCodesError) as refused:
        hazards(f"H317; {typed}")
    assert said in str(refused.value)


def test_every_problem_is_told_at_once():
    with pytest.raises(TypedCodesError) as refused:
        hazards("H35O; H999; H317")
    assert len(refused.value.problems) == 2


def test_every_code_of_the_table_is_read_as_itself():
    for statement in phrasebook():
        assert read_codes(statement.code, phrasebook(), (statement.kind,)) == (statement.code,)


def test_a_chemical_name_keeps_its_own_brackets_and_commas():
    """EUH208 with the name that CLP Annex VI gives to index 613-088-00-6."""
    typed = "EUH208 (1,2-benzisothiazol-3(2H)-one), H412"
    assert read_codes(typed, phrasebook(), ("H", "EUH")) == ("EUH208 (1,2-benzisothiazol-3(2H)-one)", "H412")
    assert remark("EUH208 (1,2-benzisothiazol-3(2H)-one)") == "1,2-benzisothiazol-3(2H)-one"


def test_what_is_printed_so_is_kept_apart():
    read = read_printed("H317; H35O", phrasebook(), ("H", "EUH"), printed_so=True)
    assert read == ReadCodes(("H317",), ("H35O",))


def test_printed_so_does_not_move_a_code_to_another_kind():
    with pytest.raises(TypedCodesError) as refused:
        read_printed("P280; H35O", phrasebook(), ("H", "EUH"), printed_so=True)
    assert refused.value.misplaced
    assert refused.value.unknown == ("H35O",)


def test_phrases_of_the_older_law_are_named():
    """Directives 67/548/EEC and 1999/45/EC, repealed on 1 June 2015 by Article 60 of CLP."""
    with pytest.raises(TypedCodesError, match="R or S phrase of the law before 2015"):
        read_codes("R45", phrasebook(), ("H",))
