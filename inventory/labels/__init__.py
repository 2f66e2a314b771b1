"""Reads what a label says. Text in, frozen dataclasses out: no Django, no files, no database.

Every reading keeps the typed text beside what was made of it, and says what it is unsure of as a `Doubt`.

How an answer comes back: `read_pigments` takes it as `chosen`, an option's value under its doubt's `key`. For a mark,
an amount or a number, the option's value is itself a text that reads without a question ("ASTM I", "4 fl oz"); for a
price it is the currency to pass.
"""

from .amounts import Amount, Count, Fraction, read_amount, read_count, read_fraction
from .appearance import Opacity, OpacityMark, Strength, StrengthMark, read_opacity, read_strength
from .doubts import LONGEST_LABEL, Doubt, Option, Severity, settled
from .folding import check_letters, says_nothing, search_key
from .marks import Band, LightfastnessScale, MakerScale, Mark, Weakest, read_lightfastness, scale_of_column, weakest
from .money import MINOR_DIGITS, Money, read_money
from .names import MetalClaim, NameClaims, ShadeReading, name_claims, shade_of
from .numbers import DecimalReading, read_decimal
from .pigments import read_pigments, says_unknown
from .readings import Filler, PigmentReading, ReadPigment, Unresolved, check_single_pigment
from .vocabulary import COMMON_SHADES, EXTENDERS, KnownPigment, NearCode, Vocabulary

__all__ = [
    "COMMON_SHADES",
    "EXTENDERS",
    "LONGEST_LABEL",
    "MINOR_DIGITS",
    "Amount",
    "Band",
    "Count",
    "DecimalReading",
    "Doubt",
    "Filler",
    "Fraction",
    "KnownPigment",
    "LightfastnessScale",
    "MakerScale",
    "Mark",
    "MetalClaim",
    "Money",
    "NameClaims",
    "NearCode",
    "Opacity",
    "OpacityMark",
    "Option",
    "PigmentReading",
    "ReadPigment",
    "Severity",
    "ShadeReading",
    "Strength",
    "StrengthMark",
    "Unresolved",
    "Vocabulary",
    "Weakest",
    "check_letters",
    "check_single_pigment",
    "name_claims",
    "read_amount",
    "read_count",
    "read_decimal",
    "read_fraction",
    "read_lightfastness",
    "read_money",
    "read_opacity",
    "read_pigments",
    "read_strength",
    "says_nothing",
    "says_unknown",
    "scale_of_column",
    "search_key",
    "settled",
    "shade_of",
    "weakest",
]
