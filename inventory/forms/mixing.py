"""What is asked of mixtures, wanted colours, layers and strengths: forms sent by address, so that it can be shared."""

import math
import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from inventory.forms.colours import ILLUMINANTS, OBSERVERS
from inventory.labels.doubts import shown
from inventory.labels.money import read_money
from inventory.measuring.colours import Notation
from inventory.models import Group
from inventory.queries.layers import Under
from inventory.queries.mix import MOST, MOST_PARTS
from inventory.queries.mixable import Bench, Mixable
from inventory.queries.wheel import binder_label
from studio.models import Studio

_LINE = re.compile(r"paint_(\d{1,2})")
_PK = re.compile(r"\d{1,9}")


class PaintField(forms.CharField):
    """The number of a paint, chosen from a list; whether it is there is for the bench to say."""

    def __init__(self, label: str, **kwargs: Any) -> None:
        super().__init__(label=label, widget=forms.Select(), **kwargs)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        if not _PK.fullmatch(text):
            raise ValidationError(f"{self.label}: {shown(text)} is no paint. Choose one of the list.", code="paint")
        return int(text)


class PartsField(forms.CharField):
    """Parts of a paint; left empty they are 1."""

    def clean(self, value: Any) -> float:
        text = super().clean(value)
        if not text:
            return 1.0
        remedy = f"Enter 0 to {MOST_PARTS:g}, such as 2 or 0.5."
        try:
            parts = float(text.replace(",", "."))
        except ValueError:
            parts = math.nan
        if not math.isfinite(parts):
            raise ValidationError(f"{self.label}: {shown(text)} is no number of parts. {remedy}", code="parts")
        if not 0.0 <= parts <= MOST_PARTS:
            raise ValidationError(f"{self.label}: {shown(text)} is out of range. {remedy}", code="parts")
        return parts


class MixForm(forms.Form):
    """Up to four lines of a paint and its parts."""

    binder = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(self, data: QueryDict | None, ones: Iterable[Mixable]) -> None:
        super().__init__(data)
        choices = paint_choices(ones)
        for number in range(1, max([MOST, *lines(data or {})]) + 1):
            paint = PaintField(f"Paint {number}", required=False)
            paint.widget.choices = choices
            self.fields[f"paint_{number}"] = paint
            widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "placeholder": 1})
            parts = PartsField(label=f"Parts of paint {number}", required=False, max_length=20, widget=widget)
            self.fields[f"parts_{number}"] = parts

    def pairs(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The lines to show."""
        return [(self[f"paint_{number}"], self[f"parts_{number}"]) for number in range(1, MOST + 1)]

    def given(self) -> list[tuple[int, float]]:
        """What is chosen, as the bench takes it."""
        numbers = (int(name.removeprefix("paint_")) for name in self.fields if name.startswith("paint_"))
        data = self.cleaned_data
        return [(data[f"paint_{n}"], data[f"parts_{n}"]) for n in numbers if data[f"paint_{n}"] is not None]


class WantedForm(forms.Form):
    """A colour as it is written, with what must stand beside L*, a*, b*."""

    binder = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)
    text = forms.CharField(
        label="Wanted colour",
        max_length=120,
        help_text="L*, a*, b* such as 32.1, 14.2, -41.7; Munsell such as 7.5PB 3/10; or a screen colour such as "
        "#2a3f8c, which stays rough.",
        error_messages={"required": "No colour is given: enter one, such as 7.5PB 3/10."},
    )
    illuminant = forms.ChoiceField(
        label="Illuminant of L*, a*, b*",
        required=False,
        choices=ILLUMINANTS,
        help_text="As it stands beside the figures. Munsell notation and screen colours have their own.",
    )
    observer = forms.ChoiceField(label="Observer of L*, a*, b*", required=False, choices=OBSERVERS)
    notation = forms.ChoiceField(
        label="Notation",
        required=False,
        choices=[("", "As it is written"), *((one.value, one.value) for one in Notation)],
    )


class LayersForm(forms.Form):
    """A paint and what lies under it."""

    paint = PaintField("Paint", error_messages={"required": "No paint is chosen: choose one of the list."})
    under = forms.ChoiceField(
        label="Over",
        required=False,
        choices=[
            (Under.BLACK.value, "black"),
            (Under.WHITE.value, "a white card"),
            (Under.PAINT.value, "another paint, dry and hiding"),
            (Under.COLOUR.value, "a ground of any colour"),
        ],
    )
    ground = PaintField("The dry paint", required=False)
    text = forms.CharField(label="The ground’s colour", max_length=120, required=False)
    illuminant = forms.ChoiceField(label="Illuminant of L*, a*, b*", required=False, choices=ILLUMINANTS)
    observer = forms.ChoiceField(label="Observer of L*, a*, b*", required=False, choices=OBSERVERS)

    def __init__(self, data: QueryDict | None, bench: Bench) -> None:
        super().__init__(data)
        choices = by_binder(bench)
        for name in ("paint", "ground"):
            self.fields[name].widget.choices = choices


class StrengthForm(forms.Form):
    binder = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)
    standard = PaintField("Compared with", required=False)

    def __init__(self, data: QueryDict | None, ones: Iterable[Mixable]) -> None:
        super().__init__(data)
        self.fields["standard"].widget.choices = paint_choices(ones, "The strongest")


def lines(data: Iterable[str]) -> list[int]:
    """The numbers of the lines that an address has."""
    return [int(found[1]) for name in data if (found := _LINE.fullmatch(name))]


class NextTubeForm(forms.Form):
    """For whom the next tube must be allowed, and what it may cost."""

    group = forms.ModelChoiceField(
        Group.objects.none(),
        label="For",
        required=False,
        empty_label="Everybody",
        help_text="What the house rules forbid this group is not proposed.",
        error_messages={"invalid_choice": "For: “%(value)s” is no group of this studio. Choose one of the list."},
    )
    price = forms.CharField(
        label="Price of a pack, at most",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def __init__(self, data: QueryDict, studio: Studio) -> None:
        super().__init__(data)
        self.currency = studio.currency
        field = self.fields["group"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = Group.objects.filter(studio=studio, removed_at=None)
        self.fields["price"].help_text = f"In {studio.currency}. Pigments without an offer here are left out."

    def clean_price(self) -> int | None:
        """The price in the smallest coin; None where none is given."""
        text = self.cleaned_data["price"].strip()
        if not text:
            return None
        found = read_money(text, currency=self.currency)
        if found.minor is None or not found.is_settled:
            why = " ".join(doubt.message for doubt in found.doubts) or f"{shown(text)} is no price."
            raise ValidationError(f"Price: {why} Enter an amount in {self.currency}, such as 12.50.", code="price")
        if found.minor <= 0:
            raise ValidationError(f"Price: {shown(text)} is not above 0. Enter an amount such as 12.50.", code="price")
        if found.currency != self.currency:
            raise ValidationError(
                f"Price: {shown(text)} is in {found.currency}, and offers are compared in {self.currency} alone. "
                f"Enter an amount in {self.currency}.",
                code="price",
            )
        return found.minor


def numbers_in(data: QueryDict) -> set[int]:
    """The numbers of all paints that an address names."""
    named = [name for name in data if _LINE.fullmatch(name) or name in ("paint", "ground")]
    return {int(text) for name in named for text in data.getlist(name) if _PK.fullmatch(text)}


def paint_choices(ones: Iterable[Mixable], empty: str = "Choose") -> list[tuple[str, str]]:
    return [("", empty), *((str(one.pk), named(one)) for one in ones)]


def by_binder(bench: Bench) -> list[tuple[str, Any]]:
    """All paints to choose from, under their binders."""
    groups = [(binder_label(binder), paint_choices(bench.of(binder))[1:]) for binder in bench.binders]
    return [("", "Choose"), *groups]


def named(one: Mixable) -> str:
    """A paint in a list: its name and codes, and why it may not be mixed."""
    codes = " + ".join(line.code for line in one.paint.pigment_lines.all())
    words = f"{one.paint.name}, {codes}" if codes else one.paint.name
    if one.sure is None:
        words += " (colour not known)" if one.alone is None else " (known only alone)"
    return words if one.in_stock else f"{words} (nothing usable in stock)"
