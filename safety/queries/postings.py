"""What hangs where, and which of it no longer says what is known."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from inventory.models import Room, Tube
from safety.models import Notice, PaperKind, Posting
from safety.models.notice import ABOUT
from safety.queries.facts import house_of
from safety.queries.notices import hanging_of, lines_of
from safety.queries.papers import Subject, known_of, papers_now
from safety.rules.changes import Changes, changes
from safety.rules.notice import mark
from studio.models import Studio


@dataclass(frozen=True)
class Hanging:
    """One paper at one place, and how what it says stands to what is known now."""

    posting: Posting
    fingerprint: str
    """The mark of what a paper made now would say; empty where there is nothing to make it of any more."""
    changed: Changes
    gone: str = ""
    """Why the paper is about nothing that is still here."""

    @property
    def out_of_date(self) -> bool:
        return bool(self.gone) or bool(self.changed)


@dataclass(frozen=True)
class Wall:
    """What hangs in one room; without a room where only words say it."""

    room: Room | None
    papers: tuple[Hanging, ...]

    @property
    def out_of_date(self) -> int:
        return sum(one.out_of_date for one in self.papers)


def subject_of(notice: Notice) -> Subject:
    kind = PaperKind(notice.kind)
    pk: int = getattr(notice, f"{ABOUT[kind]}_id")
    return Subject(notice.kind, pk, notice.group_id, notice.room_id) if kind == PaperKind.CLASS else Subject(kind, pk)


def hanging(studio: Studio, *, kinds: Sequence[str] = PaperKind.values) -> list[Hanging]:
    """Everything of these kinds that hangs, room by room; the number of queries does not grow with it."""
    postings = list(hanging_of(studio).filter(notice__kind__in=kinds))
    now = lines_now(studio, {subject_of(one.notice) for one in postings})
    marks = {subject: mark(lines) for subject, lines in now.items()}
    stale = [one.notice for one in postings if marks.get(subject_of(one.notice)) != one.notice.fingerprint]
    before = lines_of(stale)
    in_stock = _in_stock(studio, [one.notice.item_id for one in postings if one.notice.item_id])
    answers = []
    for posting in postings:
        subject = subject_of(posting.notice)
        kept = before.get(posting.notice_id)
        changed = Changes((), ()) if kept is None else changes(kept, now.get(subject, ()))
        answers.append(Hanging(posting, marks.get(subject, ""), changed, _gone(posting.notice, in_stock)))
    return answers


def _in_stock(studio: Studio, wanted: Sequence[int]) -> set[int]:
    if not wanted:
        return set()
    held = Tube.objects.of(studio).in_use().filter(item__in=wanted)
    return set(held.values_list("item_id", flat=True))


def _gone(notice: Notice, in_stock: set[int]) -> str:
    if notice.item_id and notice.item_id not in in_stock:
        return "Nothing of it stands on the shelf any more."
    if notice.room and notice.room.removed_at:
        return "The room is no longer used."
    if notice.palette and notice.palette.removed_at:
        return "The palette is no longer used."
    if notice.kind == PaperKind.GROUP and notice.group and notice.group.removed_at:
        return "The group is no longer used."
    return ""


def lines_now(studio: Studio, wanted: set[Subject]) -> dict[Subject, tuple[str, ...]]:
    """The fact lines that each paper would have if it were made now."""
    about_items = {one.pk for one in wanted if one.kind == PaperKind.NOTICE}
    found: dict[Subject, tuple[str, ...]] = {}
    if about_items:
        known, house = known_of(studio, about_items), house_of(studio)
        found = {Subject(PaperKind.NOTICE, pk): known.says(pk, house).facts for pk in known.items}
    others = [subject for subject in wanted if subject.kind != PaperKind.NOTICE]
    papers = papers_now(studio, others)
    return {**found, **{subject: paper.facts for subject, paper in papers.items()}}


def walls(studio: Studio) -> list[Wall]:
    """What hangs in each room; a room with something out of date first, a room in use without papers too."""
    by_room: dict[int | None, Wall] = {}
    for room, found in groupby(hanging(studio), key=lambda one: one.posting.room):
        papers = sorted(found, key=lambda one: not one.out_of_date)
        by_room[room.pk if room else None] = Wall(room, tuple(papers))
    for room in Room.objects.filter(studio=studio, removed_at=None):
        by_room.setdefault(room.pk, Wall(room, ()))
    ordered = sorted(by_room.values(), key=lambda one: (one.room is None, one.room.name.casefold() if one.room else ""))
    return sorted(ordered, key=lambda one: not one.out_of_date)


def out_of_date(studio: Studio, *, kinds: Sequence[str] = PaperKind.values) -> Iterator[Hanging]:
    return (one for one in hanging(studio, kinds=kinds) if one.out_of_date)
