"""Unicode as people type it: look-alike letters, wide forms, typographic quotes, search keys."""

import re
import unicodedata
from dataclasses import dataclass

from .doubts import LONGEST_LABEL, Doubt, Option, Severity, shown

_CYRILLIC = dict(zip("АВЕЅЗІЈКМНОРСТУХҮԌԜавгеѕзіјкмнорстухүԝ", "ABESЗIJKMHOPCTYXYGWabresЗijkmhopctyxyw", strict=True))
_GREEK = dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧβικνορυχ", "ABEZHIKMNOPTYXbiknopyx", strict=True))
# The Cyrillic Ze is left alone: as a 3 it would eat real letters.
LOOK_ALIKES = {ord(key): value for key, value in (_CYRILLIC | _GREEK).items() if value != "З"}

_QUOTES = {ord(mark): "'" for mark in "‘’‚‛′ʼ`´"} | {ord(mark): '"' for mark in "“”„‟″«»"}
_DASHES = {ord(mark): "-" for mark in "‐‑‒–—―−﹣－"}
_UNSEEN = {ord(mark): None for mark in "\u200b\u200c\u200d\u2060\ufeff\u00ad"}
_PLAIN = _QUOTES | _DASHES | _UNSEEN


@dataclass(frozen=True, slots=True)
class Folded:
    """A text for scanning, with the place in the typed text from which each character came.

    `plain` has compatibility forms, quotes and dashes folded; `latin` also has look-alike letters folded.
    Both have the same length; `origin` has one entry more, the length of the typed text.
    """

    typed: str
    plain: str
    latin: str
    origin: tuple[int, ...]

    def as_typed(self, start: int, end: int) -> str:
        return self.typed[self.origin[start] : self.origin[end]].strip()


def _plain_character(character: str) -> str:
    if unicodedata.category(character) == "No":
        return " "  # a footnote sign or a fraction beside a code is not one of its digits
    return unicodedata.normalize("NFKC", character).translate(_PLAIN)


def fold(text: str) -> Folded:
    parts: list[str] = []
    origin: list[int] = []
    for place, character in enumerate(text):
        plain = character if character.isascii() else _plain_character(character)
        plain = "'" if plain == "`" else plain
        parts.append(plain)
        origin.extend([place] * len(plain))
    folded = "".join(parts)
    return Folded(text, folded, folded.translate(LOOK_ALIKES), (*origin, len(text)))


def plain(text: str) -> str:
    """NFKC with plain quotes and dashes and single spaces."""
    return " ".join(unicodedata.normalize("NFKC", text).translate(_PLAIN).split())


def bare_letters(text: str) -> str:
    """Lower case without accents: the form in which words are compared."""
    # The letters with a stroke of their own do not decompose.
    folded = plain(text).casefold().replace("ø", "o").replace("ł", "l").replace("œ", "oe").replace("æ", "ae")
    decomposed = unicodedata.normalize("NFD", folded)
    # The breve of the Cyrillic short i makes it a letter of its own; the dots of yo are often left out.
    kept = []
    base = ""
    for character in decomposed:
        if not unicodedata.combining(character):
            base = character
            kept.append(character)
        elif base == "и":
            kept.append(character)
    return unicodedata.normalize("NFC", "".join(kept))


_CODE_WORD = re.compile(r"(?<![^\W_])([pn])[ .\-]{0,2}(br|bk|[bryovgwm])[ .\-]{0,2}(\d{1,4})(?![^\W_])", re.ASCII)
_SUB_NUMBER = re.compile(r"(?<=\d)\s?:\s?(?=\d)")


def search_key(text: str) -> str:
    """The form in which texts and queries are compared.

    Case, accents, quotes, dashes and wide forms are folded, and pigment codes are written in one way, also where they
    were typed with Cyrillic or Greek letters. Words in those scripts stay as they are.
    """
    words = bare_letters(text)
    latin = words.translate(LOOK_ALIKES)
    if len(latin) == len(words):
        pieces: list[str] = []
        done = 0
        for match in _CODE_WORD.finditer(latin):
            pieces += [words[done : match.start()], match[1] + match[2] + match[3]]
            done = match.end()
        words = "".join([*pieces, words[done:]])
    return " ".join(_SUB_NUMBER.sub(":", words).split())


_CODE = re.compile(r"([pnabsdvm])(br|bk|[bryovgwm])(\d{1,4}(?::\d{1,2})?)", re.ASCII)


def code_of(text: str) -> str | None:
    """One pigment code as standards write it, however it was typed; None for anything else."""
    found = _CODE.fullmatch(search_key(text).replace(" ", ""))
    return f"{found[1].upper()}{found[2].capitalize()}{found[3]}" if found else None


_MIS_DECODED = re.compile("[ÃÂ][\u0080-\u00bf\u0152-\u2122]|â€|Ð[\u0080-\u00bf\u0152-\u2122]")


def check_letters(text: str) -> Doubt | None:
    """Ask where a text looks as if it had been decoded with the wrong table, such as `Ocre dorÃ©e`."""
    if len(text) > LONGEST_LABEL:
        return None
    if "\ufffd" in text:
        message = f"{shown(text)} has lost letters (shown as \ufffd). Save the file as UTF-8 and read it again."
        return Doubt("lost-letters", Severity.ASK, message, text)
    if not _MIS_DECODED.search(text):
        return None
    try:
        mended = text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return None
    message = f"{shown(text)} looks like {shown(mended)} read with the wrong character table. Choose which is meant."
    options = (Option(mended, mended), Option(text, f"{text} (as typed)"))
    return Doubt("wrong-letters", Severity.ASK, message, text, options)


_NOTHING = re.compile(
    r"(?:[-_.?]{1,20}|n ?[/.]? ?[ar]\.?|nil|none|null|unknown|tb[ac]|keine?|keine angaben?|k\.? ?a\.?|inconnue?|"
    r"unbekannt|desconocido|sconosciuto|aucune?|secret|proprietary|"
    r"not (?:known|stated|given|listed|available|applicable|disclosed|declared|rated|tested))?"
)


def says_nothing(text: str) -> bool:
    """True for a blank and for the ways in which people write that there is nothing to write."""
    return len(text) <= 80 and _NOTHING.fullmatch(bare_letters(text).strip(" ()[]\"'#")) is not None
