"""Writes: each function is one deed, in one transaction."""

from inventory.services.ledger import (
    correct,
    discard,
    estimate_left,
    finish,
    lend,
    move,
    receive,
    record_use,
    record_use_of_many,
    return_loan,
    undo,
    weigh,
)

__all__ = [
    "correct",
    "discard",
    "estimate_left",
    "finish",
    "lend",
    "move",
    "receive",
    "record_use",
    "record_use_of_many",
    "return_loan",
    "undo",
    "weigh",
]
