"""The columns that an office wants: made, changed, taken away."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.labels.doubts import shown
from safety.models import ExportTemplate
from safety.queries.exports import SUBJECTS, Subject, placeholders
from studio.models import Studio, User

LONGEST_HEADER = 120
MOST_COLUMNS = 60


def _refuse(field: str, message: str) -> ValidationError:
    return ValidationError({field: ValidationError(message, code=field)})


@transaction.atomic
def save_export(
    studio: Studio,
    *,
    by: User,
    name: str,
    subject: str,
    columns: Sequence[tuple[str, str]],
    room_format: str = "",
    template: ExportTemplate | None = None,
) -> ExportTemplate:
    """Make an export, or change one. `columns` are pairs of field and header, in order."""
    found = SUBJECTS.get(subject)
    if found is None:
        raise _refuse("subject", f"{shown(subject)} is no subject. Choose one of: {', '.join(SUBJECTS)}.")
    if template and template.subject != subject:
        raise _refuse("subject", "What the rows are cannot be changed: its fields are others. Make another export.")
    check_columns(found, columns)
    check_room_format(found, room_format)
    row = template or ExportTemplate(studio=studio, subject=subject)
    row.name, row.room_format, row.by = name.strip(), room_format.strip(), by
    row.columns = [{"header": header.strip(), "field": key} for key, header in columns]
    row.full_clean()
    row.save()
    return row


def check_columns(subject: Subject, columns: Sequence[tuple[str, str]]) -> None:
    """Refuse no column, too many, an unknown field, and a header that is empty, too long or there twice."""
    if not columns:
        raise _refuse("columns", "No column is chosen. Choose at least one field and give it a header.")
    if len(columns) > MOST_COLUMNS:
        raise _refuse(
            "columns", f"{len(columns)} columns are chosen, and at most {MOST_COLUMNS} are kept: leave some out."
        )
    seen: dict[str, int] = {}
    for number, (key, header) in enumerate(columns, start=1):
        if key not in subject.fields:
            raise _refuse(
                "columns", f"Column {number}: {shown(key)} is no field of {subject.label}. Choose one of the list."
            )
        text = " ".join(header.split())
        if not text:
            label = subject.fields[key][0]
            raise _refuse("columns", f"Column {number}, {label}: the header is empty. Type the office's word for it.")
        if len(text) > LONGEST_HEADER:
            raise _refuse(
                "columns", f"Column {number}: the header has {len(text)} characters, of {LONGEST_HEADER} at most."
            )
        before = seen.setdefault(text.casefold(), number)
        if before != number:
            raise _refuse(
                "columns", f"Columns {before} and {number} both have the header {shown(text)}. Change one of them."
            )


def check_room_format(subject: Subject, room_format: str) -> None:
    """Refuse a placeholder that the subject does not have, by its name."""
    known = ", ".join(f"{{{word}}}" for word in subject.placeholders)
    try:
        words = placeholders(room_format)
    except ValueError as error:
        raise _refuse(
            "room_format", f"{shown(room_format)} cannot be read near {error}. Write words in single braces: {known}."
        ) from None
    if room_format.strip() and not subject.placeholders:
        raise _refuse("room_format", f"{subject.label} have no room. Leave the room format empty.")
    for word in words:
        if word not in subject.placeholders:
            raise _refuse("room_format", f"{{{word}}} is not known here. What can be filled in is {known}.")


@transaction.atomic
def remove_export(template: ExportTemplate) -> None:
    """Take an export away. It holds no record of its own: the same columns can be made again."""
    template.delete()
