"""Prices that stand, and which of them is the best for what is wanted."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet
from django.utils import timezone

from inventory.models import Offer, Supplier, Want
from inventory.stock.packs import PackOffer
from inventory.stock.prices import price_of
from studio.models import Studio


def current_offers(studio: Studio, items: Iterable[int] | None = None) -> list[Offer]:
    """Offers that stand today, with their suppliers and quantity discounts; two queries."""
    today = timezone.localdate()
    rows = Offer.objects.of(studio).standing().filter(Q(valid_until=None) | Q(valid_until__gte=today))
    rows = rows.filter(valid_from__lte=today)
    if items is not None:
        rows = rows.filter(item__in=list(items))
    return list(rows.select_related("supplier", "item__paint", "pigment").prefetch_related("breaks"))


def price_each(offer: Offer, packs: int) -> int:
    """Of one pack, when so many are bought."""
    return price_of(packs, offer.price_minor, [(one.from_packs, one.price_minor) for one in offer.breaks.all()])


def standing_offers(supplier: Supplier, on: date) -> QuerySet[Offer]:
    """What this supplier offers on that day."""
    valid = Q(valid_until=None) | Q(valid_until__gte=on)
    return Offer.objects.standing().filter(valid, supplier=supplier, valid_from__lte=on).prefetch_related("breaks")


def packs_for(containers: int, pack: int) -> int:
    return -(-containers // pack)


def best_offer(line: Want, offers: Iterable[Offer]) -> Offer | None:
    """Of offers in one currency, the cheapest for what is wanted; of an older price the newer one counts."""
    fitting = [offer for offer in newest(offers) if fits(line, offer)]
    if line.offer_id in {offer.pk for offer in fitting}:
        return next(offer for offer in fitting if offer.pk == line.offer_id)
    if line.nominal_milli is None:
        return min(fitting, key=lambda one: (one.price_minor / (one.nominal_milli * one.pack), one.pk), default=None)
    return min(fitting, key=lambda one: (total_of(one, packs_for(line.containers, one.pack)), one.pk), default=None)


def total_of(offer: Offer, packs: int) -> int:
    return packs * price_each(offer, packs)


def newest(offers: Iterable[Offer]) -> list[Offer]:
    """Of the prices of one product in one size and pack at one supplier, the last."""
    last: dict[tuple[object, ...], Offer] = {}
    for offer in sorted(offers, key=lambda one: (one.valid_from, one.pk)):
        product = offer.item_id or (offer.name.casefold(), offer.binder)
        last[(offer.supplier_id, product, offer.nominal_milli, offer.unit, offer.pack, offer.currency)] = offer
    return list(last.values())


def fits(line: Want, offer: Offer) -> bool:
    same = offer.item_id == line.item_id if line.item_id else offer.name.casefold() == line.words.casefold()
    size = line.nominal_milli is None or (offer.nominal_milli, offer.unit) == (line.nominal_milli, line.unit)
    return offer.pk == line.offer_id or (same and size)


def as_pack_offer(offer: Offer) -> PackOffer:
    """The offer as the arithmetic of packs takes it."""
    breaks = tuple((one.from_packs, one.price_minor) for one in offer.breaks.all())
    return PackOffer(offer.pk, offer.nominal_milli, offer.unit, offer.price_minor, offer.currency, offer.pack, breaks)
