"""At the shelf with a scanner: what a number opens, and what is offered where it is new."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory import services
from inventory.models import Barcode, Entry, Paint
from inventory.reading import LabelTexts
from inventory.services import barcodes

pytestmark = pytest.mark.django_db

EAN = "7300011000017"  # GS1 Sweden's worked example of a check digit
UPC = "614141000036"  # with the sample company prefix of the EPC Tag Data Standard


@pytest.fixture
def scan(client, member, studio):
    client.force_login(member)

    def get(**query):
        return client.get(reverse("inventory:scan", args=[studio.slug]), query)

    return get


def test_digits_and_enter_find_the_paint_with_its_tubes(scan, studio, tube, keeper, django_assert_num_queries):
    barcodes.link(studio, tube.item, code=EAN, by=keeper)
    services.receive(studio, tube.item, nominal_milli=37_000, unit="ml", by=keeper, state="open", left_milli=20_000)
    with django_assert_num_queries(7):  # session, user, membership; number, tubes, stock, last size
        html = scan(code=f" {EAN[:1]} {EAN[1:7]} {EAN[7:]} ").content.decode()
    for words in ("Ultramarine Blue", "No. 1, sealed", "No. 2, open", "One more came", "37 ml, sealed", "of no. 2"):
        assert words in html, words


def test_a_upc_and_the_same_number_with_a_zero_are_one(scan, studio, tube, keeper):
    barcodes.link(studio, tube.item, code=UPC, by=keeper)
    assert Barcode.objects.get().digits == f"0{UPC}"
    for typed in (UPC, f"0{UPC}", f"00{UPC}"):
        assert "Ultramarine Blue" in scan(code=typed).content.decode()


def test_a_wrong_digit_names_the_one_expected(scan):
    html = scan(code=f"{EAN[:-1]}8").content.decode()
    assert "ask for 7 as the check digit" in html
    assert f'value="{EAN[:-1]}8"' in html


@pytest.mark.parametrize("code", ["1", "no. 1", "https://any.example/s/reed-lane/tubes/1/"])
def test_our_own_label_opens_the_tube(scan, studio, tube, code):
    assert scan(code=code).url == reverse("inventory:tube", args=[studio.slug, 1])


def test_our_own_label_of_a_place_opens_the_shelf_there(scan, studio, place):
    url = scan(code=f"https://any.example/s/reed-lane/shelf/?place={place.pk}").url
    assert url == f"{reverse('inventory:shelf', args=[studio.slug])}?place={place.pk}"


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("https://any.example/s/mill-row/tubes/1/", "printed by another studio"),
        ("https://any.example/s/reed-lane/tubes/77/", "no tube no. 77 here any more"),
        ("77", "There is no tube no. 77 here"),
        ("cobalt blue", "Look it up by name"),
        ("x" * 5000, "has other signs than digits"),
        ("\0", "has other signs than digits"),
    ],
)
def test_what_opens_nothing_says_why(scan, code, words):
    response = scan(code=code)
    assert response.status_code == 200
    assert words in response.content.decode()


def test_a_new_number_is_linked_to_what_is_on_the_lists(client, scan, studio, tube):
    html = scan(code=EAN, q="ultra").content.decode()
    assert "This number is new here" in html
    assert "It is this" in html
    url = reverse("inventory:barcode_link", args=[studio.slug])
    answer = client.post(url, {"code": EAN, "item": tube.item_id}, follow=True)
    assert "From now on this number finds Ultramarine Blue" in answer.content.decode()
    client.post(url, {"code": EAN, "item": tube.item_id})
    assert Barcode.objects.count() == 1
    answer = client.post(url, {"code": f"{EAN[:-1]}8", "item": tube.item_id}, follow=True)
    assert "ask for 7 as the check digit" in answer.content.decode()


def test_a_number_stands_for_one_thing(studio, tube, keeper):
    barcodes.link(studio, tube.item, code=EAN, by=keeper)
    other = Paint.objects.create(studio=studio, name="Zinc White")
    with pytest.raises(ValidationError, match="belongs to Ultramarine Blue already"):
        barcodes.link(studio, other, code=EAN, by=keeper)


def test_another_studio_s_number_is_not_known_here(scan, studio, other_studio, stranger):
    theirs = Paint.objects.create(studio=other_studio, name="Secret red")
    barcodes.link(other_studio, theirs, code=EAN, by=stranger)
    assert "Secret red" not in scan(code=EAN, q="secret").content.decode()
    with pytest.raises(ValidationError, match="not one of this studio's"):
        barcodes.link(studio, theirs, code=UPC, by=stranger)


def test_a_new_paint_is_added_with_its_number(client, teacher, studio, pigments):
    client.force_login(teacher)
    url = reverse("inventory:barcode_add", args=[studio.slug])
    assert EAN in client.get(url, {"code": EAN}).content.decode()
    answer = client.post(url, {"code": f"{EAN[:-1]}8", "name": "Cobalt Blue", "binder": "oil"})
    assert answer.status_code == 422
    assert not Paint.objects.exists()
    answer = client.post(
        url, {"code": EAN, "name": "Cobalt Blue", "binder": "oil", "pigments": "PB28", "size": "37 ml"}
    )
    barcode = Barcode.objects.get()
    assert (barcode.item.name, barcode.nominal_milli) == ("Cobalt Blue", 37_000)
    assert answer.url == reverse("inventory:receive", args=[studio.slug, barcode.item_id])


def test_one_more_is_received_once_for_two_taps(client, studio, member, tube, keeper):
    client.force_login(member)
    barcode = barcodes.link(studio, tube.item, code=EAN, by=keeper)
    url = reverse("inventory:barcode_receive", args=[studio.slug, barcode.pk])
    for _ in range(2):
        client.post(url, {"key": "k" * 22})
    assert tube.item.tubes.count() == 2
    new = tube.item.tubes.latest("pk")
    assert (new.nominal_milli, new.place, new.state) == (37_000, tube.place, "sealed")
    assert Entry.objects.count() == 2


def test_a_size_that_nobody_knows_is_asked_for(client, studio, member, keeper):
    paint = barcodes.add_paint_with(studio, code=EAN, by=keeper, texts=LabelTexts("Bare"))
    client.force_login(member)
    url = reverse("inventory:barcode_receive", args=[studio.slug, paint.barcodes.get().pk])
    assert "The size of Bare is not known" in client.post(url, {"key": "k" * 22}, follow=True).content.decode()


def test_a_link_is_taken_away(client, studio, member, tube, keeper):
    client.force_login(member)
    barcode = barcodes.link(studio, tube.item, code=EAN, by=keeper)
    answer = client.post(reverse("inventory:barcode_remove", args=[studio.slug, barcode.pk]), follow=True)
    assert "does not stand for Ultramarine Blue any more" in answer.content.decode()
    assert not Barcode.objects.exists()


def test_a_student_sees_and_writes_nothing(client, student, studio, tube, keeper):
    barcodes.link(studio, tube.item, code=EAN, by=keeper)
    client.force_login(student)
    html = client.get(reverse("inventory:scan", args=[studio.slug]), {"code": EAN}).content.decode()
    assert "Ultramarine Blue" in html
    assert "One more came" not in html
