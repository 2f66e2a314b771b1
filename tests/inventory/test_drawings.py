"""What is drawn of a paint and of a tube: only what is known, marked where it is estimated, and escaped."""

from xml.etree import ElementTree

import pytest

from inventory.templatetags.drawings import swatch

KNOWN = {"masstone": "#232a6b", "tint": "#8f9fd6", "over_black": "#10112c", "origin": "typical", "note": ""}
ODD = "<b>\"&' {0} {size} %s"


def drawn(colours, **kwargs):
    root = ElementTree.fromstring(swatch(colours, **kwargs))  # noqa: S314  # our own
    fills = [each.get("fill") for each in root.iter() if each.get("fill")]
    return root, fills, root[0].get("aria-label")


@pytest.mark.parametrize(
    ("change", "fills", "words"),
    [
        (
            {},
            ["#232a6b", "#10112c", "#8f9fd6"],
            "Blue: masstone left, tint with nine parts of white right, estimated",
        ),
        (
            {"origin": "measured", "over_black": None},
            ["#232a6b", "#8f9fd6"],
            "Blue: masstone left, tint with nine parts of white right",
        ),
        ({"tint": None, "over_black": None}, ["#232a6b"], "Blue: masstone, estimated"),
        ({"masstone": None}, [], "Blue: colour not known"),
    ],
)
def test_a_swatch_shows_what_is_known_and_says_so(change, fills, words):
    root, found, label = drawn({**KNOWN, **change}, name="Blue")
    assert (found, label) == (fills, words)
    estimated = "estimated" in words
    assert ("hatch" in [each.get("class") for each in root.iter()]) == estimated
    assert ("".join(root.itertext()).strip() == "estimated") == estimated


def test_an_unknown_colour_is_a_frame_with_a_question_mark():
    root, fills, label = drawn(None, size="large")
    assert (fills, label, "".join(root.itertext()).strip()) == ([], "colour not known", "?")
    assert root.get("class") == "swatch swatch-large"


@pytest.mark.parametrize("colours", [None, KNOWN, {**KNOWN, "masstone": ODD, "tint": ODD, "over_black": ODD}])
def test_whatever_it_is_given_stays_text(colours):
    root, fills, label = drawn(colours, name=ODD)
    assert label.startswith(f"{ODD}: ")
    assert root.find(".//b") is None
    assert fills == ([colours["masstone"], colours["over_black"], colours["tint"]] if colours else [])
