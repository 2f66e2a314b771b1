"""What each regime says of one pigment, side by side, the studio's own place first.

A regime without a row here is shown with those words: that nothing was established is not a finding of no hazard.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from safety.rules.classify import EU_LIST, SELF_CLASSIFIED, SubstanceClassification
from safety.rules.facts import PigmentFacts
from safety.rules.lists import (
    AUSTRALIA,
    AUSTRALIA_PLACE,
    CALIFORNIA_PLACE,
    EU_PLACE,
    UK_PLACE,
    US_PLACE,
    places_of,
)
from safety.rules.metals import METALS, counts, is_natural_earth
from safety.rules.sources import cite

NOTHING = "Nothing established here: that is not a finding of no hazard."


@dataclass(frozen=True)
class Regime:
    """One list or rule book: where it holds, what kind of statement it makes, and its names in the hazard table."""

    key: str
    title: str
    place: str
    what: str
    names: tuple[str, ...]


REGIMES = (
    Regime(
        "clp",
        "EU: harmonised classification (CLP Annex VI)",
        EU_PLACE,
        "A classification of the substance that binds suppliers, or its exclusion by name. A paint is a mixture, which "
        "its maker classifies.",
        EU_LIST,
    ),
    Regime(
        "reach",
        "EU: REACH",
        EU_PLACE,
        "Rules about selling and using a substance, and the list of candidates for them. Not a classification.",
        ("REACH Annex XIV", "REACH Annex XVII", "REACH SVHC"),
    ),
    Regime(
        "australia",
        "Australia: Hazardous Chemical Information System",
        AUSTRALIA_PLACE,
        "Classifications that a regulator worked out as an advisory source.",
        (AUSTRALIA,),
    ),
    Regime(
        "osha",
        "United States: OSHA standards for one substance",
        US_PLACE,
        "Limits and duties for air at work; not a label.",
        ("OSHA standard",),
    ),
    Regime(
        "ntp",
        "United States: Report on Carcinogens (NTP)",
        US_PLACE,
        "What is held of the evidence about cancer; it sets no limit and no label.",
        ("NTP RoC",),
    ),
    Regime(
        "prop65",
        "California: Proposition 65",
        CALIFORNIA_PLACE,
        "A list that asks for a warning above an exposure; it says nothing of how much is in a paint.",
        ("Prop 65",),
    ),
    Regime(
        "iarc",
        "International: IARC Monographs",
        "",
        "How strong the evidence is that something can cause cancer, not how likely it is in use.",
        ("IARC",),
    ),
    Regime(
        "suppliers",
        "What suppliers usually say",
        "",
        "No regime: a tendency among data sheets. The maker's own sheet decides.",
        (SELF_CLASSIFIED,),
    ),
)


@dataclass(frozen=True)
class Row:
    """One published row in words, with where it comes from and how sure it is."""

    published: SubstanceClassification
    says: str

    @property
    def source(self) -> str:
        return cite(self.published.source, self.published.confidence)

    @property
    def confidence(self) -> str:
        return self.published.confidence or "not recorded"


@dataclass(frozen=True)
class Block:
    """A regime and its rows about one pigment; `own` where the studio's own jurisdiction is in its place."""

    regime: Regime
    own: bool
    rows: tuple[Row, ...]
    nothing: str = field(default=NOTHING, init=False)


def side_by_side(pigment: PigmentFacts, jurisdiction: str = "", earth: str = "") -> tuple[Block, ...]:
    """Return every regime about one pigment, those of the studio's own place first; suppliers come last.

    `earth` is "umber" or "sienna" where the label of a PBr7 says so; empty is not known.
    """
    places = places_of(jurisdiction)

    def nearness(regime: Regime) -> int:
        return places.index(regime.place) if regime.place in places else len(places)

    rows = [row for row in dict.fromkeys(pigment.substances) if not _is_of_the_other_earth(pigment, row, earth)]
    return tuple(
        Block(
            regime,
            regime.place in places,
            tuple(Row(row, said(row)) for row in rows if row.regime in regime.names),
        )
        for regime in sorted(REGIMES, key=nearness)
    )


def _is_of_the_other_earth(pigment: PigmentFacts, row: SubstanceClassification, earth: str) -> bool:
    """The manganese of PBr7 belongs to umbers: a sienna that its label names goes without those rows."""
    return is_natural_earth(pigment.code) and earth == "sienna" and row.substance.startswith("manganese")


def said(row: SubstanceClassification) -> str:
    """Return in a sentence or two what a row says; an exclusion is told as one."""
    text = row.classification.rstrip(".")
    if row.excluded_by_name:
        return (
            f"{text[:1].upper()}{text[1:]}. No statement follows from that entry: that is not a finding of no hazard."
        )
    if row.regime == SELF_CLASSIFIED:
        return f"{text[:1].upper()}{text[1:]}. Not a published classification."
    if not text and not row.h_codes:
        return "Named, without a classification."
    return f"{text[:1].upper()}{text[1:]}."


def where_held(jurisdiction: str) -> str:
    """Return why the blocks stand in this order."""
    place = jurisdiction.strip()
    places = places_of(place)
    if not place:
        return "The studio has not said whose law applies, so no place comes first: a keeper can enter it."
    if any(regime.place in places for regime in REGIMES):
        return f"What is held for {place} comes first."
    return (
        f"No list of {place} is held here, so no place comes first. Ask whoever is responsible for safety what applies."
    )


# Place of a limit's jurisdiction cell: what stands before the bracket, but California is a place of its own.
_LIMIT_PLACES = {"EU": EU_PLACE, "US": US_PLACE, "UK": UK_PLACE}


def limit_place(jurisdiction: str) -> str:
    """Return the place of a limit: "US (OSHA)" is the United States, "US (California)" is California."""
    if "California" in jurisdiction:
        return CALIFORNIA_PLACE
    return _LIMIT_PLACES.get(jurisdiction.partition(" ")[0], "")


def earth_question(code: str, earth: str) -> str:
    """Return what is to be asked, or was answered, about a PBr7; empty for every other pigment."""
    if not is_natural_earth(code):
        return ""
    return {
        "umber": "Umber: natural iron oxide with manganese oxides. The manganese counts.",
        "sienna": "Sienna: natural iron oxide with little manganese. How much, the maker's sheet says.",
    }.get(
        earth,
        "PBr7 is one code for siennas and for umbers, and only umbers carry much manganese. Which one is it? The code "
        "does not tell: read the name on the tube and the maker's sheet. Until then it is not known.",
    )


def metal_words(pigment: PigmentFacts, earth: str = "") -> tuple[str, ...]:
    """Return the metals that the pigment table names, in words; what a bound metal does is the sheet's matter."""
    shades = frozenset({earth} - {""})
    return tuple(METALS[one].words for one in METALS if one in pigment.metals and counts(one, pigment, shades))


_CADMIUM = "PY37 PY35 PY35:1 PO20 PO20:1 PR108 PR108:1"
_COBALT = "PB28 PB35 PB36 PB72 PB73 PB74 PG19 PG26 PG50 PV14 PV47 PV48 PV49 PB32 PBk27 PBk29"

# Pigments that are taken for each other, and what tells their rows apart.
_TAKEN_FOR_EACH_OTHER: tuple[tuple[str, str], ...] = (
    (
        _CADMIUM,
        "The EU list has an entry of its own for cadmium sulphide (PY37, index 048-010-00-4) and excludes PY35, PO20 "
        "and PR108 by name from its group entry. Australia lists all four. The metal is the same: read the sheet.",
    ),
    (
        "PY157 PY53",
        "Both are nickel titanates. The EU list names PY157 (index 028-052-00-X); PY53 has no entry there.",
    ),
    (
        "PY36 PY36:1 PY32 PY33 PY31",
        "Chromates stand in different places of the EU list: zinc chromates (PY36) in category 1A for cancer, "
        "strontium and calcium chromate (PY32, PY33) in category 1B, and barium chromate (PY31) is excluded by name "
        "from the group entry.",
    ),
    (
        "PG15 PG17 PG18",
        "“Chrome green” is a name for two things: PG15 holds lead chromate; PG17 and PG18 are chromium(III) oxides and "
        "no chromates. Go by the code on the tube.",
    ),
    (
        _COBALT,
        "IARC parted cobalt in Volume 131: the metal and soluble cobalt(II) salts are group 2A, cobalt(II) oxide is "
        "group 2B, and the other cobalt(II) compounds are group 3. The former single group 2B no longer stands "
        "(IARC Monographs, Volume 131, 2023).",
    ),
    (
        "PR106 PR107",
        "Both are sold as vermilion. Mercuric sulphide (PR106) is excluded by name from the EU's mercury entry, "
        "antimony trisulphide (PR107) from its antimony entry. Other lists count both metals.",
    ),
    (
        "PW21 PW22 PW5 PW10 PY31",
        "Barium sulphate is excluded by name from the EU entry for barium salts. Barium carbonate and barium chromate "
        "are not.",
    ),
)  # fmt: skip


def apart(code: str) -> tuple[str, ...]:
    """Return what tells a pigment's rows apart from those of a pigment that it is taken for."""
    return tuple(words for codes, words in _TAKEN_FOR_EACH_OTHER if code in codes.split())


def order_by_place(places: Iterable[str], jurisdiction: str) -> list[str]:
    """Sort places, the studio's own first, the others as they come."""
    own = places_of(jurisdiction)
    found = list(dict.fromkeys(places))
    return sorted(found, key=lambda place: own.index(place) if place in own else len(own))
