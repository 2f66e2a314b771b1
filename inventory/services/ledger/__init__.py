"""The ledger's deeds, each in one transaction: see `deed` for how a tube is held and an entry written."""

from inventory.services.ledger.correcting import Line, correct, correct_left, correct_weighing, undo
from inventory.services.ledger.deed import (
    LARGEST_ID,
    LARGEST_MILLI,
    LONGEST_KEY,
    LONGEST_NOTE,
    LONGEST_SHARED_KEY,
    Deed,
    refuse,
)
from inventory.services.ledger.receiving import receive
from inventory.services.ledger.standing import give, lend, loan_of, move, return_loan, share
from inventory.services.ledger.using import (
    discard,
    estimate_left,
    examine,
    finish,
    record_use,
    record_use_of_many,
)
from inventory.services.ledger.weighing import weigh, weigh_left

__all__ = [
    "LARGEST_ID",
    "LARGEST_MILLI",
    "LONGEST_KEY",
    "LONGEST_NOTE",
    "LONGEST_SHARED_KEY",
    "Deed",
    "Line",
    "correct",
    "correct_left",
    "correct_weighing",
    "discard",
    "estimate_left",
    "examine",
    "finish",
    "give",
    "lend",
    "loan_of",
    "move",
    "receive",
    "record_use",
    "record_use_of_many",
    "refuse",
    "return_loan",
    "share",
    "undo",
    "weigh",
    "weigh_left",
]
