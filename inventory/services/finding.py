"""Filters that people keep, and edits of many things at once, each in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.models import (
    Binder,
    Counting,
    Entry,
    Form,
    Item,
    LevelBasis,
    ManyEdit,
    Paint,
    Place,
    ReorderLevel,
    SavedFilter,
    Tube,
    Unit,
)
from inventory.services import ledger
from inventory.services.colours import label_changed
from inventory.services.ledger import LONGEST_SHARED_KEY, refuse
from inventory.services.ledger.deed import check_key, check_text, hold_place, hold_studio
from inventory.services.levels import remove_level
from inventory.services.paints import archive as archive_item
from inventory.services.paints import restore as restore_item
from studio.attention import and_more
from studio.models import Studio, User

MOST_AT_ONCE = 200
LONGEST_SERIES = 20


@transaction.atomic
def save_filter(studio: Studio, *, by: User, name: str, query: str, shared: bool = False) -> SavedFilter:
    """Keep a way of looking at the shelf; one of the same name by the same person is replaced."""
    if not name.strip():
        raise refuse("name", "Name: give the filter a name, such as Open blues.")
    if not query:
        raise refuse("name", "Nothing is narrowed down yet: choose what to show, then keep it.")
    kept = SavedFilter.objects.filter(studio=studio, by=by, name=name.strip()).first()
    kept = kept or SavedFilter(studio=studio, by=by, name=name.strip())
    kept.query, kept.shared = query, shared
    kept.full_clean()
    kept.save()
    return kept


@transaction.atomic
def change_filter(kept: SavedFilter, *, name: str, shared: bool) -> SavedFilter:
    kept.name, kept.shared = name.strip(), shared
    kept.full_clean()
    kept.save(update_fields=["name", "shared"])
    return kept


def remove_filter(kept: SavedFilter) -> None:
    kept.delete()


@dataclass(frozen=True)
class Written:
    """What an edit of many did: how many it changed, and whether this very request had been written before."""

    count: int
    repeated: bool = False


def _check(rows: Sequence[Any], key: str) -> None:
    if not rows:
        raise refuse("chosen", "Nothing is ticked: tick what is to be changed.")
    if len(rows) > MOST_AT_ONCE:
        raise refuse("chosen", f"{len(rows)} are ticked, and at most {MOST_AT_ONCE} go at once: take fewer.")
    check_key(key, LONGEST_SHARED_KEY)
    if not key:
        raise refuse("key", "The form came without its key: reload the page and send it again.")


def entries_of(studio: Studio, key: str) -> list[Entry]:
    """The entries that one edit of many wrote, the first first."""
    of_key = Q(key=key) | Q(key__startswith=f"{key}/")
    return list(Entry.objects.filter(of_key, studio=studio).select_related("tube__item").order_by("pk"))


@transaction.atomic
def edit_tubes(
    studio: Studio,
    tubes: Sequence[Tube],
    *,
    by: User,
    key: str,
    place: Place | None = None,
    owner: tuple[str, User | None, str] | None = None,
    condition: str = "",
    note: str = "",
) -> Written:
    """Move, give or examine many tubes: exactly one of `place`, `owner` (kind, member, class) and `condition`.

    Each tube that is not so already gets an entry of its own; nothing is written when one of them is refused.
    """
    _check(tubes, key)
    check_text("note", note, 200)
    if sum((place is not None, owner is not None, bool(condition))) != 1:
        raise ValueError("give exactly one of place, owner and condition")
    if any(tube.studio_id != studio.pk for tube in tubes):
        raise refuse("chosen", "One of the tubes is not on this shelf: look at the shelf again.")
    hold_studio(studio)
    if earlier := entries_of(studio, key):
        return Written(len(earlier), repeated=True)
    if place is not None:
        hold_place(place, studio.pk)
    written = 0
    for tube in sorted(tubes, key=lambda one: one.pk):
        tube_key = f"{key}/{written + 1}" if written else key
        if place is not None:
            if tube.place_id == place.pk:
                continue
            ledger.move(tube, place=place, by=by, key=tube_key, note=note)
        elif owner is not None:
            kind, member, owner_class = owner
            if (tube.owner_kind, tube.owner_id, tube.owner_class) == (kind, member and member.pk, owner_class):
                continue
            ledger.give(tube, owner_kind=kind, owner=member, owner_class=owner_class, by=by, key=tube_key, note=note)
        else:
            if tube.condition == condition:
                continue
            ledger.examine(tube, condition=condition, by=by, key=tube_key, note=note)
        written += 1
    return Written(written)


@transaction.atomic
def undo_edit(studio: Studio, *, key: str, by: User) -> Written:
    """Take an edit of many back: all of it, or nothing where something was changed again since.

    Tubes get correcting entries, those aside that were corrected already; what the ledger does not hold is set back.
    """
    hold_studio(studio)
    if (edit := ManyEdit.objects.filter(studio=studio, key=key).first()) is not None:
        return _set_back(edit, by)
    standing = [entry for entry in entries_of(studio, key) if not hasattr(entry, "corrected_by")]
    if not standing:
        raise refuse("key", "There is nothing to take back: it was taken back already, or nothing was written.")
    for entry in sorted(standing, key=lambda one: one.tube_id):
        try:
            ledger.undo(entry, by=by, key=f"undo-{entry.pk}")
        except ValidationError as error:
            raise refuse("key", f"{entry.tube}: {' '.join(error.messages)} None of them was taken back.") from error
    return Written(len(standing))


@transaction.atomic
def archive_items(studio: Studio, items: Sequence[Item], *, by: User, key: str) -> Written:
    """Take many paints and materials off the lists; nothing is done while something of one is left."""
    return _edit(studio, items, "archive", True, by, key)


@transaction.atomic
def edit_paints(
    studio: Studio,
    items: Sequence[Item],
    *,
    by: User,
    key: str,
    binder: str | None = None,
    form: str | None = None,
    series: str | None = None,
    level_tubes: int | None = None,
) -> Written:
    """Set the binder, form or series of many paints, or the level in tubes of many items (0 takes it away)."""
    given = {"binder": binder, "form": form, "series": series, "level": level_tubes}
    chosen = [(name, value) for name, value in given.items() if value is not None]
    if len(chosen) != 1:
        raise ValueError("give exactly one of binder, form, series and level_tubes")
    if binder is not None and binder not in Binder.values:
        raise refuse("binder", f"“{binder}” is no binder that is known here: choose one of the list.")
    if form is not None and form not in Form.values:
        raise refuse("form", f"“{form}” is no form that is known here: choose one of the list.")
    if level_tubes is not None and not 0 <= level_tubes <= 10_000:
        raise refuse("level", f"Level: {level_tubes} tubes is not between 0 and 10000: check the figure.")
    check_text("series", series or "", LONGEST_SERIES)
    return _edit(studio, items, *chosen[0], by, key)


def _edit(studio: Studio, items: Sequence[Item], what: str, value: Any, by: User, key: str) -> Written:
    """Set what is not so already, and keep what stood there before."""
    _check(items, key)
    hold_studio(studio)
    if (earlier := ManyEdit.objects.filter(studio=studio, key=key).first()) is not None:
        return Written(len(earlier.changes), repeated=True)
    changes = []
    for item in _held(studio, [item.pk for item in items]):
        before = _stands(item, what)
        if before is not ABSENT and not _is_so(before, what, value):
            after = _level_of(before, value, by) if what == "level" else value
            _set(item, what, after)
            changes.append([item.pk, before, after])
    if changes:
        ManyEdit.objects.create(studio=studio, key=key, what=what, changes=changes, by=by)
    return Written(len(changes))


def _set_back(edit: ManyEdit, by: User) -> Written:
    if edit.undone_at is not None:
        raise refuse("key", f"There is nothing to take back: {edit.undone_by} took it back already.")
    items = {item.pk: item for item in _held(edit.studio, [pk for pk, _, _ in edit.changes], archived=True)}
    moved = [pk for pk, _, after in edit.changes if pk not in items or _stands(items[pk], edit.what) != after]
    if moved:
        names = [items[pk].name for pk in moved if pk in items]
        these = and_more(names[:4], len(moved)) if names else "What was changed"
        raise refuse(
            "key",
            f"{these} {'was' if len(moved) == 1 else 'were'} changed again since, so none of the "
            f"{len(edit.changes)} was taken back. Set by hand what should be otherwise.",
        )
    for pk, before, _ in edit.changes:
        _set(items[pk], edit.what, before)
    edit.undone_at, edit.undone_by = timezone.now(), by
    edit.save(update_fields=["undone_at", "undone_by"])
    return Written(len(edit.changes))


# What cannot be said of an item at all, such as the binder of a solvent.
ABSENT = object()
LEVEL = ("basis", "level_tubes", "level_milli", "unit", "counting", "note", "set_by_id")


def _held(studio: Studio, keys: Sequence[int], *, archived: bool = False) -> list[Item]:
    """The items as they are now, held until the transaction ends."""
    rows = Item.objects.of(studio) if archived else Item.objects.of(studio).kept()
    held = rows.filter(pk__in=keys).select_for_update(of=("self",), no_key=True)
    return list(held.select_related("paint", "level").order_by("pk"))


def _stands(item: Item, what: str) -> Any:
    """What stands there, as it can be kept and compared; ABSENT where the item has no such thing."""
    if what == "archive":
        return item.archived_at is not None
    if what == "level":
        level = getattr(item, "level", None)
        return None if level is None else {name: getattr(level, name) for name in LEVEL}
    return getattr(item.paint, what) if hasattr(item, "paint") else ABSENT


def _is_so(before: Any, what: str, value: Any) -> bool:
    if what != "level":
        return bool(before == value)
    if before is None:
        return bool(value == 0)
    return (before["basis"], before["level_tubes"]) == (LevelBasis.TUBES, value)


def _level_of(before: dict[str, Any] | None, tubes: int, by: User) -> dict[str, Any] | None:
    """The level in tubes; what counts and the note stay."""
    if not tubes:
        return None
    kept = before or {"counting": Counting.SEALED, "note": "", "unit": Unit.ML}
    return {**kept, "basis": LevelBasis.TUBES, "level_tubes": tubes, "level_milli": 0, "set_by_id": by.pk}


def _set(item: Item, what: str, value: Any) -> None:
    if what == "archive":
        (archive_item if value else restore_item)(item)
    elif what != "level":
        Paint.objects.filter(pk=item.paint.pk).update(**{what: value})
        if what == "binder":
            label_changed(item.paint)
    elif value is None:
        remove_level(item)
    else:
        level = getattr(item, "level", None) or ReorderLevel(item=item)
        for name, part in value.items():
            setattr(level, name, part)
        level.full_clean()
        level.save()
