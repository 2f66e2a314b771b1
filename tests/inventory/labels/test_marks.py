"""Lightfastness, opacity and strength marks.

ASTM D4302 and its sisters rank I (best) to V; ISO 105-B08 blue wools rank 1 to 8 (best): both from memory. The bands
across scales are our own. How makers mark opacity with letters and squares: common practice, no source.
"""

import pytest

from inventory.labels import (
    Band,
    LightfastnessScale,
    MakerScale,
    Opacity,
    Severity,
    Strength,
    read_lightfastness,
    read_opacity,
    read_strength,
    scale_of_column,
    weakest,
)

ASTM, BLUE_WOOL, MAKER = LightfastnessScale.ASTM, LightfastnessScale.BLUE_WOOL, LightfastnessScale.MAKER


@pytest.mark.parametrize(
    ("text", "value"),
    [("II", "II"), ("ASTM I", "I"), ("ASTM II", "II"), ("astm v", "V"), ("Ⅲ", "III"), ("LF II", "II"), ("LF I", "I"),
     ("LF Ⅰ", "I"), ("ASTM 1", "I"), ("IV", "IV"), ("ASTM D4302: II", "II")],
)  # fmt: skip
def test_roman_numerals_are_astm(text, value):
    mark = read_lightfastness(text)
    assert (mark.value, mark.scale, mark.text) == (value, ASTM, text)
    assert mark.is_settled


@pytest.mark.parametrize("text", ["1", "Ⅰ", "l", "LF1", "I", "|"])
def test_a_single_stroke_is_the_best_or_the_worst_and_is_asked(text):
    for header in ("", "lightfastness_rating"):
        mark = read_lightfastness(text, header=header)
        assert mark.value is None
        assert [option.value for option in mark.doubts[0].options] == ["ASTM I", "blue wool 1", "maker"]
        assert "best mark of ASTM and the worst of blue wool" in mark.doubts[0].message
    for told in (read_lightfastness(text, header="ASTM rating"), read_lightfastness(text, scale=ASTM)):
        assert (told.value, told.scale, told.coarse) == ("I", ASTM, Band.LASTING)


def test_the_same_stroke_on_the_blue_wool_scale_is_the_worst():
    for mark in (read_lightfastness("1", header="Blue wool (ISO 105)"), read_lightfastness("1", scale=BLUE_WOOL)):
        assert (mark.value, mark.scale, mark.coarse) == ("1", BLUE_WOOL, Band.FUGITIVE)


@pytest.mark.parametrize("text", ["l", "7/8"])
def test_a_letter_or_a_slash_is_flagged_on_the_blue_wool_scale_too(text):
    mark = read_lightfastness(text, scale=BLUE_WOOL)
    assert mark.is_settled
    assert mark.doubts[0].severity is Severity.READ_AS
    assert f"“{text}” is read as blue wool {mark.value}" in mark.doubts[0].message


@pytest.mark.parametrize("text", ["2", "3", "4", "5"])
def test_small_figures_are_asked(text):
    assert not read_lightfastness(text).is_settled
    assert not read_lightfastness(f"LF{text}").is_settled


@pytest.mark.parametrize(
    ("text", "value"), [("7-8", "7-8"), ("7–8", "7-8"), ("7 - 8", "7-8"), ("BW 7", "7"), ("BWS 6-7", "6-7"), ("8", "8")]
)
def test_blue_wool(text, value):
    mark = read_lightfastness(text)
    assert (mark.value, mark.scale) == (value, BLUE_WOOL)


@pytest.mark.parametrize(
    "text",
    ["8-Jul", "08.07.2024", "Jul-08", "2024-07-08", "07/08/2024", "8/7/24", "8. Juli 2024", "08-Jul-24",
     "2024-07-08 00:00:00", "2024-07-08T00:00:00", "45481"],
)  # fmt: skip
def test_a_date_is_asked_back_as_the_range_it_was(text):
    """45481 is the day number of 8 July 2024 in spreadsheets that count from 30 December 1899."""
    for scale in (None, BLUE_WOOL, ASTM):
        mark = read_lightfastness(text, scale=scale)
        assert mark.value is None
        assert mark.text == text
        assert mark.doubts[0].severity is Severity.ASK
        assert "Did you mean 7-8?" in mark.doubts[0].message
        assert mark.doubts[0].options[0].value == "blue wool 7-8"


def test_other_dates_suggest_other_ranges_or_none():
    assert "3-4" in read_lightfastness("03-Apr").doubts[0].message
    assert "Type the mark" in read_lightfastness("2024-12-24").doubts[0].message


@pytest.mark.parametrize("text", ["Not Rated", "N/R", "NR", "N/A", "", " ", "-", "unknown", "not tested", "?"])
def test_not_rated_is_unknown(text):
    mark = read_lightfastness(text)
    assert mark.unknown
    assert mark.is_settled
    assert (mark.scale, mark.coarse) == (LightfastnessScale.UNKNOWN, Band.UNKNOWN)


@pytest.mark.parametrize("text", ["**", "***", "+++", "A", "AA", "B"])
def test_makers_marks_are_kept_and_not_ranked(text):
    mark = read_lightfastness(text)
    assert (mark.value, mark.scale, mark.coarse) == (text, MAKER, Band.UNKNOWN)
    assert mark.is_settled
    assert mark.doubts[0].severity is Severity.NOTE


def test_a_makers_scale_that_is_named_ranks():
    scale = MakerScale("maker with stars", ("*", "**", "***"))
    mark = read_lightfastness("**", scale=scale)
    assert (mark.value, mark.maker_scale, mark.coarse) == ("**", "maker with stars", Band.MODERATE)
    assert "has the marks *, **, ***" in read_lightfastness("A", scale=scale).doubts[0].message


@pytest.mark.parametrize("text", ["* of ****", "1 of 4 stars", "one star of four", "★☆☆☆", "1/4"])
def test_one_star_of_four_fades(text):
    mark = read_lightfastness(text)
    assert (mark.scale, mark.coarse) == (MAKER, Band.FUGITIVE)


def test_seven_eighths_can_be_two_things():
    assert not read_lightfastness("7/8").is_settled
    assert read_lightfastness("7/8", scale=BLUE_WOOL).value == "7-8"


def test_two_roman_marks_are_asked():
    mark = read_lightfastness("I-II")
    assert "the weaker is II" in mark.doubts[0].message


@pytest.mark.parametrize("text", ["9", "0", "-1", "PB29", "<b>", "ASTM 7", "blue wool 9", "x" * 3000])
def test_what_is_no_mark_is_refused(text):
    mark = read_lightfastness(text)
    assert mark.unknown
    assert mark.doubts[0].severity is Severity.REFUSED
    assert mark.text == text


@pytest.mark.parametrize("text", ["1", "2", "7/8", "8-Jul", "I-II"])
def test_the_answer_to_a_question_reads_without_one(text):
    for option in read_lightfastness(text).doubts[0].options:
        if option.value not in ("maker", ""):
            assert read_lightfastness(option.value).is_settled
            assert not read_lightfastness(option.value).unknown


def test_the_scale_of_a_column():
    assert scale_of_column(["I", "II", "", "I"]) is ASTM
    assert scale_of_column(["1", "7", "8", "7-8"]) is BLUE_WOOL
    assert scale_of_column(["1", "2"]) is None
    assert scale_of_column(["1", "2"], "ASTM") is ASTM
    assert scale_of_column(["II", "7-8"]) is None


# The weakest ingredient


def test_the_weakest_of_one_scale_rules():
    rule = weakest([read_lightfastness("ASTM I"), read_lightfastness("IV"), read_lightfastness("II")])
    assert rule.mark is not None
    assert rule.mark.value == "IV"
    assert rule.band is Band.FUGITIVE
    assert not rule.at_best
    rule = weakest([read_lightfastness("7-8"), read_lightfastness("BW 3")])
    assert rule.mark is not None
    assert rule.mark.value == "3"


def test_across_scales_only_the_band_rules_and_says_so():
    rule = weakest([read_lightfastness("II"), read_lightfastness("BW 4")])
    assert rule.mark is None
    assert rule.band is Band.MODERATE
    assert "our bands" in rule.message


def test_an_unknown_ingredient_leaves_it_at_best():
    rule = weakest([read_lightfastness("II"), read_lightfastness("N/R")])
    assert rule.at_best
    assert rule.message.startswith("At best ASTM II")
    assert weakest([read_lightfastness("II"), read_lightfastness("1")]).at_best
    assert weakest([read_lightfastness("II"), read_lightfastness("AA")]).at_best


def test_nothing_known_is_unknown():
    for marks in ([], [read_lightfastness("")]):
        assert weakest(marks).band is Band.UNKNOWN
        assert "unknown" in weakest(marks).message
    assert weakest([read_lightfastness("A"), read_lightfastness("AA")]).band is Band.UNKNOWN


# Opacity and strength


@pytest.mark.parametrize(
    ("text", "value"),
    [("T", Opacity.TRANSPARENT), ("t", Opacity.TRANSPARENT), ("□", Opacity.TRANSPARENT),
     ("clear square", Opacity.TRANSPARENT), ("transparent", Opacity.TRANSPARENT), ("ST", Opacity.SEMI_TRANSPARENT),
     ("Semi-Transparent", Opacity.SEMI_TRANSPARENT), ("semi transparent", Opacity.SEMI_TRANSPARENT),
     ("SO", Opacity.SEMI_OPAQUE), ("semi-opaque", Opacity.SEMI_OPAQUE), ("O", Opacity.OPAQUE), ("■", Opacity.OPAQUE),
     ("opaque", Opacity.OPAQUE), ("deckend", Opacity.OPAQUE), ("Т", Opacity.TRANSPARENT), ("◼︎", Opacity.OPAQUE)],
)  # fmt: skip
def test_opacity(text, value):
    mark = read_opacity(text)
    assert (mark.value, mark.text) == (value, text)
    assert mark.is_settled


@pytest.mark.parametrize("text", ["1", "TL", "0", "T/O", "3", "PB29", "=T"])
def test_opacity_that_is_asked(text):
    mark = read_opacity(text, header="Opacity")
    assert mark.value is Opacity.UNKNOWN
    assert not mark.is_settled
    assert "“Opacity”" in mark.doubts[0].message


@pytest.mark.parametrize("text", ["◧", "◪", "◩", "⬓", "half square"])
def test_a_half_square_depends_on_the_maker(text):
    assert [option.value for option in read_opacity(text).doubts[0].options] == ["semi-transparent", "semi-opaque"]


@pytest.mark.parametrize("read_mark", [read_opacity, read_strength])
@pytest.mark.parametrize("text", ["", "-", "N/A", "unknown"])
def test_no_mark_is_unknown(read_mark, text):
    assert read_mark(text).value.value == "unknown"
    assert read_mark(text).is_settled


def test_strength_keeps_its_scale():
    assert read_strength("Very high").value is Strength.VERY_HIGH
    assert read_strength("low").value is Strength.LOW
    mark = read_strength("4/5")
    assert (mark.figure, mark.scale, mark.value) == ("4", "of 5", Strength.UNKNOWN)
    assert read_strength("80 %").scale == "percent"
    assert "figure without a scale" in read_strength("4").doubts[0].message
