# ruff: noqa: E402  # the models can be imported only after the setup
"""Posting a count of 2,000 lines against the same rows inserted by hand, in the same run.

Run by hand: python -m tests.bench.bench_stocktake  (DATABASE_URL for PostgreSQL; a database of its own is made, then
dropped)
Aim: not more than four times what inserting the entries and updating the tubes by hand costs.
"""

import os
import statistics
import time
import tracemalloc
from collections.abc import Callable
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext, setup_databases, setup_test_environment, teardown_databases

from inventory import services
from inventory.models import Binder, CountLine, Entry, EntryKind, Paint, Place, Stocktake, Tube
from inventory.queries import stocktakes as queries
from inventory.queries.ledger import tubes_out_of_balance
from inventory.services import stocktakes
from studio.models import Membership, Role, Studio, User

LINES, FOUND_MILLI = 2_000, 18_000
TIMES = 3


def shelf(number: int) -> tuple[Place, User]:
    """A place with 2,000 tubes of 37 ml of 40 paints."""
    studio = Studio.objects.create(name="Reed Lane", slug=f"reed-lane-{number}")
    user = User.objects.create(username=studio.slug)
    Membership.objects.create(studio=studio, user=user, role=Role.KEEPER)
    place = Place.objects.create(studio=studio, name="Oil shelf")
    for n in range(40):
        paint = Paint.objects.create(studio=studio, name=f"Ochre {n}", binder=Binder.OIL)
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=user, count=LINES // 40, place=place)
    return place, user


def counted(place: Place, user: User) -> Stocktake:
    """Every tube of it found with 18 ml."""
    begun = stocktakes.start(place.studio, place=place, by=user)
    found = [stocktakes.Found(tube, state="open", left_milli=FOUND_MILLI) for tube in place.tubes.all()]
    stocktakes.count(begun, found, by=user)
    return begun


@transaction.atomic
def by_hand(place: Place, user: User) -> None:
    """The least that has to be written: an entry for each tube, and its balance."""
    tubes = list(place.tubes.order_by("pk"))
    Entry.objects.bulk_create(
        [
            Entry(
                studio_id=place.studio_id,
                tube=tube,
                kind=EntryKind.COUNTED,
                change_milli=FOUND_MILLI - tube.balance_milli,
                state_before=tube.state,
                state_after="open",
                by=user,
            )
            for tube in tubes
        ]
    )
    Tube.objects.filter(place=place).update(balance_milli=FOUND_MILLI, state="open", balance_is_estimate=True)


def seconds(work: Callable[[], Any]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    setup_test_environment()
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        hand, posting, looking, counting = [], [], [], []
        for turn in range(TIMES):
            place, user = shelf(2 * turn)
            hand.append(seconds(lambda place=place, user=user: by_hand(place, user)))  # type: ignore[misc]
            place, user = shelf(2 * turn + 1)
            start = time.perf_counter()
            begun = counted(place, user)
            counting.append(time.perf_counter() - start)
            looking.append(seconds(lambda begun=begun: queries.differences(begun)))  # type: ignore[misc]
            with CaptureQueriesContext(connection) as asked:
                posting.append(
                    seconds(lambda begun=begun, user=user: stocktakes.post(begun, by=user, reason="Bench"))  # type: ignore[misc]
                )
        assert CountLine.objects.exclude(posted_entry=None).count() == LINES * TIMES
        one, all_of_it = statistics.median(hand), statistics.median(posting)
        print(
            f"{connection.vendor}: {LINES} rows by hand {one:.2f} s; posting {all_of_it:.2f} s, {all_of_it / one:.1f} x"
        )
        print(f"{len(asked)} statements; writing the lines {statistics.median(counting):.2f} s; ", end="")
        print(f"the summary before posting {statistics.median(looking):.2f} s")
        print(f"out of balance after posting: {tubes_out_of_balance().filter(place=place).count()}")
        measure_memory()
    finally:
        teardown_databases(databases, verbosity=0)


def measure_memory() -> None:
    place, user = shelf(99)
    begun = counted(place, user)
    tracemalloc.start()
    stocktakes.post(begun, by=user, reason="Bench")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"at most {most / 2**20:.0f} MiB while posting")


if __name__ == "__main__":
    main()
