"""Questions that people ask of the whole shelf, answered without a yes or a no that is not ours to give."""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.rules.facts import Facts
from safety.rules.house import HouseRule
from safety.rules.statements import bare_code

# Reproductive toxicity and lactation (UN GHS 3.7), with what may be passed on: germ cell mutagenicity (3.5).
_REPRODUCTION = ("H360", "H361", "H362", "H340", "H341")

SPEAK_TO = "Speak to your doctor and to your tutor, and take the makers' sheets with you."


@dataclass(frozen=True)
class Stated:
    """One thing and the statements that bear on the question, with where they are printed."""

    name: str
    h_codes: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Pregnancy:
    """What the records say to somebody who is pregnant. It answers neither yes nor no."""

    carrying: tuple[Stated, ...]
    sheet_without: tuple[str, ...]
    no_sheet: tuple[str, ...]
    advice: str = SPEAK_TO


def pregnancy(items: Iterable[Facts]) -> Pregnancy:
    """Sort what is on the shelf by what its sheet says; a published statement counts where there is no sheet.

    Something without a sheet stays among `no_sheet` even when a published statement puts it among `carrying`.
    """
    carrying, without, no_sheet = [], [], []
    for facts in items:
        entered = facts.sheet is not None and bool(facts.sheet.h_codes or facts.sheet.says_not_classified)
        if not entered:
            no_sheet.append(facts.name)
        found = [one for one in _stated(facts) if one.h_codes]
        if found:
            carrying.append(found[0])
        elif entered:
            without.append(facts.name)
    return Pregnancy(tuple(carrying), tuple(without), tuple(no_sheet))


def _stated(facts: Facts) -> Iterable[Stated]:
    if facts.sheet:
        yield Stated(facts.name, _bearing(facts.sheet.h_codes), f"maker's sheet {facts.sheet.title}")
    if facts.label:
        yield Stated(facts.name, _bearing(facts.label.h_codes), "label")
    for row in facts.substances:
        yield Stated(facts.name, _bearing(row.h_codes), f"{row.regime}: {row.substance}")


def _bearing(h_codes: Iterable[str]) -> tuple[str, ...]:
    return tuple(code for code in map(bare_code, h_codes) if code.startswith(_REPRODUCTION))


@dataclass(frozen=True)
class ClassRule:
    """A house rule about the seals and marks that a class may or may not use; seals are typed as on the label."""

    rule: HouseRule
    allowed_seals: frozenset[str] = frozenset()
    refused_seals: frozenset[str] = frozenset()


@dataclass(frozen=True)
class LeftOut:
    """Something that stays out of a class, and on whose word."""

    name: str
    reason: str


def for_class(seals: Iterable[tuple[str, str]], house: ClassRule) -> tuple[tuple[str, ...], tuple[LeftOut, ...]]:
    """Sort (name, seal on the label) into what the house rule lets in and what it keeps out; no seal is unknown."""
    let_in, left_out = [], []
    for name, seal in seals:
        mark = seal.strip()
        if mark and mark in house.allowed_seals and mark not in house.refused_seals:
            let_in.append(name)
        elif mark in house.refused_seals:
            left_out.append(LeftOut(name, f"its label carries {mark}; {_cite(house.rule)}"))
        else:
            what = f"{mark} is not a seal that the rule names" if mark else "no seal is recorded, so it is not known"
            left_out.append(LeftOut(name, f"{what}; {_cite(house.rule)}"))
    return tuple(let_in), tuple(left_out)


def _cite(rule: HouseRule) -> str:
    return f"“{rule.text}” ({rule.source})"
