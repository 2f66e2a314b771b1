"""Whose law a studio is under, and which published lists follow from it."""

from dataclasses import dataclass

from safety.rules.classify import EU_LIST

AUSTRALIA = "Australia HCIS"

EU_PLACE = "EU"
AUSTRALIA_PLACE = "Australia"
US_PLACE = "United States"
CALIFORNIA_PLACE = "California"
UK_PLACE = "United Kingdom"

_EU_NAMES = frozenset({"eu", "e.u.", "european union", "eea", "european economic area"})
# The CLP Regulation holds in the member states of the EU and, by the EEA Agreement, in the last three.
_EU_STATES = frozenset({
    "austria", "belgium", "bulgaria", "croatia", "cyprus", "czechia", "czech republic", "denmark", "estonia", "finland",
    "france", "germany", "greece", "hungary", "ireland", "republic of ireland", "italy", "latvia", "lithuania",
    "luxembourg", "malta", "netherlands", "the netherlands", "poland", "portugal", "romania", "slovakia", "slovenia",
    "spain", "sweden", "iceland", "liechtenstein", "norway",
})  # fmt: skip
_US_NAMES = frozenset({"us", "u.s.", "usa", "u.s.a.", "united states", "united states of america"})
_UK_NAMES = frozenset({"uk", "u.k.", "united kingdom", "great britain", "gb", "england", "scotland", "wales"})


@dataclass(frozen=True)
class Lists:
    """The regimes asked for, the nearest first, and why these, in a sentence."""

    regimes: tuple[str, ...]
    why: str


def places_of(jurisdiction: str) -> tuple[str, ...]:
    """Return the places whose rules are held here and reach a jurisdiction as somebody typed it, the nearest first.

    "US (California)" is California and then the United States. Nothing where it is blank or not known here.
    """
    folded = " ".join(jurisdiction.casefold().split())
    head = folded.partition("(")[0].partition(",")[0].strip()
    if "california" in folded and "baja" not in folded:
        return (CALIFORNIA_PLACE, US_PLACE)
    for names, place in ((_EU_NAMES | _EU_STATES, EU_PLACE), (_US_NAMES, US_PLACE), (_UK_NAMES, UK_PLACE)):
        if folded in names or head in names:
            return (place,)
    return (AUSTRALIA_PLACE,) if folded.startswith("austral") else ()


def lists_for(jurisdiction: str) -> Lists:
    """Return the lists for a jurisdiction as a studio typed it.

    Where there is no list of its own here, the EU's are used under their own name: nothing says that they are the law
    there.
    """
    place = jurisdiction.strip()
    places = places_of(place)
    if EU_PLACE in places:
        return Lists(EU_LIST, "Published signs come from the EU list (CLP Annex VI).")
    if AUSTRALIA_PLACE in places:
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
