"""How the house wants to be kept in stock, as somebody types it."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.forms.buying import DaysField
from inventory.models import BuyingPolicy, ServiceKind


class PolicyForm(forms.Form):
    service_kind = forms.ChoiceField(
        label="What should hold", choices=ServiceKind.choices, initial=ServiceKind.CYCLE, widget=forms.RadioSelect
    )
    service = forms.DecimalField(
        label="So many of 100",
        min_value=Decimal(50),
        max_value=Decimal("99.9"),
        decimal_places=1,
        help_text="Such as 95. The nearer to 100, the more has to stand on the shelf.",
        error_messages={
            "min_value": "Fewer than 50 of 100 is no service: enter 50 to 99.9.",
            "max_value": "Nothing on earth holds always: enter 50 to 99.9.",
            "invalid": "Enter a number of 50 to 99.9, such as 95.",
        },
    )
    review_days = DaysField(
        label="Days from one order to the next",
        required=False,
        help_text="Leave it empty where the house orders on its order dates alone.",
    )
    default_lead_days = DaysField(
        label="Usual lead time in days",
        required=False,
        help_text="From order to delivery, for suppliers whose lead time is not entered.",
    )

    @classmethod
    def of(cls, policy: BuyingPolicy | None) -> "PolicyForm":
        if policy is None:
            return cls(initial={"service": "95"})
        return cls(
            initial={
                "service_kind": policy.service_kind,
                "service": f"{policy.service_permille / 10:g}",
                "review_days": policy.review_days,
                "default_lead_days": policy.default_lead_days,
            }
        )

    def clean_review_days(self) -> int | None:
        days: int | None = self.cleaned_data["review_days"]
        if days is not None and not 1 <= days <= 730:
            raise forms.ValidationError(f"{days} days from order to order: enter 1 to 730, or leave it empty.")
        return days

    def clean_default_lead_days(self) -> int | None:
        days: int | None = self.cleaned_data["default_lead_days"]
        if days is not None and days > 730:
            raise forms.ValidationError(f"A lead time of {days} days is more than two years: check the figure.")
        return days

    def fields_of_policy(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "service_kind": data["service_kind"],
            "service_permille": int(data["service"] * 10),
            "review_days": data["review_days"],
            "default_lead_days": data["default_lead_days"],
        }
