"""Accounts that whoever runs the service makes at the command line."""

from getpass import getpass

from django.core.management.base import CommandError

from studio.models import User


def ask_password(username: str) -> str | None:
    """The password typed for a new account, or None where there is an account of that name.

    Ask before a transaction is begun: while somebody types, nobody else could write.
    """
    if User.objects.filter(username=username).exists():
        return None
    try:
        password = getpass(f"A password for the new account {username}: ")
        again = getpass("The same password again: ")
    except EOFError:
        message = f"No password was typed for {username}: run this in a terminal, or name somebody with an account."
        raise CommandError(message) from None
    if again != password:
        raise CommandError("The two passwords differ, so nothing was made: give the command again.")
    return password
