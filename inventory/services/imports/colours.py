"""Our own tables of colours brought back: each row is tried out with all its checks, and all come in or none."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from inventory.colour.samples import DoubtKind
from inventory.exchange.binders import read_binder
from inventory.exchange.colour_tables import MEASUREMENTS, CellError, ColourRow, our_headings
from inventory.exchange.row import answer_key, kept_doubt
from inventory.labels import Doubt, Option, Severity
from inventory.labels.folding import bare_letters
from inventory.models import (
    Exposure,
    ImportBatch,
    ImportedRow,
    ImportRow,
    LightReading,
    LightTest,
    Measurement,
    Paint,
    RowState,
    SpecularMode,
    Swatch,
    Way,
)
from inventory.services import colours, lasting
from inventory.services.colours import CONFIRM, EXCHANGE, Beside, Known
from inventory.services.imports.held import A_CHUNK, taken_before
from inventory.services.ledger import refuse
from studio.models import User

# Under which heading the person finds what a service refuses.
_HEADINGS = {
    "paint": "Paint", "kind": "Swatch", "way": "Given as", "text": "As typed", "notation": "Notation",
    "illuminant": "Illuminant", "observer": "Observer", "white": "White", "film_um": "Wet film as typed",
    "film_white": "L* of white in the same film", "confirmed": "Confirmed", "exchange": "Swatch", "on": "Day",
    "started_on": "First day", "exposure": "Exposure told in", "amount": "Exposure", "note": "Note",
}  # fmt: skip
_SD = "Standard deviation of each"
# Digits of an exposure; a longer number is a slip.
LONGEST_AMOUNT = 9
YES = "yes"
# The field that answers each question, and what its answer says.
_ANSWERS = {CONFIRM: ("confirmed", "It is so"), EXCHANGE: ("exchange", "They were exchanged: put each in its place")}


@dataclass
class ColourIntake:
    """One such table on its way in; inside a transaction of its caller."""

    batch: ImportBatch
    by: User
    paints: dict[str, list[Paint]] = field(default_factory=dict)
    begun: dict[tuple[Any, ...], LightTest] = field(default_factory=dict)
    known: Known = field(default_factory=Known)
    # What each row brought: the measurement, the test or the reading, unless it was there.
    made: dict[str, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.table = self.batch.colour_table
        self.headings = our_headings(self.table, self.batch.columns)
        for paint in Paint.objects.of(self.batch.studio).kept().order_by("pk"):
            self.paints.setdefault(bare_letters(paint.name), []).append(paint)

    def look_up(self, rows: Iterable[ImportRow]) -> None:
        """Read what the checks of these rows need, all at once."""
        if self.table == MEASUREMENTS:
            named = [self.cells(row)[column] for row in rows for column in ("Paint", "White")]
            names = {bare_letters(name) for name in named}
            self.known.read(paint for name in names for paint in self.paints.get(name, ()))

    def cells(self, row: ImportRow) -> ColourRow:
        return ColourRow.of(self.headings, row.cells)

    def take(self, row: ImportRow) -> tuple[Paint, bool]:
        """Take a row in; return its paint and whether it was there already. ValidationError, CellError say why not."""
        cells = self.cells(row)
        paint = self._paint(cells)
        if self.table == MEASUREMENTS:
            return paint, self._measurement(cells, paint, row.chosen)
        return paint, self._window_row(cells, paint)

    def _paint(self, cells: ColourRow) -> Paint:
        name = cells["Paint"]
        if not name:
            raise CellError("Paint", "There is no name of a paint: fill it in.")
        found = self.paints.get(bare_letters(name), [])
        if not found:
            remedy = "Bring the shelf in first, or correct the name, then ask again."
            raise CellError("Paint", f"There is no paint “{name[:60]}” on the lists. {remedy}")
        for column, of in _PARTS.items():
            given = of(cells[column])
            if given:
                alike = [one for one in found if of(_part(one, column)) == given]
                if not alike:
                    have = ", ".join(sorted({_part(one, column) or "none" for one in found}))
                    raise CellError(column, f"“{name[:60]}” is on the lists with {have}, not “{cells[column][:40]}”.")
                found = alike
        exact = [
            one for one in found if all(of(cells[column]) == of(_part(one, column)) for column, of in _PARTS.items())
        ]
        found = exact or found
        if len(found) > 1:
            raise CellError(
                "Paint", f"{len(found)} paints are called “{name[:60]}”: add binder, maker or maker's code."
            )
        return found[0]

    def _white(self, cells: ColourRow, paint: Paint) -> Paint | None:
        name = cells["White"]
        if not name:
            return None
        found = self.paints.get(bare_letters(name), [])
        found = [one for one in found if one.binder == paint.binder] or found
        if len(found) != 1:
            many = "no paint" if not found else f"{len(found)} paints"
            raise CellError("White", f"There is {many} “{name[:60]}” on the lists: name the one white of the tint.")
        return found[0]

    def _measurement(self, cells: ColourRow, paint: Paint, chosen: Mapping[str, str]) -> bool:
        """Keep a colour unless it is there; return whether it was."""
        said = {name for code, (name, _) in _ANSWERS.items() if chosen.get(answer_key(name, _asked(code))) == YES}
        confirmed = [part.strip() for part in cells["Confirmed"].split(",")]
        beside = Beside(
            _choice(cells, "Swatch", Swatch),
            self._white(cells, paint),
            film_white=cells["L* of white in the same film"],
            note=cells["Note"],
            confirmed=[*confirmed, *(list(DoubtKind) if "confirmed" in said else [])],
            exchange="exchange" in said,
            film_um=cells["Wet film as typed"],
        )
        one = _measured(cells)
        if cells["By"] or cells["On"]:
            words = " ".join(part for part in ("by", cells["By"], "on", cells["On"]) if part)
            one.remarks = [*one.remarks, f"Brought back from {self.batch.file_name}; given first {words}."[:300]]
        withdrawn_at = _moment(cells, "Withdrawn on")
        kept = colours.keep_again(
            paint, by=self.by, beside=beside, measurement=one, withdrawn_at=withdrawn_at, known=self.known
        )
        return self._brought("measurements", kept.pk, there=kept is not one)

    def _window_row(self, cells: ColourRow, paint: Paint) -> bool:
        """Begin a window test, or look at one once more, unless that was done; return whether it was."""
        first = cells.day("First day")
        on = cells.day("Day") or first
        if first is None or on is None:
            raise CellError("First day", "Enter the day on which the test began, such as 2026-03-31.")
        key = (paint.pk, cells["Swatch"], first)
        given = {name.lower(): cells[name] for name in ("Illuminant", "Observer")}
        if not cells["Exposure told in"]:
            return self._window_test(cells, paint, key, given)
        there = LightTest.objects.filter(paint=paint, swatch=cells["Swatch"], started_on=first).order_by("pk")
        test = self.begun.get(key) or there.first()
        if test is None:
            raise CellError("First day", f"No window test of {paint} began on that day: give its first row before.")
        amount = cells["Exposure"]
        if not amount.isdecimal() or len(amount) > LONGEST_AMOUNT:
            raise CellError("Exposure", f"“{amount[:40]}” is no whole number of hours or of a blue wool: correct it.")
        exposure = _choice(cells, "Exposure told in", Exposure)
        same = test.readings.filter(on=on, exposure=exposure, amount=int(amount), given__text=cells["As typed"])
        if found := same.first():
            return self._brought("readings", found.pk, there=True)
        look: dict[str, Any] = {
            "on": on,
            "text": cells["As typed"],
            "exposure": exposure,
            "amount": int(amount),
            **given,
        }
        withdrawn = _moment(cells, "Withdrawn on")
        if withdrawn is None and test.withdrawn_at is None:
            made = lasting.add_reading(test, by=self.by, **look)
        else:
            made = lasting.keep_out_of_course(test, by=self.by, withdrawn_at=withdrawn, **look)
        return self._brought("readings", made.pk, there=False)

    def _window_test(self, cells: ColourRow, paint: Paint, key: tuple[Any, ...], given: dict[str, str]) -> bool:
        same = LightTest.objects.filter(paint=paint, swatch=cells["Swatch"], started_on=key[-1])
        if found := same.filter(given__text=cells["As typed"]).first():
            self.begun[key] = found
            return self._brought("tests", found.pk, there=True)
        test = lasting.start_test(
            self.batch.studio,
            paint=paint,
            by=self.by,
            started_on=key[-1],
            text=cells["As typed"],
            swatch=cells["Swatch"],
            note=cells["Note"],
            **given,
        )
        test.ended_on, test.withdrawn_at = cells.day("Ended on"), _moment(cells, "Withdrawn on")
        test.full_clean(exclude=["paint", "by"])
        test.save()
        self.begun[key] = test
        return self._brought("tests", test.pk, there=False)

    def _brought(self, what: str, pk: int, *, there: bool) -> bool:
        if not there:
            self.made.setdefault(what, []).append(pk)
        return there


# What tells paints of one name apart, each as it is compared.
_PARTS: dict[str, Callable[[str], str]] = {
    "Binder": lambda text: read_binder(text) or bare_letters(text),
    "Maker": bare_letters,
    "Maker's code": bare_letters,
}


def _part(paint: Paint, column: str) -> str:
    if column == "Binder":
        return "" if paint.binder == "unknown" else paint.binder
    return paint.maker if column == "Maker" else paint.maker_code


def _choice(cells: ColourRow, column: str, choices: Any, otherwise: str = "") -> str:
    """The value that a cell names by its value or its label."""
    text = cells[column] or otherwise
    for value, label in choices.choices:
        if bare_letters(text) in (bare_letters(value), bare_letters(label)):
            return str(value)
    labels = ", ".join(str(label) for label in choices.labels)
    raise CellError(column, f"“{text[:40]}” is none of {labels}: write one of them.")


def _moment(cells: ColourRow, column: str) -> datetime | None:
    day = cells.day(column)
    return None if day is None else timezone.make_aware(datetime.combine(day, time(12)))


def _measured(cells: ColourRow) -> Measurement:
    way = _choice(cells, "Given as", Way, Way.TYPED)
    spectrum = cells.reflectance()
    if way == Way.SPECTRUM or spectrum:
        if not spectrum:
            raise CellError("Reflectance at 400 nm", "A spectrum has 31 values from 400 to 700 nm: fill them in.")
        return colours.of_reflectance(
            cells["As typed"],
            spectrum,
            illuminant=cells["Illuminant"][:60] or "unknown",
            specular=_choice(cells, "Specular component", SpecularMode, SpecularMode.UNKNOWN),
            geometry=cells["Geometry"][:60] or "unknown",
            backing=cells["Backing"][:60] or "unknown",
        )
    if way == Way.PHOTO:
        sd = cells.number(_SD)
        if not 0.01 <= sd <= 100:
            raise CellError(_SD, f"{sd:g} is not between 0.01 and 100: correct it.")
        return colours.of_photo(cells["As typed"], cells.lab(), converted=cells["Converted"], sd=sd)
    given = {name.lower(): cells[name] for name in ("Notation", "Illuminant", "Observer")}
    return colours.of_text(cells["As typed"], **given)


# Trying out


def try_rows(batch: ImportBatch, rows: Iterable[ImportRow]) -> None:
    """Take rows in, note what comes of each, and leave nothing of it behind."""
    rows = list(rows)
    taken = taken_before(batch.studio_id, [row.digest for row in rows])
    with transaction.atomic():
        intake = ColourIntake(batch, batch.by)
        intake.look_up(rows)
        for row in rows:
            cells = intake.cells(row)
            row.read, row.doubts = {"name": cells["Paint"]}, []
            if row.digest in taken:
                row.state = RowState.PRESENT
                continue
            try:
                with transaction.atomic():
                    paint, there = intake.take(row)
            except (ValidationError, CellError) as error:
                row.state, row.doubts = RowState.ERROR, _doubts(error)
            else:
                row.read = {"name": paint.name, "paint": paint.pk, "pairs": _pairs(intake.table, cells)}
                row.state = RowState.PRESENT if there else RowState.CLEAR
        transaction.set_rollback(True)


def _pairs(table: str, cells: ColourRow) -> list[list[str]]:
    """What is taken over of a row, in words."""
    of_table = ("Swatch", "Given as") if table == MEASUREMENTS else ("Swatch", "Day", "Exposure told in", "Exposure")
    names = ("Paint", "Binder", *of_table, "As typed", "White", "Withdrawn on")
    return [[name, cells[name]] for name in names if cells[name]]


def _doubts(error: ValidationError | CellError) -> list[dict[str, Any]]:
    if isinstance(error, CellError):
        return [_doubt(error.column, str(error), "cell", "cell")]
    found: dict[tuple[str, str], list[str]] = {}
    for name, problems in error.error_dict.items() if hasattr(error, "error_dict") else [("", error.error_list)]:
        for problem in problems:
            found.setdefault((name, str(problem.code or "")), []).extend(problem.messages)
    return [
        _doubt(_HEADINGS.get(name, ""), " ".join(texts), name or "row", code) for (name, code), texts in found.items()
    ]


def _doubt(column: str, message: str, name: str, code: str) -> dict[str, Any]:
    """A question can be answered; all else is put right in the table."""
    doubt = Doubt(code, Severity.REFUSED, message)
    if code in _ANSWERS:
        name, doubt = _ANSWERS[code][0], _asked(code, message)
    return kept_doubt(name, doubt, label=column or "This row", column=column, blocks=True)


def _asked(code: str, message: str = "") -> Doubt:
    return Doubt(code, Severity.ASK, message, options=(Option(YES, _ANSWERS[code][1]),))


# Taking in and back


def take_in(batch: ImportBatch, *, by: User) -> dict[str, list[int]]:
    """Take every row in; ValidationError names the first that cannot be, and nothing is kept."""
    intake = ColourIntake(batch, by)
    rows = list(batch.rows.filter(state=RowState.CLEAR).order_by("line"))
    taken = taken_before(batch.studio_id, [row.digest for row in rows])
    intake.look_up(rows)
    brought = []
    for row in rows:
        if row.digest in taken:
            batch.rows.filter(pk=row.pk).update(state=RowState.PRESENT)
            continue
        try:
            paint, _ = intake.take(row)
        except (ValidationError, CellError) as error:
            words = " ".join(one["message"] for one in _doubts(error))
            raise refuse("batch", f"Nothing was taken in. Line {row.line}: {words} Ask that line again.") from error
        brought.append(
            ImportedRow(studio_id=batch.studio_id, digest=row.digest, batch=batch, line=row.line, item_id=paint.pk)
        )
    ImportedRow.objects.bulk_create(brought, batch_size=A_CHUNK)
    return intake.made


def _standing(batch: ImportBatch) -> "tuple[QuerySet[Measurement], QuerySet[LightTest], QuerySet[LightReading]]":
    """What a table brought and what still stands of it."""
    made = batch.settings.get("made", {})
    return (
        Measurement.objects.standing().filter(pk__in=made.get("measurements", [])),
        LightTest.objects.filter(pk__in=made.get("tests", []), withdrawn_at=None),
        LightReading.objects.filter(pk__in=made.get("readings", []), withdrawn_at=None),
    )


def still_stands(batch: ImportBatch) -> int:
    """How many of its rows could be taken back."""
    return sum(rows.count() for rows in _standing(batch))


def take_back(batch: ImportBatch, *, by: User) -> int:
    """Withdraw what the table brought and still stands; return how many. Rows are withdrawn, never deleted."""
    measurements, tests, readings = _standing(batch)
    gone = list(measurements.select_related("paint"))
    now = timezone.now()
    count = measurements.update(withdrawn_at=now, withdrawn_by=by)
    count += tests.update(withdrawn_at=now) + readings.update(withdrawn_at=now)
    colours.wait_for(gone)
    batch.brought.all().delete()
    return count
