"""Where things stand."""

import re

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Place

pytestmark = pytest.mark.django_db


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


@pytest.fixture
def post(client, member, studio):
    client.force_login(member)
    return lambda page, *args, **data: client.post(
        reverse(f"inventory:{page}", args=[studio.slug, *args]), data, follow=True
    )


def test_a_place_is_added_renamed_and_taken_away(post, studio):
    assert "Sill is a place now." in words_of(post("places", name="Sill"))
    place = Place.objects.get(name="Sill")
    assert "Sill is called Window sill now." in words_of(post("place", place.pk, name="Window sill"))
    assert "Window sill was taken away." in words_of(post("place_remove", place.pk))
    place.refresh_from_db()
    assert place.removed_at is not None


@pytest.mark.parametrize(
    ("name", "refusal"),
    [
        ("Oil shelf", "This studio already has a place of this name."),
        ("", "nothing is entered. It is needed: fill it in."),
        ("x" * 81, "has 81 characters. Shorten it to 80."),
    ],
)
def test_a_name_that_cannot_be_is_refused(post, place, name, refusal):
    response = post("places", name=name)
    assert response.status_code == 422
    assert refusal in words_of(response)
    assert Place.objects.count() == 1


def test_a_place_where_tubes_stand_stays(post, place, tube, keeper):
    words = words_of(post("place_remove", place.pk))
    assert "Not saved. 1 tube still stands at Oil shelf: move or finish them first." in words
    place.refresh_from_db()
    assert place.removed_at is None


def test_the_ledger_keeps_naming_a_place_that_was_taken_away(post, client, studio, place, tube, keeper):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    services.move(tube, place=sink, by=keeper)
    assert "was taken away" in words_of(post("place_remove", place.pk))
    assert tube.entries.order_by("pk").first().place_after == place
    assert "Oil shelf was taken away already" in words_of(post("place_remove", place.pk))
    assert client.get(reverse("inventory:place", args=[studio.slug, place.pk])).status_code == 404


def test_a_place_of_the_same_name_comes_back_with_its_history(post, place):
    post("place_remove", place.pk)
    post("places", name="Oil shelf")
    assert Place.objects.get().removed_at is None


def test_another_studio_may_use_the_same_name(post, other_studio):
    Place.objects.create(studio=other_studio, name="Sill")
    assert "Sill is a place now." in words_of(post("places", name="Sill"))


def test_the_list_costs_the_same_for_any_number_of_places(client, member, studio, place, django_assert_num_queries):
    client.force_login(member)
    url = reverse("inventory:places", args=[studio.slug])
    with django_assert_num_queries(4):
        client.get(url)
    Place.objects.bulk_create(Place(studio=studio, name=f"Place {number}") for number in range(29))
    with django_assert_num_queries(4):
        client.get(url)
