"""The calendar feed: who may ask, what it carries and what not, and its text held against RFC 5545."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from inventory.models import Lesson, OrderDay, Room, Supplier
from safety.models import CalendarLink, HouseRule, Incident, RuleKind
from safety.queries import calendar
from safety.queries.calendar import Entry
from safety.services import records as services
from safety.services.sheets import record_sheet
from studio.models import Membership

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def feed(studio, member):
    """The address of the member's feed."""
    _, token = services.make_calendar_link(studio, by=member)
    return reverse("calendar_feed", args=[token])


def rule(studio, by, subject, days):
    HouseRule.objects.create(
        studio=studio,
        kind=RuleKind.INTERVAL,
        subject=subject,
        days=days,
        text="As decided.",
        on_whose_word="Dr Somebody",
        set_on=date(2026, 1, 5),
        recorded_by=by,
    )


@pytest.fixture
def full(studio, keeper, member, tube):
    """A studio with something of everything that the calendar may and may not tell."""
    today = timezone.localdate()
    room = Room.objects.create(studio=studio, name="Painting room")
    for subject, days in (("eyewash", 7), ("waste container", 30), ("training", 365), ("data sheet", 100)):
        rule(studio, keeper, subject, days)
    services.record_inspection(
        studio, by=keeper, subject="eyewash", finding="in order", done_on=today - timedelta(days=9), room=room,
        note="Looked at with Mrs Secret",
    )  # fmt: skip
    services.open_waste(studio, by=keeper, contents="Oily rags", opened_on=today, room=room)
    services.make_version(studio, by=keeper, title="Rules", text="Lids on.")
    services.record_sign_offs(studio, by=keeper, number=1, signed_on=today, names=["Ada Secret"])
    record_sheet(tube.item, by=keeper, product="Blue", read_on=today - timedelta(days=60))
    supplier = Supplier.objects.create(studio=studio, name="Secret and Sons")
    OrderDay.objects.create(studio=studio, on=today + timedelta(days=20), supplier=supplier, note="Ask Bo Secret")
    OrderDay.objects.create(studio=studio, on=today + timedelta(days=20))
    starts = timezone.now().replace(microsecond=0) + timedelta(days=3)
    Lesson.objects.create(
        studio=studio, title="Greys, from two; colours", starts_at=starts, minutes=90, room=room, students=8,
        teacher=keeper, note="Bring Cy Secret",
    )  # fmt: skip
    Lesson.objects.create(studio=studio, title="Called off", starts_at=starts, students=8, state="cancelled")
    Incident.objects.create(studio=studio, kind="incident", what="Secret burn", reported_by=member)
    return today


def events(answer):
    return {str(one["SUMMARY"]): one for one in Calendar.from_ical(answer.content).walk("VEVENT")}


def test_a_stranger_s_calendar_program_reads_it_without_signing_in(client, studio, feed, full):
    answer = client.get(feed)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    told = events(answer)
    assert set(told) == {
        "Overdue. Inspection due: Eyewash, Painting room",
        "Collection due: Waste container 1, Painting room",
        "Look at the maker's sheet again: Ultramarine Blue",
        "Overdue. Rules to be signed by 2 people",
        "Rules to be signed by 1 person",
        "Order date",
        "Greys, from two; colours",
    }
    eyewash = told["Overdue. Inspection due: Eyewash, Painting room"]
    assert eyewash["DTSTART"].dt == full, "what is late stands on today"
    assert (
        str(eyewash["DESCRIPTION"])
        == f"Due since {full - timedelta(days=2)}. House rule of 2026-01-05: an interval of 7 days."
    )
    assert told["Collection due: Waste container 1, Painting room"]["DTSTART"].dt == full + timedelta(days=30)
    assert told["Look at the maker's sheet again: Ultramarine Blue"]["DTSTART"].dt == full + timedelta(days=40)
    assert told["Order date"]["DTEND"].dt == full + timedelta(days=21)
    lesson = told["Greys, from two; colours"]
    assert lesson["DTSTART"].dt == Lesson.objects.get(state="planned").starts_at
    assert lesson["DTEND"].dt - lesson["DTSTART"].dt == timedelta(minutes=90)
    assert str(lesson["LOCATION"]) == "Painting room"


def test_it_carries_no_incident_and_no_person_s_name(client, feed, full):
    text = client.get(feed).content.decode().replace("\r\n ", "")
    for secret in ("Secret", "Somebody", "keeper", "member", "burn", "Ada"):
        assert secret not in text, secret


def test_an_ended_or_guessed_address_is_not_there(client, studio, member, keeper, address, feed):
    (link,) = CalendarLink.objects.all()
    guess = reverse("calendar_feed", args=["A" * 43])
    by_digest = reverse("calendar_feed", args=[link.token])
    assert [client.get(url).status_code for url in (feed, guess, by_digest)] == [200, 404, 404]
    assert client.post(feed).status_code == 405
    client.force_login(member)
    client.post(address("calendar_end", link.pk))
    client.logout()
    assert client.get(feed).status_code == 404
    client.force_login(member)
    assert "had ended already" in client.post(address("calendar_end", link.pk), follow=True).content.decode()


def test_an_address_ends_with_its_maker_s_membership(client, studio, member, feed):
    Membership.objects.filter(user=member).delete()
    assert client.get(feed).status_code == 404


def test_an_address_is_shown_once_and_a_new_one_ends_the_old(client, member, address, feed):
    client.force_login(member)
    assert "/calendar/" not in client.get(address("calendar")).content.decode().replace("records/calendar/", "")
    page = client.post(address("calendar_make"))
    assert page["Cache-Control"] == "no-store"
    url = page.content.decode().split('value="http://testserver')[1].split('"')[0]
    assert client.get(url).status_code == 200
    assert client.get(feed).status_code == 404
    assert url not in client.get(address("calendar")).content.decode()
    token = url.removeprefix("/calendar/").removesuffix(".ics")
    assert len(token) == 43, "32 bytes of chance in base 64"
    assert not CalendarLink.objects.filter(token=token).exists(), "only its digest is kept"


def test_who_may_end_whose_address(client, keeper, teacher, student, address, feed):
    (link,) = CalendarLink.objects.all()
    client.force_login(teacher)
    assert "Made by member" not in client.get(address("calendar")).content.decode()
    assert client.post(address("calendar_end", link.pk)).status_code == 403
    client.force_login(student)
    assert client.post(address("calendar_make")).status_code == 403
    client.force_login(keeper)
    assert "Made by member" in client.get(address("calendar")).content.decode()
    client.post(address("calendar_end", link.pk))
    assert client.get(feed).status_code == 404


def test_another_studio_s_dates_are_not_in_it(client, other_studio, stranger, full):
    _, token = services.make_calendar_link(other_studio, by=stranger)
    assert events(client.get(reverse("calendar_feed", args=[token]))) == {}


def test_uids_stay_while_the_thing_does_and_differ_between_things(studio, full):
    def uids(today):
        made = calendar.as_icalendar(studio, calendar.entries(studio, today), AT)
        return [(str(one["UID"]), str(one["SUMMARY"])) for one in Calendar.from_ical(made).walk("VEVENT")]

    first, later = dict(uids(full)), dict(uids(full + timedelta(days=1)))
    assert len(first) == len(uids(full))
    assert all(UUID(uid) for uid in first)
    eyewash = {uid for uid, words in first.items() if "Eyewash" in words}
    assert eyewash == {uid for uid, words in later.items() if "Eyewash" in words}
    assert set(first) == set(later), "what is late moves to the new day as the same entry"


def test_the_queries_of_the_feed_are_bounded(studio, full, django_assert_num_queries):
    with django_assert_num_queries(12):
        calendar.entries(studio)


# The text itself


@pytest.fixture
def text(studio):
    def make(*told):
        return calendar.as_icalendar(studio, told, AT).decode()

    return make


def test_the_frame_of_the_text(text):
    """RFC 5545: 3.4 the frame; 3.6 PRODID and VERSION once; 3.6.1 UID and DTSTAMP in each event; 3.8.7.2 UTC."""
    made = text(Entry("a", "Order date", date(2026, 3, 4)))
    lines = made.split("\r\n")
    assert (lines[0], lines[-2:]) == ("BEGIN:VCALENDAR", ["END:VCALENDAR", ""])
    assert "\n" not in made.replace("\r\n", "")
    for once in ("VERSION:2.0", "DTSTAMP:20260302T093000Z"):
        assert lines.count(once) == 1
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    assert sum(line.startswith("UID:") for line in lines) == 1
    # 3.6.1: an anniversary of the standard's own examples is written so, with the day after as its end.
    assert "DTSTART;VALUE=DATE:20260304" in lines
    assert "DTEND;VALUE=DATE:20260305" in lines


def test_text_is_escaped_as_the_standard_does(text):
    """RFC 5545, 3.3.11: the example of a TEXT value, read the other way."""
    made = text(Entry("a", "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.", date(2026, 3, 4)))
    assert r"SUMMARY:Project XYZ Final Review\nConference Room - 3B\nCome Prepared." in made
    made = text(Entry("a", "a;b,c\\d:e", date(2026, 3, 4)))
    assert r"SUMMARY:a\;b\,c\\d:e" in made


@pytest.mark.parametrize("title", ["x" * 300, "é" * 200, "画" * 120, "🎨" * 80])
def test_lines_are_folded_at_75_octets_and_come_back_whole(text, title):
    """RFC 5545, 3.1: no line is longer than 75 octets without its break; a multi-octet letter may not be torn apart."""
    made = text(Entry("a", title, date(2026, 3, 4)))
    lines = made.encode().split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode()
    assert f"SUMMARY:{title}" in made.replace("\r\n ", "")


def test_a_moment_is_told_in_utc(text):
    """RFC 5545, 3.3.5, form 2: the letter Z."""
    made = text(Entry("a", "Lesson", datetime(2026, 7, 1, 18, 0, tzinfo=UTC), 120, "Loft"))
    assert "DTSTART:20260701T180000Z" in made
    assert "DTEND:20260701T200000Z" in made
    assert "LOCATION:Loft" in made
