"""How heavy a paint is: held against published amounts of oil."""

import pytest

from inventory.stock.density import LINSEED_OIL, estimated_density

# Parts by weight of oil to 100 of pigment, the least and the most of two makers' figures (1901) in A. H. Church, The
# Chemistry of Paints and Painting, chapter on oil colours; densities in g/ml are round handbook values.
CHURCH = [
    ("white lead", 15, 16, 6.7),
    ("zinc white", 19, 23, 5.6),
    ("cadmium yellow", 37, 57, 4.8),
    ("viridian", 52, 56, 3.3),
    ("cobalt blue", 50, 90, 4.2),
    ("ultramarine", 34, 43, 2.35),
    ("Prussian blue", 72, 78, 1.8),
    ("ivory black", 88, 112, 2.3),
]


@pytest.mark.parametrize(("name", "least_oil", "most_oil", "density"), CHURCH)
def test_the_estimate_encloses_what_published_amounts_of_oil_give(name, least_oil, most_oil, density):
    estimate = estimated_density([density], "oil")
    for oil in (least_oil, most_oil):
        published = (100 + oil) / (100 / density + oil / LINSEED_OIL) * 1000  # mass by volume
        assert abs(published - estimate.milli) <= estimate.error_milli, name
    assert estimate.is_estimate


def test_two_pigments_widen_it():
    one, two = estimated_density([4.2], "oil"), estimated_density([4.2, 1.6], "oil")
    assert two.error_milli > one.error_milli
    assert two.milli - two.error_milli < one.milli - one.error_milli


@pytest.mark.parametrize(
    ("pigments", "binder"), [([], "oil"), ([None], "oil"), ([4.2, None], "oil"), ([4.2], "unknown"), ([4.2], "")]
)
def test_what_is_not_known_gives_no_estimate(pigments, binder):
    assert estimated_density(pigments, binder) is None
