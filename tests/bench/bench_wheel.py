"""Speed of the wheel and its advice for 22, 56 and 109 paints, as ratios to the reach of 22 paints in the same run.

Run by hand: python tests/bench/bench_wheel.py
"""

import csv
import time
from pathlib import Path

import numpy as np

from inventory.colour.advice import rank_steps
from inventory.colour.certainty import Paint
from inventory.colour.curves import BandRow, from_bands
from inventory.colour.expected import gain_steps
from inventory.colour.palette import Palette
from inventory.colour.reach import reach, reach_steps
from inventory.colour.redundancy import redundancy_steps

OPTICS = Path(__file__).parents[2] / "fixtures" / "optics.csv"
SIZES = (22, 56, 109)
CANDIDATES = 40


def palette(rows, first=0):
    return Palette.of([(first + i, row.name, from_bands(row)) for i, row in enumerate(rows)], "oil")


def timed(steps):
    """Seconds in all, and of the longest single step: how long a page may have to wait for its turn to answer."""
    start, longest, result = time.perf_counter(), 0.0, None
    while result is None:
        before = time.perf_counter()
        try:
            next(steps)
        except StopIteration as end:
            result = end.value
        longest = max(longest, time.perf_counter() - before)
    return result, time.perf_counter() - start, longest


def main():
    with OPTICS.open(encoding="utf-8", newline="") as table:
        rows = [BandRow.parse(row) for row in csv.DictReader(table)]
    order = np.random.default_rng(3).permutation(len(rows))
    rows = sorted((rows[i] for i in order), key=lambda row: row.name != "titanium white")
    reach(palette(rows[:3]))  # reads the observer's tables
    baseline = 0.0
    for size in SIZES:
        stock = palette(rows[:size])
        reached, seconds, longest = timed(reach_steps(stock))
        baseline = baseline or seconds
        found = [("reach", seconds, longest)]
        others = (rows[size:] + rows)[:CANDIDATES]
        candidates = palette(others, first=1000)
        if size + CANDIDATES > len(rows):
            # All typical curves are in stock: others are made from them.
            candidates = Palette(candidates.ids, candidates.names, 1.15 * candidates.k, candidates.s, "oil")
        advice, seconds, longest = timed(rank_steps(reached, candidates))
        found.append((f"rank of {CANDIDATES}", seconds, longest))
        sure = [[Paint.typical([row]) for row in group] for group in (rows[:size], others)]
        steps = gain_steps(reached, sure[0], candidates, sure[1], most=6, advice=advice)
        found.append(("gains of 6 over 16 draws", *timed(steps)[1:]))
        found.append(("same job", *timed(redundancy_steps(stock))[1:]))
        for name, seconds, longest in found:
            ratio = seconds / baseline
            print(f"{size:4} paints  {name:26} {seconds:6.2f} s  {ratio:6.1f} times  longest step {longest:.3f} s")


if __name__ == "__main__":
    main()
