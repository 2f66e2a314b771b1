"""Which handling level this house gives to what: set, replaced, ended; never deleted."""

from collections.abc import Sequence
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.models import Item
from inventory.services.ledger import refuse
from safety.models import HouseRule, Reach, RuleKind
from safety.rules.levels import NOT_KNOWN, SETTABLE
from safety.services.house import RuleInput, end_rule, set_rule
from studio.models import Studio, User


@transaction.atomic
def set_level_rule(
    studio: Studio,
    *,
    by: User,
    reach: str,
    values: str | Sequence[str],
    level: str,
    on_whose_word: str,
    set_on: date | None,
    text: str = "",
) -> HouseRule:
    """Record the level that this house gives to what `reach` and `values` name.

    A standing rule for exactly the same ends and stays readable. ValidationError names field, value and remedy.
    """
    words = ", ".join(one.word for one in SETTABLE)
    if level == NOT_KNOWN.word:
        raise refuse("level", f"“{level}” is found, never set: the maker's sheet ends it. Choose among {words}.")
    if level not in [one.word for one in SETTABLE]:
        raise refuse("level", f"“{level[:30]}” is not a level of the table: choose among {words}.")
    given = RuleInput(
        kind=RuleKind.LEVEL,
        text=text.strip() or f"{_named(studio, reach, values)}: {level}.",
        on_whose_word=on_whose_word,
        set_on=set_on,
        reach=reach,
        values=values,
        level=level,
    )
    rule = set_rule(studio, given, by=by)
    same = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.LEVEL, reach=rule.reach).exclude(pk=rule.pk)
    older = [one for one in same.order_by("pk") if set(one.values) == set(rule.values)]
    if older:
        if rule.set_on < older[-1].set_on:
            message = (
                f"{rule.set_on.isoformat()} is before the rule that it replaces was set, "
                f"{older[-1].set_on.isoformat()}: check the date."
            )
            raise refuse("set_on", message)
        rule.replaces = older[-1]
        rule.save(update_fields=["replaces"])
    for one in older:
        end_rule(one, by=by)
    return rule


@transaction.atomic
def end_level_rule(rule: HouseRule, *, by: User) -> HouseRule:
    """Let a level rule hold no longer: the table's own line counts again. ValidationError if it has ended already."""
    if rule.kind != RuleKind.LEVEL:
        raise ValidationError({"__all__": ValidationError(f"“{rule}” sets no handling level.", code="kind")})
    return end_rule(rule, by=by)


def _named(studio: Studio, reach: str, values: str | Sequence[str]) -> str:
    """The rule's words where nobody wrote any."""
    typed = values if isinstance(values, str) else "; ".join(values)
    if reach == Reach.ITEM:
        keys = [int(one) for one in typed.split("; ") if one.isdecimal()]
        return ", ".join(str(item) for item in Item.objects.of(studio).filter(pk__in=keys)) or "One thing"
    return f"{Reach(reach).label}, {typed}" if reach in Reach.values else typed
