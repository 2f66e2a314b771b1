"""Mixtures, ways to a colour, layers, strength and the evidence, as a studio sees them."""

import re
from html import unescape
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from inventory import services
from inventory.colour.appearance import difference
from inventory.colour.certainty import Word
from inventory.colour.mixing import mixture_lab
from inventory.measuring.viewing import Illuminant, Observer
from inventory.models import Binder, LightfastnessScale, Opacity, Paint, PaintPigment, Pigment, PigmentsKnown, Swatch
from inventory.queries import evidence as checks
from inventory.queries.layers import coverings, layered
from inventory.queries.mix import TINTS, mix
from inventory.queries.mixable import bench
from inventory.queries.seek import read_wanted, ways_to
from inventory.queries.strength import strengths
from inventory.services.colours import Beside, add_colour, work_through
from inventory.services.swatches import refresh_swatches

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

SHELF = (
    ("Titanium White", "PW6"),
    ("Hansa Yellow Light", "PY3"),
    ("Cadmium Red Light", "PR108"),
    ("Ultramarine Blue", "PB29"),
    ("Phthalo Blue (green shade)", "PB15:3"),
    ("Bone Black", "PBk9"),
)
PAGES = ("mix", "seek", "layers", "strength")


def shelve(studio, by, paints=SHELF, binder=Binder.OIL, **fields):
    made = {}
    for name, codes in paints:
        known = PigmentsKnown.SETTLED if codes else PigmentsKnown.UNKNOWN
        paint = Paint.objects.create(studio=studio, name=name, binder=binder, pigments_known=known, **fields)
        for position, code in enumerate(codes.split()):
            pigment = Pigment.objects.get(ci_name=code)
            PaintPigment.objects.create(paint=paint, position=position, code=code, pigment=pigment)
        services.receive(studio, paint, nominal_milli=37_000, unit="ml", by=by)
        made[name] = paint
    refresh_swatches(made.values())
    return made


@pytest.fixture
def shelf(studio, keeper):
    return shelve(studio, keeper)


def measured(paint, keeper, lab, kind=Swatch.MASSTONE):
    add_colour(
        paint, by=keeper, text=lab, notation="", illuminant="D65", observer="10",
        beside=Beside(kind=kind, white=None, film_white="", note="", confirmed=[], exchange=False),
    )  # fmt: skip
    work_through(paint.studio)


def page(client, studio, name, **query):
    answer = client.get(reverse(f"inventory:{name}", args=[studio.slug]), query)
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def words(html):
    return " ".join(re.sub(r"<[^>]+>", " ", html.split("<main")[1].split("</main>")[0]).split())


class TestMix:
    def test_the_mixture_is_that_of_the_colour_engine_with_every_figure(self, client, studio, keeper, shelf):
        blue, white = shelf["Ultramarine Blue"], shelf["Titanium White"]
        at = bench(studio)
        made = mix(at, [(blue.pk, 1.0), (white.pk, 9.0)])
        ones = [at.by_pk[blue.pk], at.by_pk[white.pk]]
        expected = mixture_lab([one.curve.k for one in ones], [one.curve.s for one in ones], [1.0, 9.0])
        assert made.told.seen.lab == pytest.approx(tuple(expected))
        assert made.told.within >= 4.0
        assert made.told.word in (Word.GOOD, Word.ABOUT_RIGHT, Word.DIRECTION_ONLY)
        assert [tint.white_parts for tint in made.tints] == list(TINTS)
        client.force_login(keeper)
        html = page(client, studio, "mix", paint_1=blue.pk, parts_1=1, paint_2=white.pk, parts_2="9")
        said = words(html)
        assert f"Lightness L* {made.told.seen.L:.1f}" in said
        assert f"Munsell value {made.told.seen.value:.1f}" in said
        assert made.told.text in said
        assert "Ultramarine Blue is typical of its code, from memory" in said
        assert "never an exact recipe" in said
        assert f'fill="{made.told.seen.hex}"' in html

    def test_watercolours_without_white_are_a_direction_only(self, client, studio, keeper):
        """Washes solved without any white mix were 8 to 10 off on average, too far for a figure."""
        made = shelve(studio, keeper, [paint for paint in SHELF if paint[1] != "PW6"], Binder.WATERCOLOUR)
        white = shelve(studio, keeper, [("Chinese White", "PW4")], Binder.WATERCOLOUR)["Chinese White"]
        at = bench(studio)
        blue, yellow = made["Ultramarine Blue"].pk, made["Hansa Yellow Light"].pk
        wash = mix(at, [(blue, 1.0), (yellow, 1.0)])
        assert (wash.told.within, wash.told.word) == (None, Word.DIRECTION_ONLY)
        assert "lets the paper show" in wash.told.text
        assert all(tint.told.within is not None for tint in wash.tints)
        assert mix(at, [(blue, 1.0), (white.pk, 1.0)]).told.within is not None
        ways = ways_to(at, Binder.WATERCOLOUR, read_wanted("30, 10, -20", "", "D65", "10")).ways
        assert all((way.told.within is None) == (white.pk not in [one.one.pk for one in way.ingredients])
                   for way in ways)  # fmt: skip
        client.force_login(keeper)
        assert "Watercolours stand here as coats that hide." in words(page(client, studio, "wheel"))
        assert "Watercolours stand here" not in words(page(client, studio, "wheel_cell", hue=40, level=50))

    def test_a_strong_blue_needs_less_than_ultramarine_in_a_tint(self, studio, keeper, shelf):
        """Common practice, no source: phthalo blue colours white far more than ultramarine does."""
        at = bench(studio)
        white = shelf["Titanium White"].pk
        tints = [mix(at, [(shelf[name].pk, 1.0), (white, 19.0)]) for name in
                 ("Phthalo Blue (green shade)", "Ultramarine Blue")]  # fmt: skip
        assert tints[0].told.seen.C > tints[1].told.seen.C

    @pytest.mark.parametrize(
        ("query", "message"),
        [
            ({"paint_1": ""}, "Choose two to four paints of one binder; none is chosen."),
            ({"paint_1": "blue"}, "Ultramarine Blue alone is no mixture: choose a second paint, or a white."),
            ({f"paint_{n}": name for n, name in enumerate(("blue", "white", "red", "black", "yellow"), 1)},
             "5 paints are chosen, and a mixture here has at most 4. Leave out 1."),
            ({"paint_1": "blue", "paint_2": "blue"}, "Ultramarine Blue is chosen twice: give all its parts in one"),
            ({"paint_1": "blue", "paint_2": "acrylic"},
             "Ultramarine Blue is oil and Studio Magenta is acrylic; paints of different binders are never mixed"),
            ({"paint_1": "blue", "parts_1": "-1", "paint_2": "white"},
             "Parts of paint 1: “-1” is out of range. Enter 0 to 1000, such as 2 or 0.5."),
            ({"paint_1": "blue", "paint_2": "white", "parts_2": "NaN"}, "Parts of paint 2: “NaN” is no number of"),
            ({"paint_1": "blue", "paint_2": "white", "parts_2": "some"}, "“some” is no number of parts."),
            ({"paint_1": "blue", "paint_2": "white", "parts_2": "1e9"}, "“1e9” is out of range."),
            ({"paint_1": "blue", "parts_1": "0", "paint_2": "white", "parts_2": "0"},
             "All parts are 0: give at least one paint a part above 0."),
            ({"paint_1": "blue", "paint_2": "99999999"},
             "Paint 99999999 is not among the studio's paints (put away, or never here): choose another."),
            ({"paint_1": "blue", "paint_2": "archived"}, "is not among the studio's paints (put away, or never here)"),
            ({"paint_1": "blue", "paint_2": "stranger"}, "is not among the studio's paints (put away, or never here)"),
            ({"paint_1": "blue", "paint_2": "12; drop"}, "Paint 2: “12; drop” is no paint. Choose one of the list."),
            ({"paint_1": "blue", "paint_2": "9" * 40}, "is no paint. Choose one of the list."),
        ],
    )  # fmt: skip
    def test_what_cannot_be_mixed_is_said(self, client, studio, other_studio, keeper, stranger, shelf, query, message):
        others = shelve(other_studio, stranger, [("Their Blue", "PB29")])
        acrylic = shelve(studio, keeper, [("Studio Magenta", "PR122")], Binder.ACRYLIC)
        gone = shelve(studio, keeper, [("Gone Green", "PG7")])["Gone Green"]
        gone.archived_at = timezone.now()
        gone.save()
        named = {
            "blue": shelf["Ultramarine Blue"], "white": shelf["Titanium White"], "red": shelf["Cadmium Red Light"],
            "black": shelf["Bone Black"], "yellow": shelf["Hansa Yellow Light"], "archived": gone,
            "acrylic": acrylic["Studio Magenta"], "stranger": others["Their Blue"],
        }  # fmt: skip
        client.force_login(keeper)
        asked = {key: named[value].pk if value in named else value for key, value in query.items()}
        html = page(client, studio, "mix", **asked)
        assert words(html).count(message) == 1
        assert "Not worked out" in html
        # The script gets the same words.
        part = client.get(reverse("inventory:mix", args=[studio.slug]), asked, headers={"X-Part": "answer"})
        assert message in unescape(part.content.decode())
        assert "<main" not in part.content.decode()

    def test_a_masstone_without_a_code_gets_no_figure(self, client, studio, keeper, shelf):
        """Its masstone may be any of many strengths, so its mixtures are not told."""
        lone = shelve(studio, keeper, [("Label gone", "")])["Label gone"]
        measured(lone, keeper, "40, 30, 20")
        made = mix(bench(studio), [(lone.pk, 1.0), (shelf["Titanium White"].pk, 1.0)])
        assert (made.told.seen, made.told.within, made.tints) == (None, None, ())
        client.force_login(keeper)
        html = page(client, studio, "mix", paint_1=lone.pk, paint_2=shelf["Titanium White"].pk)
        said = words(html)
        assert "No figure can be given of this mixture or its tints." in said
        assert "known only alone" in said
        assert "Lightness" not in said

    def test_measured_tints_narrow_the_doubt_and_foretell_another_tint(self, studio, keeper, shelf):
        """Masstone, 1:9 and 1:1 tint of an acrylic ultramarine, computed from the curves of Okumura (2005)."""
        blue, white = shelf["Ultramarine Blue"], shelf["Titanium White"]
        before = mix(bench(studio), [(blue.pk, 1.0), (white.pk, 1.0)])
        measured(blue, keeper, "23.37, 10.03, -22.22")
        measured(blue, keeper, "79.61, -3.30, -23.83", Swatch.TINT_1_9)
        after = mix(bench(studio), [(blue.pk, 1.0), (white.pk, 1.0)])
        assert after.told.within < before.told.within
        assert difference(after.told.seen.lab, (59.99, 3.15, -44.49)) <= after.told.within
        assert "Ultramarine Blue is worked out from its own masstone and tints" in after.why
        mixed = mix(bench(studio), [(blue.pk, 1.0), (shelf["Hansa Yellow Light"].pk, 1.0)])
        assert "Most of the doubt is about Hansa Yellow Light: a measured tint of it would help most." in mixed.why

    def test_what_is_finished_may_be_mixed_in_thought_and_is_said(self, client, studio, keeper, shelf):
        red = shelf["Cadmium Red Light"]
        services.finish(red.tubes.get(), by=keeper)
        client.force_login(keeper)
        said = words(page(client, studio, "mix", paint_1=red.pk, paint_2=shelf["Titanium White"].pk))
        assert "Nothing usable of Cadmium Red Light is in stock." in said

    def test_a_binder_that_is_not_there_is_no_page(self, client, studio, keeper, shelf):
        client.force_login(keeper)
        url = reverse("inventory:mix", args=[studio.slug])
        assert client.get(url, {"binder": "honey"}).status_code == 404


class TestSeek:
    def test_a_mixture_of_the_shelf_is_found_again(self, studio, shelf):
        """The wanted colour is one that these paints make, so a way must come as near as whole parts allow."""
        at = bench(studio)
        made = mix(at, [(shelf["Hansa Yellow Light"].pk, 3.0), (shelf["Phthalo Blue (green shade)"].pk, 1.0)])
        L, a, b = made.told.seen.lab
        found = ways_to(at, "oil", read_wanted(f"{L:.3f}, {a:.3f}, {b:.3f}", "", "D65", "10"))
        assert min(way.difference for way in found.ways) < 0.5
        assert found.short == ""
        counts = [len(way.ingredients) for way in found.ways]
        assert counts == sorted(counts)

    def test_what_no_way_reaches_is_said_with_both_chromas(self, client, studio, keeper, shelf):
        client.force_login(keeper)
        said = words(page(client, studio, "seek", text="5RP 5/20"))
        found = re.search(r"The wanted \S+ has chroma (\d+); the nearest way reaches (\d+)\.", said)
        assert found
        assert int(found[1]) > int(found[2]) + 2
        assert "No way from these paints comes within 3 of it (CIEDE2000)." in said

    def test_lightfastness_and_metals_of_the_weakest_stand_beside_each_way(self, studio, keeper, shelf):
        red = shelf["Cadmium Red Light"]
        red.lightfastness, red.lightfastness_scale = "III", LightfastnessScale.ASTM
        red.save()
        at = bench(studio)
        seen = at.by_pk[red.pk].seen
        found = ways_to(at, "oil", read_wanted(", ".join(f"{value:.2f}" for value in seen.lab), "", "D65", "10"))
        way = next(way for way in found.ways if [one.paint for one in way.ingredients] == [red])
        assert way.lasting == "ASTM III: the weakest ingredient decides."
        assert way.metals == "Contains cadmium and selenium; read the makers' sheets."

    def test_a_screen_colour_is_rough_and_says_so(self, client, studio, keeper, shelf):
        client.force_login(keeper)
        html = page(client, studio, "seek", text="#3366cc")
        assert '<span class="tag">rough</span>' in html
        assert "it is rough" in words(html)

    @pytest.mark.parametrize(
        ("query", "message"),
        [
            ({"text": ""}, "No colour is given: enter one, such as 7.5PB 3/10."),
            ({"text": "#DB000"}, "“#DB000” has 5 digits"),
            ({"text": "13R 4/30"}, "“13R 4/30” has the hue step 13"),
            ({"text": "167, 0, 0", "illuminant": "D65", "observer": "10"}, "L* is 167, but lightness runs from 0"),
            ({"text": "50, 0, 0"}, "The illuminant is not stated"),
            ({"text": "50, nan, 0", "illuminant": "D65", "observer": "10"}, "which is no number"),
            ({"text": "50, 0, 0", "illuminant": "moon", "observer": "10"}, "Illuminant of L*, a*, b*: “moon”"),
            ({"text": "x" * 500}, "has 500 characters. Shorten it to 120."),
        ],
    )
    def test_what_is_no_colour_is_said(self, client, studio, keeper, shelf, query, message):
        client.force_login(keeper)
        html = page(client, studio, "seek", **query)
        assert message in words(html)
        assert "Not worked out" in html

    def test_nothing_to_mix_from(self, studio, keeper):
        shelve(studio, keeper, [("Label gone", "")])
        with pytest.raises(ValidationError, match="No oil paint of known colour is in stock"):
            ways_to(bench(studio), "oil", read_wanted("N 5"))


class TestLayers:
    def test_thin_films_show_the_ground_and_thick_ones_the_paint(self, studio, shelf):
        at = bench(studio)
        blue, yellow = shelf["Ultramarine Blue"], shelf["Hansa Yellow Light"]
        found = layered(at, paint=blue.pk, under="paint", ground=yellow.pk)
        ratios = [coat.ratio for coat in found.coats]
        assert ratios == sorted(ratios)
        first = abs(found.coats[0].over_ground.L - found.ground.seen.L)
        last = abs(found.coats[-1].over_ground.L - found.ground.seen.L)
        assert first < last

    def test_a_ground_of_any_colour_looks_as_stated(self, studio, shelf):
        found = layered(bench(studio), paint=shelf["Ultramarine Blue"].pk, under="colour", text="60, 20, 30",
                        illuminant=Illuminant.D65, observer=Observer.TEN)  # fmt: skip
        assert found.ground.seen.lab == pytest.approx((60.0, 20.0, 30.0), abs=0.3)
        assert "smoothest reflectance" in found.ground.note

    def test_titanium_white_hides_and_ultramarine_glazes(self, studio, shelf):
        """Common practice, no source."""
        found = coverings(bench(studio))
        assert "Titanium White" in [one.one.paint.name for one in found.hiding]
        assert "Ultramarine Blue" in [one.one.paint.name for one in found.glazing]

    def test_a_label_that_says_otherwise_is_doubted(self, client, studio, keeper, shelf):
        Paint.objects.filter(pk=shelf["Ultramarine Blue"].pk).update(opacity=Opacity.OPAQUE)
        client.force_login(keeper)
        said = words(page(client, studio, "layers", paint=shelf["Ultramarine Blue"].pk))
        assert "The label says opaque; by its curve a thin coat is" in said
        assert "units of the white's own scattering" in said

    @pytest.mark.parametrize(
        ("query", "message"),
        [
            ({"paint": ""}, "No paint is chosen: choose one of the list."),
            ({"paint": "77777777"}, "Paint 77777777 is not among the studio's paints: choose another."),
            ({"paint": "blue", "under": "paint"}, "No dry paint is chosen: choose one of the list."),
            ({"paint": "blue", "under": "paint", "ground": "77777777"}, "Paint 77777777 is not among the studio's"),
            ({"paint": "blue", "under": "colour"}, "No colour of the ground is given: enter one, such as 10YR 6/4."),
            ({"paint": "blue", "under": "colour", "text": "13R 4/30"}, "“13R 4/30” has the hue step 13"),
            ({"paint": "blue", "under": "sea"}, "Over: “sea”"),
            ({"paint": "gone"}, "Nothing can be said of films of Label gone"),
        ],
    )
    def test_what_cannot_be_laid_is_said(self, client, studio, keeper, shelf, query, message):
        gone = shelve(studio, keeper, [("Label gone", "")])["Label gone"]
        named = {"blue": shelf["Ultramarine Blue"].pk, "gone": gone.pk}
        client.force_login(keeper)
        html = page(client, studio, "layers", **{key: named.get(value, value) for key, value in query.items()})
        assert message in words(html)


class TestStrength:
    def test_phthalo_is_far_stronger_than_ultramarine(self, studio, shelf):
        """Common practice, no source."""
        found = strengths(bench(studio), "oil", shelf["Ultramarine Blue"].pk)
        by_name = {row.one.paint.name: row for row in found.rows}
        assert by_name["Ultramarine Blue"].percent == pytest.approx(100.0)
        assert by_name["Phthalo Blue (green shade)"].percent > 200.0
        assert "Titanium White" not in by_name
        numbers = [row.percent for row in found.rows]
        assert numbers == sorted(numbers, reverse=True)
        # What the curves do not tell apart is not said flatly.
        open_ = {row.one.paint.name for row in found.rows if row.between[0] < 100.0 < row.between[1]}
        assert {row.one.paint.name for row in found.rows if "not surely" in row.words} == open_
        assert set() < open_ < set(by_name)

    def test_makers_marks_stand_apart_with_their_scale(self, client, studio, keeper, shelf):
        Paint.objects.filter(pk=shelf["Ultramarine Blue"].pk).update(strength="3", strength_scale="of 5")
        client.force_login(keeper)
        assert "3 (of 5)" in words(page(client, studio, "strength"))

    @pytest.mark.parametrize("standard", ["77777777", "white", "oil"])
    def test_what_cannot_be_compared_with_is_said(self, client, studio, keeper, shelf, standard):
        client.force_login(keeper)
        asked = shelf["Titanium White"].pk if standard == "white" else standard
        said = words(page(client, studio, "strength", standard=asked))
        assert "cannot be compared with" in said or "is no paint. Choose one of the list." in said


@pytest.mark.parametrize("name", PAGES)
def test_an_empty_shelf_says_what_to_do(client, studio, keeper, name):
    client.force_login(keeper)
    assert "No paint is in stock" in words(page(client, studio, name))


@pytest.mark.parametrize("name", PAGES)
def test_a_page_costs_the_same_for_any_number_of_paints(
    client, studio, keeper, shelf, name, django_assert_max_num_queries
):
    client.force_login(keeper)
    blue, white = shelf["Ultramarine Blue"].pk, shelf["Titanium White"].pk
    query = {
        "mix": {"paint_1": blue, "paint_2": white}, "seek": {"text": "N 5"}, "layers": {"paint": blue}, "strength": {},
    }[name]  # fmt: skip
    url = reverse(f"inventory:{name}", args=[studio.slug])
    for _ in range(2):
        # Session, user, membership; typical curves with their pigments, paints, pigment lines; draws.
        with django_assert_max_num_queries(7):
            assert client.get(url, query).status_code == 200
        shelve(studio, keeper, [(f"Blue {n}", "PB29") for n in range(8)])


class TestEvidence:
    @pytest.fixture(autouse=True)
    def _nothing_remembered(self):
        checks.forget()
        yield
        checks.forget()

    def test_the_page_shows_how_far_it_is_and_then_every_figure(self, client, studio, keeper):
        client.force_login(keeper)
        url = reverse("inventory:evidence", args=[studio.slug])
        for _ in range(60):
            answer = client.get(url)
            assert answer.status_code == 200
            said = words(unescape(answer.content.decode()))
            if "% worked" not in said:
                break
            assert "How far predictions are off on the check sets" in said
        first = said[said.index("“Likely within” is meant to hold in nine of ten") :].split(".")[0]
        assert "of 10 of measured mixtures, each paint known alone and in white" in first
        assert "in the other check sets together it held in" in first
        assert "Facts of the trade" in said
        # Remembered: the reference rows are read, nothing is worked.
        assert words(unescape(client.get(url).content.decode())) == said

    def test_without_the_reference_tables_it_says_so(self, client, studio, keeper):
        from inventory.models import OpticalRow

        PaintPigment.objects.all().delete()
        OpticalRow.objects.all().delete()
        client.force_login(keeper)
        assert "The reference tables are not loaded" in words(page(client, studio, "evidence"))
        with pytest.raises(CommandError, match=r"run manage.py load_reference first"):
            call_command("colour_evidence", stdout=StringIO())

    def test_the_command_prints_and_writes(self, tmp_path):
        out = StringIO()
        html, pdf = tmp_path / "report.html", tmp_path / "report.pdf"
        call_command("colour_evidence", "--html", str(html), "--pdf", str(pdf), stdout=out)
        assert "measured mixtures, each paint known alone and in white\n  Count: 10; Mean: " in out.getvalue()
        assert "10 of 10 facts of the trade" in out.getvalue()
        assert html.read_text(encoding="utf-8").count("<svg") == 2
        assert pdf.read_bytes().startswith(b"%PDF")
        colours = {*re.findall("#[0-9a-f]{6}", html.read_text(encoding="utf-8"))}
        assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in colours)
        with pytest.raises(CommandError, match="cannot be written"):
            call_command("colour_evidence", "--pdf", str(tmp_path / "no" / "such"), stdout=StringIO())
