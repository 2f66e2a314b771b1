"""What hangs where, in a browser: a paper that is out of date is replaced with one tap, and no page has a barrier."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services as shelf
from inventory.models import Binder, Palette, PalettePaint, Place, Room
from inventory.reading import LabelTexts
from inventory.services import paints
from safety.models import PaperKind, Posting
from safety.queries.papers import Subject
from safety.services.notices import write_paper
from safety.services.postings import hang_now
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def room(studio, keeper):
    """A room of a very long name, whose door sheet is out of date; a palette whose page may hang."""
    call_command("load_reference", stdout=StringIO())
    room = Room.objects.create(studio=studio, name="Malerwerkstatt" * 5)
    place = Place.objects.create(studio=studio, name="Shelf", room=room)
    palette = Palette.objects.create(studio=studio, name="Six " * 20, binder=Binder.OIL)
    for number, (name, typed) in enumerate((("Cadmium Yellow", "PY37"), ("Прозрачный " * 8, "PB29, PX?"))):
        item = paints.add_paint(studio, by=keeper, texts=LabelTexts(name=name, pigments=typed), binder=Binder.OIL)
        shelf.receive(studio, item, nominal_milli=37_000, unit="ml", by=keeper, place=place)
        PalettePaint.objects.create(palette=palette, position=number, item=item)
        if not number:
            paper = write_paper(Subject(PaperKind.DOOR, room.pk), studio, by=keeper, page_url="https://paints.example/")
            hang_now(paper, by=keeper, room=room, where="W" * 60)
    return room


def test_a_paper_is_replaced_with_one_tap_on_pages_without_a_barrier(enter, studio, teacher, room):
    palette = Palette.objects.get()
    addresses = [
        reverse(f"safety:{name}", args=[studio.slug, *pk])
        for name, *pk in (
            ("papers",),
            ("jar_label",),
            ("door_hang", room.pk),
            ("palette_hang", palette.pk),
            ("postings",),
        )
    ]
    for device, scheme in ((DESK, "dark"), (PHONE, "light")):
        page = enter(teacher, device, color_scheme=scheme)
        for address in addresses:
            assert page.goto(address).status == 200
            unfold(page)
            assert (address, barriers(page)) == (address, [])
            assert (address, overhang(page, device)) == (address, 0)
    expect(page.get_by_text("New:")).to_be_visible()
    page.get_by_role("button", name="hangs now").click()
    expect(page.get_by_text("Every paper that hangs says what is known now: 1.")).to_be_visible()
    assert Posting.objects.hanging().get().replaces is not None
