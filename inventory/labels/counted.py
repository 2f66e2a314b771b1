"""What people write when they count: "3 sealed, 1 about half" for a paint, "half" or "dried up" for one container."""

import re
from dataclasses import dataclass, replace

from .amounts import read_amount, read_count, read_fraction
from .doubts import Doubt, Severity, quoting, settled, shown, too_long
from .folding import bare_letters

# Of one paint at one place: more is a slip of the finger.
MOST_CONTAINERS = 500

# A comma between two digits divides decimals: "12,5 sealed" is one figure, and is refused as a whole.
_BETWEEN = re.compile(r";|\n|\+|&|\band\b|,(?!\d)|(?<!\d),")
_NOUNS = re.compile(
    r"\b(?:tubes?|containers?|pots?|jars?|bottles?|pans?|pieces?|of (?:them|it)|remain(?:s|ing)?|left|is|are|there)\b"
)
_ABOUT = re.compile(r"\b(?:about|approx(?:imately)?|ca|circa|roughly|some)\b\.?|[~≈±]")
_COUNT = re.compile(r"([-+]?(?:\d[\d.,']*|[.,]\d+)(?:e[-+]?\d+)?|nan|[-+]?inf(?:inity)?)(?!\w| ?[/⁄%]) ?[x×]? ?(.*)")
_SEALED = {"sealed", "full", "unopened", "new", "closed", "not opened", "sealed full"}
_EMPTY = {"empty", "finished", "used up", "nothing"}
_GONE = {"missing", "not there", "gone", "not found", "no", "none", "-", "—", "lost"}
_AS_BOOK = {"=", "ok", "yes", "y", "here", "as in the books", "as in the book", "same", "✓", "✔", "right"}
_NUMBERS = {
    "zero": "0", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
    "eight": "8", "nine": "9", "ten": "10",
}  # fmt: skip
_CONDITIONS = {
    "dried": "dried", "dried up": "dried", "dry": "dried", "hard": "dried", "dried out": "dried",
    "separated": "separated", "oil separated": "separated",
    "mouldy": "mouldy", "moldy": "mouldy", "mould": "mouldy", "mold": "mouldy",
    "unusable": "other", "not usable": "other", "spoiled": "other", "spoilt": "other",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Counted:
    """Containers of one paint. `sealed` is None while nothing can be told; an opened one is None where its filling
    was not said, else thousandths of its size."""

    text: str
    sealed: int | None = None
    opened: tuple[int | None, ...] = ()
    empty: int = 0
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)

    @property
    def containers(self) -> int:
        return (self.sealed or 0) + len(self.opened) + self.empty


@dataclass(frozen=True, slots=True)
class FoundOne:
    """One container: not there, as in the books, or with what is left of it, in which state and condition."""

    text: str
    seen: bool | None = None  # None: nothing was said, or it cannot be read
    as_book: bool = False
    state: str = ""
    left_milli: int | None = None
    estimated: bool = True
    condition: str = ""
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)


def read_counted(text: str) -> Counted:
    """Read how many containers of a paint are there: "3 sealed, 1 about half", "2", "about a third", "empty".

    A number alone is so many sealed ones, a part alone one open container; both say so. Half a sealed container, a
    negative number, an exponent and NaN are refused with the reason, and then nothing of the text counts.
    """
    long = too_long(text, "count")
    if long:
        return Counted(text, doubts=(long,))
    counted = Counted(text)
    for part in _BETWEEN.split(bare_letters(text)):
        words = part.strip(" .:!")
        if words:
            counted = _add(counted, words)
            if not counted.is_settled:
                return Counted(text, doubts=counted.doubts)
    if counted.containers > MOST_CONTAINERS:
        why = f"it is more than {MOST_CONTAINERS} containers of one paint at one place; check the figure"
        return Counted(text, doubts=(_refused(text, why),))
    return counted


def _add(counted: Counted, words: str) -> Counted:
    """The count with one part more; a doubt that is open where the part cannot be read."""
    bare = " ".join(_ABOUT.sub(" ", _NOUNS.sub(" ", words)).split())
    first, _, rest = bare.partition(" ")
    if first in _NUMBERS or (first in ("a", "an") and rest in _SEALED | _EMPTY | {"open"}):
        bare = f"{_NUMBERS.get(first, '1')} {rest}".strip()
    if words in _GONE or bare in _GONE:
        return replace(counted, sealed=counted.sealed or 0)
    if bare in _EMPTY:
        return replace(counted, sealed=counted.sealed or 0, empty=counted.empty + 1)
    if bare in _SEALED:
        return _noted(replace(counted, sealed=(counted.sealed or 0) + 1), words, "one sealed container")
    number = _COUNT.fullmatch(bare)
    if number is None:
        return _one_open(counted, words, bare)
    return _several(counted, words, number[1], number[2].strip())


def _one_open(counted: Counted, words: str, bare: str) -> Counted:
    part = read_fraction(bare.removeprefix("open").strip())
    if bare == "open":
        return replace(counted, sealed=counted.sealed or 0, opened=(*counted.opened, None))
    if part.thousandths is None:
        why = "it names neither sealed containers nor how full an open one is"
        return _with(counted, _refused(counted.text, why))
    opened = replace(counted, sealed=counted.sealed or 0, opened=(*counted.opened, part.thousandths))
    return _noted(opened, words, f"one open container, {_percent(part.thousandths)} full")


def _several(counted: Counted, words: str, number: str, rest: str) -> Counted:
    count = read_count(number)
    if count.value is None:
        doubts = quoting(count.doubts, number, words)
        return _with(counted, *(doubts or (_refused(words, "it is no number"),)))
    if count.value > MOST_CONTAINERS:
        why = f"it is more than {MOST_CONTAINERS} containers of one paint at one place; check the figure"
        return _with(counted, _refused(words, why))
    base = replace(counted, sealed=counted.sealed or 0)
    if not rest or rest in _SEALED:
        more = replace(base, sealed=(base.sealed or 0) + count.value)
        return more if rest else _noted(more, words, f"{count.value} sealed")
    if rest in _EMPTY:
        return replace(base, empty=base.empty + count.value)
    if rest in ("open", "opened"):
        return replace(base, opened=(*base.opened, *[None] * count.value))
    part = read_fraction(rest.removeprefix("opened").removeprefix("open").strip())
    if part.thousandths is None:
        return _with(counted, _refused(words, "it names neither sealed containers nor how full the open ones are"))
    return replace(base, opened=(*base.opened, *[part.thousandths] * count.value))


def _percent(thousandths: int) -> str:
    return f"{thousandths / 10:.0f} %"


def _noted(counted: Counted, words: str, as_what: str) -> Counted:
    return _with(counted, Doubt("read-as", Severity.READ_AS, f"{shown(words)} is read as {as_what}.", words))


def _with(counted: Counted, *doubts: Doubt) -> Counted:
    return replace(counted, doubts=(*counted.doubts, *doubts))


def _refused(text: str, why: str) -> Doubt:
    remedy = "Write such as “3 sealed, 1 about half”, “2 sealed” or “empty”."
    message = f"{shown(text)} cannot be used as a count: {why}. {remedy}"
    return Doubt("counted-refused", Severity.REFUSED, message, text)


def read_found(text: str, *, unit: str, size_milli: int) -> FoundOne:
    """Read what was written beside one container: "=", "half", "12 ml", "sealed", "empty", "not there", "dried up"."""
    words = bare_letters(text).strip(" .:!")
    if not words and text.strip() not in _AS_BOOK | _GONE:
        return FoundOne(text)
    if words in _GONE or text.strip() in _GONE:
        return FoundOne(text, seen=False)
    if words in _AS_BOOK or text.strip() in _AS_BOOK:
        return FoundOne(text, seen=True, as_book=True)
    if words in _CONDITIONS:
        return FoundOne(text, seen=True, condition=_CONDITIONS[words])
    if words in _SEALED:
        return FoundOne(text, seen=True, state="sealed", left_milli=size_milli, estimated=False)
    if words in _EMPTY or words == "0":
        return FoundOne(text, seen=True, state="empty", left_milli=0, estimated=False)
    if words in ("open", "opened"):
        return FoundOne(text, seen=True, state="open")
    return _amount_left(text, words, unit, size_milli)


def _amount_left(text: str, words: str, unit: str, size_milli: int) -> FoundOne:
    bare = " ".join(_NOUNS.sub(" ", words).split())
    part = read_fraction(bare)
    number = _COUNT.fullmatch(bare)
    if part.thousandths is not None and number is None:
        left = size_milli * part.thousandths // 1000
        return FoundOne(text, seen=True, state="open" if left else "empty", left_milli=left)
    amount = read_amount(bare, unit=unit)
    if amount.milli is None:
        why = next((doubt.message for doubt in amount.doubts), f"{shown(text)} cannot be read.")
        remedy = f"Write such as “half”, “12 {unit}”, “sealed”, “empty”, “not there” or “dried up”."
        return FoundOne(text, doubts=(Doubt("found-refused", Severity.REFUSED, f"{why} {remedy}", text),))
    if amount.unit != unit or amount.milli > size_milli:
        size = f"{size_milli / 1000:g} {unit}"
        other = (
            f"it is in {amount.unit}, but this one is kept in {unit}"
            if amount.unit != unit
            else (f"it is more than the container's size of {size}")
        )
        return FoundOne(text, doubts=(Doubt("found-refused", Severity.REFUSED, f"{shown(text)}: {other}.", text),))
    return FoundOne(
        text, seen=True, state="open" if amount.milli else "empty", left_milli=amount.milli, estimated=amount.estimated
    )
