"""Writes: each function is one deed, in one transaction."""

from safety.services.files import attach
from safety.services.notices import make_notice, make_notices
from safety.services.postings import hang, put_in_room, replace, take_down
from safety.services.sheets import look_again, record_label_statement, record_sheet, say_printed_so, withdraw

__all__ = [
    "attach",
    "hang",
    "look_again",
    "make_notice",
    "make_notices",
    "put_in_room",
    "record_label_statement",
    "record_sheet",
    "replace",
    "say_printed_so",
    "take_down",
    "withdraw",
]
