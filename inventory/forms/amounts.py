"""Fields for amounts and counts, typed as people write them and kept exact."""

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.labels import Amount, Doubt, Option, read_amount, read_count, read_fraction

# "1/2", "40 %", "half", "about a third": a part of the whole, not an amount.
_PART = re.compile(r"[/⁄%¼½¾⅓⅔]|half|quarter|third|full|empty|percent", re.IGNORECASE)

# "1/2 tube" is half of one.
_OF_A_TUBE = re.compile(r"(?<=\S)\s*(?:of\s+)?(?:a\s+|the\s+)?(?:tube|jar|tub|bottle)s?\s*$", re.IGNORECASE)


def _refused(label: object, text: str, doubts: Iterable[Doubt], remedy: str) -> ValidationError:
    """The field, the value and the remedy, in the words of the reader where it has some; what is asked with answers."""
    doubt = next((doubt for doubt in doubts if doubt.is_open), None)
    why = doubt.message if doubt else f"“{text}” says nothing."
    if doubt and doubt.options:
        # A list offers them to be chosen; here they are typed.
        why = why.partition(" Choose ")[0]
        remedy = f"Enter {' or '.join(map(_answer, doubt.options))}."
    return ValidationError(f"{label}: {why} {remedy}", code="amount")


def _answer(option: Option) -> str:
    return f"“{option.value}”" + (f" ({option.label})" if option.label != option.value else "")


class AmountField(forms.CharField):
    """An amount such as 12 ml. `unit` is that of a number without one; with `size_milli`, "1/2" is a part of it."""

    def __init__(self, *, unit: str = "", size_milli: int | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 60)
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**kwargs)
        self.unit = unit
        self.size_milli = size_milli

    def clean(self, value: Any) -> Amount | None:
        text = super().clean(value)
        if not text:
            return None
        if self.size_milli and _PART.search(text):
            part = read_fraction(_OF_A_TUBE.sub("", text))
            if part.thousandths is None:
                raise _refused(self.label, text, part.doubts, self.remedy)
            return Amount(text, self.size_milli * part.thousandths // 1000, self.unit, estimated=True)
        amount = read_amount(text, unit=self.unit)
        if amount.milli is None:
            raise _refused(self.label, text, amount.doubts, self.remedy)
        if self.unit and amount.unit != self.unit:
            raise ValidationError(
                f"{self.label}: “{text}” is in {amount.unit}, but this is kept in {self.unit}. Enter {self.unit}.",
                code="unit",
            )
        return amount

    @property
    def remedy(self) -> str:
        example = f"12 {self.unit}" if self.unit else "37 ml"
        return f"Enter an amount such as {example}{', 1/2 or 40 %' if self.size_milli else ''}."


class WholeNumberField(forms.CharField):
    """A number of containers: "12.5 sealed" is refused, not rounded."""

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        count = read_count(text)
        if count.value is None:
            raise _refused(self.label, text, count.doubts, "Enter a whole number such as 3.")
        return count.value
