"""Reorder levels: set by a person, compared with the shelf, never forecast."""

import re

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Counting, LevelBasis, Paint, ReorderLevel
from inventory.queries.levels import levels
from inventory.services.levels import set_level

pytestmark = pytest.mark.django_db


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


@pytest.fixture
def post(client, member, studio):
    client.force_login(member)
    return lambda page, *args, **data: client.post(
        reverse(f"inventory:{page}", args=[studio.slug, *args]), data, follow=True
    )


def test_a_level_in_tubes_is_set_changed_and_taken_away(post, paint, tube):
    words = words_of(post("level", paint.pk, basis="tubes", level="3", counting="sealed", note="Term begins"))
    assert "Ultramarine Blue (oil) is below its level of 3: 1 sealed, and only sealed ones count. Order 2" in words
    assert "Term begins" in words
    assert "at or above the level of 1" in words_of(
        post("level", paint.pk, basis="tubes", level="1", counting="sealed")
    )
    assert ReorderLevel.objects.get().set_by.username == "member"
    assert "has no level now" in words_of(post("level_remove", paint.pk))
    assert "had no level; nothing was changed" in words_of(post("level_remove", paint.pk))


def test_a_level_by_amount_counts_in_its_unit_and_orders_the_size_that_was_bought_last(studio, paint, tube, keeper):
    """Worked by hand: 37 ml sealed of 100 ml wanted, 63 ml short, two tubes of 37 ml."""
    set_level(paint, by=keeper, basis=LevelBasis.AMOUNT, level_milli=100_000, unit="ml")
    services.receive(studio, paint, nominal_milli=150_000, unit="g", by=keeper)  # grams are not millilitres
    (row,) = levels(studio)
    assert (row.answer.short, row.answer.suggested_tubes) == (63_000, 2)


def test_open_tubes_count_only_where_the_studio_said_so(studio, paint, tube, member, keeper):
    services.record_use(tube, amount_milli=5_000, by=member)
    set_level(paint, by=keeper, level_tubes=1)
    assert levels(studio)[0].is_short
    set_level(paint, by=keeper, level_tubes=1, counting=Counting.USABLE)
    assert not levels(studio)[0].is_short


def test_what_a_member_brought_is_not_the_studio_s_stock(studio, paint, tube, member, keeper):
    services.receive(
        studio, paint, nominal_milli=37_000, unit="ml", by=keeper, count=5, owner_kind="member", owner=member
    )
    set_level(paint, by=keeper, level_tubes=2)
    assert levels(studio)[0].answer.short == 1


@pytest.mark.parametrize(
    ("basis", "level", "refusal"),
    [
        ("tubes", "0", "enter a number above 0, or take the level away"),
        ("tubes", "1.5", "sealed containers are counted whole"),
        ("tubes", "-2", "it has a minus sign"),
        ("tubes", "1e9", "it is written with an exponent"),
        ("tubes", "NaN", "cannot be used as a count: it is no number"),
        ("tubes", "20000", "20000 tubes is more than any studio keeps"),
        ("tubes", "", "nothing is entered. It is needed: fill it in."),
        ("amount", "150", "“150” has no unit. Enter “150 ml” or “150 g”."),
        ("amount", "0 ml", "enter an amount above 0"),
        ("pots", "2", "“pots” is none of the choices."),
    ],
)
def test_a_level_that_cannot_be_is_refused(post, paint, basis, level, refusal):
    response = post("level", paint.pk, basis=basis, level=level, counting="sealed")
    assert response.status_code == 422
    assert refusal in words_of(response)
    assert not ReorderLevel.objects.exists()


def test_without_levels_the_page_says_what_one_is(client, student, studio):
    client.force_login(student)
    assert "No paint has a level yet" in words_of(client.get(reverse("inventory:levels", args=[studio.slug])))


def test_the_order_list_costs_the_same_for_any_number_of_levels(
    client, member, studio, keeper, django_assert_num_queries
):
    client.force_login(member)
    url = reverse("inventory:levels", args=[studio.slug])

    def put(count):
        for _ in range(count):
            paint = Paint.objects.create(studio=studio, name=f"Paint {Paint.objects.count()}")
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
            set_level(paint, by=keeper, level_tubes=2)

    put(1)
    with django_assert_num_queries(4):  # session, user, membership with studio, levels with their counts
        client.get(url)
    put(29)
    with django_assert_num_queries(4):
        client.get(url)
