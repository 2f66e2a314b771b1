"""One row: tubes, refusals with their reason, questions with their answers. All rows here are invented."""

import csv
from pathlib import Path

import pytest

from inventory.exchange import Around, ImportSettings, Person, digests, guess_columns, read_row, read_table
from inventory.labels import KnownPigment, Vocabulary

FIXTURES = Path(__file__).parents[3] / "fixtures"
COLUMNS = ("name", "pigments", "size", "sealed", "open", "left", "owner", "binder", "place")
MAPPING = {str(place): key for place, key in enumerate(COLUMNS)}


@pytest.fixture(scope="module")
def around():
    with (FIXTURES / "pigments.csv").open(encoding="utf-8", newline="") as table:
        vocabulary = Vocabulary(KnownPigment.from_row(row) for row in csv.DictReader(table))
    return Around(vocabulary, people={"mara": Person(7, "Mara")}, tubes={12: "blue", 13: "blue"})


@pytest.fixture
def read(around):
    def reading(*, chosen=None, settings=None, present=False, extra=(), **cells):
        cells = {"name": "Blue", "pigments": "PB29", "size": "40 ml", **cells}
        row = [cells.get(key, "") for key in COLUMNS] + list(extra)
        settings = settings or ImportSettings(decimals="point")
        return read_row(COLUMNS, row, MAPPING, settings, around, chosen=chosen, present=present)

    return reading


def messages(found):
    return " ".join(doubt["message"] for doubt in found.doubts)


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("-1", "it has a minus sign; enter 0 or more"),
        ("-0", "it has a minus sign; enter 0 or more"),
        ("1e9", "it is written with an exponent"),
        ("NaN", "it is no number"),
        ("12.5", "sealed containers are counted whole; enter a part as the filling of an open one"),
        ("501", "more than the 500 that are taken in at once"),
        ("two", "it is no number"),
    ],
)
def test_a_count_that_cannot_be_is_refused_with_its_reason(read, typed, reason):
    found = read(sealed=typed)
    assert found.state == "error"
    assert reason in messages(found)
    assert found.doubts[0]["column"] == "sealed"
    assert typed in messages(found)


@pytest.mark.parametrize(
    ("cells", "tubes"),
    [
        ({"sealed": "2"}, (2, [])),
        ({"sealed": "2", "open": "1", "left": "about half"}, (2, [[20_000, True]])),
        ({"open": "1/2 tube"}, (0, [[20_000, True]])),
        ({"open": "about half"}, (0, [[20_000, True]])),
        ({"open": "1.5", "left": "full"}, (0, [[40_000, False], [20_000, True]])),
        ({"open": "1", "left": "18 ml"}, (0, [[18_000, False]])),
        ({"open": "1", "left": "about 18.5 ml"}, (0, [[18_500, True]])),
        ({"left": "1/4"}, (0, [[10_000, True]])),
        ({"open": "2"}, (0, [[20_000, True], [20_000, True]])),
        ({"sealed": "0", "open": "0"}, (0, [])),
    ],
)
def test_tubes_of_a_row(read, cells, tubes):
    found = read(**cells)
    assert found.state == "clear"
    assert (found.read["sealed"], found.read["open"]) == tubes


def test_grams_left_of_a_size_in_ml_are_not_turned_into_ml(read):
    found = read(open="1", left="61 g")
    assert found.state == "error"
    assert "Without the paint's density" in messages(found)


def test_more_left_than_the_size_is_refused(read):
    assert "more than the size of 40 ml" in messages(read(open="1", left="41 ml"))


def test_a_size_without_a_unit_is_asked_and_the_answer_counts(read):
    found = read(size="37", sealed="1")
    question = found.doubts[0]
    assert (found.state, question["blocks"]) == ("error", True)
    answered = read(size="37", sealed="1", chosen={question["key"]: "37 g"})
    assert (answered.state, answered.read["size"]) == ("clear", [37_000, "g"])


def test_a_missing_size_may_hold_for_all_rows(read):
    assert "No size is given" in messages(read(size="", sealed="1"))
    found = read(size="", sealed="1", settings=ImportSettings(size="37 ml"))
    assert found.read["size"] == [37_000, "ml"]


def test_a_size_without_tubes_is_not_asked(read):
    assert read(size="", sealed="0").state == "clear"


def test_a_row_without_a_name_blocks_and_offers_the_pigments(read):
    found = read(name="", sealed="1")
    assert found.state == "error"
    assert "has no name" in messages(found)
    assert read(name="", sealed="1", chosen={found.doubts[0]["key"]: "PB29"}).read["name"] == "PB29"


def test_a_name_that_is_too_long_says_so(read):
    found = read(name="x" * 161)
    assert found.state == "error"
    assert "161 characters; at most 160" in messages(found)


def test_open_questions_do_not_block_and_unknown_stays_unknown(read):
    asked = read(pigments="Pww6", sealed="1")
    assert (asked.state, asked.read["fields"]["pigments_known"]) == ("doubt", "asked")
    unknown = read(pigments="PR N/A", sealed="1")
    assert (unknown.state, unknown.read["fields"]["pigments_known"]) == ("clear", "unknown")


def test_too_many_cells_are_an_error_that_loses_nothing(read):
    found = read(sealed="1", place="Shelf", extra=["surplus", "more"])
    assert found.state == "error"
    assert "11 cells, but there are 9 headings" in messages(found)
    assert "“surplus”, “more”" in messages(found)
    values = [option["value"] for option in found.doubts[0]["options"]]
    assert "aside" in values
    key = found.doubts[0]["key"]
    assert read(sealed="1", place="Shelf", extra=["surplus", "more"], chosen={key: "aside"}).state == "clear"


def test_cells_that_a_comma_split_can_be_joined(around):
    columns = ("Name", "Pigments", "Size", "Sealed")
    mapping = guess_columns(columns, [])
    cells = ["Green", "PY3", "PG7", "40 ml", "1"]
    found = read_row(columns, cells, mapping, ImportSettings(), around)
    assert found.state == "error"
    key = found.doubts[0]["key"]
    joined = read_row(columns, cells, mapping, ImportSettings(), around, chosen={key: "join:1"})
    assert joined.state == "clear"
    assert [line[0] for line in joined.read["lines"]] == ["PY3", "PG7"]
    assert joined.read["size"] == [40_000, "ml"]


def test_owners(read):
    assert read(owner="Mara").read["owner"] == ["member", 7]
    assert read(owner="the studio").read["owner"] == ["studio"]
    assert read(owner="Class 3b").read["owner"] == ["class", "Class 3b"]
    asked = read(owner="Somebody")
    assert (asked.state, asked.doubts[0]["blocks"]) == ("error", True)
    assert read(owner="Somebody", chosen={asked.doubts[0]["key"]: "member:7"}).read["owner"] == ["member", 7]
    assert read(owner="Somebody", chosen={asked.doubts[0]["key"]: "member:8"}).state == "error"


@pytest.mark.parametrize(
    ("typed", "binder"),
    [
        ("Öl", "oil"), ("huile", "oil"), ("Acrylfarbe", "acrylic"), ("peinture à l’huile", "oil"),
        ("Aquarell", "watercolour"),
        ("water mixable oil", "water-mixable oil"), ("egg tempera", "tempera"), ("", "acrylic"),
    ],
)  # fmt: skip
def test_binders_in_several_languages(read, typed, binder):
    assert read(binder=typed, settings=ImportSettings(binder="acrylic")).read["binder"] == binder


def test_an_unknown_binder_is_asked_and_does_not_become_the_default(read):
    found = read(binder="felt pen", settings=ImportSettings(binder="oil"))
    assert (found.state, found.read["binder"]) == ("doubt", "unknown")


def test_a_name_with_wrongly_decoded_letters_is_asked(read):
    found = read(name="Ocre dorÃ©e")
    assert found.state == "doubt"
    question = next(doubt for doubt in found.doubts if doubt["field"] == "name")
    mended = question["options"][0]["value"]
    assert read(name="Ocre dorÃ©e", chosen={question["key"]: mended}).read["name"] == "Ocre dorée"


def test_rows_that_are_there_add_nothing_unless_wanted_once_more(read):
    found = read(sealed="1", present=True)
    assert found.state == "present"
    assert read(sealed="1", present=True, chosen={found.doubts[0]["key"]: "again"}).state == "clear"


@pytest.mark.parametrize(
    ("typed", "what"),
    [("", "paint"), ("Paint", "paint"), ("Solvent", "solvent"), ("drying oil", "drying oil"),
     ("Dry pigment", "dry pigment")],
)  # fmt: skip
def test_a_column_tells_paints_from_materials(around, typed, what):
    columns = ("Name", "Pigments", "Size", "Sealed", "Paint or material")
    mapping = guess_columns(columns, [])
    found = read_row(columns, ["Spirits", "", "500 ml", "1", typed], mapping, ImportSettings(), around)
    assert (found.state, found.read["what"]) == ("clear", what)
    assert (found.read["readings"] == []) == (what != "paint")


def test_a_kind_that_is_none_keeps_the_row_out_until_it_is_chosen(around):
    columns = ("Name", "Size", "Sealed", "Paint or material")
    cells, mapping = ["Spirits", "500 ml", "1", "thinner"], guess_columns(columns, [])
    found = read_row(columns, cells, mapping, ImportSettings(), around)
    assert found.state == "error"
    assert "“thinner” is neither a paint nor a kind of material" in messages(found)
    answered = read_row(columns, cells, mapping, ImportSettings(), around, chosen={found.doubts[0]["key"]: "solvent"})
    assert (answered.state, answered.read["what"]) == ("clear", "solvent")


@pytest.mark.parametrize(("name", "state"), [("Blue", "present"), ("Red", "clear")])
def test_the_numbers_of_another_studio_are_not_taken_for_our_tubes(around, name, state):
    columns = ("Name", "Pigments", "Size", "Sealed", "Tube numbers")
    cells = [name, "PB29", "37 ml", "2", "12, 13"]
    assert read_row(columns, cells, guess_columns(columns, []), ImportSettings(), around).state == state


@pytest.mark.parametrize(
    "typed",
    ["{", "[]", "null", "1", '"x"', '{"pigments": 1}', '{"pigments": {"a": 1}}', "[" * 100_000, "{" * 19_000, "\x00",
     '{"lightfastness": {"column-scale": "none of these"}}', '{"pigments": {"unknown-code:PW97": "PX1"}}'],
    ids=lambda typed: typed[:24],
)  # fmt: skip
def test_answers_that_somebody_made_up_settle_nothing(around, typed):
    columns = ("Name", "Pigments", "Lightfastness", "Size", "Answers")
    cells = ["Yellow", "PW97", "1", "37 ml", typed]
    found = read_row(columns, cells, guess_columns(columns, []), ImportSettings(), around)
    assert found.state == "doubt"
    assert found.read["lines"] == []


def test_identical_rows_of_one_file_have_digests_of_their_own():
    first, second, other = digests(("a", "b"), [("x", "1"), ("x", "1"), ("x", "2")])
    assert len({first, second, other}) == 3
    assert digests(("a", "b"), [("x", "1")]) == [first]
    assert digests(("a", "c"), [("x", "1")]) != [first]


# A list in the shape that people type: titles that group, two pigment columns, alternatives in one cell, a derived
# column that disagrees, leading zeros, one product number twice, look-alike letters, decimal commas, a byte order mark.
LIST = Path(__file__).with_name("studio_list.csv")


@pytest.fixture(scope="module")
def listed(around):
    table = read_table(LIST.read_bytes(), LIST.name)
    mapping = guess_columns(table.columns, [row.cells for row in table.rows])
    settings = ImportSettings(unit="ml", decimals="comma")
    found = {row.line: read_row(table.columns, row.cells, mapping, settings, around) for row in table.rows}
    return table, found


def test_the_list_is_read_line_by_line(listed):
    table, found = listed
    assert [one.line for one in table.skipped] == [1, 2, 5, 14, 15]
    assert {line: row.state for line, row in found.items() if row.state == "error"} == {21: "error"}
    assert found[6].read["size"] == [37_500, "ml"]
    assert (found[6].read["sealed"], found[6].read["open"]) == (2, [[18_750, True]])
    assert {row.read["binder"] for line, row in found.items() if line < 14} == {"oil"}
    assert {row.read["binder"] for line, row in found.items() if line > 15} == {"watercolour"}


def test_codes_keep_their_zeros_and_one_number_may_stand_twice(listed):
    _, found = listed
    codes = [row.read["maker_code"] for row in found.values()]
    assert codes.count("004") == 2
    assert {"094", "#6000684", "W035W235", "W004"} <= set(codes)


def test_two_pigment_columns_are_one_list_and_a_wrong_yes_is_shown(listed):
    _, found = listed
    grey = next(row for row in found.values() if row.read["name"] == "Payne’s Gray")
    assert [line[0] for line in grey.read["lines"]] == ["PB29", "PBk9"]
    assert "PB29, PBk9 are several pigments" in messages(grey)
    assert "Did you mean 7-8" in messages(grey)


def test_alternatives_in_one_cell_are_asked(listed):
    _, found = listed
    naples = next(row for row in found.values() if row.read["name"].startswith("Neapelgelb"))
    assert naples.read["fields"]["pigments_known"] == "asked"
    assert naples.read["fields"]["pigment_text"] == "PY3, PW6\nPY35, PW6"


def test_look_alike_letters_are_read_and_flagged_and_the_name_stays(listed):
    _, found = listed
    blue = next(row for row in found.values() if row.read["name"] == "Ультрамарин")
    assert [line[0] for line in blue.read["lines"]] == ["PB29"]
    assert "letters of another alphabet" in messages(blue)


def test_a_bare_1_is_asked_for_its_scale(listed):
    _, found = listed
    turquoise = next(row for row in found.values() if row.read["name"] == "Phthalo Turquoise")
    assert [line[0] for line in turquoise.read["lines"]] == ["PB15:3", "PG36"]
    assert "does not say its scale" in messages(turquoise)


@pytest.mark.parametrize(
    ("typed", "form", "doubted"),
    [
        ("", "", False),
        ("As usual for its kind", "", False),
        ("stick", "stick", False),
        ("Soft pastel", "stick", False),
        ("Pastel, crayon or stick", "stick", False),
        ("Half pan", "pan", False),
        ("Spray can", "spray", False),
        ("dry powder", "powder", False),
        ("Paste in a tube or jar", "paste", False),
        ("slab", "", True),
        ("pan or tube", "", True),
    ],
)
def test_as_what_it_is_sold_is_read_and_never_guessed(around, typed, form, doubted):
    """The trade's words: common practice, no source."""
    columns = ("Name", "Pigments", "Sold as")
    assert guess_columns(columns, [["Blue", "PB29", typed]])["2"] == "form"
    mapping = {"0": "name", "1": "pigments", "2": "form"}
    reading = read_row(columns, ["Blue", "PB29", typed], mapping, ImportSettings(decimals="point"), around)
    assert reading.read["form"] == form
    assert ("form-unknown" in [one["code"] for one in reading.doubts]) is doubted
