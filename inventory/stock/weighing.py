"""From what a scale shows to what is left, with how sure each step is.

Every figure carries its error as a half width. Independent errors add as the root of the sum of their squares, and
those of a product or quotient as relative errors (JCGM 100:2008, 5.1.2: the law of propagation for uncorrelated
inputs).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, stdev

from inventory.stock.amounts import exact

# A kitchen scale shows whole grams and may be one off; common practice, no source.
SCALE_ERROR_MILLI_G = 1_000
# One empty container says nothing of how the next differs; our own rule, no source.
SPREAD_OF_ONE = 0.10
# A typed density has two or three digits. An estimated one, and one from a full tube, is surer than nothing.
ENTERED_DENSITY_ERROR = 0.02
ESTIMATED_DENSITY_ERROR = 0.15
# Aluminium tubes with their caps: grams as a multiple of ml to the power of 2/3, as sheet of one thickness goes with
# the surface. From memory of a few tubes of 14 to 200 ml; our own rule, no source.
TUBE_SHEET = 0.70
TUBE_SHEET_ERROR = 0.40
LARGEST_TUBE_MILLI = 250_000


@dataclass(frozen=True)
class Figure:
    """Thousandths of a unit, give or take `error_milli`, and in words where it comes from."""

    milli: int
    error_milli: int
    how: str
    is_estimate: bool = False


@dataclass(frozen=True)
class Weighing:
    """What a weighing says about a container.

    `left_milli` is None when the amount is kept by volume and nobody entered or accepted a density:
    grams never become millilitres on their own. `low_milli` and `high_milli` enclose it.
    """

    net_milli_g: int
    net_error_milli_g: int
    left_milli: int | None
    low_milli: int | None
    high_milli: int | None
    is_estimate: bool
    words: str


def entered_tare(tare_milli_g: int) -> Figure:
    """The weight of this very container, empty."""
    return Figure(tare_milli_g, SCALE_ERROR_MILLI_G, "its own empty weight")


def learned_tare(tares_milli_g: Sequence[int]) -> Figure | None:
    """Return the tare of a container whose empty likes were weighed; None where none was.

    Parameters
    ----------
    tares_milli_g : sequence of int
        Thousandths of a gram, each 0 or more, of empty containers of the same item and size.

    Returns
    -------
    Figure or None
        The mean. Its error is the spread that one more of them has, s * sqrt(1 + 1/n) with the sample standard
        deviation s, but at least the scale's own; of a single one a tenth of it.
    """
    if not tares_milli_g:
        return None
    count, middle = len(tares_milli_g), round(mean(tares_milli_g))
    spread = SPREAD_OF_ONE * middle if count == 1 else stdev(tares_milli_g) * math.sqrt(1 + 1 / count)
    least, most = min(tares_milli_g), max(tares_milli_g)
    how = "the weight of one empty one" if count == 1 else f"the mean of {count} empty ones"
    if least != most:
        how += f", {_figure(least)} to {exact(most, 'g')}"
    return Figure(middle, max(SCALE_ERROR_MILLI_G, math.ceil(spread)), how, is_estimate=True)


def tare_from_size(nominal_milli_ml: int) -> Figure | None:
    """What an aluminium tube of this size weighs empty, roughly; None above the sizes that tubes have."""
    if not 0 < nominal_milli_ml <= LARGEST_TUBE_MILLI:
        return None
    grams = TUBE_SHEET * (nominal_milli_ml / 1000) ** (2 / 3)
    milli = round(grams * 10) * 100
    return Figure(milli, math.ceil(grams * TUBE_SHEET_ERROR * 1000), "estimated from its size, as a metal tube", True)


def entered_density(density_milli: int, *, is_estimate: bool = False) -> Figure:
    """The density that is kept with the paint, in thousandths of g/ml."""
    share = ESTIMATED_DENSITY_ERROR if is_estimate else ENTERED_DENSITY_ERROR
    how = "an estimated" if is_estimate else "the entered"
    return Figure(density_milli, math.ceil(density_milli * share), how, is_estimate)


def short_filling(nominal_milli: int) -> int:
    """How much less than its label a container may hold, in thousandths of ml or g.

    References
    ----------
    Council Directive 76/211/EEC, annex I, 2.4, tolerable negative error, 5 to 1000 g or ml; the last step goes on.
    """
    if nominal_milli <= 0:
        raise ValueError(f"A size must be above 0, not {nominal_milli}.")
    steps = (
        (50_000, nominal_milli * 9 // 100),
        (100_000, 4_500),
        (200_000, nominal_milli * 45 // 1000),
        (300_000, 9_000),
        (500_000, nominal_milli * 3 // 100),
        (1_000_000, 15_000),
    )
    return next((short for size, short in steps if nominal_milli <= size), nominal_milli * 15 // 1000)


def density_from_full(net_milli_g: int, net_error_milli_g: int, nominal_milli_ml: int) -> Figure:
    """Return the density of what fills a container, in thousandths of g/ml.

    The weighing and the filling are both uncertain: the label's amount may fall short as the law allows.
    """
    if net_milli_g <= 0:
        raise ValueError(f"A full container holds more than {exact(net_milli_g, 'g')}: check the weight and the tare.")
    density = round(net_milli_g * 1000 / nominal_milli_ml)
    share = math.hypot(net_error_milli_g / net_milli_g, short_filling(nominal_milli_ml) / nominal_milli_ml)
    return Figure(density, math.ceil(density * share), "the full container's", True)


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
    tare: Figure,
    *,
    unit: str,
    density: Figure | None = None,
    scale_error_milli_g: int = SCALE_ERROR_MILLI_G,
) -> Weighing:
    """Return what is left by a weighing, in thousandths of `unit` ("ml" or "g").

    A tare that is not the container's own may be a little above what the scale shows: within the errors of both
    nothing is left.

    Raises
    ------
    ValueError
        If a weight is negative, or the gross weight further below the tare than both are uncertain.
    """
    error = math.ceil(math.hypot(scale_error_milli_g, tare.error_milli))
    if tare.is_estimate and 0 <= gross_milli_g < tare.milli <= gross_milli_g + error:
        net = 0
    else:
        net = net_mass(gross_milli_g, tare.milli)
    return left_of(net, error, unit=unit, density=density, tare=tare)


def left_of(
    net_milli_g: int, error_milli_g: int, *, unit: str, density: Figure | None = None, tare: Figure | None = None
) -> Weighing:
    """The same from a net weight, with its error as a half width; both in thousandths of a gram."""
    net, error = net_milli_g, error_milli_g
    words = f"About {exact(net, 'g')} left, give or take {_rounded_up(error)} g"
    if tare is not None and tare.is_estimate:
        words += f" (container {exact(tare.milli, 'g')}, {tare.how})"
    guessed = tare is not None and tare.is_estimate
    if unit == "g":
        return Weighing(net, error, net, max(0, net - error), net + error, guessed, f"{words}.")
    if density is None:
        words += ". Without a density this is not turned into ml: enter one."
        return Weighing(net, error, None, None, None, guessed, words)
    volume = volume_milli_ml(net, density.milli)
    share = math.hypot(error / net if net else 0.0, density.error_milli / density.milli)
    half = math.ceil(volume * share) if net else volume_milli_ml(error, density.milli)
    low, high = max(0, volume - half), volume + half
    words += f"; {range_words(low, high, 'ml')} by {density.how} density of {exact(density.milli, 'g/ml')}."
    return Weighing(net, error, volume, low, high, density.is_estimate or guessed, words)


def range_words(low_milli: int, high_milli: int, unit: str) -> str:
    """'about 34 to 38 ml': outwards to whole units, below ten to tenths."""
    step = 100 if high_milli < 10_000 else 1_000
    low, high = low_milli // step * step, -(-high_milli // step) * step
    return f"about {_figure(low)} to {exact(high, unit)}"


def _rounded_up(error_milli: int) -> str:
    step = 100 if error_milli < 1_000 else 1_000
    return _figure(-(-error_milli // step) * step)


def _figure(milli: int) -> str:
    return exact(milli, "").strip()
