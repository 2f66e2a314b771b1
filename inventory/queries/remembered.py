"""Results that cost seconds, kept in the process until the paints they were worked from change."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import Future
from hashlib import blake2b
from threading import Lock
from typing import Generic, TypeVar

from inventory.colour.advice import Advice, rank
from inventory.colour.palette import Palette
from inventory.colour.reach import Reach, reach
from inventory.colour.redundancy import Label, Redundancy, redundancies

Result = TypeVar("Result")


class Remembered(Generic[Result]):
    """The last `most` results by key. Whoever asks for one that is being worked waits for it."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[bytes, Future[Result]] = OrderedDict()
        self._lock = Lock()

    def of(self, key: bytes, work: Callable[[], Result]) -> Result:
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                mine = self._kept[key] = Future()
                while len(self._kept) > self.most:
                    self._kept.popitem(last=False)
            else:
                self._kept.move_to_end(key)
        if found is not None:
            return found.result()
        try:
            mine.set_result(work())
        except BaseException as error:
            with self._lock:
                self._kept.pop(key, None)
            mine.set_exception(error)
            raise
        return mine.result()

    def has(self, key: bytes) -> bool:
        with self._lock:
            return key in self._kept and self._kept[key].done()

    def forget(self) -> None:
        with self._lock:
            self._kept.clear()


# A palette's results are some hundred kilobytes. Keys hold the ids of the paints, so no studio meets another's result.
_reached: Remembered[Reach] = Remembered(32)
_redundant: Remembered[tuple[Redundancy, ...]] = Remembered(32)
_ranked: Remembered[tuple[Advice, ...]] = Remembered(16)


def digest(palette: Palette, *more: object) -> bytes:
    """A key for everything that a result depends on: the curves, what the paints are called, and `more` (by repr)."""
    made = blake2b(repr((palette.ids, palette.names, palette.binder, more)).encode(), digest_size=24)
    made.update(palette.k.tobytes())
    made.update(palette.s.tobytes())
    return made.digest()


def reach_of(palette: Palette) -> Reach:
    return _reached.of(digest(palette), lambda: reach(palette))


def reach_is_known(palette: Palette) -> bool:
    """Whether `reach_of` answers at once."""
    return _reached.has(digest(palette))


def redundancies_of(palette: Palette, labels: Mapping[Hashable, Label]) -> tuple[Redundancy, ...]:
    return _redundant.of(digest(palette, tuple(labels.items())), lambda: redundancies(palette, labels))


def advice_of(palette: Palette, candidates: Palette) -> tuple[Advice, ...]:
    key = digest(palette, digest(candidates))
    return _ranked.of(key, lambda: rank(reach_of(palette), candidates))


def forget_all() -> None:
    """Empty the memory, for tests and measurements."""
    for memory in (_reached, _redundant, _ranked):
        memory.forget()
