"""Labels typed by a program: read like those typed on the page, asked about, answered."""

import pytest

from inventory.models import Binder, Paint, Pigment

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]


@pytest.fixture
def hansa(teachers_api):
    return teachers_api.say("paints/", {"name": "Hansa Yellow Medium", "pigments": "PW97", "binder": "oil"}).json()


def test_a_label_is_kept_as_typed_beside_what_was_read(teachers_api):
    body = {"name": "Ultramarine Blue", "pigments": " p.b.29 ", "binder": "oil", "lightfastness": "ASTM I"}
    answer = teachers_api.say("paints/", body)
    assert answer.status_code == 201
    paint = answer.json()
    assert paint["pigment_text"] == " p.b.29 "
    assert [line["code"] for line in paint["pigments"]] == ["PB29"]
    assert paint["marks"]["lightfastness"] == {
        "value": "I",
        "scale": "astm",
        "maker_scale": "",
        "typed": "ASTM I",
        "weakest_pigment": "",
    }
    assert (paint["marks"]["opacity"]["value"], paint["pigments_known"]) == ("unknown", "settled")
    assert paint["swatch"]["origin"] == "typical"
    assert paint["stock"] == {"sealed": 0, "open": 0, "left": [], "left_is_estimate": False, "unusable": 0}
    assert teachers_api.ask(f"paints/{paint['id']}/").json() == paint


def test_a_doubt_is_shown_and_answered(teachers_api, hansa):
    assert (hansa["pigments_known"], hansa["pigments"], hansa["swatch"]) == ("asked", [], None)
    doubt = hansa["readings"][0]["doubts"][0]
    assert "PY97" in [option["value"] for option in doubt["options"]]
    path = f"paints/{hansa['id']}/answer/"
    wrong = teachers_api.say(path, {"field": "pigments", "key": doubt["key"], "value": "PR254"})
    assert "is not one of the answers" in wrong.json()["answer"][0]
    answer = teachers_api.say(path, {"field": "pigments", "key": doubt["key"], "value": "PY97"})
    assert answer.status_code == 200
    assert [line["code"] for line in answer.json()["pigments"]] == ["PY97"]
    gone = teachers_api.say(path, {"field": "pigments", "key": "gone", "value": "PY97"})
    assert "not open any more" in gone.json()["answer"][0]


def test_reading_a_label_keeps_nothing(api):
    answer = api.say("read-label/", {"name": "Hansa Yellow Medium", "pigments": "PW97"})
    assert answer.status_code == 200
    assert (answer.json()["pigments_known"], answer.json()["is_settled"]) == ("asked", False)
    assert answer.json()["readings"][0]["doubts"][0]["severity"] == "ask"
    assert not Paint.objects.exists()


def test_retyping_keeps_what_is_left_out(teachers_api, hansa):
    answer = teachers_api.say(f"paints/{hansa['id']}/", {"pigments": "PY97", "density": "1.35"}, method="patch").json()
    assert (answer["name"], answer["binder"], answer["density"]) == ("Hansa Yellow Medium", "oil", "1.35")
    assert [line["code"] for line in answer["pigments"]] == ["PY97"]


@pytest.mark.parametrize(
    ("body", "field", "words"),
    [
        ({}, "name", "name: it is missing."),
        ({"name": "  "}, "name", "an empty text was sent"),
        ({"name": "x" * 161}, "name", "161 characters are too many. Send at most 160."),
        ({"name": 7}, "name", "Send this as text"),
        ({"name": "x", "binder": "wax"}, "binder", "“wax” is none of the choices. Send one of: oil,"),
        ({"name": "x", "density": "9.5"}, "density", "9.5 g/ml is outside 0.5 to 8"),
        ({"name": "x", "density": "heavy"}, "density", "“heavy” cannot be used as a number"),
        ({"name": "x", "pigments": "P" * 2001}, "pigments", "2001 characters are too many"),
        ({"name": "a\0b"}, "name", "Null characters are not allowed"),
    ],
)
def test_a_label_that_cannot_be_kept_is_refused(teachers_api, body, field, words):
    answer = teachers_api.say("paints/", body)
    assert answer.status_code == 400
    assert words in answer.json()[field][0]


def test_what_is_on_the_shelf_is_not_archived(teachers_api, tube, paint):
    path = f"paints/{paint.pk}/"
    assert "still has 1 on the shelf" in teachers_api.say(f"{path}archive/").json()["__all__"][0]
    teachers_api.say("tubes/1/finished/")
    assert teachers_api.say(f"{path}archive/").json()["archived_at"]
    assert teachers_api.ask("paints/").json()["results"] == []
    assert len(teachers_api.ask("paints/", archived="true").json()["results"]) == 1
    assert teachers_api.say(f"{path}restore/").json()["archived_at"] is None


def test_a_member_may_not_change_paints_as_on_the_pages(api):
    answer = api.say("paints/", {"name": "Viridian"})
    assert answer.status_code == 403
    assert answer.json()["detail"].startswith("You are a member in Reed Lane. This takes a teacher")


@pytest.mark.parametrize(
    ("parameters", "names"),
    [
        ({}, ["Hansa Yellow Medium", "Sap Green", "Viridian"]),
        ({"search": "sap"}, ["Sap Green"]),
        ({"search": "p.g.7"}, ["Sap Green"]),
        ({"pigment": "PG18"}, ["Viridian"]),
        ({"pigment": "pg 7"}, ["Sap Green"]),
        ({"binder": "acrylic"}, ["Viridian"]),
        ({"open_question": "true"}, ["Hansa Yellow Medium"]),
        ({"pigments_known": "settled", "open_question": "false"}, ["Sap Green", "Viridian"]),
    ],
)
def test_paints_are_narrowed_down(teachers_api, hansa, parameters, names):
    teachers_api.say("paints/", {"name": "Viridian", "pigments": "PG18", "binder": "acrylic"})
    teachers_api.say("paints/", {"name": "Sap Green", "pigments": "PG7, PY150", "binder": "oil"})
    found = teachers_api.ask("paints/", **parameters).json()["results"]
    assert [paint["name"] for paint in found] == names


def test_materials_have_a_stock_but_no_colour(teachers_api):
    body = {"name": "Stand oil", "material_kind": "drying oil", "density": "0.96"}
    material = teachers_api.say("materials/", body).json()
    teachers_api.say("tubes/", {"item": material["id"], "size": "250", "unit": "ml"})
    shown = teachers_api.ask("materials/").json()["results"]
    assert shown[0]["stock"]["left"] == [{"value": "250", "unit": "ml", "milli": 250_000}]
    changed = teachers_api.say(f"materials/{material['id']}/", {"density": ""}, method="patch").json()
    assert changed["density"] is None


def test_pigments_are_found_by_code_name_and_metal(api):
    """Cadmium yellow is PY35, a cadmium zinc sulphide (Colour Index generic name)."""
    found = api.get("/api/pigments/", {"metal": "Cd", "search": "yellow"}).json()["results"]
    assert "PY35" in [pigment["ci_name"] for pigment in found]
    assert all("Cd" in pigment["metals"] for pigment in found)
    one = api.get("/api/pigments/py35/").json()
    assert one == next(pigment for pigment in found if pigment["ci_name"] == "PY35")
    assert one["source"]
    assert api.get("/api/pigments/PX1/").status_code == 404
    assert "symbol of an element" in api.get("/api/pigments/", {"metal": "(.*"}).json()["metal"][0]


def test_pages_of_pigments_give_each_once(api):
    seen, address = [], "/api/pigments/?page_size=20"
    while address:
        page = api.get(address).json()
        seen += [pigment["ci_name"] for pigment in page["results"]]
        address = page["next"]
    assert seen == list(Pigment.objects.values_list("ci_name", flat=True))


def test_binders_are_those_of_the_model(api):
    answer = api.ask("paints/", binder="wax")
    assert "“wax” is none of the choices" in answer.json()["binder"][0]
    assert api.ask("paints/", binder=Binder.OIL).status_code == 200
