# ruff: noqa: E402  # the models can be imported only after the setup
"""Eight processes at one shelf against one that does the same work, and the audit of a long ledger, in the same run.

Run by hand: python -m tests.bench.bench_ledger [--kill [SECONDS]]  (DATABASE_URL for PostgreSQL; a database of its own
is made, then dropped)
Aims: of 1600 tries on 1200 ml exactly 1200 pass, 400 are refused and none errs; the eight together are not slower than
half of one alone (SQLite lets one write at a time; on PostgreSQL more processes than cores take turns).
With --kill: sixteen processes work for a minute while one of them is killed about twice a second and started anew;
then nothing is half written, and every balance is the sum of its entries.
"""

import argparse
import os
import statistics
import time
from collections import Counter
from collections.abc import Callable
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection
from django.db.models import Sum
from django.test.utils import setup_databases, setup_test_environment, teardown_databases

from inventory import services
from inventory.models import Binder, Entry, Paint, Place, Tube
from inventory.queries.ledger import tubes_out_of_balance
from studio.models import Membership, Role, Studio, User
from tests import killed, people
from tests.bench import crowd

TUBES, SIZE_MILLI, TRIES = 10, 120_000, 1600


def shelf() -> tuple[list[int], list[int]]:
    """Ten tubes of 120 ml and eight people, as ids."""
    studio = Studio.objects.create(name="Reed Lane", slug=f"reed-lane-{Studio.objects.count()}")
    users = [User.objects.create(username=f"{studio.slug}-{n}") for n in range(people.PEOPLE)]
    for user in users:
        Membership.objects.create(studio=studio, user=user, role=Role.MEMBER)
    paint = Paint.objects.create(studio=studio, name="Zinc White", binder=Binder.OIL)
    tubes = services.receive(studio, paint, nominal_milli=SIZE_MILLI, unit="ml", by=users[0], count=TUBES)
    return [tube.pk for tube in tubes], [user.pk for user in users]


def tries_per_second(count: int) -> float:
    """All tries shared among so many processes, three times; the middle rate."""
    rates = []
    with people.at_the_shelf(connection.settings_dict, count) as together:
        together(people.use_each, *shelf(), 1)  # connections are opened and modules read
        for _ in range(3):
            tubes, users = shelf()
            start = time.perf_counter()
            answers: Counter[str] = sum(together(people.use_each, tubes, users, TRIES // TUBES // count), Counter())
            rates.append(TRIES / (time.perf_counter() - start))
            left = Tube.objects.filter(pk__in=tubes).aggregate(left=Sum("balance_milli"))["left"]
            print(f"{count} process{'es' if count > 1 else ''}: {dict(answers)}, {left} thousandths left")
    return statistics.median(rates)


def median_ms(work: Callable[[], Any], times: int = 7) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1000)
    return statistics.median(taken)


def measure_audit(user: User) -> None:
    start = time.perf_counter()
    crowd.fill(user)
    print(f"{Tube.objects.count()} tubes, {Entry.objects.count()} entries made in {time.perf_counter() - start:.0f} s")
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    stored = median_ms(lambda: Tube.objects.aggregate(Sum("balance_milli")))
    audit = median_ms(lambda: list(tubes_out_of_balance()))
    print(f"sum of stored balances {stored:.1f} ms; each against its entries {audit:.0f} ms, {audit / stored:.0f} x")


def kill_for(seconds: float) -> None:
    tubes, users = shelf()
    studio = Studio.objects.latest("pk")
    item = Paint.objects.latest("pk")
    places = [Place.objects.create(studio=studio, name=name).pk for name in ("Oil shelf", "Sink shelf")]
    given = {"studio": studio.pk, "item": item.pk, "tubes": tubes, "users": users, "places": places, "seed": 7}
    before = Entry.objects.count()
    done = killed.run(connection.settings_dict, given, processes=16, seconds=seconds, pause=0.5)
    written = Entry.objects.count() - before
    print(f"{connection.vendor}: {done.started} processes started, {done.kills} killed, {written} entries written")
    print(f"ended by themselves: {len(done.errors)} {done.errors[:2]}")
    wrong = killed.half_written()
    print(f"half written or out of balance: {len(wrong)} {wrong[:5]}")
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            print(f"integrity check: {cursor.fetchone()[0]}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--kill", nargs="?", type=float, const=60.0, metavar="SECONDS")
    kill = parser.parse_args().kill
    setup_test_environment()
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        if kill:
            kill_for(kill)
            return
        one, eight = tries_per_second(1), tries_per_second(people.PEOPLE)
        print(f"{connection.vendor}: one process {one:.0f} tries/s, eight {eight:.0f}, {eight / one:.2f} x")
        print(f"out of balance: {tubes_out_of_balance().count()} of {Tube.objects.count()} tubes")
        measure_audit(User.objects.create(username="bench"))
    finally:
        teardown_databases(databases, verbosity=0)


if __name__ == "__main__":
    main()
