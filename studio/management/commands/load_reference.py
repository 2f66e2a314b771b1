"""Load the reference tables of pigments, optics, hazards, limits and statements."""

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from inventory.services import reference as pigments


class Command(BaseCommand):
    help = "Load or update the reference tables from fixtures/. A studio's own data are never touched."

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            loaded = [*pigments.load_reference()]
        for table in loaded:
            self.stdout.write(f"{table.name}: {table.rows} rows, {table.added} new, {table.changed} changed")
