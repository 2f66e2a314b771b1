"""Lists on their way in, through services and pages, and the shelf on its way out. All lists here are invented."""

import csv
import io
import threading
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.urls import reverse

from inventory.exchange import FileRefusedError, ImportSettings
from inventory.models import (
    BatchState,
    Entry,
    ImportBatch,
    ImportedRow,
    Offer,
    Paint,
    Place,
    Reading,
    RowState,
    Tube,
)
from inventory.queries.imports import counts, plan, settings_of, shelf_rows
from inventory.queries.ledger import tubes_out_of_balance
from inventory.services import imports
from tests.conftest import PASSWORD

LIST = Path(__file__).parent / "exchange" / "studio_list.csv"
SMALL = (
    "Name;Binder;Pigments;Lightfastness;Code;Size;Sealed;Open;Left;Place;Bought from\r\n"
    "Ultramarine;oil;PB29;ASTM I;004;37,5 ml;2;1;about half;Oil shelf;market\r\n"
    "Sap Green;oil;PG7, PY150;7-8;094;37,5 ml;1;;;oil shelf;\r\n"
    "Titanium White;oil;Pww6;;;37,5 ml;1;;;New box;\r\n"
)

pytestmark = pytest.mark.django_db


def ready(studio, by, text=SMALL, **settings):
    batch = imports.begin(studio, by=by, data=text.encode(), file_name="list.csv")
    chosen = ImportSettings.of({**settings_of(batch).as_json(), **settings})
    batch = imports.set_columns(batch, batch.mapping, chosen)
    while not imports.read_some(batch, limit=2).finished:
        pass
    return batch


@pytest.fixture
def batch(studio, keeper, pigments, place):
    return ready(studio, keeper)


def row_of(batch, name):
    return next(row for row in batch.rows.all() if row.read.get("name") == name)


# Services


def test_a_batch_keeps_cells_as_typed_until_somebody_says_yes(batch):
    assert batch.state == BatchState.READY
    assert counts(batch)[RowState.CLEAR] == 2
    assert counts(batch)[RowState.DOUBT] == 1
    assert Paint.objects.count() == Tube.objects.count() == 0
    assert batch.rows.first().cells[:3] == ["Ultramarine", "oil", "PB29"]
    assert plan(batch).places == ["New box"]


def test_a_commit_adds_paints_tubes_entries_and_readings(batch, keeper, place):
    result = imports.commit(batch, by=keeper)
    assert (result.paints, result.tubes, result.places, result.questions) == (3, 5, 1, 1)
    blue = Paint.objects.get(name="Ultramarine")
    assert list(blue.pigments.values_list("ci_name", flat=True)) == ["PB29"]
    assert blue.maker_code == "004"
    assert blue.typed["Size"] == "37,5 ml"
    assert blue.typed["Bought from"] == "market"
    assert blue.swatch is not None
    opened = blue.tubes.get(state="open")
    assert (opened.balance_milli, opened.balance_is_estimate, opened.place) == (18_750, True, place)
    assert Place.objects.filter(studio=batch.studio).count() == 2
    assert not tubes_out_of_balance().exists()
    assert set(Entry.objects.values_list("kind", flat=True)) == {"received"}
    assert Entry.objects.filter(note="Line 2 of list.csv").count() == 3
    old = Paint.objects.get(name="Titanium White")
    assert (old.pigments_known, old.pigment_text, old.pigment_lines.count()) == ("asked", "Pww6", 0)
    reading = old.readings.get(field="pigments")
    assert not reading.settled
    assert reading.doubts[0]["options"]


def test_an_imported_question_is_answered_like_any_other(batch, keeper):
    from inventory.services.paints import answer

    imports.commit(batch, by=keeper)
    old = Paint.objects.get(name="Titanium White")
    doubt = old.readings.get(field="pigments").doubts[0]
    answer(old, field="pigments", key=doubt["key"], value=doubt["options"][0]["value"], by=keeper)
    old.refresh_from_db()
    assert old.pigments_known == "settled"


def test_the_same_file_twice_adds_nothing(batch, studio, keeper):
    imports.commit(batch, by=keeper)
    again = ready(studio, keeper)
    assert counts(again)[RowState.PRESENT] == 3
    with pytest.raises(ValidationError, match="every row is already there"):
        imports.commit(again, by=keeper)
    assert Tube.objects.count() == 5


def test_a_row_wanted_once_more_adds_tubes_to_its_paint(batch, studio, keeper):
    imports.commit(batch, by=keeper)
    for total in (6, 7):
        again = ready(studio, keeper)
        row = row_of(again, "Sap Green")
        imports.choose(row, key=row.doubts[0]["key"], value="again")
        assert imports.commit(again, by=keeper).joined == 1
        assert Tube.objects.count() == total
    assert Paint.objects.filter(name="Sap Green").count() == 1
    assert ImportedRow.objects.count() == 5


def test_a_price_stays_as_it_was_typed_and_makes_no_offer(studio, keeper, pigments):
    """Whose price it is and when it held, a list does not say."""
    prices = ("6,95 €", "1.250,00", "£7.5", "7 or 8")
    text = "Name;Size;Preis\r\n" + "".join(f"Blue {n};37 ml;{price}\r\n" for n, price in enumerate(prices))
    batch = ready(studio, keeper, text)
    assert "price" in batch.mapping.values()
    imports.commit(batch, by=keeper)
    assert [paint.typed["Preis"] for paint in Paint.objects.order_by("pk")] == list(prices)
    assert not Offer.objects.exists()


def test_identical_rows_of_one_file_are_two_tubes_of_one_paint(studio, keeper, pigments):
    text = "Name;Pigments;Size\nBlue;PB29;37 ml\nBlue;PB29;37 ml\n"
    result = imports.commit(ready(studio, keeper, text), by=keeper)
    assert (result.paints, result.tubes, result.joined) == (1, 2, 1)


def test_a_second_code_of_the_same_paint_is_kept(studio, keeper, pigments):
    text = "Name;Pigments;Code;Size\nBlue;PB29;004;37 ml\nBlue;PB29;W004;200 ml\n"
    imports.commit(ready(studio, keeper, text), by=keeper)
    blue = Paint.objects.get()
    assert blue.maker_code == "004"
    assert [tube.note for tube in blue.tubes.order_by("number")] == ["", "Maker's code W004"]
    assert blue.typed["Code, line 3 of list.csv"] == "W004"


def test_error_rows_block_until_they_are_put_right(studio, keeper, pigments):
    text = "Name;Pigments;Size;Sealed\nBlue;PB29;37 ml;12,5\nRed;PR108;37 ml;12,5\nGreen;PG7;37 ml;1\n"
    batch = ready(studio, keeper, text)
    with pytest.raises(ValidationError, match=r"Nothing was taken in: .* \(line 2, 3\)"):
        imports.commit(batch, by=keeper)
    batch.refresh_from_db()
    assert (batch.state, Paint.objects.count()) == (BatchState.READY, 0)
    blue = row_of(batch, "Blue")
    assert imports.choose(blue, key=blue.doubts[0]["key"], value="12", typed=True, alike=True) == 2
    assert imports.commit(batch, by=keeper).tubes == 25
    assert Paint.objects.get(name="Blue").typed["Sealed"] == "12,5"


def test_rows_are_left_out_and_brought_back(batch, keeper):
    imports.leave_out(row_of(batch, "Sap Green"))
    assert plan(batch).left_out == 1
    imports.ask_again(row_of(batch, "Sap Green"))
    imports.leave_out(row_of(batch, "Titanium White"))
    assert imports.commit(batch, by=keeper).paints == 2


def test_answers_are_checked_and_can_be_taken_back(batch):
    row = row_of(batch, "Titanium White")
    key = row.doubts[0]["key"]
    with pytest.raises(ValidationError, match="none of the answers"):
        imports.choose(row, key=key, value="PX1")
    with pytest.raises(ValidationError, match="does not ask this any more"):
        imports.choose(row, key="pigments|no", value="")
    imports.choose(row, key=key, value="PW6")
    assert row_of(batch, "Titanium White").state == RowState.CLEAR
    imports.ask_again(row)
    assert row_of(batch, "Titanium White").state == RowState.DOUBT


def test_what_is_taken_in_is_ordered_and_found_as_if_it_were_typed_by_hand(batch, keeper):
    row = row_of(batch, "Titanium White")
    imports.choose(row, key=row.doubts[0]["key"], value="PW6")
    imports.commit(batch, by=keeper)
    assert "pw6" in Paint.objects.get(name="Titanium White").search.split()
    for paint in Paint.objects.all():
        taken_in = (paint.sort_name, paint.search)
        paint.fold_words()
        assert (paint.sort_name, paint.search) == taken_in


def test_answers_outlive_a_change_of_the_columns(batch):
    row = row_of(batch, "Titanium White")
    imports.choose(row, key=row.doubts[0]["key"], value="PW6")
    imports.set_columns(batch, batch.mapping, settings_of(batch))
    batch.refresh_from_db()
    imports.read_some(batch)
    assert row_of(batch, "Titanium White").state == RowState.CLEAR


def test_what_was_read_by_the_old_columns_does_not_count(batch):
    imports.set_columns(batch, batch.mapping, settings_of(batch))
    stale = ImportBatch.objects.get(pk=batch.pk)
    fresh = imports.set_columns(batch, {**batch.mapping, "10": "notes"}, settings_of(batch))
    assert not imports.read_some(stale).finished
    assert imports.read_some(fresh).finished
    assert row_of(fresh, "Ultramarine").read["notes"] == "market"


@pytest.mark.parametrize(
    ("mapping", "settings", "words"),
    [
        ({"0": "pigments"}, {}, "No column is the name"),
        ({"0": "name", "1": "name"}, {}, "are both “Name”"),
        ({"0": "name", "99": "size"}, {}, "no column 99"),
        ({"0": "name", "1": "colour"}, {}, "no field “colour”"),
        ({"0": "name"}, {"size": "large"}, "“large” is no size such as 37 ml"),
        ({"0": "name"}, {"binder": "felt"}, "is no binder"),
        ({"0": "name"}, {"open_left": "2"}, "is no part of a tube"),
        ({"0": "name"}, {"without_count": "many"}, "what a row without a count stands for"),
    ],
)
def test_columns_that_cannot_be_are_refused(batch, mapping, settings, words):
    with pytest.raises(ValidationError, match=words):
        imports.set_columns(batch, mapping, ImportSettings.of({**settings_of(batch).as_json(), **settings}))


def test_letters_can_be_read_by_another_table(studio, keeper, pigments):
    text = "Name;Pigments;Size\nŽlutá řada;PY43;37 ml\n"
    batch = imports.begin(studio, by=keeper, data=text.encode("cp1250"), file_name="list.csv")
    offered = [choice[0] for choice in batch.settings["letters"]]
    assert "cp1250" in offered
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch), encoding="cp1250")
    assert batch.rows.get().cells[0] == "Žlutá řada"


def test_a_dropped_list_adds_nothing_and_can_be_taken_up_again(batch, keeper):
    imports.drop(batch)
    with pytest.raises(ValidationError, match="is dropped"):
        imports.commit(batch, by=keeper)
    imports.take_up(batch)
    batch.refresh_from_db()
    assert batch.state == BatchState.MAPPING


def test_a_file_that_is_no_table_leaves_nothing_behind(studio, keeper):
    with pytest.raises(FileRefusedError, match="is a PDF document"):
        imports.begin(studio, by=keeper, data=b"%PDF-1.4", file_name="list.csv")
    assert not ImportBatch.objects.exists()


def test_a_commit_that_fails_adds_nothing(batch, keeper, monkeypatch):
    def fail(*args, **kwargs):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(Entry.objects, "bulk_create", fail)
    with pytest.raises(RuntimeError):
        imports.commit(batch, by=keeper)
    batch.refresh_from_db()
    assert batch.state == BatchState.READY
    assert Paint.objects.count() == Tube.objects.count() == ImportedRow.objects.count() == 0


def test_a_commit_sent_again_says_the_same_and_adds_nothing(batch, keeper):
    first = imports.commit(batch, by=keeper)
    assert imports.commit(batch, by=keeper) == first
    assert Tube.objects.count() == 5


@pytest.mark.django_db(transaction=True)
def test_commits_at_the_same_time_take_a_list_in_once(studio, keeper, pigments):
    """Two batches of the same file, each committed twice at once."""
    batches = [ready(studio, keeper), ready(studio, keeper)]
    failures = []

    def take_in(pk):
        try:
            imports.commit(ImportBatch.objects.get(pk=pk), by=keeper)
        except Exception as error:
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=take_in, args=[batch.pk]) for batch in batches * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert (Paint.objects.count(), Tube.objects.count(), ImportedRow.objects.count()) == (3, 5, 3)
    assert not tubes_out_of_balance().exists()


def test_preview_costs_the_same_for_any_number_of_rows(client, studio, keeper, pigments, django_assert_max_num_queries):
    text = "Name;Pigments;Size;Lightfastness\n" + "".join(f"Blue {number};PB29;37 ml;1\n" for number in range(200))
    batch = ready(studio, keeper, text)
    client.force_login(keeper)
    with django_assert_max_num_queries(16):
        client.get(reverse("inventory:import", args=[studio.slug, batch.pk]))


# Out and in again


def test_the_shelf_comes_back_as_it_was_typed(studio, other_studio, keeper, stranger, pigments):
    batch = imports.begin(studio, by=keeper, data=LIST.read_bytes(), file_name=LIST.name)
    batch = imports.set_columns(batch, batch.mapping, settings_of(batch))
    imports.read_some(batch)
    imports.leave_out_errors(batch)
    imports.commit(batch, by=keeper)
    from inventory.exchange import write_csv, write_xlsx

    here = list(shelf_rows(studio))
    for data, name in ((write_csv(here, separator=";", bom=True), "a.csv"), (write_xlsx(here), "a.xlsx")):
        ImportBatch.objects.filter(studio=other_studio).delete()
        there = imports.begin(other_studio, by=stranger, data=data, file_name=name)
        assert [list(row.cells) for row in there.rows.all()] == here[1:]
    there = imports.set_columns(there, there.mapping, settings_of(there))
    imports.read_some(there)
    assert counts(there)[RowState.ERROR] == 0
    imports.commit(there, by=stranger)
    names = ["name", "binder", "pigment_text", "lightfastness_text", "opacity_text", "maker", "maker_code"]
    assert list(Paint.objects.of(other_studio).order_by("pk").values_list(*names)) == sorted(
        Paint.objects.of(studio).values_list(*names), key=lambda one: here_order(here, one)
    )
    amounts = ["item__name", "unit", "nominal_milli", "balance_milli", "balance_is_estimate", "state", "place__name"]
    assert sorted(Tube.objects.of(other_studio).values_list(*amounts), key=str) == sorted(
        Tube.objects.of(studio).values_list(*amounts), key=str
    )


def here_order(here, one):
    return next(place for place, row in enumerate(here) if row[0] == one[0] and row[7] == one[6])


def test_an_export_brought_back_into_its_own_studio_adds_nothing(batch, studio, keeper):
    from inventory.exchange import write_csv

    imports.commit(batch, by=keeper)
    again = imports.begin(studio, by=keeper, data=write_csv(shelf_rows(studio)), file_name="shelf.csv")
    again = imports.set_columns(again, again.mapping, settings_of(again))
    imports.read_some(again)
    assert counts(again)[RowState.PRESENT] == again.rows.count()


# Pages


def upload(client, studio, data=None, name="list.csv", **fields):
    file = io.BytesIO(SMALL.encode() if data is None else data)
    file.name = name
    return client.post(reverse("inventory:imports", args=[studio.slug]), {"file": file, **fields}, follow=True)


def columns_data(page):
    return {field.html_name: field.value() or "" for field in page.context["form"]}


def test_the_whole_way_through_the_pages(client, studio, teacher, pigments):
    client.force_login(teacher)
    page = upload(client, studio)
    assert "What the columns hold" in page.content.decode()
    batch = ImportBatch.objects.get()
    columns = reverse("inventory:import_columns", args=[studio.slug, batch.pk])
    page = client.post(columns, columns_data(page), follow=True)
    text = page.content.decode()
    assert "3 new paints and 5 tubes" in text
    assert "Pww6" in text
    row = row_of(batch, "Titanium White")
    answer = {"do": "answer", "key-0": row.doubts[0]["key"], "choice-0": "PW6", "state": "doubt"}
    page = client.post(reverse("inventory:import_row", args=[studio.slug, batch.pk, row.pk]), answer, follow=True)
    assert "1 row read again with your answer" in page.content.decode()
    page = client.post(reverse("inventory:import_commit", args=[studio.slug, batch.pk]), follow=True)
    assert "3 paints and 5 tubes were added" in page.content.decode()
    page = upload(client, studio)
    second = ImportBatch.objects.get(state=BatchState.READING)
    page = client.post(reverse("inventory:import_reading", args=[studio.slug, second.pk]), follow=True)
    assert "The columns were named as in the last list with these headings" in page.content.decode()
    assert "Already there: 3 rows" in page.content.decode()
    assert "Take it in</button>" not in page.content.decode()


def test_reading_can_be_left_and_found_again(client, studio, keeper, pigments, monkeypatch):
    monkeypatch.setattr("inventory.views.exchange.A_LONG_STEP", 1)
    batch = imports.begin(studio, by=keeper, data=SMALL.encode(), file_name="list.csv")
    imports.set_columns(batch, batch.mapping, settings_of(batch))
    client.force_login(keeper)
    page = client.get(reverse("inventory:import", args=[studio.slug, batch.pk]), follow=True)
    assert "0 of 3 rows read" in page.content.decode()
    reading = reverse("inventory:import_reading", args=[studio.slug, batch.pk])
    assert "1 of 3 rows read" in client.post(reading).content.decode()
    done = client.post(reading, headers={"HX-Request": "true"})
    assert done.headers["HX-Redirect"] == reverse("inventory:import", args=[studio.slug, batch.pk])


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        (b"", "list.csv", "list.csv is empty"),
        (b"%PDF-1.7", "list.csv", "list.csv is a PDF document"),
        (b"\x89PNG\r\n\x1a\n1", "list.csv", "list.csv is a picture (PNG)"),
        (b"PK\x03\x04", "list.csv", "list.csv begins like a packed folder"),
        (bytes(range(256)) * 4, "list.csv", "list.csv is not a text"),
        (b"x" * (10 * 1024 * 1024 + 1), "list.csv", "list.csv has 10.0 MB, more than the 10 MB"),
        (b"Name\n", "<b>.csv", "&lt;b&gt;.csv has headings and no row"),
    ],
)
def test_bad_files_are_named_on_the_page(client, studio, keeper, data, name, words):
    client.force_login(keeper)
    page = upload(client, studio, data, name)
    assert page.status_code == 200
    assert words in page.content.decode()
    assert not ImportBatch.objects.exists()


def test_nothing_and_both_are_refused(client, studio, keeper):
    client.force_login(keeper)
    address = reverse("inventory:imports", args=[studio.slug])
    assert "Choose a file, or paste the list" in client.post(address).content.decode()
    assert "take one of them away" in upload(client, studio, text="Name\nBlue").content.decode()


def test_pasted_cells_are_read(client, studio, keeper, pigments):
    client.force_login(keeper)
    text = "Name\tPigments\tSize\nBlue\tPB29\t37 ml\n"
    client.post(reverse("inventory:imports", args=[studio.slug]), {"text": text})
    assert ImportBatch.objects.get().rows.get().cells == ["Blue", "PB29", "37 ml"]


def test_cells_are_shown_escaped(client, studio, keeper, pigments):
    client.force_login(keeper)
    batch = ready(studio, keeper, "Name;Pigments;Size\n<b>PB29</b>;=PB29;37 ml\n")
    text = client.get(reverse("inventory:import", args=[studio.slug, batch.pk])).content.decode()
    assert "&lt;b&gt;PB29&lt;/b&gt;" in text
    assert "<b>PB29" not in text


def test_columns_refused_on_the_page_keep_what_was_entered(client, studio, keeper, pigments):
    client.force_login(keeper)
    page = upload(client, studio)
    data = {**columns_data(page), "column_0": "", "size": "large"}
    batch = ImportBatch.objects.get()
    page = client.post(reverse("inventory:import_columns", args=[studio.slug, batch.pk]), data)
    text = page.content.decode()
    assert "Not saved" in text
    assert "No column is the name of the paint" in text
    assert 'value="large"' in text


PAGES = ("import", "import_columns", "import_reading")
DEEDS = ("import_commit", "import_drop", "import_take_up", "import_leave_out_errors")


@pytest.mark.parametrize("name", [*PAGES, *DEEDS])
def test_who_is_not_in_the_studio_finds_nothing(client, batch, stranger, name):
    client.force_login(stranger)
    address = reverse(f"inventory:{name}", args=[batch.studio.slug, batch.pk])
    assert (client.post if name in DEEDS else client.get)(address).status_code == 404


@pytest.mark.parametrize("name", [*PAGES, *DEEDS])
def test_another_studio_does_not_see_a_batch_under_its_own_address(client, batch, stranger, other_studio, name):
    client.force_login(stranger)
    address = reverse(f"inventory:{name}", args=[other_studio.slug, batch.pk])
    assert (client.post if name in DEEDS else client.get)(address).status_code == 404


@pytest.mark.parametrize("name", [*PAGES, *DEEDS])
def test_members_and_students_may_not_import(client, batch, member, student, name):
    address = reverse(f"inventory:{name}", args=[batch.studio.slug, batch.pk])
    for person in (member, student):
        client.force_login(person)
        assert (client.post if name in DEEDS else client.get)(address).status_code == 403


@pytest.mark.parametrize("name", DEEDS)
def test_deeds_are_not_done_by_looking(client, batch, keeper, name):
    client.force_login(keeper)
    assert client.get(reverse(f"inventory:{name}", args=[batch.studio.slug, batch.pk])).status_code == 405


def test_a_member_sees_the_lists_and_may_not_give_one(client, studio, member):
    client.force_login(member)
    address = reverse("inventory:imports", args=[studio.slug])
    assert "Teachers and keepers bring lists in" in client.get(address).content.decode()
    assert client.post(address, {"text": "Name\nBlue"}).status_code == 403


def test_everybody_of_the_studio_may_export_and_nobody_else(client, tube, student, stranger):
    address = reverse("inventory:export", args=[tube.studio.slug])
    client.force_login(student)
    assert "Export the shelf" in client.get(address).content.decode()
    answer = client.get(address, {"format": "csv", "separator": "semicolon"})
    table = list(csv.reader(io.StringIO(answer.content.decode()), delimiter=";"))
    assert table[1][0] == "Ultramarine Blue"
    assert answer.headers["Content-Disposition"].startswith('attachment; filename="reed-lane-shelf-')
    assert client.get(address, {"format": "xlsx"}).content.startswith(b"PK")
    assert "“ods” is none of the choices." in client.get(address, {"format": "ods"}).content.decode()
    client.force_login(stranger)
    assert client.get(address).status_code == 404


def test_the_example_can_be_brought_in(client, studio, keeper, pigments):
    client.force_login(keeper)
    data = client.get(reverse("inventory:import_example", args=[studio.slug])).content
    batch = ready(studio, keeper, data.decode("utf-8-sig"))
    assert counts(batch)[RowState.ERROR] == 0
    assert imports.commit(batch, by=keeper).tubes == 5


def test_readings_remember_who_brought_them(batch, keeper):
    imports.commit(batch, by=keeper)
    assert set(Reading.objects.values_list("by", flat=True)) == {keeper.pk}
    assert keeper.check_password(PASSWORD)
