"""Somebody says what the columns hold, and what is true of rows that do not say."""

from collections.abc import Mapping

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.exchange import FIELDS, ImportSettings, digests, recode
from inventory.labels import read_amount, read_fraction
from inventory.models import BatchState, Binder, ImportBatch, LightfastnessScale, RowState, Unit
from inventory.services.imports.held import UNFINISHED, hold, rewrite
from inventory.services.ledger import refuse

SEVERAL = {one.key for one in FIELDS if one.several}
FIELD_KEYS = {one.key for one in FIELDS}


def set_columns(
    batch: ImportBatch, mapping: Mapping[str, str], settings: ImportSettings, *, encoding: str = ""
) -> ImportBatch:
    """Say what the columns hold; every row is then read anew, with the answers that were given."""
    if batch.colour_table:
        raise refuse("mapping", f"{batch} is a table of colours of ours: its columns are named by their headings.")
    named = {place: key for place, key in mapping.items() if key}
    _check_mapping(batch, named)
    _check_settings(settings)
    with transaction.atomic():
        held = hold(batch, *UNFINISHED)
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
        if not place.isdigit() or int(place) >= len(batch.columns) or key not in FIELD_KEYS:
            errors.append(ValidationError(f"There is no column {place} or no field “{key}”: choose from the lists."))
    for key in sorted(set(mapping.values()) - SEVERAL):
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
    rewrite(rows, ["cells", "digest"])
    if encoding != "mended":
        batch.encoding = encoding
