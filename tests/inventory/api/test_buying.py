"""Prices and parcels through the API: the page's services, exact amounts, once for each key."""

import pytest
from django.urls import reverse
from rest_framework.test import APIClient

from inventory.models import Offer, Tube
from inventory.services import buying

pytestmark = pytest.mark.django_db


@pytest.fixture
def supplier(studio):
    return buying.add_supplier(studio, name="Corner shop")


@pytest.fixture
def api(studio, teacher):
    client = APIClient()
    client.force_authenticate(teacher)

    def call(method, name, body=None, **kwargs):
        url = reverse(name, kwargs={"studio": studio.slug, **kwargs})
        return getattr(client, method)(url, body, format="json")

    return call


def offered(supplier, paint, **more):
    body = {
        "supplier": supplier.pk,
        "item": paint.pk,
        "size": "37",
        "unit": "ml",
        "price_minor": 695,
        "currency": "EUR",
    }
    return {**body, **more}


def test_an_offer_is_written_down_and_listed(api, supplier, paint):
    made = api("post", "api_offers", offered(supplier, paint, series="4"))
    assert made.status_code == 201, made.json()
    (shown,) = api("get", "api_offers").json()["results"]
    assert (shown["price"], shown["size"]["milli"], shown["series"]) == ("6.95 EUR", 37_000, "4")


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"price_minor": 0}, "price_minor"),
        ({"price_minor": -5}, "price_minor"),
        ({"price_minor": "6,95 €"}, "price_minor"),
        ({"size": "1/2"}, "size"),
        ({"size": "0"}, "size"),
        ({"currency": "euro"}, "currency"),
        ({"pack": 0}, "pack"),
        ({"series_price": 1}, "series_price"),
    ],
)
def test_what_cannot_be_a_price_is_refused_by_field(api, supplier, paint, more, field):
    answer = api("post", "api_offers", offered(supplier, paint, **more))
    assert answer.status_code == 400
    assert field in answer.json()
    assert Offer.objects.count() == 0


def test_a_removed_supplier_and_one_of_another_studio_are_not_there(api, supplier, paint, other_studio):
    theirs = buying.add_supplier(other_studio, name="Theirs")
    buying.remove_supplier(supplier)
    for one in (supplier, theirs):
        assert (
            "There is no supplier with the id" in api("post", "api_offers", offered(one, paint)).json()["supplier"][0]
        )


def test_a_parcel_is_received_once_for_each_key(api, studio, supplier, paint, teacher):
    offer = buying.add_offer(
        studio,
        supplier=supplier,
        by=teacher,
        item=paint,
        nominal_milli=37_000,
        unit="ml",
        price_minor=695,
        currency="EUR",
    )
    order = buying.draft(studio, supplier=supplier, by=teacher)
    line = buying.add_line(order, packs=5, offer=offer)
    parcel = {"lines": [{"line": line.pk, "containers": 2}], "key": "parcel-of-monday-1"}
    assert "mark it as sent first" in api("post", "api_order_received", parcel, pk=order.pk).json()["order"][0]
    buying.mark_sent(order)
    for _ in range(2):
        answer = api("post", "api_order_received", parcel, pk=order.pk)
        assert answer.status_code == 201, answer.json()
        assert answer.json()["lines"][0]["came"] == 2
    assert Tube.objects.count() == 2
    twice = {"lines": [{"line": line.pk, "containers": 1}] * 2}
    assert "stands here twice" in str(api("post", "api_order_received", twice, pk=order.pk).json())
    (shown,) = api("get", "api_orders").json()["results"]
    assert (shown["state"], shown["lines"][0]["came"]) == ("sent", 2)
