"""Print how good the colour predictions are."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.colour.report import as_text, report
from inventory.printing import evidence as sheet
from inventory.queries.evidence import evidence


class Command(BaseCommand):
    help = (
        "Hold the colour predictions against the check sets in fixtures/checks and print every figure; with --html or "
        "--pdf write a page with plots. It takes some seconds and changes nothing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--html", type=Path, metavar="PATH", help="Write a page with plots to this file.")
        parser.add_argument("--pdf", type=Path, metavar="PATH", help="Write a PDF with plots to this file.")

    def handle(self, *args: Any, **options: Any) -> None:
        found = evidence()
        if found is None:
            raise CommandError("No typical curves are known: run manage.py load_reference first.")
        self.stdout.write(as_text(found))
        made = report(found)
        today = timezone.localdate()
        if path := options["html"]:
            page = render_to_string("inventory/mixing/evidence_file.html", {"report": made, "made_on": today})
            self._write(path, page.encode())
        if path := options["pdf"]:
            self._write(path, sheet.render(made, made_on=today))

    def _write(self, path: Path, content: bytes) -> None:
        try:
            path.write_bytes(content)
        except OSError as error:
            raise CommandError(
                f"{path} cannot be written: {error.strerror}. Give a path in a folder of yours."
            ) from error
        self.stdout.write(f"Written: {path}")
