"""Speed and memory of the colour work, against a loop over a library's own functions in the same run.

Run by hand: python tests/bench/bench_colour.py
"""

import csv
import resource
import time
from pathlib import Path

import numpy as np

from inventory.colour.advice import rank
from inventory.colour.appearance import WAVELENGTHS_NM, colour_science, weights
from inventory.colour.coverage import coverage
from inventory.colour.curves import BandRow, from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mix, mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import gain, reach
from inventory.colour.redundancy import redundancies

OPTICS = Path(__file__).parents[2] / "fixtures" / "optics.csv"


def palettes() -> tuple[Palette, Palette]:
    """Return 59 colours with titanium white, and 150 candidates made by shifting the curves a little."""
    with OPTICS.open(encoding="utf-8", newline="") as table:
        rows = [BandRow.parse(row) for row in csv.DictReader(table)]
    white = next(row for row in rows if row.name == "titanium white")
    colours = [row for row in rows if row.ci not in ("PW6", "PW4")]
    chosen = [white, *(colours[i] for i in np.linspace(0, len(colours) - 1, 59).astype(int))]
    stock = Palette.of([(i, row.name, from_bands(row)) for i, row in enumerate(chosen)], "acrylic")
    places = np.arange(150) % len(colours)
    curves = [from_bands(colours[i]) for i in places]
    factor = np.linspace(0.7, 1.4, 150)[:, None]
    candidates = Palette(
        tuple(range(1000, 1150)),
        tuple(colours[i].name for i in places),
        factor * np.array([curve.k for curve in curves]),
        np.array([curve.s for curve in curves]),
        "acrylic",
    )
    return stock, candidates


def library_seconds(paints: Palette, parts: np.ndarray) -> float:
    """Seconds for one mixture, worked with the library's spectral distributions, integration and difference."""
    colour = colour_science()
    shape = colour.SpectralShape(400, 700, 10)
    observer = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    white = colour.sd_to_XYZ(
        colour.SpectralDistribution(dict.fromkeys(WAVELENGTHS_NM.tolist(), 1.0)), observer, light, method="Integration"
    )
    white_xy = colour.XYZ_to_xy(white)
    ours = mixture_lab(paints.k, paints.s, parts)
    start = time.perf_counter()
    labs = []
    for one in parts:
        R = saunderson(reflectance_infinite(*mix(paints.k, paints.s, one)))
        sd = colour.SpectralDistribution(dict(zip(WAVELENGTHS_NM.tolist(), R.tolist(), strict=True)))
        XYZ = colour.sd_to_XYZ(sd, observer, light, method="Integration")
        labs.append(colour.XYZ_to_Lab(XYZ / 100.0, white_xy))
    seconds = (time.perf_counter() - start) / len(parts)
    apart = colour.difference.delta_E_CIE2000(np.array(labs), ours).max()
    print(f"  the library's CIELAB and ours differ by at most {apart:.1e} CIEDE2000 over {len(parts)} mixtures")
    return seconds


def timed(label: str, call):
    start = time.perf_counter()
    answer = call()
    seconds = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"{label}: {seconds:.2f} s, peak memory of the process {peak:.0f} MB")
    return answer, seconds


def main() -> None:
    stock, candidates = palettes()
    weights()
    base = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"{len(stock)} paints, {len(stock.members)} of them not white; process at start {base:.0f} MB")
    reach(stock.take(range(4)))
    reached, seconds = timed("reach of 60 paints, pairs and triples, six white levels", lambda: reach(stock))
    rate = reached.tried / seconds
    print(f"  {reached.tried:,} mixtures, {rate / 1e6:.2f} million a second")
    parts = np.random.default_rng(7).random((300, len(stock)))
    one = library_seconds(stock, parts * (parts > 0.95) + 1e-6)
    print(f"  the library alone: {1.0 / one:.0f} mixtures a second; ours is {rate * one:,.0f} times as fast")
    answer, _ = timed("coverage, gaps and shares", lambda: coverage(reached))
    print(f"  {answer.percent:.1f} percent")
    _, single = timed("one candidate", lambda: gain(stock, candidates.take([0])))
    print(f"  {single / seconds:.3f} of a whole reach")
    timed("150 candidates against 60 paints", lambda: rank(reached, candidates))
    twenty = stock.take(range(0, 60, 3))
    few, _ = timed("reach of 20 paints", lambda: reach(twenty))
    timed("150 candidates against 20 paints", lambda: rank(few, candidates))
    timed("redundancy within 60 paints", lambda: redundancies(stock))


if __name__ == "__main__":
    main()
