"""What is due, what was found, who signed, and what a person may read of incidents."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet, Sum
from django.urls import reverse
from django.utils import timezone

from inventory.models import Item, Room, Tube
from inventory.stock.amounts import exact
from safety.models import (
    Finding,
    HouseRule,
    Incident,
    Inspection,
    InspectionSubject,
    RuleKind,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.queries.facts import current_sheets
from safety.rules.due import DATA_SHEET, TRAINING, WASTE_FULL, WASTE_OPEN, Due, Interval, due, due_on, interval_for
from studio.attention import Attention, Urgency, and_more
from studio.models import Membership, Role, Studio, User

NAMED = 3
# Where a room's own facts tell that such a thing is there.
_FACTS = {
    InspectionSubject.WASTE_AREA: "waste",
    InspectionSubject.EYEWASH: "eyewash",
    InspectionSubject.EXTRACTION: "extraction",
    InspectionSubject.SPILL_KIT: "spill_kit",
    InspectionSubject.RAG_CAN: "rags",
    InspectionSubject.EXTINGUISHER: "extinguisher",
    InspectionSubject.FIRST_AID: "first_aid",
}
_NONE_HERE = re.compile(r"(?:no|none|not)\b", re.IGNORECASE)
_MILLI_ML = {"ml": 1, "l": 1000}


@dataclass(frozen=True)
class DueRow:
    """One thing that comes round: what and where, when last, when next, by which rule."""

    key: str
    title: str
    where: str
    last: date | None
    due: Due
    rule: HouseRule | None = None
    subject: str = ""
    room: Room | None = None
    pk: int | None = None

    @property
    def name(self) -> str:
        return f"{self.title}, {self.where}" if self.where else self.title


class Intervals:
    """The standing intervals of a studio; one query, made when it is built."""

    def __init__(self, studio: Studio) -> None:
        found = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.INTERVAL)
        rules = found.filter(Q(room=None) | Q(room__removed_at=None)).select_related("room")
        self.rules = {rule.pk: rule for rule in rules}
        self.held = [
            Interval(rule.subject, rule.room_id, rule.days, rule.pk) for rule in self.rules.values() if rule.days
        ]

    def due(self, subject: str, room: int | None, last: date | None, today: date) -> tuple[Due, HouseRule | None]:
        found = interval_for(self.held, subject, room)
        return due(last, found.days if found else None, today), self.rules[found.rule] if found else None

    def about(self, subject: str) -> list[HouseRule]:
        """The standing rules about one subject."""
        wanted = subject.strip().casefold()
        return [rule for rule in self.rules.values() if rule.subject.strip().casefold() == wanted]


def rooms(studio: Studio) -> "QuerySet[Room]":
    return Room.objects.filter(studio=studio, removed_at=None)


def _sorted(rows: Iterable[DueRow]) -> list[DueRow]:
    return sorted(rows, key=lambda row: (row.due.order, row.name))


def inspections_due(studio: Studio, today: date, intervals: Intervals) -> list[DueRow]:
    """Each subject in each room where it is known to be, the most pressing first; two queries.

    A room has a thing where its own facts name it, where it was inspected before, or where a rule names the room.
    """
    here = {room.pk: room for room in rooms(studio).select_related("facts")}
    standing = Inspection.objects.filter(studio=studio).standing()
    last: dict[tuple[str, int | None, str], date] = {}
    for subject, room, what, day in standing.values_list("subject", "room", "what").annotate(last=Max("done_on")):
        # Of several of a kind in a room the last look at any of them counts; other things go by their names.
        key = (subject, room, what if subject == InspectionSubject.OTHER else "")
        last[key] = max(day, last.get(key, day))
    wanted = {key for key in last if key[1] is None or key[1] in here}
    wanted |= {(subject.value, pk, "") for pk, room in here.items() for subject in _known_in(room)}
    subjects = {one.value: one for one in InspectionSubject}
    for one in intervals.held:
        if one.room is not None and one.subject in subjects and one.subject != InspectionSubject.OTHER:
            wanted.add((one.subject, one.room, ""))
    lacking = set(subjects) - {subject for subject, _, _ in wanted} - {InspectionSubject.OTHER.value}
    wanted |= {(subject, None, "") for subject in lacking}
    rows = []
    for subject, room, what in wanted:
        done = last.get((subject, room, what))
        # Something else may have an interval under its own name.
        named = what if what and intervals.about(what) else subject
        answer, rule = intervals.due(named, room, done, today)
        rows.append(
            DueRow(
                f"inspection-{subject}-{room or 0}-{what}".replace(" ", "-"),
                what or str(subjects[subject].label),
                here[room].name if room else "",
                done,
                answer,
                rule,
                subject,
                here.get(room) if room else None,
            )
        )
    return _sorted(rows)


def _known_in(room: Room) -> Iterator[InspectionSubject]:
    facts = getattr(room, "facts", None)
    for subject, field in _FACTS.items():
        said = getattr(facts, field, "").strip() if facts else ""
        if said and not _NONE_HERE.match(said):
            yield subject


def waste(studio: Studio) -> "QuerySet[WasteContainer]":
    return WasteContainer.objects.filter(studio=studio).select_related(
        "room", "opened_by", "full_by", "recorded_by", "withdrawn_by"
    )


def waste_due(studio: Studio, today: date, intervals: Intervals) -> list[DueRow]:
    """What waits for its collection; one query. Where both intervals are set, the earlier day counts."""
    rows = []
    for one in waste(studio).filter(withdrawn_at=None, collected_on=None):
        answers = [intervals.due(WASTE_OPEN, one.room_id, one.opened_on, today)]
        if one.full_on:
            answers.append(intervals.due(WASTE_FULL, one.room_id, one.full_on, today))
        answer, rule = min(answers, key=lambda pair: pair[0].order)
        where = one.room.name if one.room else ""
        rows.append(
            DueRow(
                f"waste-{one.number}",
                f"Waste container {one.number}",
                where,
                one.full_on or one.opened_on,
                answer,
                rule,
                pk=one.pk,
            )
        )
    return _sorted(rows)


@dataclass(frozen=True)
class Signer:
    """Somebody who is asked to sign the rules: with an account here, or by the name that was typed."""

    name: str
    person: User | None
    last: SignOff | None
    newest: SignOff | None
    due: Due
    rule: HouseRule | None


@dataclass(frozen=True)
class Training:
    versions: Sequence[RulesVersion]
    signers: list[Signer]

    @property
    def newest(self) -> RulesVersion | None:
        return self.versions[0] if self.versions else None

    @property
    def unsigned(self) -> list[Signer]:
        """Who has not signed the newest version; nobody while there is none."""
        return [one for one in self.signers if one.newest is None] if self.versions else []

    @property
    def late(self) -> list[Signer]:
        return [one for one in self.signers if one.due.late] if self.versions else []


def training(studio: Studio, today: date, intervals: Intervals) -> Training:
    """Everybody of the studio, and the typed names that still come, with what they signed last; three queries."""
    versions = list(
        RulesVersion.objects.filter(studio=studio)
        .annotate(signed=Count("sign_offs", filter=Q(sign_offs__withdrawn_at=None)))
        .select_related("made_by")
        .order_by("-number")
    )
    newest = versions[0].pk if versions else None
    members = {one.user_id: one.user for one in Membership.objects.filter(studio=studio).select_related("user")}
    signed: dict[int | str, list[SignOff]] = {pk: [] for pk in members}
    standing = SignOff.objects.filter(version__studio=studio).standing().select_related("version", "recorded_by")
    for one in standing.order_by("signed_on", "pk"):
        if one.person_id in members:
            signed[one.person_id].append(one)
        elif one.person_id is None and one.left_at is None:
            signed.setdefault(one.name, []).append(one)
    signers = []
    for who, lines in signed.items():
        last = lines[-1] if lines else None
        answer, rule = intervals.due(TRAINING, None, last.signed_on if last else None, today)
        person = members[who] if isinstance(who, int) else None
        of_newest = [one for one in lines if one.version_id == newest]
        signers.append(Signer(str(person or who), person, last, of_newest[-1] if of_newest else None, answer, rule))
    return Training(versions, sorted(signers, key=lambda one: (one.due.order, one.name.casefold())))


@dataclass(frozen=True)
class SignOffList:
    """One version of the rules with who signed it and who has still to sign, by name, for paper."""

    version: RulesVersion
    signed: list[SignOff]
    unsigned: list[str]


def sign_off_list(version: RulesVersion) -> SignOffList:
    """Who signed this version; who has still to sign is asked of the newest version alone. Five queries at most."""
    signed = list(version.sign_offs.standing().select_related("recorded_by", "person"))
    found = training(version.studio, timezone.localdate(), Intervals(version.studio))
    asked = found.newest is not None and found.newest.pk == version.pk
    return SignOffList(version, signed, sorted((one.name for one in found.unsigned), key=str.casefold) if asked else [])


def sheets_due(studio: Studio, today: date, intervals: Intervals) -> list[DueRow]:
    """The maker's sheets of what stands on the shelf, by when they are to be looked at again; two queries."""
    held = Exists(Tube.objects.in_use().filter(item=OuterRef("pk")))
    items = {one.pk: one for one in Item.objects.of(studio).kept().filter(held)}
    rows = []
    for pk, sheet in current_sheets(items.values()).items():
        looked = max(sheet.read_on, sheet.looked_on or sheet.read_on)
        answer, rule = intervals.due(DATA_SHEET, None, looked, today)
        if sheet.review_on and sheet.review_on > looked:
            answer, rule = due_on(sheet.review_on, today), None
        rows.append(DueRow(f"sheet-{pk}", items[pk].name, "", looked, answer, rule, pk=pk))
    return _sorted(rows)


def needs_work(studio: Studio) -> "QuerySet[Inspection]":
    """What was found to need work and is not mended, the oldest first."""
    found = inspections(studio).filter(withdrawn_at=None, finding=Finding.NEEDS_WORK, mended_on=None)
    return found.order_by("done_on", "pk")


def inspections(studio: Studio) -> "QuerySet[Inspection]":
    return Inspection.objects.filter(studio=studio).select_related("room", "by", "mended_by", "withdrawn_by")


@dataclass(frozen=True)
class WasteLimit:
    """A limit of the house beside the containers that wait for collection. Their sizes count, not what is in them."""

    rule: HouseRule
    containers: int
    size_milli: int
    unsized: int

    @property
    def limit_milli(self) -> int | None:
        """In thousandths of a ml; None where the rule gives no volume."""
        factor = _MILLI_ML.get(self.rule.unit.strip())
        return self.rule.amount_milli * factor if factor and self.rule.amount_milli is not None else None

    @property
    def size(self) -> str:
        return exact(self.size_milli // 1000, "l")

    @property
    def over(self) -> bool:
        return self.limit_milli is not None and self.size_milli > self.limit_milli


def waste_limits(studio: Studio) -> list[WasteLimit]:
    """The house's limits for waste with what stands here; two queries."""
    rules = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.LIMIT, subject__istartswith="waste")
    sums = (
        WasteContainer.objects.filter(studio=studio)
        .standing()
        .filter(collected_on=None)
        .order_by("room")
        .values_list("room")
        .annotate(size=Sum("size_milli"), count=Count("pk"), sized=Count("size_milli"))
    )
    by_room = {room: (count, size or 0, count - sized) for room, size, count, sized in sums}
    limits = []
    for rule in rules.select_related("room"):
        here = [by_room.get(rule.room_id, (0, 0, 0))] if rule.room_id else list(by_room.values())
        containers, size, unsized = (sum(one[place] for one in here) for place in range(3))
        limits.append(WasteLimit(rule, containers, size, unsized))
    return limits


def incidents(studio: Studio, member: Membership) -> "QuerySet[Incident]":
    """What this person may read: a keeper everything, anybody else what they reported."""
    found = Incident.objects.filter(studio=studio).select_related("room", "reported_by", "closed_by")
    return found if member.may(Role.KEEPER) else found.filter(reported_by=member.user_id)


def starting_text(studio: Studio) -> str:
    """The standing house rules, numbered, each with its source: where a new version of the rules begins."""
    lines = []
    for number, rule in enumerate(HouseRule.objects.of(studio).standing().select_related("room"), start=1):
        where = f" Room: {rule.room}." if rule.room else ""
        text = rule.text.strip()
        stop = "" if text.endswith((".", "!", "?")) else "."
        lines.append(
            f"{number}. {text}{stop}{where} (House rule, on the word of {rule.on_whose_word}, {_day(rule.set_on)}.)"
        )
    return "\n".join(lines)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


@dataclass(frozen=True)
class Everything:
    """All that comes round in a studio, as it stands today."""

    inspections: list[DueRow]
    waste: list[DueRow]
    sheets: list[DueRow]
    training: Training
    needs_work: list[Inspection]
    intervals: Intervals


def everything(studio: Studio, today: date | None = None) -> Everything:
    """Ten queries, however much there is."""
    day = today or timezone.localdate()
    intervals = Intervals(studio)
    return Everything(
        inspections_due(studio, day, intervals),
        waste_due(studio, day, intervals),
        sheets_due(studio, day, intervals),
        training(studio, day, intervals),
        list(needs_work(studio)),
        intervals,
    )


def records_overdue(studio: Studio) -> Iterator[Attention]:
    """What the first page says of records; the queries of `everything`. No name of a person stands there."""
    found = everything(studio)
    yield from _work_open(studio, found.needs_work)
    yield from _late(
        found.inspections,
        "inspections are overdue",
        "Record an inspection",
        reverse("safety:records", args=[studio.slug]),
        reverse("safety:inspection_add", args=[studio.slug]),
    )
    waste = reverse("safety:waste", args=[studio.slug])
    yield from _late(found.waste, "waste containers wait too long", "See the waste", waste, waste)
    if late := found.training.late:
        few = len(late) == 1
        yield Attention(
            Urgency.HARM,
            f"{len(late)} {'person is' if few else 'people are'} overdue to sign the rules.",
            "See who",
            reverse("safety:training", args=[studio.slug]),
        )


def _work_open(studio: Studio, found: Sequence[Inspection]) -> Iterator[Attention]:
    if not found:
        return
    url = reverse("safety:records", args=[studio.slug])
    if len(found) == 1:
        one = found[0]
        where = f" in {one.room}" if one.room else ""
        sentence = f"{one.what or one.get_subject_display()}{where} needs work since {_day(one.done_on)}: {one.note}"
        mended = reverse("safety:inspection_mended", args=[studio.slug, one.pk])
        yield Attention(Urgency.HARM, sentence, "Say that it is mended", url, deed=mended)
        return
    names = [f"{one.what or one.get_subject_display()}{f' in {one.room}' if one.room else ''}" for one in found]
    yield Attention(
        Urgency.HARM, f"{len(found)} things need work: {and_more(names[:NAMED], len(names))}.", "See what", url
    )


def _late(due_rows: Sequence[DueRow], many: str, action: str, url: str, deed: str) -> Iterator[Attention]:
    rows = [row for row in due_rows if row.due.late]
    if not rows:
        return
    first = rows[0]
    if len(rows) == 1:
        rule = (
            f" The house's interval is {first.rule.days} day{'' if first.rule.days == 1 else 's'}."
            if first.rule
            else ""
        )
        words = first.due.words if first.due.on else "was never recorded"
        yield Attention(Urgency.HARM, f"{first.name}: {words}.{rule}", action, url, deed)
        return
    names = [f"{row.name} ({row.due.words})" for row in rows]
    sentence = f"{len(rows)} {many}: {and_more(names[:NAMED], len(names))}."
    yield Attention(Urgency.HARM, sentence, action, url, deed)
