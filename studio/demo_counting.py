"""What the demo studio counts: a shelf last term, a trolley since yesterday, and tubes that are lent, shared or dry."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from inventory import services
from inventory.labels.counted import read_counted
from inventory.models import Condition, CountLine, Place, Stocktake, Tube, TubeState
from inventory.queries import stocktakes as queries
from inventory.services import stocktakes
from inventory.services.stocktakes import Found
from studio.models import Studio, User

COUNTED_LAST_TERM, BEING_COUNTED = "Locked cupboard", "Acrylic trolley"


def deeds(studio: Studio, keeper: User, teacher: User, member: User) -> Iterator[tuple[int, int, Any]]:
    """Each deed as days ago, hour, and what to do at that moment."""
    yield 34, 15, lambda at: _count_last_term(studio, teacher, member, at)
    yield 0, 7, lambda at: _dried_up(studio, member, at)
    yield 0, 8, lambda at: _lent(studio, teacher, at)
    yield 10, 9, lambda at: _shared(studio, keeper, member, at)
    yield 4, 16, lambda at: _weighed_empty(studio, keeper, at)
    yield 1, 17, lambda at: _count_the_trolley(studio, member, at)


def _begin(studio: Studio, name: str, by: User, at: datetime, *, blind: bool = False) -> Stocktake:
    place = Place.objects.get(studio=studio, name=name)
    begun = stocktakes.start(studio, place=place, by=by, blind=blind)
    Stocktake.objects.filter(pk=begun.pk).update(started_at=at)
    return begun


def _count_last_term(studio: Studio, teacher: User, member: User, at: datetime) -> None:
    begun = _begin(studio, COUNTED_LAST_TERM, member, at)
    opened = [tube for tube in queries.standing(begun) if tube.state == TubeState.OPEN]
    found = [Found(tube) for tube in queries.standing(begun) if tube.state == TubeState.SEALED]
    for place, tube in enumerate(opened):
        left = tube.balance_milli * (1000 - 90 * (place % 3)) // 1_000_000 * 1000
        found.append(Found(tube, state=TubeState.OPEN if left else TubeState.EMPTY, left_milli=left))
    stocktakes.count(begun, found, by=member)
    CountLine.objects.filter(stocktake=begun).update(at=at)
    if found:
        stocktakes.post(begun, by=teacher, reason="End of term", at=at)


def _open_tubes(studio: Studio) -> Any:
    return Tube.objects.usable().filter(studio=studio, state=TubeState.OPEN, owner=None).select_related("item")


def _dried_up(studio: Studio, by: User, at: datetime) -> None:
    tube = _open_tubes(studio).filter(item__paint__binder="acrylic").order_by("balance_milli", "pk").first()
    if tube is not None:
        services.examine(tube, condition=Condition.DRIED, by=by, note="The cap was left off.", at=at)


def _lent(studio: Studio, by: User, at: datetime) -> None:
    tube = _open_tubes(studio).filter(item__paint__binder="oil").order_by("-balance_milli", "pk").first()
    if tube is not None:
        services.lend(tube, to="Pia, until the end of the month", by=by, at=at)


def _shared(studio: Studio, keeper: User, member: User, at: datetime) -> None:
    tube = Tube.objects.usable().filter(studio=studio, owner=member).order_by("pk").first()
    if tube is not None:
        services.share(tube, shared=True, by=member, at=at)


def _weighed_empty(studio: Studio, by: User, at: datetime) -> None:
    empties = Tube.objects.filter(studio=studio, state=TubeState.EMPTY, item__name="Titanium White", unit="ml")
    of_oil = empties.filter(item__paint__binder="oil").select_related("item").order_by("pk")
    for tube, grams in zip(of_oil[:3], (21_600, 22_400, 21_900), strict=False):
        services.weigh(tube, gross_milli_g=grams, by=by, at=at)


def _count_the_trolley(studio: Studio, by: User, at: datetime) -> None:
    begun = _begin(studio, BEING_COUNTED, by, at)
    tubes = list(queries.standing(begun).select_related("item"))
    if not tubes:
        return
    first = tubes[0].item
    sealed = sum(tube.item_id == first.pk and tube.state == TubeState.SEALED for tube in tubes)
    stocktakes.count_paint(begun, first, read_counted(f"{sealed} sealed, 1 about a third"), by=by)
    for tube in [tube for tube in tubes if tube.item_id != first.pk][:4]:
        left = tube.balance_milli if tube.state == TubeState.SEALED else tube.balance_milli * 8 // 10
        stocktakes.count(begun, [Found(tube, state=tube.state, left_milli=left)], by=by)
    CountLine.objects.filter(stocktake=begun).update(at=at)
