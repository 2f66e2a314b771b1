"""Eight processes at one shelf: nothing is lost, taken twice or sold twice, on either database."""

from collections import Counter
from itertools import pairwise

import pytest
from django.db import connection
from django.db.models import F

from inventory import services
from inventory.models import Entry, EntryKind, Place, Tube, TubeState
from inventory.queries.ledger import tubes_out_of_balance
from studio.models import Role
from tests import killed, people
from tests.conftest import make_person

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(scope="module")
def together(django_db_setup, django_db_blocker):
    """The eight, who walk in once for all tests of this file."""
    with django_db_blocker.unblock():
        settings_dict = connection.settings_dict
    with people.at_the_shelf(settings_dict) as together:
        yield together


@pytest.fixture
def users(studio):
    return [make_person(studio, Role.MEMBER, f"person-{n}").pk for n in range(people.PEOPLE)]


@pytest.fixture
def receive(studio, paint, place, keeper):
    def receive(count, nominal_milli, **more):
        tubes = services.receive(
            studio, paint, nominal_milli=nominal_milli, by=keeper, place=place, count=count, **{"unit": "ml"} | more
        )
        return [tube.pk for tube in tubes]

    return receive


def assert_in_balance():
    assert [tube.pk for tube in tubes_out_of_balance()] == []
    assert not Tube.objects.exclude(balance_milli__gte=0, balance_milli__lte=F("nominal_milli")).exists()


def test_what_eight_people_use_at_once_is_neither_lost_nor_oversold(together, receive, users):
    """Each of 5 tubes holds 24 ml; 8 people try to take 1 ml from it 4 times each: 24 tries pass, 8 are refused."""
    tubes = receive(5, 24_000)
    assert sum(together(people.use_each, tubes, users, 4), Counter()) == {"done": 120, "refused: amount": 40}
    assert Entry.objects.filter(kind=EntryKind.USED).count() == 120
    assert set(Tube.objects.values_list("balance_milli", flat=True)) == {0}
    assert_in_balance()


def test_what_is_used_at_once_names_the_state_it_found(together, receive, users):
    """Of all who use a sealed tube at the same moment, one opens it; the others found it open."""
    tubes = receive(10, 24_000)
    together(people.use_each, tubes, users, 1)
    opening = Entry.objects.filter(state_before=TubeState.SEALED, state_after=TubeState.OPEN)
    assert sorted(opening.values_list("tube_id", flat=True)) == sorted(tubes)
    assert Entry.objects.filter(state_before=TubeState.OPEN, state_after=TubeState.OPEN).count() == 70
    assert set(Tube.objects.values_list("state", flat=True)) == {TubeState.OPEN}


def test_one_of_those_who_finish_a_tube_finishes_it(together, receive, users):
    tubes = receive(12, 37_000)
    assert sum(together(people.finish_each, tubes, users), Counter()) == {"done": 12, "refused: tube": 84}
    finishing = Entry.objects.filter(kind=EntryKind.USED)
    assert sorted(finishing.values_list("tube_id", "change_milli")) == [(pk, -37_000) for pk in tubes]
    assert_in_balance()


def test_one_key_from_eight_processes_is_one_entry(together, receive, users):
    tubes = receive(12, 37_000)
    answers = together(people.tap_again, tubes, users)
    assert sum((counted for counted, _ in answers), Counter()) == {"done": 96}
    written = list(Entry.objects.filter(kind=EntryKind.USED).order_by("tube").values_list("pk", flat=True))
    assert len(written) == 12
    assert all(theirs == written for _, theirs in answers)
    assert_in_balance()


def test_one_delivery_from_eight_processes_is_booked_once(together, studio, paint, users):
    answers = together(people.receive_again, studio.pk, paint.pk, users, 12)
    assert sum((counted for counted, _ in answers), Counter()) == {"done": 96}
    in_order = [[first, first + 1, first + 2] for first in range(1, 37, 3)]
    assert all(numbers == in_order for _, numbers in answers)
    assert Tube.objects.count() == Entry.objects.count() == 36


def test_several_tubes_in_one_transaction_wait_for_each_other_without_deadlock(together, studio, receive, users):
    """12 tubes of 30 ml; 8 people each set out 1 ml of all of them 5 times: 30 sets pass, 10 are refused whole."""
    tubes = receive(12, 30_000)
    answers = together(people.set_out_all, studio.pk, tubes, users, 5)
    assert sum(answers, Counter()) == {"done": 30, "refused: amount": 10}
    assert set(Tube.objects.values_list("balance_milli", flat=True)) == {0}
    assert_in_balance()


def test_whatever_eight_people_do_the_balance_is_the_sum_of_the_entries(together, studio, place, receive, users):
    tubes = receive(4, 37_000, unit="g")
    places = [place.pk, Place.objects.create(studio=studio, name="Sink shelf").pk]
    answers = sum(together(people.do_anything, tubes, users, places, 40), Counter())
    assert sum(answers.values()) == 320
    assert {answer for answer in answers if not answer.startswith("refused")} == {"done"}
    assert answers["done"] > 100
    assert_in_balance()
    assert_states_follow_one_another(tubes)


@pytest.mark.parametrize("seed", [1])
def test_what_is_killed_in_the_middle_is_whole_or_not_there(studio, paint, place, receive, users, seed):
    """Four at work, one of them killed about every third of a second for five seconds and started anew."""
    tubes = receive(8, 40_000)
    shelf = {
        "studio": studio.pk,
        "item": paint.pk,
        "tubes": tubes,
        "users": users,
        "places": [place.pk, Place.objects.create(studio=studio, name="Sink shelf").pk],
        "seed": seed,
    }
    before = Entry.objects.count()
    done = killed.run(connection.settings_dict, shelf, processes=4, seconds=5, pause=0.35)
    assert done.errors == []
    assert done.kills >= 8
    assert Entry.objects.count() > before + 20
    assert killed.half_written() == []


def test_a_count_and_a_use_at_the_same_moment_both_survive(together, studio, place, receive, users):
    """Of 40 ml somebody found 30; while the count is posted, the others each use 1 ml of each tube."""
    tubes = receive(4, 40_000)
    answers = sum(together(people.count_while_others_use, studio.pk, place.pk, tubes, users), Counter())
    assert answers == {"done": 4 * 7 + 1}
    assert set(Tube.objects.filter(pk__in=tubes).values_list("balance_milli", flat=True)) == {23_000}
    assert Entry.objects.filter(kind=EntryKind.COUNTED, change_milli=-10_000).count() == 4
    assert_in_balance()


def assert_states_follow_one_another(tubes):
    """Each entry found the tube as the one before it left it, and the last one left it as it stands."""
    for tube in Tube.objects.filter(pk__in=tubes):
        entries = list(tube.entries.order_by("pk"))
        for before, after in pairwise(entries):
            assert (after.state_before, after.place_before_id) == (before.state_after, before.place_after_id)
        assert (entries[-1].state_after, entries[-1].place_after_id) == (tube.state, tube.place_id)
