"""What hangs at a room: its poster, read from three metres, and the sheet on its door."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import zip_longest

from safety.rules.facts import Trust
from safety.rules.house import HouseRule
from safety.rules.notice import WHOM_TO_CALL, House, label_facts
from safety.rules.papers.paper import NOT_A_FINDING, Entry, Paper, Part, Sources
from safety.rules.papers.things import Thing, contact_facts, counted, paper_of_things, rule_facts, signs_of
from safety.rules.statements import SEVERITY, Phrasebook

# What a poster and a door sheet say themselves: their foot need not say it again.
_OF_THE_ROOM = WHOM_TO_CALL[3]
_FIRST_AID = WHOM_TO_CALL[2]


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
    signs = signs_of(things)
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
            *rule_facts(house),
            *contact_facts(house),
            *(f"stands here: {one.name}{_doubt(one)}" for one in things),
            *label_facts("", signs),
        ),
        parts=tuple(parts),
        signs=signs,
        contacts=house.contacts,
        page_url=page_url,
    )


def _doubt(thing: Thing) -> str:
    return ", hazards not known" if thing.says.trust is Trust.UNKNOWN else ""


def _by_source(found: Sequence[HouseRule]) -> Iterator[Entry]:
    """The rules with who set them, said once behind the last of several from one source."""
    for rule, after in zip_longest(found, found[1:]):
        yield Entry("", rule.text, "" if after and after.source == rule.source else rule.source)


def _stood_here(things: Sequence[Thing], made_on: date, room: RoomWords) -> str:
    filled = f" The answers are from {room.source}." if room.set_on else ""
    if not things:
        return f"Made on {made_on.isoformat()}. Nothing is written down as standing in this room.{filled}"
    said = (
        f"Made on {made_on.isoformat()} for {counted(len(things))} in this room; the signs are those of their notices."
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
    unknown, burning, harming, rest = (list[Thing]() for _ in range(4))
    for one in ranked:
        known = burning if one.burns else harming if one.harms else rest
        (unknown if one.says.trust is Trust.UNKNOWN else known).append(one)
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
            (Entry("", "; ".join(_amounted(one) for one in unknown)),) if unknown else (),
            "" if unknown else "For everything listed here a source states its hazards.",
        )
    )
    if rest:
        names = "; ".join(f"{_amounted(one)} {sources.number(one.source)}" for one in rest)
        text = f"{names}. No hazard statement there is not the same as no hazard."
        parts.append(Part("Without a hazard statement in its source", "lines", (Entry("", text),)))
    said = tuple(_said_by_codes((*burning, *harming), phrasebook))
    if said:
        parts.append(Part("What the codes say", "lines", said))
    parts += sources.part()
    return paper_of_things(
        "Door sheet",
        room.name,
        things,
        house=house,
        made_on=made_on,
        facts=(
            f"room: {room.name}",
            f"keeper: {room.keeper or 'to fill in'}",
            f"call: {room.call or 'to fill in'}",
            *contact_facts(house),
            *(f"inside: {one.fact}" for one in things),
            *(f"{one.label}: {one.text}" for one in said),
        ),
        parts=parts,
        subtitle=f"What is inside: {counted(len(things))} on {made_on.isoformat()}",
        where="what is inside",
        note="Amounts are the sizes of the containers, rounded up: what is left in them is less.",
        page_url=page_url,
    )


def _inside(heading: str, found: Sequence[Thing], sources: Sources) -> Part:
    entries = tuple(
        Entry(one.name, " · ".join(filter(None, (one.amount, one.stated))), sources.number(one.source)) for one in found
    )
    return Part(heading, "table", entries, "" if found else f"Nothing listed. {NOT_A_FINDING}")


def _said_by_codes(found: Sequence[Thing], phrasebook: Phrasebook) -> Iterator[Entry]:
    """Each code once with its phrase; one that names a substance with all the names that it has here."""
    phrases: dict[str, dict[str, None]] = {}
    for one in found:
        printed = {line.code: line.phrase for line in one.says.hazards}
        for code in one.says.label.h_codes:
            phrase = printed.get(code) or phrasebook.look_up(code).phrase_plain
            phrases.setdefault(code, {})[phrase] = None
    return (Entry(code, " ".join(several)) for code, several in phrases.items())


def _amounted(thing: Thing) -> str:
    return f"{thing.name}, {thing.amount}" if thing.amount else thing.name


def _without(house: House, role: str) -> House:
    return replace(house, contacts=tuple(one for one in house.contacts if one.role != role))
