"""What is written on waste: full words. Common practice for waste labels, no source."""

import pytest

from safety.rules.full_words import says_something, shortened


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("IPA", ("IPA",)),
        ("ipa with paint", ("ipa",)),
        ("Used OMS and MEK", ("OMS", "MEK")),
        ("C3H8O", ("C3H8O",)),
        ("CH3COCH3 wash", ("CH3COCH3",)),
        ("NaOH solution", ("NaOH",)),
        ("H2O and H2O2", ("H2O", "H2O2")),
        ("PbCO3 dust", ("PbCO3",)),
        ("Ca(OH)2 slurry", ("OH",)),
        ("TiO2, CoAl2O4", ("TiO2", "CoAl2O4")),
        ("Rags with Cd and Pb", ("Cd", "Pb")),
        ("USED OIL WITH THF", ("THF",)),
        ("USED OIL WITH XZW", ("XZW",)),
        ("Paint, misc", ("misc",)),
    ],
)
def test_formulas_and_abbreviations_are_found(text, found):
    assert shortened(text) == found


@pytest.mark.parametrize(
    "text",
    [
        "Isopropyl alcohol",
        "White spirit with oil paint",
        "WHITE SPIRIT WITH OIL PAINT",
        "White spirit, NOT for rags",
        "Odourless mineral spirits and linseed oil; contains cadmium red (PR108)",
        "Chromium(VI) compounds, chromium III oxide",
        "Wash water with acrylic paint, 10 l",
        "In water: No solvents. As collected. I think.",
        "UN1263 paint related material",
        "N-methyl pyrrolidone",
        "Terpentinersatz mit Ölfarbe",
        "Растворитель с масляной краской",
        "Carbon black, Cobalt drier, Copper",
    ],
)
def test_full_words_pass(text):
    assert shortened(text) == ()


@pytest.mark.parametrize(("text", "answer"), [("", False), ("?", False), ("1 2 3", False), ("a", False), ("Öl", True)])
def test_something_must_be_said(text, answer):
    assert says_something(text) is answer
