"""On paper: what a group may use, what not, and why, each with the rule and who decided it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from safety.rules.allowed import NO_RULE
from safety.rules.notice import House
from safety.rules.papers import Entry, Paper, Part, Sources


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


def allowed_list(
    group: str,
    *,
    children: bool,
    no_rule: Sequence[str],
    warned: Sequence[Same],
    not_known: Sequence[Same],
    not_for: Sequence[Same],
    house: House,
    made_on: date,
    page_url: str = "",
) -> Paper:
    """Everything in stock, sorted for one group: what no rule catches first, then what needs a word, then the rest."""
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
        kind="Who may use what",
        studio=house.name,
        title=f"What {group} may use",
        subtitle=f"Of {total} in stock on {made_on.isoformat()}, by the rules of this house",
        made_on=made_on,
        facts=(
            f"for: {group}",
            *(f"no rule: {name}" for name in no_rule),
            *(
                f"{heading}: {name}: {one.rule} ({one.why}; {one.source})"
                for heading, found in (("warning", warned), ("not known", not_known), ("not for", not_for))
                for same in found
                for name in same.names
                for one in same.reasons
            ),
        ),
        parts=(*parts, *sources.part()),
        page_url=page_url,
    )


def _counted(heading: str, number: int) -> str:
    return f"{heading}: {number}"


def _row(same: Same, sources: Sources) -> Entry:
    said = [f"{one.rule.rstrip('.')}: {one.why} {sources.number(one.source)}" for one in same.reasons]
    return Entry(", ".join(same.names), "; ".join(said))
