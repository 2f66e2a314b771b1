"""What somebody types about one tube."""

import secrets
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.forms.paints import density_milli
from inventory.labels import Amount, read_amount
from inventory.models import Condition, Entry, EntryKind, OwnerKind, Place, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.queries import scales
from inventory.queries.shelf import places
from inventory.stock.weighing import Figure
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


class MomentInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M")


class TubeForm(KeyForm):
    """A deed that is done to one tube, now or some time ago."""

    at = forms.DateTimeField(
        label="When",
        required=False,
        widget=MomentInput,
        help_text="Leave it out for now; the clock is the studio's.",
        error_messages={"invalid": "When: enter day and time, such as 2026-03-01 14:30, or leave it out."},
    )

    def __init__(self, *args: Any, tube: Tube, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tube = tube
        self.prepare()

    def prepare(self) -> None:
        """Fit the fields to the tube."""

    def main_fields(self) -> list[forms.BoundField]:
        """What the deed needs."""
        return [field for field in self.visible_fields() if field.name not in ("at", "note")]

    def folded_fields(self) -> list[forms.BoundField]:
        """What is folded away until it is wanted."""
        return [self[name] for name in ("note", "at") if name in self.fields]

    @property
    def unfold(self) -> bool:
        return any(field.errors or field.value() for field in self.folded_fields())

    def fit(self, name: str) -> None:
        field = self.fields[name]
        assert isinstance(field, AmountField)  # noqa: S101  # for the type checker
        field.unit, field.size_milli = self.tube.unit, self.tube.nominal_milli


class UseForm(TubeForm):
    amount = AmountField(label="Amount used", help_text="Such as 5 ml; 1/4 or 25 % is a part of the tube's whole size.")

    def prepare(self) -> None:
        self.fit("amount")


class LeftField(AmountField):
    """What is left, seen or weighed: grams of a tube that is kept in ml stay grams until a density is known."""

    def clean(self, value: Any) -> Amount | None:
        read = read_amount(str(value or ""), unit=self.unit)
        if self.unit == Unit.ML and read.unit == Unit.G and read.milli is not None:
            return read
        return super().clean(value)


class LeftForm(TubeForm):
    left = LeftField(
        label="What is left",
        help_text="As you see it: 1/3, half, 40 %, or 12 ml. It is kept as an estimate. Grams are kept as a weighing.",
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
    density = forms.CharField(
        label="Density in g/ml",
        max_length=20,
        required=False,
        help_text="Kept with the paint. Without it grams stay grams.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    is_full = forms.BooleanField(label="It is sealed and full: work out the density from this weight", required=False)
    with_estimates = forms.BooleanField(label="Use estimates where nothing better is known", required=False)

    def prepare(self) -> None:
        tube = self.tube
        self.known_tare = scales.tare_of(tube)
        if tube.tare_milli_g is not None:
            self.initial.setdefault("tare", exact(tube.tare_milli_g, Unit.G))
        elif self.known_tare is not None:
            learned = self.known_tare
            self.fields["tare"].help_text = (
                f"In grams. Left out, {exact(learned.milli, Unit.G)} is taken, give or take "
                f"{exact(learned.error_milli, Unit.G)}: {learned.how}."
            )
        has_density = tube.item.density_milli is not None
        if tube.unit == Unit.G or has_density:
            del self.fields["density"]
        if tube.unit == Unit.G or tube.state != TubeState.SEALED or (has_density and not tube.item.density_is_estimate):
            del self.fields["is_full"]
        self._prepare_estimates()

    def _prepare_estimates(self) -> None:
        """Offer what can be estimated, with its width; nothing is estimated unless somebody ticks it."""
        tube = self.tube
        tare = None if self.known_tare else scales.rough_tare_of(tube)
        wants_density = tube.unit == Unit.ML and tube.item.density_milli is None
        density = scales.rough_density_of(tube.item) if wants_density else None
        said = []
        if tare is not None:
            said.append(f"a container of {_width(tare, Unit.G)} from its size, as a metal tube")
        if density is not None:
            said.append(f"a density of {_width(density, 'g/ml')} from its pigments and binder")
        if said:
            self.fields["with_estimates"].help_text = f"That is {' and '.join(said)}. The amount is then an estimate."
        else:
            del self.fields["with_estimates"]

    def clean_density(self) -> int | None:
        try:
            return density_milli(self.cleaned_data["density"])
        except ValidationError as error:
            raise ValidationError(f"Density: {' '.join(error.messages)}") from error


def _width(figure: Figure, unit: str) -> str:
    low, high = figure.milli - figure.error_milli, figure.milli + figure.error_milli
    return f"{low / 1000:.1f} to {high / 1000:.1f} {unit}"


class EmptyWeighForm(TubeForm):
    """The container alone, so that others of its kind can be weighed with paint in them."""

    gross = AmountField(label="The scale shows", unit="g", help_text="In grams, the empty container with its cap.")


class ExamineForm(TubeForm):
    condition = forms.ChoiceField(label="It is", choices=Condition.choices)

    def main_fields(self) -> list[forms.BoundField]:
        """None: each condition is a button of its own."""
        return []

    def choices(self) -> list[tuple[str, str]]:
        """The conditions that it is not in, each as a button."""
        words = {**dict(Condition.choices), Condition.OTHER: "Not usable, as the note says"}
        words[Condition.USABLE] = "It can be used"
        return [(value, words[value]) for value in Condition.values if value != self.tube.condition]


class OwnerForm(TubeForm):
    owner = forms.ChoiceField(label="Whose it is from now on")
    owner_class = forms.CharField(
        label="Name of the class", max_length=80, required=False, help_text="Only for what belongs to a class."
    )

    def prepare(self) -> None:
        field = self.fields["owner"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
        self.people = {str(person.pk): person for person in self.tube.studio.members.order_by("username")}
        field.choices = owner_choices(self.people)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        _check_class(self, cleaned)
        return cleaned

    def owner_fields(self) -> tuple[str, User | None, str]:
        """Kind, member and class, as a tube has them."""
        return _owner_fields(self.cleaned_data, self.people)


class ShareForm(TubeForm):
    """Whether it counts for the studio too; the button says which way."""

    shared = forms.CharField(widget=forms.HiddenInput)

    def prepare(self) -> None:
        self.initial["shared"] = "no" if self.tube.shared else "yes"


def owner_choices(people: dict[str, User]) -> list[tuple[str, str]]:
    return [
        (str(OwnerKind.STUDIO), "The studio's"),
        *((f"member-{pk}", f"{person}'s own") for pk, person in people.items()),
        (str(OwnerKind.CLASS), "A class's"),
    ]


def _check_class(form: forms.Form, cleaned: dict[str, Any]) -> None:
    if "owner" in cleaned and (cleaned["owner"] == OwnerKind.CLASS) != bool(cleaned.get("owner_class")):
        form.add_error("owner_class", "Name the class and choose “A class's”, or neither.")


def _owner_fields(cleaned: dict[str, Any], people: dict[str, User]) -> tuple[str, User | None, str]:
    kind, _, pk = cleaned["owner"].partition("-")
    return kind, people[pk] if pk else None, cleaned["owner_class"]


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
    note = None  # type: ignore[assignment]  # Django's way to leave a field out
    to = forms.CharField(label="Who takes it along", max_length=120)


class DeedForm(TubeForm):
    """A deed that needs no figure: finished, discarded, brought back."""


class CorrectForm(KeyForm):
    amount = AmountField(label="The amount should have been", help_text="0 if it did not happen.")
    note = forms.CharField(label="What was wrong", max_length=120)

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entry = entry
        self.prepare()

    def prepare(self) -> None:
        entry = self.entry
        field = self.fields["amount"]
        assert isinstance(field, AmountField)  # noqa: S101  # for the type checker
        field.unit = entry.tube.unit
        self.initial.setdefault("amount", exact(abs(entry.change_milli), entry.tube.unit))

    def change_milli(self) -> int:
        """What the entry should have added to the balance."""
        amount: int = self.cleaned_data["amount"].milli
        return -amount if self.entry.kind in (EntryKind.USED, EntryKind.DISCARDED) else amount


class CorrectLeftForm(CorrectForm):
    """A count: what was left at that time should have been another figure."""

    amount = AmountField(label="What was left, at that time", help_text="Such as 1/2, 40 % or 12 ml; later uses stay.")

    def prepare(self) -> None:
        tube = self.entry.tube
        field = self.fields["amount"]
        assert isinstance(field, AmountField)  # noqa: S101  # for the type checker
        field.unit, field.size_milli = tube.unit, tube.nominal_milli


class CorrectWeighingForm(CorrectForm):
    """A weighing: the scale showed another figure, or the container weighs something else."""

    amount = AmountField(label="The scale showed", unit="g", help_text="In grams, with the container and its cap.")
    tare = AmountField(label="Weight of the empty container", unit="g", required=False, help_text="In grams.")

    def prepare(self) -> None:
        entry, tube = self.entry, self.entry.tube
        if entry.gross_milli_g is not None:
            self.initial.setdefault("amount", exact(entry.gross_milli_g, Unit.G))
        if tube.tare_milli_g is not None:
            self.initial.setdefault("tare", exact(tube.tare_milli_g, Unit.G))


def correct_form(entry: Entry) -> type[CorrectForm]:
    """The form that fits what the entry is about."""
    if entry.kind == EntryKind.WEIGHED and entry.gross_milli_g is not None:
        return CorrectWeighingForm
    return CorrectLeftForm if entry.kind in (EntryKind.COUNTED, EntryKind.WEIGHED) else CorrectForm


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
        owner.choices = owner_choices(self.people)

    def clean_count(self) -> int:
        count: int = self.cleaned_data["count"]
        if not 1 <= count <= 500:
            raise ValidationError(f"How many: receive between 1 and 500 at a time, not {count}.")
        return count

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        _check_class(self, cleaned)
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
        return _owner_fields(self.cleaned_data, self.people)
