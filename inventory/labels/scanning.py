"""Cuts a pigment list into codes, numbers, words and separators, each with its place in the typed text."""

import re
from dataclasses import dataclass
from enum import Enum, auto

from .folding import Folded

COLOURS = {
    "white": "W", "yellow": "Y", "orange": "O", "red": "R", "violet": "V", "blue": "B", "green": "G",
    "brown": "Br", "black": "Bk", "metal": "M",
}  # fmt: skip
_LETTERS = {"br": "Br", "bk": "Bk", "brn": "Br", "blk": "Bk"}

# Letters that stand for digits (l, I, | for 1; O for 0) count as a number only beside a true digit.
_NUMBER = r"(?P<number>(?=[lI|iOo]{0,3}\d)[\dlI|iOo]{1,4})"
_SUB = r"(?:(?P<mark>\s?:\s?|[.\-/·])(?P<sub>[\dlI]{1,2})(?![\dA-Za-z]))?"
_END = r"(?:(?![^\W_])|(?=[PN](?:[BRYOVGWM]|B[rk])[ .]?\d))"
_GAP = r"[ .\-_#\u00a0]{0,3}"
_CI = r"(?:c\.?\s?i\.?\s{0,2})?"
_SHORT_CODE = re.compile(
    rf"(?P<kind>P|p){_GAP}(?P<colour>Br|BR|br|bR|Bk|BK|bk|bK|[Bb][Rr][Nn]|[Bb][Ll][Kk]|[BRYOVGWMbryovgwm0])"
    rf"{_GAP}(?:[Nn]o\.?\s?)?{_NUMBER}{_SUB}{_END}"
)
_NATURAL_CODE = re.compile(
    rf"(?P<kind>N|n)(?:(?<=N)[ .\-]{{0,2}}|\.?)"
    rf"(?P<colour>Br|BR|br|Bk|BK|bk|[RYGBWVrygbwv]|O(?=\d))[ .\-]?{_NUMBER}{_SUB}{_END}"
)
_DYE_CODE = re.compile(rf"(?P<kind>[ABDSVM])(?P<colour>Br|BR|Bk|BK|[RYBVOG])(?P<number>\d{{1,3}}){_SUB}{_END}")
_FULL_NAME = re.compile(
    rf"{_CI}(?P<kind>pigment|natural|basic|acid|direct|solvent|vat|mordant|disperse|reactive|p\.?)[\s_\-]{{0,3}}"
    rf"(?P<colour>{'|'.join(COLOURS)})[\s_\-]{{0,3}}(?:no\.?\s?|\#\s?)?{_NUMBER}{_SUB}{_END}",
    re.IGNORECASE,
)
_CODE_LIKE = re.compile(r"[PNpn][A-Za-z]{0,4}[.\-]?\d{1,5}(?::\d{1,2})?[A-Za-z]{0,2}(?![^\W_])")
_CAS = re.compile(r"(?:CAS\s?(?:no\.?|nr\.?)?\s?:?\s?)?\d{2,7}-\d{2}-\d(?!\d)", re.IGNORECASE)
_CONSTITUTION = re.compile(
    r"(?:c\.?\s?i\.?\s{0,2}(?:no\.?|nr\.?|\#|:)?\s{0,2})?(?P<number>\d{5,6}(?::\d{1,2})?)(?![^\W_]|:\d)", re.IGNORECASE
)
_CI_PREFIX = re.compile(_CI, re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?\.?")
_NOT_GIVEN = re.compile(r"n\s?/\s?[ar](?![^\W_])", re.IGNORECASE)
_DIGITS = re.compile(r"\d{1,12}(?:[.,:]\d{1,6})?")
_TAG = re.compile(r"</?[A-Za-z][A-Za-z0-9]{0,9}\s?/?>")
_OR_WORDS = frozenset({"or", "oder", "ou", "oppure", "или"})
_AND_WORDS = frozenset({"and", "und", "et", "with", "mit", "avec", "plus", "и"})
_OPENING, _CLOSING = "([{<", ")]}>"


class Kind(Enum):
    CODE = auto()
    LIKE = auto()
    NUMBER = auto()
    CAS = auto()
    WORD = auto()
    DIGITS = auto()
    SEPARATOR = auto()
    OR = auto()
    LINE = auto()
    OPEN = auto()
    CLOSE = auto()


@dataclass(frozen=True, slots=True)
class Token:
    kind: Kind
    start: int
    end: int
    text: str
    code: str = ""
    letters_as_digits: bool = False
    odd_mark: str = ""
    look_alikes: bool = False
    is_dye: bool = False


def scan(folded: Folded) -> list[Token]:
    """Tokens from left to right. Every pattern is bounded, so the cost grows with the length alone."""
    tokens: list[Token] = []
    place = 0
    while place < len(folded.plain):
        token = _token_at(folded, place, tokens[-1] if tokens else None)
        if token is None:
            place += 1
        else:
            tokens.append(token)
            place = token.end
    return tokens


def _token_at(folded: Folded, place: int, last: Token | None) -> Token | None:
    character = folded.plain[place]
    if character.isspace() or not (character.isalnum() or character == "|"):
        return _mark_at(folded.plain, place)
    inside_word = place > 0 and folded.plain[place - 1].isalnum()
    if not inside_word or (last is not None and last.kind is Kind.CODE and last.end == place):
        found = _code_at(folded, place) or _number_at(folded, place)
        if found:
            return found
    return _word_at(folded, place)


def _mark_at(plain: str, place: int) -> Token | None:
    character = plain[place]
    if character in "\n\r\v\f\x85\u2028\u2029":
        return Token(Kind.LINE, place, place + 1, character)
    if character == "\t" or plain[place : place + 2] == "  ":
        return Token(Kind.SEPARATOR, place, place + 1, " ")
    tag = _TAG.match(plain, place)
    if tag:  # markup is no part of a label
        return Token(Kind.SEPARATOR, place, tag.end(), "")
    if character in _OPENING:
        return Token(Kind.OPEN, place, place + 1, character)
    if character in _CLOSING:
        return Token(Kind.CLOSE, place, place + 1, character)
    if character in ",;+/&•·、，；":
        return Token(Kind.SEPARATOR, place, place + 1, character)
    return None


def _code_at(folded: Folded, place: int) -> Token | None:
    for pattern in (_FULL_NAME, _SHORT_CODE, _NATURAL_CODE, _DYE_CODE):
        start = place
        if pattern is not _FULL_NAME:
            prefix = _CI_PREFIX.match(folded.latin, place)
            start = prefix.end() if prefix and prefix.end() > place else place
        match = pattern.match(folded.latin, start) or (pattern.match(folded.latin, place) if start != place else None)
        if match:
            return _code_token(folded, place, match)
    like = _CODE_LIKE.match(folded.latin, place)
    if like:
        return Token(Kind.LIKE, place, like.end(), like[0], _canonical_like(like[0]), False, "", _differs(folded, like))
    return None


def _differs(folded: Folded, match: re.Match[str]) -> bool:
    return folded.plain[match.start() : match.end()] != match[0]


def _code_token(folded: Folded, place: int, match: re.Match[str]) -> Token:
    kind, colour = match["kind"], match["colour"]
    letters = COLOURS.get(colour.casefold()) or _LETTERS.get(colour.casefold()) or colour.upper()
    zero_for_o = letters == "0"
    number, sub = _digits(match["number"]), _digits(match["sub"] or "")
    code = f"{kind[0].upper()}{'O' if zero_for_o else letters}{number.lstrip('0') or '0'}"
    mark = (match["mark"] or "").strip()
    as_digits = number != match["number"] or sub != (match["sub"] or "") or zero_for_o
    return Token(
        Kind.CODE,
        place,
        match.end(),
        match[0],
        f"{code}:{sub}" if sub else code,
        as_digits,
        "" if mark == ":" else mark,
        _differs(folded, match),
        kind[0].upper() not in "PN",
    )


def _digits(number: str) -> str:
    return number.translate(str.maketrans("lI|iOo", "111100"))


def _canonical_like(text: str) -> str:
    letters, digits = re.match(r"([A-Za-z]+)[.\-]?(.*)", text, re.DOTALL).groups()  # type: ignore[union-attr]
    return letters[:1].upper() + letters[1:] + digits


def _number_at(folded: Folded, place: int) -> Token | None:
    cas = _CAS.match(folded.plain, place)
    if cas:
        return Token(Kind.CAS, place, cas.end(), cas[0])
    number = _CONSTITUTION.match(folded.latin, place)
    return Token(Kind.NUMBER, place, number.end(), number["number"]) if number else None


def _word_at(folded: Folded, place: int) -> Token | None:
    match = _NOT_GIVEN.match(folded.plain, place)
    if match:
        return Token(Kind.WORD, place, match.end(), match[0])
    match = _WORD.match(folded.plain, place)
    if match:
        word = match[0].casefold()
        if word in _OR_WORDS:
            return Token(Kind.OR, place, match.end(), match[0])
        kind = Kind.SEPARATOR if word in _AND_WORDS else Kind.WORD
        return Token(kind, place, match.end(), match[0])
    digits = _DIGITS.match(folded.plain, place)
    return Token(Kind.DIGITS, place, digits.end(), digits[0]) if digits else None
