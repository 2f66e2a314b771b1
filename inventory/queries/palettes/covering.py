"""How the tubes of a palette cover: contrast ratio, fit for glazing or hiding, and films over a ground or dry paint."""

from dataclasses import dataclass

from inventory.colour.layers import OpacityClass
from inventory.models import Paint
from inventory.queries.layers import Coat, Cover, Ground, Layers, black, dry_paint, layers, white_card
from inventory.queries.mixable import Mixable
from inventory.queries.palettes.temperature import sure_of
from inventory.queries.palettes.tubes import Choosable, Laid

GLAZING = (OpacityClass.TRANSPARENT, OpacityClass.SEMI_TRANSPARENT)


@dataclass(frozen=True, eq=False)
class Covered:
    """A tube in films over the chosen ground."""

    tube: Choosable
    cover: Cover
    coats: tuple[Coat, ...]

    @property
    def fit(self) -> str:
        return "fit for glazing" if self.cover.opacity in GLAZING else "hides"


@dataclass(frozen=True, eq=False)
class Coverings:
    ground: Ground
    over: str
    rows: tuple[Covered, ...]

    @property
    def glazing(self) -> tuple[Covered, ...]:
        return tuple(one for one in self.rows if one.cover.opacity in GLAZING)

    @property
    def hiding(self) -> tuple[Covered, ...]:
        return tuple(one for one in self.rows if one.cover.opacity not in GLAZING)


def covered(laid: Laid, over: str = "") -> Coverings:
    """All tubes of known colour over black, a white card, or a dry coat of one of them; a ValueError for another."""
    mixables = {one.key: _mixable(one) for one in laid.known}
    if over in ("", "black"):
        ground = black()
    elif over == "white":
        ground = white_card()
    elif over in mixables:
        ground = dry_paint(mixables[over])
    else:
        raise ValueError(f"Over: {over!r} is neither black, white nor a tube of this palette. Choose one of the list.")
    found: list[tuple[Choosable, Layers]] = [(one, layers(mixables[one.key], ground)) for one in laid.known]
    order = list(OpacityClass)
    rows = [Covered(tube, each.cover, each.coats) for tube, each in found]
    rows.sort(key=lambda one: (order.index(one.cover.opacity), one.cover.ratio, one.tube.name))
    return Coverings(ground, over or "black", tuple(rows))


def _mixable(tube: Choosable) -> Mixable:
    if tube.sure is not None:
        return tube.sure
    # A pigment that is not on the shelf has no paint yet: one that is never saved stands in for it.
    return Mixable(Paint(name=tube.name), sure_of(tube), "", None, in_stock=False)
