"""Reads about counts: what is to be counted, how far it is, and what posting it would change."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet, Subquery
from django.urls import reverse
from django.utils import timezone

from inventory.models import (
    Binder,
    Condition,
    CountLine,
    Entry,
    EntryKind,
    FoundLine,
    Place,
    Stocktake,
    Tube,
    TubeState,
)
from inventory.models.tube import exact
from inventory.queries.levels import item_name
from inventory.queries.shelf import tubes as shelf_tubes
from inventory.stock import counting
from studio.attention import Attention, Urgency
from studio.models import Studio

PAGE = 50
# A count that was begun and left lying for longer is asked about on the first page.
LEFT_LYING = timedelta(days=2)


def stocktakes(studio: Studio) -> QuerySet[Stocktake]:
    """All counts, newest first, with their place and people at hand."""
    return Stocktake.objects.filter(studio=studio).select_related("place", "started_by", "posted_by")


def open_stocktakes(studio: Studio) -> QuerySet[Stocktake]:
    return stocktakes(studio).filter(posted_at=None, dropped_at=None)


def newest_lines(stocktake: Stocktake) -> QuerySet[CountLine]:
    """The line of each tube that counts: the newest."""
    newest = CountLine.objects.filter(stocktake=stocktake).values("tube").annotate(newest=Max("pk")).values("newest")
    return CountLine.objects.filter(pk__in=newest).order_by("pk")


def standing(stocktake: Stocktake) -> "QuerySet[Tube]":
    """What the books have at the place, in the order of names."""
    held = Tube.objects.of(stocktake.studio).in_use().filter(place=stocktake.place)
    return held.order_by("item__sort_name", "item_id", "number")


@dataclass(frozen=True)
class Progress:
    counted: int
    total: int

    @property
    def is_done(self) -> bool:
        return self.counted >= self.total


def progress(stocktake: Stocktake) -> Progress:
    """How many of what the books have at the place were counted; one query."""
    counted = Exists(CountLine.objects.filter(stocktake=stocktake, tube=OuterRef("pk")))
    return Progress(
        **standing(stocktake)
        .order_by()
        .annotate(is_counted=counted)
        .aggregate(counted=Count("pk", filter=Q(is_counted=True)), total=Count("pk"))
    )


@dataclass(frozen=True)
class Row:
    """A container on the count sheet, and what was found of it."""

    tube: Tube
    line: CountLine | None
    lent_to: str

    @property
    def name(self) -> str:
        return item_name(self.tube.item)

    @property
    def book(self) -> str:
        if self.tube.state == TubeState.SEALED:
            return f"sealed, {self.tube.balance}"
        about = "about " if self.tube.balance_is_estimate else ""
        return f"open, {about}{self.tube.balance} of {self.tube.nominal}"

    @property
    def kind(self) -> str:
        """The binder of a paint, to tell two of one name apart."""
        paint = getattr(self.tube.item, "paint", None)
        return "" if paint is None or paint.binder == Binder.UNKNOWN else str(paint.get_binder_display()).lower()

    @property
    def codes(self) -> str:
        paint = getattr(self.tube.item, "paint", None)
        return "" if paint is None else " ".join(line.code for line in paint.pigment_lines.all())

    @property
    def short_book(self) -> str:
        """The same where the size stands beside it."""
        if self.tube.state == TubeState.SEALED:
            return "sealed"
        return f"open, {'about ' if self.tube.balance_is_estimate else ''}{self.tube.balance}"

    @property
    def found(self) -> str:
        return line_words(self.line) if self.line else ""


def line_words(line: CountLine) -> str:
    """What somebody found, as the page says it: 'about 18 ml', 'not there', 'dried up'."""
    if not line.seen:
        return "not there"
    said = []
    if line.state == TubeState.EMPTY:
        said.append("finished")
    elif line.state == TubeState.SEALED:
        said.append("sealed")
    elif line.left_milli is not None:
        about = "about " if line.left_is_estimate else ""
        said.append(f"{about}{exact(line.left_milli, line.tube.unit)}")
    elif line.state == TubeState.OPEN:
        said.append("open")
    if line.condition and line.condition != Condition.USABLE:
        said.append(Condition(line.condition).label.lower().split(",")[0])
    return ", ".join(said) or "as in the books"


SHOWN = ("left", "counted", "all")


def rows(stocktake: Stocktake, shown: str = "all", start: int = 0, limit: int | None = None) -> list[Row]:
    """What is to be counted at the place, with what was found; three queries.

    `shown` is "left" for what nobody counted yet, "counted", or "all".
    """
    newest = CountLine.objects.filter(stocktake=stocktake, tube=OuterRef("pk")).order_by("-pk")
    here = shelf_tubes(stocktake.studio).filter(place=stocktake.place).exclude(state=TubeState.EMPTY)
    here = here.annotate(newest_line=Subquery(newest.values("pk")[:1]))
    if shown == "left":
        here = here.filter(newest_line=None)
    elif shown == "counted":
        here = here.exclude(newest_line=None)
    here = here.order_by("item__sort_name", "item_id", "number")
    found = list(here[start : None if limit is None else start + limit])
    lines = CountLine.objects.select_related("by", "tube").in_bulk(
        [tube.newest_line for tube in found if tube.newest_line]
    )
    return [Row(tube, lines.get(tube.newest_line or 0), vars(tube)["loan"] or "") for tube in found]


def unlisted(stocktake: Stocktake) -> list[CountLine]:
    """Containers found here that the books have elsewhere, or finished; two queries."""
    elsewhere = Q(tube__state=TubeState.EMPTY)
    if stocktake.place_id is None:
        elsewhere |= Q(tube__place__isnull=False)
    else:
        elsewhere |= ~Q(tube__place=stocktake.place_id) | Q(tube__place=None)
    return list(newest_lines(stocktake).filter(elsewhere, seen=True).select_related("tube__item", "tube__place", "by"))


def found_lines(stocktake: Stocktake) -> QuerySet[FoundLine]:
    return stocktake.found.select_related("item__paint", "by")


def number_words(line: FoundLine) -> str:
    size = exact(line.nominal_milli, line.unit)
    left = "" if line.left_milli is None else f", {exact(line.left_milli, line.unit)} left"
    return f"{line.containers} of {size}, {TubeState(line.state).label.lower()}{left}"


@dataclass(frozen=True)
class Difference:
    """What posting a line would do to its tube. `kind` is None where nothing is written, and `why` says so."""

    line: CountLine
    tube: Tube
    kind: EntryKind | None
    change_milli: int
    after: dict[str, Any]
    is_estimate: bool
    why: str = ""
    clipped: str = ""

    @property
    def name(self) -> str:
        return item_name(self.tube.item)

    @property
    def is_same(self) -> bool:
        return self.kind is None and self.line.seen and not self.why

    @property
    def is_left_as_it_is(self) -> bool:
        return self.kind is None and self.line.seen and bool(self.why)

    @property
    def found(self) -> str:
        return line_words(self.line)

    @property
    def book(self) -> str:
        """What the books said when it was counted."""
        return exact(self.line.book_milli, self.tube.unit)

    @property
    def words(self) -> str:
        """'4 ml less; from the sink shelf to here; dried up'."""
        said = []
        if self.change_milli:
            amount = exact(abs(self.change_milli), self.tube.unit)
            said.append(f"{amount} {'more' if self.change_milli > 0 else 'less'}")
        state = self.after.get("state")
        if state and state != self.tube.state:
            said.append({"empty": "finished", "open": "open", "sealed": "sealed"}[state])
        if "place_id" in self.after:
            said.append(f"moves here from {self.tube.place or 'a place not known'}")
        if "condition" in self.after:
            said.append(Condition(self.after["condition"]).label.lower())
        if self.kind == EntryKind.DISCARDED:
            said.append("lost")
        return "; ".join(said)


LEAVE, LOST = "leave", "lost"


def differences(
    stocktake: Stocktake, missing: str = LEAVE, *, tubes: dict[int, Tube] | None = None
) -> list[Difference]:
    """What posting would write, for each tube that was counted, in the order of ids; three queries.

    `missing` says what becomes of what was looked for and not there: `LOST` discards it, `LEAVE` leaves it. `tubes`
    are the tubes as the caller holds them.
    """
    lines = list(newest_lines(stocktake).select_related("tube__item__paint", "tube__place", "by").order_by("tube"))
    later = _later(lines)
    lent = _lent([line.tube_id for line in lines])
    return [
        _difference(stocktake, line, tubes[line.tube_id] if tubes else line.tube, later[line.tube_id], lent, missing)
        for line in lines
    ]


def _later(lines: Sequence[CountLine]) -> dict[int, list[Entry]]:
    """The entries that each tube got after it was counted."""
    found: dict[int, list[Entry]] = defaultdict(list)
    if not lines:
        return found
    last = {line.tube_id: line.last_entry_id or 0 for line in lines}
    entries = Entry.objects.filter(tube__in=last, pk__gt=min(last.values())).select_related("by").order_by("pk")
    for entry in entries:
        if entry.pk > last[entry.tube_id]:
            found[entry.tube_id].append(entry)
    return found


def _lent(tubes: Iterable[int]) -> dict[int, str]:
    loans = Entry.objects.filter(
        tube__in=list(tubes), kind__in=[EntryKind.LENT, EntryKind.RETURNED], corrected_by=None
    ).order_by("pk")
    last = {tube: (kind, note) for tube, kind, note in loans.values_list("tube", "kind", "note")}
    return {tube: note for tube, (kind, note) in last.items() if kind == EntryKind.LENT}


def _difference(
    stocktake: Stocktake, line: CountLine, tube: Tube, later: Sequence[Entry], lent: dict[int, str], missing: str
) -> Difference:
    def nothing(why: str) -> Difference:
        return Difference(line, tube, None, 0, {}, is_estimate=False, why=why)

    if not line.seen:
        return _missing(line, tube, later, lent, missing)
    known = counting.since(line.at, line.last_entry_id or 0, [_as_later(entry) for entry in later])
    after: dict[str, Any] = {}
    settled = next((entry for entry in later if entry.pk == known.settled_by), None)
    change = counting.Change(0, 0)
    is_estimate = False
    found = _found_milli(line, tube)
    if settled is None and found is not None:
        change = counting.posted_change(
            found_milli=found,
            book_milli=line.book_milli,
            before_milli=known.before_milli,
            now_milli=tube.balance_milli,
            size_milli=tube.nominal_milli,
        )
        is_estimate = line.left_is_estimate and line.left_milli is not None
        after |= _state(line, tube, tube.balance_milli + change.change_milli)
    if (
        not any(entry.place_before_id != entry.place_after_id for entry in later)
        and tube.place_id != stocktake.place_id
    ):
        after["place_id"] = stocktake.place_id
    if line.condition and line.condition != tube.condition and not any(entry.condition_after for entry in later):
        after["condition"] = line.condition
    why = ""
    if settled is not None:
        kind = settled.get_kind_display().lower()
        why = f"{settled.by} recorded '{kind}' after it was counted, and that figure stands"
    kind_of = _kind(change.change_milli, after)
    if kind_of is None:
        return nothing(why)
    clipped = ""
    if change.clipped_milli:
        clipped = (
            f"{exact(abs(change.clipped_milli), tube.unit)} {'more' if change.clipped_milli > 0 else 'less'} was found "
            "than fits what happened since."
        )
    return Difference(line, tube, kind_of, change.change_milli, after, is_estimate, why, clipped)


def _missing(line: CountLine, tube: Tube, later: Sequence[Entry], lent: dict[int, str], missing: str) -> Difference:
    def left(why: str) -> Difference:
        return Difference(line, tube, None, 0, {}, is_estimate=False, why=why)

    if tube.state == TubeState.EMPTY:
        return left("finished since")
    if later:
        entry = later[-1]
        return left(f"{entry.by} recorded '{entry.get_kind_display().lower()}' after the count, so it is left")
    if tube.pk in lent:
        return left(f"lent {lent[tube.pk][:1].lower()}{lent[tube.pk][1:]}, so it is left")
    if missing != LOST:
        return left("not there; it stays in the books")
    after = {"state": TubeState.EMPTY}
    return Difference(line, tube, EntryKind.DISCARDED, -tube.balance_milli, after, is_estimate=False)


def _as_later(entry: Entry) -> counting.Later:
    emptied = entry.state_before != TubeState.EMPTY == entry.state_after and entry.kind != EntryKind.CORRECTED
    saw = entry.kind == EntryKind.COUNTED or (entry.kind == EntryKind.WEIGHED and entry.change_milli != 0)
    return counting.Later(
        key=entry.pk,
        change_milli=entry.change_milli,
        corrects=entry.corrects_id,
        at=entry.at,
        written_at=entry.written_at,
        settles=emptied or saw,
    )


def _found_milli(line: CountLine, tube: Tube) -> int | None:
    """How much was there; None where the person said nothing of it, so that the books stand."""
    if line.state == TubeState.EMPTY:
        return 0
    if line.state == TubeState.SEALED and line.left_milli is None:
        return tube.nominal_milli
    if line.left_milli is None and line.state == TubeState.OPEN:
        return line.book_milli
    return line.left_milli


def _state(line: CountLine, tube: Tube, new_milli: int) -> dict[str, Any]:
    full = new_milli == tube.nominal_milli
    stays_sealed = tube.state == TubeState.SEALED and line.state != TubeState.OPEN
    state = TubeState.OPEN
    if line.state == TubeState.EMPTY and new_milli == 0:
        state = TubeState.EMPTY
    elif full and (line.state == TubeState.SEALED or stays_sealed):
        state = TubeState.SEALED
    if state == tube.state:
        return {}
    if state == TubeState.OPEN and tube.opened_on is None:
        return {"state": state, "opened_on": timezone.localdate(line.at)}
    return {"state": state, "opened_on": None} if state == TubeState.SEALED else {"state": state}


def _kind(change_milli: int, after: dict[str, Any]) -> EntryKind | None:
    if change_milli or "state" in after:
        return EntryKind.COUNTED
    if "condition" in after:
        return EntryKind.COUNTED if "place_id" in after else EntryKind.EXAMINED
    return EntryKind.MOVED if "place_id" in after else None


def books_of(stocktake: Stocktake, item: int) -> list[Tube]:
    """The tubes of one paint that the books have at the place, in the order of their numbers; one query."""
    return list(standing(stocktake).filter(item=item).select_related("item").order_by("number"))


def open_places(studio: Studio) -> QuerySet[Place]:
    """The places that no count is open for, with how much stands there."""
    counted = Stocktake.objects.filter(place=OuterRef("pk"), posted_at=None, dropped_at=None)
    in_use = ~Q(tubes__state=TubeState.EMPTY) & Q(tubes__isnull=False)
    return (
        Place.objects.filter(studio=studio, removed_at=None)
        .exclude(Exists(counted))
        .annotate(standing=Count("tubes", filter=in_use), counted_at=Max("stocktakes__posted_at"))
        .order_by("name")
    )


def counts_left_lying(studio: Studio) -> Iterator[Attention]:
    """Counts that were begun days ago and neither posted nor dropped; one query."""
    old = open_stocktakes(studio).filter(started_at__lt=timezone.now() - LEFT_LYING)
    for stocktake in old.annotate(counted=Count("lines__tube", distinct=True)).order_by(F("started_at"))[:3]:
        where = stocktake.place or "no known place"
        many = "1 container" if stocktake.counted == 1 else f"{stocktake.counted} containers"
        yield Attention(
            Urgency.ADVICE,
            f"The count of {where}, begun on {timezone.localtime(stocktake.started_at):%-d %B} by "
            f"{stocktake.started_by}, is not posted; {many} {'was' if stocktake.counted == 1 else 'were'} counted.",
            "Go on with it",
            reverse("inventory:stocktake", args=[studio.slug, stocktake.pk]),
            deed=reverse("inventory:stocktake_count", args=[studio.slug, stocktake.pk]),
        )
