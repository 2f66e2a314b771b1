"""At most six precautionary statements out of many, the most important first.

CLP Article 28(3) allows no more than six unless the hazard needs more. Which six is for the supplier to choose; the
order below is ours, for a studio wall (common practice, no source): what prevents the worst, what to do when it
happens, where the rest goes.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.rules.statements import Phrasebook, bare_code

AT_MOST = 6

# Most important first. Codes that are not listed come after these, in the order given.
_ORDER = (
    "P201", "P301+P310", "P301+P330+P331", "P331", "P260", "P284", "P210", "P262", "P280", "P270", "P261", "P308+P311",
    "P308+P313", "P304+P340", "P305+P351+P338", "P310", "P303+P361+P353", "P302+P352", "P342+P311", "P264", "P271",
    "P311", "P301+P312", "P333+P313", "P272", "P263", "P273", "P314", "P312", "P330", "P337+P313", "P332+P313", "P235",
    "P403+P235", "P403+P233", "P202", "P405", "P391", "P233",
)  # fmt: skip
_RANK = {code: rank for rank, code in enumerate(_ORDER)}

# The stronger wording covers the weaker one (UN GHS Annex 3, section 3: avoid redundancy).
_COVERED = (
    ("P301+P310", ("P301+P312", "P310")),
    ("P301+P330+P331", ("P331", "P330")),
    ("P260", ("P261",)),
    ("P310", ("P311", "P312")),
    ("P308+P311", ("P308+P313",)),
    ("P303+P361+P353", ("P302+P352",)),
)

_DISPOSAL = "P501"


@dataclass(frozen=True)
class Precaution:
    """A P statement in the standard's words; `local` says who fills what the standard leaves open."""

    code: str
    phrase: str
    local: str = ""


def most_important(p_codes: Iterable[str], phrasebook: Phrasebook, at_most: int = AT_MOST) -> tuple[Precaution, ...]:
    """Choose from the P codes; the disposal statement keeps the last place if it is among them (CLP Article 28(2))."""
    codes = list(dict.fromkeys(bare_code(code) for code in p_codes))
    covered = {weak for strong, weaker in _COVERED if strong in codes for weak in weaker}
    chosen = sorted((code for code in codes if code not in covered), key=lambda code: _RANK.get(code, len(_RANK)))
    if _DISPOSAL in chosen:
        others = [code for code in chosen if code != _DISPOSAL]
        chosen = [*others[: at_most - 1], _DISPOSAL]
    return tuple(_precaution(code, phrasebook) for code in chosen[:at_most])


def _precaution(code: str, phrasebook: Phrasebook) -> Precaution:
    phrase = phrasebook.look_up(code).phrase_plain
    if code == _DISPOSAL:
        return Precaution(code, phrase, "by local rule")
    return Precaution(code, phrase, "the maker's sheet says which" if "…" in phrase else "")
