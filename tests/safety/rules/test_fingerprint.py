"""The mark changes with a fact and with nothing else."""

import re
from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.rules.changes import changes
from safety.rules.facts import Facts, SheetRecord
from safety.rules.house import HouseRule
from safety.rules.notice import Contact, House, content, fingerprint, mark
from tests.safety.reference import phrasebook, pigment

SHEET = SheetRecord("Sheet 1", date(2025, 1, 9), date(2025, 2, 1), ("H317",))
FACTS = Facts("Cadmium yellow", binder="oil", pigments=(pigment("PY37"),), sheet=SHEET)
HOUSE = House("Canal Street studio", contacts=(Contact("First aid here", "Room 2"),))


def made(facts=FACTS, house=HOUSE, day=date(2026, 3, 2), url="https://a.example/1/"):
    return content(facts, house=house, phrasebook=phrasebook(), made_on=day, page_url=url)


def test_it_is_short_and_grouped_without_letters_that_are_misheard():
    assert re.fullmatch(r"[0-9A-HJKMNP-TV-Z]{4}(-[0-9A-HJKMNP-TV-Z]{4}){2}", made().fingerprint)


def test_it_stays_the_same_from_run_to_run():
    """Our own code's value: a hung notice must still match after an upgrade that changes no fact."""
    assert mark(["name: Ochre", "sheet: none on file"]) == mark(["sheet: none on file", "name: Ochre"])
    assert mark(["name: Ochre", "sheet: none on file"]) == "XHSR-G1B8-BJKR"


def test_date_address_and_studio_name_do_not_change_it():
    assert made(day=date(2027, 1, 1)).fingerprint == made().fingerprint
    assert made(url="https://b.example/2/").fingerprint == made().fingerprint
    assert made(house=replace(HOUSE, name="Other")).fingerprint == made().fingerprint
    assert fingerprint(made()) == made().fingerprint


def _listed(**changed):
    """Cadmium yellow with its first published row changed."""
    yellow = pigment("PY37")
    first, *others = yellow.substances
    return replace(yellow, substances=(replace(first, **changed), *others))


def test_every_kind_of_fact_changes_it():
    rule = HouseRule("Gloves.", "the tutor", date(2026, 1, 1))
    variants = [
        made(replace(FACTS, name="Cadmium lemon")),
        made(replace(FACTS, binder="acrylic")),
        made(replace(FACTS, form="dry pigment")),
        made(replace(FACTS, pigments=(pigment("PY37"), pigment("PW6")))),
        made(replace(FACTS, pigments=(replace(pigment("PY37"), metals=()),))),
        made(replace(FACTS, pigments=(replace(pigment("PY37"), substances=()),))),
        made(replace(FACTS, pigments=(_listed(notes="Read it again."),))),
        made(replace(FACTS, pigments=(_listed(confidence="from memory"),))),
        made(replace(FACTS, sheet=None)),
        made(replace(FACTS, sheet=replace(SHEET, revised_on=date(2026, 1, 1)))),
        made(replace(FACTS, sheet=replace(SHEET, h_codes=("H317", "H319")))),
        made(replace(FACTS, shade_words=("umber",))),
        made(house=replace(HOUSE, rules=(rule,))),
        made(house=replace(HOUSE, contacts=(Contact("First aid here", "Room 3"),))),
    ]
    marks = [one.fingerprint for one in variants]
    assert len(set(marks)) == len(marks)
    assert made().fingerprint not in marks


def test_changes_are_told_line_by_line():
    found = changes(made().facts, made(replace(FACTS, sheet=None)).facts)
    assert found
    assert any(line.startswith("sheet: Sheet 1, revised 2025-01-09") for line in found.gone)
    assert found.new[0] == "sheet: none on file"
    assert {"signal word: Danger", "H350: May cause cancer."} <= set(found.new)
    assert not changes(made().facts, made().facts)


@settings(suppress_health_check=[HealthCheck.too_slow])  # the first letters are drawn slowly on a busy computer
@given(st.lists(st.text(max_size=20), max_size=6), st.lists(st.text(max_size=20), max_size=6))
def test_different_facts_have_different_marks(one, other):
    assert (mark(one) == mark(other)) == (set(one) == set(other))
