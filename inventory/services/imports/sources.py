"""How the columns of a kind of file were named last time: the same headings are understood at once."""

import hashlib
import json
from collections.abc import Sequence

from inventory.models import ImportBatch, ImportSource
from studio.models import Studio, User

# What belongs to one file and not to the next of its kind.
_OF_ONE_FILE = ("letters", "blank_lines", "result", "source", "back")


def fingerprint(columns: Sequence[str]) -> str:
    """The headings in their order, as typed."""
    return hashlib.sha256(json.dumps(list(columns), ensure_ascii=False).encode("utf-8", "surrogatepass")).hexdigest()


def as_last_time(studio: Studio, columns: Sequence[str]) -> ImportSource | None:
    """The naming that was kept for these headings; None where there is none."""
    return ImportSource.objects.filter(studio=studio, headings=fingerprint(columns)).select_related("by").first()


def remember(batch: ImportBatch, *, by: User) -> None:
    """Keep how the columns of a list were named; the latest naming of the same headings counts."""
    settings = {key: value for key, value in batch.settings.items() if key not in _OF_ONE_FILE}
    ImportSource.objects.update_or_create(
        studio=batch.studio,
        headings=fingerprint(batch.columns),
        defaults={"names": batch.columns, "mapping": batch.mapping, "settings": settings, "by": by},
    )


def forget(studio: Studio, batch: ImportBatch) -> bool:
    """Let the columns of such a list be asked again; what was read of this one stays. False: nothing was kept."""
    deleted, _ = ImportSource.objects.filter(studio=studio, headings=fingerprint(batch.columns)).delete()
    return bool(deleted)
