"""What a mixture of two to four paints looks like, how sure that is, and its tints."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from inventory.colour import certainty
from inventory.colour.certainty import Statement, doubt_of_each, mixtures, whole
from inventory.colour.recovery import Basis
from inventory.colour.seen import Seen, seen
from inventory.models import Binder, Paint
from inventory.queries.mixable import ASSUMED_WHITE, Bench, Mixable, unless_wash
from inventory.queries.wheel import binder_label

FEWEST, MOST = 2, 4
MOST_PARTS = 1000.0
# Parts of white to one part of the mixture, along the row of tints.
TINTS = (1, 2, 4, 9, 19)
# A paint that brings this share of the doubts of all is named.
MOST_OF_THE_DOUBT = 0.5
THEORY = (
    "However well the paints are known, the theory itself is off by about 4 (CIEDE2000; the published judgement; "
    "measured watercolours were 4 to 6 off on average), so no mixture is told closer than that."
)
NO_RECIPE = "A place to start from, never an exact recipe: mix a little first and adjust by eye."


@dataclass(frozen=True, eq=False)
class Part:
    """One paint of a mixture: its parts as given, and its share of all (0 to 1)."""

    one: Mixable
    parts: float
    share: float


@dataclass(frozen=True, eq=False)
class Told:
    """A colour that was predicted, and how sure it is. `within` is None where no figure may be given."""

    seen: Seen | None
    word: str
    within: float | None
    text: str

    @property
    def likely(self) -> int | None:
        return None if self.within is None else whole(self.within)


@dataclass(frozen=True, eq=False)
class Tint:
    """The mixture with so many parts of white to one of it."""

    white_parts: int
    told: Told


@dataclass(frozen=True, eq=False)
class Mix:
    """What may be said of one mixture; `told.seen` is None where nothing may be said of it."""

    binder: str
    binder_label: str
    parts: tuple[Part, ...]
    told: Told
    why: str
    white: Mixable | None
    tints: tuple[Tint, ...]
    notes: tuple[str, ...]

    @property
    def white_paint(self) -> Paint | None:
        """The white of the tints; None where a typical one is assumed."""
        return None if self.white is None else self.white.paint


def mix(bench: Bench, given: Sequence[tuple[int, float]]) -> Mix:
    """Return the mixture of these paints (number, parts) at the bench; ValidationError says what is wrong."""
    parts = _checked(bench, given)
    binder = parts[0].one.paint.binder
    white, sure_white = bench.white_or_typical(binder)
    notes = [f"Nothing usable of {part.one.paint.name} is in stock." for part in parts if not part.one.in_stock]
    unknown = [part.one for part in parts if part.one.sure is None]
    if unknown:
        why = " ".join(f"{one.paint.name}: {one.reason}" for one in unknown)
        told = Told(None, "no figure", None, "No figure can be given of this mixture or its tints.")
        return Mix(binder, binder_label(binder), parts, told, why, white, (), tuple(notes))
    used = [part for part in parts if part.parts > 0.0]
    paints = [part.one.sure for part in used if part.one.sure is not None]
    shares = [part.share for part in used]
    if white is None:
        notes.append(ASSUMED_WHITE)
    rows = [[*shares, 0.0], *([*shares, float(count)] for count in TINTS)]
    first, *rest = mixtures([*paints, sure_white], rows)
    first = unless_wash(first, binder, paints)
    tints = tuple(Tint(count, told_of(said)) for count, said in zip(TINTS, rest, strict=True))
    return Mix(
        binder, binder_label(binder), parts, told_of(first), _why(used, paints, shares), white, tints, tuple(notes)
    )


def told_of(said: Statement) -> Told:
    return Told(seen(said.lab), str(said.word), said.within, said.text)


def _checked(bench: Bench, given: Sequence[tuple[int, float]]) -> tuple[Part, ...]:
    if not given:
        raise _refused("Choose two to four paints of one binder; none is chosen.")
    if len(given) > MOST:
        over = len(given) - MOST
        raise _refused(f"{len(given)} paints are chosen, and a mixture here has at most {MOST}. Leave out {over}.")
    ones: list[Mixable] = []
    for pk, parts in given:
        one = bench.by_pk.get(pk)
        if one is None:
            raise _refused(f"Paint {pk} is not among the studio's paints (put away, or never here): choose another.")
        if not math.isfinite(parts) or not 0.0 <= parts <= MOST_PARTS:
            raise _refused(f"Parts of {one.paint.name} are {parts:g}: enter 0 to {MOST_PARTS:g}.")
        if any(one is other for other in ones):
            raise _refused(f"{one.paint.name} is chosen twice: give all its parts in one line.")
        ones.append(one)
    if len(given) < FEWEST:
        raise _refused(f"{ones[0].paint.name} alone is no mixture: choose a second paint, or a white.")
    _check_binders(ones)
    total = sum(parts for _, parts in given)
    if total <= 0.0:
        raise _refused("All parts are 0: give at least one paint a part above 0.")
    return tuple(Part(one, parts, parts / total) for one, (_, parts) in zip(ones, given, strict=True))


def _check_binders(ones: Sequence[Mixable]) -> None:
    unknown = next((one for one in ones if one.paint.binder == Binder.UNKNOWN), None)
    if unknown is not None:
        raise _refused(f"The binder of {unknown.paint.name} is not known, so nothing is said of its mixtures.")
    other = next((one for one in ones if one.paint.binder != ones[0].paint.binder), None)
    if other is not None:
        first, second = (f"{one.paint.name} is {binder_label(one.paint.binder).lower()}" for one in (ones[0], other))
        raise _refused(f"{first} and {second}; paints of different binders are never mixed here. Choose one binder.")


def _refused(message: str) -> ValidationError:
    return ValidationError({"paints": ValidationError(message, code="paints")})


def _why(parts: Sequence[Part], paints: Sequence[certainty.Paint], shares: Sequence[float]) -> str:
    known = "; ".join(f"{part.one.paint.name} is {part.one.basis_words}" for part in parts)
    words = [f"{known}."]
    doubts = doubt_of_each(paints, shares)
    worst = max(range(len(doubts)), key=doubts.__getitem__)
    if len(parts) > 1 and doubts[worst] > MOST_OF_THE_DOUBT * sum(doubts):
        name = parts[worst].one.paint.name
        untinted = paints[worst].basis in (Basis.TYPICAL, Basis.ALONE_WITH_CODE)
        measure = ": a measured tint of it would help most" if untinted else ""
        words.append(f"Most of the doubt is about {name}{measure}.")
    return " ".join(words)
