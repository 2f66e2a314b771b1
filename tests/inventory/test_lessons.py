"""Lessons against the shelf, the house rules and each other; recorded in one deed; copied; what students brought."""

from datetime import UTC, date, datetime, time, timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory import services as ledger
from inventory.models import (
    Binder,
    BroughtTube,
    BuyingPolicy,
    Entry,
    Group,
    Lesson,
    Offer,
    OrderDay,
    Paint,
    Palette,
    PalettePaint,
    Place,
    Room,
    Supplier,
    Term,
    Want,
)
from inventory.queries.demand import LESSON_KEY, weekly_use
from inventory.queries.lessons.brought import brought
from inventory.queries.lessons.checked import coming, lacks, lesson_now, lessons_of
from inventory.queries.lessons.supplies import supply_list
from inventory.queries.lessons.terms import term_copy
from inventory.queries.lessons.today import lessons_near, lessons_unrecorded
from inventory.reading import LabelTexts
from inventory.services import lessons
from inventory.services.buying import add_substitute
from inventory.services.lessons import Plan
from inventory.services.paints import add_paint
from inventory.stock.coverage_rules import read_ground, read_rule
from safety.models import HouseRule, RuleKind
from studio.attention import Urgency

pytestmark = pytest.mark.django_db

KEY = "a-key-of-one-form-1234"


def at(days, hour=18):
    return timezone.make_aware(datetime.combine(timezone.localdate() + timedelta(days=days), time(hour)))


def now_of(studio, lesson):
    return lesson_now(studio, lessons_of(studio).get(pk=lesson.pk))


@pytest.fixture
def white(studio, keeper, place):
    """Titanium white: an open tube of 20 ml and two sealed ones of 40 ml, on the oil shelf."""
    paint = Paint.objects.create(studio=studio, name="Titanium White", binder=Binder.OIL)
    tubes = ledger.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, place=place, count=3)
    ledger.record_use(tubes[1], amount_milli=20_000, by=keeper)
    return paint


@pytest.fixture
def plan(studio, teacher):
    """Plan a lesson for ten in so many days with these paints at so many thousandths of a ml a head."""

    def make(days=7, paints=(), a_head=1_000, hour=18, **more):
        wanted = Plan("Greys", at(days, hour), more.pop("students", 10), **more)
        lesson = lessons.plan(studio, wanted, by=teacher, held_already=days < 0)
        lessons.set_paints(lesson, paints)
        lessons.set_amounts(lesson, {paint.pk: a_head for paint in paints})
        return lesson

    return make


@pytest.fixture
def children(studio):
    return Group.objects.create(studio=studio, name="Children of 7 to 12", children=True)


@pytest.fixture
def ban(studio, keeper, children, white):
    """Titanium white is not for children, by a rule of the house."""
    rule = HouseRule.objects.create(
        studio=studio,
        kind=RuleKind.BAN,
        text="No white for children",
        reach="item",
        values=[str(white.pk)],
        on_whose_word="the keepers",
        set_on=date(2026, 1, 5),
        recorded_by=keeper,
    )
    rule.groups.add(children)
    return rule


# --- short of what, and when to order


def test_what_runs_short_comes_with_the_last_day_to_order(studio, white, plan, keeper):
    day = timezone.localdate() + timedelta(days=60)
    shop = Supplier.objects.create(studio=studio, name="The shop", lead_days=10)
    offer = {"nominal_milli": 37_000, "currency": "EUR", "valid_from": date(2026, 1, 5), "item": white}
    Offer.objects.create(supplier=shop, name="White", price_minor=690, **offer)
    OrderDay.objects.create(studio=studio, on=timezone.localdate() + timedelta(days=20))
    OrderDay.objects.create(studio=studio, on=day)
    (short,) = now_of(studio, plan(60, [white], 22_000)).short
    assert (short.total_milli, short.there_milli, short.short_milli) == (220_000, 100_000, 120_000)
    assert short.when.by == day - timedelta(days=11)
    assert short.when.house_day == timezone.localdate() + timedelta(days=20)
    assert short.sentence.startswith("Titanium White runs short by 120 ml on ")
    assert "(delivery takes 10 days); the last order date before is " in short.sentence
    assert (short.buy.containers, short.buy.size_text) == (4, "37 ml")


def test_without_a_supplier_the_house_lead_time_counts_and_without_one_it_is_not_known(studio, white, plan):
    lesson = plan(60, [white], 22_000)
    assert "the lead time is not known" in now_of(studio, lesson).short[0].sentence
    BuyingPolicy.objects.create(studio=studio, default_lead_days=21)
    assert "(delivery takes 21 days)" in now_of(studio, lesson).short[0].sentence


def test_a_supplier_who_can_deliver_in_time_comes_before_a_cheaper_one(studio, white, plan):
    for name, lead, price in (("Slow", 30, 100), ("Quick", 3, 900)):
        supplier = Supplier.objects.create(studio=studio, name=name, lead_days=lead)
        Offer.objects.create(
            supplier=supplier, item=white, name=name, nominal_milli=37_000, price_minor=price, currency="EUR",
            valid_from=date(2026, 1, 5),
        )  # fmt: skip
    (short,) = now_of(studio, plan(10, [white], 22_000)).short
    assert short.buy.offer.supplier.name == "Quick"
    (short,) = now_of(studio, plan(50, [white], 22_000)).short
    assert short.buy.offer.supplier.name == "Slow"


def test_earlier_lessons_take_first_and_those_called_off_take_nothing(studio, white, plan):
    first, second = plan(5, [white], 6_000), plan(6, [white], 6_000)
    assert [one.short_milli for one in now_of(studio, second).short] == [20_000]
    assert lacks(studio, coming(studio))[0].short_milli == 20_000
    lessons.call_off(first, reason="Ill.")
    assert not now_of(studio, second).short


def test_a_lesson_takes_from_its_place_alone_and_never_from_what_is_dried_up(studio, white, plan, place, keeper):
    drawer = Place.objects.create(studio=studio, name="Drawer")
    assert now_of(studio, plan(5, [white], 1_000, place=drawer)).short[0].there_milli == 0
    ledger.examine(white.tubes.first(), condition="dried", by=keeper)
    assert now_of(studio, plan(6, [white], 1_000, place=place)).set_out[0].there_milli == 60_000


def test_students_who_bring_their_own_take_nothing(studio, white, plan):
    assert not now_of(studio, plan(5, [white], 90_000, students_bring=True)).short


# --- house rules


def test_what_a_rule_keeps_from_the_group_does_not_count_as_set_out(studio, white, children, ban, teacher):
    palette = Palette.objects.create(studio=studio, name="One", binder=Binder.OIL)
    PalettePaint.objects.create(palette=palette, position=1, item=white)
    lesson = lessons.plan(studio, Plan("Mud", at(3), 8, group=children, palette=palette), by=teacher)
    lessons.set_amounts(lesson, {white.pk: 90_000})
    now = now_of(studio, lesson)
    assert ([one.item.name for one in now.barred], now.set_out, now.short) == ([white.name], [], [])
    assert "house rule of 2026-01-05, decided by the keepers" in now.barred[0].bars[0].source
    (said,) = lessons_near(studio)
    assert said.urgency == Urgency.HARM
    assert "names what is not for Children of 7 to 12: Titanium White (No white for children)" in said.sentence
    adults = lessons.plan(studio, Plan("Mud", at(4), 8, palette=palette), by=teacher)
    assert now_of(studio, adults).barred == []


def test_it_cannot_be_ticked_either(studio, white, children, ban, teacher):
    lesson = lessons.plan(studio, Plan("Mud", at(3), 8, group=children), by=teacher)
    with pytest.raises(ValidationError, match="Titanium White is not for Children of 7 to 12: No white for children"):
        lessons.set_paints(lesson, [white])


# --- amounts a head


def test_history_is_the_mean_of_lessons_that_were_recorded(studio, white, plan, teacher):
    for days, used, students in ((-20, 20_000, 10), (-10, 24_000, 8)):
        lesson = plan(days, [white])
        lessons.record(lesson, {white.pk: used}, by=teacher, key=KEY, students=students)
    line = plan(5).paints
    lesson = lessons.plan(studio, Plan("Next", at(8), 12), by=teacher)
    lessons.set_paints(lesson, [white])
    line = lesson.paints.get()
    assert (line.a_head_milli, line.basis) == (2_500, "history")
    assert line.worked["words"].startswith("2.5 ml a head, the mean of 2 lessons (2 ml to 3 ml")


def test_a_rule_is_printed_with_its_source_and_shared_by_parts(studio, white, paint, plan):
    lesson = plan(5, [white, paint], students=20)
    words = lessons.amounts_by_rule(
        lesson,
        ground=read_ground("16x20 in"),
        coats=1,
        milli_per_m2=read_rule("1000 ml / 9.3 m2"),
        rule="1000 ml / 9.3 m2",
        source="a leaflet",
        parts={white.pk: 3, paint.pk: 1},
    )
    assert "= 0.44 l in all" in words
    shares = {line.item_id: line.a_head_milli for line in lesson.paints.all()}
    assert shares == {white.pk: 16_700, paint.pk: 5_600}, "22.2 ml a head in four parts, rounded up to 0.1 ml"
    assert lesson.paints.get(item=white).worked["source"] == "a leaflet"


# --- refused


def test_a_past_day_is_refused_unless_it_is_a_record(studio, teacher):
    past = datetime(2025, 3, 12, 18, tzinfo=UTC)
    with pytest.raises(ValidationError, match="12 March 2025 is over: enter a day to come"):
        lessons.plan(studio, Plan("Greys", past, 8), by=teacher)
    assert lessons.plan(studio, Plan("Greys", past, 8), by=teacher, held_already=True).pk
    with pytest.raises(ValidationError, match="still to come"):
        lessons.plan(studio, Plan("Greys", at(3), 8), by=teacher, held_already=True)


@pytest.mark.parametrize("students", [0, 500])
def test_nobody_or_a_crowd_is_refused(studio, teacher, students):
    with pytest.raises(ValidationError, match=f"Students: {students} cannot be"):
        lessons.plan(studio, Plan("Greys", at(3), students), by=teacher)


def test_a_palette_over_two_binders_is_refused(studio, white, teacher):
    acrylic = Paint.objects.create(studio=studio, name="Yellow Oxide", binder=Binder.ACRYLIC)
    palette = Palette.objects.create(studio=studio, name="Both", binder=Binder.OIL)
    for position, item in enumerate((white, acrylic)):
        PalettePaint.objects.create(palette=palette, position=position, item=item)
    with pytest.raises(ValidationError, match=r"several binders \(acrylic and oil\)"):
        lessons.plan(studio, Plan("Greys", at(3), 8, palette=palette), by=teacher)


def test_things_of_another_studio_or_taken_away_are_refused(studio, other_studio, teacher, white):
    far = Room.objects.create(studio=other_studio, name="Far")
    gone = Room.objects.create(studio=studio, name="Gone", removed_at=timezone.now())
    for room, said in ((far, "not one of this studio"), (gone, "was taken away meanwhile")):
        with pytest.raises(ValidationError, match=said):
            lessons.plan(studio, Plan("Greys", at(3), 8, room=room), by=teacher)
    far_paint = Paint.objects.create(studio=other_studio, name="Far White")
    lesson = lessons.plan(studio, Plan("Greys", at(3), 8), by=teacher)
    with pytest.raises(ValidationError, match="not one of this studio's paints"):
        lessons.set_paints(lesson, [far_paint])


def test_a_paint_archived_meanwhile_does_not_count(studio, white, plan):
    lesson = plan(3, [white], 90_000)
    Paint.objects.filter(pk=white.pk).update(archived_at=timezone.now())
    now = now_of(studio, lesson)
    assert (now.set_out, now.short, len(now.archived)) == ([], [], 1)
    assert now.words == "Off the lists: Titanium White"


def test_a_room_booked_twice_is_told_on_both(studio, plan, white):
    room = Room.objects.create(studio=studio, name="Painting room")
    first, second, third = (plan(3, [white], hour=hour, room=room) for hour in (16, 17, 20))
    assert [other.pk for other in now_of(studio, first).beside] == [second.pk]
    assert [other.pk for other in now_of(studio, second).beside] == [first.pk]
    assert not now_of(studio, third).beside


# --- recorded


def test_a_class_is_recorded_in_one_deed_open_tube_first_then_the_oldest(studio, white, plan, teacher):
    lesson = plan(-1, [white], 7_000)
    done = lessons.record(lesson, {white.pk: 70_000}, by=teacher, key=KEY, students=9)
    sealed, opened, last = white.tubes.order_by("pk")
    assert [entry.change_milli for entry in done.entries] == [-40_000, -20_000, -10_000]
    assert [(tube.balance_milli, tube.state) for tube in (sealed, opened, last)] == [
        (0, "open"), (0, "open"), (30_000, "open"),
    ]  # fmt: skip
    assert all(entry.key.startswith(f"{LESSON_KEY}{lesson.pk}-") for entry in done.entries)
    assert {timezone.localdate(entry.at) for entry in done.entries} == {timezone.localdate() - timedelta(days=1)}
    lesson.refresh_from_db()
    assert (lesson.state, lesson.students, lesson.paints.get().used_milli) == ("held", 9, 70_000)

    again = lessons.record(lesson, {white.pk: 70_000}, by=teacher, key=KEY, students=9)
    assert again.again
    assert Entry.objects.filter(key__startswith=LESSON_KEY).count() == 3
    with pytest.raises(ValidationError, match="was recorded already"):
        lessons.record(lesson, {white.pk: 1_000}, by=teacher, key="another-key-of-a-form-1")


def test_all_or_nothing(studio, white, paint, plan, teacher):
    lesson = plan(-1, [white, paint])
    with pytest.raises(ValidationError, match=r"Ultramarine Blue: 5 ml cannot be taken, .* hold 0 ml"):
        lessons.record(lesson, {white.pk: 10_000, paint.pk: 5_000}, by=teacher, key=KEY)
    lesson.refresh_from_db()
    assert (lesson.state, Entry.objects.filter(key__startswith=LESSON_KEY).exists()) == ("planned", False)


def test_a_record_is_taken_back_by_the_ledger_and_written_anew(studio, white, plan, teacher):
    lesson = plan(-1, [white])
    lessons.record(lesson, {white.pk: 70_000}, by=teacher, key=KEY)
    lessons.take_back(lesson, by=teacher)
    assert sorted(white.tubes.values_list("balance_milli", flat=True)) == [20_000, 40_000, 40_000]
    assert white.tubes.filter(state="sealed").count() == 2
    lesson.refresh_from_db()
    assert (lesson.state, lesson.paints.get().used_milli) == ("planned", None)
    lessons.record(lesson, {white.pk: 5_000}, by=teacher, key="another-key-of-a-form-1")
    assert sorted(white.tubes.values_list("balance_milli", flat=True)) == [15_000, 40_000, 40_000]


def test_a_correction_at_the_tube_is_told_and_taken_back_with_the_record(client, studio, white, plan, teacher):
    lesson = plan(-1, [white])
    (entry,) = lessons.record(lesson, {white.pk: 20_000}, by=teacher, key=KEY).entries
    correction = ledger.correct(entry, by=teacher, change_milli=-15_000, reason="Less was used.")
    client.force_login(teacher)
    told = []
    for _ in range(3):
        told.append(client.get(reverse("inventory:lesson", args=[studio.slug, lesson.pk])).content.decode())
        correction = ledger.undo(correction, by=teacher)
    told = ["Titanium White: written down as 20 ml, and 15 ml since a correction at the tube." in page for page in told]
    assert told == [True, False, True]
    lessons.take_back(lesson, by=teacher)
    assert sum(white.tubes.values_list("balance_milli", flat=True)) == 100_000


def test_a_chosen_tube_is_used_and_the_forecast_can_leave_lessons_out(studio, white, plan, teacher):
    tube = white.tubes.order_by("pk").last()
    lesson = plan(-15, [white])
    lessons.record(lesson, {white.pk: 10_000}, by=teacher, key=KEY, tubes={white.pk: tube.pk})
    tube.refresh_from_db()
    assert tube.balance_milli == 30_000
    with_it, without = weekly_use(studio), weekly_use(studio, without_lessons_of=[white.pk])
    assert sum(with_it.get((white.pk, "ml"), ())) - sum(without.get((white.pk, "ml"), ())) == 10_000


def test_a_lesson_to_come_or_called_off_cannot_be_recorded(studio, white, plan, teacher):
    with pytest.raises(ValidationError, match="can be written down from that day on"):
        lessons.record(plan(3, [white]), {white.pk: 1_000}, by=teacher, key=KEY)
    off = plan(0, [white])
    lessons.call_off(off)
    with pytest.raises(ValidationError, match="was called off"):
        lessons.record(off, {white.pk: 1_000}, by=teacher, key=KEY)


def test_a_lesson_that_is_over_asks_for_its_record(studio, white, plan, teacher):
    lesson = plan(-2, [white])
    (said,) = lessons_unrecorded(studio)
    assert said.sentence.startswith("What Greys used on ")
    lessons.record(lesson, {white.pk: 0}, by=teacher, key=KEY)
    assert not list(lessons_unrecorded(studio))


# --- repeated and copied


def test_a_course_is_repeated_weekly_at_the_same_time_by_the_clock_on_the_wall(studio, white, plan, teacher, settings):
    settings.TIME_ZONE = "Europe/Berlin"
    with timezone.override("Europe/Berlin"):
        lesson = plan(2, [white], 3_000)
        made, left_out = lessons.repeat(lesson, weeks=52, by=teacher)
        assert (len(made), left_out) == (52, [])
        assert {timezone.localtime(one.starts_at).time() for one in made} == {time(18)}
        assert len({one.starts_at.astimezone(UTC).time() for one in made}) == 2, "summer time begins and ends"
    assert {one.paints.get().a_head_milli for one in made} == {3_000}
    again, left_out = lessons.repeat(lesson, weeks=2, by=teacher)
    assert again == []
    assert "the course has a lesson there already" in left_out[0]


def test_a_term_is_copied_whole_weeks_on_without_what_is_gone(studio, white, paint, plan, teacher, place):
    monday = timezone.localdate() + timedelta(days=-timezone.localdate().weekday() + 7)
    term = Term.objects.create(studio=studio, name="Spring", starts_on=monday, ends_on=monday + timedelta(days=27))
    into = lessons.add_term(
        studio, name="Summer", starts_on=monday + timedelta(weeks=10), ends_on=monday + timedelta(weeks=12, days=6)
    )
    days = (monday - timezone.localdate()).days
    first = plan(days + 1, [white, paint], place=place, term=term)
    plan(days + 22, [white], term=term)
    Place.objects.filter(pk=place.pk).update(removed_at=timezone.now())
    Paint.objects.filter(pk=paint.pk).update(archived_at=timezone.now())
    seen = term_copy(term, into)
    assert seen.weeks == 10
    assert [line.notes for line in seen.copied] == [
        (
            "The place Oil shelf was taken away, so the copy is without it.",
            "Ultramarine Blue was taken off the lists, so the copy is without it.",
        )
    ]
    assert "lies outside Summer" in seen.left_out[0].left_out
    lessons.copy_term(term, into, by=teacher)
    copied = Lesson.objects.get(term=into)
    assert copied.starts_at - first.starts_at == timedelta(weeks=10)
    assert (copied.place, [line.item_id for line in copied.paints.all()]) == (None, [white.pk])
    assert lessons.copy_term(term, into, by=teacher).copied == []
    assert Lesson.objects.filter(term=into).count() == 1
    with pytest.raises(ValidationError, match="has 2 lessons, so it stays"):
        lessons.remove_term(term)


# --- what students bring


@pytest.fixture
def evening(studio, pigments, keeper, teacher):
    """A lesson that sets out white, ultramarine and a lemon yellow, in oil."""
    paints = [
        add_paint(studio, by=keeper, texts=LabelTexts(name, code), binder=Binder.OIL)
        for name, code in (("Titanium White", "PW6"), ("Ultramarine Blue", "PB29"), ("Hansa Yellow Light", "PY3"))
    ]
    lesson = lessons.plan(studio, Plan("Six", at(3), 12, course="Evening"), by=teacher)
    lessons.set_paints(lesson, [Paint.objects.get(pk=one.pk) for one in paints])
    lessons.set_amounts(lesson, {one.pk: 2_000 for one in paints})
    return lesson


BROUGHT = [
    ("Ultramarine PB29", "fits", "Ultramarine Blue"),
    ("French blue, PB 29", "fits", "Ultramarine Blue"),
    ("Phthalo blue PB15:3", "near", "Ultramarine Blue"),
    ("Lemon PY175", "near", "Hansa Yellow Light"),
    ("Burnt umber PBr7", "not in the palette", ""),
    ("Brilliant red", "unknown", ""),
    ("Ultramarine", "unknown", ""),
]


def test_what_was_brought_is_held_against_the_palette_by_code(studio, evening, member, children):
    """Same code, same pigment; a phthalocyanine blue is far from ultramarine (common practice, no source)."""
    lessons.add_brought(evening, [text for text, _, _ in BROUGHT], by=member, who="Osk")
    found = brought(studio, now_of(studio, evening))
    assert [(one.row.text, one.verdict.value, one.instead_of) for one in found] == BROUGHT
    assert not any(one.out for one in found)
    for one in found:
        if one.verdict.value == "near":
            assert "alone" in one.words
            assert one.mixtures
            assert all(words.startswith("Half and half with ") for words in one.mixtures)
    # What shows no code is unknown, and what is unknown is kept from children.
    Lesson.objects.filter(pk=evening.pk).update(group=children)
    out = {one.row.text: one.out for one in brought(studio, now_of(studio, evening)) if one.out}
    assert out["Brilliant red"] == "Children of 7 to 12: what is not known is kept from children."
    assert "Ultramarine" in out


def test_the_supply_list_names_codes_sizes_prices_and_substitutes(studio, evening, keeper):
    blue = Paint.objects.get(name="Ultramarine Blue")
    shop = Supplier.objects.create(studio=studio, name="The shop")
    for size, price, currency in ((15_000, 400, "EUR"), (37_000, 690, "EUR"), (37_000, 700, "GBP")):
        Offer.objects.create(
            supplier=shop, item=blue, name="Blue", nominal_milli=size, price_minor=price, currency=currency,
            valid_from=date(2026, 1, 5),
        )  # fmt: skip
    add_substitute(blue, words="French Ultramarine", codes="PB29", accepted=True, by=keeper)
    add_substitute(blue, words="Ultramarine hue", codes="PB15", accepted=False, by=keeper, why="Too strong.")
    lessons.repeat(evening, weeks=11, by=keeper)
    found = supply_list(studio, now_of(studio, evening))
    line = next(one for one in found.lines if one.name == "Ultramarine Blue")
    assert (line.codes, line.size) == ("PB29", "37 ml"), "12 lessons of 2 ml are more than 15 ml"
    assert line.prices == ((690, "EUR"), (700, "GBP")), "two small tubes would cost 8.00 EUR"
    assert line.accepted == ("French Ultramarine (PB29)",)
    assert line.refused == ("Ultramarine hue (PB15), too strong",)
    assert found.estimate.startswith("About 6.90 EUR and 7.00 GBP for one person, 2 of 3 without a known price")
    assert "12 lessons from" in found.about


# --- queries


def test_a_term_of_forty_lessons_is_checked_in_as_many_queries_as_one(
    studio, white, paint, plan, teacher, django_assert_num_queries, django_assert_max_num_queries
):
    first = plan(3, [white, paint], 9_000)
    with django_assert_max_num_queries(40) as few:
        assert len(coming(studio)) == 1
    lessons.repeat(first, weeks=39, by=teacher)
    with django_assert_num_queries(len(few)):
        assert len(coming(studio)) == 40


def test_the_first_page_asks_one_query_where_no_lesson_is_planned(studio, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert list(lessons_near(studio)) == []


# --- pages


@pytest.fixture
def address(studio):
    def build(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    return build


FORM = {"title": "Greys", "time": "18:30", "minutes": "120", "students": "12"}


def test_a_teacher_plans_chooses_gives_and_records(client, teacher, studio, white, address):
    client.force_login(teacher)
    answer = client.post(address("lesson_add"), {**FORM, "day": timezone.localdate().isoformat()})
    lesson = Lesson.objects.get()
    assert answer.url == address("lesson_paints", lesson.pk)
    assert "Titanium White" in client.get(answer.url).content.decode()
    client.post(answer.url, {"item": [white.pk]})
    client.post(address("lesson_amounts", lesson.pk), {f"amount_{white.pk}": "5 ml"})
    page = client.get(address("lesson", lesson.pk)).content.decode()
    assert "60 ml" in page
    record = client.get(address("lesson_record", lesson.pk))
    key = record.context["form"].initial["key"]
    sent = {"key": key, "students": "12", f"used_{white.pk}": "200 ml"}
    refused = client.post(address("lesson_record", lesson.pk), sent)
    assert refused.status_code == 422
    assert "Titanium White: 200 ml cannot be taken, the tubes of the studio hold 100 ml" in refused.content.decode()
    sent |= {"key": refused.context["form"].data["key"], f"used_{white.pk}": "55 ml"}
    for _ in range(2):
        assert client.post(address("lesson_record", lesson.pk), sent).url == address("lesson", lesson.pk)
    assert sum(white.tubes.values_list("balance_milli", flat=True)) == 45_000
    client.post(address("lesson_take_back", lesson.pk))
    assert sum(white.tubes.values_list("balance_milli", flat=True)) == 100_000


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"students": "0"}, "Students: 0 cannot be. Enter 1 to 400, or split the lesson."),
        ({"students": "500"}, "Students: 500 cannot be."),
        ({"day": "2025-03-12"}, "12 March 2025 is over: enter a day to come"),
        ({"day": "soon"}, "Day: “soon” is no day"),
        ({"time": "noonish"}, "Begins at: “noonish” is no time of the day. Enter it as 18:30."),
        ({"minutes": "2"}, "Minutes: 2 cannot be. Enter 5 to 1440."),
        ({"room": "999999"}, "Room: that one was taken away meanwhile"),
    ],
)
def test_what_cannot_be_is_refused_with_the_field_the_value_and_the_remedy(client, teacher, address, given, said):
    client.force_login(teacher)
    day = (timezone.localdate() + timedelta(days=3)).isoformat()
    answer = client.post(address("lesson_add"), {**FORM, "day": day, **given})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Lesson.objects.exists()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"ground": "16x20"}, "Each student covers: “16x20” has no unit"),
        ({"rule_text": "much"}, "Or type a rule: “much” is no rule."),
        ({"rule_text": ""}, "choose one of the house, or type one"),
        ({"source": ""}, "On whose word: say where the typed rule comes from"),
        ({"coats": "99"}, "Coats: 99 cannot be."),
    ],
)
def test_a_rule_is_refused_with_its_remedy(client, teacher, white, plan, address, given, said):
    client.force_login(teacher)
    lesson = plan(3, [white])
    sent = {"ground": "16x20 in", "coats": "1", "rule_text": "1000 ml / 9.3 m2", "source": "a leaflet"}
    sent |= {f"part_{white.pk}": "1", **given}
    answer = client.post(address("lesson_by_rule", lesson.pk), sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_one_tap_puts_what_is_short_on_the_list(client, teacher, white, plan, address):
    client.force_login(teacher)
    lesson = plan(30, [white], 22_000)
    page = client.get(address("lesson", lesson.pk)).content.decode()
    assert "Put 3 of 40 ml on the list" in page
    short = {"item": white.pk, "containers": 3, "size": "40 ml", "back": address("lesson", lesson.pk)}
    assert client.post(address("want"), short).url == address("lesson", lesson.pk)
    assert Want.objects.get().containers == 3
    assert "Put 3 of 40 ml" not in client.get(address("lesson", lesson.pk)).content.decode()


def test_what_is_set_out_is_kept_as_a_palette(client, teacher, white, paint, plan, address):
    client.force_login(teacher)
    lesson = plan(3, [white, paint])
    client.post(address("lesson_keep", lesson.pk), {"name": "Two"})
    lesson.refresh_from_db()
    assert [line.item_id for line in lesson.palette.paints.all()] == [white.pk, paint.pk]


def test_labels_are_typed_checked_and_removed(client, member, white, plan, address):
    client.force_login(member)
    lesson = plan(3, [white])
    client.post(address("lesson_brought", lesson.pk), {"text": "Zinc PW4\n\nBlue", "who": "Osk"})
    assert [row.text for row in BroughtTube.objects.all()] == ["Zinc PW4", "Blue"]
    assert "unknown" in client.get(address("lesson_brought", lesson.pk)).content.decode()
    client.post(address("lesson_brought", lesson.pk), {"remove": BroughtTube.objects.first().pk})
    assert BroughtTube.objects.count() == 1


def test_papers_of_a_lesson_are_files_in_both_sizes(client, student, studio, white, plan, address):
    client.force_login(student)
    lesson = plan(3, [white])
    for url in (address("lesson_supplies_pdf", lesson.pk), reverse("safety:lesson_pdf", args=[studio.slug, lesson.pk])):
        for paper in ("A4", "Letter"):
            answer = client.get(url, {"paper": paper})
            assert answer.content.startswith(b"%PDF"), url


def test_a_student_reads_and_plans_nothing(client, student, plan, white, address):
    client.force_login(student)
    lesson = plan(3, [white])
    assert client.get(address("lesson", lesson.pk)).status_code == 200
    assert client.get(address("lesson_record", lesson.pk)).status_code == 403
    assert client.post(address("terms"), {}).status_code == 403
    assert client.post(address("lesson_brought", lesson.pk), {"text": "x"}).status_code == 403


def test_the_chart_is_of_what_is_set_out_one_binder_at_a_time(client, teacher, studio, evening, address):
    """Without a palette too; what is off the lists by now is named on it and left out."""
    acrylic = add_paint(studio, by=teacher, texts=LabelTexts("Yellow Oxide", "PY42"), binder=Binder.ACRYLIC)
    oils = list(Paint.objects.filter(lesson_lines__lesson=evening))
    lessons.set_paints(evening, [*oils, Paint.objects.get(pk=acrylic.pk)])
    client.force_login(teacher)
    page = client.get(address("lesson", evening.pk)).content.decode()
    assert "Mixing chart, oil</a>" in page
    assert "Mixing chart, acrylic</a>" in page
    Paint.objects.filter(name="Hansa Yellow Light").update(archived_at=timezone.now())
    answer = client.get(address("lesson_chart_pdf", evening.pk), {"binder": "oil"})
    text = " ".join(PdfReader(BytesIO(answer.content)).pages[0].extract_text().split())
    assert "Mixing chart: Six" in text
    assert "Hansa Yellow Light: taken off the lists, so left out." in text
    assert "Yellow Oxide" not in text
    answer = client.get(address("lesson_chart_pdf", evening.pk), {"binder": "gouache"}, follow=True)
    assert "“gouache” is none of this lesson; these are oil and acrylic." in answer.content.decode()
    Paint.objects.update(archived_at=timezone.now())
    answer = client.get(address("lesson_chart_pdf", evening.pk), follow=True)
    assert "No paint of known colour is set out, so there is no chart to print." in answer.content.decode()


def test_what_has_no_amount_is_named_and_one_amount_serves_for_all(client, teacher, white, paint, plan, address):
    client.force_login(teacher)
    lesson = plan(3, [white, paint], 0)
    page = client.get(address("lesson", lesson.pk)).content.decode()
    said = f"not said yet of Titanium White, {paint.name}, so nobody can tell whether they will run short."
    assert f"How much a head is {said}" in page
    client.post(
        address("lesson_amounts", lesson.pk),
        {"each": "2 ml", f"amount_{white.pk}": "3 ml", f"amount_{paint.pk}": "0 ml"},
    )
    assert dict(lesson.paints.values_list("item", "a_head_milli")) == {white.pk: 3_000, paint.pk: 2_000}


def test_a_lesson_begins_with_what_the_palette_and_the_last_lesson_of_its_group_say(
    client, teacher, studio, plan, children, address
):
    plan(3, hour=10, group=children, minutes=90)
    palette = Palette.objects.create(
        studio=studio, name="Six", binder=Binder.OIL, group=children, asked={"people": "9"}
    )
    client.force_login(teacher)
    first = client.get(address("lesson_add"), {"palette": palette.pk}).context["form"].initial
    assert (first["students"], first["minutes"], first["time"], first["group"]) == ("9", 90, time(10), children.pk)


def test_what_is_kept_from_children_as_unknown_is_said_once_and_not_as_a_house_rule(studio, evening, children, ban):
    Lesson.objects.filter(pk=evening.pk).update(group=children)
    found = supply_list(studio, now_of(studio, evening))
    assert found.rules == "House rules for Children of 7 to 12: No white for children."
    assert found.children_words.endswith("what is not known is kept from children.")


def test_what_is_not_known_of_many_tubes_is_said_once_with_all_their_names(client, teacher, studio, evening, address):
    adults = Group.objects.create(studio=studio, name="Evening adults")
    Lesson.objects.filter(pk=evening.pk).update(group=adults)
    rule = HouseRule.objects.create(
        studio=studio, kind=RuleKind.BAN, text="H350 is for staff only", reach="code", values=["H350"],
        on_whose_word="the keepers", set_on=date(2026, 1, 5), recorded_by=teacher,
    )  # fmt: skip
    rule.groups.add(adults)
    client.force_login(teacher)
    page = client.get(address("lesson_paints", evening.pk)).content.decode()
    assert page.count("H350 is for staff only") == 1
    assert page.count('<span class="tag">not known</span>') == 3
    assert "): Hansa Yellow Light, Titanium White, Ultramarine Blue." in page
