"""Notices: made from what is known now, hung, taken down."""

from collections.abc import Callable, Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Item
from safety.models import Notice
from safety.queries.facts import facts_of, house_of, items, lists_of
from safety.queries.notices import standings
from safety.queries.reference import phrasebook
from safety.rules.facts import Facts
from safety.rules.notice import House, content
from safety.rules.snapshot import to_plain
from safety.rules.statements import Phrasebook
from studio.models import Studio, User

PageUrl = Callable[[Item], str]


@transaction.atomic
def make_notice(item: Item, *, by: User, page_url: str, at: datetime | None = None) -> Notice:
    """Make a notice from what is known of an item now.

    Where the newest notice already says the same, word for word, that one is returned and none is made.
    """
    found = items(item.studio).get(pk=item.pk)
    facts = facts_of([found])[found.pk]
    house = house_of(item.studio)
    notice = _written(found, facts, item.studio, house, phrasebook(), by, page_url, at or timezone.now())
    newest = Notice.objects.filter(item=item).order_by("-pk").first()
    if newest and _says_the_same(newest, notice):
        return newest
    notice.save()
    return notice


@transaction.atomic
def make_notices(studio: Studio, *, by: User, page_url: PageUrl) -> list[Notice]:
    """Make every notice that is missing or whose facts have changed, of all that is in stock."""
    book, house, now = phrasebook(), house_of(studio), timezone.now()
    wanting = [one for one in standings(studio) if one.needs_new]
    made = [_written(one.item, one.facts, studio, house, book, by, page_url(one.item), now) for one in wanting]
    return Notice.objects.bulk_create(made)


def _written(
    item: Item,
    facts: Facts,
    studio: Studio,
    house: House,
    book: Phrasebook,
    by: User,
    page_url: str,
    at: datetime,
) -> Notice:
    made = content(
        facts,
        house=house,
        phrasebook=book,
        made_on=timezone.localdate(at),
        page_url=page_url,
        regimes=lists_of(studio).regimes,
    )
    plain, lines = to_plain(made)
    return Notice(
        studio=studio, item=item, made_by=by, made_at=at, content=plain, facts=lines, fingerprint=made.fingerprint
    )


def _says_the_same(earlier: Notice, later: Notice) -> bool:
    """Whether two notices differ in nothing but the day on which they were made."""
    same_words = {**earlier.content, "made_on": later.content["made_on"]} == later.content
    return same_words and earlier.facts == later.facts


@transaction.atomic
def hang(notice: Notice, *, where: str, by: User, at: datetime | None = None) -> Notice:
    """Record that a notice hangs somewhere; another one of the same item at that place comes down."""
    place = " ".join(where.split())
    if not place:
        raise ValidationError({"where": ValidationError("Say where it hangs, such as: above the sink.", code="where")})
    notice = Notice.objects.select_for_update().get(pk=notice.pk)
    moment = at or timezone.now()
    others = list(Notice.objects.hanging().filter(item=notice.item_id, hung_where__iexact=place))
    earliest = max([notice.made_at, *(one.hung_at for one in others if one.hung_at)])
    if not earliest <= moment <= timezone.now():
        message = f"{moment:%Y-%m-%d %H:%M} is in the future, or before the notice was made or an earlier one was hung."
        raise ValidationError({"at": ValidationError(message, code="at")})
    if notice.hangs:
        message = f"This notice already hangs: {notice.hung_where}. Take it down there first."
        raise ValidationError({"where": ValidationError(message, code="where")})
    _take_down(others, by=by, at=moment)
    notice.hung_at, notice.hung_by, notice.hung_where = moment, by, place
    notice.taken_down_at = notice.taken_down_by = None
    notice.full_clean(exclude=["content", "facts"])
    notice.save()
    return notice


@transaction.atomic
def take_down(notice: Notice, *, by: User) -> Notice:
    """Record that a notice hangs no more."""
    if not _take_down(Notice.objects.hanging().filter(pk=notice.pk), by=by, at=timezone.now()):
        raise ValidationError({"__all__": ValidationError("This notice does not hang anywhere.", code="hung")})
    notice.refresh_from_db()
    return notice


def _take_down(notices: Iterable[Notice], *, by: User, at: datetime) -> int:
    rows = Notice.objects.filter(pk__in=[one.pk for one in notices])
    return rows.update(taken_down_at=at, taken_down_by=by)
