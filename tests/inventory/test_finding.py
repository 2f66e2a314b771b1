"""Finding things again: search in any script, filters and their keeping, and edits of many with a preview."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory import handling, services
from inventory.labels.folding import code_of
from inventory.models import Entry, Item, Material, Paint, Place, SavedFilter, Tube
from inventory.queries.finding import STEP, STEPS, shelf_of_level
from inventory.queries.shelf import shelf
from inventory.services import finding
from studio.models import Role
from tests.conftest import make_person
from tests.inventory.test_shelf import names, put

pytestmark = pytest.mark.django_db
KEY = "k" * 22


@pytest.fixture
def page(client, member, studio):
    client.force_login(member)

    def get(**query):
        return client.get(reverse("inventory:shelf", args=[studio.slug]), query).content.decode()

    return get


@pytest.mark.parametrize(
    "typed",
    [
        "PB29",
        "РВ29",  # Cyrillic er and ve
        "ΡΒ29",  # Greek rho and beta
        "ＰＢ２９",  # full width
        "pb\u00a029",  # no-break space
        "P.B. 29",
        "pb-29",
        "PB\u200b29",  # zero width space
    ],
)
def test_a_code_is_found_as_people_and_machines_write_it(studio, keeper, typed):
    """The forms of Unicode (UAX #15, compatibility) and its confusable letters (UTS #39)."""
    put(studio, keeper, "Blue", codes="PB29")
    put(studio, keeper, "Red", codes="PR29")
    assert names(shelf(studio, search=typed)) == ["Blue"]


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("Охра жёлтая", "ОХРА ЖЕЛТАЯ"),
        ("Ώχρα κίτρινη", "ωχρα κιτρινη"),
        ("群青", "群青"),
        ("Ocre doré", "OCRE DORE\u0301"),
        ("Rød okker", "rod"),
        ("أزرق", "أزرق"),
    ],
)
def test_a_name_is_found_in_any_script(studio, keeper, name, typed):
    put(studio, keeper, name)
    put(studio, keeper, "Other")
    assert names(shelf(studio, search=typed)) == [name]


@pytest.mark.parametrize(
    ("typed", "code"),
    [("pb 29", "PB29"), ("РВ29", "PB29"), ("pbr7", "PBr7"), ("PB15:3", "PB15:3"), ("nr 4", "NR4"), ("blue", None)],
)
def test_a_pigment_code_is_read_for_the_filter(typed, code):
    assert code_of(typed) == code


def test_too_long_a_search_is_told_and_not_ignored_in_silence(page, studio, keeper):
    put(studio, keeper, "Ochre")
    html = page(q="x" * 101)
    assert "the text has 101 letters and at most 100 are looked for: shorten it." in html
    assert "x" * 101 in html
    assert "Ochre" in html


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"pigment": "blue"}, "Pigment: “blue” is no pigment code such as PB29"),
        ({"place": "999"}, "Place: there is no such place here any more"),
        ({"opened_before": "soon"}, "Opened before: “soon” cannot be read. Enter a day such as 2026-03-31."),
        ({"owner": "member-999"}, "Whose: “member-999” is none of the choices."),
    ],
)
def test_a_filter_that_narrows_nothing_says_so(page, studio, keeper, query, words):
    put(studio, keeper, "Ochre")
    html = page(**query)
    assert words in html
    assert "Ochre" in html


def test_the_shelf_is_narrowed_by_pigment_person_and_age(studio, keeper, member):
    today = timezone.localdate()
    put(studio, keeper, "Mixed", codes="PB29 PW6")
    put(studio, keeper, "Near", codes="PB28")
    assert names(shelf(studio, pigment="PB29")) == ["Mixed"]
    put(studio, keeper, "Hers", owner_kind="member", owner=member)
    put(studio, keeper, "His", owner_kind="member", owner=keeper)
    assert names(shelf(studio, owner=f"member-{member.pk}")) == ["Hers"]
    old = put(studio, keeper, "Old", at=timezone.now() - timedelta(days=400))[0]
    services.record_use(old, amount_milli=1_000, by=keeper, at=timezone.now() - timedelta(days=300))
    assert names(shelf(studio, received_before=today - timedelta(days=399))) == ["Old"]
    assert names(shelf(studio, received_before=today - timedelta(days=401))) == []
    assert names(shelf(studio, opened_before=today - timedelta(days=299))) == ["Old"]
    assert names(shelf(studio, opened_before=today - timedelta(days=301))) == []


class ByName:
    """A house whose levels go by the first letter."""

    def __init__(self):
        self.asked = 0

    def words(self):
        return ["open bench", "keeper's hands only"]

    def of_items(self, studio, items):
        self.asked += 1
        found = Item.objects.in_bulk([item.pk for item in items])
        return {pk: self.words()[item.name.startswith("K")] for pk, item in found.items()}


@pytest.fixture
def levels(monkeypatch):
    source = ByName()
    monkeypatch.setattr(handling, "_sources", [source])
    return source


def test_the_shelf_is_narrowed_by_handling_level_page_by_page(studio, keeper, levels, monkeypatch):
    monkeypatch.setattr("inventory.queries.finding.STEP", 4)
    monkeypatch.setattr("inventory.queries.finding.PAGE", 3)
    for number in range(30):
        put(studio, keeper, f"{'K' if number % 5 == 0 else 'A'}{number:02d}")
    found, after, pages = [], None, 0
    while True:
        page = shelf_of_level(studio, "keeper's hands only", {}, after=after)
        found += names(page.page)
        pages += 1
        assert len(page.page.rows) <= 3
        after = page.page.after
        if after is None:
            break
    assert found == ["K00", "K05", "K10", "K15", "K20", "K25"]
    assert pages > 2


def test_a_level_costs_the_same_for_any_number_of_tubes(page, studio, keeper, levels, django_assert_max_num_queries):
    for number in range(40):
        put(studio, keeper, f"K{number}", codes="PB29")
    # Session, user, membership, kept filters; two a step and one of this source; places and people to choose from.
    with django_assert_max_num_queries(4 + STEPS * 3 + 2):
        html = page(level="keeper's hands only")
    assert "K39" in html
    assert STEP > 50


def test_the_record_answers_with_its_own_levels(studio, keeper, pigments):
    assert handling.words()[0] == "open bench"
    paint = put(studio, keeper, "Mystery")[0].item
    assert handling.of_items(studio, [paint]) == {paint.pk: "not known"}


def test_a_filter_is_kept_shown_renamed_and_dropped(client, page, studio, member, keeper, place):
    put(studio, keeper, "Ochre", place=place)
    url = reverse("inventory:filters", args=[studio.slug])
    query = f"place={place.pk}&state=sealed"
    assert f"query=place%3D{place.pk}%26state%3Dsealed" in page(place=place.pk, state="sealed", after="junk")
    client.post(url, {"name": "Sealed oils", "query": f"{query}&after=1-1-x&evil=1", "shared": "on"})
    kept = SavedFilter.objects.get()
    assert (kept.query, kept.by, kept.shared) == (query, member, True)
    assert "Sealed oils" in page()
    client.post(reverse("inventory:filter", args=[studio.slug, kept.pk]), {"name": "Oils"})
    assert "Oils" in page()
    client.force_login(keeper)
    assert "Oils" not in client.get(reverse("inventory:shelf", args=[studio.slug])).content.decode()
    client.force_login(member)
    client.post(reverse("inventory:filter_remove", args=[studio.slug, kept.pk]))
    assert not SavedFilter.objects.exists()


def test_a_shared_filter_is_changed_by_its_maker_or_a_keeper(client, studio, member, keeper):
    kept = finding.save_filter(studio, by=keeper, name="Oils", query="binder=oil", shared=True)
    own = finding.save_filter(studio, by=keeper, name="Mine", query="owner=mine")
    client.force_login(member)
    assert client.post(reverse("inventory:filter_remove", args=[studio.slug, kept.pk])).status_code == 403
    assert client.post(reverse("inventory:filter_remove", args=[studio.slug, own.pk])).status_code == 404
    theirs = finding.save_filter(studio, by=member, name="Hers", query="owner=mine", shared=True)
    client.force_login(keeper)
    assert client.post(reverse("inventory:filter_remove", args=[studio.slug, theirs.pk])).status_code == 302


@pytest.mark.parametrize(
    ("name", "query", "words"), [("", "binder=oil", "give the filter a name"), ("Oils", "", "Nothing is narrowed down")]
)
def test_a_filter_without_name_or_content_is_refused(studio, keeper, name, query, words):
    with pytest.raises(ValidationError, match=words):
        finding.save_filter(studio, by=keeper, name=name, query=query)


def post(client, studio, name, data):
    return client.post(reverse(f"inventory:{name}", args=[studio.slug]), data)


@pytest.fixture
def three(studio, keeper, place):
    return put(studio, keeper, "Ochre", count=3, place=place)


def test_many_are_moved_after_a_preview_once_and_taken_back_together(client, member, studio, three, place):
    sink = Place.objects.create(studio=studio, name="Sink shelf")
    client.force_login(member)
    data = {"what": "move", "place": sink.pk, "chosen": [1, 3]}
    html = post(client, studio, "edit_many", data).content.decode()
    assert "2 of 2 would change. Nothing is written yet." in html
    assert "Oil shelf" in html
    assert Entry.objects.count() == 3
    for words in ("2 tubes changed, each with its entry.", "That was written before already"):
        answer = client.post(reverse("inventory:edit_write", args=[studio.slug]), {**data, "key": KEY}, follow=True)
        assert words in answer.content.decode()
    assert Entry.objects.count() == 5
    assert list(Tube.objects.order_by("number").values_list("place", flat=True)) == [sink.pk, place.pk, sink.pk]
    undo = f"{reverse('inventory:edit_undo', args=[studio.slug])}?key={KEY}"
    assert "Taken back for 2." in client.post(undo, follow=True).content.decode()
    assert set(Tube.objects.values_list("place", flat=True)) == {place.pk}
    assert Entry.objects.filter(kind="corrected").count() == 2
    assert "nothing to take back" in client.post(undo, follow=True).content.decode()


def test_many_are_given_and_looked_at(studio, three, member, keeper):
    owner = ("member", member, "")
    services.give(three[2], owner_kind="class", owner_class="Evening drawing", by=keeper)
    services.share(three[2], shared=True, by=keeper)
    assert finding.edit_tubes(studio, three, by=keeper, key=KEY, owner=owner).count == 3
    assert set(Tube.objects.values_list("owner", flat=True)) == {member.pk}
    assert finding.edit_tubes(studio, Tube.objects.all(), by=keeper, key="l" * 22, owner=owner).count == 0
    assert finding.edit_tubes(studio, three[:2], by=keeper, key="m" * 22, condition="dried").count == 2
    assert finding.undo_edit(studio, key="m" * 22, by=keeper).count == 2
    assert set(Tube.objects.values_list("condition", flat=True)) == {"usable"}
    # The owners go back together, unless one of them changed again.
    sold = services.give(three[1], owner_kind="studio", by=keeper)
    with pytest.raises(ValidationError, match=r"Ochre, no\. 2: Whose it is was changed again.*None of them was taken"):
        finding.undo_edit(studio, key=KEY, by=keeper)
    services.undo(sold, by=keeper)
    assert finding.undo_edit(studio, key=KEY, by=keeper).count == 3
    whose = Tube.objects.order_by("pk").values_list("owner_kind", "owner", "owner_class", "shared")
    assert list(whose) == [("studio", None, "", False)] * 2 + [("class", None, "Evening drawing", True)]
    undone = three[2].entries.first()
    assert undone.note == "Undone: moved. It is of the class Evening drawing again, and counts for the studio."
    services.undo(undone, by=keeper)
    assert Tube.objects.get(pk=three[2].pk).owner == member


def test_who_may_not_give_one_may_not_take_giving_back(client, studio, three, member, teacher, keeper):
    finding.edit_tubes(studio, three, by=keeper, key=KEY, owner=("member", member, ""))
    client.force_login(member)
    assert client.post(f"{reverse('inventory:edit_undo', args=[studio.slug])}?key={KEY}").status_code == 403
    entry = three[0].entries.first()
    assert client.post(reverse("inventory:entry_undo", args=[studio.slug, entry.pk])).status_code == 403
    page = client.get(reverse("inventory:tube", args=[studio.slug, three[0].number])).content.decode()
    assert reverse("inventory:entry_undo", args=[studio.slug, entry.pk]) not in page
    wrong = {"amount": "0", "note": "Not theirs.", "key": "n" * 22}
    assert client.post(reverse("inventory:entry_correct", args=[studio.slug, entry.pk]), wrong).status_code == 403
    assert set(Tube.objects.values_list("owner", flat=True)) == {member.pk}
    # That a tube is shared, its owner takes back as well, and nobody else but a keeper.
    undo = reverse("inventory:entry_undo", args=[studio.slug, services.share(three[0], shared=True, by=member).pk])
    assert client.post(undo).status_code == 302
    assert not Tube.objects.filter(shared=True).exists()
    undo = reverse("inventory:entry_undo", args=[studio.slug, services.share(three[1], shared=True, by=member).pk])
    client.force_login(teacher)
    assert client.post(undo).status_code == 403
    assert Tube.objects.get(shared=True) == three[1]


def test_one_refusal_leaves_all_as_they_were(studio, three, keeper):
    services.finish(three[2], by=keeper)
    with pytest.raises(ValidationError, match="is finished"):
        finding.edit_tubes(studio, Tube.objects.all(), by=keeper, key=KEY, condition="dried")
    assert set(Tube.objects.values_list("condition", flat=True)) == {"usable"}


def test_another_studio_s_tubes_are_not_touched(client, studio, other_studio, stranger, member, keeper, place):
    theirs = put(other_studio, stranger, "Secret red")
    with pytest.raises(ValidationError, match="not on this shelf"):
        finding.edit_tubes(studio, theirs, by=keeper, key=KEY, place=place)
    client.force_login(member)
    assert post(client, studio, "edit_many", {"what": "move", "place": place.pk, "chosen": [1]}).status_code == 404


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"what": "move", "chosen": [1]}, "To the place: choose it"),
        ({"what": "move"}, "Nothing is ticked"),
        ({"chosen": [1]}, "Choose what is to be done"),
        ({"what": "binder", "binder": "oil", "chosen": [1]}, "cannot be done to many at once by you"),
        ({"what": "owner", "owner": "class", "chosen": [1]}, "cannot be done to many at once by you"),
        ({"what": "condition", "condition": "other", "chosen": [1]}, "say why they cannot be used"),
    ],
)
def test_what_is_missing_is_asked_for_and_the_ticks_stay(client, member, studio, three, data, words):
    client.force_login(member)
    for name in ("edit_many", "edit_write"):
        answer = post(client, studio, name, data)
        assert answer.status_code == 422
        assert words in answer.content.decode()
        assert answer.content.decode().count("checked") == len(data.get("chosen", ()))
    assert Entry.objects.count() == 3


@pytest.mark.parametrize(
    ("what", "value", "field", "stored"),
    [
        ("binder", "alkyd", "binder", "alkyd"),
        ("form", "stick", "form", "stick"),
        ("series", "3", "series", "3"),
    ],
)
def test_paints_are_set_together(client, teacher, studio, keeper, three, what, value, field, stored):
    oil = Material.objects.create(studio=studio, name="Stand oil", material_kind="drying oil")
    services.receive(studio, oil, nominal_milli=250_000, unit="ml", by=keeper)
    client.force_login(teacher)
    data = {"what": what, what: value, "chosen": [1, 2, 4]}
    html = post(client, studio, "edit_many", data).content.decode()
    assert "1 of 2 would change" in html
    assert "It is no paint" in html
    post(client, studio, "edit_write", {**data, "key": KEY})
    assert getattr(Paint.objects.get(), field) == stored
    again = finding.edit_paints(studio, Paint.objects.all(), by=teacher, key="again", **{what: value})
    assert (again.count, finding.edit_paints(studio, [oil], by=teacher, key=KEY, series="9").repeated) == (0, True)
    before = {"binder": "oil", "form": "", "series": ""}[field]
    _undo_is_one_deed(client, studio, field, stored, before)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"binder": "glue"}, "“glue” is no binder"),
        ({"form": "brick"}, "“brick” is no form"),
        ({"series": "x" * 21}, "has 21 characters, and at most 20"),
        ({"level_tubes": -1}, "Level: -1 tubes is not between 0 and 10000"),
    ],
)
def test_what_no_paint_can_have_is_refused(teacher, studio, three, given, words):
    with pytest.raises(ValidationError, match=words):
        finding.edit_paints(studio, Paint.objects.all(), by=teacher, key=KEY, **given)


def _undo_is_one_deed(client, studio, field, stored, before):
    """Refused while something else stands there; then all of it, once."""
    undo = f"{reverse('inventory:edit_undo', args=[studio.slug])}?key={KEY}"
    assert undo in client.get(reverse("inventory:edit_many", args=[studio.slug])).content.decode()
    Paint.objects.update(**{field: {"binder": "gouache", "form": "powder", "series": "7"}[field]})
    refused = client.post(undo, follow=True).content.decode()
    assert "Ochre was changed again since, so none of the 1 was taken back." in refused
    Paint.objects.update(**{field: stored})
    assert "Taken back for 1." in client.post(undo, follow=True).content.decode()
    assert getattr(Paint.objects.get(), field) == before
    assert "took it back already" in client.post(undo, follow=True).content.decode()
    assert undo not in client.get(reverse("inventory:edit_many", args=[studio.slug])).content.decode()


def test_a_level_is_set_for_many_and_taken_away(client, teacher, studio, three):
    client.force_login(teacher)
    post(client, studio, "edit_write", {"what": "level", "level": "2", "chosen": [1], "key": KEY})
    assert Item.objects.get().level.level_tubes == 2
    html = post(client, studio, "edit_many", {"what": "level", "level": "2", "chosen": [1]}).content.decode()
    assert "It is so already" in html
    post(client, studio, "edit_write", {"what": "level", "level": "0", "chosen": [1], "key": "o" * 22})
    assert not hasattr(Item.objects.get(), "level")
    assert finding.undo_edit(studio, key="o" * 22, by=teacher).count == 1
    level = Item.objects.get().level
    assert (level.level_tubes, level.set_by) == (2, teacher)
    assert finding.undo_edit(studio, key=KEY, by=teacher).count == 1
    assert not hasattr(Item.objects.get(), "level")


def test_what_is_left_keeps_its_paint_on_the_lists(client, teacher, studio, keeper, three):
    client.force_login(teacher)
    data = {"what": "archive", "chosen": [1, 2, 3], "key": KEY}
    answer = post(client, studio, "edit_write", data)
    assert answer.status_code == 422
    assert "Ochre still has 3 on the shelf" in answer.content.decode()
    for tube in Tube.objects.all():
        services.finish(tube, by=keeper)
    post(client, studio, "edit_write", data)
    assert Item.objects.get().archived_at is not None
    assert finding.undo_edit(studio, key=KEY, by=teacher).count == 1
    assert Item.objects.get().archived_at is None


def test_too_many_are_refused(client, studio, three, member, place):
    client.force_login(member)
    data = {"what": "move", "place": place.pk, "chosen": list(range(1, 202))}
    assert "at most 200 go at once" in post(client, studio, "edit_many", data).content.decode()


def test_a_preview_costs_the_same_for_any_number(client, teacher, studio, keeper, place, django_assert_num_queries):
    client.force_login(teacher)
    make_person(studio, Role.MEMBER, "another")
    put(studio, keeper, "First", codes="PB29", place=place)

    def look(numbers):
        # Session, user, membership, people, tubes; and the place.
        for data, queries in (({"what": "move", "place": place.pk}, 6), ({"what": "level", "level": "2"}, 5)):
            with django_assert_num_queries(queries):
                post(client, studio, "edit_many", {**data, "chosen": numbers})

    look([1])
    for number in range(20):
        put(studio, keeper, f"Paint {number}", codes="PB29", place=Place.objects.create(studio=studio, name=number))
    look(list(range(1, 22)))


def test_days_in_addresses_are_read(page, studio, keeper):
    put(studio, keeper, "Ochre")
    assert "Nothing on the shelf fits" in page(received_before=date(2020, 1, 1).isoformat())
