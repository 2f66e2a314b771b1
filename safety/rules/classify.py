"""What is published about a substance, and which of it a label carries.

References: Regulation (EC) 1272/2008 (CLP), Articles 20 (signal word), 26 (pictograms) and 27 (hazard statements),
Annex III part 1 (statements that others make redundant).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Self

from safety.rules.statements import SEVERITY, Phrasebook, Statement, bare_code, split_cell

EU_LIST = ("CLP Annex VI harmonised", "CLP group entry")
SELF_CLASSIFIED = "supplier self-classification"

SIGNS = ("GHS01", "GHS02", "GHS03", "GHS04", "GHS05", "GHS06", "GHS07", "GHS08", "GHS09")

# The order in which a notice shows them: what harms people worst comes first (common practice, no source).
_SHOWN_ORDER = ("GHS06", "GHS08", "GHS05", "GHS01", "GHS02", "GHS03", "GHS04", "GHS07", "GHS09")

IRRITATION = frozenset({"H315", "H319"})
ACUTE_TOXICITY = frozenset({"H302", "H312", "H332"})
SKIN_SENSITISATION = frozenset({"H317"})


@dataclass(frozen=True)
class SubstanceClassification:
    """What one regime says about one substance. No codes means that none were published there, not "no hazard"."""

    substance: str
    regime: str
    classification: str = ""
    h_codes: tuple[str, ...] = ()
    index_no: str = ""
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    excluded_by_name: bool = False
    cas: tuple[str, ...] = ()
    source: str = ""
    confidence: str = ""
    notes: str = ""
    concentration_limits: str = ""

    @classmethod
    def from_row(cls, row: Mapping[str, str]) -> Self:
        """Read a row of the hazard table; columns are named as the fields."""
        return cls(
            substance=row["substance"],
            regime=row["regime"],
            classification=row["classification"],
            h_codes=split_cell(row["h_codes"]),
            index_no=row["index_no"],
            signal_word=row["signal_word"],
            pictograms=split_cell(row["pictograms"]),
            excluded_by_name="excluded by name from" in row["classification"],
            cas=split_cell(row["cas"]),
            source=row["source"],
            confidence=row["confidence"],
            notes=row["notes"],
            concentration_limits=row["concentration_limits"],
        )


@dataclass(frozen=True)
class Dropped:
    """A statement or sign that applies but is not shown, and why."""

    code: str
    reason: str


@dataclass(frozen=True)
class LabelElements:
    """What a label shows. An empty signal word or no sign means that the codes call for none."""

    h_codes: tuple[str, ...] = ()
    dropped: tuple[Dropped, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    dropped_pictograms: tuple[Dropped, ...] = ()


_ANNEX_III = "CLP Annex III part 1"
_ARTICLE_27 = "CLP Article 27: evident redundancy"
_GHS = "UN GHS 1.4.10.5.3.3"

# Shown code -> codes that it makes redundant, with the rule.
_REDUNDANT: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("H410", ("H400",), _ANNEX_III),
    ("H314", ("H318",), _ANNEX_III),
    ("H410", ("H411", "H412", "H413"), _ARTICLE_27),
    ("H411", ("H412", "H413"), _ARTICLE_27),
    ("H412", ("H413",), _ARTICLE_27),
    ("H411", ("H401",), _GHS),
    ("H412", ("H402",), _GHS),
    ("H350", ("H350i", "H351"), _ARTICLE_27),
    ("H350i", ("H351",), _ARTICLE_27),
    ("H340", ("H341",), _ARTICLE_27),
)


def label_elements(h_codes: Iterable[str], phrasebook: Phrasebook) -> LabelElements:
    """Return what the label of something with these H codes shows.

    Codes keep the order given. Signal word and signs follow from all of them, the dropped ones too, as CLP
    Articles 20 and 26 say. UnknownStatementError for a code that the phrasebook does not hold.
    """
    codes = tuple(dict.fromkeys(bare_code(code) for code in h_codes))
    statements = [phrasebook.look_up(code) for code in codes]
    dropped = _redundant(codes)
    kept = tuple(code for code in codes if code not in dropped)
    signs, hidden = _pictograms(statements)
    return LabelElements(
        h_codes=kept,
        dropped=tuple(Dropped(code, dropped[code]) for code in codes if code in dropped),
        signal_word=max((one.signal_word for one in statements), key=SEVERITY.__getitem__, default=""),
        pictograms=signs,
        dropped_pictograms=hidden,
    )


def _redundant(codes: tuple[str, ...]) -> dict[str, str]:
    dropped: dict[str, str] = {}
    for shown, others, rule in _REDUNDANT:
        if shown in codes:
            for other in others:
                if other in codes:
                    dropped.setdefault(other, f"{shown} is shown ({rule})")
    return dropped


def _pictograms(statements: list[Statement]) -> tuple[tuple[str, ...], tuple[Dropped, ...]]:
    wanted = {name for one in statements for name in one.pictograms}
    hidden = [] if "GHS07" not in wanted else _without_exclamation_mark(statements, wanted)
    shown = wanted - {one.code for one in hidden}
    return tuple(name for name in _SHOWN_ORDER if name in shown), tuple(hidden)


def _without_exclamation_mark(statements: list[Statement], wanted: set[str]) -> list[Dropped]:
    """CLP Article 26(1)(b) to (d): when GHS07 must not appear."""
    if "GHS06" in wanted:
        return [Dropped("GHS07", "GHS06 is shown (CLP Article 26(1)(b))")]
    causes = {part for one in statements if "GHS07" in one.pictograms for part in one.code.split("+")}
    codes = {one.code for one in statements}
    if "GHS05" in wanted:
        causes -= IRRITATION
    if "H334" in codes:
        causes -= IRRITATION | SKIN_SENSITISATION
    if causes:
        return []
    articles = ["(c): GHS05"] * ("GHS05" in wanted) + ["(d): GHS08 for respiratory sensitisation"] * ("H334" in codes)
    return [Dropped("GHS07", f"CLP Article 26(1){' and '.join(articles)} is shown")]


def optional_signs(h_codes: Iterable[str], phrasebook: Phrasebook) -> tuple[Dropped, ...]:
    """Return the signs that a maker may leave off (CLP Article 26(1)(a) and (e)); they are shown all the same.

    GHS02 and GHS03 stay where one category calls for several signs at once, as self-reactives of type B do (H241).
    """
    statements = [phrasebook.look_up(code) for code in dict.fromkeys(bare_code(code) for code in h_codes)]
    wanted = {name for one in statements for name in one.pictograms}
    together = {name for one in statements if "GHS01" in one.pictograms for name in one.pictograms}
    found = []
    if "GHS01" in wanted:
        found += [
            Dropped(name, "GHS01 is shown (CLP Article 26(1)(a))")
            for name in ("GHS02", "GHS03")
            if name in wanted - together
        ]
    stronger = next((name for name in ("GHS02", "GHS06") if name in wanted), "")
    if "GHS04" in wanted and stronger:
        found.append(Dropped("GHS04", f"{stronger} is shown (CLP Article 26(1)(e))"))
    return tuple(found)


@dataclass(frozen=True)
class Difference:
    """Where another scheme than the EU's would show something else."""

    scheme: str
    text: str
    source: str


_OSHA = "US OSHA (29 CFR 1910.1200)"
_APPENDIX_C = "29 CFR 1910.1200 Appendix C, C.2.1.2 to C.2.1.4"


def differences(h_codes: Iterable[str], phrasebook: Phrasebook) -> tuple[Difference, ...]:
    """Return what UN GHS and the US rule for workplaces show otherwise than CLP, for these codes."""
    statements = [phrasebook.look_up(code) for code in dict.fromkeys(bare_code(code) for code in h_codes)]
    codes = {part for one in statements for part in one.code.split("+")}
    wanted = {name for one in statements for name in one.pictograms}
    found = []
    kept = {part for one in statements if "GHS07" in one.pictograms for part in one.code.split("+")} - ACUTE_TOXICITY
    if "GHS05" in wanted:
        kept -= IRRITATION
    if "H334" in codes:
        kept -= IRRITATION | SKIN_SENSITISATION
    if "GHS06" in wanted and kept:
        found.append(
            Difference(
                _OSHA,
                f"GHS07 stays beside GHS06 for {', '.join(sorted(kept))}: there the skull takes the place of the "
                "exclamation mark for acute toxicity alone.",
                _APPENDIX_C,
            )
        )
    if elsewhere := [one.code for one in statements if "not in CLP" in one.scope]:
        text = f"{', '.join(elsewhere)}: in UN GHS, not in the EU's CLP. A sheet with it is written for another place."
        found.append(Difference("UN GHS", text, "UN GHS Annex 3"))
    if water := sorted(code for code in codes if code.startswith("H4")):
        text = (
            f"{', '.join(water)}: hazards to the environment are outside this rule, so a US label need not show them."
        )
        found.append(Difference(_OSHA, text, "29 CFR 1910.1200; common practice, not checked against it here"))
    if own := [one.code for one in statements if one.kind == "EUH"]:
        text = f"{', '.join(own)}: the EU's own additions. No other scheme has them."
        found.append(Difference("UN GHS", text, "Regulation (EC) 1272/2008, Annex II"))
    return tuple(found)
