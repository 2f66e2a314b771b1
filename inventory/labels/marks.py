"""Lightfastness marks: a value and its scale. Values are ranked inside one scale only."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from .doubts import Doubt, Option, Severity, settled, shown, too_long
from .folding import LOOK_ALIKES, bare_letters, says_nothing
from .spreadsheets import date_as_range


class LightfastnessScale(StrEnum):
    ASTM = "astm"  # ASTM D4302, D5067, D5098: I (best) to V, written in Roman numerals
    BLUE_WOOL = "blue-wool"  # ISO 105-B08: 1 to 8 (best)
    MAKER = "maker"
    UNKNOWN = "unknown"


class Band(StrEnum):
    """Our own coarse bands, for a look across scales; no standard has them."""

    LASTING = "lasting"
    MODERATE = "moderate"
    FUGITIVE = "fugitive"
    UNKNOWN = "unknown"

    @property
    def label(self) -> str:
        return f"{self.value} (our coarse band)" if self is not Band.UNKNOWN else "unknown"


_WORST_FIRST = (Band.FUGITIVE, Band.MODERATE, Band.LASTING)


@dataclass(frozen=True, slots=True)
class MakerScale:
    """A maker's own marks from worst to best."""

    name: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A lightfastness mark. `rank` orders values of one scale, higher is better; None where no order is known."""

    text: str
    value: str | None = None
    scale: LightfastnessScale = LightfastnessScale.UNKNOWN
    maker_scale: str = ""
    rank: float | None = None
    coarse: Band = Band.UNKNOWN
    doubts: tuple[Doubt, ...] = ()

    @property
    def is_settled(self) -> bool:
        return settled(self.doubts)

    @property
    def unknown(self) -> bool:
        """True while there is no value to rely on, also while a question is open."""
        return self.value is None


@dataclass(frozen=True, slots=True)
class Weakest:
    """The worst of several marks. `mark` is None where they stand on different scales or none is known."""

    band: Band
    message: str
    mark: Mark | None = None
    at_best: bool = False


Scale = LightfastnessScale | MakerScale

_ROMAN = {"i": "I", "ii": "II", "iii": "III", "iv": "IV", "v": "V"}
_ASTM_DOWNWARDS = ("I", "II", "III", "IV", "V")
# Bands of the standards' values; common practice, no source.
_ASTM_BANDS = {"I": Band.LASTING, "II": Band.LASTING, "III": Band.MODERATE, "IV": Band.FUGITIVE, "V": Band.FUGITIVE}
_WORD_BANDS = {
    "excellent": Band.LASTING, "very good": Band.LASTING, "extremely permanent": Band.LASTING,
    "permanent": Band.LASTING, "lightfast": Band.LASTING, "good": Band.MODERATE, "moderate": Band.MODERATE,
    "moderately durable": Band.MODERATE, "fair": Band.MODERATE, "poor": Band.FUGITIVE, "fugitive": Band.FUGITIVE,
    "very poor": Band.FUGITIVE, "not lightfast": Band.FUGITIVE, "sehr gut": Band.LASTING, "gut": Band.MODERATE,
    "excellente": Band.LASTING, "bonne": Band.MODERATE, "faible": Band.FUGITIVE,
}  # fmt: skip
_ASTM_WORDS = re.compile(r"\b(?:astm|d ?4302|d ?5067|d ?5098|d ?4303)\b")
_BLUE_WOOL_WORDS = re.compile(r"\b(?:blue ?wool|bws?|iso ?105|woll?skala|blauwoll\w{0,8}|laine bleue)\b")
_LF = re.compile(r"\blf ?[-:]? ?")
_RANGE = re.compile(r"([1-8]) ?(?:-|to|bis|a|\.\.) ?([1-8])")
_ARABIC = re.compile(r"\d{1,2}")
_STARS = re.compile(r"(?P<full>[*★+●⭐]{1,8})(?P<empty>[☆○✩]{0,7})")
_OF = re.compile(r"(?P<have>[*★+]{1,8}|\d{1,2}) ?(?:/|of|out of|von|sur) ?(?P<top>[*★+]{1,8}|\d{1,2})(?: ?stars?)?")
_NUMBERED_STARS = re.compile(
    r"(?P<have>\d{1,2}|one|two|three|four|five) ?(?:stars?)(?: (?:of|out of) (?P<top>\d|four|five))?"
)
_COUNT_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5}
_LETTERS = re.compile(r"a{1,3}[+-]?|[bcd][+-]?")


def read_lightfastness(text: str, *, header: str = "", scale: Scale | None = None) -> Mark:
    """Read a lightfastness cell. `header` is its column's heading; `scale` is what the person said of the column.

    A bare number, or a letter that may be one, is asked unless the text, the header or `scale` names its scale, because
    1 is the best of one scale and the worst of another. A date that a spreadsheet made of "7-8" is asked back.
    """
    long = too_long(text, "lightfastness mark")
    if long:
        return Mark(text, doubts=(long,))
    words = " ".join(bare_letters(text).translate(LOOK_ALIKES).split())
    if says_nothing(words):
        return Mark(text)
    if isinstance(scale, MakerScale):
        return _on_maker_scale(text, words, scale)
    day = date_as_range(text, highest=8)
    if day is not None:
        return Mark(text, doubts=(_ask_date(text, day.suggestion),))
    named = scale if scale not in (None, LightfastnessScale.UNKNOWN) else _scale_named(words) or _scale_named(header)
    bare = _BLUE_WOOL_WORDS.sub(" ", _ASTM_WORDS.sub(" ", words))
    lf = _LF.search(bare) is not None
    bare = _LF.sub(" ", bare).strip(" :=#().")
    if named is LightfastnessScale.ASTM:
        return _astm(text, bare)
    if named is LightfastnessScale.BLUE_WOOL:
        return _blue_wool(text, bare)
    if named is LightfastnessScale.MAKER:
        return _maker(text, bare) or Mark(text, bare, LightfastnessScale.MAKER)
    return _without_scale(text, bare, lf=lf)


def scale_of_column(cells: Iterable[str], header: str = "") -> LightfastnessScale | None:
    """The scale that a whole column shows by its header or by marks that only one scale has; None while unclear."""
    named = _scale_named(header)
    if named:
        return named
    marks = (read_lightfastness(cell) for cell in cells)
    shown_scales = {mark.scale for mark in marks if mark.value is not None}
    return shown_scales.pop() if len(shown_scales) == 1 else None


def _scale_named(words: str) -> LightfastnessScale | None:
    plain_words = bare_letters(words[:200]).replace("_", " ")
    astm, wool = _ASTM_WORDS.search(plain_words), _BLUE_WOOL_WORDS.search(plain_words)
    if bool(astm) == bool(wool):
        return None
    return LightfastnessScale.ASTM if astm else LightfastnessScale.BLUE_WOOL


def _astm(text: str, bare: str) -> Mark:
    both = [_ROMAN.get(part) for part in re.split(r" ?[-/] ?", bare.replace("l", "i"), maxsplit=1)]
    if len(both) == 2 and all(both):
        return Mark(text, doubts=(_ask_roman(text, [value for value in both if value]),))
    roman = _ROMAN.get(bare.replace("l", "i").replace("|", "i"))
    value = roman or {"1": "I", "2": "II", "3": "III", "4": "IV", "5": "V"}.get(bare)
    if value is None:
        return _refused(text, "ASTM marks run from I to V")
    doubts: tuple[Doubt, ...] = ()
    if bare != value.casefold() or not text.isascii():
        doubts = (Doubt("read-as-astm", Severity.READ_AS, f"{shown(text)} is read as ASTM {value}.", text),)
    return _astm_mark(text, value, doubts)


def _ask_roman(text: str, values: list[str]) -> Doubt:
    message = f"{shown(text)} names two ASTM marks. Choose one; the weaker is {max(values, key=_ASTM_DOWNWARDS.index)}."
    options = tuple(Option(f"ASTM {value}", f"ASTM {value}") for value in values)
    return Doubt("two-marks", Severity.ASK, message, text, options)


def _astm_mark(text: str, value: str, doubts: tuple[Doubt, ...] = ()) -> Mark:
    rank = float(-_ASTM_DOWNWARDS.index(value))
    return Mark(text, value, LightfastnessScale.ASTM, "", rank, _ASTM_BANDS[value], doubts)


def _blue_wool(text: str, bare: str) -> Mark:
    match = _RANGE.fullmatch(bare.replace("/", "-"))
    steps = sorted(match.groups()) if match else [bare.replace("l", "1")]
    if not all(re.fullmatch("[1-8]", step) for step in steps):
        return _refused(text, "the blue wool scale runs from 1 to 8")
    mark = _blue_wool_mark(text, steps)
    if not {"l", "/"} & set(bare):
        return mark
    message = f"{shown(text)} is read as blue wool {mark.value}."
    return replace(mark, doubts=(Doubt("read-as-blue-wool", Severity.READ_AS, message, text),))


def _blue_wool_mark(text: str, steps: list[str], doubts: tuple[Doubt, ...] = ()) -> Mark:
    """A range counts by its lower end, and ranks between the whole steps."""
    low, high = int(steps[0]), int(steps[-1])
    band = Band.LASTING if low >= 6 else Band.MODERATE if low >= 4 else Band.FUGITIVE
    value = f"{low}-{high}" if high != low else str(low)
    return Mark(text, value, LightfastnessScale.BLUE_WOOL, "", low + (high - low) / 100, band, doubts)


def _without_scale(text: str, bare: str, *, lf: bool) -> Mark:
    stroke = bare in ("i", "l", "|")  # a letter, a Roman or an Arabic one
    if stroke and not (lf and text.rstrip().endswith(("I", "Ⅰ"))):
        return Mark(text, doubts=(_ask_scale(text, "1"),))
    if bare in _ROMAN or stroke:
        value = _ROMAN.get(bare, "I")
        message = f"{shown(text)} is read as ASTM {value}, which writes its marks in Roman numerals."
        return _astm_mark(text, value, (Doubt("read-as-astm", Severity.READ_AS, message, text),))
    if re.fullmatch(r"[iv]{1,3} ?[-/] ?[iv]{1,3}", bare):
        return _astm(text, bare)
    match = _RANGE.fullmatch(bare)
    if match and not lf and match[1] < match[2]:
        return _blue_wool_mark(text, [match[1], match[2]])
    if _ARABIC.fullmatch(bare):
        return _bare_number(text, bare)
    pair = re.fullmatch(r"(\d) ?/ ?(\d)", bare)
    if pair and int(pair[2]) == int(pair[1]) + 1 <= 8:
        return Mark(text, doubts=(_ask_pair(text, pair[1], pair[2]),))
    found = _maker(text, bare)
    return found if found is not None else _refused(text, "it is no lightfastness mark that we know")


def _bare_number(text: str, bare: str) -> Mark:
    number = int(bare)
    if 6 <= number <= 8:
        message = f"{shown(text)} is read as blue wool {number}: ASTM marks end at V."
        return _blue_wool_mark(text, [str(number)], (Doubt("read-as-blue-wool", Severity.READ_AS, message, text),))
    if 1 <= number <= 5:
        return Mark(text, doubts=(_ask_scale(text, str(number)),))
    return _refused(text, "ASTM marks run from I to V and the blue wool scale from 1 to 8")


def _ask_scale(text: str, number: str) -> Doubt:
    roman = ("I", "II", "III", "IV", "V")[int(number) - 1]
    ends = ": the best mark of ASTM and the worst of blue wool" if number == "1" else ""
    message = (
        f"{shown(text)} does not say its scale{ends}. Choose the scale, once for the column if all cells share it."
    )
    options = (
        Option(f"ASTM {roman}", f"ASTM {roman} (I is best)"),
        Option(f"blue wool {number}", f"Blue wool {number} (8 is best)"),
        Option("maker", "The maker's own scale"),
    )
    return Doubt("which-scale", Severity.ASK, message, text, options)


def _ask_pair(text: str, low: str, high: str) -> Doubt:
    message = f"{shown(text)} can be blue wool {low}-{high}, or {low} of {high} on a maker's scale. Choose one."
    options = (
        Option(f"blue wool {low}-{high}", f"Blue wool {low}-{high}"),
        Option(f"{low} of {high}", f"{low} of {high}, the maker's own scale"),
    )
    return Doubt("which-scale", Severity.ASK, message, text, options)


def _ask_date(text: str, suggestion: str) -> Doubt:
    if not suggestion:
        message = f"{shown(text)} is a date, not a lightfastness mark. Type the mark from the tube."
        return Doubt("date", Severity.ASK, message, text)
    message = f"{shown(text)} is a date. Did you mean {suggestion}? Spreadsheets turn such ranges into dates."
    options = (Option(f"blue wool {suggestion}", f"Blue wool {suggestion}"), Option("", "Unknown"))
    return Doubt("date", Severity.ASK, message, text, options)


def _refused(text: str, why: str) -> Mark:
    message = f"{shown(text)} cannot be read as lightfastness: {why}. Type the mark as the tube prints it."
    return Mark(text, doubts=(Doubt("mark-refused", Severity.REFUSED, message, text),))


# Makers' own marks


def _on_maker_scale(text: str, words: str, scale: MakerScale) -> Mark:
    marks = [bare_letters(mark) for mark in scale.marks]
    if words not in marks:
        return _refused(text, f"the scale {scale.name} has the marks {', '.join(scale.marks)}")
    place = marks.index(words)
    band = _band_of(place, len(marks) - 1)
    return Mark(text, scale.marks[place], LightfastnessScale.MAKER, scale.name, float(place), band)


def _band_of(place: int, top: int) -> Band:
    """The band of a place from 0 to `top`; the middle third is moderate. Ours, no source."""
    if top < 1:
        return Band.UNKNOWN
    share = place / top
    return Band.FUGITIVE if share < 1 / 3 else Band.MODERATE if share < 2 / 3 else Band.LASTING


def _maker(text: str, bare: str) -> Mark | None:
    if bare in _WORD_BANDS:
        return Mark(text, bare, LightfastnessScale.MAKER, "words", None, _WORD_BANDS[bare])
    stars = _OF.fullmatch(bare) or _NUMBERED_STARS.fullmatch(bare)
    if stars:
        return _so_many(text, bare, _how_many(stars["have"]), _how_many(stars["top"]))
    symbols = _STARS.fullmatch(bare)
    if symbols:
        empty = len(symbols["empty"])
        return _so_many(text, bare, len(symbols["full"]), len(symbols["full"]) + empty if empty else None)
    if _LETTERS.fullmatch(bare):
        return Mark(text, bare.upper(), LightfastnessScale.MAKER, "letters", None, doubts=(_note_maker(text),))
    return None


def _how_many(written: str | None) -> int | None:
    if not written:
        return None
    if written.isdigit():
        return int(written)
    return _COUNT_WORDS.get(written, len(written))


def _so_many(text: str, bare: str, have: int | None, top: int | None) -> Mark:
    have = have or 0
    if top is None:
        return Mark(text, bare, LightfastnessScale.MAKER, "", None, doubts=(_note_maker(text),))
    if not 0 < have <= top:
        return _refused(text, f"{have} of {top} is no mark")
    return Mark(text, bare, LightfastnessScale.MAKER, f"of {top}", float(have), _band_of(have - 1, top - 1))


def _note_maker(text: str) -> Doubt:
    message = f"{shown(text)} is kept as the maker's own mark. Name the maker's scale with its marks to have it ranked."
    return Doubt("maker-mark", Severity.NOTE, message, text)


# The weakest of several


def weakest(marks: Sequence[Mark]) -> Weakest:
    """The mark that decides how long a mixture keeps its hue: its weakest ingredient.

    Marks of one scale are ranked as they are; across scales only our coarse bands are compared. An unknown mark among
    them may be worse than all others, so the answer then holds "at best".
    """
    known = [mark for mark in marks if not mark.unknown]
    open_ones = len(marks) - len(known)
    if not known:
        return Weakest(Band.UNKNOWN, "Lightfastness unknown: ask the maker, or test a swatch.")
    unranked = any(mark.coarse is Band.UNKNOWN for mark in known)
    scales = {(mark.scale, mark.maker_scale) for mark in known}
    if len(scales) == 1 and all(mark.rank is not None for mark in known):
        worst = min(known, key=lambda mark: mark.rank or 0.0)
        return Weakest(worst.coarse, _says(f"{_written(worst)}", open_ones), worst, open_ones > 0)
    banded = [mark.coarse for mark in known if mark.coarse is not Band.UNKNOWN]
    if not banded:
        only = known[0] if len(known) == 1 else None
        message = "Rated on scales whose order is not known here, so the weakest cannot be told."
        return Weakest(Band.UNKNOWN, message, only, open_ones > 0)
    band = min(banded, key=_WORST_FIRST.index)
    only = known[0] if len(known) == 1 else None
    at_best = open_ones > 0 or unranked
    across = "" if only else ", compared across scales by our bands"
    return Weakest(band, _says(f"{band.label}{across}", open_ones + unranked), only, at_best)


def _written(mark: Mark) -> str:
    names = {LightfastnessScale.ASTM: "ASTM ", LightfastnessScale.BLUE_WOOL: "blue wool "}
    return f"{names.get(mark.scale, 'maker’s mark ')}{mark.value}"


def _says(what: str, unknown: int) -> str:
    if unknown:
        return f"At best {what}: an ingredient whose lightfastness is unknown may fade sooner."
    return f"{what[:1].upper()}{what[1:]}: the weakest ingredient decides."
