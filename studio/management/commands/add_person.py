"""Give somebody an account and let them into a studio."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from studio.management import accounts
from studio.models import Role, Studio
from studio.services import add_member, person_named


class Command(BaseCommand):
    help = "Let somebody into a studio; the account is made when there is none of that name."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username", help="The user name that they sign in with.")
        parser.add_argument("--studio", required=True, help="The word in the studio's address, after /s/.")
        parser.add_argument("--role", default=Role.MEMBER, choices=Role.values, help="What they may do (member).")

    def handle(self, *args: Any, **options: Any) -> None:
        username = options["username"]
        studio = Studio.objects.filter(slug=options["studio"]).first()
        if studio is None:
            known = ", ".join(Studio.objects.order_by("slug").values_list("slug", flat=True)) or "none yet"
            raise CommandError(f"--studio is {options['studio']}: there is no such studio. There are: {known}.")
        password = accounts.ask_password(username)
        try:
            with transaction.atomic():
                user = person_named(username, password)
                member = add_member(studio, username=user.username, role=options["role"])
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{username} is a {member.get_role_display().lower()} of {studio}.")
