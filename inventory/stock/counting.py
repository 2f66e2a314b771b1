"""What a count says against the books: which containers were meant, and what is posted when paint was used since."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

# An entry that was written at once says now; one that names an earlier time was told afterwards.
TOLD_AFTERWARDS = timedelta(minutes=2)


@dataclass(frozen=True)
class Booked:
    """A container as the books have it, in thousandths of its unit."""

    key: int
    is_sealed: bool
    left_milli: int
    size_milli: int


@dataclass(frozen=True)
class Seen:
    """What was found of one of them; `left_milli` is None where nobody said."""

    key: int
    state: str
    left_milli: int | None


@dataclass(frozen=True)
class Matched:
    seen: tuple[Seen, ...]
    missing: tuple[int, ...]
    more_sealed: int
    more_open: tuple[int | None, ...]


def match(books: Sequence[Booked], *, sealed: int, opened: Sequence[int | None], empty: int = 0) -> Matched:
    """Say which of the containers in the books were counted.

    Parameters
    ----------
    books : sequence of Booked
        What should be there.
    sealed : int
        How many sealed ones were found, 0 or more.
    opened : sequence of int or None
        How full each open one was, in thousandths of its size; None where nobody said.
    empty : int
        How many empty ones were found.

    Returns
    -------
    Matched
        Sealed ones are the sealed ones of the books; open ones the open ones, in the order of their filling and as
        near to the books as can be; when there are more, sealed ones were opened meanwhile. Of the rest the emptiest
        are the empty ones, others are missing; what the books do not have is more.
    """
    if sealed < 0 or empty < 0:
        raise ValueError(f"Containers are counted from 0, not {min(sealed, empty)}.")
    closed = [book for book in books if book.is_sealed]
    seen = [Seen(book.key, "sealed", book.size_milli) for book in closed[:sealed]]
    rest = [book for book in books if not book.is_sealed]
    waiting = closed[sealed:]
    lacking = max(0, len(opened) - len(rest))
    candidates, waiting = [*rest, *waiting[:lacking]], waiting[lacking:]
    pairs, more_open = _pair(candidates, list(opened))
    seen += [Seen(book.key, "open", _filled(book, fill)) for book, fill in pairs]
    paired = {book.key for book, _ in pairs}
    left_over = sorted([b for b in candidates if b.key not in paired] + waiting, key=lambda b: b.left_milli)
    seen += [Seen(book.key, "empty", 0) for book in left_over[:empty]]
    missing = tuple(sorted(book.key for book in left_over[empty:]))
    return Matched(tuple(seen), missing, max(0, sealed - len(closed)), tuple(more_open))


def _filled(book: Booked, fill: int | None) -> int | None:
    return None if fill is None else book.size_milli * fill // 1000


def _pair(
    books: Sequence[Booked], fills: Sequence[int | None]
) -> tuple[list[tuple[Booked, int | None]], list[int | None]]:
    """Pair each filling with a book, both in order, so that the differences add up to the least."""
    said = sorted((fill for fill in fills if fill is not None), reverse=True)
    order = sorted(books, key=lambda book: (-book.left_milli / book.size_milli, book.key))
    more: list[int | None] = list(said[len(order) :])
    said = said[: len(order)]
    chosen = _nearest([book.left_milli * 1000 / book.size_milli for book in order], said)
    pairs: list[tuple[Booked, int | None]] = [(order[place], fill) for place, fill in zip(chosen, said, strict=True)]
    free = [book for place, book in enumerate(order) if place not in set(chosen)]
    unsaid = len(fills) - len(said) - len(more)
    pairs += [(book, None) for book in free[:unsaid]]
    return pairs, [*more, *[None] * max(0, unsaid - len(free))]


def _nearest(places: Sequence[float], values: Sequence[int]) -> list[int]:
    """Choose a place for each value, in order, at the least sum of differences; there are places enough."""
    spare = len(places) - len(values)
    best: list[list[tuple[float, int]]] = []
    for row, value in enumerate(values):
        line: list[tuple[float, int]] = []
        for place in range(row, row + spare + 1):
            before = best[row - 1][place - row][0] if row else 0.0
            cost = before + abs(places[place] - value)
            line.append(min(line[-1], (cost, place)) if line else (cost, place))
        best.append(line)
    chosen: list[int] = []
    most = len(places)
    for row in range(len(values) - 1, -1, -1):
        place = best[row][min(spare, most - 1 - row)][1]
        chosen.insert(0, place)
        most = place
    return chosen


@dataclass(frozen=True)
class Later:
    """An entry that was written after somebody counted; `settles`: it looked at the container itself."""

    key: int
    change_milli: int
    corrects: int | None
    at: datetime
    written_at: datetime
    settles: bool = False


@dataclass(frozen=True)
class Since:
    """What was written since: `before_milli` is about the time before the count, `settled_by` is a newer look."""

    before_milli: int
    settled_by: int | None


def since(counted_at: datetime, last_key: int, later: Sequence[Later]) -> Since:
    """Sort what was written after a count into what came before it and what came after.

    A correction of an entry that the count had before it changes what the books should have said then. So does a use
    that was told afterwards, with an earlier time. Entries stand in the order of their keys: `at` alone, which a
    clock may have set back, decides nothing where it was written at once.
    """
    roots: dict[int, int] = {}
    taken_back = {each.corrects for each in later if each.corrects is not None}
    before, settled = 0, None
    for each in sorted(later, key=lambda one: one.key):
        roots[each.key] = roots.get(each.corrects or each.key, each.corrects or each.key)
        told_afterwards = each.at < counted_at and each.written_at - each.at > TOLD_AFTERWARDS
        if roots[each.key] <= last_key or told_afterwards:
            before += each.change_milli
        elif each.settles and each.key not in taken_back:
            settled = each.key
    return Since(before, settled)


@dataclass(frozen=True)
class Change:
    """What is added to the balance of now; `clipped_milli` is what the balance could not take."""

    change_milli: int
    clipped_milli: int


def posted_change(*, found_milli: int, book_milli: int, before_milli: int, now_milli: int, size_milli: int) -> Change:
    """Return what a count changes, in thousandths: found against what the books said of that moment, applied to now.

    What was used between counting and posting stays used. The balance stays between 0 and the size.
    """
    wanted = found_milli - (book_milli + before_milli)
    new = min(max(now_milli + wanted, 0), size_milli)
    return Change(new - now_milli, now_milli + wanted - new)
