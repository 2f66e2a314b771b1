"""Who sells, at what price, what is wanted, what was ordered, and what came. Each function is one deed.

A deed on an order holds the order's row first, then what the ledger holds (studio, place, tubes by id).
"""

from inventory.services.buying.deliveries import Arrived, receive_delivery, send_back, take_back
from inventory.services.buying.offers import Break, add_offer, withdraw_offer
from inventory.services.buying.orders import (
    add_line,
    cancel,
    change_line,
    close_short,
    draft,
    draft_from_wants,
    expect_rest,
    mark_sent,
    remove_line,
    reopen,
)
from inventory.services.buying.suppliers import (
    add_order_day,
    add_supplier,
    bring_back_supplier,
    change_supplier,
    remove_order_day,
    remove_supplier,
)
from inventory.services.buying.wants import (
    add_substitute,
    change_want,
    drop_want,
    remove_substitute,
    want,
    want_each,
)

__all__ = [
    "Arrived",
    "Break",
    "add_line",
    "add_offer",
    "add_order_day",
    "add_substitute",
    "add_supplier",
    "bring_back_supplier",
    "cancel",
    "change_line",
    "change_supplier",
    "change_want",
    "close_short",
    "draft",
    "draft_from_wants",
    "drop_want",
    "expect_rest",
    "mark_sent",
    "receive_delivery",
    "remove_line",
    "remove_order_day",
    "remove_substitute",
    "remove_supplier",
    "reopen",
    "send_back",
    "take_back",
    "want",
    "want_each",
    "withdraw_offer",
]
