"""Reads for the page of one tube."""

from dataclasses import dataclass

from django.db.models import OuterRef, QuerySet, Subquery

from inventory.models import Condition, Entry, EntryKind, Tube, TubeState
from inventory.models.tube import exact
from studio.models import Membership, Studio

HISTORY = 50
WITH_A_FIGURE = (
    EntryKind.USED,
    EntryKind.DISCARDED,
    EntryKind.RECEIVED,
    EntryKind.COUNTED,
    EntryKind.WEIGHED,
)


def tube(studio: Studio, number: int) -> Tube | None:
    """The tube with this number, with its item, place and owner; one query."""
    found = Tube.objects.of(studio).filter(number=number).select_related("item", "place", "owner").first()
    if found is not None:
        found.studio = studio  # at hand already
    return found


@dataclass(frozen=True)
class QuickUse:
    """A large button: what it says and what it takes, so that one tap is one exact amount."""

    words: str
    milli: int
    unit: str

    @property
    def amount(self) -> str:
        return exact(self.milli, self.unit)


def quick_uses(tube: Tube) -> list[QuickUse]:
    """Half and a quarter of the tube's size where it holds more than that, or half of what is left."""
    if tube.state == TubeState.EMPTY:
        return []
    parts = [("Used half", tube.nominal_milli // 2), ("Used a quarter", tube.nominal_milli // 4)]
    fitting = [QuickUse(words, milli, tube.unit) for words, milli in parts if 0 < milli < tube.balance_milli]
    if len(fitting) < 2 and tube.balance_milli > 1:
        fitting.append(QuickUse("Used half of the rest", tube.balance_milli // 2, tube.unit))
    return fitting


@dataclass(frozen=True)
class Line:
    """An entry as the history tells it."""

    entry: Entry
    unit: str
    person: int | None = None
    """The membership of whoever wrote it, whose history can be looked at; None: has left, or not asked for."""

    @property
    def words(self) -> str:
        """What happened: '12 ml used', 'moved to the sink shelf', 'about 20 ml more counted'."""
        entry = self.entry
        amount = exact(abs(entry.change_milli), self.unit)
        about = "about " if entry.is_estimate and entry.change_milli else ""
        match entry.kind:
            case EntryKind.MOVED if entry.place_before_id == entry.place_after_id:
                # Its owner changed, which the note tells; or somebody moved it to where it stood.
                return "Whose it is" if entry.note else f"Moved to {entry.place_after or 'a place not known'}"
            case EntryKind.MOVED:
                return f"Moved to {entry.place_after or 'a place not known'}"
            case EntryKind.EXAMINED:
                words = Condition(entry.condition_after).label.lower() if entry.condition_after else "as before"
                return f"Looked at: {words}"
            case EntryKind.LENT:
                return f"Lent {entry.note[:1].lower()}{entry.note[1:]}"
            case EntryKind.RETURNED:
                return entry.get_kind_display()
            case EntryKind.WEIGHED | EntryKind.COUNTED | EntryKind.CORRECTED:
                if not entry.change_milli:
                    return f"{entry.get_kind_display()}: the amount stays"
                return f"{entry.get_kind_display()}: {about}{amount} {'more' if entry.change_milli > 0 else 'less'}"
            case _:
                return f"{entry.get_kind_display()}: {about}{amount}"

    @property
    def is_corrected(self) -> bool:
        return hasattr(self.entry, "corrected_by")

    @property
    def can_be_undone(self) -> bool:
        return not self.is_corrected and not self.entry.moves_nothing

    @property
    def can_be_corrected(self) -> bool:
        """A figure that somebody typed, saw or read off a scale."""
        return self.can_be_undone and self.entry.kind in WITH_A_FIGURE


def entries(studio: Studio) -> "QuerySet[Entry]":
    return Entry.objects.filter(studio=studio).select_related(
        "by", "place_before", "place_after", "corrected_by", "corrects", "tube__item"
    )


def history(tube: Tube, limit: int = HISTORY) -> list[Line]:
    """The latest entries of a tube, newest first; one query."""
    members = Membership.objects.filter(studio=tube.studio_id, user=OuterRef("by"))
    found = entries(tube.studio).filter(tube=tube).annotate(person=Subquery(members.values("pk")[:1]))
    return [Line(entry, tube.unit, vars(entry)["person"]) for entry in found.order_by("-pk")[:limit]]
