# ruff: noqa: E402  # the models can be imported only after the setup
"""Advice for 5,000 paints with 1,000,000 ledger entries, against a loop over the entries written by hand.

Run by hand: python -m tests.bench.bench_advice [entries]  (DATABASE_URL for PostgreSQL; a database of its own)
The loop reads every entry with its tube as rows and sums the weeks in a dictionary; the project lets the database sum.
"""

import os
import sys
import time
import tracemalloc
from collections import defaultdict
from datetime import UTC, datetime, timedelta

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.utils import timezone

from inventory.models import Binder, BuyingPolicy, Entry, Paint, Tube, TubeState
from inventory.queries.demand import WEEKS, monday, week_of, weekly_use
from inventory.queries.reorder import reorder_advice
from studio.models import Studio, User

PAINTS = 5_000


def fill(entries: int) -> Studio:
    studio = Studio.objects.create(name="Bench", slug="bench", currency="EUR")
    user = User.objects.create(username="bench")
    BuyingPolicy.objects.create(studio=studio, review_days=180, default_lead_days=14)
    for number in range(PAINTS):
        Paint.objects.create(studio=studio, name=f"Paint {number:05}", binder=Binder.OIL)
    items = list(Paint.objects.values_list("pk", flat=True))
    size = 10**9
    Tube.objects.bulk_create(
        Tube(studio=studio, number=n, item_id=item, nominal_milli=size, balance_milli=size // 2, state=TubeState.OPEN)
        for n, item in enumerate(items)
    )
    tubes = list(Tube.objects.values_list("pk", flat=True))
    begin = datetime.combine(monday(week_of(timezone.localdate()) - WEEKS), datetime.min.time(), UTC)
    step = timedelta(weeks=WEEKS) / entries
    batch: list[Entry] = []
    for n in range(entries):
        kind = "received" if n < PAINTS else "used"
        batch.append(
            Entry(
                studio=studio,
                tube_id=tubes[n % PAINTS],
                kind=kind,
                change_milli=size if kind == "received" else -1000 - n % 7000,
                state_before="open",
                state_after="open",
                by=user,
                at=begin + n * step,
            )
        )
        if len(batch) == 20_000:
            Entry.objects.bulk_create(batch)
            batch.clear()
    Entry.objects.bulk_create(batch)
    return studio


def by_hand(studio: Studio) -> dict[tuple[int, str], dict[int, int]]:
    found: dict[tuple[int, str], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    rows = Entry.objects.filter(studio=studio).order_by().values_list(
        "tube__item", "tube__unit", "kind", "corrects__kind", "at", "corrects__at", "change_milli"
    )  # fmt: skip
    for item, unit, kind, corrects, at, corrects_at, change in rows.iterator(chunk_size=10_000):
        if kind == "used" or (kind == "corrected" and corrects == "used"):
            found[item, unit][week_of((corrects_at or at).date())] -= change
    return found


def main() -> None:
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    old = setup_databases(verbosity=0, interactive=False)
    try:
        studio = fill(entries)
        start = time.perf_counter()
        hand = by_hand(studio)
        loop = time.perf_counter() - start
        start = time.perf_counter()
        weeks = weekly_use(studio)
        summed = time.perf_counter() - start
        wrong = [key for key, row in weeks.items() if sum(row) != sum(hand[key].values())]
        with CaptureQueriesContext(connection) as queries:
            start = time.perf_counter()
            rows = reorder_advice(studio)
            whole = time.perf_counter() - start
        tracemalloc.start()
        reorder_advice(studio)
        peak = tracemalloc.get_traced_memory()[1] / 2**20
        tracemalloc.stop()
        print(f"{connection.vendor}: {PAINTS:,} paints, {entries:,} entries; {len(wrong)} series differ by hand")
        print(f"weeks of use: {summed:.2f} s, {summed / loop:.2f} x the loop by hand ({loop:.2f} s)")
        print(f"all advice: {whole:.2f} s for {len(rows):,} rows in {len(queries)} queries, peak {peak:.0f} MB")
    finally:
        teardown_databases(old, verbosity=0)


if __name__ == "__main__":
    main()
