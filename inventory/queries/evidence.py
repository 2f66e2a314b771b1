"""How good the predictions are: worked once in each process, in steps, from the check tables and the typical curves."""

from hashlib import blake2b
from pathlib import Path

from django.conf import settings

from inventory.colour.curves import BandRow
from inventory.colour.evidence import Evidence, gather_steps
from inventory.queries.palette import typical_rows
from inventory.queries.remembered import Remembered

CHECKS = Path(settings.BASE_DIR) / "fixtures" / "checks"
WHAT = "How far predictions are off on the check sets"
_gathered: Remembered[Evidence] = Remembered(1)


def evidence() -> Evidence | None:
    """All checks with the typical curves in use; None while the reference tables are not loaded. One query.

    Inside `patience` it may raise StillWorking; the next call goes on.
    """
    rows = typical_rows()
    if not rows:
        return None
    return _gathered.of(_key(rows), lambda: gather_steps(CHECKS, rows), WHAT)


def _key(rows: list[BandRow]) -> bytes:
    made = blake2b(repr(rows).encode(), digest_size=24)
    for path in sorted(CHECKS.glob("*.csv")):
        made.update(path.read_bytes())
    return made.digest()


def forget() -> None:
    """Empty the memory, for tests and measurements."""
    _gathered.forget()
