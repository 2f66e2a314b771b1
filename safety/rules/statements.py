"""Hazard and precautionary statements (H, EUH and P codes) and the book they are looked up in.

The wording is the standard's own: UN GHS Annex 3, Regulation (EC) 1272/2008 Annexes III and IV.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, Self

Kind = Literal["H", "EUH", "P"]

SEVERITY = {"Danger": 2, "Warning": 1, "": 0}

# An organ or route in brackets, and the stars of a classification carried over from the older directive.
_AFTER_CODE = re.compile(r"\s*(\*+|\(.*\))\s*$")
# A "(…)" inside the code would be lost silently if it were not at the end, so the whole form is checked.
_CODE = re.compile(r"^(?:EUH\d{3}[A-Z]?|H\d{3}[FDfdi]{0,2}|P\d{3})(?:\+(?:H\d{3}[FDfdi]{0,2}|P\d{3}))*$")


class UnknownStatementError(LookupError):
    """A code that the phrasebook does not hold; it is never printed as a bare code nor left out in silence."""

    def __init__(self, code: str) -> None:
        super().__init__(f"{code!r} is not a known H, EUH or P statement. Check the code against the maker's sheet.")
        self.code = code


@dataclass(frozen=True)
class Statement:
    """One statement for one hazard category; H codes of several categories have several."""

    code: str
    kind: Kind
    phrase: str
    phrase_plain: str
    hazard_class: str = ""
    category: str = ""
    pictogram: str = ""
    signal_word: str = ""
    p_codes: tuple[str, ...] = ()
    scope: str = ""

    @property
    def pictograms(self) -> tuple[str, ...]:
        return split_cell(self.pictogram)

    @classmethod
    def from_row(cls, row: Mapping[str, str]) -> Self:
        """Read a row of the statement table; columns are named as the fields."""
        kind = row["kind"]
        if kind not in ("H", "EUH", "P"):
            raise ValueError(f"kind must be H, EUH or P, not {kind!r} (statement {row['code']!r}).")
        return cls(
            code=row["code"],
            kind=kind,  # type: ignore[arg-type]  # narrowed by the check above
            phrase=row["phrase"],
            phrase_plain=row["phrase_plain"] or row["phrase"],
            hazard_class=row["hazard_class"],
            category=row["category"],
            pictogram=row["pictogram"],
            signal_word=row["signal_word"],
            p_codes=split_cell(row["p_codes"]),
            scope=row["scope"],
        )


def split_cell(text: str) -> tuple[str, ...]:
    """Split a table cell at its semicolons."""
    return tuple(part.strip() for part in text.split(";") if part.strip())


@lru_cache(maxsize=2048)
def bare_code(typed: str) -> str:
    """Return a code as the book writes it: "h302 *" is H302, "H372 (lungs)" is H372, "P301 + P310" is P301+P310.

    The letters after an H number keep their case, because H360Fd and H360fD differ.
    """
    text = typed.strip()
    while True:
        shorter = _AFTER_CODE.sub("", text)
        if shorter == text:
            break
        text = shorter
    text = re.sub(r"\s+", "", text)
    text = re.sub(r"(?i)(euh|h|p)(?=\d)", lambda match: match.group(1).upper(), text)
    if not _CODE.match(text):
        raise UnknownStatementError(typed)
    return text


def remark(typed: str) -> str:
    """Return what a sheet adds to a code in brackets, such as the organ: "H372 (lungs)" gives "lungs"."""
    spans = bracketed(typed)
    return typed[spans[0][0] + 1 : spans[0][1] - 1].strip() if spans else ""


def bracketed(text: str) -> list[tuple[int, int]]:
    """Where text stands in brackets, from the outermost ( to its ): a chemical name has brackets of its own."""
    spans, depth, start = [], 0, 0
    for place, letter in enumerate(text):
        if letter == "(":
            start = start if depth else place
            depth += 1
        elif letter == ")" and depth:
            depth -= 1
            if not depth:
                spans.append((start, place + 1))
    return spans


class Phrasebook:
    """Statements by code. The caller brings the rows; the book adds nothing of its own."""

    def __init__(self, statements: Iterable[Statement]) -> None:
        self._by_code: dict[str, tuple[Statement, ...]] = {}
        for statement in statements:
            self._by_code[statement.code] = (*self._by_code.get(statement.code, ()), statement)

    @classmethod
    def from_rows(cls, rows: Iterable[Mapping[str, str]]) -> Self:
        return cls(Statement.from_row(row) for row in rows)

    def __iter__(self) -> Iterator[Statement]:
        return (statement for group in self._by_code.values() for statement in group)

    def __len__(self) -> int:
        return len(self._by_code)

    def __contains__(self, code: str) -> bool:
        try:
            self.look_up(code)
        except UnknownStatementError:
            return False
        return True

    def look_up(self, code: str, category: str = "") -> Statement:
        """Return the statement of a code; UnknownStatementError if there is none.

        A code that stands for several categories (H242 is Danger in types C and D, Warning in E and F) gives the
        one of `category`, or the most severe when the category is not named.
        """
        wanted = bare_code(code)
        group = self._by_code.get(wanted)
        if group is None:
            return self._combined(wanted)
        if category:
            group = tuple(one for one in group if category in split_cell(one.category)) or group
        return max(group, key=lambda one: (SEVERITY[one.signal_word], len(one.pictograms)))

    def _combined(self, code: str) -> Statement:
        """Join the phrases of a combination that the table does not hold as one row."""
        codes = code.split("+")
        if len(codes) == 1 or not all(one in self._by_code for one in codes):
            raise UnknownStatementError(code)
        parts = [self.look_up(one) for one in codes]
        pictograms = dict.fromkeys(name for part in parts for name in part.pictograms)
        return Statement(
            code=code,
            kind=parts[0].kind,
            phrase=" ".join(part.phrase for part in parts),
            phrase_plain=" ".join(part.phrase_plain for part in parts),
            hazard_class=parts[0].hazard_class,
            pictogram=";".join(pictograms),
            signal_word=max((part.signal_word for part in parts), key=SEVERITY.__getitem__),
            p_codes=tuple(dict.fromkeys(one for part in parts for one in part.p_codes)),
        )


def with_names(statement: Statement, names: Iterable[str]) -> str:
    """Return an EUH208 sentence with the sensitiser named: "Contains (name). May produce an allergic reaction."

    CLP Annex II, section 2.8. Several names stand side by side, as on a label. ValueError if there is no name, since
    the sentence says nothing without one.
    """
    found = [" ".join(name.split()).rstrip(".") for name in names]
    wanted = ", ".join(dict.fromkeys(name for name in found if name))
    if not wanted:
        raise ValueError("EUH208 needs the name of the sensitising substance, as the maker's sheet gives it.")
    return statement.phrase.replace("<name of sensitising substance>", wanted)
