"""What hangs where: out of date with its facts, replaced with one tap, and by one of two people alone."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.models import Group, MaterialKind, Paint, Palette, PalettePaint, Pigment, Place, Room
from inventory.services import move
from inventory.services.ledger import finish
from safety import services
from safety.models import (
    HazardFact,
    HouseRule,
    Notice,
    PaperKind,
    Posting,
    RoomFacts,
    RuleKind,
    RulesVersion,
    Statement,
    WasteContainer,
)
from safety.queries import books
from safety.queries.attention import papers_outdated
from safety.queries.papers import Subject, papers_now
from safety.queries.postings import hanging, walls
from safety.rules.notice import mark
from safety.services.notices import write_paper
from safety.services.postings import hang_now
from tests import people
from tests.safety.two_people import replace_it

URL = "https://paints.example/"


@pytest.fixture
def room(studio):
    room = Room.objects.create(studio=studio, name="Room 2")
    RoomFacts.objects.create(room=room, keeper="Ines", rags="Red can by the door", extinguisher="Left of the sink")
    return room


@pytest.fixture
def shelf(studio, room):
    return Place.objects.create(studio=studio, name="Oil shelf", room=room)


@pytest.fixture
def on_the_shelf(studio, keeper, shelf, make_paint):
    """Give a function that puts a paint on the shelf of room 2."""

    def put(name, pigments="", **more):
        paint = make_paint(name, pigments, **more)
        move(paint.tubes.get(), place=shelf, by=keeper)
        return paint

    return put


@pytest.fixture
def post(studio, room, keeper):
    """Give a function that prints a paper of room 2 as it is now and hangs it."""

    def hang(kind, where="", by=None):
        paper = write_paper(Subject(kind, room.pk), studio, by=by or keeper, page_url=URL)
        return hang_now(paper, by=by or keeper, room=room, where=where)

    return hang


@pytest.fixture
def together(db):
    """Two people in processes of their own."""
    with people.at_the_shelf(connection.settings_dict, 2) as both:
        yield both


def words(answer):
    return " ".join(answer.content.decode().split())


def rule(studio, keeper, **values):
    whole = {"on_whose_word": "the safety office, by letter", "set_on": date(2026, 1, 5), "recorded_by": keeper}
    return HouseRule.objects.create(studio=studio, **whole, **values)


def test_a_new_paint_puts_the_papers_of_its_room_out_of_date(studio, room, on_the_shelf, make_paint, post):
    on_the_shelf("Blue", "PB29")
    post(PaperKind.DOOR, "door")
    post(PaperKind.POSTER)
    assert not any(one.out_of_date for one in hanging(studio))
    assert list(papers_outdated(studio)) == []
    make_paint("Elsewhere", "PB29")
    assert not any(one.out_of_date for one in hanging(studio))
    on_the_shelf("Cadmium Yellow", "PY37")
    poster, door = hanging(studio)
    assert door.changed.gone == ()
    line, *codes = door.changed.new
    assert line.startswith("inside: Cadmium Yellow (PY37), up to 50 ml, Danger, H350 H341 H361fd H372 H302 H413")
    assert [one[:6] for one in codes] == ["H350: ", "H341: ", "H361fd", "H372: ", "H302: ", "H413: "]
    assert poster.changed.new == ("stands here: Cadmium Yellow (PY37)", "signs: GHS08, GHS07")
    (asked,) = papers_outdated(studio)
    assert asked.sentence == "The room poster of Room 2 and the door sheet of Room 2 no longer say what is known."
    (wall,) = walls(studio)
    assert wall.out_of_date == 2


def test_a_change_of_the_reference_tables_puts_what_prints_it_out_of_date(studio, keeper, on_the_shelf, post):
    yellow = on_the_shelf("Cadmium Yellow", "PY37")
    palette = Palette.objects.create(studio=studio, name="One", binder="oil")
    PalettePaint.objects.create(palette=palette, position=1, item=yellow)
    class_page = write_paper(Subject(PaperKind.CLASS, palette.pk), studio, by=keeper, page_url=URL)
    hung = {
        "notice": services.hang(services.make_notice(yellow, by=keeper, page_url=URL), by=keeper, where="lid"),
        "class": hang_now(class_page, by=keeper, where="easel"),
        "door": post(PaperKind.DOOR),
        "poster": post(PaperKind.POSTER),
    }

    def told():
        found = {one.posting.pk: one.changed for one in hanging(studio)}
        return {kind: [(one.was, one.now) for one in found[paper.pk].lines] for kind, paper in hung.items()}

    assert not any(told().values())
    Statement.objects.filter(code="H350").update(phrase_plain="May cause a tumour.")
    said = [("cancer.", "a tumour.")]
    assert told() == {"notice": said, "class": [], "door": said, "poster": []}
    Statement.objects.filter(code="H350").update(phrase_plain="May cause cancer.")
    Statement.objects.filter(code="P280").update(phrase_plain="Wear gloves.")
    assert [kind for kind, lines in told().items() if lines] == ["notice", "class"]
    Statement.objects.filter(code="H372").update(pictogram="GHS08;GHS09")
    assert ("GHS07", "GHS07, GHS09") in told()["poster"]
    of_yellow = HazardFact.objects.filter(ci_names__startswith="PY37;", regime="CLP Annex VI harmonised")
    assert of_yellow.update(notes="Read it again.", confidence="from memory") == 1
    assert any(now.endswith("from memory | Read it again.") for _, now in told()["notice"])

    Pigment.objects.filter(ci_name="PY37").update(metals="Cd;Hg")
    assert [now for _, now in told()["class"] if now.endswith("Hg")]
    Paint.objects.filter(pk=yellow.pk).update(binder="acrylic")
    assert [now for _, now in told()["class"] if "paint, acrylic, Cd, Hg" in now]

    # Made before these lines were kept: they are told as known now.
    older = [line for line in hung["door"].notice.facts if not line.startswith("H")]
    Notice.objects.filter(pk=hung["door"].notice_id).update(facts=older, fingerprint=mark(older))
    assert ("", "H350: May cause cancer.") in told()["door"]


def test_using_a_tube_up_or_the_house_deciding_changes_it_too(studio, keeper, room, on_the_shelf, post):
    blue = on_the_shelf("Blue", "PB29")
    post(PaperKind.DOOR, "door")
    post(PaperKind.POSTER)
    rule(studio, keeper, kind=RuleKind.WORDING, text="Wipe brushes first.", subject="waste")
    poster, door = hanging(studio)
    assert poster.changed.new == (
        "house rule: Wipe brushes first. (house rule, set by the safety office, by letter, 2026-01-05)",
    )
    assert not door.out_of_date
    RoomFacts.objects.filter(room=room).update(eyewash="Above the sink")
    finish(blue.tubes.get(), by=keeper)
    poster, door = hanging(studio)
    assert "eyewash: Above the sink" in poster.changed.new
    assert [line.partition(",")[0] for line in door.changed.gone] == ["inside: Blue (PB29)"]


def test_one_notice_hangs_in_several_places(studio, keeper, room, make_paint):
    notice = services.make_notice(make_paint("Blue", "PB29"), by=keeper, page_url=URL)
    services.hang(notice, where="above the sink", by=keeper)
    services.hang(notice, room=room, by=keeper)
    services.hang(notice, room=room, where="above the sink", by=keeper)
    assert [one.posting.place for one in hanging(studio)] == ["Room 2", "Room 2, above the sink", "above the sink"]
    with pytest.raises(ValidationError, match="already hangs there: Room 2"):
        services.hang(notice, room=room, by=keeper)
    with pytest.raises(ValidationError, match="is in the future, or before"):
        services.hang(notice, where="door", by=keeper, at=timezone.now() + timedelta(days=1))


def test_what_was_printed_is_what_is_replaced(studio, keeper, teacher, on_the_shelf, post):
    on_the_shelf("Blue", "PB29")
    old = post(PaperKind.DOOR, "door")
    with pytest.raises(ValidationError, match="still says what is known: there is nothing to replace"):
        services.replace(old, by=keeper, page_url=URL)
    on_the_shelf("White", "PW4")
    (one,) = hanging(studio)
    printed = one.fingerprint
    on_the_shelf("Green", "PG18")
    with pytest.raises(ValidationError, match=rf"changed again: .* yours has {printed}\. Print it again"):
        services.replace(old, by=keeper, page_url=URL, fingerprint=printed)
    assert Posting.objects.get().hangs
    assert Notice.objects.count() == 1
    (one,) = hanging(studio)
    new = services.replace(old, by=teacher, page_url=URL, fingerprint=one.fingerprint)
    old.refresh_from_db()
    assert (old.taken_down_by, new.replaces, new.place) == (teacher, old, "Room 2, door")
    with pytest.raises(ValidationError, match=rf"{teacher} replaced this paper on .*: {new.notice.fingerprint}"):
        services.replace(old, by=keeper, page_url=URL, fingerprint=one.fingerprint)
    assert (Posting.objects.count(), Notice.objects.count()) == (2, 2)
    services.take_down(new, by=teacher)
    with pytest.raises(ValidationError, match=f"{teacher} took this paper down on"):
        services.replace(new, by=keeper, page_url=URL)


def test_a_class_page_follows_its_palette_and_its_group(studio, keeper, on_the_shelf):
    yellow, white = on_the_shelf("Cadmium Yellow", "PY37"), on_the_shelf("White", "PW4")
    group = Group.objects.create(studio=studio, name="Children", children=True)
    palette = Palette.objects.create(studio=studio, name="Two", binder="oil", group=group)
    PalettePaint.objects.create(palette=palette, position=1, item=yellow)
    subject = Subject(PaperKind.CLASS, palette.pk, group.pk)
    paper = papers_now(studio, [subject])[subject]
    assert paper.subtitle == "For Children · 1 paint or material · Room 2"
    assert any(line.startswith("set out: Cadmium Yellow (PY37), Danger") for line in paper.facts)
    assert "rags: Red can by the door" in paper.facts
    loft = Room.objects.create(studio=studio, name="Loft")
    in_loft = subject._replace(room=loft.pk)
    every, there = papers_now(studio, [subject, in_loft]).values()
    assert "oily rags in Room 2: Red can by the door" in every.facts
    assert {"room: Loft", "rags: to fill in"} <= set(there.facts)
    hang_now(write_paper(in_loft, studio, by=keeper, page_url=URL), by=keeper, where="easel 1")
    assert not hanging(studio)[0].out_of_date
    hang_now(write_paper(subject, studio, by=keeper, page_url=URL), by=keeper, where="easel 1")
    PalettePaint.objects.create(palette=palette, position=2, item=white)
    (one,) = hanging(studio)
    assert "set out: White (PW4)" in [line.partition(",")[0] for line in one.changed.new]
    assert one.changed.gone == ()
    palette.removed_at = timezone.now()
    palette.save()
    assert hanging(studio)[0].gone == "The palette is no longer used."


def test_a_hung_class_list_follows_the_shelf_the_rules_and_the_sheets(studio, keeper, room, make_paint):
    group = Group.objects.create(studio=studio, name="Children", children=True)
    subject = Subject(PaperKind.GROUP, group.pk)
    today = timezone.localdate()
    said = {"by": keeper, "read_on": today, "h_codes": "EUH210", "says_not_classified": True}
    white, yellow = make_paint("White", "PW6"), make_paint("Cadmium Yellow", "PY37")
    services.record_sheet(white, product="White 1", revised_on=today - timedelta(days=400), **said)

    def hang():
        hang_now(write_paper(subject, studio, by=keeper, page_url=URL), by=keeper, room=room, where="door")
        assert not [one for one in hanging(studio) if one.out_of_date]

    def changed():
        (one,) = hanging(studio)
        return one.changed

    hang()
    services.record_sheet(white, product="White 1", revised_on=today - timedelta(days=9), **said)
    (pair,) = changed().pairs
    assert (pair.was, pair.now) == tuple(f"{today - timedelta(days=ago)}" for ago in (400, 9))
    assert pair.start.startswith("no rule: White (oil): judged by maker's sheet White 1, revised ")
    hang()
    rule(studio, keeper, kind=RuleKind.BAN, reach="metal", values=["Cd"], text="No cadmium.")
    assert [one.was_whole.partition(":")[0] for one in changed().pairs] == ["not known"]
    assert changed().pairs[0].now_whole.startswith("not for: Cadmium Yellow (oil): No cadmium.")
    hang()
    make_paint("Ochre", "PY43")
    assert [line for line in changed().new_alone if line.startswith("not known: Ochre")]
    finish(yellow.tubes.get(), by=keeper)
    assert any(line.startswith("not for: Cadmium Yellow") for line in changed().gone_alone)
    (asked,) = papers_outdated(studio)
    assert asked.sentence == "The class list of Children no longer says what is known."
    Group.objects.update(removed_at=timezone.now())
    assert hanging(studio)[0].gone == "The group is no longer used."


def test_a_paper_whose_place_only_words_told_is_put_into_a_room(
    client, teacher, studio, keeper, room, address, make_paint
):
    notice = services.make_notice(make_paint("Blue", "PB29"), by=keeper, page_url=URL)
    old = services.hang(notice, where="above the sink", by=keeper)
    client.force_login(teacher)
    assert "Only words tell where these hang" in words(client.get(address("postings")))
    url = address("posting_room", old.pk)
    assert "Choose the room in which it hangs" in words(client.post(url, {"room": "x"}, follow=True))
    assert "Noted: it hangs in a room now: Room 2, above the sink." in words(
        client.post(url, {"room": room.pk}, follow=True)
    )
    assert "replaced this paper on" in words(client.post(url, {"room": room.pk}, follow=True))
    (new,) = Posting.objects.hanging()
    assert (new.notice, new.room, new.replaces) == (notice, room, old)
    again = services.hang(notice, where="above the sink", by=keeper)
    with pytest.raises(ValidationError, match="hangs in Room 2 already, above the sink"):
        services.put_in_room(again, room, by=keeper)


def test_a_paper_about_what_is_gone_is_to_come_down(studio, keeper, make_paint):
    blue = make_paint("Blue", "PB29")
    services.hang(services.make_notice(blue, by=keeper, page_url=URL), where="door", by=keeper)
    finish(blue.tubes.get(), by=keeper)
    (one,) = hanging(studio)
    assert (one.out_of_date, bool(one.changed)) == (True, False)
    assert one.gone == "Nothing of it stands on the shelf any more."


@pytest.mark.parametrize("count", [1, 12])
def test_the_wall_costs_the_same_for_any_number(studio, keeper, many_paints, django_assert_num_queries, count):
    paints = many_paints(count)
    for number, paint in enumerate(paints):
        room = Room.objects.create(studio=studio, name=f"Room {number}")
        place = Place.objects.create(studio=studio, name=f"Shelf {number}", room=room)
        move(paint.tubes.get(), place=place, by=keeper)
        for kind in (PaperKind.DOOR, PaperKind.POSTER):
            hang_now(write_paper(Subject(kind, room.pk), studio, by=keeper, page_url=URL), by=keeper, room=room)
        services.hang(services.make_notice(paint, by=keeper, page_url=URL), by=keeper, room=room)
    RoomFacts.objects.bulk_create(RoomFacts(room=room, keeper="Wren") for room in Room.objects.all())
    with django_assert_num_queries(22):
        assert sum(one.out_of_date for one in hanging(studio)) == 2 * count


# Pages


@pytest.fixture
def address(studio):
    return lambda name, *pk: reverse(f"safety:{name}", args=[studio.slug, *pk])


def test_the_page_answers_what_is_out_of_date_and_takes_one_tap(
    client, teacher, studio, keeper, room, address, on_the_shelf, post
):
    on_the_shelf("Blue", "PB29")
    post(PaperKind.DOOR, "door")
    on_the_shelf("Cadmium Yellow", "PY37")
    rule(
        studio,
        keeper,
        kind=RuleKind.FIELD,
        subject="waste tag: start date",
        demanded=False,
        text="No start date on it.",
    )
    client.force_login(teacher)
    page = words(client.get(address("postings")))
    assert "1 of 1 paper no longer says what is known." in page
    assert "Room 2</a>: 1 out of date" in page
    assert "<strong>New:</strong> inside: Cadmium Yellow (PY37)" in page
    assert "Must not show</span>" in page
    assert "No start date on it." in page
    (one,) = hanging(studio)
    tap = {"fingerprint": one.fingerprint}
    page = words(client.post(address("posting_replace", one.posting.pk), tap, follow=True))
    assert f"Noted: {one.fingerprint} hangs now: Room 2, door." in page
    assert "Every paper that hangs says what is known now: 1." in page
    page = words(client.post(address("posting_replace", one.posting.pk), tap, follow=True))
    assert "teacher replaced this paper on" in page
    page = words(client.post(address("posting_take_down", Posting.objects.hanging().get().pk), follow=True))
    assert "Noted: it hangs no more: Room 2, door." in page


def test_hanging_asks_for_the_mark_that_was_printed(client, teacher, room, address, on_the_shelf):
    on_the_shelf("Blue", "PB29")
    client.force_login(teacher)
    url = address("door_hang", room.pk)
    form = client.get(url).context["form"]
    stale = {"room": room.pk, "where": "door", "fingerprint": form["fingerprint"].value()}
    on_the_shelf("White", "PW4")
    answer = client.post(url, stale)
    assert answer.status_code == 422
    assert "Print it again, then say where it hangs." in words(answer)
    assert not Posting.objects.exists()
    fresh = {**stale, "fingerprint": client.get(url).context["form"]["fingerprint"].value()}
    assert "hangs: Room 2, door." in words(client.post(url, fresh, follow=True))


def test_every_paper_is_listed_and_printed(client, student, studio, keeper, room, address, on_the_shelf, make_material):
    yellow = on_the_shelf("Cadmium Yellow", "PY37")
    make_material("Gum Turpentine", MaterialKind.SOLVENT, "8006-64-2")
    palette = Palette.objects.create(studio=studio, name="Two", binder="oil")
    PalettePaint.objects.create(palette=palette, position=1, item=yellow)
    version = RulesVersion.objects.create(studio=studio, number=1, title="Rules", text="Wipe first.", made_by=keeper)
    container = WasteContainer.objects.create(
        studio=studio, number=3, contents="White spirit with oil paint", opened_on=date(2026, 1, 5), opened_by=keeper
    )
    client.force_login(student)
    page = words(client.get(address("papers")))
    printed = {
        address("poster_pdf", room.pk): ("Room 2", "Red can by the door", "Extinguisher"),
        address("door_pdf", room.pk): ("Cadmium Yellow (PY37)", "up to 50 ml", "Ines", "H350"),
        address("palette_pdf", palette.pk): ("Two", "Not for everybody", "What to wear", "Contains cadmium"),
        address("index_pdf"): ("Gum Turpentine", "None on file"),
        address("sign_off_pdf", version.pk): ("Wipe first.", "Signature"),
        address("waste_tag_pdf", container.pk): ("White spirit with oil paint", "Container 3"),
    }
    for url, expected in printed.items():
        assert f'href="{url}?paper=A4"' in page
        assert f'href="{url}?paper=Letter"' in page
        answer = client.get(url, {"paper": "Letter"})
        assert answer["Content-Type"] == "application/pdf"
        assert "Content-Security-Policy" not in answer
        text = " ".join(" ".join(one.extract_text() for one in PdfReader(BytesIO(answer.content)).pages).split())
        for said in (*expected, "Local regulations, licensed practice"):
            assert said in text, (url, said)
    assert client.get(address("poster_pdf", room.pk), {"paper": "A9"}).status_code == 404
    assert client.get(address("palette_pdf", palette.pk), {"group": "x"}).status_code == 404
    loft = Room.objects.create(studio=studio, name="Loft")
    assert f'<option value="{loft.pk}">Loft</option>' in words(client.get(address("papers")))
    answer = client.get(address("palette_pdf", palette.pk), {"room": loft.pk, "paper": "A4"})
    assert "Loft" in PdfReader(BytesIO(answer.content)).pages[0].extract_text()
    assert "Hang" not in page
    (tag,) = PdfReader(BytesIO(client.get(address("waste_tag_pdf", container.pk)).content)).pages
    assert "Of what is in it: no sheet read: unknown." in " ".join(tag.extract_text().split())
    assert client.get(address("notice_now_pdf", yellow.pk))["Content-Type"] == "application/pdf"


@pytest.mark.parametrize(("demanded", "shown"), [(True, True), (False, False), (None, False)])
def test_a_waste_tag_has_the_fields_that_this_house_demands(client, keeper, studio, address, demanded, shown):
    """Published guides of two colleges demand opposite things of the start date, so none is assumed."""
    if demanded is not None:
        rule(studio, keeper, kind=RuleKind.FIELD, subject="Waste tag: Start date", demanded=demanded, text="So it is.")
    container = WasteContainer.objects.create(
        studio=studio, number=3, contents="White spirit", opened_on=date(2026, 1, 5), opened_by=keeper
    )
    client.force_login(keeper)
    reader = PdfReader(BytesIO(client.get(address("waste_tag_pdf", container.pk)).content))
    assert ("2026-01-05" in reader.pages[0].extract_text()) is shown


def test_a_jar_label_guesses_no_hazard(client, keeper, studio, address, make_paint, make_material):
    """A list about the pigment does not know what is in the jar: the fields are blanks until a sheet is on file."""
    yellow = make_paint("Cadmium Yellow", "PY37")
    spirits = make_material("Odourless spirits", MaterialKind.SOLVENT)
    services.record_sheet(
        spirits,
        by=keeper,
        product="Spirits 4",
        read_on=timezone.localdate(),
        h_codes="H304",
        signal_word="Danger",
        pictograms=["GHS08"],
    )
    client.force_login(keeper)

    def label(**asked):
        answer = client.get(address("jar_label"), asked)
        assert answer["Content-Type"] == "application/pdf"
        return " ".join(PdfReader(BytesIO(answer.content)).pages[0].extract_text().split())

    guessed = label(item=yellow.pk)
    assert "PY37" in guessed
    assert "Fill in from the maker's sheet before you use the jar." in guessed
    assert "H350" not in guessed
    assert "Danger" not in guessed
    from_sheet = label(item=spirits.pk, whose="Wren")
    assert "Danger" in from_sheet
    assert "H304 May be fatal if swallowed and enters airways." in from_sheet
    assert "Fill in from" not in from_sheet
    rule(studio, keeper, kind=RuleKind.FIELD, subject="jar label: signal word", demanded=False, text="No.")
    rule(studio, keeper, kind=RuleKind.FIELD, subject="jar label: opened by", demanded=True, text="Yes.")
    assert "Opened by:" in label(name="Jar nobody knows")
    assert "Signal word" not in label(name="Jar nobody knows")
    assert "Choose what was poured, or write a name" in words(client.get(address("jar_label"), {"whose": "Wren"}))


# At one moment, and from before


@pytest.mark.django_db(transaction=True)
def test_two_people_replace_one_paper(studio, keeper, teacher, room, on_the_shelf, post, together):
    """Processes of their own on the database that the tests run on, SQLite or PostgreSQL."""
    on_the_shelf("Blue", "PB29")
    old = post(PaperKind.DOOR, "door")
    on_the_shelf("White", "PW4")
    answers = together(replace_it, old.pk, [keeper.pk, teacher.pk])
    assert sorted(done for done, _ in answers) == [False, True]
    (said,) = [words for done, words in answers if not done]
    new = Posting.objects.hanging().get()
    assert said == f"{new.hung_by} replaced this paper on {_when(new)}: {new.notice.fingerprint} hangs there now. " + (
        "Nothing was changed a second time."
    )
    assert (Posting.objects.count(), Notice.objects.count()) == (2, 2)


def _when(posting):
    return f"{timezone.localtime(posting.hung_at):%Y-%m-%d at %H:%M}"


@pytest.mark.django_db(transaction=True)
def test_where_notices_hung_before_becomes_postings(studio, keeper, paint):
    """Back and forward through the migration, on the database that the tests run on."""
    now = timezone.now()
    made = {"studio": studio, "item": paint, "made_by": keeper, "made_at": now, "content": {}}
    hung = {"studio": studio, "where": "door", "hung_at": now, "hung_by": keeper}
    Notice.objects.create(**made, facts=["a"], fingerprint="A")
    Posting.objects.create(notice=Notice.objects.create(**made, facts=["b"], fingerprint="B"), **hung)
    gone = Notice.objects.create(**made, facts=["c"], fingerprint="C")
    Posting.objects.create(notice=gone, **hung, taken_down_at=now, taken_down_by=keeper)
    executor = MigrationExecutor(connection)
    newest = executor.loader.graph.leaf_nodes("safety")
    try:
        before = executor.migrate([("safety", "0005_sheets_looked_at_again")]).apps
        rows = before.get_model("safety", "Notice").objects.order_by("pk")
        assert list(rows.values_list("fingerprint", "hung_where", "hung_at", "hung_by", "taken_down_by")) == [
            ("A", "", None, None, None),
            ("B", "door", now, keeper.pk, None),
            ("C", "door", now, keeper.pk, keeper.pk),
        ]
    finally:
        MigrationExecutor(connection).migrate(newest)
    rows = Posting.objects.order_by("pk").values_list("notice__fingerprint", "where", "hung_at", "taken_down_by")
    assert list(rows) == [("B", "door", now, None), ("C", "door", now, keeper.pk)]


def test_a_book_that_takes_a_while_shows_how_far_it_is(client, student, keeper, address, many_paints, monkeypatch):
    """One step a request: the page counts up, and the book is there in the end."""
    many_paints(3)
    studio = keeper.studios.get()
    services.make_notices(studio, by=keeper, page_url=lambda item: URL)
    books.forget_all()
    monkeypatch.setattr("safety.views.notices.PATIENCE", -1.0)
    client.force_login(student)
    shown = []
    for _ in range(20):
        answer = client.get(address("book_pdf"))
        if answer["Content-Type"] == "application/pdf":
            break
        assert "Content-Security-Policy" in answer
        assert "Binding 3 notices." in words(answer)
        shown.append(answer.context["done"])
    assert shown == sorted(shown)
    assert len(set(shown)) > 2
    assert len(PdfReader(BytesIO(answer.content)).outline) == 4
