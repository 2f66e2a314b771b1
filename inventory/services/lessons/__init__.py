"""Lessons: planned, given paints and amounts, repeated, called off, recorded; each deed in one transaction."""

from inventory.services.lessons.amounts import (
    add_rule,
    amounts_by_rule,
    amounts_from_history,
    keep_as_palette,
    remove_rule,
    set_amounts,
    set_paints,
)
from inventory.services.lessons.planning import LONGEST_REPEAT, Plan, call_off, change, plan, repeat, uncancel
from inventory.services.lessons.recording import Recorded, add_brought, record, remove_brought, take_back
from inventory.services.lessons.terms import add_term, change_term, copy_term, remove_term

__all__ = [
    "LONGEST_REPEAT",
    "Plan",
    "Recorded",
    "add_brought",
    "add_rule",
    "add_term",
    "amounts_by_rule",
    "amounts_from_history",
    "call_off",
    "change",
    "change_term",
    "copy_term",
    "keep_as_palette",
    "plan",
    "record",
    "remove_brought",
    "remove_rule",
    "remove_term",
    "repeat",
    "set_amounts",
    "set_paints",
    "take_back",
    "uncancel",
]
