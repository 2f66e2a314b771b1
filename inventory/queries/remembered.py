"""Results that cost seconds, kept in the process until the paints they were worked from change.

They are worked in steps. Inside `patience` a caller stops after so many seconds with StillWorking, and the next one
goes on from there; outside it a caller waits for the end.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from hashlib import blake2b
from threading import Lock
from time import monotonic
from typing import Generic, TypeVar

from inventory.colour import certainty
from inventory.colour.advice import Advice, rank_steps
from inventory.colour.expected import Gain, Likely, gain_steps, likely_redundancies
from inventory.colour.palette import Palette
from inventory.colour.reach import Reach, reach_steps
from inventory.colour.redundancy import Label, Redundancy, redundancy_steps
from inventory.colour.steps import Steps

Result = TypeVar("Result")

_deadline: ContextVar[float | None] = ContextVar("deadline", default=None)


class StillWorking(Exception):  # noqa: N818  # nothing is wrong
    """A result is not there yet: what is being worked, and the share that is done, 0 to 1."""

    def __init__(self, what: str, share: float) -> None:
        super().__init__(f"{what}: {100.0 * share:.0f} in 100 done")
        self.what = what
        self.share = share


@contextmanager
def patience(seconds: float) -> Iterator[None]:
    """Let work within go on for so long, then raise StillWorking; what was done is kept."""
    token = _deadline.set(monotonic() + seconds)
    try:
        yield
    finally:
        _deadline.reset(token)


class _Task(Generic[Result]):
    def __init__(self, steps: Steps[Result]) -> None:
        self.steps = steps
        self.lock = Lock()
        self.share = 0.0
        self.done = False
        self.result: Result | None = None
        self.error: BaseException | None = None

    def work(self, what: str) -> Result:
        deadline = _deadline.get()
        wait = -1.0 if deadline is None else max(0.0, deadline - monotonic())
        if not self.lock.acquire(timeout=wait):
            raise StillWorking(what, self.share)
        try:
            if self.error is not None:
                raise self.error
            while not self.done:
                self._step()
                if not self.done and deadline is not None and monotonic() > deadline:
                    raise StillWorking(what, self.share)
        finally:
            self.lock.release()
        return self.result  # type: ignore[return-value]  # done, so it is there; it may itself be None

    def _step(self) -> None:
        try:
            self.share = next(self.steps)
        except StopIteration as end:
            self.result, self.done = end.value, True
        except BaseException as error:
            self.error = error
            raise


class Remembered(Generic[Result]):
    """The last `most` results by key. Whoever asks for one that is being worked waits for it."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[bytes, _Task[Result]] = OrderedDict()
        self._lock = Lock()

    def of(self, key: bytes, begin: Callable[[], Steps[Result]], what: str = "") -> Result:
        with self._lock:
            task = self._kept.get(key)
            if task is None:
                task = self._kept[key] = _Task(begin())
                while len(self._kept) > self.most:
                    self._kept.popitem(last=False)
            else:
                self._kept.move_to_end(key)
        try:
            return task.work(what)
        except StillWorking:
            raise
        except BaseException:
            with self._lock:
                if self._kept.get(key) is task:
                    del self._kept[key]
            raise

    def has(self, key: bytes) -> bool:
        with self._lock:
            return key in self._kept and self._kept[key].done

    def forget(self) -> None:
        with self._lock:
            self._kept.clear()


# A palette's results are some hundred kilobytes. Keys hold the ids of the paints, so no studio meets another's result.
_reached: Remembered[Reach] = Remembered(48)
_redundant: Remembered[tuple[Redundancy, ...]] = Remembered(32)
_likely: Remembered[tuple[Likely, ...]] = Remembered(32)
_ranked: Remembered[tuple[Advice, ...]] = Remembered(16)
_expected: Remembered[tuple[Gain, ...]] = Remembered(16)


def digest(palette: Palette, *more: object) -> bytes:
    """A key for everything that a result depends on: the curves, what the paints are called, and `more` (by repr)."""
    made = blake2b(repr((palette.ids, palette.names, palette.binder, more)).encode(), digest_size=24)
    made.update(palette.k.tobytes())
    made.update(palette.s.tobytes())
    return made.digest()


def reach_of(palette: Palette) -> Reach:
    return _reached.of(digest(palette), lambda: reach_steps(palette), f"What {len(palette)} paints mix to")


def reach_is_known(palette: Palette) -> bool:
    """Whether `reach_of` answers at once."""
    return _reached.has(digest(palette))


def redundancies_of(palette: Palette, labels: Mapping[Hashable, Label]) -> tuple[Redundancy, ...]:
    key = digest(palette, tuple(labels.items()))
    what = f"Which of {len(palette)} paints do the same job"
    return _redundant.of(key, lambda: redundancy_steps(palette, labels), what)


def likely_of(
    palette: Palette, findings: Sequence[Redundancy], paints: Sequence[certainty.Paint]
) -> tuple[Likely, ...]:
    """The findings tried again with everything that the curves may be."""
    key = digest(palette, [(one.kind, one.id, one.others) for one in findings], _drawn(paints))
    return _likely.of(key, lambda: _at_once(lambda: likely_redundancies(findings, palette, paints)))


def advice_of(palette: Palette, candidates: Palette) -> tuple[Advice, ...]:
    key = digest(palette, digest(candidates))
    reached = reach_of(palette)
    return _ranked.of(key, lambda: rank_steps(reached, candidates), f"What {len(candidates)} pigments would add")


def gains_of(
    palette: Palette,
    paints: Sequence[certainty.Paint],
    candidates: Palette,
    candidate_paints: Sequence[certainty.Paint],
    advice: Sequence[Advice],
) -> tuple[Gain, ...]:
    """The gains of the candidates in `advice`, over everything that the curves may be."""
    reached = reach_of(palette)
    drawn = _drawn([*paints, *candidate_paints])
    key = digest(palette, digest(candidates), tuple(one.id for one in advice), drawn)
    return _expected.of(
        key,
        lambda: gain_steps(reached, paints, candidates, candidate_paints, most=len(advice), advice=advice),
        f"How sure the gains of the best {len(advice)} are",
    )


def _drawn(paints: Sequence[certainty.Paint]) -> bytes:
    made = blake2b(digest_size=16)
    for paint in paints:
        made.update(paint.k.tobytes())
        made.update(paint.s.tobytes())
    return made.digest()


def _at_once(work: Callable[[], Result]) -> Steps[Result]:
    """Work that is too short for steps of its own."""
    yield 0.0
    return work()


def forget_all() -> None:
    """Empty the memory, for tests and measurements."""
    for memory in (_reached, _redundant, _likely, _ranked, _expected):
        memory.forget()
