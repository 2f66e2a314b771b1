"""What a maker may leave off, and where UN GHS and the US rule show something else than CLP."""

import pytest

from safety.rules.classify import differences, label_elements, optional_signs
from tests.safety.reference import phrasebook


def optional(*codes):
    return {one.code: one.reason for one in optional_signs(codes, phrasebook())}


def differ(*codes):
    return {(one.scheme, one.text) for one in differences(codes, phrasebook())}


def test_explosives_make_flame_and_oxidiser_optional():
    """CLP Article 26(1)(a)."""
    assert optional("H201", "H225", "H272") == {
        "GHS02": "GHS01 is shown (CLP Article 26(1)(a))",
        "GHS03": "GHS01 is shown (CLP Article 26(1)(a))",
    }
    shown = label_elements(["H201", "H225"], phrasebook()).pictograms
    assert set(shown) == {"GHS01", "GHS02"}


def test_signs_that_one_category_calls_for_together_both_stay():
    """CLP Article 26(1)(a), last clause; Annex I, table 2.8.1: self-reactive type B has GHS01 and GHS02."""
    assert optional("H241") == {}
    assert optional("H241", "H272") == {"GHS03": "GHS01 is shown (CLP Article 26(1)(a))"}


@pytest.mark.parametrize(("other", "sign"), [("H220", "GHS02"), ("H331", "GHS06")])
def test_flame_or_skull_make_the_cylinder_optional(other, sign):
    """CLP Article 26(1)(e)."""
    assert optional("H280", other) == {"GHS04": f"{sign} is shown (CLP Article 26(1)(e))"}
    assert optional("H280", "H315") == {}


def test_the_us_rule_keeps_the_exclamation_mark_for_what_is_not_acute_toxicity():
    """29 CFR 1910.1200 Appendix C, C.2.1.2: beside the skull it goes "where it is used for acute toxicity"."""
    label = label_elements(["H301", "H317"], phrasebook())
    assert label.pictograms == ("GHS06",)
    (told,) = [text for scheme, text in differ("H301", "H317") if "GHS07" in text]
    assert told.startswith("GHS07 stays beside GHS06 for H317")


@pytest.mark.parametrize("codes", [("H301", "H332"), ("H301", "H314", "H315"), ("H301", "H334", "H317"), ("H317",)])
def test_no_difference_is_told_where_the_schemes_agree(codes):
    """C.2.1.3 and C.2.1.4 of the same appendix are CLP Article 26(1)(c) and (d)."""
    assert not [text for _, text in differ(*codes) if "GHS07" in text]


@pytest.mark.parametrize("code", ["H227", "H303", "H316", "H320", "H401", "H402"])
def test_statements_that_clp_does_not_have_are_told(code):
    """UN GHS Annex 3 beside CLP Annex III."""
    assert any("not in the EU's CLP" in text and code in text for _, text in differ(code))


@pytest.mark.parametrize(("shown", "left"), [("H410", "H400"), ("H411", "H401"), ("H412", "H402"), ("H314", "H318")])
def test_ghs_leaves_off_what_a_longer_statement_says(shown, left):
    """UN GHS 1.4.10.5.3.3; CLP Annex III, part 1 for the first and the last."""
    found = label_elements([left, shown], phrasebook())
    assert found.h_codes == (shown,)
    assert [one.code for one in found.dropped] == [left]


def test_statements_of_the_eu_alone_and_of_the_environment_are_told():
    texts = " ".join(text for _, text in differ("EUH066", "H410"))
    assert "EUH066: the EU's own additions" in texts
    assert "H410: hazards to the environment are outside this rule" in texts
    assert differ("H315") == set()
