"""Lessons in a browser: no barrier and no sideways scrolling on any page; six tubes chosen by thumb, and recorded."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from inventory.models import Group, Lesson, Room
from inventory.services import lessons
from inventory.services.lessons import Plan
from inventory.stock.coverage_rules import read_rule
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_pages import barriers, overhang, unfold

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def lesson(studio, paint, tube, keeper):
    """A lesson in a course with long names, short of its paint, and a tube that somebody brought."""
    today = timezone.localdate()
    term = lessons.add_term(studio, name="Spring " + "long" * 12, starts_on=today, ends_on=today + timedelta(days=90))
    plan = Plan(
        title="Greys of " + "many" * 12,
        starts_at=timezone.now(),
        students=12,
        term=term,
        group=Group.objects.create(studio=studio, name="Evening " + "adults" * 8),
        room=Room.objects.create(studio=studio, name="Room " + "two" * 15),
        note="Bring rags. " * 20,
    )
    made = lessons.plan(studio, plan, by=keeper)
    lessons.set_paints(made, [paint])
    lessons.set_amounts(made, {paint.pk: 9_000})
    lessons.repeat(made, weeks=3, by=keeper)
    lessons.add_rule(studio, name="Leaflet", milli_per_m2=read_rule("120 ml/m2"), source="A leaflet", by=keeper)
    lessons.add_brought(made, ["Ultramarine PB29", "Red " + "x" * 80], by=keeper, who="Osk")
    lessons.add_term(studio, name="Summer", starts_on=today + timedelta(weeks=14), ends_on=today + timedelta(weeks=20))
    return made


def test_the_pages_of_lessons_have_no_barrier_and_take_a_record(enter, studio, paint, keeper, lesson):
    def at(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    of_lesson = ("lesson", "lesson_change", "lesson_paints", "lesson_amounts", "lesson_supplies", "lesson_brought")
    pages = [
        at("lessons"),
        at("lesson_add"),
        *(at(name, lesson.pk) for name in (*of_lesson, "lesson_record")),
        at("amount_rules"),
        at("terms"),
        at("term", lesson.term_id),
        at("term_copy", lesson.term_id),
    ]
    for device, scheme in ((PHONE, "light"), (DESK, "dark")):
        page = enter(keeper, device, color_scheme=scheme)
        for address in pages:
            assert page.goto(address).status == 200, address
            unfold(page)
            assert barriers(page) == [], address
            assert overhang(page, device) == 0, address
    page.goto(at("lesson_record", lesson.pk))
    page.locator(f"#id_used_{paint.pk}").fill("12 ml")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Written down: taken from 1 container.")).to_be_visible()
    page.get_by_role("button", name="Take the record back").click()
    expect(page.get_by_text("12 ml are on the shelf again")).to_be_visible()
    assert Lesson.objects.get(pk=lesson.pk).state == "planned"
