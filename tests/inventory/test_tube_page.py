"""One tube on a phone: what the page says, what a tap writes, and what it refuses."""

import re

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Entry, EntryKind, Place, Tube, TubeState

pytestmark = pytest.mark.django_db

KEY = "a-key-of-its-own-1"


@pytest.fixture
def at(client, member, studio, tube):
    """Post a deed to the tube and follow the redirect."""
    client.force_login(member)

    def post(deed, key=KEY, **data):
        url = reverse(f"inventory:tube_{deed}", args=[studio.slug, tube.number])
        return client.post(url, {"key": key, **data}, follow=True)

    return post


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


def test_the_page_says_what_it_is_and_what_happened(client, member, studio, tube):
    client.force_login(member)
    words = words_of(client.get(reverse("inventory:tube", args=[studio.slug, tube.number])))
    for part in ("Ultramarine Blue", "37 ml", "Sealed, Oil shelf", "Received: 37 ml", "keeper"):
        assert part in words


def test_used_half_is_one_tap(at, client, studio, tube):
    page = client.get(reverse("inventory:tube", args=[studio.slug, tube.number])).content.decode()
    assert '<button class="button large" name="amount" value="18.5 ml">' in page
    words = words_of(at("use", amount="18.5 ml"))
    assert "Used: 18.5 ml. 18.5 ml is left." in words
    assert "Undo" in words
    tube.refresh_from_db()
    assert (tube.balance_milli, tube.state) == (18_500, TubeState.OPEN)


@pytest.mark.parametrize("typed", ["1/2", "½", "50 %", "half", "1/2 tube", "half of the tube"])
def test_a_part_is_written_as_people_write_it(at, tube, typed):
    at("use", amount=typed)
    tube.refresh_from_db()
    assert tube.balance_milli == 18_500


def test_a_double_tap_writes_one_entry_and_says_so(at, tube):
    at("use", amount="5 ml")
    words = words_of(at("use", amount="5 ml"))
    assert "That was written before already, so nothing was added." in words
    tube.refresh_from_db()
    assert tube.balance_milli == 32_000
    assert tube.entries.filter(kind=EntryKind.USED).count() == 1


def test_a_page_used_twice_for_different_deeds_is_refused_once_and_gets_a_new_key(at, tube):
    at("use", amount="5 ml")
    response = at("use", amount="7 ml")
    assert response.status_code == 422
    assert "This page was used for another entry already" in words_of(response)
    key = re.search(r'id="use_key"[^>]*|value="([^"]+)"[^>]*id="use_key"', response.content.decode())
    assert key is not None
    assert KEY not in key[0]


def test_finished_empties_the_tube_and_undo_brings_it_back(at, client, studio, tube):
    words = words_of(at("finish"))
    assert "It is finished." in words
    entry = tube.entries.latest("pk")
    undone = client.post(reverse("inventory:entry_undo", args=[studio.slug, entry.pk]), follow=True)
    assert "Taken back: Used: 37 ml. 37 ml is left." in words_of(undone)
    tube.refresh_from_db()
    assert (tube.balance_milli, tube.state) == (37_000, TubeState.SEALED)
    again = client.post(reverse("inventory:entry_undo", args=[studio.slug, entry.pk]), follow=True)
    assert again.status_code == 200
    assert tube.entries.count() == 3  # received, used, corrected: two taps on Undo take back once


@pytest.mark.parametrize(
    ("deed", "data", "refusal"),
    [
        ("use", {"amount": "NaN"}, "cannot be used as a number: it is no number."),
        ("use", {"amount": "1e9"}, "it is written with an exponent"),
        ("use", {"amount": "-5"}, "it has a minus sign; enter 0 or more"),
        ("use", {"amount": "1.250,00"}, "by whether the comma or the point divides decimals. Enter “1250” or “1.25”."),
        ("use", {"amount": "1 oz"}, "Enter “1 fl oz” (1 US fluid ounces, 29.6 ml) or “1 oz wt”"),
        ("use", {"amount": "40 ml e 1,35 fl.oz"}, "holds 37 ml, so 40 ml cannot be used"),
        ("use", {"amount": "6,95 €"}, "Amount used: “6,95 €” cannot be used as a number"),
        ("weigh", {"gross": "11", "tare": "12"}, "The scale shows 11 g, less than the empty container"),
        (
            "weigh",
            {"gross": "900", "tare": "12", "density": "1.5"},
            "592 ml would be left, more than the size of 37 ml",
        ),
        ("use", {"amount": "0"}, "Enter an amount above 0, not 0 ml"),
        ("use", {"amount": "5 g"}, "is in g, but this is kept in ml. Enter ml."),
        ("use", {"amount": "40 ml"}, "holds 37 ml, so 40 ml cannot be used"),
        ("use", {"amount": "1.2345 ml"}, "amounts are kept to"),
        ("use", {"amount": ""}, "nothing is entered. Enter an amount such as 12 ml, 1/2 or 40 %."),
        ("use", {"amount": "3/2"}, "an open container holds between 0 and 1 of its size"),
        ("left", {"left": "50 ml"}, "50 ml is more than the size of 37 ml"),
        ("weigh", {"gross": "much"}, "The scale shows: “much” cannot be used as a number"),
        ("weigh", {"gross": "10 g", "tare": "12 g"}, "Not saved"),
        ("move", {"place": "9999"}, "that place was taken away meanwhile"),
        ("lend", {"to": "  "}, "Who takes it along: nothing is entered."),
    ],
)
def test_what_cannot_be_is_refused_with_its_value_and_remedy(at, tube, deed, data, refusal):
    response = at(deed, **data)
    assert response.status_code == 422
    words = words_of(response)
    assert "Not saved" in words
    assert refusal in words
    for value in data.values():
        assert f'value="{value}"' in response.content.decode() or not value.strip() or deed == "move"
    assert tube.entries.count() == 1


def test_a_form_without_its_key_writes_nothing(at, tube):
    assert "reload the page and send it again" in words_of(at("use", key="", amount="5 ml"))
    assert tube.entries.count() == 1


def test_parts_and_estimates_are_read(at, tube):
    assert "Used: 9.25 ml. 27.75 ml is left." in words_of(at("use", amount="1/4"))
    assert "About 18.5 ml is left." in words_of(at("left", key=f"{KEY}b", left="half"))
    tube.refresh_from_db()
    assert tube.balance_is_estimate


def test_weighing_needs_a_tare_and_a_density_before_it_moves_the_amount(at, tube):
    assert "Weighed: the amount stays" in words_of(at("weigh", gross="60 g"))
    tube.item.density_milli = 2_000
    tube.item.save()
    words = words_of(at("weigh", key=f"{KEY}b", gross="60 g", tare="10 g"))
    assert "25 ml is left" in words.replace("About", "")
    tube.refresh_from_db()
    assert (tube.balance_milli, tube.tare_milli_g) == (25_000, 10_000)


def test_moving_lending_and_bringing_back_are_written(at, studio, tube):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    assert "Moved to Sink shelf." in words_of(at("move", place=sink.pk))
    assert "Lent to Wren" in words_of(at("lend", key=f"{KEY}b", to="Wren"))
    words = words_of(at("return", key=f"{KEY}c"))
    assert "Returned." in words
    assert "Lent to Wren. " not in words


def test_a_place_taken_away_meanwhile_is_not_moved_to(at, client, studio, tube):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    client.post(reverse("inventory:place_remove", args=[studio.slug, sink.pk]))
    assert "that place was taken away meanwhile. Choose another." in words_of(at("move", place=sink.pk))


def test_discarding_says_why_it_can_no_longer_be_used(at, tube, keeper):
    services.discard(tube, by=keeper, note="Dried up")
    response = at("use", amount="5 ml")
    assert response.status_code == 422
    words = words_of(response)
    assert "keeper recorded 'discarded'" in words


def test_a_stale_page_says_who_did_what(at, tube, keeper):
    services.record_use(tube, amount_milli=30_000, by=keeper)
    words = words_of(at("use", amount="18.5 ml"))
    assert "holds 7 ml, so 18.5 ml cannot be used" in words
    assert "keeper recorded 'used'" in words


def test_an_older_entry_is_corrected_by_another_one(at, client, studio, tube):
    at("use", amount="5 ml")
    entry = tube.entries.latest("pk")
    at("use", key=f"{KEY}b", amount="2 ml")
    url = reverse("inventory:entry_correct", args=[studio.slug, entry.pk])
    assert 'value="5 ml"' in client.get(url).content.decode()
    refused = client.post(url, {"key": f"{KEY}c", "amount": "3 ml", "note": ""})
    assert refused.status_code == 422
    client.post(url, {"key": f"{KEY}c", "amount": "3 ml", "note": "Misread the scale"})
    tube.refresh_from_db()
    assert tube.balance_milli == 32_000
    assert Entry.objects.get(pk=entry.pk).change_milli == -5_000
    assert "already, by member" in words_of(client.post(url, {"key": f"{KEY}d", "amount": "1 ml", "note": "again"}))


def test_a_student_reads_but_has_nothing_to_press(client, student, studio, tube):
    client.force_login(student)
    html = client.get(reverse("inventory:tube", args=[studio.slug, tube.number])).content.decode()
    assert "You see this shelf as a student" in html
    assert 'method="post"' not in html.split("<footer")[0]


def test_it_leads_to_its_label_and_to_the_people_of_its_history(client, member, keeper, studio, tube):
    client.force_login(member)
    html = client.get(reverse("inventory:tube", args=[studio.slug, tube.number])).content.decode()
    membership = studio.memberships.get(user=keeper)
    assert f'<a href="{reverse("inventory:person_history", args=[studio.slug, membership.pk])}">{keeper}</a>' in html
    label = re.search(r'href="([^"]+)">Print its label', html)[1].replace("&amp;", "&")
    assert "1 label" in client.get(label).content.decode()


def test_new_tubes_are_received(client, member, studio, paint, place):
    client.force_login(member)
    url = reverse("inventory:receive", args=[studio.slug, paint.pk])
    data = {"key": KEY, "count": "3", "size": "37ml", "state": "sealed", "place": place.pk, "owner": "studio"}
    for _ in range(2):  # sent twice, received once
        words = words_of(client.post(url, data, follow=True))
    assert "3 tubes of Ultramarine Blue are on the shelf as no. 1 to 3" in words
    assert Tube.objects.filter(item=paint, place=place, nominal_milli=37_000).count() == 3


@pytest.mark.parametrize(
    ("changed", "refusal"),
    [
        ({"count": "12.5"}, "How many: “12.5” cannot be used as a count: sealed containers are counted whole"),
        ({"count": "501"}, "receive between 1 and 500 at a time, not 501"),
        ({"count": "0"}, "receive between 1 and 500 at a time, not 0"),
        ({"size": "37"}, "has no unit. Enter “37 ml”"),
        ({"size": "NaN ml"}, "ml” cannot be used as a number"),
        ({"size": "0 ml"}, "Enter an amount above 0, not 0 ml"),
        ({"left": "40 ml", "state": "open"}, "40 ml is more than the container's size of 37 ml"),
        ({"left": "20 ml"}, "A sealed container is full"),
        ({"left": "20 g", "state": "open"}, "What is left in an open one: “20 g” is in g, but this is kept in ml."),
        ({"owner": "class"}, "Name the class"),
        ({"owner": "member-0"}, "“member-0” is none of the choices."),
    ],
)
def test_what_cannot_be_received_is_refused(client, member, studio, paint, changed, refusal):
    client.force_login(member)
    data = {"key": KEY, "count": "1", "size": "37 ml", "state": "sealed", "owner": "studio", **changed}
    response = client.post(reverse("inventory:receive", args=[studio.slug, paint.pk]), data)
    assert response.status_code == 422
    assert refusal in words_of(response)
    assert not Tube.objects.exists()


def test_a_part_of_a_new_tube_is_a_part_of_its_size(client, member, studio, paint):
    client.force_login(member)
    data = {"key": KEY, "count": "1", "size": "40 ml", "state": "open", "left": "1/4", "owner": f"member-{member.pk}"}
    client.post(reverse("inventory:receive", args=[studio.slug, paint.pk]), data)
    tube = Tube.objects.get()
    assert (tube.balance_milli, tube.balance_is_estimate, tube.owner) == (10_000, True, member)


def test_the_page_costs_the_same_for_any_history(client, member, studio, tube, keeper, django_assert_max_num_queries):
    client.force_login(member)
    url = reverse("inventory:tube", args=[studio.slug, tube.number])
    with django_assert_max_num_queries(11) as first:
        client.get(url)
    for _ in range(30):
        services.record_use(tube, amount_milli=1_000, by=keeper)
    with django_assert_max_num_queries(11) as later:
        client.get(url)
    assert len(first) == len(later)
