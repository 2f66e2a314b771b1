"""What was measured of a paint: its masstone, tints in white, films over a ground; and what may be wrong with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, chroma, difference, lab_from_relative_xyz
from inventory.colour.kubelka_munk import K1
from inventory.colour.viewing import Viewing, weights_under

Floats = NDArray[np.float64]
Lab = tuple[float, float, float]

# Standard deviation of a reading in L*, a* and b*: a good instrument on an even swatch. By eye or from a camera it is
# 1 or more. A value set too small makes the curves follow the noise.
READING_SD = 0.2
# The same for a spectral reading, in units of lightness (116 R^(1/3)) at each wavelength.
SPECTRAL_SD = 0.3
MOST_PIGMENTS = 8
# Chroma beyond 150 is outside every real surface (the greatest in Pointer's table is below 120).
MOST_CHROMA = 150.0
# A white for tints, in CIELAB: a thin white on paper reads L* 88; unbleached titanium (L* 83, C* 17) is a colour.
WHITE_LEAST_LIGHTNESS = 85.0
WHITE_MOST_CHROMA = 10.0
# Two readings of one colour may differ by this much (CIEDE2000) and still be one colour; lightness by as much in L*.
SAME_COLOUR_WITHIN = 0.5
LIGHTNESS_SLACK = 1.5
# A paint this far (CIEDE2000) from its pigment's typical masstone and tints is another colour: a wrong code, or another
# paint. Of the 21 acrylics of one pigment in fixtures/checks the typical masstones are 11 off at most.
UNLIKE_ITS_CODE = 25.0


@dataclass(frozen=True)
class Sample:
    """One swatch: parts of paint and of white, and its colour, as L*, a*, b* or as reflectance (31 fractions).

    A swatch hides its ground unless `thickness` says otherwise (in units in which titanium white scatters 1);
    then `ground` is the internal reflectance of what is beneath, 0 for black. `sd` is that of the reading.
    """

    lab: Lab | None = None
    reflectance: tuple[float, ...] | None = None
    paint: float = 1.0
    white: float = 0.0
    thickness: float | None = None
    ground: float = 0.0
    sd: float | None = None

    def __post_init__(self) -> None:
        if (self.lab is None) == (self.reflectance is None):
            raise ValueError("a sample has either a colour (L*, a*, b*) or a reflectance; give one of them")
        if self.lab is not None:
            object.__setattr__(self, "lab", _checked_lab(self.lab))
        if self.reflectance is not None:
            object.__setattr__(self, "reflectance", _checked_reflectance(self.reflectance))
        for name, value in (("paint", self.paint), ("white", self.white)):
            if not (np.isfinite(value) and value >= 0.0):
                raise ValueError(f"{name} must be 0 or more parts, not {value:g}; correct the parts")
        if self.paint + self.white <= 0.0:
            raise ValueError("a sample needs a part above 0; it has none")
        if self.thickness is not None and not (np.isfinite(self.thickness) and self.thickness > 0.0):
            raise ValueError(f"thickness must be above 0, not {self.thickness:g}; leave it out for a hiding film")
        if not 0.0 <= self.ground <= 1.0:
            raise ValueError(f"ground must be a reflectance from 0 to 1, not {self.ground:g}")
        if self.sd is not None and not (np.isfinite(self.sd) and self.sd > 0.0):
            raise ValueError(f"the standard deviation of a reading must be above 0, not {self.sd:g}")

    @property
    def share(self) -> float:
        """The paint's share of the mixture, 0 to 1."""
        return self.paint / (self.paint + self.white)

    @property
    def is_masstone(self) -> bool:
        return self.white == 0.0 and self.thickness is None

    @property
    def is_tint(self) -> bool:
        return self.white > 0.0 and self.paint > 0.0

    @property
    def spread(self) -> float:
        """The standard deviation in use."""
        if self.sd is not None:
            return self.sd
        return READING_SD if self.reflectance is None else SPECTRAL_SD

    def colour(self, viewing: Viewing = Viewing.D65_10) -> Floats:
        """Return L*, a*, b* (3,) as read, or worked from the reflectance."""
        if self.lab is not None:
            return np.array(self.lab)
        return lab_from_relative_xyz(np.array(self.reflectance) @ weights_under(viewing).T)


def masstone(colour: ArrayLike, *, sd: float | None = None) -> Sample:
    """Return the paint alone at complete hiding, from L*, a*, b* (3) or reflectance (31)."""
    return _sample(colour, sd=sd)


def tint(colour: ArrayLike, paint: float = 1.0, white: float = 9.0, *, sd: float | None = None) -> Sample:
    """Return a tint of so many parts of paint in so many of white (1:9 unless told otherwise)."""
    return _sample(colour, paint=paint, white=white, sd=sd)


def over(colour: ArrayLike, thickness: float, ground: float = 0.0, *, sd: float | None = None) -> Sample:
    """Return a drawdown of known thickness over a ground: 0 is a black card, about 0.80 a white one."""
    return _sample(colour, thickness=thickness, ground=ground, sd=sd)


@dataclass(frozen=True)
class Observed:
    """Everything known of one paint: its samples, the codes of its label in order, its name, how it was read."""

    samples: tuple[Sample, ...]
    codes: tuple[str, ...] = ()
    name: str = ""
    viewing: Viewing = Viewing.D65_10

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", tuple(self.samples))
        object.__setattr__(self, "codes", tuple(dict.fromkeys(self.codes)))
        if not self.samples:
            raise ValueError("no colour was given; measure the masstone and a tint of 1 part in 9 of white")
        if len(self.codes) > MOST_PIGMENTS:
            raise ValueError(
                f"a paint of {len(self.codes)} pigments is too many to tell apart; the most is {MOST_PIGMENTS}, "
                "so leave out those of which there is least"
            )

    @property
    def masstone(self) -> Sample | None:
        return next((sample for sample in self.samples if sample.is_masstone), None)

    @property
    def tints(self) -> tuple[Sample, ...]:
        """The tints, the strongest (most paint) first."""
        found = [sample for sample in self.samples if sample.is_tint]
        return tuple(sorted(found, key=lambda sample: -sample.share))


class DoubtKind(StrEnum):
    SWAPPED = "masstone and tint swapped"
    SAME = "two samples alike"
    DARKER_TINT = "tint darker than the masstone"
    LIGHTER_THAN_WHITE = "tint lighter than the white"
    NOT_A_WHITE = "white is not white"
    DARKER_THAN_SURFACE = "darker than a surface reflects"
    UNLIKE_ITS_CODE = "masstone unlike its pigment"


# Questions that a person may answer by "it is right as it stands".
MAY_STAND = (DoubtKind.DARKER_THAN_SURFACE, DoubtKind.UNLIKE_ITS_CODE)


@dataclass(frozen=True)
class Doubt:
    """Something that cannot be, or can hardly be. One with `may_stand` is a question: the person may confirm it."""

    kind: DoubtKind
    message: str
    may_stand: bool = False


class DoubtfulColours(ValueError):  # noqa: N818 - a question more than an error
    """The colours do not go together; `doubts` says why."""

    def __init__(self, doubts: Sequence[Doubt]) -> None:
        super().__init__(" ".join(doubt.message for doubt in doubts))
        self.doubts = tuple(doubts)


def doubts(observed: Observed, white_lab: Lab | None = None) -> tuple[Doubt, ...]:
    """Return what may be wrong with a paint's colours.

    Parameters
    ----------
    observed : Observed
    white_lab : tuple of 3, optional
        L*, a*, b* of the white of the tints alone, read in the same way.
    """
    found: list[Doubt] = []
    surface = _surface_lightness()
    colours = [sample.colour(observed.viewing) for sample in observed.samples]
    for sample, lab in zip(observed.samples, colours, strict=True):
        if sample.thickness is None and lab[0] < surface - LIGHTNESS_SLACK:
            found.append(
                Doubt(
                    DoubtKind.DARKER_THAN_SURFACE,
                    f"L* {lab[0]:.1f} is darker than the surface of a paint film reflects (L* {surface:.0f} "
                    "with specular included). Measure with specular included, or confirm that the swatch is matt.",
                    may_stand=True,
                )
            )
            break
    alone = observed.masstone
    if alone is not None:
        found += _against_masstone(observed, alone.colour(observed.viewing))
    if white_lab is not None:
        for sample in observed.tints:
            lab = sample.colour(observed.viewing)
            if lab[0] > white_lab[0] + LIGHTNESS_SLACK:
                found.append(
                    Doubt(
                        DoubtKind.LIGHTER_THAN_WHITE,
                        f"The tint {_parts(sample)} (L* {lab[0]:.1f}) is lighter than the white it was mixed with "
                        f"(L* {white_lab[0]:.1f}). Check which white was used.",
                    )
                )
    return tuple(found)


def _against_masstone(observed: Observed, alone: Floats) -> list[Doubt]:
    found = []
    for sample in observed.tints:
        lab = sample.colour(observed.viewing)
        if lab[0] < alone[0] - LIGHTNESS_SLACK:
            # Exchanged, they go together if the paler and less chromatic of the two has white in it.
            if chroma(lab) >= chroma(alone) or lab[0] < 60.0 <= alone[0]:
                found.append(
                    Doubt(
                        DoubtKind.SWAPPED,
                        f"The tint {_parts(sample)} (L* {lab[0]:.1f}) is darker than the masstone (L* {alone[0]:.1f}). "
                        "Were the two exchanged? Exchange them and save again.",
                    )
                )
            else:
                found.append(
                    Doubt(
                        DoubtKind.DARKER_TINT,
                        f"The tint {_parts(sample)} (L* {lab[0]:.1f}) is darker than the masstone (L* {alone[0]:.1f}), "
                        "but white does not darken a paint. Measure both again on dry swatches.",
                    )
                )
        elif float(difference(lab, alone)) < SAME_COLOUR_WITHIN and alone[0] < WHITE_LEAST_LIGHTNESS:
            found.append(
                Doubt(
                    DoubtKind.SAME,
                    f"The tint {_parts(sample)} is the same colour as the masstone. Was one of them typed twice? "
                    "Correct it, or leave the tint out.",
                )
            )
    return found


def unlike_its_code(lab: ArrayLike, code: str, typical: ArrayLike) -> Doubt | None:
    """Return the question whether a masstone is that of its one pigment, or None where it may well be.

    Parameters
    ----------
    lab : array_like, (3,)
        L*, a*, b* of the masstone, D65 and 10 degrees.
    code : str
        The Colour Index generic name.
    typical : array_like, (looks, 3)
        What is typical of the code, read in the same way: masstones, and tints, as a thin film or a tint that is
        called a masstone looks. The nearest counts.
    """
    looks = np.asarray(typical, dtype=np.float64).reshape(-1, 3)
    if not looks.size:
        return None
    away = float(difference(_checked_lab(lab), looks).min())
    if away <= UNLIKE_ITS_CODE:
        return None
    message = (
        f"This masstone is {away:.0f} (CIEDE2000) from what {code} usually looks like: another colour. Check the "
        "swatch, the colour and the code on the label, or confirm that it is right as it stands."
    )
    return Doubt(DoubtKind.UNLIKE_ITS_CODE, message, may_stand=True)


def check_white(lab: ArrayLike) -> Lab:
    """Return L*, a*, b* of a white, or raise DoubtfulColours if it is none."""
    L, a, b = _checked_lab(lab)
    C = float(np.hypot(a, b))
    if L < WHITE_LEAST_LIGHTNESS or C > WHITE_MOST_CHROMA:
        message = (
            f"L* {L:.1f} with chroma {C:.1f} is not a white: a white for tints has L* {WHITE_LEAST_LIGHTNESS:.0f} or "
            f"more and chroma {WHITE_MOST_CHROMA:.0f} or less. Choose the white that the tints were mixed with."
        )
        raise DoubtfulColours([Doubt(DoubtKind.NOT_A_WHITE, message)])
    return L, a, b


def _sample(
    colour: ArrayLike,
    *,
    paint: float = 1.0,
    white: float = 0.0,
    thickness: float | None = None,
    ground: float = 0.0,
    sd: float | None = None,
) -> Sample:
    values = tuple(float(value) for value in np.asarray(colour, dtype=np.float64).ravel())
    if len(values) == 3:
        return Sample((values[0], values[1], values[2]), None, paint, white, thickness, ground, sd)
    return Sample(None, values, paint, white, thickness, ground, sd)


def _checked_lab(lab: ArrayLike) -> Lab:
    values = np.asarray(lab, dtype=np.float64)
    if values.shape != (3,):
        raise ValueError(f"a colour is L*, a*, b*: three numbers, not {values.size}")
    if not np.isfinite(values).all():
        raise ValueError("L*, a* and b* must be numbers; one is missing or not a number. Measure it again")
    L, a, b = (float(value) for value in values)
    if not 0.0 <= L <= 100.0:
        raise ValueError(f"L* must be 0 to 100, not {L:g}; correct it")
    if np.hypot(a, b) > MOST_CHROMA:
        raise ValueError(
            f"a* {a:g} and b* {b:g} make a chroma of {np.hypot(a, b):.0f}, and no paint is above {MOST_CHROMA:.0f}; "
            "correct them"
        )
    return L, a, b


def _checked_reflectance(values: Sequence[float]) -> tuple[float, ...]:
    R = np.asarray(values, dtype=np.float64)
    if R.shape != WAVELENGTHS_NM.shape:
        raise ValueError(f"a reflectance has 31 values, 400 to 700 nm by 10, not {R.size}; resample it")
    if not np.isfinite(R).all() or (R < 0.0).any() or (R > 1.0).any():
        wrong = R[~(np.isfinite(R) & (R >= 0.0) & (R <= 1.0))][0]
        raise ValueError(f"reflectance must be a fraction from 0 to 1, not {wrong:g}; divide percentages by 100")
    return tuple(float(value) for value in R)


def _surface_lightness() -> float:
    return float(116.0 * np.cbrt(K1) - 16.0)


def _parts(sample: Sample) -> str:
    return f"{sample.paint:g}:{sample.white:g}"
