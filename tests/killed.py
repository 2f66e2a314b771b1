"""People at a shelf whose programs are killed in the middle of whatever they do, on either database.

A process of its own each, started anew when it was killed, so that nothing of it tidies up. Run as a module it is one
of these people; imported it starts and kills them. Nothing here imports Django at the top.
"""

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests import people

ROOT = Path(__file__).resolve().parent.parent
PARTS = 3  # containers in a delivery, tubes in a class's use: each is written whole or not at all


@dataclass
class Killed:
    """What was done to the processes, and what they said on their way out without being killed."""

    kills: int = 0
    started: int = 0
    errors: list[str] = field(default_factory=list)


def run(
    settings_dict: dict[str, Any], shelf: dict[str, Any], *, processes: int, seconds: float, pause: float
) -> Killed:
    """Let so many work at the shelf, and kill one of them about every `pause` seconds."""
    chance = random.Random(shelf["seed"])
    done = Killed()
    with _at_work(settings_dict, shelf, processes, done) as workers:
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline:
            time.sleep(chance.uniform(0.5, 1.5) * pause)
            place = chance.randrange(processes)
            done.kills += workers[place].poll() is None
            workers[place].kill()
            _gone(workers[place], done)
            workers[place] = _start(settings_dict, shelf, done)
    return done


@contextmanager
def _at_work(
    settings_dict: dict[str, Any], shelf: dict[str, Any], processes: int, done: Killed
) -> Iterator[list[subprocess.Popen[str]]]:
    workers = [_start(settings_dict, shelf, done) for _ in range(processes)]
    try:
        for worker in workers:
            assert worker.stdout is not None
            worker.stdout.readline()  # it says when it has begun
        yield workers
    finally:
        for worker in workers:
            done.kills += worker.poll() is None
            worker.kill()
            _gone(worker, done)


def _start(settings_dict: dict[str, Any], shelf: dict[str, Any], done: Killed) -> subprocess.Popen[str]:
    done.started += 1
    environment = {
        **os.environ,
        "DATABASE_URL": people.address(settings_dict),
        "DJANGO_SETTINGS_MODULE": "studio.settings",
    }
    given = json.dumps({**shelf, "seed": shelf["seed"] * 1000 + done.started})
    return subprocess.Popen(
        [sys.executable, "-m", "tests.killed", given],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _gone(worker: subprocess.Popen[str], done: Killed) -> None:
    _, said = worker.communicate()
    if worker.returncode != -9:
        done.errors.append(said[-2000:])


def half_written() -> list[str]:
    """What is there in part, in words; empty when every deed is whole or not there."""
    from django.db.models import Count

    from inventory.models import CountLine, Entry, Stocktake, Tube
    from inventory.queries.ledger import tubes_out_of_balance

    found = [f"{tube} is out of balance" for tube in tubes_out_of_balance()]
    deeds: dict[str, int] = {}
    for key in Entry.objects.filter(key__startswith="whole-").values_list("key", flat=True):
        stem = str(key).partition("/")[0]
        deeds[stem] = deeds.get(stem, 0) + 1
    found += [f"{stem} has {parts} of {PARTS} entries" for stem, parts in deeds.items() if parts != PARTS]
    for stocktake in Stocktake.objects.annotate(lines_there=Count("lines")):
        posted = CountLine.objects.filter(stocktake=stocktake).exclude(posted_entry=None).count()
        entries = Entry.objects.filter(key__startswith=f"count-{stocktake.pk}-").count()
        if entries != posted or (posted and stocktake.posted_at is None):
            found.append(f"count {stocktake.pk} has {entries} entries and {posted} lines that name one")
    found += [f"{tube} has no entry" for tube in Tube.objects.filter(entries=None)]
    for tube in Tube.objects.all():
        state, place = tube.entries.order_by("-pk").values_list("state_after", "place_after").first() or ("", None)
        if (tube.state, tube.place_id) != (state, place):
            found.append(f"{tube} is not as its last entry left it")
    return found


def _work(shelf: dict[str, Any]) -> None:
    """Use, count, move, receive, examine, lend, undo and post counts, until killed."""
    from django.core.exceptions import ValidationError

    from inventory import services
    from inventory.models import Item, Place, Tube
    from inventory.services import stocktakes
    from studio.models import Studio, User

    chance = random.Random(shelf["seed"])
    studio, item = Studio.objects.get(pk=shelf["studio"]), Item.objects.get(pk=shelf["item"])
    by = User.objects.get(pk=chance.choice(shelf["users"]))
    places = list(Place.objects.filter(pk__in=shelf["places"]))
    print("begun", flush=True)  # to whoever started it
    for turn in range(10**9):
        key = f"whole-{shelf['seed']}-{turn}"
        tube = Tube.objects.get(pk=chance.choice(shelf["tubes"]))
        deed = chance.randrange(9)
        try:
            if deed < 2:
                services.record_use(tube, amount_milli=chance.randint(1, 90), by=by)
            elif deed == 2:
                services.estimate_left(tube, left_milli=chance.randint(20_000, tube.nominal_milli), by=by)
            elif deed == 3:
                services.move(tube, place=chance.choice(places), by=by)
            elif deed == 4:
                services.undo(tube.entries.filter(corrected_by=None).latest("pk"), by=by)
            elif deed == 5:
                amounts = dict.fromkeys(chance.sample(shelf["tubes"], PARTS), 10)
                services.record_use_of_many(amounts, studio=studio, by=by, key=key)
            elif deed == 6:
                place = chance.choice(places)
                services.receive(
                    studio, item, nominal_milli=40_000, unit="ml", by=by, count=PARTS, place=place, key=key
                )
            elif deed == 7:
                services.examine(tube, condition=chance.choice(["usable", "dried"]), by=by)
            else:
                _count(stocktakes, studio, chance, by, shelf)
        except ValidationError:
            continue  # a refusal is an answer


def _count(stocktakes: Any, studio: Any, chance: random.Random, by: Any, shelf: dict[str, Any]) -> None:
    """Count all tubes of the shelf in one count of no place, and post it."""
    from inventory.models import Stocktake, Tube

    running = Stocktake.objects.filter(studio=studio, posted_at=None, dropped_at=None, place=None).first()
    begun = running or stocktakes.start(studio, place=None, by=by)
    tubes = list(Tube.objects.filter(pk__in=shelf["tubes"]))
    found = [stocktakes.Found(tube, state="open", left_milli=chance.randint(20_000, 40_000)) for tube in tubes]
    stocktakes.count(begun, found, by=by)
    stocktakes.post(begun, by=by, reason="Killed or not")


if __name__ == "__main__":
    import django

    django.setup()
    _work(json.loads(sys.argv[1]))
