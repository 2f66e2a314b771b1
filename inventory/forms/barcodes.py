"""What is typed or scanned at the shelf."""

from typing import Any

from django import forms

from inventory.forms.amounts import AmountField
from inventory.forms.paints import PaintForm
from inventory.models import Item
from inventory.printing.labels import BY_KEY, SHEETS
from studio.models import Studio

LONGEST_NUMBERS = 400


class LinkForm(forms.Form):
    """Which paint or material a number stands for."""

    code = forms.CharField(widget=forms.HiddenInput, max_length=40)
    item = forms.ModelChoiceField(
        Item.objects.none(),
        error_messages={
            "required": "Choose the paint or material that the number stands for.",
            "invalid_choice": "That paint or material is off the lists: choose another.",
        },
    )
    size = AmountField(
        label="Size of one container", required=False, help_text="Such as 37 ml. Left out, the last size is taken."
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        item = self.fields["item"]
        assert isinstance(item, forms.ModelChoiceField)  # noqa: S101  # for the type checker
        item.queryset = Item.objects.of(studio).kept()

    def size_fields(self) -> dict[str, Any]:
        size = self.cleaned_data["size"]
        return {"nominal_milli": size.milli, "unit": size.unit} if size else {}


class ScannedPaintForm(PaintForm):
    """A paint that is added because its number was scanned."""

    code = forms.CharField(widget=forms.HiddenInput, max_length=40)
    size = AmountField(label="Size of one container", required=False, help_text="Such as 37 ml.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["name", "binder", "size"])

    def size_fields(self) -> dict[str, Any]:
        size = self.cleaned_data["size"]
        return {"nominal_milli": size.milli, "unit": size.unit} if size else {}


class SheetForm(forms.Form):
    """On which sheet the labels are printed, and from which label on."""

    numbers = forms.CharField(
        label="Numbers of tubes",
        max_length=LONGEST_NUMBERS,
        required=False,
        help_text="Such as 12, 15-20. Left out: all that the choice below holds.",
    )
    what = forms.ChoiceField(label="Labels for", choices=[("tubes", "Tubes"), ("places", "Places")], initial="tubes")
    sheet = forms.ChoiceField(
        label="Sheet",
        choices=[(sheet.key, sheet.words) for sheet in SHEETS],
        initial=SHEETS[0].key,
        help_text="By the measures of one label, as the box states them.",
    )
    start = forms.IntegerField(
        label="First free label",
        min_value=1,
        max_value=max(sheet.count for sheet in SHEETS),
        required=False,
        initial=1,
        help_text="Counted by rows from the top left, for a sheet that was used in part.",
    )
    marks = forms.BooleanField(label="Cut marks, for plain paper", required=False)

    def clean_numbers(self) -> list[int] | None:
        typed = self.cleaned_data["numbers"].strip()
        if not typed:
            return None
        found: list[int] = []
        for part in typed.replace(";", ",").replace("–", "-").split(","):
            first, dash, last = (piece.strip() for piece in part.partition("-"))
            if not part.strip():
                continue
            ends = (first, last) if dash else (first,)
            if not all(piece.isascii() and piece.isdigit() and len(piece) < 10 for piece in ends):
                raise forms.ValidationError(
                    f"Numbers of tubes: “{part.strip()}” is no number of a tube. Type numbers such as 12, 15-20."
                )
            low, high = int(first), int(last or first)
            if high < low or high - low > 2000:
                raise forms.ValidationError(
                    f"Numbers of tubes: “{part.strip()}” is no run. Type the lower first, at most 2000 at once."
                )
            found += range(low, high + 1)
        return found[:5000]

    def clean_start(self) -> int:
        return self.cleaned_data["start"] or 1

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        sheet = BY_KEY[cleaned.get("sheet") or SHEETS[0].key]
        if cleaned.get("start", 1) > sheet.count:
            self.add_error(
                "start",
                f"First free label: this sheet has {sheet.count} labels, so begin at one of 1 to {sheet.count}.",
            )
        return cleaned
