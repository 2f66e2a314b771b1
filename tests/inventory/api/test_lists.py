"""Lists: narrowed down, paged by keyset, and as dear for thirty rows as for one."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory import services
from inventory.models import Binder, Material, OwnerKind, Paint, Place
from inventory.reading import LabelTexts
from inventory.services import imports, levels
from inventory.services.paints import add_paint

pytestmark = pytest.mark.django_db


def fill(studio, keeper, first, count):
    for number in range(first, first + count):
        texts = LabelTexts(name=f"Green {number:02}", pigments="PG7, PW97")
        paint = add_paint(studio, by=keeper, binder=Binder.OIL, texts=texts)
        place = Place.objects.create(studio=studio, name=f"Shelf {number:02}")
        tube = services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place)[0]
        services.record_use(tube, amount_milli=1_000, by=keeper)
        services.undo(tube.entries.latest("pk"), by=keeper)
        services.lend(tube, to="Wren", by=keeper)
        levels.set_level(paint, by=keeper, level_tubes=2)
        Material.objects.create(studio=studio, name=f"Oil {number:02}", material_kind="drying oil")
        imports.begin_pasted(studio, by=keeper, text="Name\nViridian")


LISTS = [
    "paints/", "materials/", "places/", "tubes/", "entries/", "members/", "levels/", "reorder/", "attention/",
    "imports/", "tubes/1/entries/",
]  # fmt: skip


@pytest.mark.usefixtures("pigments")
def test_thirty_rows_take_no_more_queries_than_five(api, studio, keeper):
    counts: list[dict[str, int]] = []
    # From five on a sentence of the first page counts what it does not name.
    for first, count in ((0, 5), (5, 25)):
        fill(studio, keeper, first, count)
        counts.append({})
        for path in LISTS:
            with CaptureQueriesContext(connection) as queries:
                answer = api.ask(path)
            assert answer.status_code == 200, answer.json()
            counts[-1][path] = len(queries)
    assert counts[0] == counts[1]
    # The first page asks every part of the house.
    today = counts[0].pop("attention/")
    assert max(counts[0].values()) <= 20, counts[0]
    assert today <= 45


@pytest.mark.parametrize("page_size", [1, 2, 3, 7])
def test_walking_there_and_back_gives_each_row_once_also_where_names_are_the_same(api, studio, page_size):
    for name in ["Ochre"] * 4 + ["Umber"] * 5 + ["Viridian"]:
        Paint.objects.create(studio=studio, name=name)
    wanted = list(Paint.objects.order_by("name", "pk").values_list("pk", flat=True))
    there, pages, address = [], [], f"/api/s/reed-lane/paints/?page_size={page_size}"
    while address:
        page = api.get(address).json()
        pages.append(page)
        there += [paint["id"] for paint in page["results"]]
        address = page["next"]
    assert there == wanted
    back, address = [paint["id"] for paint in pages[-1]["results"]], pages[-1]["previous"]
    while address:
        page = api.get(address).json()
        back = [paint["id"] for paint in page["results"]] + back
        address = page["previous"]
    assert back == wanted


def test_a_row_that_comes_between_moves_nothing(api, tube, member):
    for _ in range(4):
        services.record_use(tube, amount_milli=1_000, by=member)
    first = api.ask("entries/", page_size=2).json()
    services.record_use(tube, amount_milli=1_000, by=member)
    second = api.get(first["next"]).json()
    ids = [entry["id"] for entry in first["results"] + second["results"]]
    assert ids == sorted(ids, reverse=True)
    assert len(set(ids)) == 4


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("cursor", "!", "This cursor is none of ours"),
        ("cursor", "cD1hYmM=", "This cursor is none of ours"),  # p=abc where a number is due
        ("cursor", "é", "This cursor is none of ours"),
        ("cursor", "cD0lMDA=", "This cursor is none of ours"),  # p=%00
        ("page_size", "0", "“0” is not a whole number from 1 to 200"),
        ("page_size", "201", "from 1 to 200"),
        ("page_size", "ten", "from 1 to 200"),
        ("placee", "3", "There is no parameter “placee” here. The parameters are: search, state, place"),
        ("place", "1.5", "“1.5” cannot be read. Enter a whole number"),
        ("place", "", "This is empty"),
        ("place", "99999999999999999999", "is too large"),
        ("state", "gone", "“gone” is none of the choices"),
        ("search", "x" * 101, "has 101 characters. Shorten it to 100."),
        ("search", "\0", "holds a character that no keyboard types"),
    ],
)
def test_a_parameter_that_says_nothing_is_refused(api, studio, name, value, words):
    answer = api.ask("tubes/", **{name: value})
    assert answer.status_code == 400
    assert words in answer.json()[name][0]


@pytest.fixture
def shelf(studio, paint, place, keeper, member, pigments):
    """Number 1 the studio's blue at a place, 2 the member's green, 3 a finished oil."""
    green = add_paint(
        studio, by=keeper, binder=Binder.ACRYLIC, texts=LabelTexts(name="Sap Green", pigments="PG7, PY150")
    )
    oil = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    size = {"nominal_milli": 37_000, "unit": "ml", "by": keeper}
    services.receive(studio, paint, place=place, **size)
    services.receive(studio, green, owner_kind=OwnerKind.MEMBER, owner=member, **size)
    services.finish(services.receive(studio, oil, **size)[0], by=member, at=datetime(2026, 3, 1, 12, tzinfo=UTC))


@pytest.mark.parametrize(
    ("parameters", "numbers"),
    [
        ({}, [1, 2, 3]),
        ({"state": "in-use"}, [1, 2]),
        ({"state": "empty"}, [3]),
        ({"search": "green"}, [2]),
        ({"search": "pg7"}, [2]),
        ({"pigment": "PY150"}, [2]),
        ({"binder": "oil"}, [1]),
        ({"kind": "material"}, [3]),
        ({"owner_kind": "member"}, [2]),
        ({"owner_kind": "studio", "state": "sealed"}, [1]),
    ],
)
def test_tubes_are_narrowed_down(api, shelf, parameters, numbers):
    assert [tube["number"] for tube in api.ask("tubes/", **parameters).json()["results"]] == numbers


def test_tubes_are_narrowed_down_by_rows(api, shelf, place, member, paint):
    for parameters, numbers in [({"place": place.pk}, [1]), ({"owner": member.pk}, [2]), ({"item": paint.pk}, [1])]:
        assert [tube["number"] for tube in api.ask("tubes/", **parameters).json()["results"]] == numbers


@pytest.mark.parametrize(
    ("parameters", "count"),
    [
        ({"kind": "used"}, 1),
        ({"until": "2026-03-01"}, 1),
        ({"until": "2026-02-28"}, 0),
        ({"since": "2026-03-01", "until": "2026-03-01"}, 1),
        ({"since": "2026-03-02"}, 3),
    ],
)
def test_entries_are_narrowed_down(api, shelf, parameters, count):
    assert len(api.ask("entries/", **parameters).json()["results"]) == count


def test_entries_are_narrowed_down_by_person(api, shelf, member):
    assert [entry["kind"] for entry in api.ask("entries/", by=member.pk).json()["results"]] == ["used"]


def test_a_day_outside_all_calendars_is_refused(api, studio):
    for day in ("0001-01-01", "9999-12-31"):
        assert "Give a day between" in api.ask("entries/", since=day).json()["since"][0]
