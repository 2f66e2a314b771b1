"""Palettes as a studio designs, saves and looks at them."""

from datetime import timedelta
from html import unescape
from io import BytesIO
from itertools import combinations

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory import restrictions
from inventory.colour.temperature import Tag
from inventory.models import Binder, Group, Offer, OpticalRow, Paint, Palette, Pigment, Supplier
from inventory.queries import remembered
from inventory.queries.palettes import paints_of, palettes_of
from inventory.queries.palettes.analysis import analysed
from inventory.queries.palettes.design import Asked, designed
from inventory.queries.palettes.tubes import laid_by_keys, laid_of
from inventory.restrictions import Restriction
from inventory.services.palettes import Line, change_palette, save_palette
from tests.inventory.test_wheel_page import shelve, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pigments")]

EIGHT = (
    ("Titanium White", "PW6"),
    ("Hansa Yellow Light", "PY3"),
    ("Cadmium Red Light", "PR108"),
    ("Quinacridone Magenta", "PR122"),
    ("Alizarin Crimson", "PR83"),
    ("Ultramarine", "PB29"),
    ("Phthalo Blue", "PB15:3"),
    ("Burnt Sienna", "PBr7"),
)
WARM_ONLY = ("Titanium White", "Hansa Yellow Light", "Cadmium Red Light", "Ultramarine")
PAGES = ("palette", "palette_temperature", "palette_neutrals", "palette_layers", "palette_chart")


@pytest.fixture(autouse=True)
def _nothing_remembered():
    remembered.forget_all()


class NoCadmiumForChildren:
    """A house's rule, as the paint-safety record would answer with it."""

    RULE = Restriction("No cadmium for children", "its pigment contains cadmium", "Ines Calder, 3 March 2026", True)

    def of_items(self, studio, group, items):
        if group is None or not group.children:
            return {}
        return {item.pk: (self.RULE,) for item in items if "Cadmium" in item.name}

    def of_pigments(self, studio, group, pigments):
        return {}


@pytest.fixture
def children(studio):
    return Group.objects.create(studio=studio, name="Children of 7 to 12", children=True)


@pytest.fixture
def house_rules(monkeypatch):
    monkeypatch.setattr(restrictions, "_sources", [])
    restrictions.register(NoCadmiumForChildren())


@pytest.fixture
def stock(studio, keeper):
    return {paint.name: paint for paint in shelve(studio, keeper, EIGHT)}


@pytest.fixture
def priced(studio, stock):
    """Every paint at 10 EUR for 40 ml, the white at 8 EUR; and a magenta that is not on the shelf."""
    supplier = Supplier.objects.create(studio=studio, name="Northgate Supplies")
    today = timezone.localdate()
    for paint in stock.values():
        minor = 800 if paint.name == "Titanium White" else 1000
        _offer(supplier, today, item=paint, name=paint.name, price_minor=minor)
    _offer(
        supplier, today, name="Dioxazine Violet", pigment=Pigment.objects.get(ci_name="PV23"), price_minor=1200,
        binder=Binder.OIL,
    )  # fmt: skip
    return supplier


def _offer(supplier, today, **values):
    return Offer.objects.create(
        supplier=supplier,
        nominal_milli=40_000,
        unit="ml",
        currency="EUR",
        valid_from=today - timedelta(days=3),
        **values,
    )


def saved(studio, by, paints, name="Four", **more):
    lines = [Line(paint=paint) for paint in paints]
    return save_palette(studio, name=name, binder=paints[0].binder, lines=lines, by=by, **more)


def names(answer):
    return {one.tube.name for one in answer.analysis.added}


def get(client, name, *args, query=""):
    answer = client.get(reverse(f"inventory:{name}", args=args) + query)
    return answer, words(unescape(answer.content.decode()))


def test_the_choice_is_the_best_of_all(studio, stock):
    answer = designed(studio, Asked(size=4))
    assert answer.design.whole
    best = answer.analysis.percent
    others = [paint for paint in stock.values() if paint.name not in ("Titanium White", "Alizarin Crimson")]
    for some in list(combinations(others, 3))[::3]:
        assert _percent(studio, [stock["Titanium White"], *some]) <= best + 0.01
    assert answer.design.bound >= best
    assert f"Reaches {best:.1f} in 100" in answer.reach_words
    assert "none reaches more" in answer.reach_words


def _percent(studio, paints):
    return analysed(studio, laid_by_keys(studio, [str(paint.pk) for paint in paints], None), lacks=False).percent


def test_what_is_known_to_fade_is_kept_out_and_named(studio, stock):
    answer = designed(studio, Asked(size=5))
    assert "Alizarin Crimson" not in names(answer)
    assert [(one.words, one.names) for one in answer.out] == [("Known to fade", ("Alizarin Crimson",))]
    assert designed(studio, Asked(size=8, lasting=False)).design is not None


def test_a_house_rule_keeps_out_and_is_named(studio, stock, children, house_rules):
    answer = designed(studio, Asked(size=5, group=children))
    assert "Cadmium Red Light" not in names(answer)
    (rule,) = [one for one in answer.out if one.rule]
    assert rule.names == ("Cadmium Red Light",)
    assert "No cadmium for children" in rule.words
    adults = designed(studio, Asked(size=5))
    assert not [one for one in adults.out if one.rule]


def test_kinds_and_transparent_and_budget_are_kept(studio, priced):
    asked = Asked(size=5, tags=(Tag.WHITE, Tag.WARM_RED, Tag.COOL_RED), transparent=1, budget_minor=4800)
    answer = designed(studio, asked)
    tags = frozenset().union(*(one.tube.standing.tags for one in answer.analysis.added))
    assert set(asked.tags) <= tags
    assert any(one.tube.transparent for one in answer.analysis.added)
    assert answer.analysis.cost.packs_minor == 4800


def test_what_can_be_bought_is_let_in_and_its_price_told(studio, priced):
    answer = designed(studio, Asked(size=8, to_buy=True, people=10, a_head_milli=10_000))
    assert "Dioxazine violet" in names(answer)
    cost = answer.analysis.cost
    assert (cost.packs_minor, cost.to_buy_minor) == (800 + 6 * 1000 + 1200, 1200)
    # 10 ml of packs of 40 ml: a quarter of each.
    assert cost.a_head_minor == 2000
    assert "A head, with 10 ml of each tube: 20.00 EUR; for 10 people 200.00 EUR." in cost.sentences


def test_each_tube_adds_what_goes_without_it(studio, stock):
    answer = designed(studio, Asked(size=4))
    whole = answer.analysis.percent
    for one in answer.analysis.added:
        rest = [each.tube.paint for each in answer.analysis.added if each is not one]
        assert one.points == pytest.approx(whole - _percent(studio, rest), abs=0.02)


def test_a_palette_without_a_cool_red_says_that_it_cannot_reach_a_vivid_violet(studio, teacher, stock, client):
    """Common practice, no source: a warm red and ultramarine mix to a dull violet."""
    palette = saved(studio, teacher, [stock[name] for name in WARM_ONLY])
    client.force_login(teacher)
    _, text = get(client, "palette", studio.slug, palette.pk)
    assert "A palette without a cool red cannot reach a vivid" in text
    sentence = text.split("A palette without a cool red")[1].split(".")[0]
    assert "violet" in sentence
    full = saved(studio, teacher, [stock[name] for name in (*WARM_ONLY, "Quinacridone Magenta")], name="Five")
    _, text = get(client, "palette", studio.slug, full.pk)
    assert "without a cool red" not in text


@pytest.mark.parametrize(
    ("asked", "why", "relax"),
    [
        (Asked(size=9), "Nine tubes are asked for, and 8 paints in oil of known colour are in stock.", "Ask for seven"),
        (Asked(size=8), "Eight tubes are asked for, and the rules let in 7.", "Alizarin Crimson comes in"),
        (Asked(size=3, transparent=3), "keeps these rules together", "Ask for no transparent tubes"),
        (Asked(size=3, tags=(Tag.EARTH, Tag.DARK, Tag.WHITE, Tag.COOL_YELLOW)), "more kinds", "Ask for no earth"),
        (Asked(size=3, binder="acrylic"), "No paint in acrylic is in stock; there is oil.", ""),
    ],
)
def test_rules_that_exclude_everything_say_what_to_relax(studio, stock, asked, why, relax):
    answer = designed(studio, asked)
    assert answer.design is None
    assert why in answer.why
    assert relax in " ".join(one.words for one in answer.relax)


def test_relaxing_says_what_it_would_open(studio, stock):
    said = [one.words for one in designed(studio, Asked(size=8)).relax]
    opening = next(words for words in said if "Let in what is known to fade" in words)
    assert "everything let in then reaches" in opening


def test_a_house_rule_is_not_relaxed_here(studio, stock, children, house_rules):
    answer = designed(studio, Asked(size=7, group=children))
    said = " ".join(one.words for one in answer.relax)
    assert "“No cadmium for children” keeps out Cadmium Red Light. It is not for this page to relax" in said
    assert "Ines Calder" in said


def test_a_budget_below_the_cheapest_white_says_so(studio, priced):
    answer = designed(studio, Asked(size=3, budget_minor=700))
    assert answer.why == (
        "The budget of 7.00 EUR is below the cheapest white, Titanium White at 8.00 EUR. Raise it, or ask for no white."
    )
    too_small = designed(studio, Asked(size=3, budget_minor=2000))
    assert "the cheapest choice that keeps the other rules costs 28.00 EUR" in too_small.why


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("size=six", "Tubes: “six” is no whole number. Enter a whole number from 1 to 24, such as 6."),
        ("size=0", "Tubes: 0 is out of range."),
        ("size=40", "Tubes: 40 is out of range."),
        ("size=-2", "is no whole number"),
        ("people=0", "People: 0 is out of range."),
        ("budget=cheap", "Budget:"),
        ("budget=0", "Budget:"),
        ("a_head=lots", "Paint a head: “lots” is no amount in ml."),
        ("a_head=0", "is out of range"),
        ("kinds=mauve", "“mauve” is no kind of tube"),
        ("group=99999", "is no group of this studio"),
        ("binder=glue", "“glue” is no binder"),
    ],
)
def test_bad_input_names_field_value_and_remedy(client, student, studio, stock, query, said):
    client.force_login(student)
    answer, text = get(client, "palette_design", studio.slug, query=f"?{query}")
    assert answer.status_code == 200
    assert said in text
    assert "Not worked out" in text


def test_a_teacher_designs_saves_renames_and_takes_away(client, teacher, studio, stock):
    client.force_login(teacher)
    answer, text = get(client, "palette_design", studio.slug, query="?size=4&kinds=white&lasting=on&people=12")
    assert "Reaches" in text
    keys = answer.context["keys"]
    question = answer.context["question"]
    posted = client.post(
        reverse("inventory:palette_new", args=[studio.slug]),
        {"p": keys, "name": "Evening four", "group": "", "note": "", "question": question},
    )
    palette = Palette.objects.get()
    assert posted.url == reverse("inventory:palette", args=[studio.slug, palette.pk])
    assert len(paints_of(palette)) == 4
    assert palette.asked["question"] == question
    change = reverse("inventory:palette_change", args=[studio.slug, palette.pk])
    client.post(change, {"p": keys[:3], "name": "Evening three", "note": "without blue"})
    palette.refresh_from_db()
    assert (palette.name, len(paints_of(palette)), palette.note) == ("Evening three", 3, "without blue")
    client.post(reverse("inventory:palette_remove", args=[studio.slug, palette.pk]))
    assert not palettes_of(studio)
    assert palettes_of(studio, removed=True).get() == palette
    client.post(reverse("inventory:palette_bring_back", args=[studio.slug, palette.pk]))
    assert palettes_of(studio).get().tubes == 3


def test_a_palette_to_buy_keeps_which_colour_is_meant(studio, teacher, stock):
    row = OpticalRow.objects.get(name="cadmium red deep")
    lines = [Line(paint=stock["Titanium White"]), Line(row=row)]
    palette = save_palette(studio, name="Two", binder=Binder.OIL, lines=lines, by=teacher)
    assert [one.name for one in laid_of(palette).tubes] == ["Titanium White", "Cadmium red deep"]


def test_names_and_tubes_are_checked(client, teacher, studio, stock):
    client.force_login(teacher)
    saved(studio, teacher, list(stock.values())[:2])
    url = reverse("inventory:palette_new", args=[studio.slug])
    white = str(stock["Titanium White"].pk)
    for data, said in (
        ({"p": [white], "name": "Four"}, "Name: this studio already has a palette called “Four”. Give another name."),
        ({"p": [white, "999999"], "name": "New"}, "1 of the 2 chosen tubes is no longer here and left aside. Look"),
        ({"p": [white], "name": ""}, "A palette needs a name"),
        ({"p": [], "name": "New"}, "tick one"),
        ({"p": ["white"], "name": "New"}, "A tube is given by its number"),
    ):
        answer = client.post(url, data)
        assert answer.status_code == 422
        assert said in unescape(answer.content.decode())
    assert Palette.objects.count() == 1


def test_two_binders_are_refused_with_both_names(client, teacher, studio, keeper, stock):
    (acrylic,) = shelve(studio, keeper, (("Trolley White", "PW6"),), binder=Binder.ACRYLIC)
    client.force_login(teacher)
    keys = f"{stock['Ultramarine'].pk},{acrylic.pk}"
    _, text = get(client, "palette_new", studio.slug, query=f"?p={keys}")
    assert "a palette has one binder" in text
    assert "Trolley White is acrylic" in text or "Trolley White" in text
    with pytest.raises(ValidationError, match="a palette has one binder"):
        saved(studio, teacher, [stock["Ultramarine"], acrylic])


def test_a_paint_of_another_studio_is_refused(studio, other_studio, teacher, stock):
    palette = saved(studio, teacher, [stock["Ultramarine"]])
    strange = Paint.objects.create(studio=other_studio, name="Strange Blue", binder=Binder.OIL)
    with pytest.raises(ValidationError, match="not one of this studio’s paints"):
        change_palette(palette, name="Four", lines=[Line(paint=strange)])


def test_a_paint_put_away_meanwhile_is_named_and_the_chart_prints(client, teacher, studio, stock):
    palette = saved(studio, teacher, [stock[name] for name in WARM_ONLY])
    Paint.objects.filter(name="Ultramarine").update(archived_at=timezone.now())
    client.force_login(teacher)
    for name in PAGES:
        answer, text = get(client, name, studio.slug, palette.pk)
        assert answer.status_code == 200
        assert "Ultramarine was put away since this palette was saved; it is left out here" in text
    pdf = client.get(reverse("inventory:palette_chart_pdf", args=[studio.slug, palette.pk]))
    assert pdf.content.startswith(b"%PDF")


@pytest.mark.parametrize("name", PAGES)
def test_pages_of_a_palette_without_tubes_say_so(client, student, studio, name):
    palette = Palette.objects.create(studio=studio, name="Bare", binder=Binder.OIL)
    client.force_login(student)
    answer, text = get(client, name, studio.slug, palette.pk)
    assert answer.status_code == 200
    assert "No tube" in text
    pdf = client.get(reverse("inventory:palette_chart_pdf", args=[studio.slug, palette.pk]))
    assert pdf.status_code == 302


def test_the_chart_prints_on_both_papers_with_its_uncertainty(client, student, studio, teacher, stock):
    palette = saved(studio, teacher, [stock[name] for name in WARM_ONLY])
    client.force_login(student)
    for paper, width in (("A4", 595), ("Letter", 612)):
        url = reverse("inventory:palette_chart_pdf", args=[studio.slug, palette.pk]) + f"?paper={paper}"
        pdf = client.get(url)
        assert pdf["Content-Type"] == "application/pdf"
        assert f"/MediaBox [ 0 0 {width}".encode() in pdf.content
    assert client.get(url.replace("Letter", "A9")).status_code == 404
    answer, text = get(client, "palette_chart", studio.slug, palette.pk)
    chart = answer.context["chart"]
    # Three colours: three pairs, each at three ratios, alone and with white.
    assert [len(pair.squares) for pair in chart.pairs] == [6, 6, 6]
    assert all(one.within is not None and one.within >= 4 for pair in chart.pairs for one in pair.squares)
    assert "as a screen or a printer can show them" in text


def test_what_is_printed_says_how_sure_it_is_and_leaves_room_to_paint(client, student, studio, teacher, stock):
    palette = saved(studio, teacher, [stock[name] for name in WARM_ONLY])
    client.force_login(student)
    pdf = client.get(reverse("inventory:palette_chart_pdf", args=[studio.slug, palette.pk]))
    page = PdfReader(BytesIO(pdf.content)).pages[0]
    text = " ".join(page.extract_text().split())
    for said in ("Mixing chart: Four", "within which nine in ten", "judge by the squares that you paint"):
        assert said in text
    assert text.count("within ") >= 18
    # A computed square for each of 18 mixtures and 4 tubes, and a blank one beside each.
    drawn = page.get_contents().get_data()
    assert (drawn.count(b" re B*"), drawn.count(b" re S\n")) == (22, 22)


def test_the_value_string_is_told_with_its_width(client, student, studio, teacher, stock):
    palette = saved(studio, teacher, list(stock.values()))
    client.force_login(student)
    blue, sienna = stock["Ultramarine"].pk, stock["Burnt Sienna"].pk
    answer, text = get(
        client, "palette_temperature", studio.slug, palette.pk, query=f"?from={blue}&to={sienna}&value=5"
    )
    string = answer.context["string"]
    assert {round(step.seen.value, 2) for step in string.steps} == {5.0}
    assert "Likely within" in text
    for query, said in (
        (f"?from={blue}&to={blue}&value=5", "is chosen twice"),
        (f"?from={blue}&to={sienna}&value=mid", "is no whole number"),
        (f"?from={blue}&to={sienna}&value=12", "A value is 1 to 9"),
        (f"?from=77777&to={sienna}&value=5", "There is no tube"),
    ):
        _, text = get(client, "palette_temperature", studio.slug, palette.pk, query=query)
        assert said in text
    # A second white darkens nothing, though it has as little hue as a black.
    few = [stock[name] for name in ("Titanium White", "Alizarin Crimson", "Ultramarine", "Burnt Sienna")]
    two = saved(studio, teacher, [*few, *shelve(studio, teacher, [("Zinc White", "PW4")])], "Two whites")
    answer, _ = get(client, "palette_temperature", studio.slug, two.pk, query=f"?from={blue}&to={sienna}&value=5")
    assert answer.context["string"].dark == "Alizarin Crimson"


def test_layers_of_a_palette_over_a_dry_tube(client, student, studio, teacher, stock):
    palette = saved(studio, teacher, list(stock.values()))
    client.force_login(student)
    white = stock["Titanium White"].pk
    answer, text = get(client, "palette_layers", studio.slug, palette.pk, query=f"?over={white}")
    shown = answer.context["shown"]
    fit = {one.tube.name: one.fit for one in shown.rows}
    # Common practice, no source.
    assert fit["Titanium White"] == "hides"
    assert fit["Cadmium Red Light"] == "hides"
    assert fit["Alizarin Crimson"] == "fit for glazing"
    assert "Films over dry Titanium White" in text
    _, text = get(client, "palette_layers", studio.slug, palette.pk, query="?over=chalk")
    assert "'chalk' is neither black, white nor a tube of this palette" in text


@pytest.mark.parametrize("name", PAGES)
def test_a_page_costs_the_same_for_any_number_of_tubes(
    client, student, studio, teacher, stock, name, django_assert_max_num_queries
):
    palette = saved(studio, teacher, list(stock.values()))
    client.force_login(student)
    with django_assert_max_num_queries(20):
        get(client, name, studio.slug, palette.pk)


def test_a_student_reads_and_saves_nothing(client, student, studio, stock):
    client.force_login(student)
    answer = client.post(
        reverse("inventory:palette_new", args=[studio.slug]), {"p": [stock["Ultramarine"].pk], "name": "Mine"}
    )
    assert answer.status_code == 403
    assert not Palette.objects.exists()


def test_no_paint_in_stock_is_said(client, student, studio):
    client.force_login(student)
    _, text = get(client, "palettes", studio.slug)
    assert "No palette yet" in text
    _, text = get(client, "palette_design", studio.slug, query="?size=6")
    assert "there is nothing to choose from" in text
