"""One page for what is set out together: who may not use what, what to wear, where it goes, every caution once."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from safety.rules.facts import Facts, Trust
from safety.rules.notice import House
from safety.rules.papers.paper import NOT_A_FINDING, NOT_TOLD, Entry, Paper, Part, Sources
from safety.rules.papers.rooms import RoomWords
from safety.rules.papers.things import Thing, contact_facts, counted, paper_of_things, rule_facts
from safety.rules.precautions import Precaution

# UN GHS Annex 3: the precautionary statements about what to wear.
_WEAR = ("P280", "P281", "P282", "P283", "P284", "P285")


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


def class_page(
    title: str,
    things: Sequence[Thing],
    *,
    group: str,
    barred: Sequence[Barred],
    house: House,
    made_on: date,
    rooms: Sequence[RoomWords] = (),
    page_url: str = "",
) -> Paper:
    """One page for what is set out together: who may not use what, what to wear, where rags go, all the cautions.

    `rooms`: where it may be set out. Of several each gets a line of its own, of none the lines are to be filled in.
    """
    whom = group or "everybody"
    return paper_of_things(
        "Class page",
        title,
        things,
        house=house,
        made_on=made_on,
        facts=(
            f"title: {title}",
            f"for: {whom}",
            *_room_facts(rooms),
            *(f"{'not' if one.forbids else 'warning'} for {whom}: {one.fact}" for one in barred),
            *rule_facts(house),
            *contact_facts(house),
            *(f"set out: {one.fact}, {_behind(one.facts)}" for one in things),
            *dict.fromkeys(f"{one.code}: {one.phrase}" for _, one in _worn(things)),
        ),
        parts=_parts(things, whom, barred, rooms),
        subtitle=f"For {whom} · {counted(len(things))}" + (f" · {rooms[0].name}" if len(rooms) == 1 else ""),
        where="what is set out",
        note="Each paint has a notice of its own.",
        page_url=page_url,
    )


def _behind(facts: Facts) -> str:
    """What the cautions about a thing follow from beside its hazards."""
    metals = sorted({metal for pigment in facts.pigments for metal in pigment.metals})
    return ", ".join(filter(None, (facts.form, facts.sold_as, facts.binder, *metals)))


def _parts(things: Sequence[Thing], whom: str, barred: Sequence[Barred], rooms: Sequence[RoomWords]) -> list[Part]:
    """From what keeps somebody away to what stands there; a source of several rows is written out once at the end."""
    kept = [one for one in barred if one.forbids]
    warned = [one for one in barred if not one.forbids]
    unknown = [one.name for one in things if one.says.trust is Trust.UNKNOWN]
    nothing = f"No house rule recorded here keeps any of these from {whom}. {NOT_A_FINDING}"
    sources = Sources()
    parts = [Part(f"Not for {whom}", "table", _barred(kept, sources), "" if kept else nothing)]
    if warned:
        parts.append(Part(f"A warning for {whom}", "table", _barred(warned, sources)))
    if unknown:
        text = f"{', '.join(unknown)}. Treat what you do not know as hazardous until you have read the maker's sheet."
        parts.append(Part("Hazards not known", "lines", (Entry("", text),)))
    wear = _wear(things)
    silent = "No source here states what to wear. Read the makers' sheets."
    parts.append(Part("What to wear", "lines", wear, "" if wear else silent))
    parts.append(_where_it_goes(rooms, sources))
    parts.append(
        Part("When you work with it", "cautions", _joined_cautions(things), _UNNAMED if len(things) > 1 else "")
    )
    said_by = sources.shared(_of_its_sheet(one) for one in things)
    set_out = tuple(Entry(one.name, one.said, source) for one, source in zip(things, said_by, strict=True))
    heading = "Set out, with who says so (sheet: the maker's)"
    return [*parts, Part(heading, "table", set_out), *sources.part()]


def _of_its_sheet(one: Thing) -> str:
    """Its source; the product is not named again where the sheet gives it the name of the line."""
    sheet = one.facts.sheet
    if sheet and sheet.title.casefold().startswith(one.says.title.casefold()):
        return one.source.replace(f"maker's sheet {sheet.title}, revised ", "sheet of ", 1)
    return one.source


def _where_it_goes(rooms: Sequence[RoomWords], sources: Sources) -> Part:
    heading = "Where it goes"
    if len(rooms) > 1:
        rows = tuple(Entry(one.name, _rags_and_waste(one), sources.number(one.source)) for one in rooms)
        return Part(heading, "table", rows, "In which room this is set out is not told: find yours.")
    here = rooms[0] if rooms else RoomWords("")
    said = here.source if here.name else ""
    return Part(heading, "facts", (Entry("Oily rags", here.rags, said), Entry("Waste", here.waste, said)))


def _rags_and_waste(room: RoomWords) -> str:
    blank = f"{NOT_TOLD} ………………………"
    if not room.rags and not room.waste:
        return f"Oily rags and waste: {blank}"
    ended = ((what, f"{said.rstrip('.')}." if said else blank) for what, said in _goes(room))
    return " ".join(f"{what}: {said}" for what, said in ended)


def _goes(room: RoomWords) -> tuple[tuple[str, str], ...]:
    return ("Oily rags", room.rags), ("Waste", room.waste)


def _room_facts(rooms: Sequence[RoomWords]) -> tuple[str, ...]:
    if len(rooms) > 1:
        return tuple(
            f"{what.casefold()} in {room.name}: {said or 'to fill in'}" for room in rooms for what, said in _goes(room)
        )
    here = rooms[0] if rooms else RoomWords("")
    named = (f"room: {here.name}",) if here.name else ()
    return *named, f"rags: {here.rags or 'to fill in'}", f"waste: {here.waste or 'to fill in'}"


def _barred(found: Iterable[Barred], sources: Sources) -> tuple[Entry, ...]:
    """One rule once, with all that it catches and the number of its source."""
    by_rule: dict[tuple[str, str], list[Barred]] = {}
    for one in found:
        by_rule.setdefault((one.rule, one.source), []).append(one)
    said_by = sources.shared(source for _, source in by_rule)
    return tuple(
        Entry(", ".join(dict.fromkeys(one.name for one in ones)), f"{rule.rstrip('.')}: {_reasons(ones)}", source)
        for ((rule, _), ones), source in zip(by_rule.items(), said_by, strict=True)
    )


# The part of a reason that differs from thing to thing: PY35 contains cadmium; the sheet states H350.
_DIFFERS = re.compile(r"^P\S+(?= contains )|(?<= states )\S+$")


def _reasons(ones: Sequence[Barred]) -> str:
    """Each reason once, those alike run together: PY35, PO20 contain cadmium."""
    alike: dict[tuple[str, str], list[str]] = {}
    for why in dict.fromkeys(one.why for one in ones):
        found = _DIFFERS.search(why)
        start, end = found.span() if found else (len(why), len(why))
        alike.setdefault((why[:start], why[end:]), []).append(why[start:end])
    return "; ".join(
        f"{before}{', '.join(each)}{after.replace(' contains ', ' contain ', 1) if len(each) > 1 else after}"
        for (before, after), each in alike.items()
    )


def _worn(things: Iterable[Thing]) -> Iterator[tuple[Thing, Precaution]]:
    return ((one, said) for one in things for said in one.says.precautions if said.code.startswith(_WEAR))


def _wear(things: Sequence[Thing]) -> tuple[Entry, ...]:
    names: dict[tuple[str, str], list[str]] = {}
    for one, precaution in _worn(things):
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
        Entry("", joined.text(text), f"{_whom(joined.names, things)}Source: {_each_once(joined.sources, '; ')}.")
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
_ALL = "all of these"
_UNNAMED = "For all of these, where nothing is named."


def _for(names: Sequence[str], things: Sequence[Thing]) -> str:
    others = [one.says.title for one in things if one.says.title not in set(names)]
    if not others:
        return _ALL if len(things) > 1 else _each_once(names, ", ")
    if len(others) <= min(_FEW, len(names) - 1):
        return f"all of these but {_each_once(others, ', ')}"
    if len(names) > _MANY:
        return f"{len(names)} of these {len(things)}: their own notices say which"
    return _each_once(names, ", ")


def _whom(names: Sequence[str], things: Sequence[Thing]) -> str:
    """For what a caution is, before its source; nothing where that is all of several."""
    whom = _for(names, things)
    return "" if whom == _ALL else f"For {whom}. "


def _each_once(words: Iterable[str], between: str) -> str:
    return between.join(dict.fromkeys(words))
