"""Mixtures, ways to a colour and layers by the API: the same figures and words as on the pages."""

import pytest

from inventory import services
from inventory.models import Binder, Condition
from inventory.queries.mix import mix
from inventory.queries.mixable import bench
from inventory.queries.seek import read_wanted, ways_to
from inventory.reading import LabelTexts
from inventory.services.paints import add_paint

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf(studio, keeper, pigments):
    made = {}
    for name, codes, binder in [
        ("Titanium White", "PW6", Binder.OIL),
        ("Ultramarine", "PB29", Binder.OIL),
        ("Hansa Yellow Light", "PY3", Binder.OIL),
        ("Magenta", "PR122", Binder.ACRYLIC),
    ]:
        paint = add_paint(studio, by=keeper, binder=binder, texts=LabelTexts(name=name, pigments=codes))
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
        made[name] = paint
    return made


def test_the_mixture_is_that_of_the_page(api, shelf, studio):
    blue, white = shelf["Ultramarine"].pk, shelf["Titanium White"].pk
    answer = api.say("mix/", {"paints": [{"paint": blue, "parts": 1}, {"paint": white, "parts": 2.5}]})
    assert answer.status_code == 200
    meant = mix(bench(studio), [(blue, 1.0), (white, 2.5)])
    shown = answer.json()
    assert shown["told"]["seen"]["L"] == pytest.approx(meant.told.seen.L, abs=0.005)
    assert shown["told"]["within"] == pytest.approx(meant.told.within, abs=0.005)
    assert (shown["why"], shown["told"]["word"]) == (meant.why, meant.told.word)
    assert [tint["white_parts"] for tint in shown["tints"]] == [tint.white_parts for tint in meant.tints]
    assert shown["white"] == {"id": white, "name": "Titanium White"}


def test_the_ways_are_those_of_the_page(api, shelf, studio):
    shown = api.say("seek/", {"text": "5GY 6/6"}).json()
    meant = ways_to(bench(studio), "oil", read_wanted("5GY 6/6"))
    assert [[one["parts"] for one in way["ingredients"]] for way in shown["ways"]] == [
        [one.parts for one in way.ingredients] for way in meant.ways
    ]
    assert [way["metals"] for way in shown["ways"]] == [way.metals for way in meant.ways]
    assert shown["short"] == meant.short


def test_what_cannot_be_used_is_named_with_each_answer(api, shelf, keeper):
    dry = shelf["Hansa Yellow Light"]
    services.examine(dry.tubes.get(), condition=Condition.DRIED, by=keeper)
    left_out = ["Left out, since nothing that is left of it can be used: Hansa Yellow Light."]
    two = [{"paint": shelf[name].pk} for name in ("Ultramarine", "Titanium White")]
    for path, body in (
        ("mix/", {"paints": two}),
        ("seek/", {"text": "5GY 6/6"}),
        ("layers/", {"paint": two[0]["paint"]}),
    ):
        assert api.say(path, body).json()["set_notes"] == left_out, path


def test_a_glaze(api, shelf):
    answer = api.say(
        "layers/",
        {"paint": shelf["Ultramarine"].pk, "under": "paint", "ground": shelf["Hansa Yellow Light"].pk},
    )
    shown = answer.json()
    assert shown["ground"] == "dry Hansa Yellow Light"
    assert [coat["thickness"] for coat in shown["coats"]] == [0.25, 0.5, 1.0, 2.0, 4.0, 8.0]
    assert "units of the white's own scattering" in shown["how_sure"]


@pytest.mark.parametrize(
    ("path", "body", "field", "message"),
    [
        ("mix/", {"paints": []}, "paints", "at least 2"),
        ("mix/", {"paints": [{"paint": 1}] * 5}, "paints", "5 are too many. Send at most 4."),
        ("mix/", {"paints": [{"paint": "blue"}, {"paint": "magenta"}]}, "paints", "are never mixed here"),
        ("mix/", {"paints": [{"paint": "blue", "parts": -1}, {"paint": "white"}]}, "paints", "“-1” is too small"),
        ("mix/", {"paints": [{"paint": "blue", "parts": 0}, {"paint": "white", "parts": 0}]}, "paints", "parts are 0"),
        ("mix/", {"paints": [{"paint": "blue"}, {"paint": 77777}]}, "paints", "Paint 77777 is not among"),
        ("seek/", {"text": "#DB000"}, "text", "has 5 digits"),
        ("seek/", {"text": "13R 4/30"}, "text", "13"),
        ("seek/", {"text": "167, 0, 0", "illuminant": "D65", "observer": "10"}, "text", "L* is 167"),
        ("seek/", {"text": "50, 0, 0"}, "observer", "The observer is not stated"),
        ("seek/", {"text": "N 5", "binder": "casein"}, "binder", "No casein paint of known colour is in stock"),
        ("layers/", {"paint": 77777}, "paint", "Paint 77777 is not among"),
        ("layers/", {"paint": "blue", "under": "paint"}, "ground", "No dry paint is chosen"),
    ],
)  # fmt: skip
def test_what_cannot_be_worked_is_refused_in_the_words_of_the_page(api, shelf, path, body, field, message):
    named = {"blue": shelf["Ultramarine"].pk, "white": shelf["Titanium White"].pk, "magenta": shelf["Magenta"].pk}

    def put_in(value):
        if isinstance(value, dict):
            return {key: named.get(one, one) if key == "paint" else put_in(one) for key, one in value.items()}
        return [put_in(one) for one in value] if isinstance(value, list) else value

    answer = api.say(path, put_in(body))
    assert answer.status_code == 400
    assert message in str(answer.json()[field])


def test_a_number_that_is_none_is_refused(api, shelf):
    body = f'{{"paints": [{{"paint": {shelf["Ultramarine"].pk}, "parts": NaN}}]}}'
    answer = api.post("/api/s/reed-lane/mix/", body, content_type="application/json")
    assert answer.status_code == 400
    assert "cannot be read" in answer.json()["__all__"][0]
