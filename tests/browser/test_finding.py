"""Scanning, labels, what is owned, kept filters, edits of many and histories in a browser."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services
from inventory.models import Place
from inventory.reading import LabelTexts
from inventory.services import barcodes, finding
from inventory.services.paints import add_paint
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

# A browser that reads bar codes, with a camera that sees this one.
READER = """
window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["ean_13", "qr_code"]; }
  async detect() { return [{ rawValue: "%s" }]; }
};
navigator.mediaDevices.getUserMedia = async () => {
  window.asked = (window.asked ?? 0) + 1;
  return document.createElement("canvas").captureStream();
};
"""

pytestmark = pytest.mark.django_db(transaction=True)

EAN = "7300011000017"  # GS1 Sweden's worked example of a check digit


def test_what_is_found_has_no_barrier_and_many_are_moved_by_hand(enter, studio, keeper):
    call_command("load_reference", stdout=StringIO())
    here, there = (Place.objects.create(studio=studio, name=name) for name in ("Oil shelf", "Sink shelf"))
    paint = add_paint(studio, by=keeper, texts=LabelTexts("Ultramarine " * 6, "PB29"), binder="oil")
    first, _ = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=here, count=2)
    services.record_use(first, amount_milli=5_000, by=keeper)
    barcodes.link(studio, paint, code=EAN, by=keeper)
    kept = finding.save_filter(studio, by=keeper, name="K" * 80, query="binder=oil", shared=True)

    def at(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    pages = (
        at("shelf"),
        f"{at('shelf')}?pigment=blue&narrow=yes",
        at("scan"),
        f"{at('scan')}?code={EAN}",
        f"{at('scan')}?code=614141000036&q=ultra",
        f"{at('scan')}?code={EAN[:-1]}8",
        f"{at('barcode_add')}?code=614141000036",
        f"{at('own')}?q=PB29",
        f"{at('own')}?q=PY3",
        at("labels"),
        f"{at('labels')}?sheet=a4-3x7-63.5x38.1&numbers=x",
        at("filters"),
        f"{at('filters')}?query=binder%3Doil",
        at("filter", kept.pk),
        at("edit_many"),
        f"{at('edit_many')}?what=owner",
        at("person_history", keeper.memberships.get().pk),
        at("place_history", here.pk),
        at("item_history", paint.pk),
        at("stock_history"),
    )
    for device in (PHONE, DESK):
        page = enter(keeper, device)
        for url in pages:
            page.goto(url)
            unfold(page)
            assert barriers(page) == [], url
            assert overhang(page, device) <= 0, url
    # Typed by a hand scanner: the field has the focus, and its last key is Enter.
    page.goto(at("scan"))
    page.keyboard.type(EAN)
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="One more came")).to_be_visible()
    # Without a reader in the browser the page says so; with one the camera is asked for on a tap alone.
    page.goto(at("scan"))
    expect(page.get_by_text("This browser cannot read bar codes with the camera")).to_be_visible()
    page.add_init_script(READER % EAN)
    page.goto(at("scan"))
    start = page.get_by_role("button", name="Scan with the camera")
    expect(start).to_be_visible()
    assert page.evaluate("window.asked") is None
    start.click()
    expect(page.get_by_role("button", name="One more came")).to_be_visible()
    page.goto(f"{at('edit_many')}?what=move")
    page.get_by_label("To the place").select_option(str(there.pk))
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_text("2 of 2 would change")).to_be_visible()
    assert barriers(page) == []
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("2 tubes changed, each with its entry.")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Taken back for 2.")).to_be_visible()
