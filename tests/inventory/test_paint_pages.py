"""The pages of paints and materials: adding, reading again, answering, and who may."""

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Binder, Material, Paint, Pigment
from inventory.reading import LabelTexts
from inventory.services import paints

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]


def at(name, studio, *args):
    return reverse(f"inventory:{name}", args=[studio.slug, *args])


def typed(**changes):
    return {
        "name": "Viridian",
        "binder": "oil",
        "pigments": "PG18",
        "lightfastness": "ASTM I",
        "opacity": "T",
    } | changes


@pytest.fixture
def asked(studio, keeper):
    texts = LabelTexts(name="Hansa Yellow Medium", pigments="PW97")
    return paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=texts)


def test_a_paint_is_added_from_its_label(client, studio, teacher):
    client.force_login(teacher)
    page = client.post(at("paint_add", studio), typed(density="1,35"), follow=True).content.decode()
    paint = Paint.objects.get()
    assert (paint.pigment_lines.get().code, paint.density_milli) == ("PG18", 1350)
    assert "Viridian is added" in page
    assert "hydrated chromium" in page.lower() or "chromium" in page.lower()
    assert "1.35 g/ml" in page


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("name", "", "nothing is entered. It is needed: fill it in."),
        ("density", "0.1", "outside 0.5 to 8"),
        ("density", "NaN", "cannot be used as a number"),
        ("density", "-1", "minus sign"),
        ("density", "1.23456", "more than three decimals"),
        ("binder", "glue", "“glue” is none of the choices."),
        ("pigments", "P" * 3000, "Shorten it to 2000."),
        ("name", "V" * 200, "Shorten it to 160."),
    ],
)
def test_what_cannot_be_stored_is_said_beside_its_field(client, studio, teacher, field, value, words):
    client.force_login(teacher)
    page = client.post(at("paint_add", studio), typed(**{field: value})).content.decode()
    assert words in page
    assert "Not saved" in page
    assert not Paint.objects.exists()


def test_a_question_is_shown_with_its_answers_and_settled(client, studio, teacher, asked):
    client.force_login(teacher)
    page = client.get(at("paint", studio, asked.pk)).content.decode()
    assert "PW97” is not in our list of pigments. Did you mean PY97?" in page
    key = asked.readings.get(field="pigments").doubts[0]["key"]
    answer = {"field": "pigments", "key": key, "value": "PY97", "next": "questions"}
    page = client.post(at("paint_answer", studio, asked.pk), answer, follow=True).content.decode()
    assert "Hansa Yellow Medium: PY97, as you said. The typed text stays." in page
    assert "No question is open" in page


def test_a_stale_answer_says_so(client, studio, teacher, asked):
    client.force_login(teacher)
    answer = {"field": "pigments", "key": "gone", "value": "PY97"}
    page = client.post(at("paint_answer", studio, asked.pk), answer, follow=True).content.decode()
    assert "not open any more" in page


def test_retyping_shows_what_was_typed_before(client, studio, teacher, asked):
    client.force_login(teacher)
    assert 'value="PW97"' in client.get(at("paint_change", studio, asked.pk)).content.decode()
    client.post(at("paint_change", studio, asked.pk), typed(name="Hansa Yellow Medium", pigments="PY97"))
    asked.refresh_from_db()
    assert asked.pigments_known == "settled"


def test_unknown_pigments_are_never_shown_as_harmless(client, studio, keeper, member):
    paint = paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name="Cadmium-Free Red"))
    client.force_login(member)
    page = client.get(at("paint", studio, paint.pk)).content.decode()
    assert "Not known: read the maker" in page
    page = client.get(at("questions", studio)).content.decode()
    assert "nothing is known of their hazards" in page


def test_the_weakest_pigment_rules_whatever_the_label_says(client, studio, keeper, member, place):
    """Common practice, no source; PR83 is ASTM III in the reference table, PB29 is I."""
    texts = LabelTexts(name="Violet mixture", pigments="PB29, PR83", lightfastness="ASTM I")
    paint = paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=texts)
    services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper, place=place)
    client.force_login(member)
    rating = Pigment.objects.get(ci_name="PR83").lightfastness_astm
    assert f"Weakest pigment: ASTM {rating}, by PR83." in client.get(at("paint", studio, paint.pk)).content.decode()
    assert f"Weakest pigment {rating}, by PR83 (ASTM)" in client.get(at("shelf", studio)).content.decode()


def test_codes_of_nearly_one_pigment_are_told_apart(client, studio, keeper, member):
    """Common practice, no source: PY42 is made, PY43 is dug, and makers swap the labels."""
    paint = paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name="Ochre", pigments="PY43"))
    client.force_login(member)
    page = client.get(at("paint", studio, paint.pk)).content.decode()
    assert "PY42" in page


def test_an_empty_studio_is_told_what_to_do(client, studio, member):
    client.force_login(member)
    assert "No paints yet" in client.get(at("paints", studio)).content.decode()
    assert "No question is open" in client.get(at("questions", studio)).content.decode()


def test_a_paint_is_found_by_its_code_in_any_spelling(client, studio, keeper, member):
    paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name="Ультрамарин", pigments="РВ29"))
    paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=LabelTexts(name="Ocre dorée", pigments="PY43"))
    client.force_login(member)
    assert "Ультрамарин" in client.get(at("paints", studio), {"search": "pb 29"}).content.decode()
    page = client.get(at("paints", studio), {"search": "ocre doree"}).content.decode()
    assert "Ocre dorée" in page
    assert "Ультрамарин" not in page


@pytest.mark.parametrize("query", ["search=%00", "search=" + "x" * 5000, "binder=%00", "binder=felt", "page=abc"])
def test_an_address_that_somebody_made_up_shows_the_list(client, studio, keeper, member, query):
    paints.add_paint(studio, by=keeper, texts=LabelTexts(name="Viridian", pigments="PG18"))
    client.force_login(member)
    assert "Viridian" in client.get(f"{at('paints', studio)}?{query}").content.decode()


def test_a_material_is_added_changed_and_put_away(client, studio, teacher):
    client.force_login(teacher)
    client.post(at("material_add", studio), {"name": "Stand Oil", "material_kind": "drying oil"})
    oil = Material.objects.get()
    client.post(at("material_change", studio, oil.pk), {"name": "Stand Oil", "material_kind": "medium", "cas": "1-2-3"})
    client.post(at("archive", studio, oil.pk))
    oil.refresh_from_db()
    assert (oil.material_kind, oil.archived_at is None) == ("medium", False)
    page = client.post(at("restore", studio, oil.pk), follow=True).content.decode()
    assert "on the lists again" in page


def test_only_teachers_and_keepers_change_labels(client, studio, member, student, asked):
    for person in (member, student):
        client.force_login(person)
        assert "Change the label" not in client.get(at("paint", studio, asked.pk)).content.decode()
        for name, args in [("paint_add", []), ("paint_change", [asked.pk]), ("archive", [asked.pk])]:
            response = client.post(at(name, studio, *args), typed())
            assert response.status_code == 403
            assert "This takes a teacher" in response.content.decode()


def test_the_list_costs_the_same_for_any_number_of_paints(client, studio, keeper, django_assert_num_queries):
    def fetch():
        client.get(at("paints", studio))

    client.force_login(keeper)
    for number in range(3):
        texts = LabelTexts(name=f"Blue {number}", pigments="PB29")
        paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=texts)
    with django_assert_num_queries(8) as few:
        fetch()
    for number in range(20):
        texts = LabelTexts(name=f"Earth {number}", pigments="PBr7, PY42")
        paints.add_paint(studio, by=keeper, binder=Binder.OIL, texts=texts)
    with django_assert_num_queries(len(few)):
        fetch()
