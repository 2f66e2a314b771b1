"""Programs read and write the safety record through the same services, in the words of the pages."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from safety import services
from tests.inventory.api.conftest import caller

pytestmark = pytest.mark.django_db


@pytest.fixture
def student_api(student):
    return caller(student)


@pytest.fixture
def teacher_api(teacher):
    return caller(teacher)


@pytest.fixture
def cadmium(make_paint):
    return make_paint("Cadmium Yellow Medium", "PY37")


def day(ago=0):
    return (timezone.localdate() - timedelta(days=ago)).isoformat()


def test_what_is_known_of_an_item(student_api, cadmium):
    """CLP Annex VI, index 048-010-00-4."""
    said = student_api.ask(f"items/{cadmium.pk}/safety/").json()
    assert said["signal_word"] == "Danger"
    assert [one["code"] for one in said["hazards"]] == ["H350", "H341", "H361fd", "H372", "H302", "H413"]
    assert said["hazards"][0]["phrase"] == "May cause cancer."
    assert said["state"] == "missing"
    assert said["deferring"].startswith("Local regulations, licensed practice and the maker's safety data sheet")
    assert any("2021/849" in line["said_by"] for line in said["known"])
    assert "sheet: none on file" in said["facts"]


def test_a_sheet_goes_in_and_comes_out_as_printed(teacher_api, cadmium):
    body = {"product": "Y 37", "read_on": day(), "revised_on": day(90), "h_codes": "H350; H372 (lungs)"}
    made = teacher_api.say(f"items/{cadmium.pk}/sheets/", {**body, "pictograms": ["GHS08"], "signal_word": "Danger"})
    assert made.status_code == 201
    assert made.json()["h_codes"] == ["H350", "H372 (lungs)"]
    (listed,) = teacher_api.ask(f"items/{cadmium.pk}/sheets/").json()
    assert listed == made.json()
    back = teacher_api.say(f"sheets/{listed['id']}/withdraw/", {"why": "Another yellow."}).json()
    assert back["withdrawn_why"] == "Another yellow."


def test_refusals_have_the_words_of_the_page(teacher_api, cadmium):
    body = {"product": "Y 37", "read_on": day(-1), "h_codes": "H35O"}
    refused = teacher_api.say(f"items/{cadmium.pk}/sheets/", body)
    assert refused.status_code == 400
    assert refused.json()["h_codes"] == [
        "“H35O” is not a known H, EUH or P code. Did you mean H350? Check it against the sheet."
    ]
    assert "is in the future" in refused.json()["read_on"][0]
    empty = teacher_api.say(f"items/{cadmium.pk}/label-words/", {"read_on": day()})
    assert "Copy at least the words" in empty.json()["__all__"][0]


def test_label_words(teacher_api, cadmium):
    url = f"items/{cadmium.pk}/label-words/"
    made = teacher_api.say(url, {"text": "Do not spray.", "read_on": day()})
    assert made.status_code == 201
    assert teacher_api.ask(url).json()[0]["text"] == "Do not spray."
    assert teacher_api.say(f"label-words/{made.json()['id']}/withdraw/", {"why": "Other tube."}).status_code == 200


def test_notices_are_made_hung_and_go_out_of_date(teacher_api, teacher, cadmium, make_paint):
    make_paint("Blue", "PB29")
    assert {one["state"] for one in teacher_api.ask("notices/").json()} == {"missing"}
    made = teacher_api.say("notices/").json()
    assert [one["item"]["name"] for one in made] == ["Blue", "Cadmium Yellow Medium"]
    notice = made[1]
    hung = teacher_api.say(f"notices/{notice['id']}/hang/", {"where": "door"}).json()
    assert (hung["where"], hung["notice"]["id"]) == ("door", notice["id"])
    assert teacher_api.say(f"notices/{notice['id']}/hang/", {"where": "desk"}).status_code == 200
    assert teacher_api.say(f"notices/{notice['id']}/hang/", {"room": 4711}).json() == {
        "room": ["There is no room 4711 in use here."]
    }
    services.record_sheet(cadmium, by=teacher, product="Y", read_on=timezone.localdate(), h_codes="H302")
    old = next(one for one in teacher_api.ask("notices/").json() if one["state"] == "out of date")
    assert old["outdated"][0]["says"][0] == "sheet: none on file"
    new = teacher_api.say(f"items/{cadmium.pk}/notices/").json()
    assert new["id"] != notice["id"]
    at_desk, at_door = teacher_api.ask("postings/").json()
    assert [at_desk["posting"]["where"], at_door["posting"]["where"]] == ["desk", "door"]
    assert at_door["out_of_date"]
    assert at_door["says"][0] == "sheet: none on file"
    assert at_door["changes"][0] == {"was": at_door["says"][0], "now": at_door["known_now"][0]}
    assert {"was": "signal word: Danger", "now": "signal word: Warning"} in at_door["changes"]
    assert {"was": "H350: May cause cancer.", "now": ""} in at_door["changes"]
    put = {"fingerprint": at_door["fingerprint"]}
    assert teacher_api.say(f"postings/{hung['id']}/replace/", put).json()["notice"]["id"] == new["id"]
    second = teacher_api.say(f"postings/{hung['id']}/replace/", put)
    assert second.status_code == 400
    assert f"{teacher} replaced this paper on" in second.json()["__all__"][0]
    down = f"postings/{at_desk['posting']['id']}/take-down/"
    assert teacher_api.say(down).json()["taken_down_by"] == str(teacher)
    assert teacher_api.say(down).status_code == 400
    assert [one["id"] for one in teacher_api.ask(f"items/{cadmium.pk}/notices/").json()] == [new["id"], notice["id"]]


def test_the_code_of_a_notice_made_by_a_program_leads_to_the_page(teacher_api, cadmium, studio):
    teacher_api.say(f"items/{cadmium.pk}/notices/")
    page = reverse("safety:item", args=[studio.slug, cadmium.pk])
    assert cadmium.notices.get().content["page_url"] == f"http://testserver{page}"


def test_notices_come_on_paper(student_api, keeper, cadmium):
    assert student_api.ask("notices/book/").status_code == 409
    notice = services.make_notice(cadmium, by=keeper, page_url="https://paints.example/")
    answer = student_api.ask(f"notices/{notice.pk}/pdf/", paper="Letter")
    assert answer["Content-Type"] == "application/pdf"
    assert PdfReader(BytesIO(answer.content)).pages[0].mediabox.width == 612
    assert len(PdfReader(BytesIO(student_api.ask("notices/book/").content)).pages) >= 2
    refused = student_api.ask(f"notices/{notice.pk}/pdf/", paper="A9")
    assert refused.json() == {"paper": ["“A9” is none of A4 and Letter."]}


def test_a_student_reads_and_a_stranger_sees_nothing(student_api, stranger, cadmium):
    assert student_api.say(f"items/{cadmium.pk}/sheets/", {"product": "Y", "read_on": day()}).status_code == 403
    assert student_api.say("notices/").status_code == 403
    for path in (f"items/{cadmium.pk}/safety/", "notices/", f"items/{cadmium.pk}/sheets/"):
        assert caller(stranger).ask(path).status_code == 404


@pytest.mark.parametrize(("path", "rows"), [("statements", 266), ("hazards", 182), ("limits", 106)])
def test_the_reference_lists_are_whole(student_api, reference, path, rows):
    """The number of rows of fixtures/*.csv."""
    url, found = f"/api/{path}/", 0
    while url:
        page = student_api.get(url).json()
        found += len(page["results"])
        url = page["next"]
    assert found == rows


@pytest.mark.parametrize("count", [1, 30])
def test_the_list_costs_the_same_for_any_number(student_api, many_paints, keeper, django_assert_num_queries, count):
    studio = many_paints(count)[0].studio
    services.make_notices(studio, by=keeper, page_url=lambda item: "https://paints.example/")
    with django_assert_num_queries(11):  # membership, and those of the standings
        student_api.ask("notices/")
