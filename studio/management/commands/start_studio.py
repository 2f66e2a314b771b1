"""Start a studio with its first keeper."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from studio.management import accounts
from studio.services import found_studio, person_named


class Command(BaseCommand):
    help = "Start a studio and make one person its keeper; the account is made when there is none of that name."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="The studio's name, in quotes.")
        parser.add_argument("--keeper", required=True, help="The user name of its first keeper.")
        parser.add_argument("--slug", default="", help="The word in its address; made from the name when left out.")
        parser.add_argument("--jurisdiction", default="", help="Whose law applies, such as EU or Australia.")
        parser.add_argument("--currency", default="EUR", help="Three letters of ISO 4217 (EUR).")

    def handle(self, *args: Any, **options: Any) -> None:
        username = options["keeper"]
        password = accounts.ask_password(username)
        try:
            with transaction.atomic():
                studio = found_studio(
                    options["name"],
                    keeper=person_named(username, password),
                    slug=options["slug"],
                    jurisdiction=options["jurisdiction"],
                    currency=options["currency"],
                )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{studio} is at /s/{studio.slug}/, kept by {username}.")
