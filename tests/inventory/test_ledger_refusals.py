"""What the ledger refuses, in words that name the field, the value and the remedy, and what it takes back."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory import services
from inventory.models import Binder, Entry, EntryKind, OwnerKind, Paint, Place, Tube, TubeState

pytestmark = pytest.mark.django_db

# No database column holds it: the largest bigint is 9223372036854775807.
HUGE = 10**30


@pytest.fixture
def sink(studio):
    return Place.objects.create(studio=studio, name="Sink shelf")


def refused(field, words):
    """The refusal names this one field, and says this."""

    def check(error):
        messages = error.message_dict
        assert list(messages) == [field]
        return words in messages[field][0]

    return pytest.raises(ValidationError, check=check)


class TestFigures:
    @pytest.mark.parametrize(
        ("service", "field", "arguments"),
        [
            (services.record_use, "amount", {"amount_milli": HUGE}),
            (services.estimate_left, "left", {"left_milli": HUGE}),
            (services.weigh, "gross", {"gross_milli_g": HUGE}),
            (services.weigh, "tare", {"gross_milli_g": 1_000, "tare_milli_g": HUGE}),
        ],
    )
    def test_a_figure_beyond_any_container(self, tube, member, service, field, arguments):
        with refused(field, "is more than any container holds: check the figure and its unit."):
            service(tube, by=member, **arguments)

    @pytest.mark.parametrize(("field", "argument"), [("nominal_milli", "nominal_milli"), ("tare", "tare_milli_g")])
    def test_a_delivery_beyond_any_container(self, studio, paint, keeper, field, argument):
        with refused(field, "is more than any container holds"):
            services.receive(studio, paint, unit="ml", by=keeper, **{"nominal_milli": 37_000} | {argument: HUGE})

    @pytest.mark.parametrize("pk", [HUGE, 0, -1])
    def test_an_id_that_no_tube_has(self, studio, tube, member, pk):
        with refused("tubes", f"There is no tube with the id {pk} on this shelf any more"):
            services.record_use_of_many({tube.pk: 1_000, pk: 1_000}, studio=studio, by=member)
        assert tube.entries.count() == 1

    def test_a_correction_beyond_any_container(self, tube, member):
        with refused("amount", "outside 0 to 37 ml: correct the later entries first."):
            services.correct(tube.entries.get(), by=member, change_milli=HUGE, reason="Typed wrongly.")

    @pytest.mark.parametrize("service", [services.estimate_left])
    def test_nothing_left_is_a_figure_but_less_is_not(self, tube, member, service):
        with refused("left", "Enter an amount of 0 or more, not -1 ml."):
            service(tube, left_milli=-1_000, by=member)
        assert service(tube, left_milli=0, by=member).change_milli == -37_000

    def test_an_empty_container_holds_nothing(self, studio, paint, keeper):
        with refused("state", "An empty container does not hold 37 ml: mark it open, or enter 0."):
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, state=TubeState.EMPTY)


class TestTexts:
    def test_a_note_that_is_too_long(self, tube, member):
        services.record_use(tube, amount_milli=1_000, by=member, note="n" * 300)
        with refused("note", "The note has 301 characters, and at most 300 are kept: shorten it."):
            services.record_use(tube, amount_milli=1_000, by=member, note="n" * 301)

    def test_a_note_that_leaves_no_room_for_what_the_scale_says(self, tube, member):
        """Nothing is cut off: neither what the person wrote nor the arithmetic."""
        words = "61 g with its container, whose own weight is not known."
        entry = services.weigh(tube, gross_milli_g=61_000, by=member, note="n" * (299 - len(words)))
        assert entry.note == f"{'n' * (299 - len(words))} {words}"
        with refused("note", f"The note has 300 characters, and at most {299 - len(words)} are kept: shorten it."):
            services.weigh(tube, gross_milli_g=61_000, by=member, note="n" * 300)

    @pytest.mark.parametrize(
        ("field", "deed"),
        [
            ("to", lambda tube, by: services.lend(tube, to="t" * 298, by=by)),
            ("reason", lambda tube, by: services.correct(tube.entries.get(), by=by, change_milli=0, reason="r" * 301)),
            ("key", lambda tube, by: services.record_use(tube, amount_milli=1, by=by, key="k" * 65)),
            ("note", lambda tube, by: services.record_use(tube, amount_milli=1, by=by, note="a\x00b")),
            ("key", lambda tube, by: services.finish(tube, by=by, key="a\x00b")),
        ],
    )
    def test_a_text_that_cannot_be_kept(self, tube, member, field, deed):
        with refused(field, f"The {field} "):
            deed(tube, member)
        assert Entry.objects.count() == 1

    def test_a_key_that_several_entries_share_leaves_room_for_their_numbers(self, studio, paint, keeper):
        deliver = {"nominal_milli": 37_000, "unit": "ml", "by": keeper, "count": 500}
        with refused("key", "The key has 61 characters, and at most 60 are kept"):
            services.receive(studio, paint, key="k" * 61, **deliver)
        assert len(services.receive(studio, paint, key="k" * 60, **deliver)) == 500

    def test_a_time_without_a_zone(self, tube, member):
        with refused("at", "The time 2026-03-01 10:00 has no time zone: add one, such as +01:00."):
            services.record_use(tube, amount_milli=1, by=member, at=datetime(2026, 3, 1, 10))  # noqa: DTZ001

    def test_a_time_to_come(self, tube, member):
        with refused("at", "is still to come: enter when it happened."):
            services.record_use(tube, amount_milli=1, by=member, at=timezone.now() + timedelta(days=2))


class TestTakenAwayMeanwhile:
    def test_a_place_removed_in_another_tab(self, tube, member, sink):
        Place.objects.filter(pk=sink.pk).update(removed_at=timezone.now())
        with refused("place", "The place Sink shelf was taken away meanwhile: choose another."):
            services.move(tube, place=sink, by=member)

    def test_a_place_deleted_in_another_tab(self, studio, paint, keeper, sink):
        Place.objects.filter(pk=sink.pk).delete()
        with refused("place", "The place Sink shelf was taken away meanwhile: choose another."):
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=sink)

    def test_the_place_that_an_undo_would_bring_it_back_to(self, tube, member, place, sink):
        entry = services.move(tube, place=sink, by=member)
        Place.objects.filter(pk=place.pk).update(removed_at=timezone.now())
        with refused("place", "The place Oil shelf was taken away meanwhile: choose another."):
            services.undo(entry, by=member)

    @pytest.mark.parametrize(
        "deed",
        [
            lambda tube, by: services.record_use(tube, amount_milli=1_000, by=by),
            lambda tube, by: services.weigh(tube, gross_milli_g=1_000, by=by),
            lambda tube, by: services.estimate_left(tube, left_milli=1_000, by=by),
            lambda tube, by: services.finish(tube, by=by),
            lambda tube, by: services.lend(tube, to="Ines", by=by),
            lambda tube, by: services.move(tube, place=tube.place, by=by),
        ],
    )
    def test_a_tube_that_is_no_longer_there(self, studio, paint, place, member, deed):
        """Its entries keep a tube from being deleted; one that was never received has none."""
        tube = Tube.objects.create(studio=studio, number=9, item=paint, nominal_milli=37_000, place=place)
        Tube.objects.filter(pk=tube.pk).delete()
        with refused("tube", "This tube is not on the shelf any more: look at the shelf again."):
            deed(tube, member)

    def test_a_paint_deleted_meanwhile(self, studio, keeper):
        paint = Paint.objects.create(studio=studio, name="Zinc White", binder=Binder.OIL)
        seen = Paint.objects.get(pk=paint.pk)
        paint.delete()
        with refused("item", "Zinc White was taken off the shelf meanwhile: enter it again."):
            services.receive(studio, seen, nominal_milli=37_000, unit="ml", by=keeper)


class TestWhose:
    def test_a_paint_of_another_studio(self, other_studio, paint, stranger):
        with refused("item", "Ultramarine Blue is not one of this studio's paints and materials."):
            services.receive(other_studio, paint, nominal_milli=37_000, unit="ml", by=stranger)

    def test_an_owner_who_is_not_in_the_studio(self, studio, paint, keeper, stranger):
        whose = {"owner_kind": OwnerKind.MEMBER, "owner": stranger}
        with refused("owner", "stranger is not in Reed Lane: choose one of its people."):
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, **whose)


class TestKeys:
    """A key belongs to one request: the same again is one entry, another figure under it is not lost silently."""

    @pytest.mark.parametrize(
        ("first", "second"),
        [
            (
                lambda tube, by, sink: services.record_use(tube, amount_milli=1_000, by=by, key="tap"),
                lambda tube, by, sink: services.record_use(tube, amount_milli=2_000, by=by, key="tap"),
            ),
            (
                lambda tube, by, sink: services.estimate_left(tube, left_milli=20_000, by=by, key="tap"),
                lambda tube, by, sink: services.estimate_left(tube, left_milli=10_000, by=by, key="tap"),
            ),
            (
                lambda tube, by, sink: services.weigh(tube, gross_milli_g=20_000, by=by, key="tap"),
                lambda tube, by, sink: services.weigh(tube, gross_milli_g=10_000, by=by, key="tap"),
            ),
            (
                lambda tube, by, sink: services.move(tube, place=sink, by=by, key="tap"),
                lambda tube, by, sink: services.move(tube, place=tube.entries.last().place_after, by=by, key="tap"),
            ),
            (
                lambda tube, by, sink: services.lend(tube, to="Ines", by=by, key="tap"),
                lambda tube, by, sink: services.lend(tube, to="Tomas", by=by, key="tap"),
            ),
            (
                lambda tube, by, sink: services.finish(tube, by=by, key="tap"),
                lambda tube, by, sink: services.discard(tube, by=by, key="tap"),
            ),
        ],
    )
    def test_one_key_for_one_request(self, tube, member, sink, first, second):
        entry = first(tube, member, sink)
        assert first(Tube.objects.get(pk=tube.pk), member, sink) == entry
        with refused("key", "The key tap was used for another entry"):
            second(tube, member, sink)
        assert tube.entries.count() == 2

    def test_another_person_s_key(self, tube, member, keeper):
        services.record_use(tube, amount_milli=1_000, by=member, key="tap")
        with refused("key", "The key tap was used for another entry"):
            services.record_use(tube, amount_milli=1_000, by=keeper, key="tap")

    def test_a_delivery_sent_twice_is_one(self, studio, paint, keeper):
        deliver = {"nominal_milli": 37_000, "unit": "ml", "by": keeper, "count": 3, "key": "delivery"}
        first = services.receive(studio, paint, **deliver)
        assert services.receive(studio, paint, **deliver) == first
        studio.refresh_from_db()
        assert studio.last_tube_number == 3

    @pytest.mark.parametrize("other", [{"count": 2}, {"count": 4}, {"nominal_milli": 60_000}, {"unit": "g"}])
    def test_another_delivery_under_the_same_key(self, studio, paint, keeper, other):
        deliver = {"nominal_milli": 37_000, "unit": "ml", "by": keeper, "count": 3, "key": "delivery"}
        services.receive(studio, paint, **deliver)
        with refused("key", "The key delivery was used for another entry"):
            services.receive(studio, paint, **deliver | other)
        assert Tube.objects.count() == 3

    @pytest.mark.parametrize("key", ["Delivery", "deliver", "delivery/x"])
    def test_a_key_that_only_looks_alike(self, studio, paint, keeper, key):
        """SQLite compares without regard to case where a pattern is used."""
        deliver = {"nominal_milli": 37_000, "unit": "ml", "by": keeper}
        services.receive(studio, paint, key="delivery", count=2, **deliver)
        services.receive(studio, paint, key=key, **deliver)
        assert Tube.objects.count() == 3

    def test_a_use_of_many_sent_twice_is_one(self, studio, paint, keeper):
        tubes = services.receive(studio, paint, nominal_milli=10_000, unit="ml", by=keeper, count=3)
        amounts = {tube.pk: 1_000 for tube in tubes}
        first = services.record_use_of_many(amounts, studio=studio, by=keeper, key="class")
        assert services.record_use_of_many(amounts, studio=studio, by=keeper, key="class") == first
        assert Entry.objects.filter(kind=EntryKind.USED).count() == 3


class TestTakingBack:
    def test_an_older_move_when_nothing_else_moved_it(self, tube, member, place, sink):
        move = services.move(tube, place=sink, by=member)
        services.record_use(tube, amount_milli=1_000, by=member)
        services.undo(move, by=member)
        tube.refresh_from_db()
        assert (tube.place, tube.state, tube.balance) == (place, TubeState.OPEN, "36 ml")

    def test_an_older_move_when_it_was_moved_again(self, tube, studio, member, sink):
        move = services.move(tube, place=sink, by=member)
        services.move(tube, place=Place.objects.create(studio=studio, name="Drawer"), by=member)
        with refused("entry", "It was moved again since: member recorded 'moved' at"):
            services.undo(move, by=member)

    def test_the_first_of_two_uses_leaves_it_open(self, tube, member):
        first = services.record_use(tube, amount_milli=1_000, by=member)
        services.record_use(tube, amount_milli=2_000, by=member)
        services.undo(first, by=member)
        tube.refresh_from_db()
        assert (tube.balance, tube.state) == ("35 ml", TubeState.OPEN)
        assert tube.opened_on is not None

    def test_a_use_before_a_move_seals_it_again_where_it_stands(self, tube, member, sink):
        use = services.record_use(tube, amount_milli=1_000, by=member)
        services.move(tube, place=sink, by=member)
        services.undo(use, by=member)
        tube.refresh_from_db()
        assert (tube.balance, tube.state, tube.place) == ("37 ml", TubeState.SEALED, sink)

    @pytest.mark.parametrize(
        ("look", "kind"),
        [
            (lambda tube, by: services.finish(tube, by=by), "used"),
            (lambda tube, by: services.discard(tube, by=by), "discarded"),
            (lambda tube, by: services.estimate_left(tube, left_milli=10_000, by=by), "counted"),
        ],
    )
    def test_a_use_from_before_somebody_looked(self, tube, member, keeper, look, kind):
        """A finished tube stays finished, and a counted one keeps its count, whatever was typed before."""
        use = services.record_use(tube, amount_milli=20_000, by=member)
        looked = look(tube, keeper)
        with refused("entry", f"keeper recorded '{kind}' at"):
            services.correct(use, by=member, change_milli=-2_000, reason="Typed 20 for 2.")
        services.undo(looked, by=keeper)
        services.correct(use, by=member, change_milli=-2_000, reason="Typed 20 for 2.")
        tube.refresh_from_db()
        assert tube.balance == "35 ml"

    def test_an_estimate_taken_back_is_no_estimate_any_more(self, tube, member):
        estimate = services.estimate_left(tube, left_milli=18_000, by=member)
        undone = services.undo(estimate, by=member)
        tube.refresh_from_db()
        assert (tube.balance, tube.balance_is_estimate) == ("37 ml", False)
        services.undo(undone, by=member)
        tube.refresh_from_db()
        assert (tube.balance, tube.balance_is_estimate) == ("18 ml", True)

    def test_finishing_taken_back_is_an_estimate_again(self, tube, member):
        services.estimate_left(tube, left_milli=18_000, by=member)
        services.undo(services.finish(tube, by=member), by=member)
        tube.refresh_from_db()
        assert (tube.balance, tube.balance_is_estimate) == ("18 ml", True)

    def test_a_delivery_taken_back_leaves_nothing(self, tube, member):
        services.undo(tube.entries.get(), by=member)
        tube.refresh_from_db()
        assert (tube.balance_milli, tube.state) == (0, TubeState.EMPTY)

    @pytest.mark.parametrize(
        ("kind", "change", "words"),
        [
            (EntryKind.RECEIVED, -1, "A delivery cannot take paint away"),
            (EntryKind.USED, 1, "A use cannot add paint"),
            (EntryKind.MOVED, -1, "'Moved' has no amount: enter 0 to undo it."),
        ],
    )
    def test_an_amount_that_the_entry_cannot_have_had(self, tube, member, sink, kind, change, words):
        services.move(tube, place=sink, by=member)
        services.record_use(tube, amount_milli=1_000, by=member)
        with refused("amount", words):
            services.correct(tube.entries.get(kind=kind), by=member, change_milli=change, reason="Typed wrongly.")


def test_an_entry_says_what_it_found_not_what_an_old_page_showed(tube, member, place, sink):
    """A page from before: the tube was moved, opened and taken from since."""
    old_page = Tube.objects.get(pk=tube.pk)
    services.move(tube, place=sink, by=member)
    services.record_use(tube, amount_milli=7_000, by=member, at=datetime(2026, 3, 1, 10, tzinfo=UTC))
    entry = services.record_use(old_page, amount_milli=1_000, by=member)
    assert (entry.state_before, entry.place_before) == (TubeState.OPEN, sink)
    assert (old_page.balance, old_page.place, str(old_page.opened_on)) == ("29 ml", sink, "2026-03-01")


def test_a_delivery_costs_the_same_for_any_number_of_tubes(studio, paint, keeper, place, django_assert_max_num_queries):
    with django_assert_max_num_queries(40) as few:
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=1)
    with django_assert_max_num_queries(len(few)):
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=40)


def test_a_use_costs_a_bounded_number_of_queries(tube, member, django_assert_max_num_queries):
    """Two savepoints of two statements each, the key, the tube, the entry, the balance."""
    with django_assert_max_num_queries(8):
        services.record_use(tube, amount_milli=1_000, by=member, key="tap")
