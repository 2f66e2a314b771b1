"""House rules, groups, rooms, and who may use what: services, pages and questions to the database."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory import restrictions
from inventory.models import Group, Place, Room
from inventory.models.paint import MaterialKind
from inventory.models.pigment import Pigment
from inventory.services import groups as group_services
from inventory.services import rooms as room_services
from safety import services as records
from safety.models import HouseRule, InspectionSubject, RoomFacts, RuleKind
from safety.queries import house as rows
from safety.queries.allowed import may_use
from safety.queries.facts import house_of
from safety.queries.notices import State, standings
from safety.queries.papers import written_of
from safety.rules.house import FURTHER_INTERVALS
from safety.services.house import RuleInput, end_rule, replace_rule, set_room_facts, set_rule
from studio.attention import collect
from studio.home import SOURCES
from studio.models import Membership

pytestmark = pytest.mark.django_db
DAY = date(2026, 1, 12)
ONLY_AP = "Children under 13 use only what carries the seal AP"


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def children(studio):
    return group_services.add_group(studio, name="K-6", children=True)


@pytest.fixture
def adults(studio):
    return group_services.add_group(studio, name="Adults")


@pytest.fixture
def rule(studio, keeper):
    """Give a function that sets a rule."""

    def build(kind, reach="", values="", groups=(), text="Not for them", **more):
        given = RuleInput(kind, text, "the safety office", DAY, reach, values, groups, **more)
        return set_rule(studio, given, by=keeper)

    return build


def words(answer):
    return " ".join(answer.content.decode().split()).replace("&#x27;", "'")


def typed(**values):
    return {"text": "Not for them", "on_whose_word": "the safety office", "set_on": "2026-01-12", **values}


def seal(paint, by, letters):
    records.record_label_statement(paint, by=by, read_on=DAY, text="Conforms to ASTM D4236.", seal=letters)


def test_a_class_of_nine_year_olds_and_why_not_the_rest(
    client, student, keeper, address, studio, make_paint, children, rule
):
    """One tube carries CL, one no seal: both out, one for its seal, one as unknown; the words cite the house rule."""
    carrying, bare, approved = (make_paint(name, "PB29") for name in ("Blue CL", "Blue bare", "Blue AP"))
    seal(carrying, keeper, "CL")
    seal(approved, keeper, "AP")
    rule(RuleKind.BAN, "no seal", "AP", [children], text=ONLY_AP)
    answer = may_use(studio, children)
    assert [line.item.pk for line in answer.not_for] == [carrying.pk]
    assert [line.item.pk for line in answer.not_known] == [bare.pk]
    assert [line.item.pk for line in answer.no_rule] == [approved.pk]
    assert answer.not_known[0].kept_out
    client.force_login(student)
    page = words(client.get(address("may_use", children.pk)))
    free, rest = page.split("Not known, and therefore kept from children: 1")
    unknown, out = rest.split("Not for this group: 1")
    assert "No house rule catches these. That is not a finding of no hazard." in free
    assert "Blue AP" in free
    assert "No maker's data is recorded, so it is unknown, and what is unknown is kept from children." in unknown
    assert "Blue bare" in unknown
    assert "its label carries the seal CL, not AP" in out
    source = "Source: house rule of 2026-01-12, decided by the safety office, recorded by keeper."
    assert f"{ONLY_AP}. <strong>Why:</strong>" in out
    assert source in out


def test_the_class_list_is_printed_with_rule_and_source(
    client, student, stranger, keeper, address, studio, make_paint, children, rule
):
    carrying, _bare, approved = (make_paint(name, "PB29") for name in ("Blue CL", "Blue bare", "Blue AP"))
    seal(carrying, keeper, "CL")
    seal(approved, keeper, "AP")
    rule(RuleKind.BAN, "no seal", "AP", [children], text=ONLY_AP)
    client.force_login(student)
    url = address("group_pdf", children.pk)
    assert url in words(client.get(address("may_use", children.pk)))
    assert url in words(client.get(address("papers")))
    answer = client.get(url, {"paper": "Letter"})
    text = " ".join(PdfReader(BytesIO(answer.content)).pages[0].extract_text().split())
    for said in (
        "No house rule catches: 1",
        "Blue AP (oil)",
        "Not known, and therefore kept from children: 1",
        "Blue bare (oil)",
        "its label carries the seal CL, not AP",
        "decided by the safety office, recorded by keeper",
        "Local regulations, licensed practice",
    ):
        assert said in text, said
    assert client.get(url, {"paper": "A9"}).status_code == 404
    client.force_login(stranger)
    assert client.get(url).status_code == 404


def test_the_shelf_is_told_what_is_kept_from_whom(studio, keeper, make_paint, children, adults, rule):
    """The best one is cadmium and the class is K-6: it is caught, and the house rule is the source."""
    yellow, blue = make_paint("Cadmium Yellow", "PY37"), make_paint("Blue", "PB29")
    for one in (yellow, blue):
        records.record_sheet(one, by=keeper, product=one.name, read_on=DAY, h_codes="H302")
    rule(RuleKind.BAN, "metal", "cadmium; lead", [children], text="No cadmium or lead for K-6")
    found = restrictions.of_items(studio, children, [yellow, blue])
    (caught,) = found[yellow.pk]
    assert (caught.rule, caught.why, caught.forbids) == ("No cadmium or lead for K-6", "PY37 contains cadmium", True)
    assert "decided by the safety office" in caught.source
    assert blue.pk not in found
    assert restrictions.of_items(studio, adults, [yellow, blue]) == {}
    assert restrictions.of_items(studio, None, [yellow, blue]) == {}
    cadmium, ultramarine = (Pigment.objects.get(ci_name=code) for code in ("PY35", "PB29"))
    thought = restrictions.of_pigments(studio, children, [cadmium, ultramarine])
    assert thought[cadmium.pk][0].forbids
    assert thought[cadmium.pk][0].why == "PY35 contains cadmium"
    assert [(one.forbids, one.unknown) for one in thought[ultramarine.pk]] == [(False, True)]
    assert "read those of the very product" in thought[ultramarine.pk][0].why


def test_a_rule_for_everybody_holds_without_a_group(studio, make_material, rule):
    spirits = make_material("White spirit", MaterialKind.SOLVENT)
    rule(RuleKind.WARN, "form", ["solvent"], text="Only with the window open")
    (found,) = restrictions.of_items(studio, None, [spirits])[spirits.pk]
    assert (found.forbids, found.why) == (False, "it is a solvent")


def test_another_studio_s_rules_and_things_stay_there(studio, other_studio, stranger, make_paint, children, rule):
    blue = make_paint("Blue", "PB29")
    set_rule(other_studio, RuleInput(RuleKind.BAN, "None", "us", DAY, "everything"), by=stranger)
    assert restrictions.of_items(studio, None, [blue]) == {}
    rule(RuleKind.BAN, "everything")
    assert restrictions.of_items(other_studio, None, [blue]) == {}


BAD_INPUT = [
    ("ban", "code", {"values": "H35O"}, "values", "“H35O” is not a known H, EUH or P code. Did you mean H350?"),
    ("ban", "metal", {"values": "unobtanium"}, "values", "“unobtanium” is not a metal that is followed here."),
    ("ban", "metal", {"values": "cadmum"}, "values", "Did you mean cadmium?"),
    ("ban", "metal", {"values": "chromium"}, "values", "type Cr6, Cr3 or both"),
    ("ban", "pigment", {"values": "PX9"}, "values", "“PX9” is not in the pigment table"),
    ("ban", "seal", {"values": "C L!"}, "values", "“C L!” is not the letters of a seal"),
    ("ban", "everything", {"set_on": "2999-01-01"}, "set_on", "2999-01-01 is in the future"),
    ("ban", "everything", {"set_on": "yesterday"}, "set_on", "Write the date as 2026-03-31"),
    ("ban", "everything", {"on_whose_word": "  "}, "on_whose_word", "Say on whose word it holds"),
    ("ban", "everything", {"text": ""}, "text", "Write the rule in your house's own words"),
    ("ban", "everything", {"groups": "999999"}, "groups", "is not a group of this studio"),
    ("ban", "item", {"values": "999999"}, "values", "That is not on this studio's list"),
    ("ban", "form", {"values": "soup"}, "values", "soup"),
    ("interval", "", {"subject": "eyewash", "days": "0"}, "days", "enter a whole number of days, 1 or more"),
    ("interval", "", {"subject": "eyewash", "days": "7.5"}, "days", "Enter a whole number such as 3."),
    ("interval", "", {"subject": "", "days": "7"}, "subject", "nothing is chosen. Choose one of the list."),
    ("limit", "", {"subject": "white spirit", "amount": "lots"}, "amount", "lots"),
    ("limit", "", {"subject": "white spirit", "amount": "0 l"}, "amount", "Enter an amount above 0"),
    ("field", "", {"subject": "waste tag: telephone"}, "demanded", "nothing is chosen. Choose one of the list."),
    ("wording", "", {"subject": "dragons"}, "subject", "dragons"),
]


def test_bad_input_is_told_at_its_field(client, keeper, address, reference):
    client.force_login(keeper)
    for kind, reach, said, field, message in BAD_INPUT:
        url = f"{address('house_rule_add')}?kind={kind}&reach={reach.replace(' ', '+')}"
        answer = client.post(url, typed(**said))
        assert answer.status_code == 422, said
        assert message in " ".join(answer.context["form"].errors[field]), said
    assert not HouseRule.objects.exists()


def test_a_group_of_another_studio_is_refused_by_page_and_service(
    client, keeper, address, studio, other_studio, reference, rule
):
    strange = Group.objects.create(studio=other_studio, name="Theirs")
    client.force_login(keeper)
    url = f"{address('house_rule_add')}?kind=ban&reach=everything"
    answer = client.post(url, typed(groups=strange.pk))
    assert "is not a group of this studio" in " ".join(answer.context["form"].errors["groups"])
    with pytest.raises(ValidationError, match="Theirs is not a group of this studio"):
        rule(RuleKind.BAN, "everything", groups=[strange])
    strange_room = Room.objects.create(studio=other_studio, name="Loft")
    with pytest.raises(ValidationError, match="Loft is not a room of this studio"):
        rule(RuleKind.INTERVAL, subject="eyewash", days=7, room=strange_room)
    assert not HouseRule.objects.exists()


def test_a_form_asks_only_what_its_kind_needs(client, keeper, address, studio):
    client.force_login(keeper)
    page = words(client.get(address("house_rule_add")))
    assert "A seal keeps it from a group" in page
    asked = {
        "kind=ban&reach=seal": {"values", "groups"},
        "kind=ban&reach=no+data": {"groups"},
        "kind=interval": {"subject", "days"},
        "kind=limit": {"subject", "amount"},
        "kind=field": {"subject", "demanded"},
        "kind=wording": {"subject"},
    }
    for query, names in asked.items():
        form = client.get(f"{address('house_rule_add')}?{query}").context["form"]
        assert set(form.fields) == names | {"text", "room", "on_whose_word", "set_on"}, query
        assert not form.initial
        assert not any(field.initial for field in form.fields.values()), "nothing is filled in as if it were law"
    assert client.get(f"{address('house_rule_add')}?kind=ban&reach=moon").status_code == 404


def test_a_rule_is_set_replaced_and_ended_with_its_history(client, keeper, address, studio, children, reference):
    client.force_login(keeper)
    url = f"{address('house_rule_add')}?kind=ban&reach=metal"
    page = words(client.post(url, typed(values="cadmium, Pb", groups=children.pk), follow=True))
    assert "The rule is recorded: Not for them." in page
    first = HouseRule.objects.get()
    assert (first.values, list(first.groups.all())) == (["Cd", "Pb"], [children])
    assert "For K-6; a metal: cadmium, lead." in page
    assert "On whose word: the safety office. Recorded by keeper" in page

    form = client.get(address("house_rule_replace", first.pk)).context["form"]
    assert form.initial["values"] == "Cd; Pb"
    assert "set_on" not in form.initial
    early = client.post(address("house_rule_replace", first.pk), typed(values="Cd", set_on="2025-12-31"))
    assert "before the rule that it replaces was set" in words(early)
    said = typed(values="Cd", text="No cadmium", set_on="2026-02-01", groups=children.pk)
    page = words(client.post(address("house_rule_replace", first.pk), said, follow=True))
    second = HouseRule.objects.standing().get()
    assert (second.replaces, second.text) == (first, "No cadmium")
    assert "Ended: 1" in page
    assert "by keeper: “No cadmium”" in page
    again = client.post(address("house_rule_replace", first.pk), said)
    assert "This rule ended on" in words(again)

    asked = words(client.get(address("house_rule_end", second.pk)))
    assert "It will hold no more from now on" in asked
    assert HouseRule.objects.standing().count() == 1, "a look ends nothing"
    page = words(client.post(address("house_rule_end", second.pk), follow=True))
    assert "The rule holds no more and stays in the history" in page
    assert "Ended: 2" in page
    page = words(client.post(address("house_rule_end", second.pk), follow=True))
    assert "This rule ended on" in page


def test_a_replaced_rule_of_another_kind_is_refused(keeper, rule):
    older = rule(RuleKind.WORDING, subject="rags", text="Rags into the can")
    with pytest.raises(ValidationError, match="replaced by one of the same kind"):
        replace_rule(older, RuleInput(RuleKind.BAN, "x", "us", DAY, "everything"), by=keeper)


def test_no_interval_comes_with_the_program(client, student, address, studio, rule):
    client.force_login(student)
    page = words(client.get(address("house_rules")))
    several = page.count("not set: ask your safety office")
    assert several == len(InspectionSubject.values) - 1 + len(FURTHER_INTERVALS)  # all but "something else"
    assert "Add a rule" not in page
    rule(RuleKind.INTERVAL, subject="eyewash", days=7, text="Run the eyewash weekly")
    page = words(client.get(address("house_rules")))
    assert page.count("not set: ask your safety office") == several - 1
    assert "Eyewash: at least every 7 days." in page


@pytest.mark.parametrize("who", ["student", "member", "teacher"])
def test_only_a_keeper_decides(client, request, address, rule, children, who):
    standing = rule(RuleKind.BAN, "everything", groups=[children])
    client.force_login(request.getfixturevalue(who))
    assert client.post(f"{address('house_rule_add')}?kind=ban&reach=everything", typed()).status_code == 403
    assert client.post(address("house_rule_end", standing.pk)).status_code == 403
    assert client.post(address("house_rule_replace", standing.pk), typed()).status_code == 403
    assert client.post(address("groups"), {"name": "New"}).status_code == 403
    assert client.post(address("group_remove", children.pk)).status_code == 403
    assert client.get(address("house_rules")).status_code == 200
    assert HouseRule.objects.standing().count() == 1


def test_words_of_the_house_reach_the_notices_and_make_hung_ones_old(keeper, studio, make_paint, rule):
    blue = make_paint("Blue", "PB29")
    notice = records.make_notice(blue, by=keeper, page_url="https://paints.example/")
    records.hang(notice, where="door", by=keeper)
    assert [one.state for one in standings(studio)] == [State.CURRENT]
    words_of_house = rule(RuleKind.WORDING, subject="rags", text="Rags go into the steel can by the door.")
    (standing,) = standings(studio)
    assert standing.state is State.OUT_OF_DATE
    line = "house rule: Rags go into the steel can by the door. (set by the safety office, 2026-01-12)"
    assert line in standing.outdated[0].changed.new
    again = records.make_notice(blue, by=keeper, page_url="https://paints.example/")
    caution = next(one for one in again.content["cautions"] if one["key"].startswith("house:rags"))
    assert caution["source"] == "house rule, set by the safety office, 2026-01-12"
    end_rule(words_of_house, by=keeper)
    assert house_of(studio).rules == ()


def test_words_of_one_room_stay_in_it(studio, keeper, rule):
    room = room_services.add_room(studio, name="Store")
    set_room_facts(room, by=keeper, keeper="Ines", call="extension 4", first_aid="by the door")
    rule(RuleKind.WORDING, subject="rags", text="No rags in here", room=room)
    assert house_of(studio).rules == ()
    there = written_of(studio).house(room.pk)
    assert [one.text for one in there.rules] == ["No rags in here"]
    assert {one.role: one.number for one in there.contacts}["Responsible for this room"] == "Ines, extension 4"


def test_groups_are_added_changed_and_taken_away(client, keeper, address, studio, rule):
    client.force_login(keeper)
    page = words(client.get(address("groups")))
    assert "No group has a name yet" in page
    client.post(address("groups"), {"name": " 7 to 12 ", "children": "on"})
    group = Group.objects.get()
    assert (group.name, group.children) == ("7 to 12", True)
    twice = client.post(address("groups"), {"name": "7 to 12"})
    assert "already has a group of this name" in words(twice)
    client.post(address("group", group.pk), {"name": "Under 13", "children": "on", "note": "Saturdays"})
    group.refresh_from_db()
    assert (group.name, group.note) == ("Under 13", "Saturdays")
    standing = rule(RuleKind.BAN, "everything", groups=[group])
    page = words(client.post(address("group_remove", group.pk), follow=True))
    assert "1 house rule is about Under 13: end or replace it first." in page
    end_rule(standing, by=keeper)
    client.post(address("group_remove", group.pk))
    assert client.get(address("may_use", group.pk)).status_code == 404
    client.post(address("groups"), {"name": "Under 13", "children": "on"})
    assert Group.objects.get().removed_at is None


def test_rooms_hold_places_and_what_is_written_down(client, teacher, student, address, studio, place):
    client.force_login(teacher)
    client.post(address("rooms"), {"name": "Painting room"})
    room = Room.objects.get()
    client.post(address("room", room.pk), {"places": [place.pk]})
    place.refresh_from_db()
    assert place.room == room
    places = words(client.get(reverse("inventory:places", args=[studio.slug])))
    assert "Nothing stands here, in Painting room" in places
    page = words(client.get(address("room", room.pk)))
    assert page.count("not written down") == 12
    said = {"keeper": "Ines", "call": "extension 4711", "volume_m3": "84.5"}
    client.post(address("room_facts", room.pk), said)
    facts = RoomFacts.objects.get()
    assert (facts.keeper, facts.volume_litres, facts.fresh_air_litres_hour) == ("Ines", 84_500, None)
    client.force_login(student)
    page = words(client.get(address("room", room.pk)))
    assert page.count("not written down") == 9
    assert "84.5 m³" in page
    assert client.post(address("room", room.pk), {"places": []}).status_code == 403
    client.force_login(teacher)
    form = client.get(address("room_facts", room.pk)).context["form"]
    assert form.initial["volume_m3"] == "84.5"
    for stale in ({}, {"seen": "2026-01-12T09:00:00+00:00"}):
        lost = client.post(address("room_facts", room.pk), stale)
        assert "Other facts of Painting room are written down than this form was opened with." in words(lost)
    assert RoomFacts.objects.get().call == "extension 4711"
    less = {**said, "call": "", "seen": form.initial["seen"]}
    page = words(client.post(address("room_facts", room.pk), less, follow=True))
    assert "Written down for Painting room. Not written down any more: Whom to call." in page
    bad = client.post(address("room_facts", room.pk), {**said, "volume_m3": "-3"})
    assert "Volume in m³: -3 cannot be" in words(bad)
    page = words(client.post(address("room_remove", room.pk), follow=True))
    assert "1 place is in Painting room: put it elsewhere first." in page
    client.post(address("room", room.pk), {})
    client.post(address("room_rename", room.pk), {"name": "Upper room"})
    page = words(client.post(address("room_remove", room.pk), follow=True))
    assert "Upper room was taken away." in page
    client.post(address("rooms"), {"name": "Upper room"})
    room.refresh_from_db()
    assert room.removed_at is None


def test_a_place_of_another_studio_is_not_put_into_a_room(client, teacher, address, studio, place, other_studio):
    theirs = Place.objects.create(studio=other_studio, name="Their shelf")
    room = room_services.add_room(studio, name="Painting room")
    client.force_login(teacher)
    answer = client.post(address("room", room.pk), {"places": [theirs.pk]})
    assert "is not a place of this studio" in words(answer)
    with pytest.raises(ValidationError, match="Their shelf is not a place of this studio"):
        room_services.put_places(room, [theirs])


def test_the_safety_page_begins_with_what_is_missing(client, student, address, studio, children):
    client.force_login(student)
    page = words(client.get(address("safety")))
    assert "No house rule says what K-6 may not use." in page
    assert "No room has a name here" in page
    assert "The number for first aid here is not written down" in page
    assert "How often somebody looks is not set: ask your safety office." in page
    assert page.index("Missing, or no longer true") < page.index("The safety record")
    assert f'href="{address("house_rules")}"' in page


def test_the_first_page_asks_for_rules_for_children(studio, make_paint, children, adults, rule):
    make_paint("Blue", "PB29")
    (asked,) = rows.children_without_rules(studio)
    assert asked in collect(Membership(studio=studio, role="keeper"), SOURCES)
    rule(RuleKind.BAN, "seal", "CL", [adults])
    assert len(list(rows.children_without_rules(studio))) == 1
    rule(RuleKind.BAN, "seal", "CL", [children])
    assert list(rows.children_without_rules(studio)) == []


def test_a_date_of_today_is_taken(rule, studio, keeper):
    given = RuleInput(RuleKind.BAN, "None", "us", timezone.localdate(), "everything")
    assert set_rule(studio, given, by=keeper).pk
    given.set_on = timezone.localdate() + timedelta(days=1)
    with pytest.raises(ValidationError, match="is in the future"):
        set_rule(studio, given, by=keeper)


@pytest.mark.parametrize("count", [1, 30])
def test_pages_cost_the_same_for_any_number(
    client, keeper, address, many_paints, children, rule, django_assert_num_queries, count
):
    found = many_paints(count)
    for number in range(count):
        rule(RuleKind.BAN, "item", [str(found[number].pk)], [children], text=f"Rule {number}")
        room_services.add_room(found[0].studio, name=f"Room {number}")
    studio = found[0].studio
    with django_assert_num_queries(8):  # items 3, rules 1, facts 3, levels 1
        assert len(may_use(studio, children).not_for) == count
    with django_assert_num_queries(8):
        assert len(restrictions.of_items(studio, children, found)) == count
    pigments = list(Pigment.objects.all()[:count])
    with django_assert_num_queries(2):
        assert len(restrictions.of_pigments(studio, children, pigments)) == count
    client.force_login(keeper)
    with django_assert_num_queries(6):  # session, user, membership; rules, their groups, the things that they name
        client.get(address("house_rules"))
    with django_assert_num_queries(5):
        client.get(address("rooms"))
    with django_assert_num_queries(12):
        client.get(address("may_use", children.pk))
    assert list(rows.children_without_rules(studio)) == []
