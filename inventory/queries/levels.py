"""Reads about reorder levels: what each one says of the shelf as it is now."""

from dataclasses import dataclass

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.models import (
    Binder,
    Condition,
    Counting,
    Item,
    LevelBasis,
    Paint,
    ReorderLevel,
    Tube,
    TubeState,
)
from inventory.models.tube import of_the_studio
from inventory.stock import reorder
from inventory.stock.reorder import Reorder, Shelf
from studio.models import Studio


@dataclass(frozen=True)
class LevelNow:
    """A level that somebody set, and what it comes to."""

    level: ReorderLevel
    answer: Reorder

    @property
    def item(self) -> Item:
        return self.level.item

    @property
    def name(self) -> str:
        return item_name(self.item)

    @property
    def is_short(self) -> bool:
        return self.answer.short > 0


def levels(studio: Studio) -> list[LevelNow]:
    """Every level of the studio, those below it first, then by name; one query.

    Only usable tubes count, the studio's own and what a member or a class shares with it.
    """
    rows = [LevelNow(level, _answer(level)) for level in _counted(studio)]
    return sorted(rows, key=lambda row: (not row.is_short, row.item.name.casefold(), row.item.pk))


def _counted(studio: Studio) -> QuerySet[ReorderLevel]:
    ours = of_the_studio("item__tubes__") & Q(item__tubes__condition=Condition.USABLE)
    sealed = ours & Q(item__tubes__state=TubeState.SEALED)
    opened = ours & Q(item__tubes__state=TubeState.OPEN)
    ml, g = Q(item__tubes__unit="ml"), Q(item__tubes__unit="g")
    last_size = Tube.objects.filter(item=OuterRef("item_id"), unit=OuterRef("unit")).usual_last().reverse()
    return (
        ReorderLevel.objects.filter(item__studio=studio, item__archived_at=None)
        .select_related("item__paint", "set_by")
        .annotate(
            sealed=Count("item__tubes", filter=sealed),
            opened=Count("item__tubes", filter=opened),
            sealed_ml=Sum("item__tubes__balance_milli", filter=sealed & ml, default=0),
            opened_ml=Sum("item__tubes__balance_milli", filter=opened & ml, default=0),
            sealed_g=Sum("item__tubes__balance_milli", filter=sealed & g, default=0),
            opened_g=Sum("item__tubes__balance_milli", filter=opened & g, default=0),
            size_milli=Subquery(last_size.values("nominal_milli")[:1]),
        )
    )


def item_name(item: Item) -> str:
    """With the binder: a studio has titanium white in oil and in acrylic."""
    paint: Paint | None = getattr(item, "paint", None)
    if paint is None or paint.binder == Binder.UNKNOWN:
        return item.name
    return f"{item.name} ({paint.get_binder_display().lower()})"


def _answer(level: ReorderLevel) -> Reorder:
    """`level` carries the counts of `_counted`."""
    count_open = level.counting == Counting.USABLE
    counted = vars(level)
    if level.basis == LevelBasis.TUBES:
        shelf = Shelf(sealed=counted["sealed"], open=counted["opened"])
        return reorder.by_tubes(item_name(level.item), shelf, level.level_tubes, count_open=count_open)
    shelf = Shelf(
        sealed_milli=counted[f"sealed_{level.unit}"],
        open_milli=counted[f"opened_{level.unit}"],
    )
    return reorder.by_amount(
        item_name(level.item),
        shelf,
        level.level_milli,
        level.unit,
        count_open=count_open,
        size_milli=counted["size_milli"],
    )
