"""Where the tubes of a palette meet in a grey or a brown, how near the routes come, and what more paints do."""

from dataclasses import dataclass

from inventory.colour.certainty import mixtures, whole
from inventory.colour.neutrals import Meeting, Mud, Route, meetings, mud, pair_routes, triple_routes
from inventory.colour.seen import Seen, seen
from inventory.colour.steps import Steps
from inventory.queries.mixable import unless_wash
from inventory.queries.palettes.temperature import palette_and_sure, parts_in_words
from inventory.queries.palettes.tubes import Laid
from inventory.queries.remembered import Remembered, digest
from inventory.queries.wheel import listed

MOST_PAIRS, MOST_TRIPLES, MOST_COMPARED = 12, 6, 6

_found: Remembered["Greys"] = Remembered(24)


@dataclass(frozen=True, eq=False)
class GreyRoute:
    """Two or three tubes with the mixture at which they are greyest."""

    route: Route
    names: str
    words: str
    seen: Seen
    text: str


@dataclass(frozen=True, eq=False)
class Compared:
    """Two routes with how far apart they end, in words."""

    first: str
    second: str
    meeting: Meeting

    @property
    def words(self) -> str:
        return f"{self.meeting.apart:.1f} apart (CIEDE2000), likely within {whole(self.meeting.within)}"


@dataclass(frozen=True, eq=False)
class Greys:
    pairs: tuple[GreyRoute, ...]
    """Pairs that meet at a grey or a brown, the greyest first."""
    triples: tuple[GreyRoute, ...]
    apart: int
    """Pairs that do not meet."""
    compared: tuple[Compared, ...]
    mud: tuple[Mud, ...]

    @property
    def mud_words(self) -> tuple[str, ...]:
        said = []
        for one in self.mud:
            paints = ("Two", "Three", "Four")[one.paints - 2]
            share, low, high = (f"{100 * value:.0f}" for value in (one.median, one.low, one.high))
            count = f"{one.count} mixture{'' if one.count == 1 else 's'}"
            said.append(
                f"{paints} paints at equal strength keep {share} in 100 of the chroma that the best pair of the same "
                f"hue has (eight of ten: {low} to {high}; {count})."
            )
        return tuple(said)


def greys_of(laid: Laid) -> Greys:
    """Works in steps: within `patience` it raises StillWorking. No query."""
    return _found.of(digest(laid.curves, "greys"), lambda: _steps(laid), "Where the tubes meet")


def _steps(laid: Laid) -> Steps[Greys]:
    palette, sure = palette_and_sure(laid)
    yield 0.0
    pairs = pair_routes(palette)
    yield 0.2
    triples = triple_routes(palette)
    yield 0.6
    meet = [one for one in pairs if one.meets]
    shown = [*meet[:MOST_PAIRS], *[one for one in triples if one.meets][:MOST_TRIPLES]]
    told = _told(laid, shown) if shown else []
    yield 0.7
    names = {id(one.route): one.names for one in told}
    met = meetings([one.route for one in told if len(one.route.places) == 2][:MOST_COMPARED], sure)
    yield 0.8
    white = palette.white_index
    lost = mud(palette, white)
    return Greys(
        tuple(one for one in told if len(one.route.places) == 2),
        tuple(one for one in told if len(one.route.places) == 3),
        len(pairs) - len(meet),
        tuple(Compared(names[id(one.first)], names[id(one.second)], one) for one in met),
        lost,
    )


def _told(laid: Laid, routes: list[Route]) -> list[GreyRoute]:
    palette, sure = palette_and_sure(laid)
    rows = []
    for route in routes:
        row = [0.0] * len(palette)
        for place, part in zip(route.places, route.parts, strict=True):
            row[place] = part
        rows.append(row)
    found = []
    for route, said in zip(routes, mixtures(sure, rows), strict=True):
        names = [palette.names[place] for place in route.places]
        used = [sure[place] for place in route.places]
        found.append(
            GreyRoute(
                route,
                listed(names),
                parts_in_words(names, route.parts),
                seen(route.lab),
                unless_wash(said, laid.binder, used).text,
            )
        )
    return found
