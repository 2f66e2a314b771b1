"""What a studio keeps: paints and materials, added, retyped, asked about."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.labels import Doubt
from inventory.models import (
    Item,
    Material,
    OpticalRow,
    Paint,
    PaintPigment,
    Pigment,
    Reading,
    Tube,
)
from inventory.queries.palette import band_row
from inventory.queries.reference import vocabulary
from inventory.reading import COLUMN_SCALE, Chosen, FieldReading, LabelReading, LabelTexts, read_label
from inventory.services.colours import label_changed
from inventory.services.swatches import refresh_swatches
from studio.models import Studio, User


def as_json(doubt: Doubt) -> dict[str, Any]:
    """A doubt as it is kept beside its text, with the key under which the person answers."""
    return {
        "code": doubt.code,
        "severity": doubt.severity.value,
        "message": doubt.message,
        "value": doubt.value,
        "key": doubt.key,
        "options": [{"value": option.value, "label": option.label} for option in doubt.options],
    }


def lines_of(
    paint: Paint, reading: LabelReading, pigments: Mapping[str, Pigment], rows: Mapping[tuple[str, str], OpticalRow]
) -> list[PaintPigment]:
    """The pigment lines that follow from a reading; what is still asked has none."""
    return [
        PaintPigment(
            paint=paint,
            position=position,
            code=read.code,
            pigment=pigments.get(read.code),
            shade=rows.get((read.code, reading.shade_name(read.code) or "")),
            as_typed=read.as_typed[:160],
            note=read.note[:160],
        )
        for position, read in enumerate(reading.pigments.pigments, start=1)
    ]


def readings_of(paint: Paint, readings: Iterable[FieldReading], by: User) -> list[Reading]:
    return [
        Reading(
            paint=paint,
            field=one.field,
            text=one.text,
            read=one.read,
            doubts=[as_json(doubt) for doubt in one.doubts],
            chosen=one.chosen,
            settled=one.settled,
            by=by,
        )
        for one in readings
    ]


def read_texts(texts: LabelTexts, chosen: Chosen | None = None) -> tuple[LabelReading, list[OpticalRow]]:
    """Read a label against the reference tables; two queries."""
    rows = list(OpticalRow.objects.select_related("pigment"))
    return read_label(texts, vocabulary=vocabulary(), rows=map(band_row, rows), chosen=chosen), rows


def _store(paint: Paint, texts: LabelTexts, chosen: Chosen, by: User) -> Paint:
    reading, rows = read_texts(texts, chosen)
    for name, value in reading.paint_fields().items():
        setattr(paint, name, value)
    paint.full_clean()
    paint.save()
    pigments = {pigment.ci_name: pigment for pigment in Pigment.objects.filter(ci_name__in=reading.pigments.codes)}
    paint.pigment_lines.all().delete()
    PaintPigment.objects.bulk_create(
        lines_of(paint, reading, pigments, {(row.pigment.ci_name, row.name): row for row in rows})
    )
    paint.save(update_fields=["search"])  # the codes of its lines are among the words to find
    paint.readings.all().delete()
    Reading.objects.bulk_create(readings_of(paint, reading.readings, by))
    refresh_swatches([paint])
    label_changed(paint)
    return paint


@transaction.atomic
def add_paint(studio: Studio, *, by: User, texts: LabelTexts, chosen: Chosen | None = None, **fields: Any) -> Paint:
    """Add a paint from what its label says; `fields` are binder, form, maker, maker_code, series, notes ..."""
    _check_names(fields)
    return _store(Paint(studio=studio, name=texts.name.strip(), **fields), texts, chosen or {}, by)


@transaction.atomic
def change_paint(paint: Paint, *, by: User, texts: LabelTexts, **fields: Any) -> Paint:
    """Type a label again. Answers that still fit their question are kept; the ledger is not touched."""
    _check_names(fields)
    chosen = {reading.field: dict(reading.chosen) for reading in paint.readings.all()}
    chosen.get("lightfastness", {}).pop(COLUMN_SCALE, None)
    paint.name = texts.name.strip()
    for name, value in fields.items():
        setattr(paint, name, value)
    return _store(paint, texts, chosen, by)


@transaction.atomic
def answer(paint: Paint, *, field: str, key: str, value: str, by: User) -> Paint:
    """Settle one open question about a label as the person said; the typed text stays."""
    reading = paint.readings.filter(field=field).first()
    doubt = next((one for one in (reading.doubts if reading else []) if one["key"] == key), None)
    if reading is None or doubt is None:
        raise ValidationError(
            {"answer": ValidationError("This question is not open any more: look at the label again.", code="answer")}
        )
    options = {option["value"] for option in doubt["options"]}
    if options and value not in options:
        raise ValidationError(
            {"answer": ValidationError(f"“{value}” is not one of the answers: choose one of them.", code="answer")}
        )
    chosen: dict[str, dict[str, str]] = {one.field: dict(one.chosen) for one in paint.readings.all()}
    chosen[field][key] = value
    return _store(paint, texts_of(paint), chosen, by)


def texts_of(paint: Paint) -> LabelTexts:
    """The label of a paint as it was typed, with the scale that was given for its lightfastness."""
    marks = next((reading for reading in paint.readings.all() if reading.field == "lightfastness"), None)
    return LabelTexts(
        name=paint.name,
        pigments=paint.pigment_text,
        lightfastness=paint.lightfastness_text,
        opacity=paint.opacity_text,
        strength=paint.strength_text,
        lightfastness_scale=marks.chosen.get(COLUMN_SCALE, "") if marks else "",
    )


@transaction.atomic
def add_material(studio: Studio, *, name: str, material_kind: str, **fields: Any) -> Material:
    material = Material(studio=studio, name=name.strip(), material_kind=material_kind, **fields)
    material.full_clean()
    material.save()
    return material


@transaction.atomic
def change_material(material: Material, **fields: Any) -> Material:
    for name, value in fields.items():
        setattr(material, name, value)
    material.full_clean()
    material.save()
    return material


@transaction.atomic
def archive(item: Item) -> None:
    """Take an item off the lists once nothing of it is left; its ledger stays."""
    left = Tube.objects.in_use().filter(item=item).count()
    if left:
        raise ValidationError(f"{item} still has {left} on the shelf: finish, discard or give them away first.")
    Item.objects.filter(pk=item.pk).update(archived_at=timezone.now())


@transaction.atomic
def restore(item: Item) -> None:
    Item.objects.filter(pk=item.pk).update(archived_at=None)


def _check_names(fields: Mapping[str, Any]) -> None:
    known = {
        "binder",
        "form",
        "maker",
        "maker_code",
        "series",
        "notes",
        "density_milli",
        "density_is_estimate",
        "typed",
    }
    if strange := sorted(set(fields) - known):
        raise TypeError(f"a paint has no field {strange[0]!r} that a caller may set")
