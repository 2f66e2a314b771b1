"""What a row says of its container and its paint besides label and amount: condition, batch, tare, density, level,
bar codes. What cannot be read is kept as typed and said; only a condition keeps the row waiting.
"""

import re
from decimal import Decimal
from typing import Any

from inventory.labels import Doubt, Option, Severity, read_amount, read_count, read_decimal, says_nothing
from inventory.labels.barcodes import BarcodeError, read_gtin
from inventory.labels.doubts import shown
from inventory.labels.folding import bare_letters

from .row import Row

# Common practice, no source: words that lists use for a condition.
_CONDITIONS = {
    "usable": "usable good ok fine new neu gut brauchbar bon neuf bueno buono",
    "dried": "dried dry hard eingetrocknet trocken hart sec desseche seco secco",
    "separated": "separated oily getrennt abgesetzt separe",
    "mouldy": "mouldy moldy mould schimmelig schimmel moisi",
    "other": "other unusable broken kaputt unbrauchbar",
}
CONDITION_LABELS = {
    "usable": "Usable",
    "dried": "Dried up",
    "separated": "Separated",
    "mouldy": "Mouldy",
    "other": "Not usable, see the note",
}
_CONDITION_OF = {word: one for one, words in _CONDITIONS.items() for word in words.split()} | {
    bare_letters(label): one for one, label in CONDITION_LABELS.items()
}
_MOST_BARCODES = 20
_COUNTING = re.compile(r"[,;(]?\s*\b(sealed and open|usable|sealed only|sealed)\b\)?\s*$")
_SIZED = re.compile(r"(?P<code>[^()]*?)\s*(?:\((?P<size>[^()]*)\))?\s*")


def read_kept(row: Row) -> dict[str, Any]:
    """The row's further facts, ready to be kept as JSON; what is not given is left out."""
    given = {
        "condition": _condition(row),
        "batch": "" if says_nothing(row.cell("batch")) else row.text("batch"),
        "tare": _tare(row),
        "density": _density(row),
        "level": _level(row),
        "barcodes": _barcodes(row),
    }
    return {name: value for name, value in given.items() if value not in (None, "", [])}


def _aside(row: Row, key: str, text: str, why: str) -> None:
    """Say what was not taken over, and that nothing of it is lost."""
    row.say(key, Doubt(f"{key}-aside", Severity.NOTE, f"{why} It is kept as typed.", text[:60]))


def _condition(row: Row) -> str:
    """One of our conditions; "" where the cell says nothing, which counts as usable."""
    text = row.cell("condition")
    if says_nothing(text):
        return ""
    found = _CONDITION_OF.get(bare_letters(text))
    if found:
        return found
    options = tuple(Option(one, label) for one, label in CONDITION_LABELS.items())
    message = f"{shown(text)} is no condition that is known here. Choose whether what is in it can still be used."
    doubt = Doubt("which-condition", Severity.ASK, message, text[:60], options)
    answer = row.answer("condition", doubt)
    if answer in CONDITION_LABELS:
        return str(answer)
    row.say("condition", doubt, blocks=True)
    return ""


def _tare(row: Row) -> int | None:
    """The weight of the empty container in thousandths of a gram."""
    text = row.cell("tare")
    if says_nothing(text):
        return None
    amount = read_amount(text, unit="g", decimal_comma=row.settings.decimal_comma)
    if amount.milli is None or amount.unit != "g":
        why = amount.doubts[0].message if amount.milli is None and amount.doubts else f"{shown(text)} is not in g."
        _aside(row, "tare", text, why)
        return None
    return amount.milli


def _density(row: Row) -> list[Any] | None:
    """Thousandths of g/ml, and whether it is an estimate."""
    text = row.cell("density")
    if says_nothing(text):
        return None
    words = bare_letters(text)
    bare = re.sub(r"g ?(?:/|per) ?(?:ml|cm3|cm³)|kg ?/ ?l", " ", words.removeprefix("about")).strip()
    read = read_decimal(bare, "," in bare)
    milli = None if read.value is None else read.value * 1000
    if milli is None or milli != milli.to_integral_value() or not Decimal(500) <= milli <= Decimal(8000):
        _aside(row, "density", text, f"{shown(text)} is no density from 0.5 to 8 g/ml with at most three decimals.")
        return None
    return [int(milli), words.startswith("about")]


def level_words(*, tubes: int, amount: str, usable: bool) -> str:
    """A level as an export writes it: "2 tubes, sealed", "500 ml, sealed and open"; `read_kept` reads it back."""
    much = f"{tubes} tube{'' if tubes == 1 else 's'}" if tubes else amount
    return f"{much}, {'sealed and open' if usable else 'sealed'}"


def _level(row: Row) -> dict[str, Any] | None:
    """The level of a new paint, by tubes or by amount."""
    text = row.cell("level")
    if says_nothing(text):
        return None
    words = bare_letters(text)
    counting = _COUNTING.search(words)
    usable = counting is not None and counting[1] in ("sealed and open", "usable")
    much = (words[: counting.start()] if counting else words).strip(" ,;(")
    count = read_count(much.removesuffix("tubes").removesuffix("tube").strip())
    if count.value is not None:
        return {"tubes": count.value, "usable": usable} if count.value else None
    amount = read_amount(much, decimal_comma=row.settings.decimal_comma)
    if not amount.milli:
        _aside(row, "level", text, f"{shown(text)} is no level such as “2 tubes, sealed” or “500 ml”.")
        return None
    return {"milli": amount.milli, "unit": amount.unit, "usable": usable}


def _barcodes(row: Row) -> list[list[Any]]:
    """Each number with the size that it stands for, thousandths and unit, or None."""
    text = row.cell("barcodes")
    if says_nothing(text):
        return []
    found: dict[str, list[Any]] = {}
    for part in re.split(r"[,;\n]+(?![^(]*\))", text)[:_MOST_BARCODES]:
        match = _SIZED.fullmatch(part.strip())
        if not part.strip() or match is None:
            continue
        try:
            digits = read_gtin(match["code"]).digits
        except BarcodeError as error:
            _aside(row, "barcodes", text, str(error))
            continue
        holder = row.around.barcodes.get(digits)
        if holder is not None and holder != bare_letters(row.cell("name")):
            _aside(row, "barcodes", text, f"The number {digits} belongs to another paint or material here already.")
            continue
        size = read_amount(match["size"]) if match["size"] else None
        sized = [size.milli, size.unit] if size is not None and size.milli else None
        found.setdefault(digits, [digits, sized])
    return list(found.values())
