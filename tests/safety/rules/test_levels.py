"""Handling levels: our own table (common practice, no source), what a house changes of it, and what is not known."""

import pytest

from safety.rules.facts import Facts, LabelStatement, SheetRecord
from safety.rules.levels import (
    AIR,
    BY_WORD,
    DUST_DOWN,
    GLOVES,
    KEEPER,
    LEVELS,
    NOT_KNOWN,
    OPEN_BENCH,
    SETTABLE,
    TABLE,
    HouseLine,
    place,
)
from safety.rules.lists import AUSTRALIA
from tests.safety.reference import phrasebook, pigment, substances

NOT_CLASSIFIED = SheetRecord("A sheet", says_not_classified=True)


def sheet(*codes, **more):
    return SheetRecord("A sheet", h_codes=codes, **more)


def thing(name="Paint", *codes, **more):
    return Facts(name, pigments=tuple(pigment(code) for code in codes), **more)


def house(reach, values, level, why="The house says so."):
    return HouseLine(reach, tuple(values), level, why, "house rule", pk=1)


def test_not_known_stands_next_to_the_strictest():
    assert tuple(sorted(LEVELS, key=lambda level: level.rank)) == LEVELS
    assert LEVELS[-2:] == (NOT_KNOWN, KEEPER)
    assert NOT_KNOWN not in SETTABLE


def test_levels_describe_what_is_done_and_promise_nothing():
    for level in LEVELS:
        assert not any(letter.isdigit() for letter in level.word)
        assert len(level.word) <= 20
        assert BY_WORD[level.word] is level
    for words in [level.does for level in LEVELS] + [line.why for line in TABLE]:
        assert "safe" not in words.replace("safety", "")
        assert "harmless" not in words
    assert "not a finding of no hazard" in OPEN_BENCH.does


def test_the_table_names_only_codes_that_exist_and_each_once():
    named = [value for line in TABLE if line.reach == "code" for value in line.values]
    assert len(named) == len(set(named))
    assert all(code in phrasebook() for code in named)


@pytest.mark.parametrize(
    ("codes", "level"),
    [
        (("H350",), KEEPER),
        (("H360Df",), KEEPER),
        (("H350i", "H302"), KEEPER),
        (("H301+H311",), KEEPER),
        (("H314",), KEEPER),
        (("H351",), DUST_DOWN),
        (("H361fd",), DUST_DOWN),
        (("H372 (lungs)",), DUST_DOWN),
        (("H334", "H317"), DUST_DOWN),
        (("H226", "H304", "EUH066"), AIR),
        (("H336",), AIR),
        (("EUH209",), AIR),  # "can become highly flammable in use": CLP Annex II, 2.9, from memory
        (("H317",), GLOVES),
        (("H302", "H319"), GLOVES),
        (("EUH208 (rosin)",), GLOVES),
        (("EUH201",), DUST_DOWN),
        (("H290",), GLOVES),  # in no line of the table: gloves at least
        (("H410",), OPEN_BENCH),  # about water: nothing goes down the drain at any level
        (("EUH210",), OPEN_BENCH),
    ],
)
def test_the_strictest_code_of_the_sheet_gives_the_level(codes, level):
    placed = place(thing("Paint", "PB29", sheet=sheet(*codes)))
    assert placed.level is level
    assert placed.unknown == ()


@pytest.mark.parametrize(
    ("form", "level"),
    [("dry pigment", DUST_DOWN), ("solvent", AIR), ("varnish", AIR), ("paint", OPEN_BENCH), ("medium", OPEN_BENCH)],
)
def test_the_form_counts_even_where_the_sheet_classifies_nothing(form, level):
    facts = thing("Thing", *(["PB29"] if form in ("paint", "dry pigment") else []), form=form, sheet=NOT_CLASSIFIED)
    assert place(facts).level is level


@pytest.mark.parametrize(("sold_as", "level"), [("powder", DUST_DOWN), ("spray", DUST_DOWN), ("pan", OPEN_BENCH)])
def test_what_it_is_sold_as_counts(sold_as, level):
    assert place(thing("Paint", "PB29", sheet=NOT_CLASSIFIED, sold_as=sold_as)).level is level


@pytest.mark.parametrize(
    ("code", "level"), [("PW1", KEEPER), ("PY34", KEEPER), ("PR106", KEEPER), ("PR108", DUST_DOWN), ("PB28", DUST_DOWN),
                        ("PG17", OPEN_BENCH), ("PW21", OPEN_BENCH), ("PB15:3", OPEN_BENCH)]
)  # fmt: skip
def test_metals_count_beside_a_sheet_that_classifies_nothing(code, level):
    assert place(thing("Paint", code, sheet=NOT_CLASSIFIED)).level is level


@pytest.mark.parametrize(("name", "level"), [("Burnt umber", DUST_DOWN), ("Burnt sienna", OPEN_BENCH)])
def test_umber_and_sienna(name, level):
    assert place(thing(name, "PBr7", sheet=NOT_CLASSIFIED)).level is level


def test_an_unnamed_earth_counts_as_umber_and_says_why():
    placed = place(thing("Earth brown", "PBr7", sheet=NOT_CLASSIFIED))
    assert placed.level is DUST_DOWN
    assert placed.deciding[0].on == "manganese, if the PBr7 is umber, which is not known"


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (thing("Red"), "No pigment is recorded"),
        (thing("Blue", "PB29"), "PB29: neither a maker's sheet nor the list used"),
        (thing("Red", "PR108"), "PR108: neither a maker's sheet nor the list used"),
        (thing("Grey", "PW4", "PX99"), "PX99: neither"),
        (thing("Mystery", form="medium"), "Neither a maker's sheet, the label nor the list"),
        (thing("Blue", "PB29", sheet=sheet()), "PB29: neither"),
        (thing("Blue", "PB29", sheet=SheetRecord("S", signal_word="Danger")), "none of its statements"),
        (thing("Blue", "PB29", label=LabelStatement("", pictograms=("GHS07",))), "none of its statements"),
        (thing("Blue", "PB29", sheet=sheet("H315", unknown_codes=("H399",))), "The sheet prints H399"),
    ],
)
def test_what_is_not_known_stays_so(facts, words):
    placed = place(facts)
    assert placed.level is NOT_KNOWN
    assert words in " ".join(map(str, placed.unknown))


def test_what_calls_for_the_strictest_is_not_hidden_by_what_is_not_known():
    placed = place(thing("Mixed", "PY37", "PB29"))
    assert placed.level is KEEPER
    assert placed.unknown


def test_published_codes_alone_never_reach_the_open_bench():
    """Without the maker's sheet what else is in a paint is not known."""
    placed = place(thing("Zinc white", "PW4"))
    assert placed.level is GLOVES
    assert [one.on for one in placed.because] == ["no maker's data"]


def test_the_lists_of_the_studio_s_place_count():
    """Safe Work Australia lists PR108 as Carc. 1B; the EU list excludes it by name."""
    red = thing("Cadmium red", "PR108")
    assert place(red).level is NOT_KNOWN
    assert place(red, regimes=(AUSTRALIA,)).level is KEEPER


def test_a_solvent_by_its_published_entry():
    """Annex VI, index 650-002-00-6: H304, H226 ... for turpentine."""
    turpentine = Facts("Turpentine", form="solvent", ingredients=substances("turpentine, oil"))
    assert place(turpentine).level is AIR


@pytest.mark.parametrize("level", [OPEN_BENCH, KEEPER])
@pytest.mark.parametrize(
    ("reach", "value"),
    [("code", "H317"), ("metal", "Co"), ("pigment", "PB28"), ("form", "paint"), ("form", "oil paint")],
)
def test_a_house_line_takes_the_place_of_ours(reach, value, level):
    codes = ("H317",) if reach == "code" else ("EUH210",)
    pigments = ("PB28",) if reach in ("metal", "pigment") else ("PB29",)
    facts = thing("Paint", *pigments, sheet=sheet(*codes))
    placed = place(facts, [house(reach, [value], level)], kinds=frozenset({"oil paint"}))
    reached = {one.line.level for one in placed.because if isinstance(one.line, HouseLine)}
    assert reached == {level}
    if level is KEEPER or reach in ("code", "metal"):
        assert placed.level is level


def test_a_house_line_for_the_family_reaches_its_members_and_a_nearer_one_goes_before_it():
    facts = thing("Paint", "PB29", sheet=sheet("H360Df"))
    family, member = house("code", ["H360"], AIR), house("code", ["H360Df"], GLOVES)
    assert place(facts, [family]).level is AIR
    assert place(facts, [family, member]).level is GLOVES


def test_of_two_house_lines_for_the_same_the_stricter_counts():
    facts = thing("Paint", "PB29", sheet=sheet("H317"))
    assert place(facts, [house("code", ["H317"], AIR), house("code", ["H317"], GLOVES)]).level is AIR


def test_seals():
    rules = [house("seal", ["CL"], KEEPER), house("no seal", ["AP"], DUST_DOWN)]
    facts = thing("Paint", "PB29", sheet=NOT_CLASSIFIED)
    assert place(facts, rules, seals=frozenset({"CL", "AP"})).level is KEEPER
    assert place(facts, rules, seals=frozenset({"AP"})).level is OPEN_BENCH
    assert place(facts, rules).level is DUST_DOWN


def test_a_rule_for_one_item_goes_before_everything_and_tells_what_it_overrules():
    facts = thing("Paint", "PW1", sheet=NOT_CLASSIFIED)
    placed = place(facts, [house("item", ["7"], GLOVES)], item="7")
    assert placed.level is GLOVES
    assert placed.overruled == ("Without the rule for this one item the table says: keeper's hands only.",)
    assert place(facts, [house("item", ["7"], GLOVES)], item="8").level is KEEPER


@pytest.mark.parametrize(
    "rule",
    [
        house("item", ["7"], OPEN_BENCH),
        house("everything", [], OPEN_BENCH),
        house("no data", [], OPEN_BENCH),
        house("pigment", ["PB29"], OPEN_BENCH),
    ],
)
def test_no_rule_makes_less_of_what_is_not_known(rule):
    assert place(thing("Blue", "PB29"), [rule], item="7").level is NOT_KNOWN


def test_a_rule_makes_more_of_what_is_not_known():
    assert place(thing("Blue", "PB29"), [house("no data", [], KEEPER)]).level is KEEPER
    assert place(thing("Blue", "PB29"), [house("item", ["7"], KEEPER)], item="7").level is KEEPER


def test_each_line_is_told_once_with_all_that_reached_it():
    rules = [house("code", ["H317"], KEEPER, "Allergy runs in this house.")]
    steps = place(thing("Paint", "PB29", sheet=sheet("H302", "H319", "H350", "H317")), rules).steps
    assert [(str(step.line.level), step.words) for step in steps] == [
        ("keeper's hands only", "H350: it can harm the genes, cause cancer or harm a child to be born."),
        ("keeper's hands only", "H317: Allergy runs in this house."),
        ("gloves and no food", "H302, H319: skin, eyes or mouth take it in."),
    ]
    assert [step.house for step in steps] == ["", "house rule", ""]
