"""What hangs where: hung, replaced, taken down. Two people at one wall do one deed, and the second is told.

The studio's row is held while what hangs is looked at and changed (`no_key`, as every lock here); what a paper says is
worked out before.
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Room
from safety.models import Notice, PaperKind, Posting
from safety.models.notice import ABOUT
from safety.queries.postings import subject_of
from safety.services.notices import says_the_same, write_paper
from studio.models import Studio, User

LONGEST_PLACE = 120


def _refuse(field: str, message: str) -> ValidationError:
    return ValidationError({field: ValidationError(message, code=field)})


@transaction.atomic
def hang(notice: Notice, *, by: User, where: str = "", room: Room | None = None, at: datetime | None = None) -> Posting:
    """Record that a paper hangs at a place; another one about the same thing at that very place comes down."""
    place = " ".join(where.split())
    if not place and room is None:
        raise _refuse("where", "Say where it hangs: choose a room, or write the place, such as: above the sink.")
    if len(place) > LONGEST_PLACE:
        raise _refuse("where", f"Use at most {LONGEST_PLACE} letters for the place; this has {len(place)}.")
    if room and (room.studio_id != notice.studio_id or room.removed_at):
        raise _refuse("room", f"{room} is no room that is used here: choose another.")
    _hold(notice.studio)
    moment = at or timezone.now()
    there = list(_hanging_there(notice, room, place))
    if any(one.notice_id == notice.pk for one in there):
        said = there[0].place
        message = f"This paper already hangs there: {said}. Take it down first, or choose another place."
        raise _refuse("where", message)
    earliest = max([notice.made_at, *(one.hung_at for one in there)])
    if not earliest <= moment <= timezone.now():
        message = f"{moment:%Y-%m-%d %H:%M} is in the future, or before the paper was made or an earlier one was hung."
        raise _refuse("at", message)
    _take_down(there, by=by, at=moment)
    posting = Posting(
        studio=notice.studio,
        notice=notice,
        room=room,
        where=place,
        hung_at=moment,
        hung_by=by,
        replaces=there[0] if there else None,
    )
    posting.full_clean()
    posting.save()
    return posting


def replace(posting: Posting, *, by: User, page_url: str, fingerprint: str = "", at: datetime | None = None) -> Posting:
    """Record that what is known now hangs where an older paper hung.

    `fingerprint` is the mark on the new paper; it is refused when what is known has changed again since that was
    printed. The second of two people is told who was first.
    """
    paper = write_paper(subject_of(posting.notice), posting.studio, by=by, page_url=page_url, at=at)
    with transaction.atomic():
        _hold(posting.studio)
        old = _still_hanging(posting)
        moment = at or timezone.now()
        if paper.fingerprint == old.notice.fingerprint:
            message = "This paper still says what is known: there is nothing to replace."
            raise _refuse("__all__", message)
        if fingerprint and fingerprint != paper.fingerprint:
            message = (
                f"What is known has changed again: a paper printed now has the mark {paper.fingerprint}, yours has "
                f"{fingerprint}. Print it again, then say that it hangs."
            )
            raise _refuse("fingerprint", message)
        return _in_its_place(old, kept_paper(paper), old.room, by=by, at=moment)


@transaction.atomic
def hang_now(
    paper: Notice,
    *,
    by: User,
    where: str = "",
    room: Room | None = None,
    fingerprint: str = "",
    at: datetime | None = None,
) -> Posting:
    """Keep a paper that was just worked out and hang it; refused when it is no longer the one that was printed."""
    if fingerprint and fingerprint != paper.fingerprint:
        message = (
            f"What is known has changed: a paper printed now has the mark {paper.fingerprint}, yours has "
            f"{fingerprint}. Print it again, then say where it hangs."
        )
        raise _refuse("fingerprint", message)
    _hold(paper.studio)
    return hang(kept_paper(paper), by=by, where=where, room=room, at=at)


@transaction.atomic
def put_in_room(posting: Posting, room: Room, *, by: User) -> Posting:
    """Record in which room a paper hangs of which only words told the place; the older line stays on record."""
    if room.studio_id != posting.studio_id or room.removed_at:
        raise _refuse("room", f"{room} is no room that is used here: choose another.")
    _hold(posting.studio)
    old = _still_hanging(posting)
    if old.room_id:
        raise _refuse("room", f"It is written down already: {old.place}. Take it down, or hang it anew.")
    if _hanging_there(old.notice, room, old.where):
        raise _refuse("room", f"Such a paper hangs in {room} already, {old.where}: take this one down instead.")
    return _in_its_place(old, old.notice, room, by=by, at=timezone.now())


@transaction.atomic
def take_down(posting: Posting, *, by: User) -> Posting:
    """Record that a paper hangs no more at its place."""
    _hold(posting.studio)
    old = _still_hanging(posting)
    _take_down([old], by=by, at=timezone.now())
    old.refresh_from_db()
    return old


def kept_paper(paper: Notice) -> Notice:
    """The newest paper about the same thing if it says the same, word for word; else this one, now kept."""
    if paper.pk:
        return paper
    kind, pk, group, room = subject_of(paper)
    about = {"group_id": group, "room_id": room, f"{ABOUT[PaperKind(kind)]}_id": pk}
    newest = Notice.objects.filter(kind=kind, **about).order_by("-pk").first()
    if newest and says_the_same(newest, paper):
        return newest
    paper.save()
    return paper


def _hold(studio: Studio) -> None:
    Studio.objects.select_for_update(no_key=True).get(pk=studio.pk)


def _still_hanging(posting: Posting) -> Posting:
    """The posting as it is by now; refused, with who was first, if it hangs no more."""
    now = Posting.objects.select_related("notice", "room", "taken_down_by", "studio").get(pk=posting.pk)
    if now.taken_down_at is None:
        return now
    when = f"{timezone.localtime(now.taken_down_at):%Y-%m-%d at %H:%M}"
    after = Posting.objects.filter(replaces=now).select_related("notice", "hung_by").first()
    if after:
        message = (
            f"{after.hung_by} replaced this paper on {when}: {after.notice.fingerprint} hangs there now. "
            "Nothing was changed a second time."
        )
    else:
        message = f"{now.taken_down_by} took this paper down on {when}. Nothing was changed a second time."
    raise _refuse("__all__", message)


def _hanging_there(notice: Notice, room: Room | None, place: str) -> list[Posting]:
    """What hangs at this very place and is about the same thing, of whichever room a class page tells."""
    rows = Posting.objects.of(notice.studio).hanging().filter(room=room, where__iexact=place, notice__kind=notice.kind)
    about = subject_of(notice)._replace(room=None)
    rows = rows.select_related("notice", "room").order_by("pk")
    return [one for one in rows if subject_of(one.notice)._replace(room=None) == about]


def _in_its_place(old: Posting, notice: Notice, room: Room | None, *, by: User, at: datetime) -> Posting:
    _take_down([old], by=by, at=at)
    new = Posting(studio=old.studio, notice=notice, room=room, where=old.where, hung_at=at, hung_by=by, replaces=old)
    new.full_clean()
    new.save()
    return new


def _take_down(postings: list[Posting], *, by: User, at: datetime) -> None:
    rows = Posting.objects.filter(pk__in=[one.pk for one in postings], taken_down_at=None)
    rows.update(taken_down_at=at, taken_down_by=by)
