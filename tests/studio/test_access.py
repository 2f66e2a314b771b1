"""Every address inside a studio: who is not in it learns nothing, who only reads writes nothing.

The addresses are read from the project itself, so a new page is tested as soon as it has one.
"""

import re
from datetime import date

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from inventory.models import (
    Barcode,
    Binder,
    Group,
    ImportBatch,
    ImportRow,
    Lesson,
    LightTest,
    Material,
    MaterialKind,
    Measurement,
    Offer,
    Order,
    OrderDay,
    OrderLine,
    Paint,
    Palette,
    Room,
    SavedFilter,
    Stocktake,
    Substitute,
    Supplier,
    Swatch,
    Term,
    Want,
    Work,
)
from safety.models import (
    CalendarLink,
    ExportTemplate,
    HouseRule,
    Incident,
    Inspection,
    RuleKind,
    RulesVersion,
    SignOff,
    WasteContainer,
)
from safety.services.notices import make_notice
from safety.services.postings import hang
from safety.services.sheets import record_label_statement, record_sheet

pytestmark = pytest.mark.django_db

INSIDE = "s/<slug:studio>/"


def addresses(patterns=None, prefix="", namespace=""):
    """The route and the name of every pattern that begins inside a studio."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from addresses(pattern.url_patterns, route, inner)
        elif isinstance(pattern, URLPattern) and route.startswith(INSIDE):
            yield route.removeprefix(INSIDE), f"{namespace}{pattern.name}"


ADDRESSES = sorted(set(addresses()))


@pytest.fixture
def things(studio, tube, keeper):
    """What an address can name, by its first word: a page about a new kind of thing adds the thing here."""
    paint = Paint.objects.create(studio=studio, name="Zinc White", binder=Binder.OIL)
    material = Material.objects.create(studio=studio, name="Stand Oil", material_kind=MaterialKind.DRYING_OIL)
    batch = ImportBatch.objects.create(studio=studio, file_name="list.csv", encoding="utf-8", by=keeper)
    row = ImportRow.objects.create(batch=batch, line=1, cells=["Zinc White"])
    measurement = Measurement.objects.create(
        paint=paint, kind=Swatch.MASSTONE, text="94, 0, 3", lightness=94, a=0, b=3, sd=0.5, by=keeper
    )
    words = record_label_statement(paint, by=keeper, read_on=date(2026, 1, 5), text="Keep out of reach of children.")
    room = Room.objects.create(studio=studio, name="Painting room")
    group = Group.objects.create(studio=studio, name="Evening class")
    supplier = Supplier.objects.create(studio=studio, name="Corner supplier")
    offer = Offer.objects.create(
        supplier=supplier,
        item=paint,
        name=paint.name,
        nominal_milli=40_000,
        price_minor=650,
        currency="EUR",
        valid_from=date(2026, 1, 5),
    )
    order = Order.objects.create(studio=studio, supplier=supplier)
    line = OrderLine.objects.create(order=order, item=paint, name=paint.name, packs=1, nominal_milli=40_000)
    stocktake = Stocktake.objects.create(studio=studio, place=tube.place, started_by=keeper)
    palette = Palette.objects.create(studio=studio, name="Six", binder=Binder.OIL)
    term = Term.objects.create(studio=studio, name="Spring", starts_on=date(2027, 1, 11), ends_on=date(2027, 3, 26))
    lesson = Lesson.objects.create(studio=studio, title="Greys", starts_at=timezone.now(), students=8)
    test = LightTest.objects.create(paint=paint, started_on=date(2026, 1, 5), before=[40, 20, 10], by=keeper)
    work = Work.objects.create(studio=studio, title="Still life with jug")
    rule = HouseRule.objects.create(
        studio=studio,
        kind=RuleKind.WORDING,
        text="Wipe brushes first.",
        on_whose_word="the keepers",
        set_on=date(2026, 1, 5),
        recorded_by=keeper,
    )
    version = RulesVersion.objects.create(studio=studio, number=1, title="Rules", text="Wipe first.", made_by=keeper)
    signed = SignOff.objects.create(version=version, name="Wren", signed_on=date(2026, 1, 5), recorded_by=keeper)
    inspection = Inspection.objects.create(
        studio=studio, subject="eyewash", done_on=date(2026, 1, 5), finding="in order", by=keeper
    )
    waste = WasteContainer.objects.create(
        studio=studio, number=1, contents="White spirit with oil paint", opened_on=date(2026, 1, 5), opened_by=keeper
    )
    notice = make_notice(paint, by=keeper, page_url="https://example.org/")
    incident = Incident.objects.create(studio=studio, kind="near miss", what="A rag felt warm.", reported_by=keeper)
    export = ExportTemplate.objects.create(
        studio=studio, name="Office", subject="holdings", columns=[{"header": "Chemical", "field": "name"}]
    )
    return {
        "rooms": {"pk": room.pk},
        "groups": {"pk": group.pk},
        "suppliers": {"pk": supplier.pk},
        "offers": {"pk": offer.pk},
        "orders": {"pk": order.pk, "line_pk": line.pk},
        "wants": {"pk": Want.objects.create(studio=studio, words="Zinc White", containers=2).pk},
        "order-days": {"pk": OrderDay.objects.create(studio=studio, on=date(2027, 2, 3)).pk},
        "substitutes": {"pk": Substitute.objects.create(item=paint, words="Any PW4", accepted=True).pk},
        "stocktakes": {"pk": stocktake.pk, "number": tube.number},
        "barcodes": {"pk": Barcode.objects.create(studio=studio, item=paint, digits="4006381333931").pk},
        "filters": {"pk": SavedFilter.objects.create(studio=studio, by=keeper, name="Oil", query="binder=oil").pk},
        "palettes": {"pk": palette.pk},
        "terms": {"pk": term.pk},
        "lessons": {"pk": lesson.pk},
        "light-tests": {"pk": test.pk},
        "works": {"pk": work.pk},
        "house-rules": {"pk": rule.pk},
        "regimes": {"code": "PY37"},
        "health-questions": {"concern": "asthma"},
        "rules-versions": {"pk": version.pk},
        "sign-offs": {"pk": signed.pk},
        "inspections": {"pk": inspection.pk},
        "waste": {"pk": waste.pk},
        "incidents": {"pk": incident.pk},
        "exports": {"pk": export.pk},
        "calendar-links": {"pk": CalendarLink.objects.create(studio=studio, by=keeper, token="0" * 64).pk},
        "tubes": {"number": tube.number},
        "entries": {"pk": tube.entries.get().pk},
        "items": {"pk": paint.pk},
        "paints": {"pk": paint.pk},
        "measurements": {"pk": measurement.pk},
        "materials": {"pk": material.pk},
        "places": {"pk": tube.place_id},
        "imports": {"pk": batch.pk, "row_pk": row.pk},
        "notices": {"pk": notice.pk},
        "postings": {"pk": hang(notice, by=keeper, room=room).pk},
        "sheets": {"pk": record_sheet(paint, by=keeper, product="Zinc White", read_on=date(2026, 1, 5)).pk},
        "label-words": {"pk": words.pk},
        "people": {"pk": keeper.memberships.get().pk},
    }


@pytest.fixture
def address(things):
    """The address of a page inside a studio, about the things of Reed Lane."""

    def build(route, name, studio):
        wanted = re.findall(r"<\w+:(\w+)>", route)
        known = things.get(route.split("/")[0], {})
        lacking = set(wanted) - set(known)
        assert not lacking, f"{name}: tell `things` in tests/studio/test_access.py what {lacking} is in {route}"
        return reverse(name, kwargs={"studio": studio.slug, **{part: known[part] for part in wanted}})

    return build


def test_the_walk_finds_the_pages():
    names = {name for _, name in ADDRESSES}
    assert {"today", "inventory:shelf", "inventory:tube_use", "inventory:places"} <= names


def ask(client, url):
    """What a page answers when it is asked for and when something is sent to it."""
    return client.get(url).status_code, client.post(url).status_code


def test_who_is_not_signed_in_is_asked_to(client, studio, address):
    sign_in = reverse("sign_in")
    wrong = []
    for route, name in ADDRESSES:
        url = address(route, name, studio)
        answers = [client.get(url), client.post(url)]
        # A page that takes one method alone refuses the other before it looks at anything.
        said = [answer for answer in answers if answer.status_code != 405]
        if not said or any(answer.status_code != 302 or not answer.url.startswith(sign_in) for answer in said):
            wrong.append((url, [answer.status_code for answer in answers]))
    assert wrong == []


def test_a_stranger_does_not_learn_that_the_page_is_there(client, studio, stranger, address):
    client.force_login(stranger)
    answers = {url: ask(client, url) for url in (address(route, name, studio) for route, name in ADDRESSES)}
    assert {url: answer for url, answer in answers.items() if set(answer) - {405} != {404}} == {}


# What is published of a pigment is the same in every studio.
SHARED = ("regimes/", "health-questions/")
THINGS = [(route, name) for route, name in ADDRESSES if "<" in route and not route.startswith(SHARED)]


def test_a_keeper_does_not_reach_another_studio_s_things_from_their_own(client, other_studio, stranger, address):
    client.force_login(stranger)
    answers = {url: ask(client, url) for url in (address(route, name, other_studio) for route, name in THINGS)}
    assert {url: answer for url, answer in answers.items() if set(answer) - {405} != {404}} == {}


# Who was hurt is often a student: they report, and add to their own report. Others' reports are not there for them.
# The label check keeps nothing: it is posted because its answer may be too long for an address.
STUDENTS_TOO = {"safety:incident_add": 422, "safety:incident_note": 404, "safety:label_check": 422}


def test_a_student_writes_nothing(client, studio, student, address):
    client.force_login(student)
    wrong = []
    for route, name in ADDRESSES:
        url = address(route, name, studio)
        answer = client.post(url)
        told = "You are a student in Reed Lane" in answer.content.decode() if answer.status_code == 403 else True
        if not told or answer.status_code not in ({STUDENTS_TOO[name]} if name in STUDENTS_TOO else {403, 405}):
            wrong.append((url, answer.status_code))
    assert wrong == []


def test_a_keeper_reaches_every_page(client, studio, keeper, address):
    """Else the tests above would pass for addresses that nobody reaches."""
    client.force_login(keeper)
    answers = {url: client.get(url).status_code for url in (address(route, name, studio) for route, name in ADDRESSES)}
    assert {url: answer for url, answer in answers.items() if answer not in (200, 302, 405)} == {}
