"""What is written on a waste container: full words, that a person who knows no chemistry can read.

Formulas and abbreviations are refused (common practice for waste labels, no source). What is let through is not
thereby right: it is only readable.
"""

import re
from itertools import pairwise

_ELEMENTS = (
    r"H|He|Li|Be|B|C|N|O|F|Ne|Na|Mg|Al|Si|P|S|Cl|Ar|K|Ca|Sc|Ti|V|Cr|Mn|Fe|Co|Ni|Cu|Zn|Ga|Ge|As|Se|Br|Kr|Rb|Sr|Y|Zr"
    r"|Nb|Mo|Tc|Ru|Rh|Pd|Ag|Cd|In|Sn|Sb|Te|I|Xe|Cs|Ba|La|Ce|Pr|Nd|Pm|Sm|Eu|Gd|Tb|Dy|Ho|Er|Tm|Yb|Lu|Hf|Ta|W|Re|Os|Ir"
    r"|Pt|Au|Hg|Tl|Pb|Bi|Po|At|Rn|Fr|Ra|Ac|Th|Pa|U|Np|Pu|Am|Cm|Bk|Cf|Es|Fm|Md|No|Lr|Rf|Db|Sg|Bh|Hs|Mt|Ds|Rg|Cn|Nh|Fl"
    r"|Mc|Lv|Ts|Og"
)
_FORMULA = re.compile(rf"(?:(?:{_ELEMENTS})\d*){{2,}}|[HNO]2|O3|Cl2")
# Symbols of metals in paint and driers, alone. Those that are words or beginnings too (As, In, No, I) are left out.
_METALS = {"Pb", "Cd", "Hg", "Cr", "Ni", "Zn", "Mn", "Sb", "Se", "Ba", "Sr", "Ti", "Cu", "Co"}
# Written in any case. From memory; what is not listed is caught where it stands in capitals among small letters.
_KNOWN = {
    "ipa",
    "mek",
    "mibk",
    "oms",
    "dmso",
    "dmf",
    "nmp",
    "thf",
    "dcm",
    "tce",
    "pce",
    "voc",
    "etoh",
    "meoh",
    "acn",
    "pgme",
    "pgmea",
    "tbac",
    "hcl",
    "naoh",
    "koh",
    "h2o",
    "h2o2",
    "haz",
    "pbs",
    "misc",
    "chem",
    "chems",
    "solv",
    "tbd",
    "etc",
}
# Codes that tell a thing apart: a Colour Index name, a number of the United Nations.
_CODES = re.compile(r"P(?:Y|O|R|V|B|G|Br|Bk|W|M)\d{1,3}|UN\d{4}", re.IGNORECASE)
_NUMERAL = re.compile(r"[IVX]+")
# Whole words that people write in capitals among small letters.
_WORDS = {"NOT", "AND", "WITH", "NO", "OIL", "USED", "ONLY", "FULL"}


def shortened(text: str) -> tuple[str, ...]:
    """The formulas and abbreviations in a text, as they stand there, each once. Empty: none was found."""
    all_capitals = not any(letter.islower() for letter in text)
    return tuple(dict.fromkeys(word for word in re.findall(r"[^\W_]+", text) if _is_short(word, all_capitals)))


def _is_short(word: str, all_capitals: bool) -> bool:
    if _CODES.fullmatch(word) or _NUMERAL.fullmatch(word):
        return False
    if word.casefold() in _KNOWN or word in _METALS:
        return True
    if not word.isupper():
        return bool(_FORMULA.fullmatch(word)) and _looks_written_as_formula(word)
    if any(letter.isdigit() for letter in word):
        return bool(_FORMULA.fullmatch(word))
    if all_capitals:
        return word.isascii() and len(word) > 1 and not set(word) & set("AEIOUY")
    return 2 <= len(word) <= 5 and word not in _WORDS


def _looks_written_as_formula(word: str) -> bool:
    """A capital after the first letter, or a digit: else Carbon would be Ca, Rb, O and N in another case."""
    return any(letter.isupper() or letter.isdigit() for letter in word[1:])


def says_something(text: str) -> bool:
    """Whether there is a word in it at all."""
    return any(letter.isalpha() and after.isalpha() for letter, after in pairwise(text))
