"""What an office gets: subjects, their fields, and rows in the columns of a saved template. Incidents never leave."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import groupby, islice
from string import Formatter
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils import timezone

from inventory.models import Item, OwnerKind, Room, Tube, TubeState
from safety.models import DataSheet, ExportTemplate, HouseRule, Inspection, SignOff, WasteContainer
from safety.queries import facts as known
from safety.queries.reference import phrasebook
from safety.rules.facts import Facts, Trust
from safety.rules.notice import NoticeContent, content
from safety.rules.statements import split_cell
from studio.models import Role, Studio, User

NOT_KNOWN = "not known"
Cell = Callable[[Any, "Sheet"], str]


def placeholders(room_format: str) -> list[str]:
    """The words in braces of a room format. ValueError for braces that do not pair or hold more than a word."""
    found = []
    for _, name, spec, conversion in Formatter().parse(room_format):
        if name is None:
            continue
        if spec or conversion or not name.isidentifier():
            raise ValueError(f"{{{name}{f'!{conversion}' if conversion else ''}{f':{spec}' if spec else ''}}}")
        found.append(name)
    return found


@dataclass
class Sheet:
    """One export as it is written: whose, when, and what is looked up once for all its rows."""

    studio: Studio
    room_format: str
    limit: int | None = None
    today: date = field(default_factory=timezone.localdate)

    @cached_property
    def items(self) -> dict[int, Item]:
        """What is held, or the first of it; three queries."""
        held = Tube.objects.in_use().filter(item=OuterRef("pk"))
        rows = known.items(self.studio).filter(Exists(held))
        return {item.pk: item for item in (rows[: self.limit] if self.limit else rows)}

    @cached_property
    def facts(self) -> dict[int, Facts]:
        return known.facts_of(list(self.items.values()))

    @cached_property
    def sheets(self) -> dict[int, DataSheet]:
        return known.current_sheets(self.items.values())

    @cached_property
    def keepers(self) -> str:
        """Who keeps the studio: asked where nobody is named for the room."""
        people = User.objects.filter(memberships__studio=self.studio, memberships__role=Role.KEEPER)
        return ", ".join(str(one) for one in people.order_by("username"))

    @cached_property
    def _said(self) -> dict[int, NoticeContent]:
        return {}

    @cached_property
    def _rules(self) -> dict[str, Any]:
        return {
            "house": known.house_of(self.studio),
            "phrasebook": phrasebook(),
            "regimes": known.lists_of(self.studio).regimes,
            "made_on": self.today,
        }

    def said(self, item: Item) -> NoticeContent:
        """What a notice made now would say of it."""
        if item.pk not in self._said:
            self._said[item.pk] = content(self.facts[item.pk], **self._rules)
        return self._said[item.pk]

    def located(self, room: Room | None, place: str | None = None) -> str:
        """Where it is, as the office writes it."""
        words = {"room": str(room) if room else NOT_KNOWN, "studio": self.studio.name}
        if place is not None:
            words["place"] = place or NOT_KNOWN
        return (self.room_format or ("{room}" if place is None else "{room} / {place}")).format(**words)


@dataclass(frozen=True)
class Subject:
    """What the rows are, how they are found, and the fields that a column may show."""

    label: str
    fields: Mapping[str, tuple[str, Cell]]
    rows: Callable[[Sheet], Iterable[Any]]
    usual: tuple[str, ...]
    placeholders: tuple[str, ...] = ()

    def choices(self) -> list[tuple[str, str]]:
        return [(key, label) for key, (label, _) in self.fields.items()]


@dataclass(frozen=True)
class Held:
    """Containers of one thing that fill one row."""

    item: Item
    tubes: tuple[Tube, ...]

    @property
    def first(self) -> Tube:
        return self.tubes[0]

    @property
    def room(self) -> Room | None:
        return self.first.place.room if self.first.place else None


def _tubes(sheet: Sheet) -> Iterator[Tube]:
    rows = Tube.objects.of(sheet.studio).in_use().select_related("place__room__facts", "owner")
    if sheet.limit:
        rows = rows.filter(item__in=sheet.items)
    order = ("item__sort_name", "item_id", "place__name", "place_id", "owner_kind", "owner_id", "owner_class", "unit")
    return rows.order_by(*order, "number").iterator(chunk_size=2000)


def _each(sheet: Sheet) -> Iterator[Held]:
    return (Held(sheet.items[tube.item_id], (tube,)) for tube in _tubes(sheet) if tube.item_id in sheet.items)


def _summed(sheet: Sheet) -> Iterator[Held]:
    """Containers of one thing in one place, of one owner and in one unit: ml and g are never added up."""

    def alike(tube: Tube) -> tuple[Any, ...]:
        return tube.item_id, tube.place_id, tube.owner_kind, tube.owner_id, tube.owner_class, tube.unit

    for _, group in groupby(_tubes(sheet), key=alike):
        tubes = tuple(group)
        if tubes[0].item_id in sheet.items:
            yield Held(sheet.items[tubes[0].item_id], tubes)


def decimal(milli: int) -> str:
    """Thousandths as a decimal with a point, exactly."""
    return f"{milli // 1000}.{milli % 1000:03d}".rstrip("0").rstrip(".")


def day(value: date | None, unknown: str = "") -> str:
    return value.isoformat() if value else unknown


def _what(held: Held) -> str:
    paint = getattr(held.item, "paint", None)
    if paint is None:
        return str(held.item.material.get_material_kind_display())
    return "Paint" if paint.binder == "unknown" else f"Paint, {paint.get_binder_display().lower()}"


def _codes(held: Held, sheet: Sheet) -> str:
    paint = getattr(held.item, "paint", None)
    codes = [line.code for line in paint.pigment_lines.all()] if paint else []
    return "; ".join(codes) or (NOT_KNOWN if paint else "")


def _cas(held: Held, sheet: Sheet) -> str:
    paint = getattr(held.item, "paint", None)
    if paint is None:
        return "; ".join(split_cell(held.item.material.cas)) or NOT_KNOWN
    lines = [line.pigment for line in paint.pigment_lines.all() if line.pigment]
    return "; ".join(dict.fromkeys(number for one in lines for number in split_cell(one.cas))) or NOT_KNOWN


def _owner(held: Held, sheet: Sheet) -> str:
    return sheet.studio.name if held.first.owner_kind == OwnerKind.STUDIO else held.first.owner_words


def _revised(held: Held, sheet: Sheet) -> str:
    found = sheet.sheets.get(held.item.pk)
    return day(found.revised_on, "no date printed") if found else "no sheet on file"


def _if_known(words: Callable[[NoticeContent], str]) -> Cell:
    """A cell about hazards: unknown never looks like none."""

    def cell(held: Held, sheet: Sheet) -> str:
        said = sheet.said(held.item)
        return NOT_KNOWN if said.trust is Trust.UNKNOWN else words(said) or "none"

    return cell


def _keeper(held: Held, sheet: Sheet) -> str:
    facts = getattr(held.room, "facts", None)
    return (facts.keeper if facts else "") or sheet.keepers


def _place(held: Held) -> str:
    return str(held.first.place) if held.first.place else ""


def _sizes(held: Held, sheet: Sheet) -> str:
    return "; ".join(dict.fromkeys(tube.nominal for tube in held.tubes))


def _today(row: object, sheet: Sheet) -> str:
    return sheet.today.isoformat()


_HOLDINGS: dict[str, tuple[str, Cell]] = {
    "name": ("Product name", lambda row, sheet: row.item.name),
    "maker": ("Maker", lambda row, sheet: row.item.maker),
    "maker_code": ("Maker's code", lambda row, sheet: row.item.maker_code),
    "what": ("Kind", lambda row, sheet: _what(row)),
    "pigments": ("Pigment codes", _codes),
    "cas": ("CAS numbers", _cas),
    "amount": ("Amount", lambda row, sheet: decimal(sum(tube.balance_milli for tube in row.tubes))),
    "unit": ("Unit", lambda row, sheet: row.first.unit),
    "estimated": (
        "Amount estimated",
        lambda row, sheet: "yes" if any(tube.balance_is_estimate for tube in row.tubes) else "no",
    ),
    "containers": ("Number of containers", lambda row, sheet: str(len(row.tubes))),
    "size": ("Size of container", _sizes),
    "numbers": ("Container numbers", lambda row, sheet: "; ".join(str(tube.number) for tube in row.tubes)),
    "opened": (
        "Containers open",
        lambda row, sheet: str(sum(tube.state == TubeState.OPEN for tube in row.tubes)),
    ),
    "batch": ("Batch", lambda row, sheet: "; ".join(dict.fromkeys(tube.batch for tube in row.tubes if tube.batch))),
    "room": ("Room", lambda row, sheet: str(row.room) if row.room else NOT_KNOWN),
    "place": ("Place", lambda row, sheet: _place(row) or NOT_KNOWN),
    "location": ("Room as the office writes it", lambda row, sheet: sheet.located(row.room, _place(row))),
    "owner": ("Owner", _owner),
    "sheet_revised": ("Revision date of the data sheet", _revised),
    "signal_word": ("Signal word", _if_known(lambda said: said.label.signal_word)),
    "h_codes": ("H codes", _if_known(lambda said: "; ".join(said.label.h_codes))),
    "signs": ("Signs", _if_known(lambda said: "; ".join(said.label.pictograms))),
    "hazards_from": ("Where the hazards come from", lambda row, sheet: sheet.said(row.item).trust.words),
    "keeper": ("Keeper", _keeper),
    "date": ("Date", _today),
}
_USUAL_HOLDINGS = (
    "name", "maker", "pigments", "cas", "amount", "unit", "containers", "location", "sheet_revised", "signal_word",
    "h_codes", "keeper", "date",
)  # fmt: skip

_SHEETS: dict[str, tuple[str, Cell]] = {
    "name": ("Product on the shelf", lambda row, sheet: row.item.name),
    "product": ("Product on the sheet", lambda row, sheet: row.product),
    "maker": ("Maker", lambda row, sheet: row.item.maker),
    "maker_code": ("Maker's code", lambda row, sheet: row.item.maker_code),
    "revised": ("Revision date", lambda row, sheet: day(row.revised_on, "no date printed")),
    "read": ("Read on", lambda row, sheet: day(row.read_on)),
    "read_by": ("Read by", lambda row, sheet: str(row.by)),
    "jurisdiction": ("Written for", lambda row, sheet: row.jurisdiction or NOT_KNOWN),
    "signal_word": ("Signal word", lambda row, sheet: row.signal_word or _blank(row)),
    "h_codes": ("H codes", lambda row, sheet: "; ".join(row.h_code_list) or _blank(row)),
    "p_codes": ("P codes", lambda row, sheet: "; ".join(row.p_code_list)),
    "signs": ("Signs", lambda row, sheet: "; ".join(row.signs) or _blank(row)),
    "other_hazards": ("Other hazards", lambda row, sheet: row.other_hazards),
    "ufi": ("UFI", lambda row, sheet: row.ufi),
    "review": ("Look again on", lambda row, sheet: day(row.review_on)),
    "file": ("File", lambda row, sheet: row.file.name if hasattr(row, "file") else ""),
    "date": ("Date", _today),
}


def _blank(row: DataSheet) -> str:
    """What an empty cell of a sheet means: nobody entered it, or the sheet has none."""
    return "none" if row.gives_hazards else NOT_KNOWN


_WASTE: dict[str, tuple[str, Cell]] = {
    "number": ("Container number", lambda row, sheet: str(row.number)),
    "contents": ("Contents", lambda row, sheet: row.contents),
    "hazards": ("Hazards", lambda row, sheet: row.hazards or NOT_KNOWN),
    "size": ("Size in ml", lambda row, sheet: NOT_KNOWN if row.size_milli is None else decimal(row.size_milli)),
    "room": ("Room", lambda row, sheet: str(row.room) if row.room else NOT_KNOWN),
    "location": ("Room as the office writes it", lambda row, sheet: sheet.located(row.room)),
    "opened": ("First drop", lambda row, sheet: day(row.opened_on)),
    "opened_by": ("Opened by", lambda row, sheet: str(row.opened_by)),
    "full": ("Full on", lambda row, sheet: day(row.full_on)),
    "full_by": ("Closed by", lambda row, sheet: str(row.full_by or "")),
    "collected": ("Collected on", lambda row, sheet: day(row.collected_on)),
    "collected_by": ("Collected by", lambda row, sheet: row.collected_by),
    "manifest": ("Manifest number", lambda row, sheet: row.manifest),
    "note": ("Note", lambda row, sheet: row.note),
    "date": ("Date", _today),
}
_INSPECTIONS: dict[str, tuple[str, Cell]] = {
    "subject": ("What was looked at", lambda row, sheet: row.get_subject_display()),
    "what": ("Which one", lambda row, sheet: row.what),
    "room": ("Room", lambda row, sheet: str(row.room) if row.room else NOT_KNOWN),
    "location": ("Room as the office writes it", lambda row, sheet: sheet.located(row.room)),
    "done": ("Done on", lambda row, sheet: day(row.done_on)),
    "by": ("By", lambda row, sheet: str(row.by)),
    "finding": ("Finding", lambda row, sheet: row.get_finding_display()),
    "note": ("Note", lambda row, sheet: row.note),
    "mended": ("Mended on", lambda row, sheet: day(row.mended_on)),
    "mended_by": ("Mended by", lambda row, sheet: str(row.mended_by or "")),
    "date": ("Date", _today),
}
_SIGN_OFFS: dict[str, tuple[str, Cell]] = {
    "name": ("Name", lambda row, sheet: row.name),
    "signed": ("Signed on", lambda row, sheet: day(row.signed_on)),
    "rules": ("Rules", lambda row, sheet: row.version.title),
    "version": ("Version", lambda row, sheet: str(row.version.number)),
    "recorded_by": ("Recorded by", lambda row, sheet: str(row.recorded_by)),
    "date": ("Date", _today),
}
_RULES: dict[str, tuple[str, Cell]] = {
    "kind": ("Kind of rule", lambda row, sheet: row.get_kind_display()),
    "text": ("Rule", lambda row, sheet: row.text),
    "on_whose_word": ("On whose word", lambda row, sheet: row.on_whose_word),
    "set": ("Set on", lambda row, sheet: day(row.set_on)),
    "groups": ("Groups", lambda row, sheet: "; ".join(str(one) for one in row.groups.all()) or "everybody"),
    "room": ("Room", lambda row, sheet: str(row.room) if row.room else "everywhere"),
    "location": (
        "Room as the office writes it",
        lambda row, sheet: sheet.located(row.room) if row.room else "everywhere",
    ),
    "subject": ("Subject", lambda row, sheet: row.subject),
    "days": ("Days", lambda row, sheet: "" if row.days is None else str(row.days)),
    "recorded_by": ("Recorded by", lambda row, sheet: str(row.recorded_by)),
    "date": ("Date", _today),
}


def _data_sheets(sheet: Sheet) -> Iterable[DataSheet]:
    rows = DataSheet.objects.of(sheet.studio).standing().select_related("item", "by", "file")
    return rows.order_by("item__sort_name", "item_id", "-read_on", "-pk")


def _waste(sheet: Sheet) -> Iterable[WasteContainer]:
    rows = WasteContainer.objects.filter(studio=sheet.studio, withdrawn_at=None).select_related(
        "room", "opened_by", "full_by"
    )
    return rows.order_by("number")


def _inspections(sheet: Sheet) -> Iterable[Inspection]:
    rows = Inspection.objects.filter(studio=sheet.studio, withdrawn_at=None).select_related("room", "by", "mended_by")
    return rows.order_by("done_on", "pk")


def _sign_offs(sheet: Sheet) -> Iterable[SignOff]:
    rows = SignOff.objects.filter(version__studio=sheet.studio, withdrawn_at=None)
    return rows.select_related("version", "recorded_by").order_by("-version__number", "name", "pk")


def _rules(sheet: Sheet) -> Iterable[HouseRule]:
    rows = HouseRule.objects.of(sheet.studio).standing().select_related("room", "recorded_by")
    return rows.prefetch_related("groups").order_by("kind", "pk")


_IN_A_PLACE = ("room", "place", "studio")
_IN_A_ROOM = ("room", "studio")
SUBJECTS: dict[str, Subject] = {
    "holdings": Subject("Holdings, summed by place", _HOLDINGS, _summed, _USUAL_HOLDINGS, _IN_A_PLACE),
    "containers": Subject("Holdings, each container", _HOLDINGS, _each, ("numbers", *_USUAL_HOLDINGS), _IN_A_PLACE),
    "sheets": Subject("Data sheets", _SHEETS, _data_sheets, tuple(_SHEETS)),
    "waste": Subject("Waste containers", _WASTE, _waste, tuple(_WASTE), _IN_A_ROOM),
    "inspections": Subject("Inspections", _INSPECTIONS, _inspections, tuple(_INSPECTIONS), _IN_A_ROOM),
    "sign-offs": Subject("Training sign-offs", _SIGN_OFFS, _sign_offs, tuple(_SIGN_OFFS)),
    "rules": Subject("House rules", _RULES, _rules, tuple(_RULES), _IN_A_ROOM),
}


def lines(template: ExportTemplate, limit: int | None = None) -> Iterator[list[str]]:
    """The export, headers first; a number of queries that does not grow with the rows.

    With a limit the first so many rows, without reading what the others need.
    """
    subject = SUBJECTS[template.subject]
    sheet = Sheet(template.studio, template.room_format, limit)
    cells = [subject.fields[column["field"]][1] for column in template.columns]
    yield [column["header"] for column in template.columns]
    for row in islice(subject.rows(sheet), limit):
        yield [cell(row, sheet) for cell in cells]
