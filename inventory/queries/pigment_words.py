"""What the reference table says of a pigment, in words."""

from collections.abc import Mapping

from inventory.models import Pigment
from inventory.queries.wheel import listed

NOT_KNOWN = "not known here"
METAL_WORDS: Mapping[str, str] = {
    "As": "arsenic",
    "Ba": "barium",
    "Cd": "cadmium",
    "Co": "cobalt",
    "Cr3": "chromium(III)",
    "Cr6": "chromium(VI)",
    "Cu": "copper",
    "Hg": "mercury",
    "Mn": "manganese",
    "Ni": "nickel",
    "Pb": "lead",
    "Sb": "antimony",
    "Se": "selenium",
    "V": "vanadium",
    "Zn": "zinc",
}
# Metals that somebody may want to do without, and their symbols in the table: chromium stands there in two kinds.
METALS: Mapping[str, tuple[str, ...]] = {
    **{METAL_WORDS[symbol]: (symbol,) for symbol in ("Cd", "Co", "Pb", "Ni", "Mn", "Cu", "Hg", "As", "Sb", "Ba", "Se")},
    "chromium": ("Cr3", "Cr6"),
    "vanadium": ("V",),
    "zinc": ("Zn",),
}


def lightfastness_words(pigment: Pigment, binder: str) -> str:
    mark = pigment.lightfastness_in(binder)
    return f"{mark} on the ASTM scale, I the best and V the least" if mark else NOT_KNOWN


def metal_words(pigment: Pigment) -> list[str]:
    return [METAL_WORDS.get(metal, metal) for metal in pigment.metal_list]


def hazard_words(pigment: Pigment) -> str:
    """What the pigment's row says of its metals; it never says that there is no hazard."""
    metals = metal_words(pigment)
    if not metals:
        return "No metal is listed for it here, which does not make it harmless; read the maker's sheet."
    return f"Contains {listed(metals)}; read the maker's sheet."


def hazard_short(pigment: Pigment) -> str:
    """The same for a page that says once that an unlisted metal means nothing."""
    metals = metal_words(pigment)
    return f"contains {listed(metals)}" if metals else "no metal listed; read the sheet"
