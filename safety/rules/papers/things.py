"""What stands somewhere or is set out: each thing with its hazards and their source, and all of them together."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from safety.rules.facts import Facts, Trust
from safety.rules.notice import House, NoticeContent
from safety.rules.papers.paper import Paper, Part
from safety.rules.statements import SEVERITY

# UN GHS part 2: physical hazards have the codes H200 to H290.
_PHYSICAL = ("H2", "EUH018", "EUH019", "EUH001", "EUH209")
# CLP Annex II, 2.10: "Safety data sheet available on request" states no hazard by itself.
_NO_HAZARD = frozenset({"EUH210"})
NOTHING_ON_FILE = "nothing on file"
_SIGN_ORDER = ("GHS06", "GHS08", "GHS05", "GHS01", "GHS02", "GHS03", "GHS04", "GHS07", "GHS09")


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
            read = self.facts.sheet.read_on
            undated = f"revision date not printed, read {read.isoformat()}" if read else "revision date not printed"
            when = f"revised {revised.isoformat()}" if revised else undated
            return f"maker's sheet {self.facts.sheet.title}, {when}"
        if self.says.trust is Trust.LABEL and self.facts.label:
            read = self.facts.label.read_on
            return f"label, read {read.isoformat()}" if read else "label"
        if self.says.trust is Trust.PUBLISHED:
            cited = (line.source for line in self.says.known if line.trust is Trust.PUBLISHED)
            return f"published for the substance: {next(cited, 'list as on its notice')}"
        return "; ".join(self._on_file) or NOTHING_ON_FILE

    @property
    def _on_file(self) -> Iterator[str]:
        """What was filed of it although no hazard statement came of that."""
        if self.facts.sheet:
            yield f"maker's sheet {self.facts.sheet.title}, its statements not entered"
        if self.facts.label:
            read = self.facts.label.read_on
            yield f"label{f', read {read.isoformat()}' if read else ''}, no hazard statement copied"

    @property
    def burns(self) -> bool:
        codes = self.says.label.h_codes
        return any(code.startswith(_PHYSICAL) for code in codes) or "GHS02" in self.says.label.pictograms

    @property
    def harms(self) -> bool:
        return any(code not in _NO_HAZARD for code in self.says.label.h_codes) or bool(self.says.label.pictograms)

    @property
    def fact(self) -> str:
        signs = " ".join(self.says.label.pictograms)
        said = ", ".join(filter(None, (self.name, self.amount, self.stated or self.says.trust.words, signs)))
        return f"{said} [{self.source}]"


def signs_of(things: Iterable[Thing]) -> tuple[str, ...]:
    found = {sign for one in things for sign in one.says.label.pictograms}
    return tuple(sign for sign in _SIGN_ORDER if sign in found)


def strongest_word(things: Iterable[Thing]) -> str:
    return max((one.says.label.signal_word for one in things), key=SEVERITY.__getitem__, default="")


def counted(number: int) -> str:
    return "1 paint or material" if number == 1 else f"{number} paints and materials"


def rule_facts(house: House) -> tuple[str, ...]:
    return tuple(f"house rule: {one.text} ({one.source})" for one in house.rules)


def contact_facts(house: House) -> tuple[str, ...]:
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


def paper_of_things(
    kind: str,
    title: str,
    things: Sequence[Thing],
    *,
    house: House,
    made_on: date,
    facts: Sequence[str],
    parts: Sequence[Part],
    subtitle: str,
    where: str,
    note: str,
    page_url: str,
) -> Paper:
    """A paper that carries the signs and the strongest signal word of what it is about, and says so.

    `where` ends the sentence that names whose they are, such as: what is inside.
    """
    signs, word = signs_of(things), strongest_word(things)
    whose = (
        f"The signs and the strongest signal word of {where}."
        if signs or word
        else f"No source here gives a sign or a signal word for {where}."
    )
    return Paper(
        kind=kind,
        studio=house.name,
        title=title,
        subtitle=subtitle,
        made_on=made_on,
        facts=tuple(facts),
        parts=tuple(parts),
        signs=signs,
        signal_word=word,
        basis=f"{whose} {note}",
        contacts=house.contacts,
        page_url=page_url,
    )
