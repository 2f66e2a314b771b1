"""What somebody says of the house: its rules, its groups, its rooms."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import QuerySet

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.models import Group, Item, Place, Room
from inventory.models.tube import exact
from safety.models import HouseRule, InspectionSubject, Reach, RoomFacts, RuleKind
from safety.rules.house import FURTHER_INTERVALS, TOPICS, metals_known
from safety.rules.levels import LEVELS, SETTABLE
from safety.services.house import FORMS, ROOM_WORDS, WITH_GROUPS, WITH_REACH, RuleInput
from studio.models import Studio

_TYPED = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}

_VALUES: dict[str, tuple[str, str]] = {
    Reach.SEAL: ("Seals", "The letters as the label prints them, such as CL. Several: with ; between."),
    Reach.NO_SEAL: (
        "Seals that it must carry",
        "The letters as the label prints them, such as AP. Several: any of them will do.",
    ),
    Reach.CODE: (
        "Hazard statements",
        "As sheets print them, such as H317; H334. H360 reaches H360D and H360FD too.",
    ),
    Reach.METAL: ("Metals", f"By name or symbol: {metals_known()}."),
    Reach.PIGMENT: ("Pigment codes", "As labels print them, such as PR108. PB15 reaches PB15:1 to PB15:6 too."),
}

_ROOM_LABELS = {
    "volume_m3": "Volume in m³",
    "fresh_air_m3": "Fresh air in m³ an hour",
}


class RuleForm(forms.Form):
    """Asks only what a rule of this kind, going by this, needs. Nothing in it is filled in as if it were law."""

    text = forms.CharField(
        label="The rule, in your house's own words",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="As people are to read it. It is printed as you write it.",
        error_messages={"required": "Write the rule in your house's own words, as it is to be printed."},
    )
    on_whose_word = forms.CharField(
        label="On whose word",
        max_length=160,
        help_text="Who decided it, and how you know: the safety office, by letter of 2 March.",
        error_messages={"required": "Say on whose word it holds, such as: the safety office, by letter of 2 March."},
    )
    set_on = forms.DateField(
        label="Decided on",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text="The day on which it was decided, not the day on which you type it.",
        error_messages={
            "invalid": "Write the date as 2026-03-31: year, month, day.",
            "required": "Enter the day on which it was decided.",
        },
    )

    def __init__(self, *args: Any, studio: Studio, kind: str, reach: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio, self.kind, self.reach = studio, kind, reach
        asked: dict[str, forms.Field] = {}
        if kind == RuleKind.INTERVAL:
            asked |= {"subject": _interval_subject(), "days": _days()}
        elif kind == RuleKind.LIMIT:
            asked |= {
                "subject": forms.CharField(label="Of what", max_length=60, help_text="Such as: white spirit."),
                "amount": AmountField(label="At most", help_text="An amount with its unit, such as 5 l."),
            }
        elif kind == RuleKind.FIELD:
            asked |= {
                "subject": forms.CharField(
                    label="What stands there",
                    max_length=60,
                    help_text="With what it stands on, such as: waste tag: start date; waste tag: telephone; "
                    "jar label: whose.",
                ),
                "demanded": _demanded(),
            }
        elif kind == RuleKind.WORDING:
            asked["subject"] = forms.ChoiceField(
                label="About", choices=[(topic, topic.capitalize()) for topic in TOPICS], help_text=_TOPIC_HELP
            )
        elif kind == RuleKind.LEVEL:
            choices = [(level.word, level.word.capitalize()) for level in SETTABLE]
            asked["level"] = forms.ChoiceField(label="Handling level", choices=choices)
        if kind in WITH_REACH:
            asked |= self._values()
        if kind in WITH_GROUPS:
            asked["groups"] = self._groups()
        asked["room"] = self._room()
        self.fields = asked | self.fields
        self.order_fields(["text", *asked, "on_whose_word", "set_on"])

    def _values(self) -> dict[str, forms.Field]:
        if self.reach in (Reach.FORM, Reach.LEVEL):
            words = FORMS if self.reach == Reach.FORM else [level.word for level in LEVELS]
            choices = [(word, word.capitalize()) for word in words]
            label = "Forms" if self.reach == Reach.FORM else "Handling levels"
            widget = forms.CheckboxSelectMultiple
            return {"values": forms.MultipleChoiceField(label=label, choices=choices, widget=widget)}
        if self.reach == Reach.ITEM:
            items = Item.objects.of(self.studio).kept().order_by("sort_name", "pk")
            return {
                "values": forms.ModelChoiceField(
                    items,
                    label="Paint or material",
                    error_messages={"invalid_choice": "That is not on this studio's list: choose among those shown."},
                )
            }
        if self.reach in _VALUES:
            label, help_text = _VALUES[self.reach]
            typed = forms.TextInput(attrs=_TYPED)
            return {"values": forms.CharField(label=label, max_length=300, help_text=help_text, widget=typed)}
        return {}

    def _groups(self) -> forms.Field:
        return forms.ModelMultipleChoiceField(
            groups_of(self.studio),
            label="For whom",
            required=False,
            widget=forms.CheckboxSelectMultiple,
            help_text="None ticked: it holds for everybody.",
            error_messages={
                "invalid_choice": "“%(value)s” is not a group of this studio: choose among those shown.",
                "invalid_pk_value": "“%(pk)s” is not a group of this studio: choose among those shown.",
            },
        )

    def _room(self) -> forms.Field:
        return forms.ModelChoiceField(
            rooms_of(self.studio),
            label="Where",
            required=False,
            empty_label="Everywhere",
            error_messages={"invalid_choice": "That is not a room of this studio: choose among those shown."},
        )

    def given(self) -> RuleInput:
        """As the services take it."""
        said = dict(self.cleaned_data)
        amount = said.pop("amount", None)
        values = said.pop("values", "")
        demanded = said.pop("demanded", "")
        return RuleInput(
            kind=self.kind,
            reach=self.reach,
            values=[str(values.pk)] if isinstance(values, Item) else values,
            amount_milli=amount.milli if amount else None,
            unit=amount.unit if amount else "",
            demanded={"must": True, "must not": False}.get(demanded),
            **said,
        )

    def take(self, error: ValidationError) -> None:
        """Show what the service refused, at the field where it was typed."""
        for name, errors in error.error_dict.items():
            for one in errors:
                self.add_error(name if name in self.fields else None, one)


_TOPIC_HELP = "The words stand on every notice, after the cautions on the same subject."


def _interval_subject() -> forms.Field:
    choices = [(str(value), str(label)) for value, label in InspectionSubject.choices if value != "other"]
    further = list(FURTHER_INTERVALS.items())
    return forms.ChoiceField(label="What is looked at", choices=[("", "Choose"), *choices, *further])


def _days() -> forms.Field:
    return WholeNumberField(label="At least every how many days", help_text="A whole number, as it was decided.")


def _demanded() -> forms.Field:
    return forms.ChoiceField(
        label="On labels and tags it",
        choices=[("must", "must stand there"), ("must not", "must not stand there")],
        widget=forms.RadioSelect,
    )


def groups_of(studio: Studio) -> "QuerySet[Group]":
    return Group.objects.filter(studio=studio, removed_at=None)


def rooms_of(studio: Studio) -> "QuerySet[Room]":
    return Room.objects.filter(studio=studio, removed_at=None)


def initial_of(rule: HouseRule) -> dict[str, Any]:
    """A rule as its form shows it, for the one that replaces it; the date and the word are asked anew."""
    listed = rule.reach in (Reach.FORM, Reach.LEVEL)
    one = rule.reach == Reach.ITEM and rule.values
    return {
        "text": rule.text,
        "values": rule.values if listed else rule.values[0] if one else "; ".join(map(str, rule.values)),
        "groups": [group.pk for group in rule.groups.all()],
        "subject": rule.subject,
        "days": rule.days,
        "amount": exact(rule.amount_milli, rule.unit) if rule.amount_milli else "",
        "demanded": {True: "must", False: "must not"}.get(rule.demanded) if rule.demanded is not None else "",
        "level": rule.level,
        "room": rule.room_id,
    }


class GroupForm(forms.Form):
    name = forms.CharField(
        label="Name", max_length=80, help_text="As the house calls them, such as: children under 13."
    )
    children = forms.BooleanField(
        label="They are children",
        required=False,
        help_text="What is not known is kept from children, whatever the house rules say.",
    )
    note = forms.CharField(label="Note", max_length=200, required=False)


class RoomForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80, help_text="As people call it, such as Painting room.")


class PlacesField(forms.ModelMultipleChoiceField):
    """Places, with the other room in which one is now."""

    room: Room | None = None

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj} (now in {obj.room})" if obj.room and obj.room != self.room else str(obj)


class RoomPlacesForm(forms.Form):
    places = PlacesField(
        Place.objects.none(),
        label="Places in this room",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": "“%(value)s” is not a place of this studio: choose among those shown.",
            "invalid_pk_value": "“%(pk)s” is not a place of this studio: choose among those shown.",
        },
    )

    def __init__(self, *args: Any, room: Room, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["places"]
        assert isinstance(field, PlacesField)  # noqa: S101  # for the type checker
        places = Place.objects.filter(studio=room.studio_id, removed_at=None).select_related("room")
        field.queryset = places
        field.room = room
        field.initial = [place.pk for place in places if place.room_id == room.pk]


class RoomFactsForm(forms.Form):
    """The house's own facts of a room; whatever stays empty is shown as not written down."""

    volume_m3 = forms.DecimalField(
        label=_ROOM_LABELS["volume_m3"],
        required=False,
        help_text="Length by width by height, measured. Used where the air of the room is reckoned with.",
        error_messages={"invalid": "Volume: enter a number such as 84 or 84.5."},
    )
    fresh_air_m3 = forms.DecimalField(
        label=_ROOM_LABELS["fresh_air_m3"],
        required=False,
        help_text="As it was measured, or as the papers of the extraction say. Leave it empty when nobody measured.",
        error_messages={"invalid": "Fresh air: enter a number such as 250."},
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, facts: RoomFacts | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("initial", _room_initial(facts))
        super().__init__(*args, **kwargs)
        words: dict[str, forms.Field] = {}
        for name in ROOM_WORDS:
            described = RoomFacts._meta.get_field(name)
            assert isinstance(described, models.CharField)  # noqa: S101  # for the type checker
            label = str(described.verbose_name)
            words[name] = forms.CharField(
                label=label[:1].upper() + label[1:], required=False, max_length=described.max_length
            )
        self.fields = words | self.fields

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, label in _ROOM_LABELS.items():
            figure = cleaned.get(name)
            if figure is not None and not 0 < figure <= 1_000_000:
                message = f"{label}: {figure} cannot be: enter what was measured, above 0, or leave it empty."
                self.add_error(name, ValidationError(message, code=name))
        return cleaned

    def given(self) -> dict[str, Any]:
        """As the service takes it."""
        said: dict[str, Any] = {name: self.cleaned_data[name] for name in (*ROOM_WORDS, "seen")}
        said["volume_litres"] = _litres(self.cleaned_data["volume_m3"])
        said["fresh_air_litres_hour"] = _litres(self.cleaned_data["fresh_air_m3"])
        return said

    @property
    def emptied(self) -> list[str]:
        """What was written down and is no longer."""
        return [str(self[name].label) for name in self.changed_data if not self.cleaned_data[name]]

    def take(self, error: ValidationError) -> None:
        names = {"volume_litres": "volume_m3", "fresh_air_litres_hour": "fresh_air_m3", "seen": None}
        for name, errors in error.error_dict.items():
            for one in errors:
                self.add_error(names.get(name, name if name in self.fields else None), one)


def _litres(cubic_metres: Decimal | None) -> int | None:
    return None if cubic_metres is None else round(cubic_metres * 1000)


def _room_initial(facts: RoomFacts | None) -> dict[str, Any]:
    if facts is None:
        return {}
    figures = {"volume_m3": facts.volume_litres, "fresh_air_m3": facts.fresh_air_litres_hour}
    typed = {name: f"{Decimal(figure) / 1000:f}" for name, figure in figures.items() if figure is not None}
    return {name: getattr(facts, name) for name in (*ROOM_WORDS, "seen")} | typed
