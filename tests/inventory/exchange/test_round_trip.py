"""What goes out comes back to the letter, and no spreadsheet runs a cell."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from inventory.exchange import TooLongError, protect, unprotect, write_csv, write_xlsx
from inventory.exchange.spreadsheets import from_cell, read_sheet, to_cell
from inventory.exchange.tables import split_lines

# NUL cannot stand in a PostgreSQL text, and half a surrogate pair in no UTF-8 file.
TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=40)
RISKY = st.builds(
    str.__add__, st.sampled_from(["=", "+", "-", "@", "\t", "\r", "\n", "'", " =", "＝", "''", "'="]), TEXTS
)
CELLS = st.lists(st.lists(TEXTS | RISKY, min_size=1, max_size=4), min_size=1, max_size=5)


@given(TEXTS | RISKY)
def test_protecting_loses_nothing(text):
    assert unprotect(protect(text)) == text


@given(TEXTS | RISKY, TEXTS | RISKY)
def test_no_two_texts_are_written_alike(one, other):
    assert (protect(one) == protect(other)) == (one == other)


@given(TEXTS | RISKY)
def test_no_written_cell_begins_as_a_formula(text):
    """OWASP, CSV injection: =, +, -, @, tab and carriage return begin what a spreadsheet may run."""
    assert not re.match(r"\s*[=+\-@]|[\t\r\n]", protect(text))


@given(CELLS, st.sampled_from([",", ";", "\t"]), st.booleans())
def test_csv_comes_back(table, separator, bom):
    data = write_csv(table, separator=separator, bom=bom)
    assert data.startswith(b"\xef\xbb\xbf") == bom or table[0][0].startswith("\ufeff")
    text = data.decode("utf-8-sig" if bom else "utf-8")
    assert [list(row.cells) for row in split_lines(text, separator, "list")] == table


@settings(max_examples=40, deadline=None)
@given(CELLS)
def test_xlsx_comes_back(table):
    found = dict(read_sheet(write_xlsx([["heading"], *table]), "list").rows)
    for line, row in enumerate(table, 2):
        while row and not row[-1]:
            row.pop()
        assert list(found.get(line, ())) == row


@given(TEXTS | st.from_regex(r"_x[0-9A-Fa-f]{4}_", fullmatch=True))
def test_characters_that_xml_cannot_hold_come_back(text):
    assert from_cell(to_cell(text)) == text


@pytest.mark.parametrize("cell", ["=PB29", "+++", "-1", "@x", "<b>PB29</b>", "004", "094", "#6000684", "7-8", "\tx"])
def test_cells_that_spreadsheets_change_stay_texts(cell):
    import io

    data = write_xlsx([["Code"], [cell]])
    stored = load_workbook(io.BytesIO(data)).active["A2"]
    assert (stored.data_type, from_cell(stored.value), stored.number_format) == ("s", cell, "@")
    text = write_csv([["Code"], [cell]]).decode()
    assert split_lines(text, ",", "list")[1].cells == (cell,)


def test_a_text_too_long_for_a_cell_says_so():
    with pytest.raises(TooLongError, match="Choose CSV"):
        write_xlsx([["x" * 40_000]])
