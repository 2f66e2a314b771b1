"""The whole book of notices, made in steps and kept until a notice changes."""

from hashlib import blake2b

from inventory.queries.remembered import Remembered
from safety.models import Notice
from safety.printing import book as printed
from safety.queries.notices import book, content_of
from studio.models import Studio

# A book is about a megabyte. Keys hold the ids of notices, which never change, so no studio meets another's book.
_bound: Remembered[bytes] = Remembered(4)


def bound(studio: Studio, page_size: str) -> bytes | None:
    """The book as a PDF; None while there is no notice to bind. Inside `patience` it may stop with StillWorking."""
    notices = book(studio)
    if not notices:
        return None
    return _of(notices, page_size)


def _of(notices: list[Notice], page_size: str) -> bytes:
    key = blake2b(repr((page_size, [one.pk for one in notices])).encode(), digest_size=24).digest()
    what = f"Binding {len(notices)} notices"
    return _bound.of(key, lambda: printed.steps([content_of(one) for one in notices], page_size=page_size), what)


def forget_all() -> None:
    """Empty the memory, for tests and measurements."""
    _bound.forget()
