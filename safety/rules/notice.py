"""Everything a printed notice says, gathered before anything is drawn, and the fingerprint of its facts."""

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date

from safety.rules.classify import (
    EU_LIST,
    SELF_CLASSIFIED,
    LabelElements,
    SubstanceClassification,
    label_elements,
)
from safety.rules.facts import Facts, LabelStatement, PigmentFacts, SheetRecord, Trust
from safety.rules.handling import Caution, cautions
from safety.rules.house import HouseRule
from safety.rules.known import KnownLine, fact_lines, known_lines
from safety.rules.precautions import Precaution, most_important
from safety.rules.sources import cite
from safety.rules.statements import Phrasebook, bare_code, remark, with_names

DEFERRING = "Local regulations, licensed practice and the maker's safety data sheet come first."

# Roles, not numbers: numbers differ by country and by house, so the house fills them in.
WHOM_TO_CALL = ("Emergency services", "Poison information centre", "First aid here", "Responsible for this room")

# CLP Annex II, 2.8: the name of the substance stands within the sentence.
NAMES_A_SENSITISER = "EUH208"

BLANKS = ("Maker and product code", "Pigment codes", "Signal word", "Hazard statements", "Sheet revision date")


@dataclass(frozen=True)
class Contact:
    """Whom to call; an empty number prints as a blank line to fill in by hand."""

    role: str
    number: str = ""


@dataclass(frozen=True)
class House:
    """The studio that hangs the notice: its name, its numbers, its own rules."""

    name: str
    contacts: tuple[Contact, ...] = tuple(Contact(role) for role in WHOM_TO_CALL)
    rules: tuple[HouseRule, ...] = ()


@dataclass(frozen=True)
class HazardLine:
    """A hazard statement that the notice shows: the standard's phrase, and what the sheet adds to it."""

    code: str
    phrase: str
    remark: str = ""


@dataclass(frozen=True)
class NoticeContent:
    """All that a notice prints. The fingerprint is made of `facts`, and changes are read from them."""

    studio: str
    title: str
    form: str
    binder: str
    codes: tuple[str, ...]
    trust: Trust
    basis: str
    label: LabelElements
    hazards: tuple[HazardLine, ...]
    precautions: tuple[Precaution, ...]
    cautions: tuple[Caution, ...]
    known: tuple[KnownLine, ...]
    contacts: tuple[Contact, ...]
    made_on: date
    facts: tuple[str, ...]
    blanks: tuple[str, ...] = ()
    deferring: str = DEFERRING
    page_url: str = ""
    fingerprint: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "fingerprint", fingerprint(self))


def content(
    facts: Facts,
    *,
    house: House,
    phrasebook: Phrasebook,
    made_on: date,
    page_url: str = "",
    regimes: tuple[str, ...] = EU_LIST,
) -> NoticeContent:
    """Gather what a notice about one thing says.

    `regimes` are the lists whose statements give the sign and the signal word where neither a sheet nor the label
    does; what the other lists say is quoted under their names. UnknownStatementError for an H or P code that the
    phrasebook does not hold.
    """
    trust = facts.trust(regimes)
    elements, p_codes = _elements(facts, trust, phrasebook, regimes)
    hazards = tuple(hazard_line(code, _codes(facts, trust, regimes), phrasebook) for code in elements.h_codes)
    precautions = most_important(p_codes, phrasebook)
    contacts = ((one.role, one.number) for one in house.contacts)
    return NoticeContent(
        studio=house.name,
        title=facts.name,
        form=facts.form,
        binder=facts.binder,
        codes=tuple(pigment.code for pigment in facts.pigments),
        trust=trust,
        basis=_basis(facts, trust, regimes),
        label=elements,
        hazards=hazards,
        precautions=precautions,
        cautions=cautions(facts, elements, trust, house.rules),
        known=known_lines(facts, phrasebook, regimes),
        contacts=house.contacts,
        made_on=made_on,
        facts=(
            *fact_lines(facts, regimes, house.rules, contacts),
            *label_facts(elements.signal_word, elements.pictograms),
            *(f"{one.code}: {one.phrase}" for one in hazards),
            *(f"{one.code}: {one.phrase}" for one in precautions),
        ),
        blanks=_blanks(facts, trust),
        page_url=page_url,
    )


def label_facts(signal_word: str, signs: Collection[str]) -> Iterator[str]:
    """The signal word and the signs as fact lines: they follow from the table of statements, not from a sheet alone."""
    if signal_word:
        yield f"signal word: {signal_word}"
    if signs:
        yield f"signs: {', '.join(signs)}"


def _stated(facts: Facts, trust: Trust) -> SheetRecord | LabelStatement | None:
    return facts.sheet if trust is Trust.SHEET else facts.label if trust is Trust.LABEL else None


def _codes(facts: Facts, trust: Trust, regimes: tuple[str, ...]) -> tuple[str, ...]:
    """The H codes of the most trusted source, as it prints them."""
    stated = _stated(facts, trust)
    return stated.h_codes if stated else facts.published_codes(regimes)


def hazard_line(code: str, typed: tuple[str, ...], phrasebook: Phrasebook) -> HazardLine:
    """A statement in the standard's words with what a sheet adds to it, such as the sensitiser that EUH208 names."""
    statement = phrasebook.look_up(code)
    phrase = statement.phrase_plain
    remarks = [remark(one) for one in typed if bare_code(one) == code and remark(one)]
    if code == NAMES_A_SENSITISER and remarks:
        return HazardLine(code, with_names(statement, remarks))
    if not remarks and "<" in phrase:
        remarks = ["the maker's sheet says which"]
    return HazardLine(code, phrase, "; ".join(remarks))


def _elements(
    facts: Facts, trust: Trust, phrasebook: Phrasebook, regimes: tuple[str, ...]
) -> tuple[LabelElements, tuple[str, ...]]:
    """The label elements of the most trusted source, and the P codes: its own, or those of its H codes."""
    stated = _stated(facts, trust)
    elements = label_elements(_codes(facts, trust, regimes), phrasebook)
    if stated and (stated.signal_word or stated.pictograms):
        elements = LabelElements(
            h_codes=elements.h_codes,
            dropped=elements.dropped,
            signal_word=stated.signal_word or elements.signal_word,
            pictograms=stated.pictograms or elements.pictograms,
            dropped_pictograms=() if stated.pictograms else elements.dropped_pictograms,
        )
    if stated and stated.p_codes:
        return elements, stated.p_codes
    followed = (p for code in elements.h_codes for p in phrasebook.look_up(code).p_codes)
    return elements, tuple(dict.fromkeys(followed))


def _basis(facts: Facts, trust: Trust, regimes: tuple[str, ...]) -> str:
    """Which source the sign and the signal word come from, and its date, in one sentence."""
    if trust is Trust.SHEET and facts.sheet:
        plain = " It states no classification; that is not the same as no hazard." if not _states(facts.sheet) else ""
        revised = _revised(facts.sheet.revised_on)
        return f"From the maker's safety data sheet on file: {facts.sheet.title}, {revised}.{plain}"
    if trust is Trust.LABEL and facts.label:
        read = f"read on {facts.label.read_on.isoformat()}" if facts.label.read_on else "date read not recorded"
        return f"From the label's own statement, {read}. No maker's sheet on file gives the hazards."
    if trust is Trust.PUBLISHED:
        return _published_basis(facts, regimes)
    others = dict.fromkeys(row.regime for row in facts.substances if _warns_elsewhere(row, regimes))
    told = f" Other lists do speak of it: {', '.join(others)}. See below." if others else ""
    return f"Not known: read the maker's sheet. Nothing here says that it is free of hazard.{told}"


def _published_basis(facts: Facts, regimes: tuple[str, ...]) -> str:
    giving = [one for one in facts.pigments if _gives_codes(one, regimes)]
    named = [f"{one.code} ({one.name})" if one.name else one.code for one in giving]
    named += [row.substance for row in facts.ingredients if row.regime in regimes and row.h_codes]
    silent = [one.code for one in facts.pigments if one not in giving]
    rest = f" It states nothing for {', '.join(silent)}: not known." if silent else ""
    return (
        f"From the published classification of {_and(dict.fromkeys(named))} as a substance: {_cited(facts, regimes)}."
        f"{rest} The label and the maker's sheet of this {facts.form} may say otherwise: read them."
    )


def _cited(facts: Facts, regimes: tuple[str, ...]) -> str:
    rows = (row for row in facts.substances if row.regime in regimes and row.h_codes)
    return "; ".join(dict.fromkeys(cite(row.source, row.confidence) for row in rows))


def _warns_elsewhere(row: SubstanceClassification, regimes: tuple[str, ...]) -> bool:
    return row.regime not in (*regimes, *EU_LIST, SELF_CLASSIFIED)


def _states(sheet: SheetRecord) -> bool:
    return not sheet.says_not_classified and bool(sheet.h_codes or sheet.signal_word or sheet.pictograms)


def _blanks(facts: Facts, trust: Trust) -> tuple[str, ...]:
    """What to fill in by hand from the sheet where nothing states the hazards; guessed hazards are never printed."""
    if trust is not Trust.UNKNOWN:
        return ()
    codes_needed = not facts.pigments and not facts.prints_no_codes
    return tuple(blank for blank in BLANKS if codes_needed or blank != "Pigment codes")


def _gives_codes(pigment: PigmentFacts, regimes: tuple[str, ...]) -> bool:
    return any(row.h_codes for row in pigment.substances if row.regime in regimes)


def _and(names: Iterable[str]) -> str:
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last


def _revised(day: date | None) -> str:
    return f"revised {day.isoformat()}" if day else "revision date not recorded"


# Crockford's alphabet: no I, L, O or U, so that nothing is misheard or misread.
_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def fingerprint(content: NoticeContent) -> str:
    """Return a short stable mark of the facts of a notice, in groups of four for reading aloud: "7K2M-PX4D-9RTA".

    It depends on `content.facts` alone: neither on the date printed, the address, the studio's name nor the layout.
    """
    return mark(content.facts)


def mark(facts: Iterable[str]) -> str:
    """The fingerprint of stored fact lines, in any order."""
    digest = hashlib.sha256(json.dumps(sorted(set(facts)), ensure_ascii=True).encode()).digest()
    number = int.from_bytes(digest[:8], "big") >> 4  # 60 bits, twelve letters of five
    letters = "".join(_ALPHABET[number >> shift & 31] for shift in range(55, -1, -5))
    return "-".join(letters[start : start + 4] for start in (0, 4, 8))
