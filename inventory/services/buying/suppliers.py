"""Who sells to the house, and on which days it orders."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from inventory.models import OrderDay, Supplier
from inventory.models.buying import LONGEST_LEAD_DAYS
from inventory.services.ledger import refuse
from studio.models import Studio

# An order date further ahead is a slip of the finger.
FURTHEST_DAYS = 5 * 366


def check_days(field: str, words: str, days: int | None) -> None:
    if days is None or 0 <= days <= LONGEST_LEAD_DAYS:
        return
    raise refuse(
        field, f"{words} must be 0 to {LONGEST_LEAD_DAYS} days, not {days}. Leave it empty where it is not known."
    )


def hold_supplier(supplier: Supplier, studio: Studio) -> Supplier:
    """Keep the supplier from being removed until the transaction ends."""
    if supplier.studio_id != studio.pk:
        raise refuse("supplier", f"{supplier} is not one of this studio's suppliers.")
    found = Supplier.objects.select_for_update(no_key=True).filter(pk=supplier.pk, removed_at=None).first()
    if found is None:
        raise refuse("supplier", f"The supplier {supplier} was removed meanwhile: choose another, or bring it back.")
    return found


@transaction.atomic
def add_supplier(
    studio: Studio,
    *,
    name: str,
    lead_days: int | None = None,
    lead_days_sd: int | None = None,
    contact: str = "",
    notes: str = "",
) -> Supplier:
    check_days("lead_days", "The lead time", lead_days)
    check_days("lead_days_sd", "The spread of the lead time", lead_days_sd)
    gone = Supplier.objects.filter(studio=studio, name=name.strip()).exclude(removed_at=None).first()
    supplier = gone or Supplier(studio=studio, name=name.strip())
    supplier.lead_days, supplier.lead_days_sd = lead_days, lead_days_sd
    supplier.contact, supplier.notes, supplier.removed_at = contact, notes, None
    supplier.full_clean()
    supplier.save()
    return supplier


@transaction.atomic
def change_supplier(
    supplier: Supplier,
    *,
    name: str,
    lead_days: int | None = None,
    lead_days_sd: int | None = None,
    contact: str = "",
    notes: str = "",
) -> Supplier:
    check_days("lead_days", "The lead time", lead_days)
    check_days("lead_days_sd", "The spread of the lead time", lead_days_sd)
    held = hold_supplier(supplier, supplier.studio)
    held.name, held.lead_days, held.lead_days_sd = name.strip(), lead_days, lead_days_sd
    held.contact, held.notes = contact, notes
    held.full_clean()
    held.save()
    return held


@transaction.atomic
def remove_supplier(supplier: Supplier) -> bool:
    """Take it out of the lists; its offers, orders and deliveries stay. False: somebody had removed it already."""
    present = Supplier.objects.filter(pk=supplier.pk, removed_at=None)
    return bool(present.update(removed_at=timezone.now()))


@transaction.atomic
def bring_back_supplier(supplier: Supplier) -> bool:
    return bool(Supplier.objects.filter(pk=supplier.pk).exclude(removed_at=None).update(removed_at=None))


@transaction.atomic
def add_order_day(studio: Studio, *, on: date, supplier: Supplier | None = None, note: str = "") -> OrderDay:
    """Set a day on which the house orders; one that is over would never come."""
    today = timezone.localdate()
    if on < today:
        raise refuse("on", f"Order date: {on:%-d %B %Y} is over: enter a day from today on.")
    if on > today + timedelta(days=FURTHEST_DAYS):
        raise refuse("on", f"Order date: {on:%-d %B %Y} is more than five years ahead: check the year.")
    if supplier is not None:
        supplier = hold_supplier(supplier, studio)
    day = OrderDay(studio=studio, on=on, supplier=supplier, note=note)
    day.full_clean()
    day.save()
    return day


@transaction.atomic
def remove_order_day(day: OrderDay) -> bool:
    deleted, _ = OrderDay.objects.filter(pk=day.pk).delete()
    return bool(deleted)
