# ruff: noqa: E402  # the models can be imported only after the setup
"""Pages of a shelf of 100,000 tubes, against the page's own statements sent without Django in the same run.

Run by hand: python -m tests.bench.bench_shelf  (DATABASE_URL for PostgreSQL; a database of its own is made and dropped)
Aims: a page at row 50,000 costs what the first one costs, six statements each, and the whole page through the WSGI
application with all of its middleware stays below 40 times its raw statements on SQLite and 8 times on PostgreSQL.
The raw statements are those of the page: session, person, membership, kept filters, the 50 rows, their pigment codes.
"""

import os
import statistics
import time
from collections.abc import Callable
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.conf import settings
from django.db import connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.urls import reverse

from inventory.models import Paint, PigmentsKnown, Place, Tube
from inventory.queries.shelf import Cursor, shelf
from studio.models import Studio, User
from studio.wsgi import application
from tests.bench.crowd import fill

settings.ALLOWED_HOSTS = ["testserver"]
settings.WHITENOISE_AUTOREFRESH = False  # as in service
KNOWN = {
    "pigments_known": PigmentsKnown.SETTLED,
    "opacity": "transparent",
    "strength": "4",
    "strength_scale": "of 5",
    "lightfastness": "I",
    "lightfastness_scale": "astm",
    "swatch": {"masstone": "#232a6b", "tint": "#8f9fd6", "over_black": "#10112c", "origin": "typical", "note": ""},
}


def side_by_side(work: Callable[[], Any], base: Callable[[], Any], times: int = 25) -> tuple[float, float]:
    """The median of each in ms, taken in turns, so that what else the machine does falls on both.

    The base goes first once without being timed: else it would pay for what the work pushed out of the caches.
    """
    taken: tuple[list[float], list[float]] = ([], [])
    for _ in range(times):
        for what, into in zip((work, base), taken, strict=True):
            if what is base:
                base()
            start = time.perf_counter()
            what()
            into.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken[0]), statistics.median(taken[1])


def through_the_service(url: str, user: User) -> Callable[..., Any]:
    """A function that has the WSGI application answer a page, as a server would."""
    client = Client()
    client.force_login(user)
    cookie = f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}"

    def get(**query: str) -> None:
        statuses: list[str] = []
        environ = RequestFactory(headers={"Cookie": cookie}).get(url, query).environ
        b"".join(application(environ, lambda status, headers, problem=None: statuses.append(status)))  # type: ignore[arg-type]  # writes nothing
        if statuses != ["200 OK"]:
            raise RuntimeError(f"the page answers {statuses}")

    return get


def measure(studio: Studio, user: User) -> None:
    in_order = Tube.objects.filter(item__studio=studio).in_use().order_by("item__sort_name", "item_id", "pk")
    deep = Cursor(*in_order.values_list("item__sort_name", "item_id", "pk")[50_000])
    last_place = Place.objects.filter(studio=studio).order_by("-pk")[0].pk
    page = through_the_service(reverse("inventory:shelf", args=[studio.slug]), user)
    page()
    with CaptureQueriesContext(connection) as captured:
        page()
    statements = [query["sql"].replace("%", "%%") for query in captured.captured_queries]

    def raw() -> None:
        with connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement, [])
                cursor.fetchall()

    print(f"{connection.vendor}: {len(statements)} statements a page")
    measured: dict[str, Callable[[], Any]] = {
        "first page, query": lambda: shelf(studio),
        "after row 50,000, query": lambda: shelf(studio, after=deep),
        "before row 50,000, query": lambda: shelf(studio, before=deep),
        "search, 50 found": lambda: shelf(studio, search="ochre pb 29"),
        "search, none found": lambda: shelf(studio, search="nothing like it"),
        "one place": lambda: shelf(studio, place=last_place),
        "first page through the service": page,
        "after row 50,000 through the service": lambda: page(after=str(deep)),
        "one owner, choices open, service": lambda: page(owner="studio"),
    }
    for words, work in measured.items():
        taken, base = side_by_side(work, raw)
        print(f"{words:38} {taken:7.1f} ms  raw {base:5.2f} ms  {taken / base:6.1f} x raw")


def main() -> None:
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        user = User.objects.create(username="bench")
        studio = fill(user)
        Paint.objects.update(**KNOWN)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        measure(studio, user)
    finally:
        teardown_databases(databases, verbosity=0)


if __name__ == "__main__":
    main()
