"""Signing in with what no account has."""

import pytest
from django.core.cache import cache
from django.urls import reverse

from tests.conftest import PASSWORD

pytestmark = pytest.mark.django_db
ADDRESSES = ["sign_in", "admin:login"]


@pytest.fixture(autouse=True)
def no_counts_of_earlier_tests():
    cache.clear()


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("name", ["x" * 10_000, "x\0y", "\u202e", "", "𝕜" * 300])
def test_a_name_that_no_account_can_have_is_refused_in_words(client, keeper, address, name):
    """PostgreSQL keeps no text that is longer than its column, and no NUL."""
    page = client.post(reverse(address), {"username": name, "password": PASSWORD})
    assert page.status_code == 200
    assert page.context["form"].errors


def test_tries_with_a_long_name_are_counted_too(client, keeper, settings):
    settings.AXES_FAILURE_LIMIT = 2
    for _ in range(2):
        page = client.post(reverse("sign_in"), {"username": "x" * 10_000, "password": "guess"})
    assert page.status_code == 429
