"""The weakest pigment rules how a tube lasts: what is said of it beside the label's own mark."""

from collections.abc import Sequence
from typing import NamedTuple

_BEST_FIRST = ("I", "II", "III", "IV", "V")


class Rated(NamedTuple):
    """A pigment of a label with what is common for it on the ASTM scale; empty where it is not rated."""

    code: str
    astm: str


class WeakestPigment(NamedTuple):
    """The pigment that rules; `at_best` where another is not rated and may fade sooner."""

    code: str
    astm: str
    at_best: bool

    @property
    def words(self) -> str:
        return f"{'at best ' if self.at_best else ''}{self.astm}, by {self.code}"


def weakest_pigment(pigments: Sequence[Rated], *, value: str = "", scale: str = "") -> WeakestPigment | None:
    """The pigment that rules, where it says more than the label's mark `value` on `scale`; None where it does not.

    A label's ASTM mark stands where it is as weak as the weakest pigment known, and for a single pigment: the maker
    knows that paint, the table only what is common. Marks on other scales are never compared with a pigment's.
    """
    rated = [pigment for pigment in pigments if pigment.astm in _BEST_FIRST]
    if not rated:
        return None
    worst = max(rated, key=lambda pigment: _BEST_FIRST.index(pigment.astm))
    if scale == "astm" and value in _BEST_FIRST:
        as_weak = _BEST_FIRST.index(value) >= _BEST_FIRST.index(worst.astm)
        if as_weak or len(pigments) == 1:
            return None
    return WeakestPigment(worst.code, worst.astm, len(rated) < len(pigments))
