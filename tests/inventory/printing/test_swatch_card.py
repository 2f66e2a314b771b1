"""The printed swatch card: its size in mm as poppler draws it, its words, and a painted print read again."""

import re
import subprocess
from datetime import date
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from inventory.colour.appearance import difference, srgb
from inventory.measuring import card
from inventory.measuring.photo import read_card_photo
from inventory.printing.swatch_card import CardContent, render
from studio.printing.paper import PAPERS, UnknownPaperError

DAY = date(2026, 3, 2)
DPI = 127  # 5 pixels to the mm
PER_MM = 5


def _picture(data, tmp_path):
    """The page as poppler draws it, (height, width, 3)."""
    path = tmp_path / "card.pdf"
    path.write_bytes(data)
    made = subprocess.run(["pdftoppm", "-r", str(DPI), "-png", str(path)], capture_output=True, check=True).stdout
    return np.asarray(Image.open(BytesIO(made)).convert("RGB")).astype(int)


def _corner(sheet):
    """Row and column of the centre of the upper left corner mark, found in the picture itself.

    The arms of the marks, 3.2 mm long, are all that reaches left of the card.
    """
    dark = sheet.max(axis=2) < 128
    outermost = int(np.flatnonzero(dark.any(axis=0))[0])
    arm = dark[:, outermost : outermost + PER_MM // 2].all(axis=1)
    return int(np.flatnonzero(arm)[0]), outermost + round(3.2 * PER_MM)


@pytest.fixture(params=list(PAPERS))
def printed(request, tmp_path):
    data = render(
        CardContent(DAY, "Ultramarine", "PB29", "Titanium white", "Canal Street studio"), page_size=request.param
    )
    return data, _picture(data, tmp_path)


def test_the_card_is_one_page_of_its_paper(printed):
    data, _ = printed
    reader = PdfReader(BytesIO(data))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert any(
        (float(box.width), float(box.height)) == pytest.approx((p.width, p.height), abs=0.1) for p in PAPERS.values()
    )


def test_everything_is_black_or_white(printed):
    """It must survive a copier: no colour, no grey but the edges of letters."""
    _, sheet = printed
    assert (np.ptp(sheet, axis=2) <= 2).all()
    assert np.isin(sheet, (0, 255)).mean() > 0.97


def test_the_scale_bar_measures_100_mm(printed):
    _, sheet = printed
    foot = sheet[-35 * PER_MM :].max(axis=2) < 128
    longest = max((run for row in foot for run in _runs(row)), default=0)
    assert longest / PER_MM == pytest.approx(100.0, abs=0.5)


def _runs(row):
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return (edges[1::2] - edges[::2]).tolist()


def test_fields_lie_where_the_reader_of_photos_looks_for_them(printed):
    _, sheet = printed
    top, left = _corner(sheet)
    dark = sheet.max(axis=2) < 128

    def part(box, inset=1.0):
        rows = slice(round(top + (box.top + inset) * PER_MM), round(top + (box.bottom - inset) * PER_MM))
        columns = slice(round(left + (box.left + inset) * PER_MM), round(left + (box.right - inset) * PER_MM))
        return dark[rows, columns]

    assert part(card.BLACK_LINE).all()
    assert part(card.READ[card.OVER_BLACK]).all()
    for box in (card.READ[card.MASSTONE], card.READ[card.TINT_1_1], card.READ[card.TINT_1_9], *card.PAPER):
        assert not part(box).any()
    for box in (card.READ[card.MASSTONE], card.COLOURS["Colour 6"]):
        assert part(box, inset=-0.6).any()


def test_a_print_that_was_painted_reads_as_painted(printed):
    """Paint the picture of the print with known colours, by the places in mm, and read it as a photo."""
    _, sheet = printed
    top, left = _corner(sheet)
    sheet = np.where(sheet > 128, 225, 20)  # paper and ink
    painted = {
        card.MASSTONE: (45.0, 40.0, 20.0), card.TINT_1_1: (60.0, 25.0, 10.0), card.TINT_1_9: (75.0, 12.0, 4.0),
        card.OVER_PAPER: (55.0, 35.0, 20.0), card.OVER_BLACK: (30.0, 15.0, 5.0),
    }  # fmt: skip
    known = {
        "Grey 1": (60.0, 0.0, 0.0), "Grey 2": (60.0, 0.0, 0.0), "Colour 1": (45.0, 50.0, 30.0),
        "Colour 2": (80.0, 0.0, 60.0), "Colour 3": (50.0, -35.0, 5.0), "Colour 4": (35.0, 5.0, -40.0),
        "Colour 5": (40.0, 10.0, 12.0), "Colour 6": (52.0, 45.0, -12.0),
    }  # fmt: skip
    places = {**card.READ, **card.GREYS, **card.COLOURS}
    for name, lab in {**painted, **known}.items():
        box, screen = places[name], srgb(lab)
        assert not screen.clipped
        rows = slice(top + round(box.top * PER_MM), top + round(box.bottom * PER_MM))
        columns = slice(left + round(box.left * PER_MM), left + round(box.right * PER_MM))
        sheet[rows, columns] = [int(screen.hex[i : i + 2], 16) for i in (1, 3, 5)]
    file = BytesIO()
    Image.fromarray(sheet.astype(np.uint8)).save(file, "PNG")
    height, width = sheet.shape[:2]
    right, bottom = left + card.WIDTH_MM * PER_MM, top + card.HEIGHT_MM * PER_MM
    corners = tuple((x / width, y / height) for x, y in ((left, top), (right, top), (right, bottom), (left, bottom)))
    reading = read_card_photo(file.getvalue(), card.layout_of_card(corners, known))
    assert reading.doubts == ()
    assert {field.name for field in reading.fields} == set(painted)
    for field in reading.fields:
        assert difference(field.lab, painted[field.name]) < 1.0


def _words(data):
    return re.sub(r"\s+", " ", PdfReader(BytesIO(data)).pages[0].extract_text())


def test_the_card_says_what_is_known_and_how_much_to_weigh(printed):
    words = _words(printed[0])
    for said in ("Ultramarine", "PB29", "Titanium white", "Canal Street studio", "Wet film thickness (µm)", "Date"):
        assert said in words
    # 1 : 9 of 1, 2 and 5 g, worked by hand.
    assert re.search(r"1 g\W+1 g\W+9 g.*2 g\W+2 g\W+18 g.*5 g\W+5 g\W+45 g", words)
    assert "the colours of a printer are not known" in words


def test_a_long_name_is_set_smaller_and_not_cut():
    name = "Quinacridone magenta, water-mixable oil, studio batch of the mural course, second tin from the left"
    assert name in _words(render(CardContent(DAY, name)))


def test_the_same_card_gives_the_same_bytes_and_an_unknown_paper_is_refused():
    assert render(CardContent(DAY)) == render(CardContent(DAY))
    with pytest.raises(UnknownPaperError, match="A4, Letter, not 'A5'"):
        render(CardContent(DAY), page_size="A5")
