"""Every address of the API from outside: who is not signed in, who is of another studio, who may only read."""

from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from rest_framework.test import APIClient

from inventory.models import Entry, Material, Measurement, Paint, ReorderLevel
from inventory.services import buying, imports, levels
from safety.services import hang, make_notice, record_label_statement, record_sheet
from tests.safety.sheet_files import PDF

pytestmark = pytest.mark.django_db

# Every address and method with a body that is in order. An address that is not here fails the tests below:
# add it with the names of its parameters' values in `rows` and a body for each method that writes.
OPEN_TO_ALL = {"api_schema", "api_not_there"}
OUTSIDE_STUDIOS: dict[str, dict[str, Any]] = {
    "api_front": {"get": None},
    "api_token": {"delete": None},
    "api_pigments": {"get": None},
    "api_pigment": {"get": None},
    "api_statements": {"get": None},
    "api_hazards": {"get": None},
    "api_limits": {"get": None},
}
NOTHING: dict[str, str] = {}
INSIDE: dict[str, dict[str, Any]] = {
    "api_studio": {"get": None},
    "api_members": {"get": None},
    "api_attention": {"get": None},
    "api_paints": {"get": None, "post": {"name": "Viridian", "pigments": "PG18"}},
    "api_paint": {"get": None, "patch": {"notes": "Granulates."}},
    "api_paint_answer": {"post": {"field": "pigments", "key": "a", "value": "b"}},
    "api_paint_archive": {"post": NOTHING},
    "api_paint_restore": {"post": NOTHING},
    "api_paint_measurements": {
        "get": None,
        "post": {"kind": "masstone", "text": "28, 16, -34", "illuminant": "D65", "observer": "10"},
    },
    "api_paint_curve": {"get": None},
    "api_measurements": {"get": None},
    "api_measurement_withdraw": {"post": NOTHING},
    "api_measurement_restore": {"post": NOTHING},
    "api_read_label": {"post": {"name": "Viridian"}},
    "api_materials": {"get": None, "post": {"name": "Stand oil", "material_kind": "drying oil"}},
    "api_material": {"get": None, "patch": {"notes": "Thick."}},
    "api_material_archive": {"post": NOTHING},
    "api_material_restore": {"post": NOTHING},
    "api_places": {"get": None, "post": {"name": "Window"}},
    "api_place": {"get": None, "patch": {"name": "Door"}, "delete": None},
    "api_tubes": {"get": None, "post": {"item": 1, "size": "37", "unit": "ml"}},
    "api_tube": {"get": None},
    "api_tube_entries": {"get": None},
    "api_tube_used": {"post": {"amount": "1"}},
    "api_tube_weighed": {"post": {"gross": "40"}},
    "api_tube_left": {"post": {"left": "10"}},
    "api_tube_moved": {"post": {"place": 1}},
    "api_tube_finished": {"post": NOTHING},
    "api_tube_discarded": {"post": NOTHING},
    "api_tube_lent": {"post": {"to": "Wren"}},
    "api_tube_returned": {"post": NOTHING},
    "api_tube_examined": {"post": {"condition": "dried"}},
    "api_tube_owner": {"post": {"owner_kind": "class", "owner_class": "Evening"}},
    "api_tube_shared": {"post": {"shared": True}},
    "api_entries": {"get": None},
    "api_entry": {"get": None},
    "api_entry_correct": {"post": {"amount": "1", "reason": "A slip."}},
    "api_entry_undo": {"post": NOTHING},
    "api_levels": {"get": None},
    "api_reorder": {"get": None},
    "api_level": {"get": None, "put": {"tubes": 2}, "delete": None},
    "api_offers": {
        "get": None,
        "post": {"supplier": 1, "name": "Rose", "size": "37", "unit": "ml", "price_minor": 695, "currency": "EUR"},
    },
    "api_orders": {"get": None},
    "api_order_received": {"post": {"lines": [{"line": 1, "containers": 1}]}},
    "api_wheel": {"get": None},
    "api_wheel_cell": {"get": None},
    "api_wheel_compare": {"get": None},
    "api_paint_replacement": {"get": None},
    "api_same_job": {"get": None},
    "api_next_tubes": {"get": None},
    "api_mix": {"post": {"paints": [{"paint": 1, "parts": 1}, {"paint": 2, "parts": 1}]}},
    "api_seek": {"post": {"text": "5R 4/12"}},
    "api_layers": {"post": {"paint": 1}},
    "api_imports": {"get": None, "post": {"text": "Name,Pigments\nViridian,PG18"}},
    "api_import": {"get": None},
    "api_import_columns": {"put": {"mapping": {"0": "name"}}},
    "api_import_read": {"post": {"limit": 10}},
    "api_import_rows": {"get": None},
    "api_import_row_choose": {"post": {"key": "a", "value": "b"}},
    "api_import_row_leave": {"post": NOTHING},
    "api_import_row_ask": {"post": NOTHING},
    "api_import_leave_errors": {"post": NOTHING},
    "api_import_commit": {"post": NOTHING},
    "api_import_draw": {"post": NOTHING},
    "api_import_take_back": {"post": NOTHING},
    "api_import_drop": {"post": NOTHING},
    "api_import_take_up": {"post": NOTHING},
    "api_export": {"get": None},
    "api_item_safety": {"get": None},
    "api_item_sheets": {"get": None, "post": {"product": "Blue 12", "read_on": "2026-03-02"}},
    "api_item_label_words": {"get": None, "post": {"text": "Keep cool.", "read_on": "2026-03-02"}},
    "api_item_notices": {"get": None, "post": NOTHING},
    "api_sheet_file": {"get": None, "post": NOTHING},
    "api_sheet_looked": {"post": NOTHING},
    "api_sheet_printed_so": {"post": {"question": "date:none"}},
    "api_sheet_withdraw": {"post": {"why": "Another blue."}},
    "api_label_words_withdraw": {"post": {"why": "Another blue."}},
    "api_notices": {"get": None, "post": NOTHING},
    "api_notices_book": {"get": None},
    "api_notice_pdf": {"get": None},
    "api_notice_hang": {"post": {"where": "door"}},
    "api_postings": {"get": None},
    "api_posting_replace": {"post": {"fingerprint": "0000-0000-0000"}},
    "api_posting_take_down": {"post": NOTHING},
}
# What looks like a write and is none.
READS = {("api_read_label", "post"), ("api_mix", "post"), ("api_seek", "post"), ("api_layers", "post")}
# As on the pages, a list on its way in is looked at by those who may take it in.
NOT_FOR_STUDENTS = {("api_import", "get"), ("api_import_rows", "get")}


def patterns(resolver=None, before=""):
    for one in (resolver or get_resolver()).url_patterns:
        address = before + str(one.pattern).lstrip("^")
        if isinstance(one, URLResolver):
            yield from patterns(one, address)
        elif address.startswith("api/"):
            yield one


def calls(table):
    return [(name, method, body) for name, methods in table.items() for method, body in methods.items()]


@pytest.fixture
def rows(studio, tube, paint, place, keeper):
    """Values for the parameters of every address, all of them rows of the studio."""
    material = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    batch = imports.begin_pasted(studio, by=keeper, text="Name,Pigments\nViridian,PG18")
    levels.set_level(paint, by=keeper, level_tubes=2)
    measurement = Measurement.objects.create(
        paint=paint, kind="masstone", text="30, 20, -40", lightness=30, a=20, b=-40, sd=0.5, by=keeper
    )
    sheet = record_sheet(
        paint,
        by=keeper,
        product="Blue 12",
        read_on=date(2026, 3, 2),
        file=SimpleUploadedFile("blue.pdf", PDF),
    )
    label = record_label_statement(paint, by=keeper, text="Keep cool.", read_on=date(2026, 3, 2))
    notice = make_notice(paint, by=keeper, page_url="https://paints.example/")
    return {
        "api_paint": {"pk": paint.pk},
        "api_measurement": {"pk": measurement.pk},
        "api_material": {"pk": material.pk},
        "api_place": {"pk": place.pk},
        "api_tube_": {"number": tube.number},
        "api_tube": {"number": tube.number},
        "api_entry": {"pk": Entry.objects.get(tube=tube).pk},
        "api_level": {"pk": paint.pk},
        "api_order_": {"pk": _order(studio, keeper).pk},
        "api_import": {"pk": batch.pk},
        "api_import_row_": {"pk": batch.pk, "line": batch.rows.get().line},
        "api_imports": {},
        "api_pigment": {"code": "PB29"},
        "api_item_": {"pk": paint.pk},
        "api_sheet_": {"pk": sheet.pk},
        "api_label_words_": {"pk": label.pk},
        "api_notice_": {"pk": notice.pk},
        "api_posting_": {"pk": hang(notice, by=keeper, where="desk").pk},
        "api_postings": {},
    }


def _order(studio, keeper):
    supplier = buying.add_supplier(studio, name="Corner shop")
    return buying.draft(studio, supplier=supplier, by=keeper)


def address(name, rows, studio="reed-lane"):
    values: dict[str, Any] = next(
        (rows[start] for start in sorted(rows, key=len, reverse=True) if name.startswith(start)), {}
    )
    kwargs = {key: studio if key == "studio" else values[key] for key in _parameters(name)}
    return reverse(name, kwargs=kwargs)


def _parameters(name):
    return next(iter(get_resolver().reverse_dict.getlist(name)))[0][0][1]


@pytest.fixture
def by_name():
    return {one.name: one for one in patterns() if isinstance(one, URLPattern)}


def send(client, method, url, body):
    return getattr(client, method)(url, body, format="json") if body is not None else getattr(client, method)(url)


def test_every_address_is_walked(by_name):
    assert None not in by_name
    assert set(by_name) == OPEN_TO_ALL | set(OUTSIDE_STUDIOS) | set(INSIDE)


def test_every_method_is_walked(by_name):
    for name, pattern in by_name.items():
        if name in OPEN_TO_ALL:
            continue
        has = {method for method in ("get", "post", "put", "patch", "delete") if hasattr(pattern.callback.cls, method)}
        without_signing_in = {"post"} if name == "api_token" else set()
        assert has - without_signing_in == set((OUTSIDE_STUDIOS | INSIDE)[name]), name


def said(client, rows, some_calls, tell, studio="reed-lane"):
    """What `tell` makes of each answer, by method and address: one set-up serves the whole walk."""
    answers = {}
    for name, method, body in some_calls:
        url = address(name, rows, studio)
        answers[method, url] = tell(send(client, method, url, body))
    assert some_calls
    assert len(answers) == len(some_calls)
    return answers


def body_of(answer):
    """An answer that ought to be JSON and is a file is told by its type, so that the failure names its address."""
    kind = answer.headers.get("Content-Type", "")
    return answer.json() if kind.startswith("application/json") else {"not JSON": kind}


def told(answer):
    return answer.status_code, body_of(answer)


def signed_in(user):
    client = APIClient()
    client.force_authenticate(user)
    return client


def other_than(answers, expected):
    return {call: answer for call, answer in answers.items() if answer != expected}


def test_who_is_not_signed_in_is_told_so(rows):
    answers = said(
        APIClient(),
        rows,
        calls(OUTSIDE_STUDIOS | INSIDE),
        lambda answer: (answer.status_code, list(body_of(answer)), answer.headers.get("WWW-Authenticate")),
    )
    assert other_than(answers, (401, ["detail"], "Token")) == {}


NOT_THERE = {"detail": "There is nothing here that you may see: check the address and its number."}


def test_another_studio_does_not_exist(rows, stranger):
    answers = said(signed_in(stranger), rows, calls(INSIDE), told)
    assert other_than(answers, (404, NOT_THERE)) == {}


def test_rows_of_another_studio_do_not_exist_inside_ones_own(rows, stranger):
    """The stranger asks in their own studio for the ids of this one."""
    of_rows = [one for one in calls(INSIDE) if _parameters(one[0])[1:]]
    answers = said(signed_in(stranger), rows, of_rows, lambda answer: answer.status_code, "mill-row")
    assert other_than(answers, 404) == {}


def test_a_student_changes_nothing_and_is_told_who_may(rows, student):
    def state():
        return Entry.objects.count(), Paint.objects.count(), ReorderLevel.objects.count()

    before = state()

    def tell(answer):
        refused = "You are a student in Reed Lane. This takes a" in str(body_of(answer).get("detail"))
        return answer.status_code, refused, state()

    writes = [one for one in calls(INSIDE) if one[1] != "get" and one[:2] not in READS]
    not_theirs = [one for one in calls(INSIDE) if one[:2] in NOT_FOR_STUDENTS]
    answers = said(signed_in(student), rows, writes + not_theirs, tell)
    assert other_than(answers, (403, True, before)) == {}


def test_a_student_reads_everything(rows, student):
    reads = [one for one in calls(INSIDE) if one[1] == "get" and one[:2] not in NOT_FOR_STUDENTS]
    answers = said(signed_in(student), rows, reads, lambda answer: answer.status_code)
    assert other_than(answers, 200) == {}


def test_an_address_that_is_none_answers_in_json(client):
    answer = client.get("/api/paint")
    assert answer.status_code == 404
    assert "end with a slash" in answer.json()["detail"]
    assert client.get("/api/nothing/at/all/").json()["detail"].startswith("There is nothing here")
