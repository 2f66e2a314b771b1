"""Filters that people keep, and edits of many things at once, each in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Q

from inventory.models import Binder, Entry, Form, Item, Paint, Place, SavedFilter, Tube
from inventory.services import ledger
from inventory.services.colours import label_changed
from inventory.services.ledger import LONGEST_SHARED_KEY, refuse
from inventory.services.ledger.deed import check_key, check_text, hold_place, hold_studio
from inventory.services.levels import remove_level, set_level
from inventory.services.paints import archive as archive_item
from studio.models import Studio, User

MOST_AT_ONCE = 200


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


def _checked(rows: Sequence[Any]) -> None:
    if not rows:
        raise refuse("chosen", "Nothing is ticked: tick what is to be changed.")
    if len(rows) > MOST_AT_ONCE:
        raise refuse("chosen", f"{len(rows)} are ticked, and at most {MOST_AT_ONCE} go at once: take fewer.")


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
    _checked(tubes)
    check_key(key, LONGEST_SHARED_KEY)
    check_text("note", note, 200)
    if not key:
        raise refuse("key", "The form came without its key: reload the page and send it again.")
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
    """Take an edit of many tubes back by correcting entries; those that were corrected since stay as they are."""
    hold_studio(studio)
    standing = [entry for entry in entries_of(studio, key) if not hasattr(entry, "corrected_by")]
    if not standing:
        raise refuse("key", "There is nothing to take back: it was taken back already, or nothing was written.")
    for entry in sorted(standing, key=lambda one: one.tube_id):
        ledger.undo(entry, by=by, key=f"undo-{entry.pk}")
    return Written(len(standing))


@transaction.atomic
def archive_items(studio: Studio, items: Sequence[Item]) -> Written:
    """Take many paints and materials off the lists; nothing is done while something of one is left."""
    _checked(items)
    fresh = list(Item.objects.of(studio).kept().filter(pk__in=[item.pk for item in items]).order_by("pk"))
    for item in fresh:
        archive_item(item)
    return Written(len(fresh))


@transaction.atomic
def edit_paints(
    studio: Studio,
    items: Sequence[Item],
    *,
    by: User,
    binder: str | None = None,
    form: str | None = None,
    series: str | None = None,
    level_tubes: int | None = None,
) -> Written:
    """Set the binder, form or series of many paints, or the level in tubes of many items (0 takes it away)."""
    _checked(items)
    given = {"binder": binder, "form": form, "series": series}
    fields = {name: value for name, value in given.items() if value is not None}
    if bool(fields) == (level_tubes is not None) or len(fields) > 1:
        raise ValueError("give exactly one of binder, form, series and level_tubes")
    if binder is not None and binder not in Binder.values:
        raise refuse("binder", f"“{binder}” is no binder that is known here: choose one of the list.")
    if form is not None and form not in Form.values:
        raise refuse("form", f"“{form}” is no form that is known here: choose one of the list.")
    keys = [item.pk for item in items]
    if level_tubes is not None:
        return _set_levels(studio, keys, level_tubes, by)
    paints = Paint.objects.of(studio).kept().filter(pk__in=keys).exclude(**fields).order_by("pk")
    changed = list(paints.select_for_update(of=("self",), no_key=True))
    Paint.objects.filter(pk__in=[paint.pk for paint in changed]).update(**fields)
    for paint in changed if binder is not None else []:
        paint.binder = binder or paint.binder
        label_changed(paint)
    return Written(len(changed))


def _set_levels(studio: Studio, keys: Sequence[int], level_tubes: int, by: User) -> Written:
    if not 0 <= level_tubes <= 10_000:
        raise refuse("level", f"Level: {level_tubes} tubes is not between 0 and 10000: check the figure.")
    changed = 0
    for item in Item.objects.of(studio).kept().filter(pk__in=keys).select_related("level").order_by("pk"):
        level = getattr(item, "level", None)
        if level_tubes == 0:
            changed += remove_level(item)
        elif level is None or (level.basis, level.level_tubes) != ("tubes", level_tubes):
            counting = {"counting": level.counting, "note": level.note} if level else {}
            set_level(item, by=by, level_tubes=level_tubes, **counting)
            changed += 1
    return Written(changed)
