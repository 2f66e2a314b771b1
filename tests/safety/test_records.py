"""Inspections, waste, sign-offs, incidents: who may, what is refused with which words, what comes round.

Intervals here are invented house rules. The calendar is held against RFC 5545 in test_calendar.py.
"""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from html import unescape
from io import BytesIO
from threading import Barrier

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.models import Paint, Room
from safety.models import (
    HouseRule,
    Incident,
    Inspection,
    RoomFacts,
    RuleKind,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.queries import records as queries
from safety.rules.due import DueState
from safety.services import records as services
from safety.services.sheets import record_sheet
from studio import demo_records
from studio.models import AppendOnlyError, Role
from tests.conftest import make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def room(studio):
    return Room.objects.create(studio=studio, name="Painting room")


@pytest.fixture
def gone(studio):
    return Room.objects.create(studio=studio, name="Annexe", removed_at=datetime(2026, 2, 3, 12, tzinfo=UTC))


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def rule(studio, keeper):
    def make(subject, days, room=None, kind=RuleKind.INTERVAL, **more):
        return HouseRule.objects.create(
            studio=studio,
            kind=kind,
            subject=subject,
            days=days,
            room=room,
            text=f"{subject} every {days} days",
            on_whose_word="the safety office",
            set_on=date(2026, 1, 5),
            recorded_by=keeper,
            **more,
        )

    return make


@pytest.fixture
def look(studio, keeper):
    def make(subject, done_on, room=None, finding="in order", **more):
        return services.record_inspection(
            studio, by=keeper, subject=subject, finding=finding, done_on=done_on, room=room, **more
        )

    return make


@pytest.fixture
def container(studio, keeper, today):
    return services.open_waste(
        studio, by=keeper, contents="White spirit with oil paint", opened_on=today - timedelta(days=20)
    )


@pytest.fixture
def version(studio, keeper):
    made = services.make_version(studio, by=keeper, title="Rules", text="1. Wipe brushes first.")
    RulesVersion.objects.filter(pk=made.pk).update(made_at=timezone.now() - timedelta(days=400))
    return made


def words(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def text_of(answer):
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)


def refused(service, field, *args, **kwargs):
    """The words with which a service refuses, at this field."""
    with pytest.raises(ValidationError) as error:
        service(*args, **kwargs)
    assert list(error.value.message_dict) == [field]
    return " ".join(error.value.message_dict[field])


def due_of(studio, today):
    rows = queries.inspections_due(studio, today, queries.Intervals(studio))
    return {(row.subject, row.where): row for row in rows}


# Inspections and what comes round


def test_without_a_house_rule_nothing_is_due_and_the_page_says_whom_to_ask(client, member, address, room, look, today):
    look("eyewash", today - timedelta(days=900), room)
    client.force_login(member)
    page = words(client.get(address("records")))
    assert "Not set: ask your safety office" in page
    assert "Overdue" not in page
    rows = due_of(member.studios.get(), today)
    assert {row.due.state for row in rows.values()} == {DueState.NO_INTERVAL}
    assert ("first aid", "") in rows, "a subject that nobody looked at is listed too"


def test_overdue_comes_first_with_whose_word_it_is(client, member, studio, address, room, look, rule, today):
    rule("eyewash", 7)
    rule("extraction", 30, room)
    look("eyewash", today - timedelta(days=12), room)
    look("eyewash", today - timedelta(days=20), room)
    look("spill kit", today, room)
    client.force_login(member)
    page = words(client.get(address("records")))
    assert "Overdue by 5 days" in page
    assert "On the word of the safety office, 5 January 2026; recorded by keeper." in page
    rows = queries.inspections_due(studio, today, queries.Intervals(studio))
    assert [(row.title, row.due.words) for row in rows[:2]] == [
        ("Eyewash", "overdue by 5 days"),
        ("Extraction", "never done"),
    ]


def test_a_rule_for_everywhere_is_asked_where_the_thing_is_known_to_be(studio, room, rule, look, today):
    store = Room.objects.create(studio=studio, name="Store")
    Room.objects.create(studio=studio, name="Office")
    RoomFacts.objects.create(room=store, eyewash="Beside the sink", rags="none in this room")
    rule("eyewash", 7)
    look("eyewash", today, room)
    found = {key: row.due.words for key, row in due_of(studio, today).items() if key[0] == "eyewash"}
    assert set(found) == {("eyewash", "Painting room"), ("eyewash", "Store")}
    assert found["eyewash", "Store"] == "never done"
    assert ("rag can", "Store") not in due_of(studio, today)


def test_a_rule_that_ended_or_names_a_removed_room_asks_nothing(studio, room, gone, rule, look, today):
    look("eyewash", today - timedelta(days=30), room)
    HouseRule.objects.filter(pk=rule("eyewash", 7).pk).update(ended_at=timezone.now())
    rule("extraction", 7, gone)
    rows = due_of(studio, today)
    assert rows["eyewash", "Painting room"].due.state is DueState.NO_INTERVAL
    assert rows["extraction", ""].due.state is DueState.NO_INTERVAL


def test_something_else_may_have_an_interval_under_its_own_name(studio, rule, look, today):
    rule("ladder", 10)
    look("other", today - timedelta(days=11), what="Ladder")
    look("other", today - timedelta(days=11), what="Kiln shelf")
    rows = {row.title: row.due.words for row in queries.inspections_due(studio, today, queries.Intervals(studio))}
    assert rows["Ladder"] == "overdue by 1 day"
    assert rows["Kiln shelf"] == "not set: ask your safety office"


def test_two_taps_record_an_inspection(client, member, studio, address, room, rule, today):
    rule("eyewash", 7, room)
    client.force_login(member)
    page = client.get(address("records")).content.decode()
    link = unescape(re.search(r'href="([^"]+subject=eyewash[^"]*)"', page)[1])
    form = client.get(link)
    assert f'<option value="{room.pk}" selected>' in form.content.decode()
    sent = {"subject": "eyewash", "room": room.pk, "done_on": today.isoformat(), "finding": "in order"}
    answer = client.post(link, sent, follow=True)
    assert "Recorded: Eyewash, Painting room, in order." in words(answer)
    assert Inspection.objects.get().by == member


def test_needs_work_stays_open_until_mended(client, member, studio, address, room, look, today):
    found = look("extraction", today - timedelta(days=4), room, "needs work", note="The fan rattles.")
    client.force_login(member)
    assert "The fan rattles." in words(client.get(address("records")))
    early = client.post(address("inspection_mended", found.pk), {"mended_on": (today - timedelta(days=5)).isoformat()})
    assert "is before it was found" in words(early)
    client.post(address("inspection_mended", found.pk), {"mended_on": today.isoformat()})
    assert list(queries.needs_work(studio)) == []
    again = client.post(address("inspection_mended", found.pk), {"mended_on": today.isoformat()})
    assert "It was mended already, on" in words(again)
    assert "by member" in words(again)


def test_a_withdrawn_inspection_does_not_count_and_stays(client, member, studio, address, room, look, rule, today):
    rule("eyewash", 7)
    look("eyewash", today - timedelta(days=3), room)
    slip = services.record_inspection(
        studio, by=member, subject="eyewash", finding="in order", done_on=today, room=room
    )
    client.force_login(member)
    assert "Not saved" in words(client.post(address("inspection_withdraw", slip.pk), {"why": " "}))
    page = words(client.post(address("inspection_withdraw", slip.pk), {"why": "Wrong room."}, follow=True))
    assert "by member: Wrong room." in page
    assert due_of(studio, today)["eyewash", "Painting room"].last == today - timedelta(days=3)
    twice = client.post(address("inspection_withdraw", slip.pk), {"why": "Again."})
    assert "It was withdrawn already" in words(twice)


def test_a_member_withdraws_their_own_inspections_and_a_teacher_any(client, member, teacher, address, look, today):
    others = look("eyewash", today)
    client.force_login(member)
    answer = client.post(address("inspection_withdraw", others.pk), {"why": "x"})
    assert answer.status_code == 403
    assert "keeper recorded this inspection" in words(answer)
    client.force_login(teacher)
    assert client.post(address("inspection_withdraw", others.pk), {"why": "x"}).status_code == 302


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"ahead": 1}, "done_on", "is in the future: enter the day on which it was done"),
        ({"finding": "needs work"}, "note", "Say what needs work"),
        ({"subject": "other"}, "what", "Say what was looked at"),
        ({"room": "gone"}, "room", "Annexe was taken away on 3 February 2026: choose a room that is still used."),
        ({"subject": "kettle"}, "subject", "kettle"),
    ],
)
def test_what_an_inspection_refuses(client, member, studio, address, gone, today, values, field, said):
    given = {
        "subject": values.get("subject", "eyewash"),
        "finding": values.get("finding", "in order"),
        "done_on": today + timedelta(days=values.get("ahead", 0)),
        "room": gone if values.get("room") else None,
    }
    assert said in refused(services.record_inspection, field, studio, by=member, **given)
    client.force_login(member)
    sent = {**given, "room": gone.pk if given["room"] else "", "done_on": given["done_on"].isoformat()}
    answer = client.post(address("inspection_add"), sent)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not Inspection.objects.exists()


def test_an_inspection_without_a_finding_or_with_a_strange_date_is_asked_again(client, member, address, today):
    client.force_login(member)
    answer = client.post(address("inspection_add"), {"subject": "eyewash", "done_on": today.isoformat()})
    assert "press “In order” or “Needs work”" in words(answer)
    answer = client.post(
        address("inspection_add"), {"subject": "eyewash", "done_on": "31.3.2026", "finding": "in order"}
    )
    assert "Write the date as 2026-03-31" in words(answer)
    assert not Inspection.objects.exists()


def test_a_room_of_another_studio_is_no_room(client, member, studio, other_studio, address, today):
    theirs = Room.objects.create(studio=other_studio, name="Loft", removed_at=timezone.now())
    client.force_login(member)
    sent = {"subject": "eyewash", "room": theirs.pk, "done_on": today.isoformat(), "finding": "in order"}
    answer = client.post(address("inspection_add"), sent)
    assert answer.status_code == 422
    assert "Loft" not in words(answer)
    said = refused(
        services.record_inspection, "room", studio, by=member, subject="eyewash", finding="in order", done_on=today,
        room=theirs,
    )  # fmt: skip
    assert "is not a room of this studio" in said


# Waste


def test_containers_are_numbered_in_each_studio(studio, other_studio, keeper, stranger, today):
    def opened(where, by):
        return services.open_waste(where, by=by, contents="Oily rags", opened_on=today).number

    assert [opened(studio, keeper), opened(studio, keeper), opened(other_studio, stranger)] == [1, 2, 1]


@pytest.mark.django_db(transaction=True)
def test_people_who_open_containers_at_one_moment_get_different_numbers(studio, keeper, today):
    start_line = Barrier(4, timeout=60)

    def opened(_):
        start_line.wait()
        try:
            return [
                services.open_waste(studio, by=keeper, contents="Oily rags", opened_on=today).number for _ in range(3)
            ]
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        numbers = [number for each in pool.map(opened, range(4)) for number in each]
    assert sorted(numbers) == list(range(1, 13))


def test_a_container_from_first_drop_to_collection(client, member, teacher, address, today):
    client.force_login(member)
    sent = {"contents": "White spirit with oil paint", "size": "2.5", "opened_on": today.isoformat()}
    assert "It is waste container 1" in words(client.post(address("waste_add"), sent, follow=True))
    held = WasteContainer.objects.get()
    assert held.size_milli == 2_500_000
    client.post(address("waste_full", held.pk), {"full_on": today.isoformat()})
    client.force_login(teacher)
    sent = {"collected_on": today.isoformat(), "collected_by": "The collector", "manifest": "M-17"}
    page = words(client.post(address("waste_collected", held.pk), sent, follow=True))
    assert "by The collector, manifest M-17; recorded by teacher" in page
    assert "2.5 l" in page
    assert "by The collector, manifest M-17" in words(client.get(address("waste")))


def test_what_was_ticked_stands_on_the_tag_with_its_sheet(
    client, reference, member, paint, tube, other_studio, address, today
):
    """A paint of one word is not found by its name in the contents; ticked it is, and a change keeps what was said."""
    Paint.objects.filter(pk=paint.pk).update(name="Yellow")
    record_sheet(
        paint,
        by=member,
        product="Yellow 1",
        read_on=today,
        revised_on=date(2025, 3, 1),
        signal_word="Danger",
        h_codes="H350",
    )
    client.force_login(member)
    sent = {"contents": "White spirit with yellow", "opened_on": today.isoformat()}
    client.post(address("waste_add"), sent)
    held = WasteContainer.objects.get()

    def tag():
        (page,) = PdfReader(BytesIO(client.get(address("waste_tag_pdf", held.pk)).content)).pages
        return " ".join(page.extract_text().split())

    assert "Yellow 1" not in tag()
    form = client.get(address("waste_contents", held.pk)).context["form"]
    added = {"contents": "White spirit with oil paint", "went_in": [paint.pk], "seen": form["seen"].value()}
    assert "Of the shelf Yellow Hazards" in words(client.post(address("waste_contents", held.pk), added, follow=True))
    assert "Yellow: Danger, H350 (maker's sheet Yellow 1, revised 2025-03-01)" in tag()
    held.refresh_from_db()
    assert held.note.endswith("before: White spirit with yellow; ticked: nothing")

    answer = client.post(address("waste_contents", held.pk), added | {"contents": "Oily rags"})
    assert answer.status_code == 422
    assert "Somebody said in between what is in it: “White spirit with oil paint”." in words(answer)
    theirs = Paint.objects.create(studio=other_studio, name="Theirs")
    again = {"by": member, "contents": "Rags", "seen": held.contents_mark}
    assert "Theirs is not on this studio's shelf" in refused(
        services.say_contents, "went_in", held, went_in=[theirs], **again
    )
    assert client.post(address("waste_add"), sent | {"went_in": [theirs.pk]}).status_code == 422
    services.close_waste(held, by=member, full_on=today)
    assert "was closed on" in refused(services.say_contents, "contents", held, went_in=[], **again)


@pytest.mark.parametrize(
    ("contents", "said"),
    [
        ("IPA with paint", "Write IPA in full words"),
        ("Used MEK and OMS", "Write MEK, OMS in full words"),
        ("C3H8O", "Write C3H8O in full words"),
        ("??", "does not say what is in it"),
    ],
)
def test_contents_stand_in_full_words(client, member, studio, address, today, contents, said):
    """Common practice for waste labels, no source."""
    assert said in refused(services.open_waste, "contents", studio, by=member, contents=contents, opened_on=today)
    client.force_login(member)
    answer = client.post(address("waste_add"), {"contents": contents, "opened_on": today.isoformat()})
    assert said in words(answer)
    assert contents in unescape(answer.content.decode()), "what was typed is still there"
    assert not WasteContainer.objects.exists()


def test_a_container_closed_twice_says_who_closed_it_and_when(client, member, keeper, address, container, today):
    services.close_waste(container, by=keeper, full_on=today)
    client.force_login(member)
    answer = client.post(address("waste_full", container.pk), {"full_on": today.isoformat()})
    assert answer.status_code == 422
    said = f"Waste container 1 was closed already, on {services.day_words(today)} by keeper."
    assert said in words(answer)


def test_the_steps_of_a_container_are_refused_out_of_order(keeper, container, today):
    collected = {"by": keeper, "collected_by": "The collector", "manifest": "M-17"}
    assert "is not closed yet" in refused(
        services.collect_waste, "collected_on", container, collected_on=today, **collected
    )
    tomorrow, before = today + timedelta(days=1), container.opened_on - timedelta(days=1)
    assert "in the future" in refused(services.close_waste, "full_on", container, by=keeper, full_on=tomorrow)
    assert "before it was opened" in refused(services.close_waste, "full_on", container, by=keeper, full_on=before)
    services.close_waste(container, by=keeper, full_on=today)
    assert "before it was closed" in refused(
        services.collect_waste, "collected_on", container, collected_on=before, **collected
    )
    assert "in the future" in refused(
        services.collect_waste, "collected_on", container, collected_on=tomorrow, **collected
    )
    assert "Write the number" in refused(
        services.collect_waste, "manifest", container, collected_on=today, **{**collected, "manifest": " "}
    )
    services.collect_waste(container, collected_on=today, **collected)
    again = refused(services.collect_waste, "collected_on", container, collected_on=today, **collected)
    assert f"collected already, on {services.day_words(today)} by The collector, manifest M-17" in again


def test_a_step_is_taken_back_and_nothing_is_lost(teacher, container, today):
    services.close_waste(container, by=teacher, full_on=today)
    services.collect_waste(container, by=teacher, collected_on=today, collected_by="The collector", manifest="M-17")
    services.take_back_step(container, by=teacher, why="It was the neighbour's.")
    held = services.take_back_step(container, by=teacher, why="Not full.")
    assert (held.collected_on, held.manifest, held.full_on, held.full_by) == (None, "", None, None)
    assert "manifest M-17”: It was the neighbour's." in held.note
    assert "Not full." in held.note
    assert "no step to take back" in refused(services.take_back_step, "why", container, by=teacher, why="x")
    services.withdraw(held, by=teacher, why="Never opened.")
    assert "was withdrawn on" in refused(services.close_waste, "full_on", container, by=teacher, full_on=today)


def test_a_container_waits_under_the_house_s_intervals(studio, keeper, container, rule, today):
    def answer():
        (row,) = queries.waste_due(studio, today, queries.Intervals(studio))
        return row.due.words

    assert answer() == "not set: ask your safety office"
    rule("waste container", 15)
    assert answer() == "overdue by 5 days"
    HouseRule.objects.update(ended_at=timezone.now())
    rule("waste container", 90)
    rule("full waste container", 3)
    assert answer() == f"due on {services.day_words(container.opened_on + timedelta(days=90))}"
    services.close_waste(container, by=keeper, full_on=today - timedelta(days=4))
    assert answer() == "overdue by 1 day", "the earlier of the two"


def test_limits_are_shown_as_rules_with_what_stands_here(client, member, studio, address, keeper, rule, room, today):
    client.force_login(member)
    page = words(client.get(address("waste")))
    assert "How much waste may be here: not set." in page
    assert "What a waste tag must show here" in page
    assert "Not set: ask your safety office" in page
    rule("waste", None, kind=RuleKind.LIMIT, amount_milli=20_000_000, unit="ml")
    for size, where in ((15_000_000, room), (10_000_000, None), (None, room)):
        services.open_waste(studio, by=keeper, contents="Oily rags", opened_on=today, size_milli=size, room=where)
    (limit,) = queries.waste_limits(studio)
    assert (limit.containers, limit.size_milli, limit.unsized, limit.over) == (3, 25_000_000, 1, True)
    page = words(client.get(address("waste")))
    assert "25 l in all" in page
    assert "the size of 1 is not known" in page
    assert "above the limit" in page


# Training


def test_a_version_begins_with_the_house_rules_and_never_changes(client, keeper, studio, address, rule):
    rule("eyewash", 7)
    client.force_login(keeper)
    form = client.get(address("rules_version_add"))
    begin = "1. eyewash every 7 days. (House rule, on the word of the safety office, 5 January 2026.)"
    assert begin in unescape(form.content.decode())
    client.post(address("rules_version_add"), {"title": "Rules", "text": f"{begin}\n2. Wipe first."})
    made = RulesVersion.objects.get()
    assert (made.number, made.text) == (1, f"{begin}\n2. Wipe first.")
    with pytest.raises(AppendOnlyError, match="does not change: make a new version"):
        made.save()
    same = client.post(address("rules_version_add"), {"title": "Rules", "text": made.text})
    assert "word for word version 1" in words(same)
    client.post(address("rules_version_add"), {"title": "Rules", "text": "Other."})
    assert list(RulesVersion.objects.values_list("number", flat=True)) == [2, 1]


def test_who_has_not_signed_the_newest_version(client, studio, teacher, member, student, address, version, today):
    people = {"signed_on": today.isoformat(), "number": 1, "people": [member.pk], "names": "Ada\nBo\n"}
    client.force_login(teacher)
    assert "3 sign-offs recorded." in words(client.post(address("sign_off_add"), people, follow=True))
    found = queries.sign_off_list(version)
    assert [one.name for one in found.signed] == ["Ada", "Bo", "member"]
    assert found.unsigned == ["keeper", "student", "teacher"]
    newer = services.make_version(studio, by=teacher, title="Rules", text="2. Lids on.")
    assert queries.sign_off_list(newer).unsigned == ["Ada", "Bo", "keeper", "member", "student", "teacher"]
    assert queries.sign_off_list(version).unsigned == [], "who has still to sign is asked of the newest alone"
    client.post(address("sign_off_left", SignOff.objects.get(name="Bo").pk))
    assert "Bo" not in queries.sign_off_list(newer).unsigned
    services.record_sign_offs(studio, by=teacher, number=2, signed_on=today, names=["Bo"])
    assert "Bo" in [one.name for one in queries.training(studio, today, queries.Intervals(studio)).signers]


def test_names_are_not_shown_to_students(client, student, teacher, address, version, studio, today):
    services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, names=["Ada"])
    client.force_login(student)
    for page in (address("training"), address("rules_version", version.pk)):
        assert "Ada" not in words(client.get(page))
    printed = address("sign_off_pdf", version.pk)
    assert "Ada" not in text_of(client.get(printed))
    client.force_login(teacher)
    assert "Ada" in text_of(client.get(printed))
    client.force_login(student)
    assert "It is not recorded that you signed version 1." in words(client.get(address("training")))


def test_an_interval_of_training_counts_from_the_last_sign_off(studio, teacher, member, version, rule, today):
    rule("training", 30)
    services.record_sign_offs(
        studio, by=teacher, number=1, signed_on=today - timedelta(days=31), people=[member], names=["Ada"]
    )
    services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, people=[teacher])
    found = queries.training(studio, today, queries.Intervals(studio))
    said = {one.name: one.due.words for one in found.signers}
    assert said["Ada"] == said["member"] == "overdue by 1 day"
    assert said["teacher"].startswith("due on")
    assert said["keeper"] == "never done"
    assert [one.name for one in found.late] == ["Ada", "member", "keeper"]


def test_two_people_of_one_name_sign_apart(studio, teacher, version, today):
    first, second = (make_person(studio, Role.MEMBER, name) for name in ("ana.b", "ana.c"))
    for person in (first, second):
        person.first_name = "Ana"
        person.save()
    made = services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, people=[first, second])
    assert [one.name for one in made] == ["Ana", "Ana (ana.c)"]


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"number": 7}, "number", "There is no version 7 of the rules here: the newest is version 1."),
        ({"ahead": 1}, "signed_on", "is in the future"),
        ({"ahead": -500}, "signed_on", "is before version 1 was made"),
        ({"names": ""}, "names", "Nobody is named"),
        ({"names": "Ada\nAda"}, "names", "Ada stands there twice"),
        ({"names": "Bo"}, "names", "Version 1 was signed already by Bo on"),
        ({"names": "x" * 121}, "names", "at most 120 letters"),
    ],
)
def test_what_a_sign_off_refuses(client, studio, teacher, address, version, today, change, field, said):
    services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, names=["Bo"])
    day = today + timedelta(days=change.get("ahead", 0))
    given = {"number": change.get("number", 1), "signed_on": day}
    names = change.get("names", "Ada")
    assert said in refused(services.record_sign_offs, field, studio, by=teacher, names=names.splitlines(), **given)
    client.force_login(teacher)
    answer = client.post(address("sign_off_add"), {**given, "signed_on": day.isoformat(), "names": names})
    assert answer.status_code == 422
    assert said in words(answer)
    assert SignOff.objects.count() == 1


def test_a_version_that_does_not_exist_is_not_found(client, teacher, stranger, studio, address, version, today):
    client.force_login(teacher)
    for url in (address("rules_version", version.pk + 99), address("sign_off_add") + "?version=7"):
        answer = client.get(url)
        assert answer.status_code == 404
        assert "There is no such page" in words(answer)
    said = refused(
        services.record_sign_offs, "people", studio, by=teacher, number=1, signed_on=today, people=[stranger]
    )
    assert "is not in this studio" in said


def test_a_withdrawn_sign_off_no_longer_counts(client, studio, teacher, member, address, version, today):
    (made,) = services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, people=[member])
    client.force_login(teacher)
    client.post(address("sign_off_withdraw", made.pk), {"why": "Signed for somebody else."})
    assert "member" in queries.sign_off_list(version).unsigned
    page = words(client.get(address("rules_version", version.pk)))
    assert "by teacher: Signed for somebody else." in page
    services.record_sign_offs(studio, by=teacher, number=1, signed_on=today, people=[member])


# Incidents


def report(client, address, **values):
    sent = {"kind": "near miss", "happened_at": "2026-03-02T14:30", "what": "A rag felt warm."}
    return client.post(address("incident_add"), {**sent, **values}, follow=True)


def test_the_form_says_first_whom_to_call(client, student, address):
    client.force_login(student)
    page = client.get(address("incident_add")).content.decode()
    assert "call the emergency number first. This is a record." in page
    assert page.index("call the emergency number") < page.index('name="what"')


@pytest.mark.parametrize("role", [Role.STUDENT, Role.MEMBER, Role.TEACHER])
def test_only_keepers_and_the_reporter_read_a_report(client, studio, keeper, address, role):
    reporter, other = make_person(studio, role, "reporter"), make_person(studio, Role.TEACHER, "other")
    client.force_login(reporter)
    assert "The report is kept." in words(report(client, address))
    made = Incident.objects.get()
    assert "A rag felt warm." in words(client.get(address("incidents")))
    assert client.post(address("incident_note", made.pk), {"text": "It was my rag."}).status_code == 302

    client.force_login(other)
    assert client.get(address("incident", made.pk)).status_code == 404
    assert client.post(address("incident_note", made.pk), {"text": "x"}).status_code == 404
    assert client.post(address("incident_close", made.pk), {"text": "x"}).status_code == 403
    for page in (address("incidents"), address("records"), reverse("today", args=[studio.slug])):
        assert "A rag felt warm" not in words(client.get(page))

    client.force_login(keeper)
    assert "It was my rag." in words(client.get(address("incident", made.pk)))
    assert "A rag felt warm." in words(client.get(address("incidents")))


def test_a_report_is_closed_and_opened_again_with_a_note(client, keeper, address):
    client.force_login(keeper)
    report(client, address)
    made = Incident.objects.get()
    assert "nothing is entered. It is needed: fill it in." in words(
        client.post(address("incident_close", made.pk), {"text": ""})
    )
    page = words(client.post(address("incident_close", made.pk), {"text": "A can with a lid was bought."}, follow=True))
    assert "Closed" in page
    assert "A can with a lid was bought." in page
    assert "closed already" in words(client.post(address("incident_close", made.pk), {"text": "x"}))
    client.post(address("incident_reopen", made.pk), {"text": "The lid is gone."})
    made.refresh_from_db()
    assert made.closed_at is None
    assert made.notes.count() == 2


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"happened_at": "2999-01-01T10:00"}, "1 January 2999, 10:00 is in the future"),
        ({"happened_at": "yesterday"}, "Write day and time as 2026-03-31 14:30."),
        ({"what": " "}, "nothing is entered. It is needed: fill it in."),
        ({"kind": "fuss"}, "fuss"),
        ({"room": "gone"}, "Annexe was taken away on 3 February 2026"),
    ],
)
def test_what_a_report_refuses(client, member, address, gone, values, said):
    client.force_login(member)
    if "room" in values:
        values = {"room": gone.pk}
    answer = report(client, address, **values)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not Incident.objects.exists()


# The first page, and what it costs


def test_the_first_page_tells_what_is_overdue_and_names_nobody(studio, teacher, room, look, rule, container, today):
    assert list(queries.records_overdue(studio)) == []
    rule("eyewash", 7)
    rule("waste container", 10)
    rule("training", 30)
    look("eyewash", today - timedelta(days=9), room)
    look("rag can", today - timedelta(days=2), room, "needs work", note="The lid is bent.")
    services.make_version(studio, by=teacher, title="Rules", text="Lids on.")
    said = [one.sentence for one in queries.records_overdue(studio)]
    assert said == [
        f"Rag can in Painting room needs work since {services.day_words(today - timedelta(days=2))}: The lid is bent.",
        "Eyewash, Painting room: overdue by 2 days. The house's interval is 7 days.",
        "Waste container 1: overdue by 10 days. The house's interval is 10 days.",
        "2 people are overdue to sign the rules.",
    ]
    look("spill kit", today - timedelta(days=2), room, "needs work", note="Empty.")
    rule("extraction", 7, room)
    said = [one.sentence for one in queries.records_overdue(studio)]
    assert said[0] == "2 things need work: Rag can in Painting room and Spill kit in Painting room."
    assert said[1] == (
        "2 inspections are overdue: Eyewash, Painting room (overdue by 2 days) and "
        "Extraction, Painting room (never done)."
    )


def test_the_queries_do_not_grow_with_the_records(
    studio, keeper, teacher, rule, look, today, django_assert_num_queries
):
    rule("eyewash", 7)

    def fill(first, last):
        for number in range(first, last):
            place = Room.objects.create(studio=studio, name=f"Room {number}")
            RoomFacts.objects.create(room=place, eyewash="By the door")
            look("spill kit", today, place, "needs work", note="Empty.")
            services.open_waste(studio, by=keeper, contents="Oily rags", opened_on=today, room=place)
            version = services.make_version(studio, by=keeper, title="Rules", text=f"Text {number}")
            services.record_sign_offs(studio, by=teacher, number=version.number, signed_on=today, names=["Ada", "Bo"])

    fill(0, 1)
    with django_assert_num_queries(9):
        queries.everything(studio)
    fill(1, 8)
    with django_assert_num_queries(9):
        found = queries.everything(studio)
    assert len(found.needs_work) == len(found.waste) == 8


def test_the_demo_studio_keeps_records_of_each_kind(studio, keeper, teacher, member):
    demo_records.keep_records(studio, keeper, teacher, member, timezone.now())
    found = queries.everything(studio)
    assert [row.due.words for row in found.inspections if row.due.late] == ["overdue by 10 days"]
    assert len(found.needs_work) == 1
    assert {bool(one.full_on) for one in queries.waste(studio)} == {True, False}
    assert found.training.newest
    assert found.training.unsigned == []
    assert Incident.objects.get().kind == "near miss"
