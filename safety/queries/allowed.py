"""Who may use what: the house rules asked of everything in stock, each in a bounded number of queries."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from inventory.models import Binder, Group, Item, Pigment
from inventory.restrictions import Restriction
from safety.models import HouseRule, RuleKind
from safety.queries.facts import facts_of, in_stock, items, lists_of
from safety.queries.levels import placings
from safety.queries.reference import published
from safety.rules import allowed
from safety.rules import facts as known
from safety.rules.classify import SubstanceClassification
from studio.models import Studio


@dataclass(frozen=True)
class Line:
    """One thing in stock, and every rule that catches it."""

    item: Item
    restrictions: tuple[Restriction, ...] = ()

    @property
    def kept_out(self) -> bool:
        return any(one.forbids for one in self.restrictions)


@dataclass(frozen=True)
class SameReasons:
    """Things that the same rules catch for the same reasons, so that a page says them once."""

    restrictions: tuple[Restriction, ...]
    lines: tuple[Line, ...]

    @property
    def kept_out(self) -> bool:
        return any(one.forbids for one in self.restrictions)


@dataclass(frozen=True)
class MayUse:
    """Everything in stock, sorted for one group."""

    group: Group
    rules: tuple[HouseRule, ...]
    not_for: tuple[Line, ...]
    not_known: tuple[Line, ...]
    """Kept from children as unknown, or caught for others only perhaps; `kept_out` tells which."""
    with_warning: tuple[Line, ...]
    no_rule: tuple[Line, ...]
    no_rule_words: str = allowed.NO_RULE
    unknown_words: str = f"{allowed.NO_MAKERS_DATA}."

    @property
    def not_for_by_reason(self) -> tuple[SameReasons, ...]:
        return by_reason(self.not_for)

    @property
    def not_known_by_reason(self) -> tuple[SameReasons, ...]:
        return by_reason(self.not_known)

    @property
    def with_warning_by_reason(self) -> tuple[SameReasons, ...]:
        return by_reason(self.with_warning)

    @property
    def lines(self) -> tuple[Line, ...]:
        return (*self.no_rule, *self.with_warning, *self.not_known, *self.not_for)

    @property
    def total(self) -> int:
        return len(self.lines)


def by_reason(lines: Iterable[Line]) -> tuple[SameReasons, ...]:
    """Lines with the same restrictions together, in the order in which they first come."""
    together: dict[tuple[Restriction, ...], list[Line]] = {}
    for line in lines:
        together.setdefault(line.restrictions, []).append(line)
    return tuple(SameReasons(restrictions, tuple(same)) for restrictions, same in together.items())


def may_use(studio: Studio, group: Group) -> MayUse:
    """Sort everything in stock by what the house rules say of it for this group; ten queries, eleven with
    dry pigments."""
    return may_use_each(studio, [group])[group.pk]


def may_use_each(studio: Studio, groups: Iterable[Group]) -> dict[int, MayUse]:
    """The same for several groups, by their keys; one query more for each further group."""
    held = list(in_stock(studio))
    things: dict[int, allowed.Thing] | None = None
    answers = {}
    for group in groups:
        standing = rules_for(studio, group)
        if things is None and (standing or group.children):
            things = things_of(studio, held)
        found = _asked_of(things or {}, studio, group, standing)
        sections: dict[str, list[Line]] = {}
        for line in (Line(item, found.get(item.pk, ())) for item in held):
            sections.setdefault(_section(line.restrictions), []).append(line)
        answers[group.pk] = MayUse(
            group,
            tuple(standing),
            not_for=tuple(sections.get("not_for", ())),
            not_known=tuple(sections.get("not_known", ())),
            with_warning=tuple(sections.get("with_warning", ())),
            no_rule=tuple(sections.get("no_rule", ())),
        )
    return answers


def _section(found: Sequence[Restriction]) -> str:
    if any(one.forbids and not one.unknown for one in found):
        return "not_for"
    if any(one.forbids for one in found):
        return "not_known"
    if any(not one.unknown for one in found):
        return "with_warning"
    return "not_known" if found else "no_rule"


def rules_for(studio: Studio, group: Group | None) -> list[HouseRule]:
    """The bans and warnings that hold for a group: its own and everybody's; without one, everybody's. One query."""
    standing = HouseRule.objects.of(studio).standing().filter(kind__in=[RuleKind.BAN, RuleKind.WARN])
    reached = Q(groups=None) | Q(groups=group) if group else Q(groups=None)
    return list(standing.filter(reached).distinct().select_related("room", "recorded_by").order_by("kind", "pk"))


def source_of(rule: HouseRule) -> str:
    """Who decided a rule, when, and who wrote it down."""
    return f"house rule of {rule.set_on.isoformat()}, decided by {rule.on_whose_word}, recorded by {rule.recorded_by}"


def _values(rule: HouseRule) -> tuple[str, ...]:
    return tuple(str(value) for value in rule.values)


def use_rule(rule: HouseRule) -> allowed.UseRule:
    """A ban or a warning as the rules take it."""
    return allowed.UseRule(
        text=rule.text,
        source=source_of(rule),
        forbids=rule.kind == RuleKind.BAN,
        reach=rule.reach,  # type: ignore[arg-type]  # choices
        values=_values(rule),
        room=rule.room.name if rule.room else "",
    )


def things_of(studio: Studio, found: Sequence[Item]) -> dict[int, allowed.Thing]:
    """What the rules look at, by pk; four queries, five with dry pigments.

    The items have to come from safety.queries.facts: that has all at hand.
    """
    facts = facts_of(found)
    levels = placings(studio, found, facts)
    return {
        item.pk: allowed.Thing(facts[item.pk], _kinds(item), levels[item.pk].level.word, str(item.pk)) for item in found
    }


def _kinds(item: Item) -> frozenset[str]:
    paint = getattr(item, "paint", None)
    if paint is None:
        return frozenset({str(item.material.material_kind)})
    binder = "" if paint.binder == Binder.UNKNOWN else str(paint.binder)
    return frozenset({"paint", f"{binder} paint"} if binder else {"paint"})


def _of_items(
    studio: Studio, group: Group | None, found: Sequence[Item], standing: Iterable[HouseRule]
) -> dict[int, tuple[Restriction, ...]]:
    rules = list(standing)
    if not rules and not (group and group.children):
        return {}
    return _asked_of(things_of(studio, found), studio, group, rules)


def _asked_of(
    things: Mapping[int, allowed.Thing], studio: Studio, group: Group | None, standing: Iterable[HouseRule]
) -> dict[int, tuple[Restriction, ...]]:
    asked = [use_rule(one) for one in standing]
    children = bool(group and group.children)
    if not asked and not children:
        return {}
    return _restrictions(things, asked, children, lists_of(studio).regimes)


def _restrictions(
    things: Mapping[int, allowed.Thing], asked: Sequence[allowed.UseRule], children: bool, regimes: tuple[str, ...]
) -> dict[int, tuple[Restriction, ...]]:
    answers: dict[int, tuple[Restriction, ...]] = {}
    for pk, thing in things.items():
        found = allowed.caught(thing, asked, children=children, regimes=regimes)
        if found:
            answers[pk] = tuple(
                Restriction(one.rule, one.why, one.source, one.forbids, one.unknown, one.source != allowed.OWN_STANCE)
                for one in found
            )
    return answers


class HouseRules:
    """The house rules as the shelf asks for them (inventory.restrictions.Source)."""

    def of_items(
        self, studio: Studio, group: Group | None, items: Sequence[Item]
    ) -> Mapping[int, tuple[Restriction, ...]]:
        """By pk; twelve queries at most, and one where no rule stands and nobody is a child."""
        standing = rules_for(studio, group)
        if not items or (not standing and not (group and group.children)):
            return {}
        return _of_items(studio, group, _read(studio, [one.pk for one in items]), standing)

    def of_pigments(
        self, studio: Studio, group: Group | None, pigments: Sequence[Pigment]
    ) -> Mapping[int, tuple[Restriction, ...]]:
        """Of pigments that are not on the shelf, by pk: no sheet, no label, so those are asked for; two queries."""
        asked = [use_rule(one) for one in rules_for(studio, group)]
        children = bool(group and group.children)
        if not pigments or (not asked and not children):
            return {}
        substances: Callable[[str], tuple[SubstanceClassification, ...]] = published().of_pigment
        things = {
            one.pk: allowed.Thing(
                known.Facts(
                    name=one.ci_name,
                    pigments=(
                        known.PigmentFacts(
                            one.ci_name,
                            one.chemical_description,
                            tuple(one.metal_list),
                            substances(one.ci_name),
                        ),
                    ),
                ),
                on_shelf=False,
            )
            for one in pigments
        }
        return _restrictions(things, asked, children, lists_of(studio).regimes)


def _read(studio: Studio, keys: Sequence[int]) -> list[Item]:
    """The same items with all that facts are made of."""
    return list(items(studio).filter(pk__in=keys))
