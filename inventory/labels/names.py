"""What the name of a paint claims: colours, metals, imitation. A claim, never a fact about what is in the tube."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from .doubts import LONGEST_LABEL
from .folding import bare_letters

_FAMILIES = {
    "white": "white",
    "buff": "white yellow brown",
    "yellow": "yellow orange brown",
    "lemon": "yellow",
    "gold": "yellow orange brown green",
    "ochre": "yellow orange red brown",
    "orange": "orange red yellow brown",
    "red": "red orange violet brown",
    "scarlet": "red orange",
    "crimson": "red violet",
    "carmine": "red violet",
    "maroon": "red violet brown",
    "vermilion": "red orange",
    "pink": "red violet",
    "rose": "red violet",
    "magenta": "red violet",
    "violet": "violet red blue",
    "purple": "violet red blue",
    "mauve": "violet red blue",
    "blue": "blue violet",
    "cyan": "blue green",
    "turquoise": "blue green",
    "teal": "blue green",
    "cerulean": "blue green",
    "green": "green blue",
    "olive": "green yellow brown",
    "brown": "brown red orange yellow black",
    "umber": "brown red yellow black",
    "sienna": "brown red orange yellow",
    "sepia": "brown black red",
    "grey": "black white brown blue green",
    "black": "black",
}
# Other spellings and languages, accents and case removed; compound words of German end in the colour.
_SAME_WORD = {
    "gray": "grey", "ocher": "ochre", "lilac": "mauve", "lavender": "mauve", "aqua": "turquoise", "golden": "gold",
    "blanc": "white", "jaune": "yellow", "citron": "lemon", "ocre": "ochre", "rouge": "red", "ecarlate": "scarlet",
    "carmin": "carmine", "vermillon": "vermilion", "vermillion": "vermilion", "bleu": "blue", "vert": "green",
    "verte": "green", "brun": "brown", "noir": "black", "gris": "grey", "pourpre": "purple", "ombre": "umber",
    "weiss": "white", "gelb": "yellow", "zitron": "lemon", "ocker": "ochre", "rot": "red", "scharlach": "scarlet",
    "karmin": "carmine", "zinnober": "vermilion", "rosa": "pink", "violett": "violet", "purpur": "purple",
    "blau": "blue", "turkis": "turquoise", "grun": "green", "grunlich": "green", "braun": "brown", "umbra": "umber",
    "siena": "sienna", "grau": "grey", "schwarz": "black",
    "bianco": "white", "giallo": "yellow", "limone": "lemon", "ocra": "ochre", "arancio": "orange", "rosso": "red",
    "viola": "violet", "blu": "blue", "turchese": "turquoise", "verde": "green", "bruno": "brown", "nero": "black",
    "blanco": "white", "amarillo": "yellow", "limon": "lemon", "naranja": "orange", "rojo": "red", "azul": "blue",
    "turquesa": "turquoise", "marron": "brown", "negro": "black",
}  # fmt: skip
_COMPOUND_ENDS = ("weiss", "gelb", "orange", "rot", "violett", "blau", "grun", "braun", "grau", "schwarz", "ocker")
_RUSSIAN_STEMS = {
    "бел": "white", "желт": "yellow", "оранж": "orange", "красн": "red", "фиолет": "violet", "син": "blue",
    "голуб": "blue", "зелен": "green", "коричн": "brown", "сер": "grey", "черн": "black",
    "охр": "ochre", "умбр": "umber",
}  # fmt: skip

# Metals that a traditional name speaks of, as elements; common practice, no source.
_METAL_WORDS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    (r"[ck]admium\w{0,6}|cadmio|кадми\w{1,4}", "cadmium", ("Cd",)),
    (r"[ck]obalt\w{0,6}|кобальт\w{0,4}|aureolin\w?|c(?:o?e)?rulean|coeruleum", "cobalt", ("Co",)),
    (r"lead|flake white|cremnitz|kremser|blei\w{0,6}|plomb|minium|massicot", "lead", ("Pb",)),
    (r"chrome|chromium|chromox[iy]d\w{0,6}|chromgelb|chromgrun|viridian", "chromium", ("Cr3", "Cr6")),
    (r"naples yellow|jaune de naples|neapelgelb", "lead antimonate", ("Pb", "Sb")),
    (r"vermill?ion|cinnabar|zinnober|vermillon", "mercury", ("Hg",)),
    (r"emerald green|schweinfurt|scheele'?s|orpiment|king'?s yellow", "arsenic", ("As",)),
    (r"nickel\w{0,6}", "nickel", ("Ni",)),
    (r"manganese|mangan\w{0,6}", "manganese", ("Mn",)),
    (r"zinc|zink\w{0,6}", "zinc", ("Zn",)),
    (r"barium", "barium", ("Ba",)),
    (r"antimony|antimon", "antimony", ("Sb",)),
    (r"vanadium", "vanadium", ("V",)),
)
_METALS = tuple((re.compile(rf"\b(?:{words})\b"), name, metals) for words, name, metals in _METAL_WORDS)
_FREE_AFTER = re.compile(r"\b([a-z]{3,12})[ -]{0,2}(?:free|frei|freies|freie)\b")
_FREE_BEFORE = re.compile(
    r"\b(?:free (?:of|from)|without|no|non|zero|ohne|sans|senza|sin|без)[ -]{1,2}([^\W\d]{3,12})\b"
)
_HUE = re.compile(
    r"\b(?:hue|hues|imitation|imit|imitated|substitute|replacement|simulated|nuance|teinte|"
    r"farbton|ton|ersatz|imitaz\w{1,4}|imitaci\w{1,4}|tono|tinta|имитация|имит)\b"
)
_PERMANENT = re.compile(r"\b(?:permanente?|perm|permanent\w{1,7}|lightfast|lichtecht\w{0,2})\b")
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True)
class MetalClaim:
    """A metal that the name speaks of; any of `metals` in a listed pigment bears it out."""

    name: str
    word: str
    metals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NameClaims:
    name: str
    colours: tuple[str, ...] = ()
    families: frozenset[str] = frozenset()
    metals: tuple[MetalClaim, ...] = ()
    free_of: tuple[MetalClaim, ...] = ()
    says_hue: bool = False
    says_permanent: bool = False


@dataclass(frozen=True, slots=True)
class ShadeReading:
    """Which of the colours sold under one code a name means; None while that is open."""

    code: str
    shade: str | None
    options: tuple[str, ...]


def words_of(text: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(bare_letters(text[:LONGEST_LABEL])))


def colour_of(word: str) -> str | None:
    """The English colour word that a word without accents stands for, if any."""
    if word in _FAMILIES:
        return word
    if word in _SAME_WORD:
        return _SAME_WORD[word]
    for stem, colour in _RUSSIAN_STEMS.items():
        if word.startswith(stem):
            return colour
    for end in _COMPOUND_ENDS:
        if word.endswith(end) and len(word) > len(end) + 3:
            return _SAME_WORD.get(end, end)
    return None


def name_claims(name: str) -> NameClaims:
    """What the words of a name say. Only the first LONGEST_LABEL characters are looked at."""
    return _claims(name[:LONGEST_LABEL])


@lru_cache(maxsize=4096)
def _claims(name: str) -> NameClaims:
    plain_name = bare_letters(name)
    colours = tuple(dict.fromkeys(c for c in map(colour_of, words_of(name)) if c))
    families = frozenset(family for colour in colours for family in _FAMILIES[colour].split())
    free = _metals_without(plain_name)
    metals = tuple(claim for claim in _metals_in(plain_name) if claim.name not in {f.name for f in free})
    return NameClaims(
        name, colours, families, metals, free, bool(_HUE.search(plain_name)), bool(_PERMANENT.search(plain_name))
    )


def _metals_in(plain_name: str) -> tuple[MetalClaim, ...]:
    found = ((pattern.search(plain_name), name, metals) for pattern, name, metals in _METALS)
    return tuple(MetalClaim(name, match[0], metals) for match, name, metals in found if match)


def _metals_without(plain_name: str) -> tuple[MetalClaim, ...]:
    words = " ".join(_FREE_AFTER.findall(plain_name) + _FREE_BEFORE.findall(plain_name))
    return _metals_in(words)


def shade_of(code: str, name: str, shades: Mapping[str, tuple[str, ...]]) -> ShadeReading:
    """Tell which shade of a code a name means, by the words that not all of its shades share.

    A name that fits several shades, or none, leaves the shade open with those that fit (or all) as options.
    """
    options = tuple(shades.get(code, ()))
    said = set(words_of(name))
    said |= {colour for word in said if (colour := colour_of(word))}
    full = [shade for shade in options if set(words_of(shade)) <= said]
    longest = max((len(words_of(shade)) for shade in full), default=0)
    full = [shade for shade in full if len(words_of(shade)) == longest]
    if len(full) == 1:
        return ShadeReading(code, full[0], options)
    if len(full) > 1:
        return ShadeReading(code, None, tuple(full))
    shared = set.intersection(*(set(words_of(shade)) for shade in options)) if options else set()
    fits = {shade: len((set(words_of(shade)) - shared) & said) for shade in options}
    best = max(fits.values(), default=0)
    fitting = tuple(shade for shade in options if best and fits[shade] == best)
    return ShadeReading(code, fitting[0] if len(fitting) == 1 else None, fitting or options)
