"""Notices read back from their PDF: what a reader gets, on how many pages, and that nothing is cut."""

import re
import subprocess
from dataclasses import replace
from datetime import date
from io import BytesIO

import pytest
import segno
from pypdf import PdfReader

from safety.printing import notice
from safety.rules.facts import Facts, LabelStatement, SheetRecord
from safety.rules.house import HouseRule
from safety.rules.notice import Contact, House, content
from safety.rules.statements import bare_code
from studio.printing.paper import MM, PAPERS, UnknownPaperError
from studio.printing.qr import QUIET_ZONE, runs
from tests.safety.printing.raster import pixels
from tests.safety.reference import phrasebook, pigment, substances

DAY = date(2026, 3, 2)
LONG = "An ordinary blue with an extraordinarily long name for the mural course " + "Wandfarbenmischung" * 8
NINE = ("PY37", "PY35", "PR108", "PB29", "PB28", "PG18", "PBr7", "PW6", "PBk7")


def made(name, *codes, house=None, **facts):
    return content(
        Facts(name, pigments=tuple(pigment(code) for code in codes), **facts),
        house=house or House("Canal Street studio"),
        phrasebook=phrasebook(),
        made_on=DAY,
        page_url="https://studio.example/notices/1042/",
    )


def read(content_, **options):
    return PdfReader(BytesIO(notice.render(content_, **options)))


def text(reader):
    """All words in reading order, with line breaks as spaces."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))


def letters(words):
    """Without spaces, for words that were broken where they had to be."""
    return re.sub(r"\s+", "", words)


NOTICES = {
    "cadmium sulphide": made("Cadmium yellow deep", "PY37", binder="oil"),
    "excluded cadmium": made("Cadmium red", "PR108", binder="acrylic"),
    "trivalent chromium": made("Viridian", "PG18", binder="watercolour"),
    "nothing known": made("Cadmium-Free Red"),
    "solvent": made("Turpentine substitute", form="solvent", ingredients=substances("odourless mineral spirits")),
    "nine pigments": made(LONG, *NINE, binder="acrylic"),
    "Cyrillic": made("Краплак красный, Příliš žluťoučký kůň, Łódź", "PB29", binder="масло"),
    "sheet": made("Blue", "PB29", sheet=SheetRecord("Sheet 9", date(2025, 1, 9), h_codes=("H317", "H400", "H410"))),
    "label": made("Blue", "PB29", label=LabelStatement("Contains ⟨a⟩ & <b>preservative</b>.", h_codes=("EUH208",))),
    "dry chromate": made("Chrome yellow", "PY34", form="dry pigment"),
}


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("case", NOTICES)
def test_every_word_is_on_paper(case, size):
    given = NOTICES[case]
    reader = read(given, page_size=size)
    words = letters(text(reader))
    for hazard in given.hazards:
        assert letters(hazard.phrase) in words
    for precaution in given.precautions:
        assert letters(precaution.phrase) in words
    for caution in given.cautions:
        assert letters(caution.text) in words
    for contact in given.contacts:
        assert letters(contact.role) in words
    for blank in given.blanks:
        assert letters(blank) in words
    for code in given.codes:
        assert code in words
    assert letters(given.studio) in words
    assert given.fingerprint in words


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("case", NOTICES)
def test_every_page_defers_and_can_be_told_apart(case, size):
    given = NOTICES[case]
    reader = read(given, page_size=size)
    for number, page in enumerate(reader.pages, start=1):
        words = re.sub(r"\s+", " ", page.extract_text())
        assert "Local regulations, licensed practice and the maker's safety data sheet come first." in words
        assert f"Fingerprint {given.fingerprint}" in words
        assert f"Made 2026-03-02. Page {number} of {len(reader.pages)}" in words
        assert letters(given.title)[:12] in letters(words)


@pytest.mark.parametrize(("size", "box"), [("A4", (210 * MM, 297 * MM)), ("Letter", (612, 792))])
@pytest.mark.parametrize("case", NOTICES)
def test_no_text_leaves_the_margins(case, size, box):
    """Left margin 25 mm for the punch (ISO 838 puts the holes 12 mm from the edge), 15 mm right, 12 mm below."""
    reader = read(NOTICES[case], page_size=size)
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(box, abs=0.01)
    for number in range(1, len(reader.pages) + 1):
        left, top, right, foot = _ink(NOTICES[case], size, number)
        assert left >= 25 * MM - 1
        assert right <= box[0] - 15 * MM + 1
        assert top >= 12 * MM
        assert foot <= box[1] - 11 * MM


def _ink(given, size, number):
    """The box around every mark of a page, in points from the upper left corner, by way of poppler."""
    command = ["pdftoppm", "-r", "72", "-gray", "-f", str(number), "-l", str(number), "-"]
    image = subprocess.run(command, input=notice.render(given, page_size=size), check=True, capture_output=True).stdout
    dark = pixels(image)[..., 0] < 200
    rows, columns = dark.any(axis=1).nonzero()[0], dark.any(axis=0).nonzero()[0]
    return columns[0], rows[0], columns[-1] + 1, rows[-1] + 1


def test_no_line_lies_on_another():
    """Lines of text of one page never overlap: each pair in one column is at least the smaller size apart."""
    for given in NOTICES.values():
        for page in notice.lay_out(given, PAPERS["A4"]):
            lines = [mark.args for mark in page.marks if len(mark.args) == 5 and isinstance(mark.args[2], str)]
            for place, (x, y, _, _, size) in enumerate(lines):
                for other_x, other_y, _, _, other_size in lines[place + 1 :]:
                    if x == other_x:
                        assert abs(y - other_y) >= 0.95 * min(size, other_size), (given.title, lines[place])


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_one_paint_takes_one_page_and_many_pigments_flow(size):
    """Published statements of one pigment, as CLP Annex VI, index 048-010-00-4, has them, fit on one page."""
    lengths = {case: len(notice.lay_out(given, PAPERS[size])) for case, given in NOTICES.items()}
    assert {case for case, pages in lengths.items() if pages > 1} == {"nine pigments", "dry chromate"}


def test_precautions_stay_large_where_a_page_is_full():
    """Small print shrinks before what is read first: common practice, no source."""
    (page,) = notice.lay_out(NOTICES["cadmium sulphide"], PAPERS["Letter"])
    sizes = {mark.args[2]: mark.args[4] for mark in page.marks if len(mark.args) == 5 and isinstance(mark.args[2], str)}
    for phrase in (one.phrase for one in NOTICES["cadmium sulphide"].precautions):
        assert max(size for line, size in sizes.items() if line.startswith(phrase[:12])) > 10.5
    assert min(sizes.values()) >= 6


def test_fonts_are_embedded_and_nothing_else_is_used():
    """A page hangs as it was set only if no font is left to the reader's machine."""
    reader = read(NOTICES["Cyrillic"])
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object()
            assert "DejaVuSans" in described["/BaseFont"]
            assert "/FontFile2" in described["/FontDescriptor"].get_object()


def test_the_file_tells_its_title_language_and_date():
    reader = read(NOTICES["Cyrillic"])
    assert reader.metadata.title == "Handling caution: Краплак красный, Příliš žluťoučký kůň, Łódź"
    assert reader.metadata.author == "Canal Street studio"
    assert reader.metadata.creation_date.date() == DAY
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_the_same_content_gives_the_same_bytes():
    given = NOTICES["cadmium sulphide"]
    assert notice.render(given) == notice.render(replace(given))
    assert notice.render(given) != notice.render(replace(given, made_on=date(2026, 3, 3)))


def test_markup_in_a_name_is_printed_as_typed():
    words = text(read(made("<b>Blue</b> & <para> 100%", "PB29")))
    assert "<b>Blue</b> & <para> 100%" in words
    assert "<b>preservative</b>" in text(read(NOTICES["label"]))


@pytest.mark.parametrize("name", ["", " ", "\n\t\x00", "A\nB", "🎨 塗料", "x" * 5000])
def test_odd_names_do_not_stop_a_notice(name):
    reader = read(made(name, "PB29"))
    assert "Not known" in text(reader)


def test_whom_to_call_is_filled_in_or_left_to_fill_in():
    house = House("S", contacts=(Contact("Emergency services"), Contact("First aid here", "Room 2, extension 14")))
    words = text(read(made("Blue", "PB29", house=house)))
    assert "Emergency services" in words
    assert "Room 2, extension 14" in words


def test_every_contact_and_house_rule_is_printed():
    contacts = tuple(Contact(f"Role {n}", f"Number {n}") for n in range(9))
    rules = tuple(HouseRule(f"House rule number {n}.", "the tutor") for n in range(30))
    words = text(read(made("Blue", "PB29", house=House("S", contacts=contacts, rules=rules))))
    for n in range(9):
        assert f"Number {n}" in words
    for n in range(30):
        assert f"House rule number {n}." in words


def test_an_unknown_paper_is_refused():
    with pytest.raises(UnknownPaperError, match="page_size must be one of A4, Letter, not 'A5'"):
        notice.render(NOTICES["sheet"], page_size="A5")


def test_the_code_leads_to_the_page():
    """Read back by geometry: the printed dark modules are those that segno makes for the address (ISO/IEC 18004)."""
    address = "https://studio.example/notices/1042/"
    side, dark = runs(address)
    grid = [[0] * side for _ in range(side)]
    for column, row, length in dark:
        for step in range(length):
            grid[row][column + step] = 1
    expected = [[int(bool(one)) for one in row] for row in segno.make_qr(address, error="m").matrix]
    inner = [row[QUIET_ZONE:-QUIET_ZONE] for row in grid[QUIET_ZONE:-QUIET_ZONE]]
    assert inner == expected


def test_codes_in_the_gutter_are_whole():
    """P305+P351+P338 is longer than the others and is still printed in full."""
    given = made("Acid", form="other", sheet=SheetRecord("Sheet 4", DAY, DAY, ("H318",), ("P305+P351+P338",)))
    assert bare_code("P305 + P351 + P338") in letters(text(read(given)))
