"""What a caller sends, read strictly: a misspelt field is an error and not a wish that nobody heard."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.core.validators import RegexValidator
from rest_framework import serializers
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from studio.field_words import name_api_fields

# As long as the page's own keys at least, and short enough for the ledger to add a tube's number.
KEY_PATTERN = r"^[A-Za-z0-9_-]{16,50}$"


class StrictJSONParser(JSONParser):
    """JSON that can be stored: what nests without end or holds half a character is refused, not passed on."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        try:
            data = super().parse(stream, media_type, parser_context)
            _check_text(data)
        except RecursionError as error:
            raise ParseError("It is nested too deeply.") from error
        return data


def _check_text(data: Any) -> None:
    if isinstance(data, str):
        try:
            data.encode()
        except UnicodeEncodeError as error:
            raise ParseError("A text in it ends in half a character (a lone surrogate): send whole ones.") from error
    elif isinstance(data, dict):
        for name, value in data.items():
            _check_text(name)
            _check_text(value)
    elif isinstance(data, list):
        for value in data:
            _check_text(value)


class Input(serializers.Serializer):
    """A request's body. Unknown fields are refused with the names that are known."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, Mapping) and (strange := sorted(set(map(str, data)) - set(self.fields))):
            known = ", ".join(self.fields) or "none at all"
            raise serializers.ValidationError(
                {name: [f"There is no field “{name}” here. The fields are: {known}."] for name in strange[:20]}
            )
        name_api_fields(self.fields, data)
        return super().to_internal_value(data)


class Text(serializers.CharField):
    """A text and nothing else: a number is not turned into one behind the caller's back."""

    default_error_messages: ClassVar = {"invalid": "Send this as text, in quotation marks."}

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Whole(serializers.IntegerField):
    """A whole number as JSON has it: 2, and neither "2" nor 2.0 nor true."""

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return super().to_internal_value(data)


class Flag(serializers.BooleanField):
    """true or false, and none of the words that are taken for them elsewhere."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("invalid", input=data)
        return data


class Choice(serializers.ChoiceField):
    """One of these texts."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, str) or (data == "" and not self.allow_blank):
            self.fail("invalid_choice", input=data)
        return super().to_internal_value(data)


class KeyedInput(Input):
    """A request that writes once, however often it is sent with the same key (here or as `Idempotency-Key`)."""

    key = Text(
        required=False,
        validators=[
            RegexValidator(
                KEY_PATTERN,
                "A key is 16 to 50 letters, digits, hyphens or underscores: send a random one, new for each.",
            )
        ],
        help_text="Sent again with the same key, the request writes nothing more and gives the same answer.",
    )
