"""The mixing chart of a palette: every pair at several ratios, alone and with white, each with how sure it is."""

from dataclasses import dataclass
from itertools import combinations

from inventory.colour import certainty
from inventory.colour.certainty import mixtures, whole
from inventory.colour.recovery import generic_white
from inventory.colour.seen import Seen, seen
from inventory.colour.steps import Steps
from inventory.colour.temperature import Tag
from inventory.queries.mixable import ASSUMED_WHITE, unless_wash
from inventory.queries.palettes.temperature import sure_of
from inventory.queries.palettes.tubes import Choosable, Laid
from inventory.queries.remembered import Remembered, digest

# Parts by volume of the first and the second, and parts of white to one part of their mixture.
RATIOS: tuple[tuple[int, int], ...] = ((3, 1), (1, 1), (1, 3))
WHITE_PARTS: tuple[int, ...] = (0, 4)
# Pairs worked in one step.
AT_ONCE = 6
HONEST = (
    "The colours are computed and shown as a screen or a printer can show them, which is not how paint looks: judge by "
    "the squares that you paint. The figure under a square is the colour difference (CIEDE2000) within which nine in "
    "ten such predictions are expected to stay; a question mark means that no figure can be given. A square with a "
    "stroke through its corner is more vivid than a screen shows. “4 white” is four parts of white "
    "to one of the mixture. Parts are by volume; a place to start from, never a recipe."
)

_charts: Remembered["Chart"] = Remembered(16)


@dataclass(frozen=True, eq=False)
class Square:
    """One computed colour. `within` is the CIEDE2000 that it likely keeps, None where no figure may be given."""

    ratio: tuple[int, int]
    white: int
    seen: Seen
    within: int | None
    text: str

    @property
    def ratio_words(self) -> str:
        return _ratio_words(self.ratio, self.white)

    @property
    def short(self) -> str:
        return "?" if self.within is None else f"within {self.within}"


@dataclass(frozen=True, eq=False)
class Pair:
    first: Choosable
    second: Choosable
    squares: tuple[Square, ...]


@dataclass(frozen=True, eq=False)
class Chart:
    pairs: tuple[Pair, ...]
    alone: tuple[tuple[Choosable, Seen], ...]
    white: str
    notes: tuple[str, ...]

    @property
    def headings(self) -> tuple[str, ...]:
        return tuple(_ratio_words(ratio, white) for white in WHITE_PARTS for ratio in RATIOS)


def chart_of(laid: Laid) -> Chart:
    """Works in steps: within `patience` it raises StillWorking. No query."""
    count = len(laid.known)
    return _charts.of(digest(laid.curves, "chart"), lambda: chart_steps(laid), f"Every pair of {count} tubes")


def chart_steps(laid: Laid) -> Steps[Chart]:
    """The chart in steps of a few pairs."""
    whites = [one for one in laid.known if one.standing and Tag.WHITE in one.standing.tags]
    colours = [one for one in laid.known if one not in whites]
    notes = []
    if whites:
        white, name = sure_of(whites[0]), whites[0].name
    else:
        white, name = certainty.Paint.measured(generic_white()), "a typical titanium white"
        notes.append(ASSUMED_WHITE.replace("of this binder is in stock", "is on this palette"))
    pairs = list(combinations(colours, 2))
    sure = {one.key: sure_of(one) for one in colours}
    made: list[Pair] = []
    for start in range(0, len(pairs), AT_ONCE):
        made += [
            _pair(laid.binder, one, two, sure[one.key], sure[two.key], white)
            for one, two in pairs[start : start + AT_ONCE]
        ]
        yield len(made) / len(pairs)
    alone = tuple((one, one.sure.seen if one.sure and one.sure.seen else _alone(one)) for one in laid.known)
    return Chart(tuple(made), alone, name, tuple(notes))


def _alone(one: Choosable) -> Seen:
    return seen(certainty.mixture([sure_of(one)], [1.0]).lab)


def _pair(
    binder: str, one: Choosable, two: Choosable, first: certainty.Paint, second: certainty.Paint, white: certainty.Paint
) -> Pair:
    rows = [(a / (a + b), b / (a + b), float(parts)) for parts in WHITE_PARTS for a, b in RATIOS]
    asked = [(ratio, parts) for parts in WHITE_PARTS for ratio in RATIOS]
    squares = []
    for (ratio, parts), said in zip(asked, mixtures([first, second, white], rows), strict=True):
        used = [first, second, *([white] if parts else [])]
        told = unless_wash(said, binder, used)
        within = None if told.within is None else whole(told.within)
        squares.append(Square(ratio, parts, seen(told.lab), within, told.text))
    return Pair(one, two, tuple(squares))


def _ratio_words(ratio: tuple[int, int], white: int) -> str:
    first, second = ratio
    return f"{first} : {second}, {white} white" if white else f"{first} : {second}"
