"""What the scale shows becomes what is left, as far as the container and the density are known."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.models import Entry, EntryKind, Item, Tube, TubeState, Unit
from inventory.models.tube import exact
from inventory.queries import scales
from inventory.services.ledger.deed import (
    DENSITY,
    Deed,
    begin,
    check_amount,
    noted,
    opened,
    refuse,
    refuse_empty,
    set_balance,
    write,
)
from inventory.stock import weighing
from inventory.stock.weighing import Figure, Weighing
from studio.models import User


@transaction.atomic
def weigh(
    tube: Tube,
    *,
    gross_milli_g: int,
    by: User,
    tare_milli_g: int | None = None,
    density_milli: int | None = None,
    is_full: bool = False,
    with_estimates: bool = False,
    key: str | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Entry:
    """Record what the scale shows. The balance follows only where the tare, and for ml a density, is known.

    A tare or density given here is kept. `is_full`: it is sealed and holds what its label says, so its weight gives
    the density. `with_estimates`: a tare from its size and a density from its pigments will do.
    """
    check_amount(gross_milli_g, Unit.G, "gross")
    if tare_milli_g is not None:
        check_amount(tare_milli_g, Unit.G, "tare", zero=True)
    deed = Deed(EntryKind.WEIGHED, by, key=key, note=note, at=at, gross_milli_g=gross_milli_g)
    if earlier := begin(tube, deed):
        return earlier
    if tube.state == TubeState.EMPTY:
        return _weigh_empty(tube, deed, gross_milli_g)
    after: dict[str, Any] = {} if tare_milli_g is None else {"tare_milli_g": tare_milli_g}
    tare = _tare(tube, tare_milli_g, with_estimates=with_estimates)
    deed = _keep_density(tube.item, deed, density_milli)
    if tare is None:
        words = f"{exact(gross_milli_g, Unit.G)} with its container, whose own weight is not known."
        as_before = replace(noted(deed, words), is_estimate=tube.balance_is_estimate)
        return set_balance(tube, as_before, tube.balance_milli, **after)
    if is_full:
        deed = _learn_density(tube, deed, gross_milli_g, tare)
    density = _density(tube, with_estimates=with_estimates)
    found = _ask(lambda: weighing.weigh(gross_milli_g, tare, unit=tube.unit, density=density))
    return _settle(tube, deed, found, is_full=is_full, **after)


@transaction.atomic
def weigh_left(
    tube: Tube,
    *,
    net_milli_g: int,
    by: User,
    with_estimates: bool = False,
    key: str | None = None,
    note: str = "",
    at: datetime | None = None,
) -> Entry:
    """Record grams of paint without their container. They stay grams where no density is known."""
    check_amount(net_milli_g, Unit.G, "left", zero=True)
    deed = Deed(EntryKind.WEIGHED, by, key=key, note=note, at=at)
    if earlier := begin(tube, deed):
        return earlier
    refuse_empty(tube, "weighed")
    density = _density(tube, with_estimates=with_estimates)
    found = weighing.left_of(net_milli_g, weighing.SCALE_ERROR_MILLI_G, unit=tube.unit, density=density)
    return _settle(tube, deed, found, field="left")


def _weigh_empty(tube: Tube, deed: Deed, gross_milli_g: int) -> Entry:
    """The weight of an empty one: what the next of its kind weighs without its paint."""
    words = _empty_words(tube, gross_milli_g)
    as_before = replace(noted(deed, words), is_estimate=tube.balance_is_estimate)
    return write(tube, as_before, change_milli=0, tare_milli_g=gross_milli_g)


def _empty_words(tube: Tube, gross_milli_g: int) -> str:
    largest = tube.nominal_milli * 8 if tube.unit == Unit.ML else tube.nominal_milli
    if gross_milli_g > largest:
        raise refuse(
            "gross",
            f"{tube} is finished, and {exact(gross_milli_g, Unit.G)} is more than an empty container of its size "
            f"({tube.nominal}) weighs: check the figure, or undo the entry that finished it.",
        )
    return f"The empty container weighs {exact(gross_milli_g, Unit.G)}."


def _tare(tube: Tube, given_milli_g: int | None, *, with_estimates: bool) -> Figure | None:
    if given_milli_g is not None:
        return weighing.entered_tare(given_milli_g)
    return scales.tare_of(tube) or (scales.rough_tare_of(tube) if with_estimates else None)


def _density(tube: Tube, *, with_estimates: bool) -> Figure | None:
    if tube.unit == Unit.G:
        return None
    return scales.density_of(tube.item) or (scales.rough_density_of(tube.item) if with_estimates else None)


def _ask(question: Callable[[], Weighing]) -> Weighing:
    try:
        return question()
    except ValueError as error:
        raise refuse("gross", str(error)) from error


def _keep_density(item: Item, deed: Deed, density_milli: int | None, *, is_estimate: bool = False) -> Deed:
    """Keep the density with the item, and what it was before with the deed."""
    if density_milli is None:
        return deed
    if not 500 <= density_milli <= 8000:
        raise refuse(
            "density",
            f"{exact(density_milli, 'g/ml')} is outside 0.5 to 8 g/ml, where paints and mediums lie: "
            "check the weight, the tare and the size.",
        )
    before, after = hold_density(item), [density_milli, is_estimate]
    set_density(item, after)
    return deed if before == after else replace(deed, facts={DENSITY: [before, after]})


def hold_density(item: Item) -> list[Any]:
    """The density with whether it is an estimate, as it is now, held until the transaction ends."""
    rows = Item.objects.select_for_update(of=("self",), no_key=True).filter(pk=item.pk)
    return list(rows.values_list("density_milli", "density_is_estimate").get())


def set_density(item: Item, density: list[Any]) -> None:
    item.density_milli, item.density_is_estimate = density
    Item.objects.filter(pk=item.pk).update(density_milli=density[0], density_is_estimate=density[1])


def _learn_density(tube: Tube, deed: Deed, gross_milli_g: int, tare: Figure) -> Deed:
    if tube.state != TubeState.SEALED:
        raise refuse("is_full", f"{tube} is open, so it need not be full: weigh a sealed one, or enter the density.")
    if tube.unit == Unit.G:
        raise refuse("is_full", f"{tube} is kept in g, so no density is needed: leave the tick out.")
    if tube.item.density_milli is not None and not tube.item.density_is_estimate:
        raise refuse(
            "is_full",
            f"A density of {tube.item.density_words} was entered for {tube.item} already: change it on its own page, "
            "or leave the tick out.",
        )
    found = _ask(lambda: weighing.weigh(gross_milli_g, tare, unit="g"))
    try:
        density = weighing.density_from_full(found.net_milli_g, found.net_error_milli_g, tube.nominal_milli)
    except ValueError as error:
        raise refuse("gross", str(error)) from error
    return _keep_density(tube.item, deed, density.milli, is_estimate=True)


def _settle(
    tube: Tube, deed: Deed, found: Weighing, *, field: str = "gross", is_full: bool = False, **after: Any
) -> Entry:
    """Bring the balance to what was found; where that is within its error of the size, the container is full."""
    deed = noted(deed, found.words)
    if found.left_milli is None or found.low_milli is None:
        return set_balance(tube, replace(deed, is_estimate=tube.balance_is_estimate), tube.balance_milli, **after)
    left = tube.nominal_milli if is_full else _fitting(tube, found.left_milli, found.low_milli, field)
    if left < tube.nominal_milli:
        after |= opened(tube, deed.at)
    return set_balance(tube, replace(deed, is_estimate=found.is_estimate), left, **after)


def _fitting(tube: Tube, left_milli: int, low_milli: int, field: str) -> int:
    if low_milli > tube.nominal_milli:
        raise refuse(
            field,
            f"By this weight {exact(left_milli, tube.unit)} would be left, more than the size of {tube.nominal}: "
            "check the weight, the tare and the density.",
        )
    return min(left_milli, tube.nominal_milli)


def weighed_again(tube: Tube, entry: Entry, gross_milli_g: int, tare_milli_g: int | None) -> tuple[int | None, str]:
    """What a weighing would have found with these figures: thousandths of the tube's unit, or None; and in words."""
    check_amount(gross_milli_g, Unit.G, "gross")
    if entry.state_before == TubeState.EMPTY:
        return None, _empty_words(tube, gross_milli_g)
    tare = _tare(tube, tare_milli_g, with_estimates=False)
    if tare is None:
        return None, f"{exact(gross_milli_g, Unit.G)} with its container, whose own weight is not known."
    density = _density(tube, with_estimates=entry.is_estimate)
    found = _ask(lambda: weighing.weigh(gross_milli_g, tare, unit=tube.unit, density=density))
    if found.left_milli is None or found.low_milli is None:
        return None, found.words
    return _fitting(tube, found.left_milli, found.low_milli, "gross"), found.words
