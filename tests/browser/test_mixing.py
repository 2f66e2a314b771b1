"""Mixtures, ways to a colour, layers and the evidence as a browser sees them: with script, without, and by axe."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services
from inventory.models import Binder, Paint, PaintPigment, Pigment, PigmentsKnown
from inventory.services.swatches import refresh_swatches
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import faults_in_both_schemes

pytestmark = pytest.mark.django_db(transaction=True)

SHELF = (
    ("Titanium White", "PW6"),
    ("Hansa Yellow Light", "PY3"),
    ("Ultramarine Blue", "PB29"),
    ("Burnt Sienna with a long name of its own, series two", "PBr7"),
    ("Label gone", ""),
)


@pytest.fixture
def shelf(studio, keeper, pigments):
    made = {}
    for binder in (Binder.OIL, Binder.ACRYLIC):
        for name, code in SHELF:
            known = PigmentsKnown.SETTLED if code else PigmentsKnown.UNKNOWN
            paint = Paint.objects.create(studio=studio, name=name, binder=binder, pigments_known=known)
            if code:
                pigment = Pigment.objects.get(ci_name=code)
                PaintPigment.objects.create(paint=paint, position=0, code=code, pigment=pigment)
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
            made.setdefault(name, paint)
    refresh_swatches(Paint.objects.all())
    return made


def address(studio, name, query=""):
    return reverse(f"inventory:{name}", args=[studio.slug]) + query


def everything(studio, shelf):
    blue, yellow, gone = (shelf[name].pk for name in ("Ultramarine Blue", "Hansa Yellow Light", "Label gone"))
    return [
        address(studio, "mix"),
        address(studio, "mix", f"?paint_1={blue}&parts_1=2&paint_2={yellow}"),
        address(studio, "mix", f"?paint_1={blue}&parts_1=-2&paint_2={gone}"),
        address(studio, "mix", f"?paint_1={blue}&paint_2={gone}"),
        address(studio, "seek"),
        address(studio, "seek", "?text=5BG+4/8"),
        address(studio, "seek", "?text=50,0,0"),
        address(studio, "layers", f"?paint={blue}&under=paint&ground={yellow}"),
        address(studio, "layers", "?paint=&under=colour"),
        address(studio, "strength"),
        address(studio, "evidence"),
    ]


def test_no_page_has_a_barrier_or_scrolls_sideways(enter, studio, keeper, shelf):
    for device in (DESK, PHONE):
        page = enter(keeper, device, bypass_csp=True)
        for url in everything(studio, shelf):
            page.goto(url)
            page.wait_for_selector("#working", state="detached", timeout=60_000)
            assert faults_in_both_schemes(page) == [], url


def test_the_mixture_changes_while_its_parts_are_typed(enter, studio, keeper, shelf):
    page = enter(keeper)
    page.goto(address(studio, "mix"))
    page.get_by_label("Paint 1", exact=True).select_option(label="Ultramarine Blue, PB29")
    page.get_by_label("Paint 2", exact=True).select_option(label="Titanium White, PW6")
    page.get_by_role("img", name="beside them their mixture").wait_for()
    first = page.locator(".mixture > rect").last.get_attribute("fill") or ""
    page.get_by_label("Parts of paint 2").fill("9")
    expect(page.locator(".mixture > rect").last).not_to_have_attribute("fill", first)
    expect(page).to_have_url(re.compile("parts_2=9"))
    expect(page).not_to_have_url(re.compile("paint_3"))
    said = page.locator("[data-said]").text_content()
    assert "Likely within" in said
    # What the address has, the page shows anew.
    shown = page.locator("#answer").inner_text()
    page.reload()
    assert page.locator("#answer").inner_text() == shown
    assert page.get_by_label("Parts of paint 2").input_value() == "9"


def test_what_is_wrong_is_said_while_typing_and_nothing_typed_is_lost(enter, studio, keeper, shelf):
    page = enter(keeper)
    blue, white = shelf["Ultramarine Blue"].pk, shelf["Titanium White"].pk
    page.goto(address(studio, "mix", f"?paint_1={blue}&paint_2={white}"))
    page.get_by_label("Parts of paint 2").fill("-3")
    expect(page.locator("#answer .not-saved")).to_contain_text("“-3” is out of range")
    assert page.get_by_label("Parts of paint 2").input_value() == "-3"


def test_a_lost_connection_is_said(enter, studio, keeper, shelf):
    page = enter(keeper)
    blue, white = shelf["Ultramarine Blue"].pk, shelf["Titanium White"].pk
    page.goto(address(studio, "mix", f"?paint_1={blue}&paint_2={white}"))
    page.route("**/mix/**", lambda route: route.fulfill(status=404))
    page.get_by_label("Parts of paint 2").fill("3")
    expect(page.locator("[data-said]")).to_contain_text("The answer did not come. Press the button to ask again.")


def test_without_script_all_is_there(enter, studio, keeper, shelf):
    page = enter(keeper, java_script_enabled=False)
    page.goto(address(studio, "mix"))
    page.get_by_label("Paint 1", exact=True).select_option(label="Ultramarine Blue, PB29")
    page.get_by_label("Paint 2", exact=True).select_option(label="Titanium White, PW6")
    page.get_by_label("Parts of paint 2").fill("4")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name="Its tints")).to_be_visible()
    page.get_by_role("link", name="Find a colour").click()
    page.get_by_label("Wanted colour").fill("5PB 4/8")
    page.get_by_role("button", name="Find ways to it").click()
    expect(page.get_by_role("heading", name=re.compile("Wanted: "))).to_be_visible()
    page.get_by_role("link", name="Change this mixture").first.click()
    expect(page.get_by_role("heading", name="Mix", exact=True)).to_be_visible()
    page.get_by_role("link", name="Layers").click()
    page.get_by_label("Paint", exact=True).select_option(str(shelf["Ultramarine Blue"].pk))
    page.get_by_role("button", name="Lay it").click()
    expect(page.get_by_role("heading", name="Ultramarine Blue over black")).to_be_visible()
    page.goto(address(studio, "evidence"))
    for _ in range(60):
        page.wait_for_load_state()
        if page.get_by_role("link", name="Continue").count() == 0:
            break
        page.get_by_role("link", name="Continue").click()
    expect(page.get_by_role("heading", name="Facts of the trade")).to_be_visible()
