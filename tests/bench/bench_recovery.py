"""Speed and memory of recovering paints, of mixtures with draws, of expected gains and of routes to a colour.

Run by hand: python tests/bench/bench_recovery.py
Ratios are against reaching 20 paints once with their best curves, in the same run.
"""

import csv
import resource
import time
from pathlib import Path

import numpy as np

from inventory.colour.certainty import Paint, mixtures
from inventory.colour.curves import BandRow, from_bands
from inventory.colour.evidence import gather
from inventory.colour.expected import expected_gains
from inventory.colour.palette import Palette
from inventory.colour.reach import reach
from inventory.colour.recovery import recover, recover_white
from inventory.colour.samples import Observed, masstone, tint
from inventory.colour.seek import seek

FIXTURES = Path(__file__).parents[2] / "fixtures"


def table(name: str) -> list[dict[str, str]]:
    with (FIXTURES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def timed(call, times: int = 1):
    """Return the answer, the mean seconds on the clock and those of the processor."""
    clock, processor = time.perf_counter(), time.process_time()
    for _ in range(times):
        answer = call()
    return answer, (time.perf_counter() - clock) / times, (time.process_time() - processor) / times


def observations(row: dict[str, str], *, coded: bool, tinted: bool) -> Observed:
    alone, tenth = ([float(row[f"{kind}_{axis}"]) for axis in "Lab"] for kind in ("mass", "tenth"))
    samples = (masstone(alone), tint(tenth)) if tinted else (masstone(alone),)
    return Observed(samples, tuple(row["codes"].split(";")) if coded else (), row["paint"])


def main() -> None:
    rows = [BandRow.parse(row) for row in table("optics.csv")]
    acrylics = table("checks/acrylics.csv")
    white = recover_white([float(acrylics[0][f"mass_{axis}"]) for axis in "Lab"])
    start = peak()
    print(f"process at start {start:.0f} MB")
    for coded, tinted in ((True, True), (False, True), (True, False), (False, False)):
        jobs = [observations(row, coded=coded, tinted=tinted) for row in acrylics[1:]]
        found, clock, processor = timed(lambda jobs=jobs: [recover(job, rows, white.curve) for job in jobs])
        print(
            f"masstone{' and 1:9 tint' if tinted else ''}, code {'known' if coded else 'not known'}: "
            f"{1000 * clock / len(jobs):.1f} ms a paint ({1000 * processor / len(jobs):.1f} ms of the processor)"
        )
        if coded and tinted:
            paints = [Paint.recovered(white), *(Paint.recovered(item) for item in found)]
    print(f"peak {peak():.0f} MB, {peak() - start:.0f} MB more than at start")

    parts = np.random.default_rng(1).random((2000, len(paints)))
    _, clock, _ = timed(lambda: mixtures(paints, parts))
    print(f"{len(parts)} mixtures of {len(paints)} paints with {len(paints[0].k)} draws each: {clock:.2f} s")

    names = [row["paint"] for row in acrylics]
    stock = Palette.of([(i, names[i], paints[i].curve) for i in range(20)], "acrylic")
    reached, once, _ = timed(lambda: reach(stock))
    print(f"reach of 20 paints with their best curves: {once:.2f} s")
    chosen = [paints[i] for i in range(20)]
    eight = [row for row in rows if row.family != "white"][::13]
    candidates = Palette.of([(100 + i, row.name, from_bands(row)) for i, row in enumerate(eight)], "acrylic")
    drawn = [Paint.typical([row]) for row in eight]
    _, clock, _ = timed(lambda: expected_gains(reached, chosen, candidates, drawn))
    print(f"expected gains of the best 8 candidates, 16 draws: {clock:.2f} s, {clock / once:.1f} times that reach")
    _, clock, _ = timed(lambda: seek(stock, (35.0, 12.0, 15.0), paints=chosen))
    print(f"routes to a brown from 20 paints: {clock:.2f} s, {clock / once:.1f} times that reach")
    _, clock, _ = timed(lambda: gather(FIXTURES / "checks", rows))
    print(f"every check set: {clock:.1f} s")
    print(f"peak {peak():.0f} MB")


if __name__ == "__main__":
    main()
