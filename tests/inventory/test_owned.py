"""Do we own this: tubes of a pigment under any name, what comes near, and what a new one would add."""

import pytest
from django.urls import reverse

from inventory import services
from inventory.colour.coverage import percent
from inventory.colour.curves import from_bands
from inventory.colour.palette import Palette
from inventory.colour.reach import reach
from inventory.models import OpticalRow
from inventory.queries import remembered
from inventory.queries.owned import owned, what_it_adds
from inventory.queries.palette import band_row, working_palettes
from inventory.reading import LabelTexts
from inventory.services.paints import add_paint

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]
SHELF = (
    ("French Blue", "PB29"),
    ("Titanium White", "PW6"),
    ("Gold Ochre", "PY43"),
    ("Sap Green", "PG7, PY150"),
    ("Warm Violet", "PB29, PV19"),
)


@pytest.fixture
def shelf(studio, keeper):
    for name, codes in SHELF:
        paint = add_paint(studio, by=keeper, texts=LabelTexts(name, codes), binder="oil")
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    remembered.forget_all()


def found(studio, text):
    answer = owned(studio, text)
    return answer.owned, {group.title: [row.name for row in group.rows] for group in answer.groups}


@pytest.mark.parametrize("typed", ["PB29", "pb 29", "РВ29", "P.B. 29", "Pigment Blue 29", "77007", "ultramarine blue"])
def test_a_pigment_is_found_under_any_name_and_spelling(shelf, studio, typed):
    """C.I. 77007 is Pigment Blue 29 in the Colour Index; the paint here is called otherwise."""
    is_owned, groups = found(studio, typed)
    assert is_owned
    assert next(iter(groups.values())) == ["French Blue"]
    assert groups["With other pigments beside it"] == ["Warm Violet"]


def test_a_near_code_is_no_yes(shelf, studio):
    """PY42 and PY43 share C.I. 77492: synthetic and natural iron oxide yellow (Colour Index)."""
    is_owned, groups = found(studio, "PY42")
    assert not is_owned
    assert groups["Under a code that comes near"] == ["Gold Ochre"]
    assert owned(studio, "PY42").sentence == "Not PY42 alone; see below what comes near."


def test_all_pigments_of_a_label_are_asked_together(shelf, studio):
    assert found(studio, "PY150 + PG7") == (True, {"PY150 + PG7, the same pigments": ["Sap Green"]})
    is_owned, groups = found(studio, "PG7")
    assert (is_owned, groups) == (False, {"With other pigments beside it": ["Sap Green"]})


def test_a_name_that_is_no_pigment_is_looked_for_as_a_name(shelf, studio):
    assert found(studio, "sap gre") == (False, {"Named so": ["Sap Green"]})
    assert found(studio, "no such") == (False, {})


def test_finished_tubes_are_no_yes_and_are_told(shelf, studio, keeper):
    tube = studio.tubes.get(item__name="French Blue")
    services.finish(tube, by=keeper)
    answer = owned(studio, "PB29")
    assert not answer.owned
    assert answer.finished == 2 - 1


def test_what_it_would_add_is_the_whole_wheel_worked_anew(shelf, studio):
    """Against the slow way: what the palette reaches with the pigment in it, less what it reaches without."""
    adds = what_it_adds(studio, ["PY3"])
    one = working_palettes(studio)[0]
    rows = OpticalRow.objects.filter(pigment__ci_name="PY3").select_related("pigment")
    assert len(adds.added) == len(rows) == 1
    more = Palette.of([("new", "new", from_bands(band_row(rows[0])))], one.binder)
    slow = percent(reach(one.palette.plus(more)).chroma) - percent(reach(one.palette).chroma)
    assert adds.added[0].points == pytest.approx(slow, abs=0.05)
    assert slow > 1.0


def test_what_is_here_already_adds_nothing_and_is_named_as_a_twin(shelf, studio):
    adds = what_it_adds(studio, ["PB29"])
    assert adds.added[0].points == 0.0
    assert adds.twins == ("French Blue",)


def test_an_unknown_colour_is_told_and_not_guessed(shelf, studio):
    adds = what_it_adds(studio, ["PR999"])
    assert adds.added == ()
    assert "not known" in adds.unknown
    assert what_it_adds(studio, []) is None


def test_a_studio_without_colours_says_so(client, member, studio):
    client.force_login(member)
    html = client.get(reverse("inventory:own", args=[studio.slug]), {"q": "PB29"}).content.decode()
    assert "Nothing of PB29 is here." in html
    assert "no paint in stock has a known colour" in html


def test_the_page_answers_in_few_queries(client, member, studio, shelf, keeper, django_assert_num_queries):
    client.force_login(member)
    url = reverse("inventory:own", args=[studio.slug])
    client.get(url, {"q": "PY3"})
    # Session, user, membership; pigments, tubes, their codes, finished ones; palettes in two, colours of the pigment.
    with django_assert_num_queries(10):
        assert "points more" in client.get(url, {"q": "PY3"}).content.decode()
    for number in range(10):
        paint = add_paint(studio, by=keeper, texts=LabelTexts(f"Blue {number}", "PB29"), binder="oil")
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    client.get(url, {"q": "PB29"})
    with django_assert_num_queries(10):
        html = client.get(url, {"q": "PB29"}).content.decode()
    assert "Yes: 11 tubes of PB29 in use." in html
    assert "next to nothing" in html.partition("What another one would add")[2]


def test_a_name_leads_to_its_pigments(client, member, studio, shelf):
    client.force_login(member)
    html = client.get(reverse("inventory:own", args=[studio.slug]), {"q": "sap gre"}).content.decode()
    assert 'href="?q=PG7"' in html


def test_digits_of_a_bar_code_go_to_the_scan(client, member, studio):
    client.force_login(member)
    answer = client.get(reverse("inventory:own", args=[studio.slug]), {"q": "7300011000017"})
    assert answer.url == f"{reverse('inventory:scan', args=[studio.slug])}?code=7300011000017"


def test_too_long_a_text_is_told(client, member, studio):
    client.force_login(member)
    html = client.get(reverse("inventory:own", args=[studio.slug]), {"q": "x" * 201}).content.decode()
    assert "The text has 201 letters, and at most 200 are read: shorten it." in html
