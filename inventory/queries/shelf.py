"""The shelf as a list: rows with all that a row shows, page by page, however long the shelf is."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from typing import Any, NamedTuple

from django.db.models import Case, Count, Exists, OuterRef, Q, QuerySet, Subquery, Value, When
from django.utils import timezone

from inventory.labels import search_key
from inventory.labels.lasting import Rated, mark_in, weakest_pigment
from inventory.models import (
    Binder,
    Condition,
    Entry,
    EntryKind,
    Item,
    LightfastnessScale,
    MaterialKind,
    Opacity,
    OwnerKind,
    PaintPigment,
    PigmentsKnown,
    Place,
    Reading,
    Tube,
    TubeState,
)
from inventory.stock.amounts import exact
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

    @property
    def words(self) -> str:
        return f"{self.name} {self.value} ({self.scale})" if self.scale else f"{self.name} {self.value}"


STATE_WORDS = {TubeState.SEALED: "sealed", TubeState.OPEN: "open", TubeState.EMPTY: "finished"}
# What a row knows, by the column that it comes from.
COLUMNS = {
    "pk": "pk",
    "number": "number",
    "item_id": "item_id",
    "name": "item__name",
    "sort_name": "item__sort_name",
    "unit": "unit",
    "nominal_milli": "nominal_milli",
    "balance_milli": "balance_milli",
    "balance_is_estimate": "balance_is_estimate",
    "state": "state",
    "condition": "condition",
    "place": "place__name",
    "username": "owner__username",
    "first_name": "owner__first_name",
    "last_name": "owner__last_name",
    "owner_class": "owner_class",
    "material_kind": "item__material__material_kind",
    "binder": "item__paint__binder",
    "pigments_known": "item__paint__pigments_known",
    "opacity": "item__paint__opacity",
    "strength": "item__paint__strength",
    "strength_scale": "item__paint__strength_scale",
    "lightfastness": "item__paint__lightfastness",
    "lightfastness_scale": "item__paint__lightfastness_scale",
    "swatch": "item__paint__swatch",
    "loan": "loan",
    "question": "question",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow:
    """What the shelf says of a tube: the values that `_rows` fetches, and their wording."""

    pk: int
    number: int
    item_id: int
    name: str
    sort_name: str
    unit: str
    nominal_milli: int
    balance_milli: int
    balance_is_estimate: bool
    state: str
    condition: str
    place: str | None
    # None unless it is a member's.
    username: str | None
    first_name: str | None
    last_name: str | None
    owner_class: str
    # None where it is a paint, or a material.
    material_kind: str | None
    binder: str | None
    pigments_known: str | None
    opacity: str | None
    strength: str | None
    strength_scale: str | None
    lightfastness: str | None
    lightfastness_scale: str | None
    # None also where the colour is not known.
    swatch: dict[str, Any] | None
    # None where it was never lent.
    loan: str | None
    question: bool
    pigments: list[Rated]

    @property
    def codes(self) -> list[str]:
        return [pigment.code for pigment in self.pigments]

    @property
    def is_paint(self) -> bool:
        return self.binder is not None

    @property
    def amount(self) -> str:
        return exact(self.balance_milli, self.unit)

    @property
    def size(self) -> str:
        return exact(self.nominal_milli, self.unit)

    @property
    def percent(self) -> int:
        """How full it is, for the drawing: something that is left never looks like nothing."""
        percent = round(self.balance_milli / self.nominal_milli * 100)
        return max(percent, 2) if self.balance_milli else 0

    @property
    def kind(self) -> str:
        """The binder or the kind of material."""
        if self.material_kind:
            return MaterialKind(self.material_kind).label
        return Binder(self.binder).label if self.binder and self.binder != Binder.UNKNOWN else ""

    @property
    def marks(self) -> list[Mark]:
        """Opacity, tinting strength and lightfastness, each only where something is known."""
        found = []
        if self.opacity and self.opacity != Opacity.UNKNOWN:
            found.append(Mark("Opacity", Opacity(self.opacity).label.lower()))
        if self.strength:
            # A word is its own scale.
            scale = self.strength_scale if self.strength_scale != "words" else ""
            found.append(Mark("Tinting strength", self.strength, scale or ""))
        if self.lightfastness:
            known = LightfastnessScale(self.lightfastness_scale or LightfastnessScale.UNKNOWN)
            scale = "scale not known" if known == LightfastnessScale.UNKNOWN else known.label
            found.append(Mark("Lightfastness", self.lightfastness, scale))
        weakest = weakest_pigment(self.pigments, value=self.lightfastness or "", scale=self.lightfastness_scale or "")
        if weakest is not None:
            found.append(Mark("Weakest pigment", weakest.words, LightfastnessScale.ASTM.label))
        return found

    @property
    def state_words(self) -> str:
        return STATE_WORDS[TubeState(self.state)]

    @property
    def unusable(self) -> str:
        """'Dried up', while it stands on the shelf and cannot be used; else empty."""
        if self.condition == Condition.USABLE or self.state == TubeState.EMPTY:
            return ""
        return "Not usable" if self.condition == Condition.OTHER else Condition(self.condition).label

    @property
    def whose(self) -> str:
        """The member or the class; empty where it is the studio's."""
        if self.username is None:
            return self.owner_class
        return str(User(username=self.username, first_name=self.first_name or "", last_name=self.last_name or ""))

    @property
    def standing(self) -> str:
        """How and where it stands and whose it is: 'sealed, Sink shelf, Wren's'."""
        return ", ".join(filter(None, (self.state_words, self.place, self.whose and f"{self.whose}'s")))

    @property
    def lent_to(self) -> str:
        """'To Wren', as it was written down; empty when it is here."""
        return self.loan or ""

    @property
    def doubts(self) -> list[str]:
        words = []
        if self.pigments_known == PigmentsKnown.UNKNOWN:
            words.append("Pigments not known")
        if self.question:
            words.append("A question about its label is open")
        return words


class Cursor(NamedTuple):
    """A place in the order of the shelf: folded name, then item, then tube."""

    name: str
    item: int
    tube: int

    @classmethod
    def of(cls, row: ShelfRow) -> "Cursor":
        return cls(row.sort_name, row.item_id, row.pk)

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
    pigment: str = ""
    """One code, as standards write it."""
    opened_before: date | None = None
    received_before: date | None = None
    numbers: Collection[int] | None = None
    """The numbers on the tubes; None where they do not matter."""


def shelf(
    studio: Studio,
    *,
    search: str = "",
    place: int | None = None,
    owner: str = "",
    binder: str = "",
    state: str = "",
    doubt: str = "",
    pigment: str = "",
    opened_before: date | None = None,
    received_before: date | None = None,
    numbers: Collection[int] | None = None,
    by: User | None = None,
    after: Cursor | None = None,
    before: Cursor | None = None,
    limit: int = PAGE,
) -> ShelfPage:
    """A page of the shelf in the order of names, after or before a cursor; two queries.

    `state` is a TubeState, "all", or empty for what is in use; `owner` an OwnerKind, "mine" for what belongs to `by`,
    or "member-" and the key of one; `doubt` is "pigments" (not known), "question" (open) or "unusable".
    """
    asked = Filters(search, place, owner, binder, state, doubt, pigment, opened_before, received_before, numbers)
    tubes = narrowed(studio, asked, by)
    if before is not None:
        found = _rows(_until(tubes, before).order_by("-item__sort_name", "-item_id", "-pk")[: limit + 1])
        more = len(found) > limit
        page = found[:limit][::-1]
        return ShelfPage(page, _first(page) if more else None, _last(page))
    if after is not None:
        tubes = _from(tubes, after)
    found = _rows(tubes.order_by("item__sort_name", "item_id", "pk")[: limit + 1])
    page = found[:limit]
    return ShelfPage(page, _first(page) if after else None, _last(page) if len(found) > limit else None)


def _first(page: list[ShelfRow]) -> Cursor | None:
    return Cursor.of(page[0]) if page else None


def _last(page: list[ShelfRow]) -> Cursor | None:
    return Cursor.of(page[-1]) if page else None


def _from(tubes: "QuerySet[Tube]", cursor: Cursor) -> "QuerySet[Tube]":
    """What comes after. The first condition repeats a part of the second, so that the index finds the place."""
    return tubes.filter(item__sort_name__gte=cursor.name).filter(
        Q(item__sort_name__gt=cursor.name)
        | Q(item__sort_name=cursor.name, item__gt=cursor.item)
        | Q(item__sort_name=cursor.name, item=cursor.item, pk__gt=cursor.tube)
    )


def _until(tubes: "QuerySet[Tube]", cursor: Cursor) -> "QuerySet[Tube]":
    return tubes.filter(item__sort_name__lte=cursor.name).filter(
        Q(item__sort_name__lt=cursor.name)
        | Q(item__sort_name=cursor.name, item__lt=cursor.item)
        | Q(item__sort_name=cursor.name, item=cursor.item, pk__lt=cursor.tube)
    )


def rows_of(studio: Studio, filters: Filters, by: User | None = None, limit: int = PAGE) -> list[ShelfRow]:
    """The first rows that fit, in the order of the shelf; two queries."""
    return _rows(narrowed(studio, filters, by).order_by("item__sort_name", "item_id", "pk")[:limit])


def rows_where(studio: Studio, *, codes: Collection[str], words: Collection[str], limit: int) -> list[ShelfRow]:
    """Tubes in use of paints with one of these codes, or whose words hold all of `words`; two queries."""
    fits = Q()
    if codes:
        fits |= Q(Exists(PaintPigment.objects.filter(paint=OuterRef("item_id"), code__in=codes)))
    if words:
        named = Q()
        for word in words:
            named &= Q(item__search__contains=word)
        fits |= named
    if not fits:
        return []
    tubes = Tube.objects.filter(item__studio=studio).in_use().filter(fits)
    return _rows(tubes.order_by("item__sort_name", "item_id", "pk")[:limit])


def narrowed(studio: Studio, filters: Filters, by: User | None = None) -> "QuerySet[Tube]":
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
    elif filters.owner.startswith("member-"):
        tubes = tubes.filter(owner=int(filters.owner.removeprefix("member-")))
    if filters.binder:
        tubes = tubes.filter(item__paint__binder=filters.binder)
    if filters.pigment:
        tubes = tubes.filter(Exists(PaintPigment.objects.filter(paint=OuterRef("item_id"), code=filters.pigment)))
    if filters.opened_before is not None:
        tubes = tubes.filter(opened_on__lt=filters.opened_before)
    if filters.received_before is not None:
        came = Entry.objects.filter(tube=OuterRef("pk"), kind=EntryKind.RECEIVED)
        tubes = tubes.filter(Exists(came.filter(at__lt=_midnight(filters.received_before))))
    if filters.numbers is not None:
        tubes = tubes.filter(number__in=filters.numbers)
    return tubes.filter(_doubt(filters.doubt))


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time()))


def _doubt(doubt: str) -> Q:
    if doubt == "pigments":
        return Q(item__paint__pigments_known=PigmentsKnown.UNKNOWN)
    if doubt == "unusable":
        return ~Q(condition=Condition.USABLE)
    if doubt == "question":
        return Q(_open_question())
    return Q()


@cache
def _open_question() -> Exists:
    return Exists(Reading.objects.filter(paint=OuterRef("item_id"), settled=False))


@cache
def _loan() -> Subquery:
    """To whom a tube is lent, as it was written down; empty when it came back, NULL when it was never lent."""
    loans = Entry.objects.filter(
        tube=OuterRef("pk"), kind__in=[EntryKind.LENT, EntryKind.RETURNED], corrected_by=None
    ).order_by("-pk")
    lent_to = Case(When(kind=EntryKind.LENT, then="note"), default=Value(""))
    return Subquery(loans.annotate(lent_to=lent_to).values("lent_to")[:1])


def _rows(tubes: "QuerySet[Tube]") -> list[ShelfRow]:
    """All that the rows show, as plain values, which cost half of what model instances do; two queries."""
    facts = tubes.annotate(loan=_loan(), question=_open_question()).values_list(*COLUMNS.values())
    found = [dict(zip(COLUMNS, values, strict=True)) for values in facts]
    pigments = defaultdict(list)
    lines = PaintPigment.objects.filter(paint__in={row["item_id"] for row in found}).order_by("position")
    marks = ("pigment__lightfastness_astm", "pigment__lightfastness_by_binder")
    for paint, code, binder, astm, by_binder in lines.values_list("paint_id", "code", "paint__binder", *marks):
        pigments[paint].append(Rated(code, mark_in(binder, astm or "", by_binder or "")))
    return [ShelfRow(**row, pigments=pigments[row["item_id"]]) for row in found]


def tubes(studio: Studio) -> "QuerySet[Tube]":
    """Every tube of the studio, finished ones too, with its item, place, owner and loan at hand; two queries."""
    return (
        Tube.objects.of(studio)
        .select_related("item__paint", "item__material", "place", "owner")
        .annotate(loan=_loan())
        .prefetch_related("item__paint__pigment_lines")
    )


def row_of(tube: Tube) -> ShelfRow:
    """What the shelf says of one tube; two queries."""
    return _rows(Tube.objects.filter(pk=tube.pk))[0]


def places(studio: Studio) -> "QuerySet[Place]":
    """The places where something can be put, by name."""
    return Place.objects.filter(studio=studio, removed_at=None)
