"""What is known of the things on a shelf, gathered in the order of trust."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar, get_args

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from inventory.models import (
    Binder,
    Item,
    Material,
    MaterialKind,
    Paint,
    PaintPigment,
    Pigment,
    Reading,
    ReadingField,
    Tube,
)
from safety.models import DataSheet, HouseRule, LabelStatement, RoomFacts, RuleKind
from safety.queries.reference import Published, published
from safety.rules import facts as rules
from safety.rules.house import TOPICS, Topic
from safety.rules.house import HouseRule as PrintedRule
from safety.rules.lists import Lists, lists_for
from safety.rules.notice import WHOM_TO_CALL, Contact, House
from safety.rules.statements import split_cell
from studio.models import Studio

# Driers are mostly sold in solvent, and drying oils are used as mediums: the nearest form that cautions more.
_FORMS: dict[str, rules.Form] = {
    MaterialKind.MEDIUM: "medium",
    MaterialKind.SOLVENT: "solvent",
    MaterialKind.VARNISH: "varnish",
    MaterialKind.DRIER: "medium",
    MaterialKind.GROUND: "ground",
    MaterialKind.DRYING_OIL: "medium",
    MaterialKind.DRY_PIGMENT: "dry pigment",
    MaterialKind.OTHER: "other",
}
# The place for the studio's own number among those whom to call.
_FIRST_AID = "First aid here"
_IN_CHARGE = "Responsible for this room"

Said = TypeVar("Said", DataSheet, LabelStatement)


def items(studio: Studio) -> "QuerySet[Item]":
    """What a studio keeps, with all that facts are made of; three queries."""
    lines = PaintPigment.objects.select_related("pigment", "shade")
    unread = Reading.objects.filter(field=ReadingField.PIGMENTS).filter(
        Q(settled=False) | ~Q(chosen={}) | Q(read__incomplete=True)
    )
    return (
        Item.objects.of(studio)
        .select_related("paint", "material")
        .prefetch_related(
            Prefetch("paint__pigment_lines", queryset=lines),
            Prefetch("paint__readings", queryset=unread, to_attr="not_read"),
        )
        .order_by("sort_name", "pk")
    )


def in_stock(studio: Studio) -> "QuerySet[Item]":
    """What stands on the shelf, whoever owns it: what harms does not ask whose tube it is."""
    held = Tube.objects.in_use().filter(item=OuterRef("pk"))
    return items(studio).filter(Exists(held), archived_at=None)


def in_full(item: Item) -> str:
    """Its name with the binder, as several paints of one name stand on a shelf."""
    paint: Paint | None = getattr(item, "paint", None)
    if paint is None or paint.binder == Binder.UNKNOWN:
        return item.name
    return f"{item.name} ({paint.get_binder_display().lower()})"


def lists_of(studio: Studio) -> Lists:
    return lists_for(studio.jurisdiction)


def house_of(studio: Studio) -> House:
    """The studio as its notices name it, with its numbers and the words that hold everywhere; one query."""
    return house_with(studio, None, HouseRule.objects.of(studio).standing().filter(kind=RuleKind.WORDING, room=None))


def house_with(studio: Studio, there: RoomFacts | None, words: Iterable[HouseRule]) -> House:
    """The same in a room, with who is in charge there, from rows that are at hand."""
    numbers = {_FIRST_AID: studio.emergency_contact}
    if there:
        numbers[_FIRST_AID] = ", ".join(filter(None, (studio.emergency_contact, there.first_aid)))
        numbers[_IN_CHARGE] = ", ".join(filter(None, (there.keeper, there.call)))
    contacts = (Contact(role, " ".join(numbers.get(role, "").split())) for role in WHOM_TO_CALL)
    return House(studio.name, tuple(contacts), tuple(rule_words(one) for one in words))


def rule_words(rule: HouseRule) -> PrintedRule:
    """A house rule as it is printed, with who decided it and when."""
    topic: Topic = next((one for one in TOPICS if one == rule.subject), "other")
    return PrintedRule(rule.text, rule.on_whose_word, rule.set_on, topic)


def facts_of(found: Sequence[Item]) -> dict[int, rules.Facts]:
    """What is known of each item, by its pk; three queries beside those of `items`, four with dry pigments."""
    known = published()
    sheets, labels = current_sheets(found), current_labels(found)
    by_cas = _pigments_by_cas(found)
    return {item.pk: _facts(item, known, sheets.get(item.pk), labels.get(item.pk), by_cas) for item in found}


def current_sheets(found: Iterable[Item]) -> dict[int, DataSheet]:
    """The newest standing sheet of each item that has one; one query."""
    rows = DataSheet.objects.standing().filter(item__in=[item.pk for item in found]).newest_first()
    return _first_of_each(rows.select_related("by"))


def current_labels(found: Iterable[Item]) -> dict[int, LabelStatement]:
    """The words read last from the label of each item; one query."""
    rows = LabelStatement.objects.standing().filter(item__in=[item.pk for item in found])
    return _first_of_each(rows.order_by("-read_on", "-pk").select_related("by"))


def _first_of_each(rows: Iterable[Said]) -> dict[int, Said]:
    found: dict[int, Said] = {}
    for row in rows:
        found.setdefault(row.item_id, row)
    return found


def _facts(
    item: Item,
    known: Published,
    sheet: DataSheet | None,
    label: LabelStatement | None,
    by_cas: dict[str, list[Pigment]],
) -> rules.Facts:
    said = {"sheet": sheet and sheet_record(sheet), "label": label and label_record(label)}
    paint: Paint | None = getattr(item, "paint", None)
    if paint:
        lines = list(paint.pigment_lines.all())
        return rules.Facts(
            name=item.name,
            sold_as=form_of(item),
            binder="" if paint.binder == Binder.UNKNOWN else paint.binder,
            pigments=(*(_pigment_line(line, known) for line in lines), *_not_read(paint, lines)),
            shade_words=tuple(line.shade.name for line in lines if line.shade),
            **said,  # type: ignore[arg-type]  # named above
        )
    material: Material = item.material
    numbers = split_cell(material.cas)
    pigments: tuple[rules.PigmentFacts, ...] = ()
    if material.material_kind == MaterialKind.DRY_PIGMENT:
        sold_as = {pigment.pk: pigment for number in numbers for pigment in by_cas.get(number, ())}
        # Several pigments share a number: then the number does not tell which it is.
        pigments = tuple(_pigment(one, known) for one in sold_as.values()) if len(sold_as) == 1 else ()
    told = {row for pigment in pigments for row in pigment.substances}
    return rules.Facts(
        name=item.name,
        sold_as=form_of(item),
        form=_FORMS[material.material_kind],
        binder="drying oil" if material.material_kind == MaterialKind.DRYING_OIL else "",
        pigments=pigments,
        ingredients=tuple(row for row in known.of_cas(numbers) if row not in told),
        **said,  # type: ignore[arg-type]  # named above
    )


def _pigment_line(line: PaintPigment, known: Published) -> rules.PigmentFacts:
    if line.pigment is None:
        return rules.PigmentFacts(line.code, known=False)
    return _pigment(line.pigment, known)


def _pigment(pigment: Pigment, known: Published) -> rules.PigmentFacts:
    return rules.PigmentFacts(
        code=pigment.ci_name,
        name=pigment.chemical_description,
        metals=tuple(pigment.metal_list),
        substances=known.of_pigment(pigment.ci_name),
    )


def _not_read(paint: Paint, lines: Iterable[PaintPigment]) -> Iterator[rules.PigmentFacts]:
    """What the label names and nobody has settled yet: without it a notice would look complete."""
    codes = {line.code for line in lines}
    parts: dict[str, str] = {}
    for reading in vars(paint).get("not_read", ()):
        for doubt in reading.doubts:
            if doubt["severity"] in ("ask", "refused"):
                parts.setdefault(doubt["value"], "as typed, a question is open")
        for key, answer in reading.chosen.items():
            if not answer:
                parts.setdefault(key.partition(":")[2], "as typed, pigment left unknown")
        if reading.read.get("incomplete"):
            parts.setdefault("a further pigment", "the label names it without a code")
    for text, why in parts.items():
        if text and text not in codes:
            yield rules.PigmentFacts(text[:60], why, known=False)


def _pigments_by_cas(found: Iterable[Item]) -> dict[str, list[Pigment]]:
    """Pigments by CAS number, read only where dry pigments with numbers are among the items; one query."""
    materials = (item.material for item in found if hasattr(item, "material"))
    if not any(one.material_kind == MaterialKind.DRY_PIGMENT and one.cas for one in materials):
        return {}
    by_cas: dict[str, list[Pigment]] = {}
    for pigment in Pigment.objects.exclude(cas=""):
        for number in split_cell(pigment.cas):
            by_cas.setdefault(number, []).append(pigment)
    return by_cas


def form_of(item: Item) -> rules.SoldAs:
    """As what it is sold, in the words of the rules."""
    found: rules.SoldAs = next((one for one in get_args(rules.SoldAs) if one == item.form), "")
    return found


def sheet_record(sheet: DataSheet) -> rules.SheetRecord:
    return rules.SheetRecord(
        title=f"{sheet.product} (for {sheet.jurisdiction})" if sheet.jurisdiction else sheet.product,
        revised_on=sheet.revised_on,
        read_on=sheet.read_on,
        h_codes=sheet.h_code_list,
        p_codes=sheet.p_code_list,
        signal_word=sheet.signal_word,
        pictograms=sheet.signs,
        says_not_classified=sheet.says_not_classified,
        unknown_codes=sheet.unknown_code_list,
        other_hazards=sheet.other_hazards,
        conformity=sheet.conformity,
    )


def label_record(label: LabelStatement) -> rules.LabelStatement:
    return rules.LabelStatement(
        text=label.text,
        read_on=label.read_on,
        h_codes=label.h_code_list,
        p_codes=label.p_code_list,
        signal_word=label.signal_word,
        pictograms=label.signs,
        seals=split_cell(label.seal),
    )
