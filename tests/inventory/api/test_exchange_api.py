"""A list taken in by a program, step by step, and the shelf given out."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import load_workbook

from inventory.models import Paint, Tube
from tests.inventory.api.conftest import HOME

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]
LIST = "Name,Binder,Pigments,Size,Sealed\nUltramarine Blue,oil,PB29,37 ml,2\nHansa Yellow,oil,PW97,37 ml,1\n"


@pytest.fixture
def given(teachers_api):
    answer = teachers_api.say("imports/", {"text": LIST})
    assert answer.status_code == 201
    return answer.json()


def test_a_list_is_taken_in_step_by_step(teachers_api, given):
    path = f"imports/{given['id']}/"
    assert given["mapping"] == {"0": "name", "1": "binder", "2": "pigments", "3": "size", "4": "sealed"}
    assert not Paint.objects.exists()
    columns = teachers_api.say(f"{path}columns/", {"mapping": given["mapping"], "unit": "ml"}, method="put").json()
    assert (columns["state"], columns["settings"]["unit"]) == ("reading", "ml")
    assert teachers_api.say(f"{path}read/", {"limit": 1}).json() == {"done": 1, "total": 2, "finished": False}
    assert teachers_api.say(f"{path}read/").json()["finished"]
    (asked,) = teachers_api.ask(f"{path}rows/", state="doubt").json()["results"]
    key = next(doubt["key"] for doubt in asked["doubts"] if doubt["open"])
    answered = teachers_api.say(f"{path}rows/{asked['line']}/choose/", {"key": key, "value": "PY97"}).json()
    assert answered["state"] == "clear"
    plan = teachers_api.ask(path).json()["plan"]
    assert (plan["paints"], plan["tubes"]) == (2, 3)
    first, second = (teachers_api.say(f"{path}commit/").json() for _ in range(2))
    assert first == second
    assert (first["state"], first["result"]["tubes"]) == ("committed", 3)
    assert sorted(Paint.objects.values_list("pigment_lines__code", flat=True)) == ["PB29", "PY97"]
    assert Tube.objects.count() == 3


def test_rows_are_left_out_and_brought_back(teachers_api, given):
    path = f"imports/{given['id']}/"
    teachers_api.say(f"{path}columns/", {"mapping": given["mapping"]}, method="put")
    teachers_api.say(f"{path}read/")
    assert teachers_api.say(f"{path}rows/2/leave-out/").json()["state"] == "left out"
    assert teachers_api.say(f"{path}rows/2/ask-again/").json()["state"] == "clear"
    assert teachers_api.say(f"{path}drop/").json()["state"] == "dropped"
    assert teachers_api.say(f"{path}take-up/").json()["state"] == "mapping"


def test_a_file_is_uploaded(teachers_api):
    answer = teachers_api.post(f"{HOME}/imports/", {"file": SimpleUploadedFile("list.csv", LIST.encode())})
    assert answer.status_code == 201
    assert (answer.json()["file_name"], answer.json()["rows"]["unread"]) == ("list.csv", 2)


@pytest.mark.parametrize(
    ("body", "field", "words"),
    [
        ({}, "text", "text: it is missing."),
        ({"text": " "}, "__all__", "paste the list as text"),
        ({"text": "Name"}, "text", ""),
        ({"text": "Name\nViridian", "file": "x"}, "file", "There is no field “file” here"),
    ],
)
def test_what_is_no_list_is_refused(teachers_api, body, field, words):
    answer = teachers_api.say("imports/", body)
    assert answer.status_code == 400
    assert words in answer.json()[field][0]


def test_a_picture_is_no_list(teachers_api):
    picture = SimpleUploadedFile("blue.png", b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    answer = teachers_api.post(f"{HOME}/imports/", {"file": picture})
    assert answer.status_code == 400
    assert list(answer.json()) == ["file"]


@pytest.mark.parametrize(
    ("mapping", "field", "words"),
    [
        ({"1": "binder"}, "mapping", "No column is the name of the paint"),
        ({"0": "name", "99": "binder"}, "mapping", "There is no column 99"),
        ({"0": "colour"}, "mapping", ""),
    ],
)
def test_columns_that_mean_nothing_are_refused(teachers_api, given, mapping, field, words):
    answer = teachers_api.say(f"imports/{given['id']}/columns/", {"mapping": mapping}, method="put")
    assert answer.status_code == 400
    assert words in str(answer.json()[field])


def test_nothing_is_taken_in_before_it_was_read(teachers_api, given):
    answer = teachers_api.say(f"imports/{given['id']}/commit/")
    assert "only a file that was read is taken in" in answer.json()["batch"][0]
    assert not Paint.objects.exists()


def test_the_shelf_is_given_out_as_a_file(api, tube):
    answer = api.ask("export/")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert "Ultramarine Blue,oil" in answer.content.decode("utf-8-sig")
    assert 'filename="reed-lane-shelf-' in answer["Content-Disposition"]
    book = load_workbook(io.BytesIO(api.ask("export/", format="xlsx").content))
    assert "Ultramarine Blue" in [row[0].value for row in book.active.iter_rows()]


def test_an_export_of_another_kind_is_refused(api, studio):
    assert "none of csv and xlsx" in api.ask("export/", format="pdf").json()["format"][0]
    assert api.ask("export/", empty="yes").status_code == 400
