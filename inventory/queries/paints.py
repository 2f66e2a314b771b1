"""What the pages of paints and materials show."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, Prefetch, Q, QuerySet, Sum

from inventory.labels import search_key
from inventory.models import Condition, Item, Material, Paint, Reading, Tube
from inventory.models.tube import exact
from inventory.queries.palette import with_pigments
from inventory.queries.reference import vocabulary
from studio.models import Studio


@dataclass(frozen=True)
class Stock:
    """What stands on the shelf of one item, in words and figures."""

    sealed: int = 0
    open: int = 0
    words: str = ""
    # Thousandths and their unit; ml and g are never added.
    left: tuple[tuple[int, str], ...] = ()
    is_estimate: bool = False
    unusable: int = 0
    """How many of the containers hold what cannot be used: it is in `left`, and in no advice."""


def stock_of(item_ids: Iterable[int]) -> dict[int, Stock]:
    """The stock of each of these items that has any; one query."""
    rows = (
        Tube.objects.in_use()
        .filter(item__in=list(item_ids))
        .values("item_id", "unit")
        .annotate(
            sealed=Count("pk", filter=Q(state="sealed")),
            open=Count("pk", filter=Q(state="open")),
            left=Sum("balance_milli"),
            estimated=Count("pk", filter=Q(balance_is_estimate=True)),
            unusable=Count("pk", filter=~Q(condition=Condition.USABLE)),
        )
        .order_by("item_id", "unit")
    )
    found: dict[int, Stock] = {}
    for row in rows:
        counts = [f"{row[state]} {state}" for state in ("sealed", "open") if row[state]]
        about = "about " if row["estimated"] else ""
        but = f", {row['unusable']} of them not usable" if row["unusable"] else ""
        words = f"{' and '.join(counts)}, {about}{exact(row['left'], row['unit'])}{but}"
        earlier = found.get(row["item_id"], Stock())
        found[row["item_id"]] = Stock(
            earlier.sealed + row["sealed"],
            earlier.open + row["open"],
            f"{earlier.words}; {words}" if earlier.words else words,
            (*earlier.left, (row["left"], row["unit"])),
            earlier.is_estimate or bool(row["estimated"]),
            earlier.unusable + row["unusable"],
        )
    return found


def _found(rows: QuerySet[Any], search: str) -> QuerySet[Any]:
    for word in search_key(search).split():
        rows = rows.filter(search__contains=word)
    return rows


def paints(studio: Studio, *, search: str = "", binder: str = "", archived: bool = False) -> QuerySet[Paint]:
    """A studio's paints with pigments and open questions at hand; two queries."""
    rows = Paint.objects.of(studio).filter(archived_at__isnull=not archived).with_open_questions()
    if binder:
        rows = rows.filter(binder=binder)
    return with_pigments(_found(rows, search).order_by("sort_name", "pk"))


def materials(studio: Studio, *, search: str = "") -> QuerySet[Material]:
    return _found(Material.objects.filter(studio=studio, archived_at=None), search).order_by("sort_name", "pk")


def paint(studio: Studio) -> QuerySet[Paint]:
    """One paint's page: pigments, readings and level."""
    return with_pigments(Paint.objects.of(studio).with_open_questions()).prefetch_related("readings")


def tubes_of(item: Item) -> QuerySet[Tube]:
    """The containers of one item, those in use first, the fullest first."""
    return (
        Tube.objects.filter(item=item)
        .select_related("item", "place", "owner")
        .annotate(used_up=Count("pk", filter=Q(state="empty")))
        .order_by("used_up", F("balance_milli").desc(), "pk")
    )


def open_questions(studio: Studio) -> QuerySet[Paint]:
    """Paints with a question that only a person can settle, each with those readings; two queries."""
    asked = Reading.objects.filter(settled=False)
    return (
        Paint.objects.of(studio)
        .kept()
        .filter(readings__settled=False)
        .distinct()
        .order_by("sort_name", "pk")
        .prefetch_related(Prefetch("readings", queryset=asked, to_attr="asked"))
    )


def unknown_pigments(studio: Studio) -> QuerySet[Paint]:
    """Paints of which nobody knows the pigments: they stay out of the wheel, and are not harmless."""
    return Paint.objects.of(studio).kept().filter(pigments_known="unknown").order_by("sort_name", "pk")


def near_codes(found: Paint) -> list[str]:
    """What is to be known of codes that stand for nearly the same pigment, as PY42 and PY43 do; one query."""
    known = vocabulary()
    return [near.message for line in found.pigment_lines.all() for near in known.near_codes(line.code)]
