"""Records are kept as printed, refused with words, and notices follow the facts."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import MaterialKind
from inventory.services import finish
from safety import services
from safety.models import DataSheet, Notice
from safety.queries.attention import notices_missing, sheets_missing
from safety.queries.facts import facts_of, in_stock, items
from safety.queries.notices import State, book, standings
from safety.rules.facts import Trust
from studio.attention import Urgency

pytestmark = pytest.mark.django_db
URL = "https://paints.example/s/reed-lane/items/1/safety/"


def today():
    return timezone.localdate()


def record(item, by, **values):
    return services.record_sheet(item, by=by, **{"product": "Product 1", "read_on": today(), **values})


def facts(item):
    found = items(item.studio).get(pk=item.pk)
    return facts_of([found])[found.pk]


def standing(item):
    return next(one for one in standings(item.studio) if one.item.pk == item.pk)


def url_of(item):
    return f"https://paints.example/items/{item.pk}/"


# Sheets and labels


def test_codes_are_kept_as_the_sheet_prints_them(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    sheet = record(blue, keeper, h_codes="H372 (lungs), h302 *", p_codes="P301 + P310", signal_word="Danger")
    sheet.refresh_from_db()
    assert sheet.h_code_list == ("H372 (lungs)", "h302 *")
    assert sheet.p_code_list == ("P301 + P310",)
    known = facts(blue)
    assert known.trust() is Trust.SHEET
    assert known.sheet.h_codes == ("H372 (lungs)", "h302 *")


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"h_codes": "H35O"}, "h_codes", "“H35O” is not a known H, EUH or P code. Did you mean H350?"),
        ({"h_codes": "P280"}, "h_codes", "P280 is a precautionary statement"),
        ({"p_codes": "H317"}, "p_codes", "H317 is a hazard statement"),
        ({"read_on": "tomorrow"}, "read_on", "is in the future: enter the day on which it was read"),
        ({"revised_on": "tomorrow"}, "revised_on", "after it was read"),
        ({"product": " "}, "product", "nothing is entered. It is needed: fill it in."),
        ({"signal_word": "Achtung"}, "signal_word", "“Achtung” is none of the choices. Choose one of the list."),
        ({"pictograms": ["GHS10"]}, "pictograms", "'GHS10' is not a GHS sign: choose among GHS01"),
        ({"says_not_classified": True, "h_codes": "H317; EUH208"}, "says_not_classified", "A sheet that gives H317"),
        ({"says_not_classified": True, "pictograms": ["GHS07"]}, "__all__", "does classify the product"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_by_field(make_paint, keeper, values, field, said):
    tomorrow = today() + timedelta(days=1)
    values = {name: tomorrow if value == "tomorrow" else value for name, value in values.items()}
    with pytest.raises(ValidationError) as refused:
        record(make_paint("Blue", "PB29"), keeper, **values)
    assert list(refused.value.message_dict) == [field]
    assert said in " ".join(refused.value.message_dict[field])
    assert not DataSheet.objects.exists()


def test_everything_that_is_wrong_is_told_at_once(make_paint, keeper):
    with pytest.raises(ValidationError) as refused:
        record(make_paint("Blue", "PB29"), keeper, product="", h_codes="H35O; X1", read_on=today() + timedelta(days=1))
    problems = refused.value.message_dict
    assert set(problems) == {"product", "h_codes", "read_on"}
    assert len(problems["h_codes"]) == 2


def test_a_newer_revision_counts_and_the_older_stays(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    new = record(blue, keeper, revised_on=today() - timedelta(days=10), h_codes="H317")
    record(blue, keeper, revised_on=today() - timedelta(days=900), h_codes="H319")
    assert facts(blue).sheet.h_codes == ("H317",)
    assert blue.datasheets.count() == 2
    with pytest.raises(ValidationError, match="already recorded: withdraw that record if it is wrong"):
        record(blue, keeper, revised_on=new.revised_on)
    services.withdraw(new, by=keeper, why="It was the sheet of another blue.")
    assert facts(blue).sheet.h_codes == ("H319",)
    assert blue.datasheets.count() == 2
    with pytest.raises(ValidationError, match="already withdrawn"):
        services.withdraw(new, by=keeper, why="Again.")
    with pytest.raises(ValidationError, match="Say what was wrong"):
        services.withdraw(blue.datasheets.get(withdrawn_at=None), by=keeper, why="  ")


def test_an_undated_sheet_counts_from_the_day_it_was_read(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    record(blue, keeper, revised_on=today() - timedelta(days=10), h_codes="H317")
    record(blue, keeper, h_codes="H319")
    assert facts(blue).sheet.h_codes == ("H319",)
    assert facts(blue).sheet.revised_on is None


def test_not_classified_is_what_the_sheet_says_and_no_codes_are_not(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    record(blue, keeper, product="Empty record")
    assert facts(blue).trust() is Trust.UNKNOWN
    record(blue, keeper, product="Not classified", says_not_classified=True, h_codes="EUH210")
    assert facts(blue).trust() is Trust.SHEET


def test_a_label_is_copied_word_for_word(make_paint, keeper):
    red = make_paint("Cadmium Red", "PR108")
    label = services.record_label_statement(red, by=keeper, read_on=today(), text="  Contains cadmium.\nDo not spray. ")
    assert label.text == "Contains cadmium.\nDo not spray."
    assert facts(red).label.text == label.text
    with pytest.raises(ValidationError, match="Copy at least the words"):
        services.record_label_statement(red, by=keeper, read_on=today())


# Facts


def test_shades_come_from_the_name_and_from_what_was_chosen(make_paint, keeper):
    """PBr7 is one code for siennas and umbers; umbers carry manganese: common practice, no source."""
    umber, sienna = make_paint("Raw Umber", "PBr7"), make_paint("Burnt Sienna", "PBr7")
    assert facts(umber).shades == {"umber"}
    assert facts(sienna).shades == {"sienna"}
    unnamed = make_paint("Brown 12", "PBr7")
    assert facts(unnamed).shades == frozenset()
    line = umber.pigment_lines.get()
    unnamed.pigment_lines.update(shade=line.shade)
    assert line.shade is not None
    assert facts(unnamed).shades == {"umber"}


def test_a_material_is_known_by_its_cas_numbers(make_material):
    """Turpentine, CAS 8006-64-2: CLP Annex VI, index 650-002-00-6."""
    turpentine = make_material("Gum Turpentine", MaterialKind.SOLVENT, "8006-64-2")
    two = make_material("Thinner", MaterialKind.SOLVENT, "1330-20-7; 8006-64-2")
    unnamed = make_material("Thinner 2", MaterialKind.SOLVENT)
    assert any(row.index_no == "650-002-00-6" for row in facts(turpentine).ingredients)
    assert {row.index_no for row in facts(two).ingredients} > {"650-002-00-6"}
    assert facts(turpentine).form == "solvent"
    assert facts(unnamed).trust() is Trust.UNKNOWN


def test_a_dry_pigment_is_known_by_its_number_where_one_pigment_has_it(make_material):
    """Cadmium sulphide, CAS 1306-23-6: CLP Annex VI, index 048-010-00-4."""
    yellow = facts(make_material("Yellow powder", MaterialKind.DRY_PIGMENT, "1306-23-6"))
    rows = {row.index_no for row in yellow.substances}
    assert yellow.form == "dry pigment"
    assert "048-010-00-4" in rows
    assert [one.code for one in yellow.pigments] == ["PY37"]
    # Copper phthalocyanine has one number for all forms of PB15: it does not tell which.
    assert facts(make_material("Blue powder", MaterialKind.DRY_PIGMENT, "147-14-8")).pigments == ()


def test_what_is_still_asked_about_a_label_is_not_left_out(make_paint, keeper):
    doubtful = make_paint("Hansa Yellow Medium", "PY3, PW97")
    unread = [one for one in facts(doubtful).pigments if not one.known]
    assert [one.code for one in unread] == ["PW97"]
    assert "a question is open" in unread[0].name


def test_the_place_decides_which_lists_give_the_sign(make_paint, studio):
    """Safe Work Australia, HCIS: C.I. Pigment Red 108 carries statements that CLP Annex VI gives it none of."""
    red = make_paint("Cadmium Red", "PR108")
    assert standing(red).facts.published_codes() == ()
    notice = services.make_notice(red, by=studio.members.get(), page_url=URL)
    assert notice.content["label"]["signal_word"] == ""
    studio.jurisdiction = "Australia"
    studio.save()
    red.refresh_from_db()
    there = services.make_notice(type(red).objects.get(pk=red.pk), by=studio.members.get(), page_url=URL)
    assert there.content["label"]["signal_word"] == "Danger"
    assert "H350" in there.content["label"]["h_codes"]


# Notices


def test_a_notice_goes_out_of_date_with_its_facts_and_says_why(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    assert standing(blue).state is State.MISSING
    notice = services.make_notice(blue, by=keeper, page_url=URL)
    assert standing(blue).state is State.CURRENT
    record(blue, keeper, product="Blue 12", h_codes="H317")
    now = standing(blue)
    assert now.state is State.OUT_OF_DATE
    (outdated,) = now.outdated
    assert outdated.notice == notice
    assert outdated.changed.gone == ("sheet: none on file",)
    assert [line for line in outdated.changed.new if line.startswith("sheet: Blue 12")]
    renewed = services.make_notice(blue, by=keeper, page_url=URL)
    assert renewed != notice
    assert renewed.content["trust"] == "SHEET"
    assert standing(blue).state is State.CURRENT
    notice.refresh_from_db()
    assert notice.content["trust"] == "UNKNOWN"


def test_an_old_notice_that_still_hangs_is_out_of_date_until_it_is_taken_down(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    first = services.make_notice(blue, by=keeper, page_url=URL)
    old = services.hang(first, where="above the sink", by=keeper)
    record(blue, keeper, h_codes="H317")
    new = services.make_notice(blue, by=keeper, page_url=URL)
    assert standing(blue).state is State.OUT_OF_DATE
    assert not standing(blue).needs_new
    hung = services.hang(new, where="Above  the sink", by=keeper)
    old.refresh_from_db()
    assert not old.hangs
    assert hung.replaces == old
    assert standing(blue).state is State.CURRENT
    with pytest.raises(ValidationError, match=rf"{keeper} replaced this paper on .* {new.fingerprint} hangs there"):
        services.take_down(old, by=keeper)
    with pytest.raises(ValidationError, match="already hangs there: Above the sink"):
        services.hang(new, where="above the SINK", by=keeper)
    with pytest.raises(ValidationError, match="Say where it hangs"):
        services.hang(first, where=" ", by=keeper)
    with pytest.raises(ValidationError, match="at most 120 letters for the place; this has 121"):
        services.hang(new, where="w" * 121, by=keeper)


def test_the_same_facts_make_no_second_notice(make_paint, keeper):
    blue = make_paint("Blue", "PB29")
    first = services.make_notice(blue, by=keeper, page_url=URL, at=timezone.now() - timedelta(days=3))
    assert services.make_notice(blue, by=keeper, page_url=URL) == first
    assert services.make_notice(blue, by=keeper, page_url=f"{URL}?moved") != first


def test_all_that_is_missing_or_changed_is_made_at_once(make_paint, studio, keeper):
    blue, white = make_paint("Blue", "PB29"), make_paint("White", "PW6")
    gone = make_paint("Gone", "PR108")
    finish(gone.tubes.get(), by=keeper)
    made = services.make_notices(studio, by=keeper, page_url=url_of)
    assert {notice.item_id for notice in made} == {blue.pk, white.pk}
    assert services.make_notices(studio, by=keeper, page_url=url_of) == []
    record(white, keeper, says_not_classified=True)
    (again,) = services.make_notices(studio, by=keeper, page_url=url_of)
    assert again.item_id == white.pk
    assert again.content["page_url"] == url_of(white)
    assert [one.item_id for one in book(studio)] == [blue.pk, white.pk]
    assert Notice.objects.count() == 3


def test_the_studios_own_number_is_on_its_notices(make_paint, studio, keeper):
    studio.emergency_contact = "Porter's lodge, 4711"
    studio.save()
    notice = services.make_notice(make_paint("Blue", "PB29"), by=keeper, page_url=URL)
    assert {"role": "First aid here", "number": "Porter's lodge, 4711"} in notice.content["contacts"]
    studio.emergency_contact = "4712"
    studio.save()
    (one,) = standings(studio)
    assert one.state is State.OUT_OF_DATE


# The first page


def test_the_first_page_asks_for_what_is_old_and_what_is_missing(make_paint, studio, keeper):
    for name in ("Blue", "Green", "Ochre", "Umber", "White"):
        make_paint(name, "PB29")
    (missing,) = notices_missing(studio)
    assert missing.sentence == "There is no notice for Blue, Green, Ochre and 2 more."
    assert missing.urgency is Urgency.UNKNOWN
    (sheets,) = sheets_missing(studio)
    assert sheets.sentence.startswith("No maker's safety data sheet is on file for Blue, Green, Ochre and 2 more:")
    services.make_notices(studio, by=keeper, page_url=url_of)
    assert list(notices_missing(studio)) == []
    blue = studio.items.get(name="Blue")
    services.hang(blue.notices.get(), where="door", by=keeper)
    record(blue, keeper, h_codes="H317")
    (old,) = notices_missing(studio)
    assert old.sentence == "The notice for Blue no longer says what is known, and what hangs on the wall is old."
    assert old.urgency is Urgency.HARM


@pytest.mark.parametrize("count", [1, 30])
def test_questions_to_the_database_do_not_grow_with_the_shelf(many_paints, keeper, django_assert_num_queries, count):
    studio = many_paints(count)[0].studio
    with django_assert_num_queries(10):
        assert len(standings(studio)) == count
    with django_assert_num_queries(6):
        facts_of(list(in_stock(studio)))
    services.make_notices(studio, by=keeper, page_url=url_of)
    studio.emergency_contact = "4711"
    studio.save()
    with django_assert_num_queries(11):  # and the lines of those that changed
        assert all(one.state is State.OUT_OF_DATE for one in standings(studio))
    with django_assert_num_queries(11 + (2 if count > 3 else 1)):
        assert [*notices_missing(studio), *sheets_missing(studio)]
