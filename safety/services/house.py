"""House rules: set, replaced, ended. A rule is never rewritten, so that it can be told what held when."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Group, Item, Pigment, Room, Unit
from inventory.services.ledger import LARGEST_MILLI, refuse
from safety.models import HouseRule, Reach, RoomFacts, RuleKind
from safety.queries.papers import JAR_LABEL, WASTE_TAG
from safety.queries.reference import phrasebook
from safety.rules.house import TOPICS, TypedValuesError, metals_known, read_metals, read_seals
from safety.rules.levels import LEVELS, SETTABLE
from safety.rules.typed_codes import TypedCodesError, read_codes
from safety.rules.typed_codes import split as split_codes
from studio.models import Studio, User

LONGEST_INTERVAL = 36_525  # a hundred years: more is a slip of the finger
WITH_REACH = (RuleKind.BAN, RuleKind.WARN, RuleKind.LEVEL)
WITH_GROUPS = (RuleKind.BAN, RuleKind.WARN)
WITH_SUBJECT = (RuleKind.INTERVAL, RuleKind.LIMIT, RuleKind.FIELD, RuleKind.WORDING)
# A level that went by levels would go round in a circle; one for everything or for no data is the table's own.
LEVEL_REACHES = (Reach.SEAL, Reach.CODE, Reach.METAL, Reach.PIGMENT, Reach.FORM, Reach.ITEM)
FORMS = (
    "paint",
    "oil paint",
    "water-mixable oil paint",
    "alkyd paint",
    "acrylic paint",
    "watercolour paint",
    "gouache paint",
    "tempera paint",
    "casein paint",
    "encaustic paint",
    "medium",
    "solvent",
    "varnish",
    "drier",
    "ground",
    "drying oil",
    "dry pigment",
    "other",
)

Problems = dict[str, list[ValidationError]]


@dataclass
class RuleInput:
    """What somebody says of a rule. What its kind has no use for is left empty."""

    kind: str
    text: str
    on_whose_word: str
    set_on: date | None
    reach: str = ""
    values: str | Sequence[str] = ""
    """Typed as one text for seals, codes, metals, pigments and levels; forms and the key of an item as a list."""
    groups: Sequence[Group] = field(default_factory=tuple)
    subject: str = ""
    days: int | None = None
    amount_milli: int | None = None
    unit: str = ""
    demanded: bool | None = None
    level: str = ""
    room: Room | None = None


@transaction.atomic
def set_rule(studio: Studio, given: RuleInput, *, by: User) -> HouseRule:
    """Record a rule of the house. ValidationError names every field with its value and the remedy."""
    rule, problems = _built(studio, given, by)
    return _stored(rule, given.groups, problems)


@transaction.atomic
def replace_rule(older: HouseRule, given: RuleInput, *, by: User) -> HouseRule:
    """Record a rule in place of another, which ends with it and stays in the history."""
    held = _held(older)
    if given.kind != held.kind:
        raise refuse("kind", f"A rule of the kind “{held.get_kind_display()}” is replaced by one of the same kind.")
    rule, problems = _built(held.studio, given, by)
    if given.set_on and given.set_on < held.set_on:
        message = (
            f"{given.set_on.isoformat()} is before the rule that it replaces was set, {held.set_on.isoformat()}: "
            "check the date."
        )
        problems.setdefault("set_on", []).append(ValidationError(message, code="set_on"))
    rule.replaces = held
    stored = _stored(rule, given.groups, problems)
    _end(held, by)
    return stored


@transaction.atomic
def end_rule(rule: HouseRule, *, by: User) -> HouseRule:
    """Let a rule hold no more; it stays in the history with who ended it and when."""
    held = _held(rule)
    _end(held, by)
    return held


def _held(rule: HouseRule) -> HouseRule:
    held = HouseRule.objects.select_for_update(of=("self",)).select_related("studio").get(pk=rule.pk)
    if held.ended_at:
        when = timezone.localdate(held.ended_at).isoformat()
        raise refuse("__all__", f"This rule ended on {when}: look at the rule that holds now.")
    return held


def _end(rule: HouseRule, by: User) -> None:
    rule.ended_at, rule.ended_by = timezone.now(), by
    rule.save(update_fields=["ended_at", "ended_by"])


def _built(studio: Studio, given: RuleInput, by: User) -> tuple[HouseRule, Problems]:
    kind, problems = given.kind, Problems()
    rule = HouseRule(
        studio=studio,
        kind=kind,
        text=" ".join(given.text.split()),
        on_whose_word=" ".join(given.on_whose_word.split()),
        set_on=given.set_on or timezone.localdate(),  # without one it is refused below
        recorded_by=by,
    )
    if kind not in RuleKind.values:
        raise refuse("kind", f"“{kind[:20]}” is not a kind of rule: choose one of the kinds on the page.")
    _check_words(rule, given.set_on, problems)
    if kind in WITH_REACH:
        _take_reach(rule, given, problems)
    if kind in WITH_SUBJECT:
        rule.subject = " ".join(given.subject.split())
        _check_subject(rule, problems)
    if kind == RuleKind.INTERVAL:
        rule.days = given.days
        _check_days(rule, problems)
    elif kind == RuleKind.LIMIT:
        rule.amount_milli, rule.unit = given.amount_milli, given.unit
        _check_amount(rule, problems)
    elif kind == RuleKind.FIELD:
        rule.demanded = given.demanded
        if given.demanded is None:
            _tell(problems, "demanded", "Say whether it must stand there or must not.")
    elif kind == RuleKind.LEVEL:
        rule.level = " ".join(given.level.split())
        settable = [one.word for one in SETTABLE]
        if rule.level not in settable:
            words = ", ".join(settable)
            _tell(problems, "level", f"“{rule.level[:30]}” is not a level of the table: choose among {words}.")
    rule.room = given.room
    if given.room and (given.room.studio_id != studio.pk or given.room.removed_at):
        _tell(problems, "room", f"{given.room} is not a room of this studio: choose one of its rooms.")
    _check_groups(rule, given.groups, problems)
    return rule, problems


def _tell(problems: Problems, name: str, message: str) -> None:
    problems.setdefault(name, []).append(ValidationError(message, code=name))


def _check_words(rule: HouseRule, set_on: date | None, problems: Problems) -> None:
    if not rule.text:
        _tell(problems, "text", "Write the rule in your house's own words, as it is to be printed.")
    if not rule.on_whose_word:
        _tell(problems, "on_whose_word", "Say on whose word it holds, such as: the safety office, letter of 2 March.")
    today = timezone.localdate()
    if set_on is None:
        _tell(problems, "set_on", "Enter the day on which it was decided.")
    elif set_on > today:
        message = f"{set_on} is in the future: enter the day on which it was decided, {today} or earlier."
        _tell(problems, "set_on", message)


def _check_subject(rule: HouseRule, problems: Problems) -> None:
    if rule.kind == RuleKind.WORDING:
        if rule.subject not in TOPICS:
            _tell(problems, "subject", f"“{rule.subject[:30]}” is not a topic: choose one of {', '.join(TOPICS)}.")
    elif not rule.subject:
        _tell(problems, "subject", "Say what the rule is about.")
    elif rule.kind == RuleKind.FIELD:
        of, _, name = (part.strip() for part in rule.subject.partition(":"))
        if of.casefold() not in (JAR_LABEL, WASTE_TAG) or not name:
            message = (
                f"“{rule.subject[:40]}” does not say of what: write “{WASTE_TAG}: start date” or “{JAR_LABEL}: …”."
            )
            _tell(problems, "subject", message)


def _check_days(rule: HouseRule, problems: Problems) -> None:
    if rule.days is None or rule.days < 1:
        said = "nothing" if rule.days is None else str(rule.days)
        _tell(problems, "days", f"The interval is {said}: enter a whole number of days, 1 or more.")
    elif rule.days > LONGEST_INTERVAL:
        _tell(problems, "days", f"{rule.days} days is more than a hundred years: check the figure.")


def _check_amount(rule: HouseRule, problems: Problems) -> None:
    if not rule.amount_milli or rule.amount_milli < 0:
        _tell(problems, "amount", "Enter an amount above 0 with its unit, such as 5 l.")
    elif rule.amount_milli > LARGEST_MILLI:
        _tell(problems, "amount", f"{rule.amount_milli / 1_000_000:g} l or kg is more than a drum holds: check it.")
    elif rule.unit not in Unit.values:
        _tell(problems, "amount", f"“{rule.unit}” is not a unit that is kept: enter ml, l, g or kg.")


def _check_groups(rule: HouseRule, groups: Iterable[Group], problems: Problems) -> None:
    chosen = list(groups)
    if chosen and rule.kind not in WITH_GROUPS:
        _tell(problems, "groups", "Only a ban or a warning is for a group: leave the groups out.")
    strange = [group for group in chosen if group.studio_id != rule.studio_id or group.removed_at]
    if strange:
        _tell(problems, "groups", f"{strange[0]} is not a group of this studio: choose among its own.")


def _take_reach(rule: HouseRule, given: RuleInput, problems: Problems) -> None:
    if given.reach not in (LEVEL_REACHES if rule.kind == RuleKind.LEVEL else tuple(Reach)):
        _tell(problems, "reach", "Choose what the rule goes by.")
        return
    rule.reach = given.reach
    reader = _READERS.get(given.reach)
    if reader is None:
        return
    try:
        rule.values = list(reader(rule, given.values))
    except ValidationError as error:
        problems.setdefault("values", []).extend(error.error_list)
    else:
        if not rule.values:
            _tell(problems, "values", _EMPTY[given.reach])


def _text(values: str | Sequence[str]) -> str:
    return values if isinstance(values, str) else "; ".join(values)


def _read_with(read: Callable[[str], tuple[str, ...]]) -> Callable[[HouseRule, Any], tuple[str, ...]]:
    def reader(_: HouseRule, values: Any) -> tuple[str, ...]:
        try:
            return read(_text(values))
        except TypedValuesError as error:
            raise ValidationError([ValidationError(one, code="values") for one in error.problems]) from None

    return reader


def _codes(_: HouseRule, values: Any) -> tuple[str, ...]:
    try:
        return read_codes(_text(values), phrasebook(), ("H", "EUH"))
    except TypedCodesError as error:
        raise ValidationError([ValidationError(one, code="values") for one in error.problems]) from None


def _pigments(_: HouseRule, values: Any) -> tuple[str, ...]:
    """Codes of the pigment table, however they are spaced and capitalised."""
    known = {name.casefold(): name for name in Pigment.objects.values_list("ci_name", flat=True)}
    known |= {name.partition(":")[0].casefold(): name.partition(":")[0] for name in known.values()}
    kept: list[str] = []
    strange: list[str] = []
    for typed in split_codes(_text(values)):
        folded = typed.replace(" ", "").replace(".", "").casefold()
        (kept if folded in known else strange).append(known.get(folded, typed))
    if strange:
        raise ValidationError(
            [
                ValidationError(
                    f"“{one[:30]}” is not in the pigment table: type a code as the label prints it, such as PR108.",
                    code="values",
                )
                for one in strange
            ]
        )
    return tuple(dict.fromkeys(kept))


def _forms(_: HouseRule, values: Any) -> tuple[str, ...]:
    return _chosen(values, FORMS, "a form that is kept here")


def _levels(_: HouseRule, values: Any) -> tuple[str, ...]:
    return _chosen(values, [level.word for level in LEVELS], "a handling level")


def _chosen(values: Any, known: Sequence[str], what: str) -> tuple[str, ...]:
    chosen = [one.strip() for one in (values.split(";") if isinstance(values, str) else values) if one.strip()]
    strange = [one for one in chosen if one not in known]
    if strange:
        raise ValidationError(f"“{strange[0][:30]}” is not {what}: choose among {', '.join(known)}.")
    return tuple(dict.fromkeys(chosen))


def _item(rule: HouseRule, values: Any) -> tuple[str, ...]:
    keys = [str(one) for one in ([values] if isinstance(values, str | int) else values) if str(one)]
    whole = [one for one in keys if one.isascii() and one.isdigit() and len(one) < 19]
    found = {str(pk) for pk in Item.objects.filter(studio=rule.studio, pk__in=whole).values_list("pk", flat=True)}
    if strange := [one for one in keys if one not in found]:
        raise ValidationError(f"“{strange[0][:20]}” is not on this studio's list: choose a paint or a material of it.")
    return tuple(keys)


_READERS: dict[str, Callable[[HouseRule, Any], tuple[str, ...]]] = {
    Reach.SEAL: _read_with(read_seals),
    Reach.NO_SEAL: _read_with(read_seals),
    Reach.CODE: _codes,
    Reach.METAL: _read_with(read_metals),
    Reach.PIGMENT: _pigments,
    Reach.FORM: _forms,
    Reach.LEVEL: _levels,
    Reach.ITEM: _item,
}
_EMPTY: dict[str, str] = {
    Reach.SEAL: "Type the letters of the seal, as the label prints them.",
    Reach.NO_SEAL: "Type the letters of the seal that it must carry.",
    Reach.CODE: "Type at least one hazard statement, as sheets print them.",
    Reach.METAL: f"Name at least one metal. Known: {metals_known()}.",
    Reach.PIGMENT: "Type at least one pigment code.",
    Reach.FORM: "Tick at least one form.",
    Reach.LEVEL: "Tick at least one handling level.",
    Reach.ITEM: "Choose the paint or the material.",
}


def _stored(rule: HouseRule, groups: Iterable[Group], problems: Problems) -> HouseRule:
    """Check the whole rule, so that everything that is wrong is told at once; then save it."""
    try:
        rule.full_clean(exclude=[*problems, "replaces"], validate_constraints=not problems)
    except ValidationError as error:
        for name, errors in error.error_dict.items():
            problems.setdefault(name, []).extend(errors)
    if problems:
        raise ValidationError(problems)
    rule.save()
    rule.groups.set(groups)
    return rule


LONGEST_VOLUME_LITRES = 10_000_000
ROOM_WORDS = (
    "keeper",
    "call",
    "rags",
    "waste",
    "eyewash",
    "extinguisher",
    "spill_kit",
    "extraction",
    "first_aid",
    "way_out",
)


@transaction.atomic
def set_room_facts(
    room: Room,
    *,
    by: User,
    volume_litres: int | None = None,
    fresh_air_litres_hour: int | None = None,
    seen: str | None = None,
    **words: str,
) -> RoomFacts:
    """Write down the house's own facts of a room; what is left out or empty is not written down.

    `seen`: which facts the person was shown (`RoomFacts.seen`). Others are refused, so that nobody's words are lost.
    """
    facts, new = RoomFacts.objects.select_for_update(of=("self",)).get_or_create(room=room)
    if seen is not None and seen != ("" if new else facts.seen):
        message = f"Other facts of {room} are written down than this form was opened with. Open it again."
        raise refuse("seen", message)
    for name in ROOM_WORDS:
        setattr(facts, name, " ".join(words.get(name, "").split()))
    figures = {"volume_litres": volume_litres, "fresh_air_litres_hour": fresh_air_litres_hour}
    for name, figure in figures.items():
        if figure is not None and not 0 < figure <= LONGEST_VOLUME_LITRES * (1 if name == "volume_litres" else 100):
            raise refuse(name, f"{figure / 1000:g} m³ cannot be: enter what was measured, above 0, or leave it empty.")
        setattr(facts, name, figure)
    facts.set_by = by
    facts.full_clean()
    facts.save()
    return facts
