"""A whole list taken back, columns named as last time, and paints drawn in steps."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory import services
from inventory.models import (
    BatchState,
    Entry,
    EntryKind,
    ImportBatch,
    ImportedRow,
    ImportSource,
    Item,
    Paint,
    Place,
    Tube,
    TubeState,
)
from inventory.queries.attention import paints_undrawn
from inventory.queries.ledger import tubes_out_of_balance
from inventory.queries.taking_back import what_goes_back
from inventory.services import imports
from inventory.services import lasting as watching
from tests.inventory.test_import import SMALL, ready, row_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch(studio, keeper, pigments, place):
    batch = ready(studio, keeper)
    imports.commit(batch, by=keeper)
    return batch


def names(studio):
    return sorted(Paint.objects.of(studio).kept().values_list("name", flat=True))


# Taking back


def test_an_untouched_list_goes_back_whole(batch, studio, keeper):
    before = Entry.objects.count()
    back = imports.take_back(batch, by=keeper)
    assert (len(back.tubes), len(back.items), back.left) == (5, 3, [])
    assert batch.state == BatchState.TAKEN_BACK
    assert (batch.taken_back_by, batch.settings["back"]["tubes"]) == (keeper, 5)
    assert not Tube.objects.of(studio).exclude(state=TubeState.EMPTY, balance_milli=0).exists()
    assert Entry.objects.count() == before + 5
    for entry in Entry.objects.filter(kind=EntryKind.CORRECTED):
        assert entry.corrects.kind == EntryKind.RECEIVED
        assert entry.change_milli == -entry.corrects.change_milli
    assert not list(tubes_out_of_balance())
    assert names(studio) == []
    assert not ImportedRow.objects.exists()


def test_the_file_may_be_given_again(batch, studio, keeper):
    imports.take_back(batch, by=keeper)
    again = ready(studio, keeper)
    assert imports.commit(again, by=keeper).tubes == 5
    assert names(studio) == ["Sap Green", "Titanium White", "Ultramarine"]


def test_what_was_touched_since_stays_and_is_named(batch, studio, keeper, member):
    """A used tube keeps its paint; a paint that a work names stays, though its tubes go."""
    used = Tube.objects.of(studio).filter(item__name="Ultramarine").earliest("number")
    services.record_use(used, amount_milli=1000, by=member)
    sap = Paint.objects.get(studio=studio, name="Sap Green")
    watching.add_work(studio, by=member, title="Hedge", items=[sap])
    back = imports.take_back(batch, by=keeper)
    assert sorted((one.words, one.why) for one in back.left) == [
        ("Sap Green", "named by work-item relationship"),
        ("Ultramarine", "it has tubes that stay"),
        (f"Ultramarine, no. {used.number}", "last: used"),
    ]
    assert (len(back.tubes), len(back.items)) == (4, 1)
    used.refresh_from_db()
    assert used.balance_milli == 36_500
    assert names(studio) == ["Sap Green", "Ultramarine"]
    # Given again, the row of the used tube adds nothing; the others come in anew.
    again = ready(studio, keeper)
    assert {row.read["name"]: row.state for row in again.rows.all()} == {
        "Ultramarine": "present", "Sap Green": "clear", "Titanium White": "doubt"
    }  # fmt: skip


def test_a_label_that_was_answered_since_stays(batch, studio, keeper):
    from inventory.services.paints import answer

    paint = Paint.objects.get(studio=studio, name="Titanium White")
    (reading,) = paint.readings.filter(field="pigments")
    answer(paint, field="pigments", key=reading.doubts[0]["key"], value="PW6", by=keeper)
    back = imports.take_back(batch, by=keeper)
    assert [(one.words, one.why) for one in back.left] == [("Titanium White", "its label was looked at since")]


def test_paints_that_were_there_before_stay(studio, keeper, pigments, place):
    mine = Paint.objects.create(studio=studio, name="Ultramarine", binder="oil", pigment_text="PB29")
    batch = ready(studio, keeper)
    imports.commit(batch, by=keeper)
    back = imports.take_back(batch, by=keeper)
    assert len(back.items) == 2
    assert names(studio) == [mine.name]


def test_a_list_is_taken_back_once_and_only_where_something_is_left_to_take(batch, studio, keeper, member):
    for tube in Tube.objects.of(studio):
        services.move(tube, place=Place.objects.filter(studio=studio).first(), by=member)
    with pytest.raises(ValidationError, match="everything was touched since"):
        imports.take_back(batch, by=keeper)
    batch.refresh_from_db()
    assert batch.state == BatchState.COMMITTED


def test_a_list_of_before_is_not_guessed_at(batch, keeper):
    ImportedRow.objects.update(batch=None)
    with pytest.raises(ValidationError, match="before it was kept what each row brought"):
        imports.take_back(batch, by=keeper)


def test_a_taking_back_that_fails_changes_nothing(batch, studio, keeper, monkeypatch):
    def fail(*args, **kwargs):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("inventory.services.imports.taking_back._put_away", fail)
    with pytest.raises(RuntimeError):
        imports.take_back(batch, by=keeper)
    assert not Entry.objects.filter(kind=EntryKind.CORRECTED).exists()
    assert Tube.objects.of(studio).in_use().count() == 5


def test_looking_costs_the_same_for_any_number_of_rows(studio, keeper, pigments, django_assert_max_num_queries):
    text = "Name;Binder;Pigments;Size;Sealed\r\n" + "".join(f"Blue {n};oil;PB29;37 ml;2\r\n" for n in range(60))
    batch = ready(studio, keeper, text)
    imports.commit(batch, by=keeper)
    with django_assert_max_num_queries(60):  # one for each kind of record that can name a tube or a paint
        assert len(what_goes_back(batch).tubes) == 120


def test_the_page_says_what_would_go_and_does_it(client, batch, studio, teacher, member):
    client.force_login(teacher)
    services.record_use(Tube.objects.of(studio).earliest("number"), amount_milli=1000, by=member)
    page = client.get(reverse("inventory:import_take_back", args=[studio.slug, batch.pk])).content.decode()
    assert "4 tubes would get a correcting entry" in page
    assert "last: used" in page
    answer = client.post(reverse("inventory:import_take_back", args=[studio.slug, batch.pk]), follow=True)
    page = answer.content.decode()
    assert "4 tubes got a correcting entry" in page
    assert "2 stay" in page
    answer = client.post(reverse("inventory:import_take_back", args=[studio.slug, batch.pk]), follow=True)
    assert "cannot be taken back as a whole" in answer.content.decode()


# As last time


def test_the_same_headings_are_mapped_at_once_and_may_be_changed_and_forgotten(client, batch, studio, teacher):
    client.force_login(teacher)
    (source,) = ImportSource.objects.all()
    assert source.names == SMALL.split("\r\n")[0].split(";")
    second = imports.begin(studio, by=teacher, data=SMALL.replace("Sap", "Olive").encode(), file_name="next.csv")
    assert (second.state, second.mapping) == (BatchState.READING, batch.mapping)
    while not imports.read_some(second).finished:
        pass
    page = client.get(reverse("inventory:import", args=[studio.slug, second.pk])).content.decode()
    assert "The columns were named as in the last list with these headings, by keeper" in page
    page = client.get(reverse("inventory:import_columns", args=[studio.slug, second.pk])).content.decode()
    assert "those of the last list with these headings" in page
    answer = client.post(reverse("inventory:import_forget", args=[studio.slug, second.pk]), follow=True)
    assert "asked for its columns again" in answer.content.decode()
    third = imports.begin(studio, by=teacher, data=SMALL.encode(), file_name="third.csv")
    assert third.state == BatchState.MAPPING


def test_what_was_said_of_rows_is_remembered_with_the_columns(studio, keeper, pigments):
    text = "Name;Art;PG;Size\r\nUltramarine;;PB29;37\r\n"
    batch = imports.begin(studio, by=keeper, data=text.encode(), file_name="list.csv")
    settings = imports.naming.ImportSettings(binder="oil", unit="ml", decimals="comma")
    batch = imports.set_columns(batch, {"0": "name", "2": "pigments", "3": "size"}, settings)
    imports.read_some(batch)
    imports.commit(batch, by=keeper)
    again = imports.begin(studio, by=keeper, data=text.replace("PB29", "PB15").encode(), file_name="list.csv")
    imports.read_some(again)
    row = row_of(again, "Ultramarine")
    assert (row.read["binder"], row.read["size"], row.read["fields"]["pigment_text"]) == ("oil", [37_000, "ml"], "PB15")


def test_other_headings_and_other_studios_are_asked(batch, studio, other_studio, stranger, keeper):
    other = SMALL.replace("Bought from", "Bought at").encode()
    assert imports.begin(studio, by=keeper, data=other, file_name="x.csv").state == BatchState.MAPPING
    assert imports.begin(other_studio, by=stranger, data=SMALL.encode(), file_name="x.csv").state == BatchState.MAPPING


# Drawing


def test_a_large_list_is_drawn_in_steps_after_it_was_taken_in(client, studio, keeper, pigments, monkeypatch):
    monkeypatch.setattr("inventory.services.imports.taking_in.AT_ONCE", 4)
    text = "Name;Binder;Pigments;Size\r\n" + "".join(f"Blue {n};oil;PB29;37 ml\r\n" for n in range(10))
    batch = ready(studio, keeper, text)
    imports.commit(batch, by=keeper)
    undrawn = Paint.objects.of(studio).filter(swatch__isnull=True)
    assert undrawn.count() == 6
    (said,) = paints_undrawn(studio)
    assert "Not every paint of the list list.csv is drawn yet" in said.sentence
    client.force_login(keeper)
    page = client.get(reverse("inventory:import", args=[studio.slug, batch.pk])).content.decode()
    assert "4 of 10 paints drawn" in page
    done = imports.draw_some(batch, limit=3)
    assert (done.done, done.total, done.finished) == (7, 10, False)
    answer = client.post(reverse("inventory:import_draw", args=[studio.slug, batch.pk]), headers={"HX-Request": "true"})
    assert answer["HX-Redirect"] == reverse("inventory:import", args=[studio.slug, batch.pk])
    assert not undrawn.exists()
    assert not list(paints_undrawn(studio))
    assert ImportBatch.objects.get().drawn_up_to is None
    assert Item.objects.count() == 10
