"""A list brought in by a browser: with a script and without, on a desk and on a phone, free of barriers."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from inventory.models import ImportBatch, Paint, Tube
from tests.browser.conftest import DESK, PHONE

pytestmark = pytest.mark.django_db(transaction=True)

LIST = Path(__file__).parents[1] / "inventory" / "exchange" / "studio_list.csv"


def check(page, width):
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []


@pytest.mark.parametrize("device", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_list_goes_all_the_way(enter, studio, teacher, pigments, device, script):
    page = enter(teacher, device, java_script_enabled=True)
    plain = page if script else enter(teacher, device, java_script_enabled=False)
    width = device["viewport"]["width"]

    def look():
        if not script:
            page.goto(plain.url)
        check(page, width)

    plain.goto(reverse("inventory:imports", args=[studio.slug]))
    look()
    plain.set_input_files("input[name=file]", LIST)
    plain.get_by_role("button", name="Read it").click()
    look()
    plain.get_by_role("button", name="Read the rows").click()
    look()
    plain.get_by_label("Type it again").fill("12")
    plain.get_by_label("Type it again").press("Enter")
    expect(plain.locator("main")).to_contain_text("1 row read again")
    plain.get_by_role("link", name="Doubtful").click()
    look()
    plain.get_by_role("button", name="Take it in").click()
    look()
    expect(plain.locator("main")).to_contain_text("13 paints and 28 tubes were added")
    assert (Paint.objects.count(), Tube.objects.count()) == (13, 28)


def test_a_long_list_is_read_on_its_own(enter, studio, teacher, pigments):
    text = "Name,Pigments,Size\n" + "".join(f"Blue {number},PB29,37 ml\n" for number in range(2500))
    page = enter(teacher)
    page.goto(reverse("inventory:imports", args=[studio.slug]))
    page.get_by_label("Or paste the list as text").fill(text)
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("button", name="Read the rows").click()
    page.wait_for_selector("text=What will be added")
    assert ImportBatch.objects.get().state == "ready"


@pytest.mark.parametrize("device", [DESK, PHONE], ids=["desk", "phone"])
def test_the_export_page_has_no_barrier(enter, studio, student, device):
    page = enter(student, device)
    page.goto(reverse("inventory:export", args=[studio.slug]))
    check(page, device["viewport"]["width"])
    with page.expect_download() as download:
        page.get_by_role("button", name="Download").click()
    assert download.value.suggested_filename.endswith(".csv")
