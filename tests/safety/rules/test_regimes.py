"""Every regime about one pigment: the cases that are easily got wrong, against the lists themselves."""

import pytest

from safety.rules.facts import PigmentFacts
from safety.rules.lists import places_of
from safety.rules.regimes import (
    NOTHING,
    REGIMES,
    apart,
    earth_question,
    limit_place,
    metal_words,
    side_by_side,
    where_held,
)
from safety.rules.sources import TITLES
from safety.rules.statements import split_cell
from tests.safety.reference import pigment, rows


def blocks(code, place="EU", earth=""):
    return {one.regime.key: one for one in side_by_side(pigment(code), place, earth)}


def indexes(code):
    return {row.published.index_no for row in blocks(code)["clp"].rows if row.published.index_no}


def says(code, regime):
    return " ".join(row.says for row in blocks(code)[regime].rows)


def codes(code, regime):
    return {h for row in blocks(code)[regime].rows for h in row.published.h_codes}


def test_every_regime_of_the_table_has_its_block():
    named = {name for regime in REGIMES for name in regime.names}
    assert {row["regime"] for row in rows("hazards")} == named


def test_cadmium_sulphide_has_its_entry():
    """Annex VI, Table 3, index 048-010-00-4."""
    assert indexes("PY37") == {"048-010-00-4"}
    assert "H350" in codes("PY37", "clp")


@pytest.mark.parametrize("code", ["PY35", "PO20", "PR108"])
def test_cadmium_pigments_excluded_by_name_are_listed_in_australia(code):
    """Annex VI excepts them from 048-001-00-5; Safe Work Australia, HCIS, lists each as Carc. 1B."""
    assert indexes(code) == set()
    assert "Excluded by name from 048-001-00-5" in says(code, "clp")
    assert "not a finding of no hazard" in says(code, "clp")
    assert codes(code, "clp") == set()
    assert "H350" in codes(code, "australia")


@pytest.mark.parametrize(
    ("code", "group"),
    [("PR106", "080-002-00-6"), ("PR107", "051-003-00-9"), ("PY31", "024-017-00-8"), ("PW21", "056-002-00-7")],
)
def test_exclusions_by_name_from_other_groups(code, group):
    """Annex VI: mercuric sulphide, Sb2S3, barium chromate and barium sulphate in the names of the group entries."""
    assert f"Excluded by name from {group}" in says(code, "clp")
    assert group not in indexes(code)


def test_one_nickel_titanate_is_harmonised_and_the_other_is_not():
    """Annex VI, index 028-052-00-X names C.I. Pigment Yellow 157; PY53 has no entry."""
    assert indexes("PY157") == {"028-052-00-X"}
    assert blocks("PY53")["clp"].rows == ()
    assert apart("PY53") == apart("PY157")


def test_two_chromates_stand_in_different_categories():
    """Annex VI: 024-007-00-3 is Carc. 1A, 024-009-00-4 is Carc. 1B."""
    assert says("PY36", "clp").startswith("Carc. 1A")
    assert says("PY32", "clp").startswith("Carc. 1B")


@pytest.mark.parametrize("code", ["PG17", "PG18"])
def test_chromium_oxides_are_never_told_as_chromates(code):
    """IARC Volume 49: chromium(III) is group 3; CLP Annex VI has no entry for chromium(III) oxide."""
    assert blocks(code)["clp"].rows == ()
    assert blocks(code)["osha"].rows == ()
    assert "Group 3" in says(code, "iarc")
    for regime in REGIMES:
        assert "1910.1026" not in says(code, regime.key)
        assert "H350" not in codes(code, regime.key)
    assert "chromate" not in " ".join(metal_words(pigment(code)))


def test_chrome_green_holds_lead():
    """Annex VI, index 082-004-00-2, lead chromate."""
    assert indexes("PG15") == {"082-004-00-2"}
    assert {"lead", "chromium(VI), a chromate"} <= set(metal_words(pigment("PG15")))
    assert "PG15 holds lead chromate" in " ".join(apart("PG17"))


def test_iarc_parts_cobalt_into_groups():
    """IARC Monographs, Volume 131 (2023)."""
    assert says("PB28", "iarc") == "Group 3 (Volume 131)."
    told = " ".join(apart("PB28"))
    for words in ("soluble cobalt(II) salts are group 2A", "cobalt(II) oxide is group 2B", "are group 3"):
        assert words in told
    # Potassium cobaltinitrite holds cobalt(III): the rows about cobalt(II) do not name it.
    assert blocks("PY40")["iarc"].rows == ()


def test_umber_has_manganese_sienna_has_not_and_the_bare_code_is_asked():
    """Common practice, no source: siennas hold little manganese, umbers 5 to 20 % of its oxides."""
    earth = pigment("PBr7")
    assert metal_words(earth, "umber") == ("manganese",)
    assert metal_words(earth, "sienna") == ()
    assert "The manganese counts" in earth_question("PBr7", "umber")
    assert "Which one is it?" in earth_question("PBr7", "")
    assert "not known" in earth_question("PBr7", "")
    assert earth_question("PBr8", "") == ""
    told = {row.published.substance for row in blocks("PBr7", earth="sienna")["suppliers"].rows}
    assert "manganese pigments" not in told
    assert "manganese pigments" in {row.published.substance for row in blocks("PBr7")["suppliers"].rows}


def test_a_regime_without_a_row_says_that_it_found_nothing_and_no_more():
    assert NOTHING == "Nothing established here: that is not a finding of no hazard."
    unknown = side_by_side(PigmentFacts("PX99", known=False), "EU")
    assert len(unknown) == len(REGIMES)
    assert all(block.rows == () and block.nothing == NOTHING for block in unknown)


def test_every_row_has_its_source_and_how_sure_it_is():
    for row in rows("pigments"):
        for block in side_by_side(pigment(row["ci_name"])):
            for one in block.rows:
                assert one.source
                assert one.confidence in ("published", "common practice", "from memory")
                assert one.says.endswith(".")
                assert ".." not in one.says


@pytest.mark.parametrize(
    ("place", "first"),
    [
        ("EU", ["clp", "reach"]),
        ("Germany", ["clp", "reach"]),
        ("Australia", ["australia", "clp"]),
        ("US", ["osha", "ntp"]),
        ("US (California)", ["prop65", "osha", "ntp"]),
        ("California, USA", ["prop65", "osha", "ntp"]),
        ("Great Britain", ["clp", "reach"]),
        ("", ["clp", "reach"]),
    ],
)
def test_the_studio_s_own_place_comes_first(place, first):
    order = [one.regime.key for one in side_by_side(pigment("PR108"), place)]
    assert order[: len(first)] == first
    assert order[-1] == "suppliers"
    assert len(order) == len(REGIMES)


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ("EU", ("EU",)),
        ("  european   union ", ("EU",)),
        ("France", ("EU",)),
        ("Norway", ("EU",)),
        ("Austria", ("EU",)),
        ("Australia (NSW)", ("Australia",)),
        ("USA", ("United States",)),
        ("US, Ohio", ("United States",)),
        ("Great Britain", ("United Kingdom",)),
        ("Switzerland", ()),
        ("Baja California", ()),
        ("", ()),
    ],
)
def test_places(typed, places):
    assert places_of(typed) == places


def test_why_the_blocks_stand_so():
    assert where_held("EU") == "What is held for EU comes first."
    assert "No list of Great Britain is held here" in where_held("Great Britain")
    assert "has not said whose law applies" in where_held(" ")


def test_limits_belong_to_places():
    assert {limit_place(row["jurisdiction"]) for row in rows("limits")} == {
        "EU", "United States", "California", "United Kingdom", ""
    }  # fmt: skip
    assert limit_place("US (California)") == "California"
    assert limit_place("US (OSHA)") == "United States"
    assert limit_place("international") == ""


def test_every_source_of_the_tables_is_written_out():
    """A key such as dir-2004-37 says nothing to whoever reads the page."""
    keys = {
        key
        for name in ("hazards", "limits", "statements", "solvents")
        for row in rows(name)
        for key in split_cell(row["source"])
    }
    assert keys <= set(TITLES)
