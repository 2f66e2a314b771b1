"""The absorption and scattering curves of a paint, and how sure we are of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, difference
from inventory.colour.mixing import masstone_lab

Floats = NDArray[np.float64]

# Scattering that strongly absorbing paints still show: without it dark masstones come out too dark.
ABSORPTION_PER_SCATTERING = 20.0

# Two rows of one code whose masstones differ by more than this (CIEDE2000) are different colours to a painter: asked.
CLEARLY_DIFFERENT = 10.0

# What painters and labels write for the word that tells the rows of one code apart.
SAME_WORD = {
    "rose": "red",
    "crimson": "red",
    "gold": "yellow",
    "lemon": "light",
    "pale": "light",
    "primrose": "light",
    "dark": "deep",
    "purple": "violet",
    "indian": "violet",
    "caput": "violet",
    "mortuum": "violet",
    "mars": "red",
    "venetian": "red",
    "english": "red",
    "buff": "unbleached",
    "trans": "transparent",
    "siena": "sienna",
    "mid": "medium",
    "teal": "turquoise",
}


class Origin(StrEnum):
    """Where a curve comes from, most trusted first."""

    MEASURED = "measured"
    PUBLISHED = "published"
    RECOVERED = "recovered"
    TYPICAL = "typical"


@dataclass(frozen=True)
class BandRow:
    """A pigment's absorption and scattering as a handful of numbers, relative to titanium white's scattering of 1.

    edges: (wavelength nm, width nm, amplitude); bands: (centre nm, standard deviation nm, amplitude).
    """

    ci: str
    name: str
    family: str
    K0: float
    floor: float
    edges: tuple[tuple[float, float, float], ...]
    bands: tuple[tuple[float, float, float], ...]
    Km: float
    S0: float
    Sn: float
    source: str

    @classmethod
    def parse(cls, row: Mapping[str, str]) -> BandRow:
        """Read one row of the optics table, naming the column and the value that cannot be read."""

        def number(column: str, empty: float | None = None) -> float:
            text = (row.get(column) or "").strip()
            if not text and empty is not None:
                return empty
            try:
                value = float(text)
            except ValueError:
                raise ValueError(f"{row.get('ci')}: column {column} must be a number, not {text!r}") from None
            if not np.isfinite(value):
                raise ValueError(f"{row.get('ci')}: column {column} must be a finite number, not {text!r}")
            return value

        def triples(column: str) -> tuple[tuple[float, float, float], ...]:
            found = []
            for item in filter(None, (piece.strip() for piece in (row.get(column) or "").split(";"))):
                try:
                    place, width, amplitude = (float(piece) for piece in item.split(":"))
                except ValueError:
                    raise ValueError(
                        f"{row.get('ci')}: column {column} must hold three numbers like 565:13:1, not {item!r}"
                    ) from None
                if not width > 0.0:
                    raise ValueError(f"{row.get('ci')}: a width in column {column} must be above 0, not {width:g}")
                found.append((place, width, amplitude))
            return tuple(found)

        ci = (row.get("ci") or "").strip()
        if not ci:
            raise ValueError("column ci is empty; give the Colour Index generic name, like PB29")
        made = cls(
            ci=ci,
            name=(row.get("name") or "").strip(),
            family=(row.get("family") or "").strip(),
            K0=number("K0"),
            floor=number("floor", 0.0),
            edges=triples("edges"),
            bands=triples("bands"),
            Km=number("Km", 0.0),
            S0=number("S0"),
            Sn=number("Sn", 0.0),
            source=(row.get("source") or "").strip(),
        )
        if made.K0 <= 0.0 or made.S0 <= 0.0:
            raise ValueError(f"{ci}: K0 and S0 must be above 0, not {made.K0:g} and {made.S0:g}")
        return made


@dataclass(frozen=True, eq=False)
class Curve:
    """Absorption and scattering (31,) at WAVELENGTHS_NM, where they come from, and a note for the reader."""

    k: Floats
    s: Floats
    origin: Origin
    note: str = ""

    def __post_init__(self) -> None:
        for name in ("k", "s"):
            values = np.array(getattr(self, name), dtype=np.float64)
            if values.shape != WAVELENGTHS_NM.shape:
                raise ValueError(f"{name} must have 31 values (400 to 700 nm by 10), not the shape {values.shape}")
            if not (np.isfinite(values) & (values >= 0.0)).all() or (name == "s" and not (values > 0.0).all()):
                limit = "0 or more" if name == "k" else "above 0"
                raise ValueError(f"{name} must be finite and {limit} at every wavelength; correct the curve")
            values.setflags(write=False)
            object.__setattr__(self, name, values)


@dataclass(frozen=True)
class RowChoice:
    """Which row stands for a code; `row` is None when the person must choose among `options` (or there are none)."""

    row: BandRow | None
    options: tuple[BandRow, ...]
    reason: str


@dataclass(frozen=True)
class CurveAnswer:
    """A paint's curve, or None with the reason; `choices` holds one row choice for each code that was looked up."""

    curve: Curve | None
    reason: str
    choices: tuple[RowChoice, ...] = field(default=())

    @property
    def questions(self) -> tuple[RowChoice, ...]:
        """The choices that only the person can make."""
        return tuple(choice for choice in self.choices if choice.row is None and choice.options)


def from_bands(row: BandRow) -> Curve:
    """Return the typical curve of a pigment from its handful of numbers.

    Returns
    -------
    Curve
        K = K0 (l/550)^Km [floor + sum a/(1 + exp((l - e)/w)) + sum a exp(-((l - c)/s)^2 / 2)],
        S = S0 (l/550)^-Sn + K/20, with l in nm.
    """
    nm = WAVELENGTHS_NM
    shape = np.full(nm.shape, row.floor)
    for edge, width, amplitude in row.edges:
        shape += amplitude / (1.0 + np.exp((nm - edge) / width))
    for centre, deviation, amplitude in row.bands:
        shape += amplitude * np.exp(-0.5 * ((nm - centre) / deviation) ** 2)
    K = row.K0 * (nm / 550.0) ** row.Km * shape
    S = row.S0 * (nm / 550.0) ** -row.Sn + K / ABSORPTION_PER_SCATTERING
    return Curve(
        K, S, Origin.TYPICAL, f"typical of {row.ci} {row.name}; strength differs between makes two to three times"
    )


def blend(curves: Sequence[Curve], weights: Sequence[float] | None = None) -> Curve:
    """Return the curve of several pigments in one paint, in equal parts unless weights are given; the note says which.

    Raises
    ------
    ValueError
        If there is no curve, or the weights are not one for each curve, are negative or all zero.
    """
    if not curves:
        raise ValueError("a blend needs at least one curve, not 0")
    share = np.ones(len(curves)) if weights is None else np.asarray(weights, dtype=np.float64)
    if share.shape != (len(curves),) or not (np.isfinite(share) & (share >= 0.0)).all() or not share.sum() > 0.0:
        raise ValueError(f"weights must be {len(curves)} numbers of 0 or more, one above 0, not {share.tolist()}")
    if len(curves) == 1:
        return curves[0]
    share = share / share.sum()
    order = list(Origin)
    origin = max((curve.origin for curve in curves), key=order.index)
    how = "equal parts assumed" if weights is None else "parts " + " : ".join(f"{value:g}" for value in share)
    note = f"{len(curves)} pigments, {how}; " + "; ".join(curve.note for curve in curves if curve.note)
    return Curve(share @ np.stack([c.k for c in curves]), share @ np.stack([c.s for c in curves]), origin, note)


def choose_row(rows: Sequence[BandRow], paint_name: str) -> RowChoice:
    """Choose among the rows of one code by the words of the paint's name.

    A code such as PBr7 stands for several colours. The words that tell the rows apart (raw, burnt, sienna, umber) are
    looked for in the name. If they do not decide and the rows left differ clearly, nothing is chosen.
    """
    options = tuple(rows)
    if not options:
        return RowChoice(None, (), "There is no typical curve for this code.")
    if len(options) == 1:
        return RowChoice(options[0], options, f"{options[0].ci} has one typical curve.")
    words = _words(paint_name)
    shared = set.intersection(*(_words(row.name) for row in options))
    scores = [len((_words(row.name) - shared) & words) for row in options]
    left = tuple(row for row, score in zip(options, scores, strict=True) if score == max(scores))
    ci = options[0].ci
    if len(left) == 1:
        return RowChoice(left[0], options, f"The name {paint_name!r} points to {left[0].name}.")
    masstones = np.stack([masstone_lab(curve.k, curve.s) for curve in map(from_bands, left)])
    apart = float(difference(masstones[:, None], masstones[None]).max())
    names = ", ".join(row.name for row in left)
    unsaid = [row for row in left if "medium" in _words(row.name)] if len(left) == len(options) else []
    if apart > CLEARLY_DIFFERENT and len(unsaid) == 1:
        # Common practice, no source: "cadmium red" without more is the medium one.
        return RowChoice(unsaid[0], options, f"{ci} is sold as {names}; {unsaid[0].name} is assumed.")
    if apart > CLEARLY_DIFFERENT:
        return RowChoice(
            None, left, f"{ci} is sold as {names}, and the name {paint_name!r} does not say which. Choose one."
        )
    return RowChoice(left[0], left, f"{ci} is sold as {names}, which look much alike; {left[0].name} is assumed.")


def curve_for(
    codes: Sequence[str], paint_name: str, rows: Iterable[BandRow], *, measured: Curve | None = None
) -> CurveAnswer:
    """Return the curve of a paint: the one door through which every page and command asks.

    Parameters
    ----------
    codes : sequence of str
        Colour Index generic names in the order of the label.
    paint_name : str
        The name on the label; it decides between the colours that share a code.
    rows : iterable of BandRow
        The typical curves known; those of other codes are ignored.
    measured : Curve, optional
        The studio's own curve; it overrides everything else.
    """
    if measured is not None:
        return CurveAnswer(measured, f"The curve is {measured.origin}.")
    if not codes:
        return CurveAnswer(None, "The pigments of this paint are not known, so its colour is not known.")
    by_code: dict[str, list[BandRow]] = {code: [] for code in codes}
    for row in rows:
        if row.ci in by_code:
            by_code[row.ci].append(row)
    choices = tuple(choose_row(found, paint_name) for found in by_code.values())
    missing = [code for code, found in by_code.items() if not found]
    if missing:
        return CurveAnswer(None, f"No typical curve is known for {', '.join(missing)}.", choices)
    asked = [choice for choice in choices if choice.row is None]
    if asked:
        return CurveAnswer(None, " ".join(choice.reason for choice in asked), choices)
    curve = blend([from_bands(choice.row) for choice in choices if choice.row is not None])
    return CurveAnswer(curve, " ".join(choice.reason for choice in choices), choices)


def _words(text: str) -> set[str]:
    found = set(re.findall(r"[a-z]+", text.casefold()))
    return found | {SAME_WORD[word] for word in found if word in SAME_WORD}
