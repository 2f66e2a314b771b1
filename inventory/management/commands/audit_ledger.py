"""List every tube whose stored balance differs from the sum of its entries."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory.models import Tube
from inventory.models.tube import exact
from inventory.queries.ledger import tubes_out_of_balance


class Command(BaseCommand):
    help = "Compare each tube's stored balance with the sum of its entries, and list those that differ."

    def handle(self, *args: Any, **options: Any) -> None:
        wrong = list(tubes_out_of_balance())
        for tube in wrong:
            entries = exact(tube.entries_milli, tube.unit)  # type: ignore[attr-defined]  # annotated by the query
            self.stdout.write(f"{tube.studio.slug}: {tube}: stored {tube.balance}, entries give {entries}")
        if wrong:
            raise CommandError(f"{len(wrong)} of {Tube.objects.count()} tubes differ from their entries.")
        self.stdout.write(f"{Tube.objects.count()} tubes: each balance is the sum of its entries.")
