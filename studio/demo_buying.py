"""What the demo studio knows of buying: two invented suppliers, their prices, orders in every state, and a list."""

from collections.abc import Collection, Iterator
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone

from inventory.labels.money import read_money
from inventory.models import Binder, Item, Offer, OfferBreak, Order, Paint, Pigment, Place, ServiceKind, Supplier
from inventory.services import buying
from inventory.services.policy import set_policy
from studio.models import Studio, User

SHOP, POST = "The colour shop in the yard", "School materials by post"
# Of a tube of 37 ml or 75 ml at the shop, in cents, by series.
BASE = {"1": 690, "2": 890, "3": 1_150, "4": 1_690, "5": 2_450}
SIZES = {Binder.OIL: (37_000, 150_000), Binder.ACRYLIC: (75_000, 250_000)}
# A large tube costs so many small ones.
LARGE = {Binder.OIL: 2.9, Binder.ACRYLIC: 2.4}
# Days ago, and thousandths of today's price.
EARLIER = ((520, 880), (240, 940))
SUBSTITUTES = (
    ("Ultramarine Blue", "French Ultramarine", "PB29", True, "The same pigment under its other name."),
    ("Ultramarine Blue", "Ultramarine hue of phthalo blue", "PB15 + PW6", False, "It tints far more strongly."),
    ("Viridian", "Viridian hue", "PG7", False, "Phthalo green; the exercises need the weak one."),
    ("Titanium White", "Titanium white with some zinc", "PW6 + PW4", True, ""),
    ("Titanium White", "Mixing white", "PW6 + PW18", False, "Extended with chalk, so it tints weakly."),
    ("Alizarin Crimson", "Any permanent crimson", "PV19 + PR177", True, "Lasts longer in light."),
)


def deeds(studio: Studio, keeper: User, member: User) -> Iterator[tuple[int, int, Any]]:
    """Each deed as days ago, hour, and what to do at that moment."""
    orders: dict[str, Order] = {}
    yield 530, 10, lambda at: _set_up(studio, keeper)
    yield 60, 10, lambda at: _order(orders, studio, SHOP, "2409", keeper, at, _PAST)
    yield 44, 11, lambda at: _receive(orders["2409"], {"Zinc White": 2}, member, at, back={"Raw Umber"})
    yield 29, 12, lambda at: _receive(orders["2409"], {"Raw Umber": 1, "Naphthol Red": 1}, member, at)
    yield 9, 10, lambda at: _order(orders, studio, POST, "M-118", keeper, at, _OPEN)
    yield 2, 11, lambda at: _receive(orders["M-118"], {"Burnt Sienna": 1}, member, at, back={"Cadmium Red Light"})
    yield 1, 16, lambda at: _want(studio, member, keeper)


_PAST = (("Zinc White", 2), ("Raw Umber", 1), ("Naphthol Red", 1))
_OPEN = (("Burnt Sienna", 1), ("Cadmium Red Light", 1), ("Hansa Yellow Light", 2))


def _oil(studio: Studio, name: str) -> Item:
    return Item.objects.get(studio=studio, name=name, paint__binder=Binder.OIL)


def _set_up(studio: Studio, keeper: User) -> None:
    """Suppliers and their prices, as if they had been written down from time to time."""
    shop = buying.add_supplier(
        studio, name=SHOP, lead_days=10, lead_days_sd=4, contact="Ask for the school list. (Invented.)"
    )
    post = buying.add_supplier(studio, name=POST, lead_days=21, lead_days_sd=6, contact="By post only. (Invented.)")
    today = timezone.localdate()
    paints = list(Paint.objects.filter(studio=studio, binder__in=SIZES).order_by("pk"))
    _prices(paints, shop, post, keeper, today)
    buying.add_offer(
        studio,
        supplier=shop,
        by=keeper,
        name="Quinacridone Magenta",
        code="122-37",
        nominal_milli=37_000,
        unit="ml",
        price_minor=1_190,
        currency="EUR",
        price_text="11,90 €",
        valid_from=today - timedelta(days=40),
        binder=Binder.OIL,
        pigment=Pigment.objects.filter(ci_name="PR122").first(),
        series="3",
    )


def _prices(paints: list[Paint], shop: Supplier, post: Supplier, keeper: User, today: date) -> None:
    offers = []
    for number, paint in enumerate(paints, start=100):
        small, large = SIZES[Binder(paint.binder)]
        price = BASE.get(paint.series, 1_150)
        big = round(price * LARGE[Binder(paint.binder)] / 5) * 5
        dates = [(40, 1000)] + (list(EARLIER) if number % 3 else [])
        for days, permille in dates:
            told = round(price * permille / 5_000) * 5
            offers.append(_offer(paint, shop, keeper, f"{number}-S", small, told, today - timedelta(days=days)))
        offers.append(_offer(paint, shop, keeper, f"{number}-L", large, big, today - timedelta(days=40)))
        offers.append(_offer(paint, post, keeper, f"M{number}", small, price - 30, today - timedelta(days=90)))
    Offer.objects.bulk_create(offers)
    breaks = [
        OfferBreak(offer=offer, from_packs=from_packs, price_minor=offer.price_minor * percent // 100)
        for offer in offers
        if offer.supplier_id == post.pk and offer.price_minor < 900
        for from_packs, percent in ((6, 92), (12, 85))
    ]
    OfferBreak.objects.bulk_create(breaks)


def _offer(paint: Paint, supplier: Supplier, by: User, code: str, size: int, price: int, valid_from: date) -> Offer:
    return Offer(
        supplier=supplier,
        item=paint,
        name=paint.name,
        code=code,
        binder=paint.binder,
        series=paint.series,
        nominal_milli=size,
        unit="ml",
        price_minor=price,
        currency="EUR",
        price_text=f"{price // 100},{price % 100:02d} €",
        valid_from=valid_from,
        by=by,
    )


def _order(
    orders: dict[str, Order],
    studio: Studio,
    supplier: str,
    reference: str,
    by: User,
    at: datetime,
    lines: tuple[tuple[str, int], ...],
) -> None:
    seller = Supplier.objects.get(studio=studio, name=supplier)
    order = buying.draft(studio, supplier=seller, by=by, reference=reference)
    for name, packs in lines:
        small = SIZES[Binder.OIL][0]
        offers = Offer.objects.filter(supplier=seller, item=_oil(studio, name), nominal_milli=small)
        buying.add_line(order, packs=packs, offer=offers.order_by("-valid_from")[0])
    orders[reference] = buying.mark_sent(order, placed_on=timezone.localdate(at))


def _receive(order: Order, came: dict[str, int], by: User, at: datetime, back: Collection[str] = ()) -> None:
    lines = {line.name: line.pk for line in order.lines.all()}
    buying.receive_delivery(
        order,
        {lines[name]: buying.Arrived(count) for name, count in came.items()},
        by=by,
        at=at,
        place=Place.objects.get(studio=order.studio, name="Oil shelf"),
        back_ordered=[lines[name] for name in back],
    )


def _want(studio: Studio, member: User, keeper: User) -> None:
    for name, words, codes, accepted, why in SUBSTITUTES:
        buying.add_substitute(_oil(studio, name), words=words, codes=codes, accepted=accepted, why=why, by=keeper)
    set_policy(
        studio,
        by=keeper,
        service_kind=ServiceKind.CYCLE,
        service_permille=950,
        review_days=None,
        default_lead_days=14,
        order_cost=read_money("6.90", currency=studio.currency),
        holding_percent=20,
    )
    for days, note in ((69, "Spring order"), (251, "Autumn order")):
        buying.add_order_day(studio, on=timezone.localdate() + timedelta(days=days), note=note)
    white = _oil(studio, "Titanium White")
    buying.want(
        studio,
        item=white,
        containers=2,
        nominal_milli=150_000,
        by=member,
        why="Below its level, and the portrait class needs more.",
    )
    magenta = Offer.objects.get(supplier__studio=studio, name="Quinacridone Magenta")
    buying.want(
        studio,
        words=magenta.name,
        containers=1,
        nominal_milli=magenta.nominal_milli,
        offer=magenta,
        by=keeper,
        why="The palette has no cool red that lasts.",
    )
