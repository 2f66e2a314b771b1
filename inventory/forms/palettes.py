"""What is asked of a palette: the designer's question, sent by address, and a palette's name."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from inventory.colour.designer import MOST_TUBES
from inventory.colour.temperature import Tag
from inventory.labels.doubts import shown
from inventory.labels.money import read_money
from inventory.models import Group, Palette
from inventory.queries.palettes.analysis import MOST_A_HEAD_MILLI, MOST_PEOPLE, USUAL_A_HEAD_MILLI
from inventory.queries.palettes.design import Asked
from inventory.queries.wheel import binder_options
from studio.models import Studio

USUAL_SIZE, USUAL_PEOPLE = 6, 12
KINDS: tuple[tuple[str, str], ...] = (
    (Tag.WHITE, "a white"),
    (Tag.YELLOW, "a yellow"),
    (Tag.WARM_YELLOW, "a warm yellow, leaning to orange"),
    (Tag.COOL_YELLOW, "a cool yellow, leaning to green"),
    (Tag.RED, "a red"),
    (Tag.WARM_RED, "a warm red, leaning to orange"),
    (Tag.COOL_RED, "a cool red, leaning to violet"),
    (Tag.BLUE, "a blue"),
    (Tag.GREEN_BLUE, "a blue leaning to green"),
    (Tag.VIOLET_BLUE, "a blue leaning to violet"),
    (Tag.EARTH, "an earth"),
    (Tag.DARK, "a dark"),
)


class CountField(forms.CharField):
    """A whole number in words that name the field, the value and the remedy."""

    def __init__(self, label: str, *, least: int, most: int, usual: int, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label=label, required=False, max_length=20, widget=widget, **kwargs)
        self.least, self.most, self.usual = least, most, usual

    def clean(self, value: Any) -> int:
        text = super().clean(value).strip()
        if not text:
            return self.usual
        remedy = f"Enter a whole number from {self.least} to {self.most}, such as {self.usual}."
        if not re.fullmatch(r"[0-9]{1,9}", text):
            raise ValidationError(f"{self.label}: {shown(text)} is no whole number. {remedy}", code="count")
        if not self.least <= int(text) <= self.most:
            raise ValidationError(f"{self.label}: {text} is out of range. {remedy}", code="count")
        return int(text)


class DesignForm(forms.Form):
    """How many tubes, of which kinds, for whom, for how much."""

    size = CountField("Tubes", least=1, most=MOST_TUBES, usual=USUAL_SIZE)
    binder = forms.ChoiceField(
        label="Binder",
        required=False,
        error_messages={"invalid_choice": "Binder: “%(value)s” is no binder. Choose one of the list."},
    )
    group = forms.ModelChoiceField(
        Group.objects.none(),
        label="For",
        required=False,
        empty_label="Everybody",
        help_text="What the house rules forbid this group is kept out.",
        error_messages={"invalid_choice": "For: “%(value)s” is no group of this studio. Choose one of the list."},
    )
    people = CountField("People", least=1, most=MOST_PEOPLE, usual=USUAL_PEOPLE)
    kinds = forms.MultipleChoiceField(
        label="With at least",
        required=False,
        choices=KINDS,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "With at least: “%(value)s” is no kind of tube. Tick one of the list."},
    )
    transparent = CountField("Transparent, at least", least=0, most=MOST_TUBES, usual=0)
    lasting = forms.BooleanField(label="Nothing that is known to fade", required=False)
    to_buy = forms.BooleanField(label="Also what can be bought (pigments with a price here)", required=False)
    budget = forms.CharField(
        label="Budget for one pack of each",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    a_head = forms.CharField(
        label="Paint a head, ml of each tube",
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def __init__(self, data: QueryDict | None, studio: Studio) -> None:
        initial = {
            "size": USUAL_SIZE,
            "people": USUAL_PEOPLE,
            "kinds": [Tag.WHITE.value],
            "lasting": True,
            "a_head": 10,
        }
        super().__init__(data, initial=initial)
        self.currency = studio.currency
        groups, binder = self.fields["group"], self.fields["binder"]
        assert isinstance(groups, forms.ModelChoiceField) and isinstance(binder, forms.ChoiceField)  # noqa: S101, PT018
        groups.queryset = Group.objects.filter(studio=studio, removed_at=None)
        binder.choices = [("", "The one with most paints"), *binder_options()]
        self.fields["budget"].help_text = f"In {studio.currency}. Tubes without a price here are then left out."

    def clean_budget(self) -> int | None:
        """The budget in the smallest coin; None where none is given."""
        text = self.cleaned_data["budget"].strip()
        if not text:
            return None
        found = read_money(text, currency=self.currency)
        remedy = f"Enter an amount in {self.currency}, such as 60."
        if found.minor is None or not found.is_settled:
            why = " ".join(doubt.message for doubt in found.doubts) or f"{shown(text)} is no amount."
            raise ValidationError(f"Budget: {why} {remedy}", code="budget")
        if found.currency != self.currency:
            raise ValidationError(f"Budget: {shown(text)} is in {found.currency}. {remedy}", code="budget")
        if found.minor <= 0:
            raise ValidationError(f"Budget: {shown(text)} is not above 0. {remedy}", code="budget")
        return found.minor

    def clean_a_head(self) -> int:
        """Thousandths of a ml."""
        return read_a_head(self.cleaned_data["a_head"])

    def asked(self) -> Asked:
        data = self.cleaned_data
        return Asked(
            size=data["size"],
            binder=data["binder"],
            tags=tuple(Tag(value) for value in data["kinds"]),
            transparent=data["transparent"],
            lasting=data["lasting"],
            group=data["group"],
            budget_minor=data["budget"],
            to_buy=data["to_buy"],
            people=data["people"],
            a_head_milli=data["a_head"],
        )


class PaletteForm(forms.Form):
    """A palette's name, for whom it is, and a note."""

    name = forms.CharField(
        label="Name",
        max_length=120,
        error_messages={
            "required": "A palette needs a name, such as: six for the evening class.",
            "max_length": "Name: it has %(show_value)d signs, and %(limit_value)d are the most. Shorten it.",
        },
    )
    group = forms.ModelChoiceField(
        Group.objects.none(),
        label="For",
        required=False,
        empty_label="Everybody",
        error_messages={"invalid_choice": "For: “%(value)s” is no group of this studio. Choose one of the list."},
    )
    note = forms.CharField(
        label="Note",
        max_length=300,
        required=False,
        error_messages={
            "max_length": "Note: it has %(show_value)d signs, and %(limit_value)d are the most. Shorten it."
        },
    )

    def __init__(self, data: QueryDict | None, studio: Studio, palette: Palette | None = None, **initial: Any) -> None:
        if palette is not None:
            initial = {"name": palette.name, "group": palette.group, "note": palette.note, **initial}
        super().__init__(data, initial=initial)
        groups = self.fields["group"]
        assert isinstance(groups, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        groups.queryset = Group.objects.filter(studio=studio, removed_at=None)


def read_a_head(text: str) -> int:
    """Thousandths of a ml of what was typed; the usual amount where nothing was."""
    typed = text.strip().removesuffix("ml").strip()
    if not typed:
        return USUAL_A_HEAD_MILLI
    remedy = f"Enter ml above 0, {MOST_A_HEAD_MILLI // 1000} at most, such as 10."
    if not re.fullmatch(r"[0-9]{1,6}([.,][0-9]{1,3})?", typed):
        raise ValidationError(f"Paint a head: {shown(text)} is no amount in ml. {remedy}", code="a_head")
    whole, _, rest = typed.replace(",", ".").partition(".")
    milli = int(whole) * 1000 + int(rest.ljust(3, "0") or 0)
    if not 0 < milli <= MOST_A_HEAD_MILLI:
        raise ValidationError(f"Paint a head: {shown(text)} is out of range. {remedy}", code="a_head")
    return milli
