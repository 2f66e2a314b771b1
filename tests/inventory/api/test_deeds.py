"""What happens to a tube, told by a program: exact amounts, one entry for one key, the words of the pages."""

import pytest
from django.core.exceptions import ValidationError
from django.db.models import Sum

from inventory import services
from inventory.forms.tubes import ReceiveForm, UseForm
from inventory.models import Entry, Place, Tube
from tests.inventory.api.conftest import caller

pytestmark = pytest.mark.django_db
KEY = "0123456789abcdef"


def test_using_writes_one_entry_and_shows_the_tube(api, tube, member):
    answer = api.say("tubes/1/used/", {"amount": "12.5", "note": "Sky."})
    assert answer.status_code == 201
    entry, after = answer.json()["entry"], answer.json()["tube"]
    assert entry["change"] == {"value": "-12.5", "unit": "ml", "milli": -12_500}
    assert (entry["kind"], entry["note"], entry["by"]["id"]) == ("used", "Sky.", member.pk)
    assert after["left"] == {"value": "24.5", "unit": "ml", "milli": 24_500}
    assert after["state"] == "open"


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ("NaN", "cannot be used as a number: it is no number"),
        ("Infinity", "cannot be used as a number"),
        ("1e9", "it is written with an exponent"),
        ("-5", "it has a minus sign; enter 0 or more"),
        ("1.2345", "amounts are kept to 0.001 ml; enter no more decimals"),
        ("5 g", "“5 g” is in g, but this is kept in ml"),
        ("five", "“five”"),
        ("", "an empty text was sent. Send a decimal"),
        ("12,5", "“12,5” is no plain decimal. Send a decimal with a point and without its unit, such as 12.5."),
        ("1/2", "Send a decimal with a point"),
        ("0", "Enter an amount above 0, not 0 ml."),
        ("999999999", "999999999 ml is more than any container holds"),
        ("37.001", "holds 37 ml, so 37.001 ml cannot be used. Enter less, or weigh it; keeper recorded 'received'"),
        (12.5, "Send the amount as text"),
        (True, "Send the amount as text"),
        (None, 'null was sent. Send a decimal text such as "12.5".'),
        ([], "Send the amount as text"),
    ],
)
def test_an_amount_that_cannot_be_used_is_refused_with_the_reason(api, tube, amount, words):
    answer = api.say("tubes/1/used/", {"amount": amount})
    assert answer.status_code == 400
    assert list(answer.json()) == ["amount"]
    assert words in answer.json()["amount"][0]
    assert Entry.objects.count() == 1


@pytest.mark.parametrize("amount", ["1e9", "-5", "NaN", "1.2345", "5 g"])
def test_the_words_are_those_of_the_page(api, tube, amount):
    form = UseForm({"amount": amount, "key": KEY}, tube=tube)
    on_the_page = str(form.errors["amount"][0]).partition(" Enter ")[0]
    assert "“" in on_the_page
    assert api.say("tubes/1/used/", {"amount": amount}).json()["amount"][0].startswith(on_the_page)


def test_what_the_service_refuses_it_refuses_in_the_same_words(api, tube):
    with pytest.raises(ValidationError) as refused:
        services.record_use(tube, amount_milli=99_000, by=tube.entries.get().by)
    assert api.say("tubes/1/used/", {"amount": "99"}).json() == refused.value.message_dict


@pytest.mark.parametrize("how", ["field", "header", "both"])
def test_the_same_key_writes_once(api, tube, how):
    body = {"amount": "5"} | ({} if how == "header" else {"key": KEY})
    headers = {} if how == "field" else {"Idempotency-Key": KEY}
    first, second = (api.say("tubes/1/used/", body, **headers) for _ in range(2))
    assert first.json()["entry"] == second.json()["entry"]
    assert Tube.objects.get().balance_milli == 32_000


def test_a_key_of_another_request_is_refused(api, tube):
    api.say("tubes/1/used/", {"amount": "5", "key": KEY})
    answer = api.say("tubes/1/used/", {"amount": "6", "key": KEY})
    assert "was used for another entry" in answer.json()["key"][0]
    differ = api.say("tubes/1/used/", {"amount": "5", "key": KEY}, **{"Idempotency-Key": KEY[::-1]})
    assert "differ" in differ.json()["key"][0]
    short = api.say("tubes/1/used/", {"amount": "5"}, **{"Idempotency-Key": "short"})
    assert "16 to 50 letters" in short.json()["key"][0]


def test_a_misspelt_field_is_named_with_those_that_are_known(api, tube):
    answer = api.say("tubes/1/used/", {"amuont": "5", "amount": "5"})
    assert answer.json() == {
        "amuont": ["There is no field “amuont” here. The fields are: key, note, at, amount."],
    }
    assert Entry.objects.count() == 1


def test_every_deed_keeps_the_balance_the_sum_of_its_entries(api, tube, place):
    sink = api.say("places/", {"name": "Sink"}).json()["id"]
    for deed, body in [
        ("used", {"amount": "7"}),
        ("left", {"left": "20"}),
        ("weighed", {"gross": "61", "tare": "11"}),
        ("moved", {"place": sink}),
        ("lent", {"to": "Wren"}),
        ("returned", {}),
        ("discarded", {"note": "Dried."}),
    ]:
        answer = api.say(f"tubes/1/{deed}/", body)
        assert answer.status_code == 201, (deed, answer.json())
    tube.refresh_from_db()
    assert tube.balance_milli == tube.entries.aggregate(total=Sum("change_milli"))["total"] == 0
    told = api.ask("tubes/1/entries/").json()["results"]
    assert [entry["kind"] for entry in told][::-1] == [
        "received", "used", "counted", "weighed", "moved", "lent", "returned", "discarded"
    ]  # fmt: skip
    assert told[4]["gross"] == {"value": "61", "unit": "g", "milli": 61_000}
    assert (told[3]["place_before"]["name"], told[3]["place_after"]["name"]) == ("Oil shelf", "Sink")


def test_a_tube_that_somebody_took_along_says_who(api, tube):
    assert api.say("tubes/1/lent/", {"to": "Wren"}).json()["tube"]["lent_to"] == "Wren"
    assert api.say("tubes/1/returned/").json()["tube"]["lent_to"] == ""


def test_what_is_finished_twice_says_who_was_first(api, tube):
    api.say("tubes/1/finished/")
    assert "is finished (member recorded 'used'" in api.say("tubes/1/finished/").json()["tube"][0]


def test_a_tube_is_not_moved_to_another_studios_place(api, tube, other_studio):
    elsewhere = Place.objects.create(studio=other_studio, name="Their shelf")
    answer = api.say("tubes/1/moved/", {"place": elsewhere.pk})
    assert answer.json() == {"place": [f"There is no place with the id {elsewhere.pk} in this studio."]}


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ("2999-01-01T00:00:00Z", "has not come yet"),
        ("1999-12-31T23:59:59Z", "lies before the year 2000"),
        ("0001-01-01T00:00:00+14:00", ""),
        ("yesterday", "“yesterday” cannot be read. Send day and time"),
    ],
)
def test_a_moment_that_cannot_be_is_refused(api, tube, at, words):
    answer = api.say("tubes/1/used/", {"amount": "1", "at": at})
    assert answer.status_code == 400
    assert words in answer.json()["at"][0]


class TestPuttingRight:
    def test_a_slip_is_put_right_by_another_entry(self, api, tube):
        wrong = api.say("tubes/1/used/", {"amount": "20"}).json()["entry"]["id"]
        answer = api.say(f"entries/{wrong}/correct/", {"amount": "2", "reason": "Typed 20 for 2."}).json()
        assert answer["tube"]["left"]["value"] == "35"
        assert answer["entry"]["corrects"] == wrong
        assert api.ask(f"entries/{wrong}/").json()["corrected_by"] == answer["entry"]["id"]

    def test_undoing_twice_takes_back_once(self, api, tube):
        entry = api.say("tubes/1/finished/").json()["entry"]["id"]
        first, second = (api.say(f"entries/{entry}/undo/").json() for _ in range(2))
        assert first["entry"] == second["entry"]
        assert (first["tube"]["state"], first["tube"]["left"]["value"]) == ("sealed", "37")

    def test_a_weighing_is_undone_not_corrected(self, api, tube):
        entry = api.say("tubes/1/weighed/", {"gross": "61"}).json()["entry"]["id"]
        answer = api.say(f"entries/{entry}/correct/", {"amount": "2", "reason": "A slip."})
        assert "undo it and do it again" in answer.json()["entry"][0]

    def test_an_entry_is_never_changed_or_deleted(self, api, tube):
        entry = tube.entries.get().pk
        for method in ("put", "patch", "delete"):
            assert api.say(f"entries/{entry}/", {"note": "x"}, method=method).status_code == 405


class TestReceiving:
    def test_tubes_get_numbers_and_entries(self, api, paint, place, member):
        body = {"item": paint.pk, "count": 2, "size": "37", "unit": "ml", "place": place.pk, "batch": "B7"}
        answer = api.say("tubes/", body)
        assert answer.status_code == 201
        assert [tube["number"] for tube in answer.json()["tubes"]] == [1, 2]
        assert all(tube["left"]["milli"] == 37_000 for tube in answer.json()["tubes"])
        assert Entry.objects.filter(kind="received", by=member).count() == 2

    def test_the_same_key_receives_once(self, api, paint):
        body = {"item": paint.pk, "count": 2, "size": "37", "unit": "ml", "key": KEY}
        first, second = (api.say("tubes/", body).json() for _ in range(2))
        assert first == second
        assert Tube.objects.count() == 2

    def test_a_members_own_tube_names_a_person_of_the_studio(self, api, paint, member, stranger):
        body = {"item": paint.pk, "size": "37", "unit": "ml", "owner_kind": "member", "owner": member.pk}
        owner = api.say("tubes/", body).json()["tubes"][0]["owner"]
        assert owner == {"kind": "member", "id": member.pk, "name": "member"}
        answer = api.say("tubes/", body | {"owner": stranger.pk})
        assert answer.json() == {"owner": [f"There is no person with the id {stranger.pk} in this studio."]}

    @pytest.mark.parametrize(
        ("wrong", "field", "words"),
        [
            ({"size": "0"}, "size", "Enter an amount above 0"),
            ({"left": "40", "state": "open"}, "left", "40 ml is more than the container's size of 37 ml"),
            ({"left": "20"}, "left", "A sealed container is full"),
            ({"count": 0}, "count", "count: “0” is too small. Send 1 or more."),
            ({"count": 501}, "count", "“501” is too large. Send 500 or less."),
            ({"count": "2"}, "count", "“2” cannot be read. Send a whole number"),
            ({"unit": "l"}, "unit", "unit: “l” is none of the choices. Send one of: ml, g."),
            ({"owner_kind": "class"}, "__all__", "Name the member, or the class, that owns it"),
            ({"batch": "x" * 61}, "batch", "batch: 61 characters are too many. Send at most 60."),
        ],
    )
    def test_what_cannot_be_received_is_refused(self, api, paint, wrong, field, words):
        answer = api.say("tubes/", {"item": paint.pk, "size": "37", "unit": "ml"} | wrong)
        assert answer.status_code == 400
        assert words in answer.json()[field][0]
        assert not Tube.objects.exists()

    def test_the_words_are_those_of_the_page(self, api, paint, studio):
        form = ReceiveForm({"size": "1e9", "count": "1", "key": KEY}, studio=studio)
        answer = api.say("tubes/", {"item": paint.pk, "size": "1e9", "unit": "ml"})
        assert answer.json()["size"][0].startswith(str(form.errors["size"][0]).partition(" Enter")[0])


def test_what_is_in_it_is_looked_at(api, tube):
    answer = api.say("tubes/1/examined/", {"condition": "other"})
    assert answer.json() == {"note": ["Say in the note why it cannot be used."]}
    after = api.say("tubes/1/examined/", {"condition": "dried", "note": "Hard at the neck."}).json()["tube"]
    assert (after["condition"], after["left"]["value"]) == ("dried", "37")


def test_a_keeper_says_whose_it_is_and_its_owner_whether_it_is_shared(api, tube, member, teacher, keeper):
    keepers, teachers = caller(keeper), caller(teacher)
    body = {"owner_kind": "member", "owner": member.pk}
    assert api.say("tubes/1/owner/", body).status_code == 403
    after = keepers.say("tubes/1/owner/", body).json()["tube"]
    assert (after["owner"]["id"], after["shared"]) == (member.pk, False)
    assert teachers.say("tubes/1/shared/", {"shared": True}).status_code == 403
    assert api.say("tubes/1/shared/", {"shared": True}).json()["tube"]["shared"] is True
    again = keepers.say("tubes/1/shared/", {"shared": True})
    assert "is shared already" in again.json()["tube"][0]
    assert keepers.say("tubes/1/shared/", {"shared": False}).json()["tube"]["shared"] is False
