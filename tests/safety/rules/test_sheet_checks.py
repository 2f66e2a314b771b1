"""A sheet is asked about, never corrected. What leads to which sign and word is the standard's own table."""

from datetime import date

import pytest

from safety.rules.sheet_checks import Printed, questions, ufi_fits
from tests.safety.reference import phrasebook

DATED = date(2026, 1, 5)


def asked(**printed):
    return {one.key: one for one in questions(Printed(**{"revised_on": DATED, **printed}), phrasebook())}


@pytest.mark.parametrize(
    "printed",
    [
        # UN GHS Annex 3: each of these is one statement with its own word and sign.
        {"h_codes": ("H350",), "signal_word": "Danger", "pictograms": ("GHS08",)},
        {"h_codes": ("H317",), "signal_word": "Warning", "pictograms": ("GHS07",)},
        {"h_codes": ("H412",)},
        {"h_codes": ("H242",), "signal_word": "Warning", "pictograms": ("GHS02",)},  # types E and F; C and D: Danger
        {"h_codes": ("H242",), "signal_word": "Danger", "pictograms": ("GHS02",)},
        {"says_not_classified": True, "h_codes": ("EUH210",)},
        # A thinner: H226 GHS02, H304 GHS08, H336 GHS07; CLP Annex III.
        {
            "h_codes": ("H226", "H304", "H336", "EUH066"),
            "signal_word": "Danger",
            "pictograms": ("GHS02", "GHS07", "GHS08"),
        },
        # 29 CFR 1910.1200 leaves hazards to the environment out: a US sheet need not show GHS09.
        {"h_codes": ("H411",), "jurisdiction": "US"},
    ],
)
def test_what_fits_is_not_asked_about(printed):
    assert not asked(**printed)


@pytest.mark.parametrize(
    ("printed", "key", "said"),
    [
        (
            {"h_codes": ("H350",), "signal_word": "Warning", "pictograms": ("GHS08",)},
            "signal-word",
            "lead to Danger (H350)",
        ),
        ({"h_codes": ("H317",), "pictograms": ("GHS07",)}, "signal-word", "prints no signal word"),
        ({"h_codes": ("H412",), "signal_word": "Warning"}, "signal-word", "lead to none"),
        ({"signal_word": "Danger"}, "signal-word:alone", "Which statements stand there?"),
        ({"pictograms": ("GHS02",)}, "signs:alone", "It shows GHS02"),
        ({"h_codes": ("H226",), "signal_word": "Warning"}, "signs:missing", "lead to GHS02"),
        (
            {"h_codes": ("H317",), "signal_word": "Warning", "pictograms": ("GHS07", "GHS05")},
            "signs:GHS05",
            "none of its statements leads to it",
        ),
        # CLP Article 26(1)(b): where GHS06 stands, GHS07 does not.
        (
            {"h_codes": ("H301", "H315"), "signal_word": "Danger", "pictograms": ("GHS06", "GHS07")},
            "signs:GHS07",
            "Article 26(1)(b)",
        ),
        # CLP Annex III part 1: H410 makes H400 needless.
        (
            {"h_codes": ("H400", "H410"), "signal_word": "Warning", "pictograms": ("GHS09",)},
            "beside:H400",
            "H410 is shown",
        ),
        ({"unknown_codes": ("H35O",)}, "unknown:H35O", "H350 is."),
        # Printed before the list of statements held it: Regulation (EU) 2023/707.
        ({"unknown_codes": ("EUH380",)}, "unknown:EUH380", "Copy the sheet once more"),
        # Annex II, 2.8: EUH208 contains the name of the sensitiser.
        ({"h_codes": ("EUH208",)}, "words:EUH208", "names what can cause an allergy"),
        ({"h_codes": ("H412",), "revised_on": None}, "date:none", "No revision date"),
        ({"h_codes": ("H412",), "revised_on": date(2007, 5, 1)}, "date:before-codes", "20 January 2009"),
        ({"h_codes": ("H412",), "ufi": "N1QV-R02N-J00M-WQD6"}, "ufi", "check digit"),
    ],
)
def test_what_does_not_fit_is_asked(printed, key, said):
    found = asked(**printed)
    assert list(found) == [key]
    assert said in found[key].text
    assert found[key].source


INHALED = {"h_codes": ("H351 (inhalation)",), "signal_word": "Warning", "pictograms": ("GHS08",)}


@pytest.mark.parametrize(
    ("printed", "is_asked"),
    [
        (INHALED | {"pigments": ("PW6",)}, True),
        (INHALED | {"cas": ("13463-67-7",)}, True),
        (INHALED | {"jurisdiction": "EU", "pigments": ("PW6", "PB29")}, True),
        (INHALED, True),  # no pigment is known, and inhalation is how titanium dioxide was classified
        ({"h_codes": ("EUH211",)}, True),
        ({"h_codes": ("EUH212",), "jurisdiction": "Germany"}, True),
        (INHALED | {"pigments": ("PG17",)}, False),  # H351 of another pigment is not the court's matter
        (INHALED | {"pigments": ("PW6",), "jurisdiction": "Great Britain"}, False),  # keeps a list of its own
        ({"h_codes": ("H350i",), "signal_word": "Danger", "pictograms": ("GHS08",), "pigments": ("PW6",)}, False),
    ],
)
def test_the_annulled_classification_of_titanium_dioxide_is_asked_about(printed, is_asked):
    """General Court, 23 November 2022, T-279/20 (EU:T:2022:725); Court of Justice, 1 August 2025, C-71/23 P."""
    found = asked(**printed)
    assert ("annulled:titanium-dioxide" in found) is is_asked
    if is_asked:
        assert "C-71/23 P" in found["annulled:titanium-dioxide"].source
        assert "not to be breathed" in found["annulled:titanium-dioxide"].text  # never that it is harmless


def test_what_was_revised_is_asked_of_older_sheets_only():
    """CLP Annex VI, index 607-230-00-6 from 1 February 2025, and 613-088-00-6 from 1 September 2025."""
    drier = {
        "h_codes": ("H361d", "H317"),
        "signal_word": "Warning",
        "pictograms": ("GHS07", "GHS08"),
        "cas": ("136-52-7",),
    }
    assert list(asked(**drier, revised_on=date(2025, 1, 31))) == ["revised:2-ethylhexanoates"]
    assert not asked(**drier, revised_on=date(2025, 2, 1))
    acrylic = {"h_codes": ("EUH208 (1,2-benzisothiazol-3(2H)-one)",), "says_not_classified": True}
    assert list(asked(**acrylic, revised_on=date(2025, 8, 31))) == ["revised:benzisothiazolone"]
    assert not asked(**acrylic, revised_on=date(2025, 9, 1))


@pytest.mark.parametrize(
    ("typed", "fits"),
    [
        # Identifiers printed in public descriptions of the UFI.
        ("N1QV-R02N-J00M-WQD5", True),
        ("UFI: R3NN-3KVT-2XSG-W43J", True),
        ("ufi r3nn-3kvt-2xsg-w43j", True),
        ("R3NN-3KVT-2XSG-W43K", False),  # one letter wrong
        ("3RNN-3KVT-2XSG-W43J", False),  # two letters swapped
        ("R3NN-3KVT-2XSG", False),
        ("R3NN3KVT2XSGW43J", False),
        ("O3NN-3KVT-2XSG-W43J", False),  # O does not occur
        ("", False),
    ],
)
def test_a_ufi_has_a_check_digit(typed, fits):
    """The rule from memory (ECHA, UFI Developers Manual, 2021); it holds for both published identifiers."""
    assert ufi_fits(typed) is fits
