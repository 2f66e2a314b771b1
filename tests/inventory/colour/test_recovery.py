"""Curves from a paint's colours: fits and predictions worked apart from this code, laws, and what is refused."""

import numpy as np
import pytest

from inventory.colour.appearance import difference
from inventory.colour.curves import BandRow
from inventory.colour.mixing import masstone_lab, mixture_lab
from inventory.colour.prior import SinglePigments
from inventory.colour.recovery import generic_white
from inventory.colour.samples import masstone, tint
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
