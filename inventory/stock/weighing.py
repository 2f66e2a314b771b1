"""From what a scale shows to what is left."""

from dataclasses import dataclass

from inventory.stock.amounts import exact


@dataclass(frozen=True)
class Weighing:
    """What a weighing says about a container.

    `left_milli` is None when the amount is kept by volume and nobody entered or accepted a density:
    grams never become millilitres on their own.
    """

    net_milli_g: int
    left_milli: int | None
    is_estimate: bool
    words: str


def net_mass(gross_milli_g: int, tare_milli_g: int) -> int:
    """Return gross minus tare in thousandths of a gram; ValueError where the scale shows less than the empty tube."""
    if gross_milli_g < 0 or tare_milli_g < 0:
        raise ValueError(f"A weight cannot be below 0, but {exact(min(gross_milli_g, tare_milli_g), 'g')} was given.")
    if gross_milli_g < tare_milli_g:
        raise ValueError(
            f"The scale shows {exact(gross_milli_g, 'g')}, less than the empty container's {exact(tare_milli_g, 'g')}: "
            "check both weights."
        )
    return gross_milli_g - tare_milli_g


def volume_milli_ml(mass_milli_g: int, density_milli: int) -> int:
    """Return the volume of a mass, in thousandths of ml, rounded half to even.

    Parameters
    ----------
    mass_milli_g : int
        Thousandths of a gram, 0 or more.
    density_milli : int
        Thousandths of g/ml, above 0.
    """
    if density_milli <= 0:
        raise ValueError(f"A density must be above 0, not {exact(density_milli, 'g/ml')}.")
    whole, rest = divmod(mass_milli_g * 1000, density_milli)
    if 2 * rest > density_milli or (2 * rest == density_milli and whole % 2):
        whole += 1
    return whole


def weigh(
    gross_milli_g: int,
    tare_milli_g: int,
    *,
    unit: str,
    density_milli: int | None = None,
    density_is_estimate: bool = False,
) -> Weighing:
    """Return what is left by a weighing, in thousandths of `unit` ("ml" or "g").

    Raises
    ------
    ValueError
        If a weight is negative, or the gross weight below the tare.
    """
    net = net_mass(gross_milli_g, tare_milli_g)
    if unit == "g":
        return Weighing(net, net, False, f"{exact(net, 'g')} left.")
    if density_milli is None:
        return Weighing(
            net, None, False, f"{exact(net, 'g')} left. Without a density this is not turned into ml: enter one."
        )
    volume = volume_milli_ml(net, density_milli)
    how = "an estimated" if density_is_estimate else "the entered"
    words = f"{exact(net, 'g')}, which is {exact(volume, 'ml')} by {how} density of {exact(density_milli, 'g/ml')}."
    return Weighing(net, volume, density_is_estimate, words)
