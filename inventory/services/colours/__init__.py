"""Colours of paints: measurements taken in and withdrawn, and the curves worked out from them."""

from inventory.services.colours.checking import CONFIRM, EXCHANGE, Beside, Known
from inventory.services.colours.giving import (
    FIELDS,
    add_card_photo,
    add_colour,
    add_spectrum,
    of_photo,
    of_reflectance,
    of_text,
)
from inventory.services.colours.keeping import bring_back, keep_again, withdraw
from inventory.services.colours.working_out import (
    label_changed,
    method_changed,
    optics_changed,
    wait_for,
    waiting,
    work_out,
    work_through,
)

__all__ = [
    "CONFIRM",
    "EXCHANGE",
    "FIELDS",
    "Beside",
    "Known",
    "add_card_photo",
    "add_colour",
    "add_spectrum",
    "bring_back",
    "keep_again",
    "label_changed",
    "method_changed",
    "of_photo",
    "of_reflectance",
    "of_text",
    "optics_changed",
    "wait_for",
    "waiting",
    "withdraw",
    "work_out",
    "work_through",
]
