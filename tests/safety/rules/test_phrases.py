"""The wording of statements against the English text of Regulation (EC) No 1272/2008, Annexes II to IV.

Typed from the consolidated text of 1 September 2025 and its public copies; the words that the standard leaves open are
taken off, as `phrase_plain` does.
"""

from datetime import date

import pytest

from safety.rules.facts import Facts, SheetRecord
from safety.rules.notice import House, content
from safety.rules.statements import with_names
from tests.safety.reference import phrasebook

DAY = date(2026, 3, 2)
ANNEX_III = {
    "H220": "Extremely flammable gas.",
    "H222": "Extremely flammable aerosol.",
    "H223": "Flammable aerosol.",
    "H224": "Extremely flammable liquid and vapour.",
    "H225": "Highly flammable liquid and vapour.",
    "H226": "Flammable liquid and vapour.",
    "H228": "Flammable solid.",
    "H229": "Pressurised container: May burst if heated.",
    "H242": "Heating may cause a fire.",
    "H251": "Self-heating: may catch fire.",
    "H252": "Self-heating in large quantities; may catch fire.",
    "H271": "May cause fire or explosion; strong oxidiser.",
    "H272": "May intensify fire; oxidiser.",
    "H280": "Contains gas under pressure; may explode if heated.",
    "H290": "May be corrosive to metals.",
    "H300": "Fatal if swallowed.",
    "H301": "Toxic if swallowed.",
    "H302": "Harmful if swallowed.",
    "H304": "May be fatal if swallowed and enters airways.",
    "H310": "Fatal in contact with skin.",
    "H311": "Toxic in contact with skin.",
    "H312": "Harmful in contact with skin.",
    "H314": "Causes severe skin burns and eye damage.",
    "H315": "Causes skin irritation.",
    "H317": "May cause an allergic skin reaction.",
    "H318": "Causes serious eye damage.",
    "H319": "Causes serious eye irritation.",
    "H330": "Fatal if inhaled.",
    "H331": "Toxic if inhaled.",
    "H332": "Harmful if inhaled.",
    "H334": "May cause allergy or asthma symptoms or breathing difficulties if inhaled.",
    "H335": "May cause respiratory irritation.",
    "H336": "May cause drowsiness or dizziness.",
    "H340": "May cause genetic defects.",
    "H341": "Suspected of causing genetic defects.",
    "H350": "May cause cancer.",
    "H350i": "May cause cancer by inhalation.",
    "H351": "Suspected of causing cancer.",
    "H360": "May damage fertility or the unborn child.",
    "H360Df": "May damage the unborn child. Suspected of damaging fertility.",
    "H361": "Suspected of damaging fertility or the unborn child.",
    "H361fd": "Suspected of damaging fertility. Suspected of damaging the unborn child.",
    "H362": "May cause harm to breast-fed children.",
    "H370": "Causes damage to organs.",
    "H371": "May cause damage to organs.",
    "H372": "Causes damage to organs through prolonged or repeated exposure.",
    "H373": "May cause damage to organs through prolonged or repeated exposure.",
    "H400": "Very toxic to aquatic life.",
    "H410": "Very toxic to aquatic life with long lasting effects.",
    "H411": "Toxic to aquatic life with long lasting effects.",
    "H412": "Harmful to aquatic life with long lasting effects.",
    "H413": "May cause long lasting harmful effects to aquatic life.",
}
ANNEX_II = {
    "EUH018": "In use may form flammable/explosive vapour-air mixture.",
    "EUH031": "Contact with acids liberates toxic gas.",
    "EUH066": "Repeated exposure may cause skin dryness or cracking.",
    "EUH071": "Corrosive to the respiratory tract.",
    "EUH201": "Contains lead. Should not be used on surfaces liable to be chewed or sucked by children.",
    "EUH201A": "Warning! Contains lead.",
    "EUH203": "Contains chromium (VI). May produce an allergic reaction.",
    "EUH207": "Warning! Contains cadmium. Dangerous fumes are formed during use. See information supplied by the "
    "manufacturer. Comply with the safety instructions.",
    "EUH210": "Safety data sheet available on request.",
}
ANNEX_IV = {
    "P101": "If medical advice is needed, have product container or label at hand.",
    "P102": "Keep out of reach of children.",
    "P201": "Obtain special instructions before use.",
    "P202": "Do not handle until all safety precautions have been read and understood.",
    "P210": "Keep away from heat, hot surfaces, sparks, open flames and other ignition sources. No smoking.",
    "P233": "Keep container tightly closed.",
    "P260": "Do not breathe dust/fume/gas/mist/vapours/spray.",
    "P262": "Do not get in eyes, on skin, or on clothing.",
    "P263": "Avoid contact during pregnancy and while nursing.",
    "P270": "Do not eat, drink or smoke when using this product.",
    "P271": "Use only outdoors or in a well-ventilated area.",
    "P272": "Contaminated work clothing should not be allowed out of the workplace.",
    "P273": "Avoid release to the environment.",
    "P301+P330+P331": "IF SWALLOWED: Rinse mouth. Do NOT induce vomiting.",
    "P304+P340": "IF INHALED: Remove person to fresh air and keep comfortable for breathing.",
    "P305+P351+P338": "IF IN EYES: Rinse cautiously with water for several minutes. Remove contact lenses, if present "
    "and easy to do. Continue rinsing.",
    "P308+P313": "IF exposed or concerned: Get medical advice/attention.",
    "P331": "Do NOT induce vomiting.",
    "P333+P313": "If skin irritation or rash occurs: Get medical advice/attention.",
    "P391": "Collect spillage.",
    "P403+P235": "Store in a well-ventilated place. Keep cool.",
    "P405": "Store locked up.",
}
PHRASES = ANNEX_II | ANNEX_III | ANNEX_IV


def test_the_table_below_is_long_enough_to_mean_something():
    assert len(PHRASES) >= 80


@pytest.mark.parametrize("code", PHRASES)
def test_the_plain_wording_is_the_standard_s_own(code):
    assert phrasebook().look_up(code).phrase_plain == PHRASES[code]


def test_a_notice_names_the_sensitiser_within_the_sentence():
    """Regulation (EC) 1272/2008 Annex II, 2.8: "Contains (name of sensitising substance). May produce ..."."""
    sheet = SheetRecord("Acrylic 11", DAY, DAY, ("EUH208 (1,2-benzisothiazol-3(2H)-one)",))
    made = content(Facts("White", sheet=sheet), house=House("A"), phrasebook=phrasebook(), made_on=DAY)
    (line,) = made.hazards
    assert line.phrase == "Contains 1,2-benzisothiazol-3(2H)-one. May produce an allergic reaction."
    assert line.remark == ""
    silent = SheetRecord("Acrylic 11", DAY, DAY, ("EUH208",))
    made = content(Facts("White", sheet=silent), house=House("A"), phrasebook=phrasebook(), made_on=DAY)
    assert made.hazards[0].remark == "the maker's sheet says which"


def test_euh208_names_the_sensitiser():
    """CLP Annex II, section 2.8: "Contains (name of sensitising substance). May produce an allergic reaction"."""
    statement = phrasebook().look_up("EUH208")
    assert with_names(statement, ["1,2-benzisothiazol-3(2H)-one"]) == (
        "Contains 1,2-benzisothiazol-3(2H)-one. May produce an allergic reaction."
    )
    assert with_names(statement, ["rosin", " rosin ", "BIT."]) == (
        "Contains rosin, BIT. May produce an allergic reaction."
    )
    with pytest.raises(ValueError, match="EUH208 needs the name of the sensitising substance"):
        with_names(statement, ["  "])
