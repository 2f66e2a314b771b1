"""Lists on paper: the index of a binder of data sheets, and who has signed the rules."""

from collections.abc import Iterable, Sequence
from datetime import date

from safety.rules.notice import House
from safety.rules.papers.paper import Entry, Paper, Part


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
