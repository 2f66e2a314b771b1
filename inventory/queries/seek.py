"""Ways to a wanted colour from the paints in stock of one binder."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError

from inventory.colour.seek import GOOD_ENOUGH, Route, seek
from inventory.colour.seen import Seen, seen
from inventory.colour.wheel import hue_name
from inventory.labels.doubts import Severity
from inventory.measuring.colours import ReadColour, read_colour
from inventory.models import Paint
from inventory.queries.lasting import metals_in_words, weakest_in_words
from inventory.queries.mix import Told, told_of
from inventory.queries.mixable import Bench, Mixable, unless_wash
from inventory.queries.wheel import binder_label

# Where the reader's doubts belong among the fields.
FIELD_OF = {"illuminant": "illuminant", "observer": "observer", "notation": "notation"}
# A shortfall in chroma that is told apart from other misses.
SHORT_BY = 3.0


@dataclass(frozen=True, eq=False)
class Ingredient:
    """A paint of a way, with its whole parts."""

    one: Mixable
    parts: int

    @property
    def paint(self) -> Paint:
        return self.one.paint


@dataclass(frozen=True, eq=False)
class Way:
    """One way to the wanted colour. `difference` is CIEDE2000 by the best curves; `told` says how sure that is."""

    ingredients: tuple[Ingredient, ...]
    told: Told
    difference: float
    differs: str
    note: str
    lasting: str
    metals: str


@dataclass(frozen=True, eq=False)
class Sought:
    """The ways to a colour, fewest paints first, and in words what none of them reaches."""

    binder: str
    binder_label: str
    text: str
    wanted: Seen
    rough: bool
    converted: str
    remarks: tuple[str, ...]
    ways: tuple[Way, ...]
    short: str


def read_wanted(text: str, notation: str = "", illuminant: str = "", observer: str = "") -> ReadColour:
    """The wanted colour as typed; ValidationError by field says what is wrong or must be answered first."""
    read = read_colour(text, notation=notation or None, illuminant=illuminant or None, observer=observer or None)
    problems: dict[str, list[str]] = {}
    for doubt in read.doubts:
        if doubt.severity in (Severity.ASK, Severity.REFUSED):
            problems.setdefault(FIELD_OF.get(doubt.code, "text"), []).append(doubt.message)
    if problems:
        raise ValidationError(problems)
    return read


def ways_to(bench: Bench, binder: str, read: ReadColour) -> Sought:
    """Return the ways from what is in stock of one binder; ValidationError where nothing there can be mixed."""
    palette, sure = bench.palette(binder)
    if not len(palette):
        message = (
            f"No {binder_label(binder).lower()} paint of known colour is in stock, so there is nothing to mix from."
        )
        raise ValidationError({"binder": ValidationError(message, code="binder")})
    assert read.lab is not None  # noqa: S101  # `read_wanted` lets nothing else through
    wanted = seen(read.lab)
    ways = tuple(_way(bench, binder, route) for route in seek(palette, read.lab, paints=sure))
    return Sought(
        binder=binder,
        binder_label=binder_label(binder),
        text=read.text,
        wanted=wanted,
        rough=read.rough,
        converted=read.converted,
        remarks=tuple(doubt.message for doubt in read.doubts),
        ways=ways,
        short=_short(wanted, ways),
    )


def _way(bench: Bench, binder: str, route: Route) -> Way:
    ingredients = tuple(
        Ingredient(bench.by_pk[pk], parts)
        for pk, parts in zip(route.ids, route.parts, strict=True)
        if isinstance(pk, int)
    )
    paints = [one.paint for one in ingredients]
    assert route.statement is not None  # noqa: S101  # sought with draws
    return Way(
        ingredients=ingredients,
        told=told_of(unless_wash(route.statement, binder, [one.one.sure for one in ingredients])),
        difference=route.difference,
        differs=route.words,
        note=route.note,
        lasting=weakest_in_words(paints),
        metals=metals_in_words(paints),
    )


def _short(wanted: Seen, ways: tuple[Way, ...]) -> str:
    """What no way reaches; empty where one comes near enough."""
    if not ways:
        return "No way was found from these paints."
    nearest = min(ways, key=lambda way: way.difference)
    if nearest.difference <= GOOD_ENOUGH:
        return ""
    said = f"No way from these paints comes within {GOOD_ENOUGH:.0f} of it (CIEDE2000)."
    reached = nearest.told.seen
    assert reached is not None  # noqa: S101  # a route always has a colour
    if wanted.C - reached.C >= SHORT_BY and wanted.hue is not None:
        name = hue_name(wanted.hue).word
        return f"{said} The wanted {name} has chroma {wanted.C:.0f}; the nearest way reaches {reached.C:.0f}."
    return f"{said} The nearest way is {nearest.differs}."
