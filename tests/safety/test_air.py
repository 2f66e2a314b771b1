"""The check of solvent in a room's air: what it asks, what it answers, and what it never says."""

import math

import pytest
from django.urls import reverse

from inventory.models import Material, MaterialKind, Room
from safety.models import Limit, RoomFacts
from safety.queries.air import applies, solvents
from safety.rules import air_check
from safety.rules.air_check import Liquid, Question, Span

pytestmark = pytest.mark.django_db

SCREENING = "a screening estimate for an ideally mixed room, not an exposure assessment"


@pytest.fixture
def room(studio):
    room = Room.objects.create(studio=studio, name="Painting room")
    RoomFacts.objects.create(room=room, volume_litres=50_000, fresh_air_litres_hour=100_000)
    return room


@pytest.fixture
def ask(client, student, studio, reference):
    """Ask the page; give what it says as one line."""
    client.force_login(student)

    def send(**values):
        asked = {"amount": "10", "unit": "ml", "minutes": "60", "temperature": "20", **values}
        answer = client.get(reverse("safety:air_check", args=[studio.slug]), asked)
        assert answer.status_code == 200
        return " ".join(answer.content.decode().replace("&#x27;", "'").split())

    return send


def test_the_page_opens_with_what_it_is(client, student, studio):
    client.force_login(student)
    page = client.get(reverse("safety:air_check", args=[studio.slug])).content.decode()
    assert SCREENING in page
    assert "The estimate" not in page


def test_the_estimate_by_hand(ask, room):
    """10 ml of 0.86 g/ml in 50 m3 is 172 mg/m3 when all is there at once; at 20 C and M 136 that is 30.4 ppm.

    By hand: G = 8600 mg/h, Q = 100 m3/h, so 86 mg/m3 in the end, and 86 (1 - exp(-2)) = 74.4 after an hour.
    """
    page = ask(room=room.pk, solvent="gum-turpentine")
    assert SCREENING in page
    assert "172 mg/m³, 30.4 ppm" in page
    assert "86 mg/m³, 15.2 ppm" in page
    assert "74.4 mg/m³, 13.2 ppm" in page
    assert "8600 mg / 1 h" in page
    assert "1 × 8600 mg/h / 100 m³/h" in page
    assert "2 h 18 min" in page  # ln(100) / 2 per hour
    assert "<polyline" in page
    assert "136 g/mol (NIOSH Pocket Guide to Chemical Hazards)" in page


def test_limits_are_quoted_with_whose_they_are_and_their_source(ask, room):
    page = ask(room=room.pk, solvent="gum-turpentine")
    assert "turpentine, PEL: 100 ppm, 8-h TWA" in page
    assert "US (OSHA), 29 CFR 1910.1000 Table Z-1. Published." in page
    assert f"below the quoted limit in this estimate; it is {SCREENING}" in page
    assert "above the quoted limit" not in page
    page = ask(room=room.pk, solvent="gum-turpentine", amount="200")
    assert f"above the quoted limit in this estimate; it is {SCREENING}" in page


def test_no_page_says_safe(ask, room):
    for solvent in solvents():
        page = ask(room=room.pk, solvent=solvent.key, amount="1")
        for word in ("is safe", "are safe", "harmless", "no risk", "no hazard"):
            assert word not in page.casefold()


def test_the_studio_s_own_jurisdiction_comes_first(ask, room, studio):
    page = ask(room=room.pk, solvent="acetone")
    assert page.index("EU (this studio's), Directive 2000/39/EC") < page.index("US (OSHA), 29 CFR")
    assert "None of these is of" not in page
    assert "None of these is of EU: ask your safety office which limit holds." in ask(
        room=room.pk, solvent="gum-turpentine"
    )
    studio.jurisdiction = "US (California)"
    studio.save()
    page = ask(room=room.pk, solvent="acetone")
    assert page.index("US (OSHA) (this studio's), 29 CFR") < page.index("EU, Directive 2000/39/EC")


@pytest.mark.parametrize(
    ("limit", "typed", "same"),
    [
        ("UK", "Great Britain", True),
        ("US (NIOSH)", "United States", True),
        ("EU", "eu", True),
        ("EU", "Germany", True),
        ("US (California)", "US (Ohio)", False),
        ("international", "", False),
        ("EU", "", False),
        ("US (OSHA)", "Australia", False),
    ],
)
def test_whose_limit(limit, typed, same):
    assert applies(limit, typed) is same


def test_where_no_limit_is_known_it_says_so(ask, room):
    assert "No limit is established here; ask your safety office." in ask(room=room.pk, solvent="d-limonene")
    typed = ask(room=room.pk, molar_mass="100", density="0.8")
    assert "No limit is established here; ask your safety office." in typed
    assert "The vapour pressure is not known here" in typed
    assert "The flash point is not known here: treat it as one that can catch fire" in typed


def test_more_than_the_air_holds_is_told_as_saturated(ask, room):
    """4 mm of mercury are 5260 ppm, by hand 1e6 * 0.533 / 101.325; two litres in 50 m3 would be 6080."""
    page = ask(room=room.pk, solvent="gum-turpentine", amount="2000", fresh_air="0")
    assert "Air can hold at most 5260 ppm" in page
    assert "the arithmetic gives 6080 ppm, more than air can hold: the saturated value is told" in page
    assert "No steady state without fresh air" in page


def test_a_warmer_room_than_the_vapour_pressure_is_for_draws_no_bound(ask, room):
    page = ask(room=room.pk, solvent="gum-turpentine", amount="2000", temperature="30")
    assert "Warm air holds more, so no upper bound is drawn from it" in page
    assert "the saturated value is told" not in page


def test_flash_point_against_the_room(ask, room):
    assert "The room has 20 °C, below the flash point of 35 °C. On a warm surface" in ask(
        room=room.pk, solvent="gum-turpentine"
    )
    assert "at or above the flash point of 12.8 °C: over the open liquid there is enough vapour to catch fire" in ask(
        room=room.pk, solvent="ethanol"
    )
    assert "above the flash point of 21 to 43 °C" in ask(room=room.pk, solvent="white-spirit", temperature="22")


def test_what_nobody_wrote_down_is_asked_for_and_never_made_up(ask, studio):
    bare = Room.objects.create(studio=studio, name="Attic")
    page = ask(room=bare.pk, solvent="acetone")
    assert "Volume: nobody has written down the volume of Attic. Measure it or ask." in page
    assert "Fresh air: nobody has written down the fresh air of Attic. Measure it or ask." in page
    assert "The estimate" not in page
    page = ask(room=bare.pk, solvent="acetone", volume="40", fresh_air="12,5")
    assert "40 m³, 12.5 m³/h of fresh air" in page


def test_purge_to_a_chosen_level_in_either_unit(ask, room):
    page = ask(room=room.pk, solvent="gum-turpentine", purge_to="7.44")
    # ln(10) / 2 an hour, from 74.4.
    assert "7.44 mg/m³, as asked</dt><dd>1 h 9 min" in page
    assert "1 h 9 min" in ask(room=room.pk, solvent="gum-turpentine", purge_to="1.316", purge_unit="ppm")


def test_amounts_in_other_ways(ask, room):
    assert "86 mg/m³, 15.2 ppm" in ask(room=room.pk, solvent="gum-turpentine", amount="8.6", unit="g")
    hourly = ask(room=room.pk, solvent="gum-turpentine", pace="hourly", minutes="30")
    assert "4300 mg / 0.5 h" in hourly
    assert "86 mg/m³, 15.2 ppm" in hourly
    assert "344 mg / 1 h" in ask(room=room.pk, solvent="gum-turpentine", share="0.04")
    mixed = ask(room=room.pk, solvent="gum-turpentine", mixing="5")
    assert "430 mg/m³" in mixed
    assert "so K = 5 here" in mixed


BAD = [
    ({"volume": "0"}, "Volume: “0” is out of range. Enter above 0 and at most 100000 m³."),
    ({"fresh_air": "-3"}, "Fresh air: “-3” is out of range. Enter 0 to 1000000 m³/h."),
    ({"temperature": "400"}, "Temperature of the room: “400” is out of range. Enter -10 to 45 °C."),
    ({"share": "40"}, "Share of solvent in it: “40” is out of range."),
    ({"share": "40"}, "4 % is 0.04."),
    ({"vapour_pressure": "150"}, "Vapour pressure: “150” is out of range. Enter 0 to 101.325 kPa, the air's own"),
    ({"amount": "much"}, "Amount that evaporates: “much” is no number."),
    ({"amount": "nan"}, "Amount that evaporates: “nan” is no number."),
    ({"minutes": "0"}, "Time: “0” is out of range."),
    ({"mixing": "0.5"}, "so for k = 0.5 enter 2."),
    ({"solvent": "benzine"}, "Solvent: “benzine” is not in the list."),
    ({"solvent": ""}, "Solvent: it is not known here what evaporates. Choose it, or type the figures of its sheet."),
    ({"solvent": "", "molar_mass": "100"}, "Density: not known here. Type it from the maker's sheet, or give"),
    ({"room": "one"}, "Room: “one” is no room of this studio. Choose one of the list."),
    ({"temperature": ""}, "Temperature of the room: nothing is entered. Enter -10 to 45 °C."),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "words"), BAD)
def test_a_bad_figure_is_named_with_its_remedy(ask, room, typed, words):
    page = ask(**{"room": room.pk, "solvent": "acetone", **typed})
    assert words in page
    assert "The estimate" not in page
    assert "Not worked out" in page


def test_a_room_and_a_material_of_another_studio_are_not_there(ask, other_studio, room):
    theirs = Room.objects.create(studio=other_studio, name="Their secret room")
    page = ask(room=theirs.pk, solvent="acetone")
    assert f"Room: “{theirs.pk}” is no room of this studio." in page
    assert "Their secret room" not in page
    oil = Material.objects.create(studio=other_studio, name="Their oil", material_kind=MaterialKind.DRYING_OIL)
    page = ask(room=room.pk, solvent="acetone", material=oil.pk)
    assert f"Material: “{oil.pk}” is no material of this studio." in page
    assert "Their oil" not in page


def test_a_material_names_its_solvent_by_cas_number_and_not_by_its_name(ask, room, make_material):
    by_number = make_material("Spirits", MaterialKind.SOLVENT, cas="8006-64-2")
    assert "Spirits, taken as turpentine (gum spirits)" in ask(room=room.pk, material=by_number.pk)
    by_name = make_material("Turpentine", MaterialKind.SOLVENT)
    page = ask(room=room.pk, material=by_name.pk)
    assert "Solvent: it is not known here which solvent Turpentine is." in page
    by_name.density_milli = 870
    by_name.save()
    assert "0.87 g/ml (recorded on the shelf)" in ask(room=room.pk, material=by_name.pk, solvent="gum-turpentine")


HEATS = "Oily rags and paper can heat up and catch fire by themselves."


@pytest.mark.parametrize(
    ("name", "kind", "cas"),
    [
        ("Stand Oil", MaterialKind.DRYING_OIL, ""),
        ("Alkyd Painting Medium", MaterialKind.MEDIUM, ""),
        ("Glaze no. 3", MaterialKind.MEDIUM, "8001-26-1"),
        ("Finishing liquid", MaterialKind.OTHER, "8024-09-7"),
        ("Varnish of walnut oil", MaterialKind.VARNISH, ""),
    ],
)
def test_oily_rags_on_the_item_its_notice_and_the_air_check(
    ask, client, studio, room, keeper, make_material, name, kind, cas
):
    """The item's page, the notice made of it, and this page, whether or not there is an estimate."""
    from safety.queries.notices import content_of
    from safety.services import make_notice

    material = make_material(name, kind, cas)
    page = client.get(reverse("safety:item", args=[studio.slug, material.pk])).content.decode()
    assert HEATS in page
    notice = content_of(make_notice(material, by=keeper, page_url="https://example.org/"))
    assert HEATS in " ".join(one.text for one in notice.cautions)
    for solvent in ("", "gum-turpentine"):
        page = ask(room=room.pk, material=material.pk, solvent=solvent)
        assert HEATS in page
        assert "drying oils and alkyds give off heat as they harden" in page


@pytest.mark.parametrize(
    ("binder", "heats"), [("oil", True), ("alkyd", True), ("water-mixable oil", True), ("acrylic", False)]
)
def test_oily_rags_on_the_page_of_a_paint(client, student, studio, make_paint, binder, heats):
    client.force_login(student)
    paint = make_paint("Ultramarine Blue", "PB29", binder=binder)
    page = client.get(reverse("safety:item", args=[studio.slug, paint.pk])).content.decode()
    assert (HEATS in page) is heats


def test_rags_are_named_for_a_bare_solvent_too(ask, room):
    assert "Where it thins or wipes oil or alkyd paint: oily rags and paper can heat up" in ask(
        room=room.pk, solvent="gum-turpentine"
    )


def test_the_page_costs_the_same_for_any_number_of_rooms(client, student, studio, room, django_assert_max_num_queries):
    client.force_login(student)
    for number in range(30):
        Room.objects.create(studio=studio, name=f"Room {number}")
    url = reverse("safety:air_check", args=[studio.slug])
    asked = {"room": room.pk, "solvent": "acetone", "amount": "1", "minutes": "9", "temperature": "20"}
    with django_assert_max_num_queries(8):  # session, user, membership, room twice, the two lists, limits
        client.get(url, asked)


def test_every_topic_of_the_solvents_has_a_limit(reference):
    for solvent in solvents():
        for topic in solvent.topics:
            assert Limit.objects.filter(topic__startswith=f"{topic},").exists(), topic


# The pure part.


def question(**values):
    liquid = Liquid("spirit", Span(130, 140, ""), vapour_pressure=Span(0.1, 0.5, ""), explosive=Span(0.6, 0.6, ""))
    asked = {"volume_m3": 50, "fresh_air_m3_h": 100, "liquid": liquid, "mass_mg": 8600, "time_h": 1}
    return Question(**{**asked, "temperature_c": 20, **values})


def test_of_a_range_the_worse_end_is_taken():
    found = air_check.answer(question())
    assert found.at_once.ppm == pytest.approx(172 * found.molar_volume / 130)
    assert found.saturation.ppm == pytest.approx(1e6 * 0.5 / 101.325)


def test_the_curve_rises_to_the_highest_and_falls():
    found = air_check.answer(question())
    heights = [point.level.mg_m3 for point in found.curve]
    top = heights.index(max(heights))
    assert heights[top] == pytest.approx(found.highest.mg_m3) == pytest.approx(86 * (1 - math.exp(-2)))
    assert heights[: top + 1] == sorted(heights[: top + 1])
    assert heights[top:] == sorted(heights[top:], reverse=True)
    drawn = air_check.drawing(found.curve, width=560, height=200)
    assert drawn.path.startswith("0.0,200.0 ")
    assert "280.0,0.0" in drawn.path


@pytest.mark.parametrize(
    ("value", "words"),
    [(0, "0"), (74.36, "74.4"), (8600, "8600"), (12345, "12300"), (0.04, "0.04"), (0.00123456, "0.00123"),
     (9.999, "10"), (-18.0, "-18"), (math.inf, "without end")],
)  # fmt: skip
def test_figures_have_three_digits(value, words):
    assert air_check.figure(value) == words


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0, "at once"), (0.001, "under a minute"), (0.5, "30 min"), (2, "2 h"), (2.3, "2 h 18 min"), (0.9999, "1 h"),
     (math.inf, "never without fresh air")],
)  # fmt: skip
def test_durations(hours, words):
    assert air_check.duration(hours) == words
