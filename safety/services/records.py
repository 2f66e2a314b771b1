"""Records of a room's safety: inspections, waste, sign-offs of the rules, incidents, addresses of the calendar.

What turns out to be a mistake is withdrawn with a reason; a step of a waste container is taken back with a reason.
"""

import secrets
from collections.abc import Iterable
from datetime import date, datetime
from typing import TypeVar

from django.db import models, transaction
from django.db.models import Max
from django.utils import timezone

from inventory.models import Item, Room
from inventory.services.ledger import refuse
from safety.models import (
    CalendarLink,
    Finding,
    Incident,
    IncidentNote,
    Inspection,
    InspectionSubject,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.models.withdrawn import Withdrawable
from safety.rules.full_words import says_something, shortened
from studio.models import Membership, Studio, User

MOST_NAMES = 200
LONGEST_WHY = 200

Record = TypeVar("Record", bound=Withdrawable)
Row = TypeVar("Row", bound=models.Model)


def day_words(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _past_day(field: str, day: date) -> date:
    today = timezone.localdate()
    if day > today:
        raise refuse(
            field,
            f"{day_words(day)} is in the future: enter the day on which it was done, {day_words(today)} or earlier.",
        )
    return day


def _room(studio: Studio, room: Room | None) -> Room | None:
    if room is None:
        return None
    held = Room.objects.filter(studio=studio, pk=room.pk).first()
    if held is None:
        raise refuse("room", f"{room} is not a room of this studio: choose one of its rooms.")
    if held.removed_at:
        when = day_words(timezone.localdate(held.removed_at))
        raise refuse("room", f"{held} was taken away on {when}: choose a room that is still used.")
    return held


def _reason(why: str) -> str:
    reason = " ".join(why.split())
    if not reason:
        raise refuse("why", "Say what was wrong with it, such as: wrong room.")
    if len(reason) > LONGEST_WHY:
        raise refuse("why", f"Say it in at most {LONGEST_WHY} letters; these are {len(reason)}.")
    return reason


def _hold(row: Row) -> Row:
    """The row as it is now, kept from others until the transaction ends."""
    return type(row)._default_manager.select_for_update(no_key=True, of=("self",)).get(pk=row.pk)


def _hold_studio(studio: Studio) -> None:
    """One at a time takes the next number of a studio. SQLite holds its whole file from the start of a transaction."""
    Studio.objects.select_for_update(no_key=True).get(pk=studio.pk)


@transaction.atomic
def withdraw(record: Record, *, by: User, why: str) -> Record:
    """Take back a record that was a mistake; it stays, with who took it back and why."""
    reason = _reason(why)
    held = _hold(record)
    if held.withdrawn_at:
        when = day_words(timezone.localdate(held.withdrawn_at))
        raise refuse("why", f"It was withdrawn already, on {when} by {held.withdrawn_by}: {held.withdrawn_why}")
    held.withdrawn_at, held.withdrawn_by, held.withdrawn_why = timezone.now(), by, reason
    held.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawn_why"])
    return held


# Inspections


@transaction.atomic
def record_inspection(
    studio: Studio,
    *,
    by: User,
    subject: str,
    finding: str,
    done_on: date,
    room: Room | None = None,
    what: str = "",
    note: str = "",
) -> Inspection:
    """Somebody looked and says what they found. What needs work is to be said in the note."""
    if finding == Finding.NEEDS_WORK and not note.strip():
        raise refuse("note", "Say what needs work, so that somebody can mend it.")
    if subject == InspectionSubject.OTHER and not what.strip():
        raise refuse("what", "Say what was looked at, since it is something else.")
    inspection = Inspection(
        studio=studio,
        room=_room(studio, room),
        subject=subject,
        what=" ".join(what.split()),
        done_on=_past_day("done_on", done_on),
        finding=finding,
        note=" ".join(note.split()),
        by=by,
    )
    inspection.full_clean()
    inspection.save()
    return inspection


@transaction.atomic
def mend(inspection: Inspection, *, by: User, mended_on: date) -> Inspection:
    """What was found to need work was put in order."""
    held = _hold(inspection)
    if held.withdrawn_at:
        raise refuse("mended_on", "This inspection was withdrawn: there is nothing to mend.")
    if held.finding != Finding.NEEDS_WORK:
        raise refuse("mended_on", "It was found in order: there is nothing to mend.")
    if held.mended_on:
        raise refuse("mended_on", f"It was mended already, on {day_words(held.mended_on)} by {held.mended_by}.")
    if _past_day("mended_on", mended_on) < held.done_on:
        raise refuse(
            "mended_on",
            f"{day_words(mended_on)} is before it was found, on {day_words(held.done_on)}: check the date.",
        )
    held.mended_on, held.mended_by = mended_on, by
    held.save(update_fields=["mended_on", "mended_by"])
    return held


# Waste


def _contents(text: str) -> str:
    words = " ".join(text.split())
    if short := shortened(words):
        raise refuse(
            "contents",
            f"Write {', '.join(short)} in full words, such as isopropyl alcohol for IPA: whoever handles the container "
            "may not know the short form.",
        )
    if not says_something(words):
        raise refuse("contents", f"{words!r} does not say what is in it: write it in full words.")
    return words


@transaction.atomic
def open_waste(
    studio: Studio,
    *,
    by: User,
    contents: str,
    opened_on: date,
    went_in: Iterable[Item] = (),
    hazards: str = "",
    size_milli: int | None = None,
    room: Room | None = None,
    note: str = "",
) -> WasteContainer:
    """A new container under the studio's next number."""
    if size_milli is not None and size_milli <= 0:
        raise refuse("size", "Enter a size above 0, or leave it empty.")
    _hold_studio(studio)
    last = WasteContainer.objects.filter(studio=studio).aggregate(last=Max("number"))["last"] or 0
    container = WasteContainer(
        studio=studio,
        number=last + 1,
        room=_room(studio, room),
        contents=_contents(contents),
        hazards=" ".join(hazards.split()),
        size_milli=size_milli,
        opened_on=_past_day("opened_on", opened_on),
        opened_by=by,
        note=note.strip(),
    )
    container.full_clean()
    container.save()
    container.went_in.set(_of_shelf(studio, went_in))
    return container


def _of_shelf(studio: Studio, went_in: Iterable[Item]) -> list[Item]:
    """What was ticked, as long as this studio keeps it."""
    asked = list(went_in)
    found = list(Item.objects.of(studio).filter(pk__in=[one.pk for one in asked]))
    if strange := [one.name for one in asked if one not in found]:
        raise refuse("went_in", f"{', '.join(strange)} is not on this studio's shelf: take the tick away.")
    return found


@transaction.atomic
def say_contents(
    container: WasteContainer, *, by: User, contents: str, went_in: Iterable[Item], seen: str
) -> WasteContainer:
    """Something more goes in, or was wrongly said to: what was said before is kept in the container's note.

    `seen`: the mark of what the person was shown. Another one is refused, so that nobody's addition is lost.
    """
    held = _standing_waste(container, "contents")
    if held.full_on:
        raise refuse(
            "contents",
            f"Waste container {held.number} was closed on {day_words(held.full_on)}: open another one, or take that "
            "step back.",
        )
    if seen != held.contents_mark:
        raise refuse("contents", f"Somebody said in between what is in it: “{held.contents}”. Open this form again.")
    ticked = ", ".join(item.name for item in held.went_in.order_by("sort_name", "pk")) or "nothing"
    before = f"{day_words(timezone.localdate())}, {by} changed what is in it; before: {held.contents}; ticked: {ticked}"
    held.contents = _contents(contents)
    held.went_in.set(_of_shelf(held.studio, went_in))
    if held.contents_mark != seen:
        held.note = f"{held.note}\n{before}".strip()
    held.full_clean()
    held.save(update_fields=["contents", "note"])
    return held


@transaction.atomic
def close_waste(container: WasteContainer, *, by: User, full_on: date) -> WasteContainer:
    """It is full and closed; it waits for its collection."""
    held = _standing_waste(container, "full_on")
    if held.full_on:
        raise refuse(
            "full_on",
            f"Waste container {held.number} was closed already, on {day_words(held.full_on)} by {held.full_by}. "
            "Take that step back if it was a mistake.",
        )
    if _past_day("full_on", full_on) < held.opened_on:
        raise refuse(
            "full_on", f"{day_words(full_on)} is before it was opened, on {day_words(held.opened_on)}: check the date."
        )
    held.full_on, held.full_by = full_on, by
    held.save(update_fields=["full_on", "full_by"])
    return held


@transaction.atomic
def collect_waste(
    container: WasteContainer, *, by: User, collected_on: date, collected_by: str, manifest: str
) -> WasteContainer:
    """Somebody took it away: who, and under which number of their papers."""
    held = _standing_waste(container, "collected_on")
    if held.collected_on:
        raise refuse(
            "collected_on",
            f"Waste container {held.number} was collected already, on {day_words(held.collected_on)} by "
            f"{held.collected_by}, manifest {held.manifest}; {held.recorded_by} recorded it.",
        )
    if not held.full_on:
        raise refuse(
            "collected_on",
            f"Waste container {held.number} is not closed yet: record that it is full before its collection.",
        )
    if _past_day("collected_on", collected_on) < held.full_on:
        raise refuse(
            "collected_on",
            f"{day_words(collected_on)} is before it was closed, on {day_words(held.full_on)}: check the date.",
        )
    who, number = " ".join(collected_by.split()), " ".join(manifest.split())
    if not who:
        raise refuse("collected_by", "Write who took it away.")
    if not number:
        raise refuse("manifest", "Write the number of the manifest or consignment note that came with the collection.")
    held.collected_on, held.collected_by, held.manifest, held.recorded_by = collected_on, who, number, by
    held.full_clean()
    held.save(update_fields=["collected_on", "collected_by", "manifest", "recorded_by"])
    return held


@transaction.atomic
def take_back_step(container: WasteContainer, *, by: User, why: str) -> WasteContainer:
    """Undo the last step, the collection or the closing; what it said is kept in the container's note."""
    reason = _reason(why)
    held = _standing_waste(container, "why")
    if held.collected_on:
        said = f"collected on {day_words(held.collected_on)} by {held.collected_by}, manifest {held.manifest}"
        held.collected_on, held.collected_by, held.manifest, held.recorded_by = None, "", "", None
    elif held.full_on:
        said = f"closed on {day_words(held.full_on)} by {held.full_by}"
        held.full_on, held.full_by = None, None
    else:
        raise refuse("why", "It is open: there is no step to take back. Withdraw it if it was opened by mistake.")
    line = f"{day_words(timezone.localdate())}, {by} took back “{said}”: {reason}"
    held.note = f"{held.note}\n{line}".strip()
    held.save()
    return held


def _standing_waste(container: WasteContainer, field: str) -> WasteContainer:
    held = _hold(container)
    if held.withdrawn_at:
        when = day_words(timezone.localdate(held.withdrawn_at))
        raise refuse(field, f"Waste container {held.number} was withdrawn on {when}: {held.withdrawn_why}")
    return held


# Training


@transaction.atomic
def make_version(studio: Studio, *, by: User, title: str, text: str) -> RulesVersion:
    """Make the next version of the rules final. It never changes; a better text is the next version."""
    _hold_studio(studio)
    newest = RulesVersion.objects.filter(studio=studio).first()
    words = "\n".join(line.rstrip() for line in text.strip().splitlines())
    if newest and (newest.title, newest.text) == (" ".join(title.split()), words):
        raise refuse("text", f"It is word for word version {newest.number}: change the text, or keep that version.")
    version = RulesVersion(
        studio=studio, number=newest.number + 1 if newest else 1, title=" ".join(title.split()), text=words, made_by=by
    )
    version.full_clean()
    version.save()
    return version


@transaction.atomic
def record_sign_offs(
    studio: Studio,
    *,
    by: User,
    number: int,
    signed_on: date,
    people: Iterable[User] = (),
    names: Iterable[str] = (),
) -> list[SignOff]:
    """Several people signed one version on one day; all are recorded, or none with who is in the way."""
    version = RulesVersion.objects.filter(studio=studio, number=number).first()
    if version is None:
        newest = RulesVersion.objects.filter(studio=studio).first()
        have = f"the newest is version {newest.number}" if newest else "none was made yet"
        raise refuse("number", f"There is no version {number} of the rules here: {have}.")
    _past_day("signed_on", signed_on)
    if signed_on < (made := timezone.localdate(version.made_at)):
        raise refuse(
            "signed_on",
            f"{day_words(signed_on)} is before version {number} was made, on {day_words(made)}: check the date.",
        )
    _hold_studio(studio)
    signed = list(version.sign_offs.standing())
    wanted = _signatures(studio, people, names, {one.name: one.person_id for one in signed})
    again = [one for one in signed if one.name in wanted]
    if again:
        said = "; ".join(f"{one.name} on {day_words(one.signed_on)}" for one in again)
        raise refuse(
            "names", f"Version {number} was signed already by {said}. Leave them out, or withdraw that record."
        )
    made_now = []
    for name, person in wanted.items():
        one = SignOff(version=version, person=person, name=name, signed_on=signed_on, recorded_by=by)
        one.full_clean()
        one.save()
        made_now.append(one)
    SignOff.objects.filter(version__studio=studio, name__in=wanted).update(left_at=None)
    return made_now


def _signatures(
    studio: Studio, people: Iterable[User], names: Iterable[str], taken: dict[str, int | None]
) -> dict[str, User | None]:
    """The names to record, each with its account where it has one."""
    wanted: dict[str, User | None] = {}
    inside = {one.user_id for one in Membership.objects.filter(studio=studio)}
    for person in people:
        if person.pk not in inside:
            raise refuse("people", f"{person} is not in this studio: type the name instead.")
        name = str(person)
        # Two people may have one name: the second is told apart by what they sign in with.
        if name in wanted or taken.get(name, person.pk) != person.pk:
            name = f"{name} ({person.username})"
        wanted[name] = person
    for typed in names:
        name = " ".join(typed.split())
        if not name:
            continue
        if len(name) > 120:
            raise refuse("names", f"{name[:40]}… has {len(name)} letters: write one name a line, at most 120 letters.")
        if name in wanted:
            raise refuse("names", f"{name} stands there twice: add something that tells the two apart.")
        wanted[name] = None
    if not wanted:
        raise refuse("names", "Nobody is named: tick who signed, or type a name.")
    if len(wanted) > MOST_NAMES:
        raise refuse("names", f"{len(wanted)} names at once: record at most {MOST_NAMES}.")
    return wanted


@transaction.atomic
def say_left(sign_off: SignOff) -> int:
    """This person no longer comes and is asked for no signature any more; their sign-offs stay."""
    same = SignOff.objects.filter(version__studio=sign_off.version.studio_id, name=sign_off.name)
    return same.filter(left_at=None).update(left_at=timezone.now())


# Incidents


@transaction.atomic
def report_incident(
    studio: Studio,
    *,
    by: User,
    kind: str,
    happened_at: datetime,
    what: str,
    done: str = "",
    room: Room | None = None,
) -> Incident:
    """Keep what somebody reports; it is not changed afterwards, notes are added to it."""
    now = timezone.now()
    if happened_at > now:
        said = timezone.localtime(happened_at)
        raise refuse("happened_at", f"{day_words(said.date())}, {said:%H:%M} is in the future: enter when it happened.")
    if not what.strip():
        raise refuse("what", "Say what happened, in your own words.")
    incident = Incident(
        studio=studio,
        kind=kind,
        happened_at=happened_at,
        room=_room(studio, room),
        what=what.strip(),
        done=done.strip(),
        reported_by=by,
    )
    incident.full_clean()
    incident.save()
    return incident


@transaction.atomic
def add_note(incident: Incident, *, by: User, text: str) -> IncidentNote:
    if not text.strip():
        raise refuse("text", "The note is empty: write what is to be added.")
    note = IncidentNote(incident=incident, text=text.strip(), by=by)
    note.full_clean()
    note.save()
    return note


@transaction.atomic
def close_incident(incident: Incident, *, by: User, text: str) -> Incident:
    """Nothing is left to be done; the last note says what was."""
    held = _hold(incident)
    if held.closed_at:
        when = day_words(timezone.localdate(held.closed_at))
        raise refuse("text", f"It was closed already, on {when} by {held.closed_by}.")
    add_note(held, by=by, text=text)
    held.closed_at, held.closed_by = timezone.now(), by
    held.save(update_fields=["closed_at", "closed_by"])
    return held


@transaction.atomic
def reopen_incident(incident: Incident, *, by: User, text: str) -> Incident:
    held = _hold(incident)
    if not held.closed_at:
        raise refuse("text", "It is open: add a note instead.")
    add_note(held, by=by, text=text)
    held.closed_at, held.closed_by = None, None
    held.save(update_fields=["closed_at", "closed_by"])
    return held


# The calendar's address


@transaction.atomic
def make_calendar_link(studio: Studio, *, by: User) -> tuple[CalendarLink, str]:
    """A new address with its token, which is told this once. The person's earlier address ends."""
    CalendarLink.objects.filter(studio=studio, by=by, ended_at=None).update(ended_at=timezone.now())
    token = secrets.token_urlsafe(32)
    return CalendarLink.objects.create(studio=studio, by=by, token=CalendarLink.kept_of(token)), token


@transaction.atomic
def end_calendar_link(link: CalendarLink) -> bool:
    """The address answers no longer; False where it had ended before."""
    return bool(CalendarLink.objects.filter(pk=link.pk, ended_at=None).update(ended_at=timezone.now()))
