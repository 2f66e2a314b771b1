"""Exports for an office: its headers, its order, its way to write a room; who may, what is refused, what it costs."""

import csv
import io
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from inventory.models import Binder, MaterialKind, Paint, Place, Room, Tube
from inventory.services import receive, record_use
from safety.models import (
    DataSheet,
    ExportTemplate,
    HouseRule,
    Incident,
    Inspection,
    RoomFacts,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.queries.exports import SUBJECTS, lines
from safety.services.exports import save_export

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def make(studio, keeper):
    """Give a function that saves an export of some fields, under their own keys as headers."""

    def save(subject, *fields, **values):
        columns = [(one, one) if isinstance(one, str) else one for one in fields]
        asked = {"name": f"{subject} list", "room_format": "", **values}
        return save_export(studio, by=keeper, subject=subject, columns=columns, **asked)

    return save


def records(template):
    headers, *rows = lines(template)
    return [dict(zip(headers, row, strict=True)) for row in rows]


@pytest.fixture
def shelf(studio, keeper, make_paint, make_material):
    """Two tubes of one yellow and one of white in a room, turpentine nowhere in particular."""
    room = Room.objects.create(studio=studio, name="Painting room")
    RoomFacts.objects.create(room=room, keeper="M. Weaver")
    place = Place.objects.create(studio=studio, name="Oil shelf", room=room)
    yellow = make_paint("Cadmium Yellow Medium", "PY37")
    Tube.objects.filter(item=yellow).update(place=place)
    receive(studio, yellow, nominal_milli=37_000, unit="ml", by=keeper, place=place)
    record_use(yellow.tubes.earliest("pk"), amount_milli=12_500, by=keeper)
    white = make_paint("Zinc White")
    Tube.objects.filter(item=white).update(place=place)
    make_material("Gum Turpentine", MaterialKind.SOLVENT, cas="8006-64-2")
    return room


def test_columns_have_the_office_s_headers_in_its_order(make, shelf, studio):
    template = make(
        "holdings",
        ("containers", "No. of units"),
        ("name", "Chemical"),
        ("location", "Where"),
        ("amount", "Qty"),
        ("unit", "UoM"),
        ("keeper", "Responsible"),
        room_format="Building 4 / {room} / {place}",
    )
    assert list(lines(template)) == [
        ["No. of units", "Chemical", "Where", "Qty", "UoM", "Responsible"],
        ["2", "Cadmium Yellow Medium", "Building 4 / Painting room / Oil shelf", "61.5", "ml", "M. Weaver"],
        ["1", "Gum Turpentine", "Building 4 / not known / not known", "500", "ml", "keeper"],
        ["1", "Zinc White", "Building 4 / Painting room / Oil shelf", "37", "ml", "M. Weaver"],
    ]


def test_each_container_or_summed(make, shelf):
    each = records(make("containers", "name", "numbers", "amount", "opened"))
    assert [(row["name"], row["amount"], row["opened"]) for row in each[:2]] == [
        ("Cadmium Yellow Medium", "24.5", "1"),
        ("Cadmium Yellow Medium", "37", "0"),
    ]
    assert len(each) == 4
    summed = records(make("holdings", "name", "numbers", "opened", name="summed"))
    assert summed[0]["numbers"] == "; ".join(row["numbers"] for row in each[:2])
    assert summed[0]["opened"] == "1"


def test_hazards_say_where_they_come_from_and_unknown_is_told(make, shelf, keeper):
    template = make(
        "holdings", "name", "pigments", "cas", "signal_word", "h_codes", "signs", "hazards_from", "sheet_revised"
    )
    yellow, turpentine, white = records(template)
    assert yellow["pigments"] == "PY37"
    assert "H350" in yellow["h_codes"].split("; ")
    assert yellow["signal_word"] == "Danger"
    assert "GHS08" in yellow["signs"]
    assert yellow["hazards_from"].startswith("published classification")
    assert yellow["sheet_revised"] == "no sheet on file"
    assert turpentine["cas"] == "8006-64-2"
    assert turpentine["pigments"] == ""
    assert {white[key] for key in ("pigments", "cas", "signal_word", "h_codes", "signs", "hazards_from")} == {
        "not known"
    }
    item = Paint.objects.get(name="Zinc White")
    DataSheet.objects.create(
        item=item, product="Zinc 1", revised_on=date(2025, 2, 3), read_on=date(2026, 1, 5), by=keeper, h_codes="H410",
        signal_word="Warning", pictograms="GHS09",
    )  # fmt: skip
    white = records(template)[2]
    assert (white["h_codes"], white["signal_word"], white["sheet_revised"]) == ("H410", "Warning", "2025-02-03")
    assert white["hazards_from"] == "the maker's safety data sheet on file"


def test_millilitres_and_grams_are_never_added_up(make, studio, keeper, paint):
    receive(studio, paint, nominal_milli=40_000, unit="ml", by=keeper)
    receive(studio, paint, nominal_milli=100_000, unit="g", by=keeper)
    rows = [(row["amount"], row["unit"]) for row in records(make("holdings", "amount", "unit"))]
    assert sorted(rows) == [("100", "g"), ("40", "ml")]


def test_the_other_subjects(make, studio, keeper, shelf):
    item = Paint.objects.get(name="Zinc White")
    DataSheet.objects.create(item=item, product="Zinc 1", read_on=date(2026, 1, 5), by=keeper)
    WasteContainer.objects.create(
        studio=studio, number=1, contents="White spirit with oil paint", opened_on=date(2026, 1, 5), opened_by=keeper,
        room=shelf, size_milli=5_000_000,
    )  # fmt: skip
    mistake = {"withdrawn_at": timezone.now(), "withdrawn_by": keeper, "withdrawn_why": "another room"}
    WasteContainer.objects.create(
        studio=studio, number=2, contents="Opened by mistake", opened_on=date(2026, 1, 5), opened_by=keeper, **mistake
    )
    made = {"studio": studio, "done_on": date(2026, 1, 6), "by": keeper}
    Inspection.objects.create(subject="eyewash", finding="in order", room=shelf, **made)
    Inspection.objects.create(subject="rag can", finding="needs work", **mistake, **made)
    version = RulesVersion.objects.create(studio=studio, number=2, title="House rules", text="Wipe.", made_by=keeper)
    SignOff.objects.create(version=version, name="Wren", signed_on=date(2026, 1, 7), recorded_by=keeper)
    HouseRule.objects.create(
        studio=studio, kind="wording", text="Wipe brushes first.", on_whose_word="the keepers", set_on=date(2026, 1, 5),
        recorded_by=keeper,
    )  # fmt: skip
    (sheet,) = records(make("sheets", "name", "product", "revised", "read", "h_codes", "file"))
    assert list(sheet.values()) == ["Zinc White", "Zinc 1", "no date printed", "2026-01-05", "not known", ""]
    (waste,) = records(make("waste", "number", "contents", "hazards", "size", "location", room_format="4-{room}"))
    assert list(waste.values()) == ["1", "White spirit with oil paint", "not known", "5000", "4-Painting room"]
    (looked,) = records(make("inspections", "subject", "done", "finding", "location"))
    assert list(looked.values()) == ["Eyewash", "2026-01-06", "In order", "Painting room"]
    (signed,) = records(make("sign-offs", "name", "signed", "rules", "version"))
    assert list(signed.values()) == ["Wren", "2026-01-07", "House rules", "2"]
    (rule,) = records(make("rules", "kind", "text", "groups", "room"))
    assert list(rule.values()) == ["Words for the notices", "Wipe brushes first.", "everybody", "everywhere"]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_field_of_every_subject_can_be_a_column(make, shelf, subject):
    found = list(lines(make(subject, *SUBJECTS[subject].fields)))
    assert found[0] == list(SUBJECTS[subject].fields)
    assert set(SUBJECTS[subject].usual) <= set(SUBJECTS[subject].fields)


def test_incidents_are_in_no_export(make, studio, keeper, shelf):
    Incident.objects.create(studio=studio, kind="incident", what="A rag smouldered in the bin.", reported_by=keeper)
    assert not [key for key in SUBJECTS if "incident" in key]
    for number, subject in enumerate(SUBJECTS):
        template = make(subject, *SUBJECTS[subject].fields, name=f"all {number}")
        assert "smouldered" not in str(list(lines(template)))


def test_another_studio_s_rows_are_not_in_it(make, shelf, other_studio, stranger):
    theirs = Paint.objects.create(studio=other_studio, name="Their blue", binder=Binder.OIL)
    receive(other_studio, theirs, nominal_milli=37_000, unit="ml", by=stranger)
    assert "Their blue" not in str(list(lines(make("holdings", "name"))))


@pytest.mark.parametrize("subject", ["holdings", "containers"])
def test_it_costs_as_many_queries_for_any_number_of_tubes(make, many_paints, subject, django_assert_max_num_queries):
    """Tubes, items with their pigments and readings, facts, sheets, labels, rules, phrases, keepers."""
    template = make(subject, *SUBJECTS[subject].fields)

    def count(most):
        with django_assert_max_num_queries(most) as found:
            rows = list(lines(template))
        return len(found), len(rows)

    many_paints(5)
    few, rows_before = count(16)
    paint = Paint.objects.latest("pk")
    tubes = [
        Tube(studio=paint.studio, number=1000 + number, item=paint, nominal_milli=1000, balance_milli=1000)
        for number in range(1500)
    ]
    Tube.objects.bulk_create(tubes)
    many, rows_after = count(16)
    assert many == few
    assert rows_after - rows_before == (1500 if subject == "containers" else 0)


def test_a_file_comes_in_pieces_and_loses_nothing(client, teacher, address, make, many_paints):
    many_paints(3)
    paint = Paint.objects.latest("pk")
    Tube.objects.bulk_create(
        Tube(studio=paint.studio, number=1000 + number, item=paint, nominal_milli=1000, balance_milli=1000)
        for number in range(1200)
    )
    template = make("containers", "name", "numbers")
    client.force_login(teacher)
    answer = client.get(address("export_file", template.pk), {"format": "csv", "separator": "semicolon", "bom": "on"})
    assert answer.streaming
    data = b"".join(answer.streaming_content)
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\xef\xbb\xbf") == 1
    rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=";"))
    assert rows == list(lines(template))
    assert len(rows) == 1204


def test_cells_that_a_spreadsheet_would_run_are_protected(client, teacher, address, make, studio, keeper):
    paint = Paint.objects.create(studio=studio, name="=1+1", maker="004", binder=Binder.OIL)
    receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    template = make("holdings", ("name", "@Chemical"), ("maker", "Maker"))
    client.force_login(teacher)
    data = b"".join(client.get(address("export_file", template.pk), {"format": "csv"}).streaming_content)
    assert data.decode() == "'@Chemical,Maker\r\n'=1+1,004\r\n"
    answer = client.get(address("export_file", template.pk), {"format": "xlsx"})
    assert answer["Content-Disposition"] == (
        f'attachment; filename="reed-lane-holdings-list-{timezone.localdate():%Y-%m-%d}.xlsx"'
    )
    cells = list(load_workbook(io.BytesIO(answer.content)).active.iter_rows())
    assert [[cell.value for cell in row] for row in cells] == [["@Chemical", "Maker"], ["=1+1", "004"]]
    assert {cell.data_type for row in cells for cell in row} == {"s"}


REFUSED = [
    ({"columns": []}, "No column is chosen."),
    ({"columns": [("name", " ")]}, "Column 1, Product name: the header is empty. Type the office's word for it."),
    ({"columns": [("name", "A"), ("maker", "B"), ("unit", " a ")]}, "Columns 1 and 3 both have the header “a”."),
    ({"columns": [("incident", "A")]}, "Column 1: “incident” is no field of Holdings, summed by place."),
    ({"columns": [("name", "x" * 121)]}, "Column 1: the header has 121 characters, of 120 at most."),
    ({"room_format": "4 / {floor} / {place}"}, "{floor} is not known here. What can be filled in is {room}, {place}"),
    ({"room_format": "{room.studio.slug}"}, "cannot be read near {room.studio.slug}."),
    ({"room_format": "{room!r}"}, "cannot be read near {room!r}."),
    ({"room_format": "{room:>9999}"}, "cannot be read near {room:>9999}."),
    ({"room_format": "{}"}, "cannot be read near {}."),
    ({"room_format": "{room"}, "cannot be read near"),
    ({"subject": "incidents"}, "“incidents” is no subject."),
    ({"subject": "waste", "columns": [("number", "No")], "room_format": "{place}"}, "{place} is not known here."),
    ({"subject": "sheets", "columns": [("name", "No")], "room_format": "4"}, "Data sheets have no room."),
    ({"name": ""}, "Name: nothing is entered. It is needed: fill it in."),
]  # fmt: skip


@pytest.mark.parametrize(("given", "words"), REFUSED)
def test_what_is_refused(studio, keeper, given, words):
    asked = {"name": "List", "subject": "holdings", "columns": [("name", "Chemical")], **given}
    with pytest.raises(ValidationError) as refused:
        save_export(studio, by=keeper, **asked)
    assert words in " ".join(refused.value.messages)
    assert not ExportTemplate.objects.exists()


def test_a_name_is_there_once(make):
    make("holdings", "name", name="Office")
    with pytest.raises(ValidationError, match="already has an export of this name"):
        make("waste", "number", name="Office")


# The pages.


def sent(**values):
    return {
        "name": "Estates office",
        "room_format": "Building 4 / {room} / {place}",
        "position_1": "2", "field_1": "name", "header_1": "Chemical",
        "position_2": "1", "field_2": "amount", "header_2": "Qty",
        "position_3": "3", "field_3": "", "header_3": "not used",
        **values,
    }  # fmt: skip


def words(answer):
    return " ".join(answer.content.decode().replace("&#x27;", "'").split())


def test_a_keeper_makes_changes_and_takes_away(client, keeper, address, shelf):
    client.force_login(keeper)
    assert "Ask the office for its list" in words(client.get(address("exports")))
    assert "What the rows are" in words(client.get(address("export_new")))
    new = f"{address('export_new')}?subject=holdings"
    assert 'value="Product name"' in words(client.get(new))
    page = words(client.post(new, sent(), follow=True))
    assert "“Estates office” is saved." in page
    assert page.index("Qty") < page.index("Chemical")
    assert "61.5" in page
    template = ExportTemplate.objects.get()
    assert template.columns == [{"header": "Qty", "field": "amount"}, {"header": "Chemical", "field": "name"}]
    assert "Estates office" in words(client.get(address("exports")))
    change = address("export_change", template.pk)
    page = words(client.get(change))
    assert 'value="Qty"' in page
    client.post(change, sent(header_2="Quantity"))
    template.refresh_from_db()
    assert template.columns[0]["header"] == "Quantity"
    assert "The shelf and the records stay" in words(client.get(address("export_remove", template.pk)))
    assert "is taken away" in words(client.post(address("export_remove", template.pk), follow=True))
    assert not ExportTemplate.objects.exists()


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"header_1": ""}, "Column 2, Product name: the header is empty."),
        ({"header_1": "qty"}, "Columns 1 and 2 both have the header “qty”."),
        ({"room_format": "{attic}"}, "{attic} is not known here."),
        ({"field_1": "secrets"}, "Line 1: “secrets” is no field. Choose one of the list."),
        ({"position_1": "first"}, "Line 1: “first” is no place in an order. Enter a number, such as 3."),
        ({"name": ""}, "nothing is entered. It is needed: fill it in."),
        ({"field_1": "", "field_2": ""}, "No column is chosen."),
    ],
)
def test_the_form_names_what_is_wrong_and_keeps_what_was_typed(client, keeper, address, given, message):
    client.force_login(keeper)
    page = words(client.post(f"{address('export_new')}?subject=holdings", sent(**given)))
    assert message in page
    assert "Not saved" in page
    assert 'value="Qty"' in page
    assert not ExportTemplate.objects.exists()


def test_more_lines_than_the_form_had_are_kept(client, keeper, address):
    client.force_login(keeper)
    more = {f"field_{number}": "name" for number in range(4, 40)} | {
        f"header_{number}": f"Name {number}" for number in range(4, 40)
    }
    client.post(f"{address('export_new')}?subject=holdings", sent(**more))
    assert len(ExportTemplate.objects.get().columns) == 38


def test_teachers_take_away_and_do_not_change(client, teacher, address, make, shelf):
    template = make("holdings", "name")
    client.force_login(teacher)
    page = words(client.get(address("exports")))
    assert "Make an export" not in page
    assert "holdings list" in page
    assert "Cadmium Yellow Medium" in words(client.get(address("export", template.pk)))
    assert client.get(address("export_file", template.pk), {"format": "csv"}).status_code == 200
    for name in ("export_change", "export_remove"):
        assert client.get(address(name, template.pk)).status_code == 403
        assert client.post(address(name, template.pk), sent()).status_code == 403
    assert client.post(address("export_new"), sent()).status_code == 403
    assert ExportTemplate.objects.count() == 1


def test_members_and_students_see_which_there_are_and_nothing_of_them(client, member, student, address, make):
    template = make("sign-offs", "name")
    for person in (member, student):
        client.force_login(person)
        page = words(client.get(address("exports")))
        assert "sign-offs list" in page
        assert address("export", template.pk) not in page
        for url in (address("export", template.pk), address("export_file", template.pk)):
            assert client.get(url).status_code == 403


def test_an_unknown_kind_of_file_is_told_on_the_page(client, teacher, address, make):
    client.force_login(teacher)
    page = words(client.get(address("export_file", make("holdings", "name").pk), {"format": "pdf"}))
    assert "“pdf” is none of the choices." in page
    assert "There is nothing to export yet" in page


def test_the_preview_reads_no_more_than_it_shows(
    client, teacher, address, make, many_paints, django_assert_max_num_queries
):
    many_paints(30)
    template = make("holdings", *SUBJECTS["holdings"].fields)
    client.force_login(teacher)
    with django_assert_max_num_queries(22):
        page = words(client.get(address("export", template.pk)))
    assert page.count("<tr>") == 1 + len(SUBJECTS["holdings"].fields)
    assert 'data-label="Row 3"' in page
    narrow = make("holdings", "name", "amount", name="narrow")
    assert words(client.get(address("export", narrow.pk))).count("<tr>") == 11
