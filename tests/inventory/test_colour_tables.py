"""Measured colours and window tests as tables, and as sheets beside the shelf."""

import csv
import io
from datetime import date

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from inventory.exchange import read_table
from inventory.models import Swatch
from inventory.queries.colour_tables import (
    MEASUREMENT_COLUMNS,
    WINDOW_COLUMNS,
    measurement_rows,
    window_test_rows,
)
from inventory.services import lasting
from inventory.services.colours import Beside, add_colour, withdraw

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
    assert "no ASTM rating" in WINDOW_COLUMNS[-4]
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
