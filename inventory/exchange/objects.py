"""A list of objects (JSON, RFC 8259) as a table: a column for each key, a row for each object, values as typed."""

import json
from collections import Counter
from typing import Any

from .files import LARGEST_CELL, MOST_COLUMNS, MOST_ROWS, FileRefusedError

_KINDS = {dict: "an object", list: "a list", str: "a text", bool: "true or false"}


class _Typed(str):
    """A number as it was written: 1.50 stays 1.50."""

    __slots__ = ()


class _Pairs(dict[str, Any]):
    """An object, and which of its keys stand more than once; `dict` would keep the last silently."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        counted = Counter(key for key, _ in pairs)
        self.repeated = {key: times for key, times in counted.items() if times > 1}


def looks_like_json(text: str, name: str) -> bool:
    """True for a file of that name, and for a text that begins as objects do."""
    start = text.lstrip("\ufeff \t\r\n")[:200]
    return name.lower().endswith(".json") or start.startswith("{") or "".join(start.split())[:2] == "[{"


def read_objects(text: str, name: str) -> tuple[tuple[str, ...], list[tuple[int, tuple[str, ...]]]]:
    """The headings and the rows with the object's place from 1.

    Raises
    ------
    FileRefusedError
        If it is no JSON, no list of objects, or says something twice or inside one another; the message names the
        object, the key and the remedy.
    """
    objects = _list_of(_parsed(text, name), name)
    if len(objects) > MOST_ROWS:
        raise FileRefusedError(f"{name} has more than {MOST_ROWS} objects. Split it, and give the parts one by one.")
    _refuse_repeated(objects, name)
    columns = tuple(dict.fromkeys(key for one in objects for key in one))
    if not columns:
        raise FileRefusedError(f"{name} has objects without any key. Give one object for each paint.")
    if len(columns) > MOST_COLUMNS:
        raise FileRefusedError(
            f"{name} has {len(columns)} different keys, more than the {MOST_COLUMNS} columns that are read. Take the "
            "unused ones away."
        )
    _refuse_nested(objects, columns, name)
    rows = []
    for place, one in enumerate(objects, 1):
        cells = tuple(_cell(one.get(key)) for key in columns)
        for key, cell in zip(columns, cells, strict=True):
            if len(cell) > LARGEST_CELL:
                raise FileRefusedError(
                    f"{name}: “{_short(key)}” of object {place} has {len(cell)} characters, more than the "
                    f"{LARGEST_CELL} that a cell can hold. Shorten it."
                )
        rows.append((place, cells))
    return columns, rows


def _parsed(text: str, name: str) -> Any:
    def constant(word: str) -> Any:
        raise FileRefusedError(f"{name} holds {word}, which is no value of JSON. Write a number, a text or null.")

    try:
        return json.loads(
            text.removeprefix("\ufeff"),
            object_pairs_hook=_Pairs,
            parse_int=_Typed,
            parse_float=_Typed,
            parse_constant=constant,
        )
    except json.JSONDecodeError as error:
        raise FileRefusedError(
            f"{name} is broken JSON at line {error.lineno}, character {error.colno}: {error.msg}. Correct it there, or "
            "save the list as CSV."
        ) from None
    except RecursionError:
        raise FileRefusedError(f"{name} nests lists or objects too deep to be a list of paints.") from None


def _list_of(found: Any, name: str) -> list[_Pairs]:
    """The list of objects; an object whose only list is the list of paints stands for it."""
    remedy = 'Give a list of objects, such as [{"name": "Ultramarine", "pigments": "PB29"}].'
    if isinstance(found, _Pairs):
        if found.repeated:
            raise _repeated([(0, found)], name)
        lists = [value for value in found.values() if isinstance(value, list)]
        if len(lists) != 1:
            raise FileRefusedError(f"{name} is one object with {len(lists)} lists in it, and not a list. {remedy}")
        found = lists[0]
    if not isinstance(found, list):
        raise FileRefusedError(f"{name} holds {_kind(found)}, and no list. {remedy}")
    if not found:
        raise FileRefusedError(f"{name} is an empty list. {remedy}")
    for place, one in enumerate(found, 1):
        if not isinstance(one, _Pairs):
            raise FileRefusedError(f"{name}: number {place} of the list is {_kind(one)}, and no object. {remedy}")
    return found


def _refuse_repeated(objects: list[_Pairs], name: str) -> None:
    wrong = [(place, one) for place, one in enumerate(objects, 1) if one.repeated]
    if wrong:
        raise _repeated(wrong, name)


def _repeated(wrong: list[tuple[int, _Pairs]], name: str) -> FileRefusedError:
    """Which keys stand more than once, how often, and in how many objects: only one of the values would be kept."""
    times = Counter({key: 0 for _, one in wrong for key in one.repeated})
    for _, one in wrong:
        times.update(one.repeated)
    keys = ", ".join(f"“{_short(key)}” {count} times" for key, count in list(times.items())[:6])
    more = f" and {len(times) - 6} other keys" if len(times) > 6 else ""
    places = ", ".join(str(place) for place, _ in wrong[:5]) + (" and more" if len(wrong) > 5 else "")
    where = f"{len(wrong)} object{'' if len(wrong) == 1 else 's'} (number {places})" if wrong[0][0] else "its object"
    return FileRefusedError(
        f"{name}: in {where} the same key stands more than once: {keys}{more}. All but one of the values "
        "would be lost. Give each value a key of its own, such as “pigment 1” and “pigment 2”."
    )


def _refuse_nested(objects: list[_Pairs], columns: tuple[str, ...], name: str) -> None:
    nested: dict[str, int] = {}
    for place, one in enumerate(objects, 1):
        for key, value in one.items():
            if isinstance(value, (dict, list)):
                nested.setdefault(key, place)
    if nested:
        named = ", ".join(f"“{_short(key)}” (first in object {place})" for key, place in list(nested.items())[:6]) + (
            " and more" if len(nested) > 6 else ""
        )
        raise FileRefusedError(
            f"{name}: {len(nested)} of {len(columns)} keys hold a list or an object where a table has one cell: "
            f"{named}. Write it as one text, such as “PG7, PY150”, or as keys of their own."
        )


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def _kind(value: Any) -> str:
    if isinstance(value, _Typed) or value is None:
        return "a number" if value is not None else "null"
    return next((words for kind, words in _KINDS.items() if isinstance(value, kind)), "something else")


def _short(key: str) -> str:
    return key if len(key) <= 40 else f"{key[:40]}…"
