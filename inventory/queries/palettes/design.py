"""The palette designer: what the rules admit, the best choice among it, and what to relax where there is none."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.colour.coverage import percent
from inventory.colour.designer import Demands, Design, Shelf, cheapest, design_steps
from inventory.colour.temperature import Tag
from inventory.models import Binder, Group, OpticalRow, Paint
from inventory.queries.palette import unusable_paints
from inventory.queries.palettes.analysis import USUAL_A_HEAD_MILLI, Analysis, analysed
from inventory.queries.palettes.tubes import Choosable, Laid, curves_of, of_paints, of_rows, paints_at_hand
from inventory.queries.remembered import Remembered, digest, reach_of
from inventory.queries.wheel import binder_label, listed
from inventory.restrictions import Restriction
from inventory.stock.prices import money_words
from studio.attention import and_more
from studio.models import Studio

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
# Names told of what a rule keeps out; the others are counted.
NAMED = 4

_designed: Remembered[Design | None] = Remembered(32)


@dataclass(frozen=True)
class Asked:
    """What somebody wants of a palette."""

    size: int
    binder: str = ""
    tags: tuple[Tag, ...] = (Tag.WHITE,)
    transparent: int = 0
    lasting: bool = True
    group: Group | None = None
    budget_minor: int | None = None
    to_buy: bool = False
    people: int = 1
    a_head_milli: int = USUAL_A_HEAD_MILLI

    def kept(self) -> dict[str, object]:
        """As a palette keeps it, so that it can be done again."""
        return {
            "size": self.size,
            "tags": [tag.value for tag in self.tags],
            "transparent": self.transparent,
            "lasting": self.lasting,
            "budget_minor": self.budget_minor,
            "to_buy": self.to_buy,
            "people": self.people,
            "a_head_milli": self.a_head_milli,
        }


@dataclass(frozen=True)
class KeptOut:
    """Tubes that one rule keeps out."""

    words: str
    names: tuple[str, ...]
    rule: Restriction | None = None

    @property
    def names_words(self) -> str:
        return and_more(list(self.names[:NAMED]), len(self.names))


@dataclass(frozen=True)
class Relaxed:
    """A rule to relax, in words, and what that would open."""

    words: str


@dataclass(frozen=True, eq=False)
class Designed:
    """The answer; `design` is None where no choice keeps the rules, and then `why` and `relax` say what to do."""

    asked: Asked
    binder: str
    binders: tuple[tuple[str, str, int], ...]
    admitted: int
    design: Design | None
    analysis: Analysis | None
    out: tuple[KeptOut, ...]
    why: str
    relax: tuple[Relaxed, ...]

    @property
    def binder_label(self) -> str:
        return binder_label(self.binder) if self.binder else ""

    @property
    def reach_words(self) -> str:
        """How much the choice reaches, and whether another could reach more."""
        one = self.design
        if one is None:
            return ""
        reaches = f"Reaches {one.percent:.1f} in 100 of what real surfaces have"
        everything = f"all {self.admitted} tubes that the rules admit reach {one.bound:.1f} together"
        if one.whole:
            tried = f"All {one.tried:,} choices that keep the rules were tried, and none reaches more"
            return f"{reaches}. {tried if one.tried > 1 else 'Only this choice keeps the rules'}; {everything}."
        near = ""
        if one.looked_at != one.of:
            near = (
                f" Of {one.of} colours the {one.looked_at} that stood nearest to the choice were mixed three at a time."
            )
        return (
            f"{reaches}; no choice can reach more than {one.bound:.1f}, for {everything}. {one.tried:,} choices were "
            f"tried, not every one, so another may be a little better.{near}"
        )

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(one.key for one in self.analysis.laid.tubes) if self.analysis else ()


@dataclass(frozen=True, eq=False)
class _Candidates:
    """All that might be chosen in one binder, before the rules."""

    binder: str
    tubes: tuple[Choosable, ...]
    unknown: tuple[Choosable, ...]
    """Those whose colour is not known, so that nobody can tell what they would reach."""


def designed(studio: Studio, asked: Asked) -> Designed:
    """The best palette under the rules. A dozen queries, and those of the house rules.

    Works in steps: within `patience` it raises StillWorking.
    """
    paints = paints_at_hand(studio)
    count: dict[str, int] = {}
    for paint in paints:
        if paint.binder != Binder.UNKNOWN:
            count[paint.binder] = count.get(paint.binder, 0) + 1
    order = sorted(count, key=lambda one: (-count[one], Binder.values.index(one)))
    binders = tuple((one, binder_label(one), count[one]) for one in order)
    binder = asked.binder or (order[0] if order else "")
    if not binder or (binder not in count and not asked.to_buy):
        there = listed([label.lower() for _, label, _ in binders])
        why = (
            f"No paint in {binder_label(binder).lower()} is in stock; there is {there}. Choose one of these, or let "
            "the choice take in what can be bought."
            if binder and there
            else "No paint whose binder is known is in stock, so there is nothing to choose from."
        )
        return Designed(asked, binder, binders, 0, None, None, (), why, ())
    found = _candidates(studio, asked, binder, paints)
    return _chosen(studio, asked, found, binders)


def _candidates(studio: Studio, asked: Asked, binder: str, paints: Sequence[Paint]) -> _Candidates:
    mine = [paint for paint in paints if paint.binder == binder]
    tubes = of_paints(studio, mine, asked.group)
    unknown = tuple(one for one in tubes if one.curve is None)
    known = [one for one in tubes if one.curve is not None]
    if asked.to_buy:
        held = {one.curve.k.tobytes() + one.curve.s.tobytes() for one in known if one.curve is not None}
        rows = of_rows(studio, binder, list(OpticalRow.objects.select_related("pigment")), asked.group)
        known += [
            one
            for one in rows
            if one.price is not None
            and one.curve is not None
            and one.curve.k.tobytes() + one.curve.s.tobytes() not in held
        ]
    return _Candidates(binder, tuple(known), unknown)


def _chosen(studio: Studio, asked: Asked, found: _Candidates, binders: tuple[tuple[str, str, int], ...]) -> Designed:
    admitted, out = _admitted(asked, found)
    if unusable := tuple(unusable_paints(studio).filter(binder=found.binder).values_list("name", flat=True)):
        out = (*out, KeptOut("Nothing that is left of it can be used", unusable))
    why = _why_not(studio, asked, found, admitted)
    design = None
    if not why:
        shelf = _shelf(admitted, found.binder)
        demands = _demands(asked)
        key = digest(shelf.palette, [sorted(tags) for tags in shelf.tags], shelf.transparent, shelf.prices, demands)
        design = _designed.of(key, lambda: design_steps(shelf, demands), f"Which {asked.size} of {len(admitted)} tubes")
        if design is None:
            why = "No choice keeps these rules together."
    analysis = None
    if design is not None:
        tubes = sorted((admitted[place] for place in design.places), key=in_order)
        analysis = analysed(
            studio, Laid(found.binder, tuple(tubes)), people=asked.people, a_head_milli=asked.a_head_milli
        )
    relax = () if design is not None else _relaxed(studio, asked, found)
    return Designed(asked, found.binder, binders, len(admitted), design, analysis, out, why, relax)


def in_order(one: Choosable) -> tuple[int, tuple[int, float], str]:
    """White first, then from warm to cool."""
    found = one.standing
    if found is None:
        return (2, (0, 0.0), one.name)
    return (0 if Tag.WHITE in found.tags else 1, found.order, one.name)


def _admitted(asked: Asked, found: _Candidates) -> tuple[list[Choosable], tuple[KeptOut, ...]]:
    """What the rules let in, and what each keeps out."""
    admitted = []
    # One rule may catch two tubes for two reasons: each reason stands with its own.
    out: dict[str | Restriction, list[str]] = {}
    for one in (*found.tubes, *found.unknown):
        if one.forbidden:
            for rule in one.forbidden:
                out.setdefault(rule, []).append(one.name)
        elif one.curve is None:
            out.setdefault("Their colour is not known", []).append(one.name)
        elif asked.lasting and one.fades:
            out.setdefault("Known to fade", []).append(one.name)
        elif asked.budget_minor is not None and one.price is None:
            out.setdefault("Without a price, and there is a budget", []).append(one.name)
        else:
            admitted.append(one)
    whom = f"Kept from {asked.group or 'everybody'}"
    return admitted, tuple(
        KeptOut(why, tuple(names)) if isinstance(why, str) else KeptOut(f"{whom}: “{why.rule}”", tuple(names), why)
        for why, names in out.items()
    )


def _shelf(tubes: Sequence[Choosable], binder: str) -> Shelf:
    return Shelf(
        curves_of(tubes, binder),
        tuple(one.standing.tags if one.standing else frozenset() for one in tubes),
        tuple(one.transparent for one in tubes),
        tuple(one.price.minor if one.price else None for one in tubes),
    )


def _demands(asked: Asked) -> Demands:
    return Demands(asked.size, asked.tags, asked.transparent, asked.budget_minor)


def _why_not(studio: Studio, asked: Asked, found: _Candidates, admitted: Sequence[Choosable]) -> str:
    """Why no choice keeps the rules; empty where one does."""
    where = "in stock or offered" if asked.to_buy else "in stock"
    label = binder_label(found.binder).lower()
    if not found.tubes:
        return f"No paint in {label} of known colour is {where}, so there is nothing to choose from."
    if asked.size > len(found.tubes):
        return (
            f"{_number(asked.size).capitalize()} tubes are asked for, and {len(found.tubes)} paints in {label} of "
            f"known colour are {where}. Ask for {len(found.tubes)} at most"
            f"{'.' if asked.to_buy else ', or let the choice take in what can be bought.'}"
        )
    if not admitted:
        return f"The rules keep out all {len(found.tubes)} paints in {label}."
    if asked.size > len(admitted):
        return f"{_number(asked.size).capitalize()} tubes are asked for, and the rules let in {len(admitted)}."
    shelf, demands = _shelf(admitted, found.binder), _demands(asked)
    lacking = [tag for tag in asked.tags if not any(tag in one for one in shelf.tags)]
    if lacking:
        return (
            f"Among the {len(admitted)} paints that the rules let in there is no {listed([str(t) for t in lacking])}."
        )
    if asked.budget_minor is not None:
        budget = money_words(asked.budget_minor, studio.currency)
        whites = [one for one in admitted if one.standing and Tag.WHITE in one.standing.tags and one.price]
        if Tag.WHITE in asked.tags and whites:
            least = min(whites, key=lambda one: one.price.minor if one.price else 0)
            if least.price and least.price.minor > asked.budget_minor:
                return (
                    f"The budget of {budget} is below the cheapest white, {least.name} at "
                    f"{money_words(least.price.minor, studio.currency)}. Raise it, or ask for no white."
                )
    if cheapest(shelf, demands) is None:
        without = cheapest(shelf, replace(demands, budget=None))
        if without is not None and asked.budget_minor is not None:
            return (
                f"The budget of {money_words(asked.budget_minor, studio.currency)} is too small: the cheapest choice "
                f"that keeps the other rules costs {money_words(without, studio.currency)}."
            )
        transparent = sum(one.transparent for one in admitted)
        if transparent < asked.transparent:
            return (
                f"{_number(asked.transparent).capitalize()} transparent tubes are asked for, and {transparent} of "
                f"those that the rules let in are marked transparent."
            )
        return f"No choice of {asked.size} tubes keeps these rules together: they ask for more kinds than fit."
    return ""


def _relaxed(studio: Studio, asked: Asked, found: _Candidates) -> tuple[Relaxed, ...]:
    """Each rule that could be relaxed alone so that a choice is there, and what it would open; then the house rules."""
    tries: list[tuple[str, Asked]] = []
    if asked.lasting:
        tries.append(("Let in what is known to fade", replace(asked, lasting=False)))
    if asked.transparent:
        tries.append(("Ask for no transparent tubes", replace(asked, transparent=0)))
    if asked.budget_minor is not None:
        tries.append(("Set no budget", replace(asked, budget_minor=None)))
    for tag in asked.tags:
        tries.append((f"Ask for no {tag}", replace(asked, tags=tuple(one for one in asked.tags if one is not tag))))
    if len(asked.tags) > 1:
        tries.append(("Ask for no kinds of tube", replace(asked, tags=())))
    said = []
    for words, easier in tries:
        admitted, _ = _admitted(easier, found)
        if len(admitted) < easier.size:
            continue
        shelf = _shelf(admitted, found.binder)
        if cheapest(shelf, _demands(easier)) is not None:
            said.append(Relaxed(f"{words}: {_opens(asked, found, admitted)}"))
    fewer = _largest(asked, found)
    if fewer:
        said.append(Relaxed(f"Ask for {_number(fewer)} tube{'' if fewer == 1 else 's'}: so many keep all other rules."))
    return (*said, *_house(asked, found))


def _opens(asked: Asked, found: _Candidates, admitted: Sequence[Choosable]) -> str:
    before, _ = _admitted(asked, found)
    come = [one.name for one in admitted if one not in before]
    bound = percent(reach_of(curves_of(admitted, found.binder)).chroma)
    more = f"{and_more(come[:NAMED], len(come))} come{'s' if len(come) == 1 else ''} in, and " if come else ""
    return f"{more}a choice of {asked.size} is there; everything let in then reaches {bound:.1f} in 100 together."


def _largest(asked: Asked, found: _Candidates) -> int:
    """The largest size below the one asked for of which a choice is there; 0 where none is."""
    admitted, _ = _admitted(asked, found)
    shelf = _shelf(admitted, found.binder)
    for size in range(min(asked.size - 1, len(admitted)), 0, -1):
        if cheapest(shelf, replace(_demands(asked), size=size)) is not None:
            return size
    return 0


def _house(asked: Asked, found: _Candidates) -> Iterable[Relaxed]:
    """House rules are not relaxed here: what each keeps out is told, and who decided it."""
    caught: dict[str, list[str]] = {}
    by: Mapping[str, Restriction] = {rule.rule: rule for one in found.tubes for rule in one.forbidden}
    for one in found.tubes:
        for rule in one.forbidden:
            caught.setdefault(rule.rule, []).append(one.name)
    for words, names in caught.items():
        told = and_more(names[:NAMED], len(names))
        yield Relaxed(f"“{words}” keeps out {told}. It is not for this page to relax: {by[words].source}.")


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)
