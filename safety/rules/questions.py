"""Questions that people ask of the whole shelf, answered without a yes or a no that is not ours to give."""

from collections.abc import Iterable
from dataclasses import dataclass

from safety.rules.facts import Facts
from safety.rules.statements import bare_code, remark

SPEAK_TO = "Speak to your doctor, your tutor and your safety office, and take the makers' sheets with you."


@dataclass(frozen=True)
class Concern:
    """What somebody asks for the sake of their health, and the statements that bear on it, by how they begin."""

    question: str
    about: str
    codes: tuple[str, ...]
    organs: tuple[str, ...] = ()
    """Words by which a sheet names the organ of H370 to H373, where it bears on the question."""


CONCERNS = {
    # Reproductive toxicity and lactation (UN GHS 3.7), with what may be passed on: germ cell mutagenicity (3.5).
    # Endocrine disruption: Regulation (EU) 2023/707. EUH201 and EUH201A name lead, which the EU list has as Repr. 1A.
    "pregnancy": Concern(
        "I am pregnant: can I use these?",
        "fertility, the unborn child, breast-fed children, hormones, lead or genetic damage",
        ("H360", "H361", "H362", "H340", "H341", "EUH380", "EUH381", "EUH201"),
    ),
    # Respiratory sensitisation (UN GHS 3.4), irritation of the airways (3.8), what harms when it is breathed (3.1), and
    # the supplements of CLP Annex II for airways, gas set free, spray and dust. EUH208 names sensitisers of skin and
    # airways alike. Damage to organs (3.8, 3.9) where the sheet names the airways.
    "asthma": Concern(
        "I have asthma: can I use these?",
        "breathing, the airways, an allergy of theirs, or an organ that is not named",
        (
            "H334",
            "H335",
            "H330",
            "H331",
            "H332",
            "EUH029",
            "EUH031",
            "EUH032",
            "EUH071",
            "EUH204",
            "EUH206",
            "EUH208",
            "EUH211",
            "EUH212",
        ),
        ("lung", "respir", "airway", "larynx", "inhal"),
    ),
    # Skin sensitisation (UN GHS 3.4), corrosion and irritation of the skin (3.2), what harms through the skin (3.1),
    # and the supplements of CLP Annex II.
    "skin": Concern(
        "My skin reacts: can I use these?",
        "allergies or the skin",
        ("H317", "H314", "H315", "H310", "H311", "H312", "EUH066", "EUH202", "EUH203", "EUH204", "EUH205", "EUH208"),
    ),
}


@dataclass(frozen=True)
class Stated:
    """One thing and the statements that bear on the question, with where they are printed."""

    name: str
    h_codes: tuple[str, ...]
    source: str
    printed: tuple[str, ...] = ()
    """All codes of that source as it prints them, with what it adds in brackets."""


@dataclass(frozen=True)
class Answer:
    """What the records say to whoever asks. It is neither yes nor no."""

    carrying: tuple[Stated, ...]
    sheet_without: tuple[str, ...]
    no_sheet: tuple[str, ...]
    unread: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Things whose sheet prints codes that no statement is known for here, with those codes: they may bear on it."""
    advice: str = SPEAK_TO


def answered(concern: Concern, items: Iterable[Facts]) -> Answer:
    """Sort what is on the shelf by what its sheet says; a published statement counts where there is no sheet.

    Something without a sheet stays among `no_sheet`, and something with codes that are not known here among `unread`,
    even when another statement puts it among `carrying`.
    """
    carrying, without, no_sheet, unread = [], [], [], []
    for facts in items:
        entered = facts.sheet is not None and bool(facts.sheet.h_codes or facts.sheet.says_not_classified)
        unknown = facts.sheet.unknown_codes if facts.sheet else ()
        if unknown:
            unread.append((facts.name, unknown))
        elif not entered:
            no_sheet.append(facts.name)
        found = [one for one in _stated(concern, facts) if one.h_codes]
        if found:
            carrying.append(found[0])
        elif entered and not unknown:
            without.append(facts.name)
    return Answer(tuple(carrying), tuple(without), tuple(no_sheet), tuple(unread))


def _stated(concern: Concern, facts: Facts) -> Iterable[Stated]:
    if facts.sheet:
        codes = facts.sheet.h_codes
        yield Stated(facts.name, _bearing(concern, codes), f"maker's sheet {facts.sheet.title}", codes)
    if facts.label:
        yield Stated(facts.name, _bearing(concern, facts.label.h_codes), "label", facts.label.h_codes)
    for row in facts.substances:
        yield Stated(facts.name, _bearing(concern, row.h_codes), f"{row.regime}: {row.substance}", row.h_codes)


def _bearing(concern: Concern, h_codes: Iterable[str]) -> tuple[str, ...]:
    """The codes that bear on it; of a combined one (H302+H332) each part is looked at, of H37x the organ named.

    Where no organ is named, it may be the one that was asked about.
    """
    return tuple(
        code
        for code, organ in ((bare_code(one), remark(one).casefold()) for one in h_codes)
        if any(part.startswith(concern.codes) for part in code.split("+"))
        or (code.startswith("H37") and any(not organ or word in organ for word in concern.organs))
    )
