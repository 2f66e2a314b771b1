"""The safety record in a browser, full of all that it can hold: no barrier, no sideways scrolling, a record by hand."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from inventory import services as shelf
from inventory.models import Binder
from inventory.reading import LabelTexts
from inventory.services import paints
from safety import services
from safety.models import DataSheet
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import faults
from tests.safety.sheet_files import PDF

pytestmark = pytest.mark.django_db(transaction=True)

PAGES = (
    "notices",
    "item",
    "sheet_add",
    "label_add",
    "hang",
    "sheet_withdraw",
    "sheet_looked",
    "health_question",
    "sheets",
)


@pytest.fixture
def record(studio, keeper):
    """One paint with sheets, words of its label and notices that hang and are out of date; two more without."""
    call_command("load_reference", stdout=StringIO())
    for name, typed in (("Cadmium Yellow Medium", "PY37"), ("Прозрачный " * 8, "PB29, PX?"), ("Zinc White", "PW4")):
        item = paints.add_paint(studio, by=keeper, texts=LabelTexts(name=name, pigments=typed), binder=Binder.OIL)
        shelf.receive(studio, item, nominal_milli=37_000, unit="ml", by=keeper)
    yellow, white = studio.items.get(name__startswith="Cadmium"), studio.items.get(name__startswith="Zinc")
    today = timezone.localdate()
    notice = services.make_notice(yellow, by=keeper, page_url="https://paints.example/")
    services.hang(notice, where="W" * 60, by=keeper)
    services.make_notice(white, by=keeper, page_url="https://paints.example/")
    old = services.record_sheet(yellow, by=keeper, product="Another yellow", read_on=today, h_codes="H302")
    services.withdraw(old, by=keeper, why="It was the sheet of another yellow.")
    sheet = services.record_sheet(
        yellow,
        by=keeper,
        product="Yellow 37 " * 12,
        read_on=today,
        signal_word="Danger",
        h_codes="H350; H341; H361fd; H372 (lungs); H302; H413; H35O; EUH208 (1,2-benzisothiazol-3(2H)-one)",
        printed_so=True,
        ufi="N1QV-R02N-J00M-WQD6",
        other_hazards="Dust may form an explosive mixture with air. " * 4,
        conformity="Conforms to ASTM D4236",
        review_on=today + timedelta(days=1),
        file=SimpleUploadedFile(f"{'long' * 30}.pdf", PDF),
        p_codes="P201; P260; P280; P308 + P313; P501",
        pictograms=["GHS07", "GHS08"],
    )
    services.record_label_statement(yellow, by=keeper, read_on=today, text="Contains cadmium. " * 20)
    return {"item": yellow.pk, "notice": notice.pk, "sheet": sheet.pk}


def address(studio, record, name):
    kind = {
        "notices": None,
        "sheets": None,
        "hang": "notice",
        "sheet_withdraw": "sheet",
        "sheet_looked": "sheet",
    }
    if name == "health_question":
        return reverse("safety:health_question", args=[studio.slug, "asthma"])
    which = kind.get(name, "item")
    return reverse(f"safety:{name}", args=[studio.slug, *([record[which]] if which else [])])


def test_no_page_has_a_barrier_or_scrolls_sideways(enter, studio, teacher, record):
    pages = [address(studio, record, name) for name in PAGES]
    for device, scheme in ((PHONE, "light"), (DESK, "dark")):
        page = enter(teacher, device, color_scheme=scheme)
        assert faults(page, device, pages) == {}, scheme


def test_signs_are_drawn(enter, studio, teacher, record):
    page = enter(teacher)
    page.goto(address(studio, record, "item"))
    widths = page.evaluate("[...document.querySelectorAll('.sign img')].map(each => each.naturalWidth)")
    assert len(widths) == 2
    assert all(widths)


def test_a_sheet_is_recorded_by_hand_after_a_slip(enter, studio, teacher, record):
    page = enter(teacher, PHONE)
    page.goto(address(studio, record, "sheet_add"))
    page.get_by_label("Product name").fill("Yellow 38")
    page.get_by_label("Hazard statements").fill("H35O; H302")
    page.get_by_label("Danger").check()
    page.get_by_label("Health hazard").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Did you mean H350?")).to_be_visible()
    page.get_by_label("Hazard statements").fill("H350; H302")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("The sheet is recorded: Yellow 38")).to_be_visible()
    sheet = DataSheet.objects.get(product="Yellow 38")
    assert (sheet.h_codes, sheet.signal_word, sheet.pictograms) == ("H350; H302", "Danger", "GHS08")


def test_a_notice_is_renewed_from_the_list(enter, studio, teacher, record):
    page = enter(teacher, PHONE)
    page.goto(address(studio, record, "notices"))
    page.get_by_role("button", name="Make 2 notices").click()
    expect(page.get_by_text("2 notices are made.")).to_be_visible()
    page.get_by_role("link", name="Say where it hangs for Cadmium Yellow Medium").click()
    page.get_by_label("Where it hangs").fill("W" * 60)
    page.get_by_role("button", name="It hangs there").click()
    page.goto(address(studio, record, "notices"))
    expect(page.get_by_role("heading", name="As known now: 3")).to_be_visible()
