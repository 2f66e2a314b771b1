"""What happened, by person and place, and stock over time."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from inventory import services
from inventory.models import Paint, Place
from inventory.queries.history import course_of_studio, courses_of, happened
from inventory.stock.over_time import at_end_of_months, level_on, levels, step_plot

A, B, C = date(2026, 1, 5), date(2026, 1, 20), date(2026, 3, 2)


def test_the_level_of_a_day_is_the_sum_up_to_it():
    assert levels([(A, 100), (A, 50), (B, -30), (C, -120)]) == [(A, 150), (B, 120), (C, 0)]
    assert levels([(A, 100), (B, -30), (C, 5)], since=B) == [(B, 70), (C, 75)]
    assert levels([]) == []


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(-1000, 1000)), max_size=40), st.integers(0, 420))
def test_any_day_s_level_is_the_sum_of_what_came_before(changes, day):
    ordered = [(A + timedelta(days=days), change) for days, change in sorted(changes)]
    asked = A + timedelta(days=day)
    assert level_on(levels(ordered), asked) == sum(change for on, change in ordered if on <= asked)


def test_months_end_where_the_calendar_says():
    points = [(A, 150), (B, 120), (C, 90)]
    assert at_end_of_months(points, date(2026, 3, 10)) == [
        (date(2026, 3, 10), 90),
        (date(2026, 2, 28), 120),
        (date(2026, 1, 31), 120),
    ]
    assert at_end_of_months([], A) == []


def test_a_plot_steps_on_the_day_and_ends_today():
    drawing = step_plot({"Ochre": [(A, 0), (B, 100_000)]}, "ml", until=B + timedelta(days=15))
    points = [tuple(map(float, point.split(","))) for point in drawing.lines[0].points.split()]
    across, down = zip(*points, strict=True)
    assert list(across) == sorted(across)
    # Half of the days lie before the step; the highest level is at the top.
    assert points[-1][1] == min(down)
    assert points[2][0] == pytest.approx((points[0][0] + points[-1][0]) / 2, abs=0.1)
    assert drawing.top_words == "100 ml"


def test_a_plot_of_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one point"):
        step_plot({}, "ml", until=A)


def at(days_ago):
    return timezone.now() - timedelta(days=days_ago)


@pytest.mark.django_db
def test_a_place_tells_what_came_what_left_and_what_was_done_there(studio, tube, keeper, member, place):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    services.record_use(tube, amount_milli=5_000, by=member)
    services.move(tube, place=sink, by=keeper)
    services.record_use(tube, amount_milli=2_000, by=member)
    assert [line.words for line in happened(studio, place=place).lines] == [
        "Moved to Sink shelf",
        "Used: 5 ml",
        "Received: 37 ml",
    ]
    assert [line.words for line in happened(studio, place=sink).lines] == ["Used: 2 ml", "Moved to Sink shelf"]
    assert [line.words for line in happened(studio, by=member).lines] == ["Used: 2 ml", "Used: 5 ml"]
    assert [line.words for line in happened(studio, by=keeper, kind="moved").lines] == ["Moved to Sink shelf"]


@pytest.mark.django_db
def test_a_day_is_that_of_the_deed(studio, tube, member):
    services.record_use(tube, amount_milli=1_000, by=member, at=datetime(2026, 3, 2, 23, 30, tzinfo=UTC))
    assert len(happened(studio, day=date(2026, 3, 2)).lines) == 1
    assert happened(studio, day=date(2026, 3, 3)).lines == []


@pytest.mark.django_db
def test_pages_follow_one_another(studio, tube, member):
    for _ in range(5):
        services.record_use(tube, amount_milli=1_000, by=member)
    first = happened(studio, by=member, limit=3)
    second = happened(studio, by=member, limit=3, before=first.older)
    pks = [line.entry.pk for page in (first, second) for line in page.lines]
    assert pks == sorted(pks, reverse=True)
    assert (len(pks), second.older) == (5, None)


@pytest.mark.django_db
def test_the_pages_cost_the_same_for_any_number_of_entries(
    client, member, keeper, studio, tube, django_assert_num_queries
):
    client.force_login(member)
    person = member.memberships.get()
    pages = {
        reverse("inventory:person_history", args=[studio.slug, person.pk]): 5,
        reverse("inventory:place_history", args=[studio.slug, tube.place_id]): 5,
        # Session, user, membership; the item, its entries, use in two, the entries of the weeks.
        reverse("inventory:item_history", args=[studio.slug, tube.item_id]): 8,
        # Session, user, membership; entries, use in two, binders.
        reverse("inventory:stock_history", args=[studio.slug]): 7,
    }
    services.record_use(tube, amount_milli=1_000, by=member, at=at(20))
    for url, queries in pages.items():
        with django_assert_num_queries(queries):
            assert client.get(url).status_code == 200
    for number in range(12):
        paint = Paint.objects.create(studio=studio, name=f"Paint {number}", binder="acrylic")
        new = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, at=at(100))[0]
        services.record_use(new, amount_milli=1_000, by=member, at=at(10 + number))
        services.record_use(tube, amount_milli=1_000, by=member, at=at(10 + number))
    for url, queries in pages.items():
        with django_assert_num_queries(queries):
            assert client.get(url).status_code == 200


@pytest.mark.django_db
def test_stock_over_time_ends_at_the_balance(studio, paint, keeper, member):
    first, second = services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, count=2, at=at(60))
    services.record_use(first, amount_milli=15_000, by=member, at=at(40))
    wrong = services.record_use(second, amount_milli=30_000, by=member, at=at(30))
    services.correct(wrong, by=member, change_milli=-3_000, reason="A slip.", at=at(29))
    course = courses_of(paint)[0]
    assert course.months[0][1] == "62 ml"
    assert course.use is not None
    assert sum(week.used_milli for week in course.weeks) == 18_000
    whole = course_of_studio(studio)[0]
    assert whole.labels == ("Oil",)
    assert whole.months[0][1] == (("Oil", "62 ml"),)


@pytest.mark.django_db
def test_binders_are_kept_apart_and_units_never_added(client, studio, paint, keeper, member):
    services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, at=at(60))
    other = Paint.objects.create(studio=studio, name="Yellow", binder="acrylic")
    services.receive(studio, other, nominal_milli=60_000, unit="ml", by=keeper, at=at(30))
    services.receive(studio, other, nominal_milli=500_000, unit="g", by=keeper, at=at(30))
    by_unit = {course.unit: course for course in course_of_studio(studio)}
    assert by_unit["ml"].months[0][1] == (("Acrylic", "60 ml"), ("Oil", "40 ml"))
    assert by_unit["g"].months[0][1] == (("Acrylic", "500 g"),)
    client.force_login(member)
    html = client.get(reverse("inventory:stock_history", args=[studio.slug])).content.decode()
    assert "A: Acrylic; B: Oil." in html


@pytest.mark.django_db
def test_a_student_does_not_read_what_one_person_did(client, student, member, studio):
    client.force_login(student)
    url = reverse("inventory:person_history", args=[studio.slug, member.memberships.get().pk])
    assert client.get(url).status_code == 403


@pytest.mark.django_db
def test_a_wrong_day_is_told_and_narrows_nothing(client, member, studio, tube):
    client.force_login(member)
    url = reverse("inventory:place_history", args=[studio.slug, tube.place_id])
    html = client.get(url, {"day": "yesterday", "before": "x"}).content.decode()
    assert "This is no day such as 2026-03-31" in html
    assert "Ultramarine Blue, no. 1" in html
