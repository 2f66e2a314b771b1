"""Which notices a shelf has, which it lacks, and which no longer say what is known."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from inventory.models import Item
from safety.models import Notice
from safety.queries.facts import facts_of, house_of, in_stock, lists_of
from safety.queries.reference import phrasebook
from safety.rules.facts import Facts
from safety.rules.known import fact_lines
from safety.rules.notice import Changes, House, NoticeContent, changes, content, mark
from safety.rules.snapshot import from_plain
from studio.models import Studio


class State(StrEnum):
    OUT_OF_DATE = "out of date"
    MISSING = "missing"
    CURRENT = "current"


@dataclass(frozen=True)
class Outdated:
    """A notice whose facts have changed since it was made, with what changed line by line."""

    notice: Notice
    changed: Changes


@dataclass(frozen=True)
class Standing:
    """How one item stands: its newest notice, those that hang, and which of them no longer hold."""

    item: Item
    facts: Facts
    latest: Notice | None
    hanging: tuple[Notice, ...]
    outdated: tuple[Outdated, ...]

    @property
    def state(self) -> State:
        if self.outdated:
            return State.OUT_OF_DATE
        return State.CURRENT if self.latest else State.MISSING

    @property
    def needs_new(self) -> bool:
        """Whether another notice has to be made, rather than only another one taken down."""
        return self.latest is None or any(one.notice == self.latest for one in self.outdated)


def facts_now(facts: Facts, studio: Studio, house: House) -> tuple[str, ...]:
    """The fact lines of today, as a notice made now would keep them."""
    contacts = ((one.role, one.number) for one in house.contacts)
    return fact_lines(facts, lists_of(studio).regimes, house.rules, contacts)


def standings(studio: Studio, found: Sequence[Item] | None = None) -> list[Standing]:
    """How everything in stock stands, or the given items; nine queries for any number of them.

    Items have to come from safety.queries.facts: that has all at hand.
    """
    held = list(in_stock(studio)) if found is None else found
    known = facts_of(held)
    notices: dict[int, list[Notice]] = {}
    for notice in _relevant(studio):
        notices.setdefault(notice.item_id, []).append(notice)
    house = house_of(studio)
    now = {pk: facts_now(facts, studio, house) for pk, facts in known.items()}
    marks = {pk: mark(lines) for pk, lines in now.items()}
    stale = [one for pk in marks for one in notices.get(pk, ()) if one.fingerprint != marks[pk]]
    kept_lines = _lines_of(stale)
    answers = []
    for item in held:
        rows = notices.get(item.pk, [])
        outdated = (one for one in rows if one.fingerprint != marks[item.pk])
        answers.append(
            Standing(
                item,
                known[item.pk],
                rows[0] if rows else None,
                tuple(one for one in rows if one.hangs),
                tuple(Outdated(one, changes(kept_lines[one.pk], now[item.pk])) for one in outdated),
            )
        )
    return answers


def preview(standing: Standing, studio: Studio, page_url: str) -> NoticeContent:
    """What a notice made now would say; one query, for the phrases."""
    return content(
        standing.facts,
        house=house_of(studio),
        phrasebook=phrasebook(),
        made_on=timezone.localdate(),
        page_url=page_url,
        regimes=lists_of(studio).regimes,
    )


def _relevant(studio: Studio) -> "QuerySet[Notice]":
    """The newest notice of each item and every one that hangs, newest first, without what they say."""
    newest = Notice.objects.filter(item=OuterRef("item")).order_by("-pk").values("pk")[:1]
    hangs = Q(hung_at__isnull=False, taken_down_at=None)
    rows = Notice.objects.of(studio).filter(Q(pk=Subquery(newest)) | hangs)
    people = ("made_by", "hung_by", "taken_down_by")
    return rows.select_related("item", *people).defer("content", "facts").order_by("-pk")


def _lines_of(notices: Iterable[Notice]) -> dict[int, list[str]]:
    wanted = [one.pk for one in notices]
    return dict(Notice.objects.filter(pk__in=wanted).values_list("pk", "facts")) if wanted else {}


def notices_of(item: Item) -> "QuerySet[Notice]":
    """Every notice of one item, newest first, without what they say."""
    rows = Notice.objects.filter(item=item).select_related("item", "made_by", "hung_by", "taken_down_by")
    return rows.defer("content", "facts").order_by("-pk")


def content_of(notice: Notice) -> NoticeContent:
    """All that a notice said on the day it was made."""
    return from_plain(notice.content, notice.facts)


def book(studio: Studio) -> list[Notice]:
    """The newest notice of everything in stock that still says what is known, in the order of names."""
    current = [one.latest.pk for one in standings(studio) if one.latest and not one.needs_new]
    rows = Notice.objects.filter(pk__in=current).select_related("item")
    return list(rows.order_by("item__sort_name", "item_id"))
