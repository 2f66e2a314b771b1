"""Working the curve of a paint out and reading the pages of colours, as ratios to reading the typical curves.

Run by hand on a database with the demo studio: python -m tests.bench.bench_measured
"""

import os
from collections.abc import Callable
from time import perf_counter

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from inventory.models import PaintCurve  # noqa: E402
from inventory.queries.colours import known_colours, paint_colour  # noqa: E402
from inventory.queries.palette import typical_rows, working_palettes  # noqa: E402
from inventory.services.colours import work_out  # noqa: E402
from studio.models import Studio  # noqa: E402

RUNS = 5


def seconds(work: Callable[[], object]) -> float:
    work()
    start = perf_counter()
    for _ in range(RUNS):
        work()
    return (perf_counter() - start) / RUNS


def main() -> None:
    studio = Studio.objects.get(slug="quarry-lane")
    curve = PaintCurve.objects.filter(paint__studio=studio, basis="masstone and tints").earliest("pk")
    paint = curve.paint

    def anew() -> None:
        PaintCurve.objects.filter(pk=curve.pk).update(fingerprint="")
        work_out(paint)

    base = seconds(typical_rows)
    print(f"reading the typical curves: {1000 * base:.1f} ms")
    for name, work in (
        ("a curve worked out anew", anew),
        ("the same inputs again", lambda: work_out(paint)),
        ("the page of one colour", lambda: paint_colour(studio, paint.pk)),
        ("the list of colours", lambda: known_colours(studio)),
        ("the palettes in stock", lambda: working_palettes(studio)),
    ):
        print(f"{name}: {seconds(work) / base:.1f} times that")


if __name__ == "__main__":
    main()
