"""Makers' sheets as files, kept privately under names of ours.

The order of writing: a temporary name in the private folder, on the disk; then the row; once that is committed, the
final name. A row whose file still has its temporary name (the machine stopped in between) is put right when the file
is next asked for, and a temporary file without a row is swept away a day later.
"""

import hashlib
import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from safety.models import DataSheet, SheetFile
from safety.rules.pdf_bytes import HEAD, LARGEST, TAIL, problem, too_large
from studio.models import User

_PART = ".part"
_CHUNK = 256 * 1024
_SWEPT_AFTER = timedelta(days=1)


@dataclass(frozen=True)
class Kept:
    """A file on the disk that no row names yet."""

    stored_as: str
    name: str
    size: int
    sha256: str


def folder() -> Path:
    """Where the sheets lie; only the service reads it, and no address serves it."""
    path = Path(settings.MEDIA_ROOT) / "sheets"
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    return path


def shown_name(given: str) -> str:
    """The last part of a file name, without what does not print; never a path."""
    last = given.replace("\\", "/").rsplit("/", 1)[-1]
    printable = "".join(letter for letter in last if letter.isprintable()).strip(" .")
    return printable[:160] or "sheet.pdf"


def refusal(message: str) -> ValidationError:
    return ValidationError({"file": [ValidationError(message, code="file")]})


@contextmanager
def keeping(file: UploadedFile | None) -> Iterator[Kept | None]:
    """Keep a file for a row that is written inside; without one, or when the writing fails, nothing stays.

    ValidationError on the field "file" for what is not a PDF or too large, before anything is kept.
    """
    if file is None:
        yield None
        return
    kept = _write(file)
    try:
        yield kept
    except BaseException:
        (folder() / f"{kept.stored_as}{_PART}").unlink(missing_ok=True)
        raise


def _write(file: UploadedFile) -> Kept:
    """Write a checked file under its temporary name and on to the disk."""
    if (file.size or 0) > LARGEST:
        raise refusal(too_large(file.size))
    sweep()
    stored_as = f"{uuid.uuid4().hex}.pdf"
    path = folder() / f"{stored_as}{_PART}"
    digest, head, tail, size = hashlib.sha256(), b"", b"", 0
    try:
        with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as target:
            for chunk in file.chunks(_CHUNK):
                size += len(chunk)
                if size > LARGEST:
                    raise refusal(too_large(None))
                head = (head + chunk)[:HEAD] if len(head) < HEAD else head
                tail = (tail + chunk)[-TAIL:]
                digest.update(chunk)
                target.write(chunk)
            if said := problem(head, tail, size):
                raise refusal(said)
            target.flush()
            os.fsync(target.fileno())
    except OSError as error:
        path.unlink(missing_ok=True)
        raise refusal(
            f"The file could not be stored ({error.strerror}): nothing was recorded. Tell whoever runs the service."
        ) from error
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return Kept(stored_as, shown_name(file.name or ""), size, digest.hexdigest())


def name_in_row(kept: Kept, sheet: DataSheet, by: User) -> SheetFile:
    """Write the row of a kept file, inside the caller's transaction; its name is made final when that is committed."""
    row = SheetFile.objects.create(
        sheet=sheet, stored_as=kept.stored_as, name=kept.name, size=kept.size, sha256=kept.sha256, by=by
    )
    transaction.on_commit(lambda: _settle(kept.stored_as))
    return row


def _settle(stored_as: str) -> None:
    # Where it fails, the file is put right when it is next asked for.
    with suppress(OSError):
        os.replace(folder() / f"{stored_as}{_PART}", folder() / stored_as)
        _sync_folder()


def _sync_folder() -> None:
    """Have the new name itself on the disk."""
    opened = os.open(folder(), os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def attach(sheet: DataSheet, file: UploadedFile, *, by: User) -> SheetFile:
    """Keep the maker's file of a sheet that has none; ValidationError on "file" says what is wrong."""
    with keeping(file) as kept, transaction.atomic():
        assert kept is not None  # noqa: S101  # a file was given
        standing = DataSheet.objects.select_for_update(of=("self",)).get(pk=sheet.pk)
        if standing.withdrawn_at:
            raise refusal("This record was withdrawn meanwhile: record the sheet anew, with its file.")
        if SheetFile.objects.filter(sheet=standing).exists():
            raise refusal(
                "This sheet already has a file. Withdraw the record if the file is the wrong one, and record it anew."
            )
        return name_in_row(kept, standing, by)


def opened(row: SheetFile) -> BinaryIO | None:
    """The file of a row, to be read; None where it is not in the private folder, or is not what was stored."""
    path = folder() / row.stored_as
    if not path.exists():
        _settle(row.stored_as)
    try:
        file = path.open("rb")
    except OSError:
        return None
    if os.fstat(file.fileno()).st_size != row.size:
        file.close()
        return None
    return file


def sweep() -> int:
    """Take away temporary files that no row names and that are older than a day; how many there were."""
    before = (timezone.now() - _SWEPT_AFTER).timestamp()
    old = [path for path in folder().glob(f"*{_PART}") if path.stat().st_mtime < before]
    names = {path.name.removesuffix(_PART): path for path in old}
    named = set(SheetFile.objects.filter(stored_as__in=names).values_list("stored_as", flat=True)) if names else set()
    orphans = [path for name, path in names.items() if name not in named]
    for path in orphans:
        path.unlink(missing_ok=True)
    return len(orphans)
