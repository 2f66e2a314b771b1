"""What is known, source by source: the lines of a notice, and the fact lines that its fingerprint is made of."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from safety.rules.classify import EU_LIST, SELF_CLASSIFIED, SubstanceClassification
from safety.rules.facts import Facts, LabelStatement, PigmentFacts, SheetRecord, Trust
from safety.rules.house import HouseRule
from safety.rules.sources import cite
from safety.rules.statements import Phrasebook

NOT_KNOWN = "not known: read the maker's sheet"


@dataclass(frozen=True)
class KnownLine:
    """One thing known, or known to be unknown, with where it comes from."""

    subject: str
    text: str
    source: str
    trust: Trust


def known_lines(facts: Facts, phrasebook: Phrasebook, regimes: tuple[str, ...] = EU_LIST) -> tuple[KnownLine, ...]:
    """Return what is known in the order of trust: sheet, label, published lists, and what is not known."""
    return tuple(_lines(facts, phrasebook, regimes))


def _lines(facts: Facts, phrasebook: Phrasebook, regimes: tuple[str, ...]) -> Iterator[KnownLine]:
    yield _sheet_line(facts.sheet)
    if facts.label:
        yield _label_line(facts.label)
    if not facts.pigments and facts.form in ("paint", "dry pigment"):
        yield KnownLine("Pigments", f"None recorded. Pigments {NOT_KNOWN}.", "", Trust.UNKNOWN)
    shared = _shared(facts.pigments)
    for pigment in facts.pigments:
        yield from _pigment_lines(pigment, regimes, shared)
    for row, codes in shared.items():
        yield _with_notes(_row_line(f"{', '.join(codes)}: {row.substance}", row), row, regimes)
    for row in _in_order(facts.ingredients, regimes):
        yield _with_notes(_row_line(row.substance, row), row, regimes)
    if not facts.pigments and not facts.ingredients and facts.form not in ("paint", "dry pigment"):
        yield KnownLine("Ingredients", f"None recorded. Ingredients {NOT_KNOWN}.", "", Trust.UNKNOWN)


def _sheet_line(sheet: SheetRecord | None) -> KnownLine:
    if sheet is None:
        return KnownLine("Maker's sheet", f"None on file. What it says is {NOT_KNOWN}.", "", Trust.UNKNOWN)
    source = f"{sheet.title}, {_dated('revised', sheet.revised_on)}, {_dated('read', sheet.read_on)}"
    beside = _beside(sheet)
    if sheet.says_not_classified:
        text = "The sheet states that the product is not classified. Read it: that is not the same as no hazard."
        added = f" It adds: {_codes('', sheet.h_codes)}" if sheet.h_codes else ""
        return KnownLine("Maker's sheet", text + added + beside, source, Trust.SHEET)
    if not sheet.h_codes and not sheet.signal_word and not sheet.pictograms:
        text = f"On file, but its statements have not been entered here: {NOT_KNOWN}."
        return KnownLine("Maker's sheet", text + beside, source, Trust.UNKNOWN)
    said = _codes(sheet.signal_word, sheet.h_codes) or f"Signs {', '.join(sheet.pictograms)}."
    return KnownLine("Maker's sheet", said + beside, source, Trust.SHEET)


def _beside(sheet: SheetRecord) -> str:
    """What the sheet prints beside its statements: codes that have no phrase here, and hazards without a code."""
    codes = ", ".join(sheet.unknown_codes)
    asked = f" It also prints {codes}, which no statement here stands for: {NOT_KNOWN}." if codes else ""
    other = f" Other hazards: {sheet.other_hazards.rstrip('.')}." if sheet.other_hazards else ""
    conforms = f" {sheet.conformity.rstrip('.')}." if sheet.conformity else ""
    return asked + other + conforms


def _label_line(label: LabelStatement) -> KnownLine:
    source = f"label, {_dated('read', label.read_on)}"
    quoted = f"“{label.text}”" if label.text else ""
    text = " ".join(filter(None, (quoted, _codes(label.signal_word, label.h_codes))))
    return KnownLine("Label", text or f"Nothing entered: {NOT_KNOWN}.", source, Trust.LABEL if text else Trust.UNKNOWN)


def _shared(pigments: tuple[PigmentFacts, ...]) -> dict[SubstanceClassification, list[str]]:
    """Rows that several pigments have in common, printed once: nine pigments need not repeat one list's words."""
    carriers: dict[SubstanceClassification, list[str]] = {}
    for pigment in pigments:
        for row in dict.fromkeys(pigment.substances):
            carriers.setdefault(row, []).append(pigment.code)
    found = {row: codes for row, codes in carriers.items() if len(codes) > 1}
    return dict(sorted(found.items(), key=lambda item: item[1]))


def _pigment_lines(
    pigment: PigmentFacts, regimes: tuple[str, ...], shared: dict[SubstanceClassification, list[str]]
) -> Iterator[KnownLine]:
    subject = f"{pigment.code} {pigment.name}".strip()
    if not pigment.known:
        yield KnownLine(subject, f"Not in the pigment table here. Its hazards are {NOT_KNOWN}.", "", Trust.UNKNOWN)
        return
    if not pigment.substances:
        yield KnownLine(subject, f"No published classification found. Its hazards are {NOT_KNOWN}.", "", Trust.UNKNOWN)
    repeated = Counter(row.regime for row in pigment.substances)
    for row in _in_order((row for row in pigment.substances if row not in shared), regimes):
        line = _row_line(subject, row, of=row.substance if repeated[row.regime] > 1 else "")
        yield _with_notes(line, row, regimes)


def _in_order(rows: Iterable[SubstanceClassification], regimes: tuple[str, ...]) -> list[SubstanceClassification]:
    """The regimes asked for first, then the EU list, then the others as they come, what suppliers usually say last."""

    def rank(row: SubstanceClassification) -> int:
        if row.regime in regimes:
            return 0
        return 1 if row.regime in EU_LIST else 3 if row.regime == SELF_CLASSIFIED else 2

    return sorted(dict.fromkeys(rows), key=rank)


def _with_notes(line: KnownLine, row: SubstanceClassification, regimes: tuple[str, ...]) -> KnownLine:
    notes = _notes(row, regimes)
    return replace(line, text=f"{line.text} {notes}") if notes else line


def _notes(row: SubstanceClassification, regimes: tuple[str, ...]) -> str:
    """The notes of a list that gives the sign: they say when its statements need not apply."""
    return row.notes if row.regime in regimes and not row.excluded_by_name else ""


def _row_line(subject: str, row: SubstanceClassification, of: str = "") -> KnownLine:
    source = cite(row.source, row.confidence)
    if row.regime == SELF_CLASSIFIED:
        text = f"Suppliers: {row.classification}. Not a published classification; the maker's sheet decides."
        return KnownLine(subject, text, source, Trust.UNKNOWN)
    if row.excluded_by_name:
        said = f"{row.regime}: {row.classification}."
        text = f"{said} No EU hazard statement follows from that entry; this is not a finding of no hazard."
        return KnownLine(subject, text, source, Trust.PUBLISHED)
    index = f", index {row.index_no}" if row.index_no else ""
    named = f", {of}" if of else ""
    codes = f": {_codes(row.signal_word, row.h_codes)}" if row.h_codes else ""
    said = f"{row.classification}{codes}" if row.classification else codes.removeprefix(": ")
    return KnownLine(subject, f"{row.regime}{index}{named}: {said.rstrip('.')}.", source, Trust.PUBLISHED)


def _codes(signal_word: str, h_codes: tuple[str, ...]) -> str:
    return ", ".join(filter(None, (signal_word, " ".join(h_codes)))) + "." if signal_word or h_codes else ""


_UNDATED = {"revised": "revision date not recorded", "read": "day of reading not recorded"}


def _dated(done: Literal["revised", "read"], day: date | None) -> str:
    return f"{done} {day.isoformat()}" if day else _UNDATED[done]


def _day(day: date | None) -> str:
    return day.isoformat() if day else "date not recorded"


def fact_lines(
    facts: Facts,
    regimes: tuple[str, ...] = EU_LIST,
    rules: tuple[HouseRule, ...] = (),
    contacts: Iterable[tuple[str, str]] = (),
) -> tuple[str, ...]:
    """Return the facts themselves as short lines: what the fingerprint covers and what a comparison shows.

    They hold no wording of ours, so that a better sentence does not make a hung notice out of date.
    """
    lines = [f"name: {facts.name}", f"form: {facts.form}", f"binder: {facts.binder or 'not known'}"]
    lines += [f"sold as: {facts.sold_as}"] if facts.sold_as else []
    lines += [f"shade: {word}" for word in sorted(facts.shades)]
    lines += [f"lists: {'; '.join(regimes)}"]
    for place, pigment in enumerate(facts.pigments, start=1):
        metals = ", ".join(pigment.metals) or "none recorded"
        state = "" if pigment.known else ", not in the pigment table"
        lines.append(f"pigment {place}: {pigment.code} {pigment.name}, metals {metals}{state}".replace(" ,", ","))
        lines += [f"{pigment.code} {_row_fact(row, regimes)}" for row in pigment.substances]
    lines += [f"ingredient {_row_fact(row, regimes)}" for row in facts.ingredients]
    if not facts.pigments and not facts.ingredients:
        lines.append("pigments and ingredients: not known")
    lines.append(_sheet_fact(facts.sheet))
    lines.append(_label_fact(facts.label))
    lines += [f"house rule: {rule.text} (set by {rule.set_by}, {_day(rule.set_on)})" for rule in rules]
    lines += [f"call: {role} {number or 'to fill in'}" for role, number in contacts]
    return tuple(dict.fromkeys(lines))


def _row_fact(row: SubstanceClassification, regimes: tuple[str, ...]) -> str:
    parts = (
        row.substance,
        row.index_no,
        row.classification,
        row.signal_word,
        " ".join(row.h_codes),
        row.source,
        row.confidence,
        _notes(row, regimes),
    )
    return f"{row.regime}: {' | '.join(filter(None, parts))}"


def _sheet_fact(sheet: SheetRecord | None) -> str:
    if sheet is None:
        return "sheet: none on file"
    classified = "not classified" if sheet.says_not_classified else ""
    stated = " ".join(filter(None, (classified, _stated(sheet)))) or "statements not entered"
    beside = ", ".join(filter(None, (*sheet.unknown_codes, sheet.other_hazards, sheet.conformity)))
    said = f"{stated}, beside it: {beside}" if beside else stated
    days = f"{_dated('revised', sheet.revised_on)}, {_dated('read', sheet.read_on)}"
    return f"sheet: {sheet.title}, {days}, {said}"


def _label_fact(label: LabelStatement | None) -> str:
    if label is None:
        return "label statement: none recorded"
    seals = f", seals {' '.join(label.seals)}" if label.seals else ""
    said = _stated(label) or "no codes"
    return f"label statement: {label.text or 'no words'}, {_dated('read', label.read_on)}, {said}{seals}"


def _stated(said: SheetRecord | LabelStatement) -> str:
    return " ".join(filter(None, (said.signal_word, *said.h_codes, *said.p_codes, *said.pictograms)))
