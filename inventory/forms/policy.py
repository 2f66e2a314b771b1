"""How the house wants to be kept in stock, as somebody types it."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.forms.buying import DaysField, price_of
from inventory.labels.money import Money
from inventory.models import BuyingPolicy, ServiceKind
from inventory.stock.lots import critical_ratio
from inventory.stock.prices import money_words
from studio.models import Studio


class PolicyForm(forms.Form):
    service_kind = forms.ChoiceField(
        label="What should hold", choices=ServiceKind.choices, initial=ServiceKind.CYCLE, widget=forms.RadioSelect
    )
    service = forms.DecimalField(
        label="So many",
        decimal_places=1,
        help_text="Of 100, such as 95; or, for the last choice, so many times, such as 9. More of it keeps more on the "
        "shelf.",
        error_messages={"invalid": "Enter a number such as 95 of 100, or 9 times."},
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

    order_cost = forms.CharField(
        label="What an order costs beside the goods",
        required=False,
        max_length=60,
        help_text="Postage, and the time it takes if you count it, such as 6.90. Left empty, no size of an order is "
        "reckoned.",
    )
    holding_percent = forms.IntegerField(
        label="What a year on the shelf costs, in per cent of the price",
        required=False,
        min_value=1,
        max_value=200,
        help_text="Money tied up, space, what dries up: such as 20.",
        error_messages={
            "min_value": "Per cent of the price: enter 1 to 200, or leave it empty.",
            "max_value": "Per cent of the price: enter 1 to 200, or leave it empty.",
            "invalid": "Per cent of the price: enter a whole number such as 20, or leave it empty.",
        },
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.studio = studio

    @classmethod
    def of(cls, policy: BuyingPolicy | None, studio: Studio) -> "PolicyForm":
        if policy is None:
            return cls(studio=studio, initial={"service": "95"})
        by_cost = policy.service_kind == ServiceKind.COST
        cost = policy.order_cost_minor
        return cls(
            studio=studio,
            initial={
                "service_kind": policy.service_kind,
                "service": f"{policy.times_as_bad:.3g}" if by_cost else f"{policy.service_permille / 10:g}",
                "order_cost": money_words(cost, policy.order_cost_currency) if cost else "",
                "holding_percent": policy.holding_percent,
                "review_days": policy.review_days,
                "default_lead_days": policy.default_lead_days,
            },
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

    def clean_order_cost(self) -> Money | None:
        text = self.cleaned_data["order_cost"]
        if not text:
            return None
        currency = self.studio.currency
        which = f"Enter it in {currency}, such as 6.90."
        return price_of("What an order costs", text, studio=self.studio, currency=currency, which=which)

    def clean(self) -> dict[str, Any]:
        """Turn what was asked for into the chance that a round suffices, in thousandths."""
        cleaned = super().clean() or {}
        given = cleaned.get("service")
        if given is None or "service_kind" not in cleaned:
            return cleaned
        if cleaned["service_kind"] == ServiceKind.COST:
            if not 1 <= given <= 999:
                self.add_error("service", f"So many: {given:g} times is not between 1 and 999, such as 9.")
            else:
                cleaned["permille"] = round(1000 * critical_ratio(float(given), 1.0))
        elif not 50 <= given <= Decimal("99.9"):
            why = "fewer than 50 of 100 is no service" if given < 50 else "nothing on earth holds always"
            self.add_error("service", f"So many: {given:g} of 100 cannot be, for {why}. Enter 50 to 99.9.")
        else:
            cleaned["permille"] = int(given * 10)
        return cleaned

    def fields_of_policy(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "service_kind": data["service_kind"],
            "service_permille": data["permille"],
            "order_cost": data["order_cost"],
            "holding_percent": data["holding_percent"],
            "review_days": data["review_days"],
            "default_lead_days": data["default_lead_days"],
        }
