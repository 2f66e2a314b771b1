"""Buying in a browser: no barrier and no sideways scrolling on any of its pages, and a parcel entered by hand."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from inventory.models import Tube
from inventory.services import buying
from inventory.services.levels import set_level
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def orders(studio, paint, tube, keeper):
    """Prices over time with long names, an order under way, one that is written, a list and its substitutes."""
    today = timezone.localdate()
    shop = buying.add_supplier(studio, name="The shop behind the " + "long" * 12, lead_days=10, contact="W" * 60)
    for days, price in ((400, 590), (100, 650), (1, 695)):
        offer = buying.add_offer(
            studio,
            supplier=shop,
            by=keeper,
            item=paint,
            code="029-37",
            nominal_milli=37_000,
            unit="ml",
            price_minor=price,
            currency="EUR",
            valid_from=today - timedelta(days=days),
            breaks=[buying.Break(6, price - 50)],
        )
    set_level(paint, by=keeper, level_tubes=9)
    buying.want(studio, item=paint, containers=2, nominal_milli=37_000, by=keeper, why="Short. " * 20)
    buying.add_order_day(studio, on=today + timedelta(days=30), note="Spring")
    buying.add_substitute(paint, words="French " * 10, codes="PB29", accepted=True, by=keeper)
    buying.add_substitute(paint, words="Hue", accepted=False, by=keeper, why="Too strong.")
    draft = buying.draft(studio, supplier=shop, by=keeper)
    buying.add_line(draft, packs=2, offer=offer)
    sent = buying.draft(studio, supplier=shop, by=keeper, reference="A-7")
    line = buying.add_line(sent, packs=3, offer=offer)
    buying.mark_sent(sent)
    buying.receive_delivery(sent, {line.pk: buying.Arrived(1)}, by=keeper, back_ordered=[line.pk])
    return {"draft": draft.pk, "sent": sent.pk, "supplier": shop.pk}


def test_the_pages_of_buying_have_no_barrier_and_take_a_parcel(enter, studio, paint, keeper, orders):
    def at(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    pages = [
        at("buying"),
        at("orders"),
        at("order", orders["draft"]),
        at("order", orders["sent"]),
        at("suppliers"),
        at("supplier", orders["supplier"]),
        at("offers"),
        at("offer_add"),
        f"{at('item_prices', paint.pk)}?need=300+ml",
        at("price_compare"),
        at("substitutes", paint.pk),
        at("order_days"),
    ]
    for device, scheme in ((PHONE, "light"), (DESK, "dark")):
        page = enter(keeper, device, color_scheme=scheme)
        for address in pages:
            assert page.goto(address).status == 200, address
            unfold(page)
            assert barriers(page) == [], address
            assert overhang(page, device) == 0, address
    page.goto(at("order", orders["sent"]))
    page.get_by_label("How many came").fill("2")
    page.get_by_role("button", name="Put on the shelf").click()
    expect(page.get_by_text("2 containers are on the shelf as no. 3 to 4.")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("The delivery is taken back")).to_be_visible()
    assert Tube.objects.in_use().count() == 2
