"""What is known about one thing on the shelf, before any caution is drawn from it."""

import re
from dataclasses import dataclass
from datetime import date
from enum import IntEnum
from typing import Literal

from safety.rules.classify import EU_LIST, SubstanceClassification

Form = Literal["paint", "medium", "solvent", "varnish", "ground", "dry pigment", "other"]
# As what it is sold; empty: as usual for its kind.
SoldAs = Literal["", "paste", "liquid", "powder", "stick", "pan", "spray", "marker"]


class Trust(IntEnum):
    """Where a fact comes from, the most trusted highest."""

    UNKNOWN = 0
    PUBLISHED = 1
    LABEL = 2
    SHEET = 3

    @property
    def words(self) -> str:
        return _TRUST_WORDS[self]


_TRUST_WORDS = {
    Trust.UNKNOWN: "not known",
    Trust.PUBLISHED: "published classification of the pigment or ingredient as a substance",
    Trust.LABEL: "the label's own statement",
    Trust.SHEET: "the maker's safety data sheet on file",
}


@dataclass(frozen=True)
class PigmentFacts:
    """One pigment of the label, in label order. `known` is False for a code that the pigment table does not hold."""

    code: str
    name: str = ""
    metals: tuple[str, ...] = ()
    substances: tuple[SubstanceClassification, ...] = ()
    known: bool = True


@dataclass(frozen=True)
class SheetRecord:
    """The maker's safety data sheet on file.

    `h_codes` as its section 2 prints them. `says_not_classified` only when the sheet itself says so: without it, no
    codes means that nobody has entered them. `unknown_codes` are printed, and no statement is known here under them;
    `other_hazards` is what its section 2 adds without a code.
    """

    title: str
    revised_on: date | None = None
    read_on: date | None = None
    h_codes: tuple[str, ...] = ()
    p_codes: tuple[str, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    says_not_classified: bool = False
    unknown_codes: tuple[str, ...] = ()
    other_hazards: str = ""
    conformity: str = ""


@dataclass(frozen=True)
class LabelStatement:
    """What the label itself says, word for word, and the codes, signs and seals that it prints."""

    text: str
    read_on: date | None = None
    h_codes: tuple[str, ...] = ()
    p_codes: tuple[str, ...] = ()
    signal_word: str = ""
    pictograms: tuple[str, ...] = ()
    seals: tuple[str, ...] = ()


@dataclass(frozen=True)
class Facts:
    """One paint, medium, solvent, varnish, ground or dry pigment and what is recorded of it."""

    name: str
    form: Form = "paint"
    binder: str = ""
    pigments: tuple[PigmentFacts, ...] = ()
    ingredients: tuple[SubstanceClassification, ...] = ()
    shade_words: tuple[str, ...] = ()
    sheet: SheetRecord | None = None
    label: LabelStatement | None = None
    sold_as: SoldAs = ""

    @property
    def prints_no_codes(self) -> bool:
        """A medium, solvent or ground has no pigment codes to copy, unless some are recorded."""
        return self.form not in ("paint", "dry pigment") and not self.pigments

    @property
    def is_powder(self) -> bool:
        return self.form == "dry pigment" or self.sold_as == "powder"

    @property
    def shades(self) -> frozenset[str]:
        """The earths that the name or the given shade words name: "umber", "sienna"."""
        words = " ".join((self.name, *self.shade_words)).casefold()
        return frozenset(shade for shade, pattern in _SHADES.items() if pattern.search(words))

    @property
    def substances(self) -> tuple[SubstanceClassification, ...]:
        """Every published row about the pigments and ingredients, each once."""
        rows = (row for pigment in self.pigments for row in pigment.substances)
        return tuple(dict.fromkeys((*rows, *self.ingredients)))

    def published_codes(self, regimes: tuple[str, ...] = EU_LIST) -> tuple[str, ...]:
        codes = (code for row in self.substances if row.regime in regimes for code in row.h_codes)
        return tuple(dict.fromkeys(codes))

    def trust(self, regimes: tuple[str, ...] = EU_LIST) -> Trust:
        """The most trusted source that states the hazards.

        Words copied from a label without a code, sign or signal word are quoted but do not take the place of the
        published list: what was not copied may be what matters.
        """
        if self.sheet and (_gives_hazards(self.sheet) or self.sheet.says_not_classified):
            return Trust.SHEET
        if self.label and _gives_hazards(self.label):
            return Trust.LABEL
        return Trust.PUBLISHED if self.published_codes(regimes) else Trust.UNKNOWN


def _gives_hazards(said: SheetRecord | LabelStatement) -> bool:
    return bool(said.h_codes or said.signal_word or said.pictograms)


# Common practice, no source: the trade's words for the two earths in the languages that labels are printed in.
_SHADES = {
    "umber": re.compile(r"\b(umbers?|umbra|ombre|ombra|sombra|umbr[ay]|умбр[аы])\b"),
    "sienna": re.compile(r"\b(siennas?|siena|sienne|siéna|si[eé]ny?|сиен[аы])\b"),
}
