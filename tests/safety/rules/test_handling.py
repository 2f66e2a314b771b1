"""What a notice warns of, and what it does not; sources stand beside each case."""

from datetime import date

import pytest

from safety.rules.facts import Facts, LabelStatement, PigmentFacts, SheetRecord, Trust
from safety.rules.house import HouseRule
from safety.rules.notice import House, content
from safety.rules.questions import CONCERNS, answered
from tests.safety.reference import phrasebook, pigment, substances

DAY = date(2026, 3, 2)


def notice(name, *codes, house=None, **facts):
    known = Facts(name, pigments=tuple(pigment(code) for code in codes), **facts)
    return content(known, house=house or House("Canal Street studio"), phrasebook=phrasebook(), made_on=DAY)


def keys(made):
    return {line.key for line in made.cautions}


def said(made):
    return " ".join(
        (made.basis, *(f"{one.text} {one.why}" for one in made.cautions), *(one.text for one in made.known))
    )


@pytest.mark.parametrize("code", ["PY35", "PO20", "PR108"])
def test_excluded_cadmium_is_named_with_what_other_lists_say(code):
    """Annex VI 048-001-00-5 excepts them; OSHA 29 CFR 1910.1027 covers cadmium in all forms; IARC group 1."""
    made = notice("Cadmium colour", code, binder="oil")
    assert made.hazards == ()
    assert made.label.signal_word == ""
    assert "metal:Cd" in keys(made)
    assert "treat it as hazardous until you have read the maker's sheet" in said(made)
    for regime in ("Australia HCIS", "IARC", "NTP RoC", "Prop 65", "29 CFR 1910.1027"):
        assert regime in said(made)
    assert "not a finding of no hazard" in said(made)


def test_cadmium_sulphide_carries_the_published_statements():
    """Annex VI, index 048-010-00-4."""
    made = notice("Cadmium yellow", "PY37", binder="oil")
    assert [one.code for one in made.hazards] == ["H350", "H341", "H361fd", "H372", "H302", "H413"]
    assert made.label.signal_word == "Danger"
    assert made.trust is Trust.PUBLISHED
    assert "as a substance" in made.basis
    assert any("2021/849" in line.source for line in made.known)


@pytest.mark.parametrize("code", ["PG17", "PG18"])
def test_trivalent_chromium_gets_no_chromate_warning(code):
    """IARC Volume 49: chromium(III) group 3; no entry for chromium(III) oxide in CLP Annex VI."""
    made = notice("Viridian", code)
    assert "metal:Cr3" in keys(made)
    assert "metal:Cr6" not in keys(made)
    assert "hromate" not in said(made)
    assert "(VI)" not in said(made)


def test_chrome_green_of_pg15_has_lead_and_chromate():
    """Annex VI, index 082-004-00-2, lead chromate."""
    made = notice("Chrome green", "PG15")
    assert {"metal:Pb", "metal:Cr6"} <= keys(made)
    assert {"H350", "H360Df"} <= {one.code for one in made.hazards}


def test_umbers_carry_manganese_and_siennas_do_not():
    """Umbers hold roughly 5 to 20 % manganese oxides: common practice, no source. The code alone cannot tell."""
    for name in ("Raw umber", "BURNT UMBER", "Terre d'ombre brûlée", "Умбра жжёная"):
        assert "metal:Mn" in keys(notice(name, "PBr7")), name
    for name in ("Raw sienna", "Terra di Siena bruciata", "Terre de Sienne", "Сиена"):
        made = notice(name, "PBr7")
        assert "metal:Mn" not in keys(made), name
        assert "ask:PBr7" not in keys(made), name
    assert "metal:Mn" in keys(notice("Earth", "PBr7", shade_words=("umber",)))
    assert "metal:Mn" in keys(notice("Mixed sienna and umber", "PBr7"))


def test_an_unnamed_earth_asks():
    made = notice("Brown 12", "PBr7")
    assert "ask:PBr7" in keys(made)
    assert "metal:Mn" not in keys(made)


def test_manganese_of_other_pigments_does_not_depend_on_the_name():
    assert "metal:Mn" in keys(notice("Siena violet", "PV16"))


def test_barium_sulphate_gets_no_warning_for_barium_salts():
    """Annex VI, index 056-002-00-7 excludes barium sulphate by name."""
    assert "metal:Ba" not in keys(notice("Blanc fixe", "PW21"))
    assert "metal:Ba" not in keys(notice("Cadmium-barium yellow", "PY35:1"))
    assert "metal:Ba" in keys(notice("Witherite", "PW10"))
    assert "metal:Ba" in keys(notice("Manganese blue", "PB33"))
    assert "metal:Ba" in keys(notice("Barium chromate", "PY31"))


def test_hue_without_cadmium_says_so_and_claims_nothing_more():
    made = notice("Cadmium Red Medium Hue", "PR112", "PR5")
    assert "metal:Cd" not in keys(made)
    assert "no pigment listed here contains it" in said(made)
    assert made.trust is Trust.UNKNOWN


@pytest.mark.parametrize("name", ["Cadmium yellow hue", "Cadmium-free yellow"])
def test_a_name_does_not_overrule_the_code(name):
    made = notice(name, "PY35")
    assert {"metal:Cd", "name:Cd"} <= keys(made)
    assert "check the tube" in said(made)


@pytest.mark.parametrize("name", ["Cadmium-Free Red", "Student red", ""])
def test_no_code_is_not_known_and_never_harmless(name):
    made = notice(name)
    assert made.trust is Trust.UNKNOWN
    assert "metal:Cd" not in keys(made)
    assert "not known: read the maker's sheet" in said(made)
    assert "Pigment codes" in made.blanks
    for word in ("safe", "harmless", "non-toxic"):
        assert word not in said(made).replace("safety", "")


def test_a_code_outside_the_table_is_not_known():
    made = notice("Hansa yellow", "PW97")
    assert made.trust is Trust.UNKNOWN
    assert any(line.subject == "PW97" and line.trust is Trust.UNKNOWN for line in made.known)


def test_sheet_goes_before_label_and_label_before_list():
    sheet = SheetRecord("Sheet 12", date(2025, 1, 9), date(2025, 2, 1), ("H317",))
    label = LabelStatement("May produce an allergic reaction.", date(2025, 3, 4), ("EUH208",))
    published = notice("Yellow", "PY37")
    labelled = notice("Yellow", "PY37", label=label)
    on_file = notice("Yellow", "PY37", label=label, sheet=sheet)
    assert [made.trust for made in (published, labelled, on_file)] == [Trust.PUBLISHED, Trust.LABEL, Trust.SHEET]
    assert on_file.label.h_codes == ("H317",)
    assert on_file.label.signal_word == "Warning"
    assert "Sheet 12, revised 2025-01-09" in on_file.basis
    assert "2025-03-04" in labelled.basis
    # The metal stays named whatever the sheet says, and so does the published list.
    assert "metal:Cd" in keys(on_file)
    assert "H350" in said(on_file)


def test_a_sheet_nobody_has_entered_does_not_count():
    made = notice("Blue", "PB29", sheet=SheetRecord("Sheet 3", date(2025, 1, 9)))
    assert made.trust is Trust.UNKNOWN
    assert "statements have not been entered" in said(made)


def test_a_sheet_without_classification_is_quoted_as_such():
    made = notice("Blue", "PB29", sheet=SheetRecord("Sheet 3", date(2025, 1, 9), says_not_classified=True))
    assert made.trust is Trust.SHEET
    assert "not the same as no hazard" in made.basis


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        ({"name": "Ochre", "binder": "oil"}, "rags"),
        ({"name": "Ochre", "binder": "alkyd"}, "rags"),
        ({"name": "Stand oil", "form": "medium"}, "rags"),
        ({"name": "Glazing medium", "form": "medium"}, "rags:unknown"),
        ({"name": "Ochre"}, "rags:unknown"),
    ],
)
def test_rags_are_named_wherever_a_drying_oil_may_be(facts, key):
    """NFPA, Safety with Oily Rags Wet with Flammable or Combustible Liquid (2017): they can ignite on their own."""
    made = content(Facts(**facts), house=House("S"), phrasebook=phrasebook(), made_on=DAY)
    assert key in keys(made)


def test_watercolour_and_turpentine_have_no_rag_line():
    assert not any(key.startswith("rags") for key in keys(notice("Ochre", "PY43", binder="watercolour")))
    turpentine = notice("Gum turpentine", form="solvent", ingredients=substances("turpentine, oil"))
    assert not any(key.startswith("rags") for key in keys(turpentine))


def test_turpentine_carries_its_entry_and_six_precautions():
    """Annex VI, index 650-002-00-6; the signs and words of its table row."""
    made = notice("Gum turpentine", form="solvent", ingredients=substances("turpentine, oil"))
    assert set(made.label.pictograms) == {"GHS02", "GHS07", "GHS08", "GHS09"}
    codes = [one.code for one in made.precautions]
    assert len(codes) == 6
    assert codes[:3] == ["P301+P310", "P331", "P210"]
    assert codes[-1] == "P501"
    assert {"solvent:air", "solvent:fire"} <= keys(made)


def test_the_usual_cautions_stand_on_every_paint():
    expected = {"food", "mouth", "skin", "dust:spray", "waste", "children"}
    assert expected <= keys(notice("Ultramarine", "PB29", binder="watercolour"))


def test_house_rules_stand_with_their_subject_and_name_who_set_them():
    rule = HouseRule("Nobody under 14 uses it.", "the head of the school", date(2026, 1, 5), "children")
    made = notice("Ultramarine", "PB29", house=House("S", rules=(rule,)))
    line = next(one for one in made.cautions if one.key.startswith("house:"))
    assert line.text == "Nobody under 14 uses it."
    assert line.source == "house rule, set by the head of the school, 2026-01-05"
    assert "children" not in keys(made)


def test_another_list_may_be_asked_for():
    """Safe Work Australia, Hazardous Chemical Information System: C.I. Pigment Red 108."""
    known = Facts("Red", pigments=(pigment("PR108"),))
    made = content(known, house=House("S"), phrasebook=phrasebook(), made_on=DAY, regimes=("Australia HCIS",))
    assert {one.code for one in made.hazards} == {"H302", "H350", "H341", "H372", "H361fd"}
    assert made.label.signal_word == "Danger"


def test_pregnancy_is_answered_neither_yes_nor_no():
    with_sheet = Facts("Yellow", sheet=SheetRecord("Sheet 1", h_codes=("H361fd",)))
    without = Facts("Blue", sheet=SheetRecord("Sheet 2", h_codes=("H317",)))
    listed = Facts("Old white", pigments=(pigment("PW1"),))
    strange = Facts("Green", sheet=SheetRecord("Sheet 9", h_codes=("H302",), unknown_codes=("H398",)))
    answer = answered(CONCERNS["pregnancy"], [with_sheet, without, listed, Facts("Jar"), strange])
    assert answer.unread == (("Green", ("H398",)),)
    assert [one.name for one in answer.carrying] == ["Yellow", "Old white"]
    assert answer.sheet_without == ("Blue",)
    assert answer.no_sheet == ("Old white", "Jar")
    assert "doctor" in answer.advice
    assert "tutor" in answer.advice


@pytest.mark.parametrize(
    ("asked", "codes", "bearing"),
    [
        # UN GHS Annex 3: H334 airways, H335 irritation of them, H331 breathed; H317 skin. CLP Annex II: EUH208.
        ("asthma", ("H334", "H302", "H317"), ("H334",)),
        ("asthma", ("H301+H331", "EUH208", "H335"), ("H301+H331", "EUH208", "H335")),
        ("asthma", ("H350", "H410", "H372 (central nervous system)"), ()),
        # Organs that a sheet names: UN GHS 3.9. Gas: CLP Annex II. Hormones: Regulation (EU) 2023/707.
        ("asthma", ("H372 (lungs, inhalation)", "EUH031", "H304"), ("H372", "EUH031")),
        ("asthma", ("H373", "H304"), ("H373",)),
        ("skin", ("H373", "H304"), ()),
        ("pregnancy", ("EUH380", "EUH201A", "EUH208 (BIT)"), ("EUH380", "EUH201A")),
        ("skin", ("H302+H312", "H332"), ("H302+H312",)),
        ("skin", ("H334", "H302", "H317", "EUH066"), ("H317", "EUH066")),
        ("skin", ("EUH208 (BIT)",), ("EUH208",)),
        ("pregnancy", ("H317", "H360Df"), ("H360Df",)),
    ],
)
def test_which_statements_bear_on_the_airways_the_skin_and_on_pregnancy(asked, codes, bearing):
    answer = answered(CONCERNS[asked], [Facts("Paint", sheet=SheetRecord("Sheet 3", h_codes=codes))])
    assert [one.h_codes for one in answer.carrying] == ([bearing] if bearing else [])
    assert answer.sheet_without == (() if bearing else ("Paint",))


def test_unknown_pigment_has_no_shade():
    assert Facts("Slumber blue", pigments=(PigmentFacts("PB29"),)).shades == frozenset()


def test_words_from_a_label_do_not_hide_the_published_list():
    made = notice("Yellow", "PY37", label=LabelStatement("Keep cool.", date(2025, 3, 4)))
    assert made.trust is Trust.PUBLISHED
    assert made.label.signal_word == "Danger"
    assert "Keep cool." in said(made)


def test_the_organ_that_a_sheet_names_is_kept():
    """H372 asks for the organ where it is known: Regulation (EC) 1272/2008, Annex III."""
    made = notice("Spirit", form="solvent", sheet=SheetRecord("Sheet 5", h_codes=("H372 (central nervous system)",)))
    assert [(one.code, one.remark) for one in made.hazards] == [("H372", "central nervous system")]


def test_a_placeholder_is_sent_to_the_sheet():
    made = notice("Blue", label=LabelStatement("", date(2025, 3, 4), ("EUH208",)))
    assert made.hazards[0].remark == "the maker's sheet says which"


def test_white_spirit_says_when_two_statements_need_not_apply():
    """Annex VI, Note P: H350 and H340 need not apply below 0.1 % benzene."""
    made = notice("White spirit", form="solvent", ingredients=substances("Stoddard solvent"))
    assert {"H350", "H340", "H304", "H372"} == {one.code for one in made.hazards}
    assert "benzene" in said(made)


def test_vapour_comes_before_hands_for_a_solvent_and_after_them_for_a_paint():
    order = [one.key for one in notice("Spirit", form="solvent", ingredients=substances("Stoddard solvent")).cautions]
    assert order.index("solvent:air") < order.index("food")
    order = [one.key for one in notice("Ochre", "PY43", binder="oil").cautions]
    assert order.index("food") < order.index("solvent:thinner")
    assert len(order) == len(set(order))
