"""The first page: what needs an answer, in which order, and what it costs."""

import re

import pytest
from django.test.utils import override_script_prefix
from django.urls import get_resolver, reverse

from inventory import services
from inventory.models import Paint, PigmentsKnown, Reading
from inventory.queries import attention, reorder
from inventory.services.levels import set_level
from studio import home
from studio.attention import Attention, Urgency, and_more, collect
from studio.models import Membership, Studio, User
from studio.templatetags.page import BELONGS, SECTIONS

pytestmark = pytest.mark.django_db


def words_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).replace("&#x27;", "'")


@pytest.fixture
def today(client, member, studio):
    client.force_login(member)
    return lambda: words_of(client.get(reverse("today", args=[studio.slug])))


def test_an_empty_studio_is_told_what_to_do_first(today):
    words = today()
    assert "The shelf is empty" in words
    assert "Add a paint" in words


def test_an_empty_shelf_hides_nothing_that_is_overdue(today, monkeypatch):
    def wall(_):
        yield Attention(Urgency.HARM, "Eyewash, Room 2: overdue by 10 days.", "Record an inspection", "/")

    monkeypatch.setattr(home, "SOURCES", (wall,))
    words = today()
    assert 0 < words.index("Eyewash, Room 2: overdue by 10 days.") < words.index("The shelf is empty")


def test_a_role_is_found_where_the_service_lies_below_a_path_of_a_proxy(student):
    def wall(studio):
        yield Attention(Urgency.HARM, "No notice.", "Make them", reverse("safety:make_all", args=[studio.slug]))

    with override_script_prefix("/paints/"):
        (told,) = collect(student.memberships.get(), [wall])
    assert (told.action, told.left_to) == ("", "teacher")


def test_a_page_marks_the_section_that_it_belongs_to(client, member, studio):
    client.force_login(member)
    for name, section in (
        ("safety:waste", "Safety"),
        ("safety:notices", "Safety"),
        ("inventory:places", "Shelf"),
        ("inventory:lasting", "Paints"),
        ("inventory:orders", "Buying"),
        ("inventory:mix", "Wheel"),
        ("inventory:terms", "Lessons"),
    ):
        page = client.get(reverse(name, args=[studio.slug])).content.decode()
        assert re.findall(r'aria-current="true"[^>]*>([^<]*)<', page) == [section], name


def test_every_word_that_a_section_claims_begins_an_address():
    routes = {words[0] for one in get_resolver("inventory.urls").url_patterns if (words := str(one.pattern).split("/"))}
    assert set(BELONGS) <= routes
    assert set(BELONGS.values()) <= {label for label, _ in SECTIONS}


def test_nothing_to_do_is_said_in_so_many_words(today, tube, monkeypatch):
    """The wall's own questions are tested beside them; here only the shelf is asked."""
    monkeypatch.setattr(home, "SOURCES", (reorder.what_is_short, attention.open_questions, attention.unknown_pigments))
    Paint.objects.update(pigments_known=PigmentsKnown.SETTLED)
    words = today()
    assert "Nothing needs an answer today." in words
    assert "1 tube of 1 paint and materials is in use" in words


def test_short_paints_come_before_unknown_ones(today, studio, paint, tube, keeper):
    set_level(paint, by=keeper, level_tubes=2)
    Reading.objects.create(paint=paint, field="pigments", text="PB 2?", settled=False, by=keeper)
    words = today()
    short = "Ultramarine Blue (oil) is below its level of 2: 1 sealed, and only sealed ones count. Order 1 to reach it."
    asked = "1 label can be read in more than one way: Ultramarine Blue."
    unknown = "The pigments of Ultramarine Blue are not known"
    assert 0 < words.index(short) < words.index(asked) < words.index(unknown)


def test_what_can_hurt_somebody_stands_first(studio):
    def shelf(_):
        yield Attention(Urgency.SHORT, "White is short.", "Order", "/")

    def wall(_):
        yield Attention(Urgency.HARM, "A notice is out of date.", "Print it", "/")

    told = collect(Membership(studio=studio), [shelf, wall])
    assert [each.sentence for each in told] == ["A notice is out of date.", "White is short."]


def test_a_finished_paint_asks_nothing(studio, paint, tube, keeper):
    services.finish(tube, by=keeper)
    assert list(attention.unknown_pigments(studio)) == []


def test_a_long_list_is_named_in_part_and_counted(studio, keeper):
    for letter in "ABCDE":
        paint = Paint.objects.create(studio=studio, name=letter)
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
    (matter,) = attention.unknown_pigments(studio)
    assert matter.sentence.startswith("The pigments of A, B, C and 2 more are not known")


def test_more_short_paints_than_fit_are_counted(studio, keeper):
    for number in range(reorder.LONGEST + 2):
        set_level(Paint.objects.create(studio=studio, name=f"Paint {number}"), by=keeper, level_tubes=1)
    matters = list(reorder.what_is_short(studio))
    assert len(matters) == reorder.LONGEST + 1
    assert matters[-1].sentence == "2 more are short."


@pytest.mark.parametrize(
    ("names", "total", "words"),
    [(["A"], 1, "A"), (["A", "B", "C"], 3, "A, B and C"), (["A", "B"], 7, "A, B and 5 more")],
)
def test_names_are_set_as_words(names, total, words):
    assert and_more(names, total) == words


def test_the_shelf_s_questions_cost_the_same_for_any_number_of_paints(
    studio, keeper, monkeypatch, client, member, django_assert_num_queries
):
    """Without the wheel, whose curves are remembered and tested beside it."""
    ours = tuple(each for each in home.SOURCES if each.__module__ == attention.__name__)
    monkeypatch.setattr(home, "SOURCES", ours)
    client.force_login(member)

    def put(count):
        for _ in range(count):
            paint = Paint.objects.create(studio=studio, name=f"Paint {Paint.objects.count()}")
            services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=keeper)
            set_level(paint, by=keeper, level_tubes=2)

    put(4)
    url = reverse("today", args=[studio.slug])
    with django_assert_num_queries(8):  # session, user, membership, holdings, levels, questions, unknown, their number
        client.get(url)
    put(26)
    with django_assert_num_queries(8):
        client.get(url)


def test_the_front_door_leads_to_the_only_studio_and_lets_one_choose_among_several(
    client, member, studio, other_studio
):
    client.force_login(member)
    assert client.get("/").url == "/s/reed-lane/"
    assert "Which studio?" in words_of(client.get("/?choose=1"))
    Membership.objects.create(studio=other_studio, user=member)
    words = words_of(client.get("/"))
    assert "Reed Lane" in words
    assert "Mill Row" in words


def test_a_person_without_a_studio_is_told_whom_to_ask(client, db):
    client.force_login(User.objects.create(username="new"))
    words = words_of(client.get("/"))
    assert "You are not in a studio yet" in words
    assert "new" in words


def test_wrong_passwords_are_counted_and_then_locked_out(client, member, settings):
    settings.AXES_FAILURE_LIMIT = 3
    for _ in range(2):
        words = words_of(client.post("/sign-in/", {"username": "member", "password": "wrong"}))
        assert "User name and password do not match an account" in words
    locked = client.post("/sign-in/", {"username": "member", "password": "wrong"})
    assert locked.status_code == 429
    assert "Too many tries" in words_of(locked)


def test_a_missing_page_says_so_in_words(client, member):
    client.force_login(member)
    response = client.get("/s/nowhere/")
    assert response.status_code == 404
    assert "There is no such page, or it belongs to a studio that you are not in." in words_of(response)


def test_a_form_from_a_stale_page_is_explained(member, studio):
    from django.test import Client

    client = Client(enforce_csrf_checks=True)
    client.force_login(member)
    response = client.post(f"/s/{studio.slug}/places/", {"name": "Sill"})
    assert response.status_code == 403
    assert "That page was too old to send" in words_of(response)


def test_no_page_style_or_script_stands_in_the_page(client, member, studio, tube):
    """The content security policy would refuse it."""
    client.force_login(member)
    for name, args in [("today", []), ("inventory:shelf", []), ("inventory:tube", [tube.number])]:
        response = client.get(reverse(name, args=[studio.slug, *args]))
        assert "default-src 'self'" in response["Content-Security-Policy"]
        html = response.content.decode()
        assert not re.search(r"<style|\sstyle=|<script(?![^>]*\ssrc=)|\son\w+=", html)


def test_the_stylesheet_is_neutral():
    """Every colour on a page is a paint or a safety sign."""
    from django.conf import settings

    css = (settings.BASE_DIR / "studio/static/studio/tubeshelf.css").read_text()
    colours = re.findall(r"#([0-9a-f]{6})\b", css)
    assert len(colours) > 20
    assert [c for c in colours if not c[:2] == c[2:4] == c[4:]] == []
    assert not re.search(r"#[0-9a-f]{3}\b(?![0-9a-f])|rgb|hsl|oklch|lab\(", css.replace("#item", ""))


def test_studios_are_told_apart_by_their_page_titles(client, member, studio):
    client.force_login(member)
    assert "<title>Today, Reed Lane</title>" in client.get(reverse("today", args=[studio.slug])).content.decode()
    assert Studio.objects.count() == 1
