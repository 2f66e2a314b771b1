"""Which paints are watched for fading, each on its own scale."""

import pytest

from inventory.labels.lasting import Rated, findings, lasting_known

GOOD, POOR, UNRATED = Rated("PB29", "I"), Rated("PR83", "IV"), Rated("PB999", "")


@pytest.mark.parametrize(
    ("pigments", "mark", "found"),
    [
        ([GOOD], {}, []),
        ([GOOD, POOR], {}, [("astm", "IV", "common for PR83")]),
        ([UNRATED, POOR], {}, [("astm", "IV", "common for PR83")]),
        # The maker knows the one pigment that is in it; of several, the weakest rules.
        ([POOR], {"value": "II", "scale": "astm"}, []),
        ([GOOD, POOR], {"value": "II", "scale": "astm"}, [("astm", "IV", "common for PR83")]),
        ([GOOD], {"value": "III", "scale": "astm", "text": "ASTM III"}, [("astm", "III", "by its label")]),
        ([], {"value": "3", "scale": "blue-wool"}, [("blue-wool", "3", "by its label")]),
        ([], {"value": "4", "scale": "blue-wool"}, []),
        ([], {"value": "3-4", "scale": "blue-wool"}, [("blue-wool", "3-4", "by its label")]),
        # Two scales speak of one paint, and neither is turned into the other.
        (
            [POOR],
            {"value": "2", "scale": "blue-wool"},
            [("astm", "IV", "common for PR83"), ("blue-wool", "2", "by its label")],
        ),
        (
            [],
            {"value": "*", "scale": "maker", "text": "*", "band": "fugitive"},
            [("maker", "*", "label; we count it as fugitive")],
        ),
        ([], {"value": "B", "scale": "maker", "band": "unknown"}, []),
    ],
)
def test_what_may_fade_is_told_on_its_own_scale(pigments, mark, found):
    assert [(one.scale, one.value, one.why) for one in findings(pigments, **mark)] == found


@pytest.mark.parametrize(
    ("pigments", "mark", "known"),
    [
        ([], {}, False),
        ([UNRATED], {}, False),
        ([GOOD, UNRATED], {}, False),
        ([GOOD], {}, True),
        ([UNRATED], {"value": "7", "scale": "blue-wool"}, True),
        ([UNRATED], {"value": "B", "scale": "maker", "band": "unknown"}, False),
    ],
)
def test_not_known_is_no_promise(pigments, mark, known):
    assert lasting_known(pigments, **mark) is known
