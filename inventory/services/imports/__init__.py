"""Tables on their way in: kept as typed, read in steps, asked about, taken in whole or not at all, and taken back."""

from inventory.services.imports.answering import (
    ask_again,
    choose,
    drop,
    leave_out,
    leave_out_errors,
    read_again,
    take_up,
)
from inventory.services.imports.colours import still_stands
from inventory.services.imports.drawing import draw_some, drawing
from inventory.services.imports.giving import begin, begin_pasted
from inventory.services.imports.held import A_STEP
from inventory.services.imports.intake import TakenIn, insert_children
from inventory.services.imports.naming import set_columns
from inventory.services.imports.reading import Progress, progress, read_some
from inventory.services.imports.sources import forget
from inventory.services.imports.taking_back import take_back
from inventory.services.imports.taking_in import commit, taken_in

__all__ = [
    "A_STEP",
    "Progress",
    "TakenIn",
    "ask_again",
    "begin",
    "begin_pasted",
    "choose",
    "commit",
    "draw_some",
    "drawing",
    "drop",
    "forget",
    "insert_children",
    "leave_out",
    "leave_out_errors",
    "progress",
    "read_again",
    "read_some",
    "set_columns",
    "still_stands",
    "take_back",
    "take_up",
    "taken_in",
]
