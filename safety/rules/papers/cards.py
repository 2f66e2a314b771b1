"""Labels of jars and tags of waste, in the fields that this house demands."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from safety.rules.facts import Trust
from safety.rules.notice import House
from safety.rules.papers.paper import NOT_TOLD, Entry, Paper, Part
from safety.rules.papers.things import Thing


@dataclass(frozen=True)
class FieldRule:
    """A house rule about one field of a label or tag: demanded, or not allowed."""

    field: str
    demanded: bool
    source: str
    text: str = ""


# What a jar's label has where the house decided nothing; the names are those that a house rule may use.
JAR_FIELDS = (
    "poured from", "pigment codes", "signal word", "hazard statements", "maker's sheet", "filled on", "whose",
)  # fmt: skip
# What a waste tag has in any case. All else only where the house demands it, since houses demand opposite things.
TAG_FIELDS = ("contents", "hazards")
_HAZARDS = "Hazards"
# What a house may demand or forbid beside those; the tag fills in what is recorded.
FURTHER_FIELDS = ("start date", "full date", "size", "room", "keeper", "telephone", "collection number")


def wanted_fields(usual: Sequence[str], rules: Iterable[FieldRule]) -> tuple[str, ...]:
    """The usual fields without those that the house forbids, and with those that it demands, each once."""
    by_field = {" ".join(one.field.casefold().split()): one.demanded for one in rules}
    kept = [name for name in usual if by_field.get(name, True)]
    return (*kept, *(name for name, demanded in by_field.items() if demanded and name not in usual))


def jar_label(
    title: str,
    thing: Thing | None,
    rules: Sequence[FieldRule],
    *,
    house: House,
    made_on: date,
    known: Mapping[str, str] | None = None,
    page_url: str = "",
) -> Paper:
    """The label of a jar or decanted container, in the fields that this house demands.

    Hazards are copied from the maker's sheet or the label's own words and from nothing else: a list about the pigment
    does not know what else is in the jar. Where neither is on file the fields are blanks to fill from the sheet.
    """
    stated = thing if thing and thing.says.trust >= Trust.LABEL else None
    values = {"contents": title, **(known or {})}
    if thing:
        values |= {"poured from": thing.says.title, "pigment codes": ", ".join(thing.says.codes)}
    if stated:
        hazards = " ".join(f"{one.code} {one.phrase}" for one in stated.says.hazards)
        states_none = bool(stated.facts.sheet and stated.facts.sheet.says_not_classified)
        values |= {
            "signal word": stated.says.label.signal_word or ("none on the sheet" if states_none else ""),
            "hazard statements": hazards or ("the sheet states no classification" if states_none else ""),
            "precautions": " ".join(f"{one.code} {one.phrase}" for one in stated.says.precautions),
            "maker's sheet": _sheet_of(stated),
        }
    note = "" if stated else "Fill in from the maker's sheet before you use the jar."
    # A medium or a solvent prints no codes to copy; a jar that nobody can name may hold paint.
    codeless = thing is not None and thing.facts.prints_no_codes
    return _card(
        "Label",
        title,
        tuple(name for name in JAR_FIELDS if not (codeless and name == "pigment codes")),
        rules,
        values,
        stated.says.label.pictograms if stated else (),
        note,
        house,
        made_on,
        page_url,
    )


def _sheet_of(thing: Thing) -> str:
    if thing.says.trust is Trust.SHEET:
        return thing.source.removeprefix("maker's sheet ")
    return f"no hazards from one: from the {thing.source}"


def waste_tag(
    number: int,
    values: Mapping[str, str],
    rules: Sequence[FieldRule],
    things: Sequence[Thing],
    *,
    hazards_from: str,
    house: House,
    made_on: date,
    page_url: str = "",
) -> Paper:
    """The tag of a waste container, in the fields that this house demands and without those that it forbids.

    `things`: what its contents name that this studio keeps. `hazards_from`: on whose word the hazards were written
    down. What nobody read a sheet of is printed as unknown.
    """
    note = "" if rules else "This house has recorded no rule on what the tag shows: ask whoever collects it."
    made = _card("Waste", f"Container {number}", TAG_FIELDS, rules, values, (), note, house, made_on, page_url)
    (fields,) = made.parts
    told = tuple(
        replace(one, source=(hazards_from if one.label == _HAZARDS else "") if one.text else NOT_TOLD)
        for one in fields.entries
    )
    parts = [replace(fields, entries=told)]
    if any(one.label == _HAZARDS for one in told):
        rest = "Of anything else in it" if things else "Of what is in it"
        rows = (*(Entry(one.name, _on_whose_word(one)) for one in things), Entry(rest, "no sheet read: unknown"))
        parts.append(Part("Where hazards come from", "lines", rows))
    return replace(made, parts=tuple(parts))


def _on_whose_word(thing: Thing) -> str:
    if thing.says.trust is Trust.UNKNOWN:
        return "no sheet read: unknown"
    unread = "" if thing.says.trust is Trust.SHEET else "; no sheet read"
    return f"{thing.said} ({thing.source}{unread})"


def _card(
    kind: str,
    title: str,
    usual: Sequence[str],
    rules: Sequence[FieldRule],
    values: Mapping[str, str],
    signs: tuple[str, ...],
    note: str,
    house: House,
    made_on: date,
    page_url: str,
) -> Paper:
    fields = wanted_fields(usual, rules)
    entries = tuple(Entry(name[:1].upper() + name[1:], values.get(name, "")) for name in fields)
    return Paper(
        kind=kind,
        studio=house.name,
        title=title,
        made_on=made_on,
        facts=(f"{kind.casefold()}: {title}", *(f"{one.label}: {one.text or 'to fill in'}" for one in entries)),
        parts=(Part("", "facts", entries, note),),
        signs=signs,
        page_url=page_url,
    )
