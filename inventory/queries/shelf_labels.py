"""What the printed labels of tubes and places say."""

from collections.abc import Callable

from inventory.models import Place
from inventory.printing.labels import Label
from inventory.queries.shelf import Filters, ShelfRow, places, rows_of
from studio.models import Studio, User

# Some twenty sheets; more than that is a slip.
MOST = 1000


def tube_labels(
    studio: Studio, filters: Filters, by: User, address: Callable[[ShelfRow], str], limit: int = MOST
) -> list[Label]:
    """The labels of these tubes: by number where numbers were asked for, else as on the shelf; two queries."""
    rows = rows_of(studio, filters, by, limit)
    if filters.numbers is not None:
        rows = sorted(rows, key=lambda row: row.number)
    return [
        Label(
            address=address(row),
            head=f"No. {row.number}",
            name=row.name,
            codes=" ".join(row.codes),
            foot=", ".join(filter(None, (row.size, row.kind))),
        )
        for row in rows
    ]


def place_labels(studio: Studio, only: int | None, address: Callable[[Place], str]) -> list[Label]:
    """The labels of every place, or of one; one query."""
    rows = places(studio).filter(**({"pk": only} if only else {})).select_related("room")
    return [
        Label(address=address(place), head=place.name, name=place.notes, foot=str(place.room) if place.room else "")
        for place in rows
    ]
