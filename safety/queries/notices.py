"""Which notices a shelf has, which it lacks, and which no longer say what is known."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db.models import Exists, F, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.utils import timezone

from inventory.models import Item
from safety.models import Notice, Posting
from safety.queries.facts import facts_of, house_of, in_stock, lists_of
from safety.queries.reference import phrasebook
from safety.rules.changes import Changes, changes
from safety.rules.facts import Facts
from safety.rules.notice import House, NoticeContent, content
from safety.rules.snapshot import from_plain
from safety.rules.statements import Phrasebook
from studio.models import Studio


class State(StrEnum):
    OUT_OF_DATE = "out of date"
    MISSING = "missing"
    CURRENT = "current"


@dataclass(frozen=True)
class Outdated:
    """A notice whose facts have changed since it was made, with where it hangs and what changed line by line."""

    notice: Notice
    changed: Changes
    postings: tuple[Posting, ...] = ()


@dataclass(frozen=True)
class Standing:
    """How one item stands: its newest notice, those that hang, and which of them no longer hold."""

    item: Item
    facts: Facts
    says: NoticeContent
    latest: Notice | None
    hanging: tuple[Posting, ...]
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


def said_now(facts: Facts, studio: Studio, house: House, book: Phrasebook) -> NoticeContent:
    """What a notice made now would say, but for its address."""
    regimes = lists_of(studio).regimes
    return content(facts, house=house, phrasebook=book, made_on=timezone.localdate(), regimes=regimes)


def standings(studio: Studio, found: Sequence[Item] | None = None) -> list[Standing]:
    """How everything in stock stands, or the given items; eleven queries for any number of them.

    Items have to come from safety.queries.facts: that has all at hand.
    """
    held = list(in_stock(studio)) if found is None else found
    known = facts_of(held)
    notices: dict[int, list[Notice]] = {}
    hung: dict[int, list[Posting]] = {}
    for notice in _relevant(studio):
        if notice.item_id is not None:
            notices.setdefault(notice.item_id, []).append(notice)
    for posting in hanging_of(studio).filter(notice__item__isnull=False):
        hung.setdefault(posting.notice_id, []).append(posting)
    house, book = house_of(studio), phrasebook()
    now = {pk: said_now(facts, studio, house, book) for pk, facts in known.items()}
    stale = [one for pk in now for one in notices.get(pk, ()) if one.fingerprint != now[pk].fingerprint]
    kept_lines = lines_of(stale)
    answers = []
    for item in held:
        rows = notices.get(item.pk, [])
        outdated = (one for one in rows if one.fingerprint != now[item.pk].fingerprint)
        answers.append(
            Standing(
                item,
                known[item.pk],
                now[item.pk],
                rows[0] if rows else None,
                tuple(posting for one in rows for posting in hung.get(one.pk, ())),
                tuple(
                    Outdated(one, changes(kept_lines[one.pk], now[item.pk].facts), tuple(hung.get(one.pk, ())))
                    for one in outdated
                ),
            )
        )
    return answers


def _relevant(studio: Studio) -> "QuerySet[Notice]":
    """The newest notice of each item and every one that hangs, newest first, without what they say."""
    newest = Notice.objects.filter(item=OuterRef("item")).order_by("-pk").values("pk")[:1]
    hangs = Exists(Posting.objects.hanging().filter(notice=OuterRef("pk")))
    rows = Notice.objects.of(studio).for_items().filter(Q(pk=Subquery(newest)) | hangs)
    return rows.select_related("item", "made_by").defer("content", "facts").order_by("-pk")


def hanging_of(studio: Studio) -> "QuerySet[Posting]":
    """Everything that hangs, in the order of rooms, without what it says; one query."""
    return told(Posting.objects.of(studio).hanging()).order_by(F("room__name").asc(nulls_last=True), "where", "pk")


def told(postings: "QuerySet[Posting]") -> "QuerySet[Posting]":
    """Postings with all that a page tells of them."""
    about = ("item", "room", "palette", "group", "made_by")
    rows = postings.select_related("room", "hung_by", "taken_down_by", *(f"notice__{name}" for name in about))
    return rows.defer("notice__content", "notice__facts")


def lines_of(notices: Iterable[Notice]) -> dict[int, list[str]]:
    """The fact lines of these notices, by key; one query, or none."""
    wanted = [one.pk for one in notices]
    return dict(Notice.objects.filter(pk__in=wanted).values_list("pk", "facts")) if wanted else {}


def notices_of(item: Item) -> "QuerySet[Notice]":
    """Every notice of one item with its postings, newest first, without what they say; two queries."""
    hung = Posting.objects.select_related("room", "hung_by", "taken_down_by").order_by("-pk")
    rows = (
        Notice.objects.filter(item=item)
        .select_related("item", "made_by")
        .prefetch_related(Prefetch("postings", queryset=hung))
    )
    return rows.defer("content", "facts").order_by("-pk")


def content_of(notice: Notice) -> NoticeContent:
    """All that a notice said on the day it was made."""
    return from_plain(notice.content, notice.facts)


def book(studio: Studio) -> list[Notice]:
    """The newest notice of everything in stock that still says what is known, in the order of names."""
    current = [one.latest.pk for one in standings(studio) if one.latest and not one.needs_new]
    rows = Notice.objects.filter(pk__in=current).select_related("item")
    return list(rows.order_by("item__sort_name", "item_id"))
