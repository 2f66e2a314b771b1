"""Papers beside the notices, read back from their PDF: nothing guessed, nothing cut, heads that carry."""

import re
import subprocess
from dataclasses import replace
from datetime import date
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from safety.printing import cards, papers
from safety.rules.facts import Facts, SheetRecord
from safety.rules.house import HouseRule
from safety.rules.notice import Contact, House, content
from safety.rules.papers.allowed_list import Reason, Same, allowed_list
from safety.rules.papers.cards import FieldRule, jar_label, wanted_fields, waste_tag
from safety.rules.papers.class_page import Barred, class_page
from safety.rules.papers.lists import sheet_index, sign_off_list
from safety.rules.papers.rooms import RoomWords, door_sheet, room_poster
from safety.rules.papers.things import Thing, at_most
from safety.rules.snapshot import paper_from_plain, paper_to_plain
from studio.printing.paper import MM, PAPERS
from tests.safety.printing.raster import pixels
from tests.safety.reference import phrasebook, pigment, rows, substances

DAY = date(2026, 3, 2)
URL = "https://studio.example/s/reed-lane/rooms/2/"
LONG = "Ines Nováková, Monday to Friday, porter's lodge, extension 20"
CONTACTS = (Contact("Emergency services", "112"), Contact("First aid here"), Contact("In charge", LONG))
HOUSE = House("Školní ateliér / Школа", contacts=CONTACTS)
SHEET = SheetRecord("Siccative 7", date(2025, 4, 1), DAY, ("H226", "H304"), ("P280",), "Danger", ("GHS02", "GHS08"))
ROOM = RoomWords("Room 2", keeper="Ines Nováková", rags="Red can by the door", waste="White drum", set_on=DAY)


def thing(name, *codes, amount="up to 250 ml", **facts):
    whole = Facts(name, pigments=tuple(pigment(code) for code in codes), **{"binder": "oil", **facts})
    return Thing(content(whole, house=HOUSE, phrasebook=phrasebook(), made_on=DAY), whole, amount)


FEW = [
    thing("Kadmium žluté", "PY37"),
    thing("Cadmium Red", "PR108"),
    thing("Ультрамарин", "PB29"),
    thing("Cadmium-Free Red"),
    thing("Cobalt drier", form="medium", binder="", sheet=SHEET, amount="up to 1 l"),
    thing("Spirits", form="solvent", binder="", ingredients=substances("odourless mineral spirits")),
]
MANY = FEW + [thing(f"Paint {n} of a long palette", row["ci_name"]) for n, row in enumerate(rows("pigments")[:60])]
KEPT: dict[str, Any] = {"house": HOUSE, "made_on": DAY, "page_url": URL}
WORDS = (
    "Oily rags go into the steel can with the lid, left of the door. It is emptied every evening.",
    "No food and no cups where we paint.",
)
# A room of which all is written down, with the number and the box that the foot prints too.
WHOLE_ROOM = RoomWords(
    "Room 2, painting",
    keeper="Ines, Monday to Friday",
    call="Porter's lodge, extension 20",
    rags="Steel can with the lid, left of the door; emptied every evening",
    waste="Labelled cans under the cleaning table, never the sink",
    eyewash="At the sink, green sign",
    extinguisher="Beside the door",
    spill_kit="Under the cleaning table",
    extraction="Fan over the cleaning table, both top windows",
    first_aid="Porter's lodge",
    way_out="Door to the yard; meet at the old crane",
    set_on=DAY,
)
OF_THE_ROOM = House(
    "Reed Lane",
    contacts=(
        Contact("Emergency services"),
        Contact("Poison information centre"),
        Contact("First aid here", "Porter's lodge"),
        Contact("Responsible for this room", "Ines, Porter's lodge, extension 20"),
    ),
    rules=tuple(HouseRule(text, "the keepers' meeting (written in the book)", DAY, "other") for text in WORDS),
)
BARRED = [Barred("Kadmium žluté", "No cadmium for children", "contains cadmium", "the safety office", True)]
PAPERS_MADE = {
    "poster": room_poster(ROOM, FEW, **KEPT),
    "empty poster": room_poster(RoomWords("Мастерская номер два, правое крыло"), [], **KEPT),
    "whole room": room_poster(WHOLE_ROOM, FEW, house=OF_THE_ROOM, made_on=DAY, page_url=URL),
    "door": door_sheet(ROOM, FEW, phrasebook=phrasebook(), **KEPT),
    "full room": door_sheet(ROOM, MANY, phrasebook=phrasebook(), **KEPT),
    "class": class_page("Šest barev", FEW, group="Children", barred=BARRED, rooms=[ROOM], **KEPT),
    "long palette": class_page("Everything", MANY, group="", barred=[], **KEPT),
    "nothing known": class_page("One jar", [FEW[3]], group="", barred=[], **KEPT),
    "index": sheet_index([("Titanium White", "TW 101", "read"), ("Ультрамарин", "", "")], **KEPT),
    "sign-off": sign_off_list(
        "Rules, version 3", "Wipe brushes first.\nNothing into the sink.", [("Pia", DAY)], **KEPT
    ),
}


def letters(words):
    return re.sub(r"\s+", "", words)


def text_of(data):
    return letters(" ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages))


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("case", PAPERS_MADE)
def test_every_word_is_on_paper_and_inside_the_margins(case, size):
    """Left margin 25 mm for the punch (ISO 838 puts the holes 12 mm from the edge)."""
    given = PAPERS_MADE[case]
    data = papers.render(given, page_size=size)
    words = text_of(data)
    for part in given.parts:
        for said in (part.heading, part.note, *(word for one in part.entries for word in (one.label, one.text))):
            # A word too wide for its cell is broken, so letters alone are compared.
            assert letters(said) in words, said
    for contact in given.contacts:
        assert letters(contact.role) in words
        assert letters(contact.number) in words
    pages = PdfReader(BytesIO(data)).pages
    for number, page in enumerate(pages, start=1):
        assert given.fingerprint in page.extract_text()
        assert letters(given.deferring) in letters(page.extract_text())
        command = ["pdftoppm", "-r", "72", "-gray", "-f", str(number), "-l", str(number), "-"]
        image = subprocess.run(command, input=data, check=True, capture_output=True).stdout
        columns = (pixels(image)[..., 0] < 200).any(axis=0).nonzero()[0]
        assert columns[0] >= 25 * MM - 1
        assert columns[-1] + 1 <= PAPERS[size].width - 15 * MM + 1


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_what_hangs_keeps_to_one_page_where_it_can(size):
    lengths = {case: len(papers.lay_out(given, PAPERS[size])) for case, given in PAPERS_MADE.items()}
    assert {case for case, pages in lengths.items() if pages > 1} == {"full room", "long palette"}
    first = PdfReader(BytesIO(papers.render(PAPERS_MADE["long palette"], page_size=size))).pages[0].extract_text()
    assert "pages: too much for one at a size that is read" in " ".join(first.split())


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("case", ["poster", "empty poster", "whole room"])
def test_a_poster_is_read_from_three_metres(case, size):
    """Heads of 48 points; answers of 22 have capitals of 5.6 mm, above 5 minutes of arc at 3 m, which is 4.4 mm."""
    marks = [mark.args for page in papers.lay_out(PAPERS_MADE[case], PAPERS[size]) for mark in page.marks]
    sizes = {mark[2]: mark[4] for mark in marks if len(mark) == 5 and isinstance(mark[2], str)}
    for entry in PAPERS_MADE[case].parts[0].entries:
        assert sizes[entry.label] >= 48
        if entry.text in sizes:  # what keeps to one line
            assert sizes[entry.text] >= 22
    assert any(entry.text in sizes for entry in PAPERS_MADE[case].parts[0].entries) or case == "empty poster"


def test_a_poster_says_once_whom_to_call_and_where_the_box_is():
    """The answer "Call" and the keeper stand on it: the foot repeats neither."""
    words = text_of(papers.render(PAPERS_MADE["whole room"]))
    assert words.count(letters("extension 20")) == 1
    assert words.count(letters("Ines, Monday")) == 1
    assert words.count(letters("First aid")) == 1


def test_a_door_sheet_writes_each_source_out_once():
    found = {part.heading: part for part in PAPERS_MADE["door"].parts}
    listed = {one.label: one.text for one in found["Sources"].entries}
    assert len(set(listed.values())) == len(listed)
    for one in (*found["Burns"].entries, *found["Harms"].entries):
        assert one.source in listed
    (drier,) = found["Burns"].entries
    assert listed[drier.source] == "maker's sheet Siccative 7, revised 2025-04-01"
    assert ".;" not in text_of(papers.render(PAPERS_MADE["door"]))


def test_what_a_group_may_use_is_told_with_rule_reason_and_source():
    rule = Reason("No cadmium for children", "PY37 contains cadmium", "house rule of 2026-01-05, decided by the office")
    unknown = Reason("No maker's data is recorded", "no sheet and no label", "this record")
    made = allowed_list(
        "Children",
        children=True,
        no_rule=["Ochre (acrylic)"],
        warned=[],
        not_known=[Same(("Ультрамарин (oil)", "Kadmium žluté"), (unknown, rule))],
        not_for=[Same(("Cadmium Yellow (oil)",), (rule,))],
        judged_by={"Ochre (acrylic)": "maker's sheet O 1, revised 2025-04-01"},
        **KEPT,
    )
    words = text_of(papers.render(made))
    for said in (
        "What Children may use",
        "No house rule catches: 1",
        "not a finding of no hazard",
        "Not known, and therefore kept from children: 2",
        "Ультрамарин (oil), Kadmium žluté",
        "No cadmium for children: PY37 contains cadmium [2]",
        "Not for Children: 1",
        "Maker's sheet O 1, revised 2025-04-01: Ochre (acrylic)",
    ):
        assert letters(said) in words, said
    assert words.count(letters("decided by the office")) == 1
    assert made.fingerprint in " ".join(PdfReader(BytesIO(papers.render(made))).pages[0].extract_text().split())
    empty: dict[str, Any] = {name: [] for name in ("no_rule", "warned", "not_known", "not_for")}
    nothing = allowed_list("Staff", children=False, judged_by={}, **empty, **KEPT)
    assert letters("Of 0 in stock") in text_of(papers.render(nothing))


def test_blank_facts_are_lines_to_fill_in():
    poster = PAPERS_MADE["empty poster"]
    assert {entry.text for entry in poster.parts[0].entries} == {""}
    assert "eyewash: to fill in" in poster.facts
    (page,) = papers.lay_out(poster, PAPERS["A4"])
    rules = [mark.args for mark in page.marks if len(mark.args) == 4 and not isinstance(mark.args[0], str)]
    assert sum(length == PAPERS["A4"].room for _, _, length, _ in rules) >= 5


def test_a_door_sheet_sorts_what_burns_what_harms_and_what_nobody_knows():
    """H226 is a physical hazard (UN GHS 2.6); cadmium sulphide's statements are CLP Annex VI, index 048-010-00-4."""
    found = {part.heading: [entry.label for entry in part.entries] for part in PAPERS_MADE["door"].parts}
    assert found["Burns"] == ["Cobalt drier"]
    assert found["Harms"] == ["Kadmium žluté (PY37)", "Spirits"]
    # CLP Annex II, 2.10: EUH210 says that a sheet is to be had, and no hazard.
    sheet = SheetRecord("White 1", DAY, DAY, ("EUH210",), says_not_classified=True)
    white = door_sheet(ROOM, [thing("White", "PW6", sheet=sheet)], phrasebook=phrasebook(), **KEPT)
    assert [part.heading for part in white.parts if part.entries][-2:] == [
        "Without a hazard statement in its source",
        "Sources",
    ]
    (unknown,) = PAPERS_MADE["door"].parts[3].entries
    assert "Cadmium-Free Red" in unknown.text
    assert "Ультрамарин (PB29)" in unknown.text


def test_a_class_page_joins_cautions_and_says_whom_they_are_for():
    by_heading = {part.heading: part for part in PAPERS_MADE["class"].parts}
    cautions = {entry.text: entry.source for entry in by_heading["When you work with it"].entries}
    assert len(cautions) == len(by_heading["When you work with it"].entries)
    (cadmium,) = [text for text in cautions if text.startswith("Contains cadmium")]
    assert "(PY37, PR108)" in cadmium
    assert "For Kadmium žluté, Cadmium Red." in cautions[cadmium]
    assert by_heading["When you work with it"].note == "For all of these, where nothing is named."
    assert any(source.startswith("Source: ") for source in cautions.values())
    assert by_heading["Not for Children"].entries[0].label == "Kadmium žluté"
    whys = [("A", "PY35 contains cadmium"), ("B", "PO20 contains cadmium"), ("C", "the maker's sheet states H350")]
    caught = [Barred(name, "Not here.", why, "the office", True) for name, why in whys]
    kept = class_page("Rules", FEW, group="Adults", barred=caught, rooms=[ROOM], **KEPT).parts[0].entries
    assert [one.text for one in kept] == ["Not here: PY35, PO20 contain cadmium; the maker's sheet states H350"]
    kitchen = RoomWords("Kitchen", waste="Grey drum.", set_on=DAY)
    several = class_page("Two rooms", FEW, group="", barred=[], rooms=[ROOM, kitchen], **KEPT)
    (goes,) = [part for part in several.parts if part.heading == "Where it goes"]
    assert [(one.label, one.text) for one in goes.entries] == [
        ("Room 2", "Oily rags: Red can by the door. Waste: White drum."),
        ("Kitchen", "Oily rags: not told: fill in by hand ……………………… Waste: Grey drum."),
    ]
    assert "oily rags in Kitchen: to fill in" in several.facts
    assert letters("not told: fill in by hand") in text_of(papers.render(PAPERS_MADE["nothing known"]))
    alone = {part.heading: part for part in PAPERS_MADE["nothing known"].parts}
    assert "not a finding of no hazard" in alone["Not for everybody"].note
    assert alone["What to wear"].note == "No source here states what to wear. Read the makers' sheets."


@pytest.mark.parametrize(
    ("milli", "unit", "words"),
    [
        (37_000, "ml", "up to 50 ml"),
        (50_000, "ml", "up to 50 ml"),
        (50_001, "ml", "up to 100 ml"),
        (2_500_000, "ml", "up to 2.5 l"),
        (30_000_000, "g", "up to 50 kg"),
        (1, "ml", "up to 10 ml"),
        (900_000_000, "ml", "up to 900 l"),
    ],
)
def test_amounts_are_rounded_up(milli, unit, words):
    assert at_most(milli, unit) == words


@pytest.mark.parametrize(
    ("rules", "fields"),
    [
        ([], ("contents", "hazards")),
        ([FieldRule("Start  date", True, "x")], ("contents", "hazards", "start date")),
        ([FieldRule("start date", False, "x"), FieldRule("hazards", False, "x")], ("contents",)),
    ],
)
def test_fields_are_those_that_the_house_demands(rules, fields):
    assert wanted_fields(("contents", "hazards"), rules) == fields


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_labels_and_tags_fit_their_cards(size):
    longest = replace(SHEET, h_codes=("H226", "H304", "H317", "H360Fd", "H372", "H412", "EUH066"))
    full = thing("Drier " * 12, form="medium", sheet=longest)
    rule = [FieldRule("precautions", True, "x"), FieldRule("opened by", True, "x")]
    label = cards.render(jar_label("Jar of Wren " * 6, full, rule, **KEPT), cards.LABEL, page_size=size)
    words = text_of(label)
    assert words.count(letters("May damage fertility.")) == 6
    assert len(PdfReader(BytesIO(label)).pages) == 1
    values = {"contents": "White spirit with paint " * 14, "hazards": "Flammable"}
    by = "as Ines wrote them down, 2026-03-01"
    tag = waste_tag(3, values, [FieldRule("telephone", True, "x")], FEW, hazards_from=by, **KEPT)
    words = text_of(cards.render(tag, cards.TAG, page_size=size))
    for said in (
        "Telephone:",
        f"({by})",
        "Cobalt drier: Danger, H226 H304 (maker's sheet Siccative 7, revised 2025-04-01).",
        "Cadmium-Free Red: no sheet read: unknown.",
        "Of anything else in it: no sheet read: unknown.",
        "not told: fill in by hand",
    ):
        assert words.count(letters(said)) == 2, said


def test_a_solvent_is_not_asked_for_pigment_codes():
    fields = {
        name: [entry.label for entry in jar_label(name, one, rule, **KEPT).parts[0].entries]
        for name, one, rule in (
            ("solvent", FEW[5], []),
            ("demanded", FEW[5], [FieldRule("pigment codes", True, "x")]),
            ("paint", FEW[3], []),
            ("nobody knows", None, []),
        )
    }
    assert "Pigment codes" not in fields.pop("solvent")
    assert all("Pigment codes" in found for found in fields.values())


@pytest.mark.parametrize("case", ["class", "door", "poster"])
def test_what_was_put_away_prints_the_same(case):
    given = PAPERS_MADE[case]
    again = paper_from_plain(*paper_to_plain(given))
    assert again == given
    assert papers.render(again) == papers.render(given)
