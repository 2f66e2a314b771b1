"""Which house rules catch what. The rules themselves are invented; seals are those of the labelling under ASTM D4236.

The letters AP and CL are from memory of the trade; H350, H361fd and the signal of cadmium sulphide are those of
CLP Annex VI, index 048-010-00-4.
"""

from datetime import date

import pytest

from safety.rules.allowed import (
    NO_MAKERS_DATA,
    OWN_STANCE,
    READ_FIRST,
    Thing,
    UseRule,
    catches_code,
    catches_pigment,
    caught,
    has_makers_data,
)
from safety.rules.classify import SubstanceClassification
from safety.rules.facts import Facts, LabelStatement, PigmentFacts, SheetRecord

SOURCE = "house rule of 2026-01-12, decided by the safety office, recorded by Ines"
ONLY_AP = UseRule("Children under 13 use only what carries the seal AP", SOURCE, True, "no seal", ("AP",))
CADMIUM_SULPHIDE = SubstanceClassification(
    substance="cadmium sulphide",
    regime="CLP Annex VI harmonised",
    classification="Carc. 1B",
    h_codes=("H350", "H341", "H361fd"),
    index_no="048-010-00-4",
    source="Regulation (EC) 1272/2008",
    confidence="published",
)
YELLOW = PigmentFacts("PY37", "cadmium sulphide", ("Cd",), (CADMIUM_SULPHIDE,))
BLUE = PigmentFacts("PB29", "sodium aluminium sulphosilicate")
SHEET = SheetRecord("Blue", read_on=date(2026, 1, 5), says_not_classified=True)


def labelled(*seals, text="Conforms to ASTM D4236.", **said):
    return LabelStatement(text, date(2026, 1, 5), seals=seals, **said)


def thing(*pigments, kinds=("paint", "acrylic paint"), level="open bench", key="7", on_shelf=True, **said):
    return Thing(Facts("Paint", pigments=pigments, **said), frozenset(kinds), level, key, on_shelf)


def ban(reach, *values):
    return UseRule("Not for them", SOURCE, True, reach, values)


def warn(reach, *values):
    return UseRule("Take care", SOURCE, False, reach, values)


def test_nine_year_olds_with_a_tube_of_seal_cl_and_one_without_a_seal():
    """Both are out of the list of that class: one for its seal, the other as unknown; the house rule is the source."""
    (sealed,) = caught(thing(BLUE, label=labelled("CL")), [ONLY_AP], children=True)
    assert (sealed.forbids, sealed.unknown) == (True, False)
    assert sealed.rule == "Children under 13 use only what carries the seal AP"
    assert sealed.why == "its label carries the seal CL, not AP"
    assert sealed.source == SOURCE
    own, unsealed = caught(thing(BLUE), [ONLY_AP], children=True)
    assert (own.rule, own.source) == (NO_MAKERS_DATA, OWN_STANCE)
    assert own.forbids
    assert own.unknown
    assert (unsealed.forbids, unsealed.unknown) == (True, True)
    assert unsealed.why == "its label is not recorded, so its seal is unknown"
    assert unsealed.source == SOURCE


def test_the_seal_that_is_asked_for_is_caught_by_nothing():
    assert caught(thing(BLUE, label=labelled("AP")), [ONLY_AP], children=True) == ()


def test_a_copied_label_without_a_seal_stays_unknown():
    (found,) = caught(thing(BLUE, label=labelled()), [ONLY_AP], children=True)
    assert found.unknown
    assert found.forbids
    assert found.why == "no seal is recorded from its label"


def test_seals_that_contradict_each_other_are_unknown():
    (found,) = caught(thing(BLUE, label=labelled("AP", "CL")), [ONLY_AP], children=True)
    assert found.unknown
    assert found.forbids
    assert "contradict" in found.why


@pytest.mark.parametrize(
    ("rule", "what", "why"),
    [
        (ban("everything"), thing(BLUE, sheet=SHEET), "the rule is about everything"),
        (ban("seal", "CL"), thing(BLUE, label=labelled("CL")), "its label carries the seal CL"),
        (ban("seal", "CL"), thing(BLUE, label=labelled("cl")), "its label carries the seal CL"),
        (ban("metal", "Cd"), thing(YELLOW, sheet=SHEET), "PY37 contains cadmium"),
        (ban("pigment", "PY37"), thing(YELLOW, sheet=SHEET), "it contains PY37"),
        (ban("form", "solvent"), thing(kinds=("solvent",), sheet=SHEET), "it is a solvent"),
        (ban("form", "oil paint"), thing(BLUE, kinds=("paint", "oil paint"), sheet=SHEET), "it is an oil paint"),
        (ban("level", "dust kept down"), thing(BLUE, level="dust kept down", sheet=SHEET), "“dust kept down”"),
        (ban("item", "7"), thing(BLUE, sheet=SHEET), "the rule names it"),
        (
            ban("code", "H361"),
            thing(BLUE, sheet=SheetRecord("B", h_codes=("H361fd", "H302"))),
            "the maker's sheet states H361fd",
        ),
        (ban("code", "H317"), thing(BLUE, label=labelled(h_codes=("H317",))), "its label states H317"),
        (
            ban("code", "H350"),
            thing(YELLOW, label=labelled()),
            "the published classification of PY37 as a substance has H350 (CLP Annex VI harmonised)",
        ),
    ],
)
@pytest.mark.parametrize("children", [True, False])
def test_what_a_rule_goes_by(rule, what, why, children):
    (found,) = caught(what, [rule], children=children)
    assert why in found.why
    assert (found.forbids, found.unknown) == (True, False)


@pytest.mark.parametrize(
    ("rule", "what"),
    [
        (ban("seal", "CL"), thing(BLUE, label=labelled("AP"))),
        (ban("metal", "Cd"), thing(BLUE, sheet=SHEET)),
        (ban("pigment", "PY37"), thing(BLUE, sheet=SHEET)),
        (ban("form", "solvent"), thing(BLUE, sheet=SHEET)),
        (ban("level", "keeper's hands only"), thing(BLUE, sheet=SHEET)),
        (ban("item", "8"), thing(BLUE, sheet=SHEET)),
        (ban("no data"), thing(BLUE, sheet=SHEET)),
        (ban("no data"), thing(BLUE, label=labelled())),
        (ban("code", "H350"), thing(YELLOW, sheet=SHEET)),  # the maker's sheet goes before the published list
        (ban("code", "H350"), thing(BLUE, label=labelled(h_codes=("H317",)))),
    ],
)
def test_what_a_rule_leaves_alone(rule, what):
    assert caught(what, [rule], children=True) == ()


@pytest.mark.parametrize(
    ("rule", "what", "why"),
    [
        (ban("seal", "CL"), thing(BLUE, sheet=SHEET), "its label is not recorded"),
        (ban("metal", "Cd"), thing(sheet=SHEET), "its pigments are not known"),
        (ban("metal", "Cd"), thing(PigmentFacts("PX1", known=False), sheet=SHEET), "what “PX1” contains is not known"),
        (ban("pigment", "PY37"), thing(sheet=SHEET), "its pigments are not known"),
        (ban("form", "oil paint"), thing(BLUE, kinds=("paint",), sheet=SHEET), "its binder is not known"),
        (ban("level", "keeper's hands only"), thing(BLUE, level="not known", sheet=SHEET), "level is not known"),
        (ban("code", "H350"), thing(BLUE, label=labelled()), "not recorded from a sheet or a label"),
        (ban("code", "H350"), thing(BLUE, label=labelled(signal_word="Danger")), "not recorded from a sheet"),
    ],
)
def test_what_nobody_can_tell_is_kept_from_children_and_told_to_others(rule, what, why):
    (kept,) = caught(what, [rule], children=True)
    assert why in kept.why
    assert (kept.forbids, kept.unknown) == (True, True)
    (told,) = caught(what, [rule], children=False)
    assert (told.forbids, told.unknown) == (False, True)


def test_a_ban_on_what_has_no_data_holds_for_adults_too():
    (found,) = caught(thing(BLUE), [ban("no data")])
    assert (found.forbids, found.unknown) == (True, True)


def test_without_rules_only_children_are_kept_from_the_unknown():
    assert caught(thing(BLUE), []) == ()
    (found,) = caught(thing(BLUE), [], children=True)
    assert found.rule == "No maker's data is recorded, so it is unknown, and what is unknown is kept from children"
    assert found.source == "how this record treats what is unknown; it is not a house rule and not law"


def test_a_sheet_whose_statements_nobody_entered_is_no_data():
    assert not has_makers_data(Facts("Blue", sheet=SheetRecord("Blue", read_on=date(2026, 1, 5))))
    assert has_makers_data(Facts("Blue", sheet=SHEET))
    assert has_makers_data(Facts("Blue", label=labelled("CL", text="")))


def test_a_warning_forbids_nothing_and_stands_after_a_ban():
    found = caught(thing(YELLOW, sheet=SHEET), [warn("metal", "Cd"), ban("pigment", "PY37")], children=True)
    assert [one.forbids for one in found] == [True, False]


def test_what_is_kept_out_is_not_said_to_be_warned_of_perhaps():
    found = caught(thing(sheet=SHEET), [ban("everything"), warn("metal", "Cd")])
    assert [one.why for one in found] == ["the rule is about everything"]


def test_a_rule_of_one_room_warns_and_names_it():
    rule = UseRule("No cadmium", SOURCE, True, "metal", ("Cd",), room="Children's room")
    (found,) = caught(thing(YELLOW, sheet=SHEET), [rule])
    assert found.rule == "In Children's room: No cadmium"
    assert not found.forbids


@pytest.mark.parametrize(
    ("rules", "children", "expected"),
    [
        ([ban("metal", "Cd")], False, [(True, False)]),
        ([ban("code", "H350")], False, [(True, False)]),
        ([ban("pigment", "PY37")], True, [(True, False)]),
        ([warn("pigment", "PY37")], True, [(False, False), (False, True)]),
        ([ban("no data")], False, [(False, True)]),
        ([ONLY_AP], False, [(False, True)]),
        ([ban("code", "H317")], False, [(False, True)]),
        ([ban("form", "solvent"), ban("item", "7"), ban("level", "not known")], False, []),
        ([], True, [(False, True)]),
    ],
)
def test_a_pigment_that_is_only_thought_of(rules, children, expected):
    """What it contains is known; that it has no sheet yet is told, and keeps nobody from thinking of it."""
    found = caught(thing(YELLOW, level="", on_shelf=False), rules, children=children)
    assert [(one.forbids, one.unknown) for one in found] == expected
    assert all(one.why == READ_FIRST for one in found if one.unknown)


@pytest.mark.parametrize(
    ("value", "code", "reached"),
    [
        ("H360", "H360FD", True),
        ("H360D", "H360FD", True),
        ("H360D", "H360Df", True),
        ("H360F", "H360Df", False),
        ("H360FD", "H360D", False),
        ("H350", "H350i", True),
        ("H350i", "H350", False),
        ("H350", "H351", False),
        ("H301", "H301 + H311", True),
        ("H372", "H372 (lungs)", True),
        ("EUH207", "EUH207", True),
        ("H207", "EUH207", False),
    ],
)
def test_codes_reach_their_own_and_finer_ones(value, code, reached):
    """CLP Annex VI, 1.1.2.1.2: letters after H350, H360 and H361 narrow the statement."""
    assert catches_code(value, code) is reached


@pytest.mark.parametrize(
    ("value", "code", "reached"),
    [("PB15", "PB15:3", True), ("PB15:3", "PB15:3", True), ("PB15:3", "PB15", False), ("PR1", "PR108", False)],
)
def test_pigments_reach_their_own_forms(value, code, reached):
    assert catches_pigment(value, code) is reached
