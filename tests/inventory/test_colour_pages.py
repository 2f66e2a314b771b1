"""The pages of colours: what they say, what they ask, what they refuse."""

import re
from io import BytesIO

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.colour.appearance import srgb
from inventory.measuring.card import COLOURS, GREYS, HEIGHT_MM, PAPER, READ, WIDTH_MM
from inventory.models import CurveState, Measurement, Paint, PaintCurve
from inventory.reading import LabelTexts
from inventory.services.paints import add_paint

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

MASSTONE = {"way": "colour", "kind": "masstone", "text": "28.1, 16.0, -34.1", "illuminant": "D65", "observer": "10"}


@pytest.fixture
def blue(studio, keeper):
    texts = LabelTexts(name="Ultramarine Blue", pigments="PB29", lightfastness="", opacity="", strength="")
    return add_paint(studio, by=keeper, texts=texts, binder="oil")


@pytest.fixture
def white(studio, keeper):
    texts = LabelTexts(name="Titanium White", pigments="PW6", lightfastness="", opacity="", strength="")
    return add_paint(studio, by=keeper, texts=texts, binder="oil")


@pytest.fixture
def page(client, teacher, studio, blue):
    """Get or post the page of the blue's colour, and return the answer with its text."""
    client.force_login(teacher)
    url = reverse("inventory:paint_colour", args=[studio.slug, blue.pk])

    def ask(**data):
        answer = client.post(url, data, follow=True) if data else client.get(url)
        assert answer.status_code == 200
        answer.words = " ".join(answer.content.decode().split())
        return answer

    return ask


def test_a_paint_without_colours_says_what_to_give(page):
    words = page().words
    assert "Pigment code alone." in words
    assert "Typical of its pigments, from memory; no colour of this paint was given." in words
    assert "Give its masstone and a weighed tint in white first." in words
    assert "The same as a table" in words
    # Common practice, no source: a little white makes ultramarine more vivid.
    assert re.search(r"Most vivid with 1 of white to [124]\.</strong> [A-Z][a-z]+, vivid [a-z-]+", words)


def test_a_colour_is_kept_and_can_be_withdrawn_and_brought_back(client, page, studio, teacher):
    words = page(**MASSTONE, note="Spectrophotometer of the lab").words
    assert "Ultramarine Blue: masstone is kept. It can be withdrawn; nothing is deleted." in words
    assert "Recovered from the masstone" in words
    assert "Spectrophotometer of the lab. Typed by teacher" in words
    assert "What would help, most first:</p><ol><li>Measure a tint of 1 part in" in words
    assert "about its mixtures" in words
    kept = Measurement.objects.get()
    client.post(reverse("inventory:measurement_withdraw", args=[studio.slug, kept.pk]))
    words = page().words
    assert "Withdrawn (1)" in words
    assert "Let it stand again" in words
    client.post(reverse("inventory:measurement_restore", args=[studio.slug, kept.pk]))
    assert "Withdrawn (1)" not in page().words


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("167, 0, 0", "lightness runs from 0 (black) to 100 (white)"),
        ("NaN, 1, 1", "is no number"),
        ("#DB000", "has 5 digits; a screen colour has six"),
        ("13R 4/30", "Not saved."),
    ],
)
def test_a_bad_colour_is_refused_beside_its_field_and_stays_typed(page, text, said):
    words = page(**{**MASSTONE, "text": text}).words
    assert said in words
    assert f'value="{text}"' in words
    assert '<details class="more" id="give-colour" open>' in words
    assert not Measurement.objects.exists()


def test_a_question_brings_its_answer_with_it(page):
    """Fields that answer a question stand on the page only once it is asked."""
    assert "They were exchanged" not in page().words
    page(**{**MASSTONE, "text": "76.6, -0.6, -25.6"})
    words = page(**{**MASSTONE, "kind": "tint-1-9"}).words
    assert "Were the two exchanged?" in words
    assert "They were exchanged: keep each as the other" in words
    page(**{**MASSTONE, "kind": "tint-1-9", "exchange": "on"})
    assert set(Measurement.objects.standing().values_list("kind", "lightness")) == {
        ("masstone", 28.1),
        ("tint-1-9", 76.6),
    }


def test_the_studio_s_own_measured_white_is_offered_first(page, white):
    assert f'<option value="{white.pk}">' in page().words
    Measurement.objects.create(paint=white, kind="masstone", text="97, 0, 2", lightness=97, a=0, b=2, sd=0.5)
    assert f'<option value="{white.pk}" selected>' in page().words


def test_a_spectrum_file_is_taken_in(page):
    rows = [f"{nm},{0.05 + 0.25 * np.exp(-(((nm - 450) / 35) ** 2)):.4f}" for nm in range(400, 701, 10)]
    file_text = "\n".join(["nm,Blue", *rows]).encode()
    file = SimpleUploadedFile("blue.csv", file_text)
    said = {"specular": "excluded", "geometry": "45:0", "backing": "hidden", "illuminant": "LED"}
    words = page(way="spectrum", kind="masstone", file=file, **said).words
    assert "blue.csv: Blue" in words
    assert "Specular component excluded; geometry 45:0; backing hidden; light LED." in words
    assert words.count('class="curve-given"') == 1
    # A question does not cost the file: it goes along with the form until it is answered.
    asked = page(way="spectrum", kind="masstone", file=SimpleUploadedFile("again.csv", file_text))
    assert "“again.csv” is still here." in asked.words
    kept = re.search(r'name="kept" value="([^"]+)"', asked.words)[1]
    page(way="spectrum", kind="masstone", kept=kept, kept_name="again.csv", **said)
    assert Measurement.objects.get(text="again.csv: Blue").specular == "excluded"
    words = page(way="spectrum", kind="masstone", file=SimpleUploadedFile("empty.csv", b"")).words
    assert "The file is empty. Export it again." in words


GREY, PATCHES = (60.0, 0.0, 0.0), [(45, 50, 30), (70, 0, 70), (50, -40, 20), (35, 15, -40), (75, 15, 25), (40, -5, -25)]
PAINTED = {"Masstone": (30.0, 15.0, -35.0), "Tint 1:9": (75.0, 0.0, -25.0)}


def photo():
    """A card as a camera that errs in nothing sees it: every place in its own colour."""
    scale = 6
    image = np.full((int(HEIGHT_MM * scale), int(WIDTH_MM * scale), 3), 200, dtype=np.uint8)

    def fill(box, lab):
        hex_ = srgb(lab).hex
        rgb = [int(hex_[i : i + 2], 16) for i in (1, 3, 5)]
        image[int(box.top * scale) : int(box.bottom * scale), int(box.left * scale) : int(box.right * scale)] = rgb

    for box in PAPER:
        fill(box, (85.0, 0.0, 0.0))
    for box in GREYS.values():
        fill(box, GREY)
    for box, lab in zip(COLOURS.values(), PATCHES, strict=True):
        fill(box, lab)
    for name, lab in PAINTED.items():
        fill(READ[name], lab)
    file = BytesIO()
    Image.fromarray(image).save(file, "PNG")
    return SimpleUploadedFile("card.png", file.getvalue())


def photo_form(**more):
    patches = {f"patch_{place}": ", ".join(map(str, lab)) for place, lab in enumerate([GREY, GREY, *PATCHES])}
    corners = {"corner_1": "0, 0", "corner_2": "1, 0", "corner_3": "1, 1", "corner_4": "0, 1"}
    return {"way": "photo", "file": photo(), "fields_painted": list(PAINTED), **corners, **patches, **more}


def test_a_photo_of_the_card_gives_rough_colours(page):
    page(**photo_form())
    kept = {one.kind: one for one in Measurement.objects.all()}
    assert set(kept) == {"masstone", "tint-1-9"}
    for kind, name in (("masstone", "Masstone"), ("tint-1-9", "Tint 1:9")):
        assert kept[kind].rough
        assert re.search(r"fitted to 8 references, each of which comes out \d\.\d off", kept[kind].converted)
        np.testing.assert_allclose(kept[kind].lab, PAINTED[name], atol=6.0)
    assert Paint.objects.get(name="Ultramarine Blue").swatch["origin"] == "recovered", "rough, so still estimated"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"corner_1": "5, 5"}, "is no corner: write two fractions from 0 to 1"),
        ({"corner_2": "0, 1", "corner_4": "1, 0"}, "The corners are not in the order"),
        ({"patch_0": "200, 0, 0"}, "lightness runs from 0"),
        ({"patch_0": "", "patch_1": ""}, "The card has no known grey"),
        ({"fields_painted": []}, "nothing is chosen. Choose at least one."),
        ({"file": SimpleUploadedFile("card.txt", b"no photo")}, "is no photo that can be read"),
    ],
)
def test_a_photo_that_cannot_be_read_says_why(page, wrong, said):
    assert said in page(**photo_form(**wrong)).words
    assert not Measurement.objects.exists()


def test_the_list_says_what_each_paint_has(client, page, studio, white):
    page(**MASSTONE)
    words = " ".join(client.get(reverse("inventory:colours", args=[studio.slug])).content.decode().split())
    assert "Masstone and pigment code" in words
    assert "Next: a weighed tint in white" in words
    assert words.index("Titanium White") < words.index("Ultramarine Blue")


def test_what_waits_is_worked_through_without_a_script(client, page, studio):
    page(**MASSTONE)
    PaintCurve.objects.update(state=CurveState.WORKING)
    assert "Its colour is being worked out" in page().words
    listed = client.get(reverse("inventory:colours", args=[studio.slug])).content.decode()
    assert "1 colour waits to be worked out again" in listed
    answer = client.post(reverse("inventory:colours_work_out", args=[studio.slug]), follow=True)
    assert "Every colour is worked out." in answer.content.decode()
    assert PaintCurve.objects.get().state == CurveState.READY


def test_the_swatch_card_is_a_pdf_with_what_is_known(client, page, studio, blue):
    url = reverse("inventory:paint_swatch_card", args=[studio.slug, blue.pk])
    page()
    for paper in ("A4", "Letter"):
        answer = client.get(url, {"paper": paper})
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
    assert client.get(url, {"paper": "A0"}).status_code == 404


def test_a_student_reads_and_is_not_offered_the_forms(client, student, studio, blue):
    client.force_login(student)
    url = reverse("inventory:paint_colour", args=[studio.slug, blue.pk])
    words = client.get(url).content.decode()
    assert "Its curves" in words
    assert "Give a colour" not in words
    assert client.post(url, MASSTONE).status_code == 403


def test_the_paint_says_where_its_swatch_comes_from(client, page, studio, blue):
    def shown():
        return client.get(reverse("inventory:paint", args=[studio.slug, blue.pk])).content.decode()

    page()
    assert "Worked out from a curve typical of PB29" in shown()
    page(**MASSTONE)
    page(**{**MASSTONE, "kind": "tint-1-9", "text": "76.6, -0.6, -25.6"})
    assert "As measured. Recovered from the masstone and a 1:9 tint." in shown()
    assert "estimated" not in shown()
