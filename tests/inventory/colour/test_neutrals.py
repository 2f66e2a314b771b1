"""Greys, browns and mud: facts of the trade, and the arithmetic of the routes."""

import numpy as np
import pytest

from inventory.colour import certainty
from inventory.colour.appearance import chroma, difference
from inventory.colour.mixing import mixture_lab
from inventory.colour.neutrals import chromatic_places, meetings, mud, pair_routes, triple_routes

# The complements that studios teach: red and green, orange and blue, yellow and violet.
COMPLEMENTS = (
    "cadmium red medium",
    "chromium oxide green",
    "cadmium orange",
    "ultramarine blue",
    "cadmium yellow medium",
    "dioxazine violet",
)
ROUTES = {(0, 1), (2, 3), (4, 5)}
SIX = (
    "Hansa yellow light",
    "diarylide yellow",
    "pyrrole red",
    "quinacridone magenta",
    "ultramarine blue",
    "phthalo blue green shade",
    "titanium white",
)


def sure(rows, *names):
    return [certainty.Paint.typical([next(row for row in rows if row.name == name)]) for name in names]


def test_three_complementary_routes_meet_near_one_brown(rows, palette):
    """Common practice, no source: complements kill each other, and all three routes end in much the same brown.

    Near is no farther than what the curves and the theory leave open.
    """
    found = palette(*COMPLEMENTS)
    routes = [route for route in pair_routes(found) if route.places in ROUTES]
    assert {route.places for route in routes} == ROUTES
    assert all(route.meets for route in routes)
    met = meetings(routes, sure(rows, *COMPLEMENTS))
    assert len(met) == 3
    assert all(one.apart <= one.within for one in met)
    assert max(one.apart for one in met) < 15.0
    assert all(one.within >= certainty.PHYSICS for one in met)


def test_ultramarine_and_burnt_sienna_meet_in_a_grey(palette):
    """Common practice, no source: the usual way to a grey without black."""
    (route,) = pair_routes(palette("ultramarine blue", "burnt sienna"))
    assert route.chroma < 5.0
    assert route.meets


def test_a_route_is_the_greyest_of_its_ratios(palette):
    found = palette("ultramarine blue", "cadmium orange")
    (route,) = pair_routes(found)
    share = np.linspace(0.001, 0.999, 999)
    lab = mixture_lab(found.k, found.s, np.column_stack((share, 1.0 - share)))
    assert route.chroma <= chroma(lab).min() + 0.35
    assert sum(route.parts) == pytest.approx(1.0)
    np.testing.assert_allclose(mixture_lab(found.k, found.s, list(route.parts)), route.lab, atol=1e-9)


def test_routes_come_the_greyest_first_and_leave_whites_and_blacks_out(palette):
    found = palette("titanium white", "bone black", *COMPLEMENTS)
    assert chromatic_places(found) == (2, 4, 5, 6, 7) or chromatic_places(found) == (2, 3, 4, 5, 6, 7)
    for routes in (pair_routes(found), triple_routes(found)):
        assert [one.chroma for one in routes] == sorted(one.chroma for one in routes)
        assert all(place >= 2 for one in routes for place in one.places)


def test_more_paints_lose_chroma_against_the_best_pair_of_the_hue(palette):
    """Common practice, no source: a mixture of three or more chromatic paints is duller than the best pair."""
    found = palette(*SIX)
    two, three, four = mud(found, found.white_index)
    assert (two.paints, three.paints, four.paints) == (2, 3, 4)
    assert two.median > three.median > four.median
    assert three.high < 1.0
    assert (two.count, three.count, four.count) == (15, 20, 15)


def test_two_chromatic_paints_are_needed(palette):
    assert mud(palette("titanium white", "ultramarine blue")) == ()
    assert pair_routes(palette("titanium white")) == ()
    assert meetings((), []) == ()


def test_how_far_apart_is_ciede2000(rows, palette):
    found = palette(*COMPLEMENTS)
    routes = pair_routes(found)[:2]
    (met,) = meetings(routes, sure(rows, *COMPLEMENTS))
    assert met.apart == pytest.approx(float(difference(routes[0].lab, routes[1].lab)))
