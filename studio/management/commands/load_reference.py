"""Load the reference tables of pigments, optics, hazards, limits and statements."""

from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from inventory.models import Paint
from inventory.services import reference as pigments
from inventory.services.colours import method_changed, optics_changed
from inventory.services.swatches import refresh_swatches
from safety.services import reference as substances


class Command(BaseCommand):
    help = "Load or update the reference tables from fixtures/. A studio's own data are never touched."

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            loaded = [*pigments.load_reference(), *substances.load_reference()]
            curves_differ = any(table.name == "optics" and table.added + table.changed for table in loaded)
            if curves_differ and (drawn := refresh_swatches(Paint.objects.all())):
                self.stdout.write(f"swatches: {drawn} drawn again")
        # Slow, so outside the transaction.
        if (curves_differ or method_changed()) and (worked := optics_changed()):
            self.stdout.write(f"measured colours: {worked} looked at again")
        for table in loaded:
            self.stdout.write(f"{table.name}: {table.rows} rows, {table.added} new, {table.changed} changed")
