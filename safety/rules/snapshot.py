"""A notice's content as plain values and back, so that what was printed once can be printed again word for word."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from datetime import date
from typing import Any

from safety.rules.classify import Dropped, LabelElements
from safety.rules.facts import Trust
from safety.rules.handling import Caution
from safety.rules.known import KnownLine
from safety.rules.notice import Contact, HazardLine, NoticeContent
from safety.rules.papers.paper import Entry, Paper, Part
from safety.rules.precautions import Precaution

# Raised when a stored snapshot can no longer be read as it stands; older ones are then read by their number.
FORMAT = 1


class UnreadableSnapshotError(ValueError):
    """A snapshot of a format that this release does not know."""


def to_plain(content: NoticeContent) -> tuple[dict[str, Any], list[str]]:
    """Return the content as values that JSON can hold, and beside it the fact lines of the fingerprint."""
    kept = {one.name for one in fields(content)} - {"facts", "fingerprint"}
    plain: dict[str, Any] = {name: value for name, value in asdict(content).items() if name in kept}
    plain |= {
        "format": FORMAT,
        "made_on": content.made_on.isoformat(),
        "trust": content.trust.name,
        "known": [{**asdict(line), "trust": line.trust.name} for line in content.known],
    }
    return _lists(plain), list(content.facts)


def from_plain(plain: Mapping[str, Any], facts: Iterable[str]) -> NoticeContent:
    """Return the content of a snapshot; UnreadableSnapshotError if its format is not known here."""
    if plain.get("format") != FORMAT:
        raise UnreadableSnapshotError(f"the format of a notice must be {FORMAT}, not {plain.get('format')!r}")
    label = plain["label"]
    return NoticeContent(
        studio=plain["studio"],
        title=plain["title"],
        form=plain["form"],
        binder=plain["binder"],
        codes=tuple(plain["codes"]),
        trust=Trust[plain["trust"]],
        basis=plain["basis"],
        label=LabelElements(
            h_codes=tuple(label["h_codes"]),
            dropped=tuple(Dropped(**one) for one in label["dropped"]),
            signal_word=label["signal_word"],
            pictograms=tuple(label["pictograms"]),
            dropped_pictograms=tuple(Dropped(**one) for one in label["dropped_pictograms"]),
        ),
        hazards=tuple(HazardLine(**one) for one in plain["hazards"]),
        precautions=tuple(Precaution(**one) for one in plain["precautions"]),
        cautions=tuple(Caution(**one) for one in plain["cautions"]),
        known=tuple(KnownLine(**{**one, "trust": Trust[one["trust"]]}) for one in plain["known"]),
        contacts=tuple(Contact(**one) for one in plain["contacts"]),
        made_on=date.fromisoformat(plain["made_on"]),
        facts=tuple(facts),
        blanks=tuple(plain["blanks"]),
        deferring=plain["deferring"],
        page_url=plain["page_url"],
    )


def paper_to_plain(paper: Paper) -> tuple[dict[str, Any], list[str]]:
    """The same for any other paper."""
    kept = {one.name for one in fields(paper)} - {"facts", "fingerprint"}
    plain: dict[str, Any] = {name: value for name, value in asdict(paper).items() if name in kept}
    plain |= {"format": FORMAT, "made_on": paper.made_on.isoformat()}
    return _lists(plain), list(paper.facts)


def paper_from_plain(plain: Mapping[str, Any], facts: Iterable[str]) -> Paper:
    """The paper of a snapshot; UnreadableSnapshotError if its format is not known here."""
    if plain.get("format") != FORMAT:
        raise UnreadableSnapshotError(f"the format of a paper must be {FORMAT}, not {plain.get('format')!r}")
    parts = (
        Part(one["heading"], one["style"], tuple(Entry(**entry) for entry in one["entries"]), one["note"])
        for one in plain["parts"]
    )
    return Paper(
        kind=plain["kind"],
        studio=plain["studio"],
        title=plain["title"],
        subtitle=plain["subtitle"],
        made_on=date.fromisoformat(plain["made_on"]),
        facts=tuple(facts),
        parts=tuple(parts),
        signs=tuple(plain["signs"]),
        signal_word=plain["signal_word"],
        basis=plain["basis"],
        contacts=tuple(Contact(**one) for one in plain["contacts"]),
        deferring=plain["deferring"],
        page_url=plain["page_url"],
    )


def _lists(value: Any) -> Any:
    """Tuples as lists, as JSON gives them back, so that a stored snapshot equals a fresh one."""
    if isinstance(value, dict):
        return {key: _lists(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_lists(one) for one in value]
    return value
