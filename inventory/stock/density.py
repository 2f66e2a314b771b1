"""How heavy a paint is, from what is in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.stock.weighing import Figure

LINSEED_OIL = 0.93


@dataclass(frozen=True)
class Medium:
    """What carries the pigment in a tube: its density in g/ml, and which share of the volume may be pigment."""

    density: float
    least_pigment: float
    most_pigment: float
    source: str


# The shares of oil colours enclose those that follow from the weights of oil to 100 parts of pigment in A. H. Church,
# The Chemistry of Paints and Painting, chapter on oil colours, with handbook densities: 0.20 for cobalt blue and
# 0.54 for ultramarine. Those of the others are from memory.
_CHURCH = "oil to 100 parts of pigment in A. H. Church, The Chemistry of Paints and Painting"
_MEMORY = "from memory"
MEDIUMS: Mapping[str, Medium] = {
    "oil": Medium(LINSEED_OIL, 0.19, 0.55, _CHURCH),
    "water-mixable oil": Medium(0.95, 0.19, 0.55, _MEMORY),
    "alkyd": Medium(0.95, 0.15, 0.45, _MEMORY),
    "acrylic": Medium(1.05, 0.05, 0.30, _MEMORY),
    "watercolour": Medium(1.20, 0.10, 0.40, _MEMORY),
    "gouache": Medium(1.20, 0.15, 0.50, _MEMORY),
}


def estimated_density(pigments: Sequence[float | None], binder: str) -> Figure | None:
    """Estimate the density of a paint in thousandths of g/ml from its pigments' densities in g/ml.

    How much of each pigment is in it is not known, so the estimate reaches from the lightest pigment at the least
    share of the volume to the heaviest at the most. None where a pigment's density or the binder is not known.
    """
    medium = MEDIUMS.get(binder)
    known = [density for density in pigments if density]
    if medium is None or not known or len(known) < len(pigments):
        return None
    low = _filled(medium, min(known), medium.least_pigment)
    high = _filled(medium, max(known), medium.most_pigment)
    low, high = min(low, high), max(low, high)
    middle, half = round((low + high) * 500), round((high - low) * 500)
    return Figure(middle, half, "an estimated (from its pigments and binder)", True)


def _filled(medium: Medium, pigment: float, share: float) -> float:
    return share * pigment + (1 - share) * medium.density
