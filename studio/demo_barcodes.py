"""The demo studio's bar codes and kept filters. The numbers are of restricted circulation: they name no article."""

from inventory.labels.barcodes import check_digit
from inventory.models import Item
from inventory.services.barcodes import link
from inventory.services.finding import save_filter
from studio.models import Studio, User

# GS1 prefixes 200 to 299 are left to each shop for itself.
PREFIX = "2000017"
LINKED = ("Ultramarine Blue", "Titanium White", "Yellow Ochre", "Burnt Umber", "Stand Oil")
FILTERS = (
    ("Open for three months", "state=open&opened_before={opened}", True),
    ("Sealed whites", "q=white&state=sealed", False),
)


def add_barcodes(studio: Studio, keeper: User, opened: str) -> None:
    """A number for some paints, and two filters of the keeper; `opened` is a day such as 2026-03-31."""
    for place, name in enumerate(LINKED, start=1):
        item = Item.objects.of(studio).kept().filter(name=name).order_by("pk").first()
        if item is None:
            continue
        body = f"{PREFIX}{place:05d}"
        link(studio, item, code=f"{body}{check_digit(body)}", by=keeper)
    for name, query, shared in FILTERS:
        save_filter(studio, by=keeper, name=name, query=query.format(opened=opened), shared=shared)
