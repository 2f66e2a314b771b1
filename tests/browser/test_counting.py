"""A count in a browser: no barrier, no sideways scrolling, and a container counted by a tap."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services
from inventory.models import Condition
from inventory.services import stocktakes
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.parametrize(("device", "scheme"), [(PHONE, "light"), (DESK, "dark")], ids=["phone, light", "desk, dark"])
def test_a_count_has_no_barrier_and_a_tap_counts(enter, studio, keeper, paint, place, tube, device, scheme):
    others = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=2)
    services.record_use(others[1], amount_milli=7_000, by=keeper)
    services.lend(others[1], to="Somebody with a long name " * 3, by=keeper)
    services.examine(tube, condition=Condition.DRIED, by=keeper)
    begun = stocktakes.start(studio, place=place, by=keeper)
    stocktakes.count(begun, [stocktakes.Found(others[1], left_milli=20_000)], by=keeper)
    stocktakes.find(begun, paint, containers=2, nominal_milli=37_000, unit="ml", by=keeper)
    page = enter(keeper, device, color_scheme=scheme)
    names = ["stocktake", "stocktake_extra", "stocktake_sheet", "stocktake_differences"]
    addresses = [reverse("inventory:stocktakes", args=[studio.slug])]
    addresses += [reverse(f"inventory:{name}", args=[studio.slug, begun.pk]) for name in names]
    addresses += [reverse("inventory:tube", args=[studio.slug, each.number]) for each in (tube, others[1])]
    for address in addresses:
        assert page.goto(address).status == 200
        unfold(page)
        assert barriers(page) == [], address
        assert overhang(page, device) == 0, address
    page.goto(reverse("inventory:stocktake", args=[studio.slug, begun.pk]))
    page.locator(f"#no-{others[0].number}").get_by_role("button", name="As in the books").click()
    expect(page.get_by_text(f"{others[0]}: as in the books.")).to_be_visible()
