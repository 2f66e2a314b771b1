"""The pigments that a reader may expect, as its caller knows them. Nothing is read from files here."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from .folding import bare_letters

# Used for body, settling or cost and nearly colourless in oil and acrylic; common practice, no source.
EXTENDERS = frozenset({"PW18", "PW19", "PW20", "PW21", "PW22", "PW24", "PW25", "PW26", "PW27"})

# Pigments that are sold as several colours under one code; common practice, no source.
COMMON_SHADES: Mapping[str, tuple[str, ...]] = {
    "PBr7": ("raw sienna", "burnt sienna", "raw umber", "burnt umber"),
    "PR101": ("Indian red", "Venetian red", "light red", "Mars red", "Mars violet", "transparent red oxide"),
    "PV19": ("quinacridone rose", "quinacridone red", "quinacridone violet"),
    "PY35": ("cadmium lemon", "cadmium yellow light", "cadmium yellow medium", "cadmium yellow deep"),
    "PR108": ("cadmium scarlet", "cadmium red light", "cadmium red medium", "cadmium red deep", "cadmium maroon"),
}


@dataclass(frozen=True, slots=True)
class KnownPigment:
    ci_name: str
    ci_full: str = ""
    ci_numbers: tuple[str, ...] = ()
    common_names: tuple[str, ...] = ()
    hue_family: str = ""
    metals: tuple[str, ...] = ()
    extender: bool = False

    @classmethod
    def from_row(cls, row: Mapping[str, str]) -> "KnownPigment":
        """Build from a table row with several values in a cell divided by semicolons."""

        def cell(key: str) -> tuple[str, ...]:
            return tuple(part.strip() for part in (row.get(key) or "").split(";") if part.strip())

        name = row["ci_name"].strip()
        return cls(
            name,
            (row.get("ci_full") or "").strip(),
            cell("ci_number"),
            cell("common_names"),
            (row.get("hue_family") or "").strip(),
            cell("metals"),
            name in EXTENDERS,
        )

    @property
    def label(self) -> str:
        return f"{self.ci_name} ({self.common_names[0]})" if self.common_names else self.ci_name


@dataclass(frozen=True, slots=True)
class NearCode:
    code: str
    message: str


def one_edit_apart(first: str, second: str) -> bool:
    """True if one letter added, dropped, changed or swapped with its neighbour makes one of the other."""
    if abs(len(first) - len(second)) > 1 or first == second:
        return False
    short, long = sorted((first, second), key=len)
    place = next((i for i, (a, b) in enumerate(zip(short, long, strict=False)) if a != b), len(short))
    if len(short) < len(long):
        return short[place:] == long[place + 1 :]
    if short[place + 1 :] == long[place + 1 :]:
        return True
    return short[place : place + 2] == long[place : place + 2][::-1] and short[place + 2 :] == long[place + 2 :]


class Vocabulary:
    """Known pigments, found by code, constitution number or name. Treat it as unchangeable."""

    def __init__(self, pigments: Iterable[KnownPigment], shades: Mapping[str, tuple[str, ...]] | None = None) -> None:
        self._by_code = {pigment.ci_name: pigment for pigment in pigments}
        self._shades = dict(shades or {})
        self._by_number: dict[str, list[KnownPigment]] = {}
        self._by_base: dict[str, list[KnownPigment]] = {}
        self._by_name: dict[str, list[KnownPigment]] = {}
        self._parts: dict[str, list[KnownPigment]] = {}
        for pigment in self._by_code.values():
            self._index(pigment)

    def _index(self, pigment: KnownPigment) -> None:
        for number in pigment.ci_numbers:
            self._by_number.setdefault(number, []).append(pigment)
            self._by_base.setdefault(number.partition(":")[0], []).append(pigment)
        for name in pigment.common_names:
            self._by_name.setdefault(_name_key(name), []).append(pigment)
        base, colon, _ = pigment.ci_name.partition(":")
        if colon:
            self._parts.setdefault(base, []).append(pigment)

    def __contains__(self, code: object) -> bool:
        return code in self._by_code

    def __iter__(self) -> Iterator[KnownPigment]:
        return iter(self._by_code.values())

    def __len__(self) -> int:
        return len(self._by_code)

    def get(self, code: str) -> KnownPigment | None:
        return self._by_code.get(code)

    def label(self, code: str) -> str:
        pigment = self._by_code.get(code)
        return pigment.label if pigment else code

    def with_number(self, number: str) -> tuple[KnownPigment, ...]:
        """The pigments of a constitution number; one typed without its sub-number finds those that have one."""
        found = self._by_number.get(number)
        if found is None and ":" not in number:
            found = self._by_base.get(number)
        return tuple(found or ())

    def named(self, words: str) -> tuple[KnownPigment, ...]:
        return tuple(self._by_name.get(_name_key(words), ()))

    def parts_of(self, code: str) -> tuple[KnownPigment, ...]:
        """The sub-numbered pigments of a code, such as PB15:1 to PB15:6 of PB15."""
        return tuple(self._parts.get(code, ()))

    def shades(self, code: str) -> tuple[str, ...]:
        return tuple(self._shades.get(code, ()))

    def metals(self, code: str) -> tuple[str, ...]:
        pigment = self._by_code.get(code)
        return pigment.metals if pigment else ()

    def one_edit_from(self, code: str) -> tuple[KnownPigment, ...]:
        wanted = code.casefold()
        return tuple(p for p in self._by_code.values() if one_edit_apart(wanted, p.ci_name.casefold()))

    def near_codes(self, code: str) -> tuple[NearCode, ...]:
        """Pigments of the same constitution and hue under another code, such as PY42 (synthetic) and PY43 (natural)."""
        pigment = self._by_code.get(code)
        if pigment is None or not pigment.ci_numbers:
            return ()
        return tuple(
            NearCode(other.ci_name, _near_message(pigment, other))
            for other in self._by_number[pigment.ci_numbers[0]]
            if other is not pigment
            and other.ci_numbers == pigment.ci_numbers
            and other.hue_family == pigment.hue_family
        )


def _near_message(pigment: KnownPigment, other: KnownPigment) -> str:
    return (
        f"{pigment.ci_name} and {other.ci_name} are two codes with the same constitution number "
        f"({', '.join(pigment.ci_numbers)}): near substitutes, and makers swap the labels. "
        "They are kept apart; compare a swatch of each."
    )


def _name_key(name: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", bare_letters(name.partition("(")[0])))
