"""Make everything and serve the demo studio on this machine."""

import os
import sys
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from studio import demo
from studio.models import Membership, Studio


class Command(BaseCommand):
    help = (
        "Prepare the database, load the reference tables, add an invented studio if there is no studio yet, "
        "and serve it on this machine."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="The port on 127.0.0.1 (8000).")
        parser.add_argument("--no-serve", action="store_true", help="Prepare everything and stop.")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 1 <= options["port"] <= 65535:
            raise CommandError(f"--port is {options['port']}: give a number from 1 to 65535, such as 8000.")
        call_command("migrate", verbosity=0)
        call_command("load_reference", stdout=self.stdout)
        if Studio.objects.exists():
            self.stdout.write("There is a studio already, so no demo studio was added.")
        else:
            self.stdout.write("Living through a year of the demo studio ...")
            demo.load()
        call_command("collectstatic", interactive=False, verbosity=0)
        self._say_who_may_sign_in(f"http://127.0.0.1:{options['port']}")
        if not options["no_serve"]:
            connection.close()
            self._serve(options["port"])

    def _say_who_may_sign_in(self, address: str) -> None:
        self.stdout.write(f"\nTubeshelf: {address}")
        demo_slugs = list(demo.STUDIOS)
        people = Membership.objects.filter(studio__slug__in=demo_slugs).select_related("studio", "user")
        if people:
            self.stdout.write(f"Sign in with the password {demo.PASSWORD} as")
        for person in people.order_by("studio__pk", "pk"):
            self.stdout.write(f"  {person.user.username:8} {person.get_role_display().lower()} of {person.studio}")
        self.stdout.write("Stop with Ctrl-C.\n")
        self.stdout.flush()

    def _serve(self, port: int) -> None:
        gunicorn = [sys.executable, "-m", "gunicorn", "studio.wsgi", "--bind", f"127.0.0.1:{port}"]
        # Two processes of four threads: long work of one person does not keep the others waiting.
        how = ["--workers", "2", "--threads", "4", "--log-level", "warning", "--no-control-socket"]
        os.execv(sys.executable, [*gunicorn, *how])  # noqa: S606
