"""Measured colours and window tests as tables, and as sheets beside the shelf."""

import csv
import io
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook

from inventory.exchange import read_table, write_csv
from inventory.exchange.colour_tables import MEASUREMENT_COLUMNS, WINDOW_COLUMNS
from inventory.models import ImportBatch, LightTest, Measurement, Paint, Swatch
from inventory.queries.colour_tables import measurement_rows, window_test_rows
from inventory.services import imports, lasting
from inventory.services.colours import Beside, add_colour, of_reflectance, withdraw
from studio.models import Membership, Role, Studio, User

pytestmark = pytest.mark.django_db
BEGAN = date(2026, 3, 2)


@pytest.fixture
def measured(studio, paint, tube, teacher, pigments):
    """`=1+1` as a note, because a spreadsheet would run it."""
    add_colour(paint, by=teacher, beside=Beside(Swatch.MASSTONE, note="=1+1"), text="7.5PB 3/10")
    given = {"illuminant": "D65", "observer": "10"}
    gone = add_colour(paint, by=teacher, beside=Beside(Swatch.TINT_1_9), text="62.4, 5.01, -40", **given)
    withdraw(gone, by=teacher)
    test = lasting.start_test(
        studio, paint=paint, by=teacher, started_on=BEGAN, text="50, 0, 0", swatch="wash", **given
    )
    on = date(2026, 4, 2)
    lasting.add_reading(test, by=teacher, on=on, text="#123456", exposure="blue wool", amount=3)
    wrong = lasting.add_reading(test, by=teacher, on=on, text="50, 3, 4", exposure="hours", amount=90, **given)
    lasting.withdraw_reading(test, wrong.pk)
    return test


def table(rows):
    headings, *body = rows
    return [dict(zip(headings, cells, strict=True)) for cells in body]


def test_every_colour_leaves_as_it_was_given(studio, measured, django_assert_num_queries):
    with django_assert_num_queries(1):
        one, two = table(measurement_rows(studio))
    assert (one["As typed"], one["Notation"], one["Note"], one["Withdrawn on"]) == ("7.5PB 3/10", "Munsell", "=1+1", "")
    assert (two["As typed"], two["Illuminant"], two["Swatch"]) == ("62.4, 5.01, -40", "D65", "Tint 1:9")
    assert two["L* (D65, 10 degrees)"] == "62.4000"
    assert two["Withdrawn on"]


def test_a_window_test_leaves_with_its_readings_and_is_no_rating(studio, measured, django_assert_num_queries):
    with django_assert_num_queries(2):
        first, look, gone = table(window_test_rows(studio))
    assert (first["First day"], first["As typed"], first["Swatch"]) == ("2026-03-02", "50, 0, 0", "wash")
    assert (look["As typed"], look["Rough"], look["Exposure"]) == ("#123456", "yes", "3")
    assert "no ASTM rating" in WINDOW_COLUMNS[-5]
    assert gone["Withdrawn on"]
    assert gone["Class of the difference so far (studio test, no ASTM rating)"] == ""


def test_the_pages_give_the_files(client, studio, student, measured):
    client.force_login(student)
    url = reverse("inventory:export", args=[studio.slug])
    answer = client.get(url, {"format": "csv", "table": "measurements", "separator": "comma"})
    assert "measurements" in answer["Content-Disposition"]
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert tuple(rows[0]) == MEASUREMENT_COLUMNS
    assert "'=1+1" in rows[1]
    answer = client.get(url, {"format": "xlsx"})
    book = load_workbook(io.BytesIO(answer.content))
    assert book.sheetnames == ["Shelf", "Measured colours", "Window tests"]
    back = read_table(answer.content, "shelf.xlsx")
    assert back.columns[0] == "Name"
    assert [one.text for one in back.skipped] == ["Measured colours", "Window tests"]
    assert client.get(url, {"format": "csv", "table": "nonsense"}).status_code == 200  # the form, with what is wrong


# Back in


def csv_of(rows, **changed):
    headings, *body = rows
    cells = [[changed.get(name, cell) for name, cell in zip(headings, row, strict=True)] for row in body]
    return write_csv([headings, *cells])


def brought(studio, by, data, name="colours.csv"):
    batch = imports.begin(studio, by=by, data=data, file_name=name)
    while not imports.read_some(batch).finished:
        pass
    batch.refresh_from_db()
    return batch


def without(rows, *names):
    headings, *body = rows
    kept = [place for place, name in enumerate(headings) if name not in names]
    return [[row[place] for place in kept] for row in (headings, *body)]


@pytest.fixture
def elsewhere(paint):
    """Another studio with a paint of the same name, and who teaches there."""
    other = Studio.objects.create(name="Mill End", slug="mill-end")
    person = User.objects.create_user("marek")
    Membership.objects.create(studio=other, user=person, role=Role.TEACHER)
    Paint.objects.create(studio=other, name=paint.name, binder=paint.binder, maker=paint.maker)
    return other, person


@pytest.mark.parametrize(("rows", "model"), [(measurement_rows, Measurement), (window_test_rows, LightTest)])
def test_what_left_comes_back_as_typed_once_and_is_taken_back(studio, measured, elsewhere, rows, model):
    other, person = elsewhere
    spectrum = of_reflectance("blue.cxf: 1", [0.05 + 0.001 * place for place in range(31)], illuminant="D65")
    spectrum.paint, spectrum.kind, spectrum.by = measured.paint, Swatch.MASSTONE, measured.by
    spectrum.save()
    left = list(rows(studio))
    batch = brought(other, person, csv_of(left))
    assert {row.state for row in batch.rows.all()} == {"clear"}
    assert not model.objects.filter(paint__studio=other).exists()  # tried out, and nothing of it kept
    imports.commit(batch, by=person)
    again = list(rows(other))
    assert without(again, "By", "On", "Withdrawn on") == without(left, "By", "On", "Withdrawn on")
    assert [bool(row[left[0].index("Withdrawn on")]) for row in again[1:]] == [
        bool(row[left[0].index("Withdrawn on")]) for row in left[1:]
    ]
    for data in (csv_of(left), csv_of(left, By="somebody else")):
        assert {row.state for row in brought(other, person, data).rows.all()} == {"present"}
    imports.take_back(batch, by=person)
    assert not model.objects.filter(paint__studio=other, withdrawn_at=None).exists()
    assert model.objects.filter(paint__studio=other).exists()
    assert batch.state == "taken back"


@pytest.mark.parametrize(
    ("changed", "column", "words"),
    [
        ({"Paint": "Cobalt Teal"}, "Paint", "There is no paint “Cobalt Teal” on the lists."),
        ({"Binder": "gouache"}, "Binder", "is on the lists with"),
        ({"As typed": "seven"}, "As typed", "“seven”"),
        ({"As typed": ""}, "As typed", "Enter the colour"),
        ({"Swatch": "wet"}, "Swatch", "“wet” is none of Masstone"),
        (
            {"Notation": "CIELAB", "As typed": "20, 0, 0", "Illuminant": ""},
            "Illuminant",
            "The illuminant is not stated",
        ),
        ({"Given as": "Card photo", "L* (D65, 10 degrees)": "101"}, "L* (D65, 10 degrees)", "101 is not between 0"),
        ({"Given as": "Card photo", "Standard deviation of each": "0"}, "Standard deviation of each", "0 is not"),
        ({"White": "Snow"}, "White", "There is no paint “Snow” on the lists"),
        ({"Withdrawn on": "31.3.26"}, "Withdrawn on", "“31.3.26” is no day such as 2026-03-31"),
        ({"Reflectance at 400 nm": "40"}, "Reflectance at 410 nm", "is no number"),
        ({"Wet film as typed": "75"}, "Wet film as typed", "Only a drawdown has a film thickness"),
        ({"Exposure": "3²"}, "Exposure", "“3²” is no whole number of hours"),
        ({"Exposure": "9" * 10}, "Exposure", "is no whole number of hours"),
    ],
)
def test_a_row_that_cannot_come_back_says_why_and_nothing_is_taken_in(
    studio, measured, elsewhere, changed, column, words
):
    other, person = elsewhere
    # A reading of a window test comes after the row that began it.
    rows, many = (window_test_rows, 3) if "Exposure" in changed else (measurement_rows, 2)
    batch = brought(other, person, csv_of(list(rows(studio))[:many], **changed))
    row = batch.rows.get(state="error")
    assert row.doubts[0]["column"] == column
    assert words in row.doubts[0]["message"]
    with pytest.raises(ValidationError, match="Nothing was taken in"):
        imports.commit(batch, by=person)


def test_a_question_about_a_row_is_answered_and_the_row_comes_in(studio, measured, elsewhere):
    other, person = elsewhere
    black = {"Notation": "CIELAB", "As typed": "2, 0, 0", "Illuminant": "D65", "Observer": "10"}
    batch = brought(other, person, csv_of(list(measurement_rows(studio))[:2], **black))
    row = batch.rows.get(state="error")
    (asked,) = row.doubts
    assert (asked["severity"], [one["label"] for one in asked["options"]]) == ("ask", ["It is so"])
    imports.choose(row, key=asked["key"], value=asked["options"][0]["value"])
    assert batch.rows.get().state == "clear"
    imports.commit(batch, by=person)
    assert Measurement.objects.get(paint__studio=other).lightness == 2.0


def test_a_workbook_with_nothing_measured_is_read_as_the_shelf_alone(client, studio, tube, teacher, elsewhere):
    other, person = elsewhere
    client.force_login(teacher)
    book = client.get(reverse("inventory:export", args=[studio.slug]), {"format": "xlsx"}).content
    imports.begin(other, by=person, data=book, file_name="shelf.xlsx")
    assert "no row below them" in ImportBatch.objects.get(studio=other).skipped[0]["why"]


def test_the_workbook_comes_back_sheet_by_sheet_through_the_pages(client, studio, measured, elsewhere):
    other, person = elsewhere
    client.force_login(measured.by)
    book = client.get(reverse("inventory:export", args=[studio.slug]), {"format": "xlsx"}).content
    client.force_login(person)
    home = reverse("inventory:imports", args=[other.slug])
    client.post(home, {"file": SimpleUploadedFile("shelf.xlsx", book)})
    colours, tests = ImportBatch.objects.filter(studio=other, file_name__contains=": ").order_by("file_name")
    assert (colours.file_name, tests.file_name) == ("shelf.xlsx: Measured colours", "shelf.xlsx: Window tests")
    shelf = ImportBatch.objects.get(studio=other, file_name="shelf.xlsx")
    columns = reverse("inventory:import_columns", args=[other.slug, shelf.pk])
    assert "A list of its own, found under Import" in client.get(columns).content.decode()
    url = reverse("inventory:import", args=[other.slug, colours.pk])
    client.post(reverse("inventory:import_reading", args=[other.slug, colours.pk]))
    assert "2 rows of measured colours" in client.get(url).content.decode()
    assert (
        "2 rows of measured colours were brought in"
        in client.post(reverse("inventory:import_commit", args=[other.slug, colours.pk]), follow=True).content.decode()
    )
    back = reverse("inventory:import_take_back", args=[other.slug, colours.pk])
    assert "1 row of measured colours would be withdrawn" in client.get(back).content.decode()
    assert "1 row of measured colours is withdrawn" in client.post(back, follow=True).content.decode()
