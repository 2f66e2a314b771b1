"""How sure a mixture is, and what one more measurement would do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.colour.appearance import difference
from inventory.colour.certainty import (
    Measurement,
    Paint,
    Word,
    drawn_lab,
    mixture,
    mixtures,
    shown,
    which_measurement_helps,
    whole,
    word_of,
)
from inventory.colour.recovery import Basis, recover, recover_white
from inventory.colour.samples import Observed, masstone, tint

# Computed colours of acrylics (Y. Okumura 2005, thesis, Rochester Institute of Technology): masstone, 1:9 tint.
COLOURS = {
    "ultramarine": ("PB29", (23.37, 10.03, -22.22), (79.61, -3.30, -23.83)),
    "hansa": ("PY74", (83.94, 9.99, 95.79), (91.93, 0.65, 42.73)),
    "pyrrole red": ("PR254", (42.34, 55.77, 33.03), (72.30, 28.57, 3.92)),
}


@pytest.fixture(scope="module")
def paints(rows):
    white = recover_white((97.05, -0.68, 1.44))
    found = {"white": Paint.recovered(white)}
    for name, (code, alone, tinted) in COLOURS.items():
        observed = Observed((masstone(alone), tint(tinted)), (code,))
        found[name] = Paint.recovered(recover(observed, rows, white.curve))
    return found


@pytest.fixture(scope="module")
def alone(rows):
    _, colour, _ = COLOURS["ultramarine"]
    return {
        "coded": Paint.recovered(recover(Observed((masstone(colour),), ("PB29",)), rows)),
        "bare": Paint.recovered(recover(Observed((masstone(colour),)), rows)),
        "typical": Paint.typical([row for row in rows if row.ci == "PB29"]),
    }


@pytest.mark.parametrize(
    ("spread", "figure"), [(0.0, 4.0), (3.0, 5.0), (6.928203, 8.0), (9.0, np.sqrt(97.0)), (0.5, 4.031129)]
)
def test_the_figure_shown(spread, figure):
    """sqrt(N^2 + 4^2), by hand; never below 4."""
    assert shown(spread) == pytest.approx(figure, abs=1e-6)


@pytest.mark.parametrize(
    ("within", "word"),
    [(4.0, "good"), (5.0, "good"), (5.01, "about right"), (8.0, "about right"), (8.01, "direction only")],
)
def test_words(within, word):
    assert word_of(within) == word


def test_a_mixture_states_its_draws(paints):
    """The spread is the 90th percentile of the draws' CIEDE2000, worked here one draw at a time."""
    pair = [paints["hansa"], paints["ultramarine"]]
    said = mixture(pair, [2.0, 1.0])
    labs = [
        drawn_lab([Paint(p.curve, p.k[[i]], p.s[[i]], p.basis) for p in pair], np.array([[2.0, 1.0]]))[0, 0]
        for i in range(32)
    ]
    apart = [float(difference(lab, said.lab)) for lab in labs]
    assert said.spread == pytest.approx(np.percentile(apart, 90.0))
    assert said.within is not None
    assert said.within == pytest.approx(np.hypot(said.spread, 4.0))
    assert said.word == word_of(said.within)
    assert f"Likely within {whole(said.within)} " in said.text


def test_what_is_known_only_alone_gets_no_figure(paints, alone):
    said = mixture([alone["bare"], paints["white"]], [1, 9])
    assert (said.within, said.word) == (None, Word.ALONE)
    assert "no figure" in said.text
    # Of the paint by itself the colour was measured.
    assert mixture([alone["bare"], paints["white"]], [1, 0]).word is Word.MEASURED


def test_films_give_a_direction_only(paints, alone):
    films = Paint(alone["coded"].curve, alone["coded"].k, alone["coded"].s, Basis.FILMS)
    said = mixture([films, paints["white"]], [1, 1])
    assert (said.within, said.word) == (None, Word.DIRECTION_ONLY)


def test_more_known_is_surer(rows, paints, alone):
    """With more draws than are kept, for the ninetieth percentile of 32 goes up and down by a tenth or so."""
    white = Paint.recovered(recover_white((97.05, -0.68, 1.44), draws=512))
    _, colour, tinted = COLOURS["ultramarine"]
    given = [(masstone(colour),), (masstone(colour), tint(tinted))]
    spreads = [
        mixture([paint, white], [1, 3]).spread
        for paint in (
            Paint.typical([row for row in rows if row.ci == "PB29"], draws=512),
            *(Paint.recovered(recover(Observed(samples, ("PB29",)), rows, draws=512)) for samples in given),
        )
    ]
    assert spreads[0] > spreads[1] > spreads[2]
    assert mixture([alone["typical"], paints["white"]], [1, 0]).word is Word.DIRECTION_ONLY


def test_measured_curves_leave_the_theory(paints):
    known = [Paint.measured(paints[name].curve) for name in ("hansa", "ultramarine")]
    said = mixture(known, [1, 1])
    assert said.spread == pytest.approx(0.0, abs=1e-9)
    assert said.within == pytest.approx(4.0)
    assert said.word is Word.GOOD


def test_swatches_that_do_not_fit_are_counted(rows, paints):
    """No paint has this masstone and this tint; what the curve misses by is added to the figure."""
    nonsense = recover(Observed((masstone((30.0, 60.0, -70.0)), tint((60.0, -20.0, 30.0)))), rows)
    assert nonsense.worst_fit > 5.0
    assert "check the swatches" in nonsense.rests_on
    said = mixture([Paint.recovered(nonsense), paints["white"]], [1, 1])
    assert said.within == pytest.approx(np.hypot(shown(said.spread), nonsense.worst_fit))
    assert "are missed by" in said.text


def test_batches_do_not_matter(paints):
    three = list(paints.values())
    parts = np.random.default_rng(3).random((7, len(three)))
    together = mixtures(three, parts)
    for row, said in zip(parts, together, strict=True):
        one = mixture(three, row)
        np.testing.assert_allclose(one.lab, said.lab, atol=1e-9)
        assert one.spread == pytest.approx(said.spread, abs=1e-9)


def test_order_and_unit_do_not_matter(paints):
    a, b = paints["hansa"], paints["ultramarine"]
    one, other = mixture([a, b], [1, 2]), mixture([b, a], [14, 7])
    np.testing.assert_allclose(one.lab, other.lab, atol=1e-9)
    assert one.spread == pytest.approx(other.spread, abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(part=st.floats(0.01, 100.0))
def test_a_paint_mixed_with_itself_stays_the_same_in_every_draw(paints, part):
    red = paints["pyrrole red"]
    np.testing.assert_allclose(
        drawn_lab([red, red], np.array([[part, 1.0]])), drawn_lab([red], np.array([[1.0]])), atol=1e-8
    )


@pytest.mark.parametrize("name", ["ultramarine", "pyrrole red"])
def test_more_white_never_darkens_in_any_draw(paints, name):
    white = np.concatenate(([0.0], np.geomspace(0.01, 0.99, 30)))
    lab = drawn_lab([paints[name], paints["white"]], np.column_stack((1.0 - white, white)))
    assert (np.diff(lab[:, :, 0], axis=1) > -1e-9).all()


def test_two_paints_are_drawn_independently(rows):
    """Draws of two typical paints under one seed do not go up and down together."""
    blue, yellow = (Paint.typical([row for row in rows if row.ci == ci], draws=400) for ci in ("PB29", "PY74"))
    together = np.corrcoef(np.log(blue.k).mean(axis=1), np.log(yellow.k).mean(axis=1))[0, 1]
    assert abs(together) < 0.2
    again = Paint.typical([row for row in rows if row.ci == "PB29"], draws=400)
    np.testing.assert_array_equal(again.k, blue.k)


def test_of_a_label(rows):
    one = Paint.of_label(["PB29"], "Ultramarine", rows)
    assert one is not None
    assert one.basis is Basis.TYPICAL
    assert Paint.of_label(["PBr7"], "Earth", rows) is None
    assert Paint.of_label(["PX1"], "Nothing", rows) is None
    two = Paint.of_label(["PG7", "PY150"], "Sap green", rows)
    assert two is not None
    assert (two.k > 0.0).all()
    assert two.s.shape == (32, 31)


def test_a_tint_is_asked_for_first(alone):
    for name in ("coded", "bare"):
        (first, *_) = which_measurement_helps(alone[name], [masstone((23.37, 10.03, -22.22))])
        assert first.measurement in (Measurement.TINT, Measurement.HALF)
        assert first.after < first.before
        assert first.text.startswith("Measure a tint of 1 part in")
    assert which_measurement_helps(alone["bare"], [masstone((23.37, 10.03, -22.22))])[0].measurement is Measurement.TINT


def test_what_was_measured_is_not_asked_again(paints, rows):
    samples = [masstone((83.94, 9.99, 95.79)), tint((91.93, 0.65, 42.73))]
    helps = which_measurement_helps(paints["hansa"], samples, [paints["ultramarine"].curve])
    assert not {item.measurement for item in helps} & {Measurement.MASSTONE, Measurement.TINT}
    assert which_measurement_helps(Paint.measured(paints["hansa"].curve)) == ()


def test_the_help_foretold_is_the_help_found(rows):
    """The tint foretold to leave some spread leaves about that when it is measured (within a factor of 2)."""
    code, alone, tinted = COLOURS["ultramarine"]
    before = Paint.recovered(recover(Observed((masstone(alone),), (code,)), rows))
    foretold = {item.measurement: item for item in which_measurement_helps(before, [masstone(alone)])}
    after = Paint.recovered(recover(Observed((masstone(alone), tint(tinted)), (code,)), rows))
    white = Paint.measured(recover_white((97.05, -0.68, 1.44)).curve)
    shares = np.array([[p, 1.0 - p] for p in (0.75, 0.5, 0.25, 0.1, 0.03)])
    found = drawn_lab([after, white], shares).std(axis=0, ddof=1)
    left = float(np.sqrt((found**2).mean()))
    assert 0.5 < left / foretold[Measurement.TINT].after < 2.0
    assert left < 0.5 * foretold[Measurement.TINT].before


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda paints: mixture([paints["white"]], [1, 2]), "one mixture has 1 parts"),
        (lambda paints: mixture([paints["white"]], [-1]), "parts must be 0 or more, not -1"),
        (lambda paints: mixture([paints["white"]], [0]), "needs a part above 0"),
        (
            lambda paints: mixture([paints["white"], Paint.measured(paints["white"].curve, 3)], [1, 1]),
            r"same number of draws, not \[3, 32\]",
        ),
        (lambda paints: Paint.typical([]), "at least one row, not 0"),
    ],
)
def test_refused_input(paints, call, words):
    with pytest.raises(ValueError, match=words):
        call(paints)


@pytest.mark.parametrize(
    ("within", "told", "word"),
    [(4.0, 4, "good"), (5.0, 5, "good"), (5.1, 6, "about right"), (8.2, 9, "direction only")],
)
def test_the_told_figure_never_promises_more_than_its_word(within, told, word):
    assert whole(within) == told
    assert word_of(within) == word
