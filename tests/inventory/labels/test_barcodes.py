"""The numbers of bar codes, against worked examples that GS1 published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.labels.barcodes import BarcodeError, OwnCode, check_digit, read_gtin, read_own, read_tube_number

# Worked examples of the check digit.
PUBLISHED = [
    ("37610425002123456", 9),  # an 18 digit number: GS1 General Specifications, section 7.9.1
    ("730001100001", 7),  # GS1 Sweden, how a check digit is calculated
    ("890400021003", 7),  # GS1 India, how to calculate the check digit
    ("950600013435", 2),  # GS1's own prefix 950, used in its examples of digital links; from memory
    ("1061414100041", 5),  # the sample company prefix of the EPC Tag Data Standard, GTIN-14; from memory
]


@pytest.mark.parametrize(("digits", "check"), PUBLISHED)
def test_the_check_digit_is_the_published_one(digits, check):
    assert check_digit(digits) == check


@pytest.mark.parametrize("digits", ["", "12a", "١٢", "1 2"])
def test_a_check_digit_of_anything_else_is_refused(digits):
    with pytest.raises(ValueError, match="digits must be 0 to 9"):
        check_digit(digits)


@pytest.mark.parametrize(
    ("typed", "kept", "kind"),
    [
        ("7300011000017", "7300011000017", "EAN-13"),
        (" 7 300011 000017 ", "7300011000017", "EAN-13"),
        ("7300011-00001-7", "7300011000017", "EAN-13"),
        ("７３０００１１０００017", "7300011000017", "EAN-13"),  # full width
        ("07300011000017", "7300011000017", "GTIN-14"),  # filled up to 14
        ("614141000036", "0614141000036", "UPC-A"),
        ("0614141000036", "0614141000036", "EAN-13"),
        ("10614141000415", "10614141000415", "GTIN-14"),
        ("95200002", "95200002", "EAN-8"),
        ("00000095200002", "95200002", "GTIN-14"),
        ("0000095200002", "95200002", "EAN-13"),
        # Zero suppression: last digits 0 to 2, 3, 4, and 5 to 9; UPC-A beside it worked by hand from the table.
        ("04252614", "0042100005264", "UPC-E"),
    ],
)
def test_one_article_has_one_number_however_it_is_scanned(typed, kept, kind):
    found = read_gtin(typed)
    assert (found.digits, found.kind) == (kept, kind)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("7300011000018", "ends with 8, but its other digits ask for 7"),
        ("95200003", "ends with 3, but its other digits ask for 2"),
        ("730001100001", "ends with 1, but its other digits ask for"),
        ("73000110001", "has 11 digits, and a bar code has 8, 12, 13 or 14"),
        ("73000I1000017", "has other signs than digits"),
        ("", "Scan or type the digits"),
    ],
)
def test_what_is_no_number_is_refused_with_the_remedy(typed, words):
    with pytest.raises(BarcodeError, match=words):
        read_gtin(typed)


@given(st.text("0123456789", min_size=12, max_size=12), st.integers(0, 12), st.integers(1, 9))
def test_one_wrong_digit_is_always_found(body, place, change):
    """GS1 General Specifications: the weights 3 and 1 have no factor in common with ten."""
    number = f"{body}{check_digit(body)}"
    wrong = number[:place] + str((int(number[place]) + change) % 10) + number[place + 1 :]
    assert read_gtin(number).kind == "EAN-13"
    with pytest.raises(BarcodeError):
        read_gtin(wrong)


def test_numbers_of_one_shop_are_told_apart():
    """GS1 prefixes 020-029 and 200-299 are of restricted circulation."""
    assert read_gtin(f"200000000001{check_digit('200000000001')}").in_store
    assert read_gtin(f"020000000001{check_digit('020000000001')}").in_store
    assert not read_gtin("7300011000017").in_store


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("https://studio.example/s/reed-lane/tubes/12/", OwnCode("reed-lane", tube=12)),
        ("http://10.0.0.7:8000/s/reed-lane/tubes/12", OwnCode("reed-lane", tube=12)),
        ("https://studio.example/s/reed-lane/shelf/?place=7\n", OwnCode("reed-lane", place=7)),
        ("https://studio.example/s/reed-lane/wheel/", None),
        ("7300011000017", None),
    ],
)
def test_our_own_codes_are_known_by_their_address(text, found):
    assert read_own(text) == found


@pytest.mark.parametrize(("text", "number"), [("12", 12), (" no. 7 ", 7), ("1234567", None), ("x", None), ("", None)])
def test_a_few_digits_are_the_number_of_a_tube(text, number):
    assert read_tube_number(text) == number
