"""What to buy, what needs an answer, and what the paints mix to: the same answers as the pages'."""

import pytest

from inventory import services
from inventory.models import Binder
from inventory.queries import wheel
from inventory.queries.levels import levels
from inventory.reading import LabelTexts
from inventory.services.paints import add_paint

pytestmark = pytest.mark.django_db


class TestLevels:
    def test_a_level_is_set_told_and_taken_away(self, api, tube, paint):
        path = f"items/{paint.pk}/level/"
        answer = api.say(path, {"tubes": 3, "note": "For the class."}, method="put")
        assert answer.status_code == 200
        assert (answer.json()["tubes"], answer.json()["amount"], answer.json()["counting"]) == (3, None, "sealed")
        assert api.ask(path).json() == answer.json()
        assert api.say(path, method="delete").status_code == 204
        assert api.ask(path).status_code == 404
        assert api.say(path, method="delete").status_code == 204

    def test_what_is_short_is_said_as_on_the_page(self, api, tube, paint, studio):
        api.say(f"items/{paint.pk}/level/", {"amount": "100", "unit": "ml"}, method="put")
        (row,) = api.ask("reorder/").json()
        assert row["short_amount"] == {"value": "63", "unit": "ml", "milli": 63_000}
        assert (row["suggested_tubes"], row["short_tubes"]) == (2, None)
        assert row["reason"] == levels(studio)[0].answer.reason
        (matter, *_) = api.ask("attention/").json()
        assert (matter["urgency"], matter["sentence"]) == ("short", row["reason"])

    def test_a_level_that_is_met_is_listed_but_not_to_be_ordered(self, api, tube, paint):
        api.say(f"items/{paint.pk}/level/", {"tubes": 1}, method="put")
        assert [row["is_short"] for row in api.ask("levels/").json()] == [False]
        assert api.ask("reorder/").json() == []

    @pytest.mark.parametrize(
        ("body", "field", "words"),
        [
            ({}, "__all__", "Send the level as tubes or as an amount"),
            ({"tubes": 1, "amount": "5", "unit": "ml"}, "__all__", "one of them"),
            ({"amount": "5"}, "unit", "An amount needs its unit"),
            ({"tubes": 0}, "tubes", "“0” is too small. Send 1 or more."),
            ({"tubes": 2.5}, "tubes", "“2.5” cannot be read. Send a whole number"),
            ({"amount": "0", "unit": "ml"}, "__all__", "Enter a level above 0, or take the level away."),
            ({"amount": "1e9", "unit": "ml"}, "amount", "it is written with an exponent"),
        ],
    )
    def test_a_level_that_means_nothing_is_refused(self, api, paint, body, field, words):
        answer = api.say(f"items/{paint.pk}/level/", body, method="put")
        assert answer.status_code == 400
        assert words in answer.json()[field][0]


class TestColour:
    @pytest.fixture
    def shelf(self, studio, keeper, pigments):
        for name, codes in [("Titanium White", "PW6"), ("Ultramarine", "PB29"), ("Ultramarine Deep", "PB29")]:
            paint = add_paint(studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name=name, pigments=codes))
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)

    def test_nothing_in_stock_is_said_in_words(self, api, studio):
        for path, name in [("wheel/", "wheel"), ("same-job/", "same_job"), ("next-tubes/", "next_tubes")]:
            answer = api.ask(path).json()
            assert answer[name] is None
            assert answer["reason"].startswith("No paint of the studio's own is in stock")

    def test_the_wheel_is_that_of_the_page(self, api, shelf, studio):
        shown, meant = api.ask("wheel/").json()["wheel"], wheel.wheel(studio)
        assert meant is not None
        assert meant.reached is not None
        assert shown["percent"] == pytest.approx(meant.percent, abs=0.005)
        assert shown["meaning"] == meant.meaning
        assert len(shown["reach"]["chroma"]) == len(shown["reach"]["levels"]) == 8
        assert all(len(row) == len(shown["reach"]["hues"]) == 36 for row in shown["reach"]["chroma"])
        assert shown["reach"]["chroma"][3][27] == pytest.approx(meant.reached.chroma[3, 27], abs=0.005)
        assert [gap["sentence"] for gap in shown["gaps"]] == [gap.sentence for gap in meant.gaps]

    def test_two_tubes_of_one_pigment_do_the_same_job(self, api, shelf):
        found = api.ask("same-job/").json()["same_job"]["same_pigments"]
        names = {found[0]["paint"]["name"], *(other["name"] for other in found[0]["others"])}
        assert names == {"Ultramarine", "Ultramarine Deep"}

    def test_the_next_tube_is_one_that_is_not_there(self, api, shelf):
        answer = api.ask("next-tubes/").json()["next_tubes"]
        best = answer["candidates"][0]
        assert (best["rank"], best["gain"] > 0) == (1, True)
        assert best["pigment"] not in {"PW6", "PB29"}
        assert best["after"] == pytest.approx(best["before"] + best["gain"], abs=0.02)

    def test_a_binder_that_is_not_in_stock_is_refused_with_those_that_are(self, api, shelf):
        answer = api.ask("wheel/", binder="acrylic")
        assert answer.status_code == 400
        assert "there is oil" in answer.json()["binder"][0]
        assert "“wax” is none of the choices" in api.ask("wheel/", binder="wax").json()["binder"][0]
