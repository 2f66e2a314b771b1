"""The handling level of each thing, by the table and by what this house set instead."""

from collections.abc import Mapping, Sequence

from inventory.models import Item
from safety.models import HouseRule, Reach, RuleKind
from safety.queries.facts import facts_of, items, lists_of
from safety.rules.facts import Facts
from safety.rules.levels import BY_WORD, LEVELS, HouseLine, Level, Placed, place, together
from safety.rules.statements import UnknownStatementError, bare_code
from studio.models import Studio


def level_rules(studio: Studio) -> list[HouseRule]:
    """The level rules that hold, the oldest first; one query."""
    rules = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.LEVEL)
    return list(rules.select_related("recorded_by").order_by("pk"))


def house_lines(rules: Sequence[HouseRule]) -> tuple[HouseLine, ...]:
    """Level rules as lines of the table; a level that the table does not have makes no line, and the page says so."""
    return tuple(
        HouseLine(
            reach=rule.reach,
            values=_values(rule),
            level=BY_WORD[rule.level],
            why=rule.text,
            source=f"house rule, on the word of {rule.on_whose_word}, {rule.set_on.isoformat()}",
            pk=rule.pk,
            set_on=rule.set_on,
        )
        for rule in rules
        if rule.level in BY_WORD
    )


def _values(rule: HouseRule) -> tuple[str, ...]:
    values = [str(value) for value in rule.values]
    if rule.reach != Reach.CODE:
        return tuple(values)
    return tuple(_bare(value) for value in values)


def _bare(code: str) -> str:
    try:
        return bare_code(code)
    except UnknownStatementError:
        return code


def placings(studio: Studio, found: Sequence[Item], known: Mapping[int, Facts]) -> dict[int, Placed]:
    """The level of each item with what led to it, from facts at hand; one query."""
    house = house_lines(level_rules(studio))
    regimes = lists_of(studio).regimes
    placed = {}
    for item in found:
        facts = known[item.pk]
        seals = frozenset(facts.label.seals) if facts.label else frozenset()
        placed[item.pk] = place(facts, house, regimes, seals, _kinds(item, facts), str(item.pk))
    return placed


def by_reasons(found: Sequence[Item], placed: Mapping[int, Placed]) -> list[tuple[list[Item], Placed]]:
    """The items of the same level for the same reasons together, the strictest first."""
    alike: dict[tuple[object, ...], list[Item]] = {}
    for item in found:
        alike.setdefault(placed[item.pk].reasons, []).append(item)
    groups = [(ones, together(placed[item.pk] for item in ones)) for ones in alike.values()]
    return sorted(groups, key=lambda group: -group[1].level.rank)


def _kinds(item: Item, facts: Facts) -> frozenset[str]:
    """The names of its form that house rules know: the kind of material, or a paint with its binder."""
    if hasattr(item, "material"):
        return frozenset({str(item.material.material_kind)})
    return frozenset({f"{facts.binder} paint"} if facts.binder else ())


def levels_of(studio: Studio, found: Sequence[Item]) -> dict[int, Level]:
    """The handling level of each item, by its pk; eight queries at most for any number of them.

    Any items will do: what is needed of them is read anew. What belongs to another studio is left out.
    """
    if not found:
        return {}
    fresh = list(items(studio).filter(pk__in=[item.pk for item in found]))
    return {pk: one.level for pk, one in placings(studio, fresh, facts_of(fresh)).items()}


class HandlingLevels:
    """What the shelf asks when it is narrowed down to a level."""

    def words(self) -> list[str]:
        return [level.word for level in LEVELS]

    def of_items(self, studio: Studio, items: Sequence[Item]) -> dict[int, str]:
        return {pk: level.word for pk, level in levels_of(studio, items).items()}
