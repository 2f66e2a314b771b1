"""From how much on an ingredient counts in a mixture: questions to the maker, never a classification.

References: Regulation (EC) 1272/2008 (CLP), Annex I, Table 1.1 (generic cut-off values) and Tables 3.2.3 to 4.1.2
(generic concentration limits); Annex VI, Table 3 (specific concentration limits, which go before the generic ones);
Annex I, Table 3.4.6 and Annex II, sections 2.8 and 2.10 (EUH208). Values marked published were compared with public
copies of the consolidated text, those of Tables 3.8.3 and 3.9.4 with TRGS 201, section 2.2.6, which restates them.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from safety.rules.classify import EU_LIST, SubstanceClassification
from safety.rules.sources import cite
from safety.rules.statements import split_cell


@dataclass(frozen=True)
class Threshold:
    """A share by weight from which an ingredient of a class counts, in %."""

    percent: Decimal
    source: str
    confidence: str = "from memory"


@dataclass(frozen=True)
class SpecificLimit:
    """A limit that Annex VI sets for one substance: "STOT RE 1; H372: C ≥ 10 %"."""

    hazard: str
    code: str
    condition: str
    least: Decimal


@dataclass(frozen=True)
class Question:
    """What to ask the maker about one ingredient, and the figure that it turns on."""

    subject: str
    text: str
    source: str


ASK = "Ask the maker: how much of it is in the paint, and what do sections 2 and 3 of the sheet say of it?"

_TABLE_1_1 = "CLP Annex I, Table 1.1"


def _of(percent: str, source: str, confidence: str = "from memory") -> Threshold:
    return Threshold(Decimal(percent), source, confidence)


# The first that fits counts. A class without a line in Table 1.1 has its limit of part 3 or 4 of Annex I.
_GENERIC: tuple[tuple[re.Pattern[str], Threshold], ...] = tuple(
    (re.compile(pattern), threshold)
    for pattern, threshold in (
        (r"Acute Tox\. [123]$", _of("0.1", _TABLE_1_1)),
        (r"Acute Tox\. 4$", _of("1", _TABLE_1_1)),
        (r"Skin (Corr|Irrit)\. ", _of("1", _TABLE_1_1)),
        (r"Eye (Dam|Irrit)\. ", _of("1", _TABLE_1_1)),
        (r"Aquatic Acute 1$", _of("0.1", _TABLE_1_1)),
        (r"Aquatic Chronic 1$", _of("0.1", _TABLE_1_1)),
        (r"Aquatic Chronic [234]$", _of("1", _TABLE_1_1)),
        (r"Resp\. Sens\. 1A$", _of("0.1", "CLP Annex I, Table 3.4.5")),
        (r"Resp\. Sens\. 1B?$", _of("1", "CLP Annex I, Table 3.4.5")),
        (r"Skin Sens\. 1A$", _of("0.1", "CLP Annex I, Table 3.4.5")),
        (r"Skin Sens\. 1B?$", _of("1", "CLP Annex I, Table 3.4.5")),
        (r"Muta\. 1[AB]$", _of("0.1", "CLP Annex I, Table 3.5.2", "published")),
        (r"Muta\. 2$", _of("1", "CLP Annex I, Table 3.5.2", "published")),
        (r"Carc\. 1[AB]$", _of("0.1", "CLP Annex I, Table 3.6.2", "published")),
        (r"Carc\. 2$", _of("1", "CLP Annex I, Table 3.6.2", "published")),
        (r"Repr\. 1[AB]$", _of("0.3", "CLP Annex I, Table 3.7.2", "published")),
        (r"Repr\. 2$", _of("3", "CLP Annex I, Table 3.7.2", "published")),
        (r"Lact\.", _of("0.3", "CLP Annex I, Table 3.7.2", "published")),
        (r"STOT SE 1$", _of("1", "CLP Annex I, Table 3.8.3", "published")),
        (r"STOT SE 2$", _of("10", "CLP Annex I, Table 3.8.3", "published")),
        (r"STOT SE 3$", _of("20", "CLP Annex I, section 3.8.3.4.5, as a value to start from", "published")),
        (r"STOT RE 1$", _of("1", "CLP Annex I, Table 3.9.4", "published")),
        (r"STOT RE 2$", _of("10", "CLP Annex I, Table 3.9.4")),
        (
            r"Asp\. Tox\. 1$",
            _of("10", "CLP Annex I, section 3.10.3.3.1, with the viscosity of the mixture", "published"),
        ),
    )
)


def generic_threshold(hazard: str) -> Threshold | None:
    """Return the generic value for a class as Annex VI writes it ("Carc. 1B", "Acute Tox. 4 *"); None for no value.

    Physical hazards have none: a mixture is tested for them.
    """
    name = _bare(hazard)
    return next((threshold for pattern, threshold in _GENERIC if pattern.match(name)), None)


def _bare(hazard: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"[*]|\([^)]*\)", "", hazard)).strip()


_SPECIFIC = re.compile(r"([A-Z][A-Za-z. ]+ \d[A-C]?); (H\d{3}[A-Za-z]*): ([^;]+)")
_NOTE_1 = re.compile(r"\bNotes? 1\b")
_FIGURE = re.compile(r"\d+(?:\.\d+)?")


def specific_limits(cell: str) -> tuple[SpecificLimit, ...]:
    """Read the limits of an Annex VI entry; M factors and acute toxicity estimates are not limits and stay out."""
    return tuple(
        SpecificLimit(hazard, code, condition.strip(), Decimal(_FIGURE.findall(condition)[0]))
        for hazard, code, condition in _SPECIFIC.findall(cell)
        if _FIGURE.search(condition)
    )


def elicitation(hazard: str, specific: Decimal | None = None) -> Decimal | None:
    """Return the % from which EUH208 names a sensitiser; None for a class that is none.

    A tenth of the specific limit where there is one (CLP Annex II, sections 2.8 and 2.10; Annex I, Table 3.4.6).
    """
    name = _bare(hazard)
    if not re.match(r"(Skin|Resp\.) Sens\. 1", name):
        return None
    if specific is not None:
        return specific / 10
    return Decimal("0.01") if name.endswith("1A") else Decimal("0.1")


def questions(row: SubstanceClassification, name: str, share: Decimal | None = None) -> Iterator[Question]:
    """Ask the maker about one ingredient, by its entry in the EU list; `share` is its % by weight, None if not known.

    ValueError if the share is not between 0 and 100. A row of another regime asks nothing: its
    limits are not held here. Where Note 1 holds, the limits count the metal alone, so no share is set against them.
    """
    if share is not None and not 0 < share <= 100:
        raise ValueError(f"share must be above 0 and at most 100 %, not {share}")
    if row.regime not in EU_LIST or row.excluded_by_name or not row.h_codes:
        return
    subject = f"{name} ({row.substance})" if name and name != row.substance else row.substance
    if _NOTE_1.search(row.notes):
        share = None
        text = (
            "Note 1 holds for its entry: the limits count the metal alone, by weight of the whole mixture. "
            "What is the content of the metal?"
        )
        yield Question(subject, text, "CLP Annex VI, part 1, 1.1.3.2, Note 1; from memory, check")
    limits = specific_limits(row.concentration_limits)
    set_here = {_family(one.hazard) for one in limits}
    for one in limits:
        text = f"Annex VI sets {one.code} ({one.hazard}) for it at {one.condition}. {_against(share, one.least)}"
        yield Question(subject, text.strip(), f"{cite(row.source, row.confidence)}, index {row.index_no}")
    for hazard in dict.fromkeys(_bare(one) for one in split_cell(row.classification)):
        threshold = generic_threshold(hazard)
        if threshold is None or _family(hazard) in set_here:
            continue
        text = f"It is {hazard} as a substance, which counts from {_percent(threshold.percent)} %."
        yield Question(subject, f"{text} {_against(share, threshold.percent)}".strip(), _source(threshold))
    yield from _euh208(row, subject, limits, share)


def _family(hazard: str) -> str:
    """Return a class without its category; corrosion and irritation share their limits, on the skin and in the eye."""
    name = re.sub(r" \d[A-C]?$", "", _bare(hazard))
    return {"Skin Irrit.": "Skin Corr.", "Eye Irrit.": "Eye Dam."}.get(name, name)


def _euh208(
    row: SubstanceClassification, subject: str, limits: tuple[SpecificLimit, ...], share: Decimal | None
) -> Iterator[Question]:
    for hazard in split_cell(row.classification):
        specific = next((one.least for one in limits if _family(one.hazard) == _family(hazard)), None)
        least = elicitation(hazard, specific)
        if least is not None:
            text = (
                f"It is a sensitiser ({_bare(hazard)}). From {_percent(least)} % on, a mixture that is not classified "
                f"for it names it with EUH208. {_against(share, least)}"
            )
            yield Question(subject, text.strip(), "CLP Annex II, sections 2.8 and 2.10")


def _against(share: Decimal | None, least: Decimal) -> str:
    if share is None:
        return ""
    if share >= least:
        return f"{_percent(share)} % as entered reaches that: what does the sheet make of it, and why?"
    return (
        f"{_percent(share)} % as entered is below that; other ingredients may add to it, and being below is no finding."
    )


def _percent(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _source(threshold: Threshold) -> str:
    return threshold.source if threshold.confidence == "published" else f"{threshold.source}; from memory, check"
