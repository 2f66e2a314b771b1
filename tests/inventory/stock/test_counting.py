"""Which containers a count means, and what it changes: worked by hand, and against trying every way."""

from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.stock.counting import Booked, Change, Later, Since, match, posted_change, since

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def book(key, left, *, is_sealed=False):
    return Booked(key, is_sealed, left, 1_000)


def told(matched):
    return {seen.key: (seen.state, seen.left_milli) for seen in matched.seen}


class TestMatch:
    def test_an_open_one_is_the_nearest_of_the_books(self):
        matched = match([book(1, 900), book(2, 480), book(3, 100)], sealed=0, opened=[500])
        assert (told(matched), matched.missing) == ({2: ("open", 500)}, (1, 3))

    def test_one_more_open_than_the_books_have_was_sealed(self):
        matched = match([book(1, 1_000, is_sealed=True), book(2, 400)], sealed=0, opened=[300, 800])
        assert told(matched) == {1: ("open", 800), 2: ("open", 300)}

    def test_what_the_books_lack_is_more(self):
        matched = match([book(1, 1_000, is_sealed=True)], sealed=3, opened=[500, None])
        assert (told(matched), matched.more_sealed, matched.more_open) == ({1: ("sealed", 1_000)}, 2, (500, None))

    def test_an_empty_one_is_the_emptiest_that_is_left(self):
        matched = match([book(1, 900), book(2, 100), book(3, 500)], sealed=0, opened=[], empty=1)
        assert (told(matched), matched.missing) == ({2: ("empty", 0)}, (1, 3))

    @pytest.mark.parametrize("count", [{"sealed": -1}, {"sealed": 0, "empty": -1}])
    def test_a_negative_count_is_refused(self, count):
        with pytest.raises(ValueError, match="Containers are counted from 0, not -1"):
            match([], opened=[], **count)

    @given(
        st.lists(st.integers(0, 1_000), min_size=1, max_size=5).flatmap(
            lambda lefts: st.tuples(st.just(lefts), st.lists(st.integers(0, 1_000), max_size=len(lefts)))
        )
    )
    def test_no_other_way_is_nearer(self, drawn):
        lefts, fills = drawn
        seen = match([book(key, left) for key, left in enumerate(lefts)], sealed=0, opened=fills).seen
        cost = sum(abs(lefts[each.key] - each.left_milli) for each in seen)
        ways = permutations(range(len(lefts)), len(fills))
        assert cost == min(sum(abs(lefts[key] - fill) for key, fill in zip(way, fills, strict=True)) for way in ways)

    @given(st.lists(st.tuples(st.booleans(), st.integers(0, 1_000)), max_size=8), st.integers(0, 5), st.integers(0, 3),
           st.lists(st.one_of(st.none(), st.integers(0, 1_000)), max_size=6))  # fmt: skip
    def test_nothing_is_lost_or_counted_twice(self, shelf, sealed, empty, opened):
        books = [
            book(n, 1_000 if is_sealed else left, is_sealed=is_sealed) for n, (is_sealed, left) in enumerate(shelf)
        ]
        matched = match(books, sealed=sealed, opened=opened, empty=empty)
        keys = [seen.key for seen in matched.seen] + list(matched.missing)
        assert sorted(keys) == list(range(len(books)))
        states = [seen.state for seen in matched.seen]
        assert states.count("sealed") + matched.more_sealed == sealed
        assert states.count("open") + len(matched.more_open) == len(opened)


def later(key, change, **more):
    at = more.pop("at", NOON + timedelta(minutes=5))
    return Later(key, change, more.pop("corrects", None), at, more.pop("written_at", at), **more)


@pytest.mark.parametrize(
    ("entries", "expected"),
    [
        ([], Since(0, None)),
        ([later(11, -5)], Since(0, None)),
        ([later(11, -5, settles=True)], Since(0, 11)),
        # A correction of the entry 7, which the count had before it, and one of that correction.
        ([later(11, 3, corrects=7), later(12, -1, corrects=11)], Since(2, None)),
        # Told afterwards: it happened an hour before the count.
        ([later(11, -5, at=NOON - timedelta(hours=1), written_at=NOON + timedelta(hours=1))], Since(-5, None)),
        # A clock that was set back: both times are early, so it was written at once.
        ([later(11, -5, at=NOON - timedelta(hours=1))], Since(0, None)),
        # The newer look was taken back.
        ([later(11, -5, settles=True), later(12, 5, corrects=11)], Since(0, None)),
    ],
)
def test_what_was_written_since_is_before_or_after_the_count(entries, expected):
    assert since(NOON, 10, entries) == expected


@pytest.mark.parametrize(
    ("found", "books", "before", "now", "change"),
    [
        (15, 20, 0, 20, Change(-5, 0)),
        (15, 20, 0, 14, Change(-5, 0)),  # 6 used since
        (15, 20, -5, 15, Change(0, 0)),  # 5 used before, told afterwards
        (2, 20, 0, 5, Change(-5, -13)),
        (40, 20, 0, 35, Change(5, 15)),
    ],
)
def test_the_posted_change_is_found_against_the_books_of_then_applied_to_now(found, books, before, now, change):
    assert (
        posted_change(found_milli=found, book_milli=books, before_milli=before, now_milli=now, size_milli=40) == change
    )
