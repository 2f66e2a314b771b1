"""How amounts travel: decimal texts with a unit, and beside them the exact integer of thousandths.

In an answer an amount is `{"value": "12.5", "unit": "ml", "milli": 12500}`. In a request it is a text such as "12.5",
in the unit of the tube (grams for weights): never a JSON number, which is a float in most programs.
"""

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError as DjangoValidationError
from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.forms.amounts import AmountField
from inventory.forms.paints import density_milli
from inventory.models import Unit
from studio.api.inputs import Text

PATTERN = r"^[0-9]{1,9}(\.[0-9]{1,3})?$"
_AMOUNT = re.compile(r"[0-9]{1,9}(\.[0-9]{1,3})?")


def plain(milli: int) -> str:
    """12500 as 12.5: never rounded, no unit."""
    text = f"{Decimal(milli).scaleb(-3):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


class Amount(NamedTuple):
    milli: int
    unit: str

    @property
    def value(self) -> str:
        return plain(self.milli)


class AmountSerializer(serializers.Serializer[Amount]):
    """An exact amount, written as a decimal and as thousandths of its unit."""

    value = serializers.CharField(help_text="A decimal with up to three places, such as 12.5.")
    unit = serializers.ChoiceField(choices=Unit.choices)
    milli = serializers.IntegerField(help_text="The same in thousandths of the unit; exact.")


@extend_schema_field({"type": "string", "pattern": PATTERN, "example": "12.5"})
class AmountInput(serializers.Field):
    """A decimal text, in thousandths afterwards. `unit` is known here, or told later by the tube."""

    default_error_messages = {"not_text": 'Send the amount as text, such as "12.5": a JSON number is not exact.'}
    wanted = 'a decimal text such as "12.5"'

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.unit = unit

    def to_internal_value(self, data: Any) -> int:
        if not isinstance(data, str):
            self.fail("not_text")
        if not _AMOUNT.fullmatch(data):
            raise serializers.ValidationError(self._why(data))
        return int(Decimal(data).scaleb(3))

    def to_representation(self, value: int) -> str:
        return plain(value)

    def _why(self, text: str) -> str:
        """The page's words where the page refuses it too; the API takes no units, commas and parts."""
        unit = self.unit or self.context.get("unit", "")
        page = PlainAmount(label=self.label, unit=unit or Unit.ML)
        if not text.strip():
            return f"{self.label}: an empty text was sent. {page.remedy}"
        try:
            page.clean(text)
        except DjangoValidationError as error:
            return " ".join(error.messages)
        return f"{self.label}: “{text[:60]}” is no plain decimal. {page.remedy}"


class PlainAmount(AmountField):
    """The page's field, with the remedy for programs."""

    remedy = "Send a decimal with a point and without its unit, such as 12.5."


@extend_schema_field({"type": "string", "maxLength": 20, "example": "1.35"})
class DensityInput(serializers.Field):
    """A density in g/ml as text; empty when it is not known. Thousandths of g/ml afterwards."""

    default_error_messages = {"not_text": 'Send the density as text, such as "1.35".'}
    wanted = 'a decimal text such as "1.35"'

    def to_internal_value(self, data: Any) -> int | None:
        if not isinstance(data, str):
            self.fail("not_text")
        if len(data) > 20:
            raise serializers.ValidationError(f"“{data[:20]}…” is longer than any density: write one such as 1.35.")
        return density_milli(data)

    def to_representation(self, value: int) -> str:
        return plain(value)


@extend_schema_field({"type": "string", "format": "date-time"})
class HappenedAt(serializers.DateTimeField):
    """When it happened, for what is entered later; with its offset from UTC."""

    def to_internal_value(self, value: Any) -> datetime:
        if not isinstance(value, str):
            self.fail("invalid", format="YYYY-MM-DDThh:mm:ss+hh:mm")
        at: datetime = super().to_internal_value(value)
        if at < datetime(2000, 1, 1, tzinfo=UTC):
            raise serializers.ValidationError(f"“{value[:40]}” lies before the year 2000: check the date.")
        if at > timezone.now() + timedelta(minutes=10):
            raise serializers.ValidationError(f"“{value[:40]}” has not come yet: enter when it happened.")
        return at


class NoteText(Text):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_length": 200, "required": False, "allow_blank": True, "default": "", **kwargs})
