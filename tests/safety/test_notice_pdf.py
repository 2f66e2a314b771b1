"""A notice from a paint on the shelf to words on paper, for cases whose answer is published."""

import re
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.models import MaterialKind
from safety import services

pytestmark = pytest.mark.django_db


@pytest.fixture
def printed(client, keeper, studio):
    """Give a function that makes the notice of an item by the page, prints it, and returns its words."""
    client.force_login(keeper)

    def words(item, paper="A4"):
        client.post(reverse("safety:make", args=[studio.slug, item.pk]))
        notice = item.notices.latest("pk")
        answer = client.get(reverse("safety:notice_pdf", args=[studio.slug, notice.pk]), {"paper": paper})
        assert answer.status_code == 200
        pages = PdfReader(BytesIO(answer.content)).pages
        return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))

    return words


def test_cadmium_sulphide(make_paint, printed):
    """CLP Annex VI, index 048-010-00-4: Danger; H350, H341, H361fd, H372, H302, H413."""
    words = printed(make_paint("Cadmium Yellow Medium", "PY37"))
    assert "Danger" in words
    for code in ("H350", "H341", "H361fd", "H372", "H302", "H413"):
        assert code in words
    assert "May cause cancer." in words
    assert "Contains cadmium" in words
    assert "048-010-00-4" in words


def test_cadmium_sulphoselenide(make_paint, printed):
    """CLP Annex VI, index 048-001-00-5 excepts it by name; 29 CFR 1910.1027 and IARC group 1 do not."""
    words = printed(make_paint("Cadmium Red Light", "PR108"))
    assert "Contains cadmium" in words
    assert "048-001-00-5" in words
    assert "not a finding of no hazard" in words
    assert "29 CFR 1910.1027" in words
    assert "IARC" in words
    assert "Danger" not in words.partition("Handling")[0]


def test_viridian_is_chromium_iii(make_paint, printed):
    """IARC Volume 49: chromium(III) group 3; CLP Annex VI has no entry for hydrated chromium(III) oxide."""
    words = printed(make_paint("Viridian", "PG18"))
    assert "trivalent" in words.casefold() or "chromium(III)" in words
    assert "(VI)" not in words
    assert "hromate" not in words


@pytest.mark.parametrize(
    ("name", "manganese", "asks"),
    [("Burnt Umber", True, False), ("Raw Sienna", False, False), ("Brown 12", False, True)],
)
def test_earths_of_one_code(make_paint, printed, name, manganese, asks):
    """PBr7 is one code for siennas and umbers, and umbers carry manganese oxides: common practice, no source."""
    words = printed(make_paint(name, "PBr7"))
    assert ("Contains manganese" in words) is manganese
    assert ("PBr7 is sienna or umber" in words) is asks


@pytest.mark.parametrize("typed", ["", "none", "PR N/A", "---"])
def test_unknown_pigments_are_not_known(make_paint, printed, typed):
    """A blank label is not a harmless one: common practice, no source."""
    words = printed(make_paint("Cadmium-Free Red", typed))
    assert "Not known" in words
    assert "treat it as hazardous until you have read the maker's sheet" in words
    assert "Pigment codes" in words
    assert "Contains cadmium" not in words
    assert not re.search(r"\b(harmless|non-toxic)\b|(?<!not )\bsafe\b", words)


def test_a_hue_that_is_the_thing_itself(make_paint, printed):
    """PY35 is cadmium zinc sulphide, whatever the name says: CLP Annex VI, index 048-001-00-5; 29 CFR 1910.1027."""
    words = printed(make_paint("Cadmium Yellow Hue", "PY35"))
    assert "Contains cadmium" in words
    assert "check the tube" in words


def test_a_hue_without_cadmium(make_paint, printed):
    words = printed(make_paint("Cadmium Red Medium Hue", "PR112, PR5"))
    assert "no pigment listed here contains it" in words
    assert "Contains cadmium" not in words


def test_turpentine_by_its_number(make_material, printed):
    """CLP Annex VI, index 650-002-00-6: H226, H304, H312+H332+H302, H315, H317, H319, H411."""
    words = printed(make_material("Gum Turpentine", MaterialKind.SOLVENT, "8006-64-2"))
    assert "Danger" in words
    for code in ("H226", "H304", "H317", "H319", "H411"):
        assert code in words
    assert "650-002-00-6" in words
    assert "Ventilate as local rules say" in words


def test_the_sheet_comes_first_on_paper_too(make_material, keeper, printed):
    spirits = make_material("Odourless Mineral Spirits", MaterialKind.SOLVENT)
    assert "Not known" in printed(spirits)
    services.record_sheet(
        spirits,
        by=keeper,
        product="Spirits 4",
        read_on=timezone.localdate(),
        h_codes="H304; EUH066",
        signal_word="Danger",
        pictograms=["GHS08"],
    )
    words = printed(spirits, "Letter")
    assert "From the maker's safety data sheet on file: Spirits 4" in words
    assert "EUH066" in words
    assert "Repeated exposure may cause skin dryness or cracking." in words


def test_it_prints_the_same_for_ever(make_paint, studio, keeper, client, printed):
    blue = make_paint("Blue", "PB29")
    before = printed(blue)
    notice = blue.notices.get()
    services.record_sheet(blue, by=keeper, product="Blue 1", read_on=timezone.localdate(), h_codes="H317")
    studio.name = "Another name"
    studio.save()
    blue.name = "Renamed"
    blue.save()
    answer = client.get(reverse("safety:notice_pdf", args=[studio.slug, notice.pk]))
    again = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    assert re.sub(r"\s+", " ", again) == before


def test_the_code_leads_to_the_page_of_the_item(make_paint, printed, studio):
    blue = make_paint("Blue", "PB29")
    printed(blue)
    page = reverse("safety:item", args=[studio.slug, blue.pk])
    assert blue.notices.get().content["page_url"] == f"http://testserver{page}"
