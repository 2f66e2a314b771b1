"""Amounts a head, tubes, shortages and order dates, each by a worked case."""

from datetime import date
from fractions import Fraction

import pytest

from inventory.stock.coverage_rules import by_rule, read_ground, read_rule
from inventory.stock.lessons import (
    Booked,
    Need,
    TubeLeft,
    a_head,
    clashes,
    order_by,
    short_sentence,
    split,
    taken_in_turn,
    weeks_between,
)

# 1 in = 25.4 mm exactly: international yard and pound agreement of 1959 (NIST SP 811, appendix B).
SIZES = [
    ("16x20 in", Fraction(4064, 10), Fraction(5080, 10)),
    ("16×20 in canvas", Fraction(4064, 10), Fraction(5080, 10)),
    ('16" x 20"', Fraction(4064, 10), Fraction(5080, 10)),
    ("40 x 50 cm", 400, 500),
    ("40 by 50 cm", 400, 500),
    ("29,7 x 42 cm", 297, 420),
    ("1 m x 70 cm", 1000, 700),
    ("300x400mm", 300, 400),
]
NO_SIZES = [
    ("16x20", "has no unit. Enter 16 x 20 cm or 16 x 20 in"),
    ("A4", "is no size of a ground"),
    ("", "is no size of a ground"),
    ("40 cm", "is no size of a ground"),
    ("0 x 20 cm", "outside 1 cm to 20 m"),
    ("4000 x 5000 cm", "outside 1 cm to 20 m"),
    ("-4 x 20 cm", "is no size of a ground"),
]


@pytest.mark.parametrize(("text", "width", "height"), SIZES)
def test_sizes_are_read_in_inches_and_centimetres(text, width, height):
    ground = read_ground(text)
    assert (ground.width_mm, ground.height_mm) == (width, height)


@pytest.mark.parametrize(("text", "said"), NO_SIZES)
def test_a_size_that_cannot_be_read_says_what_to_enter(text, said):
    with pytest.raises(ValueError, match=said):
        read_ground(text)


@pytest.mark.parametrize(
    ("text", "milli"),
    [
        ("1000 ml / 9.3 m2", 107_527),
        ("1 l per 9,3 m²", 107_527),
        ("9.3 m2 per l", 107_527),
        ("120 ml/m2", 120_000),
        ("1 litre covers 10 m2", 100_000),
        ("0.012 ml / cm2", 120_000),
    ],
)
def test_rules_are_read_as_people_write_them(text, milli):
    assert read_rule(text) == milli


@pytest.mark.parametrize(
    "text", ["", "120", "120 ml", "two pots", "0 ml/m2", "5 ml / 0 m2", "1 gal / 9 m2", "900 l/m2"]
)
def test_a_rule_that_cannot_be_read_is_refused(text):
    with pytest.raises(ValueError, match="“"):
        read_rule(text)


def test_twenty_canvases_take_about_450_ml_by_a_rule_in_use_and_17_times_more_by_another():
    """Common practice, no source: 1000 ml for 9.3 m² (a litre for about 100 square feet).

    Worked by hand: 0.4064 m × 0.508 m = 0.20645 m²; times 20 is 4.129 m²; at 1000 / 9.3 ml/m² 444 ml.
    """
    found = by_rule(read_ground("16x20 in"), coats=1, students=20, milli_per_m2=read_rule("1000 ml / 9.3 m2"))
    assert found.total_milli == pytest.approx(444_000, abs=500)
    assert "20 × 16x20 in (0.206 m²) × 1 coat × 107.5 ml/m² = 0.44 l in all" in found.words
    other = by_rule(read_ground("16x20 in"), coats=1, students=20, milli_per_m2=17 * read_rule("1000 ml / 9.3 m2"))
    assert other.total_milli / found.total_milli == pytest.approx(17, rel=1e-4)


def test_a_rule_is_shared_out_by_parts_and_never_below_the_whole():
    found = by_rule(read_ground("40 x 50 cm"), coats=2, students=3, milli_per_m2=100_000)
    assert found.a_head_milli == 40_000
    shares = [found.share_milli(parts, 7) for parts in (3, 2, 2)]
    assert shares == [17_200, 11_500, 11_500]
    assert sum(shares) >= 40_000


@pytest.mark.parametrize(("coats", "students", "rule"), [(0, 3, 100_000), (21, 3, 100_000), (1, 0, 100_000), (1, 3, 0)])
def test_a_rule_out_of_bounds_is_refused(coats, students, rule):
    with pytest.raises(ValueError, match="must"):
        by_rule(read_ground("40 x 50 cm"), coats=coats, students=students, milli_per_m2=rule)


def test_history_is_the_mean_a_head_with_its_spread():
    """By hand: 120/12, 100/8 and 150/10 ml a head are 10, 12.5 and 15; mean 12.5, sample deviation 2.5."""
    found = a_head([(120_000, 12), (100_000, 8), (150_000, 10)])
    assert (found.mean_milli, found.spread_milli, found.lessons) == (12_500, 2_500, 3)
    assert found.words("ml") == "12.5 ml a head, the mean of 3 lessons (10 ml to 15 ml, standard deviation 2.5 ml)"
    assert a_head([]) is None
    assert a_head([(90_000, 9)]).spread_milli is None
    assert "how much it varies is not known" in a_head([(90_000, 9)]).words("ml")
    with pytest.raises(ValueError, match="no use of a class"):
        a_head([(1, 0)])


def tube(pk, left, *, is_open=False, at_hand=True, age=0):
    return TubeLeft(pk, left, is_open, at_hand, (age,))


@pytest.mark.parametrize(
    ("need", "taken", "lacking"),
    [
        (10, {3: 10}, 0),
        (40, {3: 30, 2: 10}, 0),
        (130, {3: 30, 2: 50, 1: 50}, 0),
        (140, {3: 30, 2: 50, 1: 50, 4: 10}, 0),
        (200, {3: 30, 2: 50, 1: 50, 4: 40}, 30),
        (0, {}, 0),
    ],
)
def test_open_tubes_at_hand_come_first_then_the_oldest(need, taken, lacking):
    tubes = [tube(1, 50, age=5), tube(2, 50, age=1), tube(3, 30, is_open=True, age=9), tube(4, 40, at_hand=False)]
    assert split(need, tubes) == (taken, lacking)


def test_lessons_take_in_turn_from_their_places():
    white = (7, "ml")
    needs = [Need(1, white, 60, place=1), Need(2, white, 50), Need(3, white, 60, place=1), Need(4, white, 30)]
    found = taken_in_turn(needs, {white: {1: 100, 2: 40, None: 5}})
    assert [one.before_milli for one in found] == [100, 85, 35, 0]
    assert [one.short_milli for one in found] == [0, 0, 25, 30], "the second lesson spares the place of the others"
    assert taken_in_turn([Need(1, (9, "g"), 5)], {})[0].short_milli == 5


TODAY = date(2026, 1, 10)
ORDER_CASES = [
    (date(2026, 3, 12), 10, [date(2026, 2, 3), date(2026, 3, 20)], date(2026, 3, 1), date(2026, 2, 3)),
    (date(2026, 3, 12), 10, [], date(2026, 3, 1), None),
    (date(2026, 3, 12), 10, [date(2026, 1, 2), date(2026, 3, 2)], date(2026, 3, 1), None),
    (date(2026, 3, 12), 0, [date(2026, 3, 11)], date(2026, 3, 11), date(2026, 3, 11)),
    (date(2026, 3, 12), None, [date(2026, 2, 3)], None, None),
]


@pytest.mark.parametrize(("needed", "lead", "days", "by", "house_day"), ORDER_CASES)
def test_it_must_be_there_the_day_before(needed, lead, days, by, house_day):
    found = order_by(needed, TODAY, lead, days)
    assert (found.by, found.house_day) == (by, house_day)


def test_one_sentence_says_what_runs_short_and_when_to_order():
    when = order_by(date(2026, 3, 12), TODAY, 10, [date(2026, 2, 3)])
    assert short_sentence("Titanium White", 120_000, "ml", when) == (
        "Titanium White runs short by 120 ml on 12 March; order by 1 March (delivery takes 10 days); "
        "the last order date before is 3 February."
    )
    late = order_by(date(2026, 1, 15), TODAY, 10, [])
    assert "had to be ordered by 4 January (delivery takes 10 days): too late" in short_sentence("Ochre", 1, "ml", late)
    unknown = order_by(date(2026, 3, 12), TODAY, None, [])
    assert "the lead time is not known" in short_sentence("Ochre", 1_000, "ml", unknown)
    with pytest.raises(ValueError, match="lead_days"):
        order_by(date(2026, 3, 12), TODAY, -1, [])


@pytest.mark.parametrize(
    ("first", "second", "weeks"),
    [
        (date(2026, 1, 5), date(2026, 1, 5), 0),
        (date(2026, 1, 5), date(2026, 4, 13), 14),
        (date(2026, 1, 7), date(2026, 4, 13), 14),
        (date(2026, 4, 13), date(2026, 1, 7), -14),
        (date(2025, 12, 28), date(2026, 1, 5), 2),
    ],
)
def test_terms_are_whole_weeks_apart(first, second, weeks):
    assert weeks_between(first, second) == weeks


def test_a_room_is_booked_twice_when_times_overlap():
    rows = [Booked(1, 5, 10, 12), Booked(2, 5, 12, 14), Booked(3, 5, 13, 15), Booked(4, 6, 10, 20), Booked(5, 5, 9, 20)]
    assert sorted(clashes(rows)) == [(2, 3), (5, 1), (5, 2), (5, 3)]
