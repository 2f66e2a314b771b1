"""What every part of the API shares: signing in, refusing, and describing itself."""

import re

import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import IntegrityError, OperationalError
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from inventory.models import Entry
from studio.api.errors import exception_handler
from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db
WRONG = "Please enter a correct username and password. Note that both fields may be case-sensitive."


@pytest.fixture(autouse=True)
def no_counts_of_earlier_tests():
    cache.clear()


@pytest.fixture
def client():
    return APIClient()


def sign_in(client, username="keeper", password=PASSWORD):
    return client.post("/api/token/", {"username": username, "password": password}, format="json")


class TestSigningIn:
    def test_a_token_opens_the_studios_of_its_person(self, client, keeper, other_studio):
        answer = sign_in(client)
        assert answer.status_code == 201
        client.credentials(HTTP_AUTHORIZATION=f"Token {answer.json()['token']}")
        assert client.get("/api/").json() == [
            {
                "slug": "reed-lane",
                "name": "Reed Lane",
                "jurisdiction": "EU",
                "currency": "EUR",
                "emergency_contact": "",
                "role": "keeper",
                "url": "/api/s/reed-lane/",
            }
        ]
        assert client.get("/api/s/reed-lane/").json()["role"] == "keeper"

    def test_signing_in_twice_gives_the_same_token(self, client, keeper):
        assert sign_in(client).json() == sign_in(client).json()

    def test_a_token_that_was_taken_back_opens_nothing(self, client, keeper):
        client.credentials(HTTP_AUTHORIZATION=f"Token {sign_in(client).json()['token']}")
        assert client.delete("/api/token/").status_code == 204
        assert client.get("/api/").status_code == 401
        assert not Token.objects.exists()

    def test_a_session_of_the_page_opens_it_too_and_needs_its_token_to_write(self, keeper, tube):
        browser = APIClient(enforce_csrf_checks=True)
        browser.force_login(keeper)
        assert browser.get("/api/s/reed-lane/tubes/1/").status_code == 200
        refused = browser.post("/api/s/reed-lane/tubes/1/finished/", {}, format="json")
        assert refused.status_code == 403
        assert "CSRF" in refused.json()["detail"]

    def test_a_wrong_password_is_refused_in_the_words_of_the_page(self, client, keeper):
        answer = sign_in(client, password="guess")
        assert (answer.status_code, answer.json()) == (400, {"__all__": [WRONG]})
        assert sign_in(client, username="nobody").json() == {"__all__": [WRONG]}

    def test_who_is_no_longer_active_is_not_let_in(self, client, keeper):
        token = sign_in(client).json()["token"]
        keeper.is_active = False
        keeper.save()
        assert sign_in(client).status_code == 400
        client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
        assert client.get("/api/").status_code == 401

    def test_too_many_wrong_passwords_lock_the_name_here_and_on_the_page(self, client, keeper, settings):
        settings.AXES_FAILURE_LIMIT = 3
        answers = [sign_in(client, password=f"guess {n}") for n in range(3)]
        assert [answer.status_code for answer in answers[:2]] == [400, 400]
        locked = sign_in(client)
        assert locked.status_code == 429
        assert locked.json()["detail"].startswith("Too many wrong passwords for this name.")
        assert locked["Retry-After"] == "900"
        assert client.post("/sign-in/", {"username": "keeper", "password": PASSWORD}).status_code == 429
        assert not Token.objects.exists()

    def test_trying_names_from_one_address_is_slowed_down(self, client, keeper):
        answers = [sign_in(client, username=f"guess{n}", password="x") for n in range(21)]
        assert [answer.status_code for answer in answers] == [400] * 20 + [429]
        assert int(answers[-1]["Retry-After"]) <= 60
        # A made-up address in a header does not make another caller of it.
        again = client.post("/api/token/", {"username": "a", "password": "b"}, format="json", HTTP_X_FORWARDED_FOR="1")
        assert again.status_code == 429

    @pytest.mark.parametrize(
        ("body", "field"),
        [({}, "username"), ({"username": "a"}, "password"), ({"username": 1, "password": "b"}, "username")],
    )
    def test_what_is_missing_is_named(self, client, body, field):
        assert field in client.post("/api/token/", body, format="json").json()


class TestRefusing:
    @pytest.fixture
    def api(self, client, keeper, tube):
        client.force_authenticate(keeper)
        return client

    @pytest.mark.parametrize(
        ("body", "words"),
        [
            ('{"amount": ', "JSON parse error"),
            ('{"amount": NaN}', "JSON parse error"),
            ('{"amount": "\\ud800"}', "half a character"),
            ("[" * 100_000 + "]" * 100_000, ""),
            ('{"amount": ' + "1" * 5_000 + "}", ""),
            ("", "amount: it is missing. Send a decimal text"),
            (b"\xff\xfe", "JSON parse error"),
        ],
    )
    def test_a_body_that_cannot_be_read_says_why(self, api, body, words):
        answer = api.post("/api/s/reed-lane/tubes/1/used/", body, content_type="application/json")
        assert answer.status_code == 400
        assert words in str(answer.json())

    @pytest.mark.parametrize("body", ["[]", '"5"', "5", "null", "true"])
    def test_a_body_that_is_no_object_is_refused(self, api, body):
        answer = api.post("/api/s/reed-lane/tubes/1/used/", body, content_type="application/json")
        assert answer.status_code == 400
        assert set(answer.json()) <= {"__all__", "amount"}

    def test_another_type_of_body_is_not_read(self, api):
        answer = api.post("/api/s/reed-lane/tubes/1/used/", "amount=5", content_type="text/csv")
        assert answer.status_code == 415
        assert answer.json() == {"detail": 'Unsupported media type "text/csv" in request.'}
        assert Entry.objects.count() == 1

    def test_a_method_that_is_not_there_says_which_are(self, api):
        answer = api.delete("/api/s/reed-lane/tubes/1/")
        assert (answer.status_code, answer["Allow"]) == (405, "GET, HEAD, OPTIONS")

    def test_a_studio_that_is_not_there(self, api):
        assert api.get("/api/s/elsewhere/").json()["detail"].startswith("There is nothing here that you may see")

    @pytest.mark.parametrize(
        ("error", "status", "words"),
        [
            (ValidationError("Enter more.", code="x"), 400, {"__all__": ["Enter more."]}),
            (ValidationError({"size": ["Enter more."]}), 400, {"size": ["Enter more."]}),
            (IntegrityError("UNIQUE constraint failed: inventory_tube.number"), 409, "Somebody else changed this"),
            (OperationalError("database is locked"), 503, "The database is busy"),
        ],
    )
    def test_what_the_database_refuses_is_said_in_plain_words(self, error, status, words):
        answer = exception_handler(error, {})
        assert answer is not None
        assert answer.status_code == status
        assert answer.data == words if isinstance(words, dict) else words in answer.data["detail"]
        assert "inventory_tube" not in str(answer.data)

    def test_changing_the_ledger_is_a_conflict_and_no_traceback(self, tube):
        with pytest.raises(TypeError) as refused:
            tube.entries.get().save()
        answer = exception_handler(refused.value, {})
        assert answer is not None
        assert (answer.status_code, answer.data["detail"]) == (
            409,
            "An entry is never changed: write a correcting entry.",
        )

    def test_a_mistake_of_our_own_is_left_to_be_logged(self):
        assert exception_handler(ZeroDivisionError(), {}) is None

    def test_who_asks_without_end_is_asked_to_wait(self, api, monkeypatch):
        from rest_framework.throttling import UserRateThrottle

        monkeypatch.setattr(UserRateThrottle, "THROTTLE_RATES", {"user": "2/min"})
        answers = [api.get("/api/s/reed-lane/") for _ in range(3)]
        assert [answer.status_code for answer in answers] == [200, 200, 429]
        assert "Retry-After" in answers[2]


class TestDescription:
    @pytest.fixture
    def schema(self, client):
        return client.get("/api/schema/").json()

    def operations(self, schema):
        methods = ("get", "post", "put", "patch", "delete")
        return [(path, name, one[name]) for path, one in schema["paths"].items() for name in methods if name in one]

    def test_it_is_served_to_everybody_and_valid(self, schema):
        from drf_spectacular.validation import validate_schema

        validate_schema(schema)
        assert len(self.operations(schema)) > 60

    def test_every_operation_says_how_it_refuses(self, schema):
        for path, method, operation in self.operations(schema):
            wanted = {"429"} if (path, method) == ("/api/token/", "post") else {"401", "429"}
            wanted |= {"404"} if "{" in path else set()
            wanted |= {"400", "403", "409"} if method != "get" and path != "/api/token/" else set()
            assert wanted <= set(operation["responses"]), (path, method)

    def test_every_operation_has_a_name_of_its_own_and_a_sentence(self, schema):
        operations = self.operations(schema)
        assert len({operation["operationId"] for _, _, operation in operations}) == len(operations)
        assert [path for path, _, operation in operations if not operation.get("description")] == []

    def test_every_set_of_choices_has_a_name_and_no_number(self, schema):
        assert not [name for name in schema["components"]["schemas"] if re.search(r"[0-9a-f]{3}Enum", name)]

    def test_a_deed_tells_of_its_key(self, schema):
        parameters = schema["paths"]["/api/s/{studio}/tubes/{number}/used/"]["post"]["parameters"]
        assert "Idempotency-Key" in [parameter["name"] for parameter in parameters]

    def test_unknown_fields_are_refused_as_it_says(self, schema):
        parts = schema["components"]["schemas"]
        open_ended = [
            name for name in parts if name.endswith("Request") and parts[name].get("additionalProperties") is not False
        ]
        assert open_ended == []
