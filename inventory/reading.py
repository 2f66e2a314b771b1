"""A whole label read at once: pigments and their shades, lightfastness, opacity, strength. Pure: no query, no model.

The typed texts stay as they are; beside them stand the readings, their doubts and what the person answered.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.colour.curves import BandRow, choose_row
from inventory.labels import Doubt, Option, PigmentReading, Severity, Vocabulary, read_pigments, settled
from inventory.labels.appearance import OpacityMark, Strength, StrengthMark, read_opacity, read_strength
from inventory.labels.marks import LightfastnessScale, Mark, read_lightfastness

# What the person answered: for each field of the label, a value by the doubt's key.
Chosen = Mapping[str, Mapping[str, str]]
# Under this key stands the scale that the person gave for the whole column of lightfastness marks.
COLUMN_SCALE = "column-scale"


@dataclass(frozen=True)
class LabelTexts:
    """What somebody typed, cell by cell. `lightfastness_scale` is what they said of the column, if anything."""

    name: str
    pigments: str = ""
    lightfastness: str = ""
    opacity: str = ""
    strength: str = ""
    lightfastness_header: str = ""
    opacity_header: str = ""
    lightfastness_scale: str = ""


@dataclass(frozen=True)
class FieldReading:
    """One field's text with what was read, the doubts and the answers, ready to be kept."""

    field: str
    text: str
    read: dict[str, Any]
    doubts: tuple[Doubt, ...]
    chosen: dict[str, str]

    @property
    def settled(self) -> bool:
        return settled(self.doubts)


@dataclass(frozen=True)
class Shade:
    """Which of the colours sold under one code the name means; None while that is asked."""

    code: str
    name: str | None
    doubt: Doubt | None


@dataclass(frozen=True)
class LabelReading:
    texts: LabelTexts
    pigments: PigmentReading
    shades: tuple[Shade, ...]
    lightfastness: Mark
    opacity: OpacityMark
    strength: StrengthMark
    chosen: Chosen = field(default_factory=dict)

    @property
    def readings(self) -> tuple[FieldReading, ...]:
        """One for each field that was typed or has something to say; the order is the label's."""
        found = [
            self._kept(
                "pigments",
                self.texts.pigments,
                {"codes": list(self.pigments.codes), "incomplete": self.pigments.incomplete},
                self.pigments.doubts,
            ),
            self._kept(
                "shade",
                self.texts.name,
                {shade.code: shade.name for shade in self.shades},
                [shade.doubt for shade in self.shades if shade.doubt],
            ),
            self._kept(
                "lightfastness",
                self.texts.lightfastness,
                {
                    "value": self.lightfastness.value or "",
                    "scale": self.lightfastness.scale.value,
                    "band": self.lightfastness.coarse.value,
                },
                self.lightfastness.doubts,
            ),
            self._kept("opacity", self.texts.opacity, {"value": self.opacity.value.value}, self.opacity.doubts),
            self._kept(
                "strength",
                self.texts.strength,
                {"value": strength_words(self.strength), "scale": self.strength.scale},
                self.strength.doubts,
            ),
        ]
        return tuple(one for one in found if one.doubts or (one.text.strip() and one.field != "shade"))

    @property
    def doubts(self) -> tuple[tuple[str, Doubt], ...]:
        """Every doubt with the field that it is about."""
        return tuple((reading.field, doubt) for reading in self.readings for doubt in reading.doubts)

    @property
    def is_settled(self) -> bool:
        return all(reading.settled for reading in self.readings)

    @property
    def pigments_known(self) -> str:
        """ "settled", "asked" or "unknown"; what is unknown stays out of the wheel and is never harmless."""
        if not self.pigments.is_settled:
            return "asked"
        return "unknown" if self.pigments.unknown else "settled"

    def shade_name(self, code: str) -> str | None:
        return next((shade.name for shade in self.shades if shade.code == code), None)

    def paint_fields(self) -> dict[str, Any]:
        """The columns of a paint that follow from the label."""
        return {
            "pigment_text": self.texts.pigments,
            "pigments_known": self.pigments_known,
            "opacity": self.opacity.value.value,
            "opacity_text": self.texts.opacity,
            "strength": strength_words(self.strength),
            "strength_scale": self.strength.scale,
            "strength_text": self.texts.strength,
            "lightfastness": (self.lightfastness.value or "")[:40],
            "lightfastness_scale": self.lightfastness.scale.value if self.lightfastness.value else "unknown",
            "lightfastness_maker_scale": self.lightfastness.maker_scale,
            "lightfastness_text": self.texts.lightfastness,
        }

    def _kept(self, name: str, text: str, read: dict[str, Any], doubts: Iterable[Doubt]) -> FieldReading:
        return FieldReading(name, text, read, tuple(doubts), dict(self.chosen.get(name, {})))


def strength_words(mark: StrengthMark) -> str:
    """The strength's word, or its figure; empty while unknown."""
    return mark.figure or ("" if mark.value is Strength.UNKNOWN else mark.value.value)


def read_label(
    texts: LabelTexts,
    *,
    vocabulary: Vocabulary,
    rows: Iterable[BandRow] = (),
    chosen: Chosen | None = None,
    elsewhere: Collection[str] = (),
) -> LabelReading:
    """Read what a label says. `rows` are the typical curves: they tell which codes are several colours.

    `elsewhere` holds the codes of other paints of this name, which come first among suggestions.
    """
    answers = {name: dict(given) for name, given in (chosen or {}).items()}
    if texts.lightfastness_scale:
        answers.setdefault("lightfastness", {})[COLUMN_SCALE] = texts.lightfastness_scale
    pigments = read_pigments(
        texts.pigments,
        name=texts.name,
        vocabulary=vocabulary,
        chosen=answers.get("pigments", {}),
        elsewhere=elsewhere,
    )
    return LabelReading(
        texts,
        pigments,
        tuple(_shades(pigments, texts.name, rows, answers.get("shade", {}))),
        _lightfastness(texts, answers.get("lightfastness", {})),
        _opacity(texts, answers.get("opacity", {})),
        _strength(texts, answers.get("strength", {})),
        answers,
    )


def _shades(
    pigments: PigmentReading, name: str, rows: Iterable[BandRow], answers: Mapping[str, str]
) -> Iterable[Shade]:
    by_code: dict[str, list[BandRow]] = {code: [] for code in pigments.codes}
    for row in rows:
        if row.ci in by_code:
            by_code[row.ci].append(row)
    for code, found in by_code.items():
        if len(found) < 2:
            continue
        choice = choose_row(found, name)
        key = f"which-shade:{code}"
        if answers.get(key) in {row.name for row in found}:
            yield Shade(code, answers[key], None)
        elif choice.row is not None:
            yield Shade(code, choice.row.name, None)
        else:
            options = tuple(Option(row.name, row.name.capitalize()) for row in choice.options)
            yield Shade(code, None, Doubt("which-shade", Severity.ASK, choice.reason, code, options))


def _answer(doubts: Iterable[Doubt], answers: Mapping[str, str]) -> str | None:
    """The person's answer to the open question among these, if they gave one."""
    return next((answers[doubt.key] for doubt in doubts if doubt.is_open and doubt.key in answers), None)


def _lightfastness(texts: LabelTexts, answers: Mapping[str, str]) -> Mark:
    scale = LightfastnessScale(answers[COLUMN_SCALE]) if answers.get(COLUMN_SCALE) else None
    mark = read_lightfastness(texts.lightfastness, header=texts.lightfastness_header, scale=scale)
    answer = _answer(mark.doubts, answers)
    if answer is None:
        return mark
    if answer == "maker":
        mark = read_lightfastness(texts.lightfastness, scale=LightfastnessScale.MAKER)
        return Mark(texts.lightfastness, mark.value, mark.scale, mark.maker_scale, mark.rank, mark.coarse)
    chosen = read_lightfastness(answer)
    return Mark(
        texts.lightfastness, chosen.value, chosen.scale, chosen.maker_scale, chosen.rank, chosen.coarse, chosen.doubts
    )


def _opacity(texts: LabelTexts, answers: Mapping[str, str]) -> OpacityMark:
    mark = read_opacity(texts.opacity, header=texts.opacity_header)
    answer = _answer(mark.doubts, answers)
    if answer is None:
        return mark
    chosen = read_opacity(answer)
    return OpacityMark(texts.opacity, chosen.value, "chosen", chosen.doubts)


def _strength(texts: LabelTexts, answers: Mapping[str, str]) -> StrengthMark:
    mark = read_strength(texts.strength)
    answer = _answer(mark.doubts, answers)
    if answer is None:
        return mark
    chosen = read_strength(answer)
    return StrengthMark(texts.strength, chosen.value, chosen.scale, chosen.figure, chosen.doubts)
