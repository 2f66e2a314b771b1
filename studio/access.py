"""Who may see and change what: querysets limited to a studio, and the check of a role.

Access is a queryset, not an `if` in a view: what a person may not know of does not exist for them (404);
what they see but may not change is refused with a reason (403).
"""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from urllib.parse import urlsplit

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import get_script_prefix, resolve

from studio.models import Membership, Role, Studio, User

Row = TypeVar("Row", bound=models.Model)
Args = ParamSpec("Args")


class SignedInRequest(HttpRequest):
    """A request whose user is known, so that the type checker knows what the decorator did."""

    user: User


class StudioRequest(SignedInRequest):
    """A request inside one studio, by one of its people."""

    studio: Studio
    membership: Membership


def studios(user: User) -> "models.QuerySet[Studio]":
    """The studios that this person belongs to."""
    return Studio.objects.filter(memberships__user=user)


def membership(user: User, slug: str) -> Membership:
    """This person's membership of the studio; 404 when there is no such studio for them."""
    return get_object_or_404(Membership.objects.select_related("studio"), user=user, studio__slug=slug)


def within(
    rows: "models.Manager[Row] | models.QuerySet[Row]", studio: Studio, path: str = "studio"
) -> "models.QuerySet[Row]":
    """The rows that belong to this studio; `path` leads from a row to its studio."""
    return rows.filter(**{path: studio})


def require(member: Membership, role: Role) -> None:
    """Refuse, with a reason that the person can read, what their role does not allow."""
    if not member.may(role):
        raise PermissionDenied(
            f"You are a {member.get_role_display().lower()} in {member.studio}. "
            f"This takes a {role.label.lower()}: ask one of the keepers."
        )


def in_studio(
    role: Role = Role.STUDENT,
) -> Callable[
    [Callable[Concatenate[StudioRequest, Args], HttpResponseBase]],
    Callable[Concatenate[HttpRequest, str, Args], HttpResponseBase],
]:
    """Decorate a view whose address begins with the studio's slug: who is not in it gets 404, too low a role 403.

    A student may always read: for them the check is on the methods that write.
    """

    def decorate(
        view: Callable[Concatenate[StudioRequest, Args], HttpResponseBase],
    ) -> Callable[Concatenate[HttpRequest, str, Args], HttpResponseBase]:
        @login_required
        @wraps(view)
        def inside(request: StudioRequest, studio: str, *args: Args.args, **kwargs: Args.kwargs) -> HttpResponseBase:
            request.membership = membership(request.user, studio)
            request.studio = request.membership.studio
            require(request.membership, role)
            return view(request, *args, **kwargs)

        inside.role = role  # type: ignore[attr-defined]  # read by role_of; decorators around it hand it on
        return inside  # type: ignore[return-value]  # login_required loses the narrower request

    return decorate


def role_of(address: str) -> Role:
    """The role that the page or deed at an address of ours takes, as its view declares it."""
    path = urlsplit(address).path.removeprefix(get_script_prefix())  # a proxy may serve us below a path of its own
    return getattr(resolve(f"/{path}").func, "role", Role.STUDENT)
