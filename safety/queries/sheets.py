"""Makers' sheets of a shelf: what has none, what is to be looked at again, what is asked, who brought it."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Max, QuerySet
from django.urls import reverse
from django.utils import timezone

from inventory.models import Item, OwnerKind, PaintPigment, Tube
from safety.models import DataSheet, HouseRule, Notice, PrintedSo, RuleKind
from safety.queries.facts import current_sheets
from safety.queries.reference import phrasebook
from safety.rules.due import Due, due, due_on
from safety.rules.sheet_checks import Printed, Question, questions
from safety.rules.statements import Phrasebook, split_cell
from studio.attention import Attention, Urgency, and_more
from studio.models import Studio

# The subject of the house rule that says how often a sheet is looked at again.
SUBJECTS = ("data sheet", "data sheets")
NAMED = 3


@dataclass(frozen=True)
class Container:
    """One container in use, as far as a list of sheets shows it."""

    number: int
    place: int | None
    place_name: str
    owner: str
    owner_words: str
    """Empty: the studio's own."""

    @property
    def brought(self) -> bool:
        return self.owner != OwnerKind.STUDIO


@dataclass(frozen=True)
class SheetRow:
    """One thing on the shelf with the sheet that counts, and what is to be done about it."""

    item: Item
    containers: tuple[Container, ...]
    sheet: DataSheet | None
    review: Due | None = None
    house: Due | None = None
    notice_older: bool = False
    open_questions: tuple[Question, ...] = ()

    @property
    def numbers(self) -> str:
        return ", ".join(str(one.number) for one in self.containers)

    @property
    def brought_by(self) -> tuple[str, ...]:
        """Whose containers these are beside the studio's own, each once."""
        return tuple(dict.fromkeys(one.owner_words for one in self.containers if one.brought))

    @property
    def places(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(one.place_name for one in self.containers if one.place_name))

    @property
    def lacks_sheet(self) -> bool:
        return self.sheet is None

    @property
    def past_review(self) -> bool:
        return bool(self.review and self.review.late)

    @property
    def older_than_house(self) -> bool:
        return bool(self.house and self.house.late)

    @property
    def not_entered(self) -> bool:
        return bool(self.sheet and not self.sheet.gives_hazards and not self.sheet.unknown_codes)


@dataclass(frozen=True)
class SheetList:
    """The rows in the order of their gaps, with the house's own interval in days; None: it set none."""

    rows: tuple[SheetRow, ...]
    interval: int | None
    places: tuple[tuple[str, str], ...] = ()
    owners: tuple[tuple[str, str], ...] = ()

    def of(self, gap: str) -> tuple[SheetRow, ...]:
        return tuple(one for one in self.rows if GAPS[gap].holds(one))


@dataclass(frozen=True)
class Gap:
    """A kind of gap: its heading, what to do, and whether a row has it."""

    heading: str
    words: str
    holds: Callable[[SheetRow], bool] = field(repr=False)


def _in_order(row: SheetRow) -> bool:
    return not any(GAPS[name].holds(row) for name in GAPS if name != "on file")


# The first matters most. A row is listed under each gap that it has.
GAPS: dict[str, Gap] = {
    "none": Gap(
        "Without a sheet",
        "What its maker says of hazards is not known here: ask the maker or the supplier for the sheet.",
        lambda row: row.lacks_sheet,
    ),
    "not entered": Gap(
        "On file, but not copied",
        "The sheet is there and its statements are not: copy what its section 2 prints.",
        lambda row: row.not_entered,
    ),
    "review": Gap(
        "Past the day on which to look again",
        "Look whether the maker has a newer revision, then say so.",
        lambda row: row.past_review,
    ),
    "house": Gap(
        "Older than the house allows",
        "It was read, or looked at again, longer ago than the house's own rule says.",
        lambda row: row.older_than_house,
    ),
    "notice": Gap(
        "Sheet read after the notice was made",
        "The notice does not know this sheet yet: make a new one and hang it.",
        lambda row: row.notice_older,
    ),
    "questions": Gap(
        "With open questions",
        "Something in what was copied does not fit. Look at the sheet again: correct the record, or say that it is "
        "printed so.",
        lambda row: bool(row.open_questions),
    ),
    "on file": Gap("On file", "Nothing is to be done about these now. That does not say what is in them.", _in_order),
}


def sheet_list(studio: Studio, *, place: str = "", owner: str = "", today: date | None = None) -> SheetList:
    """Every thing in stock with its sheet; seven queries for any number.

    `place` is a place's pk, "none" or nothing; `owner` "studio", "others", "member:<pk>", "class:<name>" or nothing.
    """
    day = today or timezone.localdate()
    tubes = Tube.objects.of(studio).in_use().select_related("place", "owner").order_by("number")
    every = [(tube.item_id, _container(tube)) for tube in tubes]
    chosen: dict[int, list[Container]] = {}
    for pk, one in every:
        if _wanted(one, place, owner):
            chosen.setdefault(pk, []).append(one)
    items = list(
        Item.objects.of(studio)
        .kept()
        .filter(pk__in=list(chosen))
        .select_related("paint", "material")
        .order_by("sort_name", "pk")
    )
    sheets = current_sheets(items)
    asked = open_questions(sheets.values(), items) if sheets else {}
    made = dict(
        Notice.objects.filter(item__in=list(sheets))
        .values("item")
        .annotate(at=Max("made_at"))
        .values_list("item", "at")
    )
    interval = house_interval(studio)
    rows = [
        _row(item, tuple(chosen[item.pk]), sheets.get(item.pk), made.get(item.pk), interval, asked, day)
        for item in items
    ]
    return SheetList(tuple(rows), interval, *_choices(one for _, one in every))


def _row(
    item: Item,
    containers: tuple[Container, ...],
    sheet: DataSheet | None,
    notice_made: Any,
    interval: int | None,
    asked: Mapping[int, tuple[Question, ...]],
    today: date,
) -> SheetRow:
    if sheet is None:
        return SheetRow(item, containers, None)
    return SheetRow(
        item,
        containers,
        sheet,
        review=due_on(sheet.review_on, today) if sheet.review_on else None,
        house=due(sheet.looked_on or sheet.read_on, interval, today),
        notice_older=notice_made is not None and notice_made < sheet.recorded_at,
        open_questions=asked.get(sheet.pk, ()),
    )


def _container(tube: Tube) -> Container:
    kind = tube.owner_kind
    if kind == OwnerKind.MEMBER:
        owner, words = f"member:{tube.owner_id}", str(tube.owner)
    elif kind == OwnerKind.CLASS:
        owner, words = f"class:{tube.owner_class}", f"the class {tube.owner_class}"
    else:
        owner, words = str(OwnerKind.STUDIO), ""
    return Container(tube.number, tube.place_id, tube.place.name if tube.place else "", owner, words)


def _wanted(one: Container, place: str, owner: str) -> bool:
    here = not place or (one.place is None if place == "none" else str(one.place) == place)
    theirs = not owner or (one.brought if owner == "others" else one.owner == owner)
    return here and theirs


def _choices(containers: Iterable[Container]) -> tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]]:
    """What can be chosen in the filters: the places and owners that there are."""
    found = list(containers)
    places = dict(sorted({str(one.place): one.place_name for one in found if one.place}.items(), key=lambda p: p[1]))
    if any(one.place is None for one in found):
        places["none"] = "Place not known"
    owners = {"studio": "The studio's own"} if any(not one.brought for one in found) else {}
    theirs = {one.owner: one.owner_words for one in found if one.brought}
    if theirs:
        owners["others"] = "Brought by anybody else"
    owners |= dict(sorted(theirs.items(), key=lambda pair: pair[1]))
    return tuple(places.items()), tuple(owners.items())


def house_interval(studio: Studio) -> int | None:
    """The shortest standing interval that the house set for looking at sheets again, in days; one query."""
    rules = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.INTERVAL)
    found = [rule.days for rule in rules if rule.subject.strip().casefold() in SUBJECTS and rule.days]
    return min(found, default=None)


def open_questions(sheets: Iterable[DataSheet], items: Sequence[Item]) -> dict[int, tuple[Question, ...]]:
    """What is asked about each sheet and not answered, by its pk; three queries."""
    return {
        pk: tuple(one.question for one in asked if one.answer is None)
        for pk, asked in questions_of(sheets, items).items()
    }


class Asked(NamedTuple):
    """A question about a sheet, and who answered that it is printed so; None: nobody yet."""

    question: Question
    answer: PrintedSo | None


def questions_of(sheets: Iterable[DataSheet], items: Sequence[Item]) -> dict[int, tuple[Asked, ...]]:
    """Every question about each sheet, with the answer "it is printed so" or None; three queries."""
    book = phrasebook()
    found = list(sheets)
    codes: dict[int, list[str]] = {}
    for pk, code in PaintPigment.objects.filter(paint__in=[one.pk for one in items]).values_list("paint_id", "code"):
        codes.setdefault(pk, []).append(code)
    cas = {one.pk: split_cell(one.material.cas) for one in items if hasattr(one, "material")}
    answers = {
        (one.sheet_id, one.question): one for one in PrintedSo.objects.filter(sheet__in=found).select_related("by")
    }
    return {
        sheet.pk: tuple(
            Asked(question, answers.get((sheet.pk, question.key)))
            for question in _ask(sheet, tuple(codes.get(sheet.item_id, ())), cas.get(sheet.item_id, ()), book)
        )
        for sheet in found
    }


def _ask(sheet: DataSheet, pigments: tuple[str, ...], cas: tuple[str, ...], book: Phrasebook) -> tuple[Question, ...]:
    if sheet.withdrawn_at or not (sheet.gives_hazards or sheet.unknown_codes):
        return ()
    printed = Printed(
        h_codes=sheet.h_code_list,
        unknown_codes=sheet.unknown_code_list,
        signal_word=sheet.signal_word,
        pictograms=sheet.signs,
        revised_on=sheet.revised_on,
        jurisdiction=sheet.jurisdiction,
        other_hazards=sheet.other_hazards,
        ufi=sheet.ufi,
        says_not_classified=sheet.says_not_classified,
        pigments=pigments,
        cas=cas,
    )
    return questions(printed, book)


def sheets_of(item: Item) -> "QuerySet[DataSheet]":
    """Every record of a sheet of one item, the newest revision first; one query."""
    rows = DataSheet.objects.filter(item=item).newest_first()
    return rows.select_related("by", "withdrawn_by", "looked_by", "file", "file__by")


def sheets_past_review(studio: Studio) -> Iterator[Attention]:
    """Sheets of what is in stock whose day to look again is past; three queries at most."""
    held = Tube.objects.of(studio).in_use().values("item")
    late = DataSheet.objects.of(studio).standing().filter(review_on__lt=timezone.localdate(), item__in=held)
    items = {one.item_id: one.item for one in late.select_related("item").order_by("item__sort_name", "item")}
    counting = current_sheets(items.values()) if items else {}
    names = [items[pk].name for pk, sheet in counting.items() if sheet.review_on and _past(sheet.review_on)]
    if names:
        several = len(names) > 1
        yield Attention(
            Urgency.UNKNOWN,
            f"The day to look again is past for the maker's sheet{'s' if several else ''} of "
            f"{and_more(names[:NAMED], len(names))}: whether a newer revision is out is not known.",
            "Look again",
            reverse("safety:sheets", args=[studio.slug]) + "#gap-review",
            deed=reverse("safety:sheet_looked", args=[studio.slug, 0]),
        )


def _past(day: date) -> bool:
    return day < timezone.localdate()
