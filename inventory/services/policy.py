"""How the house wants to be kept in stock."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.labels.money import Money
from inventory.models import BuyingPolicy
from studio.models import Studio, User


@transaction.atomic
def set_policy(
    studio: Studio,
    *,
    by: User,
    service_kind: str,
    service_permille: int,
    review_days: int | None,
    default_lead_days: int | None,
    order_cost: Money | None = None,
    holding_percent: int | None = None,
) -> BuyingPolicy:
    """Set or change the policy; ValidationError names what cannot be."""
    policy = BuyingPolicy.objects.select_for_update().filter(studio=studio).first() or BuyingPolicy(studio=studio)
    policy.service_kind, policy.service_permille = service_kind, service_permille
    policy.review_days, policy.default_lead_days, policy.set_by = review_days, default_lead_days, by
    policy.order_cost_minor = order_cost.minor if order_cost else None
    policy.order_cost_currency = order_cost.currency if order_cost else ""
    policy.holding_percent = holding_percent
    try:
        policy.full_clean()
    except ValidationError as error:
        raise ValidationError(error.messages) from None
    policy.save()
    return policy
