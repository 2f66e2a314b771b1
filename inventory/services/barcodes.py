"""Makers' numbers: which paint or material they stand for here."""

from typing import Any

from django.db import transaction

from inventory.labels.barcodes import BarcodeError, Gtin, read_gtin
from inventory.models import Barcode, Item, Paint, Tube, Unit
from inventory.queries.barcodes import size_of
from inventory.reading import LabelTexts
from inventory.services import ledger
from inventory.services.ledger import refuse
from inventory.services.paints import add_paint
from studio.models import Studio, User


def checked(text: str) -> Gtin:
    """The number, or a refusal that says what is wrong with it."""
    try:
        return read_gtin(text)
    except BarcodeError as error:
        raise refuse("code", str(error)) from error


@transaction.atomic
def link(
    studio: Studio, item: Item, *, code: str, by: User, nominal_milli: int | None = None, unit: str = Unit.ML
) -> Barcode:
    """Say that this number stands for one size of the item; a second time it says the size anew."""
    gtin = checked(code)
    if item.studio_id != studio.pk:
        raise refuse("item", f"{item} is not one of this studio's paints and materials.")
    other = Barcode.objects.filter(studio=studio, digits=gtin.digits).select_related("item").first()
    if other is not None and other.item_id != item.pk:
        raise refuse(
            "code", f"{gtin.words} belongs to {other.item} already: take it away there first if that was a slip."
        )
    barcode = other or Barcode(studio=studio, item=item, digits=gtin.digits)
    barcode.by = by
    if nominal_milli is not None:
        barcode.nominal_milli, barcode.unit = nominal_milli, unit
    barcode.full_clean()
    barcode.save()
    return barcode


@transaction.atomic
def add_paint_with(
    studio: Studio,
    *,
    code: str,
    by: User,
    texts: LabelTexts,
    nominal_milli: int | None = None,
    unit: str = Unit.ML,
    **fields: Any,
) -> Paint:
    """Add a paint and link the number that was scanned, both or neither."""
    checked(code)
    paint = add_paint(studio, by=by, texts=texts, **fields)
    link(studio, paint, code=code, by=by, nominal_milli=nominal_milli, unit=unit)
    return paint


def unlink(barcode: Barcode) -> None:
    barcode.delete()


def receive_one(barcode: Barcode, *, by: User, key: str) -> Tube:
    """Put one more container of a known size on the shelf, where the last one was put."""
    size = size_of(barcode)
    if size is None:
        raise refuse("size", f"The size of {barcode.item} is not known: say it once under Receive.")
    last = barcode.item.tubes.select_related("place").order_by("-pk").first()
    place = last.place if last and last.place and last.place.removed_at is None else None
    return ledger.receive(
        barcode.studio, barcode.item, nominal_milli=size[0], unit=size[1], by=by, place=place, key=key
    )[0]
