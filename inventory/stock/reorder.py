"""Whether a paint is below the level that a person set. Nothing is forecast here."""

from dataclasses import dataclass

from inventory.stock.amounts import exact


@dataclass(frozen=True)
class Shelf:
    """What stands on the shelf of one item: whole containers and amounts by unit, in thousandths."""

    sealed: int = 0
    open: int = 0
    sealed_milli: int = 0
    open_milli: int = 0


@dataclass(frozen=True)
class Reorder:
    """`short` is how much is lacking to the level, in tubes or thousandths of the unit; 0 when it is met."""

    short: int
    suggested_tubes: int | None
    reason: str


def by_tubes(name: str, shelf: Shelf, level: int, *, count_open: bool) -> Reorder:
    """Compare with a level in tubes; an open tube counts as one only where the studio said so."""
    have = shelf.sealed + (shelf.open if count_open else 0)
    short = max(0, level - have)
    counted = f"{shelf.sealed} sealed" + (f" and {shelf.open} open" if shelf.open else "")
    rule = "sealed and open ones count" if count_open else "only sealed ones count"
    if not short:
        return Reorder(0, None, f"{name}: {counted}, at or above the level of {level} ({rule}).")
    return Reorder(
        short, short, f"{name} is below its level of {level}: {counted}, and {rule}. Order {short} to reach it."
    )


def by_amount(
    name: str, shelf: Shelf, level_milli: int, unit: str, *, count_open: bool, size_milli: int | None = None
) -> Reorder:
    """Compare with a level in ml or g; `size_milli` is the container usually bought, None when there is none yet."""
    have = shelf.sealed_milli + (shelf.open_milli if count_open else 0)
    short = max(0, level_milli - have)
    rule = "sealed and open ones count" if count_open else "only sealed ones count"
    have_words = exact(have, unit)
    if not short:
        return Reorder(0, None, f"{name}: {have_words}, at or above the level of {exact(level_milli, unit)} ({rule}).")
    tubes = -(-short // size_milli) if size_milli else None
    order = f"Order {tubes} of {exact(size_milli, unit)}" if tubes and size_milli else f"Order {exact(short, unit)}"
    return Reorder(
        short,
        tubes,
        f"{name} is below its level of {exact(level_milli, unit)}: {have_words} counted, and {rule}. "
        f"{order} to reach it.",
    )
