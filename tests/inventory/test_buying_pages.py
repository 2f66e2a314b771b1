"""The pages of buying: what is typed, what is refused in which words, and who may do what."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Binder, Delivery, Offer, Order, OrderState, Paint, Supplier, Tube, TubeState, Want
from inventory.services import buying
from inventory.services.levels import set_level

pytestmark = pytest.mark.django_db


@pytest.fixture
def supplier(studio):
    return buying.add_supplier(studio, name="Corner shop", lead_days=10)


@pytest.fixture
def offer(studio, supplier, paint, keeper):
    return buying.add_offer(
        studio,
        supplier=supplier,
        by=keeper,
        item=paint,
        code="029-37",
        nominal_milli=37_000,
        unit="ml",
        price_minor=695,
        currency="EUR",
    )


@pytest.fixture
def sent(studio, supplier, offer, keeper):
    order = buying.draft(studio, supplier=supplier, by=keeper)
    buying.add_line(order, packs=5, offer=offer)
    return buying.mark_sent(order)


@pytest.fixture
def at(studio):
    def address(name, *args):
        return reverse(f"inventory:{name}", args=[studio.slug, *args])

    return address


def words_of(response):
    text = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", text).replace("&#x27;", "'").replace("&quot;", '"')


def typed(supplier, paint, **more):
    return {"supplier": supplier.pk, "item": paint.pk, "size": "37 ml", "pack": "1", "price": "6,95 €", **more}


# Prices as typed


@pytest.mark.parametrize(
    ("fields", "price", "currency", "size"),
    [
        ({"price": "6,95 €"}, 695, "EUR", 37_000),
        ({"price": "£4.50"}, 450, "GBP", 37_000),
        ({"price": "8.81"}, 881, "EUR", 37_000),
        ({"price": "$8.81", "currency": "USD"}, 881, "USD", 37_000),
        ({"price": "1250,00"}, 125_000, "EUR", 37_000),
        ({"price": "980", "currency": "JPY"}, 980, "JPY", 37_000),
        ({"size": "40 ml e 1,35 fl.oz"}, 695, "EUR", 40_000),
        ({"size": "1.35 fl.oz"}, 695, "EUR", 39_924),
    ],
)
def test_offers_are_typed_as_they_are_listed(client, teacher, at, supplier, paint, fields, price, currency, size):
    client.force_login(teacher)
    answer = client.post(at("offer_add"), typed(supplier, paint, **fields))
    assert answer.status_code == 302, words_of(answer)
    offer = Offer.objects.get()
    assert (offer.price_minor, offer.currency, offer.nominal_milli) == (price, currency, size)
    assert offer.price_text == typed(supplier, paint, **fields)["price"]


def test_a_dollar_is_that_of_the_studio(client, teacher, at, studio, supplier, paint):
    type(studio).objects.update(currency="CAD")
    client.force_login(teacher)
    client.post(at("offer_add"), typed(supplier, paint, price="$8.81"))
    assert Offer.objects.get().currency == "CAD"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"price": "-3 €"}, "Price of a pack: “-3 €” is below 0, and no price is. Enter one above 0, such as 6.95."),
        ({"price": "1.250,00"}, "can be read as 1250 or 1.25"),
        ({"price": "1.250,00"}, "Enter 1250 or 1.25."),
        ({"price": "$8.81"}, "stands for several currencies"),
        ({"price": "0"}, "“0” is no price. Enter one above 0, such as 6.95."),
        ({"price": "-5"}, "“-5” is below 0"),
        ({"price": "1/2 tube"}, "“1/2 tube” cannot be used as a price"),
        ({"price": "Series 4"}, "is a price group of the maker. Enter it under Series"),
        ({"price": "6,95 €", "currency": "USD"}, "“6,95 €” is in EUR, but USD is chosen"),
        ({"size": "1.35 oz"}, "Enter “1.35 fl oz” (1.35 US fluid ounces, 39.9 ml) or “1.35 oz wt”"),
        ({"size": "1/2 tube"}, "“1/2 tube” cannot be used as an amount"),
        ({"size": "3 x 40 ml"}, "looks like 3 of them. Enter 3 here"),
        ({"pack": "0"}, "Containers in a pack: enter 1 to 1000, not 0."),
        ({"pack": "1.5"}, "counted whole"),
        ({"breaks": "many: cheap"}, "“many: cheap” is not a number of packs and a price"),
        ({"breaks": "6: 7.00"}, "never dearer"),
        ({"item": ""}, "Name in their list: enter it, or choose a paint or material."),
        ({"pigment": "PX1"}, "“PX1” is not in the reference table"),
        ({"valid_from": "2026-02-30"}, "“2026-02-30” is no day"),
        ({"valid_from": "2026-03-02", "valid_until": "2026-03-01"}, "is before 2026-03-02, when it begins"),
    ],
)
def test_what_cannot_be_a_price_is_refused_with_the_remedy(client, teacher, at, supplier, paint, fields, words):
    client.force_login(teacher)
    answer = client.post(at("offer_add"), typed(supplier, paint, **fields))
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert Offer.objects.count() == 0


def test_discounts_are_typed_in_one_field(client, teacher, at, supplier, paint):
    client.force_login(teacher)
    client.post(at("offer_add"), typed(supplier, paint, breaks="6: 5,90; from 12 packs: 5,50"))
    breaks = list(Offer.objects.get().breaks.values_list("from_packs", "price_minor"))
    assert breaks == [(6, 590), (12, 550)]


def test_an_offer_in_the_past_is_kept_and_said_to_be_over(client, teacher, at, supplier, paint):
    client.force_login(teacher)
    ended = timezone.localdate() - timedelta(days=30)
    answer = client.post(at("offer_add"), typed(supplier, paint, valid_until=f"{ended:%Y-%m-%d}"), follow=True)
    assert "It is over since" in words_of(answer)
    assert "No offer stands." in words_of(answer)
    assert "over since" in words_of(client.get(at("offers"), {"past": "yes"}))


def test_a_supplier_that_somebody_removed_meanwhile_takes_no_offer(client, teacher, at, supplier, paint):
    buying.remove_supplier(supplier)
    client.force_login(teacher)
    answer = client.post(at("offer_add"), typed(supplier, paint))
    assert "that one was removed meanwhile" in words_of(answer)


def test_a_supplier_of_another_studio_cannot_be_named(client, teacher, at, other_studio, paint):
    theirs = Supplier.objects.create(studio=other_studio, name="Theirs")
    client.force_login(teacher)
    assert client.post(at("offer_add"), typed(theirs, paint)).status_code == 422
    assert client.post(at("orders"), {"supplier": theirs.pk}).status_code == 422
    assert Order.objects.count() == 0


@pytest.mark.parametrize("days", ["-1", "soon", "1.5", "731"])
def test_a_lead_time_that_cannot_be_is_refused(client, teacher, at, days):
    client.force_login(teacher)
    answer = client.post(at("suppliers"), {"name": "Post", "lead_days": days})
    assert answer.status_code == 422
    assert days in words_of(answer) or days in answer.content.decode()
    assert Supplier.objects.count() == 0


def test_suppliers_are_removed_and_brought_back(client, teacher, at, supplier):
    client.force_login(teacher)
    answer = client.post(at("supplier_remove", supplier.pk), follow=True)
    assert "Its offers, orders and deliveries stay" in words_of(answer)
    assert "Removed on" in words_of(answer)
    again = client.post(at("supplier_remove", supplier.pk), follow=True)
    assert "was removed already; nothing was changed" in words_of(again)
    client.post(at("supplier_bring_back", supplier.pk))
    changed = client.post(at("supplier", supplier.pk), {"name": "Corner shop", "lead_days": "12", "lead_days_sd": "3"})
    assert changed.status_code == 302
    supplier.refresh_from_db()
    assert (supplier.removed_at, supplier.lead_days, supplier.lead_days_sd) == (None, 12, 3)


def test_offers_are_found_by_name_code_and_supplier_and_older_prices_stand_apart(
    client, member, at, studio, supplier, offer, paint, keeper
):
    buying.add_offer(
        studio,
        supplier=supplier,
        by=keeper,
        item=paint,
        nominal_milli=37_000,
        unit="ml",
        price_minor=600,
        currency="EUR",
        valid_from=timezone.localdate() - timedelta(days=200),
    )
    client.force_login(member)
    for query in ({"q": "ultra"}, {"q": "029-37"}, {"supplier": supplier.pk}, {}):
        words = words_of(client.get(at("offers"), query))
        assert "6.95 EUR" in words, query
        assert "6.00 EUR" not in words, query
    assert "No offer fits" in words_of(client.get(at("offers"), {"q": "viridian"}))
    assert "6.00 EUR" in words_of(client.get(at("offers"), {"past": "yes"}))


def test_the_prices_of_a_paint_with_the_cheapest_packs(client, member, at, paint, offer):
    client.force_login(member)
    words = words_of(client.get(at("item_prices", paint.pk), {"need": "70 ml"}))
    assert "2 × 37 ml at 6.95 EUR: 13.90 EUR" in words
    assert "That is 74 ml, 4 ml more than 70 ml." in words
    assert "Its strength is not known." in words
    refused = client.get(at("item_prices", paint.pk), {"need": "200 l"})
    assert "between 0.001 and 100000 ml" in words_of(refused)
    assert "No offer that stands is in g." in words_of(client.get(at("item_prices", paint.pk), {"need": "70 g"}))


# The list


def test_one_tap_puts_advice_on_the_list_and_two_taps_once(client, member, at, paint, tube, keeper):
    set_level(paint, by=keeper, level_tubes=3)
    client.force_login(member)
    page = client.get(at("buying"))
    assert "Put 2 of 37 ml on the list" in words_of(page)
    tap = {"item": paint.pk, "containers": "2", "size": "37 ml", "why": "Below its level."}
    assert "2 of Ultramarine Blue are on the list." in words_of(client.post(at("want"), tap, follow=True))
    again = client.post(at("want"), tap)
    assert again.status_code == 422
    assert "is on the list already with 2" in words_of(again)
    assert Want.objects.count() == 1
    several = {"item": paint.pk, "containers": ["1", "2"], "size": ["75 ml", "150 ml"]}
    assert "3 of Ultramarine Blue are on the list." in words_of(client.post(at("want"), several, follow=True))
    assert sorted(Want.objects.values_list("nominal_milli", "containers")) == [(37_000, 2), (75_000, 1), (150_000, 2)]
    Want.objects.exclude(nominal_milli=37_000).delete()
    page = words_of(client.get(at("buying")))
    assert "Put 2 of 37 ml on the list" not in page
    assert "2 on the list already." in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"containers": "0", "words": "Ochre"}, "How many: enter a whole number from 1 on, not 0."),
        ({"containers": "-5", "words": "Ochre"}, "“-5” cannot be used as a count"),
        ({"containers": "1/2", "words": "Ochre"}, "“1/2” cannot be used as a count"),
        ({"containers": "1"}, "In words: say what is to be bought"),
        ({"containers": "1", "words": "Ochre", "size": "1/2 tube"}, "“1/2 tube” cannot be used as an amount"),
    ],
)
def test_what_cannot_be_wanted_is_refused(client, member, at, fields, words):
    client.force_login(member)
    answer = client.post(at("want"), fields)
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert Want.objects.count() == 0


def test_the_list_is_changed_dropped_and_printed(client, member, at, studio, paint, offer):
    line = buying.want(studio, item=paint, containers=2, nominal_milli=37_000, by=member)
    client.force_login(member)
    client.post(at("want_change", line.pk), {"number": "3"})
    assert "Together: 20.85 EUR" in words_of(client.get(at("buying")))
    assert "cannot be used as a count" in words_of(
        client.post(at("want_change", line.pk), {"number": "half"}, follow=True)
    )
    printed = client.get(at("requisition_pdf"), {"paper": "Letter"})
    assert (printed["Content-Type"], printed.content[:5]) == ("application/pdf", b"%PDF-")
    table = client.get(at("requisition_csv")).content.decode("utf-8-sig").splitlines()
    assert table[1] == "Corner shop,029-37,Ultramarine Blue,,37 ml,1,3,6.95,20.85,EUR,,"
    client.post(at("want_drop", line.pk))
    assert "Nothing is on the list." in words_of(client.get(at("buying")))


# Orders


def test_from_the_list_over_the_order_to_the_shelf(client, keeper, at, studio, supplier, paint, offer, place):
    line = buying.want(studio, item=paint, containers=5, nominal_milli=37_000, by=keeper)
    client.force_login(keeper)
    client.post(at("order_wants"), {"supplier": supplier.pk, "want": [line.pk]})
    order = Order.objects.get()
    ordered = order.lines.get()
    client.post(at("order_line_change", order.pk, ordered.pk), {"number": "4"})
    assert "27.80 EUR" in words_of(client.get(at("order", order.pk)))
    assert "was sent on" in words_of(client.post(at("order_send", order.pk), {"reference": "A-7"}, follow=True))
    page = client.get(at("order", order.pk))
    key = re.search(r'name="key" value="([^"]+)"', page.content.decode())[1]
    parcel = {f"came_{ordered.pk}": "3", f"rest_{ordered.pk}": "back", "place": place.pk, "key": key, "seen": "0"}
    words = words_of(client.post(at("order_receive", order.pk), parcel, follow=True))
    assert "3 containers are on the shelf as no. 1 to 3." in words
    assert "3 of 4 came; 1 back-ordered" in words
    again = words_of(client.post(at("order_receive", order.pk), parcel, follow=True))
    assert "That parcel was entered before already, so nothing was added." in again
    assert Tube.objects.filter(place=place).count() == 3


def test_what_another_entered_meanwhile_is_said_and_nothing_is_lost(client, keeper, member, at, sent):
    line = sent.lines.get()
    buying.receive_delivery(sent, {line.pk: buying.Arrived(2)}, by=member)
    client.force_login(keeper)
    parcel = {f"came_{line.pk}": "2", "key": "k" * 20, "seen": "0", "note": "Box was wet."}
    answer = client.post(at("order_receive", sent.pk), parcel)
    assert answer.status_code == 422
    assert "member entered a delivery of this order" in words_of(answer)
    body = answer.content.decode()
    assert 'value="Box was wet."' in body
    assert 'name="seen" value="1"' in body
    assert Delivery.objects.count() == 1


@pytest.mark.parametrize(
    ("came", "words"),
    [
        ("1/2 tube", "cannot be used as a count"),
        ("-5", "cannot be used as a count"),
        ("0", "Enter how many came of at least one line."),
        ("501", "receive between 1 and 500 containers, not 501"),
    ],
)
def test_a_parcel_that_cannot_be_is_refused(client, keeper, at, sent, came, words):
    client.force_login(keeper)
    line = sent.lines.get()
    answer = client.post(at("order_receive", sent.pk), {f"came_{line.pk}": came, "key": "k" * 20, "seen": "0"})
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert Tube.objects.count() == 0


def test_more_than_was_ordered_is_said(client, keeper, at, sent):
    client.force_login(keeper)
    line = sent.lines.get()
    parcel = {f"came_{line.pk}": "6", "key": "k" * 20, "seen": "0"}
    words = words_of(client.post(at("order_receive", sent.pk), parcel, follow=True))
    assert "Ultramarine Blue: 6 came, 1 more than were ordered." in words


def test_goods_go_back_and_a_slip_is_taken_back(client, keeper, at, sent):
    line = sent.lines.get()
    delivery = buying.receive_delivery(sent, {line.pk: buying.Arrived(5)}, by=keeper)
    client.force_login(keeper)
    tubes = list(Tube.objects.order_by("pk"))
    back = {"tubes": [tubes[0].pk, tubes[1].pk], "note": "Dried up.", "replaced": "on", "key": "b" * 20}
    assert "2 went back and off the shelf. Others are to come" in words_of(
        client.post(at("order_send_back", sent.pk), back, follow=True)
    )
    assert Tube.objects.filter(state=TubeState.EMPTY).count() == 2
    nothing = client.post(at("order_send_back", sent.pk), {"note": "x", "key": "c" * 20})
    assert "choose at least one container" in words_of(nothing)
    returned = Delivery.objects.get(returned=True)
    client.post(at("order_take_back", sent.pk), {"delivery": returned.pk})
    client.post(at("order_take_back", sent.pk), {"delivery": delivery.pk})
    assert not Tube.objects.exclude(state=TubeState.EMPTY).exists()
    assert Order.objects.get(pk=sent.pk).state == OrderState.SENT


def test_a_rest_is_not_coming_and_an_order_is_cancelled_and_opened(client, keeper, at, sent):
    client.force_login(keeper)
    line = sent.lines.get()
    assert "Say what is known of the rest" in words_of(
        client.post(at("order_line_rest", sent.pk, line.pk), {"rest": "x"}, follow=True)
    )
    client.post(at("order_line_rest", sent.pk, line.pk), {"rest": "back"})
    assert "5 back-ordered" in words_of(client.get(at("order", sent.pk)))
    client.post(at("order_cancel", sent.pk))
    assert Order.objects.get(pk=sent.pk).state == OrderState.CANCELLED
    client.post(at("order_reopen", sent.pk))
    client.post(at("order_line_rest", sent.pk, line.pk), {"rest": "short"})
    assert Order.objects.get(pk=sent.pk).state == OrderState.CLOSED


@pytest.mark.parametrize("name", ["order_send", "order_cancel", "order_reopen"])
def test_a_teacher_does_not_decide_on_orders(client, teacher, at, sent, name):
    client.force_login(teacher)
    assert client.post(at(name, sent.pk)).status_code == 403


def test_an_order_of_another_studio_is_not_there(client, stranger, sent, other_studio):
    client.force_login(stranger)
    assert client.get(reverse("inventory:order", args=[other_studio.slug, sent.pk])).status_code == 404


# Order dates, substitutes, the first page


def test_order_dates_are_kept_by_the_keepers(client, keeper, teacher, at):
    ahead = timezone.localdate() + timedelta(days=10)
    client.force_login(teacher)
    assert client.post(at("order_days"), {"on": f"{ahead:%Y-%m-%d}"}).status_code == 403
    client.force_login(keeper)
    past = client.post(at("order_days"), {"on": "2020-01-01"})
    assert "1 January 2020 is over: enter a day from today on." in words_of(past)
    client.post(at("order_days"), {"on": f"{ahead:%Y-%m-%d}"})
    assert f"The next order date is {ahead:%-d %B %Y}" in words_of(client.get(at("buying")))


def test_the_first_page_names_a_near_order_date_and_a_late_order(client, keeper, studio, sent, tube):
    ahead = timezone.localdate() + timedelta(days=10)
    buying.add_order_day(studio, on=ahead)
    Order.objects.update(expected_on=timezone.localdate() - timedelta(days=1))
    client.force_login(keeper)
    words = words_of(client.get(reverse("today", args=[studio.slug])))
    assert f"The next order date is {ahead:%-d %B %Y}; 0 lines wait on the list of what to buy." in words
    assert "from Corner shop was expected on" in words


def test_what_may_be_bought_instead_stands_on_the_page_of_the_paint(client, teacher, at, paint):
    client.force_login(teacher)
    client.post(at("substitutes", paint.pk), {"words": "French Ultramarine", "codes": "PB29", "accepted": "yes"})
    client.post(at("substitutes", paint.pk), {"words": "Ultramarine hue", "accepted": "no", "why": "Too strong."})
    twice = client.post(at("substitutes", paint.pk), {"words": "Ultramarine hue", "accepted": "yes"})
    assert "already listed here" in words_of(twice)
    words = words_of(client.get(at("paint", paint.pk)))
    assert "May be bought instead French Ultramarine PB29" in words
    assert "Not this Ultramarine hue, Too strong." in words


def test_the_comparison_says_what_is_not_known(client, member, at, offer):
    client.force_login(member)
    words = words_of(client.get(at("price_compare")))
    assert "0.188 EUR per ml not known not known" in words
    assert "No offer in millilitres stands" in words_of(client.get(at("price_compare"), {"binder": Binder.ACRYLIC}))


def test_an_empty_studio_is_told_what_each_page_is_for(client, keeper, at):
    client.force_login(keeper)
    for name, words in (
        ("buying", "Nothing is on the list."),
        ("orders", "An order goes to a supplier, and none is entered yet."),
        ("offers", "No offer is written down yet"),
        ("suppliers", "No supplier yet"),
        ("order_days", "No order date is set"),
    ):
        assert words in words_of(client.get(at(name)))
    assert client.get(at("requisition_pdf")).content[:5] == b"%PDF-"


def test_a_material_is_bought_as_well(client, keeper, at, studio, supplier):
    from inventory.models import Material

    oil = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    client.force_login(keeper)
    assert client.post(at("offer_add"), typed(supplier, oil, size="250 ml")).status_code == 302
    assert "1 offer" in words_of(client.get(at("material", oil.pk)))
    assert Paint.objects.count() == 0
