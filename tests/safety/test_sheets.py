"""Makers' sheets: kept whole with their files, asked about, never corrected; a bad file leaves nothing behind."""

import os
import time
from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone
from rest_framework.test import APIClient

from inventory.models import Form, Item, MaterialKind, OwnerKind, Place
from inventory.services import finish, receive
from inventory.services.paints import archive
from safety import services
from safety.models import DataSheet, HouseRule, PrintedSo, RuleKind, SheetFile
from safety.queries.facts import facts_of, items
from safety.queries.sheets import sheet_list, sheets_past_review
from safety.services import files
from tests.safety.sheet_files import PDF

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def private(tmp_path):
    """The private folder, empty."""
    with override_settings(MEDIA_ROOT=tmp_path):
        yield tmp_path / "sheets"


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def white(make_paint):
    return make_paint("Titanium White", "PW6")


def today():
    return timezone.localdate()


def pdf(name="sheet.pdf", data=PDF):
    return SimpleUploadedFile(name, data, content_type="application/pdf")


def record(item, by, **values):
    return services.record_sheet(item, by=by, **{"product": "Product 1", "read_on": today(), **values})


def words(answer):
    return " ".join(answer.content.decode().split())


def stored(folder):
    return sorted(path.name for path in folder.glob("*")) if folder.exists() else []


# What is kept


def test_everything_that_a_sheet_prints_is_kept(white, keeper):
    sheet = record(
        white,
        keeper,
        other_hazards="Dust may form an explosive mixture.",
        ufi="N1QV-R02N-J00M-WQD5",
        conformity="Conforms to ASTM D4236",
        review_on=today() + timedelta(days=365),
        says_not_classified=True,
    )
    sheet.refresh_from_db()
    assert (sheet.ufi, sheet.conformity) == ("N1QV-R02N-J00M-WQD5", "Conforms to ASTM D4236")
    known = facts_of([items(white.studio).get(pk=white.pk)])[white.pk]
    assert known.sheet.other_hazards == "Dust may form an explosive mixture."


def test_a_newer_revision_keeps_the_older(white, keeper):
    record(white, keeper, revised_on=date(2021, 3, 1), h_codes="H351 (inhalation)")
    newer = record(white, keeper, revised_on=date(2025, 3, 1), says_not_classified=True)
    assert DataSheet.objects.filter(item=white).standing().count() == 2
    (row,) = sheet_list(white.studio).rows
    assert row.sheet == newer


def test_an_unknown_code_is_kept_only_where_somebody_says_that_it_is_printed_so(white, keeper):
    with pytest.raises(ValidationError, match="Did you mean H350"):
        record(white, keeper, h_codes="H317; H35O")
    assert not DataSheet.objects.exists()
    sheet = record(white, keeper, h_codes="H317; H35O", printed_so=True)
    assert (sheet.h_code_list, sheet.unknown_code_list) == (("H317",), ("H35O",))
    assert PrintedSo.objects.get().question == "unknown:H35O"
    services.make_notice(white, by=keeper, page_url="https://paints.example/")  # no phrase is looked for in vain
    known = facts_of([items(white.studio).get(pk=white.pk)])[white.pk]
    assert known.sheet.unknown_codes == ("H35O",)


def test_a_question_stands_until_somebody_says_that_it_is_printed_so(client, teacher, student, address, white):
    codes = {"signal_word": "Warning", "pictograms": ["GHS08"], "jurisdiction": "EU"}
    sheet = record(white, teacher, revised_on=date(2021, 3, 1), h_codes="H351 (inhalation)", **codes)
    (row,) = sheet_list(white.studio).rows
    assert [one.key for one in row.open_questions] == ["annulled:titanium-dioxide"]
    client.force_login(student)
    page = words(client.get(address("item", white.pk)))
    assert "The EU courts annulled that classification." in page
    assert "It is printed so" not in page
    question = {"question": "annulled:titanium-dioxide"}
    assert client.post(address("sheet_printed_so", sheet.pk), question).status_code == 403
    client.force_login(teacher)
    page = words(client.post(address("sheet_printed_so", sheet.pk), question, follow=True))
    assert "Printed so, says teacher" in page
    client.post(address("sheet_printed_so", sheet.pk), question)  # a second tap
    assert PrintedSo.objects.count() == 1
    sheet.refresh_from_db()
    assert sheet.h_codes == "H351 (inhalation)"
    (row,) = sheet_list(white.studio).rows
    assert not row.open_questions
    page = words(client.post(address("sheet_printed_so", sheet.pk), {"question": ""}, follow=True))
    assert "Answer one of the questions" in page


# Who may record what, meanwhile and later


def test_a_sheet_for_what_somebody_archived_meanwhile_is_refused_with_the_remedy(client, teacher, address, white):
    for tube in white.tubes.all():
        finish(tube, by=teacher)
    archive(white)
    client.force_login(teacher)
    fields = {"product": "W", "read_on": today().isoformat(), "file": pdf()}
    page = words(client.post(address("sheet_add", white.pk), fields))
    assert "Titanium White was taken off the lists on" in page
    assert "Bring it back on its own page" in page
    assert not DataSheet.objects.exists()


def test_a_sheet_for_what_is_gone_is_refused(white, keeper, private):
    gone = Item(pk=white.pk + 1000, studio=white.studio, name="Gone")
    with pytest.raises(ValidationError, match="was taken away by somebody else meanwhile"):
        record(gone, keeper, file=pdf())
    assert stored(private) == []


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"revised_on": "tomorrow"}, "revised_on", "after it was read"),
        ({"read_on": "tomorrow"}, "read_on", "is in the future"),
        ({"review_on": "today"}, "review_on", "enter a later day"),
    ],
)
def test_dates_that_cannot_be_are_refused_by_field(white, keeper, values, field, said):
    days = {"tomorrow": today() + timedelta(days=1), "today": today()}
    with pytest.raises(ValidationError) as refused:
        record(white, keeper, **{name: days[value] for name, value in values.items()})
    assert list(refused.value.message_dict) == [field]
    assert said in refused.value.message_dict[field][0]


# Files


def test_a_file_is_stored_under_a_name_of_ours(client, teacher, student, stranger, address, white):
    client.force_login(teacher)
    fields = {"product": "Weiß 6", "read_on": today().isoformat(), "file": pdf("../../etc/pass\u202ewd.pdf")}
    page = words(client.post(address("sheet_add", white.pk), fields, follow=True))
    kept = SheetFile.objects.select_related("sheet").get()
    assert kept.name == "passwd.pdf"
    assert len(kept.stored_as) == 36
    assert "The sheet as a file" in page
    assert kept.stored_as not in page
    client.force_login(student)
    answer = client.get(address("sheet_file", kept.sheet_id))
    assert b"".join(answer.streaming_content) == PDF
    assert answer["Content-Disposition"] == 'attachment; filename="wei-6-undated.pdf"'
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, no-store"
    assert "sandbox" in answer["Content-Security-Policy"]
    client.force_login(stranger)
    assert client.get(address("sheet_file", kept.sheet_id)).status_code == 404
    own = reverse("safety:sheet_file", args=["mill-row", kept.sheet_id])
    assert client.get(own).status_code == 404
    client.logout()
    assert client.get(address("sheet_file", kept.sheet_id)).status_code == 302


@pytest.mark.parametrize("guess", ["/static/sheets/{}", "/files/sheets/{}", "/media/sheets/{}", "/sheets/{}"])
def test_no_address_serves_the_folder(client, keeper, white, guess):
    sheet = record(white, keeper, file=pdf())
    client.force_login(keeper)
    assert client.get(guess.format(sheet.file.stored_as)).status_code == 404


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"MZ\x90\x00" + b"\0" * 500, "a program for Windows, not a PDF"),
        (b"PK\x03\x04" + b"\0" * 500, "a ZIP archive"),
        (b"<html></html>", "a web page"),
        (b"", "The file is empty"),
    ],
)
def test_what_is_no_pdf_leaves_nothing_and_loses_nothing_typed(client, teacher, address, white, private, data, said):
    client.force_login(teacher)
    fields = {"product": "White 6", "read_on": today().isoformat(), "h_codes": "H31Z", "file": pdf(data=data)}
    page = words(client.post(address("sheet_add", white.pk), fields))
    assert said in page
    assert "“H31Z” is not a known" in page  # told together
    assert 'value="White 6"' in page
    assert not DataSheet.objects.exists()
    assert stored(private) == []


def test_a_file_of_200_mb_is_let_go_while_it_comes(client, teacher, address, white, private, monkeypatch):
    """The limit is lowered to a hundredth here: the way of the bytes is the same."""
    monkeypatch.setattr("studio.uploads.LARGEST_UPLOAD", 200 * 1024)
    client.force_login(teacher)
    fields = {
        "product": "White 6",
        "read_on": today().isoformat(),
        "file": pdf(data=b"%PDF-1.4" + b"\0" * 2_000_000),
        "notes": "After the file.",
    }
    page = words(client.post(address("sheet_add", white.pk), fields))
    assert "more than the 20 MB that are kept" in page
    assert "White 6" in page
    assert "After the file." in page
    assert not DataSheet.objects.exists()
    assert stored(private) == []


def test_a_service_refuses_what_no_form_measured(white, keeper, private, monkeypatch):
    monkeypatch.setattr("safety.services.files.LARGEST", 1000)
    with pytest.raises(ValidationError, match="more than the 20 MB"):
        record(white, keeper, file=pdf(data=PDF + b"\0" * 5000))
    assert stored(private) == []


def test_a_file_of_a_transaction_that_fails_is_cleaned_away(white, keeper, private, monkeypatch):
    def refuse(*args, **kwargs):
        raise IntegrityError("the disk of the database is full")

    monkeypatch.setattr("safety.services.files.SheetFile.objects.create", refuse)
    with pytest.raises(IntegrityError):
        record(white, keeper, file=pdf())
    assert stored(private) == []
    assert not DataSheet.objects.exists()


def test_a_full_disk_is_told(white, keeper, private, monkeypatch):
    def full(descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("safety.services.files.os.fsync", full)
    with pytest.raises(ValidationError, match="could not be stored"):
        record(white, keeper, file=pdf())
    assert stored(private) == []
    assert not DataSheet.objects.exists()


def test_the_final_name_comes_with_the_commit(white, keeper, private, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        sheet = record(white, keeper, file=pdf())
        assert stored(private) == [f"{sheet.file.stored_as}.part"]
    assert stored(private) == [sheet.file.stored_as]
    assert (private / sheet.file.stored_as).stat().st_mode & 0o777 == 0o600
    assert (sheet.file.size, sheet.file.by) == (len(PDF), keeper)


def test_a_stop_between_the_commit_and_the_name_is_put_right_when_the_file_is_asked_for(white, keeper, private):
    sheet = record(white, keeper, file=pdf())  # the test's own transaction never commits
    assert stored(private) == [f"{sheet.file.stored_as}.part"]
    with files.opened(sheet.file) as file:
        assert file.read() == PDF
    assert stored(private) == [sheet.file.stored_as]


def test_old_orphans_are_swept_and_files_with_a_row_are_not(white, keeper, private):
    sheet = record(white, keeper, file=pdf())
    orphan = private / "0123456789abcdef0123456789abcdef.pdf.part"
    orphan.write_bytes(PDF)
    long_ago = time.time() - 2 * 24 * 3600
    for path in private.glob("*.part"):
        os.utime(path, (long_ago, long_ago))
    assert files.sweep() == 1
    assert stored(private) == [f"{sheet.file.stored_as}.part"]


def test_a_file_that_is_missing_or_changed_is_told(client, teacher, address, white, private):
    sheet = record(white, teacher, file=pdf())
    client.force_login(teacher)
    (private / f"{sheet.file.stored_as}.part").write_bytes(b"%PDF-something else")
    page = words(client.get(address("sheet_file", sheet.pk), follow=True))
    assert "is not in the private folder, or is not as it was stored" in page


def test_a_file_is_added_once_to_a_sheet_that_has_none(client, teacher, student, address, white, private):
    sheet = record(white, teacher)
    client.force_login(student)
    assert client.post(address("sheet_file", sheet.pk), {"file": pdf()}).status_code == 403
    client.force_login(teacher)
    assert "At most" not in words(client.get(address("sheet_file", sheet.pk)))
    assert "no file is chosen. Choose one." in words(client.post(address("sheet_file", sheet.pk), {}))
    assert "The file is kept." in words(client.post(address("sheet_file", sheet.pk), {"file": pdf()}, follow=True))
    page = words(client.post(address("sheet_file", sheet.pk), {"file": pdf()}))
    assert "This sheet already has a file." in page
    assert len(stored(private)) == 1


# Gaps


def test_gaps_come_first_with_whose_tube_it_is(client, student, keeper, address, make_paint, white, studio):
    blue = make_paint("Student's Blue", "PB29")
    cupboard = Place.objects.create(studio=studio, name="Cupboard")
    blue.tubes.update(owner_kind=OwnerKind.MEMBER, owner=student, place=cupboard)
    receive(studio, white, nominal_milli=37_000, unit="ml", by=keeper)
    record(white, keeper, revised_on=date(2025, 3, 1), says_not_classified=True)
    client.force_login(student)
    page = words(client.get(address("sheets")))
    assert "1 of 2 without a sheet on file" in page
    assert "Brought by student." in page
    assert page.index("Without a sheet: 1") < page.index("On file: 1")
    assert "not set: ask your safety office" in page
    number = blue.tubes.get().number
    assert f'<span class="num">{number}</span>' in page
    (row,) = sheet_list(studio, owner="others").rows
    assert (row.item.pk, row.brought_by) == (blue.pk, ("student",))
    assert [one.item.pk for one in sheet_list(studio, place=str(cupboard.pk)).rows] == [blue.pk]
    assert [one.item.pk for one in sheet_list(studio, owner="studio", place="none").rows] == [white.pk]
    narrowed = words(client.get(address("sheets"), {"owner": f"member:{student.pk}"}))
    assert "1 of 1 without a sheet" in narrowed
    assert "Titanium White" not in narrowed
    assert "1 of 2 without a sheet" in words(client.get(address("sheets"), {"owner": "x'--", "place": "\0"}))


def test_the_house_says_how_often_and_nobody_else(white, keeper, studio):
    sheet = record(white, keeper, read_on=today() - timedelta(days=400), says_not_classified=True)
    assert not sheet_list(studio).of("house")
    rule = HouseRule.objects.create(
        studio=studio,
        kind=RuleKind.INTERVAL,
        subject="Data sheet",
        days=365,
        text="Sheets are looked at every year.",
        on_whose_word="the safety office",
        set_on=today(),
        recorded_by=keeper,
    )
    (row,) = sheet_list(studio).of("house")
    assert row.house.words == "overdue by 35 days"
    services.look_again(sheet, by=keeper)
    assert not sheet_list(studio).of("house")
    rule.ended_at = timezone.now()
    rule.save()
    assert sheet_list(studio).interval is None


def test_a_day_to_look_again_that_is_past_is_told_on_the_first_page(client, teacher, address, white, studio):
    sheet = record(white, teacher, says_not_classified=True, review_on=today() + timedelta(days=1))
    assert not list(sheets_past_review(studio))
    DataSheet.objects.filter(pk=sheet.pk).update(review_on=today() - timedelta(days=3))
    (matter,) = sheets_past_review(studio)
    assert "The day to look again is past for the maker's sheet of Titanium White" in matter.sentence
    (row,) = sheet_list(studio).of("review")
    assert row.review.words == "overdue by 3 days"
    client.force_login(teacher)
    later = today() + timedelta(days=200)
    page = words(client.post(address("sheet_looked", sheet.pk), {"review_on": today().isoformat()}))
    assert "enter a later day, or none" in page
    page = words(client.post(address("sheet_looked", sheet.pk), {"review_on": later.isoformat()}, follow=True))
    assert "You looked again today" in page
    assert not list(sheets_past_review(studio))
    services.withdraw(sheet, by=teacher, why="Another product.")
    with pytest.raises(ValidationError, match="withdrawn meanwhile"):
        services.look_again(sheet, by=teacher)


def test_a_sheet_read_after_the_notice_is_told(white, keeper, studio):
    services.make_notice(white, by=keeper, page_url="https://paints.example/")
    assert not sheet_list(studio).of("notice")
    record(white, keeper, says_not_classified=True)
    assert [one.item.pk for one in sheet_list(studio).of("notice")] == [white.pk]


def test_a_form_that_is_not_the_usual_is_a_fact(make_paint, make_material, keeper):
    pastel = make_paint("Ultramarine", "PB29")
    Item.objects.filter(pk=pastel.pk).update(form=Form.STICK)
    varnish = make_material("Varnish", MaterialKind.VARNISH)
    Item.objects.filter(pk=varnish.pk).update(form=Form.SPRAY)
    found = facts_of(list(items(pastel.studio)))
    assert found[pastel.pk].sold_as == "stick"
    assert found[varnish.pk].sold_as == "spray"


@pytest.mark.parametrize("count", [1, 20])
def test_the_list_costs_the_same_for_any_number(
    client, keeper, address, many_paints, studio, django_assert_num_queries, count
):
    for paint in many_paints(count):
        with transaction.atomic():
            record(paint, keeper, h_codes="H317", review_on=today() + timedelta(days=1))
    DataSheet.objects.update(review_on=today() - timedelta(days=1))
    client.force_login(keeper)
    # Session, user, membership; tubes, items, sheets, statements, pigments, answers, notices, house rules.
    with django_assert_num_queries(11):
        client.get(address("sheets"))
    with django_assert_num_queries(2):
        list(sheets_past_review(studio))


# Programs


def test_a_program_reads_and_writes_the_same(keeper, teacher, student, white, studio, private):
    home = f"/api/s/{studio.slug}"
    api = APIClient()
    api.force_authenticate(teacher)
    body = {
        "product": "White 6",
        "read_on": today().isoformat(),
        "revised_on": "2021-03-01",
        "h_codes": "H351 (inhalation); H35O",
        "signal_word": "Warning",
        "pictograms": ["GHS08"],
        "ufi": "N1QV-R02N-J00M-WQD5",
        "conformity": "Conforms to ASTM D4236",
    }
    refused = api.post(f"{home}/items/{white.pk}/sheets/", body, format="json")
    assert refused.status_code == 400
    assert "Did you mean H350" in refused.json()["h_codes"][0]
    made = api.post(f"{home}/items/{white.pk}/sheets/", body | {"printed_so": True}, format="json").json()
    assert made["unknown_codes"] == ["H35O"]
    assert made["file"] is None
    assert [(one["key"], one["printed_so_by"]) for one in made["questions"]] == [
        ("unknown:H35O", "teacher"),
        ("annulled:titanium-dioxide", None),
    ]
    sheet = f"{home}/sheets/{made['id']}"
    question = {"question": "annulled:titanium-dioxide"}
    answered = api.post(f"{sheet}/printed-so/", question, format="json").json()
    assert [one["printed_so_by"] for one in answered["questions"]] == ["teacher", "teacher"]
    assert api.get(f"{sheet}/file/").status_code == 404
    assert "not a PDF" in api.post(f"{sheet}/file/", {"file": pdf(data=b"MZ")}).json()["file"][0]
    kept = api.post(f"{sheet}/file/", {"file": pdf()})
    assert kept.status_code == 201
    assert kept.json()["file"] | {"at": ""} == {
        "name": "sheet.pdf",
        "size": len(PDF),
        "sha256": SheetFile.objects.get().sha256,
        "by": "teacher",
        "at": "",
        "url": f"{sheet}/file/",
    }
    assert b"".join(api.get(f"{sheet}/file/").streaming_content) == PDF
    looked = api.post(f"{sheet}/looked-again/", {"review_on": "2020-01-01"}, format="json")
    assert "is past or today" in looked.json()["review_on"][0]
    assert api.post(f"{sheet}/looked-again/", {}, format="json").json()["looked_by"] == "teacher"


def test_a_program_is_told_that_a_file_is_too_large(teacher, white, studio, private, monkeypatch):
    monkeypatch.setattr("studio.uploads.LARGEST_UPLOAD", 200 * 1024)
    sheet = record(white, teacher)
    api = APIClient()
    api.force_authenticate(teacher)
    answer = api.post(f"/api/s/{studio.slug}/sheets/{sheet.pk}/file/", {"file": pdf(data=b"%PDF" + b"\0" * 500_000)})
    assert answer.status_code == 400
    assert "more than the 20 MB" in answer.json()["file"][0]
    assert stored(private) == []
