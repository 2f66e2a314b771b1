"""Colours through the API: given, asked, listed, withdrawn, and the curve that follows."""

import pytest

from inventory.models import Measurement
from inventory.reading import LabelTexts
from inventory.services.paints import add_paint

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

MASSTONE = {"kind": "masstone", "text": "28.1, 16.0, -34.1", "illuminant": "D65", "observer": "10"}


@pytest.fixture
def blue(studio, keeper):
    texts = LabelTexts(name="Ultramarine Blue", pigments="PB29", lightfastness="", opacity="", strength="")
    return add_paint(studio, by=keeper, texts=texts, binder="oil")


def test_a_colour_is_given_listed_and_withdrawn(teachers_api, api, blue):
    made = teachers_api.say(f"paints/{blue.pk}/measurements/", MASSTONE)
    assert made.status_code == 201
    assert made.data["lab"] == [28.1, 16.0, -34.1]
    assert made.data["by"] == "teacher"
    listed = api.ask("measurements/", paint=blue.pk).data
    assert [one["id"] for one in listed["results"]] == [made.data["id"]]
    curve = api.ask(f"paints/{blue.pk}/curve/").data
    assert (curve["origin"], curve["state"], len(curve["absorption"])) == ("recovered", "ready", 31)
    assert curve["known"] == "Masstone and pigment code"
    gone = teachers_api.say(f"measurements/{made.data['id']}/withdraw/")
    assert gone.data["withdrawn_at"]
    assert api.ask("measurements/").data["results"] == []
    assert len(api.ask("measurements/", withdrawn="true").data["results"]) == 1
    assert len(api.ask(f"paints/{blue.pk}/measurements/").data) == 1
    assert api.ask(f"paints/{blue.pk}/curve/").data["origin"] == "typical"
    assert teachers_api.say(f"measurements/{made.data['id']}/restore/").data["withdrawn_at"] is None


def test_what_is_wrong_is_said_by_field(teachers_api, blue):
    def refused(**body):
        answer = teachers_api.say(f"paints/{blue.pk}/measurements/", {"kind": "masstone", **body})
        assert answer.status_code == 400
        return answer.data

    assert "lightness runs from 0" in str(refused(text="167, 0, 0", illuminant="D65", observer="10")["text"])
    assert set(refused(text="28, 16, -34")) == {"illuminant", "observer"}
    assert "one of them" in str(refused()["__all__"])
    assert "one of them" in str(refused(text="1,2,3", spectrum="x")["__all__"])
    assert set(refused(spectrum="no spectrum")) == {"spectrum"}
    assert "There is no paint with the id 999999" in str(refused(text="1,2,3", white=999_999)["white"])
    assert not Measurement.objects.exists()


def test_a_spectrum_asks_what_it_does_not_say(teachers_api, blue):
    table = "nm,Blue\n" + "\n".join(f"{nm},{0.06 + 0.3 * (nm < 480)}" for nm in range(400, 701, 10))
    body = {"kind": "masstone", "spectrum": table}
    asked = teachers_api.say(f"paints/{blue.pk}/measurements/", body)
    assert set(asked.data) == {"specular", "geometry", "backing", "light"}
    said = {"specular": "included", "geometry": "d:8", "backing": "hidden", "light": "A"}
    made = teachers_api.say(f"paints/{blue.pk}/measurements/", {**body, **said})
    assert made.status_code == 201
    assert len(made.data["spectrum"]) == 31


def test_a_member_reads_and_a_teacher_writes(api, blue):
    assert api.ask(f"paints/{blue.pk}/measurements/").data == []
    refused = api.say(f"paints/{blue.pk}/measurements/", MASSTONE)
    assert refused.status_code == 403
    assert not Measurement.objects.exists()


def test_another_studio_s_measurements_are_not_there(studio, stranger, keeper, blue):
    from tests.inventory.api.conftest import caller

    kept = Measurement.objects.create(paint=blue, kind="masstone", text="x", lightness=30, a=1, b=1, sd=0.5, by=keeper)
    strangers = caller(stranger)
    mill = stranger.memberships.get().studio.slug
    for path in (f"paints/{blue.pk}/measurements/", f"paints/{blue.pk}/curve/"):
        assert strangers.get(f"/api/s/{mill}/{path}").status_code == 404
    assert strangers.post(f"/api/s/{mill}/measurements/{kept.pk}/withdraw/").status_code == 404
    assert strangers.get(f"/api/s/{mill}/measurements/").data["results"] == []
