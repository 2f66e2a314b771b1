"""What the papers beside the notices say: class page, room poster, door sheet, labels, tags and lists.

Every function takes what is known and gives finished words; what nobody wrote down stays empty and is printed as a
line to fill in. Nothing here guesses a hazard, a telephone number or a place.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import zip_longest
from typing import Literal

from safety.rules.facts import Facts, Trust
from safety.rules.house import HouseRule
from safety.rules.notice import DEFERRING, WHOM_TO_CALL, Contact, House, NoticeContent, mark
from safety.rules.statements import SEVERITY, Phrasebook

Style = Literal["answers", "facts", "cautions", "table", "lines", "signatures"]

# UN GHS part 2: physical hazards have the codes H200 to H290.
_PHYSICAL = ("H2", "EUH018", "EUH019", "EUH001", "EUH209")
# CLP Annex II, 2.10: "Safety data sheet available on request" states no hazard by itself.
_NO_HAZARD = frozenset({"EUH210"})
# UN GHS Annex 3: the precautionary statements about what to wear.
_WEAR = ("P280", "P281", "P282", "P283", "P284", "P285")
_SIGN_ORDER = ("GHS06", "GHS08", "GHS05", "GHS01", "GHS02", "GHS03", "GHS04", "GHS07", "GHS09")
NOT_A_FINDING = "That is not a finding of no hazard."
# What a poster and a door sheet say themselves: their foot need not say it again.
_OF_THE_ROOM = WHOM_TO_CALL[3]
_FIRST_AID = WHOM_TO_CALL[2]


@dataclass(frozen=True)
class Entry:
    """One line: of what, what it says, and on whose word. An empty text is a line to fill in."""

    label: str = ""
    text: str = ""
    source: str = ""


@dataclass(frozen=True)
class Part:
    heading: str
    style: Style
    entries: tuple[Entry, ...] = ()
    note: str = ""


class Sources:
    """The sources of a paper, each written out once at its end and named by its number in every row."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, source: str) -> str:
        return f"[{self._numbers.setdefault(source, len(self._numbers) + 1)}]" if source else ""

    def part(self) -> tuple[Part, ...]:
        """The list of the sources; none where nothing was numbered."""
        entries = tuple(Entry(f"[{number}]", source) for source, number in self._numbers.items())
        return (Part("Sources", "lines", entries),) if entries else ()


@dataclass(frozen=True)
class Paper:
    """All that a paper prints. The fingerprint is made of `facts`, and changes are read from them."""

    kind: str
    studio: str
    title: str
    made_on: date
    facts: tuple[str, ...]
    parts: tuple[Part, ...]
    subtitle: str = ""
    signs: tuple[str, ...] = ()
    signal_word: str = ""
    basis: str = ""
    contacts: tuple[Contact, ...] = ()
    deferring: str = DEFERRING
    page_url: str = ""
    fingerprint: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "fingerprint", mark(self.facts))


@dataclass(frozen=True)
class Thing:
    """One paint or material: what its notice says, what that is drawn from, and how much there is at most."""

    says: NoticeContent
    facts: Facts
    amount: str = ""

    @property
    def name(self) -> str:
        return f"{self.says.title} ({', '.join(self.says.codes)})" if self.says.codes else self.says.title

    @property
    def stated(self) -> str:
        """Signal word and codes as the most trusted source has them."""
        said = (self.says.label.signal_word, " ".join(self.says.label.h_codes))
        return ", ".join(filter(None, said))

    @property
    def said(self) -> str:
        """The same, or that nothing is known, or that its source states no hazard."""
        if self.says.trust is Trust.UNKNOWN:
            return "Not known"
        return self.stated or "No hazard statement there; that is not the same as no hazard"

    @property
    def source(self) -> str:
        """Whose word it is and of which day, short enough for one cell."""
        if self.says.trust is Trust.SHEET and self.facts.sheet:
            revised = self.facts.sheet.revised_on
            when = f"revised {revised.isoformat()}" if revised else "revision date not printed"
            return f"maker's sheet {self.facts.sheet.title}, {when}"
        if self.says.trust is Trust.LABEL and self.facts.label:
            read = self.facts.label.read_on
            return f"label, read {read.isoformat()}" if read else "label"
        if self.says.trust is Trust.PUBLISHED:
            cited = (line.source for line in self.says.known if line.trust is Trust.PUBLISHED)
            return f"published for the substance: {next(cited, 'list as on its notice')}"
        return "nothing on file"

    @property
    def burns(self) -> bool:
        codes = self.says.label.h_codes
        return any(code.startswith(_PHYSICAL) for code in codes) or "GHS02" in self.says.label.pictograms

    @property
    def harms(self) -> bool:
        return any(code not in _NO_HAZARD for code in self.says.label.h_codes) or bool(self.says.label.pictograms)

    @property
    def fact(self) -> str:
        said = ", ".join(filter(None, (self.name, self.amount, self.stated or self.says.trust.words)))
        return f"{said} [{self.source}]"


@dataclass(frozen=True)
class RoomWords:
    """The house's own facts of a room. Empty: not written down."""

    name: str
    keeper: str = ""
    call: str = ""
    rags: str = ""
    waste: str = ""
    eyewash: str = ""
    extinguisher: str = ""
    spill_kit: str = ""
    extraction: str = ""
    first_aid: str = ""
    way_out: str = ""
    set_on: date | None = None

    @property
    def source(self) -> str:
        return f"this house, {self.set_on.isoformat()}" if self.set_on else "this house"


@dataclass(frozen=True)
class Barred:
    """A house rule that keeps one thing from a group, or warns of it."""

    name: str
    rule: str
    why: str
    source: str
    forbids: bool

    @property
    def fact(self) -> str:
        return f"{self.name}: {self.rule} ({self.why}; {self.source})"


def room_poster(room: RoomWords, things: Sequence[Thing], *, house: House, made_on: date, page_url: str = "") -> Paper:
    """Where rags and waste go, where eyewash and extinguisher are, whom to call: to be read from three metres."""
    house = _without(house, _OF_THE_ROOM)
    answers = (
        Entry("Call", room.call),
        Entry("Extinguisher", room.extinguisher),
        Entry("Eyewash", room.eyewash),
        Entry("Oily rags", room.rags),
        Entry("Waste", room.waste),
    )
    more = (
        ("First aid box", room.first_aid),
        ("Spill kit", room.spill_kit),
        ("Way out", room.way_out),
        ("Air", room.extraction),
        ("In charge", room.keeper),
    )
    at_the_foot = " ".join(one.number for one in house.contacts if one.role == _FIRST_AID)
    also = tuple(Entry(label, text) for label, text in more if text and text not in at_the_foot)
    parts = [Part("", "answers", answers)]
    if also:
        parts.append(Part("Also here", "lines", also))
    if house.rules:
        parts.append(Part("House rules", "lines", tuple(_by_source(house.rules))))
    parts.append(Part("", "lines", (), _stood_here(things, made_on, room)))
    labelled = (*((one.label, one.text) for one in answers), *more)
    return Paper(
        kind="Room poster",
        studio=house.name,
        title=room.name,
        made_on=made_on,
        facts=(
            f"room: {room.name}",
            *(f"{label.casefold()}: {text or 'to fill in'}" for label, text in labelled),
            *_rule_facts(house),
            *_contact_facts(house),
            *(f"stands here: {one.name}" for one in things),
        ),
        parts=tuple(parts),
        signs=_signs(things),
        contacts=house.contacts,
        page_url=page_url,
    )


def _by_source(found: Sequence[HouseRule]) -> Iterator[Entry]:
    """The rules with who set them, said once behind the last of several from one source."""
    for rule, after in zip_longest(found, found[1:]):
        yield Entry("", rule.text, "" if after and after.source == rule.source else rule.source)


def _stood_here(things: Sequence[Thing], made_on: date, room: RoomWords) -> str:
    filled = f" The answers are from {room.source}." if room.set_on else ""
    if not things:
        return f"Made on {made_on.isoformat()}. Nothing is written down as standing in this room.{filled}"
    said = (
        f"Made on {made_on.isoformat()} for {_count(len(things))} in this room; the signs are those of their notices."
    )
    unknown = sum(one.says.trust is Trust.UNKNOWN for one in things)
    if unknown:
        said += f" The hazards of {unknown} are not known: treat what you do not know as hazardous."
    return said + filled


def door_sheet(
    room: RoomWords, things: Sequence[Thing], *, house: House, made_on: date, page_url: str = "", phrasebook: Phrasebook
) -> Paper:
    """What is inside that burns or harms, how much at most, who keeps the room: for whoever has to go in."""
    house = _without(house, _OF_THE_ROOM)
    ranked = sorted(things, key=lambda one: (-SEVERITY[one.says.label.signal_word], one.says.title.casefold()))
    unknown = [one for one in ranked if one.says.trust is Trust.UNKNOWN]
    burning = [one for one in ranked if one not in unknown and one.burns]
    harming = [one for one in ranked if one not in unknown and one not in burning and one.harms]
    rest = [one for one in ranked if one not in unknown and one not in burning and one not in harming]
    sources = Sources()
    parts = [
        Part("In charge", "facts", (Entry("Keeper", room.keeper, room.source), Entry("Call", room.call, room.source)))
    ]
    for heading, found in (("Burns", burning), ("Harms", harming)):
        parts.append(_inside(heading, found, sources))
    parts.append(
        Part(
            "Hazards not known: treat as hazardous",
            "lines",
            (Entry("", ", ".join(_amounted(one) for one in unknown)),) if unknown else (),
            "" if unknown else "For everything listed here a source states its hazards.",
        )
    )
    if rest:
        names = "; ".join(f"{_amounted(one)} {sources.number(one.source)}" for one in rest)
        text = f"{names}. No hazard statement there is not the same as no hazard."
        parts.append(Part("Without a hazard statement in its source", "lines", (Entry("", text),)))
    codes = dict.fromkeys(code for one in (*burning, *harming) for code in one.says.label.h_codes)
    if codes:
        said = (Entry(code, phrasebook.look_up(code).phrase_plain) for code in codes)
        parts.append(Part("What the codes say", "lines", tuple(said)))
    parts += sources.part()
    return Paper(
        kind="Door sheet",
        studio=house.name,
        title=room.name,
        subtitle=f"What is inside: {_count(len(things))} on {made_on.isoformat()}",
        made_on=made_on,
        facts=(
            f"room: {room.name}",
            f"keeper: {room.keeper or 'to fill in'}",
            f"call: {room.call or 'to fill in'}",
            *_contact_facts(house),
            *(f"inside: {one.fact}" for one in things),
        ),
        parts=tuple(parts),
        signs=_signs(things),
        signal_word=_strongest(things),
        basis=(
            "The signs and the strongest signal word of what is inside."
            if _signs(things) or _strongest(things)
            else "No source here gives a sign or a signal word for what is inside."
        )
        + " Amounts are the sizes of the containers, rounded up: what is left in them is less.",
        contacts=house.contacts,
        page_url=page_url,
    )


def _inside(heading: str, found: Sequence[Thing], sources: "Sources") -> Part:
    entries = tuple(
        Entry(one.name, " · ".join(filter(None, (one.amount, one.stated))), sources.number(one.source)) for one in found
    )
    return Part(heading, "table", entries, "" if found else f"Nothing listed. {NOT_A_FINDING}")


def _amounted(thing: Thing) -> str:
    return f"{thing.name}, {thing.amount}" if thing.amount else thing.name


def class_page(
    title: str,
    things: Sequence[Thing],
    *,
    group: str,
    barred: Sequence[Barred],
    house: House,
    made_on: date,
    room: RoomWords | None = None,
    page_url: str = "",
) -> Paper:
    """One page for what is set out together: who may not use what, what to wear, where rags go, all the cautions."""
    whom = group or "everybody"
    here = room or RoomWords("")
    kept = [one for one in barred if one.forbids]
    warned = [one for one in barred if not one.forbids]
    unknown = [one.name for one in things if one.says.trust is Trust.UNKNOWN]
    nothing = f"No house rule recorded here keeps any of these from {whom}. {NOT_A_FINDING}"
    parts = [Part(f"Not for {whom}", "table", _barred(kept), "" if kept else nothing)]
    if warned:
        parts.append(Part(f"A warning for {whom}", "table", _barred(warned)))
    if unknown:
        text = f"{', '.join(unknown)}. Treat what you do not know as hazardous until you have read the maker's sheet."
        parts.append(Part("Hazards not known", "lines", (Entry("", text),)))
    wear = _wear(things)
    silent = "No source here states what to wear. Read the makers' sheets."
    parts.append(Part("What to wear", "lines", wear, "" if wear else silent))
    parts.append(
        Part(
            "Where it goes",
            "facts",
            (Entry("Oily rags", here.rags, _said(here)), Entry("Waste", here.waste, _said(here))),
        )
    )
    parts.append(Part("When you work with it", "cautions", _joined_cautions(things)))
    sources = Sources()
    # Written out beside each where numbers would save nothing.
    few = len({one.source for one in things}) * 3 > len(things)
    set_out = tuple(Entry(one.name, one.said, one.source if few else sources.number(one.source)) for one in things)
    parts += [Part("Set out, with who says so", "table", set_out), *sources.part()]
    return Paper(
        kind="Class page",
        studio=house.name,
        title=title,
        subtitle=f"For {whom} · {_count(len(things))}" + (f" · {here.name}" if here.name else ""),
        made_on=made_on,
        facts=(
            f"title: {title}",
            f"for: {whom}",
            *(f"room: {here.name}" for _ in (1,) if here.name),
            f"rags: {here.rags or 'to fill in'}",
            f"waste: {here.waste or 'to fill in'}",
            *(f"{'not' if one.forbids else 'warning'} for {whom}: {one.fact}" for one in barred),
            *_rule_facts(house),
            *_contact_facts(house),
            *(f"set out: {one.fact}" for one in things),
        ),
        parts=tuple(parts),
        signs=_signs(things),
        signal_word=_strongest(things),
        basis=(
            "The signs and the strongest signal word of what is set out."
            if _signs(things) or _strongest(things)
            else "No source here gives a sign or a signal word for what is set out."
        )
        + " Each paint has a notice of its own.",
        contacts=house.contacts,
        page_url=page_url,
    )


def _said(room: RoomWords) -> str:
    return room.source if room.name else ""


def _barred(found: Iterable[Barred]) -> tuple[Entry, ...]:
    """One rule once, with all that it catches."""
    by_rule: dict[tuple[str, str], list[Barred]] = {}
    for one in found:
        by_rule.setdefault((one.rule, one.source), []).append(one)
    return tuple(
        Entry(", ".join(dict.fromkeys(one.name for one in ones)), f"{rule} ({_reasons(ones)})", source)
        for (rule, source), ones in by_rule.items()
    )


def _reasons(ones: Sequence[Barred]) -> str:
    return "; ".join(dict.fromkeys(one.why for one in ones))


def _wear(things: Sequence[Thing]) -> tuple[Entry, ...]:
    names: dict[tuple[str, str], list[str]] = {}
    for one in things:
        for precaution in one.says.precautions:
            if precaution.code.startswith(_WEAR):
                local = f" ({precaution.local})" if precaution.local else ""
                names.setdefault((precaution.code, precaution.phrase + local), []).append(one.says.title)
    return tuple(Entry(code, text, _for(found, things)) for (code, text), found in names.items())


# The codes that a caution about a metal names.
_CODES = re.compile(r" \((P[A-Za-z]{1,2}\d[\w:]*(?:, P[A-Za-z]{1,2}\d[\w:]*)*)\)\. ")


def _joined_cautions(things: Sequence[Thing]) -> tuple[Entry, ...]:
    """The cautions of all, each once, in the order of the notices, with what they are for."""
    found: dict[str, _Joined] = {}
    for one in things:
        for place, caution in enumerate(one.says.cautions):
            codes = _CODES.search(caution.text) if caution.key.startswith("metal:") else None
            joined = found.setdefault(_CODES.sub(" (). ", caution.text) if codes else caution.text, _Joined())
            joined.codes += codes.group(1).split(", ") if codes else []
            joined.names.append(one.says.title)
            joined.sources.append(caution.source)
            joined.rank = max(joined.rank, place)
    return tuple(
        Entry("", joined.text(text), f"For {_for(joined.names, things)}. Source: {_each_once(joined.sources, '; ')}.")
        for text, joined in sorted(found.items(), key=lambda item: item[1].rank)
    )


@dataclass
class _Joined:
    """One caution of several things."""

    names: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    rank: int = 0

    def text(self, text: str) -> str:
        return text.replace(" (). ", f" ({_each_once(self.codes, ', ')}). ", 1) if self.codes else text


# So many names at most are named as what a line is not for, and as what it is for.
_FEW, _MANY = 5, 12


def _for(names: Sequence[str], things: Sequence[Thing]) -> str:
    others = [one.says.title for one in things if one.says.title not in set(names)]
    if not others:
        return "all of these" if len(things) > 1 else _each_once(names, ", ")
    if len(others) <= min(_FEW, len(names) - 1):
        return f"all of these but {_each_once(others, ', ')}"
    if len(names) > _MANY:
        return f"{len(names)} of these {len(things)}: their own notices say which"
    return _each_once(names, ", ")


def _each_once(words: Iterable[str], between: str) -> str:
    return between.join(dict.fromkeys(words))


def sheet_index(sheets: Iterable[tuple[str, str, str]], *, house: House, made_on: date, page_url: str = "") -> Paper:
    """The front page of a binder: for each thing its sheet and where that comes from; no sheet is a missing one."""
    rows = tuple(
        Entry(name, sheet or "None on file: ask the maker or the supplier", source) for name, sheet, source in sheets
    )
    lacking = sum(row.text.startswith("None on file") for row in rows)
    return Paper(
        kind="Index of data sheets",
        studio=house.name,
        title="Safety data sheets",
        subtitle=f"{len(rows) - lacking} on file, {lacking} missing",
        made_on=made_on,
        facts=tuple(f"{row.label}: {row.text}, {row.source}" for row in rows) or ("nothing in stock",),
        parts=(Part("In this binder", "table", rows, "" if rows else "Nothing stands on the shelf."),),
        page_url=page_url,
    )


def sign_off_list(
    title: str,
    text: str,
    signed: Sequence[tuple[str, date]],
    *,
    house: House,
    made_on: date,
    page_url: str = "",
    blank_rows: int = 12,
) -> Paper:
    """The house's rules as they are signed, who has signed, and rows for who has not."""
    names = tuple(Entry(name, day.isoformat(), "on record") for name, day in signed)
    lines = tuple(Entry("", line.strip()) for line in text.splitlines() if line.strip())
    return Paper(
        kind="Sign-off list",
        studio=house.name,
        title=title,
        made_on=made_on,
        facts=(
            f"rules: {title}",
            *(line.text for line in lines),
            *(f"signed: {row.label}, {row.text}" for row in names),
        ),
        parts=(
            Part("The rules", "lines", lines),
            Part(
                "I was shown these rules and have read them",
                "signatures",
                (*names, *(Entry() for _ in range(blank_rows))),
            ),
        ),
        page_url=page_url,
    )


# Labels and tags


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
            "maker's sheet": stated.source,
        }
    note = "" if stated else "Fill in from the maker's sheet before you use the jar."
    # A medium or a solvent prints no codes to copy; a jar that nobody can name may hold paint.
    codeless = thing is not None and thing.facts.form not in ("paint", "dry pigment") and not thing.says.codes
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


def waste_tag(
    number: int,
    values: Mapping[str, str],
    rules: Sequence[FieldRule],
    *,
    house: House,
    made_on: date,
    page_url: str = "",
) -> Paper:
    """The tag of a waste container, in the fields that this house demands and without those that it forbids."""
    note = "" if rules else "This house has recorded no rule on what the tag shows: ask whoever collects it."
    return _card("Waste", f"Container {number}", TAG_FIELDS, rules, values, (), note, house, made_on, page_url)


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


# What several have in common


def _signs(things: Iterable[Thing]) -> tuple[str, ...]:
    found = {sign for one in things for sign in one.says.label.pictograms}
    return tuple(sign for sign in _SIGN_ORDER if sign in found)


def _strongest(things: Iterable[Thing]) -> str:
    return max((one.says.label.signal_word for one in things), key=SEVERITY.__getitem__, default="")


def _count(number: int) -> str:
    return "1 paint or material" if number == 1 else f"{number} paints and materials"


def _without(house: House, role: str) -> House:
    return replace(house, contacts=tuple(one for one in house.contacts if one.role != role))


def _rule_facts(house: House) -> tuple[str, ...]:
    return tuple(f"house rule: {one.text} ({one.source})" for one in house.rules)


def _contact_facts(house: House) -> tuple[str, ...]:
    return tuple(f"call: {one.role} {one.number or 'to fill in'}" for one in house.contacts)


# Rounded up to these, so that a sheet on a door does not go out of date with every tube; thousandths of ml or g.
_STEPS = tuple(step * 10**power for power in range(3, 8) for step in (10, 25, 50))


def at_most(milli: int, unit: str) -> str:
    """An amount rounded up to the next step of 10, 25, 50, 100 ... of its unit: "up to 250 ml", "up to 2.5 l"."""
    top = next((step for step in _STEPS if step >= milli), milli)
    whole = top // 1000
    larger = {"ml": "l", "g": "kg"}.get(unit)
    if whole >= 1000 and larger:
        return f"up to {whole / 1000:g} {larger}"
    return f"up to {whole:g} {unit}"
