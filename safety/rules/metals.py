"""What a notice says about a metal that a listed pigment contains.

Presence of the element is what the pigment table records; how much of it the body can take up is the sheet's matter.
Each advice asks for the sheet, and none of them is a classification.
"""

from dataclasses import dataclass

from safety.rules.facts import PigmentFacts


@dataclass(frozen=True)
class Metal:
    """The metal's name, the words of the notice, and where they come from."""

    name: str
    words: str
    advice: str
    why: str
    source: str


_SHEET = "Read the maker's sheet."

# In the order in which a notice prints them.
METALS: dict[str, Metal] = {
    "Pb": Metal(
        "lead",
        "lead",
        f"Lead builds up in the body. Keep it from children and from anyone who is pregnant or may be. {_SHEET}",
        "lead harms nerves, blood and the unborn child",
        "29 CFR 1910.1025; Regulation (EC) 1272/2008, Annex VI, index 082-001-00-6",
    ),
    "Cd": Metal(
        "cadmium",
        "cadmium",
        f"Cadmium builds up in the body; breathed dust is the worst way in. {_SHEET}",
        "US workplace rules cover cadmium in all forms, pigments too",
        "29 CFR 1910.1027; IARC Monographs, Volumes 58 and 100C",
    ),
    "Cr6": Metal(
        "chromium(VI)",
        "chromium(VI), a chromate",
        f"Chromates can cause cancer when breathed and allergy on the skin. {_SHEET}",
        "IARC group 1",
        "IARC Monographs, Volumes 49 and 100C; 29 CFR 1910.1026",
    ),
    "As": Metal(
        "arsenic",
        "arsenic",
        f"Arsenic compounds are poisonous and can cause cancer. {_SHEET}",
        "IARC group 1",
        "IARC Monographs, Volume 100C; 29 CFR 1910.1018",
    ),
    "Hg": Metal(
        "mercury",
        "mercury",
        f"Do not heat it and raise no dust. {_SHEET}",
        "mercury compounds harm the nerves and the kidneys",
        "California Proposition 65 list (OEHHA); common practice",
    ),
    "Ni": Metal(
        "nickel",
        "nickel",
        f"Nickel can cause allergy; breathe no dust. {_SHEET}",
        "nickel compounds as a group are listed as cancer hazards; how far that holds here is not known",
        "IARC Monographs, Volume 100C",
    ),
    "Co": Metal(
        "cobalt",
        "cobalt",
        f"Cobalt can cause allergy; breathe no dust. {_SHEET}",
        "lists differ on insoluble cobalt pigments",
        "IARC Monographs, Volume 131 (2023); NTP Report on Carcinogens, 15th edition (2021)",
    ),
    "Mn": Metal(
        "manganese",
        "manganese",
        f"Breathe no dust: manganese breathed for long harms the nerves. {_SHEET}",
        "breathed dust is the way in that matters",
        "29 CFR 1910.1000 Table Z-1 (ceiling 5 mg/m³ as Mn)",
    ),
    "Sb": Metal(
        "antimony",
        "antimony",
        f"Breathe no dust. {_SHEET}",
        "trivalent antimony is IARC group 2A; which form this is, the sheet says",
        "IARC Monographs, Volume 131 (2023)",
    ),
    "Ba": Metal(
        "barium",
        "barium",
        f"Soluble barium salts are harmful if swallowed or breathed. {_SHEET}",
        "the entry for barium salts excludes only barium sulphate and some lakes",
        "Regulation (EC) 1272/2008, Annex VI, index 056-002-00-7",
    ),
    "Se": Metal(
        "selenium",
        "selenium",
        f"Breathe no dust. {_SHEET}",
        "US workplace air has a limit for selenium compounds",
        "29 CFR 1910.1000 Table Z-1 (0.2 mg/m³ as Se)",
    ),
    "V": Metal(
        "vanadium",
        "vanadium",
        f"Breathe no dust. {_SHEET}",
        "suppliers differ on its hazard",
        "common practice, no source",
    ),
    "Cr3": Metal(
        "chromium(III)",
        "trivalent chromium, chromium(III)",
        "Traces of other forms are the maker's to state: read the sheet.",
        "IARC group 3; no entry in the EU list",
        "IARC Monographs, Volume 49",
    ),
    "Cu": Metal(
        "copper",
        "copper",
        f"Keep it out of drains and soil; breathe no dust. {_SHEET}",
        "copper harms water life where it dissolves; how firmly it is bound differs by pigment",
        "common practice, no source",
    ),
    "Zn": Metal(
        "zinc",
        "zinc",
        f"Keep it out of drains. {_SHEET}",
        "some zinc compounds harm water life",
        "Regulation (EC) 1272/2008, Annex VI, index 030-013-00-7 (zinc oxide)",
    ),
}


def counts(symbol: str, pigment: PigmentFacts, shades: frozenset[str]) -> bool:
    """Whether a metal of the pigment table is told of this pigment, given the earths that its label names."""
    if symbol == "Mn" and is_natural_earth(pigment.code):
        return "umber" in shades
    if symbol == "Ba":
        return not _is_barium_sulphate(pigment)
    return True


def is_natural_earth(code: str) -> bool:
    """PBr7 is one code for siennas and for umbers; only umbers carry much manganese."""
    return code.partition(":")[0] == "PBr7"


def _is_barium_sulphate(pigment: PigmentFacts) -> bool:
    """All its barium is sulphate, which the CLP barium salts entry, index 056-002-00-7, excludes by name.

    PB33 is barium manganate beside the sulphate, so the words must name no other barium.
    """
    excluded = any(row.excluded_by_name and "056-002-00-7" in row.classification for row in pigment.substances)
    words = pigment.name.casefold()
    return excluded or words.count("barium") == words.count("barium sulphate") > 0
