"""The weakest pigment rules how a tube lasts: what is said of it beside the label's own mark."""

from collections.abc import Sequence
from typing import NamedTuple

_BEST_FIRST = ("I", "II", "III", "IV", "V")


def mark_in(binder: str, astm: str, by_binder: str) -> str:
    """The mark of a pigment in one binder: its own where `by_binder` ("oil:I;watercolour:III") has one, else `astm`."""
    marks = dict(pair.split(":", 1) for pair in by_binder.split(";") if ":" in pair)
    return marks.get(binder, astm)


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


class Finding(NamedTuple):
    """Why a paint is watched: its value on one scale, the weakest last, and what says so."""

    scale: str
    """ "astm", "blue-wool" or "maker"."""
    value: str
    why: str
    at_best: bool = False


def findings(
    pigments: Sequence[Rated], *, value: str = "", scale: str = "", text: str = "", band: str = ""
) -> tuple[Finding, ...]:
    """What of a paint may fade, each on its own scale: ASTM III or worse, blue wool 1 to 3, a maker's poor mark.

    `value`, `scale` and `text` are the label's mark, read and as typed; `band` our coarse band of it. Two scales can
    each say something of one paint; none is turned into the other. Empty is no statement that a paint lasts.
    """
    found = []
    weakest = weakest_pigment(pigments, value=value, scale=scale)
    if weakest is not None and weakest.astm in _BEST_FIRST[2:]:
        found.append(Finding("astm", weakest.astm, f"common for {weakest.code}", weakest.at_best))
    elif weakest is None and scale == "astm" and value in _BEST_FIRST[2:]:
        found.append(Finding("astm", value, _by_label(text, value)))
    if scale == "blue-wool" and value[:1].isdigit() and int(value[:1]) <= 3:
        found.append(Finding("blue-wool", value, _by_label(text, value)))
    if scale == "maker" and band in ("fugitive", "moderate"):
        found.append(Finding("maker", text or value, f"label; we count it as {band}"))
    return tuple(found)


def _by_label(text: str, value: str) -> str:
    """Names the label, with its words where they say it in another way."""
    plain = text.casefold().replace("astm", "").replace("blue wool", "").strip()
    return "by its label" if plain in ("", value.casefold()) else f"its label: {text}"


def lasting_known(pigments: Sequence[Rated], *, value: str = "", scale: str = "", band: str = "") -> bool:
    """Whether anything is known at all: a mark of the label that has an order, or a rating of every pigment."""
    if value and (scale in ("astm", "blue-wool") or (scale == "maker" and band not in ("", "unknown"))):
        return True
    return bool(pigments) and all(pigment.astm in _BEST_FIRST for pigment in pigments)
