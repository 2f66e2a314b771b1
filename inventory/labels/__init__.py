"""Reads what a label says. Text in, frozen dataclasses out: no Django, no files, no database.

Every reading keeps the typed text beside what was made of it, and says what it is unsure of as a `Doubt`.
"""

from .doubts import LONGEST_LABEL, Doubt, Option, Severity, settled
from .folding import check_letters, search_key
from .names import MetalClaim, NameClaims, ShadeReading, name_claims, shade_of
from .pigments import (
    Filler,
    PigmentReading,
    ReadPigment,
    Unresolved,
    check_single_pigment,
    read_pigments,
    says_unknown,
)
from .vocabulary import COMMON_SHADES, EXTENDERS, KnownPigment, NearCode, Vocabulary

__all__ = [
    "COMMON_SHADES",
    "EXTENDERS",
    "LONGEST_LABEL",
    "Doubt",
    "Filler",
    "KnownPigment",
    "MetalClaim",
    "NameClaims",
    "NearCode",
    "Option",
    "PigmentReading",
    "ReadPigment",
    "Severity",
    "ShadeReading",
    "Unresolved",
    "Vocabulary",
    "check_letters",
    "check_single_pigment",
    "name_claims",
    "read_pigments",
    "says_unknown",
    "search_key",
    "settled",
    "shade_of",
]
