"""House rules, rooms and who may use what in a browser: no barrier, no sideways scrolling."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from playwright.sync_api import expect

from inventory import services as shelf
from inventory.models import Binder
from inventory.reading import LabelTexts
from inventory.services import paints
from inventory.services.groups import add_group
from inventory.services.rooms import add_room
from safety.services import record_label_statement
from safety.services.house import RuleInput, replace_rule, set_rule
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)
DAY = date(2026, 1, 12)


@pytest.mark.parametrize(("device", "scheme"), [(PHONE, "light"), (DESK, "dark")], ids=["phone, light", "desk, dark"])
def test_the_house_has_no_barrier_and_a_rule_is_set_by_hand(enter, studio, keeper, place, device, scheme):
    call_command("load_reference", stdout=StringIO())
    children = add_group(studio, name="Children of 7 to 12", children=True)
    room = add_room(studio, name="Painting room")
    for name, typed, seal in (("Cadmium Yellow " * 6, "PY37", "CL"), ("Blue", "PB29", "AP"), ("Jar", "", "")):
        item = paints.add_paint(studio, by=keeper, texts=LabelTexts(name=name, pigments=typed), binder=Binder.OIL)
        shelf.receive(studio, item, nominal_milli=37_000, unit="ml", by=keeper)
        if seal:
            record_label_statement(item, by=keeper, read_on=DAY, text="Conforms.", seal=seal)
    given = RuleInput("ban", "Only what carries AP. " * 12, "the office " * 10, DAY, "no seal", "AP", [children])
    rule = replace_rule(set_rule(studio, given, by=keeper), given, by=keeper)
    pages = (
        ("safety",),
        ("house_rules",),
        ("house_rule_add",),
        ("house_rule_replace", rule.pk),
        ("house_rule_end", rule.pk),
        ("groups",),
        ("group", children.pk),
        ("may_use", children.pk),
        ("rooms",),
        ("room", room.pk),
        ("room_facts", room.pk),
    )
    page = enter(keeper, device, color_scheme=scheme)
    for name, *pk in pages:
        assert page.goto(reverse(f"safety:{name}", args=[studio.slug, *pk])).status == 200
        unfold(page)
        assert barriers(page) == [], name
        assert overhang(page, device) == 0, name
    page.goto(reverse("safety:house_rule_add", args=[studio.slug]))
    page.get_by_role("link", name="A hazard statement keeps it from a group").click()
    page.get_by_label("The rule, in your house's own words").fill("Nothing that can cause cancer")
    page.get_by_label("Hazard statements").fill("H35O")
    page.get_by_label("Children of 7 to 12").check()
    page.get_by_label("On whose word").fill("the safety office")
    page.get_by_label("Decided on").fill("2026-01-12")
    page.get_by_role("button", name="Record the rule").click()
    expect(page.get_by_text("Did you mean H350?")).to_be_visible()
    page.get_by_label("Hazard statements").fill("H350")
    page.get_by_role("button", name="Record the rule").click()
    expect(page.get_by_text("The rule is recorded: Nothing that can cause cancer.")).to_be_visible()
