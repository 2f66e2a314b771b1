"""Which published lists give the sign where neither a sheet nor the label does, by the law that a studio is under."""

from dataclasses import dataclass

from safety.rules.classify import EU_LIST

AUSTRALIA = "Australia HCIS"

_EU_NAMES = frozenset({"eu", "e.u.", "european union", "eea", "european economic area"})


@dataclass(frozen=True)
class Lists:
    """The regimes asked for, the nearest first, and why these, in a sentence."""

    regimes: tuple[str, ...]
    why: str


def lists_for(jurisdiction: str) -> Lists:
    """Return the lists for a jurisdiction as a studio typed it.

    Where there is no list of its own here, the EU's are used under their own name: nothing says that they are the law
    there.
    """
    place = jurisdiction.strip()
    folded = place.casefold()
    if folded in _EU_NAMES:
        return Lists(EU_LIST, "Published signs come from the EU list (CLP Annex VI).")
    if folded.startswith("austral"):
        return Lists(
            (AUSTRALIA, *EU_LIST),
            "Published signs come from the Australian list (HCIS) first, and from the EU list (CLP Annex VI).",
        )
    missing = f"No list of {place} is held here" if place else "The studio has not said whose law applies"
    return Lists(
        EU_LIST,
        f"{missing}, so published signs come from the EU list (CLP Annex VI). "
        "It need not be what applies: ask whoever is responsible for safety.",
    )
