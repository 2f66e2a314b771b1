"""Handling levels of this house: in plain words what to do with a thing, from its codes, its form and house rules.

The levels and the table are our own (common practice, no source). A level describes deeds and is no classification; a
house changes the table by its own rules. What is not known is a level of its own, next to the strictest.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date

from safety.rules.classify import EU_LIST
from safety.rules.facts import Facts, PigmentFacts, Trust
from safety.rules.metals import METALS, counts, is_natural_earth
from safety.rules.statements import UnknownStatementError, bare_code


@dataclass(frozen=True)
class Level:
    """What is done with a thing; `rank` is the order of strictness and is never shown."""

    word: str
    does: str
    rank: int

    def __str__(self) -> str:
        return self.word


OPEN_BENCH = Level(
    "open bench",
    "Used at the bench like everything else: no food, no brush in the mouth, hands washed, nothing down the drain. "
    "What is recorded asks for no more; that is not a finding of no hazard.",
    0,
)
GLOVES = Level("gloves and no food", "As before, and off the skin: gloves, covered cuts, no food in the room.", 1)
AIR = Level(
    "air and no flame",
    "As before, and with the air moving as local rules say: covered when not in use, away from flame and heat.",
    2,
)
DUST_DOWN = Level(
    "dust kept down",
    "As before, and nothing into the air: no dry sweeping, no sanding, no spraying; wiped up wet.",
    3,
)
NOT_KNOWN = Level(
    "not known",
    "Treated as the strictest until the maker's sheet has been read: what is in it, or what it does, is not known.",
    4,
)
KEEPER = Level(
    "keeper's hands only",
    "As before, and locked away: only a keeper, or somebody whom a keeper named for it, takes it out and uses it.",
    5,
)
LEVELS = (OPEN_BENCH, GLOVES, AIR, DUST_DOWN, NOT_KNOWN, KEEPER)
# A house sets one of these: that something is not known is found, never decided.
SETTABLE = tuple(level for level in LEVELS if level is not NOT_KNOWN)
BY_WORD = {level.word: level for level in LEVELS}

OURS = "our table, common practice, no source"

# What a line goes by. The names are those of the house rules.
REACHES = {
    "code": "A hazard statement",
    "metal": "A metal",
    "pigment": "A pigment code",
    "form": "A form or a kind of material",
    "seal": "A seal printed on the label",
    "no seal": "Whatever does not carry the seal",
    "no data": "Whatever has no maker's data",
    "everything": "Everything",
    "item": "One paint or material",
}


@dataclass(frozen=True)
class Line:
    """One line of the table: what it goes by, the level that follows, why, and on whose word."""

    reach: str
    values: tuple[str, ...]
    level: Level
    why: str
    source: str = OURS


@dataclass(frozen=True)
class HouseLine(Line):
    """A line that this house set; for what it names it takes the place of ours."""

    pk: int = 0
    set_on: date | None = None


TABLE = (
    Line(
        "code",
        ("H300", "H301", "H310", "H311", "H330", "H331", "H370"),
        KEEPER,
        "a little of it poisons",
    ),
    Line("code", ("H340", "H350", "H360"), KEEPER, "it can harm the genes, cause cancer or harm a child to be born"),
    Line("code", ("H314",), KEEPER, "it burns skin and eyes"),
    Line(
        "code",
        ("H200", "H201", "H202", "H203", "H204", "H205", "H206", "H207", "H208", "H230", "H231", "H232", "H240", "H241",
         "H242", "H250", "H260", "H270", "H271"),
        KEEPER,
        "it can explode, or catch or feed a fire by itself",
    ),
    Line("code", ("EUH014", "EUH019", "EUH044"), KEEPER, "it can react with violence"),
    Line(
        "code",
        ("H334", "H341", "H351", "H361", "H362", "EUH380", "EUH381"),
        DUST_DOWN,
        "breathed or carried on, it harms for long",
    ),
    Line("code", ("H371", "H372", "H373"), DUST_DOWN, "organs suffer, most often from what is breathed"),
    Line("code", ("EUH201", "EUH201A", "EUH207", "EUH211", "EUH212"), DUST_DOWN, "its dust or mist is what harms"),
    Line(
        "code",
        ("H220", "H221", "H222", "H223", "H224", "H225", "H226", "H227", "H228", "H229", "H251", "H252", "H261",
         "H272", "H280", "H281", "EUH018", "EUH209", "EUH209A"),
        AIR,
        "it can burn, or is under pressure",
    ),
    Line("code", ("H304", "H332", "H335", "H336", "EUH071"), AIR, "its vapour, or it in the lungs, harms"),
    Line("code", ("EUH029", "EUH031", "EUH032", "EUH206"), AIR, "with water, acid or another product it sets gas free"),
    Line(
        "code",
        ("H302", "H312", "H315", "H317", "H318", "H319", "EUH066", "EUH070", "EUH202", "EUH203", "EUH204", "EUH205",
         "EUH208"),
        GLOVES,
        "skin, eyes or mouth take it in",
    ),
    Line("metal", ("Pb", "Cr6", "As", "Hg"), KEEPER, "the metal builds up, poisons or causes cancer"),
    Line("metal", ("Cd", "Ni", "Co", "Mn", "Sb"), DUST_DOWN, "breathed dust is the way in that matters"),
    Line("form", ("dry pigment",), DUST_DOWN, "loose powder gets into the air"),
    Line("form", ("spray",), DUST_DOWN, "a spray puts it into the air"),
    Line("form", ("solvent", "varnish"), AIR, "vapour builds up unseen"),
    Line("no data", (), GLOVES, "without the maker's sheet or words, what else is in it is not known"),
)  # fmt: skip

# A code that is in no line: about water and soil, or words for the buyer. Any other asks for gloves at least.
_NO_LINE = ("H4", "EUH210", "EUH401", "EUH430", "EUH431", "EUH450", "EUH451")
_ELSE = Line("code", (), GLOVES, "a statement that has no line of its own")


@dataclass(frozen=True)
class Because:
    """One line that was reached, by which code, metal, pigment or form."""

    on: str
    line: Line


@dataclass(frozen=True)
class Step:
    """One line with all that reached it, in words."""

    line: Line
    on: tuple[str, ...]

    @property
    def words(self) -> str:
        why = self.line.why if isinstance(self.line, HouseLine) else f"{self.line.why}."
        return f"{', '.join(self.on)}: {why}"

    @property
    def house(self) -> str:
        """On whose word a line of this house holds; empty for a line of ours."""
        return self.line.source if isinstance(self.line, HouseLine) else ""


@dataclass(frozen=True)
class NotKnown:
    """What nobody told of a thing, of which of its pigments."""

    why: str
    of: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{', '.join(self.of)}: {self.why}" if self.of else self.why


@dataclass(frozen=True)
class Placed:
    """The level of one thing, what led to it, and what is not known."""

    level: Level
    because: tuple[Because, ...]
    unknown: tuple[NotKnown, ...] = ()
    overruled: tuple[str, ...] = field(default=())

    @property
    def deciding(self) -> tuple[Because, ...]:
        return tuple(one for one in self.because if one.line.level == self.level)

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every line that was reached, each once, the strictest first."""
        reached: dict[Line, list[str]] = {}
        for one in self.because:
            reached.setdefault(one.line, []).append(one.on)
        steps = (Step(line, tuple(dict.fromkeys(on))) for line, on in reached.items())
        return tuple(sorted(steps, key=lambda step: -step.line.level.rank))

    @property
    def shown(self) -> tuple[Step, ...]:
        """The steps that decide; where something is not known the strictest at least."""
        most = self.steps[:1] if self.unknown else ()
        return tuple(step for step in self.steps if step.line.level == self.level or step in most)

    @property
    def reasons(self) -> tuple[object, ...]:
        """All that is told of it but the pigments that nothing is known of: things alike in it are told together."""
        return self.level, tuple(one.why for one in self.unknown), self.shown, self.overruled


def together(placed: Iterable[Placed]) -> Placed:
    """Several of the same reasons as one, with the pigments of all that nothing is known of."""
    found = list(placed)
    of: dict[str, dict[str, None]] = {}
    for one in found:
        for unknown in one.unknown:
            of.setdefault(unknown.why, {}).update(dict.fromkeys(unknown.of))
    return replace(found[0], unknown=tuple(NotKnown(why, tuple(codes)) for why, codes in of.items()))


def place(
    facts: Facts,
    house: Iterable[HouseLine] = (),
    regimes: tuple[str, ...] = EU_LIST,
    seals: frozenset[str] = frozenset(),
    kinds: frozenset[str] = frozenset(),
    item: str = "",
) -> Placed:
    """Return the level of one thing: the strictest line that it reaches.

    A house line takes the place of ours for the codes, metals, pigments and forms that it names; one for the item
    itself goes before everything. Not known stays not known unless something calls for the strictest: no rule makes it
    less. `kinds` are further names of the form, such as "oil paint"; `item` is the item's key, as house lines hold it.
    """
    own = tuple(house)
    because = tuple(_reached(facts, own, regimes, seals, kinds))
    unknown = tuple(_unknown(facts, regimes))
    worked_out = max((one.line.level for one in because), key=_rank, default=OPEN_BENCH)
    named = [line for line in own if line.reach == "item" and item in line.values]
    overruled: tuple[str, ...] = ()
    if named:
        line = named[-1]
        overruled = (f"Without the rule for this one item the table says: {worked_out}.",)
        because += (Because("this one item", line),)
        worked_out = line.level
    if unknown and worked_out.rank < NOT_KNOWN.rank:
        return Placed(NOT_KNOWN, because, unknown, overruled)
    return Placed(worked_out, because, unknown, overruled)


def _rank(level: Level) -> int:
    return level.rank


def _reached(
    facts: Facts,
    house: tuple[HouseLine, ...],
    regimes: tuple[str, ...],
    seals: frozenset[str],
    kinds: frozenset[str],
) -> Iterator[Because]:
    for code in _codes(facts, regimes):
        for names in _code_names(code):
            yield from _lines(code, "code", names, house)
    for metal in METALS:
        carriers = [one.code for one in facts.pigments if metal in one.metals and counts(metal, one, facts.shades)]
        if carriers:
            yield from _lines(f"{METALS[metal].name} in {', '.join(carriers)}", "metal", (metal,), house)
    for pigment in facts.pigments:
        yield from _lines(pigment.code, "pigment", (pigment.code, pigment.code.partition(":")[0]), house)
    earths = {metal for one in facts.pigments if is_natural_earth(one.code) for metal in one.metals}
    if "Mn" in earths and not facts.shades:
        yield from _lines("manganese, if the PBr7 is umber, which is not known", "metal", ("Mn",), house)
    if facts.trust(regimes) < Trust.LABEL:
        lines: list[Line] = [line for line in house if line.reach == "no data"]
        lines = lines or [line for line in TABLE if line.reach == "no data"]
        yield from (Because("no maker's data", line) for line in lines)
    sold_as = "dry pigment" if facts.sold_as == "powder" else facts.sold_as
    for form in dict.fromkeys((facts.form, sold_as, *sorted(kinds))):
        yield from _lines(form, "form", (form,), house)
    for line in house:
        if line.reach == "everything":
            yield Because("everything", line)
        elif line.reach == "seal" and (shown := sorted(seals & set(line.values))):
            yield Because(f"seal {', '.join(shown)}", line)
        elif line.reach == "no seal" and not seals & set(line.values):
            yield Because(f"no seal {' or '.join(line.values)}", line)


def _lines(on: str, reach: str, names: tuple[str, ...], house: tuple[HouseLine, ...]) -> Iterator[Because]:
    """The house's lines for the nearest name that it knows, else ours."""
    for name in names:
        own = [line for line in house if line.reach == reach and name in line.values]
        if own:
            yield from (Because(on, line) for line in own)
            return
    ours = [line for line in TABLE if line.reach == reach and any(name in line.values for name in names)]
    if not ours and reach == "code" and not names[0].startswith(_NO_LINE):
        ours = [_ELSE]
    yield from (Because(on, line) for line in ours)


def _codes(facts: Facts, regimes: tuple[str, ...]) -> tuple[str, ...]:
    """What the sheet and the label print; where neither gives hazards, what the lists print of the ingredients."""
    if facts.trust(regimes) >= Trust.LABEL:
        said = (one.h_codes for one in (facts.sheet, facts.label) if one)
        found = [code for codes in said for code in codes]
    else:
        found = list(facts.published_codes(regimes))
    return tuple(dict.fromkeys(found))


def _code_names(typed: str) -> tuple[tuple[str, ...], ...]:
    """The names of each part, the nearest first: H360Df is also H360; H301+H311 has two parts."""
    try:
        parts = bare_code(typed).split("+")
    except UnknownStatementError:
        return ((typed,),)
    return tuple((part, part[:4]) if part.startswith("H") and len(part) > 4 else (part,) for part in parts)


def _unknown(facts: Facts, regimes: tuple[str, ...]) -> Iterator[NotKnown]:
    """What is not known of a thing, in sentences."""
    trust = facts.trust(regimes)
    if trust >= Trust.LABEL:
        yield from _unknown_of_the_maker(facts)
        return
    if facts.form in ("paint", "dry pigment") and not facts.pigments:
        yield NotKnown("No pigment is recorded, and neither sheet nor label gives the hazards.")
        return
    if silent := tuple(one.code for one in facts.pigments if not _published(one, regimes)):
        yield NotKnown("neither a maker's sheet nor the list used says what the hazards are.", silent)
    if not facts.pigments and not facts.published_codes(regimes):
        yield NotKnown("Neither a maker's sheet, the label nor the list used says what the hazards are.")


def _unknown_of_the_maker(facts: Facts) -> Iterator[NotKnown]:
    said = [one for one in (facts.sheet, facts.label) if one]
    not_classified = facts.sheet is not None and facts.sheet.says_not_classified
    if not any(one.h_codes for one in said) and not not_classified:
        yield NotKnown("The sheet or label shows a signal word or a sign, but none of its statements has been entered.")
    if facts.sheet and facts.sheet.unknown_codes:
        codes = ", ".join(facts.sheet.unknown_codes)
        yield NotKnown(f"The sheet prints {codes}, and no statement is known here under that.")


def _published(pigment: PigmentFacts, regimes: tuple[str, ...]) -> bool:
    return pigment.known and any(row.regime in regimes and row.h_codes for row in pigment.substances)
