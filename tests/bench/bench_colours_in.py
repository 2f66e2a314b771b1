# ruff: noqa: E402
"""A table of measured colours tried out and taken in, as ratios to bulk_create of the very measurements it brings.

Run by hand: python -m tests.bench.bench_colours_in (with DATABASE_URL for PostgreSQL; makes and drops its own database)
Each paint has one pigment, and a masstone, a tint of 1:9 and one of 1:1, as its typical curve gives them.
"""

import os
import sys
import time
from collections.abc import Callable
from typing import Any
from unittest.mock import patch

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django  # the models can be imported only after its setup

django.setup()

import numpy as np
from django.db import connection
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from numpy.typing import NDArray

from inventory.colour.appearance import cielab
from inventory.colour.curves import from_bands
from inventory.colour.kubelka_munk import reflectance_infinite, saunderson
from inventory.colour.mixing import mix
from inventory.colour.recovery import generic_white
from inventory.exchange import write_csv
from inventory.exchange.colour_tables import MEASUREMENT_COLUMNS
from inventory.models import ImportBatch, Measurement, Paint, PaintPigment, Pigment, Swatch
from inventory.queries.imports import counts
from inventory.queries.palette import typical_rows
from inventory.services import imports
from inventory.services.reference import load_reference
from studio.models import Studio, User

ROWS = int(sys.argv[1]) if len(sys.argv) > 1 else 185
SHADES = {Swatch.MASSTONE: (1.0, 0.0), Swatch.TINT_1_9: (1.0, 9.0), Swatch.TINT_1_1: (1.0, 1.0)}


def measured(studio: Studio) -> bytes:
    """ROWS colours of paints that are on the lists of this studio and have no colour yet."""
    white = generic_white()
    of_ci = {one.ci_name: one for one in Pigment.objects.all()}
    typical = [row for row in typical_rows() if row.ci in of_ci and row.family != "white"]
    made = [painted(studio, "Titanium white", of_ci["PW6"])]
    rows = [cells_of(made[0], Swatch.MASSTONE, measured_reflectance(white.k, white.s), 0)]
    for place in range(-(-ROWS // len(SHADES))):
        row = typical[place % len(typical)]
        paint, curve = painted(studio, f"{row.name} {place}", of_ci[row.ci]), from_bands(row)
        for swatch, parts in SHADES.items():
            k, s = mix([curve.k, white.k], [curve.s, white.s], parts)
            seen = measured_reflectance(k, s)
            rows.append(cells_of(paint, swatch, seen, place))
    return write_csv([list(MEASUREMENT_COLUMNS), *rows[:ROWS]])


def measured_reflectance(k: NDArray[np.float64], s: NDArray[np.float64]) -> NDArray[np.float64]:
    return saunderson(reflectance_infinite(k, s))


def painted(studio: Studio, name: str, pigment: Pigment) -> Paint:
    paint = Paint.objects.create(studio=studio, name=name, binder="oil", pigment_text=pigment.ci_name)
    PaintPigment.objects.create(paint=paint, position=0, code=pigment.ci_name, pigment=pigment)
    return paint


def cells_of(paint: Paint, swatch: Swatch, seen: NDArray[np.float64], place: int) -> list[str]:
    """Every third paint as a spectrum, the others as L*, a*, b*; tints in a white that the table brings too."""
    cells = {"Paint": paint.name, "Binder": "oil", "Swatch": swatch.label, "Illuminant": "D65", "Observer": "10"}
    if swatch.is_tint:
        cells["White"] = "Titanium white"
    if place % 3:
        cells |= {"Given as": "typed", "As typed": ", ".join(f"{value:.2f}" for value in cielab(seen))}
    else:
        nm = [name for name in MEASUREMENT_COLUMNS if name.startswith("Reflectance")]
        cells |= {
            "Given as": "spectrum",
            "As typed": f"{place}.cxf",
            **dict(zip(nm, (f"{value:.5f}" for value in seen), strict=True)),
        }
    return [cells.get(heading, "") for heading in MEASUREMENT_COLUMNS]


def timed(what: str, work: Callable[[], Any]) -> float:
    start = time.perf_counter()
    with CaptureQueriesContext(connection) as asked:
        work()
    seconds = time.perf_counter() - start
    print(f"{what:<36}{seconds:8.2f} s {1000 * seconds / ROWS:8.1f} ms a row, {len(asked) / ROWS:.1f} queries a row")
    return seconds


def read(batch: ImportBatch) -> None:
    while not imports.read_some(batch).finished:
        pass


def main() -> None:
    load_reference()
    studio = Studio.objects.create(name="Bench", slug="bench")
    user = User.objects.create(username="bench")
    batch = imports.begin(studio, by=user, data=measured(studio), file_name="colours.csv")
    print(f"{connection.vendor}, {ROWS} rows")
    tried = timed("tried out", lambda: read(batch))
    print(counts(batch))
    with patch("inventory.services.imports.taking_in.work_through"):
        taken = timed("taken in, curves left waiting", lambda: imports.commit(batch, by=user))
    made = list(Measurement.objects.order_by("pk"))
    Measurement.objects.all().delete()
    bulk = timed("bulk_create of the same rows", lambda: Measurement.objects.bulk_create(made))
    print(f"tried out / bulk_create: {tried / bulk:.0f}, taken in / bulk_create: {taken / bulk:.0f}")


if __name__ == "__main__":
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        main()
    finally:
        teardown_databases(databases, verbosity=0)
