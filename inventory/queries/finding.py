"""Finding things again: the shelf by handling level, filters that people keep, the preview of an edit of many."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.http import QueryDict

from inventory import handling
from inventory.models import Entry, Item, LevelBasis, ManyEdit, ReorderLevel, SavedFilter, Tube, TubeState
from inventory.models.tube import exact
from inventory.queries.shelf import PAGE, Cursor, ShelfPage, ShelfRow, shelf
from studio.models import Role, Studio, User

# A level is worked out, not stored, so the shelf is read on in steps until a page is full.
STEP = 400
STEPS = 3
# What stands in an address and is a part of how the shelf is looked at.
KEPT = ("q", "place", "owner", "binder", "pigment", "level", "opened_before", "received_before", "state", "doubt")


@dataclass(frozen=True)
class LevelPage:
    """A page of one handling level. `to_go` is true where the shelf was not read to its end."""

    page: ShelfPage
    read: int

    @property
    def to_go(self) -> bool:
        return self.page.after is not None


def shelf_of_level(
    studio: Studio, level: str, chosen: Mapping[str, Any], *, by: User | None = None, after: Cursor | None = None
) -> LevelPage:
    """The tubes of one handling level, read on from a cursor; at most STEPS times two queries and those of the levels.

    A page may hold fewer rows than fit, and still not be the last.
    """
    rows: list[ShelfRow] = []
    levels: dict[int, str] = {}
    first, read, cursor = after, 0, after
    for _ in range(STEPS):
        step = shelf(studio, **chosen, by=by, after=cursor, limit=STEP)
        new = {row.item_id for row in step.rows} - levels.keys()
        levels |= handling.of_items(studio, [Item(pk=pk, studio=studio) for pk in new])
        for row in step.rows:
            read += 1
            cursor = Cursor.of(row)
            if levels.get(row.item_id) == level:
                rows.append(row)
            if len(rows) == PAGE:
                more = row is not step.rows[-1] or step.after is not None
                return LevelPage(ShelfPage(rows, first, cursor if more else None), read)
        if step.after is None:
            return LevelPage(ShelfPage(rows, first, None), read)
    return LevelPage(ShelfPage(rows, first, cursor), read)


def kept_query(data: QueryDict) -> str:
    """The part of an address that says how the shelf is looked at, always in the same order."""
    return urlencode([(name, value) for name in KEPT if (value := data.get(name, "").strip())])


def saved_filters(studio: Studio, by: User) -> "QuerySet[SavedFilter]":
    """A person's own filters and those that others share, by name; one query."""
    rows = SavedFilter.objects.filter(studio=studio).filter(Q(by=by) | Q(shared=True))
    return rows.select_related("by").order_by("name", "pk")


@dataclass(frozen=True)
class Change:
    """One line of a preview: what a tube or an item says now, and what it would say."""

    name: str
    number: int | None
    before: str
    after: str
    why_not: str = ""
    """Why it stays as it is, where it does."""

    @property
    def changes(self) -> bool:
        return not self.why_not


def chosen_tubes(studio: Studio, numbers: Collection[int]) -> list[Tube]:
    """The tubes with these numbers, with all that a preview shows, in the order of the shelf; one query."""
    rows = Tube.objects.of(studio).filter(number__in=numbers)
    rows = rows.select_related("item__paint", "item__level", "place", "owner")
    return list(rows.order_by("item__sort_name", "item_id", "pk"))


def tube_changes(tubes: Sequence[Tube], what: str, after: str, value: object) -> list[Change]:
    """What a deed would change of these tubes; `value` is the place's key, the owner's fields or the condition."""
    found = []
    now: object
    for tube in tubes:
        if what == "move":
            before, now = str(tube.place or "place not known"), tube.place_id
        elif what == "owner":
            before, now = tube.whose_words, (tube.owner_kind, tube.owner_id, tube.owner_class)
        else:
            before, now = tube.get_condition_display(), tube.condition
        why_not = "It is so already" if now == value else ""
        if what == "condition" and tube.state == TubeState.EMPTY:
            why_not = "It is finished"
        found.append(Change(tube.item.name, tube.number, before, after, why_not))
    return found


def items_of(tubes: Sequence[Tube]) -> list[Item]:
    """The paints and materials that these tubes hold, once each."""
    return list({tube.item_id: tube.item for tube in tubes}.values())


def item_changes(studio: Studio, items: Sequence[Item], what: str, after: str, value: object) -> list[Change]:
    """The same for paints and materials; one query where they are to be taken off the lists."""
    in_use: set[int] = set()
    if what == "archive":
        in_use = set(Tube.objects.in_use().filter(item__in=items).values_list("item_id", flat=True))
    return [_item_change(item, what, after, value, item.pk in in_use) for item in items]


def _item_change(item: Item, what: str, after: str, value: object, in_use: bool) -> Change:
    why_not = ""
    if what == "archive":
        before = "on the lists"
        if item.archived_at is not None:
            before, why_not = "off the lists", "It is so already"
        elif in_use:
            why_not = "Something of it is left on the shelf, so nothing is written until it is unticked"
    elif what == "level":
        level = getattr(item, "level", None)
        before = "none" if level is None else level_words(level)
        set_to = 0 if level is None else level.level_tubes if level.basis == LevelBasis.TUBES else None
        why_not = "It is so already" if set_to == value else ""
    elif not hasattr(item, "paint"):
        before, why_not = "", "It is no paint"
    else:
        paint = item.paint
        shown = {
            "binder": paint.get_binder_display(),
            "form": paint.get_form_display(),
            "series": paint.series or "none",
        }
        before = str(shown[what])
        why_not = "It is so already" if getattr(paint, what) == value else ""
    return Change(item.name, None, before, after, why_not)


def level_words(level: ReorderLevel) -> str:
    if level.basis == LevelBasis.TUBES:
        return f"{level.level_tubes} tube{'' if level.level_tubes == 1 else 's'}"
    return exact(level.level_milli, level.unit)


# Of the edits of many the latest are offered to be taken back.
LATEST = 5


@dataclass(frozen=True)
class LatestEdit:
    """An edit of many paints or materials that still stands."""

    edit: ManyEdit

    @property
    def words(self) -> str:
        count = len(self.edit.changes)
        things = f"{count} paint{'' if count == 1 else 's'} or material{'' if count == 1 else 's'}"
        said = "taken off the lists" if self.edit.what == "archive" else f"{EDITED[self.edit.what]} set"
        return f"{things}: {said}"


EDITED = {"binder": "binder", "form": "what they are sold as", "series": "series", "level": "level in tubes"}


def latest_edits(studio: Studio) -> list[LatestEdit]:
    """Those that could be taken back, the newest first; one query."""
    rows = ManyEdit.objects.filter(studio=studio, undone_at=None).select_related("by").order_by("-pk")
    return [LatestEdit(edit) for edit in rows[:LATEST]]


def may_undo(studio: Studio, key: str) -> Role:
    """Who may take an edit of many back: whoever might have made it; two queries at most."""
    if ManyEdit.objects.filter(studio=studio, key=key).exists():
        return Role.TEACHER
    first = Entry.objects.filter(studio=studio, key=key).first()
    return Role.KEEPER if first is not None and first.changes_owner else Role.MEMBER
