"""Loading of reference rows from readable tables: a newer table updates them and touches nothing else."""

import csv
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.db import models, transaction


class Loaded(NamedTuple):
    """How many rows a table brought and changed."""

    name: str
    rows: int
    added: int
    changed: int


def table(name: str) -> list[dict[str, str]]:
    """The rows of fixtures/`name`.csv; what was not established is an empty string."""
    path = Path(settings.BASE_DIR) / "fixtures" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@transaction.atomic
def upsert(
    model: type[models.Model],
    key: Sequence[str],
    rows: Iterable[Mapping[str, Any]],
    *,
    name: str,
) -> Loaded:
    """Add rows that are new by `key` and update those that differ; rows that are the same are not written.

    Rows that a newer table no longer has stay: a studio's own rows may point at them.
    """
    present = {tuple(getattr(row, part) for part in key): row for row in model._default_manager.all()}
    added, changed, count = [], [], 0
    fields: list[str] = []
    for values in rows:
        count += 1
        fields = [field for field in values if field not in key]
        row = present.get(tuple(values[part] for part in key))
        if row is None:
            row = model(**values)
            row.clean_fields()
            added.append(row)
        elif any(getattr(row, field) != value for field, value in values.items()):
            for field, value in values.items():
                setattr(row, field, value)
            row.clean_fields()
            changed.append(row)
    model._default_manager.bulk_create(added)
    if changed:
        model._default_manager.bulk_update(changed, fields, batch_size=200)
    return Loaded(name, count, len(added), len(changed))
