"""Sets of paints on the wheel: which count, two side by side, one cell, one tube away, and the wheel as a file."""

from io import BytesIO

import numpy as np
import pytest
from django.http import QueryDict
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from inventory import services
from inventory.colour.coverage import percent
from inventory.colour.reach import reach
from inventory.colour.wheel import munsell_name
from inventory.models import Binder, OpticalRow, OwnerKind, Paint, Pigment, Place
from inventory.queries import remembered
from inventory.queries import wheel as queries
from inventory.queries.cells import cell_of
from inventory.queries.comparing import compared
from inventory.queries.mixable import bench
from inventory.queries.next_tube import next_tubes
from inventory.queries.paint_sets import Asked, Of, drawn, paint_set, set_options
from inventory.queries.pigment_words import METALS
from inventory.queries.replacing import replacement
from inventory.queries.wanted import Wanted, sifted
from tests.inventory.test_wheel_page import FOUR, page, shelve, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

FILES = ("wheel_svg", "wheel_png", "wheel_pdf")


@pytest.fixture(autouse=True)
def _nothing_remembered():
    remembered.forget_all()


def chosen(studio, paints, binder=None):
    return paint_set(studio, Asked(Of.CHOSEN, paints=tuple(paint.pk for paint in paints), binder=binder))


def names(found):
    return {paint.name for one in found.palettes for paint in one.paints.values()}


def get(client, studio, name, query=""):
    return client.get(reverse(f"inventory:{name}", args=[studio.slug]) + query)


class TestWhichPaints:
    def test_a_place_has_what_stands_there(self, studio, keeper, place):
        shelve(studio, keeper, FOUR)
        shelve(studio, keeper, [("Magenta", "PR122"), ("White of the shelf", "PW6")], place=place)
        found = paint_set(studio, Asked(Of.PLACE, place.pk))
        assert names(found) == {"Magenta", "White of the shelf"}
        assert found.words == "what stands at Oil shelf"

    def test_a_member_s_own_tubes_count_for_the_member_alone(self, studio, keeper, member):
        shelve(studio, keeper, FOUR)
        shelve(studio, keeper, [("Own Magenta", "PR122")], owner_kind=OwnerKind.MEMBER, owner=member)
        assert "Own Magenta" not in names(paint_set(studio, Asked()))
        assert names(paint_set(studio, Asked(Of.PERSON, member.pk))) == {"Own Magenta"}
        both = paint_set(studio, Asked(Of.WITH, member.pk))
        assert names(both) == {"Own Magenta", *(name for name, _ in FOUR)}
        assert both.words == "the studio's paints and member's own tubes"
        assert {option.value for option in set_options(studio)} >= {f"person-{member.pk}", f"with-{member.pk}"}

    def test_a_selection_holds_paints_that_are_not_in_stock(self, studio, keeper):
        made = shelve(studio, keeper, FOUR)
        services.finish(made[2].tubes.get(), by=keeper)
        assert names(paint_set(studio, Asked())) == {"Titanium White", "Hansa Yellow Light", "Ultramarine"}
        assert names(chosen(studio, made)) == {name for name, _ in FOUR}

    def test_a_selection_travels_in_an_address(self):
        asked = Asked(Of.CHOSEN, paints=(3, 4, 5, 9), binder="oil")
        assert asked.address() == "?set=chosen&p=3-5,9&binder=oil"
        assert Asked.read(QueryDict(asked.address()[1:])) == asked
        ticked = QueryDict("set=chosen&p=3&p=4&p=5&p=9&p=3&binder=oil")
        assert Asked.read(ticked) == asked
        assert Asked.read(QueryDict(Asked().address()[1:])) == Asked()

    @pytest.mark.parametrize(
        ("query", "message"),
        [
            ("set=shelf", "no set of paints 'shelf'"),
            ("set=place-", "no set of paints 'place-'"),
            ("set=chosen&p=a", "'a' is neither"),
            ("set=chosen&p=1-9999", "2000 paints at most"),
        ],
    )
    def test_an_address_that_means_nothing_is_refused(self, client, studio, keeper, query, message):
        with pytest.raises(ValueError, match=message):
            Asked.read(QueryDict(query))
        client.force_login(keeper)
        assert get(client, studio, "wheel", f"?{query}").status_code == 404

    def test_another_studio_s_place_person_and_paints_are_not_there(
        self, client, studio, keeper, other_studio, stranger
    ):
        theirs = shelve(other_studio, stranger, FOUR)
        place = Place.objects.create(studio=other_studio, name="Theirs")
        client.force_login(keeper)
        for query in (f"?set=place-{place.pk}", f"?set=person-{stranger.pk}", f"?set=with-{stranger.pk}"):
            assert get(client, studio, "wheel", query).status_code == 404
        found = chosen(studio, theirs)
        assert found.is_empty
        assert found.notes[0].startswith("4 of the 4 chosen paints are not among the studio's paints")

    def test_two_binders_in_one_selection_are_refused_with_the_reason(self, client, studio, keeper):
        made = [*shelve(studio, keeper, FOUR), *shelve(studio, keeper, [("Magenta", "PR122")], Binder.ACRYLIC)]
        found = chosen(studio, made)
        assert "4 in oil, 1 in acrylic" in found.refused
        client.force_login(keeper)
        for name in ("wheel", "wheel_table", "wheel_same_job", "wheel_next", "wheel_cell"):
            text = words(page(client, studio, name, found.asked.address()))
            assert "paints of different binders are not mixed" in text
            assert "Only oil, 4" in text
        only = found.of_binder(Binder.OIL)
        assert set(only.paints) == {paint.pk for paint in made[:4]}
        assert "Magenta" not in words(page(client, studio, "wheel", only.address()))

    def test_a_paint_that_was_put_away_meanwhile_is_said(self, client, studio, keeper):
        made = shelve(studio, keeper, FOUR)
        Paint.objects.filter(pk=made[0].pk).update(archived_at="2026-01-01T00:00Z")
        client.force_login(keeper)
        address = Asked(Of.CHOSEN, paints=tuple(paint.pk for paint in made)).address()
        text = words(page(client, studio, "wheel", address))
        assert "1 of the 4 chosen paints is not among the studio's paints" in text
        assert "There is no white in stock" in text

    @pytest.mark.parametrize("query", ["?set=chosen", "?set=chosen&p="])
    def test_an_empty_selection_has_a_way_on(self, client, studio, keeper, query):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        for name in ("wheel", "wheel_table", "wheel_same_job", "wheel_next", "wheel_cell"):
            assert "No paint is chosen" in words(page(client, studio, name, query))
        assert "It holds no paint" in words(page(client, studio, "wheel_compare", query))
        for name in FILES:
            assert get(client, studio, name, query).status_code == 302

    def test_five_hundred_chosen_paints_are_an_address_and_a_page(self, client, studio, keeper):
        rows = [Paint(studio=studio, name=f"Unknown {n}", binder=Binder.OIL, kind="paint") for n in range(500)]
        made = [paint for paint in rows if paint.save() is None]
        address = Asked(Of.CHOSEN, paints=tuple(paint.pk for paint in made)).address()
        assert len(address) < 60
        # As a browser sends ticked boxes; a request line may have 4094 signs.
        assert len("&".join(["set=chosen", *(f"p={paint.pk}" for paint in made)])) < 4000
        client.force_login(keeper)
        assert "Of the 500 paints here none has a known colour" in words(page(client, studio, "wheel", address))
        assert page(client, studio, "wheel_choose", address).count(" checked") == 500

    @pytest.mark.parametrize("name", ["wheel", "wheel_compare", "wheel_cell", "wheel_choose", "wheel_next"])
    def test_the_queries_do_not_grow(self, client, studio, keeper, place, name, django_assert_max_num_queries):
        client.force_login(keeper)
        made = shelve(studio, keeper, FOUR, place=place)
        query = Asked(Of.CHOSEN, paints=tuple(paint.pk for paint in made)).address()
        with django_assert_max_num_queries(16):
            page(client, studio, name, query)
        more = shelve(
            studio, keeper, [("Phthalo Green", "PG7"), ("Ochre", "PY43"), ("Bone Black", "PBk9")], place=place
        )
        query = Asked(Of.CHOSEN, paints=tuple(paint.pk for paint in [*made, *more])).address()
        with django_assert_max_num_queries(16):
            page(client, studio, name, query)


class TestTakeAway:
    def test_what_falls_away_is_what_the_others_do_not_reach(self, client, studio, keeper):
        made = shelve(studio, keeper, FOUR)
        found = queries.wheel(studio)
        blue = made[3]
        without = reach(found.reached.palette.without(blue.pk))
        place = found.reached.palette.index(blue.pk)
        np.testing.assert_allclose(found.reached.without[place], without.chroma, atol=1e-9)
        client.force_login(keeper)
        html = page(client, studio, "wheel", f"?without={blue.pk}")
        text = words(html)
        assert f"Without Ultramarine: {percent(without.chroma):.1f} in 100" in text
        assert "Put all back" in text
        assert 'data-fallen-shown d="M' in html
        assert 'data-fallen-shown d=""' in page(client, studio, "wheel")

    def test_a_paint_that_is_gone_is_said(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        text = words(page(client, studio, "wheel", "?without=999999"))
        assert "nothing was taken away" in text
        assert "Put all back" not in text


class TestCell:
    def test_parts_are_whole_and_make_the_colour(self, studio, keeper):
        shelve(studio, keeper, FOUR)
        answer = cell_of(queries.wheel(studio), 50, 40)
        assert answer.munsell == munsell_name(40, 50)
        assert answer.ways
        for way in answer.ways:
            assert way.total == sum(part.parts for part in way.parts)
            assert way.total <= 24
            assert ("Likely within" in way.sure) == (way.word in ("good", "about right", "direction only"))

    def test_the_page_never_calls_it_a_recipe(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        text = words(page(client, studio, "wheel_cell", "?level=50&hue=40"))
        assert "never an exact recipe" in text
        assert "Likely within" in text
        assert "No mixture that was tried reaches it" in words(page(client, studio, "wheel_cell", "?level=20&hue=100"))
        for query in ("?hue=45", "?hue=x", "?level=55&hue=40"):
            assert get(client, studio, "wheel_cell", query).status_code == 404

    def test_every_sector_of_drawing_and_table_leads_to_its_cell(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        for name in ("wheel", "wheel_table"):
            html = page(client, studio, name, "?level=40")
            assert html.count("/wheel/cell/?level=40&hue=") == 36

    def test_the_wheel_takes_the_same_draws_as_the_mixtures(self, studio, keeper):
        shelve(studio, keeper, [*FOUR, ("Leaf Green", "PG36 PY110")])
        one = queries.wheel(studio).chosen.palette
        at_hand = bench(studio).by_pk
        for pk, paint in zip(one.palette.ids, drawn(one), strict=True):
            assert np.array_equal(paint.k, at_hand[pk].sure.k)
            assert np.array_equal(paint.curve.k, one.curves[pk].k)

    @pytest.mark.parametrize(("angle", "L", "name"), [(28, 40, "5R 4/"), (90.5, 80, "5Y 8/"), (276, 30, "5PB 3/")])
    def test_the_middle_of_a_family_is_its_five(self, angle, L, name):
        """Munsell's five is the middle of a family; the borders are those of the renotation (see HUE_NAMES)."""
        assert munsell_name(angle, L) == name


class TestCompare:
    def test_a_magenta_is_what_one_set_has_and_the_other_has_not(self, client, studio, keeper):
        four = shelve(studio, keeper, FOUR)
        five = [*four, *shelve(studio, keeper, [("Quinacridone Magenta", "PR122")])]
        one, two = (queries.wheel_of(chosen(studio, paints)) for paints in (five, four))
        found = compared(one, two)
        assert found.points_second == 0.0
        assert found.points_first == pytest.approx(one.percent - two.percent, abs=0.3)
        assert "violet" in found.words[0]
        assert "nothing worth a word" in found.words[1]
        assert len(found.rows) == 30
        back = compared(two, one)
        assert (back.points_first, back.points_second) == (found.points_second, found.points_first)
        client.force_login(keeper)
        query = one.chosen.asked.address() + "&" + two.chosen.asked.address("other_")[1:]
        text = words(page(client, studio, "wheel_compare", query))
        assert found.words[0] in text
        assert "The first reaches farther in" in text

    def test_sets_of_different_binders_are_compared_but_not_mixed(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        shelve(studio, keeper, [("Phthalo Green", "PG7"), ("White", "PW6")], Binder.ACRYLIC)
        client.force_login(keeper)
        text = words(page(client, studio, "wheel_compare", "?binder=oil&other_binder=acrylic"))
        assert "First: the studio's paints in stock, oil" in text
        assert "Second: the studio's paints in stock, acrylic" in text


class TestNextTubeNarrowed:
    def test_marks_and_metals_leave_out_what_is_known_to_have_them_or_not_known(self, studio, keeper):
        shelve(studio, keeper, FOUR)
        wanted = Wanted(transparent=True, lasting=True, without=METALS["copper"])
        found = next_tubes(studio, wanted=wanted)
        assert found.candidates
        for one in found.candidates:
            assert one.pigment.opacity_typical == "transparent"
            assert one.lightfastness_mark in ("I", "II")
            assert "Cu" not in one.pigment.metal_list
        assert sum(found.refused.values()) + len(found.candidates) <= OpticalRow.objects.count()
        assert any("not known" in reason for reason in found.refused)
        assert any("copper" in reason for reason in found.refused)

    def test_every_metal_of_the_table_can_be_left_out(self):
        listed = {metal for pigment in Pigment.objects.all() for metal in pigment.metal_list}
        assert listed <= {symbol for symbols in METALS.values() for symbol in symbols}

    def test_the_page_says_what_was_left_out(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        text = words(page(client, studio, "wheel_next", "?lasting=on&without=lead&without=cadmium"))
        assert "lightfastness not known" in text
        assert text.count("does not make it harmless") == 1
        assert get(client, studio, "wheel_next", "?without=gold").status_code == 404
        assert get(client, studio, "wheel_next", "?instead=x").status_code == 404

    def test_a_pigment_that_fades_in_water_alone_is_lasting_in_oil(self, studio, keeper):
        """PR122: I in oil and acrylic, III in watercolour (common practice, after ASTM D4302, D5098 and D5067)."""
        magenta = Pigment.objects.get(ci_name="PR122")
        lasting = Wanted(lasting=True)
        assert [lasting.refusal(magenta, binder) for binder in ("oil", "acrylic")] == ["", ""]
        assert lasting.refusal(magenta, "watercolour") == lasting.refusal(magenta, "gouache") == "less lasting"
        shelve(studio, keeper, FOUR)
        (offered, *_) = [one for one in next_tubes(studio, wanted=lasting).candidates if one.pigment == magenta]
        assert offered.lightfastness.startswith("I on the ASTM scale")

    def test_cadmium_red_gives_way_to_a_red_without_metal_and_the_difference_is_said(self, studio, keeper):
        """Common practice, no source: pyrrole and naphthol reds stand in for cadmium red, clearer and stronger."""
        made = shelve(studio, keeper, FOUR)
        found = queries.wheel(studio)
        rows = list(OpticalRow.objects.select_related("pigment"))
        answer = replacement(found, made[2].pk, sifted(studio, "oil", Wanted(without=METALS["cadmium"]), rows))
        place = found.reached.palette.index(made[2].pk)
        assert answer.loss == pytest.approx(percent(found.reached.chroma) - percent(found.reached.without[place]))
        assert {one.row.pigment.hue_family for one in answer.substitutes} <= {"red", "orange"}
        assert all("Cd" not in one.row.pigment.metal_list for one in answer.substitutes)
        for one in answer.substitutes:
            assert "Cadmium Red Light" in one.opacity
            assert "in 100" in one.strength
            assert "points" in one.mixing

    def test_a_white_gives_way_to_another_white_by_how_much_it_lightens(self, studio, keeper):
        """Common practice, no source: zinc white lightens less than titanium white."""
        made = shelve(studio, keeper, FOUR)
        rows = list(OpticalRow.objects.select_related("pigment"))
        answer = replacement(queries.wheel(studio), made[0].pk, sifted(studio, "oil", Wanted(), rows))
        zinc = next(one for one in answer.substitutes if one.row.pigment.ci_name == "PW4")
        share = int(zinc.strength.split("about ")[1].split()[0])
        assert 10 <= share < 100

    def test_a_paint_that_is_gone_cannot_be_replaced_and_that_is_said(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        assert "The paint to replace is not among" in words(page(client, studio, "wheel_next", "?instead=999999"))


class TestFiles:
    def test_each_file_is_what_it_says(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        svg, png, pdf = (get(client, studio, name, "?level=60") for name in FILES)
        assert svg["Content-Type"] == "image/svg+xml"
        assert svg["Content-Disposition"] == 'attachment; filename="wheel-oil-l60.svg"'
        for name, _ in FOUR:
            assert name in svg.content.decode()
        picture = Image.open(BytesIO(png.content))
        assert picture.format == "PNG"
        assert picture.width >= 2000
        text = " ".join(PdfReader(BytesIO(pdf.content)).pages[0].extract_text().split())
        assert "Wheel of the oil paints at value L* 60, middle" in text
        assert "The studio's paints in stock, oil" in text
        assert "a direction, not a promise" in text

    def test_without_colour_every_dot_is_grey(self, client, studio, keeper):
        shelve(studio, keeper, FOUR)
        client.force_login(keeper)
        picture = Image.open(BytesIO(get(client, studio, "wheel_png", "?ink=black").content))
        dots = np.asarray(picture.convert("RGB")).reshape(-1, 3).astype(int)
        assert (np.ptp(dots, axis=1) == 0).all()
        coloured = Image.open(BytesIO(get(client, studio, "wheel_png").content))
        assert np.ptp(np.asarray(coloured.convert("RGB")).astype(int), axis=2).max() > 50

    def test_a_name_cannot_break_out_of_the_drawing(self, client, studio, keeper):
        shelve(studio, keeper, [*FOUR, ("<script>alert(1)</script> & Co", "PG7")])
        client.force_login(keeper)
        svg = get(client, studio, "wheel_svg").content.decode()
        assert "<script" not in svg
        assert "&lt;script&gt;" in svg


def test_a_long_work_is_shown_and_found_again(client, studio, keeper, monkeypatch):
    shelve(studio, keeper, FOUR)
    client.force_login(keeper)
    monkeypatch.setattr("inventory.views.wheel.PATIENCE", -1.0)
    first = page(client, studio, "wheel_next")
    assert "You may leave this page" in words(first)
    assert "<progress" in first
    by_script = client.get(reverse("inventory:wheel_next", args=[studio.slug]), headers={"HX-Request": "true"})
    assert b"<html" not in by_script.content
    monkeypatch.setattr("inventory.views.wheel.PATIENCE", 60.0)
    last = client.get(reverse("inventory:wheel_next", args=[studio.slug]), headers={"HX-Request": "true"})
    assert last["HX-Redirect"] == reverse("inventory:wheel_next", args=[studio.slug])
    assert "points more" in words(page(client, studio, "wheel_next"))
