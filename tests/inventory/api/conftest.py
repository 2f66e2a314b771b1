import pytest
from rest_framework.test import APIClient

HOME = "/api/s/reed-lane"


class Caller(APIClient):
    """Speaks JSON inside one studio, and gives back what was answered."""

    def ask(self, path, **parameters):
        return self.get(f"{HOME}/{path}", parameters)

    def say(self, path, body=None, method="post", **headers):
        return getattr(self, method)(f"{HOME}/{path}", body or {}, format="json", headers=headers)


def caller(person):
    client = Caller()
    client.force_authenticate(person)
    return client


@pytest.fixture
def api(member):
    """A member's program."""
    return caller(member)


@pytest.fixture
def teachers_api(teacher):
    return caller(teacher)
