"""The shelf as a list: finding, narrowing, paging, and what it costs."""

import pytest
from django.db import connection
from django.urls import reverse

from inventory import services
from inventory.models import Binder, Material, Paint, PaintPigment, Place, Tube
from inventory.queries.paints import materials, paints
from inventory.queries.shelf import Cursor, shelf

pytestmark = pytest.mark.django_db


def put(studio, keeper, name, *, codes="", count=1, **kwargs):
    paint = Paint.objects.create(studio=studio, name=name, binder=Binder.OIL, pigment_text=codes)
    for position, code in enumerate(codes.split()):
        PaintPigment.objects.create(paint=paint, position=position, code=code)
    return services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, count=count, **kwargs)


def names(page):
    return [row.name for row in page.rows]


@pytest.fixture
def page(client, member, studio):
    client.force_login(member)

    def get(**query):
        response = client.get(reverse("inventory:shelf", args=[studio.slug]), query)
        assert response.status_code == 200
        return response

    return get


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("PB29", ["Ultramarine"]),
        ("pb 29", ["Ultramarine"]),
        ("РВ29", ["Ultramarine"]),  # typed with Cyrillic letters
        ("ocre doree", ["Ocre dorée"]),
        ("ULTRA pb29", ["Ultramarine"]),
        ("ultramarine pv23", []),
    ],
)
def test_search_finds_codes_and_names_as_people_type_them(studio, keeper, typed, found):
    put(studio, keeper, "Ultramarine", codes="РВ29" if typed == "PB29" else "PB29")
    put(studio, keeper, "Ocre dorée", codes="PY43")
    assert names(shelf(studio, search=typed)) == found


def test_pages_follow_one_another_in_both_directions(studio, keeper):
    for name in ["Umber", "Ochre", "Ochre", "Azure"]:  # two paints of one name
        put(studio, keeper, name, count=2)
    everything = [row.pk for row in shelf(studio).rows]
    assert names(shelf(studio)) == ["Azure"] * 2 + ["Ochre"] * 4 + ["Umber"] * 2
    first = shelf(studio, limit=3)
    second = shelf(studio, limit=3, after=first.after)
    third = shelf(studio, limit=3, after=second.after)
    assert [row.pk for page in (first, second, third) for row in page.rows] == everything
    assert (first.before, third.after) == (None, None)
    back = shelf(studio, limit=3, before=third.before)
    assert [row.pk for row in back.rows] == [row.pk for row in second.rows]
    assert shelf(studio, limit=3, before=back.before).before is None


def test_lists_are_in_the_order_of_names_without_case_and_accents(studio, keeper):
    unsorted = ["Zinc", "Écarlate", "azo", "Ultramarin", "Ødegaard", "Ebony", "ultramarin", "Умбра", "Azul"]
    for name in unsorted:
        put(studio, keeper, name)
    # Equal ones stay in the order in which they came; other scripts follow.
    expected = ["azo", "Azul", "Ebony", "Écarlate", "Ødegaard", "Ultramarin", "ultramarin", "Zinc", "Умбра"]
    assert names(shelf(studio)) == expected
    assert [paint.name for paint in paints(studio)] == expected
    page, walked = shelf(studio, limit=2), []
    while True:
        walked += names(page)
        if page.after is None:
            break
        page = shelf(studio, limit=2, after=page.after)
    assert walked == expected
    for name in unsorted:
        Material.objects.create(studio=studio, name=name, material_kind="medium")
    assert [material.name for material in materials(studio)] == expected


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite compares code points by itself")
def test_the_order_of_names_does_not_hang_on_the_language_of_the_database():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT collation_name FROM information_schema.columns "
            "WHERE table_name = 'inventory_item' AND column_name = 'sort_name'"
        )
        assert cursor.fetchall() == [("C",)]


def test_a_tube_received_meanwhile_does_not_shift_the_next_page(studio, keeper):
    for name in ["B", "C", "D"]:
        put(studio, keeper, name)
    first = shelf(studio, limit=2)
    put(studio, keeper, "A")
    assert names(shelf(studio, limit=2, after=first.after)) == ["D"]


@pytest.mark.parametrize("text", ["", "x", "1-2", "a-b-c", "1-2-\0", "99999999999999999999-1-x"])
def test_a_broken_cursor_begins_at_the_beginning(text):
    assert Cursor.parse(text) is None


def test_a_cursor_survives_the_address_bar():
    cursor = Cursor("Blue - light & deep", 12, 34)
    assert Cursor.parse(str(cursor)) == cursor


def test_the_shelf_is_narrowed_by_place_owner_binder_and_state(studio, keeper, member, place):
    put(studio, keeper, "Here", place=place)
    put(studio, keeper, "Hers", owner_kind="member", owner=member)
    put(studio, keeper, "Theirs", owner_kind="class", owner_class="Tuesday")
    opened = put(studio, keeper, "Opened", state="open", left_milli=9_000)[0]
    services.finish(put(studio, keeper, "Gone")[0], by=keeper)
    assert names(shelf(studio, place=place.pk)) == ["Here"]
    assert names(shelf(studio, owner="mine", by=member)) == ["Hers"]
    assert names(shelf(studio, owner="class")) == ["Theirs"]
    assert names(shelf(studio, state="open")) == [opened.item.name]
    assert names(shelf(studio, state="empty")) == ["Gone"]
    assert "Gone" not in names(shelf(studio))
    assert len(names(shelf(studio, state="all"))) == 5
    assert names(shelf(studio, binder="acrylic")) == []


def test_another_studio_s_tubes_are_not_there(studio, other_studio, stranger):
    put(other_studio, stranger, "Secret red")
    assert shelf(studio).rows == []


def test_a_row_says_what_the_label_says_and_what_is_left(page, studio, keeper, member, place):
    tube = put(studio, keeper, "Sap Green", codes="PG7 PY150", place=place)[0]
    paint = tube.item.paint
    paint.opacity, paint.lightfastness, paint.lightfastness_scale = "transparent", "II", "astm"
    paint.strength, paint.strength_scale = "4", "of 5"
    paint.save()
    services.estimate_left(tube, left_milli=18_500, by=keeper)
    services.lend(tube, to="Wren", by=keeper)
    html = page().content.decode()
    for words in (
        '<span class="code">PG7</span> <span class="code">PY150</span>',
        "Lightfastness II (ASTM)",
        "Tinting strength 4 (of 5)",
        "Opacity transparent",
        'about <span class="num">18.5 ml</span>',
        "Oil shelf",
        "Lent to Wren",
        "Pigments not known",
        "colour not known",
    ):
        assert words in html, words


def test_a_material_has_its_kind_instead_of_a_swatch(page, studio, keeper):
    oil = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    services.receive(studio, oil, nominal_milli=250_000, unit="ml", by=keeper)
    html = page().content.decode()
    assert "Drying oil" in html
    assert "colour not known" not in html


def test_an_unknown_colour_is_never_drawn_as_a_colour(page, studio, keeper):
    put(studio, keeper, "Mystery")
    html = page().content.decode()
    assert 'class="frame-line"' in html
    assert 'class="mat"' not in html


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({}, "Nothing stands on the shelf yet"),
        ({"q": "PX1"}, "Nothing on the shelf fits"),
        ({"place": "no such", "state": "odd", "after": "junk"}, "Nothing on the shelf fits"),
    ],
)
def test_an_empty_shelf_says_what_to_do(page, query, words):
    assert words in page(**query).content.decode()


def test_the_next_page_keeps_what_was_asked_for(page, studio, keeper):
    put(studio, keeper, "Ochre", count=60)
    html = page(q="ochre").content.decode()
    assert "?q=ochre&amp;after=" in html


def test_the_shelf_costs_the_same_for_any_number_of_tubes(
    client, member, studio, keeper, place, django_assert_num_queries
):
    client.force_login(member)
    url = reverse("inventory:shelf", args=[studio.slug])
    put(studio, keeper, "First", codes="PB29", place=place)
    with django_assert_num_queries(6):  # session, user, membership with studio, kept filters, tubes, pigments
        client.get(url)
    for number in range(29):
        put(studio, keeper, f"Paint {number}", codes="PB29 PW6", place=Place.objects.create(studio=studio, name=number))
    assert Tube.objects.count() == 30
    with django_assert_num_queries(6):
        client.get(url)
    with django_assert_num_queries(8):  # and the places and people to choose from
        client.get(url, {"narrow": "yes"})
