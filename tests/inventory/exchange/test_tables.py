"""Headings, titles, separators, line numbers; what is skipped is counted and says why."""

import io
from datetime import date

import pytest
from openpyxl import Workbook

from inventory.exchange import guess_columns, read_table, read_text, unit_of_heading


def guessed(table):
    return {table.columns[int(place)]: key for place, key in guess_columns(table.columns, rows(table)).items()}


def rows(table):
    return [row.cells for row in table.rows]


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separator_is_found(separator):
    table = read_text(separator.join(["Name", "Pigments"]) + "\n" + separator.join(["White", "PW6"]) + "\n", "list")
    assert table.delimiter == separator
    assert rows(table) == [("White", "PW6")]


def test_commas_in_pigments_do_not_split_a_semicolon_list():
    """A byte order mark, semicolons, decimal commas, CRLF: the shape of a spreadsheet's export in much of Europe."""
    table = read_table("\ufeffName;Pigments;ml;Price\r\nGreen;PY3, PG7;1,5;6,95 €\r\n".encode(), "list.csv")
    assert table.columns[0] == "Name"
    assert rows(table) == [("Green", "PY3, PG7", "1,5", "6,95 €")]
    assert table.decimal_comma is True


def test_decimal_points_are_seen_and_a_mixture_is_left_open():
    assert read_text("Name,Size\nA,1.5 ml\n", "list").decimal_comma is False
    assert read_text("Name;Size\nA;1.5 ml\nB;2,5 ml\n", "list").decimal_comma is None


def test_lines_above_titles_and_repeated_headings_are_skipped_with_their_line():
    text = (
        "My paints\n\nName,Pigments,Size\nOILS,,\nBlue,PB29,37 ml\nName,Pigments,Size\nWatercolour:,,\nRed,PR108,5 ml\n"
    )
    table = read_text(text, "list")
    assert [(one.line, one.text, one.why.split(":")[0]) for one in table.skipped] == [
        (1, "My paints", "Stands above the headings."),
        (4, "OILS", "A title"),
        (6, "Name | Pigments | Size", "The headings again."),
        (7, "Watercolour:", "A title"),
    ]
    assert [(row.line, row.cells) for row in table.rows] == [
        (5, ("OILS", "Blue", "PB29", "37 ml")),
        (8, ("Watercolour:", "Red", "PR108", "5 ml")),
    ]
    assert table.blank_lines == 1
    assert guessed(table)["Title above"] == "binder"


def test_a_paint_of_which_only_the_name_is_known_is_no_title():
    table = read_text("Name,Pigments\nBlue,PB29\nOld tube\n", "list")
    assert rows(table) == [("Blue", "PB29"), ("Old tube", "")]


def test_names_in_capitals_are_no_titles():
    table = read_text("Name,Pigments,Size\nBLUE,PB29,37 ml\nRED,PR108,37 ml\nOLD TUBE,,\n", "list")
    assert len(table.rows) == 3


def test_line_numbers_count_line_breaks_inside_cells():
    table = read_text('Name,Pigments\nA,"PY3\nPY74"\nB,PB29\n', "list")
    assert [row.line for row in table.rows] == [2, 4]
    assert table.rows[0].cells[1] == "PY3\nPY74"


def test_few_cells_are_padded_and_many_are_kept():
    table = read_text("Name,Pigments,Size\nA\nB,PY3,PG7,37 ml\n", "list")
    assert rows(table) == [("A", "", ""), ("B", "PY3", "PG7", "37 ml")]


def test_a_list_without_headings_gets_numbered_columns():
    table = read_text("Ultramarine,PB29\nTitanium white,PW6\n", "list")
    assert table.columns == ("Column 1", "Column 2")
    assert guess_columns(table.columns, rows(table)) == {"0": "name", "1": "pigments"}


def test_headings_that_stand_twice_are_told_apart():
    assert read_text("Name,Pigment,Pigment,\nA,PY3,PG7,x\n", "list").columns == ("Name", "Pigment", "Pigment (2)")


def test_a_first_line_may_name_the_separator():
    table = read_text("sep=;\nName;Pigments\nA;PY3, PG7\n", "list")
    assert (table.delimiter, rows(table)) == (";", [("A", "PY3, PG7")])


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Pigment(s)", "pigments"), ("CI", "pigments"), ("C.I. Name", "pigments"), ("Colour Index", "pigments"),
        ("Color Index", "pigments"), ("Pigmente", "pigments"), ("Name", "name"), ("Colour name", "name"),
        ("Farbbezeichnung", "name"), ("Nom", "name"), ("Nombre", "name"), ("Lightfastness", "lightfastness"),
        ("lightfastness_rating", "lightfastness"), ("Lichtechtheit", "lightfastness"),
        ("Résistance à la lumière", "lightfastness"), ("Single pigemnt", "single_pigment"),
        ("Tube Size (ml)", "size"), ("Größe", "size"), ("Maker’s code", "maker_code"), ("Artikel-Nr.", "maker_code"),
        ("Hersteller", "maker"), ("Opacité", "opacity"), ("Deckkraft", "opacity"), ("Qty", "sealed"),
        ("Standort", "place"), ("Prix", "price"), ("Besitzer", "owner"), ("Remarques", "notes"),
        ("Lightfastnes", "lightfastness"),
    ],
)  # fmt: skip
def test_headings_are_guessed_in_several_spellings_and_languages(heading, field):
    assert guess_columns([heading], [["x"]]) == {"0": field}


def test_a_column_that_fits_nothing_is_left_out():
    assert guess_columns(["Name", "Bought from"], [["Blue", "a friend"]]) == {"0": "name"}


def test_units_of_headings():
    assert [unit_of_heading(text) for text in ("Size (ml)", "Gewicht in g", "Size")] == ["ml", "g", ""]


def workbook(*sheets):
    book = Workbook()
    book.remove(book.active)
    for title, cells in sheets:
        sheet = book.create_sheet(title)
        for row in cells:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_a_spreadsheet_gives_texts_as_far_as_it_has_them():
    book = Workbook()
    sheet = book.active
    sheet.append(["Name", "Code", "Lightfastness", "Size", "Share"])
    sheet.append(["Blue", "004", date(2024, 7, 8), 37.0, 0.5])
    sheet.append(["Red", 4, "7-8", 37.5, None])
    sheet["B3"].number_format = "000"
    sheet["E2"].number_format = "0%"
    out = io.BytesIO()
    book.save(out)
    table = read_table(out.getvalue(), "list.xlsx")
    assert rows(table) == [("Blue", "004", "2024-07-08", "37", "50 %"), ("Red", "004", "7-8", "37.5", "")]
    assert [row.line for row in table.rows] == [2, 3]


def test_a_formula_that_nobody_computed_is_kept_as_its_text():
    table = read_table(workbook(("A", [["Name", "Pigments"], ["Blue", "=1+1"]])), "list.xlsx")
    assert rows(table) == [("Blue", "=1+1")]


def test_other_sheets_are_named():
    data = workbook(("Empty", []), ("Paints", [["Name", "CI"], ["Blue", "PB29"]]), ("Prices", [["x"]]))
    table = read_table(data, "list.xlsx")
    assert rows(table) == [("Blue", "PB29")]
    assert [one.text for one in table.skipped] == ["Prices"]
