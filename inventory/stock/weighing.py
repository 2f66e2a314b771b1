"""From what a scale shows to what is left."""

from dataclasses import dataclass


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
        raise ValueError(f"A weight cannot be below 0, but {min(gross_milli_g, tare_milli_g) / 1000:g} g was given.")
    if gross_milli_g < tare_milli_g:
        raise ValueError(
            f"The scale shows {gross_milli_g / 1000:g} g, less than the empty container's {tare_milli_g / 1000:g} g: "
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
        raise ValueError(f"A density must be above 0 g/ml, not {density_milli / 1000:g}.")
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
        return Weighing(net, net, False, f"{net / 1000:g} g left.")
    if density_milli is None:
        return Weighing(
            net, None, False, f"{net / 1000:g} g left. Without a density this is not turned into ml: enter one."
        )
    volume = volume_milli_ml(net, density_milli)
    how = "an estimated" if density_is_estimate else "the entered"
    words = f"{net / 1000:g} g, which is {volume / 1000:g} ml by {how} density of {density_milli / 1000:g} g/ml."
    return Weighing(net, volume, density_is_estimate, words)
