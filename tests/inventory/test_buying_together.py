"""One parcel is entered once, however many people unpack it at the same moment."""

from collections import Counter

import pytest
from django.db import connection

from inventory.models import Delivery, Entry, Order, OrderState, Tube
from inventory.services import buying
from studio.models import Role
from tests.conftest import make_person
from tests.people import PEOPLE, at_the_shelf, unpack_again

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(scope="module")
def together(django_db_setup, django_db_blocker):
    """The eight, who walk in once."""
    with django_db_blocker.unblock():
        settings_dict = connection.settings_dict
    with at_the_shelf(settings_dict) as together:
        yield together


@pytest.mark.parametrize("key", ["one-and-the-same-tap", None])
def test_eight_people_enter_one_parcel_once(together, studio, paint, key):
    users = [make_person(studio, Role.MEMBER, f"person-{number}") for number in range(PEOPLE)]
    supplier = buying.add_supplier(studio, name="Corner shop")
    offer = buying.add_offer(
        studio,
        supplier=supplier,
        by=users[0],
        item=paint,
        nominal_milli=37_000,
        unit="ml",
        price_minor=1,
        currency="EUR",
    )
    order = buying.draft(studio, supplier=supplier, by=users[0])
    line = buying.add_line(order, packs=5, offer=offer)
    buying.mark_sent(order)
    answers = sum(together(unpack_again, order.pk, line.pk, [user.pk for user in users], key), Counter())
    assert answers == ({"done": PEOPLE} if key else {"done": 1, "refused: order": PEOPLE - 1})
    assert (Delivery.objects.count(), Tube.objects.count(), Entry.objects.count()) == (1, 3, 3)
    assert Order.objects.get(pk=order.pk).state == OrderState.SENT
