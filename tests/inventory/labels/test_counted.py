"""What people write when they count; the phrasings are common practice, no source."""

import pytest

from inventory.labels.counted import read_counted, read_found


@pytest.mark.parametrize(
    ("text", "sealed", "opened", "empty"),
    [
        ("3 sealed, 1 about half", 3, (500,), 0),
        ("2", 2, (), 0),
        ("2 sealed", 2, (), 0),
        ("40 %", 0, (400,), 0),
        ("about a third", 0, (333,), 0),
        ("empty", 0, (), 1),
        ("1/2 tube", 0, (500,), 0),
        ("½", 0, (500,), 0),
        ("3 sealed; 2 x 1/4 and 1 empty", 3, (250, 250), 1),
        ("one sealed, two open", 1, (None, None), 0),
        ("1 open, about half", 0, (None, 500), 0),
        ("1 open about half", 0, (500,), 0),
        ("2 SEALED + 1 40 %", 2, (400,), 0),
        ("none", 0, (), 0),
        ("0", 0, (), 0),
        ("500 sealed", 500, (), 0),
    ],
)
def test_a_count_is_read_into_containers(text, sealed, opened, empty):
    read = read_counted(text)
    assert (read.sealed, read.opened, read.empty, read.is_settled) == (sealed, opened, empty, True)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("12.5 sealed", "sealed containers are counted whole"),
        ("12,5 sealed", "sealed containers are counted whole"),
        ("-1", "it has a minus sign"),
        ("2 sealed, -1 open", "it has a minus sign"),
        ("1e9", "it is written with an exponent"),
        ("NaN", "it is no number"),
        ("inf sealed", "it is no number"),
        ("501", "more than 500 containers"),
        ("300 sealed, 300 open", "more than 500 containers"),
        ("3/2", "names neither"),
        ("a lot", "names neither"),
        ("1 mouldy", "names neither"),
        ("x" * 3000, "too long"),
    ],
)
def test_what_is_no_count_is_refused_with_its_reason_and_nothing_of_it_counts(text, reason):
    read = read_counted(text)
    assert (read.sealed, read.opened, read.empty) == (None, (), 0)
    assert any(reason in doubt.message for doubt in read.doubts if doubt.is_open)


@pytest.mark.parametrize("text", ["2", "1/2 tube", "full"])
def test_what_was_made_of_a_short_text_is_said(text):
    assert "is read as" in read_counted(text).doubts[0].message


@pytest.mark.parametrize("text", ["", "  ", " , ; "])
def test_nothing_typed_is_nothing_counted(text):
    assert read_counted(text).sealed is None


@pytest.mark.parametrize(
    ("text", "seen", "state", "left", "condition"),
    [
        ("=", True, "", None, ""),
        ("OK", True, "", None, ""),
        ("half", True, "open", 18_500, ""),
        ("about half left", True, "open", 18_500, ""),
        ("12 ml", True, "open", 12_000, ""),
        ("12", True, "open", 12_000, ""),
        ("50 %", True, "open", 18_500, ""),
        ("sealed", True, "sealed", 37_000, ""),
        ("Empty", True, "empty", 0, ""),
        ("0", True, "empty", 0, ""),
        ("not there", False, "", None, ""),
        ("-", False, "", None, ""),
        ("dried up", True, "", None, "dried"),
        ("mouldy", True, "", None, "mouldy"),
        ("", None, "", None, ""),
    ],
)
def test_what_is_written_beside_one_container(text, seen, state, left, condition):
    read = read_found(text, unit="ml", size_milli=37_000)
    assert (read.seen, read.state, read.left_milli, read.condition) == (seen, state, left, condition)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("40 ml", "more than the container's size of 37 ml"),
        ("5 g", "it is in g, but this one is kept in ml"),
        ("1e9", "exponent"),
        ("NaN", "no number"),
        ("-3 ml", "minus sign"),
        ("purple", "no number"),
    ],
)
def test_what_cannot_be_in_a_container_is_refused(text, reason):
    read = read_found(text, unit="ml", size_milli=37_000)
    assert read.seen is None
    assert reason in read.doubts[0].message
