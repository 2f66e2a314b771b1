"""A row while it is read: its cells by our fields, what was answered, and what has to be asked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from typing import Any

from inventory.colour.curves import BandRow
from inventory.labels import Doubt, Severity, Vocabulary, check_letters
from inventory.labels.doubts import shown

from .columns import FIELD_OF

LENGTHS = {"name": 160, "maker": 80, "maker_code": 60, "series": 20, "place": 80, "batch": 60}


@dataclass(frozen=True)
class ImportSettings:
    """What holds for every row that does not say otherwise.

    `decimals` is "comma", "point" or "" (asked where it matters); `without_count` says what a row without any count
    stands for: "sealed", "open" or "none"; `open_left` how full an open one is whose amount is not given.
    """

    binder: str = ""
    size: str = ""
    unit: str = ""
    decimals: str = ""
    lightfastness_scale: str = ""
    without_count: str = "sealed"
    open_left: str = "1/2"

    @classmethod
    def of(cls, stored: Mapping[str, Any]) -> "ImportSettings":
        known = {one.name for one in fields(cls)}
        return cls(**{key: str(value) for key, value in stored.items() if key in known})

    def as_json(self) -> dict[str, str]:
        return asdict(self)

    @property
    def decimal_comma(self) -> bool | None:
        return {"comma": True, "point": False}.get(self.decimals)


@dataclass(frozen=True, slots=True)
class Person:
    pk: int
    name: str


@dataclass(frozen=True)
class Around:
    """What a row is read against: the pigments known, the people of the studio, what is on its shelf already.

    `tubes` holds what is in each tube by its number, `barcodes` what each bar code stands for, and `codes` the pigment
    codes of each paint, all by name in bare letters.
    """

    vocabulary: Vocabulary
    rows: Sequence[BandRow] = ()
    people: Mapping[str, Person] = field(default_factory=dict)
    tubes: Mapping[int, str] = field(default_factory=dict)
    codes: Mapping[str, frozenset[str]] = field(default_factory=dict)
    barcodes: Mapping[str, str] = field(default_factory=dict)


def answer_key(key: str, doubt: Doubt) -> str:
    """Under what the person's choice is kept."""
    return f"{key}|{doubt.key}"


def kept_doubt(key: str, doubt: Doubt, *, label: str, column: str, blocks: bool) -> dict[str, Any]:
    """A doubt about a field as it is kept with its row."""
    return {
        "field": key,
        "label": label,
        "column": column,
        "code": doubt.code,
        "severity": doubt.severity.value,
        "message": doubt.message,
        "value": doubt.value,
        "key": answer_key(key, doubt),
        "options": [{"value": option.value, "label": option.label} for option in doubt.options],
        "open": doubt.is_open,
        "blocks": blocks and doubt.is_open,
    }


@dataclass
class Row:
    """A row while it is read; the methods fill `read` and `doubts`."""

    columns: Sequence[str]
    mapping: Mapping[str, str]
    settings: ImportSettings
    chosen: Mapping[str, str]
    around: Around
    cells: list[str]
    read: dict[str, Any] = field(default_factory=dict)
    doubts: list[dict[str, Any]] = field(default_factory=list)

    def heading(self, key: str) -> str:
        places = [int(place) for place, name in self.mapping.items() if name == key]
        return self.columns[places[0]] if places and places[0] < len(self.columns) else ""

    def has(self, key: str) -> bool:
        return key in self.mapping.values()

    def cell(self, key: str) -> str:
        """What was typed for a field, or what the person typed instead; several columns are put together in order."""
        if (again := self.chosen.get(f"fix:{key}")) is not None:
            return again.strip()
        places = sorted(int(place) for place, name in self.mapping.items() if name == key)
        parts = [self.cells[place].strip() for place in places if place < len(self.cells)]
        return (", " if key == "pigments" else "\n").join(part for part in parts if part)

    def text(self, key: str) -> str:
        """A cell whose letters are asked where they look wrongly decoded, and whose length fits."""
        text = self.cell(key)
        doubt = None if text.isascii() else check_letters(text)
        if doubt is not None:
            answer = self.answer(key, doubt)
            if answer is None:
                self.say(key, doubt)
            else:
                text = answer
        most = LENGTHS.get(key)
        if most is not None and len(text) > most:
            message = f"{shown(text)} has {len(text)} characters; at most {most} are kept. Shorten it."
            self.say(key, Doubt("too-long", Severity.REFUSED, message, text[:40]), blocks=True)
            text = text[:most]
        return text

    def answer(self, key: str, doubt: Doubt) -> str | None:
        return self.chosen.get(answer_key(key, doubt))

    def say(self, key: str, doubt: Doubt, *, blocks: bool = False) -> None:
        label = FIELD_OF[key].label if key in FIELD_OF else key.capitalize()
        self.doubts.append(kept_doubt(key, doubt, label=label, column=self.heading(key), blocks=blocks))

    def settle(self, key: str, text: str, read: Callable[[str], Any]) -> Any:
        """Read a text that the shelf depends on: an open question blocks; an answer to it is read in its place."""
        found = read(text)
        for doubt in found.doubts:
            answer = self.answer(key, doubt) if doubt.is_open else None
            if answer is not None:
                found = read(answer)
                break
        for doubt in found.doubts:
            self.say(key, doubt, blocks=True)
        return found
