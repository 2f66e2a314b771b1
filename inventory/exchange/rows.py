"""One row of a table: what it says of a paint and its tubes, what is doubtful, what keeps it out."""

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from decimal import Decimal
from typing import Any

from inventory.colour.curves import BandRow
from inventory.labels import (
    Amount,
    Doubt,
    LightfastnessScale,
    Option,
    Severity,
    Vocabulary,
    check_letters,
    check_single_pigment,
    read_amount,
    read_count,
    read_decimal,
    read_fraction,
    says_nothing,
)
from inventory.labels.doubts import quoting, shown
from inventory.labels.folding import bare_letters
from inventory.reading import COLUMN_SCALE, LabelReading, LabelTexts, read_label

from .binders import read_binder
from .columns import FIELD_OF, TITLE_COLUMN, unit_of_heading
from .sold_as import read_form

MOST_TUBES = 500  # in one row
LARGEST_TUBE_MILLI = 200_000_000  # the largest container that is received: 200 l or kg
_LENGTHS = {"name": 160, "maker": 80, "maker_code": 60, "series": 20, "place": 80}
_LABEL = ("pigments", "lightfastness", "opacity", "strength")
_STUDIO_WORDS = {
    "studio",
    "atelier",
    "school",
    "schule",
    "ecole",
    "estudio",
    "taller",
    "department",
    "shared",
    "common",
}
_CLASS_WORDS = ("class ", "klasse ", "classe ", "clase ", "course ", "kurs ", "group ", "year ")
_MAY_HOLD_COMMAS = ("name", "pigments", "notes", "place", "maker")
MATERIALS = ("medium", "solvent", "varnish", "drier", "ground", "drying oil", "dry pigment", "other")
LONGEST_ANSWERS = 20_000
BINDERS = (
    "oil", "water-mixable oil", "alkyd", "acrylic", "watercolour", "gouache", "tempera", "casein", "encaustic",
)  # fmt: skip


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

    `tubes` holds what is in each tube by its number, and `codes` the pigment codes of each paint, both by name in bare
    letters.
    """

    vocabulary: Vocabulary
    rows: Sequence[BandRow] = ()
    people: Mapping[str, Person] = field(default_factory=dict)
    tubes: Mapping[int, str] = field(default_factory=dict)
    codes: Mapping[str, frozenset[str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RowReading:
    """`state` is "clear", "doubt", "error" or "present"; `read` and `doubts` are ready to be kept as JSON."""

    read: dict[str, Any]
    doubts: list[dict[str, Any]]
    state: str


def digest(columns: Sequence[str], cells: Sequence[str], occurrence: int = 1) -> str:
    """A row by its headings and verbatim cells; `occurrence` tells identical rows of one file apart."""
    filled = [[heading, cell] for heading, cell in zip(columns, cells, strict=False) if cell]
    surplus = list(cells[len(columns) :])
    told = json.dumps([filled, surplus, occurrence], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()


def digests(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    seen: Counter[tuple[str, ...]] = Counter()
    found = []
    for cells in rows:
        key = tuple(cells)
        seen[key] += 1
        found.append(digest(columns, cells, seen[key]))
    return found


@dataclass
class _Row:
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
        most = _LENGTHS.get(key)
        if most is not None and len(text) > most:
            message = f"{shown(text)} has {len(text)} characters; at most {most} are kept. Shorten it."
            self.say(key, Doubt("too-long", Severity.REFUSED, message, text[:40]), blocks=True)
            text = text[:most]
        return text

    def answer(self, key: str, doubt: Doubt) -> str | None:
        return self.chosen.get(f"{key}|{doubt.key}")

    def say(self, key: str, doubt: Doubt, *, blocks: bool = False) -> None:
        self.doubts.append(
            {
                "field": key,
                "label": FIELD_OF[key].label if key in FIELD_OF else key.capitalize(),
                "column": self.heading(key),
                "code": doubt.code,
                "severity": doubt.severity.value,
                "message": doubt.message,
                "value": doubt.value,
                "key": f"{key}|{doubt.key}",
                "options": [{"value": option.value, "label": option.label} for option in doubt.options],
                "open": doubt.is_open,
                "blocks": blocks and doubt.is_open,
            }
        )

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


def read_row(
    columns: Sequence[str],
    cells: Sequence[str],
    mapping: Mapping[str, str],
    settings: ImportSettings,
    around: Around,
    *,
    chosen: Mapping[str, str] | None = None,
    present: bool = False,
) -> RowReading:
    """Read one row.

    `chosen` holds the person's answers: an option's value by its doubt's key, and a text typed instead of a cell under
    "fix:" and the field. `present` says that this very row was taken in before.
    """
    row = _Row(columns, mapping, settings, chosen or {}, around, list(cells))
    again = row.chosen.get("present|again:") == "again"
    if not again and (present or _tubes_are_here(row)):
        why = "This row was taken in before." if present else "The tubes of these numbers are on the shelf already."
        option = Option("again", "Take it in once more")
        row.say("present", Doubt("again", Severity.NOTE, f"{why} It adds nothing.", "", (option,)))
        return RowReading({"name": row.cell("name")}, row.doubts, "present")
    _surplus(row)
    row.read["name"] = row.text("name")
    what = _what(row)
    label = _label(row) if what == "paint" else _no_label(row)
    row.read.update(
        what=what,
        binder=_binder(row) if what == "paint" else "unknown",
        maker=row.text("maker"),
        maker_code=row.text("maker_code"),
        series=row.text("series"),
        form=_form(row),
        notes=row.text("notes"),
        place="" if says_nothing(row.cell("place")) else row.text("place"),
        owner=_owner(row),
        **_as_json(label),
    )
    if what != "paint":
        row.read["readings"] = []  # a material has no label of pigments, so nothing is asked of it
    _name(row)
    _tubes(row)
    if what == "paint" and (single := row.cell("single_pigment")):
        doubt = check_single_pigment(single, label.pigments)
        if doubt:
            row.say("single_pigment", doubt)
    state = "error" if any(one["blocks"] for one in row.doubts) else "clear"
    if state == "clear" and any(one["open"] for one in row.doubts):
        state = "doubt"
    return RowReading(row.read, row.doubts, state)


def _tubes_are_here(row: _Row) -> bool:
    """True where every number of the row is on a tube of this name: another studio has the same numbers."""
    numbers = [part.strip() for part in row.cell("numbers").split(",") if part.strip()]
    name = bare_letters(row.cell("name"))
    return bool(numbers) and all(
        number.isascii() and number.isdigit() and len(number) < 10 and row.around.tubes.get(int(number)) == name
        for number in numbers
    )


# Cells beyond the last heading


def _surplus(row: _Row) -> None:
    """More cells than headings: most often a comma inside a text that was not put in quotes."""
    width = len(row.columns)
    if len(row.cells) <= width:
        return
    more = len(row.cells) - width
    beyond = ", ".join(shown(cell, 30) for cell in row.cells[width:])
    message = (
        f"This line has {len(row.cells)} cells, but there are {width} headings; beyond the last one: {beyond}. "
        "A separator inside a text splits it: say which cells belong together, or keep the surplus aside as typed."
    )
    options = [
        Option(f"join:{place}", f"{shown(', '.join(row.cells[place : place + more + 1]))} is one cell: {heading}")
        for place, heading in enumerate(row.columns)
        if row.mapping.get(str(place), "" if heading == TITLE_COLUMN else "notes") in _MAY_HOLD_COMMAS
    ]
    options.append(Option("aside", f"Keep {beyond} aside as typed"))
    doubt = Doubt("surplus", Severity.REFUSED, message, beyond[:60], tuple(options))
    answer = row.answer("cells", doubt)
    if answer is None:
        row.say("cells", doubt, blocks=True)
    elif answer.startswith("join:") and answer[5:].isdigit() and int(answer[5:]) < width:
        place = int(answer[5:])
        joined = ", ".join(cell.strip() for cell in row.cells[place : place + more + 1])
        row.cells[place : place + more + 1] = [joined]


# The label


def _what(row: _Row) -> str:
    """ "paint", or the kind of a material."""
    text = row.cell("what")
    words = bare_letters(text)
    if says_nothing(text) or words in ("paint", "colour", "color"):
        return "paint"
    if words in MATERIALS:
        return words
    options = tuple(Option(one, one.capitalize()) for one in ("paint", *MATERIALS))
    message = f"{shown(text)} is neither a paint nor a kind of material. Choose what it is."
    doubt = Doubt("which-kind", Severity.ASK, message, text[:60], options)
    answer = row.answer("what", doubt)
    if answer in {option.value for option in options}:
        return str(answer)
    row.say("what", doubt, blocks=True)
    return "paint"


def _form(row: _Row) -> str:
    """As what it is sold, "" where the cell does not say or says something that is not known here."""
    text = row.cell("form")
    form = "" if says_nothing(text) else read_form(text)
    if form is None:
        message = f"{shown(text)} is no form that is known here, so it counts as the usual one. It is kept as typed."
        row.say("form", Doubt("form-unknown", Severity.NOTE, message, text[:60]))
    return form or ""


def _no_label(row: _Row) -> LabelReading:
    return read_label(LabelTexts(name=row.read["name"]), vocabulary=row.around.vocabulary)


def _answers_before(row: _Row) -> dict[str, str]:
    """What was answered of the label where the row comes from, as an export writes it; a newer answer goes before."""
    text = row.cell("answers")
    if says_nothing(text):
        return {}
    try:
        given: Any = json.loads(text) if len(text) <= LONGEST_ANSWERS else None
        found = {
            f"{name}|{key}": value
            for name, answers in given.items()
            for key, value in answers.items()
            if name in (*_LABEL, "shade") and isinstance(value, str)
        }
    except (ValueError, AttributeError, RecursionError):
        message = f"{shown(text)} cannot be read as the answers of an export. It is kept as typed; what is asked waits."
        row.say("answers", Doubt("answers-unread", Severity.NOTE, message, text[:40]))
        return {}
    if found.get(f"lightfastness|{COLUMN_SCALE}", "astm") not in set(LightfastnessScale):
        del found[f"lightfastness|{COLUMN_SCALE}"]
    return found


def _label(row: _Row) -> LabelReading:
    chosen: dict[str, dict[str, str]] = {}
    for key, value in {**_answers_before(row), **row.chosen}.items():
        name, bar, rest = key.partition("|")
        if bar and name in (*_LABEL, "shade"):
            chosen.setdefault(name, {})[rest] = value
    texts = LabelTexts(
        name=row.read["name"],
        pigments=row.cell("pigments"),
        lightfastness=row.cell("lightfastness"),
        opacity=row.cell("opacity"),
        strength=row.cell("strength"),
        lightfastness_header=row.heading("lightfastness"),
        opacity_header=row.heading("opacity"),
        lightfastness_scale=row.settings.lightfastness_scale,
    )
    label = read_label(
        texts,
        vocabulary=row.around.vocabulary,
        rows=row.around.rows,
        chosen=chosen,
        elsewhere=row.around.codes.get(bare_letters(texts.name), ()),
    )
    for name, doubt in label.doubts:
        row.say(name, doubt)
    return label


def _as_json(label: LabelReading) -> dict[str, Any]:
    return {
        "fields": label.paint_fields(),
        "lines": [
            [one.code, label.shade_name(one.code) or "", one.as_typed[:160], one.note[:160]]
            for one in label.pigments.pigments
        ],
        "readings": [[one.field, one.text, one.read, one.chosen, one.settled] for one in label.readings],
        "single": label.pigments.single_pigment,
    }


def _name(row: _Row) -> None:
    if row.read["name"].strip():
        return
    pigments = row.cell("pigments")
    options = (Option(pigments[:160], f"Call it {shown(pigments)}"),) if pigments else ()
    message = "This row has no name. Type what the tube is called, or leave the row out."
    doubt = Doubt("no-name", Severity.REFUSED, message, "", options)
    answer = row.answer("name", doubt)
    if answer and answer.strip():
        row.read["name"] = answer.strip()[: _LENGTHS["name"]]
    else:
        row.say("name", doubt, blocks=True)


def _binder(row: _Row) -> str:
    text = row.cell("binder")
    if says_nothing(text):
        return row.settings.binder or "unknown"
    found = read_binder(text)
    if found:
        return found
    options = (*(Option(binder, binder.capitalize()) for binder in BINDERS), Option("unknown", "Not known"))
    message = f"{shown(text)} is no binder that is known here. Choose one, or leave it unknown."
    doubt = Doubt("which-binder", Severity.ASK, message, text[:60], options)
    answer = row.answer("binder", doubt)
    if answer in {option.value for option in options}:
        return str(answer)
    row.say("binder", doubt)
    return "unknown"


def _owner(row: _Row) -> list[Any]:
    """["studio"], ["member", id] or ["class", name]."""
    text = row.cell("owner")
    words = bare_letters(text)
    if says_nothing(text) or words in _STUDIO_WORDS or words.removeprefix("the ") in _STUDIO_WORDS:
        return ["studio"]
    if (person := row.around.people.get(words)) is not None:
        return ["member", person.pk]
    if words.startswith(_CLASS_WORDS) and len(text) <= 80:
        return ["class", text]
    people = {person.pk: person for person in row.around.people.values()}
    options = [Option("class", f"A class of this name: {shown(text)}")] if len(text) <= 80 else []
    options += [Option(f"member:{pk}", person.name) for pk, person in list(people.items())[:12]]
    options.append(Option("studio", "The studio; the name is kept as typed"))
    message = f"{shown(text)} is nobody in this studio. Say who owns it."
    doubt = Doubt("which-owner", Severity.ASK, message, text[:60], tuple(options))
    answer = row.answer("owner", doubt)
    if answer == "class":
        return ["class", text]
    if answer and answer.startswith("member:") and answer[7:].isdigit() and int(answer[7:]) in people:
        return ["member", int(answer[7:])]
    if answer != "studio":
        row.say("owner", doubt, blocks=True)
    return ["studio"]


# Tubes


@dataclass(frozen=True, slots=True)
class _Open:
    """How many open ones, and the part left in the last of them where the count says so ("1/2 tube")."""

    text: str
    count: int | None = None
    thousandths: int | None = None
    doubts: tuple[Doubt, ...] = ()


def _tubes(row: _Row) -> None:
    sealed = row.settle("sealed", row.cell("sealed"), read_count).value if row.has("sealed") else None
    opened = row.settle("open", row.cell("open"), lambda text: _read_open(text, row.settings.decimal_comma))
    count, part = opened.count, opened.thousandths
    left = row.cell("left")
    if count is None and left and not says_nothing(left):
        count = 1
    if sealed is None and count is None and not any(one["blocks"] for one in row.doubts):
        sealed, count = _without_count(row)
    for key, many in (("sealed", sealed), ("open", count)):
        if many is not None and many > MOST_TUBES:
            message = f"{many} tubes in one row are more than the {MOST_TUBES} that are taken in at once. Check it."
            row.say(key, Doubt("too-many", Severity.REFUSED, message, str(many)), blocks=True)
            return
    row.read["sealed"], row.read["open"] = sealed or 0, []
    if not sealed and not count:
        return
    size = _size(row)
    if size is None or size.milli is None:
        return
    row.read["size"] = [size.milli, size.unit]
    if count:
        row.read["open"] = _open_tubes(row, count, part, left, size)


def _without_count(row: _Row) -> tuple[int, int]:
    if row.has("sealed") or row.has("open"):
        message = "No count is given, so the paint is taken in without a tube. Type a count if there is one."
        row.say("sealed", Doubt("no-count", Severity.NOTE, message, ""))
        return 0, 0
    return {"sealed": (1, 0), "open": (0, 1)}.get(row.settings.without_count, (0, 0))


def _read_open(text: str, decimal_comma: bool | None) -> _Open:
    """Read "2", "1/2 tube", "about half", "1.5": whole open ones, and a part of one more."""
    if says_nothing(text):
        return _Open(text)
    words = bare_letters(text)
    for word in ("tubes", "tube", "of a", "left", "open"):
        words = words.removesuffix(word).strip()
    whole = read_count(words)
    if whole.value is not None:
        return _Open(text, whole.value)
    number = read_decimal(words, decimal_comma if "," in words and "." in words else None)
    if number.value is not None and number.value > 1 and number.value <= MOST_TUBES:
        count = int(number.value)
        rest = int((number.value - count) * 1000)
        return _Open(text, count + 1, rest)
    part = read_fraction(words)
    if part.thousandths is not None:
        return _Open(text, 1, part.thousandths)
    reasons = whole.doubts if _is_number(words) else part.doubts
    return _Open(text, doubts=quoting(reasons, words, text))


def _is_number(words: str) -> bool:
    return any(character.isdigit() for character in words) and "/" not in words and "%" not in words


def _size(row: _Row) -> Amount | None:
    text = row.cell("size")
    unit = row.settings.unit or unit_of_heading(row.heading("size"))
    if says_nothing(text):
        text = row.settings.size
    if says_nothing(text):
        message = (
            "No size is given. Type the size of one tube, such as 37 ml, or say on the page of the columns what size "
            "holds for all rows without one."
        )
        doubt = Doubt("no-size", Severity.REFUSED, message, "")
        answer = row.answer("size", doubt)
        if not answer:
            row.say("size", doubt, blocks=True)
            return None
        text = answer
    amount: Amount = row.settle(
        "size", text, lambda typed: read_amount(typed, unit=unit, decimal_comma=row.settings.decimal_comma)
    )
    if amount.milli is not None and not 0 < amount.milli <= LARGEST_TUBE_MILLI:
        message = f"{shown(text)} is no size of a tube: enter more than 0 and at most 200 l or kg."
        row.say("size", Doubt("size-refused", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    return amount


def _open_tubes(row: _Row, count: int, part: int | None, left: str, size: Amount) -> list[list[Any]]:
    """What each open one holds: thousandths of the unit, and whether that is an estimate."""
    nominal = size.milli or 0
    given = part is not None or not says_nothing(left)
    if part is None or count > 1:
        each = _left(row, left if not says_nothing(left) else row.settings.open_left, size)
        if each is None:
            return []
        if not given:
            message = f"What is left in the open one is not given: taken as {row.settings.open_left} of it, estimated."
            row.say("left", Doubt("left-not-given", Severity.READ_AS, message, ""))
    else:
        each = [0, True]
    last = each if part is None else [nominal * part // 1000, True]
    return [list(each)] * (count - 1) + [last]


def _left(row: _Row, text: str, size: Amount) -> list[Any] | None:
    nominal = size.milli or 0
    fraction = read_fraction(text)
    if fraction.thousandths is not None:
        return [nominal * fraction.thousandths // 1000, fraction.estimated]
    amount: Amount = row.settle(
        "left", text, lambda typed: read_amount(typed, unit=size.unit, decimal_comma=row.settings.decimal_comma)
    )
    if amount.milli is None:
        return None
    if amount.unit != size.unit:
        message = (
            f"{shown(text)} is in {amount.unit}, but the size is in {size.unit}. Without the paint's density one is "
            "not turned into the other: type the part that is left, such as 1/2, or the amount in the unit of the size."
        )
        row.say("left", Doubt("other-unit", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    if amount.milli > nominal:
        held = f"{Decimal(nominal).scaleb(-3).normalize():f} {size.unit}"
        message = f"{shown(text)} is more than the size of {held}. Type what is left, at most that."
        row.say("left", Doubt("more-than-size", Severity.REFUSED, message, text[:40]), blocks=True)
        return None
    return [amount.milli, amount.estimated]
