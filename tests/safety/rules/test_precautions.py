"""At most six precautions, the important first, with reasons; CLP Article 28 and Annex IV, part 1."""

from safety.rules.precautions import AT_MOST, asked_by, choose
from tests.safety.reference import phrasebook

TURPENTINE = ("H226", "H332", "H312", "H302", "H304", "H319", "H315", "H317", "H411")


def chosen(p_codes, h_codes=()):
    return choose(p_codes, phrasebook(), h_codes)


def test_not_more_than_six_and_the_disposal_is_among_them():
    """CLP Article 28(3): not more than six; 28(2): one on disposal where the public buys it."""
    found = chosen(asked_by(TURPENTINE, phrasebook()), TURPENTINE)
    codes = [one.precaution.code for one in found.chosen]
    assert len(codes) == AT_MOST == 6
    assert codes[0] == "P301+P310"
    assert "P331" in codes
    assert "P210" in codes
    assert codes[-1] == "P501"
    assert "(CLP Article 28(2))" in found.chosen[-1].why


def test_every_one_left_out_has_its_reason():
    found = chosen(asked_by(TURPENTINE, phrasebook()), TURPENTINE)
    asked = set(asked_by(TURPENTINE, phrasebook()))
    assert {one.precaution.code for one in found.chosen} | {one.code for one in found.left_out} == asked
    reasons = {one.code: one.reason for one in found.left_out}
    assert reasons["P301+P312"] == "P301+P310 says it more strongly (CLP Article 28(1))"
    assert reasons["P405"] == "6 stand before it (CLP Article 28(3)); it still holds: read the sheet"


def test_why_names_the_hazards_that_ask_for_it():
    """CLP Annex I, tables 3.6.3 and 3.7.3: carcinogens and reproductive toxicants ask for P201 and P308+P313."""
    asking = asked_by(["H350", "H360Df", "H302"], phrasebook())
    assert asking["P201"] == ("H350", "H360Df")
    assert asking["P308+P313"] == ("H350", "H360Df")
    assert asking["P301+P312"] == ("H302",)
    found = chosen(asking, ["H350", "H360Df", "H302"])
    assert found.chosen[0].precaution.code == "P201"
    assert found.chosen[0].why == "prevention: so that it does not happen; goes with H350, H360Df"


def test_six_or_fewer_stay_as_they_are():
    found = chosen(["P102", "P210", "P501"])
    assert {one.precaution.code for one in found.chosen} == {"P102", "P210", "P501"}
    assert found.left_out == ()
    assert chosen([]).chosen == ()
