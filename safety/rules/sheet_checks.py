"""What to ask about a maker's sheet as it was copied. Asks, never corrects: the record stays as it is printed.

References: Regulation (EC) 1272/2008 (CLP), Articles 20, 26 and 27 and Annex III part 1, by safety.rules.classify;
UN GHS Annex 3 for the signs and signal words of a statement. Sources of what was annulled or revised stand beside it.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from safety.rules.classify import label_elements, optional_signs
from safety.rules.lists import EU_PLACE, US_PLACE, places_of
from safety.rules.statements import SEVERITY, Phrasebook, Statement, bare_code, remark
from safety.rules.typed_codes import nearest


@dataclass(frozen=True)
class Printed:
    """A maker's sheet as it was copied, with the pigment codes and CAS numbers of the thing that it is for."""

    h_codes: tuple[str, ...] = ()
    unknown_codes: tuple[str, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    revised_on: date | None = None
    jurisdiction: str = ""
    other_hazards: str = ""
    ufi: str = ""
    says_not_classified: bool = False
    pigments: tuple[str, ...] = ()
    cas: tuple[str, ...] = ()

    @property
    def bare(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(bare_code(code) for code in self.h_codes))

    @property
    def text(self) -> str:
        """What is named in brackets and beside the codes, in small letters."""
        return " ".join((*(remark(code) for code in self.h_codes), self.other_hazards)).casefold()

    @property
    def may_be_eu(self) -> bool:
        """Written for the EU, or for nobody says whom."""
        return not self.jurisdiction.strip() or EU_PLACE in places_of(self.jurisdiction)


@dataclass(frozen=True)
class Question:
    """One question about a sheet. `key` stays when the wording changes: an answer is kept under it."""

    key: str
    text: str
    source: str


def questions(sheet: Printed, phrasebook: Phrasebook) -> tuple[Question, ...]:
    """What to ask about a sheet, what may harm most first. Nothing asked does not say that the sheet is right."""
    return (
        *_unknown(sheet, phrasebook),
        *_signal_word(sheet, phrasebook),
        *_signs(sheet, phrasebook),
        *_beside_each_other(sheet, phrasebook),
        *_lacking_words(sheet),
        *_annulled_or_revised(sheet),
        *_age(sheet),
        *_ufi(sheet),
    )


def unknown_key(code: str) -> str:
    """The key of the question about a code that no statement stands for."""
    return f"unknown:{code}"[:80]


def _unknown(sheet: Printed, phrasebook: Phrasebook) -> Iterator[Question]:
    for code in sheet.unknown_codes:
        if code in phrasebook:
            text = f"“{code}” was not known here when the sheet was copied, and is now. Copy the sheet once more."
            yield Question(unknown_key(code), text, "UN GHS Annex 3; Regulation (EC) 1272/2008 Annexes III and IV")
            continue
        near = " or ".join(nearest(code, phrasebook))
        meant = f" {near} is." if near else ""
        yield Question(
            unknown_key(code),
            f"No statement stands for “{code}” here.{meant} Is it printed so? Then ask the maker what it means.",
            "UN GHS Annex 3; Regulation (EC) 1272/2008 Annexes III and IV",
        )


_SIGNAL_SOURCE = "UN GHS Annex 3; CLP Article 20"


def _signal_word(sheet: Printed, phrasebook: Phrasebook) -> Iterator[Question]:
    """The word must be one that some categories of the printed codes together lead to."""
    if not sheet.h_codes:
        if sheet.signal_word:
            text = f"It prints {sheet.signal_word} and no hazard statement was copied. Which statements stand there?"
            yield Question("signal-word:alone", text, _SIGNAL_SOURCE)
        return
    choices = [_words_of(code, phrasebook) for code in sheet.bare]
    least = max(min(SEVERITY[word] for word in words) for words in choices)
    most = max(max(SEVERITY[word] for word in words) for words in choices)
    printed = SEVERITY[sheet.signal_word]
    if least <= printed <= most:
        return
    called_for = next(word for word, rank in SEVERITY.items() if rank == (least if printed < least else most))
    leading = [code for code, words in zip(sheet.bare, choices, strict=True) if called_for in words and called_for]
    by = f" ({', '.join(leading)})" if leading else ""
    text = (
        f"It prints {sheet.signal_word or 'no signal word'}, and its statements lead to "
        f"{called_for or 'none'}{by}. Is a statement missing, or the word?"
    )
    yield Question("signal-word", text, _SIGNAL_SOURCE)


def _words_of(code: str, phrasebook: Phrasebook) -> set[str]:
    """The signal words of every category that a code stands for."""
    return {one.signal_word for one in _statements_of(code, phrasebook)} or {""}


def _signs(sheet: Printed, phrasebook: Phrasebook) -> Iterator[Question]:
    if not sheet.h_codes:
        if sheet.pictograms:
            text = (
                f"It shows {_and(sheet.pictograms)} and no hazard statement was copied. Which statements stand there?"
            )
            yield Question("signs:alone", text, "UN GHS Annex 3")
        return
    elements = label_elements(sheet.h_codes, phrasebook)
    left_out = {one.code: one.reason for one in elements.dropped_pictograms}
    optional = {one.code for one in optional_signs(sheet.h_codes, phrasebook)}
    if US_PLACE in places_of(sheet.jurisdiction):
        optional.add("GHS09")  # 29 CFR 1910.1200 does not cover hazards to the environment
    if missing := [sign for sign in elements.pictograms if sign not in (*sheet.pictograms, *optional)]:
        yield Question(
            "signs:missing",
            f"Its statements lead to {_and(missing)}, which {_is(missing)} not among the signs copied. Does the sheet "
            "show it?",
            "UN GHS Annex 3; CLP Article 19 and Annex V",
        )
    possible = {sign for code in sheet.bare for sign in _signs_of(code, phrasebook)}
    for sign in sheet.pictograms:
        if sign in left_out:
            text = f"It shows {sign}, though {left_out[sign]}. Is it printed so?"
            yield Question(f"signs:{sign}", text, "CLP Article 26; UN GHS 1.4.10.5.3")
        elif sign not in possible:
            text = f"It shows {sign}, and none of its statements leads to it. Was a statement left out?"
            yield Question(f"signs:{sign}", text, "UN GHS Annex 3; CLP Annex V")


def _signs_of(code: str, phrasebook: Phrasebook) -> set[str]:
    return {sign for one in _statements_of(code, phrasebook) for sign in one.pictograms}


def _statements_of(code: str, phrasebook: Phrasebook) -> list[Statement]:
    whole = [one for one in phrasebook if one.code == code]
    return whole or [one for part in code.split("+") for one in phrasebook if one.code == part]


def _beside_each_other(sheet: Printed, phrasebook: Phrasebook) -> Iterator[Question]:
    for dropped in label_elements(sheet.h_codes, phrasebook).dropped:
        text = (
            f"{dropped.code} stands beside a statement that makes it needless on a label: {dropped.reason}. Were the "
            "codes copied from the label elements, section 2.2, or from the classification, section 2.1?"
        )
        yield Question(f"beside:{dropped.code}", text, "CLP Article 27 and Annex III part 1")


def _lacking_words(sheet: Printed) -> Iterator[Question]:
    if "EUH208" in sheet.bare and not any(remark(code) for code in sheet.h_codes if bare_code(code) == "EUH208"):
        text = "EUH208 names what can cause an allergy: which name stands there? Copy it in brackets after the code."
        yield Question("words:EUH208", text, "Regulation (EC) 1272/2008 Annex II, 2.8")


@dataclass(frozen=True)
class Revision:
    """Something that was annulled or revised since sheets were printed. `on`: what is newer has taken it over."""

    key: str
    on: date
    text: str
    source: str
    prints: Callable[[Printed], bool]
    # A sheet revised later may print it by oversight all the same: a court's annulment holds from the start.
    whenever: bool = False


def _names_titanium_dioxide(sheet: Printed) -> bool:
    return bool({"PW6", "PW6:1"} & set(sheet.pigments)) or "13463-67-7" in sheet.cas or "titanium dioxide" in sheet.text


def _prints_inhaled_titanium_dioxide(sheet: Printed) -> bool:
    codes = set(sheet.bare)
    if codes & {"EUH211", "EUH212"}:
        return True
    inhaled = any(
        re.match(r"(inhal|breath)", remark(code).casefold()) for code in sheet.h_codes if bare_code(code) == "H351"
    )
    return "H351" in codes and (_names_titanium_dioxide(sheet) or (inhaled and not sheet.pigments))


# Cobalt, manganese, lead, zirconium and calcium 2-ethylhexanoate, as they are sold as driers.
_ETHYLHEXANOATES = frozenset({"136-52-7", "13434-24-7", "301-08-6", "22464-99-9", "136-51-6"})


def _prints_old_ethylhexanoate(sheet: Printed) -> bool:
    named = bool(_ETHYLHEXANOATES & set(sheet.cas)) or "ethylhexanoat" in sheet.text
    return named and not any(code.startswith("H360") for code in sheet.bare)


def _prints_old_benzisothiazolone(sheet: Printed) -> bool:
    named = "2634-33-5" in sheet.cas or "benzisothiazol" in sheet.text
    return named and "H317" not in sheet.bare


REVISIONS = (
    Revision(
        "annulled:titanium-dioxide",
        date(2022, 11, 23),
        "It prints what came with the EU classification of titanium dioxide dust as Carc. 2, H351 (inhalation), EUH211 "
        "and EUH212. The EU courts annulled that classification. Does the code come from titanium dioxide, and is "
        "there a newer sheet? Dust and mist are still not to be breathed, and other countries keep lists of their own.",
        "General Court, 23 November 2022, T-279/20, T-283/20 and T-288/20; Court of Justice, 1 August 2025, C-71/23 P "
        "and C-82/23 P",
        _prints_inhaled_titanium_dioxide,
        whenever=True,
    ),
    Revision(
        "revised:2-ethylhexanoates",
        date(2025, 2, 1),
        "It names a salt of 2-ethylhexanoic acid and no H360. Since 1 February 2025 the EU list has these salts as "
        "Repr. 1B, H360D. Is there a newer sheet?",
        "CLP Annex VI, index 607-230-00-6, 20th adaptation",
        _prints_old_ethylhexanoate,
    ),
    Revision(
        "revised:benzisothiazolone",
        date(2025, 9, 1),
        "It names benzisothiazolone and no H317. Since 1 September 2025 the EU list asks for H317 from a smaller share "
        "of it than before. Is there a newer sheet?",
        "CLP Annex VI, index 613-088-00-6, Regulation (EU) 2024/197",
        _prints_old_benzisothiazolone,
    ),
)


def _annulled_or_revised(sheet: Printed) -> Iterator[Question]:
    """Asked of sheets for the EU and of those that name no country; a list elsewhere need not have changed."""
    if not sheet.may_be_eu:
        return
    for one in REVISIONS:
        older = sheet.revised_on is None or sheet.revised_on < one.on
        if (older or one.whenever) and one.prints(sheet):
            yield Question(one.key, one.text, one.source)


# CLP entered into force on 20 January 2009 (Article 62) and holds for mixtures since 1 June 2015 (Article 62).
_FIRST_CODES = date(2009, 1, 20)


def _age(sheet: Printed) -> Iterator[Question]:
    if sheet.revised_on is None:
        text = "No revision date was copied. Does the sheet print none, on any page? Ask the maker for one that does."
        yield Question("date:none", text, "Regulation (EC) 1907/2006 Annex II, 0.2.5")
    elif sheet.revised_on < _FIRST_CODES and sheet.may_be_eu and sheet.h_codes:
        text = (
            f"It was revised on {sheet.revised_on.isoformat()}, before the EU had H statements (20 January 2009). "
            "Check the date against the sheet."
        )
        yield Question("date:before-codes", text, "Regulation (EC) 1272/2008, Article 62")


_UFI_SIGNS = "0123456789ACDEFGHJKMNPQRSTUVWXY"
_UFI_WORD = re.compile(r"^\s*UFI\s*:?\s*", re.IGNORECASE)


def ufi_fits(typed: str) -> bool:
    """Whether a unique formula identifier has its form and its check digit.

    Sixteen of 31 digits and letters (without B, I, L, O and Z) in four blocks; the sum of
    place times value, places from 1, is a multiple of 31. Source: ECHA, UFI Developers Manual (2021), the rule from
    memory and held against two published identifiers in the tests.
    """
    blocks = _UFI_WORD.sub("", typed).strip().upper().split("-")
    if [len(block) for block in blocks] != [4, 4, 4, 4] or set("".join(blocks)) - set(_UFI_SIGNS):
        return False
    return sum(place * _UFI_SIGNS.index(sign) for place, sign in enumerate("".join(blocks), start=1)) % 31 == 0


def _ufi(sheet: Printed) -> Iterator[Question]:
    if sheet.ufi and not ufi_fits(sheet.ufi):
        text = (
            f"“{sheet.ufi}” does not fit the form of a UFI: four blocks of four, without B, I, L, O and Z, with a "
            "check digit. Was it copied letter for letter?"
        )
        yield Question(
            "ufi", text, "Regulation (EC) 1272/2008 Annex VIII, part A, section 5; ECHA UFI Developers Manual"
        )


def _and(words: Iterable[str]) -> str:
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


def _is(words: list[str]) -> str:
    return "are" if len(words) > 1 else "is"
