"""What may fade: stocks, works, and the studio's own window tests."""

import re
from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory import services
from inventory.models import Binder, Confidence, LightReading, LightTest, Paint, PaintPigment, Pigment, Work
from inventory.queries.lasting import watched
from inventory.queries.window_tests import test_now as now
from inventory.services import lasting

pytestmark = pytest.mark.django_db
BEGAN = date(2026, 3, 2)


def words_of(response):
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))
    return text.replace("&#x27;", "'").replace("&quot;", '"')


def make_paint(studio, keeper, name, code="", astm="", *, stocked=True, **label):
    paint = Paint.objects.create(studio=studio, name=name, binder=Binder.OIL, **label)
    if code:
        pigment, _ = Pigment.objects.get_or_create(
            ci_name=code, defaults={"lightfastness_astm": astm, "confidence": Confidence.PUBLISHED}
        )
        PaintPigment.objects.create(paint=paint, position=1, code=code, pigment=pigment)
    if stocked:
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    return paint


@pytest.fixture
def paint(studio, keeper):
    return make_paint(studio, keeper, "Alizarin Crimson", "PR83", "IV")


@pytest.fixture
def window(studio, paint, teacher):
    return lasting.start_test(
        studio, paint=paint, by=teacher, started_on=BEGAN, text="40, 50, 20", illuminant="D65", observer="10"
    )


def read(test, teacher, on=date(2026, 5, 4), text="44, 50, 23", exposure="hours", amount=400, **more):
    given = {"illuminant": "D65", "observer": "10", **more}
    return lasting.add_reading(test, by=teacher, on=on, text=text, exposure=exposure, amount=amount, **given)


# The watch


def test_scales_are_kept_apart_and_unknown_apart_from_both(client, studio, keeper, student, paint):
    make_paint(
        studio, keeper, "Wool Red", lightfastness="2", lightfastness_scale="blue-wool", lightfastness_text="LF 2"
    )
    make_paint(studio, keeper, "Nobody Knows")
    make_paint(studio, keeper, "Lasting Blue", "PB29", "I")
    make_paint(studio, keeper, "Used Up Pink", "PR122", "IV", stocked=False)
    watch = watched(studio)
    assert [(one.paint.name, one.words) for one in watch.astm] == [("Alizarin Crimson", "ASTM IV, common for PR83")]
    assert [(one.paint.name, one.words) for one in watch.blue_wool] == [("Wool Red", "blue wool 2, its label: LF 2")]
    assert ([paint.name for paint in watch.unknown], watch.others) == (["Nobody Knows"], 1)
    client.force_login(student)
    words = words_of(client.get(reverse("inventory:lasting", args=[studio.slug])))
    assert "2 paints in stock may fade. Of 1 it is not known." in words
    assert "Used Up Pink" not in words


def test_the_weakest_come_first(studio, keeper):
    for name, astm in (("Three", "III"), ("Five", "V"), ("Four", "IV")):
        make_paint(studio, keeper, name, f"PR{len(name)}{astm}", astm)
    assert [one.paint.name for one in watched(studio).astm] == ["Five", "Four", "Three"]


def test_the_watch_costs_the_same_for_any_number_of_paints(studio, keeper, paint, django_assert_num_queries):
    for number in range(20):
        make_paint(studio, keeper, f"Red {number}", f"PR{300 + number}", "IV")
    with django_assert_num_queries(4):  # tubes a paint, paints, their lines, the pigments
        assert watched(studio).paints == 21


# Window tests


def test_a_course_is_rated_and_shown_as_a_test_of_the_studio(client, studio, window, teacher, student):
    """Worked by hand: 4, 0, 3 is 5.0, class II; 1.645 times the root of 0.5² + 0.5² is 1.16."""
    read(window, teacher)
    client.force_login(student)
    words = words_of(client.get(reverse("inventory:light_test", args=[studio.slug, window.pk])))
    assert "moved by 5.0 ± 1.2 (CIE 1976) after 63 days, 400 hours of daylight" in words
    assert "class I to II so far, still in the window" in words
    assert "no ASTM rating" in words
    assert "1260 MJ/m²" in words
    assert "Write a reading down" not in words


def test_hex_stays_rough_and_munsell_is_read(studio, paint, teacher):
    rough = lasting.start_test(studio, paint=paint, by=teacher, started_on=BEGAN, text="#a02030")
    assert now(rough).rough
    munsell = lasting.start_test(studio, paint=paint, by=teacher, started_on=BEGAN, text="5R 4/12")
    assert (munsell.given["notation"], munsell.given["text"], munsell.given["rough"]) == ("Munsell", "5R 4/12", False)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"on": date(2026, 3, 1)}, "on", "1 March 2026 is before the test began on 2 March 2026"),
        ({"on": date(2026, 4, 1)}, "on", "1 April 2026 is before the last reading of 4 May 2026"),
        ({"text": "167, 50, 20"}, "text", "L* is 167, but lightness runs from 0 (black) to 100 (white)"),
        ({"text": " "}, "text", "Enter the colour"),
        ({"illuminant": ""}, "illuminant", "illuminant"),
        ({"exposure": "blue wool", "amount": 9}, "amount", "no blue wool reference 9"),
        ({"amount": 0}, "amount", "0 hours is no exposure"),
        ({"amount": 300}, "amount", "300 hours is less than the 400 hours of 4 May 2026"),
        ({"exposure": "sun"}, "exposure", "“sun” is no way to tell the exposure"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_with_field_value_and_remedy(window, teacher, change, field, words):
    read(window, teacher)
    given = {"on": date(2026, 6, 1), "text": "45, 45, 20", "amount": 600, **change}
    with pytest.raises(ValidationError) as refused:
        read(window, teacher, **given)
    assert words in " ".join(refused.value.message_dict[field])
    assert LightReading.objects.count() == 1


def test_a_test_sent_twice_keeps_one_reading(window, teacher):
    read(window, teacher)
    with pytest.raises(ValidationError, match="This very reading of 4 May 2026 is there already"):
        read(window, teacher)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"text": "167, 0, 0"}, "L* is 167"),
        ({"on": "1999-01-01"}, "is before the test began"),
        ({"on": "someday"}, "Day: “someday” is no day"),
        ({"amount": "0"}, "0 hours is no exposure"),
        ({"amount": "lots"}, "“lots”"),
        ({"exposure": "blue wool", "amount": "9"}, "no blue wool reference 9"),
    ],
)
def test_bad_input_is_told_on_the_page_and_kept_in_the_form(client, studio, window, teacher, data, words):
    client.force_login(teacher)
    good = {"on": "2026-05-04", "text": "44, 50, 23", "illuminant": "D65", "observer": "10"}
    sent = {**good, "exposure": "hours", "amount": "400", **data}
    page = client.post(reverse("inventory:light_test", args=[studio.slug, window.pk]), sent)
    assert page.status_code == 422
    assert words in words_of(page)
    assert f'value="{sent["text"]}"' in page.content.decode()


def test_another_studios_paint_is_refused(client, studio, other_studio, stranger, teacher):
    theirs = make_paint(other_studio, stranger, "Theirs")
    client.force_login(teacher)
    sent = {"paint": theirs.pk, "started_on": "2026-03-02", "text": "40, 50, 20", "illuminant": "D65", "observer": "10"}
    page = client.post(reverse("inventory:light_tests", args=[studio.slug]), sent)
    assert "This is not one of this studio's paints" in words_of(page)
    with pytest.raises(ValidationError, match="is not one of this studio's paints"):
        lasting.start_test(studio, paint=theirs, by=teacher, started_on=BEGAN, text="#112233")
    assert not LightTest.objects.exists()


def test_a_test_begun_tomorrow_is_refused(studio, paint, teacher):
    with pytest.raises(ValidationError, match="is still to come"):
        lasting.start_test(
            studio, paint=paint, by=teacher, started_on=timezone.localdate() + timedelta(days=1), text="#112233"
        )


def test_the_whole_way_through_the_pages(client, studio, paint, teacher):
    client.force_login(teacher)
    sent = {"paint": paint.pk, "started_on": "2026-03-02", "text": "40, 50, 20", "illuminant": "D65", "observer": "10"}
    page = client.post(reverse("inventory:light_tests", args=[studio.slug]), sent, follow=True)
    assert "The window test of Alizarin Crimson has begun" in words_of(page)
    test = LightTest.objects.get()

    def send(name, **data):
        return words_of(client.post(reverse(f"inventory:{name}", args=[studio.slug, test.pk]), data, follow=True))

    reading = {"text": "44, 50, 23", "illuminant": "D65", "observer": "10", "exposure": "hours"}
    assert "The reading is kept." in send("light_test", on="2026-04-01", amount="150", **reading)
    assert "The reading is kept." in send("light_test", on="2026-05-01", amount="330", **reading)
    later = LightReading.objects.latest("pk")
    assert "The reading is withdrawn" in send("light_reading", reading=later.pk)
    assert "The reading stands again" in send("light_reading", reading=later.pk, do="bring-back")
    assert "belongs to another test" in send("light_reading", reading="99999")
    assert "did not end on 2 April 2026" in send("light_test_end", on="2026-04-02")
    assert "taken out of the window" in send("light_test_end", on="2026-05-10")
    refused = send("light_test", on="2026-05-20", amount="400", **reading)
    assert "The test ended on 10 May 2026" in refused
    assert "The test goes on." in send("light_test_end", do="go-on")
    assert "The test is withdrawn" in send("light_test_withdraw")
    assert "This test was withdrawn" in send("light_test", on="2026-05-20", amount="400", **reading)
    assert "The test stands again." in send("light_test_bring_back")


def test_a_reading_that_contradicts_what_stands_by_now_is_not_brought_back(window, teacher):
    first = read(window, teacher, amount=400)
    lasting.withdraw_reading(window, first.pk)
    read(window, teacher, on=date(2026, 6, 1), amount=300, text="46, 50, 20")
    with pytest.raises(ValidationError, match="300 hours is less than the 400 hours"):
        lasting.bring_back_reading(window, first.pk)


def test_the_list_of_tests_costs_the_same_for_any_number(
    client, studio, paint, teacher, window, django_assert_max_num_queries
):
    for number in range(12):
        more = lasting.start_test(studio, paint=paint, by=teacher, started_on=BEGAN, text=f"#1122{number + 10}")
        for day in range(4):
            read(more, teacher, on=BEGAN + timedelta(days=day + 20), amount=day * 9 + 9, text=f"{40 + day}, 50, 20")
    client.force_login(teacher)
    with django_assert_max_num_queries(9):
        client.get(reverse("inventory:light_tests", args=[studio.slug]))


# Works


def test_a_work_names_what_of_it_may_fade(client, studio, keeper, member, paint):
    unknown = make_paint(studio, keeper, "Nobody Knows")
    good = make_paint(studio, keeper, "Lasting Blue", "PB29", "I")
    client.force_login(member)
    sent = {"title": "Roses by the window", "made_on": "2026-02-01", "items": [paint.pk, unknown.pk, good.pk]}
    page = words_of(client.post(reverse("inventory:works", args=[studio.slug]), sent, follow=True))
    assert "May fade: Alizarin Crimson (ASTM IV, common for PR83)" in page
    assert "Not known how it lasts: Nobody Knows." in page
    work = Work.objects.get()
    changed = {"title": "Roses", "items": [good.pk]}
    page = words_of(client.post(reverse("inventory:work", args=[studio.slug, work.pk]), changed, follow=True))
    assert "None of its paints is known to fade." in page
    assert "is off the list" in words_of(
        client.post(reverse("inventory:work_remove", args=[studio.slug, work.pk]), follow=True)
    )
    assert "is on the list again" in words_of(
        client.post(reverse("inventory:work_bring_back", args=[studio.slug, work.pk]), follow=True)
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"title": ""}, "nothing is entered. It is needed: fill it in."),
        ({"made_on": "2999-01-01"}, "1 January 2999 is still to come"),
        ({"items": []}, "nothing is chosen. Choose at least one."),
        ({"items": ["999999"]}, "999999 is not one of this studio's paints"),
        ({"items": ["x"]}, "x is no paint"),
    ],
)
def test_a_work_that_cannot_be_is_refused(client, studio, member, paint, change, words):
    client.force_login(member)
    sent = {"title": "Roses", "items": [paint.pk], **change}
    page = client.post(reverse("inventory:works", args=[studio.slug]), sent)
    assert page.status_code == 422
    assert words in words_of(page)
    assert not Work.objects.exists()


def test_a_work_of_another_studios_paint_is_refused(studio, other_studio, stranger, member):
    theirs = make_paint(other_studio, stranger, "Theirs")
    with pytest.raises(ValidationError, match="Theirs is not one of this studio's paints"):
        lasting.add_work(studio, by=member, title="Roses", items=[theirs])


def test_works_cost_the_same_for_any_number(client, studio, paint, member, django_assert_max_num_queries):
    for number in range(15):
        lasting.add_work(studio, by=member, title=f"Work {number}", items=[paint])
    client.force_login(member)
    with django_assert_max_num_queries(22):
        client.get(reverse("inventory:works", args=[studio.slug]))
