"""Counts: what people find is written down line by line, and posted to the ledger at once, all or nothing.

Counting holds the row of the count, so that no line is written while it is posted. Locks are taken in the order
studio, place, count, tubes by id.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Max, OuterRef, Subquery
from django.utils import timezone

from inventory.labels.counted import Counted
from inventory.models import (
    Condition,
    CountLine,
    Entry,
    FoundLine,
    Item,
    Place,
    Stocktake,
    Tube,
    TubeState,
)
from inventory.models.tube import exact
from inventory.queries import stocktakes as queries
from inventory.queries.stocktakes import LEAVE, LOST, Difference
from inventory.services import ledger
from inventory.services.ledger import Deed, refuse
from inventory.services.ledger.deed import check_amount, check_text, hold_place, hold_studio
from inventory.stock import counting
from studio.models import Studio, User

LONGEST_REASON = 120


@transaction.atomic
def start(studio: Studio, *, place: Place | None, by: User, blind: bool = False) -> Stocktake:
    """Begin to count a place, or what stands at no known place; one count of a place is open at a time."""
    hold_studio(studio)
    if place is not None:
        hold_place(place, studio.pk)
    running = queries.open_stocktakes(studio).filter(place=place).first()
    if running is not None:
        raise refuse(
            "place",
            f"{running.place or 'What stands at no known place'} is being counted already, begun by "
            f"{running.started_by}: go on with that count.",
        )
    return Stocktake.objects.create(studio=studio, place=place, blind=blind, started_by=by)


def _hold(stocktake: Stocktake) -> None:
    """Hold the count's row and read it as it is now."""
    rows = Stocktake.objects.select_related("place", "studio").select_for_update(of=("self",), no_key=True)
    stocktake.refresh_from_db(from_queryset=rows)


def _hold_open(stocktake: Stocktake) -> None:
    _hold(stocktake)
    if stocktake.posted_at is not None:
        raise refuse(
            "stocktake",
            f"This count was posted by {stocktake.posted_by} meanwhile, so nothing can be added to it. "
            "Write down what you found on the page of the container.",
        )
    if stocktake.dropped_at is not None:
        raise refuse("stocktake", "This count was dropped meanwhile: start another one of this place.")


@dataclass(frozen=True)
class Found:
    """What somebody found of one container. A `seen` one with nothing else is as in the books."""

    tube: Tube
    seen: bool = True
    state: str = ""
    left_milli: int | None = None
    is_estimate: bool = True
    condition: str = ""
    note: str = ""


@transaction.atomic
def count(stocktake: Stocktake, found: Sequence[Found], *, by: User, key: str | None = None) -> list[CountLine]:
    """Write what was found of one container or several, all or none; the newest line of each counts."""
    check_text("key", key or "", 50)
    _hold_open(stocktake)
    keys = [f"{key}/{n}" if key and n else key or None for n in range(len(found))]
    if key and (earlier := list(CountLine.objects.filter(stocktake=stocktake, key__in=keys).order_by("pk"))):
        if [line.tube_id for line in earlier] != [each.tube.pk for each in found]:
            raise refuse("key", "This page was used for other containers already: load it again.")
        return earlier
    # The tubes are held, so that the balance and the last entry belong together.
    held = Tube.objects.filter(studio=stocktake.studio_id, pk__in=[each.tube.pk for each in found])
    tubes = {tube.pk: tube for tube in held.select_for_update(no_key=True).order_by("pk")}
    last = _last_entries(tubes)
    lines = [
        _line(stocktake, each, tubes.get(each.tube.pk), last, by, own_key)
        for each, own_key in zip(found, keys, strict=True)
    ]
    for line in lines:
        line.save(force_insert=True)
    return lines


def _last_entries(tubes: dict[int, Tube]) -> dict[int, int]:
    newest = Entry.objects.filter(tube__in=tubes).order_by().values_list("tube").annotate(newest=Max("pk"))
    return dict(newest)


def _line(
    stocktake: Stocktake, found: Found, tube: Tube | None, last: dict[int, int], by: User, key: str | None
) -> CountLine:
    if tube is None:
        raise refuse("tube", f"{found.tube} is not one of this studio's containers.")
    check_text("note", found.note, 200)
    if found.state and found.state not in TubeState.values:
        raise refuse("state", f"There is no state {found.state!r}: choose one of {', '.join(TubeState.values)}.")
    if found.condition and found.condition not in Condition.values:
        raise refuse("condition", f"There is no condition {found.condition!r}: choose one of those shown.")
    if found.left_milli is not None:
        check_amount(found.left_milli, tube.unit, "left", zero=True)
        if found.left_milli > tube.nominal_milli:
            raise refuse("left", f"{exact(found.left_milli, tube.unit)} is more than the size of {tube.nominal}.")
        if found.state == TubeState.SEALED and found.left_milli != tube.nominal_milli:
            raise refuse("left", "A sealed container is full: leave the amount out, or say that it is open.")
    seen = found.seen
    return CountLine(
        stocktake=stocktake,
        tube=tube,
        seen=seen,
        state=found.state if seen else "",
        left_milli=found.left_milli if seen else None,
        left_is_estimate=found.is_estimate,
        condition=found.condition if seen else "",
        book_milli=tube.balance_milli,
        last_entry_id=last.get(tube.pk),
        note=found.note,
        by=by,
        key=key,
    )


@transaction.atomic
def count_paint(
    stocktake: Stocktake, item: Item, counted: Counted, *, by: User, key: str | None = None
) -> tuple[list[CountLine], list[FoundLine]]:
    """Write what was counted of one paint as a whole: "3 sealed, 1 about half" becomes lines of its containers.

    What the books lack is written as found, in the size of the newest container of the paint.
    """
    if counted.sealed is None:
        raise refuse("counted", "Write how many there are, such as “3 sealed, 1 about half”.")
    _hold_open(stocktake)
    tubes = {tube.pk: tube for tube in queries.books_of(stocktake, item.pk)}
    books = [
        counting.Booked(tube.pk, tube.state == TubeState.SEALED, tube.balance_milli, tube.nominal_milli)
        for tube in tubes.values()
    ]
    matched = counting.match(books, sealed=counted.sealed, opened=counted.opened, empty=counted.empty)
    found = [
        Found(tubes[each.key], state=each.state, left_milli=each.left_milli, is_estimate=each.state == TubeState.OPEN)
        for each in matched.seen
    ]
    found += [Found(tubes[key], seen=False) for key in matched.missing]
    found.sort(key=lambda each: each.tube.pk)
    stem = f"{key[:40]}|" if key else ""
    if key and (again := _counted_before(stocktake, stem)):
        return again
    lines = count(stocktake, found, by=by, key=stem or None) if found else []
    more = [(1, TubeState.OPEN, fill) for fill in matched.more_open]
    if matched.more_sealed:
        more.insert(0, (matched.more_sealed, TubeState.SEALED, None))
    last = item.tubes.order_by("-pk").first()
    if more and last is None:
        raise refuse("counted", f"No container of {item} was ever received, so its size is not known: add it as found.")
    extra = []
    for place, (containers, state, fill) in enumerate(more):
        assert last is not None  # noqa: S101  # refused above
        extra.append(
            find(
                stocktake,
                item,
                containers=containers,
                nominal_milli=last.nominal_milli,
                unit=last.unit,
                state=state,
                left_milli=None if fill is None else last.nominal_milli * fill // 1000,
                by=by,
                key=f"{stem}{place}" if key else None,
            )
        )
    return lines, extra


def _counted_before(stocktake: Stocktake, stem: str) -> tuple[list[CountLine], list[FoundLine]] | None:
    """What the same tap wrote before."""
    lines = list(CountLine.objects.filter(stocktake=stocktake, key__startswith=stem).order_by("pk"))
    extra = list(FoundLine.objects.filter(stocktake=stocktake, key__startswith=stem).order_by("pk"))
    return (lines, extra) if lines or extra else None


@transaction.atomic
def find(
    stocktake: Stocktake,
    item: Item,
    *,
    containers: int,
    nominal_milli: int,
    unit: str,
    by: User,
    state: str = TubeState.SEALED,
    left_milli: int | None = None,
    key: str | None = None,
) -> FoundLine:
    """Containers that stand there and are not in the books: they are received when the count is posted."""
    if not 1 <= containers <= 500:
        raise refuse("containers", f"Write between 1 and 500 containers on a line, not {containers}.")
    check_amount(nominal_milli, unit, "size")
    if left_milli is not None:
        check_amount(left_milli, unit, "left", zero=True)
        if left_milli > nominal_milli:
            raise refuse("left", f"{exact(left_milli, unit)} is more than the size of {exact(nominal_milli, unit)}.")
        if state == TubeState.SEALED and left_milli != nominal_milli:
            raise refuse("left", "A sealed container is full: leave the amount out, or say that it is open.")
    if state not in (TubeState.SEALED, TubeState.OPEN):
        raise refuse("state", "What is found is sealed or open; an empty container is not received.")
    if item.studio_id != stocktake.studio_id:
        raise refuse("item", f"{item.name} is not one of this studio's paints and materials.")
    check_text("key", key or "", 60)
    _hold_open(stocktake)
    if key and (earlier := FoundLine.objects.filter(stocktake=stocktake, key=key).first()) is not None:
        return earlier
    return FoundLine.objects.create(
        stocktake=stocktake,
        item=item,
        containers=containers,
        nominal_milli=nominal_milli,
        unit=unit,
        state=state,
        left_milli=left_milli,
        by=by,
        key=key or None,
    )


@transaction.atomic
def take_off(stocktake: Stocktake, line: FoundLine) -> None:
    """What was written as found was not so."""
    _hold_open(stocktake)
    FoundLine.objects.filter(pk=line.pk, stocktake=stocktake).delete()


@transaction.atomic
def put_at(stocktake: Stocktake, place: Place, *, by: User) -> None:
    """The place was taken away or named wrongly: the count and all its lines are of another place from now on."""
    hold_studio(stocktake.studio)
    hold_place(place, stocktake.studio_id)
    _hold_open(stocktake)
    running = queries.open_stocktakes(stocktake.studio).filter(place=place).exclude(pk=stocktake.pk).first()
    if running is not None:
        raise refuse(
            "place", f"{place} is being counted already by {running.started_by}: post or drop that count first."
        )
    stocktake.place = place
    stocktake.save(update_fields=["place"])


@transaction.atomic
def drop(stocktake: Stocktake) -> None:
    """Give the count up; its lines stay to be read, and nothing is posted."""
    _hold_open(stocktake)
    stocktake.dropped_at = timezone.now()
    stocktake.save(update_fields=["dropped_at"])


@dataclass(frozen=True)
class Posted:
    """What posting did; `again` when it had been posted before, so that nothing was added."""

    entries: int
    received: int
    left: tuple[Difference, ...] = ()
    again: bool = False


@transaction.atomic
def post(stocktake: Stocktake, *, by: User, reason: str, missing: str = LEAVE, at: datetime | None = None) -> Posted:
    """Write the differences as entries, receive what was found, and close the count: all or nothing, once.

    Each entry's time is that at which its container was counted.
    """
    hold_studio(stocktake.studio)
    _hold(stocktake)
    if stocktake.posted_at is not None:
        written = CountLine.objects.filter(stocktake=stocktake).exclude(posted_entry=None).count()
        return Posted(written, 0, again=True)
    _hold_open(stocktake)
    reason = reason.strip()
    if not reason:
        raise refuse("reason", "Say why it was counted, such as “end of term”: the entries name it.")
    check_text("reason", reason, LONGEST_REASON)
    if missing not in (LEAVE, LOST):
        raise refuse("missing", f"Choose what becomes of what was not there: {LEAVE} or {LOST}, not {missing!r}.")
    _hold_its_place(stocktake)
    lines = queries.newest_lines(stocktake).values_list("tube", flat=True)
    rows = Tube.objects.select_related("item__paint", "place")
    held = rows.filter(pk__in=list(lines)).select_for_update(of=("self",), no_key=True).order_by("pk")
    tubes = {tube.pk: tube for tube in held}
    found = list(queries.found_lines(stocktake).order_by("pk"))
    if not tubes and not found:
        raise refuse("stocktake", "Nothing was counted yet: count something, or drop the count.")
    decided = queries.differences(stocktake, missing, tubes=tubes)
    written = _write(stocktake, [each for each in decided if each.kind is not None], by, reason)
    received = sum(_receive(stocktake, line, by, reason) for line in found)
    stocktake.posted_at, stocktake.posted_by, stocktake.reason = at or timezone.now(), by, reason
    stocktake.save(update_fields=["posted_at", "posted_by", "reason"])
    left = tuple(each for each in decided if each.kind is None and not each.line.seen)
    return Posted(written, received, left)


def _hold_its_place(stocktake: Stocktake) -> None:
    if stocktake.place is None:
        return
    try:
        hold_place(stocktake.place, stocktake.studio_id)
    except ValidationError:
        raise refuse(
            "place",
            f"{stocktake.place} was taken away while it was counted. Nothing is lost: say at which place these things "
            "stand now, then post.",
        ) from None


def _write(stocktake: Stocktake, decided: Sequence[Difference], by: User, reason: str) -> int:
    """The entries in one go, then the tubes and the lines that they belong to."""
    head = f"Count of {stocktake.place or 'no known place'}: {reason}"
    entries = []
    for each in decided:
        assert each.kind is not None  # noqa: S101  # chosen by the caller
        parts = [head, "Not found." if not each.line.seen else "", each.clipped]
        deed = Deed(
            each.kind,
            by,
            key=f"count-{stocktake.pk}-{each.tube.pk}",
            note=" ".join(filter(None, parts))[: ledger.LONGEST_NOTE],
            at=each.line.at,
            is_estimate=each.is_estimate,
        )
        entries.append(deed.entry(each.tube, change_milli=each.change_milli, **each.after))
    Entry.objects.bulk_create(entries, batch_size=500)
    _bring_up(decided, entries)
    return len(entries)


def _bring_up(decided: Sequence[Difference], entries: Sequence[Entry]) -> None:
    """Bring the held tubes to what their new entries say, alike ones together: one by one would take far longer."""
    if not entries:
        return
    newest = Entry.objects.filter(pk__gte=entries[0].pk)
    change = Subquery(newest.filter(tube=OuterRef("pk")).values("change_milli")[:1])
    alike: dict[tuple[tuple[str, Any], ...], list[int]] = defaultdict(list)
    for each in decided:
        after = dict(each.after)
        if each.change_milli or "state" in after:
            after["balance_is_estimate"] = each.is_estimate
        alike[tuple(sorted(after.items()))].append(each.tube.pk)
    for values, tubes in alike.items():
        Tube.objects.filter(pk__in=tubes).update(balance_milli=F("balance_milli") + change, **dict(values))
    entry = Subquery(newest.filter(tube=OuterRef("tube")).values("pk")[:1])
    CountLine.objects.filter(pk__in=[each.line.pk for each in decided]).update(posted_entry=entry)


def _receive(stocktake: Stocktake, line: FoundLine, by: User, reason: str) -> int:
    note = f"Found in the count: {reason}"
    tubes = ledger.receive(
        stocktake.studio,
        line.item,
        nominal_milli=line.nominal_milli,
        unit=line.unit,
        by=by,
        count=line.containers,
        state=line.state,
        left_milli=line.left_milli,
        left_is_estimate=line.left_milli is not None,
        place=stocktake.place,
        note=note,
        at=line.at,
        key=f"count-{stocktake.pk}-found-{line.pk}",
    )
    return len(tubes)
