"""Who may use what: which house rules catch a thing, why, and what nobody can tell.

A rule that catches nothing is no finding of no hazard. Where what a rule goes by is not recorded, nobody
can tell whether it catches: for children that counts as caught, for others as a warning.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from safety.rules.classify import EU_LIST
from safety.rules.facts import Facts, Trust
from safety.rules.levels import NOT_KNOWN
from safety.rules.metals import METALS

Reach = Literal["everything", "no data", "seal", "no seal", "code", "metal", "pigment", "form", "level", "item"]

NO_MAKERS_DATA = "No maker's data is recorded, so it is unknown, and what is unknown is kept from children"
OWN_STANCE = "how this record treats what is unknown; it is not a house rule and not law"
NO_RULE = "No house rule catches these. That is not a finding of no hazard."
READ_FIRST = "a pigment has no sheet and no label: read those of the very product before this group uses it"

# Seals of the labelling under ASTM D4236 that ask for care, and those that do not; from memory of the trade.
_CAUTIONARY = frozenset({"CL", "HL"})
_APPROVED = frozenset({"AP", "CP"})


@dataclass(frozen=True)
class UseRule:
    """A ban or a warning of the house. `values` are what it goes by: seals, codes, metals, kinds, or keys of items."""

    text: str
    source: str
    forbids: bool
    reach: Reach
    values: tuple[str, ...] = ()
    room: str = ""


@dataclass(frozen=True)
class Thing:
    """What the rules look at: the facts, its kinds ("paint", "oil paint", "solvent"), and its handling level."""

    facts: Facts
    kinds: frozenset[str] = frozenset({"paint"})
    level: str = ""
    key: str = ""
    on_shelf: bool = True
    """False for a pigment that is only thought of: it has neither sheet nor label yet."""


@dataclass(frozen=True)
class Caught:
    """One rule that catches one thing, in the house's words, with the reason and who decided it."""

    rule: str
    why: str
    source: str
    forbids: bool
    unknown: bool = False


@dataclass(frozen=True)
class _Answer:
    why: str
    unknown: bool = False
    """True where the rule itself catches what is not recorded."""
    undecided: bool = False
    """True where nobody can tell whether the rule catches."""


def has_makers_data(facts: Facts) -> bool:
    """Whether a maker's sheet or the label's own words are on record, with anything that they state."""
    sheet = facts.sheet
    if sheet and (sheet.h_codes or sheet.signal_word or sheet.pictograms or sheet.says_not_classified):
        return True
    label = facts.label
    return bool(label and (label.text or label.h_codes or label.signal_word or label.pictograms or label.seals))


def caught(
    thing: Thing, rules: Iterable[UseRule], *, children: bool = False, regimes: tuple[str, ...] = EU_LIST
) -> tuple[Caught, ...]:
    """Return every rule that catches the thing, bans first, and what is not known.

    For children a ban that cannot be decided forbids, and so does the lack of any maker's data; for others it warns.
    """
    found = list(_own_stance(thing)) if children else []
    for rule in rules:
        answer = _look(thing, rule, regimes)
        if answer:
            # Where it will be used is not known here, so a rule of one room warns, and names its room.
            forbids = rule.forbids and not rule.room
            forbids = forbids and (children or not answer.undecided) and (thing.on_shelf or not answer.unknown)
            found.append(Caught(_in_room(rule), answer.why, rule.source, forbids, answer.unknown))
    if any(one.forbids for one in found):
        # What is kept out needs no word that some warning may hold as well.
        found = [one for one in found if one.forbids or not one.unknown]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: (not one.forbids, one.unknown)))


def catches_code(value: str, code: str) -> bool:
    """Whether a rule about `value` reaches a printed code: H360 reaches H360FD, H360D does, H360F does not H360D.

    A printed combination such as H301 + H311 is reached through each of its parts.
    """
    wanted = _parts(value)
    return bool(wanted) and all(any(_reaches(one, part) for part in _parts(code)) for one in wanted)


def catches_pigment(value: str, code: str) -> bool:
    """Whether a rule about `value` reaches a pigment: PB15 reaches PB15:3, PB15:3 only itself."""
    wanted, given = value.casefold(), code.casefold()
    return given == wanted or (":" not in wanted and given.partition(":")[0] == wanted)


def _own_stance(thing: Thing) -> Iterator[Caught]:
    if not thing.on_shelf:
        yield Caught(NO_MAKERS_DATA, READ_FIRST, OWN_STANCE, False, True)
    elif not has_makers_data(thing.facts):
        why = "neither a maker's sheet with its statements nor the label's words are on record"
        yield Caught(NO_MAKERS_DATA, why, OWN_STANCE, True, True)


def _in_room(rule: UseRule) -> str:
    return f"In {rule.room}: {rule.text}" if rule.room else rule.text


def _look(thing: Thing, rule: UseRule, regimes: tuple[str, ...]) -> _Answer | None:
    if thing.on_shelf or rule.reach in ("everything", "metal", "pigment"):
        return _of_reach(thing, rule.reach, rule.values, regimes)
    if rule.reach == "code":
        published = _published(thing.facts, rule.values, regimes)
        return published or _Answer(READ_FIRST, unknown=True, undecided=True)
    if rule.reach in ("form", "level", "item"):
        return None
    return _Answer(READ_FIRST, unknown=True, undecided=True)


def _of_reach(thing: Thing, reach: Reach, values: Sequence[str], regimes: tuple[str, ...]) -> _Answer | None:
    facts = thing.facts
    match reach:
        case "everything":
            return _Answer("the rule is about everything")
        case "no data":
            return None if has_makers_data(facts) else _Answer("no maker's data is recorded", unknown=True)
        case "seal":
            return _seal(facts, values)
        case "no seal":
            return _no_seal(facts, values)
        case "code":
            return _code(facts, values, regimes)
        case "metal":
            return _metal(facts, values)
        case "pigment":
            return _pigment(facts, values)
        case "form":
            return _form(thing, values)
        case "level":
            return _level(thing, values)
        case "item":
            return _Answer("the rule names it") if thing.key and thing.key in values else None


def _seals(facts: Facts) -> tuple[str, ...]:
    return tuple(seal.upper() for seal in facts.label.seals) if facts.label else ()


def _no_seal_known(facts: Facts) -> str:
    return "no seal is recorded from its label" if facts.label else "its label is not recorded, so its seal is unknown"


def _seal(facts: Facts, values: Sequence[str]) -> _Answer | None:
    carried = _seals(facts)
    if not carried:
        return _Answer(_no_seal_known(facts), unknown=True, undecided=True)
    named = [seal for seal in carried if seal in values]
    return _Answer(f"its label carries the seal {_and(named)}") if named else None


def _no_seal(facts: Facts, values: Sequence[str]) -> _Answer | None:
    carried = _seals(facts)
    if not carried:
        return _Answer(_no_seal_known(facts), unknown=True)
    good = [seal for seal in carried if seal in values]
    if not good:
        return _Answer(f"its label carries the seal {_and(carried)}, not {_or(values)}")
    against = [seal for seal in carried if seal in _CAUTIONARY and seal not in values]
    if against and set(good) <= _APPROVED:
        why = f"the seals {_and([*good, *against])} contradict each other: read the label again"
        return _Answer(why, unknown=True)
    return None


def _code(facts: Facts, values: Sequence[str], regimes: tuple[str, ...]) -> _Answer | None:
    sheet = facts.sheet.h_codes if facts.sheet else ()
    label = facts.label.h_codes if facts.label else ()
    for source, codes in (("the maker's sheet states", sheet), ("its label states", label)):
        named = [code for code in codes if any(catches_code(value, code) for value in values)]
        if named:
            return _Answer(f"{source} {_and(named)}")
    if facts.sheet and (facts.sheet.says_not_classified or sheet):
        return None
    if label:
        return None
    trust = facts.trust(regimes)
    if trust is Trust.PUBLISHED:
        published = _published(facts, values, regimes)
        if published:
            return published
    why = "its hazard statements are not recorded from a sheet or a label"
    return _Answer(why, unknown=True, undecided=True)


def _published(facts: Facts, values: Sequence[str], regimes: tuple[str, ...]) -> _Answer | None:
    for row in facts.substances:
        if row.regime not in regimes:
            continue
        named = [code for code in row.h_codes if any(catches_code(value, code) for value in values)]
        if named:
            of = _and([one.code for one in facts.pigments if row in one.substances] or [row.substance])
            return _Answer(f"the published classification of {of} as a substance has {_and(named)} ({row.regime})")
    return None


def _metal(facts: Facts, values: Sequence[str]) -> _Answer | None:
    wanted = [symbol for value in values for symbol in METALS if symbol == value]
    found = []
    for symbol in wanted:
        name = METALS[symbol].name
        carriers = [pigment.code for pigment in facts.pigments if symbol in pigment.metals]
        substances = [row.substance for row in facts.ingredients if name.split("(")[0] in row.substance.casefold()]
        if carriers or substances:
            found.append(f"{_and(carriers or substances)} contains {name}")
    if found:
        return _Answer(_and(found))
    return _what_is_in_it(facts)


def _pigment(facts: Facts, values: Sequence[str]) -> _Answer | None:
    named = [one.code for one in facts.pigments if any(catches_pigment(value, one.code) for value in values)]
    if named:
        return _Answer(f"it contains {_and(named)}")
    return _what_is_in_it(facts)


def _what_is_in_it(facts: Facts) -> _Answer | None:
    """Nothing where everything that it is made of is recorded; else that nobody can tell."""
    if not facts.pigments and not facts.ingredients:
        pigmented = facts.form in ("paint", "dry pigment")
        what = "its pigments are not known" if pigmented else "what it is made of is not recorded"
        return _Answer(what, unknown=True, undecided=True)
    strange = [one.code for one in facts.pigments if not one.known]
    if strange:
        return _Answer(f"what “{_and(strange)}” contains is not known", unknown=True, undecided=True)
    return None


def _form(thing: Thing, values: Sequence[str]) -> _Answer | None:
    named = [value for value in values if value in thing.kinds]
    if named:
        return _Answer(f"it is {_with_article(named[0])}")
    of_a_binder = any(value.endswith(" paint") for value in values)
    if of_a_binder and "paint" in thing.kinds and not thing.facts.binder:
        return _Answer("its binder is not known", unknown=True, undecided=True)
    return None


def _level(thing: Thing, values: Sequence[str]) -> _Answer | None:
    if thing.level in values:
        return _Answer(f"its handling level is “{thing.level}”", unknown=thing.level == NOT_KNOWN.word)
    if thing.level in ("", NOT_KNOWN.word):
        return _Answer("its handling level is not known", unknown=True, undecided=True)
    return None


_CODE = re.compile(r"(EUH|H|P)(\d{3})([A-Za-z]*)")


def _parts(code: str) -> list[tuple[str, str, frozenset[str]]]:
    bare = re.sub(r"\([^()]*\)", "", code).replace(" ", "")
    return [(kind, number, frozenset(letters)) for kind, number, letters in _CODE.findall(bare)]


def _reaches(wanted: tuple[str, str, frozenset[str]], given: tuple[str, str, frozenset[str]]) -> bool:
    return wanted[:2] == given[:2] and wanted[2] <= given[2]


def _with_article(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _and(words: Sequence[str]) -> str:
    return _joined(words, "and")


def _or(words: Sequence[str]) -> str:
    return _joined(words, "or")


def _joined(words: Sequence[str], between: str) -> str:
    unique = list(dict.fromkeys(words))
    return f"{', '.join(unique[:-1])} {between} {unique[-1]}" if len(unique) > 1 else unique[0]
