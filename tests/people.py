"""Eight people at one shelf: real processes that open the database by its address and use tubes through the services.

Nothing here imports Django at the top: a process that starts anew sets its own environment first.
"""

import os
import random
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from urllib.parse import quote

PEOPLE = 8
_start_line = None


def address(settings_dict):
    """The DATABASE_URL of a database of Django's settings."""
    if "sqlite" in settings_dict["ENGINE"]:
        return f"sqlite:///{settings_dict['NAME']}"
    user, password = quote(settings_dict["USER"]), quote(settings_dict["PASSWORD"], safe="")
    host, port = settings_dict["HOST"] or "localhost", settings_dict["PORT"] or 5432
    return f"postgres://{user}:{password}@{host}:{port}/{settings_dict['NAME']}"


def _walk_in(start_line):
    global _start_line
    _start_line = start_line
    import django

    django.setup()


@contextmanager
def _environment(**names):
    """What a process that starts meanwhile finds before it reads its first module."""
    before = os.environ.copy()
    os.environ.update(names)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)


@contextmanager
def at_the_shelf(settings_dict, people=PEOPLE):
    """Give a function that has all of the people do one thing at the same moment and returns what each brought back."""
    context = get_context("spawn")
    start_line = context.Barrier(people, timeout=60)
    with ProcessPoolExecutor(people, context, initializer=_walk_in, initargs=(start_line,)) as pool:

        def together(deed, *args):
            with _environment(DATABASE_URL=address(settings_dict), DJANGO_SETTINGS_MODULE="studio.settings"):
                begun = [pool.submit(_begin, deed, number, *args) for number in range(people)]
            return [each.result(timeout=120) for each in begun]

        yield together


def _begin(deed, number, *args):
    assert _start_line is not None
    _start_line.wait()  # nobody begins before all are there, so each process takes exactly one part
    return deed(number, *args)


def _attempt(answers, service, *args, **kwargs):
    """Count what the service answered; a refusal by its field, anything unexpected by its class and words."""
    from django.core.exceptions import ValidationError

    try:
        done = service(*args, **kwargs)
    except ValidationError as error:
        answers[f"refused: {', '.join(error.message_dict)}"] += 1
    except Exception as error:  # counted, so that the test shows which error it was
        answers[f"{type(error).__name__}: {error}"] += 1
    else:
        answers["done"] += 1
        return done
    return None


def use_each(number, tube_ids, user_ids, times):
    """Use 1 ml of each tube `times` times, in an order of one's own."""
    from inventory import services
    from inventory.models import Tube
    from studio.models import User

    answers = Counter()
    by = User.objects.get(pk=user_ids[number])
    turns = [pk for pk in tube_ids for _ in range(times)]
    random.Random(number).shuffle(turns)
    for pk in turns:
        _attempt(answers, services.record_use, Tube.objects.get(pk=pk), amount_milli=1_000, by=by)
    return answers


def finish_each(number, tube_ids, user_ids):
    """See each tube on the shelf, then say that it is finished; all go through the tubes in the same order."""
    from inventory import services
    from inventory.models import Tube
    from studio.models import User

    answers = Counter()
    by = User.objects.get(pk=user_ids[number])
    tubes = Tube.objects.in_bulk(tube_ids)
    for pk in tube_ids:
        _attempt(answers, services.finish, tubes[pk], by=by)
    return answers


def tap_again(number, tube_ids, user_ids):
    """Send one and the same request for each tube, as a phone does whose first answer was lost."""
    from inventory import services
    from inventory.models import Tube
    from studio.models import User

    answers = Counter()
    by = User.objects.get(pk=user_ids[0])
    tubes = Tube.objects.in_bulk(tube_ids)
    written = []
    for pk in tube_ids:
        entry = _attempt(answers, services.record_use, tubes[pk], amount_milli=2_000, by=by, key=f"tap-{pk}")
        written.append(entry and entry.pk)
    return answers, written


def receive_again(number, studio_id, item_id, user_ids, deliveries):
    """Book the same deliveries of three tubes each."""
    from inventory import services
    from inventory.models import Item
    from studio.models import Studio, User

    answers = Counter()
    studio, item = Studio.objects.get(pk=studio_id), Item.objects.get(pk=item_id)
    by = User.objects.get(pk=user_ids[0])
    numbers = []
    for n in range(deliveries):
        what = {"nominal_milli": 37_000, "unit": "ml", "by": by, "count": 3, "key": f"delivery-{n}"}
        delivered = _attempt(answers, services.receive, studio, item, **what)
        numbers.append([tube.number for tube in delivered or []])
    return answers, numbers


def set_out_all(number, studio_id, tube_ids, user_ids, times):
    """Use all of the tubes in one transaction, named in an order of one's own."""
    from inventory import services
    from studio.models import Studio, User

    answers = Counter()
    studio, by = Studio.objects.get(pk=studio_id), User.objects.get(pk=user_ids[number])
    order = random.Random(number)
    for _ in range(times):
        amounts = dict.fromkeys(order.sample(tube_ids, len(tube_ids)), 1_000)
        _attempt(answers, services.record_use_of_many, amounts, studio=studio, by=by)
    return answers


def do_anything(number, tube_ids, user_ids, place_ids, times):
    """Use, count, weigh, move, finish, discard and undo at random."""
    from inventory import services
    from inventory.models import Place, Tube
    from studio.models import User

    answers = Counter()
    by = User.objects.get(pk=user_ids[number])
    places = [Place.objects.get(pk=pk) for pk in place_ids]
    chance = random.Random(number)
    for _ in range(times):
        tube = Tube.objects.get(pk=chance.choice(tube_ids))
        deed = chance.choice(["use", "use", "use", "count", "weigh", "move", "finish", "discard", "undo", "undo"])
        if deed == "use":
            _attempt(answers, services.record_use, tube, amount_milli=chance.randint(1, 9_000), by=by)
        elif deed == "count":
            _attempt(answers, services.estimate_left, tube, left_milli=chance.randint(0, tube.nominal_milli), by=by)
        elif deed == "weigh":
            gross = chance.randint(5_000, tube.nominal_milli)
            _attempt(answers, services.weigh, tube, gross_milli_g=gross, tare_milli_g=5_000, by=by)
        elif deed == "move":
            _attempt(answers, services.move, tube, place=chance.choice(places), by=by)
        elif deed == "undo":
            _attempt(answers, services.undo, tube.entries.first(), by=by)
        else:
            _attempt(answers, {"finish": services.finish, "discard": services.discard}[deed], tube, by=by)
    return answers


def unpack_again(number, order_id, line_id, user_ids, key):
    """Enter one and the same parcel of an order: with one key, as taps sent twice, or as people who saw none yet."""
    from inventory.models import Order
    from inventory.services import buying
    from studio.models import User

    answers = Counter()
    by = User.objects.get(pk=user_ids[0 if key else number])
    parcel = {line_id: buying.Arrived(3)}
    _attempt(answers, buying.receive_delivery, Order.objects.get(pk=order_id), parcel, by=by, key=key, seen=0)
    return answers


def count_while_others_use(number, studio_id, place_id, tube_ids, user_ids):
    """The first posts a count that found 30 ml in each tube before anybody used; the others use 1 ml of each."""
    from inventory import services
    from inventory.models import Place, Stocktake, Tube
    from inventory.services import stocktakes
    from studio.models import Studio, User

    answers = Counter()
    by = User.objects.get(pk=user_ids[number])
    tubes = list(Tube.objects.filter(pk__in=tube_ids).order_by("pk"))
    if number == 0:
        studio, place = Studio.objects.get(pk=studio_id), Place.objects.get(pk=place_id)
        stocktake = stocktakes.start(studio, place=place, by=by)
        stocktakes.count(stocktake, [stocktakes.Found(t, state="open", left_milli=30_000) for t in tubes], by=by)
        Stocktake.objects.filter(pk=stocktake.pk).update(blind=True)  # the others may begin
        _attempt(answers, stocktakes.post, stocktake, by=by, reason="At once")
        return answers
    while not Stocktake.objects.filter(studio=studio_id, blind=True).exists():
        time.sleep(0.002)
    for tube in tubes:
        _attempt(answers, services.record_use, tube, amount_milli=1_000, by=by)
    return answers
