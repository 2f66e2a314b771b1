"""Pages of palettes as a browser sees them: on a phone and at a desk, by axe, and with nothing beside the page."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from inventory.models import Paint
from inventory.queries import remembered
from inventory.services.palettes import Line, save_palette
from tests.browser.conftest import DESK, PHONE
from tests.inventory.test_wheel_page import shelve

pytestmark = pytest.mark.django_db(transaction=True)

SHELF = (
    ("Titanium White", "PW6"),
    ("Hansa Yellow Light", "PY3"),
    ("Ultramarine Blue", "PB29"),
    ("Burnt Sienna with a long name of its own, series two", "PBr7"),
    ("Label gone", ""),
)


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_fits_and_passes_axe(enter, studio, teacher, pigments, device):
    remembered.forget_all()
    paints = shelve(studio, teacher, SHELF)
    palette = save_palette(studio, name="Four", binder="oil", lines=[Line(paint=one) for one in paints], by=teacher)
    blue, sienna = (Paint.objects.get(name=name).pk for name in (SHELF[2][0], SHELF[3][0]))
    inside = [studio.slug, palette.pk]
    addresses = [
        reverse("inventory:palettes", args=[studio.slug]),
        reverse("inventory:palette_design", args=[studio.slug]) + "?size=40",
        reverse("inventory:palette_design", args=[studio.slug]) + "?size=9",
        reverse("inventory:palette_new", args=[studio.slug]),
        reverse("inventory:palette_change", args=inside),
        reverse("inventory:palette_temperature", args=inside) + f"?from={blue}&to={sienna}&value=5",
        *(
            reverse(f"inventory:{name}", args=inside)
            for name in ("palette", "palette_neutrals", "palette_layers", "palette_chart")
        ),
    ]
    page = enter(teacher, device)
    for address in addresses:
        page.goto(address)
        page.wait_for_load_state()
        assert page.evaluate("document.documentElement.scrollWidth") <= device["viewport"]["width"], address
        found = Axe().run(page).response["violations"]
        assert not found, [(address, one["id"], one["nodes"][0]["html"]) for one in found]
    # From a question to a saved palette.
    page.goto(reverse("inventory:palette_design", args=[studio.slug]))
    page.get_by_label("Tubes").fill("3")
    page.get_by_role("button", name="Find the tubes").click()
    expect(page.get_by_text("none reaches more")).to_be_visible()
    page.get_by_label("Name").fill("Three for Tuesday")
    page.get_by_role("button", name="Save this palette").click()
    expect(page.get_by_role("heading", name="Three for Tuesday")).to_be_visible()
