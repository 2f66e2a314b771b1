"""What somebody types when a place is counted."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.amounts import AmountField, WholeNumberField
from inventory.forms.tubes import KeyForm, new_key
from inventory.labels.counted import Counted, FoundOne, read_counted, read_found
from inventory.models import Item, Place, Tube
from inventory.queries.shelf import places
from inventory.queries.stocktakes import LEAVE, LOST, Row, open_places
from inventory.services.stocktakes import LONGEST_REASON
from studio.models import Studio

NO_PLACE = "none"
FREE_LINES = 5
EXAMPLES = "Such as 1/3, half, 12 ml, sealed, empty, not there or dried up; = is as in the books."


class StartForm(forms.Form):
    place = forms.ChoiceField(
        label="Place",
        error_messages={
            "invalid_choice": "Place: somebody began to count it meanwhile, or took it away. Go on with the count that "
            "runs, or choose another."
        },
    )
    blind = forms.BooleanField(label="Do not show what the books say while it is counted", required=False)

    def __init__(self, *args: Any, studio: Studio, loose: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["place"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type checker
        self.places = {str(place.pk): place for place in open_places(studio)}
        field.choices = [
            (key, f"{place} ({place.standing} in the books)")  # type: ignore[attr-defined]  # annotated
            for key, place in self.places.items()
        ]
        if loose:
            field.choices = [*field.choices, (NO_PLACE, f"What stands at no known place ({loose})")]

    def chosen(self) -> Place | None:
        return self.places.get(self.cleaned_data["place"])


class FoundOneForm(forms.Form):
    """What was found of one container, by its number."""

    key = forms.CharField(max_length=40, widget=forms.HiddenInput)
    number = forms.CharField(label="Number on the container", max_length=12)
    found = forms.CharField(label="What is there", max_length=60, required=False, help_text=EXAMPLES)

    def clean_number(self) -> int:
        text = self.cleaned_data["number"].strip().lower().removeprefix("no").strip(" .")
        if not (text.isascii() and text.isdigit() and len(text) < 10):
            typed = self.cleaned_data["number"]
            raise ValidationError(f"Number: “{typed}” is no tube number: enter digits such as 12.")
        return int(text)


class PaintCountForm(forms.Form):
    """What was counted of a paint as a whole."""

    key = forms.CharField(max_length=40, widget=forms.HiddenInput)
    item = forms.ModelChoiceField(Item.objects.none(), widget=forms.HiddenInput)
    counted = forms.CharField(label="How many", max_length=120)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["item"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = Item.objects.of(studio)

    def clean_counted(self) -> Counted:
        read = read_counted(self.cleaned_data["counted"])
        if not read.is_settled or read.sealed is None:
            asked = [doubt.message for doubt in read.doubts if doubt.is_open]
            raise ValidationError(asked[0] if asked else "It says nothing that can be counted.")
        return read


class ExtraForm(KeyForm):
    """Containers that are not in the books."""

    note = None  # type: ignore[assignment]  # Django's way to leave a field out
    item = forms.ModelChoiceField(Item.objects.none(), label="Paint or material", empty_label="Choose")
    count = WholeNumberField(label="How many", initial="1", max_length=20)
    size = AmountField(label="Size of one", help_text="As the label has it, such as 37 ml or 150 g.")
    state = forms.ChoiceField(
        label="They are",
        choices=[("sealed", "Sealed and full"), ("open", "Open")],
        initial="sealed",
        widget=forms.RadioSelect,
    )
    left = AmountField(
        label="What is left in an open one", required=False, help_text="Such as 20 ml. Leave it out for a full one."
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["item"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = Item.objects.of(studio).kept().order_by("sort_name", "pk")

    def clean_count(self) -> int:
        count: int = self.cleaned_data["count"]
        if not 1 <= count <= 500:
            raise ValidationError(f"How many: write between 1 and 500 on a line, not {count}.")
        return count

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        size, left = cleaned.get("size"), cleaned.get("left")
        if size and left and size.unit != left.unit:
            self.add_error("left", f"“{left.text}” is in {left.unit}, but the size is in {size.unit}.")
        return cleaned


class PostForm(forms.Form):
    reason = forms.CharField(
        label="Why it was counted", max_length=LONGEST_REASON, help_text="Each entry names it: end of term, a move."
    )
    missing = forms.ChoiceField(
        label="What was looked for and is not there",
        choices=[(LEAVE, "Stays in the books; look again later"), (LOST, "Is lost: throw it out of the books")],
        initial=LEAVE,
        widget=forms.RadioSelect,
    )


class OtherPlaceForm(forms.Form):
    place = forms.ModelChoiceField(Place.objects.none(), label="Where these things stand", empty_label="Choose a place")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["place"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        field.queryset = places(studio)


class SheetForm(forms.Form):
    """A printed sheet typed back: a field for each container of the page, and a few lines for others."""

    key = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, rows: list[Row], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", new_key())
        self.rows = {row.tube.number: row for row in rows}
        for number, row in self.rows.items():
            self.fields[f"tube-{number}"] = _written(f"No. {number}, {row.name}")
        for place in range(1, FREE_LINES + 1):
            self.fields[f"number-{place}"] = forms.CharField(label="Number", max_length=12, required=False)
            self.fields[f"other-{place}"] = _written("What is there")

    def lines(self) -> list[tuple[Row, forms.BoundField]]:
        return [(row, self[f"tube-{number}"]) for number, row in self.rows.items()]

    def free_lines(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"number-{place}"], self[f"other-{place}"]) for place in range(1, FREE_LINES + 1)]

    def typed(self) -> list[tuple[str, str, str]]:
        """Each line that says something: its field, the number as typed, and what was found."""
        data = self.cleaned_data
        said = [(f"tube-{number}", str(number), data.get(f"tube-{number}", "")) for number in self.rows]
        for place in range(1, FREE_LINES + 1):
            said.append((f"other-{place}", data.get(f"number-{place}", ""), data.get(f"other-{place}", "")))
        return [each for each in said if each[2].strip() or (each[0].startswith("other") and each[1].strip())]


def _written(label: str) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=60, required=False, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )


def read_of(tube: Tube, text: str) -> FoundOne:
    """What was written of a container; ValidationError where it cannot be read."""
    read = read_found(text, unit=tube.unit, size_milli=tube.nominal_milli)
    if not read.is_settled:
        raise ValidationError(next(doubt.message for doubt in read.doubts if doubt.is_open))
    if read.seen is None:
        raise ValidationError(f"No. {tube.number}: write what is there. {EXAMPLES}")
    return read
