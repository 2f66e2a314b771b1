# ruff: noqa: E402  # Django has to be set up before models are imported
"""How long it takes to tell which notices are out of date, against reading the shelf alone.

Run by hand: python tests/bench/bench_standings.py [items ...]
"""

import os
import sys
import time
from io import StringIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"

import django

django.setup()

from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases

from inventory.models import Paint, PaintPigment, Pigment, Tube
from safety.printing import book as printed
from safety.queries.attention import notices_missing
from safety.queries.facts import in_stock
from safety.queries.notices import book, content_of, standings
from safety.services import make_notices
from studio.models import Studio, User


def shelf(items):
    """A studio with paints of two pigments each, one tube of each in stock."""
    studio = Studio.objects.create(name=f"Shelf of {items}", slug=f"shelf-{items}", jurisdiction="EU")
    pigments = list(Pigment.objects.all())
    for number in range(items):
        paint = Paint.objects.create(studio=studio, name=f"Paint {number}", binder="oil")
        for position in (1, 2):
            pigment = pigments[(2 * number + position) % len(pigments)]
            PaintPigment.objects.create(paint=paint, position=position, code=pigment.ci_name, pigment=pigment)
        Tube.objects.create(studio=studio, number=number + 1, item=paint, nominal_milli=37_000, balance_milli=1)
    return studio


def timed(deed, times=5):
    best = float("inf")
    for _ in range(times):
        with CaptureQueriesContext(connection) as queries:
            start = time.perf_counter()
            deed()
            best = min(best, time.perf_counter() - start)
    return best, len(queries)


def report(name, measured, baseline):
    seconds, queries = measured
    print(f"  {name:32} {seconds * 1000:8.1f} ms  {seconds / baseline:6.1f} x  {queries:3} queries")


def measure(items, person):
    studio = shelf(items)
    baseline, queries = timed(lambda: list(in_stock(studio)))
    print(f"{items} paints, each against reading them: {baseline * 1000:.1f} ms, {queries} queries")
    report("which notices are missing", timed(lambda: standings(studio)), baseline)
    report("make all", timed(lambda: make_notices(studio, by=person, page_url=lambda item: "https://p/"), 1), baseline)
    report("which are out of date: none", timed(lambda: standings(studio)), baseline)
    report("the first page asks", timed(lambda: list(notices_missing(studio))), baseline)
    Studio.objects.filter(pk=studio.pk).update(emergency_contact="4711")
    studio.refresh_from_db()
    report("which are out of date: all", timed(lambda: standings(studio)), baseline)
    Studio.objects.filter(pk=studio.pk).update(emergency_contact="")
    studio.refresh_from_db()
    report("the book", timed(lambda: printed.render([content_of(one) for one in book(studio)]), 1), baseline)


if __name__ == "__main__":
    old = setup_databases(verbosity=0, interactive=False)
    try:
        call_command("load_reference", stdout=StringIO())
        keeper = User.objects.create(username="keeper")
        for count in [int(text) for text in sys.argv[1:]] or [70, 500]:
            measure(count, keeper)
    finally:
        teardown_databases(old, verbosity=0)
