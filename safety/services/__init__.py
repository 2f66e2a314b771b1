"""Writes: each function is one deed, in one transaction."""

from safety.services.notices import hang, make_notice, make_notices, take_down
from safety.services.sheets import record_label_statement, record_sheet, withdraw

__all__ = [
    "hang",
    "make_notice",
    "make_notices",
    "record_label_statement",
    "record_sheet",
    "take_down",
    "withdraw",
]
