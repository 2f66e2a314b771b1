"""Curves from a paint's colours: fits and predictions worked apart from this code, laws, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from inventory.colour.appearance import cielab, difference, lab_from_relative_xyz
from inventory.colour.curves import BandRow, Origin, blend, from_bands
from inventory.colour.kubelka_munk import film, reflectance_infinite, saunderson
from inventory.colour.mixing import masstone_lab, mix, mixture_lab
from inventory.colour.prior import SinglePigments, curves_at, smooth
from inventory.colour.recovery import Basis, fingerprint, generic_white, recover, recover_white
from inventory.colour.samples import DoubtfulColours, DoubtKind, Observed, masstone, over, tint
from inventory.colour.solve import Readings, solve
from inventory.colour.viewing import Viewing, weights_under


def row(ci, K0, floor, edges, bands, S0, Sn=0.5):
    return BandRow(ci, ci, "", K0, floor, edges, bands, 0.0, S0, Sn, "inline")


# One prior each, a typical titanium white, a standard deviation of 0.2: masstone and 1:9 tint (computed colours of one
# acrylic, after Y. Okumura 2005, thesis, Rochester Institute of Technology), and K and S at 450, 550 and 650 nm as an
# independent program of the same method found them.
WORKED = {
    "ultramarine": (
        row("PB29", 0.7, 0.01, (), ((600, 50, 1),), 0.02),
        (23.37, 10.03, -22.22), (79.61, -3.30, -23.83),
        (0.01472, 0.4836, 0.5183), (0.006354, 0.01198, 0.01656),
    ),
    "hansa": (
        row("PY74", 1.5, 0.001, ((485, 6, 1),), (), 0.3),
        (83.94, 9.99, 95.79), (91.93, 0.65, 42.73),
        (1.54, 0.001317, 0.000992), (0.1584, 0.5032, 0.2928),
    ),
    "phthalo green": (
        row("PG7", 5.0, 0.015, ((425, 18, 0.2),), ((640, 40, 1), (710, 45, 0.9)), 0.04),
        (26.29, -7.78, -5.14), (78.16, -36.28, -0.50),
        (0.4604, 0.202, 7.907), (0.07515, 0.01711, 0.2823),
    ),
    "pyrrole red": (
        row("PR254", 1.8, 0.0015, ((580, 7, 0.6),), ((535, 35, 0.5),), 0.12),
        (42.34, 55.77, 33.03), (72.30, 28.57, 3.92),
        (1.053, 1.959, 0.001924), (0.04677, 0.1393, 0.5711),
    ),
    "dioxazine": (
        row("PV23", 2.5, 0.02, ((410, 15, 0.1),), ((530, 32, 1), (575, 22, 0.7), (620, 18, 0.6)), 0.04),
        (23.42, 2.66, -0.09), (64.76, 14.37, -30.01),
        (0.1812, 2.586, 0.5972), (0.009681, 0.1245, 0.05252),
    ),
    "burnt sienna": (
        row("PBr7", 0.8, 0.07, ((553, 18, 1),), ((650, 50, 0.03),), 0.08),
        (32.43, 18.68, 13.76), (81.68, 9.46, 8.31),
        (0.519, 0.3484, 0.06839), (0.03358, 0.04954, 0.08436),
    ),
}  # fmt: skip

# The same program's predictions of mixtures in equal parts.
WORKED_MIXTURES = [
    ("hansa", "ultramarine", (42.91, -15.00, 26.42)),
    ("pyrrole red", "phthalo green", (25.71, 4.69, 1.10)),
    ("burnt sienna", "ultramarine", (25.24, 2.48, 0.47)),
    ("hansa", "dioxazine", (31.59, 2.18, 9.03)),
]


@pytest.fixture(scope="module")
def solved():
    white = generic_white()
    found = {}
    for name, (prior, alone, tinted, *_) in WORKED.items():
        readings = Readings([masstone(alone), tint(tinted)], white.k, white.s, weights_under(Viewing.D65_10))
        solution = solve(SinglePigments([prior]), readings)
        found[name] = np.exp(solution.log_k[0]), np.exp(solution.log_s[0])
    return found


@pytest.mark.parametrize("name", WORKED)
def test_the_colours_come_back(solved, name):
    k, s = solved[name]
    _, alone, tinted, *_ = WORKED[name]
    white = generic_white()
    assert difference(masstone_lab(k, s), alone) < 0.1
    assert difference(mixture_lab([k, white.k], [s, white.s], [1, 9]), tinted) < 0.1


@pytest.mark.parametrize("name", WORKED)
def test_curves_agree_with_another_program(solved, name):
    """Printed to 4 digits; where the stops differ the curves differ by 1 to 3 percent."""
    *_, k, s = WORKED[name]
    np.testing.assert_allclose(solved[name][0][[5, 15, 25]], k, rtol=0.03)
    np.testing.assert_allclose(solved[name][1][[5, 15, 25]], s, rtol=0.04)


@pytest.mark.parametrize(("one", "two", "predicted"), WORKED_MIXTURES)
def test_mixtures_agree_with_another_program(solved, one, two, predicted):
    (k1, s1), (k2, s2) = solved[one], solved[two]
    assert difference(mixture_lab([k1, k2], [s1, s2], [1, 1]), predicted) < 0.15


ULTRAMARINE = Observed((masstone((23.37, 10.03, -22.22)), tint((79.61, -3.30, -23.83))), ("PB29",), "Ultramarine blue")


@pytest.fixture(scope="module")
def ultramarine(rows):
    return recover(ULTRAMARINE, rows)


def reflectances(k, s, parts=(1.0, 0.0), thickness=None):
    """Reflectance of a known paint in a known white, by the closed forms."""
    white = generic_white()
    K, S = mix([k, white.k], [s, white.s], parts)
    R = reflectance_infinite(K, S) if thickness is None else film(K, S, thickness, 0.0)
    return saunderson(R)


def test_readings_are_the_closed_forms(curve):
    """Masstone, tint and film, as colours and as a spectrum, by functions that are tested by themselves."""
    paint, white = curve("quinacridone magenta"), generic_white()
    alone, tinted = reflectances(paint.k, paint.s), reflectances(paint.k, paint.s, (1.0, 9.0))
    veil = reflectances(paint.k, paint.s, thickness=3.0)
    samples = [masstone(cielab(alone)), over(cielab(veil), 3.0), tint(tinted)]
    readings = Readings(samples, white.k, white.s, weights_under(Viewing.D65_10))
    R = readings.reflectance(np.log(paint.k), np.log(paint.s))
    np.testing.assert_allclose(R, [alone, veil, tinted], atol=1e-12)
    np.testing.assert_allclose(readings.of(R), readings.target, atol=1e-9)


@pytest.mark.parametrize("which", ["k", "s"])
def test_slopes_are_those_of_the_readings(curve, which):
    paint, white = curve("quinacridone magenta"), generic_white()
    samples = [masstone((50, 0, 0)), over((30, 0, 0), 2.0), tint(np.full(31, 0.5))]
    readings = Readings(samples, white.k, white.s, weights_under(Viewing.D65_10))
    log_k, log_s = np.log(paint.k), np.log(paint.s)
    at, by_k, by_s = readings.slopes(log_k, log_s)
    move = np.zeros(31)
    move[12] = 1e-5
    moved = (log_k + move, log_s) if which == "k" else (log_k, log_s + move)
    expected = (readings.of(readings.reflectance(*moved)) - at) / 1e-5
    found = (by_k if which == "k" else by_s)[:, 12]
    np.testing.assert_allclose(found, expected, atol=1e-4)


def test_the_solution_is_the_most_probable_one_and_its_evidence(rows):
    """Worked again in full: all 74 unknowns in one vector, slopes by differences, one covariance matrix.

    At the most probable point x = C J' (J C J' + sd^2)^-1 (t - f + J x); the evidence is half the squared misses, half
    x' C^-1 x and half ln det (J C J' + sd^2).
    """
    white = generic_white()
    readings = Readings(ULTRAMARINE.samples, white.k, white.s, weights_under(Viewing.D65_10))
    prior = SinglePigments([row for row in rows if row.ci == "PG7"])
    solution = solve(prior, readings)
    p = len(prior.sd)
    x = np.concatenate((solution.theta[0], solution.u[0], solution.v[0]))

    def f(x):
        log_k, log_s, _ = curves_at(prior, np.array([0]), x[None, :p], x[None, p : p + 31], x[None, p + 31 :])
        return readings.of(readings.reflectance(log_k, log_s))[0]

    C = np.zeros((len(x), len(x)))
    C[:p, :p] = np.diag(prior.sd**2)
    C[p : p + 31, p : p + 31] = prior.absorption.covariance
    C[p + 31 :, p + 31 :] = prior.scattering.covariance
    J = np.stack([(f(x + 1e-5 * step) - f(x - 1e-5 * step)) / 2e-5 for step in np.eye(len(x))], axis=1)
    spread = J @ C @ J.T + np.diag(readings.sd**2)
    miss = readings.target - f(x)
    again = C @ J.T @ np.linalg.solve(spread, miss + J @ x)
    np.testing.assert_allclose(again, x, atol=0.02)
    evidence = 0.5 * ((miss / readings.sd) ** 2).sum() + 0.5 * x @ np.linalg.solve(C, x)
    evidence += 0.5 * np.linalg.slogdet(spread)[1]
    assert solution.evidence[0] == pytest.approx(evidence, abs=1e-3)


def test_the_prior_without_deviation_is_the_row(rows):
    """With every parameter at its mean the prior is the typical curve of the row."""
    prior = SinglePigments(rows)
    log_k, s, per = prior.base(np.zeros((len(rows), len(prior.sd))), np.arange(len(rows)))
    typical = [from_bands(row) for row in rows]
    np.testing.assert_allclose(np.exp(log_k), [curve.k for curve in typical], rtol=1e-12)
    np.testing.assert_allclose(s + per * np.exp(log_k), [curve.s for curve in typical], rtol=1e-12)


def test_the_smooth_deviation_has_its_width():
    """sd 0.25 and length 30 nm: variance 0.0625, and exp(-1/2) of it at 30 nm apart."""
    covariance = smooth(0.25, 30.0).covariance
    assert covariance[4, 4] == pytest.approx(0.0625, abs=2e-6)
    assert covariance[4, 7] == pytest.approx(0.0625 * np.exp(-0.5))


def test_a_recovered_paint(ultramarine):
    curve = ultramarine.curve
    assert curve.origin is Origin.RECOVERED
    assert difference(masstone_lab(curve.k, curve.s), (23.37, 10.03, -22.22)) < 0.5
    assert ultramarine.worst_fit < 0.5
    assert ultramarine.basis is Basis.TINTED
    assert ultramarine.states_tints
    assert not ultramarine.direction_only
    assert ultramarine.candidates[0].labelled
    assert ultramarine.candidates[0].weight > 0.5
    assert ultramarine.rests_on == "Recovered from the masstone and a 1:9 tint."
    assert ultramarine.k_draws.shape == ultramarine.s_draws.shape == (32, 31)


def test_draws_are_positive_and_keep_to_the_colours(ultramarine):
    white = generic_white()
    assert (ultramarine.k_draws > 0.0).all()
    assert (ultramarine.s_draws > 0.0).all()
    tinted = [
        mixture_lab([k, white.k], [s, white.s], [1, 9])
        for k, s in zip(ultramarine.k_draws, ultramarine.s_draws, strict=True)
    ]
    # Readings are good to 0.2 in each of L*, a*, b*, so no draw is far off.
    assert difference(np.array(tinted), (79.61, -3.30, -23.83)).max() < 1.5


def test_the_same_seed_gives_the_same_draws(rows, ultramarine):
    again, other = recover(ULTRAMARINE, rows), recover(ULTRAMARINE, rows, seed=1)
    np.testing.assert_array_equal(again.k_draws, ultramarine.k_draws)
    np.testing.assert_array_equal(again.curve.s, ultramarine.curve.s)
    assert not np.array_equal(other.k_draws, ultramarine.k_draws)
    np.testing.assert_array_equal(other.curve.k, ultramarine.curve.k)
    assert again.fingerprint == ultramarine.fingerprint != other.fingerprint


def test_a_paint_does_not_depend_on_other_paints_and_pigments(rows, ultramarine):
    """Neither on what was recovered before, nor on the row of a pigment that is no candidate."""
    recover(Observed((masstone((42.34, 55.77, 33.03)), tint((72.30, 28.57, 3.92)))), rows)
    for known in (rows, [replace(row, K0=2.0 * row.K0) if row.ci == "PY3" else row for row in rows]):
        np.testing.assert_array_equal(recover(ULTRAMARINE, known).k_draws, ultramarine.k_draws)


def test_the_order_of_samples_hardly_matters(rows, ultramarine):
    turned = recover(Observed(ULTRAMARINE.samples[::-1], ("PB29",), "Ultramarine blue"), rows)
    np.testing.assert_allclose(turned.curve.k, ultramarine.curve.k, rtol=1e-4)


def test_the_fingerprint_changes_with_every_input(rows):
    white = generic_white()
    marks = {
        fingerprint(ULTRAMARINE, rows, white, seed=0),
        fingerprint(ULTRAMARINE, rows, white, seed=1),
        fingerprint(ULTRAMARINE, rows, white, seed=0, draws=8),
        fingerprint(ULTRAMARINE, rows[1:], white, seed=0),
        fingerprint(ULTRAMARINE, rows, blend([white, from_bands(rows[0])]), seed=0),
        fingerprint(Observed(ULTRAMARINE.samples, ("PB28",)), rows, white, seed=0),
    }
    assert len(marks) == 6


@pytest.mark.parametrize("name", ["quinacridone magenta", "yellow ochre", "chromium oxide green"])
def test_more_measurements_bring_the_curve_nearer(rows, name):
    """A paint made from a row with other strength, scattering and a shifted band; its own row is not offered."""
    own = next(row for row in rows if row.name == name)
    others = [row for row in rows if row.ci != own.ci]
    typical, white = from_bands(own), generic_white()
    k, s = 1.6 * np.roll(typical.k, 1), 0.7 * typical.s
    alone, tinted = (cielab(reflectances(k, s, parts)) for parts in ((1.0, 0.0), (1.0, 9.0)))
    veil = cielab(reflectances(k, s, thickness=3.0))
    half = cielab(reflectances(k, s, (1.0, 1.0)))
    partner = from_bands(next(row for row in rows if row.name == "pyrrole red"))
    true = [
        mixture_lab([k, white.k], [s, white.s], [[3, 1], [1, 3]]),
        mixture_lab([k, partner.k], [s, partner.s], [[3, 1], [1, 3]]),
    ]

    def error(*samples):
        found = recover(Observed(samples), others).curve
        worked = [mixture_lab([found.k, other.k], [found.s, other.s], [[3, 1], [1, 3]]) for other in (white, partner)]
        return float(difference(np.array(worked), np.array(true)).mean())

    few = error(masstone(alone), tint(tinted))
    assert few < 2.0
    assert error(masstone(alone), tint(tinted), tint(half, 1, 1), over(veil, 3.0)) < max(0.5, few)
    spectra = error(masstone(reflectances(k, s)), tint(reflectances(k, s, (1.0, 9.0))))
    assert spectra < 0.5


def test_a_noisy_reading_pulls_less(rows):
    """With a standard deviation of 3 the curve may stay near the pigment's own; with 0.2 it follows the reading."""
    odd = (masstone((23.37, 10.03, -22.22)), tint((79.61, 3.0, -10.0)))
    noisy = tuple(type(sample)(lab=sample.lab, paint=sample.paint, white=sample.white, sd=3.0) for sample in odd)
    followed, loose = (recover(Observed(samples, ("PB29",)), rows) for samples in (odd, noisy))
    assert loose.worst_fit > followed.worst_fit


def test_readings_under_another_light(rows):
    """A paint read under D50/2 is recovered as well as one read under D65/10."""
    own = from_bands(next(row for row in rows if row.name == "ultramarine blue"))
    weights = weights_under(Viewing.D50_2)
    alone, tinted = (
        lab_from_relative_xyz(reflectances(own.k, own.s, parts) @ weights.T) for parts in ((1.0, 0.0), (1.0, 9.0))
    )
    found = recover(Observed((masstone(alone), tint(tinted)), ("PB29",), "", Viewing.D50_2), rows)
    white = generic_white()
    assert difference(
        mixture_lab([found.curve.k, white.k], [found.curve.s, white.s], [1, 1]),
        mixture_lab([own.k, white.k], [own.s, white.s], [1, 1]),
    ) < 0.3  # fmt: skip


@pytest.mark.parametrize("viewing", Viewing)
def test_weights_under_a_light_sum_to_one(viewing):
    np.testing.assert_allclose(weights_under(viewing).sum(axis=1), 1.0)


def test_several_pigments_in_one_paint(rows):
    """PY3 + PG7 in three to one, made by adding typical curves; equal parts are what the label lets one assume."""
    pigments = [from_bands(next(row for row in rows if row.ci == ci)) for ci in ("PY3", "PG7")]
    paint = blend(pigments, [3, 1])
    samples = (
        masstone(cielab(reflectances(paint.k, paint.s))),
        tint(cielab(reflectances(paint.k, paint.s, (1.0, 9.0)))),
    )
    found = recover(Observed(samples, ("PY3", "PG7"), "Permanent green light"), rows)
    assert found.candidates[0].name == "PY3 Hansa yellow light + PG7 phthalo green blue shade"
    assert found.worst_fit < 0.5
    np.testing.assert_allclose(np.log(found.curve.k), np.log(paint.k), atol=0.6)


def test_a_wrong_label_is_told(rows):
    """The colours are those of a yellow, the label says ultramarine."""
    yellow = (masstone((83.94, 9.99, 95.79)), tint((91.93, 0.65, 42.73)))
    found = recover(Observed(yellow, ("PB29",)), rows)
    assert not found.candidates[0].labelled
    assert "than like the label" in found.rests_on


def test_a_code_without_a_row(rows):
    found = recover(Observed(ULTRAMARINE.samples, ("PX99",)), rows)
    assert "No typical curve is known for PX99" in found.rests_on
    assert found.worst_fit < 0.5


def test_a_crystal_form_without_a_row_takes_its_kin(rows):
    blue = (masstone((24.14, 9.19, -20.66)), tint((71.94, -21.95, -28.93)))
    found = recover(Observed(blue, ("PB15:4",), "Phthalo blue"), rows)
    assert found.candidates[0].labelled
    assert found.candidates[0].name.startswith("PB15:")


def test_the_white_from_its_own_masstone(rows):
    found = recover_white((97.05, -0.68, 1.44))
    assert difference(masstone_lab(found.curve.k, found.curve.s), (97.05, -0.68, 1.44)) < 0.2
    np.testing.assert_allclose(found.curve.s, 1.0, atol=1e-5)
    assert found.states_tints
    zinc = recover_white((95.5, -0.5, 2.0), next(row for row in rows if row.ci == "PW4"))
    np.testing.assert_allclose(zinc.curve.s, 0.35, atol=1e-5)


def test_a_masstone_alone(rows):
    alone = ULTRAMARINE.samples[:1]
    coded, bare = recover(Observed(alone, ("PB29",)), rows), recover(Observed(alone), rows)
    assert (coded.basis, coded.states_tints) == (Basis.ALONE_WITH_CODE, True)
    assert (bare.basis, bare.states_tints) == (Basis.ALONE, False)
    assert [candidate.name for candidate in coded.candidates] == ["PB29 ultramarine blue"]
    assert "known only alone" in bare.rests_on
    white = generic_white()
    near = mixture_lab([coded.curve.k, white.k], [coded.curve.s, white.s], [1, 9])
    # The tint is not measured; 4.4 on average is what a masstone and a code are worth.
    assert difference(near, (79.61, -3.30, -23.83)) < 10.0


def test_films_without_white_are_a_direction_only(rows):
    own = from_bands(next(row for row in rows if row.name == "ultramarine blue"))
    films = tuple(over(cielab(saunderson(film(own.k, own.s, X, 0.8))), X, 0.8) for X in (1.0, 3.0))
    found = recover(Observed(films, ("PB29",)), rows)
    assert found.basis is Basis.FILMS
    assert found.direction_only
    assert not found.states_tints
    assert "a direction only" in found.rests_on


@pytest.mark.parametrize(
    ("samples", "kind", "words"),
    [
        ((masstone((79.6, -3.3, -23.8)), tint((23.4, 10.0, -22.2))), DoubtKind.SWAPPED, "Were the two exchanged"),
        ((masstone((80.0, 2.0, 60.0)), tint((70.0, 2.0, 30.0))), DoubtKind.DARKER_TINT, "white does not darken"),
        ((masstone((40.0, 2.0, 30.0)), tint((40.1, 2.0, 30.0))), DoubtKind.SAME, "typed twice"),
        (
            (masstone((80.0, 2.0, 60.0)), tint((100.0, 0.0, 0.0))),
            DoubtKind.LIGHTER_THAN_WHITE,
            "lighter than the white",
        ),
        ((masstone((9.0, 0.0, 0.0)),), DoubtKind.DARKER_THAN_SURFACE, "specular included"),
    ],
)
def test_colours_that_do_not_go_together(rows, samples, kind, words):
    with pytest.raises(DoubtfulColours, match=words) as raised:
        recover(Observed(samples), rows)
    assert [doubt.kind for doubt in raised.value.doubts] == [kind]


def test_a_question_may_be_answered(rows):
    matt = Observed((masstone((17.0, 0.0, 0.0)), tint((50.0, -0.6, -4.4))), ("PBk7",))
    with pytest.raises(DoubtfulColours):
        recover(matt, rows)
    assert recover(matt, rows, confirmed={DoubtKind.DARKER_THAN_SURFACE}).basis is Basis.TINTED
    # What cannot be is not up for an answer.
    swapped = (masstone((79.6, -3.3, -23.8)), tint((23.4, 10.0, -22.2)))
    with pytest.raises(DoubtfulColours, match="exchanged"):
        recover(Observed(swapped), rows, confirmed=set(DoubtKind))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda rows: masstone((167.0, 0.0, 0.0)), "L\\* must be 0 to 100, not 167"),
        (lambda rows: masstone((np.nan, 0.0, 0.0)), "one is missing or not a number"),
        (lambda rows: masstone((50.0, 200.0, 0.0)), "no paint is above 150"),
        (lambda rows: masstone(np.full(31, 55.0)), "fraction from 0 to 1, not 55; divide percentages"),
        (lambda rows: masstone(np.full(30, 0.5)), "31 values"),
        (lambda rows: tint((50.0, 0.0, 0.0), 1.0, -1.0), "white must be 0 or more parts, not -1"),
        (lambda rows: tint((50.0, 0.0, 0.0), 0.0, 0.0), "part above 0"),
        (lambda rows: over((50.0, 0.0, 0.0), 0.0), "thickness must be above 0, not 0"),
        (lambda rows: over((50.0, 0.0, 0.0), 1.0, 1.5), "ground must be a reflectance"),
        (lambda rows: masstone((50.0, 0.0, 0.0), sd=0.0), "deviation of a reading must be above 0, not 0"),
        (lambda rows: Observed(()), "no colour was given"),
        (lambda rows: Observed(ULTRAMARINE.samples, tuple(f"PB{i}" for i in range(9))), "9 pigments is too many"),
        (lambda rows: recover_white((83.4, 2.0, 16.6)), "is not a white"),
        (lambda rows: recover(ULTRAMARINE, rows, from_bands(rows[0])), "is not a white"),
        (lambda rows: recover(ULTRAMARINE, rows, draws=0), "draws must be at least 1, not 0"),
        (lambda rows: recover(ULTRAMARINE, rows, seed=-1), "seed must be 0 or more, not -1"),
        (lambda rows: recover(Observed(ULTRAMARINE.samples), ()), "load the optics table first"),
    ],
)  # fmt: skip
def test_refused_input(rows, call, words):
    with pytest.raises(ValueError, match=words):
        call(rows)
