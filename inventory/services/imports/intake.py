"""One list on its way in: paints, materials, places, tubes and their entries, in a bounded number of statements."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.exchange import AS_TYPED, digest
from inventory.labels.folding import search_key
from inventory.models import (
    Barcode,
    Condition,
    Counting,
    Entry,
    EntryKind,
    ImportBatch,
    ImportedRow,
    ImportRow,
    Item,
    ItemKind,
    LevelBasis,
    Material,
    OpticalRow,
    OwnerKind,
    Paint,
    PaintPigment,
    Pigment,
    Place,
    Reading,
    ReorderLevel,
    RowState,
    Tube,
    TubeState,
    Unit,
)
from inventory.queries.imports import ItemKey, item_keys, key_of_row, material_of
from inventory.services.imports.held import A_CHUNK, taken_before
from inventory.services.ledger import Deed, refuse
from studio.models import Membership, Studio, User


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
    colours: int = 0


@dataclass
class Intake:
    """One batch on its way in; inside one transaction, with the batch and the studio locked."""

    batch: ImportBatch
    studio: Studio
    by: User
    rows: list[ImportRow] = field(default_factory=list)
    by_key: dict[ItemKey, Item] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)
    # Rows that made their paint or material, and the numbers of the tubes of each row.
    makers: set[int] = field(default_factory=set)
    numbers: dict[int, list[int]] = field(default_factory=dict)
    result: TakenIn = field(default_factory=TakenIn)

    def run(self) -> None:
        marks = self._take_marks()
        paints, materials = self._items()
        places, new_places = self._places()
        tubes = self._tubes(places)
        ImportedRow.objects.bulk_create(self._brought(marks), batch_size=A_CHUNK)
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

    def _brought(self, marks: Iterable[str]) -> Iterable[ImportedRow]:
        """What each row brought, by its digest."""
        for mark, row in zip(marks, self.rows, strict=True):
            numbers = self.numbers.get(row.pk, [])
            yield ImportedRow(
                studio=self.studio,
                digest=mark,
                batch=self.batch,
                line=row.line,
                item=self.by_key[key_of_row(row.read)],
                made_item=row.pk in self.makers,
                first_number=numbers[0] if numbers else None,
                tubes=len(numbers),
            )

    def _take_marks(self) -> list[str]:
        """The digests of the rows to be taken in; rows that another batch took meanwhile are set aside."""
        rows = list(self.batch.rows.filter(state__in=[RowState.CLEAR, RowState.DOUBT]).order_by("line"))
        taken = taken_before(self.studio.pk, [row.digest for row in rows])
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
            if mark not in used and not taken_before(self.studio.pk, [mark]):
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
        Item.objects.bulk_create([item for item, _ in fresh], batch_size=A_CHUNK)
        self.makers = {row.pk for _, row in fresh}
        labels = [(_paint_of(item, row.read), row) for item, row in fresh if item.kind == ItemKind.PAINT]
        paints = [paint for paint, _ in labels]
        materials = [_material_of(item, row.read) for item, row in fresh if item.kind == ItemKind.MATERIAL]
        insert_children(paints)
        insert_children(materials)
        self._labels(labels)
        self._beside(fresh)
        if grown:
            Item.objects.bulk_update(grown.values(), ["typed"], batch_size=A_CHUNK)
        return paints, materials

    def _item(self, row: ImportRow) -> Item:
        read = row.read
        codes = [code for code, *_ in read["lines"]]
        density = read.get("density") or [None, False]
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
            density_milli=density[0],
            density_is_estimate=density[1],
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
            batch_size=A_CHUNK,
        )
        Reading.objects.bulk_create(
            (reading for paint, row in paints for reading in _readings(paint, row, self.by)), batch_size=A_CHUNK
        )

    def _beside(self, fresh: Sequence[tuple[Item, ImportRow]]) -> None:
        """Levels and bar codes of new paints and materials; a number that is taken by then stays with its holder."""
        levels = [(item, row.read["level"]) for item, row in fresh if row.read.get("level")]
        ReorderLevel.objects.bulk_create(
            (
                ReorderLevel(
                    item=item,
                    basis=LevelBasis.AMOUNT if "milli" in level else LevelBasis.TUBES,
                    level_tubes=level.get("tubes", 0),
                    level_milli=level.get("milli", 0),
                    unit=level.get("unit", Unit.ML),
                    counting=Counting.USABLE if level["usable"] else Counting.SEALED,
                    set_by=self.by,
                )
                for item, level in levels
            ),
            batch_size=A_CHUNK,
        )
        codes: dict[str, Barcode] = {}
        for item, row in fresh:
            for digits, size in row.read.get("barcodes", []):
                milli, unit = size or (None, Unit.ML)
                code = Barcode(studio=self.studio, item=item, digits=digits, nominal_milli=milli, unit=unit, by=self.by)
                codes.setdefault(digits, code)
        there = set(Barcode.objects.filter(studio=self.studio).values_list("digits", flat=True)) if codes else set()
        Barcode.objects.bulk_create((code for digits, code in codes.items() if digits not in there), batch_size=A_CHUNK)

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
        for tube, row in zip(tubes, sources, strict=True):
            self.numbers.setdefault(row.pk, []).append(tube.number)
        Tube.objects.bulk_create(tubes, batch_size=A_CHUNK)
        now = timezone.now()
        Entry.objects.bulk_create(
            (self._entry(tube, row, now) for tube, row in zip(tubes, sources, strict=True)), batch_size=A_CHUNK
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
                condition=read.get("condition") or Condition.USABLE,
                batch=read.get("batch", ""),
                tare_milli_g=read.get("tare"),
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
                rows, fields=table._meta.local_concrete_fields, batch_size=A_CHUNK
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
