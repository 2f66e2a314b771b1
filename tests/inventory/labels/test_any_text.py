"""For every text: nothing raises, the typed text is kept, a reading read again is itself, the work is bounded."""

import string
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.labels import (
    LONGEST_LABEL,
    Severity,
    check_letters,
    name_claims,
    read_amount,
    read_count,
    read_decimal,
    read_fraction,
    read_lightfastness,
    read_money,
    read_opacity,
    read_pigments,
    read_strength,
    search_key,
)

from .conftest import VOCABULARY

READERS: list[Any] = [
    read_amount, read_count, read_decimal, read_fraction, read_lightfastness, read_money, read_opacity, read_strength,
]  # fmt: skip
CODES = [pigment.ci_name for pigment in VOCABULARY if pigment.ci_name != "PB15"]
# Pieces that meet in labels, so that the readers are searched where they branch.
PIECES = st.sampled_from(
    [*"PNBRYOVGWMlIO|:/.,;+-&()<>[]*% \n\t0123456789", "PB", "PBr", "PB15", "15:3", "77007", "C.I.", " or ",
     "Pigment Blue ", "and", "ml", "fl oz", "oz", "€", "$", "7-8", "Jul", "ASTM", "N/A", "chalk", "РВ", "ＰＢ", "½",
     "²", "¼", "Ⅰ", "\u00a0", "\u200b", "\ufeff", "é", "İ", "ß", "\ufdfa", "\ud7ff", "𝐏𝐁", "hue", "cadmium",
     "-free", "yellow"]
)  # fmt: skip
TEXTS = st.one_of(st.text(max_size=80), st.lists(PIECES, max_size=25).map("".join))


@settings(max_examples=400, deadline=None)
@given(text=TEXTS, name=TEXTS)
def test_pigment_lists_never_raise_and_keep_the_text(text, name):
    reading = read_pigments(text, name=name, vocabulary=VOCABULARY)
    assert reading.text == text
    assert len(set(reading.codes)) == len(reading.codes)
    for pigment in reading.pigments:
        assert pigment.code in VOCABULARY
        assert text[pigment.start : pigment.end].strip() == pigment.as_typed
    assert reading.is_settled or any(doubt.is_open for doubt in reading.doubts)
    assert all(doubt.message for doubt in reading.doubts)


@settings(max_examples=300, deadline=None)
@given(text=TEXTS)
def test_a_reading_written_and_read_again_is_itself(text):
    first = read_pigments(text, vocabulary=VOCABULARY)
    again = read_pigments(first.written, vocabulary=VOCABULARY)
    assert again.codes == first.codes
    assert not any(doubt.severity is Severity.READ_AS for doubt in again.doubts)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.sampled_from(CODES), min_size=1, max_size=8, unique=True),
    st.sampled_from([", ", "; ", " + ", "/", " "]),
)
def test_written_lists_give_their_codes_in_order(codes, separator):
    assert read_pigments(separator.join(codes), vocabulary=VOCABULARY).codes == tuple(codes)


@settings(max_examples=200, deadline=None)
@given(text=TEXTS)
def test_every_answer_on_offer_closes_its_question(text):
    reading = read_pigments(text, vocabulary=VOCABULARY)
    for doubt in reading.doubts:
        for option in doubt.options:
            answered = read_pigments(text, vocabulary=VOCABULARY, chosen={doubt.key: option.value})
            assert doubt.key not in {open_one.key for open_one in answered.doubts}


@settings(max_examples=400, deadline=None)
@given(text=TEXTS)
def test_other_readers_never_raise_and_keep_the_text(text):
    for reader in READERS:
        reading = reader(text)
        assert reading.text == text
        assert all(doubt.message for doubt in reading.doubts)
    name_claims(text)
    check_letters(text)


@settings(max_examples=300, deadline=None)
@given(text=TEXTS)
def test_a_search_key_of_a_search_key_is_itself(text):
    key = search_key(text)
    assert search_key(key) == key


@given(milli=st.integers(0, 10**9), unit=st.sampled_from(["ml", "g"]))
def test_an_exact_amount_comes_back(milli, unit):
    text = f"{milli // 1000}.{milli % 1000:03d} {unit}"
    assert read_amount(text, decimal_comma=False).milli == milli


@pytest.mark.parametrize(
    "text",
    ["PB29 " * 200_000, "P" * 1_000_000, "(" * 1_000_000, "1" * 1_000_000, "7-" * 500_000, " " * 1_000_000,
     "\u00e9" * 1_000_000, "PB15/" * 200_000],
    ids=["codes", "letters", "brackets", "digits", "dashes", "blanks", "accents", "slashes"],
)  # fmt: skip
def test_a_megabyte_is_answered_and_kept(text):
    reading = read_pigments(text, name=text, vocabulary=VOCABULARY)
    assert reading.text == text
    assert [doubt.code for doubt in reading.doubts] == ["too-long"]
    assert not reading.is_settled
    for reader in READERS:
        assert reader(text).text == text
    assert isinstance(search_key(text), str)
    assert check_letters(text) is None


@pytest.mark.parametrize(
    "piece", ["P", "(", "PB15/", "77007 ", "Pww6 ", "or ", "P.", "C.I. ", "7-", "1,", "l", "* ", "\n", "PR1 or ", "a-"]
)
def test_the_longest_label_is_read_in_pieces_that_do_not_multiply(piece):
    """Twice the text may cost about twice the steps: counted in calls, not in seconds."""
    import cProfile
    import pstats

    def calls(length):
        text = (piece * LONGEST_LABEL)[:length]
        profile = cProfile.Profile()
        profile.runcall(lambda: [read_pigments(text, vocabulary=VOCABULARY), *(reader(text) for reader in READERS)])
        return vars(pstats.Stats(profile))["total_calls"]

    calls(LONGEST_LABEL)  # fills the regular expression cache
    assert calls(LONGEST_LABEL) < 5 * calls(LONGEST_LABEL // 2) + 20_000


def test_printable_ascii_alone_is_no_pigment():
    for character in string.printable:
        assert read_pigments(character, vocabulary=VOCABULARY).codes == ()
