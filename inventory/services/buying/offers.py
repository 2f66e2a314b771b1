"""Prices that a supplier asks. A new price is a new row, so that prices over time stay."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from django.db import transaction
from django.utils import timezone

from inventory.models import Binder, Item, Offer, OfferBreak, Pigment, Supplier
from inventory.services.buying.suppliers import hold_supplier
from inventory.services.ledger import LARGEST_MILLI, refuse
from inventory.stock.amounts import exact
from inventory.stock.packs import MOST_BREAKS
from inventory.stock.prices import money_words
from studio.models import Studio, User

LARGEST_PACK = 1_000
LARGEST_PACKS = 10_000
LARGEST_PRICE_MINOR = 10**11


class Break(NamedTuple):
    """The price of each pack when at least so many are bought."""

    from_packs: int
    price_minor: int


@transaction.atomic
def add_offer(
    studio: Studio,
    *,
    supplier: Supplier,
    by: User,
    nominal_milli: int,
    unit: str,
    price_minor: int,
    currency: str,
    item: Item | None = None,
    name: str = "",
    code: str = "",
    binder: str = Binder.UNKNOWN,
    pigment: Pigment | None = None,
    series: str = "",
    pack: int = 1,
    price_text: str = "",
    valid_from: date | None = None,
    valid_until: date | None = None,
    note: str = "",
    breaks: Sequence[Break] = (),
) -> Offer:
    """Write a price down. One that ended before today is kept as well: it belongs to the prices over time."""
    held = hold_supplier(supplier, studio)
    if item is not None and item.studio_id != studio.pk:
        raise refuse("item", f"{item.name} is not one of this studio's paints and materials.")
    if item is None and not name.strip():
        raise refuse("name", "Say what is offered: choose a paint or material, or enter its name.")
    if not 0 < nominal_milli <= LARGEST_MILLI:
        raise refuse("size", f"The size must be above 0 and at most 200 l, not {exact(nominal_milli, unit)}.")
    if not 1 <= pack <= LARGEST_PACK:
        raise refuse("pack", f"A pack holds 1 to {LARGEST_PACK} containers, not {pack}.")
    if not 0 < price_minor <= LARGEST_PRICE_MINOR:
        raise refuse("price", f"The price must be above 0, not {money_words(price_minor, currency)}.")
    check_breaks(breaks, price_minor, currency)
    offer = Offer(
        supplier=held,
        item=item,
        name=name.strip() or (item.name if item else ""),
        code=code.strip(),
        binder=binder,
        pigment=pigment,
        series=series.strip(),
        nominal_milli=nominal_milli,
        unit=unit,
        pack=pack,
        price_minor=price_minor,
        currency=currency,
        price_text=price_text[:60],
        valid_from=valid_from or timezone.localdate(),
        valid_until=valid_until,
        note=note,
        by=by,
    )
    offer.full_clean()
    offer.save()
    OfferBreak.objects.bulk_create(
        OfferBreak(offer=offer, from_packs=one.from_packs, price_minor=one.price_minor) for one in breaks
    )
    return offer


def check_breaks(breaks: Sequence[Break], price_minor: int, currency: str) -> None:
    if len(breaks) > MOST_BREAKS:
        raise refuse("breaks", f"At most {MOST_BREAKS} quantity discounts are kept, not {len(breaks)}.")
    start, price = 1, price_minor
    for one in sorted(breaks):
        if one.from_packs == start > 1:
            raise refuse("breaks", f"Two quantity discounts begin at {start} packs, and each number counts once.")
        if not start < one.from_packs <= LARGEST_PACKS:
            raise refuse(
                "breaks",
                f"A quantity discount begins at 2 to {LARGEST_PACKS} packs, not at {one.from_packs}.",
            )
        if not 0 < one.price_minor <= price:
            raise refuse(
                "breaks",
                f"From {one.from_packs} packs on a pack costs {money_words(one.price_minor, currency)}, but fewer cost "
                f"{money_words(price, currency)} each: a discount is above 0 and never dearer. Check both prices.",
            )
        start, price = one.from_packs, one.price_minor


@transaction.atomic
def withdraw_offer(offer: Offer) -> bool:
    """The offer was a slip, or does not stand any more; the row stays. False: it was withdrawn already."""
    return bool(Offer.objects.filter(pk=offer.pk, withdrawn_at=None).update(withdrawn_at=timezone.now()))
