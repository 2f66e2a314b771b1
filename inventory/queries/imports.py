"""Reads about tables on their way in and out."""

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, QuerySet

from inventory.exchange import AS_TYPED, FIELDS, Around, ImportSettings, Person, level_words
from inventory.labels.folding import bare_letters
from inventory.models import (
    Barcode,
    Condition,
    Counting,
    ImportBatch,
    ImportedRow,
    ImportRow,
    Item,
    LevelBasis,
    Material,
    Paint,
    PaintPigment,
    ReorderLevel,
    RowState,
    Tube,
    TubeState,
)
from inventory.models.tube import exact
from inventory.queries.palette import typical_rows
from inventory.queries.reference import vocabulary
from studio.models import Membership, Studio

FIELD_LABELS = {field.key: field.label for field in FIELDS}
# What a person has to look at first comes first.
STATES_IN_ORDER = (
    RowState.ERROR, RowState.DOUBT, RowState.CLEAR, RowState.PRESENT, RowState.LEFT_OUT, RowState.UNREAD,
)  # fmt: skip


def imports(studio: Studio) -> "QuerySet[ImportBatch]":
    """The tables that were given, the latest first, with the number of their rows."""
    return (
        ImportBatch.objects.filter(studio=studio).select_related("by").annotate(row_count=Count("rows")).order_by("-pk")
    )


def new_items(batch: ImportBatch) -> "QuerySet[Item]":
    """The paints and materials that a list made."""
    made = ImportedRow.objects.filter(batch=batch, made_item=True).values("item_id")
    return Item.objects.filter(pk__in=made)


def around(studio: Studio) -> Around:
    """What rows are read against; six queries."""
    people: dict[str, Person] = {}
    for member in Membership.objects.filter(studio=studio).select_related("user"):
        person = Person(member.user.pk, str(member.user))
        people[bare_letters(member.user.username)] = person
        people[bare_letters(person.name)] = person
    tubes = {number: bare_letters(name) for number, name in Tube.objects.of(studio).values_list("number", "item__name")}
    codes: dict[str, set[str]] = {}
    lines = PaintPigment.objects.filter(paint__studio=studio, paint__archived_at=None)
    for name, code in lines.values_list("paint__name", "code"):
        codes.setdefault(bare_letters(name), set()).add(code)
    held = Barcode.objects.filter(studio=studio).values_list("digits", "item__name")
    barcodes = {digits: bare_letters(name) for digits, name in held}
    known = {name: frozenset(of) for name, of in codes.items()}
    return Around(vocabulary(), typical_rows(), people, tubes, known, barcodes)


def settings_of(batch: ImportBatch) -> ImportSettings:
    return ImportSettings.of(batch.settings)


@dataclass(frozen=True)
class StateCount:
    state: str
    label: str
    count: int


def counts(batch: ImportBatch) -> dict[str, int]:
    """Rows by state, every state named; one query."""
    found = dict(batch.rows.order_by().values_list("state").annotate(Count("pk")))
    return {state: found.get(state, 0) for state in STATES_IN_ORDER}


def state_counts(batch: ImportBatch) -> list[StateCount]:
    return [StateCount(state, RowState(state).label, count) for state, count in counts(batch).items() if count]


def first_rows(batch: ImportBatch, many: int = 5) -> list[list[str]]:
    """The first rows' cells by column, for a person to see what a column holds."""
    rows = [row.cells for row in batch.rows.all()[:many]]
    return [[row[place] if place < len(row) else "" for row in rows] for place in range(len(batch.columns))]


@dataclass(frozen=True)
class ShownRow:
    """A row as a person looks at it: what was typed beside what was understood, and what is asked."""

    row: ImportRow
    typed: list[tuple[str, str]]
    understood: list[tuple[str, str]]
    questions: list[dict[str, Any]]
    remarks: list[str]
    answers: list[dict[str, str]]

    @property
    def is_open(self) -> bool:
        return self.row.state in (RowState.ERROR, RowState.DOUBT)

    @property
    def may_answer(self) -> bool:
        return any(question["options"] or question["fix"] for question in self.questions)

    @property
    def may_ask_again(self) -> bool:
        """Where answers can be forgotten, or where something else may have been put right meanwhile."""
        return self.row.state != RowState.LEFT_OUT and bool(self.answers or (self.questions and not self.may_answer))


def shown_rows(batch: ImportBatch, rows: Iterable[ImportRow]) -> list[ShownRow]:
    rows = list(rows)
    alike = _alike(batch, rows)
    return [_shown(batch, row, alike) for row in rows]


def _alike(batch: ImportBatch, rows: Iterable[ImportRow]) -> Counter[str]:
    """How many rows ask each question that these rows ask; one query."""
    keys = {doubt["key"] for row in rows for doubt in row.doubts if doubt["open"]}
    found: Counter[str] = Counter()
    if keys:
        open_rows = batch.rows.filter(state__in=[RowState.ERROR, RowState.DOUBT]).order_by()
        for doubts in open_rows.values_list("doubts", flat=True):
            found.update(doubt["key"] for doubt in doubts if doubt["open"] and doubt["key"] in keys)
    return found


def _shown(batch: ImportBatch, row: ImportRow, alike: Mapping[str, int]) -> ShownRow:
    questions = []
    for doubt in row.doubts:
        if doubt["open"] or doubt["field"] == "present":
            column = f", column “{doubt['column']}”" if doubt["column"] else ""
            where = f"Line {row.line}{column}"
            may_type = doubt["field"] in FIELD_LABELS or doubt["field"] == "shade"
            questions.append(
                {
                    **doubt,
                    "where": where,
                    "others": max(0, alike.get(doubt["key"], 1) - 1),
                    "fix": doubt["field"] if doubt["field"] in FIELD_LABELS and may_type else "",
                }
            )
    remarks = [doubt["message"] for doubt in row.doubts if not doubt["open"] and doubt["field"] != "present"]
    answers = [{"key": key, "words": answer_words(key, value)} for key, value in row.chosen.items()]
    return ShownRow(row, typed_cells(batch.columns, row.cells), understood(row.read), questions, remarks, answers)


def answer_words(key: str, value: str) -> str:
    name = key.removeprefix("fix:").partition("|")[0]
    label = FIELD_LABELS.get(name, name.capitalize())
    return f"{label}: {value or 'left unknown'}"


def typed_cells(columns: Sequence[str], cells: Sequence[str]) -> list[tuple[str, str]]:
    """Every filled cell with its heading; cells beyond the last heading are named by their place."""
    named = [*columns, *(f"Cell {place}" for place in range(len(columns) + 1, len(cells) + 1))]
    return [(heading, cell) for heading, cell in zip(named, cells, strict=False) if cell.strip()]


def understood(read: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What was made of a row, in words."""
    if "fields" not in read:
        return [(label, words) for label, words in read.get("pairs", [])]
    fields = read["fields"]
    codes = ", ".join(line[0] + (f" ({line[1]})" if line[1] else "") for line in read["lines"])
    unknown = {"asked": "asked", "unknown": "not known"}.get(fields["pigments_known"], "")
    if what := material_of(read):
        pairs = [
            ("Name", read["name"]),
            ("Kind of material", what.capitalize()),
            ("Maker", read["maker"]),
            ("Maker's code", read["maker_code"]),
            *_on_the_shelf(read),
        ]
        return [(label, words) for label, words in pairs if words]
    scale = {"astm": "ASTM ", "blue-wool": "blue wool "}.get(fields["lightfastness_scale"], "")
    pairs = [
        ("Name", read["name"]),
        ("Binder", read["binder"] if read["binder"] != "unknown" else "not known"),
        ("Pigments", ", ".join(part for part in (codes, unknown) if part)),
        ("Single pigment", {True: "yes", False: "no"}.get(read["single"], "")),
        ("Lightfastness", f"{scale}{fields['lightfastness']}" if fields["lightfastness"] else ""),
        ("Opacity", fields["opacity"] if fields["opacity"] != "unknown" else ""),
        ("Tinting strength", fields["strength"]),
        ("Maker", read["maker"]),
        ("Maker's code", read["maker_code"]),
        ("Series", read["series"]),
        ("Sold as", read.get("form", "")),
        *_on_the_shelf(read),
    ]
    return [(label, words) for label, words in pairs if words]


def material_of(read: Mapping[str, Any]) -> str:
    """The kind of material that a row is; empty for a paint."""
    what: str = read.get("what", "paint")
    return "" if what == "paint" else what


def _on_the_shelf(read: Mapping[str, Any]) -> list[tuple[str, str]]:
    return [
        ("Tubes", tube_words(read)),
        ("Place", read["place"]),
        ("Owner", {"class": "a class", "member": "a member"}.get(read["owner"][0], "")),
        ("Notes", read["notes"]),
        *_kept(read),
    ]


def _kept(read: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Rows read before there were such columns have none of it."""
    density, level = read.get("density"), read.get("level")
    words = ""
    if level:
        amount = exact(level["milli"], level["unit"]) if "milli" in level else ""
        words = level_words(tubes=level.get("tubes", 0), amount=amount, usable=level["usable"])
    return [
        ("Condition", Condition(read["condition"]).label if read.get("condition") else ""),
        ("Batch", read.get("batch", "")),
        ("Empty container", exact(read["tare"], "g") if read.get("tare") is not None else ""),
        ("Density", f"{'about ' if density[1] else ''}{density[0] / 1000:g} g/ml" if density else ""),
        ("Reorder level", words),
        ("Bar codes", ", ".join(digits for digits, _ in read.get("barcodes", []))),
    ]


def tube_words(read: Mapping[str, Any]) -> str:
    if not read.get("size"):
        return "none" if not read.get("sealed") and not read.get("open") else ""
    milli, unit = read["size"]
    parts = [f"{read['sealed']} sealed"] if read["sealed"] else []
    for left, estimated in read["open"]:
        parts.append(f"1 open with {'about ' if estimated else ''}{exact(left, unit)}")
    return f"{', '.join(parts)}; size {exact(milli, unit)}" if parts else "none"


# So many makers' codes that stand at several paints are named.
MOST_CODES = 20


@dataclass(frozen=True)
class Plan:
    """What taking a batch in would add, and what stays open."""

    errors: int
    present: int
    left_out: int
    unread: int
    paints: int = 0
    tubes: int = 0
    joined: int = 0
    places: Sequence[str] = ()
    questions: int = 0
    materials: int = 0
    colours: int = 0
    same_codes: tuple[str, ...] = ()
    """Makers' codes that several different rows have, with their lines."""

    @property
    def may_commit(self) -> bool:
        added = self.paints or self.materials or self.tubes or self.joined or self.colours
        return not self.errors and not self.unread and bool(added)


ItemKey = tuple[str, str, str, str, str]


def key_of_row(read: Mapping[str, Any]) -> ItemKey:
    """What makes a row the same paint or material as another."""
    kind = material_of(read)
    text = "" if kind else read["fields"]["pigment_text"]
    return item_key(read["name"], kind or read["binder"], read["maker"], text, read.get("form", ""))


def item_key(name: str, binder_or_kind: str, maker: str, pigment_text: str, form: str) -> ItemKey:
    """Blanks and case aside: name, binder of a paint or kind of a material, maker, pigments as typed, and the form.

    A stick of the same name is another thing than the tube: it has other hazards.
    """

    def plain(text: str) -> str:
        return " ".join(text.split()).casefold()

    return plain(name), binder_or_kind, plain(maker), plain(pigment_text), form


def item_keys(studio: Studio) -> dict[ItemKey, int]:
    """The kept paints and materials of a studio by what makes them the same; two queries."""
    materials = Material.objects.filter(studio=studio, archived_at=None).order_by("-pk")
    found = {
        item_key(name, kind, maker, "", form): pk
        for pk, name, kind, maker, form in materials.values_list("pk", "name", "material_kind", "maker", "form")
    }
    paints = Paint.objects.of(studio).kept().order_by("-pk")
    columns = ("pk", "name", "binder", "maker", "pigment_text", "form")
    for pk, name, binder, maker, text, form in paints.values_list(*columns):
        found[item_key(name, binder, maker, text, form)] = pk
    return found


def plan(batch: ImportBatch) -> Plan:
    """What would be added; five queries, whatever the number of rows."""
    by_state = counts(batch)
    states: dict[str, Any] = {
        "errors": by_state[RowState.ERROR],
        "present": by_state[RowState.PRESENT],
        "left_out": by_state[RowState.LEFT_OUT],
        "unread": by_state[RowState.UNREAD],
    }
    if batch.colour_table:
        return Plan(**states, colours=by_state[RowState.CLEAR])
    known = item_keys(batch.studio)
    present_places = {place.casefold() for place in batch.studio.places.values_list("name", flat=True)}
    new: set[ItemKey] = set()
    materials: set[ItemKey] = set()
    places: dict[str, str] = {}
    tubes = joined = 0
    by_code: dict[tuple[str, str], dict[ItemKey, int]] = {}
    rows = batch.rows.filter(state__in=[RowState.CLEAR, RowState.DOUBT]).order_by("line")
    for read, line in rows.values_list("read", "line"):
        key = key_of_row(read)
        if code := read["maker_code"]:
            by_code.setdefault((read["maker"], code), {}).setdefault(key, line)
        if key in known or key in new:
            joined += 1
        new.add(key)
        if material_of(read):
            materials.add(key)
        tubes += read["sealed"] + len(read["open"])
        if read["place"] and read["place"].casefold() not in present_places:
            places.setdefault(read["place"].casefold(), read["place"])
    several = [(code, lines.values()) for (_, code), lines in by_code.items() if len(lines) > 1]
    return Plan(
        **states,
        paints=len(new - known.keys() - materials),
        tubes=tubes,
        joined=joined,
        places=sorted(places.values()),
        questions=by_state[RowState.DOUBT],
        materials=len(materials - known.keys()),
        same_codes=tuple(f"{code} (lines {', '.join(map(str, lines))})" for code, lines in several[:MOST_CODES]),
    )


# Out

SHELF_COLUMNS = (
    "Name", "Binder", "Pigments", "Lightfastness", "Opacity", "Tinting strength", "Maker", "Maker's code", "Series",
    "Sold as", "Size of one", "How many sealed", "How many open", "Left in the open one", "Place", "Owner", "Notes",
    "Condition", "Batch", "Empty container", "Density", "Reorder level", "Bar codes", "Paint or material",
    "Tube numbers", "Answers",
)  # fmt: skip


def shelf_rows(studio: Studio, *, empty_too: bool = False, typed_too: bool = True) -> Iterator[list[str]]:
    """The shelf as a table, headings first; seven queries.

    A row for each paint or material, size, place, owner, batch, tare and condition; a second open tube gets a row of
    its own, since each has its own rest.
    `typed_too` adds the columns of the lists that paints came from, as they were typed. `empty_too` keeps paints of
    which nothing is left.
    """
    paints = Paint.objects.of(studio).kept().select_related("level")
    paints = paints.prefetch_related("readings", "barcodes").order_by("sort_name", "pk")
    materials = Material.objects.filter(studio=studio, archived_at=None).select_related("level")
    materials = materials.prefetch_related("barcodes").order_by("sort_name", "pk")
    items: list[Paint | Material] = [*paints, *materials]
    tubes: dict[int, list[Tube]] = {}
    for tube in Tube.objects.of(studio).in_use().select_related("place", "owner").order_by("number"):
        tubes.setdefault(tube.item_id, []).append(tube)
    columns = list(SHELF_COLUMNS)
    extra = [heading for item in items for heading in item.typed] if typed_too else []
    beside = {heading: f"{heading}{AS_TYPED}" for heading in dict.fromkeys(extra)}
    yield [*columns, *beside.values()]
    for item in items:
        typed = [str(item.typed.get(heading, "")) for heading in beside]
        groups = _groups(tubes.get(item.pk, []))
        if not groups and (empty_too or item.pk not in tubes):
            groups = [[]] if empty_too else []
        for group in groups:
            yield [*_label_cells(item), *_tube_cells(group, item), *typed]


def _groups(tubes: list[Tube]) -> list[list[Tube]]:
    """Tubes that fit one row: alike but for their number, with at most one open among them."""
    found: dict[tuple[Any, ...], list[Tube]] = {}
    for tube in tubes:
        alike = (
            tube.unit, tube.nominal_milli, tube.place_id, tube.owner_kind, tube.owner_id, tube.owner_class,
            tube.batch, tube.tare_milli_g, tube.condition,
        )  # fmt: skip
        group = found.setdefault((*alike, None), [])
        if tube.state == TubeState.OPEN and any(other.state == TubeState.OPEN for other in group):
            group = found.setdefault((*alike, tube.pk), [])
        group.append(tube)
    return list(found.values())


def _label_cells(paint: Paint | Material) -> list[str]:
    if isinstance(paint, Material):
        return [paint.name, "", "", "", "", "", paint.maker, paint.maker_code, "", paint.form]
    return [
        paint.name,
        "" if paint.binder == "unknown" else paint.binder,
        paint.pigment_text,
        paint.lightfastness_text,
        paint.opacity_text,
        paint.strength_text,
        paint.maker,
        paint.maker_code,
        paint.series,
        paint.form,
    ]


def _level_cell(item: Item) -> str:
    level: ReorderLevel | None = getattr(item, "level", None)
    if level is None:
        return ""
    tubes = level.level_tubes if level.basis == LevelBasis.TUBES else 0
    usable = level.counting == Counting.USABLE
    return level_words(tubes=tubes, amount=exact(level.level_milli, level.unit), usable=usable)


def _barcode_cell(item: Item) -> str:
    """Each number, with the size that it stands for where that was said."""
    return ", ".join(
        f"{code.digits} ({exact(code.nominal_milli, code.unit)})" if code.nominal_milli else code.digits
        for code in item.barcodes.all()
    )


def _answers(paint: Paint) -> str:
    """What a person answered of the label, so that it is not asked again where the table is taken in."""
    given = {reading.field: reading.chosen for reading in paint.readings.all() if reading.chosen}
    return json.dumps(given, ensure_ascii=False) if given else ""


def _tube_cells(group: list[Tube], item: Paint | Material) -> list[str]:
    what = "Paint" if isinstance(item, Paint) else item.get_material_kind_display()
    answers = _answers(item) if isinstance(item, Paint) else ""
    beside = [item.density_words, _level_cell(item), _barcode_cell(item)]
    if not group:
        return ["", "0", "0", "", "", "", item.notes, "", "", "", *beside, what, "", answers]
    first = group[0]
    opened = [tube for tube in group if tube.state == TubeState.OPEN]
    left = f"{'about ' if opened[0].balance_is_estimate else ''}{opened[0].balance}" if opened else ""
    owner = {"member": first.owner.username if first.owner else "", "class": first.owner_class}
    return [
        first.nominal,
        str(len(group) - len(opened)),
        str(len(opened)),
        left,
        first.place.name if first.place else "",
        owner.get(first.owner_kind, "Studio"),
        item.notes,
        "" if first.condition == Condition.USABLE else first.get_condition_display(),
        first.batch,
        "" if first.tare_milli_g is None else exact(first.tare_milli_g, "g"),
        *beside,
        what,
        ", ".join(str(tube.number) for tube in group),
        answers,
    ]
