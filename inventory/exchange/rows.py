"""One row of a table: what it says of a paint and its tubes, what is doubtful, what keeps it out."""

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.labels import (
    Doubt,
    LightfastnessScale,
    Option,
    Severity,
    check_single_pigment,
    says_nothing,
)
from inventory.labels.doubts import shown
from inventory.labels.folding import bare_letters
from inventory.reading import COLUMN_SCALE, LabelReading, LabelTexts, read_label

from .binders import read_binder
from .columns import TITLE_COLUMN
from .row import LENGTHS, Around, ImportSettings, Row
from .row_kept import read_kept
from .row_tubes import read_tubes
from .sold_as import read_form

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
    row = Row(columns, mapping, settings, chosen or {}, around, list(cells))
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
        **read_kept(row),
    )
    if what != "paint":
        row.read["readings"] = []  # a material has no label of pigments, so nothing is asked of it
    _name(row)
    read_tubes(row)
    if what == "paint" and (single := row.cell("single_pigment")):
        doubt = check_single_pigment(single, label.pigments)
        if doubt:
            row.say("single_pigment", doubt)
    state = "error" if any(one["blocks"] for one in row.doubts) else "clear"
    if state == "clear" and any(one["open"] for one in row.doubts):
        state = "doubt"
    return RowReading(row.read, row.doubts, state)


def _tubes_are_here(row: Row) -> bool:
    """True where every number of the row is on a tube of this name: another studio has the same numbers."""
    numbers = [part.strip() for part in row.cell("numbers").split(",") if part.strip()]
    name = bare_letters(row.cell("name"))
    return bool(numbers) and all(
        number.isascii() and number.isdigit() and len(number) < 10 and row.around.tubes.get(int(number)) == name
        for number in numbers
    )


# Cells beyond the last heading


def _surplus(row: Row) -> None:
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


def _what(row: Row) -> str:
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


def _form(row: Row) -> str:
    """As what it is sold, "" where the cell does not say or says something that is not known here."""
    text = row.cell("form")
    form = "" if says_nothing(text) else read_form(text)
    if form is None:
        message = f"{shown(text)} is no form that is known here, so it counts as the usual one. It is kept as typed."
        row.say("form", Doubt("form-unknown", Severity.NOTE, message, text[:60]))
    return form or ""


def _no_label(row: Row) -> LabelReading:
    return read_label(LabelTexts(name=row.read["name"]), vocabulary=row.around.vocabulary)


def _answers_before(row: Row) -> dict[str, str]:
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


def _label(row: Row) -> LabelReading:
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


def _name(row: Row) -> None:
    if row.read["name"].strip():
        return
    pigments = row.cell("pigments")
    options = (Option(pigments[:160], f"Call it {shown(pigments)}"),) if pigments else ()
    message = "This row has no name. Type what the tube is called, or leave the row out."
    doubt = Doubt("no-name", Severity.REFUSED, message, "", options)
    answer = row.answer("name", doubt)
    if answer and answer.strip():
        row.read["name"] = answer.strip()[: LENGTHS["name"]]
    else:
        row.say("name", doubt, blocks=True)


def _binder(row: Row) -> str:
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


def _owner(row: Row) -> list[Any]:
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
