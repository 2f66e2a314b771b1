"""Tables on their way in: kept as typed, read in steps, asked about, and taken in whole or not at all."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.exchange import (
    AS_TYPED,
    FIELDS,
    Around,
    ImportSettings,
    Table,
    digest,
    digests,
    guess_columns,
    read_row,
    read_table,
    read_text,
    recode,
    unit_of_heading,
)
from inventory.labels import LONGEST_LABEL, read_amount, read_fraction, scale_of_column
from inventory.labels.folding import search_key
from inventory.models import (
    BatchState,
    Binder,
    Entry,
    EntryKind,
    ImportBatch,
    ImportedRow,
    ImportRow,
    Item,
    ItemKind,
    LightfastnessScale,
    Material,
    OpticalRow,
    OwnerKind,
    Paint,
    PaintPigment,
    Pigment,
    Place,
    Reading,
    RowState,
    Tube,
    TubeState,
    Unit,
)
from inventory.queries.imports import ItemKey, around, item_keys, key_of_row, material_of, settings_of
from inventory.services.ledger import Deed, refuse
from inventory.services.swatches import refresh_swatches
from studio.models import Membership, Studio, User

A_STEP = 1000  # rows read between two looks at the progress
_A_CHUNK = 500
_SEVERAL = {one.key for one in FIELDS if one.several}
_FIELD_KEYS = {one.key for one in FIELDS}


# Begin


def begin(studio: Studio, *, by: User, data: bytes, file_name: str, encoding: str = "") -> ImportBatch:
    """Keep a file's rows as typed; FileRefusedError says why a file is no table."""
    name = file_name if len(file_name) <= 200 else f"{file_name[:150]}…{file_name[-40:]}"
    return _keep(studio, by, name, read_table(data, name, encoding=encoding))


def begin_pasted(studio: Studio, *, by: User, text: str) -> ImportBatch:
    return _keep(studio, by, "Pasted text", read_text(text, "The pasted text"))


def _keep(studio: Studio, by: User, name: str, table: Table) -> ImportBatch:
    cells = [row.cells for row in table.rows]
    batch = ImportBatch(
        studio=studio,
        by=by,
        file_name=name,
        encoding=table.encoding,
        delimiter=table.delimiter,
        decimal_comma=bool(table.decimal_comma),
        columns=list(table.columns),
        mapping=guess_columns(table.columns, cells),
        skipped=[{"line": one.line, "text": one.text, "why": one.why} for one in table.skipped],
    )
    batch.settings = {
        **_guessed_settings(batch, table).as_json(),
        "letters": [[choice.encoding, choice.label, choice.sample] for choice in table.letters],
        "blank_lines": table.blank_lines,
    }
    marks = digests(table.columns, cells)
    with transaction.atomic():
        batch.save()
        ImportRow.objects.bulk_create(
            (
                ImportRow(batch=batch, line=row.line, cells=list(row.cells), digest=mark)
                for row, mark in zip(table.rows, marks, strict=True)
            ),
            batch_size=_A_CHUNK,
        )
    return batch


def _guessed_settings(batch: ImportBatch, table: Table) -> ImportSettings:
    by_field = {key: int(place) for place, key in reversed(batch.mapping.items())}
    scale = unit = ""
    if (place := by_field.get("lightfastness")) is not None:
        cells = (row.cells[place] for row in table.rows[:2000])
        scale = str(scale_of_column(cells, table.columns[place]) or "")
    if (place := by_field.get("size")) is not None:
        unit = unit_of_heading(table.columns[place])
    decimals = {True: "comma", False: "point", None: ""}[table.decimal_comma]
    return ImportSettings(unit=unit, decimals=decimals, lightfastness_scale=scale if scale != "maker" else "")


# Columns


def _hold(batch: ImportBatch, *states: str) -> ImportBatch:
    """The batch, locked until the transaction ends; refused when it is not in one of these states any more."""
    held = ImportBatch.objects.select_for_update().get(pk=batch.pk)
    if held.state not in states:
        raise refuse("batch", f"{held} is {held.get_state_display().lower()}, so this is not done.")
    return held


_UNFINISHED = (BatchState.MAPPING, BatchState.READING, BatchState.READY)


def set_columns(
    batch: ImportBatch, mapping: Mapping[str, str], settings: ImportSettings, *, encoding: str = ""
) -> ImportBatch:
    """Say what the columns hold; every row is then read anew, with the answers that were given."""
    named = {place: key for place, key in mapping.items() if key}
    _check_mapping(batch, named)
    _check_settings(settings)
    with transaction.atomic():
        held = _hold(batch, *_UNFINISHED)
        if encoding and encoding != held.encoding:
            _recode(held, encoding)
        held.mapping = named
        kept = {key: value for key, value in held.settings.items() if key in ("letters", "blank_lines")}
        held.settings = {**kept, **settings.as_json()}
        held.decimal_comma = bool(settings.decimal_comma)
        held.state = BatchState.READING
        held.save()
        held.rows.exclude(state=RowState.LEFT_OUT).update(state=RowState.UNREAD, read={}, doubts=[])
    return held


def _check_mapping(batch: ImportBatch, mapping: Mapping[str, str]) -> None:
    errors: list[ValidationError] = []
    for place, key in mapping.items():
        if not place.isdigit() or int(place) >= len(batch.columns) or key not in _FIELD_KEYS:
            errors.append(ValidationError(f"There is no column {place} or no field “{key}”: choose from the lists."))
    for key in sorted(set(mapping.values()) - _SEVERAL):
        places = [int(place) for place, other in mapping.items() if other == key and place.isdigit()]
        if len(places) > 1:
            label = next((one.label for one in FIELDS if one.key == key), key)
            names = " and ".join(f"“{batch.columns[place]}”" for place in places[:4] if place < len(batch.columns))
            errors.append(ValidationError(f"{names} are both “{label}”: choose one, and keep the other as typed."))
    if "name" not in mapping.values():
        errors.append(ValidationError("No column is the name of the paint. Choose “Name” for one of them."))
    if errors:
        raise ValidationError({"mapping": errors})


def _check_settings(settings: ImportSettings) -> None:
    errors: dict[str, str] = {}
    if settings.binder and settings.binder not in Binder.values:
        errors["binder"] = f"“{settings.binder}” is no binder: choose one from the list."
    if settings.size:
        amount = read_amount(settings.size, unit=settings.unit, decimal_comma=settings.decimal_comma)
        if not amount.milli:
            said = amount.doubts[0].message if amount.doubts else "It must be above 0."
            errors["size"] = f"“{settings.size}” is no size such as 37 ml. {said}"
    if settings.unit and settings.unit not in Unit.values:
        errors["unit"] = f"“{settings.unit}” is no unit: choose ml or g."
    if settings.lightfastness_scale and settings.lightfastness_scale not in LightfastnessScale.values:
        errors["lightfastness_scale"] = f"“{settings.lightfastness_scale}” is no scale: choose one from the list."
    if settings.decimals not in ("", "comma", "point"):
        errors["decimals"] = "Choose the comma, the point, or to be asked."
    if settings.without_count not in ("sealed", "open", "none"):
        errors["without_count"] = "Choose what a row without a count stands for."
    if read_fraction(settings.open_left).thousandths is None:
        errors["open_left"] = f"“{settings.open_left}” is no part of a tube: write one such as 1/2 or full."
    if errors:
        raise ValidationError({name: [message] for name, message in errors.items()})


def _recode(batch: ImportBatch, encoding: str) -> None:
    """Read the kept texts by another table of letters; only one of those that were offered."""
    if encoding not in {choice[0] for choice in batch.settings.get("letters", [])}:
        raise ValidationError({"encoding": [f"“{encoding}” was not offered for this file: choose from the list."]})
    try:
        batch.columns = [recode(heading, batch.encoding, encoding) for heading in batch.columns]
        batch.skipped = [{**one, "text": recode(one["text"], batch.encoding, encoding)} for one in batch.skipped]
        rows = list(batch.rows.all())
        for row in rows:
            row.cells = [recode(cell, batch.encoding, encoding) for cell in row.cells]
    except ValueError as error:
        raise ValidationError({"encoding": [str(error)]}) from error
    for row, mark in zip(rows, digests(batch.columns, [row.cells for row in rows]), strict=True):
        row.digest = mark
    _update(rows, ["cells", "digest"])
    if encoding != "mended":
        batch.encoding = encoding


def _update(rows: list[ImportRow], names: list[str]) -> None:
    """Write some fields of many rows: an upsert is several times faster than a CASE for each field."""
    ImportRow.objects.bulk_create(
        rows, batch_size=_A_CHUNK, update_conflicts=True, update_fields=names, unique_fields=["pk"]
    )


# Read


@dataclass(frozen=True)
class Progress:
    done: int
    total: int

    @property
    def finished(self) -> bool:
        return self.done >= self.total


def progress(batch: ImportBatch) -> Progress:
    total = batch.rows.count()
    return Progress(total - batch.rows.filter(state=RowState.UNREAD).count(), total)


def read_some(batch: ImportBatch, *, limit: int = A_STEP) -> Progress:
    """Read the next rows; call it until it is finished. It may be left and taken up again at any time."""
    rows = list(batch.rows.filter(state=RowState.UNREAD)[:limit])
    _read(batch, rows, around(batch.studio))
    with transaction.atomic():
        held = _hold(batch, *_UNFINISHED)
        if held.settings != batch.settings or held.mapping != batch.mapping:
            return progress(held)  # the columns were named anew meanwhile: what was read here does not count
        _update(rows, ["read", "doubts", "state"])
        now = progress(held)
        if now.finished and held.state == BatchState.READING:
            ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.READY)
    batch.refresh_from_db()
    return now


def _read(batch: ImportBatch, rows: Iterable[ImportRow], beside: Around) -> None:
    rows = list(rows)
    settings = settings_of(batch)
    taken = _taken(batch.studio_id, [row.digest for row in rows])
    for row in rows:
        found = read_row(
            batch.columns,
            row.cells,
            batch.mapping,
            settings,
            beside,
            chosen=row.chosen,
            present=row.digest in taken,
        )
        row.read, row.doubts, row.state = found.read, found.doubts, found.state


def _taken(studio_id: int, marks: list[str]) -> set[str]:
    """Which of these digests were taken in before."""
    found: set[str] = set()
    for start in range(0, len(marks), _A_CHUNK):
        rows = ImportedRow.objects.filter(studio_id=studio_id, digest__in=marks[start : start + _A_CHUNK])
        found.update(rows.values_list("digest", flat=True))
    return found


# Answer


@transaction.atomic
def choose(row: ImportRow, *, key: str, value: str, alike: bool = False, typed: bool = False) -> int:
    """Record the person's answer and read the row again; return how many rows were answered.

    `key` is the question's. `typed` says that `value` stands for the cell that the question is about. With `alike` the
    answer holds for every row of the file that asks the same.
    """
    batch = _hold(row.batch, BatchState.READY)
    row = batch.rows.get(pk=row.pk)
    question = next((one for one in row.doubts if one["key"] == key), None)
    if question is None:
        raise refuse("answer", f"Line {row.line} does not ask this any more: look at the row again.")
    _check_answer(question, value, typed=typed)
    rows = [row]
    if alike:
        asking = batch.rows.filter(state__in=[RowState.DOUBT, RowState.ERROR]).exclude(pk=row.pk)
        rows += [other for other in asking if any(one["key"] == key and one["open"] for one in other.doubts)]
    for one in rows:
        if typed:
            name = question["field"]
            one.chosen = {kept: said for kept, said in one.chosen.items() if not kept.startswith(f"{name}|")}
            one.chosen[f"fix:{name}"] = value
        else:
            one.chosen[key] = value
    _read(batch, rows, around(batch.studio))
    _update(rows, ["chosen", "read", "doubts", "state"])
    return len(rows)


def _check_answer(question: Mapping[str, Any], value: str, *, typed: bool) -> None:
    where = f"column “{question['column']}”" if question["column"] else question["label"].lower()
    if typed:
        if question["field"] not in _FIELD_KEYS:
            raise refuse("answer", f"For {where}, choose one of the answers.")
        if len(value) > LONGEST_LABEL:
            raise refuse("answer", f"For {where}, {len(value)} characters are too many: type at most {LONGEST_LABEL}.")
        if "\x00" in value:
            raise refuse("answer", f"For {where}, the text holds a character that no keyboard types: type it again.")
        return
    if value not in {option["value"] for option in question["options"]}:
        raise refuse("answer", f"“{value[:60]}” is none of the answers for {where}: choose one of them.")


@transaction.atomic
def ask_again(row: ImportRow) -> None:
    """Forget the answers for a row and read it as typed; also brings back a row that was left out."""
    batch = _hold(row.batch, BatchState.READY)
    row = batch.rows.get(pk=row.pk)
    row.chosen = {}
    _read(batch, [row], around(batch.studio))
    _update([row], ["chosen", "read", "doubts", "state"])


@transaction.atomic
def leave_out(row: ImportRow) -> None:
    batch = _hold(row.batch, BatchState.READY)
    batch.rows.filter(pk=row.pk).update(state=RowState.LEFT_OUT)


@transaction.atomic
def leave_out_errors(batch: ImportBatch) -> int:
    """Leave out every row that cannot be taken in; each can be brought back."""
    held = _hold(batch, BatchState.READY)
    return held.rows.filter(state=RowState.ERROR).update(state=RowState.LEFT_OUT)


@transaction.atomic
def drop(batch: ImportBatch) -> None:
    """Give a file up before it was taken in; its rows stay to be looked at."""
    held = _hold(batch, *_UNFINISHED)
    ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.DROPPED)


@transaction.atomic
def take_up(batch: ImportBatch) -> None:
    """Take a dropped file up again, from its columns."""
    held = _hold(batch, BatchState.DROPPED)
    ImportBatch.objects.filter(pk=held.pk).update(state=BatchState.MAPPING)


# Commit


@dataclass(frozen=True)
class TakenIn:
    """What a batch added."""

    paints: int = 0
    tubes: int = 0
    joined: int = 0
    places: int = 0
    questions: int = 0
    present: int = 0
    left_out: int = 0
    first_number: int = 0
    last_number: int = 0
    materials: int = 0


def taken_in(batch: ImportBatch) -> TakenIn:
    return TakenIn(**batch.settings.get("result", {}))


def commit(batch: ImportBatch, *, by: User) -> TakenIn:
    """Take every row in, or none. Sent twice, it is done once and says the same."""
    result, made = _commit(batch, by)
    for start in range(0, len(made), A_STEP):  # what the paints are drawn with; no part of the books
        refresh_swatches(Paint.objects.filter(pk__in=made[start : start + A_STEP]))
    batch.refresh_from_db()
    return result


@transaction.atomic
def _commit(batch: ImportBatch, by: User) -> tuple[TakenIn, list[int]]:
    held = ImportBatch.objects.select_for_update().get(pk=batch.pk)
    if held.state == BatchState.COMMITTED:
        return taken_in(held), []
    _check_ready(held)
    # Two files with the same rows wait for each other here, so that the second sees what the first took in.
    studio = Studio.objects.select_for_update().get(pk=held.studio_id)
    intake = _Intake(held, studio, by)
    intake.run()
    result = intake.result
    held.settings = {**held.settings, "result": vars(result)}
    held.state = BatchState.COMMITTED
    held.committed_at = timezone.now()
    held.save()
    return result, intake.made


def _check_ready(batch: ImportBatch) -> None:
    if batch.state != BatchState.READY:
        raise refuse("batch", f"{batch} is {batch.get_state_display().lower()}: only a file that was read is taken in.")
    wrong = list(batch.rows.filter(state=RowState.ERROR).values_list("line", flat=True)[:6])
    if wrong:
        lines = ", ".join(str(line) for line in wrong[:5]) + (" and more" if len(wrong) > 5 else "")
        raise refuse(
            "batch", f"Nothing was taken in: correct or leave out the rows that cannot be read (line {lines})."
        )
    if not batch.rows.filter(state__in=[RowState.CLEAR, RowState.DOUBT]).exists():
        raise refuse("batch", "There is nothing to take in: every row is already there or left out.")


@dataclass
class _Intake:
    """One batch on its way in; inside one transaction, with the batch and the studio locked."""

    batch: ImportBatch
    studio: Studio
    by: User
    rows: list[ImportRow] = field(default_factory=list)
    by_key: dict[ItemKey, Item] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)
    result: TakenIn = field(default_factory=TakenIn)

    def run(self) -> None:
        marks = self._take_marks()
        paints, materials = self._items()
        places, new_places = self._places()
        tubes = self._tubes(places)
        ImportedRow.objects.bulk_create(
            (ImportedRow(studio=self.studio, digest=mark) for mark in marks), batch_size=_A_CHUNK
        )
        self.made = [paint.pk for paint in paints]
        self.result = TakenIn(
            paints=len(paints),
            tubes=len(tubes),
            joined=len(self.rows) - len(paints) - len(materials),
            places=new_places,
            questions=sum(1 for row in self.rows if row.state == RowState.DOUBT),
            present=self.batch.rows.filter(state=RowState.PRESENT).count(),
            left_out=self.batch.rows.filter(state=RowState.LEFT_OUT).count(),
            first_number=tubes[0].number if tubes else 0,
            last_number=tubes[-1].number if tubes else 0,
            materials=len(materials),
        )

    def _take_marks(self) -> list[str]:
        """The digests of the rows to be taken in; rows that another batch took meanwhile are set aside."""
        rows = list(self.batch.rows.filter(state__in=[RowState.CLEAR, RowState.DOUBT]).order_by("line"))
        taken = _taken(self.studio.pk, [row.digest for row in rows])
        marks: list[str] = []
        meanwhile: list[ImportRow] = []
        for row in rows:
            if row.digest not in taken:
                marks.append(row.digest)
            elif row.chosen.get("present|again:") == "again":
                marks.append(self._further_mark(row, {*taken, *marks}))
            else:
                meanwhile.append(row)
                continue
            self.rows.append(row)
        if meanwhile:
            self.batch.rows.filter(pk__in=[row.pk for row in meanwhile]).update(state=RowState.PRESENT)
        return marks

    def _further_mark(self, row: ImportRow, used: set[str]) -> str:
        """The digest of one more occurrence of a row that was taken in before and is wanted once more."""
        occurrence = 2
        while True:
            mark = digest(self.batch.columns, row.cells, occurrence)
            if mark not in used and not _taken(self.studio.pk, [mark]):
                return mark
            occurrence += 1

    def _typed(self, row: ImportRow) -> dict[str, str]:
        """Every filled cell by its heading, also those beyond the last one."""
        columns = [heading.removesuffix(AS_TYPED) for heading in self.batch.columns]
        columns += [f"Cell {place}" for place in range(len(columns) + 1, len(row.cells) + 1)]
        typed: dict[str, str] = {}
        for heading, cell in zip(columns, row.cells, strict=False):
            if cell:
                typed.setdefault(heading, cell)
        return typed

    def _items(self) -> tuple[list[Paint], list[Material]]:
        """Create paints and materials that are new; a row of one that is there adds what was typed differently."""
        known = item_keys(self.studio)
        keys = [key_of_row(row.read) for row in self.rows]
        present = Item.objects.in_bulk({known[key] for key in keys if key in known})
        self.by_key = {key: present[known[key]] for key in keys if key in known}
        fresh: list[tuple[Item, ImportRow]] = []
        grown: dict[int, Item] = {}
        for key, row in zip(keys, self.rows, strict=True):
            item = self.by_key.get(key)
            if item is None:
                item = self.by_key[key] = self._item(row)
                fresh.append((item, row))
            elif _add_typed(item, self._typed(row), f"line {row.line} of {self.batch.file_name}") and item.pk:
                grown[item.pk] = item
        Item.objects.bulk_create([item for item, _ in fresh], batch_size=_A_CHUNK)
        labels = [(_paint_of(item, row.read), row) for item, row in fresh if item.kind == ItemKind.PAINT]
        paints = [paint for paint, _ in labels]
        materials = [_material_of(item, row.read) for item, row in fresh if item.kind == ItemKind.MATERIAL]
        insert_children(paints)
        insert_children(materials)
        self._labels(labels)
        if grown:
            Item.objects.bulk_update(grown.values(), ["typed"], batch_size=_A_CHUNK)
        return paints, materials

    def _item(self, row: ImportRow) -> Item:
        read = row.read
        codes = [code for code, *_ in read["lines"]]
        words = [read["name"], read["maker"], read["maker_code"], *codes, read["fields"]["pigment_text"]]
        return Item(
            studio=self.studio,
            kind=ItemKind.MATERIAL if material_of(read) else ItemKind.PAINT,
            name=read["name"],
            sort_name=search_key(read["name"])[:160],
            search=search_key(" ".join(words))[:600],
            maker=read["maker"],
            maker_code=read["maker_code"],
            notes=read["notes"],
            form=read.get("form", ""),  # rows read before there was such a column have none
            typed=self._typed(row),
            created_at=timezone.now(),
        )

    def _labels(self, paints: list[tuple[Paint, ImportRow]]) -> None:
        """The pigment lines and readings of new paints, as they were read and answered."""
        pigments = {pigment.ci_name: pigment for pigment in Pigment.objects.only("pk", "ci_name")}
        shades = {(row.pigment.ci_name, row.name): row for row in OpticalRow.objects.select_related("pigment")}
        PaintPigment.objects.bulk_create(
            (
                PaintPigment(
                    paint=paint,
                    position=position,
                    code=code,
                    pigment=pigments.get(code),
                    shade=shades.get((code, shade)),
                    as_typed=as_typed,
                    note=note,
                )
                for paint, row in paints
                for position, (code, shade, as_typed, note) in enumerate(row.read["lines"], 1)
            ),
            batch_size=_A_CHUNK,
        )
        Reading.objects.bulk_create(
            (reading for paint, row in paints for reading in _readings(paint, row, self.by)), batch_size=_A_CHUNK
        )

    def _places(self) -> tuple[dict[str, Place], int]:
        """Places by their name, whatever its case; those that are missing are created."""
        wanted: dict[str, str] = {}
        for row in self.rows:
            if row.read["place"]:
                wanted.setdefault(row.read["place"].casefold(), row.read["place"])
        places = {place.name.casefold(): place for place in Place.objects.filter(studio=self.studio)}
        new = [Place(studio=self.studio, name=name) for key, name in wanted.items() if key not in places]
        places.update({place.name.casefold(): place for place in Place.objects.bulk_create(new)})
        return places, len(new)

    def _tubes(self, places: Mapping[str, Place]) -> list[Tube]:
        """The tubes and an entry for each: the stored balance is what its one entry brought."""
        people = {member.user_id: member.user for member in self._members()}
        tubes: list[Tube] = []
        sources: list[ImportRow] = []
        for row in self.rows:
            for tube in self._of_row(row, places, people):
                tubes.append(tube)
                sources.append(row)
        for tube, number in zip(tubes, self.studio.take_tube_numbers(len(tubes)), strict=True):
            tube.number = number
        Tube.objects.bulk_create(tubes, batch_size=_A_CHUNK)
        now = timezone.now()
        Entry.objects.bulk_create(
            (self._entry(tube, row, now) for tube, row in zip(tubes, sources, strict=True)), batch_size=_A_CHUNK
        )
        return tubes

    def _members(self) -> Iterable[Membership]:
        return Membership.objects.filter(studio=self.studio).select_related("user")

    def _of_row(self, row: ImportRow, places: Mapping[str, Place], people: Mapping[int, User]) -> Iterable[Tube]:
        read = row.read
        if not read.get("size"):
            return
        nominal, unit = read["size"]
        item = self.by_key[key_of_row(read)]
        owner = _owner(row, people)
        note = f"Maker's code {read['maker_code']}" if read["maker_code"] not in ("", item.maker_code) else ""
        held = [(TubeState.SEALED, nominal, False)] * read["sealed"]
        held += [(TubeState.OPEN, left, estimated) for left, estimated in read["open"]]
        for state, left, estimated in held:
            yield Tube(
                studio=self.studio,
                item=item,
                unit=unit,
                nominal_milli=nominal,
                balance_milli=left,
                balance_is_estimate=estimated,
                state=state,
                place=places.get(read["place"].casefold()),
                note=note,
                **owner,
            )

    def _entry(self, tube: Tube, row: ImportRow, now: Any) -> Entry:
        note = f"Line {row.line} of {self.batch.file_name}"[:300]
        deed = Deed(EntryKind.RECEIVED, self.by, note=note, at=now, is_estimate=tube.balance_is_estimate)
        entry = deed.entry(tube, change_milli=tube.balance_milli)
        entry.place_before_id = None
        return entry


def insert_children(rows: Sequence[Paint] | Sequence[Material]) -> None:
    """Write the rows of a child table whose parents exist already: bulk_create refuses models with a parent table."""
    if rows:
        table = type(rows[0])
        with transaction.atomic():
            table._base_manager.all()._batched_insert(  # type: ignore[union-attr]  # Django's own, untyped
                rows, fields=table._meta.local_concrete_fields, batch_size=_A_CHUNK
            )


def _material_of(item: Item, read: Mapping[str, Any]) -> Material:
    return Material(
        item_ptr_id=item.pk,
        studio_id=item.studio_id,
        kind=item.kind,
        name=item.name,
        material_kind=material_of(read),
    )


def _paint_of(item: Item, read: Mapping[str, Any]) -> Paint:
    return Paint(
        item_ptr_id=item.pk,
        studio_id=item.studio_id,
        kind=item.kind,
        name=item.name,
        binder=read["binder"],
        series=read["series"],
        **read["fields"],
    )


def _readings(paint: Paint, row: ImportRow, by: User) -> Iterable[Reading]:
    now = timezone.now()
    kept = ("code", "severity", "message", "value", "options")
    for name, text, read, chosen, settled in row.read["readings"]:
        doubts = [
            {**{part: doubt[part] for part in kept}, "key": doubt["key"].partition("|")[2]}
            for doubt in row.doubts
            if doubt["field"] == name
        ]
        yield Reading(
            paint=paint, field=name, text=text, read=read, doubts=doubts, chosen=chosen, settled=settled, by=by, at=now
        )


def _add_typed(item: Item, typed: Mapping[str, str], where: str) -> bool:
    """Keep beside a paint what a further row of it typed differently; True if there was something."""
    added = False
    for heading, cell in typed.items():
        if item.typed.get(heading) != cell:
            item.typed[heading if heading not in item.typed else f"{heading}, {where}"] = cell
            added = True
    return added


def _owner(row: ImportRow, people: Mapping[int, User]) -> dict[str, Any]:
    kind, *who = row.read["owner"]
    if kind == "class":
        return {"owner_kind": OwnerKind.CLASS, "owner_class": who[0]}
    if kind == "member":
        if who[0] not in people:
            raise refuse("batch", f"Nothing was taken in: the owner in line {row.line} has left the studio. Ask again.")
        return {"owner_kind": OwnerKind.MEMBER, "owner": people[who[0]]}
    return {"owner_kind": OwnerKind.STUDIO}
