"""The air check and the exports in a browser: no barrier and no sideways scrolling, on a phone and on a desk."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory import services as shelf
from inventory.models import Binder, Paint
from safety.queries.exports import SUBJECTS
from safety.services.exports import save_export
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)

ASKED = "?volume=150&fresh_air=120&solvent=white-spirit&amount=200&minutes=120&temperature=20&mixing=3&purge_to=50"


def test_no_page_has_a_barrier_or_scrolls_sideways(enter, studio, keeper):
    call_command("load_reference", stdout=StringIO())
    paint = Paint.objects.create(studio=studio, name="Ultramarine " * 6, binder=Binder.OIL)
    shelf.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    fields = SUBJECTS["holdings"].fields
    wide = save_export(
        studio,
        by=keeper,
        name="W" * 80,
        subject="holdings",
        columns=[(key, f"{label} {'x' * 60}") for key, (label, _) in fields.items()],
    )
    narrow = save_export(studio, by=keeper, name="Two", subject="holdings", columns=[("name", "A"), ("amount", "B")])

    def to(name, *pk):
        return reverse(f"safety:{name}", args=[studio.slug, *pk])

    check = to("air_check")
    pages = (
        check,
        f"{check}{ASKED}",
        f"{check}?amount=much",
        to("exports"),
        to("export_new"),
        f"{to('export_new')}?subject=waste",
        to("export", wide.pk),
        to("export", narrow.pk),
        to("export_change", wide.pk),
        to("export_remove", wide.pk),
    )
    for device, scheme in ((PHONE, "light"), (DESK, "dark")):
        page = enter(keeper, device, color_scheme=scheme)
        for url in pages:
            assert page.goto(url).status == 200, url
            unfold(page)
            assert barriers(page) == [], url
            assert overhang(page, device) == 0, url
