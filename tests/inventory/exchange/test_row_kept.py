"""What a row says of its container and its paint besides label and amount."""

import pytest

from inventory.exchange import Around, ImportSettings, level_words, read_row
from inventory.labels import Vocabulary

COLUMNS = ("Name", "Condition", "Batch", "Empty container", "Density", "Reorder level", "Bar codes")
FIELDS = ("name", "condition", "batch", "tare", "density", "level", "barcodes")
MAPPING = {str(place): key for place, key in enumerate(FIELDS)}


def read(chosen=None, **cells):
    row = ["Umber", *(cells.get(key, "") for key in FIELDS[1:])]
    around = Around(Vocabulary((), {}), barcodes={"4006381333931": "viridian"})
    return read_row(COLUMNS, row, MAPPING, ImportSettings(without_count="none"), around, chosen=chosen)


def doubts(found):
    """Without what is said of the label, which is empty here."""
    return [one for one in found.doubts if one["field"] in FIELDS]


@pytest.mark.parametrize(
    ("key", "typed", "kept"),
    [
        ("condition", "Dried up", "dried"),
        ("condition", "eingetrocknet", "dried"),
        ("condition", "neu", "usable"),
        ("batch", "004", "004"),
        ("tare", "7.25 g", 7_250),
        ("tare", "7", 7_000),
        ("density", "1.85 g/ml", [1850, False]),
        ("density", "about 1,2 g/ml", [1200, True]),
        ("level", "2", {"tubes": 2, "usable": False}),
        ("level", "3 tubes, sealed and open", {"tubes": 3, "usable": True}),
        ("level", "500 ml, sealed", {"milli": 500_000, "unit": "ml", "usable": False}),
        ("barcodes", "96385074 (37.5 ml), 4 006381 333948", None),
        ("barcodes", "96385074 (37.5 ml)", [["96385074", [37_500, "ml"]]]),
    ],
)
def test_facts_are_read(key, typed, kept):
    """96385074 is the example of an EAN-8 in the GS1 General Specifications (from memory); others worked by hand."""
    found = read(**{key: typed})
    if kept is not None:
        assert found.read[key] == kept
        assert not doubts(found)
    else:
        assert [digits for digits, _ in found.read[key]] == ["96385074", "4006381333948"]


@pytest.mark.parametrize(
    ("key", "typed", "words"),
    [
        ("tare", "7 ml", "is not in g"),
        ("tare", "light", "light"),
        ("density", "18.5", "no density from 0.5 to 8 g/ml"),
        ("density", "1.23456", "at most three decimals"),
        ("level", "some", "no level such as"),
        ("level", "1000000 tubes", "is no level"),
        ("barcodes", "4.00638E+12", "other signs than digits"),
        ("barcodes", "4006381333932", "ask for 1 as the check digit"),
        ("barcodes", "4006381333931", "belongs to another paint or material here already"),
    ],
)
def test_what_cannot_be_read_is_said_and_keeps_nothing_out(key, typed, words):
    found = read(**{key: typed})
    assert found.state == "clear"
    assert key not in found.read
    (doubt,) = doubts(found)
    assert words in doubt["message"]
    assert doubt["message"].endswith("It is kept as typed.")


def test_a_condition_that_is_none_is_asked_before_the_tube_counts_as_usable():
    found = read(condition="so so")
    assert found.state == "error"
    (doubt,) = doubts(found)
    assert "Choose whether what is in it can still be used" in doubt["message"]
    assert read({doubt["key"]: "dried"}, condition="so so").read["condition"] == "dried"


@pytest.mark.parametrize(
    ("level", "words"),
    [
        ({"tubes": 1, "amount": "", "usable": False}, "1 tube, sealed"),
        ({"tubes": 0, "amount": "1500 ml", "usable": True}, "1500 ml, sealed and open"),
    ],
)
def test_a_level_comes_back_as_it_was_written(level, words):
    assert level_words(**level) == words
    assert read(level=words).read["level"]["usable"] is level["usable"]
