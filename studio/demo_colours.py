"""Readings of a few demo paints: the pigments' typical curves, made stronger or weaker by a stated factor, with noise.

Nothing here was measured; every reading says so.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.colour.curves import Curve
from inventory.colour.mixing import mixture_lab
from inventory.models import Measurement, Paint, Swatch
from inventory.queries.palette import typical_of, typical_rows, with_pigments
from inventory.services.colours import Beside, add_colour
from studio.models import Studio, User

SEED = 31
NOISE_SD = 0.3  # of L*, a* and b*


@dataclass(frozen=True)
class Reading:
    """A paint by name and binder, the factor on its typical absorption, and the swatches that were "measured"."""

    name: str
    binder: str
    strength: float
    swatches: tuple[Swatch, ...]


ALONE = (Swatch.MASSTONE,)
TINTED = (Swatch.MASSTONE, Swatch.TINT_1_9)
READINGS = (
    Reading("Titanium White", "oil", 1.3, ALONE),
    Reading("Ultramarine Blue", "oil", 1.25, TINTED),
    Reading("Alizarin Crimson", "oil", 0.8, (*TINTED, Swatch.TINT_1_1)),
    Reading("Hansa Yellow Light", "oil", 0.9, TINTED),
    Reading("Yellow Ochre", "oil", 1.15, ALONE),
    Reading("Titanium White", "acrylic", 1.1, ALONE),
    Reading("Ultramarine Blue", "acrylic", 1.5, TINTED),
)


def measure(studio: Studio, by: User) -> list[Measurement]:
    """Give the demo studio's readings, the same every time."""
    chance = random.Random(SEED)  # noqa: S311  # believable figures, no secrets
    made: list[Measurement] = []
    whites: dict[str, tuple[Paint, Curve]] = {}
    for reading, paint, curve in _curves(studio):
        if reading.name == "Titanium White":
            whites[reading.binder] = paint, curve
        white, ground = whites[reading.binder]
        for swatch in reading.swatches:
            lab = mixture_lab(np.stack((curve.k, ground.k)), np.stack((curve.s, ground.s)), swatch.parts)
            L, a, b = (float(value) + chance.gauss(0.0, NOISE_SD) for value in lab)
            made.append(
                add_colour(
                    paint,
                    by=by,
                    beside=Beside(swatch, white if swatch.is_tint else None, note=_note(reading.strength)),
                    text=f"{min(L, 99.9):.1f}, {a:.1f}, {b:.1f}",
                    illuminant="D65",
                    observer="10",
                )
            )
    return made


def _note(strength: float) -> str:
    return f"Invented for the demo: the typical curve with {strength:g} times its absorption, and noise of {NOISE_SD:g}"


def _curves(studio: Studio) -> Iterator[tuple[Reading, Paint, Curve]]:
    rows = typical_rows()
    paints = with_pigments(Paint.objects.of(studio).filter(name__in={one.name for one in READINGS}))
    by_name = {(paint.name, paint.binder): paint for paint in paints}
    for reading in READINGS:
        paint = by_name[reading.name, reading.binder]
        typical = typical_of(paint, rows).curve
        if typical is not None:
            yield reading, paint, Curve(reading.strength * typical.k, typical.s, typical.origin)
