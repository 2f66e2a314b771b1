"""What the demo studio knows of hazards: sheets and labels of invented products, and notices in every state."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone

from inventory.models import Item
from safety import services
from studio.models import Studio, User


@dataclass(frozen=True)
class Sheet:
    """An invented maker's sheet: how many days ago it was read, and how much older its revision is."""

    name: str
    binder: str
    read_days_ago: int
    revised_days_before: int | None
    says: dict[str, Any] = field(default_factory=dict)


SHEETS = (
    Sheet(
        "Titanium White",
        "oil",
        80,
        410,
        {"product": "Titanium White, demo oil colour 101", "says_not_classified": True, "h_codes": "EUH210"},
    ),
    Sheet(
        "Cobalt Drier",
        "",
        78,
        300,
        {
            "product": "Demo siccative 7",
            "signal_word": "Danger",
            "h_codes": "H226; H304; H317; H360Fd; H412; EUH066",
            "p_codes": "P201; P210; P280; P301 + P310; P331; P501",
            "pictograms": ["GHS02", "GHS07", "GHS08"],
        },
    ),
    Sheet("Retouching Varnish", "", 75, None, {"product": "Demo retouching varnish", "notes": "Only page 1 was sent."}),
    # Read after its notice was hung: that notice no longer says what is known.
    Sheet(
        "Odourless Mineral Spirits",
        "",
        20,
        55,
        {
            "product": "Demo odourless spirits, low aromatic",
            "signal_word": "Danger",
            "h_codes": "H304; EUH066",
            "p_codes": "P301 + P310; P331; P405; P501",
            "pictograms": ["GHS08"],
        },
    ),
)
LABEL = {
    "text": "Contains cadmium. Do not spray. Wash hands after use. Not for children. (Invented label.)",
    "notes": "Copied from the side of the tube.",
}
# Name, binder, days ago, and where it hangs, if anywhere.
NOTICES = (
    ("Odourless Mineral Spirits", "", 60, "Solvent cabinet, inside of the door"),
    ("Cobalt Drier", "", 60, "Solvent cabinet, inside of the door"),
    ("Cadmium Red Light", "oil", 58, "Locked cupboard"),
    ("Titanium White", "oil", 58, "Above the oil shelf"),
    ("Raw Umber", "oil", 41, ""),
    ("Cadmium-Free Red", "oil", 40, ""),
)


def deeds(studio: Studio, keeper: User, teacher: User) -> Iterator[tuple[int, int, Any]]:
    """Each deed as days ago, hour, and what to do at that moment."""
    for sheet in SHEETS:
        yield sheet.read_days_ago, 11, lambda at, one=sheet: _record(studio, one, keeper, at)
    yield 70, 12, lambda at: _copy_label(studio, teacher, at)
    for notice in NOTICES:
        yield notice[2], 15, lambda at, one=notice: _make(studio, one, teacher, at)


def _item(studio: Studio, name: str, binder: str) -> Item:
    found = Item.objects.filter(studio=studio, name=name)
    return (found.filter(paint__binder=binder) if binder else found.filter(kind="material")).earliest("pk")


def _record(studio: Studio, sheet: Sheet, by: User, at: datetime) -> None:
    read_on = timezone.localdate(at)
    before = sheet.revised_days_before
    services.record_sheet(
        _item(studio, sheet.name, sheet.binder),
        by=by,
        read_on=read_on,
        revised_on=read_on - timedelta(days=before) if before is not None else None,
        jurisdiction="EU",
        **sheet.says,
    )


def _copy_label(studio: Studio, by: User, at: datetime) -> None:
    red = _item(studio, "Cadmium Red Light", "oil")
    services.record_label_statement(red, by=by, read_on=timezone.localdate(at), **LABEL)


def _make(studio: Studio, notice: tuple[str, str, int, str], by: User, at: datetime) -> None:
    name, binder, _, where = notice
    item = _item(studio, name, binder)
    page = reverse("safety:item", args=[studio.slug, item.pk])
    made = services.make_notice(item, by=by, page_url=f"http://127.0.0.1:8000{page}", at=at)
    if where:
        services.hang(made, where=where, by=by, at=at)
