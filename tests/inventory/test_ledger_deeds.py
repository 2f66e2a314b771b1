"""What can be used, whose it is, who has it, what a weighing learns, and how figures that were seen are put right."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory import services
from inventory.models import (
    Binder,
    Condition,
    EntryKind,
    Item,
    OwnerKind,
    Paint,
    PaintPigment,
    Pigment,
    Place,
    ReorderLevel,
    Tube,
    TubeState,
)
from inventory.queries.levels import levels
from inventory.queries.paint_sets import Asked, Of, paint_set
from inventory.queries.palette import paints_in_stock
from inventory.queries.reorder import reorder_advice

pytestmark = pytest.mark.django_db


def now(tube):
    return Tube.objects.get(pk=tube.pk)


class TestExamining:
    def test_a_tube_that_dried_up_counts_for_nothing_and_stays_in_the_books(self, studio, paint, tube, member, keeper):
        ReorderLevel.objects.create(item=paint, level_tubes=1, set_by=keeper)
        assert not levels(studio)[0].is_short
        services.examine(tube, condition=Condition.DRIED, by=member)
        assert (now(tube).condition, now(tube).balance) == ("dried", "37 ml")
        assert levels(studio)[0].is_short
        assert not paints_in_stock(studio).exists()
        assert reorder_advice(studio)[0].situation.held_milli == 0

    def test_it_is_taken_back_and_that_again(self, tube, member):
        looked = services.examine(tube, condition=Condition.MOULDY, by=member)
        undone = services.undo(looked, by=member)
        assert now(tube).condition == Condition.USABLE
        services.undo(undone, by=member)
        assert now(tube).condition == Condition.MOULDY

    def test_an_older_look_is_not_taken_back_when_somebody_looked_again(self, tube, member):
        looked = services.examine(tube, condition=Condition.MOULDY, by=member)
        services.examine(tube, condition=Condition.DRIED, by=member)
        with pytest.raises(ValidationError, match="It was looked at again since: member recorded 'looked at'"):
            services.undo(looked, by=member)

    @pytest.mark.parametrize(
        ("what", "words"),
        [
            ({"condition": "boiled"}, "There is no condition 'boiled'"),
            ({"condition": Condition.OTHER}, "Say in the note why it cannot be used"),
        ],
    )
    def test_what_is_no_condition(self, tube, member, what, words):
        with pytest.raises(ValidationError, match=words):
            services.examine(tube, by=member, **what)

    def test_sent_twice_is_one_entry(self, tube, member):
        one = services.examine(tube, condition=Condition.DRIED, by=member, key="tap")
        assert services.examine(tube, condition=Condition.DRIED, by=member, key="tap") == one
        with pytest.raises(ValidationError, match="was used for another entry"):
            services.examine(tube, condition=Condition.MOULDY, by=member, key="tap")


class TestWhose:
    def test_a_lent_tube_is_not_lent_again(self, tube, member):
        services.lend(tube, to="Wren", by=member)
        with pytest.raises(ValidationError, match=r"is lent already, to Wren \(member recorded 'lent'"):
            services.lend(tube, to="Pia", by=member)
        services.return_loan(tube, by=member)
        services.lend(tube, to="Pia", by=member)

    def test_what_is_not_lent_is_not_brought_back(self, tube, member):
        with pytest.raises(ValidationError, match="is not lent, so it cannot be brought back"):
            services.return_loan(tube, by=member)

    def test_a_change_of_owner_is_an_entry_and_leaves_the_studio_s_stock(self, studio, paint, tube, member, keeper):
        entry = services.give(tube, owner_kind=OwnerKind.MEMBER, owner=member, by=keeper, note="Bought it.")
        assert (entry.kind, entry.change_milli) == (EntryKind.MOVED, 0)
        assert entry.note == "Now member's own. Before: the studio's. Bought it."
        assert not paints_in_stock(studio).exists()
        assert paint_set(studio, Asked(Of.PERSON, member.pk)).palettes[0].left_out[0].paint == paint
        services.undo(entry, by=keeper)
        assert (now(tube).owner_kind, now(tube).owner) == (OwnerKind.STUDIO, None)
        stayed = services.move(tube, place=Place.objects.create(studio=studio, name="Sink"), by=keeper)
        services.move(tube, place=stayed.place_after, by=member)
        with pytest.raises(ValidationError, match="This entry moved nothing"):
            services.undo(tube.entries.first(), by=keeper)

    def test_what_its_owner_shares_counts_for_the_studio_again(self, studio, paint, tube, member, keeper):
        ReorderLevel.objects.create(item=paint, level_tubes=1, set_by=keeper)
        services.give(tube, owner_kind=OwnerKind.MEMBER, owner=member, by=keeper)
        assert levels(studio)[0].is_short
        services.share(tube, shared=True, by=member)
        assert not levels(studio)[0].is_short
        assert list(paints_in_stock(studio)) == [paint]
        assert reorder_advice(studio)[0].situation.held_milli == 37_000
        services.give(tube, owner_kind=OwnerKind.STUDIO, by=keeper)
        assert not now(tube).shared

    @pytest.mark.parametrize(
        ("whose", "words"),
        [
            ({"owner_kind": "nobody"}, "There is no owner of the kind 'nobody'"),
            ({"owner_kind": "member"}, "Name the member"),
            ({"owner_kind": "studio"}, "is the studio's already"),
            ({"owner_kind": "class", "owner_class": "c" * 81}, "at most 80 are kept"),
        ],
    )
    def test_an_owner_that_cannot_be(self, tube, keeper, whose, words):
        with pytest.raises(ValidationError, match=words):
            services.give(tube, by=keeper, **whose)

    def test_an_owner_of_another_studio(self, tube, keeper, stranger):
        with pytest.raises(ValidationError, match="stranger is not in this studio"):
            services.give(tube, owner_kind="member", owner=stranger, by=keeper)

    def test_the_studio_s_own_is_not_shared(self, tube, keeper):
        with pytest.raises(ValidationError, match="is the studio's own"):
            services.share(tube, shared=True, by=keeper)


class TestWeighing:
    @pytest.fixture
    def empties(self, studio, paint, keeper):
        """Two finished tubes of 37 ml, which weigh 8 g and 9 g."""
        tubes = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, count=2)
        for tube, grams in zip(tubes, (8_000, 9_000), strict=True):
            services.finish(tube, by=keeper)
            services.weigh(tube, gross_milli_g=grams, by=keeper)
        return tubes

    def test_an_empty_one_gives_its_own_weight(self, empties):
        entry = empties[0].entries.first()
        assert (entry.change_milli, entry.note) == (0, "The empty container weighs 8 g.")
        assert now(empties[0]).tare_milli_g == 8_000

    def test_its_likes_learn_from_it(self, paint, tube, empties, member):
        """By hand: tare 8.5 g; 40 - 8.5 = 31.5 g; at 1.5 g/ml that is 21 ml."""
        Item.objects.filter(pk=paint.pk).update(density_milli=1_500)
        entry = services.weigh(now(tube), gross_milli_g=40_000, by=member)
        assert now(tube).balance == "21 ml"
        assert now(tube).balance_is_estimate
        assert "container 8.5 g, the mean of 2 empty ones, 8 to 9 g" in entry.note
        assert now(tube).tare_milli_g is None

    def test_an_empty_one_that_is_too_heavy_is_refused(self, empties, member):
        with pytest.raises(ValidationError, match="is more than an empty container of its size"):
            services.weigh(empties[0], gross_milli_g=400_000, by=member)

    def test_a_full_one_gives_the_density(self, paint, tube, member):
        """By hand: (70 - 10) / 37 = 1.6216 g/ml; the tube stays full."""
        services.weigh(tube, gross_milli_g=70_000, tare_milli_g=10_000, is_full=True, by=member)
        paint.refresh_from_db()
        assert (paint.density_milli, paint.density_is_estimate) == (1_622, True)
        assert (now(tube).balance, now(tube).state) == ("37 ml", TubeState.SEALED)

    def test_an_open_one_does_not(self, tube, member):
        services.record_use(tube, amount_milli=1_000, by=member)
        with pytest.raises(ValidationError, match="is open, so it need not be full"):
            services.weigh(tube, gross_milli_g=70_000, tare_milli_g=10_000, is_full=True, by=member)

    def test_an_entered_density_is_not_overwritten(self, paint, tube, member):
        Item.objects.filter(pk=paint.pk).update(density_milli=1_500)
        with pytest.raises(ValidationError, match=r"A density of 1\.5 g/ml was entered"):
            services.weigh(now(tube), gross_milli_g=70_000, tare_milli_g=10_000, is_full=True, by=member)

    def test_what_it_learned_is_forgotten_with_it(self, paint, tube, empties, member):
        """Also where an earlier one is taken back first, and where that is taken back again."""

        def learned():
            paint.refresh_from_db()
            return now(tube).tare_milli_g, paint.density_milli, paint.density_is_estimate

        full = services.weigh(tube, gross_milli_g=70_000, tare_milli_g=10_000, is_full=True, by=member)
        assert learned() == (10_000, 1_622, True)
        later = services.weigh(now(tube), gross_milli_g=50_000, tare_milli_g=11_000, density_milli=1_500, by=member)
        assert learned() == (11_000, 1_500, False)
        undone = services.undo(full, by=member)
        assert learned() == (11_000, 1_500, False)
        undone_later = services.undo(later, by=member)
        assert learned() == (None, None, False)
        assert undone_later.note == (
            "Undone: weighed. The container's weight is not known again. "
            f"The density of {paint.name} is not known again."
        )
        services.undo(undone_later, by=member)
        assert learned() == (11_000, 1_500, False)
        services.undo(undone, by=member)
        assert learned() == (11_000, 1_500, False)

        typed = services.weigh(now(tube), gross_milli_g=45_000, tare_milli_g=12_000, density_milli=1_400, by=member)
        Item.objects.filter(pk=paint.pk).update(density_milli=1_300)
        services.undo(typed, by=member)
        assert learned() == (11_000, 1_300, False), "a density that was typed since stays"
        weighed = empties[0].entries.first()
        corrected = services.correct_weighing(weighed, by=member, gross_milli_g=7_000, reason="Misread.")
        assert (now(empties[0]).tare_milli_g, now(empties[0]).state) == (7_000, TubeState.EMPTY)
        services.undo(corrected, by=member)
        assert now(empties[0]).tare_milli_g == 8_000
        services.undo(weighed_again := services.weigh(now(empties[0]), gross_milli_g=9_000, by=member), by=member)
        assert (weighed_again.facts, now(empties[0]).tare_milli_g) == ({"tare": [8_000, 9_000]}, 8_000)

    def test_sixty_one_grams_of_a_tube_in_ml_stay_grams(self, tube, member):
        entry = services.weigh_left(tube, net_milli_g=61_000, by=member)
        assert (entry.change_milli, now(tube).balance) == (0, "37 ml")
        assert "About 61 g left, give or take 1 g. Without a density this is not turned into ml" in entry.note

    def test_an_estimate_is_used_only_when_somebody_accepts_it(self, studio, member, keeper):
        white = Pigment.objects.create(
            ci_name="PW6",
            ci_full="Pigment White 6",
            hue_family="white",
            density_g_cm3=4.2,
            source="handbook",
            confidence="from memory",
        )
        paint = Paint.objects.create(studio=studio, name="Titanium White", binder=Binder.OIL)
        PaintPigment.objects.create(paint=paint, position=0, code="PW6", pigment=white)
        tube = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)[0]
        assert services.weigh(tube, gross_milli_g=50_000, tare_milli_g=8_000, by=member).change_milli == 0
        entry = services.weigh(tube, gross_milli_g=50_000, tare_milli_g=8_000, with_estimates=True, by=member)
        assert entry.is_estimate
        assert "by an estimated (from its pigments and binder) density" in entry.note
        assert 0 < now(tube).balance_milli < 37_000
        paint.refresh_from_db()
        assert paint.density_milli is None

    def test_a_little_more_than_full_is_full(self, studio, paint, keeper):
        """50.8 g in a tube of 50 g is within the errors of scale and tare; 55 g is not."""
        tube = services.receive(studio, paint, nominal_milli=50_000, unit="g", by=keeper)[0]
        services.weigh(tube, gross_milli_g=60_800, tare_milli_g=10_000, by=keeper)
        assert (now(tube).balance, now(tube).state) == ("50 g", TubeState.SEALED)
        with pytest.raises(ValidationError, match="more than the size of 50 g"):
            services.weigh(tube, gross_milli_g=65_000, tare_milli_g=10_000, by=keeper)


class TestPuttingRight:
    def test_a_count_is_corrected_and_later_uses_stay(self, tube, member, keeper):
        counted = services.estimate_left(tube, left_milli=20_000, by=member)
        services.record_use(tube, amount_milli=3_000, by=member)
        correction = services.correct_left(counted, by=keeper, left_milli=25_000, reason="Another tube was meant.")
        assert (correction.change_milli, now(tube).balance) == (5_000, "22 ml")

    def test_a_count_that_should_have_been_as_the_books_seals_it_again(self, tube, member):
        counted = services.estimate_left(tube, left_milli=20_000, by=member)
        services.correct_left(counted, by=member, left_milli=37_000, reason="It was full.")
        assert (now(tube).balance, now(tube).state) == ("37 ml", TubeState.SEALED)

    def test_a_weighing_is_corrected_by_what_the_scale_showed(self, paint, tube, member):
        """By hand, at 2 g/ml with a tare of 10 g: 60 g are 25 ml, 50 g are 20 ml; 4 ml were used since."""
        Item.objects.filter(pk=paint.pk).update(density_milli=2_000)
        weighed = services.weigh(now(tube), gross_milli_g=60_000, tare_milli_g=10_000, by=member)
        services.record_use(now(tube), amount_milli=4_000, by=member)
        correction = services.correct_weighing(weighed, by=member, gross_milli_g=50_000, reason="Misread.")
        assert (correction.gross_milli_g, now(tube).balance) == (50_000, "16 ml")
        assert correction.note.startswith("Misread. About 40 g left")

    @pytest.mark.parametrize(("left", "words"), [(38_000, "more than the size of 37 ml"), (-1, "of 0 or more")])
    def test_what_cannot_have_been_left(self, tube, member, left, words):
        counted = services.estimate_left(tube, left_milli=20_000, by=member)
        with pytest.raises(ValidationError, match=words):
            services.correct_left(counted, by=member, left_milli=left, reason="Misread.")

    def test_a_use_found_nothing(self, tube, member):
        used = services.record_use(tube, amount_milli=1_000, by=member)
        with pytest.raises(ValidationError, match="found nothing that could have been another figure"):
            services.correct_left(used, by=member, left_milli=1_000, reason="Misread.")


def test_the_ledger_is_in_the_order_of_writing_whatever_the_clock_says(tube, member):
    """The second use has an earlier time: it is still the second, and stands first in the history."""
    first = services.record_use(tube, amount_milli=1_000, by=member)
    second = services.record_use(tube, amount_milli=2_000, by=member, at=timezone.now() - timedelta(days=3))
    assert list(tube.entries.all())[:2] == [second, first]
    assert second.state_before == first.state_after
    services.undo(second, by=member)
    assert now(tube).balance == "36 ml"
