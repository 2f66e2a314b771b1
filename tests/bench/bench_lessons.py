# ruff: noqa: E402  # the models can be imported only after the setup
"""A term of 40 lessons with 12 paints each held against 2,000 tubes, at once and one after the other.

Run by hand: python -m tests.bench.bench_lessons [lessons]  (DATABASE_URL for PostgreSQL; a database of its own)
The baseline asks for each lesson by itself, so that each looks at all before it again.
"""

import os
import sys
import time
from datetime import timedelta

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.utils import timezone

from inventory.models import Binder, Group, Lesson, LessonPaint, Offer, OrderDay, Paint, Supplier, Tube
from inventory.queries.lessons.checked import coming, lesson_now, lessons_of
from inventory.queries.lessons.today import lessons_near
from studio.models import Studio

PAINTS, TUBES_EACH, PAINTS_EACH = 200, 10, 12


def fill(count: int) -> Studio:
    studio = Studio.objects.create(name="Bench", slug="bench", currency="EUR")
    groups = [Group.objects.create(studio=studio, name=name) for name in ("Adults", "Children", "Staff")]
    paints = [Paint.objects.create(studio=studio, name=f"Paint {n:03}", binder=Binder.OIL) for n in range(PAINTS)]
    Tube.objects.bulk_create(
        Tube(studio=studio, number=n, item=paints[n % PAINTS], nominal_milli=37_000, balance_milli=20_000, state="open")
        for n in range(PAINTS * TUBES_EACH)
    )
    today = timezone.localdate()
    suppliers = [Supplier.objects.create(studio=studio, name=f"Supplier {n}", lead_days=5 * n) for n in range(1, 4)]
    Offer.objects.bulk_create(
        Offer(
            supplier=supplier, item=paint, name=paint.name, nominal_milli=37_000, price_minor=600, currency="EUR",
            valid_from=today,
        )
        for paint in paints
        for supplier in suppliers
    )  # fmt: skip
    OrderDay.objects.bulk_create(OrderDay(studio=studio, on=today + timedelta(days=30 * n)) for n in range(1, 9))
    for n in range(count):
        lesson = Lesson.objects.create(
            studio=studio,
            title=f"Lesson {n}",
            starts_at=timezone.now() + timedelta(days=2 + n),
            students=12,
            group=groups[n % 3],
        )
        LessonPaint.objects.bulk_create(
            LessonPaint(lesson=lesson, item=paints[(n + k) % 30], a_head_milli=2_000) for k in range(PAINTS_EACH)
        )
    return studio


def timed(what: str, work) -> float:
    with CaptureQueriesContext(
        connection,
    ) as queries:
        start = time.perf_counter()
        found = work()
        seconds = time.perf_counter() - start
    print(f"{what}: {seconds:.3f} s, {len(queries)} queries, {found}")
    return seconds


def main(count: int) -> None:
    before = setup_databases(verbosity=0, interactive=False)
    try:
        studio = fill(count)
        rows = list(lessons_of(studio).order_by("starts_at"))

        def short(found) -> str:
            return f"{sum(len(one.short) for one in found)} shortages"

        list(lessons_near(studio))  # loads the addresses, which the first request of a process pays for
        at_once = timed(f"{count} lessons at once", lambda: short(coming(studio)))
        alone = timed("each by itself", lambda: short(lesson_now(studio, lesson) for lesson in rows))
        timed("the first page", lambda: f"{len(list(lessons_near(studio)))} sentences")
        print(f"each by itself takes {alone / at_once:.1f} times as long")
    finally:
        teardown_databases(before, verbosity=0)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
