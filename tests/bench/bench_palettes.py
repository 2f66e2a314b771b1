"""Speed and quality of the palette designer, and of a mixing chart as PDF, as ratios to a baseline of the same run.

Run by hand: python -m tests.bench.bench_palettes
"""

import csv
import os
import time
from datetime import date
from pathlib import Path

import django
import numpy as np

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from inventory.colour.curves import BandRow, from_bands  # noqa: E402
from inventory.colour.designer import Demands, Shelf, design, design_steps  # noqa: E402
from inventory.colour.palette import Palette  # noqa: E402
from inventory.colour.reach import reach  # noqa: E402
from inventory.colour.steps import finish  # noqa: E402
from inventory.colour.temperature import Tag, standing  # noqa: E402
from inventory.models import OpticalRow, Pigment  # noqa: E402
from inventory.printing.mixing_chart import ChartSheet, Row, Square, as_pdf  # noqa: E402
from inventory.queries.palettes.chart import chart_steps  # noqa: E402
from inventory.queries.palettes.tubes import Choosable, Laid  # noqa: E402

OPTICS = Path(__file__).parents[2] / "fixtures" / "optics.csv"
RULES = Demands(6, (Tag.WHITE, Tag.WARM_RED, Tag.COOL_RED, Tag.YELLOW), transparent=2, budget=5400)


def shelf(rows):
    palette = Palette.of([(i, row.name, from_bands(row)) for i, row in enumerate(rows)], "oil")
    tags = tuple(standing(palette.k[i], palette.s[i]).tags for i in range(len(palette)))
    clear = tuple(i % 3 == 0 for i in range(len(palette)))
    return Shelf(palette, tags, clear, tuple(600 + 53 * (i % 17) for i in range(len(palette))))


def timed(work):
    start = time.perf_counter()
    result = work()
    return result, time.perf_counter() - start


def longest_step(steps):
    longest = 0.0
    while True:
        before = time.perf_counter()
        try:
            next(steps)
        except StopIteration:
            return max(longest, time.perf_counter() - before)
        longest = max(longest, time.perf_counter() - before)


def designs(rows):
    drawn = shelf(rows[:60])
    reach(drawn.palette.take([0, 1, 2]))  # reads the observer's tables
    _, base = timed(lambda: reach(drawn.palette.take(range(22))))
    print(f"baseline: reach of 22 paints {base:.2f} s")
    for name, demands in (("under rules", RULES), ("with a white", Demands(6, (Tag.WHITE,)))):
        whole, seconds = timed(lambda asked=demands: design(drawn, asked))
        step = longest_step(design_steps(drawn, demands))
        print(
            f"6 of 60 {name}, every choice ({whole.tried}): {seconds:.1f} s, {seconds / base:.1f} times the baseline, "
            f"longest step {step:.2f} s; {whole.percent:.2f} in 100, and none reaches more; all 60 together "
            f"{whole.bound:.2f}"
        )
        found, seconds = timed(lambda asked=demands: design(drawn, asked, exact_lookups=0))
        print(
            f"6 of 60 {name}, searched: {seconds:.1f} s, {found.percent / whole.percent:.4f} of the best, "
            f"{found.tried} choices tried"
        )
    ratios = []
    for seed in range(20):
        order = np.random.default_rng(seed).permutation(np.arange(1, len(rows)))[:19]
        some = shelf([rows[0], *(rows[i] for i in order)])
        exact = design(some, Demands(6, (Tag.WHITE,), transparent=2))
        searched = design(some, Demands(6, (Tag.WHITE,), transparent=2), exact_lookups=0)
        ratios.append(searched.percent / exact.percent)
    print(
        f"search against every choice, 20 stocks of 20: {min(ratios):.4f} to {max(ratios):.4f}, "
        f"the same in {sum(ratio > 0.99999 for ratio in ratios)}"
    )


def chart(rows):
    tubes = []
    for number, row in enumerate(rows[:16]):
        pigment = Pigment(ci_name=row.ci)
        stored = OpticalRow(pk=number + 1, pigment=pigment, name=row.name, family=row.family, source=row.source)
        for name in ("K0", "floor", "Km", "S0", "Sn"):
            setattr(stored, name, getattr(row, name))
        stored.edges = ";".join(":".join(map(str, edge)) for edge in row.edges)
        stored.bands = ";".join(":".join(map(str, band)) for band in row.bands)
        tubes.append(Choosable(None, stored, from_bands(row), "", None, False, False, "", None, ()))
    laid = Laid("oil", tuple(tubes))
    made, worked = timed(lambda: finish(chart_steps(laid)))
    sheet = ChartSheet(
        "Mixing chart",
        "Bench",
        date(2026, 1, 5),
        ("A line.",),
        made.headings,
        tuple(
            Row((pair.first.name, pair.second.name), tuple(Square(one.seen.hex, one.short) for one in pair.squares))
            for pair in made.pairs
        ),
        tuple(Row((one.name,), (Square(seen.hex, ""),)) for one, seen in made.alone),
    )
    pdf, printed = timed(lambda: as_pdf(sheet))
    print(
        f"chart of 16 paints: {len(made.pairs)} pairs worked in {worked:.2f} s, printed in {printed:.2f} s "
        f"({printed / worked:.2f} of the working), {len(pdf) / 1024:.0f} KB"
    )


def main():
    with OPTICS.open(encoding="utf-8", newline="") as table:
        rows = [BandRow.parse(row) for row in csv.DictReader(table)]
    order = np.random.default_rng(3).permutation(len(rows))
    rows = sorted((rows[i] for i in order), key=lambda row: row.name != "titanium white")
    designs(rows)
    chart(rows)


if __name__ == "__main__":
    main()
