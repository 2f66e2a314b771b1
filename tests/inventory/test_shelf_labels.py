"""Sheets of labels: where they lie, what they say, and that the printed code is read back."""

import shutil
import subprocess
from datetime import date

import numpy as np
import pytest
import segno
from django.urls import reverse
from PIL import Image

from inventory import services
from inventory.models import Paint, PaintPigment
from inventory.printing.labels import (
    BY_KEY,
    PAD,
    SHEETS,
    Label,
    UnfitLabelError,
    _side,
    pages_of,
    render,
)
from studio.printing.paper import MM, paper
from studio.printing.qr import QUIET_ZONE

DAY = date(2026, 3, 2)
DPI = 300
LONG = Label(
    "https://studio.example/s/quarry-lane/tubes/1042/",
    "No. 1042",
    "Quinacridone Magenta with a very long name, Красная, made for a label",
    "PV19 PR122 PW6 PR101 PBr7",
    "37 ml, Water-mixable oil",
)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.key)
def test_every_label_lies_on_its_sheet(sheet):
    """Measures of cut sheets are common practice, no source; that they fit the paper is arithmetic (ISO 216, ANSI)."""
    page = paper(sheet.paper)
    first, last = sheet.corner(0, page), sheet.corner(sheet.count - 1, page)
    assert first[0] >= 0
    assert first[1] + sheet.height * MM <= page.height + 1e-6
    assert last[0] + sheet.width * MM <= page.width + 1e-6
    assert last[1] >= -0.02 * MM  # rounded to hundredths of a millimetre
    assert sheet.across >= sheet.width
    assert sheet.down >= sheet.height


def test_sheets_have_keys_of_their_own():
    assert len(BY_KEY) == len(SHEETS)


@pytest.mark.parametrize(
    ("start", "count", "placed"), [(1, 21, [21]), (5, 21, [17, 4]), (21, 2, [1, 1]), (1, 43, [21, 21, 1])]
)
def test_a_sheet_used_in_part_is_gone_on_with(start, count, placed):
    pages = list(pages_of(SHEETS[0], [LONG] * count, start))
    assert [len(page) for page in pages] == placed
    assert pages[0][0][0] == start - 1


@pytest.mark.parametrize("start", [0, 22])
def test_a_label_that_is_not_on_the_sheet_is_refused(start):
    with pytest.raises(UnfitLabelError, match=f"begin at one of 1 to 21, not {start}"):
        render([LONG], SHEETS[0], start=start, made_on=DAY)


def test_nothing_to_print_is_refused():
    with pytest.raises(UnfitLabelError, match="nothing to print"):
        render([], SHEETS[0], made_on=DAY)


def pictures(pdf, folder):
    if not shutil.which("pdftoppm"):
        pytest.skip("no pdftoppm: install poppler-utils")
    path = folder / "labels.pdf"
    path.write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-png", path, folder / "page"], check=True)
    return [np.asarray(Image.open(one).convert("L")) for one in sorted(folder.glob("page*.png"))]


def read_code(picture, sheet, place, modules):
    """The dark modules, each sampled in its middle, as a reader of ISO/IEC 18004 does once it has the corners."""
    page = paper(sheet.paper)
    x, y = sheet.corner(place, page)
    side = _side(sheet)
    left, top = x + PAD, page.height - (y + (sheet.height * MM + side) / 2)
    step = side / (modules + 2 * QUIET_ZONE)
    middles = (np.arange(modules) + QUIET_ZONE + 0.5) * step
    columns = ((left + middles) * DPI / 72).astype(int)
    rows = ((top + middles) * DPI / 72).astype(int)
    return (picture[np.ix_(rows, columns)] < 128).astype(int)


@pytest.mark.parametrize("sheet", [SHEETS[0], BY_KEY["a4-5x13-38.1x21.2"], BY_KEY["letter-3x10-66.7x25.4"]])
def test_the_printed_code_is_the_address(sheet, tmp_path):
    """From the picture of the page: the modules are those of an independent encoder (segno, ISO/IEC 18004)."""
    picture = pictures(render([LONG], sheet, start=4, cut_marks=True, made_on=DAY), tmp_path)[0]
    expected = np.array([[int(bool(one)) for one in row] for row in segno.make_qr(LONG.address, error="m").matrix])
    assert np.array_equal(read_code(picture, sheet, 3, len(expected)), expected)
    # Nothing is printed in the quiet zone nor outside the label but its marks.
    x, _ = sheet.corner(3, paper(sheet.paper))
    left, right = (int(at * DPI / 72) for at in (x, x + sheet.width * MM))
    assert (picture[:, right + 3 :] >= 128).all()
    assert (picture[:, : left - 3] >= 128).all()


def test_the_same_labels_are_the_same_bytes():
    assert render([LONG], SHEETS[0], made_on=DAY) == render([LONG], SHEETS[0], made_on=DAY)


def words(pdf, folder):
    path = folder / "labels.pdf"
    path.write_bytes(pdf)
    if not shutil.which("pdftotext"):
        pytest.skip("no pdftotext: install poppler-utils")
    return subprocess.run(["pdftotext", "-layout", path, "-"], check=True, capture_output=True, text=True).stdout


@pytest.mark.django_db
def test_a_tube_has_its_number_name_codes_and_size(client, member, studio, keeper, place, tmp_path):
    paint = Paint.objects.create(studio=studio, name="Sap Green", binder="oil")
    for position, code in enumerate(("PG7", "PY150"), start=1):
        PaintPigment.objects.create(paint=paint, position=position, code=code)
    services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=3)
    client.force_login(member)
    url = reverse("inventory:labels_pdf", args=[studio.slug])
    text = words(client.get(url, {"sheet": SHEETS[0].key, "numbers": "2-3"}).content, tmp_path)
    assert "No. 1" not in text
    for said in ("No. 2", "No. 3", "Sap Green", "PG7 PY150", "37 ml, Oil"):
        assert said in text
    text = words(client.get(url, {"sheet": SHEETS[0].key, "what": "places"}).content, tmp_path)
    assert "Oil shelf" in text
    assert client.get(url, {"sheet": SHEETS[0].key, "q": "no such"}).status_code == 404


@pytest.mark.django_db
def test_what_will_be_printed_is_told_first(client, member, studio, tube, place, django_assert_num_queries):
    client.force_login(member)
    url = reverse("inventory:labels", args=[studio.slug])
    html = client.get(url).content.decode()
    assert "1 label on 1 sheet." in html
    html = client.get(url, {"sheet": SHEETS[0].key, "numbers": "1, x"}).content.decode()
    assert "“x” is no number of a tube. Type numbers such as 12, 15-20." in html
    html = client.get(url, {"sheet": SHEETS[0].key, "start": "22"}).content.decode()
    assert "begin at one of 1 to 21" in html
    html = client.get(url, {"sheet": SHEETS[0].key, "numbers": "5-2"}).content.decode()
    assert "Type the lower first" in html
    services.receive(studio, tube.item, nominal_milli=37_000, unit="ml", by=tube.entries.get().by, count=30)
    with django_assert_num_queries(7):  # session, user, membership, tubes, pigments, places, people
        html = client.get(url, {"sheet": SHEETS[0].key, "q": "ultra"}).content.decode()
    assert "31 labels on 2 sheets." in html
