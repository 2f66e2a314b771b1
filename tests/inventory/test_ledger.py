"""What happens to a tube: amounts, states, mistakes, double taps, and who else is at the shelf."""

from datetime import UTC, datetime

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.db.models import Sum

from inventory import services
from inventory.models import Binder, Entry, EntryKind, Paint, Place, Tube, TubeState
from inventory.models.ledger import AppendOnlyError

pytestmark = pytest.mark.django_db


def sum_of_entries(tube):
    return Entry.objects.filter(tube=tube).aggregate(total=Sum("change_milli"))["total"]


def test_receiving_writes_an_entry_for_each_tube(studio, paint, place, keeper):
    tubes = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place, count=3)
    assert [tube.number for tube in tubes] == [1, 2, 3]
    assert all(sum_of_entries(tube) == tube.balance_milli == 37_000 for tube in tubes)
    assert {tube.entries.get().kind for tube in tubes} == {EntryKind.RECEIVED}


def test_using_takes_the_amount_and_opens_the_tube(tube, member):
    entry = services.record_use(tube, amount_milli=12_500, by=member)
    assert (tube.balance, tube.state) == ("24.5 ml", TubeState.OPEN)
    assert (entry.change_milli, entry.by, entry.state_before) == (-12_500, member, TubeState.SEALED)
    assert sum_of_entries(tube) == 24_500


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (0, "Enter an amount above 0, not 0 ml"),
        (-5_000, "Enter an amount above 0, not -5 ml"),
        (37_001, "holds 37 ml, so 37.001 ml cannot be used"),
        (10**15, "more than any container holds"),
    ],
)
def test_an_amount_that_cannot_be_used_changes_nothing(tube, member, amount, words):
    with pytest.raises(ValidationError, match=words):
        services.record_use(tube, amount_milli=amount, by=member)
    tube.refresh_from_db()
    assert tube.balance_milli == 37_000
    assert tube.entries.count() == 1


def test_a_double_tap_is_one_entry(tube, member):
    first = services.record_use(tube, amount_milli=5_000, by=member, key="tap-1")
    second = services.record_use(tube, amount_milli=5_000, by=member, key="tap-1")
    assert first.pk == second.pk
    assert tube.balance_milli == 32_000


def test_a_key_of_another_entry_is_refused(tube, member):
    services.record_use(tube, amount_milli=5_000, by=member, key="tap-1")
    with pytest.raises(ValidationError, match="was used for another entry"):
        services.finish(tube, by=member, key="tap-1")


def test_finishing_writes_the_rest_as_used(tube, member):
    services.record_use(tube, amount_milli=30_000, by=member)
    entry = services.finish(tube, by=member)
    assert (entry.kind, entry.change_milli) == (EntryKind.USED, -7_000)
    assert (tube.state, tube.balance_milli) == (TubeState.EMPTY, 0)


def test_the_second_person_who_finishes_a_tube_is_told_who_was_first(tube, member, keeper):
    seen_by_second = Tube.objects.get(pk=tube.pk)
    services.finish(tube, by=member)
    with pytest.raises(ValidationError, match=r"is finished \(member recorded 'used'"):
        services.finish(seen_by_second, by=keeper)
    assert tube.entries.count() == 2


def test_moving_keeps_both_places(tube, studio, member):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    entry = services.move(tube, place=sink, by=member)
    assert (str(entry.place_before), str(entry.place_after)) == ("Oil shelf", "Sink shelf")
    assert tube.place == sink


def test_a_tube_is_not_moved_to_another_studios_place(tube, other_studio, member):
    elsewhere = Place.objects.create(studio=other_studio, name="Their shelf")
    with pytest.raises(ValidationError, match="not one of this studio's places"):
        services.move(tube, place=elsewhere, by=member)


class TestWeighing:
    def test_grams_stay_grams_without_a_density(self, tube, member):
        """61 g left of a 37 ml tube says nothing about ml: lead white and a phthalo differ several-fold."""
        entry = services.weigh(tube, gross_milli_g=61_000, tare_milli_g=0, by=member)
        assert entry.change_milli == 0
        assert entry.gross_milli_g == 61_000
        assert "About 61 g left, give or take 2 g. Without a density this is not turned into ml" in entry.note
        assert tube.balance_milli == 37_000

    def test_an_entered_density_gives_the_volume(self, tube, paint, member):
        Paint.objects.filter(pk=paint.pk).update(density_milli=1_500)
        tube.refresh_from_db()
        services.weigh(tube, gross_milli_g=40_000, tare_milli_g=10_000, by=member)
        assert tube.balance == "20 ml"
        assert not tube.balance_is_estimate

    def test_an_estimated_density_marks_the_balance(self, tube, paint, member):
        Paint.objects.filter(pk=paint.pk).update(density_milli=1_500, density_is_estimate=True)
        tube.refresh_from_db()
        services.weigh(tube, gross_milli_g=40_000, tare_milli_g=10_000, by=member)
        assert tube.balance_is_estimate

    def test_a_tube_kept_in_grams_needs_no_density(self, studio, paint, keeper):
        tube = services.receive(studio, paint, nominal_milli=200_000, unit="g", by=keeper)[0]
        services.weigh(tube, gross_milli_g=131_500, tare_milli_g=11_500, by=keeper)
        assert tube.balance == "120 g"

    def test_less_than_the_empty_tube_is_refused(self, tube, member):
        with pytest.raises(ValidationError, match="less than the empty container's 12 g"):
            services.weigh(tube, gross_milli_g=11_000, tare_milli_g=12_000, by=member)
        tube.refresh_from_db()
        assert tube.tare_milli_g is None

    def test_more_than_the_size_is_refused(self, studio, paint, keeper):
        tube = services.receive(studio, paint, nominal_milli=50_000, unit="g", by=keeper)[0]
        with pytest.raises(ValidationError, match="more than the size of 50 g"):
            services.weigh(tube, gross_milli_g=70_000, tare_milli_g=5_000, by=keeper)


class TestCorrecting:
    def test_a_wrong_amount_is_put_right_by_another_entry(self, tube, member, keeper):
        wrong = services.record_use(tube, amount_milli=20_000, by=member)
        correction = services.correct(wrong, by=keeper, change_milli=-2_000, reason="Typed 20 for 2.")
        tube.refresh_from_db()
        assert tube.balance == "35 ml"
        assert (correction.change_milli, correction.corrects) == (18_000, wrong)
        wrong.refresh_from_db()
        assert wrong.change_milli == -20_000

    def test_undoing_finished_brings_back_amount_and_state(self, tube, member):
        entry = services.finish(tube, by=member)
        services.undo(entry, by=member)
        tube.refresh_from_db()
        assert (tube.state, tube.balance_milli, tube.opened_on) == (TubeState.SEALED, 37_000, None)

    def test_undoing_a_move_brings_back_the_place(self, tube, studio, place, member):
        entry = services.move(tube, place=Place.objects.create(studio=studio, name="Sink"), by=member)
        services.undo(entry, by=member)
        tube.refresh_from_db()
        assert tube.place == place

    def test_an_entry_is_corrected_once(self, tube, member):
        entry = services.record_use(tube, amount_milli=1_000, by=member)
        services.undo(entry, by=member)
        with pytest.raises(ValidationError, match="corrected already, by member"):
            services.undo(entry, by=member)

    def test_a_correction_that_later_entries_forbid_is_refused(self, studio, paint, keeper):
        tube = services.receive(studio, paint, nominal_milli=10_000, unit="ml", by=keeper)[0]
        received = tube.entries.get()
        services.record_use(tube, amount_milli=8_000, by=keeper)
        with pytest.raises(ValidationError, match="would hold -3 ml, outside 0 to 10 ml"):
            services.correct(received, by=keeper, change_milli=5_000, reason="It was a 5 ml tube.")

    def test_a_correction_says_why(self, tube, member):
        entry = services.record_use(tube, amount_milli=1_000, by=member)
        with pytest.raises(ValidationError, match="Say what was wrong"):
            services.correct(entry, by=member, change_milli=0, reason=" ")


class TestAppendOnly:
    def test_the_model_refuses(self, tube):
        entry = tube.entries.get()
        entry.change_milli = 1
        with pytest.raises(AppendOnlyError):
            entry.save()
        with pytest.raises(AppendOnlyError):
            entry.delete()
        with pytest.raises(AppendOnlyError):
            Entry.objects.filter(pk=entry.pk).update(change_milli=1)
        with pytest.raises(AppendOnlyError):
            Entry.objects.all().delete()

    @pytest.mark.parametrize(
        "statement", ["UPDATE inventory_entry SET change_milli = 1", "DELETE FROM inventory_entry"]
    )
    def test_the_database_refuses(self, tube, statement):
        with (
            pytest.raises(IntegrityError, match="the ledger is append-only"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)
        assert tube.entries.get().change_milli == 37_000

    @pytest.mark.skipif("connection.vendor != 'postgresql'", reason="SQLite has no TRUNCATE")
    def test_the_database_refuses_to_truncate(self, tube):
        # PostgreSQL truncates no table whose deferred checks are still to come.
        connection.check_constraints()
        with (
            pytest.raises(IntegrityError, match="the ledger is append-only"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute("TRUNCATE inventory_entry CASCADE")

    def test_the_admin_offers_no_way(self, admin_client, tube):
        entry = tube.entries.get()
        assert admin_client.get(f"/admin/inventory/entry/{entry.pk}/delete/").status_code == 403
        admin_client.post(f"/admin/inventory/entry/{entry.pk}/change/", {"change_milli": 1})
        entry.refresh_from_db()
        assert entry.change_milli == 37_000


class TestAudit:
    def test_it_passes_a_shelf_in_balance(self, tube, capsys):
        call_command("audit_ledger")
        assert "1 tubes: each balance is the sum of its entries." in capsys.readouterr().out

    def test_it_names_a_tube_that_differs(self, tube, capsys):
        Tube.objects.filter(pk=tube.pk).update(balance_milli=36_000)
        with pytest.raises(CommandError, match="1 of 1 tubes differ"):
            call_command("audit_ledger")
        assert "reed-lane: Ultramarine Blue, no. 1: stored 36 ml, entries give 37 ml" in capsys.readouterr().out


def test_several_tubes_are_used_all_or_none(studio, paint, keeper):
    one, two = services.receive(studio, paint, nominal_milli=10_000, unit="ml", by=keeper, count=2)
    with pytest.raises(ValidationError, match="holds 10 ml, so 11 ml cannot be used"):
        services.record_use_of_many({two.pk: 11_000, one.pk: 1_000}, studio=studio, by=keeper)
    assert Entry.objects.filter(kind=EntryKind.USED).count() == 0
    entries = services.record_use_of_many({two.pk: 2_000, one.pk: 1_000}, studio=studio, by=keeper)
    assert [entry.tube_id for entry in entries] == sorted([one.pk, two.pk])


def test_a_deed_may_be_entered_later(tube, member):
    when = datetime(2026, 3, 1, 10, tzinfo=UTC)
    assert services.record_use(tube, amount_milli=1_000, by=member, at=when).at == when


@pytest.mark.parametrize("change", [{"balance_milli": 37_001}, {"nominal_milli": 0}, {"state": "lost"}])
def test_the_database_refuses_an_impossible_tube(tube, change):
    with pytest.raises(IntegrityError), transaction.atomic():
        Tube.objects.filter(pk=tube.pk).update(**change)


def test_another_binder_is_another_paint(studio):
    Paint.objects.create(studio=studio, name="Ultramarine Blue", binder=Binder.ACRYLIC)
    Paint.objects.create(studio=studio, name="Ultramarine Blue", binder=Binder.OIL)
    assert Paint.objects.of(studio).count() == 2
