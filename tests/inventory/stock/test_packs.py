"""The cheapest packs, against every possible purchase of small cases."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.stock.packs import (
    MOST_OFFERS,
    PackOffer,
    cheapest,
    cheapest_by_currency,
)


def offer(key, ml, price, *, pack=1, breaks=(), currency="EUR", unit="ml"):
    return PackOffer(key, round(ml * 1000), unit, price, currency, pack, tuple(breaks))


def by_trying_all(need, offers):
    """Cost, surplus and containers of the best of all purchases that could be best."""
    most = [max(-(-need // one.content_milli), *(start for start, _ in one.breaks), 1) for one in offers]
    best = None
    for counts in product(*(range(count + 1) for count in most)):
        amount = sum(count * one.content_milli for count, one in zip(counts, offers, strict=True))
        if amount < need:
            continue
        cost = sum(one.total_minor(count) for count, one in zip(counts, offers, strict=True))
        containers = sum(count * one.pack for count, one in zip(counts, offers, strict=True))
        best = min(best or (cost, amount - need, containers), (cost, amount - need, containers))
    return best


@st.composite
def small_offers(draw):
    offers = []
    for key in range(draw(st.integers(1, 3))):
        price = draw(st.integers(1, 12))
        starts = sorted(draw(st.sets(st.integers(2, 6), max_size=2)))
        prices = sorted((draw(st.integers(1, price)) for _ in starts), reverse=True)
        size = draw(st.integers(1, 7))
        pack = draw(st.integers(1, 3))
        breaks = tuple(zip(starts, prices, strict=True))
        offers.append(PackOffer(key, size, "ml", price, "EUR", pack, breaks))
    return offers


@settings(max_examples=400, deadline=None)
@given(st.integers(1, 24), small_offers())
def test_no_purchase_is_better(need, offers):
    found = cheapest(need, offers)
    surplus = found.amount_milli - need
    assert found.surplus == surplus
    assert (found.total_minor, surplus, found.containers) == by_trying_all(need, offers)


def counts(purchase):
    return {one.offer.key: one.packs for one in purchase.chosen}


# Worked by hand.
CASES = [
    ("one large beats four small", 150_000, [offer(1, 40, 700), offer(2, 150, 1_900)], {2: 1}, 1_900, 0),
    ("a mixture", 190_000, [offer(1, 40, 500), offer(2, 150, 1_500)], {1: 1, 2: 1}, 2_000, 0),
    ("a break makes three cheaper than two", 80_000, [offer(1, 40, 700, breaks=[(3, 450)])], {1: 3}, 1_350, 40_000),
    ("a pack of three", 100_000, [offer(1, 40, 600), offer(2, 40, 1_500, pack=3)], {2: 1}, 1_500, 20_000),
    ("less surplus at one price", 70_000, [offer(1, 80, 1_000), offer(2, 75, 1_000)], {2: 1}, 1_000, 5_000),
    ("fewer containers at one price", 80_000, [offer(1, 40, 500), offer(2, 80, 1_000)], {2: 1}, 1_000, 0),
]


@pytest.mark.parametrize(
    ("need", "offers", "packs", "total", "surplus"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_cases_worked_by_hand(need, offers, packs, total, surplus):
    found = cheapest(need, offers)
    assert (counts(found), found.total_minor, found.surplus) == (packs, total, surplus)


def test_sizes_in_ounces_stand_beside_millilitres():
    found = cheapest(79_800, [offer(1, 39.924, 881), offer(2, 37, 850)])
    assert counts(found) == {1: 2}
    assert found.surplus == 48


def test_the_price_of_the_number_that_is_bought_is_told():
    found = cheapest(120_000, [offer(7, 40, 700, breaks=[(3, 450)])])
    (line,) = found.chosen
    assert (line.packs, line.pack_price_minor, line.total_minor, line.containers) == (3, 450, 1_350, 3)


def test_a_hundred_litres_of_forty_offers():
    """The bounds themselves are answered; the total cannot be below the best price of a litre."""
    offers = [offer(n, 37 + n, 700 + 11 * n, breaks=[(10, 650 + 10 * n)]) for n in range(MOST_OFFERS)]
    found = cheapest(100_000_000, offers)
    best = min((650 + 10 * n) / (37 + n) for n in range(MOST_OFFERS))
    assert best * 100_000 <= found.total_minor <= best * 100_000 + 1_100
    assert found.amount_milli >= 100_000_000


def test_currencies_stand_side_by_side():
    offers = [offer(1, 40, 700), offer(2, 40, 500, currency="USD")]
    with pytest.raises(ValueError, match="EUR and USD cannot be compared"):
        cheapest(40_000, offers)
    found = cheapest_by_currency(80_000, offers)
    assert [(one.currency, one.total_minor) for one in found] == [("EUR", 1_400), ("USD", 1_000)]


@pytest.mark.parametrize(
    ("need", "offers", "words"),
    [
        (0, [offer(1, 40, 700)], "between 0.001 and 100000 ml, not 0 ml"),
        (-5_000, [offer(1, 40, 700)], "not -5 ml"),
        (100_000_001, [offer(1, 40, 700)], "split it"),
        (1_000, [], "Between 1 and 40 offers"),
        (1_000, [offer(n, 40, 700) for n in range(41)], "not 41"),
        (1_000, [offer(1, 40, 0)], "price of an offer must be above 0"),
        (1_000, [offer(1, 0, 700)], "size of an offer must be above 0"),
        (1_000, [offer(1, 40, 700, pack=0)], "pack of an offer must be above 0"),
        (1_000, [offer(1, 40, 700, breaks=[(3, 800)])], "check the quantity discounts"),
        (1_000, [offer(1, 40, 700, breaks=[(1, 600)])], "check the quantity discounts"),
        (1_000, [offer(1, 40, 700), offer(2, 40, 700, unit="g")], "Sizes in g and ml"),
        (100_000_000, [offer(1, 39.924, 881), offer(2, 37.001, 881)], "round the sizes"),
        (100_000_000, [offer(1, 0.1, 10**11)], "too large to be compared"),
    ],
)
def test_what_cannot_be_compared_is_refused(need, offers, words):
    with pytest.raises(ValueError, match=words):
        cheapest(need, offers)
