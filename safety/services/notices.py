"""Notices and the other papers: made from what is known now, and kept as they were made."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Item
from safety.models import Notice, PaperKind
from safety.models.notice import ABOUT
from safety.queries.facts import facts_of, house_of, items
from safety.queries.notices import said_now, standings
from safety.queries.papers import Subject, papers_now
from safety.queries.reference import phrasebook
from safety.rules.notice import NoticeContent
from safety.rules.snapshot import paper_to_plain, to_plain
from studio.models import Studio, User

PageUrl = Callable[[Item], str]


@transaction.atomic
def make_notice(item: Item, *, by: User, page_url: str, at: datetime | None = None) -> Notice:
    """Make a notice from what is known of an item now.

    Where the newest notice already says the same, word for word, that one is returned and none is made.
    """
    found = items(item.studio).get(pk=item.pk)
    notice = _written(_says(found, item.studio), found, item.studio, by=by, page_url=page_url, at=at or timezone.now())
    newest = Notice.objects.filter(item=item).order_by("-pk").first()
    if newest and says_the_same(newest, notice):
        return newest
    notice.save()
    return notice


@transaction.atomic
def make_notices(studio: Studio, *, by: User, page_url: PageUrl) -> list[Notice]:
    """Make every notice that is missing or whose facts have changed, of all that is in stock."""
    now = timezone.now()
    wanting = [one for one in standings(studio) if one.needs_new]
    made = [_written(one.says, one.item, studio, by=by, page_url=page_url(one.item), at=now) for one in wanting]
    return Notice.objects.bulk_create(made)


def _says(item: Item, studio: Studio) -> NoticeContent:
    return said_now(facts_of([item])[item.pk], studio, house_of(studio), phrasebook())


def _written(says: NoticeContent, item: Item, studio: Studio, *, by: User, page_url: str, at: datetime) -> Notice:
    plain, lines = to_plain(replace(says, made_on=timezone.localdate(at), page_url=page_url))
    return Notice(
        studio=studio, item=item, made_by=by, made_at=at, content=plain, facts=lines, fingerprint=says.fingerprint
    )


def says_the_same(earlier: Notice, later: Notice) -> bool:
    """Whether two notices differ in nothing but the day on which they were made."""
    same_words = {**earlier.content, "made_on": later.content["made_on"]} == later.content
    return same_words and earlier.facts == later.facts


def write_paper(subject: Subject, studio: Studio, *, by: User, page_url: str, at: datetime | None = None) -> Notice:
    """Work out what a paper says now, without keeping it; ValidationError if there is nothing to make it of."""
    kind, pk, group, room = subject
    moment = at or timezone.now()
    if kind == PaperKind.NOTICE:
        found = list(items(studio).filter(pk=pk))
        if found:
            return _written(_says(found[0], studio), found[0], studio, by=by, page_url=page_url, at=moment)
        paper = None
    else:
        paper = papers_now(studio, [subject], page_url).get(subject)
    if paper is None:
        message = f"The {PaperKind(kind).label.lower()} cannot be made: what it was about is not in {studio} any more."
        raise ValidationError({"__all__": ValidationError(message, code="gone")})
    plain, lines = paper_to_plain(replace(paper, made_on=timezone.localdate(moment)))
    return Notice(
        studio=studio,
        kind=kind,
        made_by=by,
        made_at=moment,
        content=plain,
        facts=lines,
        fingerprint=paper.fingerprint,
        **{"group_id": group, "room_id": room, f"{ABOUT[PaperKind(kind)]}_id": pk},
    )
