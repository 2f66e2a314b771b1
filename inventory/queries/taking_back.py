"""What of a list could be taken back: what nobody has touched since it was taken in."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db.models import ForeignObjectRel, QuerySet

from inventory.models import (
    Barcode,
    Entry,
    EntryKind,
    ImportBatch,
    ImportedRow,
    Item,
    Material,
    Paint,
    PaintCurve,
    PaintPigment,
    Reading,
    ReorderLevel,
    Tube,
)
from inventory.queries.imports import new_items

# What belongs to a paint or tube itself, or follows from it: no sign that somebody did something with it.
_ITS_OWN = (Tube, Entry, PaintPigment, PaintCurve, Reading, ImportedRow, Barcode, ReorderLevel, Item, Paint, Material)


@dataclass(frozen=True)
class Left:
    """Something that stays, and why."""

    words: str
    why: str
    number: int | None = None


@dataclass
class Back:
    """What is taken back and what stays; made by `what_goes_back`."""

    tubes: list[Tube] = field(default_factory=list)
    received: dict[int, Entry] = field(default_factory=dict)
    items: list[int] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    left: list[Left] = field(default_factory=list)
    # Of a table of colours: how many measurements, tests and readings.
    colours: int = 0


def may_be_taken_back(batch: ImportBatch) -> bool:
    """Whether it was kept what each of its rows brought; older lists did not."""
    return batch.state == "committed" and batch.brought.exists()


def tubes_of(batch: ImportBatch) -> "QuerySet[Tube]":
    """The tubes that a list brought, by their numbers, which follow one another."""
    result = batch.settings.get("result", {})
    first, last = result.get("first_number") or 0, result.get("last_number") or -1
    return Tube.objects.filter(studio=batch.studio_id, number__gte=first, number__lte=last)


def what_goes_back(batch: ImportBatch, tubes: "QuerySet[Tube] | None" = None) -> Back:
    """Which tubes and paints of a list nobody has touched; a query for each kind of record that can name them.

    `tubes` are the same ones, held by a caller that writes.
    """
    back = Back()
    brought = list(ImportedRow.objects.filter(batch=batch).order_by("line"))
    found = list((tubes if tubes is not None else tubes_of(batch)).select_related("item").order_by("pk"))
    entries: dict[int, list[Entry]] = defaultdict(list)
    for entry in Entry.objects.filter(tube__in=tubes_of(batch).order_by()).order_by("pk"):
        entries[entry.tube_id].append(entry)
    named = _named((Tube,), tubes_of(batch).order_by().values("pk"))
    for tube in found:
        of_it = entries[tube.pk]
        if tube.pk in named:
            back.left.append(Left(str(tube), named[tube.pk], tube.number))
        elif [entry.kind for entry in of_it] != [EntryKind.RECEIVED]:
            last = of_it[-1].get_kind_display().lower() if of_it else "nothing recorded"
            back.left.append(Left(str(tube), f"last: {last}", tube.number))
        else:
            back.tubes.append(tube)
            back.received[tube.pk] = of_it[0]
    _items(batch, back)
    _rows(brought, back)
    return back


def _items(batch: ImportBatch, back: Back) -> None:
    """New paints and materials of which nothing is left and that nothing else names."""
    made = new_items(batch)
    keys = made.order_by().values("pk")
    going = {tube.pk for tube in back.tubes}
    stays: dict[int, str] = {}
    for item_pk, tube_pk in Tube.objects.filter(item__in=keys).order_by().values_list("item_id", "pk"):
        if tube_pk not in going:
            stays[item_pk] = "it has tubes that stay"
    stays |= _named((Item, Paint, Material), keys)
    since = batch.committed_at
    if since is not None:
        answered = Reading.objects.filter(paint__in=keys, at__gt=since).order_by().values_list("paint_id", flat=True)
        stays |= dict.fromkeys(answered, "its label was looked at since")
        levels = ReorderLevel.objects.filter(item__in=keys, set_at__gt=since).values_list("item_id", flat=True)
        stays |= dict.fromkeys(levels, "its level was set since")
    for pk, name in made.filter(archived_at=None).order_by("sort_name", "pk").values_list("pk", "name"):
        if pk in stays:
            back.left.append(Left(name, stays[pk]))
        else:
            back.items.append(pk)


def _rows(brought: Iterable[ImportedRow], back: Back) -> None:
    """The rows of which nothing stays, so that the same file may be given again."""
    going, items = {tube.number for tube in back.tubes}, set(back.items)
    for row in brought:
        numbers = range(row.first_number or 0, (row.first_number or 0) + row.tubes)
        if (row.tubes and all(number in going for number in numbers)) or (
            not row.tubes and (not row.made_item or row.item_id in items)
        ):
            back.rows.append(row.pk)


def _named(models: tuple[type[Any], ...], keys: Any) -> dict[int, str]:
    """Which of these rows any other record names, and the record; one query for each foreign key there is."""
    found: dict[int, str] = {}
    for relation in _relations(models):
        record, name = relation.related_model, relation.field.name
        words = f"named by {record._meta.verbose_name}"
        rows = record._base_manager.filter(**{f"{name}__in": keys}).order_by()
        found |= dict.fromkeys(rows.values_list(relation.field.attname, flat=True).distinct(), words)
    return found


def _relations(models: tuple[type[Any], ...]) -> Iterator[ForeignObjectRel]:
    """Every foreign key that leads to these tables, from whichever part of the house; those of lists through a table
    stand among them."""
    seen = set()
    for model in models:
        for relation in model._meta.get_fields(include_hidden=True):
            if not isinstance(relation, ForeignObjectRel) or relation.many_to_many:
                continue
            own = relation.related_model in _ITS_OWN
            if not own and relation.field not in seen and relation.field.model is relation.related_model:
                seen.add(relation.field)
                yield relation
