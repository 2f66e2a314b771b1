"""What to order, from the ledger to the page."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import services
from inventory.models import (
    Binder,
    BuyingPolicy,
    Condition,
    Entry,
    Lesson,
    LessonPaint,
    Offer,
    OrderDay,
    Paint,
    ReorderLevel,
    Supplier,
    Tube,
)
from inventory.queries.demand import monday, week_of, weekly_use
from inventory.queries.levels import levels
from inventory.queries.reorder import reorder_advice, weeks_of, what_is_short
from inventory.services.levels import set_level

pytestmark = pytest.mark.django_db

MONDAY = date(2026, 11, 23)
# Long enough ago for half a year of weeks, on a Wednesday.
WEEKS = 26


@pytest.fixture
def white(studio, keeper):
    return Paint.objects.create(studio=studio, name="Titanium White", binder=Binder.OIL)


@pytest.fixture
def used(studio, keeper, white):
    """Half a year of use: 10 ml every Wednesday but for the first four weeks, out of tubes of 150 ml."""
    today = timezone.localdate()
    start = datetime.combine(monday(week_of(today) - WEEKS) + timedelta(days=2), datetime.min.time(), UTC)
    start += timedelta(hours=12)
    tubes = services.receive(studio, white, nominal_milli=150_000, unit="ml", by=keeper, count=3, at=start)
    for week in range(4, WEEKS):
        tube = tubes[0] if week < 18 else tubes[1]
        services.record_use(tube, amount_milli=10_000, by=keeper, at=start + timedelta(weeks=week))
    return tubes


def test_weeks_begin_on_mondays():
    assert monday(week_of(MONDAY)) == MONDAY
    assert monday(week_of(MONDAY + timedelta(days=6))) == MONDAY
    assert week_of(MONDAY - timedelta(days=1)) == week_of(MONDAY) - 1


def test_use_is_counted_by_week_from_the_first_delivery_on(studio, white, used):
    assert weekly_use(studio) == {(white.pk, "ml"): (0,) * 4 + (10_000,) * (WEEKS - 4)}


def test_a_correction_counts_in_the_week_of_what_it_corrects(studio, keeper, white, used):
    entry = Entry.objects.filter(kind="used").earliest("pk")
    services.correct(entry, by=keeper, change_milli=-4_000, reason="Typed 10 for 4.")
    assert weekly_use(studio)[white.pk, "ml"][4] == 4_000
    taken_back = services.undo(Entry.objects.filter(kind="used").order_by("pk")[1], by=keeper)
    assert weekly_use(studio)[white.pk, "ml"][5] == 0
    again = services.undo(taken_back, by=keeper)
    assert weekly_use(studio)[white.pk, "ml"][5] == 10_000
    latest = services.undo(again, by=keeper)
    weeks = weekly_use(studio)[white.pk, "ml"]
    assert weeks[5] == 0
    of_that_day = monday(week_of(timezone.localdate()) - WEEKS + 5)
    (week,) = [each for each in weeks_of(white, "ml", weeks) if each.monday == of_that_day]
    assert (week.used_milli, len(week.entries)) == (0, 4)
    for _ in range(3):  # however often it is undone and done again
        latest = services.undo(services.undo(latest, by=keeper), by=keeper)
    assert weekly_use(studio)[white.pk, "ml"] == weeks


def test_a_member_s_older_tube_does_not_begin_the_studio_s_history(studio, keeper, member, white, used):
    before = weekly_use(studio)
    services.receive(
        studio, white, nominal_milli=37_000, unit="ml", by=member, owner_kind="member", owner=member,
        at=timezone.now() - timedelta(weeks=60),
    )  # fmt: skip
    assert weekly_use(studio) == before


def test_what_was_weighed_thrown_away_or_is_a_member_s_is_no_use(studio, keeper, member, white, used):
    before = weekly_use(studio)
    services.estimate_left(used[0], left_milli=1_000, by=keeper)
    services.discard(used[2], by=keeper)
    own = services.receive(
        studio, white, nominal_milli=150_000, unit="ml", by=member, owner_kind="member", owner=member
    )[0]
    services.record_use(own, amount_milli=9_000, by=member, at=timezone.now() - timedelta(weeks=2))
    assert weekly_use(studio) == before
    Tube.objects.filter(pk=own.pk).update(shared=True)
    assert weekly_use(studio) != before


def test_advice_follows_the_shelf_the_policy_and_the_offers(studio, keeper, white, used, django_assert_max_num_queries):
    BuyingPolicy.objects.create(studio=studio, service_permille=950, review_days=56)
    supplier = Supplier.objects.create(studio=studio, name="Corner supplier", lead_days=14)
    for size, price in ((37_000, 690), (150_000, 1490)):
        Offer.objects.create(
            supplier=supplier, item=white, name="Titanium White", nominal_milli=size, price_minor=price,
            currency="EUR", valid_from=timezone.localdate(),
        )  # fmt: skip
    with django_assert_max_num_queries(14):
        (row,) = reorder_advice(studio)
    held = sum(Tube.objects.usable().values_list("balance_milli", flat=True))
    assert row.situation.held_milli == held
    # Ten weeks are bridged: 56 and 14 days.
    mean, sd = row.advice.forecast.mean, row.advice.forecast.sd
    assert row.advice.up_to_milli == pytest.approx(mean * 10 + 1.644854 * sd * 10**0.5, abs=1000)
    services.discard(used[2], by=keeper)
    (row,) = reorder_advice(studio)
    assert row.advice.short_milli > 0
    bought = sum(packs * offer.nominal_milli for offer, packs in row.bought)
    assert bought >= row.advice.short_milli
    assert "at Corner supplier" in row.purchase_words
    assert row.lot_words == ""
    BuyingPolicy.objects.update(
        service_kind="cost", service_permille=800, order_cost_minor=690, order_cost_currency="EUR", holding_percent=20
    )
    (row,) = reorder_advice(studio)
    # By hand: 52.2 weeks of 10 ml are 3.5 of 150 ml; sqrt(2 x 6.90 x 3.5 / (0.2 x 14.90)) = 4.0.
    assert row.lot_words.startswith(
        "Ordered alone at Corner supplier, 4 of 150 ml at a time would cost least over a year, about every 6"
    )
    # z of 4 in 5 is 0.8416 (any table of the normal distribution).
    how = (
        "Running out is held to be 4 times as bad as as much left over, so 80 of 100 order rounds should suffice: 0.84"
    )
    assert any(step.startswith(how) for step in row.advice.steps)


def test_what_has_dried_up_does_not_count(studio, white, used):
    before = reorder_advice(studio)[0].situation.held_milli
    Tube.objects.filter(pk=used[2].pk).update(condition=Condition.DRIED)
    assert reorder_advice(studio)[0].situation.held_milli == before - 150_000


def test_planned_lessons_are_added_and_earlier_lessons_left_out(studio, keeper, white, used):
    BuyingPolicy.objects.create(studio=studio, review_days=56)
    services.record_use(
        used[2], amount_milli=50_000, by=keeper, at=timezone.now() - timedelta(weeks=1), key="lesson-7-1"
    )
    assert weekly_use(studio)[white.pk, "ml"][-1] == 60_000
    lesson = Lesson.objects.create(
        studio=studio, title="Greys", starts_at=timezone.now() + timedelta(days=9), students=10
    )
    LessonPaint.objects.create(lesson=lesson, item=white, a_head_milli=6_000)
    (row,) = reorder_advice(studio)
    assert row.situation.weeks[-1] == 10_000
    assert any("What lessons took before is left out" in step for step in row.advice.steps)
    newest = weeks_of(white, "ml", row.situation.weeks, without_lessons=True)[0]
    assert [-entry.change_milli for entry in newest.entries] == [10_000]
    assert [each.milli for each in row.situation.planned] == [60_000]


def test_order_dates_are_kept_to(studio, white, used):
    BuyingPolicy.objects.create(studio=studio, default_lead_days=10)
    first, second = (timezone.localdate() + timedelta(days=days) for days in (60, 240))
    OrderDay.objects.create(studio=studio, on=first)
    assert reorder_advice(studio)[0].advice.up_to_milli is None
    OrderDay.objects.create(studio=studio, on=second)
    (row,) = reorder_advice(studio)
    assert any(f"{first:%-d %B %Y} and then on {second:%-d %B %Y}" in step for step in row.advice.steps)


def test_a_level_without_history_stands_alone(studio, keeper, white):
    BuyingPolicy.objects.create(studio=studio, review_days=56)
    services.receive(studio, white, nominal_milli=37_000, unit="ml", by=keeper)
    ReorderLevel.objects.create(item=white, level_tubes=3, set_by=keeper)
    (row,) = reorder_advice(studio)
    assert (row.advice.short_milli, row.advice.forecast.mean) == (74_000, None)


def test_the_pages_show_the_steps_and_the_entries(client, studio, keeper, white, used):
    client.force_login(keeper)
    BuyingPolicy.objects.create(studio=studio, review_days=200, default_lead_days=14, service_permille=975)
    page = client.get(reverse("inventory:reorder", args=[studio.slug])).content.decode()
    assert "97.5" in page
    assert "Order " in page
    page = client.get(reverse("inventory:item_advice", args=[studio.slug, white.pk])).content.decode()
    entry = Entry.objects.filter(kind="used").latest("pk")
    assert f"#entry-{entry.pk}" in page
    assert "Used in 22 of 26 periods, by amounts much alike: Croston." in page
    listed = client.get(reverse("inventory:buying", args=[studio.slug])).content.decode()
    assert "Titanium White (oil)" in listed


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"service": "101"}, "101 of 100 cannot be, for nothing on earth holds always. Enter 50 to 99.9."),
        ({"service": "20"}, "Enter 50 to 99.9"),
        ({"service": "many"}, "Enter a number such as 95 of 100"),
        ({"service_kind": "cost", "service": "0.5"}, "0.5 times is not between 1 and 999"),
        ({"order_cost": "-3"}, "What an order costs: “-3” is below 0"),
        ({"order_cost": "6.90 USD"}, "in USD, but EUR is chosen"),
        ({"order_cost": "$6.90"}, "Enter it in EUR, such as 6.90."),
        ({"holding_percent": "0"}, "Per cent of the price: enter 1 to 200"),
        ({"review_days": "-1"}, "“-1” is no number of days"),
        ({"review_days": "0"}, "0 days from order to order"),
        ({"default_lead_days": "9999"}, "more than two years"),
    ],
)
def test_a_policy_that_cannot_be_is_refused_by_field(client, studio, keeper, typed, told):
    client.force_login(keeper)
    data = {"service_kind": "cycle", "service": "95", "review_days": "28", "default_lead_days": "", **typed}
    answer = client.post(reverse("inventory:buying_policy", args=[studio.slug]), data)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not BuyingPolicy.objects.exists()


def test_a_keeper_sets_the_policy_and_a_member_does_not(client, studio, keeper, member):
    url = reverse("inventory:buying_policy", args=[studio.slug])
    data = {"service_kind": "fill", "service": "97.5", "review_days": "28", "default_lead_days": "10"}
    client.force_login(member)
    assert client.post(url, data).status_code == 403
    client.force_login(keeper)
    assert client.post(url, data).status_code == 302
    policy = BuyingPolicy.objects.get()
    assert (policy.service_permille, policy.review_days, policy.default_lead_days) == (975, 28, 10)
    # What running out costs, four times as much left over, asks that 4 in 5 rounds suffice: the critical ratio.
    data |= {"service_kind": "cost", "service": "4", "order_cost": "6,90", "holding_percent": "20"}
    assert client.post(url, data).status_code == 302
    policy.refresh_from_db()
    assert (policy.service_permille, policy.times_as_bad) == (800, 4)
    assert (policy.order_cost_minor, policy.order_cost_currency, policy.holding_percent) == (690, "EUR", 20)
    page = client.get(url).content.decode()
    assert all(f'value="{value}"' in page for value in ("4", "6.90 EUR", "20"))


def test_the_first_page_names_what_will_not_last(studio, keeper, white, used, django_assert_max_num_queries):
    assert list(what_is_short(studio)) == []
    BuyingPolicy.objects.create(studio=studio, default_lead_days=10)
    for days in (200, 380):
        OrderDay.objects.create(studio=studio, on=timezone.localdate() + timedelta(days=days))
    services.discard(used[2], by=keeper)
    with django_assert_max_num_queries(16):
        (said,) = what_is_short(studio)
    assert "It will not last until a delivery of" in said.sentence
    assert said.url == reverse("inventory:item_advice", args=[studio.slug, white.pk])


def test_a_level_of_sealed_ones_is_told_as_on_the_page_of_levels(studio, keeper, white, used):
    """Two of three are open: by the amount a level of 2 is met, by sealed ones it is not."""
    set_level(white, by=keeper, level_tubes=2)
    (row,) = reorder_advice(studio)
    (level,) = levels(studio)
    assert level.answer.short == 1
    assert row.advice.short_milli == 150_000
    assert "only sealed ones count" in " ".join(row.advice.steps)
    set_level(white, by=keeper, level_tubes=2, counting="usable")
    assert reorder_advice(studio)[0].advice.short_milli == max(0, 300_000 - row.situation.held_milli)
