"""The weakest pigment rules; marks on different scales are not compared."""

import pytest

from inventory.labels.lasting import Rated, weakest_pigment

LASTING, FUGITIVE, UNRATED = Rated("PB29", "I"), Rated("PR83", "III"), Rated("BV10", "")


@pytest.mark.parametrize(
    ("pigments", "value", "scale", "words"),
    [
        ([LASTING, FUGITIVE], "", "unknown", "III, by PR83"),
        ([LASTING, FUGITIVE], "I", "astm", "III, by PR83"),
        ([LASTING, FUGITIVE], "III", "astm", None),
        ([LASTING, FUGITIVE], "IV", "astm", None),
        ([LASTING, FUGITIVE], "7-8", "blue-wool", "III, by PR83"),
        ([LASTING, UNRATED], "", "unknown", "at best I, by PB29"),
        ([FUGITIVE, UNRATED], "of 4", "maker", "at best III, by PR83"),
        # The maker knows a paint of one pigment better than a table of what is common.
        ([FUGITIVE], "I", "astm", None),
        ([FUGITIVE], "", "unknown", "III, by PR83"),
        ([UNRATED], "", "unknown", None),
        ([], "", "unknown", None),
    ],
)
def test_the_weakest_pigment_rules(pigments, value, scale, words):
    """Common practice, no source: a mixture fades as its weakest pigment does."""
    found = weakest_pigment(pigments, value=value, scale=scale)
    assert (found and found.words) == words
