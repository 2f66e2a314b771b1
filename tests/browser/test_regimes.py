"""Regimes, limits, labels and handling levels in a browser: no barrier, no sideways scrolling, a rule set by hand."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services as shelf
from inventory.models import Binder
from inventory.reading import LabelTexts
from inventory.services import paints
from safety.models import HouseRule
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)

LABEL = "?codes=H301;H317;H400;H410;EUH208&sensitisers=BIT&size=37&unit=ml&ingredients=PY37+35;PB29"


def test_no_page_has_a_barrier_and_a_level_is_set_by_hand(enter, studio, keeper):
    call_command("load_reference", stdout=StringIO())
    for name, typed in (("Cadmium Yellow Medium", "PY37"), ("Burnt Umber", "PBr7")):
        item = paints.add_paint(studio, by=keeper, texts=LabelTexts(name=name, pigments=typed), binder=Binder.OIL)
        shelf.receive(studio, item, nominal_milli=37_000, unit="ml", by=keeper)

    def address(name, *args):
        return reverse(f"safety:{name}", args=[studio.slug, *args])

    pages = (
        address("regimes"),
        address("regime", "PY37"),
        address("regime", "PBr7"),
        address("limits"),
        address("label_check") + LABEL,
        address("handling_levels"),
        address("level_rule"),
    )
    for device, scheme in ((PHONE, "light"), (DESK, "dark")):
        page = enter(keeper, device, color_scheme=scheme)
        for url in pages:
            assert page.goto(url).status == 200
            page.wait_for_load_state()
            unfold(page)
            assert barriers(page) == [], url
            assert overhang(page, device) == 0, url
    page.goto(address("level_rule"))
    page.get_by_label("A metal").check()
    page.get_by_label("Which", exact=False).first.fill("cadmium")
    page.get_by_label("keeper's hands only").check()
    page.get_by_label("On whose word").fill("the keepers' meeting")
    page.get_by_role("button", name="Set it").click()
    expect(page.get_by_text("Set: A metal, cadmium: keeper's hands only.")).to_be_visible()
    assert HouseRule.objects.get().values == ["Cd"]
