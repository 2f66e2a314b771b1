"""Routes to a wanted colour, and gains and redundancy over all that the curves may be."""

from math import gcd

import numpy as np
import pytest

from inventory.colour.advice import rank
from inventory.colour.appearance import difference
from inventory.colour.certainty import Paint, mixture
from inventory.colour.curves import Curve, Origin
from inventory.colour.expected import expected_gains, likely_redundancies
from inventory.colour.mixing import mixture_lab
from inventory.colour.palette import Palette
from inventory.colour.reach import reach
from inventory.colour.recovery import Basis
from inventory.colour.redundancy import Kind, Label, redundancies
from inventory.colour.seek import differs, seek

NAMES = (
    "titanium white", "Hansa yellow medium", "pyrrole red", "quinacridone magenta", "ultramarine blue",
    "phthalo green blue shade", "burnt sienna", "chromium oxide green", "dioxazine violet",
)  # fmt: skip
BROWN = (35.0, 12.0, 15.0)


@pytest.fixture(scope="module")
def stock(palette):
    return palette(*NAMES)


@pytest.fixture(scope="module")
def drawn(rows):
    """Draws by name, a third as wide as those of the prior: about what a masstone and a tint leave."""

    def narrow(name, seed=0):
        paint = Paint.typical([next(row for row in rows if row.name == name)], seed=seed)
        k, s = (
            values[None] ** (2 / 3) * drawn ** (1 / 3)
            for values, drawn in ((paint.curve.k, paint.k), (paint.curve.s, paint.s))
        )
        return Paint(paint.curve, k, s, paint.basis)

    return narrow


def test_a_mixture_comes_back(stock):
    """Three parts ultramarine and two of white, mixed and sought: the same paints in the same parts."""
    parts = np.zeros(len(NAMES))
    parts[[NAMES.index("ultramarine blue"), 0]] = 3, 2
    wanted = mixture_lab(stock.k, stock.s, parts)
    routes = seek(stock, wanted)
    best = min(routes, key=lambda route: route.difference)
    assert best.names == ("ultramarine blue", "titanium white")
    assert best.parts == (3, 2)
    assert best.difference < 1e-6
    assert best.words == "as wanted"


def test_a_paint_alone_is_the_shortest_route(stock):
    (first, *_) = seek(stock, stock.masstones[NAMES.index("burnt sienna")])
    assert (first.names, first.parts) == (("burnt sienna",), (1,))


def test_a_brown_has_several_routes(stock):
    """Common practice, no source: browns come from several complementary pairs, not from one."""
    routes = seek(stock, BROWN)
    assert len(routes) >= 2
    assert [len(route.ids) for route in routes] == sorted(len(route.ids) for route in routes)
    colours = [set(route.names) - {"titanium white"} for route in routes]
    for i, one in enumerate(colours):
        for other in colours[i + 1 :]:
            assert len(one & other) <= max(len(one), len(other)) / 2


def test_routes_are_what_they_say(stock):
    for route in seek(stock, BROWN):
        parts = np.zeros(len(stock))
        for paint, part in zip(route.ids, route.parts, strict=True):
            assert part >= 1
            parts[stock.index(paint)] = part
        assert sum(route.parts) <= 24
        assert gcd(*route.parts) == 1
        assert list(route.parts) == sorted(route.parts, reverse=True)
        lab = mixture_lab(stock.k, stock.s, parts)
        np.testing.assert_allclose(route.lab, lab, atol=1e-6)
        assert route.difference == pytest.approx(float(difference(lab, BROWN)), abs=1e-6)
        assert route.note == "" or "finer" in route.note


def test_routes_say_how_sure_they_are(stock, drawn):
    paints = [drawn(name) for name in NAMES]
    for route in seek(stock, BROWN, paints=paints):
        parts = np.zeros(len(stock))
        for paint, part in zip(route.ids, route.parts, strict=True):
            parts[stock.index(paint)] = part
        assert route.statement is not None
        assert route.statement.within == pytest.approx(mixture(paints, parts).within)
        assert route.statement.text.startswith("Likely within")


def test_a_colour_out_of_reach_is_told(palette):
    (route, *_) = seek(palette("titanium white", "burnt sienna"), (60.0, 0.0, -50.0))
    assert route.difference > 10.0
    assert "do not quite reach" in route.note
    assert "duller" in route.words


def test_no_paints_no_routes(palette):
    assert seek(palette(), BROWN) == ()
    assert seek(palette("titanium white"), (97.0, 0.0, 1.0))[0].parts == (1,)


@pytest.mark.parametrize(
    ("lab", "wanted", "words"),
    [
        ((52, 10, 0), (50, 10, 0), "a little lighter"),
        ((40, 10, 0), (50, 10, 0), "darker"),
        ((50, 30, 0), (50, 10, 0), "more vivid"),
        ((50, 8, 0), (50, 10, 0), "a little duller"),
        ((50, 40, 10), (50, 40, 0), "toward red"),
        ((50, 40, -3), (50, 40, 0), "a little toward violet"),
        ((50, 0, 0), (50, 0, 0), "as wanted"),
    ],
)
def test_how_a_colour_differs(lab, wanted, words):
    assert words in differs(np.array(lab, float), np.array(wanted, float))


@pytest.fixture(scope="module")
def small(palette):
    return palette("titanium white", "Hansa yellow medium", "ultramarine blue", "phthalo blue green shade")


@pytest.fixture(scope="module")
def candidates(palette):
    return palette("quinacridone magenta", "pyrrole red", "cobalt blue", "quinacridone magenta 202", first=100)


def test_without_doubt_the_expected_gain_is_the_gain(small, candidates):
    """Measured curves: every draw is the curve itself, so mean and interval are the gain of the best curves."""
    reached = reach(small)
    sure = [
        [Paint.measured(Curve(p.k[i], p.s[i], Origin.MEASURED), 8) for i in range(len(p))] for p in (small, candidates)
    ]
    gains = expected_gains(reached, sure[0], candidates, sure[1])
    best = {item.id: item.gain for item in rank(reached, candidates)}
    for gain in gains:
        assert gain.mean == pytest.approx(best[gain.id], abs=1e-9)
        assert gain.low == pytest.approx(gain.high)


def test_expected_gains(small, candidates, drawn):
    paints = [drawn(name) for name in small.names]
    gains = expected_gains(reach(small), paints, candidates, [drawn(name, seed=5) for name in candidates.names])
    assert [gain.mean for gain in gains] == sorted((gain.mean for gain in gains), reverse=True)
    assert all(gain.low <= gain.mean <= gain.high for gain in gains)
    assert all(gain.low >= 0.0 for gain in gains)
    # Common practice, no source: yellow and blues ask for a red before another blue.
    assert gains[-1].name == "cobalt blue"
    magentas = [gain for gain in gains if gain.name.startswith("quinacridone")]
    assert len({gain.rank for gain in magentas}) == 1
    assert all(gain.tied for gain in magentas)


def test_an_expected_gain_is_near_that_of_whole_reaches(small, candidates, drawn):
    """Four draws worked in full: within 1.5 points on average, where the gains are 5 to 15."""
    paints = [drawn(name) for name in small.names]
    others = [drawn(name, seed=5) for name in candidates.names]
    (first, *_) = expected_gains(reach(small), paints, candidates, others, draws=4)
    place = candidates.index(first.id)
    full = []
    for d in range(4):
        k, s = (np.stack([getattr(p, name)[d] for p in paints]) for name in ("k", "s"))
        base = reach(Palette(small.ids, small.names, k, s, small.binder))
        more = Palette((first.id,), (first.name,), others[place].k[[d]], others[place].s[[d]], small.binder)
        full.append(rank(base, more)[0].gain)
    assert abs(first.mean - np.mean(full)) < 1.5


def test_an_empty_palette_and_no_candidates(palette, candidates, drawn):
    assert expected_gains(reach(palette()), [], palette(), []) == ()
    gains = expected_gains(reach(palette()), [], candidates, [drawn(name) for name in candidates.names])
    assert gains[0].mean > 0.0
    with pytest.raises(ValueError, match="needs its draws"):
        expected_gains(reach(palette()), [], candidates, [])


def test_a_white_as_a_candidate(palette, drawn):
    colours = palette("ultramarine blue", "pyrrole red")
    white = palette("titanium white", first=100)
    (gain,) = expected_gains(reach(colours), [drawn(name) for name in colours.names], white, [drawn("titanium white")])
    assert gain.mean > 1.0


def test_a_finding_over_draws(palette, drawn):
    paints = palette("titanium white", "yellow iron oxide", "yellow ochre")
    findings = redundancies(paints, {2: Label(("PY42",)), 3: Label(("PY43",))})
    assert [finding.kind for finding in findings] == [Kind.NEAR_TWIN]
    sure = [Paint.measured(Curve(paints.k[i], paints.s[i], Origin.MEASURED)) for i in range(3)]
    (certain,) = likely_redundancies(findings, paints, sure)
    assert certain.share == 1.0
    assert certain.masstone_difference == pytest.approx(findings[0].masstone_difference, abs=1e-6)
    (doubtful,) = likely_redundancies(findings, paints, [drawn(name) for name in paints.names])
    assert doubtful.share < 0.75
    assert doubtful.text.startswith("Alike alone and tinted in ")
    assert doubtful.text.endswith(": a maybe.")
    assert likely_redundancies((), palette(), []) == ()


def test_a_mixture_is_found_again_in_every_draw(palette, drawn):
    """The green is a blend of the yellow and the blue, so it is mixable whatever their curves are."""
    paints = palette("titanium white", "Hansa yellow light", "phthalo blue green shade")
    yellow, blue = drawn("Hansa yellow light"), drawn("phthalo blue green shade")
    green = Curve(0.7 * yellow.curve.k + 0.3 * blue.curve.k, 0.7 * yellow.curve.s + 0.3 * blue.curve.s, Origin.MEASURED)
    paints = paints.plus(Palette.of([(9, "green", green)], paints.binder))
    mixed = Paint(green, 0.7 * yellow.k + 0.3 * blue.k, 0.7 * yellow.s + 0.3 * blue.s, Basis.TYPICAL)
    findings = [one for one in redundancies(paints) if one.id == 9]
    (followed,) = likely_redundancies(findings, paints, [drawn("titanium white"), yellow, blue, mixed])
    assert followed.text == "Mixable by the others in 32 of 32 cases."
    apart = Paint(green, yellow.k[::-1], yellow.s[::-1], Basis.TYPICAL)
    (lost,) = likely_redundancies(findings, paints, [drawn("titanium white"), yellow, blue, apart])
    assert lost.share < 1.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda stock: seek(stock, (50.0, 0.0)), "three numbers"),
        (lambda stock: seek(stock, (150.0, 0.0, 0.0)), "must be 0 to 100, not 150"),
        (lambda stock: seek(stock, BROWN, most_parts=1), "at least 2, not 1"),
        (lambda stock: seek(stock, BROWN, paints=[]), "each of the 9 paints needs its draws, not 0"),
    ],
)
def test_refused_input(stock, call, words):
    with pytest.raises(ValueError, match=words):
        call(stock)
