"""The wheel as a browser sees it: no barrier, no sideways scrolling, by keyboard, and without script."""

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
    ("Cadmium Red Light", "PR108"),
    ("Ultramarine Blue", "PB29"),
    ("French Ultramarine", "PB29"),
    ("Bone Black", "PBk9"),
    ("Label gone", ""),
)
PAGES = ("wheel", "wheel_table", "wheel_same_job", "wheel_next", "wheel_cell", "wheel_choose")
MORE = (
    ("wheel_compare", "?binder=oil&other_binder=acrylic"),
    ("wheel_next", "?lasting=on&without=cadmium&instead={first}"),
    ("wheel", "?without={first}"),
    ("wheel", "?set=chosen&p={first}-{last}"),
    ("wheel", "?set=chosen"),
    ("wheel_cell", "?level=90&hue=300"),
)


@pytest.fixture
def shelf(studio, keeper, pigments):
    made = []
    for binder in (Binder.OIL, Binder.ACRYLIC):
        for name, code in SHELF:
            known = PigmentsKnown.SETTLED if code else PigmentsKnown.UNKNOWN
            paint = Paint.objects.create(studio=studio, name=name, binder=binder, pigments_known=known)
            if code:
                pigment = Pigment.objects.get(ci_name=code)
                PaintPigment.objects.create(paint=paint, position=0, code=code, pigment=pigment)
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
            made.append(paint)
    refresh_swatches(made)
    return made


def address(studio, name):
    return reverse(f"inventory:{name}", args=[studio.slug])


def test_no_page_has_a_barrier_or_scrolls_sideways(enter, studio, keeper, shelf):
    query_of = {"first": shelf[0].pk, "last": shelf[-1].pk}
    pages = [address(studio, name) + query.format(**query_of) for name, query in [*((one, "") for one in PAGES), *MORE]]
    for device in (DESK, PHONE):
        page = enter(keeper, device, bypass_csp=True)
        for url in pages:
            page.goto(url)
            page.locator("#working").wait_for(state="detached")
            assert faults_in_both_schemes(page) == [], url


@pytest.mark.usefixtures("shelf")
def test_the_policy_refuses_nothing_and_without_script_all_is_there(enter, studio, keeper):
    for options in ({}, {"java_script_enabled": False}):
        page = enter(keeper, DESK, **options)
        page.goto(address(studio, "wheel"))
        page.get_by_role("link", name="Value L* 70, light").click()
        expect(page).to_have_url(re.compile("level=70"))
        expect(page.get_by_role("img", name="Wheel of the oil paints at value L* 70")).to_be_visible()
        page.get_by_role("link", name="Acrylic, 6 paints").click()
        expect(page.get_by_role("img", name="Wheel of the acrylic paints at value L* 70")).to_be_visible()
        page.get_by_role("link", name="The same as a table").click()
        expect(page.get_by_role("heading", name="Hues at value L* 70, light, acrylic")).to_be_visible()


@pytest.mark.usefixtures("shelf")
def test_every_way_on_is_reached_by_keyboard_in_the_order_of_the_page(enter, studio, keeper):
    page = enter(keeper)
    page.goto(address(studio, "wheel"))
    reached = []
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate("""() => {
            const now = document.activeElement;
            return now.ariaLabel || now.textContent.trim().replace(/\\s+/g, ' ');
        }""")
        )
    for first, second in (
        ("Choose the next tube", "Paints that do the same job"),
        ("Paints that do the same job", "Oil, 6 paints"),
        ("Oil, 6 paints", "The same as a table"),
        ("The same as a table", "Value L* 90, light"),
    ):
        assert reached.index(first) < reached.index(second)


@pytest.mark.usefixtures("shelf")
def test_reached_cells_are_painted_and_all_else_is_grey(enter, studio, keeper):
    page = enter(keeper)
    page.goto(address(studio, "wheel"))
    greys = page.evaluate(
        """[...document.querySelectorAll('main *')].flatMap(each => {
            const style = getComputedStyle(each);
            const own = each.hasAttribute('fill') ? [] : [style.fill];
            return [style.color, style.backgroundColor, style.stroke, style.borderTopColor, ...own];
        })"""
    )
    numbers = [re.findall(r"[\d.]+", value)[:3] for value in greys if value.startswith("rgb")]
    assert all(len(set(value)) == 1 for value in numbers)
    fills = page.eval_on_selector_all(".wheel path[fill]", "all => all.map(each => each.getAttribute('fill'))")
    assert len(fills) > 36
    assert all(re.fullmatch("#[0-9a-f]{6}", fill) for fill in fills)


@pytest.mark.usefixtures("shelf")
def test_a_tube_is_taken_away_at_once_and_put_back(enter, studio, keeper):
    page = enter(keeper)
    page.goto(address(studio, "wheel"))
    requests = []
    page.on("request", lambda request: requests.append(request.url))
    shape = page.locator("[data-fallen-shown]")
    assert shape.get_attribute("d") == ""
    link = page.get_by_role("link", name="Take away Hansa Yellow Light")
    link.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Without Hansa Yellow Light")).to_be_visible()
    assert shape.get_attribute("d").startswith("M")
    expect(page).to_have_url(re.compile("without="))
    # The drawing lies above: the row says it as well.
    expect(page.get_by_role("row").filter(has=link.or_(page.get_by_role("link", name="Put back")))).to_contain_text(
        "Without Hansa Yellow Light"
    )
    page.get_by_role("link", name="Take away Cadmium Red Light").click()
    expect(page.get_by_role("status").filter(has_text="Without Cadmium Red Light")).to_be_visible()
    expect(page.get_by_role("link", name="Put back")).to_have_count(1)
    page.get_by_role("link", name="Put back Cadmium Red Light").click()
    assert shape.get_attribute("d") == ""
    expect(page).not_to_have_url(re.compile("without="))
    number = page.get_by_role("link", name="Take away Hansa Yellow Light").get_attribute("data-number")
    drop = page.locator(f".wheel-over a[data-number='{number}']")
    drop.click()
    expect(page.get_by_role("status").filter(has_text="Without Hansa Yellow Light")).to_be_visible()
    drop.click()
    expect(page.get_by_role("link", name="Put back")).to_have_count(0)
    # An icon is looked for again when the address changes.
    assert [url for url in requests if "/static/" not in url] == []


@pytest.mark.usefixtures("shelf")
def test_without_script_a_tube_is_taken_away_by_the_server(enter, studio, keeper):
    page = enter(keeper, java_script_enabled=False)
    page.goto(address(studio, "wheel"))
    page.get_by_role("link", name="Take away Hansa Yellow Light").click()
    expect(page.get_by_role("status").filter(has_text="Without Hansa Yellow Light")).to_be_visible()
    page.get_by_role("link", name="Put all back").click()
    expect(page.get_by_role("link", name="Put back")).to_have_count(0)


@pytest.mark.usefixtures("shelf")
def test_a_sector_leads_to_its_mixtures_by_pointer_and_by_the_table(enter, studio, keeper):
    page = enter(keeper)
    page.goto(address(studio, "wheel"))
    box = page.locator(".wheel-over").bounding_box()
    # A little to the right of the centre: hue 0.
    page.mouse.click(box["x"] + box["width"] * 182 / 332, box["y"] + box["height"] * 150 / 316)
    page.wait_for_url("**/wheel/cell/?level=50&hue=0")
    page.goto(address(studio, "wheel_table"))
    page.get_by_role("link", name="red-violet, 0°").click()
    expect(page.get_by_role("heading", name="Red-violet, middle")).to_be_visible()


@pytest.mark.usefixtures("shelf")
def test_paints_are_ticked_and_shown_without_script(enter, studio, keeper):
    page = enter(keeper, java_script_enabled=False)
    page.goto(address(studio, "wheel_choose"))
    for name in ("Titanium White PW6", "Ultramarine Blue PB29"):
        page.get_by_role("group", name="Oil").get_by_label(name).check()
    page.get_by_role("button", name="Show the wheel of these").click()
    expect(page.get_by_text("2 chosen paints, oil.")).to_be_visible()
    page.get_by_role("link", name="The same as a table").click()
    expect(page.get_by_text("2 chosen paints, oil.")).to_be_visible()
