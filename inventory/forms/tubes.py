"""What somebody types about one tube."""

import secrets
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.models import Entry, EntryKind, OwnerKind, Place, Tube, Unit
from inventory.models.tube import exact
from inventory.queries.shelf import places
from studio.models import Studio, User


def new_key() -> str:
    """What makes one tap one entry, however often the browser sends it."""
    return secrets.token_urlsafe(16)


class KeyForm(forms.Form):
    """Every form that writes an entry carries a key of its own."""

    key = forms.CharField(max_length=60, min_length=16, widget=forms.HiddenInput)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", new_key())
        self.fields["key"].error_messages = {
            "required": "The form came without its key: reload the page and send it again.",
            "min_length": "The form's key was cut short: reload the page and send it again.",
        }

    def refuse(self, error: ValidationError) -> None:
        """Show what a service refused, beside the field it names or above the form; the next try gets a new key."""
        for field, errors in error.error_dict.items():
            seen = field in self.fields and not self.fields[field].widget.is_hidden
            if field == "key":
                errors = [ValidationError("This page was used for another entry already: look below, then send again.")]
            self.add_error(field if seen else None, ValidationError(errors))
        self.data = {**self.data.dict(), "key": new_key()}  # type: ignore[attr-defined]  # the data of a request


class TubeForm(KeyForm):
    """A deed that is done to one tube."""

    def __init__(self, *args: Any, tube: Tube, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tube = tube
        self.prepare()

    def prepare(self) -> None:
        """Fit the fields to the tube."""

    def fit(self, name: str) -> None:
        field = self.fields[name]
        assert isinstance(field, AmountField)  # noqa: S101  # for the type checker
        field.unit, field.size_milli = self.tube.unit, self.tube.nominal_milli


class UseForm(TubeForm):
    amount = AmountField(label="Amount used", help_text="Such as 5 ml; 1/4 or 25 % is a part of the tube's whole size.")

    def prepare(self) -> None:
        self.fit("amount")


class LeftForm(TubeForm):
    left = AmountField(
        label="What is left", help_text="As you see it: 1/3, half, 40 %, or 12 ml. It is kept as an estimate."
    )

    def prepare(self) -> None:
        self.fit("left")


class WeighForm(TubeForm):
    gross = AmountField(label="The scale shows", unit="g", help_text="In grams, with the container and its cap.")
    tare = AmountField(
        label="Weight of the empty container",
        unit="g",
        required=False,
        help_text="In grams. Without it the weight is only noted; weigh an empty tube of the same kind.",
    )

    def prepare(self) -> None:
        if self.tube.tare_milli_g is not None:
            self.initial.setdefault("tare", exact(self.tube.tare_milli_g, Unit.G))


class MoveForm(TubeForm):
    place = forms.ModelChoiceField(
        Place.objects.none(),
        label="Moved to",
        empty_label="Choose a place",
        error_messages={"invalid_choice": "Moved to: that place was taken away meanwhile. Choose another."},
    )

    def prepare(self) -> None:
        field = self.fields["place"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = places(self.tube.studio).exclude(pk=self.tube.place_id or 0)


class LendForm(TubeForm):
    to = forms.CharField(label="Who takes it along", max_length=120)


class DeedForm(TubeForm):
    """A deed that needs no figure: finished, discarded, brought back."""


class CorrectForm(KeyForm):
    amount = AmountField(label="The amount should have been", help_text="0 if it did not happen.")
    note = forms.CharField(label="What was wrong", max_length=200)

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry = entry
        field = self.fields["amount"]
        assert isinstance(field, AmountField)  # noqa: S101  # for the type checker
        field.unit = entry.tube.unit
        self.initial.setdefault("amount", exact(abs(entry.change_milli), entry.tube.unit))

    def change_milli(self) -> int:
        """What the entry should have added to the balance."""
        amount: int = self.cleaned_data["amount"].milli
        return -amount if self.entry.kind in (EntryKind.USED, EntryKind.DISCARDED) else amount


class ReceiveForm(KeyForm):
    """New tubes of a paint or material."""

    count = WholeNumberField(label="How many", initial="1", max_length=20, help_text="Tubes of the same size.")
    size = AmountField(label="Size of one", help_text="As the label has it, such as 37 ml or 150 g.")
    state = forms.ChoiceField(
        label="They are",
        choices=[("sealed", "Sealed and full"), ("open", "Open")],
        initial="sealed",
        widget=forms.RadioSelect,
    )
    left = AmountField(
        label="What is left in an open one",
        required=False,
        help_text="Such as 20 ml, 1/2 or 40 %. Leave it out for a full one.",
    )
    place = forms.ModelChoiceField(
        Place.objects.none(),
        label="Place",
        required=False,
        empty_label="Not known",
        error_messages={"invalid_choice": "Place: that place was taken away meanwhile. Choose another."},
    )
    owner = forms.ChoiceField(label="Whose", initial=OwnerKind.STUDIO)
    owner_class = forms.CharField(
        label="Name of the class", max_length=80, required=False, help_text="Only for what belongs to a class."
    )
    batch = forms.CharField(label="Batch", max_length=60, required=False, help_text="As printed on the tube.")
    tare = AmountField(
        label="Weight of an empty one", unit="g", required=False, help_text="In grams; makes weighing exact later."
    )
    field_order = ("count", "size", "state", "left", "place", "owner", "owner_class", "batch", "tare", "note", "key")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio = studio
        place, owner = self.fields["place"], self.fields["owner"]
        assert isinstance(place, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        assert isinstance(owner, forms.ChoiceField)  # noqa: S101  # for the type checker
        place.queryset = places(studio)
        self.people = {str(person.pk): person for person in studio.members.order_by("username")}
        owner.choices = [
            (OwnerKind.STUDIO, "The studio's"),
            *((f"member-{pk}", f"{person}'s own") for pk, person in self.people.items()),
            (OwnerKind.CLASS, "A class's"),
        ]

    def clean_count(self) -> int:
        count: int = self.cleaned_data["count"]
        if not 1 <= count <= 500:
            raise ValidationError(f"How many: receive between 1 and 500 at a time, not {count}.")
        return count

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "owner" in cleaned and (cleaned["owner"] == OwnerKind.CLASS) != bool(cleaned.get("owner_class")):
            self.add_error("owner_class", "Name the class and choose “A class's”, or neither.")
        return cleaned

    def _clean_fields(self) -> None:
        """The size first: a part such as 1/2 is a part of it."""
        left = self.fields["left"]
        assert isinstance(left, AmountField)  # noqa: S101  # for the type checker
        try:
            size = AmountField(label="Size").clean(self.data.get(self.add_prefix("size"), ""))
        except ValidationError:
            size = None  # said where the field itself is read
        if size and size.milli:
            left.unit, left.size_milli = size.unit, size.milli
        super()._clean_fields()  # type: ignore[misc]  # the stubs leave it out

    def owner_fields(self) -> tuple[str, User | None, str]:
        """Kind, member and class, as a tube has them."""
        kind, _, pk = self.cleaned_data["owner"].partition("-")
        return kind, self.people[pk] if pk else None, self.cleaned_data["owner_class"]
