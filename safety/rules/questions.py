"""Questions that people ask of the whole shelf, answered without a yes or a no that is not ours to give."""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.rules.facts import Facts
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
