"""The pages about regimes, limits, labels and levels: what they say, who may write, what a bad input brings."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.models import Binder, MaterialKind
from safety import services
from safety.models import HouseRule, RuleKind
from safety.queries.facts import facts_of, in_stock
from safety.queries.levels import levels_of, placings
from safety.rules.levels import AIR, DUST_DOWN, GLOVES, KEEPER, NOT_KNOWN, OPEN_BENCH
from safety.services.levels import end_level_rule, set_level_rule

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(studio):
    return lambda name, *args: reverse(f"safety:{name}", args=[studio.slug, *args])


@pytest.fixture
def at(studio):
    """Give a function that moves the studio to another place."""

    def move(place):
        studio.jurisdiction = place
        studio.save(update_fields=["jurisdiction"])

    return move


def words(answer):
    return " ".join(answer.content.decode().replace("&#x27;", "'").split())


def in_order(page, *parts):
    places = [page.index(part) for part in parts]
    assert places == sorted(places), dict(zip(parts, places, strict=True))


# Regimes


def test_every_regime_is_named_with_source_and_confidence(client, student, address, reference):
    client.force_login(student)
    page = words(client.get(address("regime", "PR108")))
    assert "Excluded by name from 048-001-00-5" in page
    assert "Carc. 1B; Muta. 2; STOT RE 1; Repr. 2" in page
    assert "29 CFR 1910.1027: PEL 5 µg/m³, action level 2.5 µg/m³" in page
    assert "Safe Work Australia, Hazardous Chemical Information System, about 2022" in page
    for regime in ("CLP Annex VI", "REACH", "OSHA", "NTP", "Proposition 65", "IARC"):
        assert regime in page
    assert "Published" in page
    assert "Common practice" in page
    assert "Local regulations, licensed practice and the maker's safety data sheet come first." in page


def test_the_studio_s_own_place_comes_first(client, student, address, reference, at):
    client.force_login(student)
    for place, first, then in (
        ("EU", "EU: harmonised", "Australia: Hazardous"),
        ("Australia", "Australia: Hazardous", "EU: harmonised"),
        ("US (California)", "California: Proposition 65", "United States: OSHA"),
    ):
        at(place)
        page = words(client.get(address("regime", "PR108")))
        in_order(page, first, then)
        assert "This studio's place" in page
        assert f"What is held for {place} comes first." in page
    at("Great Britain")
    page = words(client.get(address("regime", "PW4")))
    assert "No list of Great Britain is held here, so no place comes first." in page
    assert "This studio's place" not in page


def test_a_regime_without_a_row_says_so(client, student, address, reference):
    client.force_login(student)
    page = words(client.get(address("regime", "PB29")))
    assert page.count("Nothing established here: that is not a finding of no hazard.") == 7


def test_a_code_that_is_not_in_the_table_is_not_known(client, student, address, reference):
    client.force_login(student)
    page = words(client.get(address("regime", "PY999")))
    assert "PY999 is not in the pigment table here." in page
    assert page.count("Nothing established here: that is not a finding of no hazard.") == 8
    assert client.get(address("regime", "nonsense")).status_code == 404
    assert "PB15:3 in every regime" in words(client.get(address("regime", "pb15:3")))


def test_an_unnamed_earth_is_asked(client, student, address, reference):
    client.force_login(student)
    page = words(client.get(address("regime", "PBr7")))
    assert "Which one is it?" in page
    assert "Contains manganese" not in page
    assert "Contains manganese" in words(client.get(address("regime", "PBr7") + "?earth=umber"))
    sienna = words(client.get(address("regime", "PBr7") + "?earth=sienna"))
    assert "Contains manganese" not in sienna
    assert "little manganese" in sienna


def test_the_safety_page_leads_there_with_the_earth_that_the_label_names(client, student, address, make_paint):
    client.force_login(student)
    umber = make_paint("Burnt Umber", "PBr7")
    page = words(client.get(address("item", umber.pk)))
    assert f'href="{address("regime", "PBr7")}?earth=umber"' in page
    assert "Burnt Umber" in words(client.get(address("regime", "PBr7")))


def test_pigments_are_found_by_code_number_and_name(client, student, address, reference):
    client.force_login(student)
    for typed, found in (
        ("PR108", "PR108"),
        ("1306-23-6", "PY37"),
        ("cadmium sulphide", "PY37"),
        ("vermilion", "PR106"),
        ("77266", "PBk7"),
        ("chrome green", "PG15"),
    ):
        assert f'href="{address("regime", found)}"' in words(client.get(address("regimes"), {"q": typed})), typed
    page = words(client.get(address("regimes"), {"q": "unobtainium"}))
    assert "Nothing found" in page
    assert "That is not a finding of no hazard" in page


def test_unasked_the_search_shows_the_studio_s_own_pigments(client, student, address, make_paint):
    client.force_login(student)
    assert "No paint names a pigment yet" in words(client.get(address("regimes")))
    make_paint("Cobalt Blue", "PB28")
    page = words(client.get(address("regimes")))
    assert f'href="{address("regime", "PB28")}"' in page
    assert f'href="{address("regime", "PR108")}"' not in page


# Limits


def test_limits_have_figure_unit_basis_and_citation(client, student, address, reference):
    """29 CFR 1910.1027(c) and (b), 1910.1025(c) and (b): 5 and 2.5, 50 and 30 micrograms a cubic metre."""
    client.force_login(student)
    page = words(client.get(address("limits"), {"q": "cadmium 1910.1027"}))
    assert "cadmium, PEL" in page
    assert '<span class="num">5</span>&nbsp;µg/m³' in page
    assert '<span class="num">2.5</span>&nbsp;µg/m³' in page
    assert "29 CFR 1910.1027(c)" in page
    assert "lead, PEL" not in page
    lead = words(client.get(address("limits"), {"q": "1910.1025"}))
    assert '<span class="num">50</span>&nbsp;µg/m³' in lead
    assert '<span class="num">30</span>&nbsp;µg/m³' in lead
    assert "cadmium, PEL" in words(client.get(address("limits"), {"q": "cadmium µg/m³"}))


def test_limits_of_the_studio_s_place_come_first(client, student, address, reference, at):
    client.force_login(student)
    for place, first in (("EU", ">EU<"), ("US", ">US (OSHA)<"), ("UK", ">UK<")):
        at(place)
        page = client.get(address("limits")).content.decode()
        heads = [part.partition("</h2>")[0][-30:] + "<" for part in page.split('<h2 id="limits-')[1:]]
        assert heads[0].endswith(first)
    page = words(client.get(address("limits"), {"q": "unobtainium"}))
    assert "That is not a finding that there is none" in page


# Reading a label


def test_codes_bring_signs_word_precautions_and_reasons(client, student, address, reference):
    client.force_login(student)
    fields = {"codes": "H301; H317; H400; H410; EUH208", "sensitisers": "BIT", "size": "37", "unit": "ml",
              "ingredients": "PY37 35 %; 2634-33-5 0,02"}  # fmt: skip
    page = words(client.get(address("label_check"), fields))
    assert 'src="/static/signs/ghs06.svg"' in page
    assert "ghs07.svg" not in page
    assert "GHS06 is shown (CLP Article 26(1)(b))" in page
    assert "H410 is shown (CLP Annex III part 1)" in page
    assert "GHS07 stays beside GHS06 for H317" in page
    assert "Contains BIT. May produce an allergic reaction." in page
    assert "37 ml is above 30 ml" in page
    assert "PY37 (cadmium sulphide)" not in page  # the subject is the heading
    assert "the limits count the metal alone" in page
    assert "0.02 % as entered is below that" in page
    assert "It classifies nothing and keeps nothing." in page


def test_bad_input_is_told_by_field_and_nothing_is_lost(client, student, address, reference):
    client.force_login(student)
    fields = {"codes": "H35O; H317", "size": "-2", "ingredients": "PY37 140; flour"}
    page = words(client.get(address("label_check"), fields))
    assert "“H35O” is not a known H, EUH or P code. Did you mean H350?" in page
    assert "-2 is too small. Enter 0.001 or more." in page
    assert "140 % of PY37 cannot be: enter a share above 0 and at most 100." in page
    assert "“flour” is not a pigment code or a CAS number" in page
    assert "H35O; H317</textarea>" in page
    assert "What these codes call for" not in page
    assert "nothing is entered. It is needed: fill it in." in words(client.get(address("label_check"), {"codes": ""}))


def test_long_input_is_answered_without_an_address(client, student, address, reference):
    """A server refuses a first line of some 4,000 characters."""
    client.force_login(student)
    url = address("label_check")
    short = client.post(url, {"codes": "H317"})
    assert short.status_code == 302
    assert "H317" in words(client.get(short.url))
    long = client.post(url, {"codes": "H317; " * 160, "ingredients": "PY37 35 %; " * 50})
    assert long.status_code == 200
    assert "What these codes call for" in words(long)


def test_what_is_typed_is_escaped(client, student, address, reference):
    client.force_login(student)
    page = client.get(address("label_check"), {"codes": "EUH208", "sensitisers": "<b>BIT</b>"}).content.decode()
    assert "Contains &lt;b&gt;BIT&lt;/b&gt;." in page


# Handling levels


@pytest.fixture
def shelf(make_paint, make_material, teacher):
    """Five things at five levels."""
    today = timezone.localdate()
    things = {
        "keeper": make_paint("Cadmium Yellow Medium", "PY37"),
        "unknown": make_paint("Ultramarine", "PB29"),
        "dust": make_material("Chalk White Powder", MaterialKind.DRY_PIGMENT),
        "air": make_material("Turpentine", MaterialKind.SOLVENT, cas="8006-64-2"),
        "bench": make_paint("Yellow Ochre", "PY43"),
    }
    for name in ("dust", "bench"):
        services.record_sheet(things[name], by=teacher, product=name, read_on=today, says_not_classified=True)
    return things


def test_levels_of_items_in_a_bounded_number_of_queries(studio, shelf, django_assert_max_num_queries):
    with django_assert_max_num_queries(9):
        found = levels_of(studio, list(shelf.values()))
    assert {name: found[item.pk] for name, item in shelf.items()} == {
        "keeper": KEEPER,
        "unknown": NOT_KNOWN,
        "dust": DUST_DOWN,
        "air": AIR,
        "bench": OPEN_BENCH,
    }
    assert levels_of(studio, []) == {}


def test_levels_cost_the_same_for_any_number(
    studio, many_paints, django_assert_num_queries, django_assert_max_num_queries
):
    paints = many_paints(6)
    held = list(in_stock(studio))
    known = facts_of(held)
    with django_assert_num_queries(1):
        placings(studio, held, known)
    with django_assert_max_num_queries(9):
        assert len(levels_of(studio, paints)) == 6


def test_another_studio_s_items_have_no_level_here(studio, other_studio, shelf):
    assert levels_of(other_studio, list(shelf.values())) == {}


def rule(studio, keeper, reach, values, level, **more):
    fields = {"on_whose_word": "the keepers' meeting", "set_on": timezone.localdate(), **more}
    return set_level_rule(studio, by=keeper, reach=reach, values=values, level=level, **fields)


def test_a_house_rule_changes_the_level_and_its_end_brings_the_table_back(studio, keeper, shelf):
    made = rule(studio, keeper, "code", "H304", KEEPER.word)
    assert levels_of(studio, [shelf["air"]]) == {shelf["air"].pk: KEEPER}
    ended = end_level_rule(made, by=keeper)
    assert levels_of(studio, [shelf["air"]]) == {shelf["air"].pk: AIR}
    assert (ended.kind, ended.ended_by) == (RuleKind.LEVEL, keeper)


def test_what_a_rule_goes_by(studio, keeper, shelf):
    for reach, values, thing, level in (
        ("metal", "cadmium", "keeper", KEEPER),  # its codes still call for the strictest
        ("pigment", "py43", "bench", GLOVES),
        ("form", ["oil paint"], "bench", GLOVES),
        ("form", ["solvent"], "air", AIR),  # H304 still counts
        ("pigment", "PB29", "unknown", NOT_KNOWN),
    ):
        made = rule(studio, keeper, reach, values, GLOVES.word)
        assert levels_of(studio, [shelf[thing]]) == {shelf[thing].pk: level}, (reach, values)
        end_level_rule(made, by=keeper)


def test_a_rule_for_one_item(studio, keeper, shelf):
    made = rule(studio, keeper, "item", [str(shelf["keeper"].pk)], GLOVES.word)
    assert made.text == "Cadmium Yellow Medium: gloves and no food."
    assert levels_of(studio, [shelf["keeper"]]) == {shelf["keeper"].pk: GLOVES}


def test_a_rule_for_the_same_takes_the_place_of_the_older(studio, keeper, reference):
    first = rule(studio, keeper, "code", "H317; H334", GLOVES.word)
    other = rule(studio, keeper, "code", "H317", GLOVES.word)
    second = rule(studio, keeper, "code", "H334; H317", KEEPER.word)
    assert second.replaces == first
    standing = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.LEVEL)
    assert set(standing) == {other, second}
    first.refresh_from_db()
    assert first.ended_by == keeper


def keeper_fields(**values):
    today = timezone.localdate().isoformat()
    return {"reach": "code", "values": "H317", "level": KEEPER.word, "on_whose_word": "the keepers", "set_on": today,
            **values}  # fmt: skip


def test_a_keeper_sets_and_ends_a_level(client, keeper, address, shelf):
    client.force_login(keeper)
    page = words(client.post(address("level_rule"), keeper_fields(), follow=True))
    assert "Set: A hazard statement, H317: keeper's hands only." in page
    made = HouseRule.objects.get(kind=RuleKind.LEVEL)
    assert made.values == ["H317"]
    page = words(client.post(address("level_end", made.pk), follow=True))
    assert "The table's own line counts again." in page
    assert "Rules that held before: 1" in page
    assert "This rule ended on" in words(client.post(address("level_end", made.pk), follow=True))


def test_what_is_wrong_is_told_at_its_field(client, keeper, address, reference):
    client.force_login(keeper)
    for fields, told in (
        ({"values": "H35O"}, "“H35O” is not a known H, EUH or P code."),
        ({"values": ""}, "Type at least one hazard statement"),
        ({"reach": "pigment", "values": "blue"}, "“blue” is not in the pigment table"),
        ({"reach": "metal", "values": "unobtainium"}, "“unobtainium” is not a metal that is followed here."),
        ({"reach": "form"}, "Tick at least one form."),
        ({"reach": "item"}, "Choose the paint or the material."),
        ({"reach": "item", "item": "999999"}, "That is not on this studio's list"),
        ({"level": "not known"}, "“not known” is none of the choices."),
        ({"on_whose_word": ""}, "nothing is entered. It is needed: fill it in."),
        ({"set_on": "2999-01-01"}, "2999-01-01 is in the future"),
        ({"set_on": "31.02.2026"}, "Write the date as 2026-03-31"),
    ):
        page = words(client.post(address("level_rule"), keeper_fields(**fields)))
        assert told in page, fields
        assert "Not saved" in page
    assert not HouseRule.objects.exists()


def test_not_known_cannot_be_set(studio, keeper):
    with pytest.raises(ValidationError, match="is found, never set"):
        rule(studio, keeper, "code", "H317", NOT_KNOWN.word)
    with pytest.raises(ValidationError, match="is not a level of the table"):
        rule(studio, keeper, "code", "H317", "2")


def test_who_may_change_levels(client, teacher, student, address, shelf, studio, keeper):
    made = rule(studio, keeper, "code", "H317", KEEPER.word)
    for person in (teacher, student):
        client.force_login(person)
        page = words(client.get(address("handling_levels")))
        assert "Set a level" not in page
        assert "A hazard statement, H317: keeper's hands only." in page
        assert client.post(address("level_rule"), keeper_fields()).status_code == 403
        assert client.post(address("level_end", made.pk)).status_code == 403


def test_a_rule_of_another_kind_is_not_ended_here(client, keeper, address, studio):
    client.force_login(keeper)
    other = HouseRule.objects.create(studio=studio, kind=RuleKind.WORDING, text="Wipe first.", on_whose_word="us",
                                     set_on=timezone.localdate(), recorded_by=keeper)  # fmt: skip
    assert client.post(address("level_end", other.pk)).status_code == 404


def test_the_page_shows_levels_table_and_why(client, student, address, shelf, make_paint):
    make_paint("Ochre from a jar", "PY43")
    client.force_login(student)
    page = words(client.get(address("handling_levels")))
    in_order(page, "Cadmium Yellow Medium", "Ultramarine", "Chalk White Powder", "Turpentine", "Yellow Ochre")
    assert "Our table, common practice, no source" in page
    assert "<strong>keeper's hands only</strong>, by H350: it can harm the genes" in page
    assert page.count("neither a maker's sheet nor") == 1
    assert "PY43, PB29: neither a maker's sheet nor the list used says what the hazards are." in page
    assert "that is not a finding of no hazard" in page.lower()


def test_a_level_that_is_not_of_the_table_changes_nothing_and_is_told(client, student, address, shelf, studio, keeper):
    HouseRule.objects.create(studio=studio, kind=RuleKind.LEVEL, text="Locked away.", reach="code", values=["H304"],
                             level="locked", on_whose_word="us", set_on=timezone.localdate(),
                             recorded_by=keeper)  # fmt: skip
    client.force_login(student)
    assert "names a level that is not among those above" in words(client.get(address("handling_levels")))
    assert levels_of(studio, [shelf["air"]]) == {shelf["air"].pk: AIR}


def test_the_safety_page_shows_the_level(client, student, address, shelf):
    client.force_login(student)
    assert "Handling level of this house: keeper's hands only" in words(client.get(address("item", shelf["keeper"].pk)))
    assert "Handling level of this house: not known" in words(client.get(address("item", shelf["unknown"].pk)))


def test_binders_are_names_of_forms(studio, keeper, make_paint, teacher):
    paint = make_paint("Yellow Ochre", "PY43", binder=Binder.ACRYLIC)
    services.record_sheet(paint, by=teacher, product="x", read_on=timezone.localdate(), says_not_classified=True)
    rule(studio, keeper, "form", ["acrylic paint"], GLOVES.word)
    assert levels_of(studio, [paint]) == {paint.pk: GLOVES}
