"""What a scanned number stands for."""

from dataclasses import dataclass

from inventory.labels.folding import search_key
from inventory.models import Barcode, Condition, Item, Tube, TubeState
from inventory.models.tube import exact
from inventory.queries.paints import Stock, stock_of
from inventory.queries.shelf import Filters, ShelfRow, rows_of
from inventory.queries.tubes import QuickUse, quick_uses
from studio.models import Studio

MOST = 20


@dataclass(frozen=True)
class Known:
    """An item that a number is linked to, with what stands on the shelf of it."""

    barcode: Barcode
    tubes: list[Tube]
    stock: Stock | None
    size: tuple[int, str] | None
    """What one container of it holds: as the number says, else as the last one did. None: nothing is known."""

    @property
    def item(self) -> Item:
        return self.barcode.item

    @property
    def size_words(self) -> str:
        return exact(*self.size) if self.size else ""

    @property
    def in_hand(self) -> Tube | None:
        """The tube that is in use: of the open ones that can be used, the one of which least is left."""
        usable = [tube for tube in self.tubes if tube.condition == Condition.USABLE]
        opened = [tube for tube in usable if tube.state == TubeState.OPEN and tube.balance_milli]
        return min(opened, key=lambda one: one.balance_milli, default=None)

    @property
    def quick(self) -> list[QuickUse]:
        return quick_uses(self.in_hand) if self.in_hand else []


def known(studio: Studio, digits: str) -> Known | None:
    """What this number stands for here, with its tubes in use; four queries at most."""
    found = Barcode.objects.filter(studio=studio, digits=digits).select_related("item").first()
    if found is None:
        return None
    in_use = Tube.objects.in_use().filter(item=found.item).select_related("item", "place", "owner")
    tubes = list(in_use.order_by("-state", "balance_milli", "pk")[: MOST + 1])
    return Known(found, tubes, stock_of([found.item_id]).get(found.item_id), size_of(found))


def size_of(barcode: Barcode) -> tuple[int, str] | None:
    """What one container holds: as the number says, else as the last one that came; one query."""
    if barcode.nominal_milli:
        return barcode.nominal_milli, barcode.unit
    last = barcode.item.tubes.order_by("-pk").values_list("nominal_milli", "unit").first()
    return (last[0], last[1]) if last else None


def candidates(studio: Studio, search: str) -> list[Item]:
    """Items that a new number may belong to, by name, code or maker; one query."""
    words = search_key(search).split()
    if not words:
        return []
    rows = Item.objects.of(studio).kept()
    for word in words:
        rows = rows.filter(search__contains=word)
    return list(rows.select_related("paint", "material").order_by("sort_name", "pk")[:MOST])


def on_the_shelf(studio: Studio, number: int) -> ShelfRow | None:
    """The tube with this number, finished or not; two queries."""
    rows = rows_of(studio, Filters(numbers=[number], state="all"), limit=1)
    return rows[0] if rows else None
