"""On paper: what a group may use, what not, and why, each with the rule and who decided it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from safety.rules.allowed import NO_RULE
from safety.rules.notice import House
from safety.rules.papers.paper import Entry, Paper, Part, Sources
from safety.rules.papers.things import NOTHING_ON_FILE


@dataclass(frozen=True)
class Reason:
    """A rule that catches something: its words, why it catches, and who decided it."""

    rule: str
    why: str
    source: str


@dataclass(frozen=True)
class Same:
    """Things that the same rules catch for the same reasons."""

    names: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def fact(self) -> str:
        return "; ".join(f"{one.rule} ({one.why}; {one.source})" for one in self.reasons)


def allowed_list(
    group: str,
    *,
    children: bool,
    no_rule: Sequence[str],
    warned: Sequence[Same],
    not_known: Sequence[Same],
    not_for: Sequence[Same],
    judged_by: Mapping[str, str],
    house: House,
    made_on: date,
    page_url: str = "",
) -> Paper:
    """Everything in stock, sorted for one group: what no rule catches first, then what needs a word, then the rest.

    `judged_by`: by name, whose word on its hazards the rules were asked with.
    """
    sources = Sources()
    total = len(no_rule) + sum(len(same.names) for found in (warned, not_known, not_for) for same in found)
    unknown = "Not known, and therefore kept from children" if children else "Not known"
    parts = [
        Part(
            _counted("No house rule catches", len(no_rule)),
            "lines",
            (Entry("", ", ".join(no_rule)),) if no_rule else (),
            f"{NO_RULE} Read the label and the maker's sheet of each." if no_rule else "Nothing.",
        )
    ]
    for heading, found, note in (
        ("Only with a warning", warned, ""),
        (unknown, not_known, ""),
        (f"Not for {group}", not_for, ""),
    ):
        if found:
            rows = tuple(_row(same, sources) for same in found)
            parts.append(Part(_counted(heading, sum(len(same.names) for same in found)), "table", rows, note))
    return Paper(
        kind="Class list",
        studio=house.name,
        title=f"What {group} may use",
        subtitle=f"Of {total} in stock on {made_on.isoformat()}, by the rules of this house",
        made_on=made_on,
        facts=(
            f"for: {group}",
            *(f"no rule: {name}: {_by(name, judged_by)}" for name in no_rule),
            *(
                f"{heading}: {name}: {same.fact}; {_by(name, judged_by)}"
                for heading, found in (("warning", warned), ("not known", not_known), ("not for", not_for))
                for same in found
                for name in same.names
            ),
        ),
        parts=(*parts, *_judged(judged_by), *sources.part()),
        page_url=page_url,
    )


def _counted(heading: str, number: int) -> str:
    return f"{heading}: {number}"


def _row(same: Same, sources: Sources) -> Entry:
    said = [f"{one.rule.rstrip('.')}: {one.why} {sources.number(one.source)}" for one in same.reasons]
    return Entry(", ".join(same.names), "; ".join(said))


def _by(name: str, judged_by: Mapping[str, str]) -> str:
    return f"judged by {judged_by.get(name, NOTHING_ON_FILE)}"


def _judged(judged_by: Mapping[str, str]) -> tuple[Part, ...]:
    """One source once, with all that it speaks of."""
    names: dict[str, list[str]] = {}
    for name, source in judged_by.items():
        names.setdefault(source, []).append(name)
    rows = (Entry("", f"{source[:1].upper()}{source[1:]}: {', '.join(named)}") for source, named in names.items())
    return (Part("What each was judged by", "lines", tuple(rows)),) if names else ()
