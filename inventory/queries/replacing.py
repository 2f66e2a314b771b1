"""What could take the place of one paint: the nearest pigments, and what would be different, said aloud."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import difference, srgb
from inventory.colour.coverage import opened, percent
from inventory.colour.curves import Curve, from_bands
from inventory.colour.drawdown import TINT_PARTS
from inventory.colour.matching import tinting_white
from inventory.colour.mixing import masstone_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import Reach, gain
from inventory.colour.seek import differs
from inventory.colour.strength import strength_of
from inventory.colour.wheel import colour_limit
from inventory.models import Opacity, OpticalRow, Paint
from inventory.queries.offered import Price
from inventory.queries.palette import WorkingPalette, band_row
from inventory.queries.pigment_words import NOT_KNOWN, hazard_short, hazard_words, lightfastness_words
from inventory.queries.wanted import Sifted
from inventory.queries.wheel import Wheel, regions_in_words
from inventory.restrictions import Restriction

Floats = NDArray[np.float64]

MOST = 5


@dataclass(frozen=True)
class Substitute:
    """A pigment in place of a paint. Differences are CIEDE2000 alone and as a 1:9 tint."""

    row: OpticalRow
    hex: str
    masstone_difference: float
    tint_difference: float
    looks: str
    """How it differs alone and tinted, in words."""
    opacity: str
    strength: str
    lightfastness: str
    mixing: str
    hazard: str
    price: Price | None
    warnings: tuple[Restriction, ...]
    told_beside: tuple[Restriction, ...]
    """Those of them that do not warn of every pigment that fits."""
    same_pigment: bool
    """Whether the paint to replace is of this pigment too."""

    @property
    def hazard_short(self) -> str:
        return hazard_short(self.row.pigment)


@dataclass(frozen=True)
class Replacement:
    paint: Paint
    loss: float
    """Percentage points that go without the paint."""
    lost: str
    substitutes: tuple[Substitute, ...]


def replacement(found: Wheel, pk: int, fitting: Sifted) -> Replacement | None:
    """The nearest candidates for the paint's place; None where it is not among those of known colour."""
    if found.reached is None or pk not in found.paints:
        return None
    reached, one = found.reached, found.chosen.palette
    place = reached.palette.index(pk)
    limit = colour_limit()
    whole, left = percent(reached.chroma, limit), percent(reached.without[place], limit)
    near = _nearest(one, pk, fitting.rows)
    return Replacement(
        paint=one.paints[pk],
        loss=whole - left,
        lost=regions_in_words(opened(reached.without[place], reached.chroma, limit)),
        substitutes=tuple(
            _substitute(one, pk, reached, fitting, row, curve, alone, tinted) for row, curve, alone, tinted in near
        ),
    )


def _nearest(one: WorkingPalette, pk: int, rows: Sequence[OpticalRow]) -> list[tuple[OpticalRow, Curve, float, float]]:
    """The typical curves nearest to a paint, alone and tinted together; its own is none."""
    own = one.palette.take([one.palette.index(pk)])
    made = [(row, from_bands(band_row(row))) for row in rows]
    made = [(row, curve) for row, curve in made if not np.array_equal(curve.k, own.k[0])]
    if not made:
        return []
    k, s = (np.stack([getattr(curve, name) for _, curve in made]) for name in ("k", "s"))
    ground = tinting_white(one.palette)
    alone = difference(masstone_lab(k, s), own.masstones[0])
    tinted = difference(_tinted(k, s, ground), _tinted(own.k, own.s, ground)[0])
    order = np.argsort(alone + tinted, kind="stable")[:MOST]
    return [(*made[i], float(alone[i]), float(tinted[i])) for i in order]


def _tinted(k: Floats, s: Floats, ground: tuple[Floats, Floats]) -> Floats:
    one, nine = TINT_PARTS
    return masstone_lab((one * k + nine * ground[0]) / (one + nine), (one * s + nine * ground[1]) / (one + nine))


def _substitute(
    one: WorkingPalette,
    pk: int,
    reached: Reach,
    fitting: Sifted,
    row: OpticalRow,
    curve: Curve,
    alone: float,
    tinted: float,
) -> Substitute:
    palette, paint, pigment = one.palette, one.paints[pk], row.pigment
    place = palette.index(pk)
    ground = tinting_white(palette)
    lab = masstone_lab(curve.k, curve.s)
    tint = _tinted(curve.k[None], curve.s[None], ground)[0]
    own_tint = _tinted(palette.k[[place]], palette.s[[place]], ground)[0]
    opacity = pigment.opacity_typical or NOT_KNOWN
    own_opacity = NOT_KNOWN if paint.opacity == Opacity.UNKNOWN else paint.get_opacity_display().lower()
    own_lightfastness = (
        f"{paint.lightfastness} ({paint.get_lightfastness_scale_display()})" if paint.lightfastness else NOT_KNOWN
    )
    return Substitute(
        row=row,
        hex=srgb(lab).hex,
        masstone_difference=alone,
        tint_difference=tinted,
        looks=f"Alone {differs(lab, palette.masstones[place])}; tinted {differs(tint, own_tint)}.",
        opacity=f"{opacity} (label of {paint.name}: {own_opacity})",
        strength=_strength(one, pk, curve, Curve(*ground, curve.origin, "")),
        lightfastness=f"{lightfastness_words(pigment, one.binder)} (label of {paint.name}: {own_lightfastness})",
        mixing=_mixing(palette, place, reached, curve, pigment.ci_name),
        hazard=hazard_words(pigment),
        price=fitting.prices.get(row.pk),
        warnings=fitting.warns(pigment.pk),
        told_beside=fitting.told_beside(pigment.pk),
        same_pigment=any(line.code == pigment.ci_name for line in paint.pigment_lines.all()),
    )


def _strength(one: WorkingPalette, pk: int, curve: Curve, white: Curve) -> str:
    """How strong the candidate is beside the paint: in a tint, or for a white by how much it scatters."""
    own = one.curves[pk]
    if one.palette.is_white[one.palette.index(pk)]:
        return f"it lightens about {100.0 * curve.s.mean() / own.s.mean():.0f} in 100 of {one.paints[pk].name}"
    try:
        strength = strength_of(curve, own, white)
    except ValueError:
        return "not to be told: the paint colours a tint no more than the white itself"
    return f"{strength.text} in a tint, about {strength.percent:.0f} in 100"


def _mixing(palette: Palette, place: int, reached: Reach, curve: Curve, name: str) -> str:
    """What the set mixes to with the candidate instead of the paint."""
    limit = colour_limit()
    rest = palette.without(palette.ids[place])
    new: Hashable = ("instead", name)
    candidate = Palette.of([(new, name, curve)], palette.binder)
    base = reached.without[place]
    grid = np.maximum(base, gain(rest, candidate, base))
    change = percent(grid, limit) - percent(reached.chroma, limit)
    lost = regions_in_words(opened(grid, reached.chroma, limit), most=2)
    won = regions_in_words(opened(reached.chroma, grid, limit), most=2)
    much = f"{abs(change):.1f} points"
    words = f"{much} {'more' if change > 0.0 else 'fewer'} than now" if abs(change) >= 0.05 else "as much as now"
    if lost:
        words += f"; loses {lost}"
    if won:
        words += f"; opens {won}"
    return words
