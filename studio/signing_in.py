"""What is counted when somebody tries to sign in."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest

from studio.models import User


def name_to_count(request: HttpRequest, credentials: Mapping[str, Any] | None = None) -> str | None:
    """The user name that a wrong password is counted under, cut to what a name can be.

    A longer one belongs to nobody, and does not fit where it is counted.
    """
    given = credentials if credentials is not None else request.POST
    name = given.get("username")
    return None if name is None else str(name)[: User._meta.get_field("username").max_length]
