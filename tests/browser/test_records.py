"""The records in a browser: no barrier, no sideways scrolling, an inspection in two taps on a phone."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from inventory.models import Room
from safety.models import HouseRule, Incident, Inspection, RuleKind
from safety.services import records as services
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def kept(studio, keeper):
    """A studio with each kind of record, in words as long as people write them."""
    today = timezone.localdate()
    room = Room.objects.create(studio=studio, name="Painting room on the second floor, north side")
    for subject in ("eyewash", "waste container", "training"):
        HouseRule.objects.create(
            studio=studio, kind=RuleKind.INTERVAL, subject=subject, days=7, text="As decided. " * 20,
            on_whose_word="the safety office, by letter " * 4, set_on=today, recorded_by=keeper,
        )  # fmt: skip
    ago = today - timedelta(days=9)
    services.record_inspection(studio, by=keeper, subject="eyewash", finding="in order", done_on=ago, room=room)
    broken = services.record_inspection(
        studio, by=keeper, subject="other", what="W" * 100, finding="needs work", done_on=ago, room=room, note="N" * 200
    )
    waste = services.open_waste(studio, by=keeper, contents="White spirit with oil paint " * 10, opened_on=ago)
    services.close_waste(waste, by=keeper, full_on=today)
    version = services.make_version(studio, by=keeper, title="Rules", text="1. Lids on.\n" * 40)
    services.record_sign_offs(studio, by=keeper, number=1, signed_on=today, names=["A" * 110, "Bo"])
    incident = Incident.objects.create(studio=studio, kind="incident", what="Spilt. " * 300, reported_by=keeper)
    services.make_calendar_link(studio, by=keeper)
    return {
        "inspection_mended": broken.pk,
        "waste_container": waste.pk,
        "rules_version": version.pk,
        "incident": incident.pk,
    }


PAGES = (
    "records inspections inspection_add inspection_mended waste waste_add waste_container training sign_off_add "
    "rules_version_add rules_version incidents incident_add incident calendar"
)


@pytest.mark.parametrize(("device", "scheme"), [(PHONE, "light"), (DESK, "dark")], ids=["phone, light", "desk, dark"])
def test_records_have_no_barrier_and_an_inspection_takes_two_taps(enter, studio, keeper, kept, device, scheme):
    page = enter(keeper, device, color_scheme=scheme)
    for name in PAGES.split():
        assert page.goto(reverse(f"safety:{name}", args=[studio.slug, *([kept[name]] if name in kept else [])])).ok
        unfold(page)
        assert (name, barriers(page), overhang(page, device)) == (name, [], 0)
    page.goto(reverse("safety:records", args=[studio.slug]))
    page.get_by_role("link", name="Eyewash").first.click()
    page.get_by_role("button", name="In order").click()
    expect(page.get_by_text("Recorded: Eyewash")).to_be_visible()
    assert Inspection.objects.filter(subject="eyewash", done_on=timezone.localdate()).count() == 1
