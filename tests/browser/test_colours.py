"""The colour of a paint in a browser: no barrier at any width, with and without a script."""

import re

import pytest
from django.urls import reverse

from inventory.models import Measurement
from inventory.reading import LabelTexts
from inventory.services.colours import Beside, add_colour
from inventory.services.paints import add_paint
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, faults
from tests.inventory.test_colour_pages import photo

pytestmark = pytest.mark.django_db(transaction=True)

D65_10 = {"illuminant": "D65", "observer": "10"}


@pytest.fixture
def blue(studio, teacher, pigments):
    texts = LabelTexts(name="Ultramarine Blue", pigments="PB29", lightfastness="", opacity="", strength="")
    paint = add_paint(studio, by=teacher, texts=texts, binder="oil")
    add_colour(paint, by=teacher, beside=Beside("masstone"), text="28.1, 16.0, -34.1", **D65_10)
    add_colour(paint, by=teacher, beside=Beside("tint-1-9"), text="76.6, -0.6, -25.6", **D65_10)
    add_colour(paint, by=teacher, beside=Beside("over-black"), text="#1a1a2f", **D65_10)
    return paint


def test_no_colour_page_has_a_barrier_or_scrolls_sideways(enter, teacher, studio, blue):
    pages = [reverse(f"inventory:{name}", args=[studio.slug]) for name in ("colours", "colours_work_out")]
    pages.append(reverse("inventory:paint_colour", args=[studio.slug, blue.pk]))
    for device, scheme in ((PHONE, "dark"), (DESK, "light")):
        page = enter(teacher, device, color_scheme=scheme)
        assert faults(page, device, pages) == {}, scheme


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_colour_is_typed_refused_and_kept(enter, teacher, studio, blue, script):
    page = enter(teacher, PHONE, java_script_enabled=script)
    page.goto(reverse("inventory:paint_colour", args=[studio.slug, blue.pk]))
    page.get_by_text("Type a colour").click()
    form = page.locator("#give-colour")
    form.get_by_label("Swatch").select_option("Tint 1:1")
    form.get_by_label(re.compile("^Colour")).fill("NaN, 2, -40")
    form.get_by_role("button", name="Keep this colour").click()
    assert "is no number" in page.locator("#give-colour").inner_text()
    assert page.locator("#give-colour").get_by_label(re.compile("^Colour")).input_value() == "NaN, 2, -40"
    if script:
        assert barriers(page) == []
    form = page.locator("#give-colour")
    form.get_by_label(re.compile("^Colour")).fill("55.0, 5.0, -42.0")
    form.get_by_label(re.compile("^Illuminant")).select_option("D65")
    form.get_by_label(re.compile("^Observer")).select_option("10 degrees")
    form.get_by_role("button", name="Keep this colour").click()
    page.get_by_text("tint 1:1 is kept").wait_for()
    assert Measurement.objects.filter(kind="tint-1-1").get().text == "55.0, 5.0, -42.0"


def test_tapping_the_corners_fills_their_fields(enter, teacher, studio, blue):
    page = enter(teacher, DESK)
    page.goto(reverse("inventory:paint_colour", args=[studio.slug, blue.pk]))
    page.get_by_text("A photo of the swatch card").click()
    card = photo()
    page.locator("#give-photo input[type=file]").set_input_files(
        {"name": "card.png", "mimeType": "image/png", "buffer": card.read()}
    )
    drawing = page.locator("#give-photo svg")
    drawing.wait_for()
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    drawing.click(position={"x": box["width"] * 0.25, "y": box["height"] * 0.1})
    x, y = map(float, page.get_by_label("Upper left corner").input_value().split(","))
    assert (x, y) == (pytest.approx(0.25, abs=0.01), pytest.approx(0.1, abs=0.01))
