"""At most six precautionary statements out of many, the most important first.

CLP Article 28(3) allows no more than six unless the hazard needs more. Which six is for the supplier to choose; the
order below is ours, for a studio wall (common practice, no source): what prevents the worst, what to do when it
happens, where the rest goes.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.rules.classify import Dropped
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


@dataclass(frozen=True)
class Chosen:
    """A P statement that was chosen, and why."""

    precaution: Precaution
    why: str


@dataclass(frozen=True)
class Choice:
    """At most six P statements, and what was left out with the reason."""

    chosen: tuple[Chosen, ...]
    left_out: tuple[Dropped, ...]


_GROUPS = {
    "1": "general",
    "2": "prevention: so that it does not happen",
    "3": "response: what to do when it has happened",
    "4": "storage",
    "5": "disposal, which a package for the public has to speak of (CLP Article 28(2))",
}


def asked_by(h_codes: Iterable[str], phrasebook: Phrasebook) -> dict[str, tuple[str, ...]]:
    """Return the P codes that the tables give for these H codes, each with the H codes that ask for it.

    Annex I, parts 2 to 5, of CLP, as the statement table holds them. The supplier chooses among them (Annex IV, part
    1).
    """
    found: dict[str, list[str]] = {}
    for typed in dict.fromkeys(bare_code(code) for code in h_codes):
        for code in phrasebook.look_up(typed).p_codes:
            found.setdefault(code, []).append(typed)
    return {code: tuple(codes) for code, codes in found.items()}


def choose(
    p_codes: Iterable[str], phrasebook: Phrasebook, h_codes: Iterable[str] = (), at_most: int = AT_MOST
) -> Choice:
    """Choose as `most_important` does, and say why each stays or goes."""
    codes = list(dict.fromkeys(bare_code(code) for code in p_codes))
    kept = most_important(codes, phrasebook, at_most)
    asking = asked_by(h_codes, phrasebook)
    shown = {one.code for one in kept}
    chosen = tuple(Chosen(one, _why(one.code, asking)) for one in kept)
    left = tuple(Dropped(code, _why_not(code, codes, at_most)) for code in codes if code not in shown)
    return Choice(chosen, left)


def _why(code: str, asking: dict[str, tuple[str, ...]]) -> str:
    group = _GROUPS.get(code[1], "")
    goes_with = asking.get(code, ())
    return f"{group}; goes with {', '.join(goes_with)}" if goes_with else group


def _why_not(code: str, codes: list[str], at_most: int) -> str:
    for strong, weaker in _COVERED:
        if strong in codes and code in weaker:
            return f"{strong} says it more strongly (CLP Article 28(1))"
    return f"{at_most} stand before it (CLP Article 28(3)); it still holds: read the sheet"
