"""What the demo studio knows of hazards: sheets and labels of invented products, and notices in every state."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from reportlab.pdfgen.canvas import Canvas

from inventory.models import Form, Group, Item, Material, Room
from inventory.services.paints import change_material
from safety import services
from safety.models import DataSheet, PaperKind
from safety.queries.papers import Subject, subject_url
from safety.services.notices import write_paper
from safety.services.postings import hang_now
from studio.demo_house import CHILDREN
from studio.models import Studio, User


@dataclass(frozen=True)
class Sheet:
    """An invented maker's sheet: how many days ago it was read, and how much older its revision is.

    `review_days_ago`: the day to look again is past since then. `file`: the sheet itself is kept too.
    """

    name: str
    binder: str
    read_days_ago: int
    revised_days_before: int | None
    says: dict[str, Any] = field(default_factory=dict)
    revised_on: date | None = None
    review_days_ago: int | None = None
    file: bool = False


SHEETS = (
    Sheet(
        "Titanium White",
        "oil",
        80,
        410,
        {
            "product": "Titanium White, demo oil colour 101",
            "says_not_classified": True,
            "h_codes": "EUH210",
            "conformity": "Conforms to ASTM D4236",
        },
        file=True,
    ),
    # An old sheet, with what the EU courts have annulled since.
    Sheet(
        "Titanium White",
        "acrylic",
        200,
        None,
        {
            "product": "Titanium White, demo acrylic 11",
            "signal_word": "Warning",
            "h_codes": "H351 (inhalation); EUH211; EUH208 (1,2-benzisothiazol-3(2H)-one)",
            "p_codes": "P260; P501",
            "pictograms": ["GHS08"],
        },
        revised_on=date(2021, 10, 4),
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
        review_days_ago=9,
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
        file=True,
    ),
)
LABEL = {
    "text": "Contains cadmium. Do not spray. Wash hands after use. Not for children. (Invented label.)",
    "notes": "Copied from the side of the tube.",
}
# Papers that hang in rooms: kind, room, days ago, and where in it. What came or went since puts them out of date.
PAPERS = (
    (PaperKind.DOOR, "Store room", 50, "outside of the door"),
    (PaperKind.DOOR, "Room 2, painting", 50, "outside of the door"),
    (PaperKind.POSTER, "Room 2, painting", 2, "above the sink"),
    (PaperKind.POSTER, "Children's room", 2, "beside the basin"),
    (PaperKind.GROUP, "Children's room", 30, "inside of the cupboard door"),
)
# Name, binder, days ago, and the room and the place where it hangs, if anywhere.
NOTICES = (
    ("Odourless Mineral Spirits", "", 60, "Store room", "Solvent cabinet, inside of the door"),
    ("Cobalt Drier", "", 60, "Store room", "Solvent cabinet, inside of the door"),
    ("Cadmium Red Light", "oil", 58, "Store room", "Locked cupboard"),
    ("Titanium White", "oil", 58, "Room 2, painting", "Above the oil shelf"),
    ("Raw Umber", "oil", 41, "", ""),
    ("Cadmium-Free Red", "oil", 40, "", ""),
)


def deeds(studio: Studio, keeper: User, teacher: User) -> Iterator[tuple[int, int, Any]]:
    """Each deed as days ago, hour, and what to do at that moment."""
    change_material(Material.objects.get(studio=studio, name="Retouching Varnish"), form=Form.SPRAY)
    for sheet in SHEETS:
        yield sheet.read_days_ago, 11, lambda at, one=sheet: _record(studio, one, keeper, at)
    yield 70, 12, lambda at: _copy_label(studio, teacher, at)
    for notice in NOTICES:
        yield notice[2], 15, lambda at, one=notice: _make(studio, one, teacher, at)
    for paper in PAPERS:
        yield paper[2], 16, lambda at, one=paper: _post(studio, one, keeper, at)
    yield 30, 16, lambda at: _hang_again(studio, keeper, at)


def _item(studio: Studio, name: str, binder: str) -> Item:
    found = Item.objects.filter(studio=studio, name=name)
    return (found.filter(paint__binder=binder) if binder else found.filter(kind="material")).earliest("pk")


def _record(studio: Studio, sheet: Sheet, by: User, at: datetime) -> None:
    read_on = timezone.localdate(at)
    before = sheet.revised_days_before
    kept = services.record_sheet(
        _item(studio, sheet.name, sheet.binder),
        by=by,
        read_on=read_on,
        revised_on=read_on - timedelta(days=before) if before is not None else sheet.revised_on,
        jurisdiction="EU",
        file=_file(sheet) if sheet.file else None,
        **sheet.says,
    )
    if sheet.review_days_ago is not None:
        # Set when it was read, for a day that has passed since: the service takes days to come alone.
        day = timezone.localdate() - timedelta(days=sheet.review_days_ago)
        DataSheet.objects.filter(pk=kept.pk).update(review_on=day)


def _file(sheet: Sheet) -> SimpleUploadedFile:
    """The sheet as a PDF of one page, which says that it is invented."""
    page = BytesIO()
    canvas = Canvas(page)
    lines = (sheet.says["product"], "Safety data sheet of an invented product, for the demo studio alone.")
    for place, line in enumerate(lines):
        canvas.drawString(72, 760 - 20 * place, line)
    canvas.save()
    return SimpleUploadedFile("sheet.pdf", page.getvalue(), content_type="application/pdf")


def _copy_label(studio: Studio, by: User, at: datetime) -> None:
    red = _item(studio, "Cadmium Red Light", "oil")
    services.record_label_statement(red, by=by, read_on=timezone.localdate(at), **LABEL)


def _make(studio: Studio, notice: tuple[str, str, int, str, str], by: User, at: datetime) -> None:
    name, binder, _, room, where = notice
    item = _item(studio, name, binder)
    page = reverse("safety:item", args=[studio.slug, item.pk])
    made = services.make_notice(item, by=by, page_url=f"http://127.0.0.1:8000{page}", at=at)
    if where:
        services.hang(made, room=Room.objects.get(studio=studio, name=room), where=where, by=by, at=at)


def _post(studio: Studio, paper: tuple[PaperKind, str, int, str], by: User, at: datetime) -> None:
    kind, name, _, where = paper
    room = Room.objects.get(studio=studio, name=name)
    about = Group.objects.get(studio=studio, name=CHILDREN).pk if kind == PaperKind.GROUP else room.pk
    url = f"http://127.0.0.1:8000{subject_url(studio, kind, about)}"
    made = write_paper(Subject(kind, about), studio, by=by, page_url=url, at=at)
    hang_now(made, by=by, room=room, where=where, at=at)


def _hang_again(studio: Studio, by: User, at: datetime) -> None:
    """One notice hangs in two places."""
    drier = _item(studio, "Cobalt Drier", "").notices.latest("pk")
    services.hang(
        drier, room=Room.objects.get(studio=studio, name="Room 2, painting"), where="cleaning table", by=by, at=at
    )
