"""H, EUH and P codes as somebody types them from a sheet: split, checked, kept as printed."""

import re
from collections.abc import Iterator
from difflib import get_close_matches

from safety.rules.statements import Kind, Phrasebook, UnknownStatementError, bare_code

# Outside brackets: "H372 (lungs, liver), H317" is two codes. A blank parts codes only where another one follows.
_BETWEEN = re.compile(r"[;,\n]+|(?<![+\s])\s+(?=(?:EUH|[HP])\s?[0-9OIl]{2})", re.IGNORECASE)
_BRACKETS = re.compile(r"\([^()]*\)")
# Letters that are mistaken for digits, and Cyrillic and Greek letters that look like an H or a P.
_AS_DIGITS = str.maketrans("OoIlSZB", "0011528")
_AS_LATIN = str.maketrans("НнРрΗηΡρЕеΕε", "HhPpHhPpEeEe")

_WHERE: dict[Kind, str] = {
    "H": "a hazard statement: type it among the hazard statements",
    "EUH": "a hazard statement: type it among the hazard statements",
    "P": "a precautionary statement: type it among the precautionary statements",
}


class TypedCodesError(ValueError):
    """Codes that cannot be kept; `problems` has a sentence for each."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems


def read_codes(text: str, phrasebook: Phrasebook, kinds: tuple[Kind, ...]) -> tuple[str, ...]:
    """Return the codes of a typed list as they are printed, each once.

    TypedCodesError names every code that the phrasebook does not hold, with the nearest one, and every code of
    another kind than `kinds`.
    """
    kept: dict[str, str] = {}
    problems = []
    for typed in split(text):
        try:
            bare = bare_code(typed)
            statement = phrasebook.look_up(bare)
        except UnknownStatementError:
            problems.append(_unknown(typed, phrasebook))
        else:
            if statement.kind in kinds:
                kept.setdefault(bare, typed)
            else:
                problems.append(f"{bare} is {_WHERE[statement.kind]}.")
    if problems:
        raise TypedCodesError(problems)
    return tuple(kept.values())


def split(text: str) -> Iterator[str]:
    """The parts of a typed list, with what stands in brackets left whole."""
    hidden = _BRACKETS.sub(lambda found: "\0" * len(found.group()), text)
    start = 0
    for gap in [*(found.span() for found in _BETWEEN.finditer(hidden)), (len(text), len(text))]:
        part = " ".join(text[start : gap[0]].split())
        if part:
            yield part
        start = gap[1]


def _unknown(typed: str, phrasebook: Phrasebook) -> str:
    near = " or ".join(nearest(typed, phrasebook))
    first = typed.partition(" ")[0]
    quoted = f"“{typed[:60]}{'…' if len(typed) > 60 else ''}”"
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
