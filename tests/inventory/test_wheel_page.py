"""The wheel, the paints that do the same job, and the next tube, as a studio sees them."""

import re
from html import unescape

import pytest
from django.urls import reverse

from inventory import services
from inventory.models import Binder, OwnerKind, Paint, PaintPigment, Pigment, PigmentsKnown
from inventory.queries import next_tube, remembered
from inventory.queries import wheel as queries
from inventory.queries.next_tube import OVER_DRAWS
from inventory.queries.paint_sets import Asked, paint_set
from inventory.queries.pigment_words import METAL_WORDS, hazard_words
from inventory.queries.wheel import QUICK_PAINTS, wheel_gaps
from inventory.services.swatches import refresh_swatches
from studio.models import Role

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

# A limited palette with a warm red only.
FOUR = (
    ("Titanium White", "PW6"),
    ("Hansa Yellow Light", "PY3"),
    ("Cadmium Red Light", "PR108"),
    ("Ultramarine", "PB29"),
)
PAGES = ("wheel", "wheel_table", "wheel_same_job", "wheel_next")


@pytest.fixture(autouse=True)
def _nothing_remembered():
    remembered.forget_all()


def shelve(studio, by, paints, binder=Binder.OIL, **tube):
    made = []
    for name, codes in paints:
        known = PigmentsKnown.SETTLED if codes else PigmentsKnown.UNKNOWN
        paint = Paint.objects.create(studio=studio, name=name, binder=binder, pigments_known=known)
        for position, code in enumerate(codes.split()):
            PaintPigment.objects.create(
                paint=paint, position=position, code=code, pigment=Pigment.objects.get(ci_name=code)
            )
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=by, **tube)
        made.append(paint)
    refresh_swatches(made)
    return made


def wheel(studio, binder=None):
    found = queries.wheel(studio, Asked(binder=binder))
    assert found is not None
    return found


def next_tubes(studio, binder=None):
    found = next_tube.next_tubes(studio, Asked(binder=binder))
    assert found is not None
    return found


def page(client, studio, name, query=""):
    answer = client.get(reverse(f"inventory:{name}", args=[studio.slug]) + query)
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def words(html):
    return " ".join(re.sub(r"<[^>]+>", " ", html.split("<main")[1].split("</main>")[0]).split())


def violet(found):
    return next((gap for gap in found.gaps if gap.hue == "violet"), None)


def test_without_a_cool_red_there_is_no_vivid_violet_and_quinacridone_magenta_opens_it(studio, keeper):
    """Common practice, no source: a warm red and ultramarine mix to a dull violet, a magenta to a clear one."""
    shelve(studio, keeper, FOUR)
    before = wheel(studio)
    assert violet(before).points > 5.0
    assert "violet" in violet(before).sentence
    shelve(studio, keeper, [("Quinacridone Magenta", "PR122")])
    after = wheel(studio)
    assert violet(after).points < violet(before).points - 1.0
    assert after.percent > before.percent + 3.0


def test_the_next_tube_is_ranked_by_what_it_adds_and_its_gain_comes_true(studio, keeper):
    shelve(studio, keeper, FOUR)
    ranked = next_tubes(studio)
    leading = [one for one in ranked.candidates if one.expected]
    assert len(leading) == OVER_DRAWS
    for gains in ([one.points for one in leading], [one.points for one in ranked.candidates[OVER_DRAWS:]]):
        assert gains == sorted(gains, reverse=True)
    assert all(one.expected.low <= one.points <= one.expected.high for one in leading)
    magenta = next(one for one in ranked.candidates if one.pigment.ci_name == "PR122")
    assert "violet" in magenta.opens
    shelve(studio, keeper, [("Quinacridone Magenta", "PR122")])
    assert wheel(studio).percent == pytest.approx(magenta.advice.after, abs=1e-6)
    assert all(one.pigment.ci_name != "PR122" for one in next_tubes(studio).candidates)


def test_binders_are_never_mixed(client, studio, keeper):
    shelve(studio, keeper, FOUR)
    alone = wheel(studio).percent
    shelve(studio, keeper, [("Phthalo Green", "PG7"), ("Magenta", "PR122"), ("White", "PW6")], Binder.ACRYLIC)
    assert wheel(studio, Binder.OIL).percent == alone
    client.force_login(keeper)
    oil, acrylic = words(page(client, studio, "wheel")), words(page(client, studio, "wheel", "?binder=acrylic"))
    assert "Oil, 4 paints" in oil
    assert "Acrylic, 3 paints" in oil
    assert "Phthalo Green" not in oil
    assert "Phthalo Green" in acrylic
    assert "Ultramarine" not in acrylic


def test_a_pigment_in_another_binder_is_named_beside_the_candidate(studio, keeper):
    shelve(studio, keeper, FOUR)
    shelve(studio, keeper, [("Studio Magenta", "PR122")], Binder.ACRYLIC)
    magenta = next(one for one in next_tubes(studio, "oil").candidates if one.pigment.ci_name == "PR122")
    assert magenta.on_the_shelf == ("Studio Magenta: It is acrylic, which is not mixed with this.",)


def test_what_is_not_known_stays_out_and_is_listed_with_the_reason(client, studio, keeper):
    shelve(studio, keeper, FOUR)
    known = wheel(studio).percent
    shelve(studio, keeper, [("Label gone", ""), ("Iron Brown", "PBr7")])
    assert wheel(studio).percent == known
    client.force_login(keeper)
    text = words(page(client, studio, "wheel"))
    assert "Left out: 2 paints" in text
    assert "The pigments of this paint are not known, so its colour is not known. Label gone" in text
    assert "PBr7 is sold as raw sienna" in text


def test_what_a_member_brought_or_what_is_finished_does_not_count(studio, keeper, member):
    shelve(studio, keeper, FOUR)
    before = wheel(studio).percent
    shelve(studio, keeper, [("Own Magenta", "PR122")], owner_kind=OwnerKind.MEMBER, owner=member)
    gone = shelve(studio, keeper, [("Phthalo Green", "PG7")])[0]
    services.finish(gone.tubes.get(), by=keeper)
    assert wheel(studio).percent == before


def test_the_page_says_what_the_figure_means_and_how_sure_it_is(client, studio, keeper):
    shelve(studio, keeper, FOUR)
    client.force_login(keeper)
    html = page(client, studio, "wheel")
    text = words(html)
    assert "Of all colours that real surfaces have (Pointer 1980)" in text
    assert "a direction, not a promise" in text
    assert 'role="img"' in html
    assert "The same as a table" in text
    assert not re.search(r"style=|<style|<script(?! src)", html), "the content security policy allows none"


def test_the_table_has_every_sector_and_every_tube(client, studio, keeper):
    shelve(studio, keeper, FOUR)
    client.force_login(keeper)
    html = page(client, studio, "wheel_table", "?level=40")
    assert html.count('data-label="Limit"') == 36
    assert "Hues at value L* 40, dark, oil" in words(html)
    for name, _ in FOUR:
        assert name in html
    assert "never an exact recipe" in html


def test_each_kind_of_redundancy_stands_apart_with_what_would_be_lost(client, studio, keeper):
    shelve(studio, keeper, [*FOUR, ("French Ultramarine", "PB29"), ("Phthalo Green", "PG7"), ("Sap Green", "PG7 PY3")])
    Paint.objects.filter(name="Ultramarine").update(lightfastness="I", lightfastness_scale="astm")
    found = queries.same_jobs_of(paint_set(studio, Asked()))
    assert [{one.paint.name, *(other.name for other in one.others)} for one in found.same_pigments] == [
        {"Ultramarine", "French Ultramarine"}
    ]
    assert "lightfastness of Ultramarine: I (ASTM) (French Ultramarine not known)" in found.same_pigments[0].lost
    # A ready-mixed green of two pigments that both stand beside it: the others mix it, by construction.
    sap = next(one for one in found.mixable if one.paint.name == "Sap Green")
    assert {other.name for other in sap.others} == {"Phthalo Green", "Hansa Yellow Light"}
    client.force_login(keeper)
    text = words(page(client, studio, "wheel_same_job"))
    assert text.index("The same pigments") < text.index("Near twins") < text.index("Mixed from the others")


@pytest.mark.parametrize(
    ("paints", "expected", "unexpected"),
    [
        ([], "No paint is in stock", "of 100"),
        ([("Ultramarine", "PB29")], "One paint of known colour mixes with nothing", "of 100"),
        ([("Label gone", ""), ("Label gone too", "")], "Of the 2 paints here none has a known colour", "of 100"),
        ([("Cadmium Red Light", "PR108"), ("Ultramarine", "PB29")], "There is no white in stock", "Left out"),
    ],
)
def test_a_shelf_that_says_little_gets_a_plain_page_and_no_invented_figure(
    client, studio, keeper, paints, expected, unexpected
):
    shelve(studio, keeper, paints)
    client.force_login(keeper)
    text = words(page(client, studio, "wheel"))
    assert expected in text
    assert unexpected not in text
    for name in PAGES:
        page(client, studio, name)


def test_five_hundred_unknown_tubes_are_one_line(client, studio, keeper):
    shelve(studio, keeper, [("Label gone", "")], count=500)
    shelve(studio, keeper, [(f"Unknown {number}", "") for number in range(30)])
    client.force_login(keeper)
    html = page(client, studio, "wheel")
    assert "31: The pigments of this paint are not known" in words(html)
    assert html.count("<summary>") == 1


@pytest.mark.parametrize("name", PAGES)
def test_the_queries_do_not_grow_with_the_shelf(client, studio, keeper, name, django_assert_max_num_queries):
    client.force_login(keeper)
    shelve(studio, keeper, FOUR)
    # Session, user, membership, curves, paints, their pigments, what is left of which is unusable, places, people with
    # tubes; for the next tube also its rows, the pigments on the shelf, the groups, the offers, and the curves of what
    # the paints may be.
    most = 15
    with django_assert_max_num_queries(most):
        page(client, studio, name)
    shelve(
        studio, keeper, [("Phthalo Green", "PG7"), ("Ochre", "PY43"), ("Bone Black", "PBk9"), ("Iron Brown", "PBr7")]
    )
    with django_assert_max_num_queries(most):
        page(client, studio, name)


@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_does_not_learn_of_it_and_a_student_may_look(client, studio, stranger, student, name):
    url = reverse(f"inventory:{name}", args=[studio.slug])
    assert client.get(url).status_code == 302
    client.force_login(stranger)
    assert client.get(url).status_code == 404
    client.force_login(student)
    assert student.memberships.get().role == Role.STUDENT
    assert client.get(url).status_code == 200
    assert client.post(url).status_code == 405


@pytest.mark.parametrize("query", ["?binder=acrylic", "?binder=none", "?level=55", "?level=x"])
def test_a_binder_or_level_that_is_not_there_is_not_found(client, studio, keeper, query):
    shelve(studio, keeper, FOUR)
    client.force_login(keeper)
    assert client.get(reverse("inventory:wheel", args=[studio.slug]) + query).status_code == 404


def test_two_studios_with_the_same_shelf_see_their_own_paints(studio, other_studio, keeper, stranger):
    mine, theirs = shelve(studio, keeper, FOUR), shelve(other_studio, stranger, FOUR)
    assert {share.paint.pk for share in wheel(studio).shares} == {paint.pk for paint in mine}
    assert {share.paint.pk for share in wheel(other_studio).shares} == {paint.pk for paint in theirs}


def test_hazards_are_told_as_the_pigment_row_has_them():
    """PR108 holds cadmium by its chemistry (a sulphoselenide); a row without metals is not called harmless."""
    cadmium = hazard_words(Pigment.objects.get(ci_name="PR108"))
    assert cadmium.startswith("Contains cadmium")
    assert cadmium.endswith("read the maker's sheet.")
    silent = hazard_words(Pigment.objects.get(ci_name="PR122"))
    assert "does not make it harmless" in silent
    listed = {metal for pigment in Pigment.objects.all() for metal in pigment.metal_list}
    assert listed <= set(METAL_WORDS)


def test_unknown_lightfastness_stays_unknown(studio, keeper):
    shelve(studio, keeper, FOUR)
    Pigment.objects.filter(ci_name="PG7").update(lightfastness_astm="", opacity_typical="")
    green = next(one for one in next_tubes(studio).candidates if one.pigment.ci_name == "PG7")
    assert (green.lightfastness, green.opacity) == ("not known here", "not known here")


def test_ties_are_shown_as_ties(client, studio, keeper):
    shelve(studio, keeper, FOUR)
    ranked = next_tubes(studio)
    tied = [one for one in ranked.others if one.tied]
    assert tied
    client.force_login(keeper)
    assert f"{tied[0].rank}, a tie" in words(page(client, studio, "wheel_next"))


def test_the_first_page_names_one_gap_and_what_closes_it(studio, keeper, django_assert_max_num_queries):
    assert list(wheel_gaps(studio)) == []
    shelve(studio, keeper, FOUR)
    with django_assert_max_num_queries(3):
        found = list(wheel_gaps(studio))
    assert len(found) == 1
    assert found[0].action == "See which tube closes it"
    assert found[0].url == f"/s/{studio.slug}/wheel/next/?binder=oil"
    assert "by the curves of the oil paints" in found[0].sentence


def test_many_paints_not_worked_yet_do_not_hold_up_the_first_page(studio, keeper):
    codes = list(Pigment.objects.filter(optical_rows__isnull=False).distinct()[: QUICK_PAINTS + 6])
    shelve(studio, keeper, [(f"{row.names[0] if row.names else row} {row}", row.ci_name) for row in codes])
    assert list(wheel_gaps(studio)) == []
    wheel(studio)
    assert len(list(wheel_gaps(studio))) == 1


def test_a_result_is_worked_once_and_the_oldest_is_forgotten():
    memory: remembered.Remembered[bytes] = remembered.Remembered(2)
    worked = []

    def work(name):
        def steps():
            worked.append(name)
            yield 0.5
            return name

        return steps

    for name in (b"a", b"a", b"b", b"c", b"a"):
        assert memory.of(name, work(name)) == name
    assert worked == [b"a", b"b", b"c", b"a"]
    assert memory.has(b"c")
    assert not memory.has(b"b")


def test_a_failure_is_not_remembered():
    memory: remembered.Remembered[int] = remembered.Remembered(2)

    def divided(by):
        yield 0.5
        return 1 // by

    with pytest.raises(ZeroDivisionError):
        memory.of(b"a", lambda: divided(0))
    assert memory.of(b"a", lambda: divided(1)) == 1


def test_work_stops_when_patience_ends_and_goes_on_from_there():
    memory: remembered.Remembered[int] = remembered.Remembered(2)
    begun = []

    def work():
        begun.append(1)
        for step in range(3):
            yield (step + 1) / 4
        return 7

    seen = []
    for _ in range(3):
        with remembered.patience(-1.0), pytest.raises(remembered.StillWorking) as stopped:
            memory.of(b"a", work, "Three steps")
        seen.append(stopped.value.share)
    assert seen == [0.25, 0.5, 0.75]
    assert not memory.has(b"a")
    assert memory.of(b"a", work) == 7
    assert len(begun) == 1
