"""The house: its rules and who set them, its groups, its rooms and what is written down of them, its gaps."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db import models
from django.db.models import Count, Prefetch, Q, QuerySet
from django.urls import reverse

from inventory.models import Group, Item, Place, Room
from inventory.models.tube import exact
from safety.models import HouseRule, InspectionSubject, Reach, RoomFacts, RuleKind
from safety.queries.attention import notices_missing, papers_outdated, sheets_missing
from safety.queries.records import records_overdue
from safety.queries.sheets import sheets_past_review
from safety.rules.due import ASK
from safety.rules.house import FURTHER_INTERVALS
from safety.rules.metals import METALS
from studio.attention import Attention, Source, Urgency, and_more, collect
from studio.models import Membership, Studio

NOT_WRITTEN = "not written down"


@dataclass(frozen=True)
class RuleLine:
    """A rule with what it goes by and for whom it is, in words."""

    rule: HouseRule
    goes_by: str
    for_whom: str
    replaced_by: HouseRule | None = None


@dataclass(frozen=True)
class KindOfRules:
    kind: RuleKind
    standing: tuple[RuleLine, ...]
    ended: tuple[RuleLine, ...]
    """Newest first; those that another one replaced name it."""
    not_set: tuple[str, ...] = ()
    """What could have an interval and has none."""


def house_rules(studio: Studio) -> tuple[KindOfRules, ...]:
    """Every rule of the house by kind, those that hold and those that ended; three queries."""
    rows = (
        HouseRule.objects.of(studio)
        .select_related("room", "recorded_by", "ended_by", "replaced_by")
        .prefetch_related("groups")
        .order_by("-pk")
    )
    found = list(rows)
    names = item_names(studio, found)
    standing: dict[str, list[RuleLine]] = defaultdict(list)
    ended: dict[str, list[RuleLine]] = defaultdict(list)
    for rule in found:
        line = RuleLine(rule, goes_by(rule, names), _for_whom(rule), getattr(rule, "replaced_by", None))
        (ended if rule.ended_at else standing)[rule.kind].append(line)
    return tuple(
        KindOfRules(
            kind,
            tuple(reversed(standing[kind])),
            tuple(ended[kind]),
            _without_interval(found) if kind == RuleKind.INTERVAL else (),
        )
        for kind in RuleKind
    )


def item_names(studio: Studio, rules: list[HouseRule]) -> dict[str, str]:
    """The names of the things that rules name, by their key; one query where any does."""
    keys = {str(value) for rule in rules if rule.reach == Reach.ITEM for value in rule.values}
    if not keys:
        return {}
    return {str(pk): name for pk, name in Item.objects.of(studio).filter(pk__in=keys).values_list("pk", "name")}


def goes_by(rule: HouseRule, names: dict[str, str]) -> str:
    """What a rule goes by, in a few words: "metal: cadmium, lead"."""
    values = [str(value) for value in rule.values]
    if rule.kind == RuleKind.INTERVAL:
        return f"{subject_words(rule.subject)}: at least every {rule.days} day{'' if rule.days == 1 else 's'}"
    if rule.kind == RuleKind.LIMIT:
        return f"{rule.subject}: at most {exact(rule.amount_milli or 0, rule.unit)}"
    if rule.kind == RuleKind.FIELD:
        return f"{rule.subject}: {'must' if rule.demanded else 'must not'} stand on labels and tags"
    if rule.kind == RuleKind.WORDING:
        return f"on notices, about {rule.subject}"
    if rule.reach == Reach.METAL:
        values = [METALS[value].name if value in METALS else value for value in values]
    elif rule.reach == Reach.ITEM:
        values = [names.get(value, "no longer on the list") for value in values]
    words = f"{Reach(rule.reach).label.lower()}: {', '.join(values)}" if values else Reach(rule.reach).label.lower()
    return f"level {rule.level}, by {words}" if rule.kind == RuleKind.LEVEL else words


def subject_words(subject: str) -> str:
    known = {str(value): str(label) for value, label in InspectionSubject.choices} | FURTHER_INTERVALS
    return known.get(subject, subject)


def _for_whom(rule: HouseRule) -> str:
    if rule.kind not in (RuleKind.BAN, RuleKind.WARN):
        return ""
    names = [group.name for group in rule.groups.all()]
    return ", ".join(names) if names else "everybody"


def _without_interval(rules: list[HouseRule]) -> tuple[str, ...]:
    held = {rule.subject for rule in rules if rule.kind == RuleKind.INTERVAL and not rule.ended_at}
    subjects = [str(value) for value, _ in InspectionSubject.choices if value != "other"] + list(FURTHER_INTERVALS)
    return tuple(subject_words(subject) for subject in subjects if subject not in held)


def groups(studio: Studio) -> "QuerySet[Group]":
    """The groups with how many rules that hold name each (`rules`); one query."""
    naming = Count("house_rules", filter=Q(house_rules__ended_at=None))
    return Group.objects.filter(studio=studio, removed_at=None).annotate(rules=naming)


@dataclass(frozen=True)
class Fact:
    """One fact of a room; `words` is empty where it is not written down."""

    label: str
    words: str


@dataclass(frozen=True)
class RoomLine:
    room: Room
    places: tuple[Place, ...]
    facts: tuple[Fact, ...]
    record: RoomFacts | None

    @property
    def blanks(self) -> tuple[str, ...]:
        return tuple(fact.label for fact in self.facts if not fact.words)


def rooms(studio: Studio) -> list[RoomLine]:
    """The rooms with the places in them and what is written down; two queries."""
    places = Prefetch("places", queryset=Place.objects.filter(removed_at=None))
    found = Room.objects.filter(studio=studio, removed_at=None).select_related("facts").prefetch_related(places)
    return [room_line(room) for room in found.order_by("name", "pk")]


def room_line(room: Room) -> RoomLine:
    """What is written down of one room. Blank stays blank: nothing is guessed."""
    record = getattr(room, "facts", None)
    places = tuple(place for place in room.places.all() if place.removed_at is None)
    return RoomLine(room, places, tuple(_facts(record)), record)


def _facts(record: RoomFacts | None) -> Iterator[Fact]:
    for field in RoomFacts._meta.concrete_fields:
        if field.name in _FIGURES:
            label, unit = _FIGURES[field.name]
            figure = getattr(record, field.name, None)
            yield Fact(label, f"{(Decimal(figure) / 1000).normalize():f} {unit}" if figure is not None else "")
        elif isinstance(field, models.CharField):
            label = str(field.verbose_name)
            yield Fact(label[:1].upper() + label[1:], str(getattr(record, field.name)) if record else "")


_FIGURES = {"volume_litres": ("Volume", "m³"), "fresh_air_litres_hour": ("Fresh air", "m³ an hour")}


def groups_missing(studio: Studio) -> Iterator[Attention]:
    """That no group has a name; one query."""
    if not groups(studio).exists():
        yield Attention(
            Urgency.UNKNOWN,
            "No group of people has a name here, so nothing can be kept from a class of children.",
            "Name the groups",
            reverse("safety:groups", args=[studio.slug]),
            deed=reverse("safety:group", args=[studio.slug, 0]),
        )


def rooms_blank(studio: Studio) -> Iterator[Attention]:
    """Rooms of which something is not written down, or that there is none; the queries of `rooms`."""
    found = rooms(studio)
    if not found:
        yield Attention(
            Urgency.UNKNOWN,
            "No room has a name here, so nobody can write down whom to call in it and where oily rags go.",
            "Name the rooms",
            reverse("safety:rooms", args=[studio.slug]),
            deed=reverse("safety:room_rename", args=[studio.slug, 0]),
        )
    blank = [line for line in found if line.blanks]
    if len(blank) == 1:
        line = blank[0]
        yield Attention(
            Urgency.UNKNOWN,
            f"Of {line.room} is {NOT_WRITTEN}: {_lower(line.blanks)}.",
            "Write it down",
            reverse("safety:room", args=[studio.slug, line.room.pk]),
            deed=reverse("safety:room_facts", args=[studio.slug, line.room.pk]),
        )
    elif blank:
        yield Attention(
            Urgency.UNKNOWN,
            f"Facts of {and_more([str(line.room) for line in blank[:3]], len(blank))} are {NOT_WRITTEN}.",
            "Write them down",
            reverse("safety:rooms", args=[studio.slug]),
            deed=reverse("safety:room_facts", args=[studio.slug, blank[0].room.pk]),
        )


def first_aid_missing(studio: Studio) -> Iterator[Attention]:
    if not studio.emergency_contact:
        yield Attention(
            Urgency.UNKNOWN,
            "The number for first aid here is not written down: every notice leaves a line for it.",
            "Write it down",
            reverse("studio_facts", args=[studio.slug]),
        )


def intervals_missing(studio: Studio) -> Iterator[Attention]:
    """What nobody said how often to look at; one query."""
    intervals = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.INTERVAL)
    missing = _without_interval(list(intervals))
    if missing:
        yield Attention(
            Urgency.ADVICE,
            f"How often somebody looks is {ASK}. Without it: {and_more(list(missing[:3]), len(missing))}.",
            "Set an interval",
            reverse("safety:house_rules", args=[studio.slug]),
            deed=reverse("safety:house_rule_add", args=[studio.slug]),
        )


def children_without_rules(studio: Studio) -> Iterator[Attention]:
    """Groups of children for whom no ban of the house holds; one query or two."""
    everybody = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.BAN, groups=None)
    bans = Count("house_rules", filter=Q(house_rules__ended_at=None, house_rules__kind=RuleKind.BAN))
    found = Group.objects.filter(studio=studio, removed_at=None, children=True).annotate(bans=bans).filter(bans=0)
    names = list(found.values_list("name", flat=True))
    if names and not everybody.exists():
        yield Attention(
            Urgency.UNKNOWN,
            f"No house rule says what {and_more(names[:3], len(names))} may not use. "
            "What has no maker's data is kept from them all the same.",
            "Set a house rule",
            reverse("safety:house_rules", args=[studio.slug]),
            deed=reverse("safety:house_rule_add", args=[studio.slug]),
        )


def _lower(labels: tuple[str, ...]) -> str:
    return ", ".join(label[:1].lower() + label[1:] for label in labels)


# What the safety page asks about first; another part of the record adds its own.
SOURCES: tuple[Source, ...] = (
    records_overdue,
    notices_missing,
    papers_outdated,
    sheets_missing,
    sheets_past_review,
    groups_missing,
    children_without_rules,
    rooms_blank,
    first_aid_missing,
    intervals_missing,
)


def gaps(member: Membership) -> list[Attention]:
    """What is missing or no longer true in the safety record, the most urgent first."""
    return collect(member, SOURCES)
