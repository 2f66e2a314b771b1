"""The safety pages: what they say, who may write, what a bad input brings."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from safety import services
from safety.models import DataSheet, LabelStatement, Notice

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


@pytest.fixture
def cadmium(make_paint):
    return make_paint("Cadmium Yellow Medium", "PY37")


@pytest.fixture
def notice(cadmium, keeper):
    return services.make_notice(cadmium, by=keeper, page_url="https://paints.example/")


def sheet_fields(**values):
    return {"product": "Yellow 37", "read_on": timezone.localdate().isoformat(), **values}


def bookmarks(reader):
    return [one.title for one in reader.outline if not isinstance(one, list)]


def words(answer):
    return " ".join(answer.content.decode().split())


def test_a_student_reads_everything_and_writes_nothing(client, student, address, cadmium, notice):
    client.force_login(student)
    page = words(client.get(address("item", cadmium.pk)))
    assert "May cause cancer." in page
    assert "CLP Annex VI harmonised" in page
    assert "Published" in page
    assert "Make a notice" not in page
    assert client.get(address("notice_pdf", notice.pk)).status_code == 200
    assert client.get(address("book_pdf")).status_code == 200
    for name in ("make", "sheet_add", "label_add"):
        assert client.post(address(name, cadmium.pk), sheet_fields()).status_code == 403
    assert client.post(address("hang", notice.pk), {"where": "door"}).status_code == 403
    posting = services.hang(notice, where="door", by=notice.made_by)
    for name in ("posting_replace", "posting_take_down"):
        assert client.post(address(name, posting.pk)).status_code == 403
    assert "Nothing hangs" not in words(client.get(address("postings")))
    assert client.post(address("make_all")).status_code == 403
    assert Notice.objects.count() == 1
    assert not DataSheet.objects.exists()


def test_another_studio_learns_nothing(client, stranger, address, cadmium, notice):
    client.force_login(stranger)
    for url in (address("notices"), address("item", cadmium.pk), address("notice_pdf", notice.pk), address("book_pdf")):
        assert client.get(url).status_code == 404


def test_what_is_not_known_is_said(client, student, address, make_paint):
    client.force_login(student)
    page = words(client.get(address("item", make_paint("Cadmium-Free Red").pk)))
    assert "Not known: read the maker&#x27;s sheet. Nothing here says that it is free of hazard." in page
    assert "None on file. Ask the maker or the supplier" in page
    assert "Local regulations, licensed practice and the maker&#x27;s safety data sheet come first." in page


def test_signs_are_drawn_and_told_in_words(client, student, address, cadmium):
    client.force_login(student)
    page = words(client.get(address("item", cadmium.pk)))
    assert 'src="/static/signs/ghs08.svg" alt="Health hazard: serious or lasting harm (GHS08)"' in page
    assert client.get("/static/signs/ghs08.svg").status_code == 200


def test_a_teacher_records_a_sheet(client, teacher, address, cadmium):
    client.force_login(teacher)
    fields = sheet_fields(h_codes="H350; H302", p_codes="P201", signal_word="Danger", pictograms=["GHS08", "GHS07"])
    answer = client.post(address("sheet_add", cadmium.pk), fields, follow=True)
    assert "The sheet is recorded: Yellow 37, revision date not printed." in words(answer)
    assert "From the maker&#x27;s safety data sheet on file: Yellow 37" in words(answer)
    sheet = DataSheet.objects.get()
    assert (sheet.by, sheet.signs) == (teacher, ("GHS07", "GHS08"))


def test_a_bad_code_is_told_and_nothing_typed_is_lost(client, teacher, address, cadmium):
    client.force_login(teacher)
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    answer = client.post(address("sheet_add", cadmium.pk), sheet_fields(h_codes="H35O; H302", read_on=tomorrow))
    page = words(answer)
    assert "“H35O” is not a known H, EUH or P code. Did you mean H350? Check it against the sheet." in page
    assert f"{tomorrow} is in the future" in page
    assert "H35O; H302</textarea>" in page
    assert not DataSheet.objects.exists()


def test_a_date_that_is_none_is_told(client, teacher, address, cadmium):
    client.force_login(teacher)
    page = words(client.post(address("sheet_add", cadmium.pk), sheet_fields(read_on="31.02.2026")))
    assert "Write the date as 2026-03-31: year, month, day." in page


def test_label_words_are_shown_as_typed_and_escaped(client, teacher, address, cadmium):
    client.force_login(teacher)
    fields = {"text": "Contains <b>cadmium</b>", "read_on": timezone.localdate().isoformat()}
    page = words(client.post(address("label_add", cadmium.pk), fields, follow=True))
    assert "Contains &lt;b&gt;cadmium&lt;/b&gt;" in page
    label = LabelStatement.objects.get()
    again = client.post(address("label_withdraw", label.pk), {"why": ""})
    assert "nothing is entered. It is needed: fill it in." in words(again)
    page = words(client.post(address("label_withdraw", label.pk), {"why": "Another tube."}, follow=True))
    assert "by teacher: Another tube." in page


def test_out_of_date_comes_first_with_what_changed(client, teacher, address, cadmium, notice, make_paint):
    make_paint("Blue", "PB29")
    services.hang(notice, where="the locked cupboard", by=teacher)
    services.record_sheet(cadmium, by=teacher, product="Yellow 37", read_on=timezone.localdate(), h_codes="H302")
    client.force_login(teacher)
    page = words(client.get(address("notices")))
    assert page.index("Out of date: 1") < page.index("Without a notice: 1")
    assert "(hangs: the locked cupboard)" in page
    assert "<del>none on file</del> →" in page
    assert "<ins>Yellow 37, revision date not recorded" in page
    assert "Make 2 notices" in page
    page = words(client.post(address("make_all"), follow=True))
    assert "2 notices are made. Those that hang stay until you take them down." in page
    assert "As known now: 1" in page  # the old one of the other still hangs
    new = cadmium.notices.latest("pk")
    page = words(client.post(address("hang", new.pk), {"where": "the locked cupboard"}, follow=True))
    assert "hangs: the locked cupboard." in page
    assert "As known now: 2" in words(client.get(address("notices")))


def test_nothing_in_stock_is_said_plainly(client, student, address):
    client.force_login(student)
    assert "Nothing stands on the shelf" in words(client.get(address("notices")))
    answer = client.get(address("book_pdf"), follow=True)
    assert "There is no notice to bind yet" in words(answer)


def test_a_notice_comes_as_a_file_that_nobody_keeps(client, student, address, notice):
    client.force_login(student)
    answer = client.get(address("notice_pdf", notice.pk), {"paper": "Letter"})
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'inline; filename="cadmium-yellow-medium-{notice.fingerprint}.pdf"'
    assert answer["Cache-Control"] == "no-store"
    assert "Content-Security-Policy" not in answer
    assert PdfReader(BytesIO(answer.content)).pages[0].mediabox.width == 612
    assert client.get(address("notice_pdf", notice.pk), {"paper": "A9"}).status_code == 404


def test_a_name_in_another_script_has_a_file_name_too(client, keeper, address, make_paint):
    blue = make_paint("Ультрамарин", "PB29")
    notice = services.make_notice(blue, by=keeper, page_url="https://paints.example/")
    client.force_login(keeper)
    answer = client.get(address("notice_pdf", notice.pk))
    assert answer["Content-Disposition"] == f'inline; filename="notice-{notice.fingerprint}.pdf"'
    assert "Ультрамарин" in PdfReader(BytesIO(answer.content)).pages[0].extract_text()


def test_letter_paper_is_offered_first_where_it_is_used(client, keeper, address, notice, studio):
    studio.jurisdiction = "US (California)"
    studio.save()
    client.force_login(keeper)
    answer = client.get(address("notice_pdf", notice.pk))
    assert PdfReader(BytesIO(answer.content)).pages[0].mediabox.width == 612
    page = words(client.get(address("item", notice.item_id)))
    assert "No list of US (California) is held here" in page


def test_the_book_holds_what_is_known_now(client, keeper, address, notice, make_paint, studio):
    services.make_notice(make_paint("Blue", "PB29"), by=keeper, page_url="https://paints.example/")
    make_paint("White", "PW6")
    client.force_login(keeper)
    reader = PdfReader(BytesIO(client.get(address("book_pdf")).content))
    assert bookmarks(reader) == ["Contents", "Blue", "Cadmium Yellow Medium"]
    services.record_sheet(notice.item, by=keeper, product="Y", read_on=timezone.localdate(), h_codes="H302")
    reader = PdfReader(BytesIO(client.get(address("book_pdf")).content))
    assert bookmarks(reader) == ["Contents", "Blue"]


def test_pregnancy_is_answered_neither_yes_nor_no(client, student, teacher, address, make_paint):
    """H361fd of cadmium sulphide: CLP Annex VI, index 048-010-00-4. What a sheet states goes before it."""
    sheeted = make_paint("Lead-free White", "PW6")
    services.record_sheet(sheeted, by=teacher, product="W", read_on=timezone.localdate(), says_not_classified=True)
    make_paint("Cadmium Yellow", "PY37")
    make_paint("Jar without a label")
    client.force_login(student)
    page = words(client.get(address("health_question", "pregnancy")))
    assert "This page answers neither yes nor no." in page
    assert "Speak to your doctor, your tutor and your safety office" in page
    assert "whoever is responsible for safety" in page
    carrying, rest = page.split("Without an entered maker")
    missing, without = rest.split("With an entered sheet that lacks")
    assert "Cadmium Yellow" in carrying
    assert "H361fd" in carrying
    assert "Jar without a label" in missing
    assert "Cadmium Yellow" in missing
    assert "Lead-free White" in without
    assert "does not say that there is no risk" in without


def test_asthma_and_skin_are_asked_with_the_sensitiser_that_a_sheet_names(
    client, student, teacher, address, make_paint
):
    """CLP Annex II, 2.8: EUH208 names the substance; H350 bears on neither question."""
    white = make_paint("Acrylic White", "PW6")
    codes = "EUH208 (1,2-benzisothiazol-3(2H)-one); H350"
    services.record_sheet(white, by=teacher, product="W", read_on=timezone.localdate(), h_codes=codes)
    client.force_login(student)
    for concern in ("asthma", "skin"):
        page = words(client.get(address("health_question", concern)))
        assert "This page answers neither yes nor no." in page
        assert "Contains 1,2-benzisothiazol-3(2H)-one. May produce an allergic reaction." in page
        assert "H350" not in page
    assert client.get(address("health_question", "headache")).status_code == 404


def test_sheets_missing_and_on_file(client, teacher, address, make_paint):
    blue, white = make_paint("Blue", "PB29"), make_paint("White", "PW6")
    services.record_sheet(blue, by=teacher, product="B 12", read_on=timezone.localdate(), h_codes="H317")
    client.force_login(teacher)
    page = words(client.get(address("sheets")))
    assert "1 of 2 without a sheet on file" in page
    assert page.index(white.name) < page.index(f">{blue.name}<")
    assert "B 12, revision date not printed" in page


def test_a_paint_leads_to_its_safety_page(client, student, address, cadmium, studio):
    client.force_login(student)
    page = words(client.get(reverse("inventory:paint", args=[studio.slug, cadmium.pk])))
    assert f'href="{address("item", cadmium.pk)}"' in page


@pytest.mark.parametrize("count", [1, 30])
def test_pages_cost_the_same_for_any_number(client, keeper, address, many_paints, django_assert_num_queries, count):
    paint = many_paints(count)[0]
    client.force_login(keeper)
    with django_assert_num_queries(13):  # session, user, membership; those of the standings
        client.get(address("notices"))
    with django_assert_num_queries(19):
        client.get(address("item", paint.pk))
    with django_assert_num_queries(10):
        client.get(address("health_question", "pregnancy"))
    with django_assert_num_queries(7):
        client.get(address("sheets"))
