"""What the shelf is narrowed down to, where it stands, and how much of it there should be."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import cached_property

from inventory import handling
from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.labels.folding import code_of
from inventory.models import Binder, Counting, LevelBasis, Place, ReorderLevel
from inventory.models.tube import exact
from inventory.queries.shelf import places
from studio.models import Studio

LONGEST_SEARCH = 100
OWNERS = (
    ("", "Everybody's"),
    ("studio", "The studio's"),
    ("mine", "Mine"),
    ("member", "Members'"),
    ("class", "Classes'"),
)


class ShelfFilter(forms.Form):
    """Narrow the shelf down. Every field may be left out; what is none of the choices narrows nothing and is told."""

    q = forms.CharField(
        label="Name, pigment code or maker",
        max_length=LONGEST_SEARCH,
        required=False,
        error_messages={
            "max_length": "Name, pigment code or maker: the text has %(show_value)d letters and at most "
            "%(limit_value)d are looked for: shorten it.",
            "null_characters_not_allowed": "Name, pigment code or maker: the text has a sign that cannot be looked "
            "for: type it again.",
        },
    )
    place = forms.ModelChoiceField(
        Place.objects.none(),
        label="Place",
        required=False,
        empty_label="Everywhere",
        error_messages={"invalid_choice": "Place: there is no such place here any more: choose another."},
    )
    owner = forms.ChoiceField(label="Whose", required=False)
    binder = forms.ChoiceField(label="Binder", required=False, choices=[("", "Any"), *Binder.choices])
    pigment = forms.CharField(
        label="Pigment", max_length=20, required=False, widget=forms.TextInput(attrs={"placeholder": "Such as PB29"})
    )
    level = forms.ChoiceField(label="Handling level", required=False)
    opened_before = forms.DateField(
        label="Opened before", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    received_before = forms.DateField(
        label="Received before", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[("", "In use"), ("sealed", "Sealed"), ("open", "Open"), ("empty", "Finished"), ("all", "All")],
    )
    doubt = forms.ChoiceField(
        label="Doubts",
        required=False,
        choices=[
            ("", "With and without"),
            ("pigments", "Pigments not known"),
            ("question", "A question is open"),
            ("unusable", "Cannot be used"),
        ],
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio = studio
        place, owner, level = self.fields["place"], self.fields["owner"], self.fields["level"]
        assert isinstance(place, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        assert isinstance(owner, forms.ChoiceField)  # noqa: S101  # for the type checker
        assert isinstance(level, forms.ChoiceField)  # noqa: S101  # for the type checker
        place.queryset = places(studio)
        # The people are fetched when they are wanted.
        owner.choices = lambda: self._owners
        words = handling.words()
        if words:
            level.choices = [("", "Any"), *((word, word.capitalize()) for word in words)]
        else:
            del self.fields["level"]

    @cached_property
    def _owners(self) -> list[tuple[str, str]]:
        # All members: to ask which of them own a tube costs more than the page.
        people = self.studio.members.order_by("username")
        return [*OWNERS, *((f"member-{person.pk}", f"{person}'s") for person in people)]

    def clean_pigment(self) -> str:
        """The code as standards write it, however it was typed."""
        typed = self.cleaned_data["pigment"]
        if not typed:
            return ""
        code = code_of(typed)
        if code is None:
            raise ValidationError(f"Pigment: “{typed}” is no pigment code such as PB29: type one code.")
        return code

    @property
    def wrong(self) -> list[str]:
        """What narrows nothing, each with the remedy; empty where all is well."""
        return [" ".join(map(str, errors)) for errors in self.errors.values()]

    def chosen(self) -> dict[str, Any]:
        """As the query takes it."""
        self.is_valid()
        place = self.cleaned_data.get("place")
        texts = {name: self.cleaned_data.get(name) or "" for name in ("owner", "binder", "state", "doubt", "pigment")}
        days = {name: self.cleaned_data.get(name) for name in ("opened_before", "received_before")}
        return {"search": self.cleaned_data.get("q", ""), "place": place.pk if place else None, **texts, **days}

    @property
    def narrows(self) -> bool:
        return any(self.data.get(name) for name in self.fields)

    @property
    def level_chosen(self) -> str:
        return str(self.cleaned_data.get("level") or "")


class PlaceForm(forms.Form):
    name = forms.CharField(label="Name", max_length=80, help_text="As people call it, such as Sink shelf.")
    notes = forms.CharField(label="Note", max_length=200, required=False)


class LevelForm(forms.Form):
    basis = forms.ChoiceField(
        label="Counted in",
        choices=[(LevelBasis.TUBES, "Whole tubes"), (LevelBasis.AMOUNT, "ml or g")],
        initial=LevelBasis.TUBES,
        widget=forms.RadioSelect,
    )
    level = forms.CharField(
        label="Level", max_length=40, help_text="A whole number of tubes such as 2, or an amount such as 150 ml."
    )
    counting = forms.ChoiceField(
        label="What counts",
        choices=Counting.choices,
        initial=Counting.SEALED,
        widget=forms.RadioSelect,
        help_text="Only usable tubes count: the studio's own, and what a member or a class shares with it.",
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    @classmethod
    def of(cls, level: ReorderLevel | None) -> "LevelForm":
        if level is None:
            return cls()
        in_tubes = level.basis == LevelBasis.TUBES
        return cls(
            initial={
                "basis": level.basis,
                "level": str(level.level_tubes) if in_tubes else exact(level.level_milli, level.unit),
                "counting": level.counting,
                "note": level.note,
            }
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if {"basis", "level"} <= cleaned.keys():
            try:
                cleaned |= self._level(cleaned["basis"], cleaned["level"])
            except ValidationError as error:
                self.add_error("level", error)
        return cleaned

    def _level(self, basis: str, text: str) -> dict[str, Any]:
        if basis == LevelBasis.TUBES:
            tubes = WholeNumberField(label="Level").clean(text)
            if not tubes:
                raise ValidationError("Level: enter a number above 0, or take the level away.")
            if tubes > 10_000:
                raise ValidationError(f"Level: {tubes} tubes is more than any studio keeps: check the figure.")
            return {"level_tubes": tubes}
        amount = AmountField(label="Level").clean(text)
        if amount is None or not amount.milli:
            raise ValidationError("Level: enter an amount above 0, or take the level away.")
        return {"level_milli": amount.milli, "unit": amount.unit}

    def fields_of_level(self) -> dict[str, Any]:
        """As the service takes them."""
        names = ("basis", "level_tubes", "level_milli", "unit", "counting", "note")
        return {name: self.cleaned_data[name] for name in names if name in self.cleaned_data}
