"""What a form or a request says where a field is wrong: its name, what was typed, and what to do."""

from types import SimpleNamespace

import pytest
from django import forms
from django.core.exceptions import ValidationError
from rest_framework import serializers

from inventory.models import LightTest, Measurement, Tube
from studio.api.inputs import Input, Text, Whole
from studio.models import Studio


class Plain(forms.Form):
    name = forms.CharField(max_length=3)
    day = forms.DateField(label="First day", required=False)
    many = forms.IntegerField(label="How many?", min_value=1, required=False)
    share = forms.IntegerField(label="Share in %", max_value=100, required=False)
    price = forms.DecimalField(max_digits=4, decimal_places=2, required=False)
    kind = forms.ChoiceField(choices=[("a", "A")], required=False)
    parts = forms.MultipleChoiceField(choices=[("a", "A")], required=False)
    mail = forms.EmailField(required=False)
    own = forms.CharField(required=False, max_length=2, error_messages={"max_length": "Own: too long. Shorten it."})


class Sent(Input):
    name = Text(max_length=3)
    count = Whole(min_value=1, required=False)
    on = serializers.DateField(required=False)
    kind = serializers.ChoiceField(choices=["a", "b"], required=False)
    parts = serializers.ListField(child=Whole(), max_length=2, required=False)
    kinds = serializers.DictField(child=serializers.ChoiceField(choices=["a", "b"]), required=False)


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"name": " "}, "name", "Name: nothing is entered. It is needed: fill it in."),
        ({"name": "{a}%s"}, "name", "Name: “{a}%s” has 5 characters. Shorten it to 3."),
        ({"day": "31/31/2026"}, "day", "First day: “31/31/2026” cannot be read. Enter a day such as 2026-03-31."),
        ({"many": "1.5"}, "many", "How many? “1.5” cannot be read. Enter a whole number such as 4."),
        ({"many": "0"}, "many", "How many? 0 is too small. Enter 1 or more."),
        ({"share": "50 % off"}, "share", "Share in %: “50 % off” cannot be read. Enter a whole number such as 4."),
        ({"share": "101"}, "share", "Share in %: 101 is too large. Enter 100 or less."),
        ({"price": "1.234"}, "price", "Price: “1.234” is too fine. Enter at most 2 decimal places."),
        ({"kind": "z"}, "kind", "Kind: “z” is none of the choices. Choose one of the list."),
        ({"parts": ["z"]}, "parts", "Parts: “z” is none of the choices. Choose one of the list."),
        ({"mail": "x"}, "mail", "Mail: “x” cannot be read. Enter an address such as ines@studio.example."),
        ({"own": "abc"}, "own", "Own: too long. Shorten it."),
    ],
)
def test_a_form_names_the_field_the_value_and_the_remedy(typed, field, words):
    assert Plain({"name": "abc", **typed}).errors[field] == [words]


@pytest.mark.parametrize(
    ("sent", "field", "words"),
    [
        ({"name": None}, "name", "name: null was sent. Send a text, in quotation marks."),
        ({"name": ""}, "name", "name: an empty text was sent. Send a text, in quotation marks."),
        ({"name": "abcd"}, "name", "name: 4 characters are too many. Send at most 3."),
        ({"count": "2"}, "count", "count: “2” cannot be read. Send a whole number such as 4, without quotation marks."),
        ({"count": 0}, "count", "count: “0” is too small. Send 1 or more."),
        ({"on": "{x}"}, "on", 'on: “{x}” cannot be read. Send a day such as "2026-03-31".'),
        ({"kind": "{z}"}, "kind", "kind: “{z}” is none of the choices. Send one of: a, b."),
        ({"parts": "a"}, "parts", "parts: “a” is no list. Send a list, in square brackets."),
        ({"parts": [1, 2, 3]}, "parts", "parts: 3 are too many. Send at most 2."),
    ],
)
def test_a_request_is_answered_with_the_field_the_value_and_the_remedy(sent, field, words):
    reader = Sent(data={"name": "abc", **sent}, context={"view": SimpleNamespace()})
    assert not reader.is_valid()
    assert reader.errors[field] == [words]


def test_what_stands_in_a_list_is_answered_so_too():
    reader = Sent(data={"name": "abc", "parts": [1, "x"], "kinds": {"0": "{z}"}}, context={"view": SimpleNamespace()})
    assert not reader.is_valid()
    assert reader.errors == {
        "parts": {1: ["parts: “1, x” cannot be read. Send a whole number such as 4, without quotation marks."]},
        "kinds": {"0": ["kinds: “{z}” is none of the choices. Send one of: a, b."]},
    }


@pytest.mark.parametrize(
    ("row", "field", "words"),
    [
        (Tube(state="100 %s"), "state", "State: “100 %s” is none of the choices. Choose one of the list."),
        (
            Tube(nominal_milli=None),  # type: ignore[misc]
            "nominal_milli",
            "Nominal milli: nothing is entered. Enter a whole number such as 4.",
        ),
        (Studio(name=""), "name", "Name: nothing is entered. It is needed: fill it in."),
        (Studio(name="x" * 121), "name", "Name: 121 characters are too many. Shorten it to 120."),
        (
            LightTest(started_on="31/3"),
            "started_on",
            "Started on: “31/3” cannot be read. Enter a day such as 2026-03-31.",
        ),
        (Measurement(lightness=101.5), "lightness", "L*: 101.5 is too large. Enter 100.0 or less."),
    ],
)
def test_a_row_that_a_service_checks_says_the_same(row, field, words):
    with pytest.raises(ValidationError) as refused:
        row.clean_fields()
    assert refused.value.message_dict[field] == [words]


def test_words_with_a_percent_sign_survive_whoever_formats_them():
    """A filter of the API formats every message, also one without figures."""
    (error,) = Plain({"name": "abc", "share": "50 %s"}).errors.as_data()["share"]
    assert error.message % () == "Share in %: “50 %s” cannot be read. Enter a whole number such as 4."


def test_what_is_missing_is_named():
    assert Plain({}).errors["name"] == ["Name: nothing is entered. It is needed: fill it in."]
    reader = Sent(data={})
    reader.is_valid()
    assert reader.errors == {"name": ["name: it is missing. Send a text, in quotation marks."]}
