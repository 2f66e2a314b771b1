"""Label elements against CLP Articles 20, 26 and 27, Annex III, and the harmonised entries of Annex VI."""

import pytest

from safety.rules.classify import EU_LIST, SubstanceClassification, label_elements
from tests.safety.reference import phrasebook, pigment, rows

HAZARDS = [row for row in rows("hazards") if row["h_codes"]]


def elements(*codes):
    return label_elements(codes, phrasebook())


@pytest.mark.parametrize("row", HAZARDS, ids=[row["key"] for row in HAZARDS])
def test_signs_and_signal_word_of_every_published_row_follow_from_its_codes(row):
    """Annex VI table 3 and the Australian list print signs and signal word beside the codes: the two must agree."""
    published = SubstanceClassification.from_row(row)
    found = elements(*published.h_codes)
    assert set(found.pictograms) == set(published.pictograms)
    assert found.signal_word == published.signal_word


def test_h410_takes_the_place_of_h400():
    """CLP Annex III part 1 (a)."""
    found = elements("H400", "H410")
    assert found.h_codes == ("H410",)
    assert [one.code for one in found.dropped] == ["H400"]
    assert "H410 is shown (CLP Annex III part 1)" in found.dropped[0].reason


def test_h314_takes_the_place_of_h318():
    """CLP Annex III part 1 (b)."""
    assert elements("H318", "H314").h_codes == ("H314",)


def test_skull_suppresses_the_exclamation_mark():
    """CLP Article 26(1)(b)."""
    found = elements("H301", "H335")
    assert found.pictograms == ("GHS06",)
    assert "26(1)(b)" in found.dropped_pictograms[0].reason


@pytest.mark.parametrize("code", ["H315", "H319"])
def test_corrosion_suppresses_the_exclamation_mark_for_irritation_only(code):
    """CLP Article 26(1)(c): for skin or eye irritation, not for other uses of the sign."""
    assert elements("H318", code).pictograms == ("GHS05",)
    assert elements("H318", code, "H302").pictograms == ("GHS05", "GHS07")
    assert elements("H318", code, "H317").pictograms == ("GHS05", "GHS07")


@pytest.mark.parametrize("code", ["H315", "H317", "H319"])
def test_respiratory_sensitisation_suppresses_the_exclamation_mark_for_skin_and_eyes(code):
    """CLP Article 26(1)(d)."""
    assert elements("H334", code).pictograms == ("GHS08",)
    assert elements("H334", code, "H302").pictograms == ("GHS08", "GHS07")
    assert elements("H351", code).pictograms == ("GHS08", "GHS07")


def test_danger_goes_before_warning():
    """CLP Article 20(3)."""
    assert elements("H317", "H350").signal_word == "Danger"
    assert elements("H350", "H317").signal_word == "Danger"
    assert elements("H317").signal_word == "Warning"


@pytest.mark.parametrize(("code", "signs"), [("H411", ("GHS09",)), ("H412", ()), ("H413", ())])
def test_long_term_water_hazards_below_category_1_have_no_signal_word(code, signs):
    """CLP Annex I, table 4.1.4: chronic 2 has the sign and no word, chronic 3 and 4 have neither."""
    found = elements(code)
    assert (found.signal_word, found.pictograms) == ("", signs)


def test_nothing_stated_gives_nothing():
    found = elements()
    assert (found.h_codes, found.signal_word, found.pictograms) == ((), "", ())


def eu_codes(code):
    return {h for row in pigment(code).substances if row.regime in EU_LIST for h in row.h_codes}


def test_cadmium_sulphide_has_a_harmonised_entry():
    """Regulation (EC) 1272/2008, Annex VI, table 3, index 048-010-00-4."""
    assert eu_codes("PY37") == {"H350", "H341", "H361fd", "H372", "H302", "H413"}
    entry = next(row for row in pigment("PY37").substances if row.index_no == "048-010-00-4")
    assert entry.signal_word == "Danger"
    assert not entry.excluded_by_name


@pytest.mark.parametrize("code", ["PY35", "PO20", "PR108"])
def test_no_eu_statement_is_invented_for_cadmium_pigments_excluded_by_name(code):
    """Annex VI, index 048-001-00-5: cadmium sulphoselenide and the Cd-Zn sulphides are excepted by name."""
    assert eu_codes(code) == set()
    assert any(row.excluded_by_name and "048-001-00-5" in row.classification for row in pigment(code).substances)
