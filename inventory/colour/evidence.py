"""How good the predictions are: every check set worked, as plain data for a page or a command to print.

The check data are figures with a source; nothing that predicts a colour for a user reads them. The pigments' typical
rows and the widths of the priors were settled before.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from inventory.colour.appearance import WAVELENGTHS_NM, chroma, difference, hue_angle, lab_from_relative_xyz
from inventory.colour.certainty import PERCENTILE, PHYSICS, Paint, stacked
from inventory.colour.curves import BandRow, blend
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import reach
from inventory.colour.recovery import Basis, recover, recover_white
from inventory.colour.samples import Observed, Sample, masstone, tint
from inventory.colour.steps import Steps, finish
from inventory.colour.viewing import Viewing, weights_under

Floats = NDArray[np.float64]
Row = Mapping[str, str]

# Readings of hand-made watercolour films: neighbouring amounts of one paint scatter by about this much.
WATERCOLOUR_SD = 1.0
ACRYLICS = "Acrylics, computed from full curves (Okumura 2005)."


@dataclass(frozen=True)
class Errors:
    """Errors (CIEDE2000) of one check set, and the share of them within the draws' 90th percentile and as shown.

    `expected` is the mean that the method's own report gives for a like set, None where it gives none.
    """

    name: str
    count: int
    mean: float
    median: float
    p95: float
    inside_spread: float
    inside_shown: float
    expected: float | None
    note: str


@dataclass(frozen=True)
class CurveErrors:
    """How far recovered curves are off, as a factor (1 is right), and the share of true values in the draws' 5 to 95 %.

    Factors are the exponential of the mean absolute error of the logarithm, at 450, 550 and 650 nm.
    """

    name: str
    count: int
    k_factor: float
    s_factor: float
    k_inside: float
    s_inside: float
    note: str


@dataclass(frozen=True)
class Fact:
    """A fact of the trade as a number worked from labels and two colours a paint, and whether it came out."""

    name: str
    quantity: str
    value: str
    holds: bool


@dataclass(frozen=True)
class Reported:
    """Mean and 95th percentile of errors against full curves, as found once when those could be read."""

    known: str
    tints: tuple[float, float]
    pairs: tuple[float, float]
    pairs_with_white: tuple[float, float]


@dataclass(frozen=True)
class Evidence:
    """All checks together."""

    errors: tuple[Errors, ...]
    curves: tuple[CurveErrors, ...]
    facts: tuple[Fact, ...]
    reported: tuple[Reported, ...]


@dataclass(frozen=True)
class _Outcome:
    """One prediction: its error and the draws' 90th percentile about it."""

    error: float
    spread: float


_Recovered = tuple[Paint, dict[str, Paint]]
_TENTH, _HALF, _MASS = ("mass", "tenth"), ("mass", "half"), ("mass",)
# What is known of the acrylics in turn, and whether their own pigment is barred.
_CASES = ((_TENTH, False), (_TENTH, True), (_HALF, False), (_MASS, False), (_MASS, True))
# The time that one case takes of all, roughly.
_SHARE_OF_A_CASE = 0.15


def gather(folder: Path, rows: Sequence[BandRow]) -> Evidence:
    """Work every check.

    Parameters
    ----------
    folder : Path
        Where the check tables are.
    rows : sequence of BandRow
        The typical curves in use.
    """
    return finish(gather_steps(folder, rows))


def gather_steps(folder: Path, rows: Sequence[BandRow]) -> Steps[Evidence]:
    """The same in steps of a paint each: some seconds in all."""
    acrylics, watercolours = _table(folder / "acrylics.csv"), _table(folder / "watercolours.csv")
    mixed, true = _table(folder / "acrylic_mixtures.csv"), _table(folder / "acrylic_curves.csv")
    known: dict[tuple[tuple[str, ...], bool], _Recovered] = {}
    for place, case in enumerate(_CASES):
        known[case] = yield from _acrylic_steps(
            acrylics, rows, case, place * _SHARE_OF_A_CASE, _SHARE_OF_A_CASE / len(acrylics)
        )
    found = _acrylic_errors(acrylics, rows, known)
    errors, curves = [], []
    for barred, how in ((False, "code known"), (True, "own pigment barred")):
        _, paints = known[_TENTH, barred]
        outcomes = [
            _outcome([paints[row["paint_a"]], paints[row["paint_b"]]], (1.0, 1.0), _lab(row, "mix")) for row in mixed
        ]
        errors.append(
            _summed(f"1:1 mixtures of two colours from masstones and 1:9 tints, {how}", outcomes, None, ACRYLICS)
        )
        curves.append(_curve_errors(f"curves from masstone and 1:9 tint, {how}", paints, true))
    yield 5 * _SHARE_OF_A_CASE
    measured = _watercolour_errors(watercolours, rows)
    yield 6 * _SHARE_OF_A_CASE
    return Evidence(
        (*found, *errors, *measured),
        tuple(curves),
        trade_facts(acrylics, rows, known[_TENTH, False]),
        tuple(_reported(row) for row in _table(folder / "reported.csv")),
    )


def acrylic_paints(
    acrylics: Sequence[Row], rows: Sequence[BandRow], *, kinds: Sequence[str] = ("mass", "tenth"), barred: bool = False
) -> tuple[Paint, dict[str, Paint]]:
    """Return the titanium white and the other acrylics by name, recovered from those of their colours.

    `barred` leaves out the code, and every row of the same pigment.
    """
    return finish(_acrylic_steps(acrylics, rows, (tuple(kinds), barred), 0.0, 0.0))


def _acrylic_steps(
    acrylics: Sequence[Row],
    rows: Sequence[BandRow],
    case: tuple[tuple[str, ...], bool],
    done: float,
    share: float,
) -> Steps[_Recovered]:
    kinds, barred = case
    white_row = next(row for row in acrylics if row["paint"] == "titanium white")
    white = Paint.recovered(recover_white(_lab(white_row, "mass")))
    found: dict[str, Paint] = {}
    for row in acrylics:
        if row is white_row:
            continue
        codes = tuple(row["codes"].split(";"))
        allowed = list(rows)
        if barred:
            stems = {_stem(code) for code in codes}
            allowed, codes = [band for band in rows if _stem(band.ci) not in stems], ()
        samples = [_sample(kind, _lab(row, kind)) for kind in kinds]
        observed = Observed(tuple(samples), codes, row["paint"])
        found[row["paint"]] = Paint.recovered(recover(observed, allowed, white.curve))
        yield done + share * len(found)
    return white, found


def trade_facts(
    acrylics: Sequence[Row], rows: Sequence[BandRow], recovered: _Recovered | None = None
) -> tuple[Fact, ...]:
    """Return the facts that follow from each paint's label, masstone and 1:9 tint."""
    white, paints = recovered or acrylic_paints(acrylics, rows)
    named = {**paints, "titanium white": white}

    def palette(*names: str) -> Palette:
        return Palette.of([(name, name, named[name].curve) for name in names], "acrylic")

    def labs(names: Sequence[str], parts: Sequence[Sequence[float]]) -> Floats:
        paints = palette(*names)
        return mixture_lab(paints.k, paints.s, parts)

    def violet(red: str) -> float:
        return float(reach(palette("ultramarine blue", red, "titanium white")).chroma[3, 32])

    facts = []
    magenta = violet("quinacridone magenta")
    for red in ("naphthol red medium", "pyrrole red"):
        ratio = magenta / max(violet(red), 1e-9)
        facts.append(
            Fact(
                f"ultramarine with quinacridone magenta gives a more vivid violet than with {red}",
                "ratio of C* at hue 320 and L* 50, at least 1.3",
                f"{ratio:.2f}",
                ratio >= 1.3,
            )
        )
    part = np.geomspace(0.001, 1.0, 400)
    dioxazine = labs(("dioxazine purple", "titanium white"), np.column_stack((part, 1.0 - part)).tolist())
    middle = dioxazine[np.abs(dioxazine[:, 0] - 50.0).argmin()]
    C, h = float(chroma(middle)), float(hue_angle(middle))
    facts.append(
        Fact(
            "dioxazine with white is a vivid violet",
            "C* at least 30 and hue 285 to 310 of the tint at L* 50",
            f"C* {C:.1f}, hue {h:.0f}",
            C >= 30.0 and 285.0 <= h <= 310.0,
        )
    )
    phthalo = float(hue_angle(labs(("phthalo blue (green shade)", "titanium white"), [[0.2, 0.8]])[0]))
    facts.append(
        Fact(
            "phthalo blue, green shade, turns toward green with white",
            "hue of 20 % paint in white, at most 255",
            f"{phthalo:.1f}",
            phthalo <= 255.0,
        )
    )
    series = labs(("ultramarine blue", "titanium white"), [[1.0 - w, w] for w in (0.0, 0.2, 0.5, 0.9)])
    L, heights = series[:, 0], chroma(series)
    facts.append(
        Fact(
            "white makes ultramarine lighter",
            "L* at 0, 20 and 50 % white, rising",
            " / ".join(f"{value:.1f}" for value in L[:3]),
            bool((np.diff(L[:3]) > 0.0).all()),
        )
    )
    facts.append(
        Fact(
            "white makes ultramarine more vivid, then duller",
            "C* at 0, 20, 50 and 90 % white, highest between the ends",
            " / ".join(f"{value:.1f}" for value in heights),
            bool(heights[1:3].max() > max(heights[0], heights[3])),
        )
    )
    apart = float(np.diff(hue_angle(palette("cerulean blue", "ultramarine blue").masstones))[0])
    facts.append(
        Fact(
            "cerulean is greener than ultramarine",
            "hue of ultramarine less that of cerulean, at least 25",
            f"{apart:.1f}",
            apart >= 25.0,
        )
    )
    part = np.linspace(0.0, 1.0, 201)
    green = labs(("hansa yellow opaque", "ultramarine blue"), np.column_stack((part, 1.0 - part)).tolist())
    inside = (hue_angle(green) >= 120.0) & (hue_angle(green) <= 200.0)
    best = float(chroma(green[inside]).max()) if inside.any() else 0.0
    facts.append(
        Fact(
            "hansa yellow and ultramarine make a green",
            "greatest C* at hues 120 to 200, at least 15",
            f"{best:.1f}",
            best >= 15.0,
        )
    )
    names = ("permanent green light", "ultramarine blue", "titanium white")
    alone, blue, pale = labs(names, [[1.0, 0.0, 0.0], [0.9, 0.1, 0.0], [0.9, 0.0, 0.1]])[:, 0].tolist()
    facts.append(
        Fact(
            "blue darkens a green and white lightens it",
            "L* of permanent green light alone, with 10 % ultramarine, with 10 % white",
            f"{alone:.1f} / {blue:.1f} / {pale:.1f}",
            blue < alone < pale,
        )
    )
    nearest = _one_brown(paints, white)
    facts.append(
        Fact(
            "red with green, orange with blue and yellow with violet meet in one brown",
            "least of the greatest CIEDE2000 between pyrrole red with chromium oxide green, orange with ultramarine, "
            "and hansa yellow with dioxazine, white allowed, at most 3; the orange is equal parts of hansa yellow "
            "and pyrrole red",
            f"{nearest:.2f}",
            nearest <= 3.0,
        )
    )
    return tuple(facts)


def _one_brown(paints: Mapping[str, Paint], white: Paint) -> float:
    """Return how near three complementary pairs come to one colour: the greatest difference among three mixtures."""
    yellow, red = paints["hansa yellow opaque"].curve, paints["pyrrole red"].curve
    pairs = [
        (red, paints["chromium oxide green"].curve),
        (blend([yellow, red]), paints["ultramarine blue"].curve),
        (yellow, paints["dioxazine purple"].curve),
    ]
    part = np.linspace(0.0, 1.0, 121)
    parts = np.array([(1.0 - p, p, w) for p in part for w in (0.0, 0.01, 0.02, 0.04, 0.08, 0.15, 0.3, 0.6)])
    browns = []
    for one, two in pairs:
        curves = (one, two, white.curve)
        labs = mixture_lab(np.stack([curve.k for curve in curves]), np.stack([curve.s for curve in curves]), parts)
        # A brown: reddish to yellowish and not grey.
        browns.append(labs[(chroma(labs) >= 5.0) & (hue_angle(labs) >= 20.0) & (hue_angle(labs) <= 110.0)])
    first, second, third = browns
    if not (len(first) and len(second) and len(third)):
        return float("inf")
    across = difference(first[:, None], second[None])
    left, right = difference(first[:, None], third[None]), difference(second[:, None], third[None])
    nearest = float("inf")
    for i in range(len(first)):
        for j in np.flatnonzero(across[i] < nearest):
            nearest = min(nearest, max(float(across[i, j]), float(np.maximum(left[i], right[j]).min())))
    return nearest


def _acrylic_errors(
    acrylics: Sequence[Row], rows: Sequence[BandRow], known: Mapping[tuple[tuple[str, ...], bool], _Recovered]
) -> list[Errors]:
    half, tenth = (0.5, 0.5), (0.1, 0.9)
    sets = [
        ("1:1 tints from masstone and 1:9 tint, code known", _TENTH, False, (half,), None),
        ("1:1 tints from masstone and 1:9 tint, own pigment barred", _TENTH, True, (half,), None),
        ("1:9 tints from masstone and 1:1 tint, code known", _HALF, False, (tenth,), None),
        ("1:1 and 1:9 tints from masstone and code", _MASS, False, (half, tenth), 4.44),
        ("1:1 and 1:9 tints from masstone alone (no figure is shown)", _MASS, True, (half, tenth), 9.27),
    ]
    found = []
    for name, kinds, barred, wanted, expected in sets:
        white, paints = known[kinds, barred]
        outcomes = [
            _outcome([paints[row["paint"]], white], parts, _lab(row, "half" if parts is half else "tenth"))
            for row in acrylics
            if row["paint"] in paints
            for parts in wanted
        ]
        found.append(_summed(name, outcomes, expected, ACRYLICS))
    return [*found, _typical_errors(acrylics, rows)]


def _typical_errors(acrylics: Sequence[Row], rows: Sequence[BandRow]) -> Errors:
    """Errors of curves that are typical of the code, with no colour of the paint."""
    white, outcomes = None, []
    for row in acrylics:
        if row["paint"] == "titanium white":
            white = Paint.recovered(recover_white(_lab(row, "mass")))
    for row in acrylics:
        paint = Paint.of_label(row["codes"].split(";"), row["paint"], rows)
        if paint is None or white is None or row["paint"] == "titanium white":
            continue
        for parts, kind in (((1.0, 0.0), "mass"), ((0.5, 0.5), "half"), ((0.1, 0.9), "tenth")):
            outcomes.append(_outcome([paint, white], parts, _lab(row, kind)))
    return _summed("masstones, 1:1 and 1:9 tints from the code alone", outcomes, None, ACRYLICS)


def _watercolour_errors(table: Sequence[Row], rows: Sequence[BandRow]) -> list[Errors]:
    """Predict measured mixtures from each paint alone and, where one was measured, its palest mix with white."""
    note = "Watercolours measured on paper (Chen and others 2019); D65, 2 degree."
    tinted: list[_Outcome] = []
    partly: list[_Outcome] = []
    unsure: list[_Outcome] = []
    for total in (0.12, 0.16):
        here = [row for row in table if abs(float(row["ml_a"]) + float(row["ml_b"]) - total) < 1e-6]
        paints = _watercolour_paints(here, rows)
        used = _palest_mixes(here)
        for row in here:
            if any(row is other for other in used.values()):
                continue
            pair = [paints[row["paint_a"]], paints[row["paint_b"]]]
            parts = (float(row["ml_a"]), float(row["ml_b"]))
            outcome = _outcome(pair, parts, _lab(row, "mix"), Viewing.D65_2)
            bases = {paint.basis for paint in pair}
            group = unsure if Basis.ALONE in bases else partly if Basis.ALONE_WITH_CODE in bases else tinted
            group.append(outcome)
    return [
        _summed("measured mixtures, each paint known alone and in white", tinted, 4.3, note),
        _summed("measured mixtures, one paint known alone and by its code", partly, None, note),
        _summed("measured mixtures, one paint known only alone (no figure is shown)", unsure, None, note),
    ]


def _watercolour_paints(here: Sequence[Row], rows: Sequence[BandRow]) -> dict[str, Paint]:
    whites = [row for row in here if row["paint_b"] == "chinese white"]
    white = recover_white(_lab(whites[0], "alone_b"), viewing=Viewing.D65_2, sd=WATERCOLOUR_SD)
    mixes = _palest_mixes(here)
    paints = {"chinese white": Paint.recovered(white)}
    for row in here:
        for side in ("a", "b"):
            name = row[f"paint_{side}"]
            if name in paints:
                continue
            samples = [masstone(_lab(row, f"alone_{side}"), sd=WATERCOLOUR_SD)]
            if name in mixes:
                mixed = mixes[name]
                parts = (float(mixed["ml_a"]), float(mixed["ml_b"]))
                samples.append(tint(_lab(mixed, "mix"), *parts, sd=WATERCOLOUR_SD))
            codes = (row[f"code_{side}"],) if row[f"code_{side}"] else ()
            observed = Observed(tuple(samples), codes, name, Viewing.D65_2)
            paints[name] = Paint.recovered(recover(observed, rows, white.curve))
    return paints


def _palest_mixes(here: Sequence[Row]) -> dict[str, Row]:
    """Return for each paint its mix with the most white."""
    found: dict[str, Row] = {}
    for row in here:
        name = row["paint_a"]
        if row["paint_b"] == "chinese white" and float(row["ml_a"]) <= float(found.get(name, row)["ml_a"]):
            found[name] = row
    return found


def _outcome(
    paints: Sequence[Paint], parts: Sequence[float], wanted: Floats, viewing: Viewing = Viewing.D65_10
) -> _Outcome:
    share = np.asarray(parts) / sum(parts)
    k, s = stacked(paints)
    weights = weights_under(viewing)

    def lab(k: Floats, s: Floats) -> Floats:
        return lab_from_relative_xyz(saunderson(reflectance_infinite(share @ k, share @ s)) @ weights.T)

    best = lab(np.stack([paint.curve.k for paint in paints]), np.stack([paint.curve.s for paint in paints]))
    spread = float(np.percentile(difference(lab(k, s), best), PERCENTILE))
    return _Outcome(float(difference(best, wanted)), spread)


def _summed(name: str, outcomes: Sequence[_Outcome], expected: float | None, note: str) -> Errors:
    error = np.array([outcome.error for outcome in outcomes])
    spread = np.array([outcome.spread for outcome in outcomes])
    return Errors(
        name=name,
        count=len(error),
        mean=float(error.mean()),
        median=float(np.median(error)),
        p95=float(np.percentile(error, 95.0)),
        inside_spread=float((error <= spread).mean()),
        inside_shown=float((error <= np.hypot(spread, PHYSICS)).mean()),
        expected=expected,
        note=note,
    )


def _curve_errors(name: str, paints: Mapping[str, Paint], true: Sequence[Row]) -> CurveErrors:
    off: dict[str, list[float]] = {"K": [], "S": []}
    inside: dict[str, list[bool]] = {"K": [], "S": []}
    for row in true:
        paint = paints[row["paint"]]
        for symbol, curve, drawn in (("K", paint.curve.k, paint.k), ("S", paint.curve.s, paint.s)):
            for nm in (450, 550, 650):
                place = int(np.flatnonzero(nm == WAVELENGTHS_NM)[0])
                value = float(row[f"{symbol}_{nm}"])
                low, high = np.percentile(drawn[:, place], (5.0, 95.0))
                off[symbol].append(abs(float(np.log(curve[place] / value))))
                inside[symbol].append(bool(low <= value <= high))
    return CurveErrors(
        name,
        len(true),
        float(np.exp(np.mean(off["K"]))),
        float(np.exp(np.mean(off["S"]))),
        float(np.mean(inside["K"])),
        float(np.mean(inside["S"])),
        ACRYLICS,
    )


def _sample(kind: str, lab: Floats) -> Sample:
    return masstone(lab) if kind == "mass" else tint(lab, 1.0, {"half": 1.0, "tenth": 9.0}[kind])


def _reported(row: Row) -> Reported:
    def pair(name: str) -> tuple[float, float]:
        return float(row[f"{name}_mean"]), float(row[f"{name}_p95"])

    return Reported(row["known"], pair("tints"), pair("pairs"), pair("pairs_white"))


def _lab(row: Row, kind: str) -> Floats:
    return np.array([float(row[f"{kind}_{axis}"]) for axis in "Lab"])


def _stem(code: str) -> str:
    return code.split(":")[0]


def _table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))
