"""What is known for a weighing: how heavy the container is without its paint, and how dense the paint."""

from inventory.models import Item, PaintPigment, Tube, Unit
from inventory.stock import weighing
from inventory.stock.density import estimated_density
from inventory.stock.weighing import Figure

# Of many empty ones the latest say enough.
MOST_TARES = 20


def tare_of(tube: Tube) -> Figure | None:
    """Its own empty weight, or what its likes weigh: the same item and size. One query at most."""
    if tube.tare_milli_g is not None:
        return weighing.entered_tare(tube.tare_milli_g)
    likes = Tube.objects.filter(item=tube.item_id, unit=tube.unit, nominal_milli=tube.nominal_milli)
    known = likes.exclude(tare_milli_g=None).order_by("-pk").values_list("tare_milli_g", flat=True)[:MOST_TARES]
    return weighing.learned_tare([tare for tare in known if tare is not None])


def rough_tare_of(tube: Tube) -> Figure | None:
    """From the size alone; only for what is kept by volume."""
    return weighing.tare_from_size(tube.nominal_milli) if tube.unit == Unit.ML else None


def density_of(item: Item) -> Figure | None:
    """What somebody entered, or a full container gave."""
    if item.density_milli is None:
        return None
    return weighing.entered_density(item.density_milli, is_estimate=item.density_is_estimate)


def rough_density_of(item: Item) -> Figure | None:
    """From its pigments and binder; None where one of them is not known. One query."""
    lines = PaintPigment.objects.filter(paint=item.pk).values_list("pigment__density_g_cm3", "paint__binder")
    found = list(lines)
    return estimated_density([density for density, _ in found], found[0][1]) if found else None
