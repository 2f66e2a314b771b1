"""Handling cautions: what to do and leave undone, why, and on whose word.

Where no source is named the caution is the common practice of studios. Each one stands below local regulations,
licensed practice and the maker's sheet.
"""

import re
from collections.abc import Iterator

from safety.rules.caution import PRACTICE as PRACTICE
from safety.rules.caution import Caution as Caution
from safety.rules.classify import LabelElements
from safety.rules.facts import Facts, Trust
from safety.rules.house import HouseRule, Topic
from safety.rules.kinds_of_work import by_form, preservative
from safety.rules.metals import METALS, counts, is_natural_earth

Cautions = tuple[Caution, ...]


def cautions(facts: Facts, elements: LabelElements, trust: Trust, rules: tuple[HouseRule, ...] = ()) -> Cautions:
    """Return the cautions for one thing, what matters most first; a house rule stands with its subject.

    A line that turns up twice keeps its first place: vapour comes first for a solvent, and after the hands for a paint.
    """
    lines = (
        *_unknown(facts, trust),
        *_name_against_code(facts),
        *_metals(facts),
        *_earths(facts),
        *_dust(facts),
        *by_form(facts),
        *(_solvent(facts, elements) if facts.form in ("solvent", "varnish", "medium") else ()),
        *_body(facts),
        *preservative(facts),
        *_solvent(facts, elements),
        *_rags(facts),
        *_heat_and_acid(facts),
        *_waste(facts),
        *_children(facts, rules),
    )
    return _with_house_rules(tuple({one.key: one for one in lines}.values()), rules)


def _unknown(facts: Facts, trust: Trust) -> Iterator[Caution]:
    if not facts.pigments and facts.form in ("paint", "dry pigment"):
        text = "Pigments not known: treat it as hazardous until you have read the maker's sheet."
        yield Caution("unknown:pigments", text, "no pigment code is recorded", "this record")
    elif trust is Trust.UNKNOWN:
        text = "Hazards not known: treat it as hazardous until you have read the maker's sheet."
        yield Caution(
            "unknown:hazards",
            text,
            "neither a sheet nor the label gives the hazards here, and the list used has no statement",
            "this record",
        )
    elif trust is not Trust.SHEET:
        text = "No maker's sheet is on file: ask for it and read it."
        yield Caution("unknown:sheet", text, "what else is in it, and how much, is not known without it", "this record")


_METAL_IN_NAME = {
    "Cd": re.compile(r"\b(cadmium|kadmium|cadmio|кадми\w*)"),
    "Co": re.compile(r"\b(cobalt|kobalt|cobalto|кобальт\w*)"),
    "Pb": re.compile(r"\b(lead|flake white|cremnitz)\b"),
    "Mn": re.compile(r"\bmanganese"),
    "Ni": re.compile(r"\bnickel"),
}
_FREE = re.compile(r"(?i)\b(free|sans|frei|libre)\b")
_HUE = re.compile(r"(?i)\b(hue|imit\w*|substitute)\b")


def _name_against_code(facts: Facts) -> Iterator[Caution]:
    """A name never overrules a code: where they disagree, both are told."""
    name = facts.name.casefold()
    listed = {metal for pigment in facts.pigments for metal in pigment.metals}
    for metal, pattern in _METAL_IN_NAME.items():
        if not pattern.search(name):
            continue
        word = METALS[metal].name
        carriers = " and ".join(one.code for one in facts.pigments if metal in one.metals)
        doubted = _FREE.search(name) or _HUE.search(name)
        if metal in listed and doubted:
            text = f"The name says “{doubted.group(0)}”, yet {carriers} contains {word}: check the tube."
            yield Caution(f"name:{metal}", text, "a name does not overrule a pigment code", "this record")
        elif facts.pigments and metal not in listed:
            text = f"The name says {word}; no pigment listed here contains it. Go by the codes and the maker's sheet."
            yield Caution(f"name:{metal}", text, "a name is not evidence either way", "this record")
        elif not facts.pigments:
            text = f"The name says “{facts.name}”. That tells nothing about what is in it."
            yield Caution(f"name:{metal}", text, "no pigment code is recorded", "this record")


def _metals(facts: Facts) -> Iterator[Caution]:
    for symbol, metal in METALS.items():
        carriers = [one.code for one in facts.pigments if symbol in one.metals and counts(symbol, one, facts.shades)]
        if carriers:
            text = f"Contains {metal.words} ({', '.join(carriers)}). {metal.advice}"
            yield Caution(f"metal:{symbol}", text, metal.why, metal.source)


def _earths(facts: Facts) -> Iterator[Caution]:
    if facts.shades or not any(is_natural_earth(one.code) for one in facts.pigments):
        return
    yield Caution(
        "ask:PBr7",
        "PBr7 is sienna or umber; the code cannot tell which. Umbers carry manganese. Not known: read the "
        "maker's sheet.",
        "neither the name nor the label says sienna or umber",
        PRACTICE,
    )


def _dust(facts: Facts) -> Iterator[Caution]:
    if facts.is_powder:
        yield Caution(
            "dust:dry",
            f"{'Dry pigment' if facts.form == 'dry pigment' else 'Dry powder'}: raise no dust. Do not sweep dry. Local "
            "rules say which respirator and which extraction.",
            "breathed dust is the chief way in",
            "UN GHS Annex 3, P260 and P284",
        )
    if facts.form in ("paint", "dry pigment", "ground", "varnish"):
        yield Caution(
            "dust:spray",
            "Do not sand dry paint." if facts.sold_as == "spray" else "Do not sand dry paint and do not spray it.",
            "it puts pigment into the air that you breathe"
            if facts.sold_as == "spray"
            else "both put pigment into the air that you breathe",
            "UN GHS Annex 3, P260 and P261",
        )


def _body(facts: Facts) -> Iterator[Caution]:
    yield Caution(
        "food",
        "Do not eat, drink or smoke while you work with it, nor where it is kept.",
        "hands carry it to the mouth",
        "UN GHS Annex 3, P270",
    )
    yield Caution("mouth", "Do not point a brush with your lips.", "the brush carries it to the mouth", PRACTICE)
    yield Caution(
        "skin",
        "Keep it off your skin; cover cuts. Wash your hands before you eat and when you stop. Do not clean skin with "
        "solvent.",
        "skin lets some of it in, and solvents strip the skin",
        "UN GHS Annex 3, P264; common practice",
    )


def _solvent(facts: Facts, elements: LabelElements) -> Iterator[Caution]:
    flammable = {"H224", "H225", "H226", "H227"} & set(elements.h_codes)
    if facts.form in ("solvent", "varnish") or flammable:
        yield Caution(
            "solvent:air",
            "Ventilate as local rules say. Keep it covered when you are not using it.",
            "vapour builds up unseen; little smell does not mean little vapour",
            "UN GHS Annex 3, P271",
        )
        yield Caution(
            "solvent:fire",
            "Keep it away from heat, sparks and flames.",
            "the vapour can catch fire" if flammable else "whether it can catch fire is in the maker's sheet",
            "UN GHS Annex 3, P210",
        )
    elif facts.form == "medium":
        yield Caution(
            "solvent:unknown",
            "It may hold solvent: ventilate as local rules say and keep it from flames unless the maker's sheet says "
            "what is in it.",
            "mediums are often thinned",
            PRACTICE,
        )
    elif _dries_by_oxidation(facts):
        yield Caution(
            "solvent:thinner",
            "Solvent used to thin or clean it has a notice of its own: read that too.",
            "the thinner has hazards that the paint has not",
            PRACTICE,
        )


_DRYING = re.compile(
    r"\b(oils?|linseed|walnut|poppy|safflower|tung|stand|alkyds?|öl|huile|olio|óleo|масл\w*|льнян\w*|алкид\w*)\b"
)


def _dries_by_oxidation(facts: Facts) -> bool:
    words = " ".join((facts.binder, *(row.substance for row in facts.ingredients))).casefold()
    named = facts.name.casefold() if facts.form != "solvent" else ""
    return bool(_DRYING.search(words.replace("turpentine, oil", "turpentine")) or _DRYING.search(named))


_NFPA_RAGS = "NFPA, Safety with Oily Rags Wet with Flammable or Combustible Liquid (2017)"


def _rags(facts: Facts) -> Iterator[Caution]:
    text = "Oily rags and paper can heat up and catch fire by themselves. Store and discard them as local rules say."
    if _dries_by_oxidation(facts):
        why = "drying oils and alkyds give off heat as they harden"
        yield Caution("rags", text, why, _NFPA_RAGS)
    elif facts.form in ("medium", "varnish") or (facts.form == "paint" and not facts.binder):
        why = "it is not known whether it holds a drying oil or an alkyd"
        yield Caution("rags:unknown", text, why, _NFPA_RAGS)


# Handbook knowledge of pigments: what heat or acid sets free.
_DIARYLIDES = frozenset({"PY12", "PY13", "PY14", "PY17", "PY83", "PY126", "PY174", "PO13", "PO16", "PO34"})
_HEAT = (
    (_DIARYLIDES, "heat:diarylide", "Do not heat or burn it.", "strong heat can release the amine it is built from"),
    (frozenset({"PR106", "PO23", "PR113"}), "heat:mercury", "Do not heat or burn it.", "heat releases mercury vapour"),
    (frozenset({"PB27"}), "heat:cyanide", "Keep it from strong heat and acids.", "they can release hydrogen cyanide"),
    (frozenset({"PB29", "PV15", "PR259"}), "acid:sulphide", "Keep it from acids.", "they release hydrogen sulphide"),
)


def _heat_and_acid(facts: Facts) -> Iterator[Caution]:
    for codes, key, text, why in _HEAT:
        named = [one.code for one in facts.pigments if one.code in codes]
        if named:
            yield Caution(key, text, f"{', '.join(named)}: {why}", PRACTICE)


def _waste(facts: Facts) -> Iterator[Caution]:
    yield Caution(
        "waste",
        "Nothing into the sink or drain. Collect what is left, rinsings and wipes, as local rules say.",
        "waste rules are local",
        "UN GHS Annex 3, P273 and P501",
    )


def _children(facts: Facts, rules: tuple[HouseRule, ...]) -> Iterator[Caution]:
    if any(rule.topic == "children" for rule in rules):
        return
    yield Caution(
        "children",
        "Keep it from children unless the house rule and the maker's label both allow it.",
        "this house has recorded no words about children for its notices",
        PRACTICE,
    )


_BEFORE: dict[Topic, str] = {
    "dust": "dust",
    "food": "food",
    "solvents": "solvent",
    "rags": "rags",
    "waste": "waste",
    "children": "children",
}


def _with_house_rules(lines: Cautions, rules: tuple[HouseRule, ...]) -> Cautions:
    """Put each house rule after the last caution on its subject, or at the end."""
    placed = list(lines)
    for number, rule in enumerate(rules, start=1):
        subject = _BEFORE.get(rule.topic, "")
        spots = [place for place, one in enumerate(placed) if subject and one.key.split(":")[0] == subject]
        line = Caution(f"house:{rule.topic}:{number}", rule.text, "this house decided it", rule.source)
        placed.insert(spots[-1] + 1 if spots else len(placed), line)
    return tuple(placed)
