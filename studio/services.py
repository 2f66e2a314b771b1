"""Writes about studios and their people."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from studio.models import Membership, Role, Studio, User


@transaction.atomic
def person_named(username: str, password: str | None) -> User:
    """Whoever has that name; a new account where a password is given for it."""
    if password is None:
        return User.objects.get(username=username)
    user = User(username=username)
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    user.save()
    return user


@transaction.atomic
def found_studio(name: str, *, keeper: User, slug: str = "", jurisdiction: str = "", currency: str = "EUR") -> Studio:
    """Start a studio with its first keeper."""
    studio = Studio(
        name=name.strip(), slug=slug or slugify(name)[:60], jurisdiction=jurisdiction.strip(), currency=currency
    )
    if Studio.objects.filter(slug=studio.slug).exists():
        message = f"There is a studio at /s/{studio.slug}/ already: give another name, or its own word with --slug."
        raise ValidationError({"slug": ValidationError(message, code="slug")})
    studio.full_clean()
    studio.save()
    Membership.objects.create(studio=studio, user=keeper, role=Role.KEEPER)
    return studio


@transaction.atomic
def add_member(studio: Studio, *, username: str, role: str) -> Membership:
    """Let somebody who has an account in; ValidationError when there is no such account, or they are in already."""
    user = User.objects.filter(username=username.strip()).first()
    if user is None:
        message = (
            f"Nobody here has the user name “{username}”: check it, or ask whoever runs this service for an account."
        )
        raise ValidationError({"username": ValidationError(message, code="username")})
    member = Membership(studio=studio, user=user, role=role)
    member.full_clean()
    member.save()
    return member


def _other_keepers(member: Membership) -> bool:
    # The rows are locked so that two keepers cannot step down at the same moment.
    keepers = Membership.objects.select_for_update().filter(studio_id=member.studio_id, role=Role.KEEPER)
    return any(keeper.pk != member.pk for keeper in keepers)


def _keep_a_keeper(member: Membership) -> None:
    if member.role == Role.KEEPER and not _other_keepers(member):
        message = f"{member.user} is the only keeper of {member.studio}: make somebody else a keeper first."
        raise ValidationError({"role": ValidationError(message, code="role")})


@transaction.atomic
def change_role(member: Membership, *, role: str) -> Membership:
    """Give a person another role; the last keeper keeps theirs."""
    if role != Role.KEEPER:
        _keep_a_keeper(member)
    member.role = role
    member.full_clean()
    member.save()
    return member


@transaction.atomic
def remove_member(member: Membership) -> None:
    """Take a person out of the studio; what they wrote in the ledger stays."""
    _keep_a_keeper(member)
    member.delete()
