"""What a form, a request or a row says of one field: its name, what was typed, and what to do.

One place for all of them. A field with words of its own keeps those; only the libraries' own words are replaced.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core import validators
from django.db import models
from django.forms.boundfield import BoundField
from django.forms.renderers import DjangoTemplates
from django.utils.text import capfirst
from rest_framework import serializers
from rest_framework.utils.formatting import lazy_format

_SHOWN = 60
_PLAIN = "what is asked for"
_LIST = (forms.MultipleChoiceField, forms.ModelMultipleChoiceField)
# What a field wants, most particular class first.
_WANTS: tuple[tuple[type[forms.Field], str], ...] = (
    (forms.DateTimeField, "day and time such as 2026-03-31 14:30"),
    (forms.DateField, "a day such as 2026-03-31"),
    (forms.TimeField, "a time such as 14:30"),
    (forms.FloatField, "a number such as 12.5"),
    (forms.DecimalField, "a number such as 12.5"),
    (forms.IntegerField, "a whole number such as 4"),
    (forms.EmailField, "an address such as ines@studio.example"),
    (forms.URLField, "an address such as https://studio.example/"),
)
_WANTED_BY_A_ROW: tuple[tuple[type[models.Field], str], ...] = tuple(
    (getattr(models, kind.__name__), words) for kind, words in _WANTS
)
_WANTED_BY_THE_API: tuple[tuple[type[serializers.Field], str], ...] = (
    (serializers.BooleanField, "true or false"),
    (serializers.IntegerField, "a whole number such as 4, without quotation marks"),
    (serializers.FloatField, "a number such as 12.5"),
    (serializers.DecimalField, 'a decimal text such as "12.5"'),
    (serializers.DateTimeField, 'day and time such as "2026-03-31T14:30:00Z"'),
    (serializers.DateField, 'a day such as "2026-03-31"'),
    (serializers.CharField, "a text, in quotation marks"),
)


class _Plain(str):
    """Words without a place to fill: a % in them was typed, whoever formats them."""

    __slots__ = ()

    def __mod__(self, params: object) -> str:
        return str(self)


class NamedField(BoundField):
    """A field of a form that knows its name and what was typed before it is checked."""

    def __init__(self, form: forms.BaseForm, field: forms.Field, name: str) -> None:
        super().__init__(form, field, name)
        if form.is_bound:  # an empty form is drawn, not checked
            typed = None if isinstance(field, forms.FileField) else self.data
            _replace(field, _of_field(field, str(self.label), typed), "django.")


class Renderer(DjangoTemplates):
    """Django's own way to draw forms, with fields that name themselves where something is wrong."""

    bound_field_class = NamedField


def name_api_fields(fields: Mapping[str, serializers.Field], data: Any) -> None:
    """Let the fields of a request say their name and what was sent; called before they are checked."""
    for name, field in fields.items():
        sent = data.get(name) if isinstance(data, Mapping) else None
        _replace(field, _of_api_field(field, name, sent), "rest_framework.")
        child = getattr(field, "child", None)
        if child is not None and not isinstance(child, serializers.BaseSerializer):  # a serializer names its own
            _replace(child, _of_api_field(child, name, sent), "rest_framework.")


def name_model_fields(model: type[models.Model]) -> None:
    """Let the fields of a row say their name and what to do, where a service checks it; called once a process."""
    for field in model._meta.fields:
        _replace(field, _of_model_field(field), "django.")


def _head(label: str) -> str:
    label = label.strip().rstrip(":.")
    return label if label.endswith("?") else f"{label}:"


def _shown(value: Any) -> str:
    text = ", ".join(map(str, value)) if isinstance(value, list) else str(value).strip()
    return f"“{text[:_SHOWN]}{'…' if len(text) > _SHOWN else ''}”"


def _wants(field: Any, table: Iterable[tuple[type[Any], str]], otherwise: str) -> str:
    """A field of ours may say it itself, as `wanted`."""
    own = getattr(field, "wanted", "")
    return own or next((words for kind, words in table if isinstance(field, kind)), otherwise)


def _enter(wants: str) -> str:
    return "It is needed: fill it in." if wants == _PLAIN else f"Enter {wants}."


def _of_either(head: str) -> dict[str, str]:
    """What a form and a row say in the same words."""
    named = _percent(head)
    return {
        "invalid_choice": f"{named} “%(value).{_SHOWN}s” is none of the choices. Choose one of the list.",
        "min_value": f"{named} %(show_value)s is too small. Enter %(limit_value)s or more.",
        "max_value": f"{named} %(show_value)s is too large. Enter %(limit_value)s or less.",
        "null_characters_not_allowed": _Plain(f"{head} it holds a character that no keyboard types. Type it again."),
    }


def _of_field(field: forms.Field, label: str, typed: Any) -> dict[str, str]:
    head, wants = _head(label), _wants(field, _WANTS, _PLAIN)
    value = _shown(typed)
    # Where a figure is filled in later, a % of the label or of what was typed must not be taken for its place.
    named, said = _percent(head), _percent(value)
    if isinstance(field, _LIST):
        missing = "nothing is chosen. Choose at least one."
    elif isinstance(field, forms.ChoiceField):
        missing = "nothing is chosen. Choose one of the list."
    elif isinstance(field, forms.FileField):
        missing = "no file is chosen. Choose one."
    elif isinstance(field, forms.BooleanField):
        missing = "it is not ticked. Tick it to go on."
    else:
        missing = f"nothing is entered. {getattr(field, 'remedy', _enter(wants))}"
    if isinstance(field, forms.FileField):
        invalid = f"{head} no file came with the form. Choose one, then send it again."
        too_long = f"{named} the file's name has %(length)d characters. Shorten it to %(max)d."
    else:
        invalid = f"{head} {value} cannot be read. Enter {wants}."
        too_long = f"{named} {said} has %(show_value)d characters. Shorten it to %(limit_value)d."
    return _of_either(head) | {
        "required": _Plain(f"{head} {missing}"),
        "invalid": _Plain(invalid),
        "invalid_list": _Plain(f"{head} {value} is no list of choices. Tick them again."),
        "invalid_pk_value": f"{named} “%(pk)s” is none of the choices. Choose one of the list.",
        "incomplete": _Plain(f"{head} a part is missing. Fill in each part."),
        "missing": _Plain(f"{head} no file is chosen. Choose one."),
        "empty": _Plain(f"{head} the file is empty. Choose another."),
        "max_length": too_long,
        "min_length": f"{named} {said} has %(show_value)d characters. Enter at least %(limit_value)d.",
        "max_digits": f"{named} {said} has too many digits. Enter at most %(max)s.",
        "max_decimal_places": f"{named} {said} is too fine. Enter at most %(max)s decimal places.",
        "max_whole_digits": f"{named} {said} is too large. Enter at most %(max)s digits before the point.",
    }


def _of_model_field(field: models.Field) -> dict[str, str]:
    head, wants = _head(str(capfirst(field.verbose_name))), _wants(field, _WANTED_BY_A_ROW, _PLAIN)
    named, value = _percent(head), f"“%(value).{_SHOWN}s”"
    missing = f"{head} nothing is entered. {_enter(wants)}"
    unread = f"{named} {value} cannot be read. Enter {_percent(wants)}."
    if isinstance(field, models.ForeignKey):
        unread = f"{named} there is none with the number {value}. Choose one that is listed."
    return _of_either(head) | {
        "null": _Plain(missing),
        "blank": _Plain(missing),
        "invalid": unread,
        "invalid_date": unread,
        "invalid_time": unread,
        "invalid_datetime": unread,
        "max_length": f"{named} %(show_value)d characters are too many. Shorten it to %(limit_value)d.",
    }


def _of_api_field(field: serializers.Field, name: str, sent: Any) -> dict[str, str]:
    head, wants = f"{name}:", _wants(field, _WANTED_BY_THE_API, "what the description asks for")
    value = _braces(_shown(sent))
    asked = f"Send {wants}."
    characters = " characters" if isinstance(field, serializers.CharField) else ""
    return {
        "required": f"{head} it is missing. {asked}",
        "null": f"{head} null was sent. {asked}",
        "blank": f"{head} an empty text was sent. {asked}",
        "invalid": f"{head} {value} cannot be read. {asked}",
        "invalid_choice": f"{head} “{{input}}” is none of the choices. Send one of: {_braces(_choices(field))}.",
        "max_string_length": f"{head} the value is too long. {asked}",
        "overflow": f"{head} {value} is too large. {asked}",
        "datetime": f"{head} {value} has a time of day. {asked}",
        "date": f"{head} {value} has no time of day. {asked}",
        "make_aware": f"{head} {value} is no time on the studio's clock. {asked}",
        "not_a_list": f"{head} {value} is no list. Send a list, in square brackets.",
        "not_a_dict": f"{head} {value} is no object. Send one, in curly brackets.",
        "empty": f"{head} the list is empty. Send at least one.",
        "min_value": f"{head} {_percent(_shown(sent))} is too small. Send %(limit_value)s or more.",
        "max_value": f"{head} {_percent(_shown(sent))} is too large. Send %(limit_value)s or less.",
        "max_length": f"{head} %(show_value)d{characters} are too many. Send at most %(limit_value)d.",
        "min_length": f"{head} %(show_value)d{characters} are too few. Send at least %(limit_value)d.",
        "null_characters_not_allowed": f"{head} it holds a null character. Leave it out.",
    }


def _percent(text: str) -> str:
    return text.replace("%", "%%")


def _braces(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def _choices(field: serializers.Field) -> str:
    return ", ".join(str(one) for one in list(getattr(field, "choices", ()))[:30])


def _replace(field: Any, words: Mapping[str, str], library: str) -> None:
    """Put our words where the field has the library's own, in its messages and in its validators."""
    theirs: dict[str, str] = {}
    for one in reversed(type(field).__mro__):
        if one.__module__.startswith(library):
            theirs |= {code: str(text) for code, text in vars(one).get("default_error_messages", {}).items()}
    for code, text in theirs.items():
        if code in words and words[code] and str(field.error_messages.get(code)) == text:
            field.error_messages[code] = words[code]
    for check in getattr(field, "validators", ()):
        if isinstance(field, (forms.Field, models.Field)):
            # What a field says for a code goes before its validators' own words.
            for code in _codes(check):
                if code in words:
                    field.error_messages.setdefault(code, words[code])
        elif isinstance(check, validators.BaseValidator) and isinstance(check.message, lazy_format):
            check.message = words[check.code]


def _codes(check: Any) -> Iterable[str]:
    """The codes under which a validator speaks with the library's words."""
    if isinstance(check, validators.DecimalValidator):
        return ("max_digits", "max_decimal_places", "max_whole_digits")
    library = getattr(type(check), "message", None)
    return (check.code,) if library is not None and check.message is library else ()
