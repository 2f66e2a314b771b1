"""The paints of a palette from warm to cool and from light to dark, and strings of mixtures held at one value."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.colour import certainty
from inventory.colour.certainty import mixtures
from inventory.colour.palette import Palette as Curves
from inventory.colour.recovery import generic_white
from inventory.colour.seen import Seen, seen
from inventory.colour.temperature import WARM_TO_COOL, Standing, Tag, value_string
from inventory.colour.wheel import munsell_name
from inventory.queries.mixable import unless_wash
from inventory.queries.palette import band_row
from inventory.queries.palettes.tubes import Choosable, Laid
from inventory.queries.wheel import listed

ORDER = (
    f"From warm to cool: {', '.join(WARM_TO_COOL)}. This order is common practice and no measurement; painters differ, "
    "most of all over which blue is the warm one, so each lean is said in words."
)
STEPS = 5
LEAST_VALUE, MOST_VALUE = 1, 9


@dataclass(frozen=True, eq=False)
class Placed:
    """A tube with where it stands."""

    tube: Choosable
    standing: Standing
    munsell: str

    @property
    def side(self) -> str:
        """Which side of its hue it is on, by the order of warmth."""
        if self.standing.warmer is None:
            return "no hue of its own"
        return "the warmer side" if self.standing.warmer else "the cooler side"


@dataclass(frozen=True, eq=False)
class StringStep:
    """One step of a value string: its parts in words, its colour, and how sure that is."""

    words: str
    seen: Seen
    text: str
    reached: bool


@dataclass(frozen=True, eq=False)
class ValueString:
    first: Choosable
    second: Choosable
    value: int
    white: str
    dark: str
    steps: tuple[StringStep, ...]

    @property
    def missed(self) -> int:
        return sum(not step.reached for step in self.steps)


def placed(laid: Laid) -> tuple[Placed, ...]:
    """The tubes of known colour, warm before cool."""
    found = []
    for one in laid.known:
        at = one.standing
        if at is None:
            continue
        grey = at.warmer is None
        notation = f"N {at.value:.0f}/" if grey else munsell_name(at.hue, at.lightness)
        found.append(Placed(one, at, notation))
    return tuple(sorted(found, key=lambda one: (one.standing.order, one.tube.name)))


def light_to_dark(rows: Sequence[Placed]) -> tuple[Placed, ...]:
    return tuple(sorted(rows, key=lambda one: (-one.standing.value, one.tube.name)))


def sure_of(tube: Choosable) -> certainty.Paint:
    """The tube with all the curves that it may have; only for one of known colour."""
    if tube.sure is not None and tube.sure.sure is not None:
        return tube.sure.sure
    if tube.row is None:
        raise ValueError(f"The colour of {tube.name} is not known: {tube.reason}")
    return certainty.Paint.typical([band_row(tube.row)])


def string_of(laid: Laid, first: str, second: str, value: int) -> ValueString:
    """Return the string from one tube to another; a ValueError says what is wrong with what is asked."""
    by_key = {one.key: one for one in laid.known}
    for key in (first, second):
        if key not in by_key:
            raise ValueError(f"There is no tube {key!r} of known colour on this palette: choose one of the list.")
    if first == second:
        raise ValueError(f"{by_key[first].name} is chosen twice: a string runs between two tubes.")
    if not LEAST_VALUE <= value <= MOST_VALUE:
        raise ValueError(f"A value is {LEAST_VALUE} to {MOST_VALUE} on Munsell's scale, not {value}.")
    one, two = by_key[first], by_key[second]
    whites = [each for each in laid.known if each.standing and Tag.WHITE in each.standing.tags]
    white = next(iter(whites), None)
    others = [each for each in laid.known if each not in (one, two, *whites)] or [one, two]
    dark = min(others, key=_darkness)
    sure_white = sure_of(white) if white is not None else certainty.Paint.measured(generic_white())
    paints = [sure_of(one), sure_of(two), sure_white, sure_of(dark)]
    names = [one.name, two.name, white.name if white else "white", dark.name]
    k = np.stack([paint.curve.k for paint in paints])
    s = np.stack([paint.curve.s for paint in paints])
    steps = value_string(k, s, lightness_of(value), STEPS)
    said = mixtures(paints, [step.parts for step in steps])
    return ValueString(
        one,
        two,
        value,
        white.name if white is not None else "a typical titanium white, for there is none on this palette",
        dark.name,
        tuple(
            StringStep(
                parts_in_words(names, step.parts),
                seen(step.lab),
                unless_wash(text, laid.binder, [p for p, part in zip(paints, step.parts, strict=True) if part]).text,
                step.reached,
            )
            for step, text in zip(steps, said, strict=True)
        ),
    )


def _darkness(tube: Choosable) -> tuple[int, float]:
    """Blacks and earths by their value, then the others, which turn a string to their own hue."""
    at = tube.standing
    if at is None:
        return (2, 100.0)
    return (0 if at.warmer is None or Tag.EARTH in at.tags else 1, at.lightness)


def lightness_of(value: int) -> float:
    """L* of a whole Munsell value, by halving what `seen` says of greys."""
    low, high = 0.0, 100.0
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if seen((middle, 0.0, 0.0)).value < value else (low, middle)
    return high


def parts_in_words(names: Sequence[str], parts: Sequence[float]) -> str:
    """Such as "62 in 100 Ultramarine Blue, 30 Burnt Sienna and 8 Titanium White": a start, no recipe."""
    together: dict[str, float] = {}
    for name, part in zip(names, parts, strict=True):
        together[name] = together.get(name, 0.0) + part
    used = [(name, part) for name, part in together.items() if part > 1e-6]
    said = [
        f"{'under 1' if part < 0.01 else format(100 * part, '.0f')}{'' if place else ' in 100'} {name}"
        for place, (name, part) in enumerate(used)
    ]
    return f"{used[0][0]} alone" if len(used) == 1 else listed(said)


def palette_and_sure(laid: Laid) -> tuple[Curves, list[certainty.Paint]]:
    return laid.curves, [sure_of(one) for one in laid.known]
