"""A help to read a label or a sheet: what its own codes call for, and what to ask. It classifies nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from safety.rules.classify import (
    EU_LIST,
    Difference,
    Dropped,
    LabelElements,
    SubstanceClassification,
    differences,
    label_elements,
    optional_signs,
)
from safety.rules.label_size import SizeAnswer, eu_label, us_label
from safety.rules.mixtures import Question, questions
from safety.rules.precautions import Choice, asked_by, choose
from safety.rules.statements import Phrasebook, bare_code, remark, with_names

EUH208 = "EUH208"


@dataclass(frozen=True)
class Sentence:
    """A statement in the standard's words; `remark` is what the sheet adds in brackets."""

    code: str
    phrase: str
    remark: str = ""


@dataclass(frozen=True)
class Ingredient:
    """Something in the paint as it was typed, its share in % if that is known, and what is published of it."""

    name: str
    share: Decimal | None
    rows: tuple[SubstanceClassification, ...]


@dataclass(frozen=True)
class Asked:
    """What to ask the maker about one ingredient; `said` where the EU list gives no reason to ask."""

    name: str
    questions: tuple[Question, ...]
    said: str = ""


@dataclass(frozen=True)
class LabelCheck:
    """What the codes call for, what was dropped and why, what was chosen and why, and what to ask."""

    label: LabelElements
    optional: tuple[Dropped, ...]
    sentences: tuple[Sentence, ...]
    choice: Choice
    precautions_typed: bool
    differences: tuple[Difference, ...]
    sizes: tuple[SizeAnswer, ...]
    asked: tuple[Asked, ...]
    doubts: tuple[str, ...]


def check(
    codes: Sequence[str],
    phrasebook: Phrasebook,
    *,
    sensitisers: Iterable[str] = (),
    size: Decimal | None = None,
    unit: str = "ml",
    to_the_public: bool = True,
    ingredients: Iterable[Ingredient] = (),
) -> LabelCheck:
    """Work out what codes call for, as a sheet prints them: H, EUH and P together.

    Where no P code is typed, those that the tables give for the H codes are chosen from.
    """
    hazards = [code for code in codes if not bare_code(code).startswith("P")]
    typed = [code for code in codes if bare_code(code).startswith("P")]
    names = tuple(sensitisers)
    label = label_elements(hazards, phrasebook)
    said = {bare_code(code): remark(code) for code in hazards}
    sizes: tuple[SizeAnswer, ...] = ()
    if size is not None:
        sizes = (
            us_label(size, unit),
            *(eu_label(label.h_codes, size, to_the_public=to_the_public) if unit == "ml" else ()),
        )
    return LabelCheck(
        label=label,
        optional=optional_signs(hazards, phrasebook),
        sentences=tuple(_sentences(label, phrasebook, said, names)),
        choice=choose(typed or asked_by(label.h_codes, phrasebook), phrasebook, label.h_codes),
        precautions_typed=bool(typed),
        differences=differences(hazards, phrasebook),
        sizes=sizes,
        asked=tuple(_asked(one) for one in ingredients),
        doubts=tuple(_doubts(label.h_codes, names)),
    )


def _sentences(
    label: LabelElements, phrasebook: Phrasebook, said: dict[str, str], names: tuple[str, ...]
) -> Iterable[Sentence]:
    for code in label.h_codes:
        statement = phrasebook.look_up(code)
        phrase = with_names(statement, names) if code == EUH208 and names else statement.phrase_plain
        yield Sentence(code, phrase, said.get(code, ""))
    if names and EUH208 not in label.h_codes:
        yield Sentence(EUH208, with_names(phrasebook.look_up(EUH208), names))


def _doubts(codes: tuple[str, ...], names: tuple[str, ...]) -> Iterable[str]:
    if EUH208 in codes and not names:
        yield "EUH208 stands here without a name: which substance does the sheet name? Without one it says nothing."
    if names and EUH208 not in codes:
        yield "A sensitiser is named and EUH208 is not among the codes: does the label carry it? Ask the maker."
    if names and "H317" in codes:
        yield (
            "With H317 the mixture itself is classified as a sensitiser; the label then names the substances rather "
            "than EUH208 (CLP Annex II, section 2.8). Ask the maker which of the two holds."
        )


def _asked(ingredient: Ingredient) -> Asked:
    found = tuple(
        question
        for row in ingredient.rows
        if row.regime in EU_LIST
        for question in questions(row, ingredient.name, ingredient.share)
    )
    if found:
        return Asked(ingredient.name, found)
    if any(row.excluded_by_name for row in ingredient.rows):
        said = "Excluded by name from an entry of the EU list, so no limit follows from it: that is not a finding."
    else:
        said = "No entry of the EU list is held here, so no limit either: that is not a finding of no hazard."
    return Asked(ingredient.name, (), f"{said} Ask the maker what the sheet says of it.")
