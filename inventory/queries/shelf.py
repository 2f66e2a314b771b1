"""The shelf as a list: rows with all that a row shows, page by page, however long the shelf is."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery

from inventory.labels import search_key
from inventory.models import (
    Entry,
    EntryKind,
    Item,
    LightfastnessScale,
    Material,
    Opacity,
    OwnerKind,
    Paint,
    PigmentsKnown,
    Place,
    Reading,
    Tube,
    TubeState,
)
from studio.models import Studio, User

PAGE = 50


class Holdings(NamedTuple):
    items: int
    tubes: int


def holdings(studio: Studio) -> Holdings:
    """How many paints and materials the studio keeps, and how many tubes are in use; one query."""
    in_use = Q(tubes__isnull=False) & ~Q(tubes__state=TubeState.EMPTY)
    counted = Item.objects.of(studio).kept()
    return Holdings(
        **counted.aggregate(items=Count("pk", distinct=True), tubes=Count("tubes", filter=in_use, distinct=True))
    )


class Mark(NamedTuple):
    """A value as the label has it, with the scale that it is on; scales are never merged."""

    name: str
    value: str
    scale: str = ""


@dataclass(frozen=True)
class ShelfRow:
    """A tube with what its row says. `tube` comes from `rows_of`, which has all of it at hand."""

    tube: Tube

    @cached_property
    def paint(self) -> Paint | None:
        return getattr(self.tube.item, "paint", None)

    @cached_property
    def material(self) -> Material | None:
        return getattr(self.tube.item, "material", None)

    @property
    def codes(self) -> list[str]:
        return [line.code for line in self.paint.pigment_lines.all()] if self.paint else []

    @property
    def percent(self) -> int:
        """How full it is, for the drawing: something that is left never looks like nothing."""
        percent = round(self.tube.fraction_left * 100)
        return max(percent, 2) if self.tube.balance_milli else 0

    @property
    def kind(self) -> str:
        """The binder or the kind of material."""
        if self.paint:
            return "" if self.paint.binder == "unknown" else self.paint.get_binder_display()
        return self.material.get_material_kind_display() if self.material else ""

    @property
    def marks(self) -> list[Mark]:
        return marks(self.paint) if self.paint else []

    @property
    def state_words(self) -> str:
        return {TubeState.SEALED: "sealed", TubeState.OPEN: "open", TubeState.EMPTY: "finished"}[
            TubeState(self.tube.state)
        ]

    @property
    def lent_to(self) -> str:
        """'To Wren', as it was written down; empty when it is here."""
        loan: str = vars(self.tube).get("loan", "") or ""
        return "" if vars(self.tube).get("loan_kind") != EntryKind.LENT else loan

    @property
    def doubts(self) -> list[str]:
        words = []
        if self.paint and self.paint.pigments_known == PigmentsKnown.UNKNOWN:
            words.append("Pigments not known")
        if vars(self.tube).get("question"):
            words.append("A question about its label is open")
        return words


def marks(paint: Paint) -> list[Mark]:
    """Opacity, tinting strength and lightfastness, each only where something is known."""
    found = []
    if paint.opacity != Opacity.UNKNOWN:
        found.append(Mark("Opacity", paint.get_opacity_display().lower()))
    if paint.strength:
        # A word is its own scale.
        scale = "" if paint.strength_scale == "words" else paint.strength_scale
        found.append(Mark("Tinting strength", paint.strength, scale))
    if paint.lightfastness:
        scale = paint.get_lightfastness_scale_display()
        known = paint.lightfastness_scale != LightfastnessScale.UNKNOWN
        found.append(Mark("Lightfastness", paint.lightfastness, scale if known else "scale not known"))
    return found


class Cursor(NamedTuple):
    """A place in the order of the shelf: name, then item, then tube."""

    name: str
    item: int
    tube: int

    @classmethod
    def of(cls, tube: Tube) -> "Cursor":
        return cls(tube.item.name, tube.item_id, tube.pk)

    @classmethod
    def parse(cls, text: str) -> "Cursor | None":
        """None for what is not one: a page that somebody shortened by hand begins at the beginning."""
        tube, _, rest = text.partition("-")
        item, mark, name = rest.partition("-")
        ids_fit = all(part.isascii() and part.isdigit() and len(part) < 19 for part in (tube, item))
        return cls(name, int(item), int(tube)) if mark and ids_fit and "\0" not in name else None

    def __str__(self) -> str:
        return f"{self.tube}-{self.item}-{self.name}"


@dataclass(frozen=True)
class ShelfPage:
    """One page of rows; a cursor is None where there is nothing on that side."""

    rows: list[ShelfRow]
    before: Cursor | None
    after: Cursor | None


class Filters(NamedTuple):
    """What to show. `state` None: all that is in use; `owner` is an OwnerKind or "mine"; `doubt` is a word below."""

    search: str = ""
    place: int | None = None
    owner: str = ""
    binder: str = ""
    state: str = ""
    doubt: str = ""


def shelf(
    studio: Studio,
    *,
    search: str = "",
    place: int | None = None,
    owner: str = "",
    binder: str = "",
    state: str = "",
    doubt: str = "",
    by: User | None = None,
    after: Cursor | None = None,
    before: Cursor | None = None,
    limit: int = PAGE,
) -> ShelfPage:
    """A page of the shelf in the order of names, after or before a cursor; two queries.

    `state` is a TubeState, "all", or empty for what is in use; `owner` an OwnerKind, or "mine" for what belongs to
    `by`; `doubt` is "pigments" (not known) or "question" (open).
    """
    tubes = _filtered(studio, Filters(search, place, owner, binder, state, doubt), by)
    if before is not None:
        found = list(_with_all(_until(tubes, before).order_by("-item__name", "-item_id", "-pk"))[: limit + 1])
        more = len(found) > limit
        page = [ShelfRow(tube) for tube in reversed(found[:limit])]
        return ShelfPage(page, _first(page) if more else None, _last(page))
    if after is not None:
        tubes = _from(tubes, after)
    found = list(_with_all(tubes.order_by("item__name", "item_id", "pk"))[: limit + 1])
    page = [ShelfRow(tube) for tube in found[:limit]]
    return ShelfPage(page, _first(page) if after else None, _last(page) if len(found) > limit else None)


def _first(page: list[ShelfRow]) -> Cursor | None:
    return Cursor.of(page[0].tube) if page else None


def _last(page: list[ShelfRow]) -> Cursor | None:
    return Cursor.of(page[-1].tube) if page else None


def _from(tubes: "QuerySet[Tube]", cursor: Cursor) -> "QuerySet[Tube]":
    """What comes after. The first condition repeats a part of the second, so that the index finds the place."""
    return tubes.filter(item__name__gte=cursor.name).filter(
        Q(item__name__gt=cursor.name)
        | Q(item__name=cursor.name, item__gt=cursor.item)
        | Q(item__name=cursor.name, item=cursor.item, pk__gt=cursor.tube)
    )


def _until(tubes: "QuerySet[Tube]", cursor: Cursor) -> "QuerySet[Tube]":
    return tubes.filter(item__name__lte=cursor.name).filter(
        Q(item__name__lt=cursor.name)
        | Q(item__name=cursor.name, item__lt=cursor.item)
        | Q(item__name=cursor.name, item=cursor.item, pk__lt=cursor.tube)
    )


def _filtered(studio: Studio, filters: Filters, by: User | None) -> "QuerySet[Tube]":
    """The studio's tubes by way of its items, whose index is already in the order of the page."""
    tubes = Tube.objects.filter(item__studio=studio)
    if filters.state in TubeState.values:
        tubes = tubes.filter(state=filters.state)
    elif filters.state != "all":
        tubes = tubes.in_use()
    for word in search_key(filters.search).split():
        tubes = tubes.filter(item__search__contains=word)
    if filters.place is not None:
        tubes = tubes.filter(place=filters.place)
    if filters.owner == "mine":
        tubes = tubes.filter(owner=by)
    elif filters.owner in OwnerKind.values:
        tubes = tubes.filter(owner_kind=filters.owner)
    if filters.binder:
        tubes = tubes.filter(item__paint__binder=filters.binder)
    return tubes.filter(_doubt(filters.doubt))


def _doubt(doubt: str) -> Q:
    if doubt == "pigments":
        return Q(item__paint__pigments_known=PigmentsKnown.UNKNOWN)
    if doubt == "question":
        return Q(Exists(Reading.objects.filter(paint=OuterRef("item_id"), settled=False)))
    return Q()


def _with_all(tubes: "QuerySet[Tube]") -> "QuerySet[Tube]":
    """All that a row shows: the joins, what is lent, whether a question is open, and the pigments in a second query."""
    loans = Entry.objects.filter(
        tube=OuterRef("pk"), kind__in=[EntryKind.LENT, EntryKind.RETURNED], corrected_by=None
    ).order_by("-pk")
    return (
        tubes.select_related("item__paint", "item__material", "place", "owner")
        .annotate(
            question=Exists(Reading.objects.filter(paint=OuterRef("item_id"), settled=False)),
            loan_kind=Subquery(loans.values("kind")[:1]),
            loan=Subquery(loans.values("note")[:1]),
        )
        .prefetch_related("item__paint__pigment_lines")
    )


def tubes(studio: Studio) -> "QuerySet[Tube]":
    """Every tube of the studio, finished ones too, with all that a row shows; two queries."""
    return _with_all(Tube.objects.of(studio))


def row_of(studio: Studio, number: int) -> ShelfRow | None:
    """The tube with this number in this studio, with all that its row shows; two queries."""
    tube = _with_all(Tube.objects.of(studio).filter(number=number)).first()
    if tube is None:
        return None
    tube.studio = studio  # at hand already
    return ShelfRow(tube)


def places(studio: Studio) -> "QuerySet[Place]":
    """The places where something can be put, by name."""
    return Place.objects.filter(studio=studio, removed_at=None)
