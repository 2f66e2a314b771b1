"""H, EUH and P codes as somebody types them from a sheet: split, checked, kept as printed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from safety.rules.statements import Kind, Phrasebook, UnknownStatementError, bare_code, bracketed

# Outside brackets: "H372 (lungs, liver), H317" is two codes. A blank parts codes only where another one follows.
_BETWEEN = re.compile(r"[;,\n]+|(?<![+\s])\s+(?=(?:EUH|[HP])\s?[0-9OIl]{2})", re.IGNORECASE)
# Letters that are mistaken for digits, and Cyrillic and Greek letters that look like an H or a P.
_AS_DIGITS = str.maketrans("OoIlSZB", "0011528")
_AS_LATIN = str.maketrans("НнРрΗηΡρЕеΕε", "HhPpHhPpEeEe")

_WHERE: dict[Kind, str] = {
    "H": "a hazard statement: type it among the hazard statements",
    "EUH": "a hazard statement: type it among the hazard statements",
    "P": "a precautionary statement: type it among the precautionary statements",
}


class TypedCodesError(ValueError):
    """Codes that cannot be kept; `problems` has a sentence for each, `unknown` those that no statement stands for.

    `misplaced` tells whether one of them belongs among the codes of another kind.
    """

    def __init__(self, problems: list[str], unknown: tuple[str, ...] = (), *, misplaced: bool = False) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems
        self.unknown = unknown
        self.misplaced = misplaced


@dataclass(frozen=True)
class ReadCodes:
    """The codes of a typed list as they are printed, and those that no statement stands for."""

    known: tuple[str, ...]
    unknown: tuple[str, ...] = ()


def read_codes(text: str, phrasebook: Phrasebook, kinds: tuple[Kind, ...]) -> tuple[str, ...]:
    """Return the codes of a typed list as they are printed, each once.

    TypedCodesError names every code that the phrasebook does not hold, with the nearest one, and every code of
    another kind than `kinds`.
    """
    return read_printed(text, phrasebook, kinds, printed_so=False).known


def read_printed(text: str, phrasebook: Phrasebook, kinds: tuple[Kind, ...], *, printed_so: bool) -> ReadCodes:
    """The same, and what no statement stands for is kept apart where somebody says that it is `printed_so`."""
    kept: dict[str, str] = {}
    unknown: dict[str, str] = {}
    misplaced = []
    for typed in split(text):
        try:
            bare = bare_code(typed)
            statement = phrasebook.look_up(bare)
        except UnknownStatementError:
            unknown.setdefault(typed, _unknown(typed, phrasebook))
        else:
            if statement.kind in kinds:
                kept.setdefault(bare, typed)
            else:
                misplaced.append(f"{bare} is {_WHERE[statement.kind]}.")
    if misplaced or (unknown and not printed_so):
        raise TypedCodesError([*unknown.values(), *misplaced], tuple(unknown), misplaced=bool(misplaced))
    return ReadCodes(tuple(kept.values()), tuple(unknown))


def split(text: str) -> Iterator[str]:
    """The parts of a typed list, with what stands in brackets left whole."""
    hidden, start = text, 0
    for begin, end in bracketed(text):
        hidden = hidden[:begin] + "\0" * (end - begin) + hidden[end:]
    for gap in [*(found.span() for found in _BETWEEN.finditer(hidden)), (len(text), len(text))]:
        part = " ".join(text[start : gap[0]].split())
        if part:
            yield part
        start = gap[1]


def _unknown(typed: str, phrasebook: Phrasebook) -> str:
    near = " or ".join(nearest(typed, phrasebook))
    first = typed.partition(" ")[0]
    quoted = f"“{typed[:60]}{'…' if len(typed) > 60 else ''}”"
    if re.match(r"(?i)[RS]\s?\d", typed):
        return f"{quoted} is an R or S phrase of the law before 2015: ask the maker for a newer sheet."
    if first != typed and first in phrasebook:
        return f"{quoted} has words after the code: type {bare_code(first)} alone, and an organ in brackets."
    if near:
        return f"{quoted} is not a known H, EUH or P code. Did you mean {near}? Check it against the sheet."
    return f"{quoted} is not a known H, EUH or P code. Type the codes alone, such as H317; H410, as they are printed."


def nearest(typed: str, phrasebook: Phrasebook) -> list[str]:
    """The code that was probably meant, or several: "H35O" is H350, and "H360fd" is one of three."""
    letters = re.sub(r"\s", "", typed.translate(_AS_LATIN))
    codes = list(dict.fromkeys(one.code for one in phrasebook))
    if same := [code for code in codes if code.casefold() == letters.casefold()]:
        return same
    prefix = re.match(r"(?i)EUH|H|P", letters)
    if prefix:
        fixed = letters[: prefix.end()].upper() + letters[prefix.end() :].translate(_AS_DIGITS)
        for guess in (fixed, fixed[: prefix.end() + 3]):
            if guess in phrasebook:
                return [bare_code(guess)]
    return get_close_matches(letters, codes, n=1, cutoff=0.7)
