"""The designer against every choice there is, and its bound."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from inventory.colour import designer
from inventory.colour.coverage import percent
from inventory.colour.designer import Demands, Shelf, cheapest, design, design_steps
from inventory.colour.reach import reach
from inventory.colour.steps import finish
from inventory.colour.temperature import Tag, standing

STOCK = (
    "titanium white",
    "zinc white",
    "Hansa yellow light",
    "diarylide yellow",
    "pyrrole red",
    "alizarin crimson",
    "quinacridone magenta",
    "ultramarine blue",
    "phthalo blue green shade",
    "phthalo green blue shade",
    "burnt sienna",
    "bone black",
)


@pytest.fixture(scope="module")
def shelf(palette):
    def build(*names, prices=None, transparent=()):
        found = palette(*names)
        return Shelf(
            found,
            tuple(standing(found.k[i], found.s[i]).tags for i in range(len(found))),
            tuple(name in transparent for name in names),
            tuple(prices or [None] * len(names)),
        )

    return build


def by_hand(shelf, size):
    """The best choice with one white at most, tried one by one through `reach`: the slow way, and another one."""
    whites = set(shelf.palette.whites.tolist())
    return max(
        percent(reach(shelf.palette.take(list(some))).chroma)
        for some in combinations(range(len(shelf.palette)), size)
        if len(whites & set(some)) <= 1
    )


@pytest.mark.parametrize("size", [1, 2, 3])
def test_every_choice_tried_is_the_best_choice(shelf, size):
    stock = shelf(*STOCK[:8])
    found = design(stock, Demands(size))
    assert found.whole
    assert found.percent == pytest.approx(by_hand(stock, size), abs=0.01)
    assert found.percent <= found.bound


@pytest.mark.parametrize("count", range(3, 13))
def test_the_search_is_never_better_than_every_choice_and_hardly_worse(shelf, count):
    """On every stock of the first 3 to 12 tubes and every size: exact is the same or better, and the bound holds."""
    stock = shelf(*STOCK[:count])
    for size in (2, 3, 4, 5, 6):
        if size > count - 1:
            continue
        exact, searched = design(stock, Demands(size)), design(stock, Demands(size), exact_lookups=0)
        assert (exact.whole, searched.whole) == (True, False)
        assert exact.percent >= searched.percent - 1e-3
        assert searched.percent >= 0.995 * exact.percent
        assert exact.bound == searched.bound >= exact.percent
        assert exact.bound == pytest.approx(max(exact.percent, percent(reach(stock.palette).chroma)))


@pytest.mark.parametrize("size", range(2, 9))
def test_choices_scored_together_score_as_each_alone(shelf, size):
    """Every choice there is comes once, and the grids laid side by side give it what its own triples give."""
    stock = shelf(*STOCK)
    members, whites = designer._different(stock)
    grids = finish(designer._grids_steps(stock.palette, members, whites, 3))
    search = designer._Search(stock, Demands(size), members, None, grids.with_white(None))
    parts = list(designer._parts(search))
    assert sorted(map(tuple, np.concatenate([some for _, some, _ in parts]).tolist())) == list(
        combinations(range(len(members)), size)
    )
    for _, some, scored in parts:
        np.testing.assert_allclose(scored(), search.scores(some), rtol=1e-6)


def test_demands_are_kept(shelf):
    prices = [700, 500, 900, 1200, 1500, 800, 1400, 600, 900, 900, 500, 400]
    stock = shelf(*STOCK, prices=prices, transparent=("alizarin crimson", "phthalo blue green shade", "burnt sienna"))
    demands = Demands(6, (Tag.WHITE, Tag.COOL_RED, Tag.YELLOW), transparent=2, budget=4800)
    for lookups in (0, 10**9):
        found = design(stock, demands, exact_lookups=lookups)
        tags = set().union(*(stock.tags[place] for place in found.places))
        assert len(found.places) == 6
        assert set(demands.tags) <= tags
        assert sum(stock.transparent[place] for place in found.places) >= 2
        assert sum(prices[place] for place in found.places) <= 4800


def test_the_least_price_is_the_least_of_all_choices(shelf):
    prices = [700, 500, 900, 1200, 1500, 800, 1400, 600, 900, 900, 500, 400]
    stock = shelf(*STOCK, prices=prices)
    wanted = {Tag.WHITE, Tag.COOL_RED, Tag.GREEN_BLUE}
    whites = set(stock.palette.whites.tolist())
    expected = min(
        sum(prices[i] for i in some)
        for some in combinations(range(12), 4)
        if wanted <= set().union(*(stock.tags[i] for i in some)) and len(whites & set(some)) <= 1
    )
    assert cheapest(stock, Demands(4, tuple(wanted))) == expected
    assert cheapest(stock, Demands(4, tuple(wanted), budget=expected)) == expected
    assert cheapest(stock, Demands(4, tuple(wanted), budget=expected - 1)) is None


@pytest.mark.parametrize(
    "demands",
    [
        Demands(12, (Tag.WHITE,)),
        Demands(2, (Tag.WHITE, Tag.RED, Tag.BLUE)),
        Demands(4, transparent=3),
        Demands(3, (Tag.DARK, Tag.GREEN_BLUE), budget=0),
    ],
)
def test_what_cannot_be_is_none(shelf, demands):
    stock = shelf(*STOCK[:6], prices=[100] * 6, transparent=STOCK[2:4])
    assert design(stock, demands) is None


def test_a_twin_takes_no_place(shelf):
    """Two tubes of one curve are one colour: the cheaper is taken, and of two at one price the transparent one."""
    stock = shelf("titanium white", "pyrrole red", "pyrrole red", "ultramarine blue", prices=[5, 9, 4, 5])
    assert design(stock, Demands(3)).places == (0, 2, 3)
    assert design(stock, Demands(4)) is None
    clear = replace(stock, transparent=(False, False, True, False), prices=(None,) * 4)
    assert design(clear, Demands(3, transparent=1)).places == (0, 2, 3)


def test_where_a_white_was_left_out_not_every_choice_was_tried(shelf, monkeypatch):
    stock = shelf(*STOCK[:5])
    assert design(stock, Demands(3)).whole
    monkeypatch.setattr(designer, "MOST_WHITES", 1)
    assert not design(stock, Demands(3)).whole


def test_a_larger_stock_is_searched_by_a_shortlist(rows, palette):
    names = [*(row.name for row in rows[::2]), "titanium white"]
    found = palette(*dict.fromkeys(names))
    stock = Shelf(
        found,
        tuple(standing(found.k[i], found.s[i]).tags for i in range(len(found))),
        (False,) * len(found),
        (None,) * len(found),
    )
    shares = []
    steps = design_steps(stock, Demands(5, (Tag.WHITE,)), exact_lookups=0)
    while True:
        try:
            shares.append(next(steps))
        except StopIteration as end:
            answer = end.value
            break
    assert not answer.whole
    assert answer.looked_at < answer.of
    assert shares == sorted(shares)
    assert 0.0 <= min(shares) <= max(shares) <= 1.0
    assert answer.bound >= answer.percent > 30.0


@pytest.mark.parametrize(("size", "clear"), [(0, 0), (40, 0), (3, -1)])
def test_bad_demands_are_refused(size, clear):
    with pytest.raises(ValueError, match="must be 0 or more" if clear else "1 to 24 tubes"):
        Demands(size, transparent=clear)


def test_a_shelf_has_one_value_for_each_paint(shelf):
    stock = shelf(*STOCK[:3])
    with pytest.raises(ValueError, match="prices must have 3 values, not 1"):
        Shelf(stock.palette, stock.tags, stock.transparent, (None,))


def test_white_alone_reaches_nothing(shelf):
    found = finish(design_steps(shelf("titanium white", "pyrrole red"), Demands(1, (Tag.WHITE,))))
    assert found.places == (0,)
    assert found.percent == pytest.approx(0.0)
    assert np.isfinite(found.bound)
