# ruff: noqa: E402  # the models can be imported only after the setup
"""Pages of a shelf of 100,000 tubes, against the page's own statements sent without Django in the same run.

Run by hand: python -m tests.bench.bench_shelf  (DATABASE_URL for PostgreSQL; a database of its own is made and dropped)
Aims: a page at row 50,000 costs what the first one costs, and the whole page through the service stays below 45 times
its raw statements on SQLite and 10 times on PostgreSQL.
"""

import os
import statistics
import time
from collections.abc import Callable
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext, setup_databases, setup_test_environment, teardown_databases
from django.urls import reverse

from inventory.models import Place, Tube
from inventory.queries.shelf import Cursor, shelf
from studio.models import Studio, User
from tests.bench.crowd import fill


def median_ms(work: Callable[[], Any], times: int = 15) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


def measure(studio: Studio, user: User) -> None:
    in_order = Tube.objects.filter(item__studio=studio).select_related("item").order_by("item__name", "item_id", "pk")
    deep = Cursor.of(in_order[50_000])
    last_place = Place.objects.filter(studio=studio).order_by("-pk")[0].pk
    client = Client()
    client.force_login(user)
    url = reverse("inventory:shelf", args=[studio.slug])

    with CaptureQueriesContext(connection) as captured:
        client.get(url)
    statements = [query["sql"].replace("%", "%%") for query in captured.captured_queries]

    def raw() -> None:
        with connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement, [])
                cursor.fetchall()

    base = median_ms(raw)
    print(f"{connection.vendor}: {len(statements)} raw statements {base:.2f} ms")
    measured: dict[str, Callable[[], Any]] = {
        "first page, query": lambda: shelf(studio),
        "after row 50,000, query": lambda: shelf(studio, after=deep),
        "before row 50,000, query": lambda: shelf(studio, before=deep),
        "search, 50 found": lambda: shelf(studio, search="ochre pb 29"),
        "search, none found": lambda: shelf(studio, search="nothing like it"),
        "one place": lambda: shelf(studio, place=last_place),
        "first page through the service": lambda: client.get(url),
        "after row 50,000 through the service": lambda: client.get(url, {"after": str(deep)}),
    }
    for words, work in measured.items():
        taken = median_ms(work)
        print(f"{words:38} {taken:7.1f} ms  {taken / base:6.1f} x raw")


def main() -> None:
    setup_test_environment()
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        user = User.objects.create(username="bench")
        studio = fill(user)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        measure(studio, user)
    finally:
        teardown_databases(databases, verbosity=0)


if __name__ == "__main__":
    main()
