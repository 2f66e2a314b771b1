"""What the shelf is narrowed down to, where it stands, and how much of it there should be."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.models import Binder, Counting, LevelBasis, Place, ReorderLevel
from inventory.models.tube import exact
from inventory.queries.shelf import places
from studio.models import Studio


class ShelfFilter(forms.Form):
    """Narrow the shelf down. Every field may be left out; a value that is none of the choices shows everything."""

    q = forms.CharField(label="Name, pigment code or maker", max_length=100, required=False)
    place = forms.ModelChoiceField(Place.objects.none(), label="Place", required=False, empty_label="Everywhere")
    owner = forms.ChoiceField(
        label="Whose",
        required=False,
        choices=[
            ("", "Everybody's"),
            ("studio", "The studio's"),
            ("mine", "Mine"),
            ("member", "Members'"),
            ("class", "Classes'"),
        ],
    )
    binder = forms.ChoiceField(label="Binder", required=False, choices=[("", "Any"), *Binder.choices])
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[("", "In use"), ("sealed", "Sealed"), ("open", "Open"), ("empty", "Finished"), ("all", "All")],
    )
    doubt = forms.ChoiceField(
        label="Doubts",
        required=False,
        choices=[("", "With and without"), ("pigments", "Pigments not known"), ("question", "A question is open")],
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place = self.fields["place"]
        assert isinstance(place, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        place.queryset = places(studio)

    def chosen(self) -> dict[str, Any]:
        """As the query takes it."""
        self.is_valid()
        place = self.cleaned_data.get("place")
        kept = {name: self.cleaned_data.get(name, "") for name in ("owner", "binder", "state", "doubt")}
        return {"search": self.cleaned_data.get("q", ""), "place": place.pk if place else None, **kept}


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
        help_text="Only the studio's own tubes count, not what a member or a class brought.",
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
