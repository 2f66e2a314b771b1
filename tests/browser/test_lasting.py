"""What may fade, in a browser: no barrier and no sideways scrolling on any of its pages, and a reading written down."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from inventory.services import imports, lasting
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold
from tests.inventory.test_import import ready

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_pages_of_what_may_fade_have_no_barrier_and_take_a_reading(
    enter, studio, paint, tube, teacher, keeper, pigments
):
    began = timezone.localdate() - timedelta(days=60)
    test = lasting.start_test(studio, paint=paint, by=teacher, started_on=began, text="#a03040", swatch="w" * 80)
    for days, text in ((20, "#a84858"), (40, "#b06070")):
        on = began + timedelta(days=days)
        lasting.add_reading(test, by=teacher, on=on, text=text, exposure="hours", amount=days * 8)
    lasting.withdraw_reading(test, test.readings.latest("pk").pk)
    lasting.remove_work(lasting.add_work(studio, by=teacher, title="Gone", items=[paint]))
    work = lasting.add_work(studio, by=teacher, title="A very long title " * 8, where="W" * 150, items=[paint])
    batch = ready(studio, keeper)
    imports.commit(batch, by=keeper)

    def at(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    pages = [at("lasting"), at("works"), at("work", work.pk), at("light_tests"), at("light_test", test.pk)]
    pages += [at("import_take_back", batch.pk), at("import", batch.pk)]
    for device, scheme in ((DESK, "dark"), (PHONE, "light")):
        page = enter(teacher, device, color_scheme=scheme)
        for address in pages:
            assert page.goto(address).status == 200, address
            unfold(page)
            assert barriers(page) == [], address
            assert overhang(page, device) == 0, address
    page.goto(at("light_test", test.pk))
    page.get_by_label("Colour", exact=True).fill("167, 0, 0")
    page.get_by_label("Hours, or the number of the blue wool").fill("400")
    page.get_by_role("button", name="Keep the reading").click()
    expect(page.locator("main")).to_contain_text("L* is 167, but lightness runs from 0 (black) to 100 (white)")
    page.get_by_label("Colour", exact=True).fill("#b06070")
    page.get_by_role("button", name="Keep the reading").click()
    expect(page.locator("main")).to_contain_text("400 hours of daylight")
