"""Counting a place: what people find, what is posted when paint was used meanwhile, and what is refused."""

import re
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory import services
from inventory.labels.counted import read_counted
from inventory.models import Binder, Condition, CountLine, Entry, EntryKind, FoundLine, Paint, Place, Tube, TubeState
from inventory.queries import stocktakes as queries
from inventory.queries.ledger import tubes_out_of_balance
from inventory.services import places, stocktakes
from inventory.services.stocktakes import Found

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubes(studio, paint, place, keeper):
    """Four tubes of 40 ml on the oil shelf, no. 1 to 4; the last two open with 20 ml and 30 ml."""
    made = services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, place=place, count=4)
    services.record_use(made[2], amount_milli=20_000, by=keeper)
    services.record_use(made[3], amount_milli=10_000, by=keeper)
    return made


@pytest.fixture
def stocktake(studio, place, member, tubes):
    return stocktakes.start(studio, place=place, by=member)


@pytest.fixture
def found(stocktake, member):
    def write(tube, by=member, key=None, **what):
        return stocktakes.count(stocktake, [Found(tube, **what)], by=by, key=key)[0]

    return write


@pytest.fixture
def post(stocktake, teacher):
    def post(missing="leave"):
        done = stocktakes.post(stocktake, by=teacher, reason="End of term", missing=missing)
        assert not tubes_out_of_balance().exists()
        return done

    return post


def now(tube):
    return Tube.objects.get(pk=tube.pk)


class TestPosting:
    def test_a_difference_becomes_an_entry_that_names_the_count(self, tubes, found, post, teacher):
        found(tubes[2], state=TubeState.OPEN, left_milli=15_000)
        done = post()
        entry = tubes[2].entries.first()
        assert (done.entries, entry.kind, entry.change_milli, entry.by) == (1, EntryKind.COUNTED, -5_000, teacher)
        assert entry.note == "Count of Oil shelf: End of term"
        assert entry.is_estimate
        assert (now(tubes[2]).balance, now(tubes[2]).balance_is_estimate) == ("15 ml", True)

    def test_what_is_as_in_the_books_writes_nothing(self, tubes, found, post):
        found(tubes[0])
        found(tubes[2], state=TubeState.OPEN, left_milli=20_000)
        before = Entry.objects.count()
        assert post().entries == 0
        assert Entry.objects.count() == before

    def test_the_newest_line_counts(self, tubes, found, post, keeper):
        found(tubes[2], left_milli=1_000)
        found(tubes[2], left_milli=18_000, by=keeper)
        post()
        assert now(tubes[2]).balance == "18 ml"
        assert CountLine.objects.count() == 2

    def test_what_was_used_after_counting_stays_used(self, tubes, found, post, member):
        """Found 15 of 20 ml, then 6 ml used: 5 ml were lacking, so 9 ml are left, not 15."""
        found(tubes[2], left_milli=15_000)
        services.record_use(tubes[2], amount_milli=6_000, by=member)
        post()
        assert now(tubes[2]).balance == "9 ml"

    def test_what_the_balance_cannot_take_is_said(self, stocktake, tubes, found, post, member):
        """Found 2 of 20 ml, then 15 ml used: 18 ml are lacking and 5 ml are there."""
        found(tubes[2], left_milli=2_000)
        services.record_use(tubes[2], amount_milli=15_000, by=member)
        said = queries.differences(stocktake)[0]
        assert (said.change_milli, said.clipped) == (-5_000, "13 ml less was found than fits what happened since.")
        post()
        assert now(tubes[2]).balance_milli == 0
        assert "13 ml less was found" in tubes[2].entries.first().note

    def test_a_use_told_afterwards_was_before_the_count(self, tubes, found, post, member):
        """Counted 15 of 20 ml; then somebody writes down that 5 ml had been used yesterday: nothing is lacking."""
        found(tubes[2], left_milli=15_000)
        services.record_use(tubes[2], amount_milli=5_000, by=member, at=timezone.now() - timedelta(days=1))
        post()
        assert now(tubes[2]).balance == "15 ml"

    def test_a_correction_of_an_earlier_entry_changes_what_the_books_should_have_said(self, tubes, found, post, keeper):
        found(tubes[2], left_milli=15_000)
        used = tubes[2].entries.get(kind=EntryKind.USED)
        services.correct(used, by=keeper, change_milli=-25_000, reason="Typed 20 for 25.")
        post()
        assert now(tubes[2]).balance == "15 ml"

    def test_a_weighing_after_the_count_stands(self, stocktake, tubes, found, post, member):
        found(tubes[2], left_milli=15_000)
        services.estimate_left(tubes[2], left_milli=12_000, by=member)
        assert "that figure stands" in queries.differences(stocktake)[0].why
        post()
        assert now(tubes[2]).balance == "12 ml"

    def test_one_that_was_taken_back_does_not(self, tubes, found, post, member):
        found(tubes[2], left_milli=15_000)
        services.undo(services.estimate_left(tubes[2], left_milli=12_000, by=member), by=member)
        post()
        assert now(tubes[2]).balance == "15 ml"

    def test_a_clock_that_was_set_back_does_not_turn_a_use_into_an_earlier_one(self, tubes, found, post, member):
        """Written at once, so its time and the time of writing agree, and the order of entries counts."""
        line = found(tubes[2], left_milli=15_000)
        CountLine.objects.filter(pk=line.pk).update(at=timezone.now() + timedelta(hours=1))
        services.record_use(tubes[2], amount_milli=6_000, by=member)
        post()
        assert now(tubes[2]).balance == "9 ml"

    def test_finished_and_sealed_change_the_state(self, tubes, found, post):
        found(tubes[3], state=TubeState.EMPTY, left_milli=0)
        found(tubes[2], state=TubeState.SEALED, left_milli=40_000)
        found(tubes[0], state=TubeState.OPEN)
        post()
        assert [(now(tube).state, now(tube).balance_milli) for tube in (tubes[3], tubes[2], tubes[0])] == [
            ("empty", 0),
            ("sealed", 40_000),
            ("open", 40_000),
        ]

    def test_unusable_is_written_with_what_it_was_before(self, tubes, found, post):
        found(tubes[3], condition=Condition.DRIED)
        post()
        entry = tubes[3].entries.first()
        assert (entry.kind, entry.condition_before, entry.condition_after) == ("examined", "usable", "dried")
        assert now(tubes[3]).condition == Condition.DRIED

    @pytest.mark.parametrize(("missing", "state", "balance"), [("leave", "open", 30_000), ("lost", "empty", 0)])
    def test_what_is_not_there_is_lost_only_when_somebody_says_so(self, tubes, found, post, missing, state, balance):
        found(tubes[3], seen=False)
        post(missing)
        assert (now(tubes[3]).state, now(tubes[3]).balance_milli) == (state, balance)
        if missing == "lost":
            entry = tubes[3].entries.first()
            assert (entry.kind, "Not found." in entry.note) == (EntryKind.DISCARDED, True)

    def test_what_was_used_or_lent_meanwhile_is_not_lost(self, tubes, found, post, member):
        services.lend(tubes[2], to="Wren", by=member)
        found(tubes[2], seen=False)
        found(tubes[3], seen=False)
        services.record_use(tubes[3], amount_milli=1_000, by=member)
        assert {each.why for each in post("lost").left} == {
            "lent to Wren, so it is left",
            "member recorded 'used' after the count, so it is left",
        }

    def test_a_tube_of_another_place_moves_here(self, studio, place, paint, keeper, found, post):
        sink = Place.objects.create(studio=studio, name="Sink shelf")
        stray = services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, place=sink)[0]
        found(stray)
        post()
        assert (now(stray).place, stray.entries.first().kind) == (place, EntryKind.MOVED)

    def test_unless_it_was_moved_again_meanwhile(self, studio, paint, keeper, found, post):
        sink, drawer = (Place.objects.create(studio=studio, name=name) for name in ("Sink shelf", "Drawer"))
        stray = services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, place=sink)[0]
        found(stray)
        services.move(stray, place=drawer, by=keeper)
        post()
        assert now(stray).place == drawer

    def test_what_the_books_do_not_have_is_received(self, stocktake, paint, place, member, post):
        stocktakes.find(stocktake, paint, containers=2, nominal_milli=37_000, unit="ml", by=member)
        assert post().received == 2
        assert Tube.objects.filter(item=paint, place=place, nominal_milli=37_000).count() == 2

    def test_posting_twice_posts_once(self, tubes, found, post):
        found(tubes[2], left_milli=15_000)
        post()
        before = Entry.objects.count()
        assert post().again
        assert Entry.objects.count() == before

    def test_all_or_nothing(self, stocktake, tubes, found, teacher, monkeypatch, paint, member):
        found(tubes[2], left_milli=15_000)
        stocktakes.find(stocktake, paint, containers=1, nominal_milli=37_000, unit="ml", by=member)
        before = Entry.objects.count()
        FoundLine.objects.update(left_milli=90_000)  # more than it can hold: the delivery is refused at the very end
        with pytest.raises(ValidationError, match="more than the container's size"):
            stocktakes.post(stocktake, by=teacher, reason="End of term")
        stocktake.refresh_from_db()
        assert (Entry.objects.count(), now(tubes[2]).balance, stocktake.posted_at) == (before, "20 ml", None)

    def test_each_entry_can_be_taken_back(self, studio, tubes, found, post, keeper):
        sink = Place.objects.create(studio=studio, name="Sink shelf")
        services.move(tubes[3], place=sink, by=keeper)
        before = Tube.objects.values().get(pk=tubes[3].pk)
        found(tubes[3], left_milli=7_000, condition=Condition.MOULDY)
        post()
        assert (now(tubes[3]).balance, now(tubes[3]).condition, str(now(tubes[3]).place)) == (
            "7 ml",
            "mouldy",
            "Oil shelf",
        )
        services.undo(tubes[3].entries.first(), by=keeper)
        assert Tube.objects.values().get(pk=tubes[3].pk) == before


class TestCounting:
    def test_one_count_of_a_place_is_open_at_a_time(self, studio, place, keeper, stocktake):
        with pytest.raises(ValidationError, match="Oil shelf is being counted already, begun by member"):
            stocktakes.start(studio, place=place, by=keeper)
        stocktakes.drop(stocktake)
        stocktakes.start(studio, place=place, by=keeper)

    def test_a_line_sent_twice_is_one(self, tubes, found):
        assert found(tubes[2], left_milli=1_000, key="k").pk == found(tubes[2], left_milli=1_000, key="k").pk
        assert CountLine.objects.count() == 1

    def test_a_paint_counted_as_a_whole(self, stocktake, paint, tubes, member, post):
        """Two sealed and the open ones at 20 and 30 of 40 ml: "half" is the first of them, the other is empty."""
        stocktakes.count_paint(
            stocktake, paint, read_counted("1 sealed, 1 about half, 1 empty"), by=member, key="t" * 16
        )
        again = stocktakes.count_paint(
            stocktake, paint, read_counted("1 sealed, 1 about half, 1 empty"), by=member, key="t" * 16
        )
        assert len(again[0]) == 4 == CountLine.objects.count()
        post("lost")
        assert [(now(tube).state, now(tube).balance_milli) for tube in tubes] == [
            ("sealed", 40_000),
            ("empty", 0),
            ("open", 20_000),
            ("empty", 0),
        ]

    def test_more_than_the_books_have_is_written_as_found(self, stocktake, paint, member, post):
        stocktakes.count_paint(stocktake, paint, read_counted("4 sealed, 3 about half"), by=member)
        found = FoundLine.objects.values_list("containers", "state", "left_milli").order_by("pk")
        assert list(found) == [(2, "sealed", None), (1, "open", 20_000)]
        assert post().received == 3

    @pytest.mark.parametrize(
        ("what", "words"),
        [
            ({"left_milli": 50_000}, "50 ml is more than the size of 40 ml"),
            ({"left_milli": -1}, "Enter an amount of 0 or more"),
            ({"state": "sealed", "left_milli": 1_000}, "A sealed container is full"),
            ({"state": "boiled"}, "There is no state 'boiled'"),
            ({"condition": "boiled"}, "There is no condition 'boiled'"),
        ],
    )
    def test_what_cannot_be(self, tubes, found, what, words):
        with pytest.raises(ValidationError, match=words):
            found(tubes[2], **what)
        assert not CountLine.objects.exists()

    def test_another_studio_s_tube_is_not_counted(self, found, other_studio, stranger):
        theirs = Paint.objects.create(studio=other_studio, name="Zinc White", binder=Binder.OIL)
        tube = services.receive(other_studio, theirs, nominal_milli=1_000, unit="ml", by=stranger)[0]
        with pytest.raises(ValidationError, match="is not one of this studio's containers"):
            found(tube)

    def test_nothing_is_added_to_a_posted_count(self, tubes, found, post):
        found(tubes[2])
        post()
        with pytest.raises(ValidationError, match="This count was posted by teacher meanwhile"):
            found(tubes[3])

    def test_nothing_counted_is_not_posted(self, stocktake, teacher):
        with pytest.raises(ValidationError, match="Nothing was counted yet"):
            stocktakes.post(stocktake, by=teacher, reason="End of term")

    @pytest.mark.parametrize("reason", ["", "   ", "r" * 121])
    def test_a_reason_is_given(self, stocktake, teacher, reason):
        with pytest.raises(ValidationError, match=r"Say why it was counted|has 121 characters"):
            stocktakes.post(stocktake, by=teacher, reason=reason)

    def test_a_place_taken_away_meanwhile_loses_nothing(self, studio, place, tubes, found, post, stocktake, teacher):
        found(tubes[2], left_milli=15_000)
        sink = Place.objects.create(studio=studio, name="Sink shelf")
        for tube in tubes:
            services.move(tube, place=sink, by=teacher)
        places.remove_place(place)
        with pytest.raises(ValidationError, match="Oil shelf was taken away while it was counted"):
            stocktakes.post(stocktake, by=teacher, reason="End of term")
        stocktakes.put_at(stocktake, sink, by=teacher)
        post()
        assert (now(tubes[2]).balance, now(tubes[2]).place) == ("15 ml", sink)


@pytest.fixture
def page(client, member, studio, stocktake):
    client.force_login(member)

    def send(name="", follow=True, **data):
        url = reverse(f"inventory:stocktake{name}", args=[studio.slug, stocktake.pk])
        return client.post(url, data, follow=follow) if data else client.get(url)

    return send


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


class TestPages:
    def test_a_count_from_the_first_tap_to_the_ledger(self, client, studio, teacher, tubes, page):
        assert "0 of 4 counted" in words_of(page())
        page("_count", key="k1", number="1", found="=")
        page("_count", key="k2", number="3", found="1/4")
        page("_count", key="k3", number="4", found="dried up")
        words = words_of(page("_count", key="k4", number="2", found="not there"))
        assert "4 of 4 counted" in words
        assert "Everything that the books have here was counted." in words
        client.force_login(teacher)
        words = words_of(page("_differences"))
        assert "10 ml less" in words
        assert "not there; it stays in the books" in words
        words = words_of(page("_post", reason="End of term", missing="lost"))
        assert "Posted: 3 entries written" in words
        assert [now(tube).balance for tube in tubes] == ["40 ml", "0 ml", "10 ml", "30 ml"]
        assert "so nothing was added" in words_of(page("_post", reason="End of term", missing="lost"))

    @pytest.mark.parametrize(
        ("typed", "refusal"),
        [
            ("1e9", "written with an exponent"),
            ("NaN", "it is no number"),
            ("-3", "it has a minus sign"),
            ("50 ml", "it is more than the container's size of 40 ml"),
            ("5 g", "it is in g, but this one is kept in ml"),
            ("purple", "“purple”"),
            ("", "write what is there"),
        ],
    )
    def test_what_cannot_be_read_stays_typed(self, page, typed, refusal):
        response = page("_count", key="k1", number="3", found=typed)
        assert response.status_code == 422
        assert refusal in words_of(response)
        assert f'value="{typed}"' in response.content.decode()
        assert not CountLine.objects.exists()

    @pytest.mark.parametrize(
        ("typed", "refusal"),
        [
            ("12.5 sealed", "sealed containers are counted whole"),
            ("-1", "it has a minus sign"),
            ("1e9", "written with an exponent"),
            ("NaN", "it is no number"),
            ("501 sealed", "more than 500 containers"),
            ("some", "names neither sealed containers nor how full"),
        ],
    )
    def test_a_count_of_a_paint_that_cannot_be_read_stays_typed(self, page, paint, typed, refusal):
        response = page("_count_paint", key="k1", item=paint.pk, counted=typed)
        assert response.status_code == 422
        assert refusal in words_of(response)
        assert f'value="{typed}"' in response.content.decode()

    def test_half_a_tube_is_an_open_one(self, page, paint):
        assert "is read as one open container, 50 % full" in words_of(
            page("_count_paint", key="k1", item=paint.pk, counted="1/2 tube")
        )

    @pytest.mark.parametrize(("number", "refusal"), [("99", "There is no tube 99"), ("12x", "is no tube number")])
    def test_a_number_that_no_tube_has(self, page, number, refusal):
        response = page("_count", key="k1", number=number, found="=")
        assert response.status_code == 422
        assert refusal in words_of(response)

    def test_a_sheet_is_typed_back_and_kept_while_one_line_is_wrong(self, page, studio, paint, keeper, tubes):
        stray = services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper)[0]
        typed = {"tube-1": "=", "tube-3": "1/4", "tube-4": "12.5.3", "number-1": str(stray.number), "other-1": "half"}
        response = page("_sheet", key="a-key-of-its-own", **typed)
        assert response.status_code == 422
        assert all(f'value="{value}"' in response.content.decode() for value in typed.values())
        assert not CountLine.objects.exists()
        page("_sheet", key="a-key-of-its-own", **typed | {"tube-4": "sealed"})
        page("_sheet", key="a-key-of-its-own", **typed | {"tube-4": "sealed"})
        lines = CountLine.objects.order_by("pk").values_list("tube__number", "state", "left_milli")
        assert list(lines) == [(1, "", None), (3, "open", 10_000), (4, "sealed", 40_000), (5, "open", 20_000)]

    def test_a_finished_tube_is_found_with_an_amount(self, page, tubes, keeper):
        services.finish(tubes[3], by=keeper)
        assert "is finished in the books: write how much is left" in words_of(
            page("_count", key="k1", number="4", found="=")
        )
        page("_count", key="k2", number="4", found="1/4")
        assert CountLine.objects.get().left_milli == 10_000

    def test_a_blind_count_shows_no_book_amounts(self, client, studio, place, member, tubes):
        client.force_login(member)
        blind = stocktakes.start(studio, place=place, by=member, blind=True)
        for name in ("stocktake", "stocktake_sheet"):
            words = words_of(client.get(reverse(f"inventory:{name}", args=[studio.slug, blind.pk])))
            assert "20 ml of 40 ml" not in words
            assert "As in the books" not in words
        pdf = client.get(reverse("inventory:stocktake_sheet_pdf", args=[studio.slug, blind.pk]))
        assert "open, 20 ml" not in text_of(pdf.content)

    def test_new_containers_are_written_down_and_taken_off(self, page, paint):
        page("_extra", key="a-key-of-its-own", item=paint.pk, count="2", size="37 ml", state="sealed", left="")
        page("_extra", key="a-key-of-its-own", item=paint.pk, count="2", size="37 ml", state="sealed", left="")
        line = FoundLine.objects.get()
        assert "2 of 37 ml, sealed; not in the books" in words_of(page())
        page("_take_off", line=line.pk)
        assert not FoundLine.objects.exists()

    def test_a_member_counts_and_a_teacher_posts(self, page):
        assert page("_post", reason="End of term", missing="leave").status_code == 403
        assert page("_differences").status_code == 403

    def test_a_count_of_a_place_that_is_gone_says_what_to_do(self, page, studio, place, tubes, keeper):
        sink = Place.objects.create(studio=studio, name="Sink shelf")
        for tube in tubes:
            services.move(tube, place=sink, by=keeper)
        places.remove_place(place)
        assert "Oil shelf was taken away while it was counted. Nothing is lost" in words_of(page())
        assert "This count is of Sink shelf now." in words_of(page("_place", place=sink.pk))

    def test_a_page_costs_the_same_for_any_number(
        self, client, page, studio, paint, place, keeper, django_assert_max_num_queries
    ):
        with django_assert_max_num_queries(16) as few:
            page()
        services.receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper, place=place, count=40)
        with django_assert_max_num_queries(len(few)):
            page()

    def test_a_count_left_lying_is_asked_about(self, studio, stocktake, tubes, found):
        found(tubes[0])
        assert list(queries.counts_left_lying(studio)) == []
        stocktake.started_at = timezone.now() - timedelta(days=3)
        stocktake.save()
        [matter] = queries.counts_left_lying(studio)
        assert "is not posted; 1 container was counted." in matter.sentence


def text_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


@pytest.mark.parametrize(("paper", "height"), [("A4", 841.89), ("Letter", 792)])
def test_the_printed_sheet_has_every_line_once(client, studio, place, paint, keeper, member, stocktake, paper, height):
    """Heights in points: ISO 216 A4, 297 mm; US Letter, 11 in."""
    services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=60)
    client.force_login(member)
    url = reverse("inventory:stocktake_sheet_pdf", args=[studio.slug, stocktake.pk])
    pdf = client.get(url, {"paper": paper}).content
    pages = PdfReader(BytesIO(pdf)).pages
    words = text_of(pdf)
    assert float(pages[0].mediabox[3]) == pytest.approx(height, abs=0.01)
    assert words.count("Ultramarine Blue") == 64
    assert all(f"Page {n} of {len(pages)}" in words for n in range(1, len(pages) + 1))
    assert words.count("open, 20 ml ") == 1
