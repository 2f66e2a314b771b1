"""Puts the tokens of a pigment list together: each code with the numbers, notes and words that stand beside it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum, auto

from .doubts import Doubt
from .folding import Folded, bare_letters, says_nothing
from .names import words_of
from .scanning import Kind, Token, scan
from .vocabulary import EXTENDERS, Vocabulary

# Named in words these are fillers; common practice, no source.
_FILLER = re.compile(
    r"\b(?:calcium carbonate|carbonate of lime|chalk|whiting|talc|talcum|silica|quartz|blanc fixe|barytes?|"
    r"bari?um sul(?:f|ph)ate|alumina(?: hydrate)?|alumini?um (?:hydroxide|hydrate)|kaolin|china clay|gypsum|"
    r"magnesium carbonate|extenders?|fillers?|kreide|fullstoff|craie|charge)\b"
)
# Between these stand equals: what comes after one is a pigment too, or ought to be.
_JOINERS = frozenset({"+", "&", "/", "and", "und", "et", "with", "mit", "avec", "plus", "и", "or", "oder", "ou"})
_NOISE = frozenset(
    [
        "pigment",
        "pigments",
        "ci",
        "c.i.",
        "c.i",
        "c",
        "i",
        "colour",
        "color",
        "index",
        "no",
        "no.",
        "nr",
        "nr.",
        "name",
        "code",
        "codes",
        "generic",
        "contains",
        "contain",
        "single",
        "mixed",
        "cas",
        "x",
        "xs",
        "p",
    ]
)


class ItemKind(Enum):
    CODE = auto()
    NUMBER = auto()
    FILLER = auto()
    WORDS = auto()
    OPEN = auto()


@dataclass(slots=True)
class Item:
    """`start` and `end` are places in the folded text; `block` numbers the list of a line where lists alternate."""

    kind: ItemKind
    start: int
    end: int
    code: str = ""
    text: str = ""
    numbers: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    letters_as_digits: bool = False
    look_alikes: bool = False
    odd_mark: str = ""
    is_dye: bool = False
    is_code_like: bool = False
    is_short: bool = False  # a number that may carry on the letters of the code before it, as in "PB29 or 28"
    joined: bool = False  # words that stand where a pigment would stand, as in "PR122 + dye"
    slash_base: str = ""
    alternative_to_previous: bool = False
    block: int | None = None
    line: int = 0
    doubt: Doubt | None = None


@dataclass(slots=True)
class _Walk:
    folded: Folded
    vocabulary: Vocabulary
    items: list[Item] = field(default_factory=list)
    words: list[Token] = field(default_factory=list)  # of the segment, not yet given to a code
    code_of_segment: Item | None = None
    separator: str = ""
    line: int = 0
    has_or: bool = False


def list_items(folded: Folded, vocabulary: Vocabulary) -> list[Item]:
    walk = _Walk(folded, vocabulary)
    for token in _without_brackets(scan(folded)):
        _step(walk, token)
    _end_segment(walk)
    if not any(item.kind is ItemKind.CODE for item in walk.items):
        for item in walk.items:
            item.joined = False  # without a code there is no list to be incomplete
    _mark_blocks(walk.items, folded)
    return walk.items


def _step(walk: _Walk, token: Token) -> None:
    if token.kind in (Kind.SEPARATOR, Kind.LINE, Kind.OR):
        before = len(walk.items)
        _end_segment(walk)
        if len(walk.items) > before and walk.items[-1].kind is ItemKind.WORDS and token.text.casefold() in _JOINERS:
            walk.items[-1].joined = True
        walk.separator = token.text
        walk.line += token.kind is Kind.LINE
        walk.has_or = walk.has_or or token.kind is Kind.OR
    elif token.kind in (Kind.CODE, Kind.LIKE):
        _add_code(walk, token)
    elif token.kind is Kind.NUMBER:
        _add_number(walk, token)
    elif token.text.casefold() not in _NOISE:
        walk.words.append(token)


def _add_code(walk: _Walk, token: Token) -> None:
    previous = walk.items[-1] if walk.items else None
    item = Item(
        ItemKind.CODE,
        token.start,
        token.end,
        token.code,
        token.text,
        letters_as_digits=token.letters_as_digits,
        look_alikes=token.look_alikes,
        odd_mark=token.odd_mark,
        is_dye=token.is_dye,
        is_code_like=token.kind is Kind.LIKE,
        alternative_to_previous=walk.has_or and previous is not None,
        line=walk.line,
    )
    if walk.separator == "/" and previous is not None and previous.kind is ItemKind.CODE:
        item.slash_base = previous.code
    if walk.code_of_segment is not None:
        _give_words(walk, walk.code_of_segment)
    walk.items.append(item)
    if walk.code_of_segment is None:
        _give_words(walk, item)
    walk.code_of_segment, walk.separator, walk.has_or = item, "", False


def _add_number(walk: _Walk, token: Token) -> None:
    number = token.text if ":" in token.text else re.sub(r"\D", "", token.text)
    owner = next((item for item in reversed(walk.items) if item.kind is ItemKind.CODE), None)
    if owner is not None and not walk.has_or:
        owner.numbers.append(number)
        return
    item = Item(ItemKind.NUMBER, token.start, token.end, "", number, [number], line=walk.line)
    item.alternative_to_previous = walk.has_or and bool(walk.items)
    walk.has_or = False
    walk.items.append(item)


def _give_words(walk: _Walk, item: Item) -> None:
    """Words beside a code are its note, unless they name a filler; a filler's own code may be followed by its name."""
    for start, end in _runs(walk.words):
        text = walk.folded.as_typed(start, end)
        if names_filler(text) and item.code not in EXTENDERS:
            walk.items.append(Item(ItemKind.FILLER, start, end, text=text, line=walk.line))
        else:
            item.notes.append(text)
    walk.words = []


def _end_segment(walk: _Walk) -> None:
    if walk.code_of_segment is not None:
        _give_words(walk, walk.code_of_segment)
    for start, end in _runs(walk.words):
        _add_words(walk, start, end)
    walk.words, walk.code_of_segment = [], None


def _add_words(walk: _Walk, start: int, end: int) -> None:
    """A segment without a code: a filler, a name or number of the code before it, or words to be looked at."""
    text = walk.folded.as_typed(start, end)
    last = next((item for item in reversed(walk.items) if item.kind is ItemKind.CODE), None)
    if names_filler(text) and (last is None or last.code not in EXTENDERS):
        walk.items.append(Item(ItemKind.FILLER, start, end, text=text, line=walk.line))
        return
    if last is not None and not walk.has_or and _is_named(walk.vocabulary, last.code, text):
        last.notes.append(text)
        return
    short = last.code.rstrip("0123456789") + text if last is not None and text.isascii() and text.isdigit() else ""
    item = Item(ItemKind.WORDS, start, end, text=text, line=walk.line)
    if short and short in walk.vocabulary:
        item.kind, item.code, item.is_short = ItemKind.CODE, short, True
    item.joined = walk.separator.casefold() in _JOINERS or says_nothing(text.partition(" ")[2] or text)
    item.alternative_to_previous = walk.has_or and bool(walk.items)
    walk.has_or = False
    walk.items.append(item)


def _is_named(vocabulary: Vocabulary, code: str, text: str) -> bool:
    """True if the words are all found in the names of the pigment."""
    pigment = vocabulary.get(code)
    names = {word for name in pigment.common_names for word in words_of(name)} if pigment else set()
    said = set(words_of(text))
    return bool(said) and said <= names


def names_filler(text: str) -> bool:
    return _FILLER.search(bare_letters(text).replace("_", " ")) is not None


def _runs(tokens: list[Token]) -> Iterator[tuple[int, int]]:
    if tokens:
        yield tokens[0].start, tokens[-1].end


def _without_brackets(tokens: list[Token]) -> Iterator[Token]:
    """Brackets that hold no code or number become one word; others vanish and leave their content."""
    place = 0
    while place < len(tokens):
        token = tokens[place]
        if token.kind is Kind.OPEN:
            close = next((i for i in range(place + 1, len(tokens)) if tokens[i].kind in (Kind.CLOSE, Kind.OPEN)), None)
            if close is not None and tokens[close].kind is Kind.CLOSE and _is_note(tokens[place + 1 : close]):
                yield Token(Kind.WORD, tokens[place + 1].start, tokens[close - 1].end, "(note)")
                place = close
        elif token.kind is not Kind.CLOSE:
            yield token
        place += 1


def _is_note(inside: list[Token]) -> bool:
    return bool(inside) and not any(token.kind in (Kind.CODE, Kind.LIKE, Kind.NUMBER) for token in inside)


def _mark_blocks(items: list[Item], folded: Folded) -> None:
    """Number the lines of two or more complete lists.

    A line is a complete list if it has a code and neither ends nor goes on with a separator. Lines with one code
    each are one list written downwards; as soon as one of them has several, the lines are alternatives.
    """
    lines: dict[int, list[Item]] = {}
    for item in items:
        lines.setdefault(item.line, []).append(item)
    counts = [sum(item.kind is ItemKind.CODE for item in line) for line in lines.values()]
    if len(counts) < 2 or min(counts) < 1 or max(counts) < 2 or _goes_on(folded.plain):
        return
    for item in items:
        item.block = item.line


def _goes_on(plain: str) -> bool:
    written = [line.strip() for line in plain.splitlines() if line.strip()]
    marks = tuple(",;+/&")
    return any(line.endswith((*marks, " and")) for line in written[:-1]) or any(
        line.startswith((*marks, "and ")) for line in written[1:]
    )
