"""Who sells to the house, how long it takes them, and when the house orders."""

from dataclasses import dataclass
from statistics import fmean, stdev

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from inventory.models import Delivery, OrderDay, OrderState, Supplier
from studio.models import Studio


@dataclass(frozen=True)
class LeadSeen:
    """Days from the day an order was sent to each parcel of it."""

    days: tuple[int, ...]

    @property
    def count(self) -> int:
        return len(self.days)

    @property
    def mean(self) -> float:
        return fmean(self.days)

    @property
    def spread(self) -> float | None:
        """Standard deviation of the sample; None of a single parcel."""
        return stdev(self.days) if len(self.days) > 1 else None

    @property
    def words(self) -> str:
        parcels = f"{self.count} parcel{'' if self.count == 1 else 's'}"
        spread = f", {min(self.days)} to {max(self.days)}" if self.count > 1 else ""
        return f"{self.mean:.0f} days on average{spread}, from {parcels}"


def lead_times_seen(studio: Studio) -> dict[int, LeadSeen]:
    """What the studio's own orders took, by supplier; one query. What went back or was taken back does not count."""
    rows = Delivery.objects.filter(
        order__studio=studio, returned=False, taken_back_at=None, order__placed_on__isnull=False
    ).values_list("order__supplier", "order__placed_on", "at")
    days: dict[int, list[int]] = {}
    for supplier, placed_on, at in rows.order_by("pk"):
        if placed_on is not None:
            days.setdefault(supplier, []).append(max(0, (timezone.localdate(at) - placed_on).days))
    return {supplier: LeadSeen(tuple(found)) for supplier, found in days.items()}


@dataclass(frozen=True)
class SupplierNow:
    supplier: Supplier
    seen: LeadSeen | None
    offers: int
    open_orders: int

    @property
    def lead_words(self) -> str:
        days, spread = self.supplier.lead_days, self.supplier.lead_days_sd
        if days is None:
            return "not entered"
        return f"{days} day{'' if days == 1 else 's'}" + (f", give or take {spread}" if spread else "")


def suppliers(studio: Studio, *, removed: bool = False) -> list[SupplierNow]:
    """The suppliers by name; two queries."""
    rows = Supplier.objects.filter(studio=studio, removed_at__isnull=not removed).annotate(
        standing=Count("offers", filter=Q(offers__withdrawn_at=None), distinct=True),
        open_orders=Count("orders", filter=Q(orders__state__in=(OrderState.DRAFT, OrderState.SENT)), distinct=True),
    )
    seen = lead_times_seen(studio)
    return [SupplierNow(row, seen.get(row.pk), row.standing, row.open_orders) for row in rows]


def order_days(studio: Studio) -> "QuerySet[OrderDay]":
    """The order dates from today on, the next one first."""
    return OrderDay.objects.filter(studio=studio, on__gte=timezone.localdate()).select_related("supplier")


def next_order_day(studio: Studio, supplier: Supplier | None = None) -> OrderDay | None:
    """The next date on which the house orders (from this supplier, or from all); one query."""
    days = order_days(studio)
    if supplier is not None:
        days = days.filter(Q(supplier=None) | Q(supplier=supplier))
    return days.first()
