"""Reading a label as a whole: what its codes call for and what to ask, worked by hand from CLP."""

from decimal import Decimal

from safety.rules.label_check import Ingredient, check
from tests.safety.reference import phrasebook, pigment, substances


def read(*codes, **more):
    return check(codes, phrasebook(), **more)


def test_codes_of_all_kinds_are_told_apart():
    answer = read("H226", "H304", "H317", "H372 (nervous system)", "EUH066", "P210", "P501")
    assert answer.label.pictograms == ("GHS08", "GHS02", "GHS07")
    assert answer.label.signal_word == "Danger"
    assert [one.code for one in answer.sentences] == ["H226", "H304", "H317", "H372", "EUH066"]
    assert answer.sentences[3].remark == "nervous system"
    assert answer.precautions_typed
    assert {one.precaution.code for one in answer.choice.chosen} == {"P210", "P501"}


def test_without_p_codes_the_tables_give_them():
    answer = read("H317")
    assert not answer.precautions_typed
    assert {one.precaution.code for one in answer.choice.chosen} <= {
        "P261", "P272", "P280", "P302+P352", "P333+P313", "P321", "P362+P364", "P501"
    }  # fmt: skip
    assert len(answer.choice.chosen) == 6


def test_a_sensitiser_is_named_in_the_sentence():
    """CLP Annex II, section 2.8."""
    answer = read("EUH208", sensitisers=["BIT"])
    assert answer.sentences[0].phrase == "Contains BIT. May produce an allergic reaction."
    assert answer.doubts == ()
    assert "EUH208 stands here without a name" in read("EUH208").doubts[0]
    assert "EUH208 is not among the codes" in read("H226", sensitisers=["BIT"]).doubts[0]
    assert any("classified as a sensitiser" in one for one in read("H317", "EUH208", sensitisers=["BIT"]).doubts)


def test_sizes_are_asked_only_where_one_was_given():
    assert read("H226").sizes == ()
    assert [one.rule for one in read("H226", size=Decimal(37)).sizes] == [
        "US art materials (ASTM D4236)",
        "EU small packages",
    ]
    assert len(read("H226", size=Decimal(20), unit="g").sizes) == 1


def test_what_to_ask_about_ingredients():
    zinc = Ingredient("PW4", Decimal(30), pigment("PW4").substances)
    red = Ingredient("PR108", None, pigment("PR108").substances)
    blue = Ingredient("PB29", None, pigment("PB29").substances)
    bit = Ingredient("BIT", Decimal("0.01"), substances("BIT"))
    asked = {one.name: one for one in read("H410", ingredients=[zinc, red, blue, bit]).asked}
    assert any("Aquatic Chronic 1" in one.text and "reaches that" in one.text for one in asked["PW4"].questions)
    assert "Excluded by name" in asked["PR108"].said
    assert "that is not a finding of no hazard" in asked["PB29"].said
    assert any("names it with EUH208. 0.01 % as entered reaches that" in one.text for one in asked["BIT"].questions)
