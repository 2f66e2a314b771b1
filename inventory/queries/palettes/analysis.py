"""What a palette reaches, what each tube adds, what it cannot reach and why, and what it costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from inventory.colour.coverage import Coverage, Region, coverage, opened
from inventory.colour.curves import from_bands
from inventory.colour.palette import Palette as Curves
from inventory.colour.reach import Reach, gain
from inventory.colour.temperature import Tag, standing
from inventory.colour.wheel import colour_limit
from inventory.models import OpticalRow
from inventory.queries.palette import band_row
from inventory.queries.palettes.tubes import Choosable, Laid
from inventory.queries.remembered import reach_of
from inventory.queries.wheel import Gap, about, binder_label, gaps_in_words, how_sure, listed, regions_in_words
from inventory.restrictions import Restriction
from inventory.stock.prices import money_words
from studio.models import Studio

# What a missing tube would open by less than this (percentage points) is not told.
TOLD_FROM = 0.3
# Of each kind of tube that is missing, so many of the most vivid pigments are tried.
TRIED = 3
USUAL_A_HEAD_MILLI = 10_000
MOST_PEOPLE, MOST_A_HEAD_MILLI = 400, 1_000_000


@dataclass(frozen=True, eq=False)
class Added:
    """A tube with what it adds: the points that go with it, and where, in words."""

    tube: Choosable
    points: float | None
    holds: str

    @property
    def points_words(self) -> str:
        return "colour not known" if self.points is None else f"{self.points:.1f} points"


@dataclass(frozen=True)
class Lack:
    """A kind of tube that is missing, and what cannot be reached without it."""

    tag: str
    words: str
    points: float


@dataclass(frozen=True)
class Cost:
    """What one pack of each tube costs, and what a head costs; None where no tube has a price."""

    currency: str
    packs_minor: int | None
    to_buy_minor: int | None
    """Of these, the packs of what is not in stock; None where nothing is to be bought or nothing of it has a price."""
    a_head_minor: int | None
    a_head_milli: int
    people: int
    without_price: tuple[str, ...]
    by_weight: tuple[str, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        said = []
        if self.packs_minor is None:
            return ("No offer in the studio’s currency is known for these tubes, so no price is told.",)
        said.append(f"One pack of each, the cheapest that is offered: {money_words(self.packs_minor, self.currency)}.")
        if self.to_buy_minor is not None:
            said.append(f"Of these, what is not in stock: {money_words(self.to_buy_minor, self.currency)}.")
        if self.a_head_minor is not None:
            amount = f"{self.a_head_milli / 1000:g} ml of each tube"
            head = f"A head, with {amount}: {money_words(self.a_head_minor, self.currency)}"
            many = money_words(self.a_head_minor * self.people, self.currency)
            said.append(f"{head}; for {self.people} people {many}." if self.people > 1 else f"{head}.")
        if self.without_price:
            said.append(f"Without a price here, and not counted: {listed(list(self.without_price))}.")
        if self.by_weight:
            said.append(f"Offered by weight, so not counted a head: {listed(list(self.by_weight))}.")
        return tuple(said)


@dataclass(frozen=True)
class Caught:
    """Tubes that one house rule catches for one reason, so that the rule is said once."""

    names: tuple[str, ...]
    rule: Restriction

    @property
    def names_words(self) -> str:
        return listed(list(self.names))


@dataclass(frozen=True, eq=False)
class Analysis:
    """A palette with all that is said of it; `reached` is None where no colour is known."""

    laid: Laid
    reached: Reach | None
    coverage: Coverage | None
    added: tuple[Added, ...]
    gaps: tuple[Gap, ...]
    lacks: tuple[Lack, ...]
    cost: Cost

    @property
    def binder_label(self) -> str:
        return binder_label(self.laid.binder) if self.laid.binder else ""

    @property
    def percent(self) -> float | None:
        return None if self.coverage is None else self.coverage.percent

    @property
    def percent_words(self) -> str:
        return "" if self.percent is None else f"{about(self.percent)} in 100"

    @property
    def notes(self) -> tuple[str, ...]:
        more = self.coverage.notes if self.coverage is not None and self.laid.tubes else ()
        # The wheel speaks of the stock; here it is about a palette.
        return (*self.laid.notes, *(note.replace("in stock", "on this palette") for note in more))

    @cached_property
    def how_sure(self) -> str:
        return how_sure([one.curve for one in self.laid.known if one.curve is not None])

    @cached_property
    def forbidden(self) -> tuple[Caught, ...]:
        return _caught([(one.name, rule) for one in self.laid.tubes for rule in one.forbidden])

    @cached_property
    def warned(self) -> tuple[Caught, ...]:
        return _caught([(one.name, rule) for one in self.laid.tubes for rule in one.warnings])


def analysed(
    studio: Studio, laid: Laid, *, people: int = 1, a_head_milli: int = USUAL_A_HEAD_MILLI, lacks: bool = True
) -> Analysis:
    """All that is said of a palette; one query for the pigments that are tried where a kind of tube is missing."""
    cost = cost_of(studio, laid.tubes, people=people, a_head_milli=a_head_milli)
    if not laid.known:
        added = tuple(Added(one, None, "") for one in laid.tubes)
        return Analysis(laid, None, None, added, (), (), cost)
    reached = reach_of(laid.curves)
    covered = coverage(reached)
    return Analysis(
        laid=laid,
        reached=reached,
        coverage=covered,
        added=_added(laid, reached, covered),
        gaps=gaps_in_words(covered.gaps),
        lacks=_lacks(laid, reached, covered) if lacks and len(laid.curves.members) else (),
        cost=cost,
    )


def _caught(pairs: Sequence[tuple[str, Restriction]]) -> tuple[Caught, ...]:
    by_rule: dict[Restriction, list[str]] = {}
    for name, rule in pairs:
        by_rule.setdefault(rule, []).append(name)
    return tuple(Caught(tuple(names), rule) for rule, names in by_rule.items())


def cost_of(studio: Studio, tubes: Sequence[Choosable], *, people: int, a_head_milli: int) -> Cost:
    priced = [one for one in tubes if one.price is not None]
    buying = [one.price.minor for one in priced if one.price is not None and not one.in_stock]
    heads = [one.price.of_amount(a_head_milli) for one in priced if one.price is not None]
    told = [one for one in heads if one is not None]
    return Cost(
        currency=studio.currency,
        packs_minor=sum(one.price.minor for one in priced if one.price is not None) if priced else None,
        to_buy_minor=sum(buying) if buying else None,
        a_head_minor=sum(told) if told else None,
        a_head_milli=a_head_milli,
        people=people,
        without_price=tuple(one.name for one in tubes if one.price is None),
        by_weight=tuple(one.name for one, head in zip(priced, heads, strict=True) if head is None),
    )


def _added(laid: Laid, reached: Reach, covered: Coverage) -> tuple[Added, ...]:
    limit = colour_limit()
    found = {}
    for place, share in enumerate(covered.shares):
        held = opened(reached.without[place], reached.chroma, limit)
        found[share.id] = (share.points, regions_in_words(held))
    return tuple(Added(one, *found.get(one.id, (None, ""))) for one in laid.tubes)


def _lacks(laid: Laid, reached: Reach, covered: Coverage) -> tuple[Lack, ...]:
    """Which primaries are missing, and what opens with the best of the most vivid pigments of each."""
    here = frozenset().union(*(one.standing.tags for one in laid.known if one.standing is not None))
    wanted = [Tag.COOL_RED, Tag.WARM_RED, Tag.COOL_YELLOW, Tag.WARM_YELLOW, Tag.GREEN_BLUE, Tag.VIOLET_BLUE, Tag.WHITE]
    missing = [tag for tag in wanted if tag not in here]
    if not missing:
        return ()
    limit = colour_limit()
    short = {(gap.hue.symbol, gap.value) for gap in covered.gaps}
    rows = [(row, from_bands(band_row(row))) for row in OpticalRow.objects.select_related("pigment")]
    stood = [(row, curve, standing(curve.k, curve.s)) for row, curve in rows]
    found = []
    for tag in missing:
        fitting = sorted((one for one in stood if tag in one[2].tags), key=lambda one: -one[2].chroma)[:TRIED]
        best: tuple[float, str, list[Region]] = (0.0, "", [])
        for row, curve, _ in fitting:
            candidate = Curves.of([(("row", row.pk), row.name, curve)], reached.palette.binder)
            regions = [
                one
                for one in opened(reached.chroma, gain(reached.palette, candidate, reached.chroma), limit)
                if (one.hue.symbol, one.value) in short and one.points >= TOLD_FROM
            ]
            points = sum(one.points for one in regions)
            if points > best[0]:
                best = (points, f"{row.name} ({row.pigment.ci_name})", regions)
        if best[2]:
            found.append(Lack(tag.value, _lack_words(tag, *best), best[0]))
    return tuple(sorted(found, key=lambda one: -one.points))


def _lack_words(tag: Tag, points: float, name: str, regions: Sequence[Region]) -> str:
    if tag is Tag.WHITE:
        return f"A palette without a white has no tints; with {name} {points:.1f} points more would open."
    # The hue that opens first, and the next where it is much of it too.
    hues = list(dict.fromkeys(one.hue.word for one in regions))[:3]
    vivid = [f"vivid {hue}" for hue in hues]
    said = f"a {vivid[0]}" if len(vivid) == 1 else f"a {', '.join(vivid[:-1])} or {vivid[-1]}"
    where = regions_in_words(regions)
    more = f", most at {where}" if where else ""
    return (
        f"A palette without a {tag.value} cannot reach {said}: with {name} {points:.1f} points more would open{more}."
    )
