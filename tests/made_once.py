"""The test database on SQLite as the migrations leave it, kept in pytest's cache: making it takes half a minute.

Other migrations make another one. PostgreSQL's is made anew for each run.
"""

import fcntl
import sys
from hashlib import sha256
from pathlib import Path
from shutil import copyfile

import django
from django.db import connection
from django.db.migrations.loader import MigrationLoader


def _fingerprint():
    modules = {sys.modules[one.__module__].__file__ for one in MigrationLoader(None).disk_migrations.values()}
    digest = sha256(django.__version__.encode())
    for path in sorted(modules):
        digest.update(Path(path).read_bytes())
    return digest.hexdigest()[:20]


class MadeOnce:
    """The kept database in `folder`, and the copy of it that this run works on."""

    def __init__(self, folder, copy):
        self.kept = folder / f"{_fingerprint()}.sqlite3"
        self.copy = copy
        self.lock = (folder / "lock").open("w")

    def copied(self):
        """Whether there is one to copy. Until it is kept, a run that begins meanwhile waits here."""
        fcntl.flock(self.lock, fcntl.LOCK_EX)
        if not self.kept.exists():
            return False
        self.remove_copy()
        copyfile(self.kept, self.copy)
        self.lock.close()
        return True

    def remove_copy(self):
        """With its log of changes: that of a run which was killed would be played into the next file of its name."""
        for end in ("", "-wal", "-shm"):
            self.copy.with_name(self.copy.name + end).unlink(missing_ok=True)

    def keep(self):
        """Keep the database that was made now, before a test has used it, and no older one."""
        for old in self.kept.parent.glob("*.sqlite3"):
            old.unlink()
        half = self.kept.with_suffix(".half")
        half.unlink(missing_ok=True)
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(half)])
        half.replace(self.kept)
        self.lock.close()
